//! Against hand arithmetic on a cup given by its measures.

use crate::part::wall_change::WallChange;
use crate::process::clamping::mold_plates::{Bars, Mold};
use crate::process::ejection::{Keeper, Ring};
use crate::process::evaluation::clamping::{MoldClamping, halves};
use crate::process::evaluation::{
    CavityFace, Choices, Core, Dimension, Evaluation, EvaluationInput, Grips,
    KnownFilling, PartData, RequiredBand, evaluate,
};
use crate::process::feed::{FeedChoices, layout::FeedLayout, sizing::LOSS_GOAL};
use crate::process::plastic::cavity_sizes::Kind;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::process::sourced::Range;
use crate::units::{Area, Length, Quantity, Ratio, from_degrees, in_mm, in_mm2, read};

fn length(text: &str) -> Length {
    read(text).unwrap()
}

/// A cup by its measures: 10 cm³, a projected area of 12 cm², walls of 2.5 mm, one core.
fn cup() -> PartData {
    PartData {
        volume: read("10 cm3").ok(),
        size: [length("40 mm"), length("40 mm"), length("30 mm")],
        projected_area: read("12 cm2").unwrap(),
        extents: [length("40 mm"); 2],
        depths: [length("0 mm"), length("30 mm")],
        wall: Some(length("2.5 mm")),
        thickest: Some(length("3 mm")),
        core_grips: core("27 mm", 1.0),
        ..PartData::default()
    }
}

/// A round core of 35 mm diameter, closed at its end, in a wall of 2.5 mm.
fn core(height: &str, draft_deg: f64) -> Grips {
    let height = length(height);
    let pi = std::f64::consts::PI;
    let ring = Ring {
        walls: Area::from_si(pi * 0.035 * height.si()),
        outline: Length::from_si(pi * 0.035),
        corners: 0.0,
        wall: length("2.5 mm"),
        draft: from_degrees(draft_deg),
        closed: Area::from_si(pi * 0.0175 * 0.0175),
    };
    Grips { rings: vec![Core { ring, height }], walls: Vec::new() }
}

fn made(shape: &PartData, choices: &Choices) -> Evaluation {
    let press = Press::builtin().unwrap();
    let plastics = Plastics::builtin().unwrap();
    let plastic = plastics.find("pp").unwrap();
    evaluate(shape, &EvaluationInput { press: &press, plastic, choices, filling: None })
}

/// The feed that is sized stands in shot and projected area; a share that is given replaces it.
#[test]
fn the_feed_counts_in_shot_and_projected_area() {
    let evaluation = made(&cup(), &Choices::default());
    let feed = &evaluation.feed_design.as_ref().unwrap().feed;
    let area = in_mm2(evaluation.clamping.force.area);
    assert!((area - 1200.0 - in_mm2(feed.projected_area())).abs() < 1e-6, "{area}");
    let opening = evaluation.clamping.force.opening.si();
    let pressure = evaluation.clamping.force.pressure.si();
    assert!((opening - pressure * area * 1e-6).abs() < 1e-6);
    let shared = Choices { feed_share: read("50 %").ok(), ..Choices::default() };
    let shared = made(&cup(), &shared);
    assert!((in_mm2(shared.clamping.force.area) - 1800.0).abs() < 1e-6);
}

/// A quarter of the freezing time of the wall, which grows with its square; never more flow
/// than the ram gives.
#[test]
fn the_flow_follows_wall_and_ram() {
    let time = |wall: &str| {
        let shape = PartData { wall: Some(length(wall)), ..cup() };
        let evaluation = made(&shape, &Choices::default());
        evaluation.feed_design.unwrap().filling.unwrap()
    };
    let (thin, thick) = (time("2 mm"), time("4 mm"));
    assert!((thick.time.si() / thin.time.si() - 4.0).abs() < 1e-6);
    assert!((thin.time.si() * 4.0 / thin.freezes.si() - 1.0).abs() < 1e-12);
    // 60 mm/s on 25 mm are 29.45 cm³/s.
    let hasty = time("0.3 mm");
    assert!(
        hasty.ram_limits && (crate::units::in_cm3_s(hasty.flow) - 29.452).abs() < 1e-2
    );
    assert!(!thin.ram_limits);
}

