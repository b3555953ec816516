//! A feed against hand arithmetic, and what must hold for every feed.

use proptest::prelude::{ProptestConfig, proptest};

use super::{Feed, FeedChoices, FeedTask, Freezing, design};
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::nozzle;
use crate::process::feed::options::most_diameter;
use crate::process::feed::sizing::LOSS_GOAL;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::units::{
    Length, Quantity, Time, from_grams, from_mm, in_cm3, in_mm, in_mm2, in_mpa, read,
};

fn plastic(name: &str) -> Plastic {
    Plastics::builtin().unwrap().find(name).unwrap().clone()
}

/// What a task needs besides: 20 g, a wall of 3 mm, an edge gate, 50 mm of runner and 30 mm of
/// sprue, sized by the rules.
fn task<'a>(plastic: &'a Plastic, press: &'a Press) -> FeedTask<'a> {
    FeedTask {
        layout: FeedLayout::Edge,
        part: from_grams(20.0),
        wall: from_mm(3.0),
        thickest: from_mm(3.0),
        most_gate_depth: from_mm(50.0),
        most_gate_width: from_mm(50.0),
        room: None,
        cavities: 1,
        runner_length: from_mm(50.0),
        sprue_length: from_mm(30.0),
        flow: None,
        plastic,
        press,
    }
}

fn feed(grams: f64, wall: f64, name: &str, choices: &FeedChoices) -> Feed {
    let (plastic, press) = (plastic(name), Press::builtin().unwrap());
    let task = FeedTask {
        part: from_grams(grams),
        wall: from_mm(wall),
        thickest: from_mm(wall),
        ..task(&plastic, &press)
    };
    design(&task, choices).unwrap()
}

fn near(seen: f64, wanted: f64, slack: f64) {
    assert!((seen - wanted).abs() <= slack, "{seen} is not {wanted}");
}

/// Hand arithmetic for 20 g, 50 mm, wall 3 mm, orifice 3 mm: runner 3.2 mm by Pye's rule, so
/// 4 mm; gate 1.8 × 3.6 mm; sprue 3.5 mm and 2 · 30 · tan 1.2° = 1.257 mm more at its foot.
#[test]
fn a_clip_of_twenty_grams() {
    let feed = feed(20.0, 3.0, "pp", &FeedChoices::default());
    near(in_mm(feed.runner.unwrap().diameter), 4.0, 1e-9);
    near(in_mm(feed.gate.depth), 1.8, 1e-9);
    near(in_mm(feed.gate.width), 3.6, 1e-9);
    near(in_mm(feed.gate.land), 1.25, 1e-9);
    near(in_mm(feed.sprue.inlet), 3.5, 1e-9);
    near(in_mm(feed.sprue.foot), 4.757, 5e-4);
    near(in_mm(feed.well.diameter), 4.757, 5e-4);
    near(in_mm(feed.well.length), 1.25 * 4.757, 1e-3);
    // π/12 (3.5² + 3.5·4.757 + 4.757²)·30 = 404.7; π/4·16·50 = 628.3; 8.1; 105.7 mm³.
    near(in_cm3(feed.volume()), 0.4047 + 0.6283 + 0.0081 + 0.1057, 2e-4);
    // 4·50 + 3.6·1.25 + π/4·4.757².
    near(in_mm2(feed.projected_area()), 200.0 + 4.5 + 17.77, 0.01);
    assert!(feed.notes.is_empty(), "{:?}", feed.notes);
    let times = feed.freezing.unwrap();
    assert!(times.gate < times.wall && times.runner > times.gate);
}

/// A trade rule: two thirds of a wall of 0.090 in is a gate of 0.060 × 0.120 in.
#[test]
fn a_gate_of_a_trade_example() {
    let wall: Length = read("0.090 in").unwrap();
    let choices =
        FeedChoices { gate_depth: Some(wall * (2.0 / 3.0)), ..FeedChoices::default() };
    let gate = feed(20.0, in_mm(wall), "pp", &choices).gate;
    near(gate.depth.si() / 0.0254, 0.060, 1e-9);
    near(gate.width.si() / 0.0254, 0.120, 1e-9);
}

#[test]
fn acrylic_takes_a_wider_runner() {
    let wide = |name: &str, choices: &FeedChoices| {
        in_mm(feed(20.0, 2.0, name, choices).runner.unwrap().diameter)
    };
    let rule = FeedChoices::default();
    near(wide("pp", &rule), 4.0, 1e-9);
    // 3.2 mm × 1.25 = 4.02 mm.
    near(wide("pmma", &rule), 5.0, 1e-9);
    let own = FeedChoices { cutters: vec![from_mm(6.0)], ..rule };
    near(wide("pp", &own), 6.0, 1e-9);
}

