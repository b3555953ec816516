//! Against a check of its own for each step, and against hand arithmetic.

use super::factors::{Factor, FactorRequest};
use super::steps::Case;
use crate::analysis::repeat::Reshaped;
use crate::analysis::{Analysis, Setup};
use crate::fill::cells::Resolution;
use crate::findings::fixtures::{analysis, fixture_settings, plug, setup, with};
use crate::findings::{self, Kind, Severity, Verdict};
use crate::mesh::shapes;
use crate::part::wall_change::WallChange;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::settings::Settings;
use crate::units::{Quantity, in_mm, in_mpa, read};
use crate::variations::{
    Attempt, OF_FILLING, Outcome, Tried, Turn, Variation, asks_more, run, turns, worst_of,
};
use std::collections::BTreeMap;

fn varied(analysis: &mut Analysis, settings: &Settings, wish: &str) -> Variation {
    let setup = analysis.setup.clone();
    let base = Case { setup, settings: settings.clone(), part: Reshaped::default() };
    let requests = [wish.parse::<FactorRequest>().unwrap()];
    let plastics = Plastics::builtin().unwrap();
    let mut all = run(analysis, &base, &requests, &plastics, &|_| {});
    assert_eq!(all.len(), 1);
    all.remove(0)
}

fn plain() -> Settings {
    let mut settings = fixture_settings();
    settings.fill.skip = true;
    settings
}

fn outcomes(variation: &Variation) -> Vec<(&str, &Outcome)> {
    let steps = variation.steps.as_ref().unwrap().iter();
    steps.map(|it| (it.text.as_str(), it.outcome.as_ref().unwrap())).collect()
}

/// A step is what a check of its own with that press says: all but the filling to the bit,
/// that, on cells of twice the edge, within a tenth.
#[test]
fn a_step_answers_as_a_check_of_its_own() {
    let mut settings = fixture_settings();
    settings.fill.cells = Resolution::Budget(3000);
    let mut base = with(&plug(), setup("pp"), &settings);
    let variation = varied(&mut base, &settings, "air: 5 bar, 9 bar");
    assert_eq!(variation.now, "7 bar");
    let gate = base.filling.as_ref().unwrap().gate;
    settings.fill.gate = Some(gate);
    for (text, outcome) in outcomes(&variation) {
        let mut other = setup("pp");
        other.press.drive.air.as_mut().unwrap().air = read(text).unwrap();
        let alone = with(&plug(), other, &settings);
        let apart = |kinds: BTreeMap<Kind, Severity>| -> BTreeMap<Kind, Severity> {
            kinds.into_iter().filter(|(kind, _)| !OF_FILLING.contains(kind)).collect()
        };
        let found = worst_of(&findings::judge(&alone));
        assert_eq!(apart(outcome.kinds.clone()), apart(found), "{text}");
        let margin = alone
            .filling
            .as_ref()
            .unwrap()
            .margin(alone.setup.press.melt_pressure().si());
        let ratio = outcome.fill_margin.unwrap() / margin.unwrap();
        assert!((ratio - 1.0).abs() < 0.1, "{text}: {ratio}");
        let force = alone.evaluation.ejection.as_ref().unwrap().force().typical.si();
        assert_eq!(outcome.ejection_n, Some(force));
    }
}

/// The analysis is that of the check again afterwards.
#[test]
fn nothing_is_left_of_what_was_tried() {
    let settings = fixture_settings();
    let mut varied_one = analysis(&plug());
    let before = findings::judge(&varied_one);
    for wish in ["wall: 2 mm, 5 mm", "plastic: abs, pom", "draft: 1 deg", "bolts: 2"] {
        varied(&mut varied_one, &settings, wish);
    }
    let untouched = analysis(&plug());
    assert_eq!(findings::judge(&varied_one), before);
    assert_eq!(varied_one.shape, untouched.shape);
    assert_eq!(varied_one.walls.thickness.ray, untouched.walls.thickness.ray);
    assert_eq!(varied_one.setup.plastic, untouched.setup.plastic);
    let arrivals = |it: &Analysis| it.filling.as_ref().unwrap().run.arrival_s.clone();
    assert_eq!(arrivals(&varied_one), arrivals(&untouched));
}

