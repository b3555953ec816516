//! Parts and a report for the tests of the renderers.

use crate::findings::answer::{
    Answer, FirstChange, JudgedWith, Question, QuestionAnswer,
};
use crate::findings::causes::Cause;
use crate::findings::{Finding, Kind, Severity, Verdict};
use crate::geom::Point;
use crate::mesh::{TriMesh, samples::Samples, shapes};
use crate::part::halves::{Half, Side};
use crate::schema::{
    Alternative, Bin, BoundingBox, Clamp, Cooling, Defect, Draft, Ejection, Feed, Fill,
    FirstShotChange, FirstShots, Milling, Part, Parting, Plastic, Press, PressureWindow,
    Pull, Quantiles, Region, Repair, Report, SCHEMA, SheetRow, ShortFace, Shot,
    Shrinkage, Source, Thickness, Tool, Undercut, UndercutRegion, Vents,
};
use crate::units::us_words::ShownUnits;

/// A box of `size` about the origin.
pub(crate) fn block(size: [f64; 3]) -> TriMesh {
    let half = size.map(|edge| edge / 2.0);
    let corner = |i: usize| {
        let side =
            |axis: usize| if i >> axis & 1 == 1 { half[axis] } else { -half[axis] };
        Point::new(side(0), side(1), side(2))
    };
    let quads = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let facets =
        quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
    TriMesh::new((0..8).map(corner).collect(), facets)
}

/// A ball about the origin with `steps` meridians.
pub(crate) fn ball(radius: f64, steps: u32) -> TriMesh {
    let parallels = steps / 2;
    let outline: Vec<[f64; 2]> = (0..=parallels)
        .map(|i| {
            let angle =
                std::f64::consts::PI * (f64::from(i) / f64::from(parallels) - 0.5);
            [radius * angle.cos().max(0.0), radius * angle.sin()]
        })
        .collect();
    revolve(&outline, steps)
}

/// A cup, opening up: 20 wide, 10 high, walls 2 and floor 2.
pub(crate) fn cup() -> TriMesh {
    revolve(
        &[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [8.0, 10.0], [8.0, 2.0], [0.0, 2.0]],
        96,
    )
}

/// Turns `outline` (radius, height; counter-clockwise about the plastic) about z.
fn revolve(outline: &[[f64; 2]], steps: u32) -> TriMesh {
    let mut points = Vec::new();
    for [radius, height] in outline {
        for step in 0..steps {
            let angle = std::f64::consts::TAU * f64::from(step) / f64::from(steps);
            points.push(Point::new(radius * angle.cos(), radius * angle.sin(), *height));
        }
    }
    let mut facets = Vec::new();
    for ring in 0..outline.len() as u32 - 1 {
        for step in 0..steps {
            let next = (step + 1) % steps;
            let [a, b] = [ring * steps + step, ring * steps + next];
            facets.push([a, b, b + steps]);
            facets.push([a, b + steps, a + steps]);
        }
    }
    TriMesh::new(points, facets)
}

/// A block, a cup and a ring.
pub(crate) fn solids() -> [TriMesh; 3] {
    [
        shapes::cuboid(30.0, 20.0, 10.0),
        shapes::cup(10.0, 12.0, 2.0, 2.0, 48),
        shapes::torus(20.0, 5.0, 32),
    ]
}

/// The half that each facet faces along +z, upright ones to the − half.
pub(crate) fn facing(mesh: &TriMesh) -> Vec<Half> {
    let half = |up: f64| if up > 1e-9 { Half::Plus } else { Half::Minus };
    mesh.normals().iter().map(|normal| half(normal.z)).collect()
}

/// `count` points spread over `mesh`, as many on each facet as its area asks for.
pub(crate) fn scattered(mesh: &TriMesh, count: usize) -> Samples {
    let total: f64 = mesh.areas().iter().sum();
    let mut samples = Samples { area_each: total / count as f64, ..Samples::default() };
    for facet in 0..mesh.facets().len() {
        let [a, b, c] = mesh.corners(facet);
        for i in 0..(mesh.areas()[facet] / samples.area_each).round() as usize {
            // The additive recurrence of the golden ratio's two-dimensional kin spreads evenly.
            let u = (i as f64 * 0.754_877_666).fract();
            let v = (i as f64 * 0.569_840_291).fract();
            let (u, v) = if u + v > 1.0 { (1.0 - u, 1.0 - v) } else { (u, v) };
            samples.points.push(a + (b - a) * u + (c - a) * v);
            samples.normals.push(mesh.normals()[facet]);
            samples.facets.push(facet as u32);
        }
    }
    samples
}

