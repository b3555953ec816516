//! Corners, ribs and cups whose leftover metal is known.

use super::judge;
use crate::analysis::Analysis;
use crate::fill::cells::Resolution;
use crate::fill::required_pressure::RequiredPressure;
use crate::findings::fixtures::{analysis, fixture_settings, plug, setup, with};
use crate::findings::{Finding, Kind, Severity};
use crate::mesh::{TriMesh, shapes};
use crate::mold::milling::CutterList;
use crate::mold::milling::outcome::CellSize;
use crate::process::feed::layout::FeedLayout;
use crate::settings::{FillChoices, MillChoices, Settings};
use crate::units::Quantity;

fn made(mesh: &TriMesh, milling: MillChoices, fill: FillChoices) -> Analysis {
    // The same feed for each, whatever way is shorter.
    let mut settings = Settings { fill, milling, ..fixture_settings() };
    settings.choices.feed.layout = Some(FeedLayout::Edge);
    with(mesh, setup("pp"), &settings)
}

fn no_fill() -> FillChoices {
    FillChoices { skip: true, ..FillChoices::default() }
}

/// One flat cutter that stands out so far, mm.
fn list(diameter: f64, stickout: f64) -> CutterList {
    let flute = 0.75 * stickout;
    let text = format!(
        "name = 'one'\nholder = '20 mm'\n[[cutter]]\nkind = 'flat'\ndiameter = '{diameter} mm'\n\
         flute = '{flute} mm'\nshank = '{diameter} mm'\nstickout = '{stickout} mm'"
    );
    CutterList::parse(&text).unwrap()
}

/// One flat cutter that is long enough.
fn one(diameter: f64, as_milled: bool) -> MillChoices {
    MillChoices {
        cutters: Some(list(diameter, 40.0)),
        cell: CellSize::Edge(0.1),
        as_milled,
        ..MillChoices::default()
    }
}

/// Findings on a part, cut with it.
fn cut(mesh: &TriMesh, diameter: f64, as_milled: bool) -> Vec<Finding> {
    let milling = one(diameter, as_milled);
    judge(&made(mesh, milling, no_fill()))
}

#[test]
fn a_sound_part_leaves_no_metal() {
    assert_eq!(judge(&analysis(&plug())), Vec::new());
}

/// A box of 30 × 20 × 4 has four corners in the plan: 3 mm of radius leave R (√2 − 1) =
/// 1.24264 mm there, 1 mm leaves 0.41421.
#[test]
fn corners_of_a_box_are_reported_with_their_metal() {
    let block = shapes::cuboid(30.0, 20.0, 4.0);
    for (diameter, left, severity) in
        [(6.0, 1.24264, Severity::Fix), (2.0, 0.41421, Severity::Note)]
    {
        let found = cut(&block, diameter, false);
        assert_eq!(found.len(), 4, "{found:?}");
        for finding in found {
            assert_eq!((finding.kind, finding.severity), (Kind::MetalLeft, severity));
            assert!((finding.value.unwrap() - left).abs() <= 0.1, "{finding:?}");
            let [x, y, _] = finding.at_mm.unwrap();
            let far = |at: f64, edge: f64| at.min(edge - at);
            assert!(far(x, 30.0).abs() < 0.2 && far(y, 20.0).abs() < 0.2, "{finding:?}");
            assert!(finding.cure.contains("radius"), "{finding:?}");
        }
    }
}

