//! Which half of the mold forms each facet.
//!
//! A facet that leans towards one side of the pull is formed by the half on that side,
//! trapped or not: it is the half that it faces. An upright one could be formed by
//! either: it goes with the half from which more of its face is free, and with the core
//! half where both see it alike, for that is where a part that shrinks stays.

use crate::geom::Direction;
use crate::measure::draft::{CoreSide, Drafted, Side, UPRIGHT_DEG};
use crate::measure::undercut::Release;
use crate::mesh::{bvh::Bvh, samples::Samples};

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
    part.mesh
        .normals()
        .iter()
        .zip(&part.faces.of_facet)
        .map(|(normal, &face)| {
            let votes = ahead.get(face as usize).copied().unwrap_or_default();
            match (is_upright(leaning(normal)), leaning(normal) > 0.0, votes, core) {
                (false, true, ..) | (true, _, 1.., _) => Half::Plus,
                (true, _, 0, CoreSide::Plus) => Half::Plus,
                _ => Half::Minus,
            }
        })
        .collect()
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
    let mut few = Samples { area_each: all.area_each, ..Samples::default() };
    for sample in (0..all.len()).filter(upright) {
        few.points.push(all.points[sample]);
        few.normals.push(all.normals[sample]);
        few.facets.push(all.facets[sample]);
    }
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
    use crate::geom::Direction;
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