/// 30 mm deep with 20 mm behind take the bar of 50 mm, which holds a cup of 40 mm shut to the
/// 13 µm in which PP stays (its vent depth). A slab of 80 × 30 mm bows bars of one inch apart by
/// more than that: it takes the thinnest bar that does not. A press file's own plate stays.
#[test]
fn plates_are_thick_and_stiff_enough_for_the_part() {
    let plastics = Plastics::builtin().unwrap();
    let plastic = plastics.find("pp").unwrap();
    let choices = Choices::default();
    let given = |shape: &PartData, text: &str| {
        let mut press = Press::builtin().unwrap();
        press.mold = Some(crate::units::from_toml(text).unwrap());
        let with =
            EvaluationInput { press: &press, plastic, choices: &choices, filling: None };
        evaluate(shape, &with).clamping
    };
    let gap = |clamping: &MoldClamping| in_mm(clamping.bolted().unwrap().shut.gap);
    let thickness = |clamping: &MoldClamping| in_mm(clamping.plates.thickness);
    let cup = given(&cup(), "");
    assert!((thickness(&cup) - 50.0).abs() < 1e-9 && gap(&cup) < 0.013);
    assert!((in_mm(cup.bolted().unwrap().behind) - 20.0).abs() < 1e-9);
    assert!(cup.plates.assumed.concat().contains("thickness: 50 and 25 mm"));
    let [_, slab, ..] = parts();
    let own = given(&slab, "thickness = '25 mm'");
    assert!((thickness(&own) - 25.0).abs() < 1e-9 && gap(&own) > 0.013);
    let chosen = given(&slab, "");
    let mut bars = Bars::Metric.thicknesses_mm().into_iter().rev();
    let thinner = bars.find(|bar| *bar < thickness(&chosen) - 1e-9).unwrap();
    let thinner = format!("thickness = '{thinner} mm'");
    assert!(gap(&chosen) < 0.013 && gap(&given(&slab, &thinner)) > 0.013);
}

/// A slab of 80 × 30 × 4 mm, half in each plate, that fills at 2.8 MPa with a feed of 15 % more: by plane
/// elements in contact its halves open by 11 µm in bars of 30 mm, by 16 in bars of 25 mm; PP stays in 13.
#[test]
fn a_flat_part_takes_a_thin_bar() {
    let [_, slab, ..] = parts();
    let flat = PartData { depths: [length("2 mm"); 2], ..slab };
    let plastics = Plastics::builtin().unwrap();
    let (press, choices) = (Press::builtin().unwrap(), Choices::default());
    let plastic = plastics.find("pp").unwrap();
    let pressure = read("2.8 MPa").unwrap();
    let filling = KnownFilling {
        time: read("0.5 s").unwrap(),
        flow: read("20 cm3/s").unwrap(),
        required: RequiredBand { best: pressure, expected: pressure, worst: pressure },
    };
    let filling = Some(filling);
    let with = EvaluationInput { press: &press, plastic, choices: &choices, filling };
    let plates = evaluate(&flat, &with).clamping.plates;
    assert!((in_mm(plates.thickness) - 30.0).abs() < 1e-9, "{plates:?}");
}

/// The plate of the half in which the part lies deeper is the thicker one; plates of a press
/// file are alike.
#[test]
fn each_half_has_its_plate() {
    let depths = [length("4 mm"), length("20 mm")];
    let mut plates = Mold::default().plates([length("60 mm"); 2], None);
    plates.set_thickness([length("40 mm"), length("25 mm")], "40 and 25 mm");
    let chosen = halves(&plates, depths).map(|half| in_mm(half.thickness));
    assert!((chosen[0] - 25.0).abs() < 1e-9 && (chosen[1] - 40.0).abs() < 1e-9);
    plates.shallower = plates.thickness;
    let alike = halves(&plates, depths).map(|half| in_mm(half.thickness));
    assert!(alike.iter().all(|it| (it - 40.0).abs() < 1e-9));
}

