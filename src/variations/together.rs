//! What is left when the first changes are all made at once: the part is filled and judged again
//! with every change that the model can follow; the others are taken as made.

use super::make;
use super::steps::Case;
use crate::analysis::Analysis;
use crate::analysis::filling::NotFilled;
use crate::analysis::filling::cures::Change;
use crate::analysis::repeat::Reshaped;
use crate::findings::answer::{FirstChange, what_is_left};
use crate::findings::causes::{self, Cause};
use crate::findings::effect::Effect;
use crate::findings::{self, Kind, pressure_window};
use crate::part::wall_change::WallChange;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::units::Temperature;

/// What is left of `causes` after `steps`, in a sentence; `None` where the model can follow none
/// of them. `analysis` is that of `base`, and is so again afterwards.
pub fn check(
    analysis: &mut Analysis,
    base: &Case,
    causes: &[Cause],
    steps: &[FirstChange],
) -> Option<String> {
    let made: Vec<&Cause> = steps.iter().map(|it| &causes[it.cause - 1]).collect();
    let effects: Vec<&Effect> =
        made.iter().filter_map(|cause| cause.effect.as_ref()).collect();
    if effects.is_empty() {
        return None;
    }
    let case = changed(base, &effects, analysis);
    let measured = analysis.measured();
    let before = std::mem::replace(&mut analysis.filling, Err(NotFilled::Skipped));
    make(analysis, &measured, &case, Some(&before));
    let sentence = sentence(analysis, &made, steps.len());
    analysis.filling = before;
    make(analysis, &measured, base, None);
    Some(sentence)
}

/// `base` with every one of `effects`.
fn changed(base: &Case, effects: &[&Effect], analysis: &Analysis) -> Case {
    let mut case = base.clone();
    // A changed press has the clamp of the base.
    for effect in effects {
        if let Effect::Press(press) = effect {
            case.setup.press = (**press).clone();
        }
    }
    let mut walls = WallChange::default();
    for effect in effects {
        match effect {
            Effect::Press(_) => {}
            Effect::Clamp(clamp) => case.setup.press.clamp = Some((**clamp).clone()),
            Effect::MostWall(most_mm) => walls.most_mm = walls.most_mm.min(*most_mm),
            Effect::Fill(change) => fill_changed(&mut case, &mut walls, change),
        }
    }
    if let Ok(filled) = &analysis.filling {
        let now = filled.coarse.total_mm3();
        walls.volume = filled.coarse.with_walls(&walls).total_mm3() / now;
    }
    Case { part: Reshaped { walls, ..base.part }, ..case }
}

fn fill_changed(case: &mut Case, walls: &mut WallChange, change: &Change) {
    let plastic = &mut case.setup.plastic;
    let feed = &mut case.settings.choices.feed;
    match change {
        Change::Wall(least_mm) => walls.least_mm = walls.least_mm.max(*least_mm),
        Change::Gate(gate) => {
            feed.gate_depth = Some(gate.depth);
            feed.gate_width = Some(gate.width);
        }
        Change::Melt(at) => heat(plastic, Some(*at), None),
        Change::Mold(at) => heat(plastic, None, Some(*at)),
        // The search for changes tried those.
        Change::Plastic(name) => {
            let builtin = Plastics::builtin();
            if let Some(other) = builtin.ok().and_then(|all| all.find(name).ok().cloned())
            {
                *plastic = other;
            }
        }
    }
}

/// Sets melt or mold to an end of the range that the plastic has itself; such ends are never
/// refused.
fn heat(plastic: &mut Plastic, melt: Option<Temperature>, mold: Option<Temperature>) {
    if let Ok(heated) = plastic.clone().at_temperatures(melt, mold) {
        *plastic = heated;
    }
}

/// What is left, once `analysis` is that of the changed part.
fn sentence(analysis: &Analysis, made: &[&Cause], steps: usize) -> String {
    let findings = findings::judge(analysis);
    let all = causes::group(analysis, &findings);
    let left: Vec<&Cause> = all.iter().filter(|cause| !is_made(cause, made)).collect();
    let severities = left.iter().map(|cause| cause.severity);
    let verdict = findings::verdict_of(analysis, severities);
    let window = &analysis.evaluation.window;
    let fills = pressure_window::fills(window);
    what_is_left(steps, fills.as_deref(), verdict, &left)
}

