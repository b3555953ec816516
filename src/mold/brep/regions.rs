//! Which facets lie in one plane: grown from the largest facets over their neighbors.

use super::net::Net;
use super::outline;
use crate::geom::{Point, Vector};

/// Corners that lie nearer to a plane lie in it, mm, and a step of single precision more.
const IN_PLANE_MM: f64 = 8e-6;

/// A plane is fitted to the facets that it found up to so often.
const FITS: usize = 3;

/// Facets whose heights are less say nothing about their plane, mm.
const FLAT_MM: f64 = 5e-5;

/// Facets in one plane lean against it by less: cosine of 25°.
const ALONG: f64 = 0.9;

/// Neighbors that face each other so are a fold: cosine of 179.2°.
const FOLDED: f64 = -0.9999;

/// A facet that belongs to none yet.
pub(super) const NONE: u32 = u32::MAX;

/// Facets that make one face, by the name of their region.
pub(super) struct Regions {
    /// The region of each facet, or [`NONE`].
    pub(super) of: Vec<u32>,
    /// The plane of each region; `None` for a round wall.
    pub(super) planes: Vec<Option<Plane>>,
}

/// A plane.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plane {
    /// On it.
    pub(super) at: Point,
    /// Across it, out of the solid.
    pub(super) normal: Vector,
}

impl Regions {
    /// No facet in any.
    pub(super) fn none(net: &Net) -> Self {
        Self { of: vec![NONE; net.facets.len()], planes: Vec::new() }
    }

    /// A new region of `facets`.
    pub(super) fn add(&mut self, facets: &[u32], plane: Option<Plane>) -> u32 {
        let name = self.planes.len() as u32;
        self.planes.push(plane);
        for &facet in facets {
            self.of[facet as usize] = name;
        }
        name
    }

    /// Gives every facet that has none a plane.
    pub(super) fn grow(&mut self, net: &Net) {
        let farthest =
            net.points.iter().map(|point| point.coords.amax()).fold(0.0, f64::max);
        // Corners come from single precision.
        let slack = IN_PLANE_MM + farthest * f64::from(f32::EPSILON);
        self.part_folds(net);
        let size = |facet: u32| net.across(facet as usize).norm();
        let open = |it: &u32| self.of[*it as usize] == NONE;
        let mut seeds: Vec<(f64, u32)> = (0..net.facets.len() as u32)
            .filter(open)
            .map(|facet| (size(facet), facet))
            .collect();
        seeds.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        for (_, seed) in seeds {
            if self.of[seed as usize] != NONE {
                continue;
            }
            let across = net.across(seed as usize);
            let Some(normal) = across.try_normalize(f64::MIN_POSITIVE) else {
                self.join_neighbor(net, seed);
                continue;
            };
            let mut plane = Plane { at: net.corners(seed as usize)[0], normal };
            let mut grown = self.grown(net, seed, &plane, slack);
            // Over a wide face the plane of one facet tilts too far.
            for _ in 0..FITS {
                plane = fitted(net, &grown, &plane);
                let count = grown.len();
                for facet in grown {
                    self.of[facet as usize] = NONE;
                }
                self.planes.pop();
                grown = self.grown(net, seed, &plane, slack);
                if grown.len() == count {
                    break;
                }
            }
            if has_one_outline(net, &grown, &plane) {
                continue;
            }
            // Not one clear outline: each facet for itself.
            for facet in grown {
                let across = net.across(facet as usize);
                let own = across.try_normalize(f64::MIN_POSITIVE).unwrap_or(normal);
                let at = net.corners(facet as usize)[0];
                self.add(&[facet], Some(Plane { at, normal: own }));
            }
        }
    }

    /// Where the surface is folded onto itself, which files of parts hold, a face would overlap
    /// itself: facets on both sides of such a fold stay for themselves.
    fn part_folds(&mut self, net: &Net) {
        for edge in net.half_edges() {
            let sides = [edge / 3, net.twin(edge) / 3];
            let [a, b] = sides.map(|facet| net.across(facet as usize));
            let sizes = a.norm() * b.norm();
            if sizes <= 0.0 || a.dot(&b) > FOLDED * sizes {
                continue;
            }
            for (facet, across) in sides.into_iter().zip([a, b]) {
                if self.of[facet as usize] == NONE {
                    let at = net.corners(facet as usize)[0];
                    self.add(&[facet], Some(Plane { at, normal: across.normalize() }));
                }
            }
        }
    }