/// Pressure goes with the air and with the square of the bore, the opening force with the
/// pressure, so the margin of the clamp with its inverse, as long as all of the pressure counts
/// and the feed is as large as before.
#[test]
fn pressure_and_clamp_follow_the_press() {
    let mut settings = plain();
    settings.choices.feed_share = read("15 %").ok();
    let mut base = with(&plug(), setup("pp"), &settings);
    let margin = base.evaluation.clamping.margin().unwrap();
    let pressure = in_mpa(base.setup.press.melt_pressure());
    for (wish, now) in
        [("air: 3.5 bar, 10 bar", 7.0), ("cylinder bore: 40 mm, 80 mm", 63.0_f64)]
    {
        let variation = varied(&mut base, &settings, wish);
        for (text, outcome) in outcomes(&variation) {
            let value: f64 = text.split(' ').next().unwrap().parse().unwrap();
            let power = if now > 7.0 { 2.0 } else { 1.0 };
            let factor = (value / now).powf(power);
            assert!((outcome.melt_pressure_mpa / pressure / factor - 1.0).abs() < 1e-9);
            let seen = outcome.clamp_margin.unwrap();
            assert!((seen * factor / margin - 1.0).abs() < 1e-9, "{text}: {seen}");
        }
    }
}

/// Twice the wall is twice the grams and four times the cooling of the part; more draft
/// takes less force.
#[test]
fn walls_and_draft_change_the_part() {
    let mut base = analysis(&plug());
    let wall = in_mm(base.shape.wall.unwrap());
    let part =
        |it: &Analysis| it.evaluation.shot.as_ref().unwrap().as_ref().unwrap().part.si();
    let grams = part(&base);
    let measured = base.measured();
    let setup: Setup = base.setup.clone();
    let wide = Reshaped { walls: WallChange::by(2.0), ..Reshaped::default() };
    base.again(&measured, &setup, &plain(), wide);
    assert!((part(&base) / grams - 2.0).abs() < 1e-9);
    assert!((in_mm(base.shape.wall.unwrap()) / wall - 2.0).abs() < 1e-9);
    base.again(&measured, &setup, &plain(), Reshaped::default());
    let variation = varied(&mut base, &plain(), "draft");
    let forces: Vec<f64> =
        outcomes(&variation).iter().map(|(_, it)| it.ejection_n.unwrap()).collect();
    assert!(forces.len() == 7 && forces.windows(2).all(|two| two[1] <= two[0]));
    assert!(forces[6] < forces[0]);
}

/// A block of 30 mm without draft: its faces ask for it, and enough more of it is enough.
/// What a face lacks by hand: what it needs, less nothing.
#[test]
fn draft_turns_where_the_steepest_face_has_enough() {
    let block = shapes::cuboid(20.0, 30.0, 10.0);
    let mut base = with(&block, setup("pp"), &plain());
    let needed = base.release.short.iter().map(|it| it.required_deg).fold(0.0, f64::max);
    assert!(needed > 0.3, "{needed}");
    let wish = format!("draft: {} deg, {} deg", needed - 0.01, needed + 0.01);
    let variation = varied(&mut base, &plain(), &wish);
    let kinds: Vec<bool> = outcomes(&variation)
        .iter()
        .map(|(_, it)| it.kinds.contains_key(&Kind::Draft))
        .collect();
    assert_eq!(kinds, [true, false]);
}

