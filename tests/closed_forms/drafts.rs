//! Faces as a designer sees them, and how much they taper.

use std::f64::consts::PI;

use goodshot::geom::{Direction, Point};
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::core_half;
use goodshot::part::draft::{self, Formed, Rule};
use goodshot::part::faces::{Face, Surface};
use goodshot::part::halves::{Half, Side};
use goodshot::part::undercut::Release;

use crate::common::{Part, alike, direction, near, turned};

fn part(mesh: TriMesh) -> Part {
    Part::new(mesh, true, 5000)
}

fn planes(part: &Part) -> usize {
    let is_plane = |face: &&Face| matches!(face.surface, Surface::Plane(_));
    part.faces.list.iter().filter(is_plane).count()
}

/// Axis, lean and area of each round face, largest first.
fn rounds(part: &Part) -> Vec<(Direction, f64, f64)> {
    let round = |face: &Face| match face.surface {
        Surface::Round { axis, lean } => Some((axis, lean, face.area)),
        _ => None,
    };
    part.faces.list.iter().filter_map(round).collect()
}

fn upright_axes(part: &Part) {
    for (axis, ..) in rounds(part) {
        near(axis.vector().z.abs(), 1.0, 1e-9);
    }
}

/// Of every face that is not square to the pull.
fn drafts(part: &Part) -> Vec<f64> {
    let fitted = |face| draft::fitted_deg(&part.mesh, face, Direction::Z);
    let drafts = part.faces.list.iter().filter_map(fitted);
    drafts.filter(|&draft| draft < 80.0).collect()
}

/// The facets of a polygonal cone of `draft_deg` along its edges lean a little less.
fn of_facets(draft_deg: f64, around: usize) -> f64 {
    (draft_deg.to_radians().tan() * (PI / around as f64).cos()).atan().to_degrees()
}

#[test]
fn a_box_has_six_planes_however_it_is_cut() {
    let block = shapes::cuboid(30.0, 20.0, 10.0);
    let skew = turned(&block, direction(1.0, 2.0, 3.0), 40.0);
    for mesh in [block.clone(), shapes::shuffle(&block), skew, shapes::split(&block, 3)] {
        let part = part(mesh);
        assert_eq!((part.faces.list.len(), planes(&part)), (6, 6));
        assert_eq!(part.faces.chord_error, None);
        for (face, area) in
            part.faces.list.iter().zip([600.0, 600.0, 300.0, 300.0, 200.0, 200.0])
        {
            alike(face.area, area, 1e-9);
        }
        let counted: usize = part.faces.list.iter().map(|face| face.facets.len()).sum();
        assert_eq!(counted, part.mesh.facets().len());
    }
}

#[test]
fn an_upright_wall_reads_zero_however_it_is_cut() {
    for around in [13, 16, 24, 48, 100, 200] {
        let cylinder = shapes::cone(8.0, 8.0, 20.0, around);
        for mesh in [shapes::split(&cylinder, 1), shapes::split(&cylinder, 2), cylinder] {
            let part = part(mesh);
            assert_eq!((part.faces.list.len(), planes(&part)), (3, 2), "{around}");
            upright_axes(&part);
            let drafts = drafts(&part);
            assert_eq!(drafts.len(), 1, "{around}");
            near(drafts[0], 0.0, 1e-6);
        }
    }
}

#[test]
fn a_cone_reads_the_angle_of_its_facets() {
    for around in [12, 16, 24, 48, 100, 200] {
        for draft_deg in [0.25_f64, 1.0, 3.0] {
            let top = 12.0 - 20.0 * draft_deg.to_radians().tan();
            let cone = shapes::cone(12.0, top, 20.0, around);
            for mesh in [shapes::split(&cone, 1), cone] {
                let part = part(mesh);
                assert_eq!((part.faces.list.len(), planes(&part)), (3, 2), "{around}");
                upright_axes(&part);
                let drafts = drafts(&part);
                assert_eq!(drafts.len(), 1);
                near(drafts[0], of_facets(draft_deg, around), 1e-6);
                if around >= 48 {
                    near(drafts[0], draft_deg, 0.01);
                }
            }
        }
    }
}

