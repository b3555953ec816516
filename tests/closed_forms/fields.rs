//! Samples stand for equal areas, and what is said of values on them is order statistics
//! and connectedness.

use std::f64::consts::PI;

use goodshot::geom::Point;
use goodshot::mesh::samples::Samples;
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::mass;
use goodshot::part::surface_statistics::{self, Bad};

use crate::common::{Noise, Part, alike, every_shape, near, tray_with_rib};

#[test]
fn quantiles_are_those_of_the_known_values() {
    let mut values: Vec<Option<f64>> =
        (0..=100).map(|i| Some(f64::from(i * 37 % 101))).collect();
    values.extend([None; 50]);
    let found = surface_statistics::quantiles(&values).unwrap();
    for (value, expected) in [(found.p05, 5.0), (found.p50, 50.0), (found.p95, 95.0)] {
        near(value, expected, 1e-12);
    }
    let two = surface_statistics::quantiles(&[Some(3.0), None, Some(1.0)]).unwrap();
    near(two.p05, 1.1, 1e-12);
    near(two.p50, 2.0, 1e-12);
    assert!(surface_statistics::quantiles(&[None, None]).is_none());
    assert_eq!(
        surface_statistics::greatest(&[Some(1.0), None, Some(3.0), Some(2.0)]),
        Some(3.0)
    );
    assert_eq!(surface_statistics::greatest(&[None]), None);
}

#[test]
fn a_histogram_shares_out_what_is_known() {
    let values = [Some(0.5), Some(1.5), None, Some(1.9), Some(9.0)];
    for (found, expected) in surface_statistics::histogram(&values, 4.0, 4)
        .into_iter()
        .zip([0.25, 0.5, 0.0, 0.25])
    {
        near(found, expected, 1e-12);
    }
    for (values, top, bins) in [(&[None][..], 4.0, 3), (&values, 0.0, 3)] {
        assert!(
            surface_statistics::histogram(values, top, bins)
                .iter()
                .all(|share| *share <= 0.0)
        );
    }
    assert!(surface_statistics::histogram(&values, 4.0, 0).is_empty());
}

/// Samples a face, by its index.
fn counted(part: &Part) -> Vec<usize> {
    let mut counted = vec![0; part.faces.list.len()];
    for &facet in &part.samples.facets {
        counted[part.faces.of_facet[facet as usize] as usize] += 1;
    }
    counted
}

#[test]
fn every_face_gets_samples_by_its_area() {
    for mesh in [
        shapes::cuboid(30.0, 20.0, 10.0),
        shapes::split(&shapes::cuboid(30.0, 20.0, 10.0), 3),
        shapes::cup(15.0, 30.0, 2.0, 1.0, 40),
        tray_with_rib(2.0),
    ] {
        let part = Part::new(mesh, true, 40_000);
        let total = mass::measure(&part.mesh, true).area;
        near(part.samples.area_each, total / 40_000.0, 1e-9);
        near(part.samples.spacing(), (total / 40_000.0).sqrt(), 1e-9);
        assert_eq!(part.samples.len(), 40_000);
        for (count, face) in counted(&part).into_iter().zip(&part.faces.list) {
            let area = count as f64 * part.samples.area_each;
            near(area, face.area, 0.01 * face.area.max(100.0 * part.samples.area_each));
        }
    }
}

#[test]
fn every_sample_lies_on_its_facet() {
    for (name, mesh) in every_shape() {
        let part = Part::new(mesh, true, 2000);
        for sample in 0..part.samples.len() {
            let facet = part.samples.facets[sample] as usize;
            let [a, b, c] = part.mesh.corners(facet);
            let (point, normal) =
                (part.samples.points[sample], part.samples.normals[sample]);
            assert!((normal - part.mesh.normals()[facet]).norm() < 1e-15, "{name}");
            for (from, to) in [(a, b), (b, c), (c, a)] {
                let inward = normal.cross(&(to - from));
                assert!(inward.dot(&(point - from)) > -1e-9, "{name}");
            }
            assert!(normal.dot(&(point - a)).abs() < 1e-9, "{name}");
        }
    }
}

