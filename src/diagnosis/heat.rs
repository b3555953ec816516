//! Why a part burns, or has streaks and bubbles: air, water, and too much heat.

use super::cause::Cause;
use super::common;
use super::numbers::Numbers;
use crate::process::press::shot::ADVISED;
use crate::units::format::percent;

/// Granules pack by a fifth more or less when they are tamped (judgment).
const BARREL_DOUBT: f64 = 1.2;

/// A burn mark.
pub(super) fn burn(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all = [
        Some(common::too_much_pressure(numbers, "and the air has no time to leave")),
        Some(common::long_heat(numbers)),
        common::hot_melt(numbers),
        common::vents(numbers),
        Some(common::shut_in_air(numbers, "the burn")),
    ];
    all.into_iter().flatten().collect()
}

/// Silver streaks, or bubbles.
pub(super) fn bubbles(numbers: &Numbers<'_>) -> Vec<Cause> {
    let all = [
        Some(common::moisture(numbers)),
        Some(common::long_heat(numbers)),
        common::hot_melt(numbers),
        air_in_barrel(numbers),
        Some(common::shut_in_air(numbers, "the bubble")),
        common::thick_place(numbers, "and pulls a void as it shrinks"),
    ];
    all.into_iter().flatten().collect()
}

/// Air between granules that went with the melt.
fn air_in_barrel(numbers: &Numbers<'_>) -> Option<Cause> {
    let share = numbers.barrel_share()?;
    Some(
        Cause::new("air_in_barrel", "air between the granules goes with the melt")
            .judged(share, ADVISED, BARREL_DOUBT)
            .because(format!(
                "a shot takes {} of a stroke; up to {} the melt at the front is free of air",
                percent(share),
                percent(ADVISED)
            ))
            .look("purge into the air: pops and a broken strand are air")
            .change("tamp the granules while they melt, and press the air out before the nozzle meets the mold", None),
    )
}
