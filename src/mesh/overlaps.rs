//! Solids that overlap or lie inside each other become one: what lies in both is plastic once.
//!
//! Only where they share volume: solids that touch stay apart. Blind to a surface that passes
//! through itself within one body.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::body_repairs::{Bodies, BodyRole};
use super::bvh::Bvh;
use super::facet_repairs::Found;
use super::solid::Solid;
use super::tri_mesh::TriMesh;
use crate::mesh::vertex_weld::Welded;

/// Solids that touch overlap by what rounding makes of it: so many roundings over the surface
/// of the smaller one are no overlap.
const TOUCHING: f64 = 4.0;

/// A solid lies inside another when no more than this share of its volume is outside.
const INSIDE: f64 = 1e-6;

/// What was united.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct United {
    /// Solids that lay inside another.
    pub(super) nested: Found,
    /// Solids that passed through another.
    pub(super) overlapping: Found,
    /// Volume that lay in more than one, each time but the first, mm³.
    pub(super) shared_mm3: f64,
}

/// A solid with the voids in it.
struct Piece {
    bodies: Vec<usize>,
    solid: Solid,
    area: f64,
    is_united: bool,
}

/// Unites what overlaps; `None`, and the mesh as it was, where nothing does or no union comes
/// out closed.
pub(super) fn unite(mesh: &mut Welded, bodies: &Bodies) -> Option<United> {
    let solids = bodies.list.iter().filter(|body| is_solid(body.role)).count();
    if solids < 2 {
        return None;
    }
    let seen = TriMesh::new(mesh.points.clone(), mesh.facets.clone());
    if seen.facets().len() != mesh.facets.len() {
        return None; // Facets without area went before.
    }
    let slack = TOUCHING * seen.rounding();
    let meeting = meeting_bodies(&seen, bodies);
    let mut united = United::default();
    let mut waiting = pieces(mesh, bodies);
    let mut settled: Vec<Piece> = Vec::new();
    while let Some(mut piece) = waiting.pop() {
        let partner = settled.iter().enumerate().find_map(|(index, other)| {
            joined(&piece, other, &meeting, slack).map(|solid| (index, solid))
        });
        let Some((index, solid)) = partner else {
            settled.push(piece);
            continue;
        };
        let other = settled.remove(index);
        let shared = piece.solid.volume() + other.solid.volume() - solid.volume();
        note(&mut united, &piece, &other, shared);
        piece.bodies.extend(other.bodies);
        piece.area += other.area;
        (piece.solid, piece.is_united) = (solid, true);
        waiting.push(piece);
    }
    let any = settled.iter().any(|piece| piece.is_united);
    any.then(|| {
        replace(mesh, bodies, &settled);
        united
    })
}

const fn is_solid(role: BodyRole) -> bool {
    matches!(role, BodyRole::Solid | BodyRole::Nested)
}

/// Every solid with its voids, the last of the file first.
fn pieces(mesh: &Welded, bodies: &Bodies) -> Vec<Piece> {
    let volume = |body: usize| bodies.list[body].volume_mm3.unwrap_or_default();
    let owner = |body: usize| match bodies.list[body].role {
        BodyRole::Void => {
            let around = bodies.around[body].iter().map(|&outer| outer as usize);
            around
                .filter(|&outer| is_solid(bodies.list[outer].role))
                .min_by(|&a, &b| volume(a).total_cmp(&volume(b)))
        }
        role => is_solid(role).then_some(body),
    };
    let owners: Vec<Option<usize>> = (0..bodies.list.len()).map(owner).collect();
    let piece = |own: usize| {
        let facets: Vec<[u32; 3]> = mesh
            .facets
            .iter()
            .zip(&bodies.of_facet)
            .filter(|(_, body)| owners[**body as usize] == Some(own))
            .map(|(facet, _)| *facet)
            .collect();
        let solid = Solid { points: mesh.points.clone(), facets }.without_unused();
        let area = solid.mesh().areas().iter().sum();
        let bodies = (0..owners.len()).filter(|&body| owners[body] == Some(own));
        Piece { bodies: bodies.collect(), solid, area, is_united: false }
    };
    let solids = (0..bodies.list.len()).rev();
    solids.filter(|&body| is_solid(bodies.list[body].role)).map(piece).collect()
}

/// Pairs of bodies, the lower first, of which some facets lie near each other or one lies
/// inside the other.
fn meeting_bodies(mesh: &TriMesh, bodies: &Bodies) -> BTreeSet<[usize; 2]> {
    let pair = |a: u32, b: u32| [a.min(b) as usize, a.max(b) as usize];
    let inside = bodies.around.iter().zip(0_u32..);
    let mut meeting: BTreeSet<[usize; 2]> = inside
        .flat_map(|(around, body)| around.iter().map(move |&outer| pair(outer, body)))
        .collect();
    let body = |facet: u32| bodies.of_facet[facet as usize];
    let near: Vec<[usize; 2]> = Bvh::new(mesh)
        .close_pairs()
        .map(|(a, b)| pair(body(a), body(b)))
        .filter(|[a, b]| a != b)
        .collect();
    meeting.extend(near);
    meeting
}

/// Both in one, where they share more than rounding makes of touching faces.
fn joined(
    one: &Piece,
    other: &Piece,
    meeting: &BTreeSet<[usize; 2]>,
    slack: f64,
) -> Option<Solid> {
    let meets = |a: usize, b: usize| meeting.contains(&[a.min(b), a.max(b)]);
    if !one.bodies.iter().any(|&a| other.bodies.iter().any(|&b| meets(a, b))) {
        return None;
    }
    let both = one.solid.plus(&other.solid).ok()?;
    let volumes = [&one.solid, &other.solid].map(Solid::volume);
    let touching = slack * one.area.min(other.area);
    let shared = volumes[0] + volumes[1] - both.volume();
    let sound = both.open_edges() == 0 && shared <= volumes[0].min(volumes[1]) + touching;
    (sound && shared > touching).then_some(both)
}

/// Counts a union by what it was: one inside the other, or one through the other.
fn note(united: &mut United, one: &Piece, other: &Piece, shared: f64) {
    let [a, b] = [one.solid.bounds(), other.solid.bounds()];
    let at = nalgebra::center(&a.min.sup(&b.min), &a.max.inf(&b.max));
    let smaller = one.solid.volume().min(other.solid.volume());
    let is_nested = shared > smaller * (1.0 - INSIDE);
    let found = if is_nested { &mut united.nested } else { &mut united.overlapping };
    found.add(1, at);
    united.shared_mm3 += shared;
}

/// The mesh with united pieces in place of their bodies.
fn replace(mesh: &mut Welded, bodies: &Bodies, pieces: &[Piece]) {
    let mut is_replaced = vec![false; bodies.list.len()];
    for &body in pieces.iter().filter(|piece| piece.is_united).flat_map(|p| &p.bodies) {
        is_replaced[body] = true;
    }
    let mut of_facet = bodies.of_facet.iter();
    mesh.facets
        .retain(|_| of_facet.next().is_none_or(|&body| !is_replaced[body as usize]));
    for piece in pieces.iter().filter(|piece| piece.is_united) {
        let first = mesh.points.len() as u32;
        mesh.points.extend_from_slice(&piece.solid.points);
        let facets = piece.solid.facets.iter();
        mesh.facets.extend(facets.map(|facet| facet.map(|corner| corner + first)));
    }
}