/// A weak clamp: more bolts, larger ones or more torque hold it; the step reported is the
/// nearest that does, by the closed margin preload over load.
#[test]
fn the_nearest_step_that_turns_a_finding_is_reported() {
    let mut weak = setup("pp");
    let text = "name = 'p'\ndrive = { ram_force = '4 kN' }\n[ram]\ndiameter = '14 mm'\n\
                stroke = '100 mm'\n[clamp.bolts]\ncount = 4\nsize = 'M5'\nclass = '8.8'\n\
                torque = '2 N m'";
    weak.press = Press::parse(text).unwrap();
    let cup = shapes::cup(25.0, 15.0, 3.0, 3.0, 96);
    let mut base = with(&cup, weak, &plain());
    let margin = base.evaluation.clamping.margin().unwrap();
    assert!(margin < 1.0, "{margin}");
    let variation =
        varied(&mut base, &plain(), "bolt torque: 3 N m, 4 N m, 5 N m, 5.5 N m");
    let clamp = |it: &Turn| it.kind == Kind::Clamp;
    let turn = variation.turns.iter().find(|it| clamp(it)).unwrap();
    let enough = outcomes(&variation)
        .into_iter()
        .find(|(_, it)| it.clamp_margin.is_some_and(|margin| margin >= 1.0));
    assert_eq!(
        turn.at,
        enough.map(|(text, _)| text.to_owned()).into_iter().collect::<Vec<_>>()
    );
    // The margin of the bolts goes with their torque.
    for (text, outcome) in outcomes(&variation) {
        let torque: f64 = text.split(' ').next().unwrap().parse().unwrap();
        assert!(
            (outcome.clamp_margin.unwrap() / (margin * torque / 2.0) - 1.0).abs() < 1e-9
        );
    }
}

/// A common compressor gives 120 psi, 8.27 bar (common practice).
#[test]
fn what_asks_more_than_a_press_is_rated_for_says_what_must_be() {
    let step = |away: f64, value: f64| {
        let (text, outcome) = (format!("{value} bar"), Err(String::new()));
        Attempt { away, tried: Tried { text, value: Some(value), outcome } }
    };
    let tried = [step(-1.0, 6.0), step(1.0, 8.0), step(2.0, 9.0)];
    let turn = |at: &str| Turn {
        kind: Kind::ShortShot,
        title: String::new(),
        severity: Severity::Stop,
        at: vec![at.to_owned()],
        not_yet: None,
        gone: true,
        then: Vec::new(),
    };
    for (factor, at, is_more) in [
        (Factor::Air, "6 bar", false),
        (Factor::Air, "8 bar", false),
        (Factor::Air, "9 bar", true),
        (Factor::RamForce, "8 bar", true),
        (Factor::RamForce, "6 bar", false),
        (Factor::RamDiameter, "6 bar", true),
        (Factor::RamDiameter, "8 bar", false),
    ] {
        assert_eq!(asks_more(factor, &tried, &[turn(at)]), is_more, "{factor:?} {at}");
    }
    assert!(Factor::Air.beware().unwrap().contains("8.27 bar"));
    assert!(Factor::Wall.beware().is_none());
}

/// Nothing of a shop in inches is offered in millimeters or bar.
#[test]
fn a_shop_in_inches_gets_steps_in_its_units() {
    let mut base = analysis(&plug());
    let text = "name = 'p'\n[drive.air]\ncylinders = 1\nbore = '2 in'\nair = '100 psi'\n\
                [ram]\ndiameter = '1 in'\nstroke = '4 in'";
    base.setup.press = Press::parse(text).unwrap();
    for (wish, now, steps) in [
        (
            "air",
            "100 psi",
            "50 psi, 60 psi, 70 psi, 80 psi, 90 psi, 110 psi, 120 psi, 130 psi, 140 psi",
        ),
        ("cylinder bore", "2 in", "1-1/2 in, 2-1/2 in, 3-1/4 in, 4 in"),
        ("ram diameter", "1 in", "5/8 in, 3/4 in, 7/8 in, 1-1/8 in, 1-1/4 in"),
    ] {
        let variation = varied(&mut base, &plain(), wish);
        let seen: Vec<_> =
            variation.steps.unwrap().into_iter().map(|it| it.text).collect();
        assert_eq!((variation.now.as_str(), seen.join(", ").as_str()), (now, steps));
    }
    let plates = varied(&mut base, &plain(), "plate thickness").steps.unwrap();
    assert!(plates.iter().all(|it| it.text.ends_with(" in")), "{plates:?}");
    assert!(plates.iter().any(|it| it.text == "1-1/4 in"), "{plates:?}");
}

