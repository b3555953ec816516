//! Against hand arithmetic on a cup given by its measures.

use crate::process::evaluation::clamping::MoldClamping;
use crate::process::evaluation::{
    Choices, Core, Dimension, Evaluation, EvaluationInput, PartData, evaluate,
};
use crate::process::feed::FeedChoices;
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
        cores: vec![core("27 mm", 1.0)],
        ..PartData::default()
    }
}

/// A core of 35 mm diameter.
fn core(height: &str, draft_deg: f64) -> Core {
    let height = length(height);
    Core {
        walls: Area::from_si(std::f64::consts::PI * 0.035 * height.si()),
        height,
        draft: from_degrees(draft_deg),
        closed: true,
    }
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

/// 30 mm deep with 20 mm behind take the bar of 50 mm. Its halves open more than the 13 µm in
/// which PP stays (its vent depth), so the next bar is taken, which holds; a press file's own
/// plate stays. A part of half the size is content with the bar of its depth.
#[test]
fn plates_are_thick_and_stiff_enough_for_the_part() {
    let plastics = Plastics::builtin().unwrap();
    let plastic = plastics.find("pp").unwrap();
    let given = |text: &str| {
        let mut press = Press::builtin().unwrap();
        press.mold = Some(crate::units::from_toml(text).unwrap());
        let choices = Choices::default();
        evaluate(
            &cup(),
            &EvaluationInput { press: &press, plastic, choices: &choices, filling: None },
        )
        .clamping
    };
    let gap = |clamping: &MoldClamping| in_mm(clamping.bolted().unwrap().shut.gap);
    let thin = given("thickness = '50 mm'");
    assert!((in_mm(thin.plates.thickness) - 50.0).abs() < 1e-9 && gap(&thin) > 0.013);
    let chosen = given("");
    assert!((in_mm(chosen.plates.thickness) - 60.0).abs() < 1e-9 && gap(&chosen) < 0.013);
    assert!((in_mm(chosen.bolted().unwrap().behind) - 30.0).abs() < 1e-9);
    assert!(chosen.plates.assumed.iter().any(|it| it.starts_with("thickness: 60 mm")));
    let small = PartData {
        projected_area: read("3 cm2").unwrap(),
        extents: [length("20 mm"); 2],
        ..cup()
    };
    let small = made(&small, &Choices::default()).clamping;
    assert!((in_mm(small.plates.thickness) - 50.0).abs() < 1e-9, "{}", gap(&small));
}

/// A quarter of the load's arm on the bolts: the worst bolt bears more than its quarter.
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

/// 8 E ε t h f by hand for the core, and nothing more from draft.
#[test]
fn force_by_hand_and_with_more_draft() {
    let friction = |draft: f64| {
        let shape = PartData { cores: vec![core("27 mm", draft)], ..cup() };
        let ejection = made(&shape, &Choices::default()).ejection.unwrap();
        (ejection.core.typical - ejection.vacuum).si()
    };
    let plastics = Plastics::builtin().unwrap();
    let pp = plastics.find("pp").unwrap();
    let left = pp.hot_stiffness.value.unwrap().typical().si();
    let modulus = pp.modulus.value.unwrap().si() * left;
    let strain = made(&cup(), &Choices::default()).shrinkage.unwrap().nominal.si();
    let rub = pp.friction.value.unwrap().typical();
    let by_hand = 8.0 * modulus * strain * 0.0025 * 0.027 * rub;
    assert!((friction(0.0) / by_hand - 1.0).abs() < 1e-9);
    assert!(friction(1.0) < friction(0.0) && friction(3.0) < friction(1.0));
}

/// A wall grips a thin pin no more than a wall as thick as the pin's radius.
#[test]
fn a_thick_wall_around_a_thin_core_counts_by_the_core() {
    let thin = Core {
        walls: Area::from_si(std::f64::consts::TAU * 1e-3 * 0.01),
        ..core("10 mm", 0.0)
    };
    let pressure = |wall: &str| {
        let shape = PartData { cores: vec![thin], wall: Some(length(wall)), ..cup() };
        let ejection = made(&shape, &Choices::default()).ejection.unwrap();
        (ejection.core.typical - ejection.vacuum).si()
    };
    assert!((pressure("1 mm") / pressure("3 mm") - 1.0).abs() < 1e-9);
    assert!(pressure("0.5 mm") < pressure("1 mm"));
}

#[test]
fn what_is_not_known_stays_unknown() {
    let evaluation = made(&PartData { volume: None, ..cup() }, &Choices::default());
    assert!(evaluation.feed_design.is_err() && evaluation.shot.is_none());
    assert!(evaluation.timing.cool.is_some() && evaluation.timing.cycle.is_none());
    let flat = made(&PartData { cores: Vec::new(), ..cup() }, &Choices::default());
    let ejection = flat.ejection.unwrap();
    assert!(ejection.keeper.is_none() && ejection.is_loose());
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