/// A plate of 40 × 30 × 2 with an upright rib of 1 mm, 8 mm high. No cutter of 3 mm enters
/// its slot, so what comes out is the plate: its volume, its wall, no short face of a rib,
/// and a filling that holds the plate alone.
#[test]
fn a_rib_that_is_not_cut_does_not_come_out() {
    let (y, z) = ([0.0, 14.5, 15.5, 30.0], [0.0, 2.0, 10.0]);
    let part = shapes::blocks([&[0.0, 40.0], &y, &z], |_, j, k| k == 0 || j == 1);
    let fill = FillChoices { cells: Resolution::EdgeMm(0.8), ..FillChoices::default() };
    let [drawn, milled] = [false, true].map(|it| made(&part, one(3.0, it), fill.clone()));
    let volume = |it: &Analysis| 1e9 * it.shape.volume.unwrap().si();
    assert!((volume(&drawn) - 2720.0).abs() < 1e-6);
    // The corners of the plate lose a touch to the round cutter as well.
    assert!((volume(&milled) - 2400.0).abs() < 12.0, "{}", volume(&milled));
    let cells = |it: &Analysis| it.filling.as_ref().unwrap().cells.total_mm3();
    assert!((cells(&drawn) - 2720.0).abs() < 1.0, "{}", cells(&drawn));
    assert!((cells(&milled) - 2400.0).abs() < 36.0, "{}", cells(&milled));
    // The melt asks for what the plate alone asks for.
    let needs = |it: &Analysis| match it.filling.as_ref().unwrap().least {
        RequiredPressure::Pressure { pa, .. } => pa,
        _ => f64::INFINITY,
    };
    let plate = made(&shapes::cuboid(40.0, 30.0, 2.0), one(3.0, false), fill.clone());
    let ratio = needs(&milled) / needs(&plate);
    assert!((ratio - 1.0).abs() < 0.08, "{ratio} of {}", needs(&plate));
    let thinnest = |it: &Analysis| {
        let walls = it.walls.thickness.of_walls();
        walls.into_iter().flatten().fold(f64::INFINITY, f64::min)
    };
    assert!((thinnest(&drawn) - 1.0).abs() < 1e-3, "{}", thinnest(&drawn));
    assert!((thinnest(&milled) - 2.0).abs() < 0.12, "{}", thinnest(&milled));
    let on_rib = |it: &Analysis| {
        let faces = it.release.short.iter();
        faces.filter(|face| face.at.z > 2.0 && face.height > 7.0).count()
    };
    assert!(on_rib(&drawn) >= 2 && on_rib(&milled) == 0);
    assert!(milled.hidden_faces >= 2 && drawn.hidden_faces == 0);
}

/// A plate of 0.6 mm, thinner than PP asks for, with a boss of 2.4 mm square and 3 mm high
/// that a cutter of 3 mm does not enter: along the pull 3.6 mm were drawn there and 0.6 mm
/// come out.
#[test]
fn a_wall_that_metal_thins_along_the_pull_is_reported() {
    let steps = [0.0, 10.0, 12.4, 24.0];
    let part = shapes::blocks([&steps, &steps, &[0.0, 0.6, 3.6]], |i, j, k| {
        k == 0 || (i == 1 && j == 1)
    });
    let found = cut(&part, 3.0, true);
    let thin = found.iter().find(|it| it.kind == Kind::ThinAsMilled).unwrap();
    assert!((thin.value.unwrap() - 0.6).abs() < 1e-6, "{thin:?}");
    assert_eq!(thin.severity, Severity::Fix);
    assert!(!cut(&part, 3.0, false).iter().any(|it| it.kind == Kind::ThinAsMilled));
}

/// A cup is formed by a core that stands 28 mm out of its parting face. Clamped 20 mm deep a
/// holder of 20 mm cannot come down beside it: metal stays on the face there and keeps the
/// halves apart. A cutter that stands out 40 mm leaves none.
#[test]
fn metal_on_the_parting_keeps_the_halves_apart() {
    let cup = shapes::cup(20.0, 30.0, 2.0, 1.0, 64);
    for (stickout, keeps) in [(20.0, true), (40.0, false)] {
        let milling = MillChoices {
            cutters: Some(list(3.0, stickout)),
            cell: CellSize::Edge(0.2),
            ..MillChoices::default()
        };
        let found = judge(&made(&cup, milling, no_fill()));
        let apart = found.iter().find(|it| it.kind == Kind::PartingMetal);
        assert_eq!(apart.is_some(), keeps, "{found:?}");
        if let Some(apart) = apart {
            assert_eq!(apart.severity, Severity::Fix);
            let [x, y, z] = apart.at_mm.unwrap();
            // Outside the rim of 20 mm and 30 tan 1°, within the holder.
            assert!((20.5..31.0).contains(&x.hypot(y)), "{apart:?}");
            assert!((z - 30.0).abs() < 1e-6 && apart.value.unwrap() > 5.0, "{apart:?}");
        }
    }
}