/// A quarter of the load's arm on the bolts: the worst bolt carries more than its quarter.
#[test]
fn pressure_off_the_middle_loads_one_bolt_more() {
    let load = |off: &str| {
        let shape = PartData { off_middle: [length(off), length("0 mm")], ..cup() };
        let clamping = made(&shape, &Choices::default()).clamping;
        let yaw = clamping.force.yaw.map(in_mm).unwrap();
        (
            clamping.bolted().unwrap().shut.loads.worst.si()
                / clamping.force.opening.si(),
            yaw,
        )
    };
    let ((middle, none), (beside, some)) = (load("0 mm"), load("8 mm"));
    assert!((middle - 0.25).abs() < 1e-9 && none.abs() < 1e-9);
    assert!(beside > 0.26 && (some - 8.0).abs() < 1e-9, "{beside} {some}");
}

/// By hand for the core: E ε / [(b² + a²)/(b² − a²) + ν] / (1 − ν/2) on its walls, with the
/// share of the shrinkage between 130 and 90 °C; and less with draft.
#[test]
fn force_by_hand_and_with_more_draft() {
    let friction = |draft: f64| {
        let shape = PartData { core_grips: core("27 mm", draft), ..cup() };
        let ejection = made(&shape, &Choices::default()).ejection.unwrap();
        (ejection.core.typical - ejection.vacuum).si()
    };
    let plastics = Plastics::builtin().unwrap();
    let pp = plastics.find("pp").unwrap();
    let left = pp.hot_stiffness.value.unwrap().typical().si();
    let modulus = pp.modulus.value.unwrap().si() * left;
    let strain =
        made(&cup(), &Choices::default()).shrinkage.unwrap().nominal.si() * 40.0 / 107.0;
    let rub = pp.friction.value.unwrap().typical();
    let (a, b): (f64, f64) = (17.5, 20.0);
    let lame = (b * b + a * a) / (b * b - a * a) + 0.4;
    let pressure = modulus * strain / lame / 0.8;
    let by_hand = pressure * std::f64::consts::PI * 0.035 * 0.027 * rub;
    assert!((friction(0.0) / by_hand - 1.0).abs() < 1e-9);
    assert!(friction(1.0) < friction(0.0) && friction(3.0) < friction(1.0));
}

/// A wall varied twice as thick grips harder, and pins that share the load are asked for.
#[test]
fn thicker_walls_grip_harder() {
    let force = |walls: f64| {
        let shape = cup().reshaped(&WallChange::by(walls), from_degrees(0.0));
        let ejection = made(&shape, &Choices::default()).ejection.unwrap();
        (ejection.core.typical - ejection.vacuum).si()
    };
    let twice = force(2.0) / force(1.0);
    assert!((1.7..2.0).contains(&twice), "{twice}");
}

#[test]
fn what_is_not_known_stays_unknown() {
    let evaluation = made(&PartData { volume: None, ..cup() }, &Choices::default());
    assert!(evaluation.feed_design.is_err() && evaluation.shot.is_none());
    assert!(evaluation.timing.cool.is_some() && evaluation.timing.cycle.is_none());
    let flat =
        made(&PartData { core_grips: Grips::default(), ..cup() }, &Choices::default());
    let ejection = flat.ejection.unwrap();
    assert_eq!(ejection.keeping.keeper(), Keeper::Unsure);
    assert!(ejection.is_loose());
    let feed = FeedChoices { gate_depth: read("3 mm").ok(), ..FeedChoices::default() };
    let deep = made(&cup(), &Choices { feed, ..Choices::default() });
    assert!(deep.feed_design.unwrap_err().to_string().contains("gate_depth"));
}

