//! Does the metal that stands alone between plastic hold against the melt?

use super::{Finding, Kind, Severity, worst_few};
use crate::analysis::Analysis;
use crate::part::standing_metal::{Form, StandingMetal};
use crate::process::clamping::bought_steel::pin_name;
use crate::process::clamping::standing_metal::{DOUBT, LEAST_SHARE};
use crate::process::clamping::strained_metal::{Holding, StrainedMetal};
use crate::units::format::{ascii_point, three_digits};
use crate::units::{Pressure, in_mm, in_mpa};

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let strained = analysis.strained_metal();
    let all = analysis.release.standing.iter().zip(&strained);
    let mut findings: Vec<Finding> =
        all.filter_map(|(metal, it)| judge_one(metal, it)).collect();
    findings.sort_by_key(|finding| finding.severity);
    worst_few(findings, "places where metal of the mold stands alone")
}

fn judge_one(metal: &StandingMetal, it: &StrainedMetal) -> Option<Finding> {
    let severity = severity(metal, it)?;
    let load = it.load();
    let [stress, limit] = [load.bent.stress, load.limit].map(in_mpa);
    let does = if it.holding == Holding::Always {
        "is too thin to mill".to_owned()
    } else {
        format!(
            "bends: {} MPa at its foot, {} MPa allowed",
            three_digits(stress),
            three_digits(limit)
        )
    };
    let title = format!(
        "standing metal: {} {does}, in the {} half at {}",
        named(metal),
        metal.half.sign(),
        ascii_point(metal.at)
    );
    Some(
        Finding::new(Kind::StandingMetal, severity, title)
            .number(stress, Some(limit), "MPa")
            .at(metal.on_part)
            .because(basis(it))
            .cured_by(cured(metal, it)),
    )
}

/// A tip on the other half cannot get away as a free one does, so nothing there is sure.
fn severity(metal: &StandingMetal, it: &StrainedMetal) -> Option<Severity> {
    let yields = it.stress_filling.is_some_and(|stress| stress > it.strength.yields);
    let is_asked = it.is_bought || it.holding == Holding::Never;
    match (metal.through, yields, is_asked) {
        (false, true, _) => Some(Severity::Stop),
        (false, false, true) => Some(Severity::Fix),
        (true, _, true) => Some(Severity::Note),
        (_, _, false) => (it.holding == Holding::WhatFills).then_some(Severity::Note),
    }
}

/// Such as "fin of 0.8 to 2.2 mm, 12 mm tall,".
fn named(metal: &StandingMetal) -> String {
    let [tip, foot] = metal.thickness.map(three_digits);
    let thick = if tip == foot { tip } else { format!("{tip} to {foot}") };
    let form = match metal.form {
        Form::Pin => "pin",
        Form::Fin { .. } => "fin",
        Form::Ring { .. } => "ring",
    };
    format!("{form} of {thick} mm, {} mm tall,", three_digits(metal.height))
}

fn basis(it: &StrainedMetal) -> String {
    let mpa = |pressure: Pressure| three_digits(in_mpa(pressure));
    let in_use = it.in_use.map_or_else(String::new, |load| {
        format!(
            "{} MPa with what fills in the worst case ({} MPa), all of it on one side; ",
            mpa(load.bent.stress),
            mpa(load.pressure)
        )
    });
    let from = it.filling.map_or_else(String::new, |filling| {
        format!(
            "; the filling pushes {} MPa harder on one side, which counts {DOUBT} times",
            mpa(filling)
        )
    });
    format!(
        "{in_use}{} MPa at {} MPa, at least {LEAST_SHARE} of all the pressure of the press (judgment: a side that fills first by chance){from}; stress of a cantilever, fin 3 q (h/t)², pin 16/π q (h/d)², less where ends are held; its tip moves by {} mm; {} stands {} MPa for ten thousand shots (judgment) and yields at {} MPa; holds to a melt pressure of {} MPa",
        mpa(it.most.bent.stress),
        mpa(it.most.pressure),
        three_digits(in_mm(it.most.bent.deflection)),
        it.strength.name,
        mpa(it.strength.allowed),
        mpa(it.strength.yields),
        mpa(it.holds_to)
    )
}

fn cured(metal: &StandingMetal, it: &StrainedMetal) -> String {
    let at = ascii_point(metal.at);
    let mut ways: Vec<String> = Vec::new();
    if it.holding == Holding::WhatFills && !it.is_bought {
        ways.push(format!(
            "keep the melt below {} MPa",
            three_digits(in_mpa(it.holds_to))
        ));
    }
    ways.extend(steel(metal, it, &at));
    if it.holding != Holding::Always {
        let slot = if it.is_pin { "hole" } else { "slot" };
        if !metal.through {
            ways.push(format!(
                "make the {slot} at {at} {} mm deep instead of {} mm",
                three_digits(in_mm(it.height_that_holds())),
                three_digits(metal.height)
            ));
        }
        ways.extend(it.wider_by().map(|more| {
            format!("make the {slot} at {at} {} mm wider", three_digits(in_mm(more)))
        }));
        if it.from_filling {
            ways.push("move the gate so that both sides fill alike".to_owned());
        }
    }
    if it.is_pin && (metal.through || ways.is_empty()) {
        ways.push("drill the hole in the part afterwards".to_owned());
    }
    ways.join("; or ")
}

