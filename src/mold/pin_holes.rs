//! The holes of the ejector pins: reamed to a fit by the cavity, wider behind it.

use super::layout::Layout;
use crate::geom::Point;
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::primitives;
use crate::part::halves::Half;

/// An ejector pin is guided over so much of its hole, mm: 8 to 12 (common practice); a longer
/// fit jams.
const PIN_FIT_MM: f64 = 10.0;
/// The rest of its hole is wider by this, mm (common practice: 0.5 to 1).
const PIN_RELIEF_MM: f64 = 0.5;

/// Adds a pin of `diameter` mm to the half `core` at each of `places`, given with the thickness of
/// the part behind it.
pub(super) fn add(
    layout: &mut Layout,
    core: Half,
    diameter: f64,
    places: &[(Point, f64)],
) {
    let [low, high] = layout.faces();
    for (at, wall) in places {
        // Into the plastic, so that the hole surely opens into the cavity.
        let into = (0.3 * wall).min(0.5);
        let z = if core == Half::Plus { [at.z - into, high] } else { [low, at.z + into] };
        let flat = [at.x, at.y];
        let solid = primitives::round(flat, diameter, z);
        let depth = z[1] - z[0] - into;
        let cut = Cut::new(Kind::Pin, core, flat, solid).sized(diameter, depth);
        let relieved = depth - PIN_FIT_MM;
        let is_relieved = relieved > PIN_FIT_MM / 2.0;
        let text = if is_relieved {
            format!("ream {diameter:.1} H7, {PIN_FIT_MM} mm deep from the cavity")
        } else {
            format!("ream {diameter:.1} H7")
        };
        layout.cuts.push(cut.through().noted(text));
        if is_relieved {
            let wide = diameter + PIN_RELIEF_MM;
            let z = if core == Half::Plus {
                [high - relieved, high]
            } else {
                [low, low + relieved]
            };
            let solid = primitives::round(flat, wide, z);
            let cut = Cut::new(Kind::PinRelief, core, flat, solid);
            layout
                .cuts
                .push(cut.sized(wide, relieved).noted("from the outer face, drilled"));
        }
        layout.parting_face.take(flat, diameter / 2.0);
    }
}
