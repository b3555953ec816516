//! `goodshot press`: what a press can do, on one screen.

use std::io::{self, Write};

use crate::process::clamp::{REQUIRED_MARGIN, holdable_area};
use crate::process::plastic::Plastic;
use crate::process::plastics::Plastics;
use crate::process::press::Press;
use crate::process::shot::ADVISED;
use crate::units::{Force, Quantity, bar, cm3, grams, mm2, mpa, short};

/// Writes force, pressure, grams a shot, what holds the mold, and cautions.
pub(super) fn show(
    press: &Press,
    plastics: &Plastics,
    only: Option<&Plastic>,
    to: &mut dyn Write,
) -> io::Result<()> {
    writeln!(to, "{} ({})\n", press.name, press.class().name())?;
    ram(press, to)?;
    nozzle(press, to)?;
    clamp(press, to)?;
    writeln!(to)?;
    let all = plastics.iter().map(|(_, plastic)| plastic);
    match only {
        Some(plastic) => grams_a_shot(press, std::iter::once(plastic), to)?,
        None => grams_a_shot(press, all.filter(|plastic| plastic.refuse.is_none()), to)?,
    }
    writeln!(to, "\nbeware")?;
    press.cautions().iter().try_for_each(|caution| writeln!(to, "- {caution}"))
}

fn ram(press: &Press, to: &mut dyn Write) -> io::Result<()> {
    let melt = press.melt_pressure();
    let psi = mpa(melt) * 145.037_738;
    writeln!(to, "ram force       {}", newtons(press.ram_force()))?;
    writeln!(
        to,
        "melt pressure   {} MPa ({bar:.0} bar, {psi:.0} psi)",
        short(mpa(melt)),
        bar = bar(melt)
    )?;
    let before = short(mpa(press.ram_pressure()));
    match (press.ram.loss, press.ram.loss_pressure) {
        (None, None) => writeln!(
            to,
            "                assumed without loss: the file states none, and presses of this \
             kind lose much in the granules"
        )?,
        _ => writeln!(
            to,
            "                after the stated losses, from {before} MPa at the ram"
        )?,
    }
    writeln!(
        to,
        "barrel          {} cm3, of which a stroke gives {} cm3",
        short(cm3(press.barrel_volume())),
        short(cm3(press.shot_volume()))
    )
}

fn nozzle(press: &Press, to: &mut dyn Write) -> io::Result<()> {
    let contact = press.nozzle.as_ref().and_then(|nozzle| nozzle.contact_force);
    match (press.nozzle_lift(), contact) {
        (Some(lift), Some(contact)) => {
            let verdict = if contact < lift { "it will leak" } else { "it stays seated" };
            let (lift, contact) = (newtons(lift), newtons(contact));
            writeln!(
                to,
                "nozzle          lifted by {lift}, pressed on with {contact}: {verdict}"
            )
        }
        (Some(lift), None) => {
            let lift = newtons(lift);
            writeln!(
                to,
                "nozzle          lifted by {lift}: press it on with more than that"
            )
        }
        (None, _) => {
            writeln!(to, "nozzle          not known: give seat_diameter in [nozzle]")
        }
    }
}

fn clamp(press: &Press, to: &mut dyn Write) -> io::Result<()> {
    let (Some(clamp), Some(holding)) = (&press.clamp, press.holding_force()) else {
        return writeln!(
            to,
            "mold held by    not known: give [clamp.bolts], vise or force"
        );
    };
    writeln!(to, "mold held by    {} ({})", newtons(holding), clamp.in_words())?;
    let Some(area) = holdable_area(holding, press.melt_pressure()) else {
        return Ok(());
    };
    writeln!(
        to,
        "                keeps {} cm2 of part and feed shut, at {REQUIRED_MARGIN} times the \
         opening force",
        short(mm2(area) / 100.0)
    )
}

/// One line for each plastic: what a stroke gives, what is advised, what a filling holds.
fn grams_a_shot<'a>(
    press: &Press,
    plastics: impl Iterator<Item = &'a Plastic>,
    to: &mut dyn Write,
) -> io::Result<()> {
    let advised = format!("advised {:.0} %", ADVISED * 100.0);
    writeln!(
        to,
        "{:<8}{:>10}{:>15}{:>18}",
        "plastic", "g a shot", advised, "g of granules"
    )?;
    for plastic in plastics {
        let capacity = plastic.melt_density.value.map(|melt| grams(press.capacity(melt)));
        let charge =
            plastic.solid_density.value.map(|solid| grams(press.granule_charge(solid)));
        let text =
            |value: Option<f64>| value.map_or("-".to_owned(), |g| format!("{g:.1}"));
        writeln!(
            to,
            "{:<8}{:>10}{:>15}{:>18}",
            plastic.name,
            text(capacity),
            text(capacity.map(|g| g * ADVISED)),
            text(charge)
        )?;
        if let Some(reason) = &plastic.refuse {
            writeln!(to, "  refused: {reason}")?;
        }
    }
    Ok(())
}

fn newtons(force: Force) -> String {
    let newtons = force.si();
    if newtons >= 1000.0 {
        format!("{} kN", short(newtons / 1000.0))
    } else {
        format!("{newtons:.0} N")
    }
}

#[cfg(test)]
mod tests {
    use super::show;
    use crate::process::plastics::Plastics;
    use crate::process::press::Press;

    fn shown(press: &Press, only: Option<&str>) -> String {
        let plastics = Plastics::builtin().unwrap();
        let only = only.map(|name| plastics.find(name).unwrap());
        let mut bytes = Vec::new();
        show(press, &plastics, only, &mut bytes).unwrap();
        String::from_utf8(bytes).unwrap()
    }

    /// Two bores of 63 mm at 7 bar and 90 % give 3928 N; on 25 mm less 30 % that is
    /// 5.601 MPa; 53.996 cm³ less 4 mm of cushion are 52.03 cm³, 50.5 g of ABS melt.
    #[test]
    fn shows_what_the_built_in_press_can_do() {
        let text = shown(&Press::builtin().unwrap(), None);
        for part in [
            "3.928 kN",
            "5.601 MPa (56 bar, 812 psi)",
            "from 8.002 MPa at the ram",
            "54 cm3, of which a stroke gives 52.03 cm3",
            "it stays seated",
            "42 kN (4 bolts M8 of class 8.8",
            "keeps 59.99 cm2",
            "ABS           50.5",
            "stored air",
            "local codes",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
        assert!(!text.contains("PVC") && text.contains("TPU"));
    }

    #[test]
    fn says_what_the_file_leaves_open() {
        let text = "name = 'p'\ndrive = { ram_force = '900 lbf' }\n[ram]\nstroke = '4 in'\n\
                    diameter = '1 in'";
        let text = shown(&Press::parse(text).unwrap(), Some("pvc"));
        for part in [
            "assumed without loss",
            "[clamp.bolts]",
            "seat_diameter",
            "refused: rigid PVC",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
        assert!(!text.contains("ABS"));
    }
}