/// Unipetrol Mosten MT 950 data sheet: 2.16 % along the flow, 2.25 % across it. By ISO 294-4
/// 40 mm are cut to 40 / (1 − S).
#[test]
fn each_axis_is_cut_by_its_own_shrinkage() {
    let one = |text: &str| {
        let share: Ratio = read(text).unwrap();
        Range { low: share, high: share, typical: Some(share) }
    };
    let whole = made(&cup(), &Choices::default());
    let given = Dimension { length: length("8 mm"), kind: Kind::Inside, along: Some(1) };
    let choices = Choices {
        shrink_along: [Some(one("2.16 %")), Some(one("2.25 %")), None],
        dimensions: vec![given],
        ..Choices::default()
    };
    let own = made(&cup(), &choices);
    let nominal =
        |evaluation: &Evaluation, at: usize| in_mm(evaluation.sizes[at].1.nominal);
    assert!((nominal(&own, 0) - 40.0 / (1.0 - 0.0216)).abs() < 1e-9);
    assert!((nominal(&own, 1) - 40.0 / (1.0 - 0.0225)).abs() < 1e-9);
    assert!((nominal(&own, 2) - nominal(&whole, 2)).abs() < 1e-12);
    assert!((nominal(&own, 3) - 8.0 / (1.0 - 0.0225)).abs() < 1e-9);
    assert!(whole.shrink_axes.is_none() && own.shrink_axes.is_some());
}

/// Rough measures of a part.
struct Rough {
    cm3: f64,
    plan_mm: [f64; 2],
    wall_mm: f64,
    thickest_mm: f64,
    deep_mm: f64,
}

/// Parts as people mold them at home: a cap of 25 mm, an opener of 80 × 30 × 4 mm, a box of
/// 60 × 40 × 20 mm and a knob of 28 mm.
fn parts() -> [PartData; 4] {
    let rough = |cm3, plan_mm, [wall_mm, thickest_mm, deep_mm]: [f64; 3]| {
        rough_part(&Rough { cm3, plan_mm, wall_mm, thickest_mm, deep_mm })
    };
    [
        rough(2.43, [25.0, 25.0], [2.0, 2.4, 12.0]),
        rough(9.6, [80.0, 30.0], [4.0, 4.0, 2.0]),
        rough(11.7, [60.0, 40.0], [2.0, 2.4, 20.0]),
        rough(4.5, [28.0, 28.0], [2.5, 5.0, 16.0]),
    ]
}

fn rough_part(rough: &Rough) -> PartData {
    let mm = crate::units::from_mm;
    let Rough { plan_mm: [x, y], deep_mm, .. } = *rough;
    let face = CavityFace { at: [mm(0.0); 3], depth: mm(deep_mm), room: mm(8.0) };
    PartData {
        volume: Some(crate::units::from_mm3(rough.cm3 * 1e3)),
        size: [x, y, deep_mm].map(mm),
        projected_area: crate::units::from_mm2(x * y),
        extents: [x, y].map(mm),
        depths: [mm(deep_mm), mm(0.0)],
        wall: Some(mm(rough.wall_mm)),
        thickest: Some(mm(rough.thickest_mm)),
        cavity_face: Some(face),
        ..PartData::default()
    }
}

/// Two cylinders of 2 in on a ram of 3/4 in, a hand lever with a vise, two cylinders of 4 in on
/// a ram of 1 in.
fn presses() -> [Press; 3] {
    let press = |drive: &str, ram: &str, orifice: &str, clamp: &str| {
        Press::parse(&format!(
            "name = 'p'\n[drive.{drive}\n[ram]\ndiameter = '{ram}'\nstroke = '6 in'\n\
             loss = '30 %'\n[nozzle]\norifice = '{orifice}'\nland = '6 mm'\n\
             seat_diameter = '8 mm'\n[clamp{clamp}"
        ))
        .unwrap()
    };
    let air = |bore: &str| {
        format!(
            "air]\ncylinders = 2\nbore = '{bore}'\nacts = 'push'\nair = '120 psi'\nefficiency = '90 %'"
        )
    };
    let bolts = ".bolts]\ncount = 4\nsize = 'M8'\nclass = '8.8'\ntorque = '24 N m'";
    let lever = "lever]\nhand = '400 N'\nlong_arm = '1000 mm'\nshort_arm = '100 mm'";
    [
        press(&air("2 in"), "0.75 in", "3.2 mm", bolts),
        press(lever, "20 mm", "3 mm", "]\nvise = '20 kN'"),
        press(&air("4 in"), "1 in", "4 mm", bolts),
    ]
}