/// What a file name should not be.
pub(crate) const HOSTILE: &str =
    "<script>alert('1')</script>|\"x\"&`_*[a](b)\n# lamp.stl";

/// A report with findings of every kind and with text that tries to break out.
pub(crate) fn report() -> Report {
    let text = |text: &str| text.to_owned();
    Report {
        schema: SCHEMA,
        tool: Tool { name: text("goodshot"), version: text("0.1.0") },
        part: part(),
        pull: pull(),
        thickness: thickness(),
        draft: draft(),
        undercut: undercut(),
        parting: Parting { loops: Some(1), flat: Some(true), ..Parting::default() },
        plastic: Plastic {
            name: text("abs"),
            given: false,
            description: text("ABS, <b>general</b> purpose"),
            solid_density_g_cm3: Some(1.05),
            melt_density_g_cm3: Some(0.97),
            melt_c: Some(230.0),
            mold_c: Some(50.0),
            cautions: vec![text("Dry it: 3 h at 85 °C")],
            ..Plastic::default()
        },
        press: Press {
            name: text("bench press"),
            given: false,
            class: text("hand_press"),
            melt_pressure_mpa: Some(21.4),
            ram_force_n: Some(4000.0),
            shot_capacity_cm3: Some(20.0),
            ram_diameter_mm: None,
            stroke_mm: Some(100.0),
            clamp: Some(text("two bar clamps")),
            cautions: Vec::new(),
            ..Press::default()
        },
        feed: Feed { gate_depth_mm: Some(1.2), ..Feed::default() },
        shot: Shot { total_g: Some(8.4), fraction: Some(0.44), ..Shot::default() },
        clamp: clamp(),
        fill: Fill { margin_band: Some([0.8, 1.7]), ..Fill::default() },
        cooling: Cooling { cool_s: Some(24.0), ..Cooling::default() },
        shrinkage: Shrinkage { scale: Some(1.0056), ..Shrinkage::default() },
        ejection: Ejection::default(),
        vents: Vents::default(),
        milling: Milling::default(),
        standing_metal: Vec::new(),
        pressure_window: pressure_window(),
        first_shots: first_shots(),
        sheet: vec![SheetRow {
            what: text("Dry"),
            value: text("80 °C, <b>2 h</b>"),
            basis: text("[GP35]"),
        }],
        shown_units: ShownUnits::default(),
        answer: answer(),
        causes: causes(),
        findings: findings(),
        what_if: Vec::new(),
        verdict: Verdict::FixFirst,
        assumptions: vec![text("No <unit> was given: mm"), "long ".repeat(80)],
        sources: vec![Source { key: text("GP35"), citation: text("a <data> sheet") }],
    }
}

fn clamp() -> Clamp {
    Clamp { margin: Some(1.8), opening_force_n: Some(9500.0), ..Clamp::default() }
}

fn pressure_window() -> PressureWindow {
    PressureWindow {
        range: "fills at 4.1 MPa".to_owned(),
        advice: "the press has 5 MPa".to_owned(),
        ..PressureWindow::default()
    }
}

fn first_shots() -> FirstShots {
    let change = FirstShotChange {
        seen: "short".to_owned(),
        change: "raise the <pressure>".to_owned(),
    };
    FirstShots { changes: vec![change], ..FirstShots::default() }
}

fn causes() -> Vec<Cause> {
    let cause = |finding: &Finding, number: usize| Cause::alone(finding, number);
    findings().iter().zip(1..).map(|(finding, number)| cause(finding, number)).collect()
}

fn answer() -> Answer {
    let judged = |what: &str, doubt: Option<&str>| JudgedWith {
        what: what.to_owned(),
        doubt: doubt.map(str::to_owned),
    };
    let questions = Question::ALL.map(|question| QuestionAnswer {
        question: question.name().to_owned(),
        severity: (question == Question::Fills).then_some(Severity::Stop),
        known: question != Question::Mills,
        text: "<b>12 of 30 g</b> | some".to_owned(),
    });
    let change = "Make the wall 0.4 mm thicker <img src=x onerror=alert(1)>".to_owned();
    Answer {
        why: "Wall of 0.5 mm is below the least, and 1 more to fix.".to_owned(),
        before_all: vec!["Cannot tell: no <clamp>.".to_owned()],
        judged_with: vec![
            judged("ABS <b>", None),
            judged("bench press", Some("an example")),
        ],
        questions: questions.to_vec(),
        do_first: vec![FirstChange { cause: 1, change }],
        then: "With this done, one cause is left to fix.".to_owned(),
    }
}

