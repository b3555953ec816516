//! How much draft each wall is asked for: height, side and texture, each term alone.

use goodshot::geom::Direction;
use goodshot::mesh::{TriMesh, shapes};
use goodshot::part::Part;
use goodshot::part::draft::{FaceDraft, Formed, Rule, short, sides};
use goodshot::part::halves::Half;
use goodshot::part::undercut::Release;

const RULE: Rule =
    Rule { least_deg: 1.0, deg_per_mm: 0.04, inside_deg: 0.5, texture_deg: 0.0 };

fn short_of(mesh: &TriMesh, rule: Rule) -> Vec<FaceDraft> {
    let part = Part::new(mesh.clone(), true, 6000);
    let (pull, core) = (Direction::Z, Half::Plus);
    let release = Release::along(&part.bvh, &part.samples, pull);
    let sides = sides(&part.samples, &release, pull, core);
    short(&part, Formed { pull, core, sides: &sides, parted: None }, rule)
}

/// Common practice: 1°, 1° more each 25 mm, half a degree more inside. A tray 25 mm
/// high with walls of 2 mm needs 2° outside, and inside, over 23 mm, 2.42°.
#[test]
fn inside_walls_need_half_a_degree_more() {
    let short = short_of(&shapes::tray([40.0, 30.0, 25.0], 2.0), RULE);
    let (inside, outside): (Vec<_>, Vec<_>) = short.iter().partition(|face| face.inside);
    assert_eq!((inside.len(), outside.len()), (4, 4));
    assert!(outside.iter().all(|face| (face.required_deg - 2.0).abs() < 1e-9));
    assert!(inside.iter().all(|face| (face.required_deg - 2.42).abs() < 1e-9));
}

/// A cup drafted by 2.2° satisfies the outside and is short inside.
#[test]
fn one_draft_may_do_outside_and_not_inside() {
    let short = short_of(&shapes::cup(10.0, 25.0, 2.0, 2.2, 48), RULE);
    assert_eq!(short.len(), 1, "{short:?}");
    assert!(short[0].inside);
    assert!((short[0].draft_deg - 2.2).abs() < 0.01, "{}", short[0].draft_deg);
    let free = Rule { inside_deg: 0.0, ..RULE };
    assert!(short_of(&shapes::cup(10.0, 25.0, 2.0, 2.2, 48), free).is_empty());
}

/// A boss has no inside: the texture is asked of it all the same.
#[test]
fn texture_adds_to_every_wall() {
    let rule = Rule { texture_deg: 1.5, ..RULE };
    let short = short_of(&shapes::cone(10.0, 10.0, 25.0, 48), rule);
    assert_eq!(short.len(), 1);
    assert!(!short[0].inside);
    assert!((short[0].required_deg - 3.5).abs() < 1e-9);
}
