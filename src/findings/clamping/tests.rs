//! Each finding just before and just past its limit, and cures that cure.

use super::judge;
use crate::analysis::{Analysis, Setup};
use crate::findings::fixtures::{
    analysis, fixture_settings, plug, setup, unfilled_settings, with,
};
use crate::findings::{Finding, Kind, Severity};
use crate::process::evaluation::RequiredBand;
use crate::process::evaluation::pressure_window::{Holder, Limit, PressureWindow};
use crate::process::press::Press;
use crate::units::{Pressure, Quantity, from_mpa, read};

fn only(findings: Vec<Finding>, kind: Kind) -> Option<Finding> {
    findings.into_iter().find(|finding| finding.kind == kind)
}

/// A press of 7.90 MPa that holds its mold with `clamp`.
fn press(clamp: f64) -> Setup {
    let text = format!(
        "name = 'p'\ndrive = {{ ram_force = '4 kN' }}\nclamp = {{ force = '{clamp} N' }}\n\
         [ram]\ndiameter = '25 mm'\nstroke = '100 mm'"
    );
    Setup { press: Press::parse(&text).unwrap(), press_given: true, ..setup("pp") }
}

#[test]
fn a_clamp_is_judged_by_its_margin() {
    let opening = with(&plug(), press(1e6), &unfilled_settings())
        .evaluation
        .clamping
        .force
        .opening
        .si();
    for (margin, severity) in
        [(0.9, Some(Severity::Stop)), (1.1, Some(Severity::Fix)), (1.5, None)]
    {
        let analysis = with(&plug(), press(margin * opening), &unfilled_settings());
        let finding = only(judge(&analysis), Kind::Clamp);
        assert_eq!(finding.as_ref().map(|finding| finding.severity), severity);
        if let Some(finding) = finding {
            assert!((finding.value.unwrap() - margin).abs() < 1e-4, "{finding:?}");
            assert!(
                finding.cure.contains("keep the projected area below"),
                "{}",
                finding.cure
            );
        }
    }
}

/// The plug with bolts of this torque each, on the built-in press.
fn bolted(torque: &str) -> Analysis {
    let mut setup = setup("pp");
    let bolts = setup.press.clamp.as_mut().unwrap().bolts.as_mut().unwrap();
    bolts.torque = read(torque).ok();
    with(&plug(), setup, &unfilled_settings())
}

#[test]
fn weak_bolts_are_cured_by_torque_and_the_cure_does_it() {
    let weak = bolted("1 N m");
    let finding = only(judge(&weak), Kind::Clamp).unwrap();
    assert_eq!(finding.severity, Severity::Stop);
    let cure = finding.cure.split(" to ").nth(1).unwrap();
    let torque: String =
        cure.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    let cured: f64 = torque.parse().unwrap();
    // Printed with three digits, so a hair more.
    assert_eq!(only(judge(&bolted(&format!("{} N m", 1.01 * cured))), Kind::Clamp), None);
    let short = only(judge(&bolted(&format!("{} N m", 0.98 * cured))), Kind::Clamp);
    assert_eq!(short.unwrap().severity, Severity::Fix);
}

/// A window as [`PressureWindow::new`] makes it, with this limit and what fills.
fn window(by: Holder, limits: [f64; 2], fills: Option<[f64; 3]>) -> PressureWindow {
    let [surely, at_most] = limits.map(from_mpa);
    let fills = fills.map(|band| {
        let [best, expected, worst] = band.map(from_mpa);
        RequiredBand { best, expected, worst }
    });
    PressureWindow::new(fills, vec![Limit { by, surely, at_most }], from_mpa(5.6))
}

/// Severity of what clamp or plates say in this window.
fn judged(
    analysis: &mut Analysis,
    window: PressureWindow,
    kind: Kind,
) -> Option<Finding> {
    let stays_in = analysis.setup.plastic.vent_depth.value.unwrap();
    if let Some(Ok(bolted)) = &mut analysis.evaluation.clamping.bolted {
        // What the halves open by at the pressure to begin with.
        let holds = window.judged() <= window.most();
        bolted.shut.gap = if holds { 0.99 * stays_in.low } else { 1.01 * stays_in.low };
    }
    analysis.evaluation.window = window;
    only(judge(analysis), kind)
}

/// The example press has 5.6 MPa. Before the filling is known all of it counts; then what
/// fills: stop where not even the best case is held, fix where the expected is not, note
/// where only the worst is not. More than fills is no reason.
#[test]
fn clamp_and_flash_are_judged_at_the_pressure_that_fills() {
    let mut analysis = analysis(&plug());
    let band = Some([2.0, 3.0, 4.5]);
    for (limits, fills, clamp, flash) in [
        ([5.7, 7.0], None, None, None),
        ([5.5, 7.0], None, Some(Severity::Fix), Some(Severity::Note)),
        ([4.0, 5.5], None, Some(Severity::Stop), Some(Severity::Fix)),
        ([4.6, 5.5], band, None, None),
        ([4.0, 5.5], band, Some(Severity::Note), Some(Severity::Note)),
        ([2.5, 3.5], band, Some(Severity::Fix), Some(Severity::Note)),
        ([2.1, 2.9], band, Some(Severity::Fix), Some(Severity::Fix)),
        ([1.0, 1.9], band, Some(Severity::Stop), Some(Severity::Fix)),
    ] {
        for (by, kind, severity) in
            [(Holder::Clamp, Kind::Clamp, clamp), (Holder::Plates, Kind::Flash, flash)]
        {
            let found = judged(&mut analysis, window(by, limits, fills), kind);
            assert_eq!(
                found.as_ref().map(|it| it.severity),
                severity,
                "{by:?} {limits:?}"
            );
        }
    }
    // 4 of 5.6 MPa are 5 of 7 bar.
    let note =
        judged(&mut analysis, window(Holder::Clamp, [4.0, 5.5], band), Kind::Clamp);
    let note = note.unwrap();
    assert!(note.cure.contains("at most 5 bar at the regulator (4 MPa"), "{note:?}");
}