/// Bought steel in its place.
fn steel(metal: &StandingMetal, it: &StrainedMetal, at: &str) -> Option<String> {
    let steel = it.steel?;
    let (size, name) = (three_digits(in_mm(steel.size)), pin_name(steel.size));
    match (it.is_pin, metal.through, steel.holds) {
        (true, true, true) => Some(format!(
            "buy a {name} of {size} mm for the core at {at}, so long that it enters the other half by 2 mm, and ream a hole in each half; do not mill it"
        )),
        (true, false, true) => Some(format!(
            "buy a {name} of {size} mm for the core at {at} and ream its hole; do not mill it"
        )),
        (true, false, false) if steel.holds_seated => Some(format!(
            "let the hole at {at} go through the part and a {name} of {size} mm enter the other half by 2 mm"
        )),
        (false, _, true) => Some(format!(
            "set in a hardened steel blade {size} mm thick at {at} instead of milling the fin"
        )),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::analysis::Analysis;
    use crate::analysis::repeat::Reshaped;
    use crate::findings::fixtures::{
        analysis, fixture_settings, plug, setup, unfilled_settings, with,
    };
    use crate::findings::{Kind, Severity};
    use crate::mesh::{TriMesh, shapes};
    use crate::process::evaluation::pressure_window::{Holder, Limit};
    use crate::units::in_mpa;

    /// A plate with a bore of 2.5 mm, 12 deep.
    fn bored() -> TriMesh {
        shapes::revolve(
            &[[0.0, 0.0], [9.0, 0.0], [8.5, 15.0], [1.3, 15.0], [1.2, 3.0], [0.0, 3.0]],
            64,
        )
    }

    fn slotted() -> TriMesh {
        let steps: [&[f64]; 3] =
            [&[0.0, 5.0, 6.5, 11.5], &[0.0, 24.0], &[0.0, 3.0, 15.0]];
        shapes::blocks(steps, |i, _, k| k == 0 || i != 1)
    }

    #[test]
    fn a_sturdy_part_has_none() {
        assert_eq!(judge(&analysis(&plug())), Vec::new());
    }

    #[test]
    fn the_core_of_a_narrow_bore_is_a_bought_pin() {
        let found = judge(&with(&bored(), setup("pp"), &fixture_settings()));
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(
            (found[0].kind, found[0].severity),
            (Kind::StandingMetal, Severity::Fix)
        );
        assert!(found[0].cure.contains("dowel pin of 2.5 mm"), "{}", found[0].cure);
    }

    /// By hand for a fin held at both ends, twice as long as tall: at most 1.57 q (h/t)² with
    /// half of the pressure of the press.
    #[test]
    fn without_a_filling_half_of_the_pressure_counts() {
        let analysis = with(&slotted(), setup("pp"), &unfilled_settings());
        let q = analysis.setup.press.melt_pressure().value * 1e-6 / 2.0;
        let found = judge(&analysis);
        assert_eq!(found.len(), 1, "{found:?}");
        let stress = found[0].value.unwrap();
        assert!((stress / (1.568 * q * 64.0) - 1.0).abs() < 0.02, "{stress} {q}");
        assert_eq!(found[0].severity, Severity::Fix);
    }

    /// By hand: half of the pressure counts, 6061 stands 100 MPa and yields at 270, so it holds
    /// to `2 · 100 / (1.57 · 64)` MPa on any press. What a bought pin replaces limits nothing.
    #[test]
    fn the_window_ends_where_it_gives_way() {
        let settings = unfilled_settings();
        let mut analysis = with(&slotted(), setup("pp"), &settings);
        let limit = |analysis: &Analysis| {
            let limits = &analysis.evaluation.window.limits;
            limits.iter().find(|limit| limit.by == Holder::StandingMetal).copied()
        };
        let [surely, at_most] =
            [2.0 * 100.0, 2.0 * 270.0].map(|mpa| mpa / (1.568 * 64.0));
        let near = |seen: Limit| {
            let seen = [seen.surely, seen.at_most].map(in_mpa);
            assert!((seen[0] / surely - 1.0).abs() < 0.02, "{seen:?} {surely}");
            assert!((seen[1] / at_most - 1.0).abs() < 0.02, "{seen:?} {at_most}");
        };
        // What has to be changed anyway limits nothing; a press that it holds against is limited.
        assert!(limit(&analysis).is_none());
        let (measured, mut weaker) = (analysis.measured(), analysis.setup.clone());
        for share in [0.3, 0.8] {
            weaker.press.drive.air.as_mut().unwrap().air *= share;
            analysis.again(&measured, &weaker, &settings, Reshaped::default());
            near(limit(&analysis).unwrap());
        }
        assert!(limit(&with(&bored(), setup("pp"), &settings)).is_none());
        assert!(limit(&with(&plug(), setup("pp"), &settings)).is_none());
    }

    /// Stress is proportional to the pressure, also of a press that is asked for later.
    #[test]
    fn another_press_strains_it_by_its_own_pressure() {
        let settings = unfilled_settings();
        let mut analysis = with(&slotted(), setup("pp"), &settings);
        let stress = |analysis: &Analysis| judge(analysis)[0].value.unwrap();
        let pressure = |analysis: &Analysis| analysis.setup.press.melt_pressure().value;
        let before = [stress(&analysis), pressure(&analysis)];
        let (measured, mut weaker) = (analysis.measured(), analysis.setup.clone());
        weaker.press.drive.air.as_mut().unwrap().air *= 0.7;
        analysis.again(&measured, &weaker, &settings, Reshaped::default());
        let share = pressure(&analysis) / before[1];
        assert!(share < 0.8, "{share}");
        assert!((stress(&analysis) / before[0] - share).abs() < 1e-9);
    }
}
