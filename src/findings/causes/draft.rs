//! Faces short of draft as causes: walls by both their sides, bores, and what is left.

use super::{Family, alike, count};
use crate::analysis::Analysis;
use crate::findings::release::{draft_severity, short_faces};
use crate::findings::{Kind, Severity};
use crate::geom::{Direction, Point};
use crate::part::draft::FaceDraft;
use crate::part::faces::Surface;
use crate::part::holes;
use crate::units::format::three_digits;

/// A wall is no thicker than this share of its height.
const THIN: f64 = 0.67;

/// What designers draft in one go.
#[derive(Clone, Copy, PartialEq)]
enum Shape {
    /// A round hole along the pull, of this diameter, mm.
    Bore(f64),
    /// A wall so thick, mm.
    Wall(f64),
    /// Any other face.
    Face,
}

/// One wall, bore or face.
struct Steep<'a> {
    shape: Shape,
    /// Both sides of a wall, else one face; the worst first.
    faces: Vec<&'a FaceDraft>,
}

pub(super) fn families(analysis: &Analysis, most: usize) -> Vec<Family> {
    let short = short_faces(analysis);
    let (mut named, mut other): (Vec<_>, Vec<_>) =
        steep(analysis, &short).into_iter().partition(|it| it.shape != Shape::Face);
    named.sort_by_key(|it| severity(&it.faces));
    let mut families = alike(named, most, |it| {
        let size = match it.shape {
            Shape::Bore(diameter) => [diameter, 0.0],
            Shape::Wall(thickness) => [0.0, thickness],
            Shape::Face => [0.0; 2],
        };
        let height = it.faces.iter().map(|face| face.height).fold(0.0, f64::max);
        [size[0], size[1], height]
    });
    // Families that did not get a name of their own join the plain faces.
    if families.len() > most {
        let rest = families.split_off(most);
        other.extend(rest.into_iter().flatten());
    }
    if !other.is_empty() {
        families.push(other);
    }
    families.iter().map(|members| family(members)).collect()
}

/// Walls from pairs of faces, bores, and the other faces.
fn steep<'a>(analysis: &Analysis, short: &[&'a FaceDraft]) -> Vec<Steep<'a>> {
    let mut paired = vec![false; short.len()];
    let mut all = Vec::new();
    for (index, face) in short.iter().enumerate() {
        if paired[index] {
            continue;
        }
        paired[index] = true;
        if let Some(diameter) = bore(analysis, face) {
            all.push(Steep { shape: Shape::Bore(diameter), faces: vec![face] });
            continue;
        }
        let behind = behind(analysis, face);
        let other = behind.and_then(|(opposite, thickness)| {
            let is_other = |&at: &usize| !paired[at] && short[at].face == opposite;
            let at = (0..short.len()).find(is_other)?;
            let height = face.height.min(short[at].height);
            (thickness <= THIN * height).then_some((at, thickness))
        });
        match other {
            Some((at, thickness)) => {
                paired[at] = true;
                let faces = vec![*face, short[at]];
                all.push(Steep { shape: Shape::Wall(thickness), faces });
            }
            None => all.push(Steep { shape: Shape::Face, faces: vec![face] }),
        }
    }
    all
}

/// The flat face on the other side of the plastic behind a flat face, and how far it is, mm.
fn behind(analysis: &Analysis, face: &FaceDraft) -> Option<(usize, f64)> {
    let part = &analysis.part;
    let Surface::Plane(normal) = part.faces.list[face.face].surface else { return None };
    let inward = Direction::new(-normal.vector())?;
    let start: Point = face.at + inward.vector() * 1e-6 * part.bvh.diagonal();
    let hit = part.bvh.first_hit(&start, inward, 1e-6 * part.bvh.diagonal())?;
    let other = part.faces.of_facet[hit.facet as usize] as usize;
    let is_flat = matches!(part.faces.list[other].surface, Surface::Plane(_));
    is_flat.then_some((other, hit.distance))
}

/// Diameter of the round hole that a face is, mm.
fn bore(analysis: &Analysis, face: &FaceDraft) -> Option<f64> {
    holes::diameter(&analysis.part.mesh, &analysis.part.faces.list[face.face])
}

fn severity(faces: &[&FaceDraft]) -> Severity {
    let each = faces.iter().map(|face| draft_severity(face));
    each.min().unwrap_or(Severity::Note)
}

fn family(members: &[Steep<'_>]) -> Family {
    let faces: Vec<&FaceDraft> =
        members.iter().flat_map(|it| it.faces.iter().copied()).collect();
    let height = faces.iter().map(|face| face.height).fold(0.0, f64::max);
    let [least, most] = faces.iter().fold([f64::INFINITY, 0.0_f64], |span, face| {
        [span[0].min(face.draft_deg), span[1].max(face.draft_deg)]
    });
    let asked = faces.iter().map(|face| face.required_deg).fold(0.0, f64::max);
    let alike = members.first().filter(|first| {
        let kind = std::mem::discriminant(&first.shape);
        members.iter().all(|it| std::mem::discriminant(&it.shape) == kind)
    });
    let (number, shape) = (members.len(), alike.map(|it| it.shape));
    let what = match shape {
        Some(Shape::Bore(diameter)) => {
            format!("{} of {} mm", count(number, "bore", "bores"), three_digits(diameter))
        }
        Some(Shape::Wall(thickness)) => {
            format!(
                "{} of {} mm",
                count(number, "wall", "walls"),
                three_digits(thickness)
            )
        }
        _ => count(faces.len(), "face", "faces"),
    };
    let [least, most] = [least, most].map(tenths);
    let has = if least == most { least } else { format!("{least} to {most}") };
    let each = what.trim_start_matches("1 ");
    let sides = if matches!(shape, Some(Shape::Wall(_))) { " on each side" } else { "" };
    Family {
        kind: Kind::Draft,
        severity: severity(&faces),
        title: format!(
            "{what}, up to {} mm tall, with {has}° of draft",
            three_digits(height)
        ),
        change: format!("Draft the {each} to {}°{sides}", tenths(asked)),
        effect: None,
        places: faces.iter().map(|face| face.at).collect(),
    }
}

/// Drawings draft in tenths of a degree.
fn tenths(degrees: f64) -> String {
    let rounded = (degrees * 10.0).round() / 10.0 + 0.0;
    format!("{rounded}")
}
