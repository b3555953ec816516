//! Trapped places as causes: holes across the pull that are drilled in one go, hooks that are
//! alike.

use super::{Family, alike, count};
use crate::analysis::Analysis;
use crate::findings::Kind;
use crate::findings::release::undercut_severity;
use crate::findings::release_remedies::{self, SHALLOW_MM};
use crate::part::remedies::Remedy;
use crate::units::format::{ascii_direction, three_digits};

/// What is trapped by less than this share of the deepest is no hole of its own.
const SLIVER: f64 = 0.3;

/// One cause as the geometry has it: regions that one change frees.
struct Trapped {
    /// Indices of its regions, the deepest first.
    regions: Vec<usize>,
    /// Depth of the deepest, mm; 0 where nothing frees it.
    depth: f64,
    /// Diameter of the hole that it is, mm; 0 where it is none.
    hole: f64,
}

pub(super) fn families(analysis: &Analysis, most: usize) -> Vec<Family> {
    let release = &analysis.release;
    let all = release.causes.iter().map(|regions| {
        let depth = regions.first().and_then(|&it| release.undercut.regions[it].depth);
        let depth = depth.unwrap_or_default();
        Trapped { regions: regions.clone(), depth, hole: hole(analysis, regions) }
    });
    // Depths are those of samples: half as deep again may be the same.
    let families = alike(all.collect(), most, |it| [it.depth.cbrt(), it.hole, 1.0]);
    families.iter().map(|members| family(analysis, members)).collect()
}

/// Diameter of the hole that all of `regions` are, or 0.
fn hole(analysis: &Analysis, regions: &[usize]) -> f64 {
    let diameter = |&region: &usize| {
        let ways = analysis.release.remedies.get(region)?.iter();
        ways.into_iter().find_map(|way| match way {
            Remedy::Drill { diameter, .. } => Some(*diameter),
            _ => None,
        })
    };
    let all: Option<Vec<f64>> = regions.iter().map(diameter).collect();
    all.unwrap_or_default().into_iter().fold(0.0, f64::max)
}

fn family(analysis: &Analysis, members: &[Trapped]) -> Family {
    let regions: Vec<usize> =
        members.iter().flat_map(|it| it.regions.iter().copied()).collect();
    let deepest = members.iter().map(|it| it.depth).fold(0.0, f64::max);
    let hole = members.iter().map(|it| it.hole).fold(f64::INFINITY, f64::min);
    let trapped = match deepest > 0.0 {
        true => format!("trapped up to {} mm deep", three_digits(deepest)),
        false => "trapped on every side".to_owned(),
    };
    let title = if hole > 0.0 {
        let holes = count(holes(analysis, &regions, deepest), "hole", "holes");
        format!("{holes} of {} mm across the pull, {trapped}", three_digits(hole))
    } else {
        format!("{}, {trapped}", count(regions.len(), "undercut", "undercuts"))
    };
    let place = |&region: &usize| analysis.release.undercut.regions[region].at;
    Family {
        kind: Kind::Undercut,
        severity: undercut_severity(analysis, &regions),
        title,
        change: change(analysis, &regions, hole),
        effect: None,
        places: regions.iter().map(place).collect(),
    }
}

/// How many of `regions` are holes, and not slivers beside one.
fn holes(analysis: &Analysis, regions: &[usize], deepest: f64) -> usize {
    let depth = |&region: &usize| {
        analysis.release.undercut.regions[region].depth.unwrap_or_default()
    };
    let deep = regions.iter().filter(|region| depth(region) >= SLIVER * deepest);
    deep.count().max(1)
}

/// The first way out that frees the worst of them. A drilled hole is the usual way of a small
/// shop.
fn change(analysis: &Analysis, regions: &[usize], hole: f64) -> String {
    let Some(&worst) = regions.first() else { return String::new() };
    let release = &analysis.release;
    if let Some(free) = release_remedies::free_direction(analysis) {
        let along = ascii_direction(free.vector());
        return format!("Open the mold along {along}, where nothing is trapped");
    }
    let it = if regions.len() == 1 { "the undercut" } else { "the undercuts" };
    let depth = release.undercut.regions[worst].depth;
    if let Some(depth) = depth.filter(|&depth| depth < SHALLOW_MM) {
        let which = count(regions.len(), "overhang", "overhangs");
        let which = which.trim_start_matches("1 ");
        return format!("Take {} mm off the {which}", three_digits(depth));
    }
    if hole > 0.0 {
        let deepest = depth.unwrap_or_default();
        let is_one = holes(analysis, regions, deepest) == 1;
        let which = if is_one { "hole" } else { "holes" };
        let size = three_digits(hole);
        return format!(
            "Leave the {which} out of the mold and drill {size} mm afterward"
        );
    }
    let way = release.remedies.get(worst).and_then(|ways| ways.first());
    match way {
        Some(Remedy::Slot { wall, .. }) => format!(
            "Cut a window through the wall of {} mm behind {it}, so that the other half forms its underside",
            three_digits(*wall)
        ),
        Some(Remedy::Strip { .. }) => format!("Strip {it} off the metal while warm"),
        Some(Remedy::Insert { stroke, .. }) => format!(
            "Form {it} with a hand-loaded insert that slides out {} mm",
            three_digits(*stroke)
        ),
        _ => format!("Redraw {it} so that both halves see it, or divide the part"),
    }
}
