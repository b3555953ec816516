//! Made cases, each a good shot with one input changed: the cause that was made has to lead.
//!
//! What follows from each input is common practice and stands in trade guides on molding
//! faults; the limits are those of the sources in the plastics file.

use super::cause::Standing;
use super::shot::MoldedShot;
use super::symptom::Symptom;
use super::{Diagnosis, diagnose};
use crate::analysis::repeat::Reshaped;
use crate::analysis::{Analysis, Setup};
use crate::findings::fixtures::{fixture_settings, plug, setup, with};
use crate::mesh::{TriMesh, shapes};
use crate::process::evaluation::pressure_window::Holder;
use crate::settings::Settings;
use crate::units::{Pressure, Quantity, Time, from_celsius, read};
use crate::variations::steps::Case;

struct Made {
    mesh: TriMesh,
    setup: Setup,
    settings: Settings,
    shot: MoldedShot,
}

/// A good shot: the plug, run as its sheet says, by a mold that has made good parts.
fn good(plastic: &str) -> Made {
    let shot = MoldedShot { was_good: true, ..MoldedShot::default() };
    Made { mesh: plug(), setup: setup(plastic), settings: fixture_settings(), shot }
}

impl Made {
    fn analysis(&self) -> Analysis {
        with(&self.mesh, self.setup.clone(), &self.settings)
    }

    fn seen(&self, seen: Symptom) -> Diagnosis {
        let (setup, settings) = (self.setup.clone(), self.settings.clone());
        let base = Case { setup, settings, part: Reshaped::default() };
        let mut analysis = self.analysis();
        let before = crate::findings::judge(&analysis);
        let found = diagnose(&mut analysis, &base, &self.shot, seen, &|_| {}).unwrap();
        assert_eq!(
            crate::findings::judge(&analysis),
            before,
            "the analysis was put back"
        );
        found
    }

    fn takes(&self) -> Pressure {
        self.analysis().evaluation.window.fills.unwrap().expected
    }

    fn with(mut self, change: impl FnOnce(&mut Self)) -> Self {
        change(&mut self);
        self
    }
}

fn seconds(time: f64) -> Time {
    Time::from_si(time)
}

/// A press that is set `share` of what this part takes.
fn pushed(made: Made, share: f64) -> Made {
    let pressure = made.takes() * share;
    made.with(|it| it.shot.pressure = Some(pressure))
}

fn short_and_weak() -> Vec<(&'static str, Symptom, Made)> {
    let thin_gate = good("pp").with(|it| {
        let feed = &mut it.settings.choices.feed;
        (feed.gate_depth, feed.gate_width) = (read("0.3 mm").ok(), read("1.5 mm").ok());
        it.shot.was_good = false;
        it.shot.pressure = Some(good("pp").takes() * 1.3);
    });
    vec![
        ("pressure_low", Symptom::Short, pushed(good("pp"), 0.6)),
        (
            "mold_cold",
            Symptom::Short,
            pushed(good("pp"), 1.04).with(|it| it.shot.mold = Some(from_celsius(-10.0))),
        ),
        ("gate_small", Symptom::Short, thin_gate),
        (
            "melt_cold",
            Symptom::Weld,
            good("pp").with(|it| it.shot.melt = Some(from_celsius(175.0))),
        ),
    ]
}

/// A press of this pressure on the melt whose bolts, of `torque`, hold a mold of plates of
/// `plates`.
fn clamped(torque: &str, plates: &str) -> Made {
    good("pp").with(|it| {
        let press = &mut it.setup.press;
        let bolts = press.clamp.as_mut().unwrap().bolts.as_mut().unwrap();
        bolts.torque = read(torque).ok();
        press.mold.get_or_insert_default().thickness = read(plates).ok();
        it.shot.was_good = false;
    })
}