#[test]
fn a_cup_has_two_walls_with_its_draft() {
    for (draft_deg, around) in [(0.0, 16), (0.25, 48), (3.0, 24), (3.0, 200)] {
        let cup = shapes::cup(15.0, 30.0, 2.0, draft_deg, around);
        for mesh in [shapes::shuffle(&cup), shapes::split(&cup, 1), cup] {
            let part = part(mesh);
            // Two walls, the rim and the floor from either side.
            assert_eq!((part.faces.list.len(), planes(&part)), (5, 3));
            upright_axes(&part);
            let drafts = drafts(&part);
            assert_eq!(drafts.len(), 2);
            for draft in drafts {
                near(draft, of_facets(draft_deg, around), 1e-6);
            }
        }
    }
}

#[test]
fn a_wall_that_leans_by_a_quarter_degree_reads_a_quarter_degree() {
    let leaning = turned(&shapes::cuboid(2.0, 30.0, 20.0), Direction::Y, 0.25);
    let part = part(leaning);
    let drafts = drafts(&part);
    // The two walls along y lean, the two at its ends stand upright.
    let leaning: Vec<&f64> = drafts.iter().filter(|&&draft| draft > 0.1).collect();
    assert_eq!((drafts.len(), leaning.len()), (4, 2));
    for draft in leaning {
        near(*draft, 0.25, 1e-9);
    }
}

/// A patch of a surface of revolution about z that turns by `turn_deg`: `outline` is radius
/// and height, from below. Open, and so no solid; its facets look outward.
fn patch(outline: &[[f64; 2]], turn_deg: f64) -> TriMesh {
    let steps = (turn_deg / 6.0).round() as usize;
    let mut points = Vec::new();
    for step in 0..=steps {
        let angle = (step as f64 / steps as f64 * turn_deg).to_radians();
        let at = |&[r, z]: &[f64; 2]| Point::new(r * angle.cos(), r * angle.sin(), z);
        points.extend(outline.iter().map(at));
    }
    let rows = outline.len();
    let corner = |step: usize, row: usize| (step * rows + row) as u32;
    let mut facets = Vec::new();
    for step in 0..steps {
        for row in 0..rows - 1 {
            let [a, b] = [corner(step, row), corner(step + 1, row)];
            facets.extend([[a, b, b + 1], [a, b + 1, a + 1]]);
        }
    }
    TriMesh::new(points, facets)
}

/// The draft along z of a face that is fitted lies within that of its facets.
fn lies_within_its_facets(part: &Part, face: &Face) {
    let Some(seen) = draft::fitted_deg(&part.mesh, face, Direction::Z) else { return };
    let normals = part.mesh.normals();
    let lying =
        face.facets.iter().map(|&facet| normals[facet as usize].z.asin().to_degrees());
    let low = lying.clone().fold(f64::INFINITY, f64::min);
    let high = lying.fold(f64::NEG_INFINITY, f64::max);
    let least = if low > 0.0 { low } else { (-high).max(0.0) };
    let most = low.abs().max(high.abs());
    assert!(
        least - 1e-9 <= seen && seen <= most + 1e-9,
        "{seen} not in {least} to {most}"
    );
}

/// Cylinders, cones, spheres and tori by patches of 20 to 360°, leaning by up to 8°: what is
/// reported of a fitted face lies within the angles of its own facets, whose range is in
/// closed form sin δ = sin λ cos τ + cos λ sin τ cos φ for cylinder and cone.
#[test]
fn the_draft_of_a_patch_lies_within_that_of_its_facets() {
    let arc = |large: f64, small: f64| {
        (0..=6).map(move |i| {
            let angle = (f64::from(i) * 5.0 - 15.0).to_radians();
            [large + small * angle.cos(), small * angle.sin()]
        })
    };
    let outlines: [Vec<[f64; 2]>; 4] = [
        vec![[5.0, 0.0], [5.0, 12.0]],
        vec![[5.0, 0.0], [4.5, 12.0]],
        arc(0.0, 8.0).collect(),
        arc(20.0, 4.0).collect(),
    ];
    for outline in &outlines {
        for turn_deg in [24.0, 48.0, 90.0, 180.0, 270.0, 354.0] {
            for tilt_deg in [0.0, 0.5, 2.0, 3.5, 4.9, 8.0] {
                let mesh = patch(outline, turn_deg);
                let mesh = turned(&mesh, direction(1.0, 0.3, 0.0), tilt_deg);
                let part = Part::new(mesh, false, 500);
                for face in &part.faces.list {
                    lies_within_its_facets(&part, face);
                }
            }
        }
    }
}