/// No place on a face is far from a sample, however the face is cut.
#[test]
fn samples_are_nearly_as_even_as_on_a_grid() {
    let slab = shapes::cuboid(40.0, 30.0, 8.0);
    for mesh in [shapes::split(&slab, 2), shapes::split(&slab, 4), slab] {
        let part = Part::new(mesh, true, 4000);
        let mut noise = Noise(7);
        let reach = 2.0 * part.samples.spacing();
        let mut missed = 0;
        for _ in 0..2000 {
            let place = Point::new(40.0 * noise.unit(), 30.0 * noise.unit(), 8.0);
            let near = |point: &Point| (point - place).norm() < reach;
            missed += usize::from(!part.samples.points.iter().any(near));
        }
        assert_eq!(missed, 0);
    }
}

#[test]
fn thinning_keeps_the_area() {
    let part = Part::new(shapes::torus(20.0, 5.0, 24), true, 10_000);
    let few = part.samples.thinned(600);
    assert_eq!(few.len(), 10_000_usize.div_ceil(16));
    alike(few.area_each * few.len() as f64, part.samples.area_each * 10_000.0, 0.01);
    assert_eq!(part.samples.thinned(20_000).len(), 10_000);
    let nothing = TriMesh::new(Vec::new(), Vec::new());
    assert!(Part::new(nothing, true, 100).samples.is_empty());
    assert_eq!(Samples::default().thinned(0).len(), 0);
}

/// A plate thinner than the samples are apart.
fn foil() -> Part {
    Part::new(shapes::cuboid(60.0, 40.0, 0.1), true, 20_000)
}

fn within(part: &Part, sample: usize, x: f64, y: f64, radius: f64) -> bool {
    let point = part.samples.points[sample];
    (point.x - x).hypot(point.y - y) < radius
}

#[test]
fn two_spots_are_two_regions_and_the_sides_of_a_foil_stay_apart() {
    let foil = foil();
    assert!(foil.samples.spacing() > 0.2);
    let top = |sample: usize| foil.samples.normals[sample].z > 0.5;
    let large = |sample: usize| within(&foil, sample, 15.0, 20.0, 8.0);
    let small = |sample: usize| within(&foil, sample, 45.0, 20.0, 5.0);
    let found =
        surface_statistics::regions(&foil.samples, |s| top(s) && (large(s) || small(s)));
    assert_eq!(found.len(), 2);
    alike(found[0].area, PI * 64.0, 0.02);
    alike(found[1].area, PI * 25.0, 0.03);
    near(found[0].bounds.center().x, 15.0, 0.3);
    near(found[1].bounds.size().y, 10.0, 0.6);
    assert_eq!(surface_statistics::regions(&foil.samples, large).len(), 2);
    assert!(surface_statistics::regions(&foil.samples, |_| false).is_empty());
}

#[test]
fn extremes_come_worst_first_and_small_ones_are_left_out() {
    let foil = foil();
    let values: Vec<Option<f64>> = (0..foil.samples.len())
        .map(|sample| {
            let is_top = foil.samples.normals[sample].z > 0.5;
            let deep =
                [(10.0, 20.0, 3.0, 0.5), (30.0, 20.0, 5.0, 0.8), (50.0, 20.0, 0.5, 0.1)];
            let spot = deep.iter().find(|&&(x, y, r, _)| within(&foil, sample, x, y, r));
            is_top.then(|| spot.map_or(2.0, |spot| spot.3))
        })
        .collect();
    let found =
        surface_statistics::extremes(&foil.samples, &values, Bad::Below(1.0), 2.0);
    assert_eq!(found.len(), 2);
    near(found[0].value, 0.5, 1e-12);
    near(found[1].value, 0.8, 1e-12);
    assert!((found[0].at.x - 10.0).abs() < 3.0);
    alike(found[1].region.area, PI * 25.0, 0.03);
    let above =
        surface_statistics::extremes(&foil.samples, &values, Bad::Above(1.0), 2.0);
    assert_eq!(above.len(), 1);
    let all = surface_statistics::extremes(&foil.samples, &values, Bad::Below(1.0), 0.0);
    near(all[0].value, 0.1, 1e-12);
}
