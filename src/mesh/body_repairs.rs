//! Bodies: which are closed, which way they look, which lie inside which.

use super::facet_repairs::Found;
use super::nesting;
use super::topology::{self, Edges};
use crate::geom::{Aabb, Point, Vector};
use crate::mesh::vertex_weld::Welded;

/// What a body is to the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BodyRole {
    /// Plastic.
    Solid,
    /// A closed hollow inside a solid.
    Void,
    /// A solid inside a solid that could not be united with it: its volume counts twice.
    Nested,
    /// A surface with openings, which encloses nothing.
    Open,
}

/// Facets that hang together over edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// How many facets.
    pub facets: usize,
    /// What it is to the part.
    pub role: BodyRole,
    /// Enclosed volume, negative for a void; `None` for an open surface. mm³.
    pub volume_mm3: Option<f64>,
    /// The box around it.
    pub bounds: Aabb,
}

/// The bodies of a mesh after [`turn_inside_out`].
pub(super) struct Bodies {
    pub(super) list: Vec<Body>,
    /// Bodies that were turned by themselves, not with a body around them.
    pub(super) turned: Found,
    /// The body of each facet.
    pub(super) of_facet: Vec<u32>,
    /// For each body those around it.
    pub(super) around: Vec<Vec<u32>>,
}

/// Finds the bodies and turns those that are inside out, together with all that lies inside
/// them: a part written inside out as a whole, voids included, comes out right.
///
/// A body is inside out if its volume is negative although it does not lie in plastic.
pub(super) fn turn_inside_out(mesh: &mut Welded, edges: &Edges) -> Bodies {
    let (of_facet, count) = topology::bodies(mesh.facets.len(), edges);
    let closed = closed_bodies(edges, &of_facet, count);
    let mut list = measured(mesh, &of_facet, &closed);
    let around = nesting::containers(&mesh.points, &mesh.facets, &of_facet, &closed);
    let mut turned = Found::default();
    let mut turned_itself = vec![false; count];
    let mut flip = vec![false; count];
    let mut inner_last: Vec<usize> = (0..count).collect();
    inner_last.sort_by_key(|&body| around[body].len());
    for body in inner_last {
        let outside = around[body].iter().map(|&outer| outer as usize);
        let carried =
            outside.clone().filter(|&outer| turned_itself[outer]).count() % 2 == 1;
        // How often plastic already lies around this body.
        let winding: i32 = outside.map(|outer| sign(list[outer].volume_mm3)).sum();
        let volume =
            list[body].volume_mm3.map(|volume| if carried { -volume } else { volume });
        turned_itself[body] = sign(volume) < 0 && winding <= 0;
        if turned_itself[body] {
            turned.add(1, list[body].bounds.center());
        }
        flip[body] = carried != turned_itself[body];
        let volume =
            volume.map(|volume| if turned_itself[body] { -volume } else { volume });
        list[body].volume_mm3 = volume;
        list[body].role = match (sign(volume), winding) {
            _ if volume.is_none() => BodyRole::Open,
            (-1, _) => BodyRole::Void,
            (_, 1..) => BodyRole::Nested,
            _ => BodyRole::Solid,
        };
    }
    for (corners, &body) in mesh.facets.iter_mut().zip(&of_facet) {
        if flip[body as usize] {
            corners.swap(1, 2);
        }
    }
    Bodies { list, turned, of_facet, around }
}

fn sign(volume: Option<f64>) -> i32 {
    match volume {
        Some(volume) if volume < 0.0 => -1,
        Some(_) => 1,
        None => 0,
    }
}

fn closed_bodies(edges: &Edges, of_facet: &[u32], count: usize) -> Vec<bool> {
    let mut closed = vec![true; count];
    for edge in edges.iter().filter(|edge| edge.net() != 0) {
        for one in edge.uses {
            closed[of_facet[one.facet()] as usize] = false;
        }
    }
    closed
}

/// Bodies with their size; volume by signed tetrahedra over the middle of the part.
fn measured(mesh: &Welded, of_facet: &[u32], closed: &[bool]) -> Vec<Body> {
    let mut sizes = vec![(0_usize, 0.0, Aabb::empty()); closed.len()];
    let origin = Aabb::around(&mesh.points).center();
    for (corners, &body) in mesh.facets.iter().zip(of_facet) {
        let corners = corners.map(|i| mesh.points[i as usize]);
        let size = &mut sizes[body as usize];
        size.0 += 1;
        size.1 += tetrahedron(&corners, &origin);
        size.2 = corners.iter().fold(size.2, Aabb::with);
    }
    sizes
        .into_iter()
        .zip(closed)
        .map(|((facets, volume, bounds), &closed)| Body {
            facets,
            role: BodyRole::Open,
            volume_mm3: closed.then_some(volume),
            bounds,
        })
        .collect()
}

/// Signed volume of the tetrahedron over a facet.
fn tetrahedron(corners: &[Point; 3], origin: &Point) -> f64 {
    let [a, b, c]: [Vector; 3] = corners.map(|corner| corner - origin);
    a.dot(&b.cross(&c)) / 6.0
}

#[cfg(test)]
mod tests {
    use super::{BodyRole, turn_inside_out};
    use crate::geom::Point;
    use crate::mesh::topology::Edges;
    use crate::mesh::vertex_weld::Welded;

    /// Tetrahedra with legs of the given lengths around one point inside all of them, each
    /// outside out or not.
    fn onion(layers: &[(f64, bool)]) -> Welded {
        let mut mesh = Welded::default();
        for (first, &(leg, outside_out)) in (0_u32..).step_by(4).zip(layers) {
            let low = -leg / 4.0;
            for far in [[0.0; 3], [leg, 0.0, 0.0], [0.0, leg, 0.0], [0.0, 0.0, leg]] {
                mesh.points.push(Point::from(far.map(|x| x + low)));
            }
            for [a, b, c] in [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]] {
                let facet = if outside_out { [a, b, c] } else { [a, c, b] };
                mesh.facets.push(facet.map(|corner| corner + first));
            }
        }
        mesh
    }

    fn roles(layers: &[(f64, bool)]) -> (Vec<BodyRole>, usize, f64) {
        let mut mesh = onion(layers);
        let edges = Edges::collect(&mesh.facets, mesh.points.len());
        let bodies = turn_inside_out(&mut mesh, &edges);
        let volume = bodies.list.iter().filter_map(|body| body.volume_mm3).sum();
        let roles = bodies.list.iter().map(|body| body.role).collect();
        (roles, bodies.turned.count, volume)
    }

    #[test]
    fn layers_come_out_right_whichever_way_the_whole_was_written() {
        use BodyRole::{Solid, Void};
        // Legs 6, 3 and 1 enclose 36, 4.5 and 1/6.
        let expected = 36.0 - 4.5 + 1.0 / 6.0;
        for right in [true, false] {
            let (roles, turned, volume) =
                roles(&[(1.0, right), (6.0, right), (3.0, !right)]);
            assert_eq!((roles, turned), (vec![Solid, Solid, Void], usize::from(!right)));
            assert!((volume - expected).abs() < 1e-12);
        }
    }

    #[test]
    fn only_the_layer_that_is_wrong_turns() {
        use BodyRole::{Nested, Solid, Void};
        let island = roles(&[(6.0, true), (3.0, false), (1.0, false)]);
        assert_eq!((island.0, island.1), (vec![Solid, Void, Solid], 1));
        let inside = roles(&[(6.0, true), (3.0, true)]);
        assert_eq!((inside.0, inside.1), (vec![Solid, Nested], 0));
    }
}
