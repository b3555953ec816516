//! What a mold says of itself besides its checks: what was moved, assumed or left out.

use crate::analysis::Analysis;
use crate::mold::feed::Way;
use crate::mold::layout::Layout;
use crate::mold::snapping::Snapped;
use crate::part::undercut;
use crate::units::format::four_digits;

/// Corners moved by less than this are rounding, mm.
const ROUNDING_MM: f64 = 1e-4;

/// A gate that is not where it was asked for.
pub(super) fn of_moved_gate(way: &Way) -> Option<String> {
    (way.moved > 0.1).then(|| {
        format!(
            "the gate stands {:.1} mm from the first place asked for: gates stand on the line around the part, where a runner finds room and the gate opens; filling and vents are those of the first place (--gate sets another)",
            way.moved
        )
    })
}

/// What was moved so that it can be milled.
pub(super) fn of_snapping(snapped: &Snapped) -> impl Iterator<Item = String> {
    let moved = |off: f64, what: &str| {
        let line = format!(
            "{what}: corners of the part are moved by up to {} mm",
            four_digits(off)
        );
        (off > ROUNDING_MM).then_some(line)
    };
    let walls = moved(snapped.across, "walls that wobble along the pull are cut upright");
    let lines =
        moved(snapped.along, "parting lines that hardly rise and fall are cut level");
    walls.into_iter().chain(lines)
}

/// What was assumed or left out in the block.
pub(super) fn of_layout(layout: &Layout) -> Vec<String> {
    let plates = layout.plates.assumed.iter().map(|line| format!("[mold] {line}"));
    layout.notes.iter().cloned().chain(plates).collect()
}

/// How deep metal may get into the part as the mold opens, mm, and whether that is because the
/// part is stripped off.
pub(super) fn stripped(analysis: &Analysis, notes: &mut Vec<String>) -> (f64, bool) {
    let least = undercut::least_depth(analysis.part.faces.chord_error);
    let deepest = analysis.release.undercut.deepest();
    let Some(deepest) = deepest.filter(|deepest| *deepest > least) else {
        return (least, false);
    };
    notes.push(format!(
        "what is trapped by up to {deepest:.2} mm is stripped off (--strip); the mold has undercuts there that only a T-slot cutter or an insert forms"
    ));
    (deepest, true)
}
