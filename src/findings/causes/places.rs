//! Lumps, metal that cutters leave and shut-in air as causes.

use super::{Family, alike, count};
use crate::analysis::Analysis;
use crate::findings::effect::Effect;
use crate::findings::milling;
use crate::findings::walls::{tenth, thick_severity};
use crate::findings::{Kind, Severity};
use crate::mesh::disjoint_sets::DisjointSets;
use crate::mold::milling::outcome::Unreached;
use crate::part::surface_statistics::Extreme;
use crate::units::format::three_digits;
use crate::units::in_mm;

/// Where it does not matter in which half.
const BOTH: &str = "both";

/// Thick places within so many of their thickness are one lump.
const NEAR: f64 = 1.0;

/// Lumps, those of one thickness together.
pub(super) fn thick(analysis: &Analysis, most: usize) -> Vec<Family> {
    let Ok(limits) = &analysis.walls.limits else { return Vec::new() };
    let high = in_mm(limits.high);
    let lumps = lumps(&analysis.walls.thick);
    // One change for all of them: walls of one thickness.
    let which = if lumps.len() == 1 { "section" } else { "sections" };
    let families = alike(lumps, most, |lump| [greatest(lump), 1.0, 1.0]);
    let family = |lumps: &Vec<Vec<&Extreme>>| {
        let thickest = lumps.iter().map(|lump| greatest(lump)).fold(0.0, f64::max);
        Family {
            kind: Kind::ThickWall,
            severity: thick_severity(thickest, high),
            title: format!(
                "{}, up to {} mm",
                count(lumps.len(), "thick section", "thick sections"),
                tenth(thickest)
            ),
            change: format!(
                "Core the thick {which} out to walls of {} mm",
                three_digits(high)
            ),
            effect: Some(Effect::MostWall(high)),
            places: lumps.iter().flatten().map(|place| place.at).collect(),
        }
    };
    families.iter().map(family).collect()
}

/// Walls below the least of the table, as one; none where the filling says what they do.
pub(super) fn thin(analysis: &Analysis) -> Vec<Family> {
    let (Ok(limits), thin) = (&analysis.walls.limits, &analysis.walls.thin) else {
        return Vec::new();
    };
    let least = thin.iter().map(|place| place.value).fold(f64::INFINITY, f64::min);
    if analysis.filling.is_ok() || thin.is_empty() {
        return Vec::new();
    }
    let low = three_digits(in_mm(limits.low));
    vec![Family {
        kind: Kind::ThinWall,
        severity: Severity::Note,
        title: format!(
            "{} thinner than {low} mm, down to {} mm",
            count(thin.len(), "place", "places"),
            tenth(least)
        ),
        change: format!("Raise the thin walls to {low} mm"),
        effect: None,
        places: thin.iter().map(|place| place.at).collect(),
    }]
}

fn greatest(lump: &[&Extreme]) -> f64 {
    lump.iter().map(|place| place.value).fold(0.0, f64::max)
}

/// Places near each other, in the order of their thickest.
fn lumps(places: &[Extreme]) -> Vec<Vec<&Extreme>> {
    let mut sets = DisjointSets::new(places.len());
    for (one, a) in places.iter().enumerate() {
        for (other, b) in places[..one].iter().enumerate() {
            let gap = a.region.bounds.gap(&b.region.bounds);
            if gap <= NEAR * a.value.max(b.value) {
                sets.join(one, other);
            }
        }
    }
    let groups = sets.groups().into_iter();
    groups.map(|group| group.into_iter().map(|index| &places[index]).collect()).collect()
}

/// Metal that no cutter reaches: deep places of each half, and inside corners of both.
pub(super) fn metal(analysis: &Analysis, most: usize) -> Vec<Family> {
    let Ok(cutting) = &analysis.cutting else { return Vec::new() };
    let inside = cutting.milled.unreached.iter().filter(|it| !it.on_parting);
    let mut groups: Vec<(Option<&str>, Vec<&Unreached>)> = Vec::new();
    for place in inside {
        let is_corner = most > 0 && milling::is_corner(cutting, place);
        let half = if most > 1 { place.half.sign() } else { BOTH };
        let key = (!is_corner).then_some(half);
        match groups.iter_mut().find(|group| group.0 == key) {
            Some(group) => group.1.push(place),
            None => groups.push((key, vec![place])),
        }
    }
    let family = |(half, places): (Option<&str>, Vec<&Unreached>)| {
        let worst = *places.first()?;
        let thickest = places.iter().map(|it| it.left).fold(0.0, f64::max);
        let radius = places.iter().map(|it| it.radius).fold(0.0, f64::max);
        let title = match half {
            Some(half) => {
                let of = if half == BOTH {
                    String::new()
                } else {
                    format!(" of the {half} half")
                };
                format!(
                    "Cutters leave up to {} mm of metal in {}{of}",
                    three_digits(thickest),
                    count(places.len(), "place", "places")
                )
            }
            None => format!(
                "{} a radius of up to {} mm from the cutter",
                count(places.len(), "edge gets", "edges get"),
                three_digits(radius)
            ),
        };
        Some(Family {
            kind: Kind::MetalLeft,
            severity: milling::left_severity(thickest),
            title,
            change: milling::short_cure(cutting, worst, half.is_none()),
            effect: None,
            places: places.iter().map(|it| it.at).collect(),
        })
    };
    groups.into_iter().filter_map(family).collect()
}