#[test]
fn what_cannot_be_varied_says_why() {
    let mut base = analysis(&plug());
    for (wish, part) in [
        ("lever", "no lever"),
        ("ram force", "vary air"),
        ("clamp force", "bolt size"),
        ("air: 6", "bar"),
        ("bolts: many", "bolts: 4, 6"),
        ("plastic: cheese", "cheese"),
    ] {
        let variation = varied(&mut base, &plain(), wish);
        let why = variation.steps.unwrap_err();
        assert!(why.contains(part), "{wish}: {why}");
    }
    let hot = varied(&mut base, &plain(), "melt temperature: 400 C, 210 C");
    let steps = hot.steps.unwrap();
    assert!(steps[0].outcome.is_ok());
    assert!(steps[1].outcome.as_ref().unwrap_err().contains("is molded"));
    let tight = varied(&mut base, &plain(), "bolt torque: 500 N m");
    assert!(tight.steps.unwrap()[0].outcome.as_ref().unwrap_err().contains("proof"));
}

/// On made-up outcomes: the nearest step on either side, less severe counts, and what comes new
/// with it is reported.
#[test]
fn turns_are_read_off_the_steps() {
    let finding = |kind: Kind, severity| {
        let mut all = findings::judge(&analysis(&shapes::cuboid(8.0, 8.0, 8.0)));
        let mut one = all.remove(0);
        (one.kind, one.severity) = (kind, severity);
        one
    };
    let step = |away: f64, kinds: &[(Kind, Severity)], new: &[Kind]| {
        let outcome = Outcome {
            verdict: Verdict::Cut,
            kinds: kinds.iter().copied().collect(),
            gone: Vec::new(),
            new: new.to_vec(),
            melt_pressure_mpa: 1.0,
            shot_g: None,
            clamp_margin: None,
            fill_margin: None,
            filled_fraction: None,
            cycle_s: None,
            ejection_n: None,
        };
        let text = format!("{away}");
        let tried = Tried { text, value: Some(away), outcome: Ok(outcome) };
        Attempt { away, tried }
    };
    let (stop, fix) = (Severity::Stop, Severity::Fix);
    let base = [finding(Kind::Clamp, stop), finding(Kind::ThinWall, fix)];
    let both = [(Kind::Clamp, stop), (Kind::ThinWall, fix)];
    let tried = [
        step(-3.0, &[(Kind::ThinWall, fix)], &[Kind::Shot]),
        step(-1.0, &[(Kind::Clamp, fix), (Kind::ThinWall, fix)], &[]),
        step(1.0, &both, &[]),
        step(2.0, &both, &[]),
        step(5.0, &[(Kind::Clamp, stop)], &[]),
    ];
    let turns = turns(&base, &tried);
    let turn = |kind: Kind| turns.iter().find(|it| it.kind == kind).unwrap();
    let (clamp, wall) = (turn(Kind::Clamp), turn(Kind::ThinWall));
    assert_eq!((clamp.at.as_slice(), clamp.gone), (&["-1".to_owned()][..], false));
    assert_eq!((wall.at.as_slice(), wall.gone), (&["5".to_owned()][..], true));
    assert_eq!((clamp.not_yet.as_deref(), wall.not_yet.as_deref()), (None, Some("2")));
}
