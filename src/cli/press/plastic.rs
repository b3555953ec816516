//! What a press does with one plastic: grams, nozzle, time in the heat.

use std::io::{self, Write};

use super::words::{flow, mass, pressure, time};
use crate::process::feed::nozzle;
use crate::process::plastic::residence::{self, CHARGE_MIN, HEAT_UP_MIN, SOAK_MIN};
use crate::process::plastic::{Plastic, Unknown};
use crate::process::press::shot::{ADVISED, charges};
use crate::process::press::{GRANULE_FILL, Nozzle, Press};
use crate::units::{
    MassDensity, Quantity, Time, VolumeRate, format::four_digits, in_celsius,
};

/// The flow at which the nozzle's loss is shown: 5 cm³/s, a small part in a few seconds.
const EXAMPLE_M3_S: f64 = 5e-6;

/// Writes all that this plastic adds to what the press can do.
pub(super) fn show(
    press: &Press,
    plastic: &Plastic,
    to: &mut dyn Write,
) -> io::Result<()> {
    writeln!(to, "\n{} in this press", plastic.name)?;
    if let Some(reason) = &plastic.refuse {
        return writeln!(to, "refused         {reason}");
    }
    let densities = (plastic.solid_density.value, plastic.melt_density.value);
    match densities {
        (Some(solid), Some(melt)) => {
            charge(press, solid, melt, to)?;
            heat(press, plastic, solid, melt, to)?;
        }
        _ => {
            writeln!(to, "one shot        not known: {} has no densities", plastic.name)?;
        }
    }
    if let Some(of) = &press.nozzle {
        for line in [passes(press, of, plastic), freezes(of, plastic)] {
            match line {
                Ok(line) => writeln!(to, "{line}")?,
                Err(unknown) => writeln!(to, "nozzle          not known: {unknown}")?,
            }
        }
    }
    writeln!(
        to,
        "warm-up         {HEAT_UP_MIN:.0} min to heat, {SOAK_MIN:.0} min to soak, then at least \
         {CHARGE_MIN:.0} min a charge\n                (timetable of a community workshop's hand \
         press with a barrel of 150 cm3)"
    )
}

fn charge(
    press: &Press,
    solid: MassDensity,
    melt: MassDensity,
    to: &mut dyn Write,
) -> io::Result<()> {
    let capacity = press.capacity(melt);
    writeln!(
        to,
        "one shot        {} at most, {} advised ({:.0} %)",
        mass(capacity),
        mass(capacity * ADVISED),
        ADVISED * 100.0
    )?;
    let fill = press.ram.granule_fill.map_or(GRANULE_FILL, Quantity::si);
    let per_cm3 = |density: MassDensity| four_digits(density.si() * 1e-3);
    let bulk = per_cm3(solid * fill);
    writeln!(
        to,
        "granules        {} in a full barrel: {bulk} g/cm3 as a heap, {} as melt, {} solid",
        mass(press.granule_charge(solid)),
        per_cm3(melt),
        per_cm3(solid)
    )
}

/// How long the melt stays hot at the workshop's pace, against the plastic's limit.
fn heat(
    press: &Press,
    plastic: &Plastic,
    solid: MassDensity,
    melt: MassDensity,
    to: &mut dyn Write,
) -> io::Result<()> {
    let shot = press.capacity(melt) * ADVISED;
    let fillings = charges(shot / press.granule_charge(solid));
    let cycle = Time::from_si(60.0 * CHARGE_MIN * f64::from(fillings));
    if let Some(stays) = residence::time(press.inventory(melt), shot, cycle) {
        let limit = limit(plastic, stays);
        writeln!(
            to,
            "time in heat    {} with a shot of {} every {}: {limit}",
            time(stays),
            mass(shot),
            time(cycle)
        )?;
    }
    if press.ram.heated_length.is_none() {
        writeln!(
            to,
            "                heated_length in [ram] is not given: the stroke is taken"
        )?;
    }
    Ok(())
}

fn limit(plastic: &Plastic, stays: Time) -> String {
    let at = plastic.melt_temperature.value.map(|range| range.typical());
    let known = at.and_then(|at| residence::limit(plastic, at).map(|limit| (at, limit)));
    match known {
        Some((at, limit)) => {
            let judged =
                if stays > limit { "TOO LONG, it may take" } else { "within the" };
            format!("{judged} {} at {:.0} °C", time(limit), in_celsius(at))
        }
        None => format!("limit not known ({})", plastic.residence_limit.reason()),
    }
}

fn passes(press: &Press, of: &Nozzle, plastic: &Plastic) -> Result<String, Unknown> {
    let melt = nozzle::melt(plastic, press)?;
    let links = nozzle::links(of);
    let example = VolumeRate::from_si(EXAMPLE_M3_S);
    let lost = nozzle::loss(&links, &melt, example);
    let most = nozzle::most_flow(&links, &melt, press.melt_pressure());
    Ok(format!(
        "nozzle          costs {} at {}; with nothing behind it {} pass",
        pressure(lost),
        flow(example),
        flow(most)
    ))
}

fn freezes(of: &Nozzle, plastic: &Plastic) -> Result<String, Unknown> {
    let frozen = nozzle::freeze_time(of, plastic)?;
    Ok(frozen.map_or_else(
        || "                never freezes on a mold as warm as this: it drools".to_owned(),
        |frozen| {
            format!(
                "                freezes {} after the flow stops on a cold mold; off the mold it \
                 drools",
                time(frozen)
            )
        },
    ))
}
