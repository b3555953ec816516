//! Blind holes as deep as is given, from the parting face where they stand, and the screws
//! that fit them: on a stepped parting the face is not at one height.

use super::bolt_holes::{self, length_in_words};
use super::layout::{BELOW_THREAD, FLOOR_MM, Layout, Tapped};
use crate::mold::cut_feature::{Cut, Kind};
use crate::mold::primitives;
use crate::part::halves::Half;
use crate::process::clamping::thread::Standard;
use crate::units::in_mm;

/// Thickness of plain washers by thread, mm (ISO 7089, from memory).
const WASHERS_MM: [(f64, f64); 9] = [
    (3.0, 0.5),
    (4.0, 0.8),
    (5.0, 1.0),
    (6.0, 1.6),
    (8.0, 1.6),
    (10.0, 2.0),
    (12.0, 2.5),
    (14.0, 2.5),
    (16.0, 3.0),
];

/// Deepens each blind hole to its depth below the face, which stands at `height` there, and
/// chooses the screws: the shortest of the shelf that holds in the thread as it should.
pub fn settle(layout: &mut Layout, core: Half, height: &dyn Fn([f64; 2]) -> f64) {
    let faces = layout.faces();
    let tapped = layout.tapped.clone();
    let mut screws = Vec::new();
    for cut in &mut layout.cuts {
        let face = height(cut.at);
        let metal = |half: Half| match half {
            Half::Plus => faces[1] - face,
            Half::Minus => face - faces[0],
        };
        match cut.kind {
            Kind::Clearance => cut.depth = metal(cut.half),
            Kind::DowelFast | Kind::DowelSlides => sink(cut, face),
            Kind::Tap => {
                let Some(tapped) = &tapped else { continue };
                screws.extend(tap(cut, tapped, face, [core.other(), core].map(metal)));
            }
            _ => {}
        }
    }
    screws.sort_by(f64::total_cmp);
    layout.screws = screws;
}

/// Ends the hole `cut.depth` below a face at this height.
fn sink(cut: &mut Cut, face: f64) {
    let bounds = cut.solid.bounds();
    let span = match cut.half {
        Half::Plus => [bounds.min.z, face + cut.depth],
        Half::Minus => [face - cut.depth, bounds.max.z],
    };
    cut.solid = primitives::round(cut.at, cut.width, span);
}

/// A thread for the shortest screw that goes through the plate above, `metal[0]` thick, and
/// holds in this one, `metal[1]` thick; its length.
fn tap(cut: &mut Cut, tapped: &Tapped, face: f64, metal: [f64; 2]) -> Option<f64> {
    let [diameter, pitch] = [tapped.thread.diameter, tapped.thread.pitch].map(in_mm);
    let washer = WASHERS_MM.iter().find(|(own, _)| *own >= diameter - 1e-9);
    let above = metal[0] + washer.map_or(3.0, |(_, thick)| *thick);
    let lengths = bolt_holes::lengths(&tapped.thread);
    let screw = lengths.into_iter().find(|it| *it >= above + tapped.hold);
    let held = screw.map_or(tapped.hold, |screw| screw - above);
    // To the next 32nd in inches, as the depth is measured.
    let standard = tapped.thread.standard;
    let step = if standard == Standard::Iso { 1.0 } else { 25.4 / 32.0 };
    let thread = ((held + pitch) / step).ceil() * step;
    cut.depth = thread + BELOW_THREAD * pitch;
    cut.through = cut.depth + FLOOR_MM > metal[1];
    if cut.through {
        cut.depth = metal[1];
    }
    let deep = || format!("{} deep", length_in_words(standard, thread));
    cut.note = format!(
        "drill {}, tap {} {}",
        bolt_holes::holes(&tapped.thread).tap.name,
        tapped.thread.name(),
        if cut.through { "through".to_owned() } else { deep() }
    );
    sink(cut, face);
    screw
}