/// A wall of 2 mm cools in 6.1704 s and a rod of 2 mm in 3.0291 s (worked apart, see
/// `thermal/cooling`). With 35 s of hands the cycle is 41.17 s; twice that less the hands are
/// 47.34 s, in which a rod of 2 √(47.34 / 3.0291) = 7.906 mm cools.
#[test]
fn a_sprue_may_double_the_cycle() {
    let heat = |of: &str, at: &str| {
        format!("{of}_temperature = {{ value = {{ low = '{at}', high = '{at}' }} }}\n")
    };
    let text = format!(
        "[plastic.x]\ndiffusivity = '0.1 mm2/s'\nejection_temperature = '90 C'\n{}{}",
        heat("melt", "220 C"),
        heat("mold", "40 C")
    );
    let plastics = Plastics::builtin().unwrap().with_user_file(&text).unwrap();
    let press = Press::builtin().unwrap();
    let task =
        FeedTask { thickest: from_mm(2.0), ..task(plastics.find("x").unwrap(), &press) };
    near(in_mm(most_diameter(&task)), 7.906, 2e-3);
}

/// At a known flow the sizes grow until nozzle to gate lose a quarter of the melt pressure or a
/// bound stops them, and never beyond the bounds.
#[test]
fn sizes_follow_the_flow() {
    let (plastic, press) = (plastic("pp"), Press::builtin().unwrap());
    let melt = nozzle::melt(&plastic, &press).unwrap();
    let goal = press.melt_pressure().si() * LOSS_GOAL;
    let sized = |flow: &str| {
        let task = FeedTask {
            part: from_grams(5.0),
            runner_length: from_mm(10.0),
            sprue_length: from_mm(15.0),
            most_gate_width: from_mm(8.0),
            flow: read(flow).ok(),
            ..task(&plastic, &press)
        };
        let feed = design(&task, &FeedChoices::default()).unwrap();
        let lost = feed.loss_pa(&melt, task.flow.unwrap().si());
        assert!(feed.sprue.foot <= most_diameter(&task), "{feed:?}");
        assert!(feed.runner.unwrap().diameter <= most_diameter(&task));
        assert!(in_mm(feed.gate.depth) <= 0.9 * 3.0 + 1e-9);
        assert!(in_mm(feed.gate.width) <= 8.0 + 1e-9);
        (feed, lost)
    };
    let ((slow, lost), (fast, more)) = (sized("1 cm3/s"), sized("20 cm3/s"));
    assert!(lost <= goal, "{lost} {goal}");
    assert!(fast.volume() > slow.volume() && more > lost);
}

#[test]
fn a_sprue_on_the_part_is_its_own_gate() {
    let (plastic, press) = (plastic("pp"), Press::builtin().unwrap());
    let task = FeedTask {
        layout: FeedLayout::Direct,
        sprue_length: from_mm(15.0),
        room: Some(from_mm(6.0)),
        flow: read("5 cm3/s").ok(),
        ..task(&plastic, &press)
    };
    let feed = design(&task, &FeedChoices::default()).unwrap();
    assert!(feed.runner.is_none() && feed.gate.is_round);
    assert!(in_mm(feed.sprue.foot) <= 6.0);
    near(
        feed.gate.area().si(),
        std::f64::consts::FRAC_PI_4 * feed.sprue.foot.si().powi(2),
        1e-12,
    );
    // The sprue stands on the part's own area, and nothing else holds melt.
    near(in_mm2(feed.projected_area()), 0.0, 1e-12);
    let [a, b] = [feed.sprue.inlet, feed.sprue.foot].map(in_mm);
    let cone = std::f64::consts::PI / 12.0 * (a * a + a * b + b * b) * 15.0;
    near(in_cm3(feed.volume()), cone * 1e-3, 1e-9);
    let names: Vec<&str> = feed.links().iter().map(|link| link.name).collect();
    assert_eq!(names, ["into the orifice", "nozzle land", "sprue"]);
}

/// A plate takes as long to freeze as a rod of 1.37 times its measure (the worked 1.1838 and
/// 0.6292 s of 1 mm): behind a gate of 3 mm a runner has to have 4.1 mm or more.
#[test]
fn the_runner_outlasts_the_gate() {
    let feed = feed(10.0, 5.0, "pp", &FeedChoices::default());
    assert!(in_mm(feed.runner.unwrap().diameter) > 4.0);
    assert!(feed.notes.is_empty(), "{:?}", feed.notes);
    let times = feed.freezing.unwrap();
    assert!(times.runner >= times.gate);
    let seconds = |value| Some(Time::from_si(value));
    let wrong = Freezing {
        gate: seconds(5.0),
        runner: seconds(4.0),
        sprue: seconds(6.0),
        wall: seconds(3.0),
    };
    assert_eq!(wrong.faults().len(), 2);
}