fn findings() -> Vec<Finding> {
    let finding = |severity, title: &str, value: Option<f64>| Finding {
        kind: Kind::ThinWall,
        severity,
        title: title.to_owned(),
        value,
        limit: value.map(|_| 0.9),
        unit: "mm".to_owned(),
        at_mm: value.map(|_| [12.0, -3.5, 0.004]),
        basis: "least wall of this plastic | class".to_owned(),
        cure: "Make the wall 0.4 mm thicker <img src=x onerror=alert(1)>".to_owned(),
        places: 1,
        change: None,
    };
    vec![
        finding(Severity::Stop, "Wall of 0.5 mm is below the least", Some(0.5)),
        finding(Severity::Fix, "a | b \\| c", Some(f64::NAN)),
        finding(Severity::Note, &"Averyverylongnamewithoutanybreak".repeat(8), None),
    ]
}

fn bounds() -> BoundingBox {
    BoundingBox { min: [-20.0, -15.0, 0.0], max: [20.0, 15.0, 12.5] }
}

fn part() -> Part {
    let hole = Defect { kind: "hole".to_owned(), count: 2, at_mm: Some([1.0, 2.0, 3.0]) };
    Part {
        file: HOSTILE.to_owned(),
        unit: "mm".to_owned(),
        unit_given: false,
        facets: 20_568,
        bodies: 1,
        closed: false,
        volume_mm3: None,
        area_mm2: 4321.0,
        centroid_mm: [0.0, 0.1, 6.0],
        bounding_box_mm: bounds(),
        inertia_mm5: None,
        chord_error_mm: Some(0.012),
        defects: vec![hole],
        repairs: vec![Repair {
            kind: "drop_duplicate_facets".to_owned(),
            count: 3,
            volume_mm3: None,
        }],
    }
}

fn pull() -> Pull {
    let other = Alternative {
        direction: [0.0, 0.6, 0.8],
        undercut_area_mm2: 120.0,
        undercut_volume_mm3: 40.0,
        short_area_mm2: 15.0,
        undercut_depth_mm: Some(0.8),
        lowest_draft_deg: None,
        parting_rise_mm: Some(1.25),
        height_mm: 18.0,
        projected_area_mm2: 700.0,
        score: 3.0,
        tied: false,
    };
    Pull {
        direction: [0.0, 0.0, 1.0],
        given: false,
        core_side: Half::Minus,
        height_mm: 12.5,
        projected_area_mm2: 980.0,
        projected_centroid_mm: [0.0, 0.0, 6.25],
        alternatives: vec![other; 15],
    }
}

fn thickness() -> Thickness {
    let bin = |i: u32| Bin {
        from: 0.25 * f64::from(i),
        to: 0.25 * f64::from(i + 1),
        share: (-(f64::from(i) - 8.0).powi(2) / 12.0).exp() / 6.0,
    };
    let thin = Region {
        area_mm2: 4.2,
        value_mm: 0.5,
        at_mm: [12.0, -3.5, 0.0],
        box_mm: bounds(),
    };
    let quantiles = Quantiles { p05: 0.93, p50: 2.02, p95: 3.1 };
    Thickness {
        samples: 20_000,
        spacing_mm: 0.46,
        ray_mm: Some(quantiles),
        ball_mm: None,
        limit_low_mm: Some(0.9),
        limit_high_mm: Some(4.0),
        thin: vec![thin],
        thick: Vec::new(),
        ray_histogram: (0..18).map(bin).collect(),
    }
}

fn draft() -> Draft {
    let face = ShortFace {
        area_mm2: 88.0,
        draft_deg: -0.4,
        height_mm: 9.0,
        required_deg: 1.5,
        inside: true,
        side: Side::Core,
        at_mm: [1.0, 2.0, 3.0],
    };
    Draft {
        required_deg: Some(1.5),
        cavity_area_mm2: 2000.0,
        core_area_mm2: 1800.0,
        upright_area_mm2: 300.0,
        short_area_mm2: 88.0,
        histogram: vec![
            Bin { from: -1.0, to: 0.0, share: 0.25 },
            Bin { from: 0.0, to: 1.0, share: 0.75 },
        ],
        faces: vec![face],
    }
}

fn undercut() -> Undercut {
    let region = UndercutRegion {
        area_mm2: 12.0,
        depth_mm: Some(0.8),
        volume_mm3: None,
        at_mm: [0.0, 14.0, 4.0],
        release_direction: Some([1.0, 0.0, 0.0]),
        ways_out: vec!["slide".to_owned(), "hand-loaded insert".to_owned()],
        cause: 1,
    };
    Undercut {
        area_mm2: 12.0,
        volume_mm3: None,
        depth_mm: Some(0.8),
        regions: vec![region],
    }
}