/// Whether a cause is one of those whose change the model cannot follow. Whether the part fills
/// is always worked out.
fn is_made(cause: &Cause, made: &[&Cause]) -> bool {
    let is_same_place = |it: &Cause| {
        let place = it.places_mm.first();
        it.kind == cause.kind && place.is_some() && place == cause.places_mm.first()
    };
    let is_of = |it: &&&Cause| it.change == cause.change || is_same_place(it);
    cause.kind != Kind::ShortShot
        && made.iter().filter(|it| it.effect.is_none()).any(|it| is_of(&it))
}

#[cfg(test)]
mod tests {
    use super::{changed, check};
    use crate::analysis::Analysis;
    use crate::analysis::repeat::Reshaped;
    use crate::findings::effect::Effect;
    use crate::findings::fixtures::{
        analysis, fixture_settings, plug, setup, unfilled_settings, with,
    };
    use crate::findings::{answer::answer, causes, judge, verdict};
    use crate::mesh::shapes;
    use crate::process::feed::layout::FeedLayout;
    use crate::settings::Settings;
    use crate::units::in_mpa;
    use crate::variations::steps::Case;

    /// The case, and what is left after the first changes.
    fn checked(one: &mut Analysis, settings: Settings) -> (Case, Option<String>) {
        let base = Case { setup: one.setup.clone(), settings, part: Reshaped::default() };
        let findings = judge(one);
        let causes = causes::group(one, &findings);
        let steps = answer(one, &causes, verdict(one, &findings)).do_first;
        let effects: Vec<&Effect> =
            steps.iter().filter_map(|it| causes[it.cause - 1].effect.as_ref()).collect();
        let case = changed(&base, &effects, one);
        (case, check(one, &base, &causes, &steps))
    }

    fn expected_mpa(one: &Analysis) -> f64 {
        in_mpa(one.evaluation.window.fills.unwrap().expected)
    }

    /// 0.7 of the pressure that fills through a gate at the edge: the sentence says what a check
    /// of its own of the changed press says, and the part is as before.
    #[test]
    fn the_part_is_filled_again_with_every_change() {
        let mut settings = fixture_settings();
        settings.choices.feed.layout = Some(FeedLayout::Edge);
        let mut setup = setup("pp");
        let enough = with(&plug(), setup.clone(), &settings);
        let share = expected_mpa(&enough) / in_mpa(setup.press.melt_pressure());
        setup.press.drive.air.as_mut().unwrap().air *= 0.7 * share;
        let mut one = with(&plug(), setup, &settings);
        let before = judge(&one);
        assert!(!one.filling.as_ref().unwrap().run.fills);
        let (case, left) = checked(&mut one, settings);
        let left = left.unwrap();
        assert!(!left.contains("of the part fills"), "{left}");
        let fills: f64 = left
            .split_once("fills at ")
            .and_then(|(_, rest)| rest.split(' ').next())
            .and_then(|mpa| mpa.parse().ok())
            .unwrap();
        let mut settings = case.settings;
        settings.fill.gate = Some(one.filling.as_ref().unwrap().gate);
        let alone = expected_mpa(&with(&plug(), case.setup, &settings));
        assert!((fills / alone - 1.0).abs() < 0.1, "{left}: {alone}");
        assert_eq!(judge(&one), before);
    }

    /// A cube of 20 mm with walls of no more than 5 mm holds less; what the model cannot follow
    /// has no sentence of its own.
    #[test]
    fn a_cored_part_takes_less_plastic() {
        let mut one = analysis(&shapes::cuboid(20.0, 20.0, 20.0));
        let (case, left) = checked(&mut one, fixture_settings());
        assert!(case.part.walls.most_mm < 20.0 && case.part.walls.volume < 0.8);
        assert!(left.unwrap().contains("fills at"));
        let mut upright = with(&plug(), setup("pp"), &unfilled_settings());
        assert_eq!(checked(&mut upright, fixture_settings()).1, None);
    }
}