/// A sprue in the parting line, here from 3.5 to 4.757 mm over 30 mm, adds its whole length to
/// the area, and no well.
#[test]
fn a_sprue_in_the_parting_line_opens_the_mold() {
    let (plastic, press) = (plastic("pp"), Press::builtin().unwrap());
    let across = feed(20.0, 3.0, "pp", &FeedChoices::default());
    let task = FeedTask { layout: FeedLayout::Split, ..task(&plastic, &press) };
    let split = design(&task, &FeedChoices::default()).unwrap();
    // (3.5 + 4.757)/2 · 30 in place of π/4 · 4.757².
    let more = in_mm2(split.projected_area()) - in_mm2(across.projected_area());
    near(more, 123.86 - 17.77, 0.05);
    near(in_cm3(across.volume()) - in_cm3(split.volume()), 0.1057, 2e-4);
}

#[test]
fn every_link_is_named_sized_and_weighed() {
    let feed = feed(20.0, 3.0, "pp", &FeedChoices::default());
    let melt = nozzle::melt(&plastic("pp"), &Press::builtin().unwrap()).unwrap();
    let flow = read("5 cm3/s").unwrap();
    let losses = feed.losses(&melt, flow);
    let names: Vec<&str> = losses.iter().map(|loss| loss.name).collect();
    let order =
        ["into the orifice", "nozzle land", "sprue", "runner", "into the gate", "gate"];
    assert_eq!(names, order);
    assert_eq!(losses[3].size, "4 mm × 50 mm");
    let sum: f64 = losses.iter().map(|loss| in_mpa(loss.loss)).sum();
    near(feed.loss_pa(&melt, 5e-6) * 1e-6, sum, 1e-9);
    // 4 Q/(π R³) in the runner.
    near(losses[3].apparent_rate, 4.0 * 5e-6 / (std::f64::consts::PI * 8e-9), 1e-6);
}

#[test]
fn refuses_what_cannot_be_milled() {
    let (plastic, press) = (plastic("pp"), Press::builtin().unwrap());
    let task = task(&plastic, &press);
    let rule = FeedChoices::default();
    let refused = |task: &FeedTask<'_>, choices: &FeedChoices, part: &str| {
        let error = design(task, choices).unwrap_err().to_string();
        assert!(error.contains(part), "{error}");
    };
    let deep = FeedChoices { gate_depth: Some(from_mm(4.0)), ..rule.clone() };
    refused(&task, &deep, "gate_depth must not be more than the wall");
    let flat = FeedChoices { gate_width: Some(from_mm(0.0)), ..rule.clone() };
    refused(&task, &flat, "gate_width must be more");
    let cutters = FeedChoices { cutters: vec![from_mm(-1.0)], ..rule.clone() };
    refused(&task, &cutters, "cutters");
    refused(&FeedTask { wall: from_mm(f64::NAN), ..task }, &rule, "wall");
    refused(&FeedTask { sprue_length: from_mm(-1.0), ..task }, &rule, "length");
    let direct = FeedTask { runner_length: from_mm(0.0), ..task };
    assert_eq!(design(&direct, &rule).unwrap().runner, None);
}

#[test]
fn says_when_the_nozzle_or_the_plastic_is_unknown() {
    let bare = "name = 'p'\ndrive = { ram_force = '3 kN' }\n[ram]\ndiameter = '25 mm'\n\
                stroke = '110 mm'";
    let press = Press::parse(bare).unwrap();
    let plastics = Plastics::builtin().unwrap().with_user_file("[plastic.x]").unwrap();
    let task = task(plastics.find("x").unwrap(), &press);
    let feed = design(&task, &FeedChoices::default()).unwrap();
    near(in_mm(feed.sprue.inlet), 3.5, 1e-9);
    assert!(feed.notes[0].contains("names no nozzle"), "{:?}", feed.notes);
    assert!(feed.freezing.is_err() && feed.links().len() == 4);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn loss_grows_with_the_flow_and_falls_with_a_wider_runner(
        q in 1e-8..5e-5_f64,
        more in 1.01..4.0_f64,
        (grams, wall) in (1.0..150.0_f64, 1.0..6.0_f64),
        name in proptest::sample::select(vec!["pp", "ps", "abs", "pmma"]),
    ) {
        let one = feed(grams, wall, name, &FeedChoices::default());
        let melt = nozzle::melt(&plastic(name), &Press::builtin().unwrap()).unwrap();
        let at = |feed: &Feed, q: f64| feed.loss_pa(&melt, q);
        assert!(at(&one, q * more) > at(&one, q));
        assert!(at(&one, 0.0).abs() < 1e-300);
        let mut wide = one.clone();
        wide.runner.as_mut().unwrap().diameter *= more;
        assert!(at(&wide, q) < at(&one, q));
        let mut long = one.clone();
        long.runner.as_mut().unwrap().length *= more;
        assert!(at(&long, q) > at(&one, q));
    }
}
