//! Which trapped regions have one cause, so that one change frees them all.
//!
//! Regions belong together where they are pieces of one face (a seam that the halves see here
//! and there), and where they lie in round holes on one line (the holes of both lugs of a
//! clamp). Blind to repetition: the same hook drawn twice is two causes.

use crate::geom::Aabb;
use crate::mesh::disjoint_sets::DisjointSets;
use crate::part::Part;
use crate::part::holes::{self, Hole};
use crate::part::undercut::Trapped;

/// Pieces of one face farther apart than this many times the larger one are two causes.
const NEAR: f64 = 3.0;

/// Holes are on one line when their axes differ by no more than this, degrees, and their
/// middles lie off each other's axis by no more than [`OFF_LINE`] of their radius.
const ALIKE_DEG: f64 = 1.0;
/// See [`ALIKE_DEG`]; radii may differ by this share, too.
const OFF_LINE: f64 = 0.05;

/// The causes of those `regions` that `counts` holds for, each as its members, in the order of
/// their first members.
pub fn group(
    part: &Part,
    regions: &[Trapped],
    counts: impl Fn(&Trapped) -> bool,
) -> Vec<Vec<usize>> {
    let counted: Vec<usize> =
        (0..regions.len()).filter(|&region| counts(&regions[region])).collect();
    let faces: Vec<Vec<u32>> =
        counted.iter().map(|&region| faces_of(part, &regions[region])).collect();
    let bores: Vec<Vec<Hole>> = faces.iter().map(|faces| bores(part, faces)).collect();
    let mut sets = DisjointSets::new(counted.len());
    for one in 0..counted.len() {
        for other in 0..one {
            let [a, b] = [one, other].map(|at| &regions[counted[at]].region.bounds);
            let shares = faces[one].iter().any(|face| faces[other].contains(face));
            let on_one_line = || {
                bores[one].iter().any(|a| bores[other].iter().any(|b| is_on_line(a, b)))
            };
            if (shares && is_near(a, b)) || on_one_line() {
                sets.join(one, other);
            }
        }
    }
    let groups = sets.groups().into_iter();
    groups.map(|group| group.into_iter().map(|at| counted[at]).collect()).collect()
}

/// The faces that hold the samples of a region, ascending.
fn faces_of(part: &Part, trapped: &Trapped) -> Vec<u32> {
    let face =
        |&sample: &usize| part.faces.of_facet[part.samples.facets[sample] as usize];
    let mut faces: Vec<u32> = trapped.region.samples.iter().map(face).collect();
    faces.sort_unstable();
    faces.dedup();
    faces
}

fn bores(part: &Part, faces: &[u32]) -> Vec<Hole> {
    let faces = faces.iter().map(|&face| &part.faces.list[face as usize]);
    let bore = faces.map(|face| Hole::fit(&part.mesh, &face.facets, holes::axis(face)?));
    bore.flatten().collect()
}

fn is_near(a: &Aabb, b: &Aabb) -> bool {
    a.gap(b) <= NEAR * a.diagonal().max(b.diagonal())
}

/// Whether two holes were drilled in one go.
fn is_on_line(a: &Hole, b: &Hole) -> bool {
    let between = b.middle - a.middle;
    let off = (between - a.axis.vector() * a.axis.dot(&between)).norm();
    a.axis.dot(&b.axis.vector()).abs() >= ALIKE_DEG.to_radians().cos()
        && (a.radius - b.radius).abs() <= OFF_LINE * a.radius
        && off <= OFF_LINE * a.radius
}

#[cfg(test)]
mod tests {
    use super::group;
    use crate::geom::Direction;
    use crate::mesh::{TriMesh, shapes};
    use crate::part::Part;
    use crate::part::undercut::{self, Release};

    fn causes(mesh: TriMesh) -> (usize, Vec<Vec<usize>>) {
        let part = Part::new(mesh, true, 4000);
        let release = Release::along(&part.bvh, &part.samples, Direction::Z);
        let undercut =
            undercut::measure(&part.bvh, &part.samples, &release, Direction::Z);
        let causes = group(&part, &undercut.regions, |_| true);
        (undercut.regions.len(), causes)
    }

    /// Two lugs on a plate with one square cross hole each: planes are no bores, and the four
    /// walls of each hole are its own.
    #[test]
    fn holes_of_two_lugs_are_two_causes_where_nothing_joins_them() {
        let x = [0.0, 5.0, 10.0, 15.0];
        let y = [0.0, 4.0, 30.0, 34.0];
        let z = [0.0, 3.0, 8.0, 12.0, 16.0];
        let lugs = shapes::blocks([&x, &y, &z], |i, j, k| {
            k == 0 || (j != 1 && !(i == 1 && k == 2))
        });
        let (regions, causes) = causes(lugs);
        assert_eq!((regions, causes.len()), (2, 2));
    }

    /// The same with round holes: they were drilled in one go. Two rings of a tube lying along
    /// y, their bores across the pull.
    #[test]
    fn bores_on_one_line_are_one_cause() {
        let ring = |shift: f64| {
            shapes::tube(2.0, 5.0, 4.0, 48)
                .map_points(|p| crate::geom::Point::new(p.x, p.z + shift, -p.y))
        };
        let [one, other] = [ring(0.0), ring(20.0)];
        let first = one.points().len() as u32;
        let points = [one.points(), other.points()].concat();
        let moved = other.facets().iter().map(|facet| facet.map(|corner| corner + first));
        let facets = one.facets().iter().copied().chain(moved).collect();
        let (regions, causes) = causes(TriMesh::new(points, facets));
        assert!(regions >= 2);
        assert_eq!(causes.len(), 1, "{causes:?}");
    }
}