    fn grown(&mut self, net: &Net, seed: u32, plane: &Plane, slack: f64) -> Vec<u32> {
        let name = self.add(&[seed], Some(*plane));
        let mut facets = vec![seed];
        let mut at = 0;
        while let Some(&facet) = facets.get(at) {
            at += 1;
            for edge in 3 * facet..3 * facet + 3 {
                let beyond = net.twin(edge) / 3;
                if self.of[beyond as usize] == NONE && lies_in(net, beyond, plane, slack)
                {
                    self.of[beyond as usize] = name;
                    facets.push(beyond);
                }
            }
        }
        facets
    }

    /// A facet without area goes to the region over its longest edge.
    fn join_neighbor(&mut self, net: &Net, facet: u32) {
        let length = |edge: u32| (net.at(net.to(edge)) - net.at(net.from(edge))).norm();
        let mut edges = [3 * facet, 3 * facet + 1, 3 * facet + 2];
        edges.sort_by(|a, b| length(*b).total_cmp(&length(*a)));
        let beyond = edges.map(|edge| self.of[(net.twin(edge) / 3) as usize]);
        let plane =
            |name: &&u32| **name != NONE && self.planes[**name as usize].is_some();
        if let Some(name) = beyond.iter().find(plane) {
            self.of[facet as usize] = *name;
        } else {
            let plane = Plane { at: net.corners(facet as usize)[0], normal: Vector::z() };
            self.add(&[facet], Some(plane));
        }
    }
}

/// The plane through the middle of `facets`, across their mean normal.
fn fitted(net: &Net, facets: &[u32], from: &Plane) -> Plane {
    let mut across = Vector::zeros();
    let mut middle = Vector::zeros();
    let mut whole = 0.0;
    for &facet in facets {
        let own = net.across(facet as usize);
        let area = own.norm();
        let corners = net.corners(facet as usize);
        let off = corners.iter().map(|it| it - from.at).sum::<Vector>() / 3.0;
        across += own;
        middle += off * area;
        whole += area;
    }
    let normal = across.try_normalize(f64::MIN_POSITIVE).unwrap_or(from.normal);
    // What lies along an axis stays so to the last digit.
    let normal = if (normal - from.normal).amax() < 1e-12 { from.normal } else { normal };
    let at = if whole > 0.0 { from.at + middle / whole } else { from.at };
    Plane { at, normal }
}

fn lies_in(net: &Net, facet: u32, plane: &Plane, slack: f64) -> bool {
    let corners = net.corners(facet as usize);
    if corners.iter().any(|it| (it - plane.at).dot(&plane.normal).abs() > slack) {
        return false;
    }
    let [a, b, c] = corners;
    let across = (b - a).cross(&(c - a));
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    let twice = across.norm();
    twice < FLAT_MM * longest || across.dot(&plane.normal) > ALONG * twice
}

/// Whether one loop runs around all, and every other around a hole.
fn has_one_outline(net: &Net, facets: &[u32], plane: &Plane) -> bool {
    if facets.len() == 1 {
        return true;
    }
    let mut own: Vec<u32> = facets.to_vec();
    own.sort_unstable();
    let loops = net.loops_around(&own, &|facet| own.binary_search(&facet).is_ok());
    let outer = loops.iter().filter(|it| area(net, it, plane) > 0.0).count();
    outer == 1 && outline::is_simple(net, &loops, &plane.normal)
}

/// Area inside a loop, positive where it runs counter-clockwise about the normal of `plane`.
pub(super) fn area(net: &Net, edges: &[u32], plane: &Plane) -> f64 {
    let off = |corner: u32| net.at(corner) - plane.at;
    let twice: Vector =
        edges.iter().map(|&it| off(net.from(it)).cross(&off(net.to(it)))).sum();
    twice.dot(&plane.normal) / 2.0
}
