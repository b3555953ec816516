//! Which half of the mold forms each facet.
//!
//! A facet that leans towards one side of the pull is formed by the half on that side,
//! trapped or not: it is the half that it faces. An upright one could be formed by
//! either: it goes with the half from which more of its face is free, and with the core
//! half where both see it alike, for that is where a part that shrinks stays.
//! A sliver so narrow that rounding turns it at will goes with the widest
//! facet along its long edges.

use std::collections::BTreeMap;

use crate::geom::Direction;
use crate::measure::draft::{CoreSide, Drafted, Side, UPRIGHT_DEG};
use crate::measure::undercut::Release;
use crate::mesh::{TriMesh, bvh::Bvh};

/// A facet narrower than this many steps of single precision has no direction: about a
/// thousandth of a millimetre in a part of 100 mm.
const SLIVER: f64 = 100.0;

/// Slivers that lie side by side are settled in so many rounds.
const ROUNDS: usize = 4;

/// One half of the mold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    /// The half that leaves along the pull.
    Plus,
    /// The half that leaves against the pull.
    Minus,
}

/// The half of every facet of `part` along `pull`; `core` is the side of the core half.
pub fn of_facets(
    part: &Drafted<'_>,
    bvh: &Bvh,
    pull: Direction,
    core: CoreSide,
) -> Vec<Half> {
    let ahead = plus_ahead(part, bvh, pull);
    let leaning = |normal| pull.dot(normal);
    let halves = part.mesh.normals().iter().zip(&part.faces.of_facet);
    let mut halves: Vec<Half> = halves
        .map(|(normal, &face)| {
            let votes = ahead.get(face as usize).copied().unwrap_or_default();
            match (is_upright(leaning(normal)), leaning(normal) > 0.0, votes, core) {
                (false, true, ..) | (true, _, 1.., _) => Half::Plus,
                (true, _, 0, CoreSide::Plus) => Half::Plus,
                _ => Half::Minus,
            }
        })
        .collect();
    settle_slivers(part.mesh, &mut halves);
    halves
}

/// Gives each sliver the half of the widest facet along its two long edges.
fn settle_slivers(mesh: &TriMesh, halves: &mut [Half]) {
    let least = SLIVER * mesh.rounding();
    let slivers: Vec<usize> =
        (0..halves.len()).filter(|&facet| mesh.least_height(facet) < least).collect();
    if slivers.is_empty() {
        return;
    }
    let mut wanted: BTreeMap<[u32; 2], Vec<usize>> = BTreeMap::new();
    let mut touched = vec![false; mesh.points().len()];
    for &sliver in &slivers {
        for edge in long_edges(mesh, sliver) {
            edge.iter().for_each(|&corner| touched[corner as usize] = true);
            wanted.entry(edge).or_default();
        }
    }
    for (index, facet) in mesh.facets().iter().enumerate() {
        for [from, to] in [[0, 1], [1, 2], [2, 0]].map(|ends| ends.map(|i| facet[i])) {
            if touched[from as usize] && touched[to as usize] {
                let edge = [from.min(to), from.max(to)];
                wanted.entry(edge).and_modify(|users| users.push(index));
            }
        }
    }
    for _ in 0..ROUNDS {
        for &sliver in &slivers {
            let edges = long_edges(mesh, sliver);
            let users = edges.iter().filter_map(|edge| wanted.get(edge)).flatten();
            // The widest knows best where it faces.
            let across = users
                .filter(|&&user| user != sliver)
                .max_by(|&&a, &&b| mesh.least_height(a).total_cmp(&mesh.least_height(b)));
            if let Some(&across) = across {
                halves[sliver] = halves[across];
            }
        }
    }
}

/// The two longer edges of `facet`, each with its lower corner first.
fn long_edges(mesh: &TriMesh, facet: usize) -> [[u32; 2]; 2] {
    let [a, b, c] = mesh.facets()[facet];
    let length = |[from, to]: &[u32; 2]| {
        let [from, to] = [from, to].map(|corner| mesh.points()[*corner as usize]);
        (to - from).norm_squared()
    };
    let mut edges = [[a, b], [b, c], [c, a]].map(|[x, y]| [x.min(y), x.max(y)]);
    edges.sort_by(|x, y| length(y).total_cmp(&length(x)));
    [edges[0], edges[1]]
}

fn is_upright(facing: f64) -> bool {
    facing.abs() < UPRIGHT_DEG.to_radians().sin()
}

