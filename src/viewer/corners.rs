//! The corners that are drawn: one for each face that meets at a point, so that edges stay
//! sharp and a value never runs from one face into the next.

use std::collections::HashMap;

use rayon::prelude::*;

use crate::analysis::Analysis;
use crate::draw::color_scales::Colorings;
use crate::draw::palette::Kind;
use crate::draw::problems::Problem;
use crate::geom::{Point, Vector};
use crate::mesh::sample_grid::SampleGrid;
use crate::part::halves::Half;
use crate::viewer::refine::Pieces;

/// An edge between two faces is drawn where they turn by more than this: cosine of 20°.
pub(crate) const SHARP_COS: f64 = 0.94;

/// What is known at one corner.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Corner {
    /// Where, mm.
    pub(crate) at: Point,
    /// Outward unit normal of the face there.
    pub(crate) normal: Vector,
    /// The face, as in the list of faces.
    pub(crate) face: u32,
    /// The half that forms it.
    pub(crate) half: Half,
    /// Thickness along the inward normal (mm), by ball (mm), draft (degrees), and when the
    /// front comes by (s).
    pub(crate) values: [Option<f64>; 4],
    /// How it leaves the mold or what it forms, by its place among the kinds of the scene.
    pub(crate) kind: Option<u8>,
    /// What is wrong there.
    pub(crate) problem: Option<Problem>,
}

/// What is drawn.
#[derive(Clone, Debug, Default)]
pub(crate) struct Surface {
    /// Its corners.
    pub(crate) corners: Vec<Corner>,
    /// Its facets.
    pub(crate) facets: Vec<[u32; 3]>,
    /// Its sharp edges.
    pub(crate) edges: Vec<[u32; 2]>,
}

/// A corner while its facets are counted.
struct Open {
    at: Point,
    normal: Vector,
    face: u32,
    half: Half,
    draft: f64,
    area: f64,
    point: u32,
}

/// The surface of `pieces`, which are pieces of the skins of `analysis`; a ball at one of
/// `known` points is as given.
pub(crate) fn collect(
    analysis: &Analysis,
    fields: &Colorings,
    pieces: &Pieces,
    known: &[(u32, f64)],
) -> Surface {
    let skins = &analysis.release.skins;
    let mut homes: HashMap<(u32, u32, bool), u32> = HashMap::new();
    // Little more than one a point: on a fine mesh few lie where faces meet.
    let mut open: Vec<Open> =
        Vec::with_capacity(pieces.points.len() + pieces.points.len() / 16);
    let mut facets = Vec::with_capacity(pieces.facets.len());
    for (facet, &skin) in pieces.facets.iter().zip(&pieces.origins) {
        let half = skins.halves[skin as usize];
        let origin = skins.origins[skin as usize] as usize;
        let face = analysis.part.faces.of_facet[origin];
        let [a, b, c] = facet.map(|corner| pieces.points[corner as usize]);
        let across = (b - a).cross(&(c - a));
        // The part's own facet knows its normal better than a sliver of it.
        let normal = analysis.part.mesh.normals()[origin];
        let area = across.norm();
        facets.push(facet.map(|point| {
            let key = (point, face, half == Half::Plus);
            let corner = *homes.entry(key).or_insert_with(|| {
                let at = pieces.points[point as usize];
                let normal = Vector::zeros();
                open.push(Open { at, normal, face, half, draft: 0.0, area: 0.0, point });
                open.len() as u32 - 1
            });
            let it = &mut open[corner as usize];
            it.normal += normal * area;
            it.draft += fields.drafts[origin].unwrap_or_default() * area;
            it.area += area;
            corner
        }));
    }
    drop(homes);
    let known: HashMap<u32, f64> = known.iter().copied().collect();
    let corners = close(analysis, fields, &open, &known);
    drop(open);
    let edges = edges(pieces, &facets, &corners);
    Surface { corners, facets, edges }
}

/// The values of each corner: those of the nearest sample that faces the same way.
fn close(
    analysis: &Analysis,
    fields: &Colorings,
    open: &[Open],
    known: &HashMap<u32, f64>,
) -> Vec<Corner> {
    let samples = &analysis.part.samples;
    let grid = SampleGrid::new(samples, 2.0 * samples.spacing());
    let rays = &analysis.walls.thickness.ray;
    let at = |values: &[Option<f64>], sample: Option<usize>| {
        sample.and_then(|sample| values.get(sample).copied().flatten())
    };
    open.par_iter()
        .map(|it| {
            let normal = it.normal.try_normalize(0.0).unwrap_or_else(Vector::z);
            let near = grid.nearest_facing(&it.at, &normal);
            let ball = known.get(&it.point).copied().or_else(|| at(&fields.balls, near));
            // On the rim of a wall a ray runs along it and says nothing about its thickness.
            let is_rim =
                near.is_some_and(|it| analysis.walls.thickness.ball[it].is_none());
            let ray = if is_rim { None } else { at(rays, near) };
            let draft = (it.area > 0.0).then(|| it.draft / it.area);
            Corner {
                at: it.at,
                normal,
                face: it.face,
                half: it.half,
                values: [ray, ball, draft, at(&fields.arrivals, near)],
                kind: near.and_then(|sample| fields.kinds[sample]).and_then(kind_code),
                problem: near.and_then(|sample| fields.problems[sample]),
            }
        })
        .collect()
}

fn kind_code(kind: Kind) -> Option<u8> {
    Kind::ALL.iter().position(|&each| each == kind).map(|code| code as u8)
}

/// Edges where faces meet at an angle, each once.
fn edges(pieces: &Pieces, facets: &[[u32; 3]], corners: &[Corner]) -> Vec<[u32; 2]> {
    let mut seen: HashMap<[u32; 2], [u32; 2]> = HashMap::new();
    let mut edges = Vec::new();
    for (shared, own) in pieces.facets.iter().zip(facets) {
        for side in 0..3 {
            let next = (side + 1) % 3;
            let [a, b] = [shared[side], shared[next]];
            let ours = [own[side], own[next]];
            // Of an edge that both its facets have named nothing more is held.
            let edge = [a.min(b), a.max(b)];
            let Some(other) = seen.remove(&edge) else {
                seen.insert(edge, ours);
                continue;
            };
            let normal = |corner: u32| corners[corner as usize].normal;
            let turns = normal(ours[0]).dot(&normal(other[1])) < SHARP_COS
                || normal(ours[1]).dot(&normal(other[0])) < SHARP_COS;
            if turns {
                edges.push(ours);
            }
        }
    }
    edges
}