/// A box drafted by 3.5° has corners that lean by atan(√2 tan 3.5°) = 4.94°; rolling balls
/// along them leave quarter cylinders of 3.50 to 4.94°, and none is upright.
#[test]
fn a_fillet_along_a_drafted_corner_keeps_the_draft_of_its_walls() {
    let tilt = (2.0_f64.sqrt() * 3.5_f64.to_radians().tan()).atan().to_degrees();
    // Turned so that the middle of the fillet looks along x, then leaned towards the middle.
    let mesh = turned(&patch(&[[4.0, 0.0], [4.0, 20.0]], 90.0), Direction::Z, -45.0);
    let mesh = turned(&mesh, Direction::Y, -tilt);
    let part = Part::new(mesh, false, 500);
    let found = drafts(&part);
    assert_eq!(found.len(), 1);
    // The outermost facets stand 3° from the edges of the fillet.
    let outermost = 42.0_f64.to_radians();
    let right = (tilt.to_radians().sin() * outermost.cos()).asin().to_degrees();
    near(found[0], right, 1e-6);
    assert!(right > 3.49 && right < 4.94);
}

#[test]
fn a_rule_asks_more_of_taller_walls() {
    let rule = Rule { least_deg: 0.5, deg_per_mm: 0.02, ..Rule::DEFAULT };
    near(rule.required_deg(0.0), 0.5, 1e-12);
    near(rule.required_deg(50.0), 1.5, 1e-12);
    near(Rule::DEFAULT.required_deg(200.0), 1.0, 1e-12);
}

#[test]
fn walls_short_of_their_rule_are_listed_with_height_and_side() {
    let part = part(shapes::cup(15.0, 30.0, 2.0, 1.0, 48));
    let release = Release::along(&part.bvh, &part.samples, Direction::Z);
    let core = core_half::find(&part.bvh, &part.samples, &release, Direction::Z);
    let sides = draft::sides(&part.samples, &release, Direction::Z, core);
    let formed = Formed { pull: Direction::Z, core, sides: &sides, parted: None };
    let short = |rule| draft::short(&part, formed, rule);
    assert!(short(Rule { least_deg: 0.9, deg_per_mm: 0.0, ..Rule::DEFAULT }).is_empty());
    // 30 mm outside need 1.1°, 28 mm inside need 1.06°: both lack, the outside more.
    let found = short(Rule { least_deg: 0.5, deg_per_mm: 0.02, ..Rule::DEFAULT });
    assert_eq!(found.len(), 2);
    for (face, (height, side)) in
        found.iter().zip([(30.0, Side::Cavity), (28.0, Side::Core)])
    {
        near(face.height, height, 1e-9);
        near(face.required_deg, 0.5 + 0.02 * height, 1e-9);
        near(face.draft_deg, of_facets(1.0, 48), 1e-6);
        assert_eq!(face.side, side);
    }
}

#[test]
fn the_chord_error_is_the_sagitta_of_a_facet() {
    for around in [13, 24, 100] {
        let cylinder = shapes::cone(8.0, 8.0, 20.0, around);
        let sagitta = 8.0 * (1.0 - (PI / around as f64).cos());
        for mesh in [shapes::split(&cylinder, 1), shapes::split(&cylinder, 2), cylinder] {
            alike(part(mesh).faces.chord_error.unwrap(), sagitta, 1e-6);
        }
    }
    let ball = part(shapes::ball(10.0, 48)).faces.chord_error.unwrap();
    let sagitta = 10.0 * (1.0 - (PI / 48.0).cos());
    assert!(ball < 2.0 * sagitta && ball > sagitta / 2.0, "{ball} {sagitta}");
}

#[test]
fn the_inside_of_a_cup_forms_the_core() {
    let cup = shapes::cup(15.0, 30.0, 2.0, 1.0, 24);
    let upside_down = turned(&cup, Direction::X, 180.0);
    for (mesh, expected) in [(cup, Half::Plus), (upside_down, Half::Minus)] {
        let part = part(mesh);
        let release = Release::along(&part.bvh, &part.samples, Direction::Z);
        let found = core_half::find(&part.bvh, &part.samples, &release, Direction::Z);
        assert_eq!(found, expected);
        let sides = draft::sides(&part.samples, &release, Direction::Z, found);
        let inside = |sample: &usize| {
            let at = part.samples.points[*sample];
            at.x.hypot(at.y) < 13.0 && at.z.abs() > 1.0
        };
        let mut inner = (0..sides.len()).filter(inside);
        assert!(inner.all(|sample| sides[sample] == Side::Core));
    }
}