/// The vise of 1.3 times what all the press has opens holds to 1.3 / 1.25 of that pressure
/// with its margin, and to 1.3 of it at all; the limit of a window is searched over the same
/// clamp.
#[test]
fn the_limits_are_those_of_the_clamp() {
    let opening = squeezed(1e6, "").evaluation.clamping.force.opening.si();
    let analysis = squeezed(1.3 * opening, "");
    let window = &analysis.evaluation.window;
    let limit = window.limits.iter().find(|limit| limit.by == Holder::Clamp).unwrap();
    let share = |pressure: Pressure| pressure.si() / window.has.si();
    assert!((share(limit.surely) - 1.3 / 1.25).abs() < 1e-4, "{limit:?}");
    assert!((share(limit.at_most) - 1.3).abs() < 1e-4, "{limit:?}");
}

#[test]
fn plates_without_metal_behind_the_cavity_are_reported() {
    let with_plates = |thickness: &str| {
        let mut setup = setup("pp");
        let mut mold = setup.press.mold.clone().unwrap_or_default();
        mold.thickness = read(thickness).ok();
        setup.press.mold = Some(mold);
        judge(&with(&plug(), setup, &fixture_settings()))
    };
    assert!(only(with_plates("14 mm"), Kind::Plates).is_some());
    assert!(only(with_plates("40 mm"), Kind::Plates).is_none());
    assert!(judge(&analysis(&plug())).is_empty());
}

/// The plug in a clamp of this force with further keys of `[clamp]`.
fn squeezed(newtons: f64, more: &str) -> Analysis {
    let text = format!(
        "name = 'p'\ndrive = {{ ram_force = '4 kN' }}\n[clamp]\nvise = '{newtons} N'\n{more}\n\
         [ram]\ndiameter = '25 mm'\nstroke = '100 mm'\n[mold]\nlength = '60 mm'\n\
         width = '60 mm'"
    );
    let press = Press::parse(&text).unwrap();
    with(&plug(), Setup { press, press_given: true, ..setup("pp") }, &unfilled_settings())
}

/// By hand: a vise of 30 mm jaws that squeezes 5 mm off the middle holds 1 + 3 · 5 / 15 = 2
/// times less in the corner; across, on 60 mm, 1 + 3 · 5 / 30 = 1.5 times.
#[test]
fn a_vise_beside_the_melt_holds_less_in_the_corner() {
    let opening = squeezed(1e6, "").evaluation.clamping.force.opening.si();
    let middle = squeezed(2.0 * opening, "jaw = '30 mm'");
    assert!((middle.evaluation.clamping.margin().unwrap() - 2.0).abs() < 1e-6);
    assert_eq!(only(judge(&middle), Kind::Clamp), None);
    for (off, share) in [("'5 mm', '0 mm'", 2.0), ("'0 mm', '-5 mm'", 1.5)] {
        let keys = format!("jaw = '30 mm'\noff_middle = [{off}]");
        let margin =
            |held: f64| squeezed(held, &keys).evaluation.clamping.margin().unwrap();
        assert!((margin(2.0 * opening) * share - 2.0).abs() < 1e-6, "{off}");
        let finding = only(judge(&squeezed(1.2 * share * opening, &keys)), Kind::Clamp);
        let finding = finding.unwrap();
        assert!(finding.title.contains("5 mm off the middle of the melt"), "{finding:?}");
        assert!(finding.cure.contains("move the mold"), "{}", finding.cure);
        // The force that the cure asks for cures.
        let kn: String =
            finding.cure.chars().filter(|c| c.is_ascii_digit() || *c == '.').collect();
        assert!(!kn.is_empty());
        assert_eq!(
            only(judge(&squeezed(1.2501 * share * opening, &keys)), Kind::Clamp),
            None
        );
    }
}

/// By hand: a land of 60 × 60 mm less part and feed, at a third of 276 MPa (6061-T6, proof).
#[test]
fn a_land_that_is_pressed_too_much_is_reported() {
    let land = |newtons: f64| {
        let analysis = squeezed(newtons, "");
        let area = 3600.0 - crate::units::in_mm2(analysis.evaluation.clamping.force.area);
        (area, only(judge(&analysis), Kind::Land))
    };
    let (area, _) = land(1e4);
    let proof =
        analysis(&plug()).evaluation.clamping.plates.alloy.metal().proof.si() * 1e-6;
    assert!((proof / 276.0 - 1.0).abs() < 0.03, "{proof}");
    for (share, severity) in
        [(0.33, None), (0.34, Some(Severity::Note)), (1.01, Some(Severity::Fix))]
    {
        let (_, finding) = land(share * proof * area);
        assert_eq!(finding.as_ref().map(|it| it.severity), severity, "{share}");
        if let Some(finding) = finding {
            assert!((finding.value.unwrap() - share * proof).abs() < 0.1, "{finding:?}");
        }
    }
}
