//! What can be done about a trapped place, in words.

use crate::analysis::Analysis;
use crate::geom::Direction;
use crate::part::pull::Scored;
use crate::part::remedies::Remedy;
use crate::part::undercut::{self, Trapped};
use crate::process::part_limits;
use crate::process::plastic::Plastic;
use crate::units::format::{ascii_direction, ascii_point, three_digits};

/// What is trapped by less than this needs no loose piece: a touch of redrawing frees it.
pub(super) const SHALLOW_MM: f64 = 0.5;

/// Depth from which on something is trapped: the chord error of the mesh, and not less
/// than what a mill leaves.
pub fn least_depth(analysis: &Analysis) -> f64 {
    undercut::least_depth(analysis.part.faces.chord_error)
}

/// Whether `region` is deeper than the noise.
pub fn is_real(analysis: &Analysis, region: &Trapped) -> bool {
    region.is_real(analysis.part.faces.chord_error)
}

/// Whether nothing is trapped along a direction by more than the noise.
pub(super) fn is_free(analysis: &Analysis, along: &Scored) -> bool {
    along.trapped_depth.is_some_and(|depth| depth <= least_depth(analysis))
        || along.trapped_area <= 0.0
}

/// Another way to open the mold, along which nothing is trapped.
pub(super) fn free_direction(analysis: &Analysis) -> Option<Direction> {
    let free = analysis.release.alternatives.iter().find(|it| is_free(analysis, it));
    free.map(|it| it.direction)
}

/// Ways out for trapped region `rank`, cheapest first; each is checked on the geometry.
///
/// A moved or stepped parting is none of them: see [`crate::part::remedies`].
pub fn remedies(analysis: &Analysis, rank: usize) -> Vec<String> {
    let mut ways = Vec::new();
    if let Some(free) = free_direction(analysis) {
        let along = ascii_direction(free.vector());
        ways.push(format!("open along {along}: nothing is trapped"));
    }
    let region = analysis.release.undercut.regions.get(rank);
    let shallow = region.and_then(|it| it.depth).filter(|&depth| depth < SHALLOW_MM);
    if let Some(depth) = shallow {
        ways.push(format!(
            "redraw it: {} mm less overhang frees it",
            three_digits(depth)
        ));
    }
    let checked = analysis.release.remedies.get(rank).into_iter().flatten();
    let checked = checked.filter(|way| {
        shallow.is_none() || !matches!(way, Remedy::Insert { .. } | Remedy::Slot { .. })
    });
    ways.extend(checked.filter_map(|way| worded(way, &analysis.setup.plastic)));
    if ways.is_empty() {
        ways.push("redraw it so that both halves see it, or divide the part".to_owned());
    }
    ways
}

/// A remedy in words; `None` where the plastic does not withstand it.
fn worded(way: &Remedy, plastic: &Plastic) -> Option<String> {
    Some(match *way {
        Remedy::Slot { toward, at, area, wall } => format!(
            "a pass-through slot: open the wall at {}, {} mm thick, over {} mm², so that the half that leaves along {} reaches in",
            ascii_point(at),
            three_digits(wall),
            three_digits(area),
            ascii_direction(toward.vector())
        ),
        Remedy::Drill { axis, diameter, length, through } => format!(
            "mold it solid and drill it afterwards: {} mm across, {} mm {} along {}",
            three_digits(diameter),
            three_digits(length),
            if through { "through" } else { "deep" },
            ascii_direction(axis.vector())
        ),
        Remedy::Strip { depth, radius, strain, .. } => {
            strip(depth, radius, strain, plastic)?
        }
        Remedy::Insert { way, stroke } => format!(
            "a hand-loaded insert that leaves along {} after {} mm",
            ascii_direction(way.vector()),
            three_digits(stroke)
        ),
    })
}

/// Stripping off, where the plastic has a strain for it and this is no more.
fn strip(depth: f64, radius: f64, strain: f64, plastic: &Plastic) -> Option<String> {
    let range = plastic.strip_strain.value?;
    let [low, high] = [range.low.value, range.high.value];
    if strain > high {
        return None;
    }
    let edge = if strain > low { ", so only just" } else { "" };
    Some(format!(
        "strip it off: {} mm over a radius of {} mm strains {} by {} %; it withstands {} to {} %{edge} {}",
        three_digits(depth),
        three_digits(radius),
        plastic.name,
        three_digits(100.0 * strain),
        three_digits(100.0 * low),
        three_digits(100.0 * high),
        part_limits::basis(&plastic.strip_strain)
    ))
}

/// Whether trapped region `rank` strips off as far as the plastic withstands it.
pub(super) fn strips(analysis: &Analysis, rank: usize) -> bool {
    let plastic = &analysis.setup.plastic;
    analysis.release.remedies.get(rank).into_iter().flatten().any(|way| match *way {
        Remedy::Strip { depth, radius, strain, .. } => {
            strip(depth, radius, strain, plastic).is_some()
        }
        _ => false,
    })
}