/// For each face, how many more of its upright samples the + half can leave than the −
/// half can.
fn plus_ahead(part: &Drafted<'_>, bvh: &Bvh, pull: Direction) -> Vec<i64> {
    let all = part.samples;
    let upright = |sample: &usize| {
        part.sides[*sample] != Side::Trapped
            && is_upright(pull.dot(&all.normals[*sample]))
    };
    let few = all.only((0..all.len()).filter(upright));
    let release = Release::along(bvh, &few, pull);
    let mut ahead = vec![0; part.faces.list.len()];
    let sees = release.to_plus.iter().zip(&release.to_minus);
    for (&facet, (&plus, &minus)) in few.facets.iter().zip(sees) {
        let face = part.faces.of_facet[facet as usize];
        ahead[face as usize] += i64::from(plus) - i64::from(minus);
    }
    ahead
}

#[cfg(test)]
mod tests {
    use super::{Half, of_facets};
    use crate::geom::{Direction, Vector};
    use crate::measure::draft::{CoreSide, Drafted, sides};
    use crate::measure::{faces, undercut::Release};
    use crate::mesh::{TriMesh, bvh::Bvh, neighbors, samples::Samples, shapes};

    fn halves(mesh: &TriMesh, core: CoreSide) -> Vec<Half> {
        let bvh = Bvh::new(mesh);
        let samples = Samples::spread(mesh, &bvh, 4000);
        let faces = faces::of(mesh, &neighbors::of(mesh));
        let release = Release::along(&bvh, &samples, Direction::Z);
        let sides = sides(&samples, &release, Direction::Z, core);
        let part = Drafted { mesh, faces: &faces, samples: &samples, sides: &sides };
        of_facets(&part, &bvh, Direction::Z, core)
    }

    #[test]
    fn a_tray_has_its_inside_from_above_and_its_outside_from_the_core() {
        let mesh = shapes::tray([40.0, 30.0, 12.0], 2.0);
        for core in [CoreSide::Plus, CoreSide::Minus] {
            let halves = halves(&mesh, core);
            assert_eq!(halves.len(), mesh.facets().len());
            for (facet, &half) in halves.iter().enumerate() {
                let (normal, at) = (mesh.normals()[facet], mesh.middle(facet));
                let inside = (1.9..38.1).contains(&at.x) && (1.9..28.1).contains(&at.y);
                let expected = match (normal.z.abs() > 0.5, inside, core) {
                    (true, ..) if normal.z > 0.0 => Half::Plus,
                    (true, ..) => Half::Minus,
                    // The floor closes the inside from below.
                    (_, true, _) | (_, _, CoreSide::Plus) => Half::Plus,
                    _ => Half::Minus,
                };
                assert_eq!(half, expected, "{core:?} {at} {normal}");
            }
        }
    }

    #[test]
    fn a_sliver_in_an_upright_wall_stays_with_the_wall() {
        // One corner on the edge between the two facets of the wall at x = 0, half a
        // rounding step beside it and half a step out: both slivers lean at will.
        let block = shapes::cuboid(40.0, 30.0, 20.0);
        let wall: Vec<usize> =
            (0..12).filter(|&facet| block.normals()[facet].x < -0.5).collect();
        let [first, second] = [0, 1].map(|i| block.facets()[wall[i]]);
        let is_shared = |corner: &u32| second.contains(corner);
        let apex = first.iter().position(|corner| !is_shared(corner)).unwrap();
        let [top, from, to] = [0, 1, 2].map(|i| first[(apex + i) % 3]);
        let mut points = block.points().to_vec();
        let new = points.len() as u32;
        let middle = nalgebra::center(&points[from as usize], &points[to as usize]);
        points.push(middle + Vector::new(-2e-6, 0.0, 1e-6));
        let mut facets = block.facets().to_vec();
        facets[wall[0]] = [top, from, new];
        facets.extend([[top, new, to], [new, from, to]]);
        let mesh = TriMesh::new(points, facets);
        let sliver = mesh.facets().len() - 1;
        assert!(mesh.normals()[sliver].z.abs() > 0.3, "it leans");
        for (core, half) in [(CoreSide::Plus, Half::Plus), (CoreSide::Minus, Half::Minus)]
        {
            assert_eq!(halves(&mesh, core)[sliver], half);
        }
    }

    #[test]
    fn a_trapped_ceiling_belongs_to_the_half_that_it_faces() {
        // A box with a hole through its side: the hole's ceiling faces −, its floor +.
        let steps: [&[f64]; 3] =
            [&[0.0, 10.0], &[0.0, 4.0, 8.0, 12.0], &[0.0, 4.0, 8.0, 12.0]];
        let mesh = shapes::blocks(steps, |_, j, k| j != 1 || k != 1);
        let halves = halves(&mesh, CoreSide::Minus);
        for (facet, half) in halves.iter().enumerate() {
            let up = mesh.normals()[facet].z;
            if up.abs() > 0.5 {
                assert_eq!(*half, if up > 0.0 { Half::Plus } else { Half::Minus });
            }
        }
        assert!(halves.contains(&Half::Plus));
    }
}
