//! What the next change of a press would buy, and what has to follow it.

use std::io::{self, Write};

use super::words::{area, force, pressure, volume};
use crate::process::clamping::force::holdable_area;
use crate::process::plastic::Plastic;
use crate::process::press::Press;
use crate::process::press::upgrades::{self, Change};
use crate::units::{format::four_digits, in_cm3, in_grams, in_mpa};

/// Writes one paragraph a change; nothing when the press file leaves nothing to change.
pub(super) fn show(
    press: &Press,
    only: Option<&Plastic>,
    to: &mut dyn Write,
) -> io::Result<()> {
    let changes = upgrades::next(press);
    if changes.is_empty() {
        return Ok(());
    }
    writeln!(to, "\nwhat the next change would buy")?;
    for change in changes {
        let after = pressure(change.press.melt_pressure());
        let before = four_digits(in_mpa(press.melt_pressure()));
        writeln!(to, "- {}: {before} → {after} in the melt", change.what)?;
        for follows in consequences(press, &change, only) {
            writeln!(to, "    {follows}")?;
        }
        writeln!(to, "    {}", change.beware)?;
    }
    Ok(())
}

fn consequences(press: &Press, change: &Change, only: Option<&Plastic>) -> Vec<String> {
    let after = &change.press;
    [capacity(press, after, only), contact(after), clamped(press, after)]
        .into_iter()
        .flatten()
        .collect()
}

fn capacity(press: &Press, after: &Press, only: Option<&Plastic>) -> Option<String> {
    if after.shot_volume() >= press.shot_volume() {
        return None;
    }
    let density = only.and_then(|plastic| plastic.melt_density.value);
    let in_grams = density.map(|density| {
        let [before, after] =
            [press, after].map(|press| in_grams(press.capacity(density)));
        format!(", {before:.1} → {after:.1} g")
    });
    Some(format!(
        "a stroke gives {} → {}{}",
        four_digits(in_cm3(press.shot_volume())),
        volume(after.shot_volume()),
        in_grams.unwrap_or_default()
    ))
}

/// The lift on the seat after the change, and whether what holds it now is enough.
fn contact(after: &Press) -> Option<String> {
    let nozzle = after.nozzle.as_ref()?;
    let lift = after.nozzle_lift()?;
    let what = if nozzle.spring.is_some() { "the nozzle spring" } else { "the nozzle" };
    Some(match nozzle.contact_force {
        Some(contact) if contact >= lift => {
            let (lift, contact) = (force(lift), force(contact));
            format!("{what} holds with {contact} against {lift}: enough")
        }
        Some(contact) => {
            let (lift, contact) = (force(lift), force(contact));
            format!("{what} must hold with {lift} at least instead of {contact}")
        }
        None => format!("the nozzle must be held with {} at least", force(lift)),
    })
}

fn clamped(press: &Press, after: &Press) -> Option<String> {
    let holding = press.holding_force()?;
    let [before, after] = [press, after].map(Press::melt_pressure);
    let now = holdable_area(holding, before)?;
    let then = holdable_area(holding, after)?;
    Some(format!(
        "the clamp keeps {} instead of {} of part and feed shut",
        area(then),
        area(now)
    ))
}