fn flashed() -> Vec<(&'static str, Symptom, Made)> {
    let sound = clamped("24 N m", "40 mm");
    let window = sound.analysis().evaluation.window;
    let limit = window.limits.iter().find(|limit| limit.by != Holder::Nozzle);
    let over = limit.map(|limit| limit.at_most.max(window.has));
    vec![
        ("clamp_weak", Symptom::Flash, clamped("0.4 N m", "60 mm")),
        ("pressure_high", Symptom::Flash, sound.with(|it| it.shot.pressure = over)),
    ]
}

fn timed() -> Vec<(&'static str, Symptom, Made)> {
    vec![
        (
            "hold_short",
            Symptom::Sink,
            good("pp").with(|it| it.shot.held = Some(seconds(0.3))),
        ),
        (
            "opened_early",
            Symptom::Warps,
            good("pp").with(|it| it.shot.cooled = Some(seconds(4.0))),
        ),
        (
            "opened_late",
            Symptom::Sticks,
            good("pp").with(|it| it.shot.cooled = Some(seconds(900.0))),
        ),
        (
            "moisture",
            Symptom::Bubbles,
            good("abs").with(|it| it.shot.dried = Some(seconds(0.0))),
        ),
        (
            "long_in_heat",
            Symptom::Burn,
            good("pom").with(|it| it.shot.in_barrel = Some(seconds(3.0 * 3600.0))),
        ),
        (
            "melt_hot",
            Symptom::Drool,
            good("pp").with(|it| it.shot.melt = Some(from_celsius(300.0))),
        ),
        (
            "draft_short",
            Symptom::Sticks,
            good("pp").with(|it| {
                it.mesh = shapes::cup(12.0, 15.0, 3.0, 0.0, 96);
                it.shot.was_good = false;
            }),
        ),
    ]
}

/// Of the made cases one at the most leads with another cause.
#[test]
fn the_cause_that_was_made_leads() {
    let cases = short_and_weak().into_iter().chain(flashed()).chain(timed());
    let mut missed = Vec::new();
    let mut count = 0;
    for (wanted, seen, made) in cases {
        count += 1;
        let found = made.seen(seen);
        let first = &found.causes[0];
        if first.id != wanted || first.standing != Standing::Likely {
            let all = found.causes.iter();
            let all: Vec<String> = all
                .map(|it| format!("{} {:.2} {}", it.id, it.strength, it.evidence))
                .collect();
            missed.push(format!("{seen}, {wanted}:\n  {}", all.join("\n  ")));
        }
    }
    assert!(count >= 10 && missed.len() <= count / 10, "\n{}", missed.join("\n"));
}

/// A good shot of dry plastic has no likely cause of anything, and what is excluded says by
/// which number.
#[test]
fn a_good_shot_has_no_likely_cause() {
    let made = good("pp").with(|it| {
        it.shot.held = Some(seconds(30.0));
        it.shot.cooled = Some(seconds(90.0));
    });
    for seen in Symptom::ALL {
        let found = made.seen(seen);
        for cause in &found.causes {
            assert!(!cause.evidence.is_empty() && !cause.look.is_empty(), "{cause:?}");
            assert!(!cause.change.is_empty(), "{cause:?}");
            let is_out = cause.standing == Standing::Excluded;
            assert!(is_out || !cause.then.is_empty(), "{cause:?}");
            assert!(cause.standing != Standing::Likely, "{seen}: {cause:?}");
        }
        assert!(
            found.causes.is_sorted_by_key(|cause| cause.standing == Standing::Excluded)
        );
    }
}

/// What the model says of a change is what it says of the shot with that change: a setting that
/// was too low fills once it is raised.
#[test]
fn the_model_says_what_the_change_does() {
    let found = pushed(good("pp"), 0.6).seen(Symptom::Short);
    let first = &found.causes[0];
    assert!(first.then.contains("it fills at"), "{first:?}");
    let gated = &short_and_weak()[2].2.seen(Symptom::Short).causes[0];
    assert!(gated.then.contains("instead of"), "{gated:?}");
}