/// Nozzle to gate take a quarter of the melt pressure, or the bound that stopped them is named;
/// the other layouts stand beside. A sprue in the parting line is for a vise.
#[test]
fn the_feed_takes_a_quarter_or_names_the_bound() {
    let plastics = Plastics::builtin().unwrap();
    let choices = Choices::default();
    let layouts = [FeedLayout::Edge, FeedLayout::Split, FeedLayout::Edge];
    let pairs = presses().into_iter().zip(layouts);
    for ((press, usual), shape) in
        pairs.flat_map(|it| parts().map(|part| (it.clone(), part)))
    {
        for name in ["pp", "abs", "hdpe"] {
            let plastic = plastics.find(name).unwrap();
            let with = EvaluationInput {
                press: &press,
                plastic,
                choices: &choices,
                filling: None,
            };
            let design = evaluate(&shape, &with).feed_design.unwrap();
            let lost = design.lost().unwrap();
            let is_over = lost > press.melt_pressure() * LOSS_GOAL * (1.0 + 1e-9);
            assert_eq!(is_over, design.bound.is_some(), "{name}: {design:?}");
            if let Some(bound) = design.bound {
                assert!(!bound.text().is_empty() && !bound.remedy().is_empty());
            }
            let offered = design.alternatives.len() + 1 + design.not_offered.len();
            assert_eq!(offered, 3, "{name}");
            let taken = design.feed.layout;
            assert!([usual, FeedLayout::Direct].contains(&taken), "{name}: {taken:?}");
        }
    }
}

/// Once the filling is known, time, flow, losses, vents and the fill step follow it, and no size
/// changes.
#[test]
fn the_known_filling_is_the_only_one() {
    let plastics = Plastics::builtin().unwrap();
    let (press, choices) = (Press::builtin().unwrap(), Choices::default());
    let plastic = plastics.find("pp").unwrap();
    let before =
        EvaluationInput { press: &press, plastic, choices: &choices, filling: None };
    let pressure = read("5 MPa").unwrap();
    let filling = KnownFilling {
        time: read("0.5 s").unwrap(),
        flow: read("20 cm3/s").unwrap(),
        required: RequiredBand { best: pressure, expected: pressure, worst: pressure },
    };
    let after = EvaluationInput { filling: Some(filling), ..before };
    let [before, after] = [before, after].map(|with| evaluate(&cup(), &with));
    let vents = [&before, &after].map(|it| it.vent_count().unwrap());
    let cycle = after.timing.cycle.clone().unwrap();
    let step = cycle.steps.iter().find(|step| step.what == "fill").unwrap();
    assert!((step.time.si() - 0.5).abs() < 1e-12);
    let [before, after] = [before, after].map(|it| it.feed_design.unwrap());
    assert_eq!(before.feed, after.feed);
    let known = after.filling.unwrap();
    assert!(known.is_computed && (known.flow.si() - 20e-6).abs() < 1e-12);
    assert!(after.cost.lost > before.cost.lost && vents[1] > vents[0], "{vents:?}");
}

/// A layout that is asked for is taken; one that the part does not allow is refused in a line.
#[test]
fn a_layout_is_taken_when_asked_for() {
    let with_layout = |layout: FeedLayout| Choices {
        feed: FeedChoices { layout: Some(layout), ..FeedChoices::default() },
        ..Choices::default()
    };
    let [shape, ..] = parts();
    for layout in FeedLayout::ALL {
        let design = made(&shape, &with_layout(layout)).feed_design.unwrap();
        assert_eq!(design.feed.layout, layout);
        assert!(!design.layout_assumed);
    }
    let bare = PartData { cavity_face: None, ..shape };
    let refused = made(&bare, &with_layout(FeedLayout::Direct)).feed_design.unwrap_err();
    assert!(refused.to_string().contains("flat face"), "{refused}");
    let design = made(&bare, &Choices::default()).feed_design.unwrap();
    let why = design.not_offered.iter().find(|it| it.0 == FeedLayout::Direct);
    assert!(why.unwrap().1.contains("flat face"), "{why:?}");
}
