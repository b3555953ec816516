//! The pressure window and the first shots under their keys.

use crate::analysis::Analysis;
use crate::findings::pressure_window;
use crate::process::press::Press;
use crate::process::sourced::Range;
use crate::schema::assemble::gauge;
use crate::schema::{
    FirstShotChange, FirstShots, PressureLimit, PressureWindow, SheetRow,
};
use crate::units::format;
use crate::units::{self, Pressure, Quantity, Temperature};

pub(crate) fn window(analysis: &Analysis) -> PressureWindow {
    let (window, press) = (&analysis.evaluation.window, &analysis.setup.press);
    let finite =
        |pressure: Pressure| pressure.si().is_finite().then(|| units::in_mpa(pressure));
    let limits = window.limits.iter().map(|limit| PressureLimit {
        by: limit.by.name().to_owned(),
        surely_mpa: units::in_mpa(limit.surely),
        at_most_mpa: finite(limit.at_most),
    });
    PressureWindow {
        fills_best_mpa: window.fills.and_then(|band| finite(band.best)),
        fills_expected_mpa: window.fills.and_then(|band| finite(band.expected)),
        fills_worst_mpa: window.fills.and_then(|band| finite(band.worst)),
        limits: limits.collect(),
        has_mpa: finite(window.has),
        has_setting: setting(press, window.has),
        most_mpa: finite(window.most()),
        most_setting: setting(press, window.most()),
        begin_mpa: finite(window.begin()),
        begin_setting: setting(press, window.begin()),
        range: pressure_window::range(analysis),
        advice: pressure_window::advice(analysis),
    }
}

fn setting(press: &Press, pressure: Pressure) -> Option<String> {
    press.setting_for(pressure).map(|setting| setting.in_words())
}

/// What to set in a barrel that is soaked through; `None` where no loss is stated.
fn soaked_setting(press: &Press, pressure: Pressure) -> Option<String> {
    let mut soaked = press.clone();
    soaked.ram.loss.take().filter(|loss| loss.si() > 0.0)?;
    setting(&soaked, pressure)
}

pub(crate) fn first_shots(analysis: &Analysis) -> FirstShots {
    let plastic = &analysis.setup.plastic;
    let press = &analysis.setup.press;
    let evaluation = &analysis.evaluation;
    let timing = &evaluation.timing;
    let begin = evaluation.window.begin();
    let typical = |range: Range<Temperature>| units::in_celsius(range.typical());
    let start = evaluation.clamping.plates.start;
    let mold = plastic.mold_temperature.value;
    let shift = timing.shift.as_ref();
    let cold = shift.zip(mold).and_then(|(shift, mold)| shift.shots_below(mold.low));
    FirstShots {
        melt_c: plastic.melt_temperature.value.map(typical),
        mold_c: mold.map(typical),
        mold_start_c: Some(units::in_celsius(start)),
        cold_shots: cold,
        pressure_mpa: Some(units::in_mpa(begin)),
        setting: setting(press, begin),
        soaked_setting: soaked_setting(press, begin),
        hold_s: timing.hold.as_ref().map(|hold| hold.time.si()),
        cool_s: timing.cool.as_ref().map(|cool| cool.time.si()),
        changes: changes(analysis),
    }
}

/// What to change first, each within the window and the range of the plastic (common
/// practice for the order).
fn changes(analysis: &Analysis) -> Vec<FirstShotChange> {
    let (window, press) = (&analysis.evaluation.window, &analysis.setup.press);
    let plastic = &analysis.setup.plastic;
    let [begin, most] = [window.begin(), window.most()];
    let set = |pressure: Pressure| pressure_window::set_to(press, pressure);
    let least = window.fills.and_then(|band| {
        [band.expected, band.best].into_iter().find(|pressure| *pressure < begin)
    });
    let melt = plastic.melt_temperature.value;
    let mold = plastic.mold_temperature.value.map(|range| gauge::heat(range.high));
    let raise = (most.si() > 1.01 * begin.si())
        .then(|| format!("raise the pressure in steps, to {} at most", set(most)));
    let lower = least
        .map(|least| format!("lower the pressure in steps, to {} at least", set(least)));
    let hotter =
        melt.map(|range| format!("melt hotter, to {} at most", gauge::heat(range.high)));
    let cooler =
        melt.map(|range| format!("melt cooler, to {} at least", gauge::heat(range.low)));
    let warmer = mold.map(|to| format!("mold warmer, to {to} at most"));
    let hold = analysis.evaluation.timing.hold.as_ref().map(|hold| {
        let seconds = format::quantity(hold.time.si(), "s");
        format!("hold for the whole {seconds} until the {} is frozen", hold.by)
    });
    let vents = analysis.evaluation.vent.as_ref().ok().map(|vent| {
        let [start, most] = [vent.start, vent.most].map(gauge::depth);
        format!("clean the vents and deepen them from {start} to {most} at most")
    });
    let clamp = Some(
        "clean the parting faces and tighten what holds the mold as stated".to_owned(),
    );
    let fed = Some("fill the barrel and soak longer".to_owned());
    let slower = Some("push more slowly at the end".to_owned());
    let listed = [
        ("short", [fed, raise.clone(), hotter, warmer]),
        ("flashed", [clamp, lower.clone(), cooler.clone(), None]),
        ("sunk", [hold, raise, cooler.clone(), None]),
        ("burnt", [vents, slower, lower, cooler]),
    ];
    let change = |(seen, steps): (&str, [Option<String>; 4])| FirstShotChange {
        seen: seen.to_owned(),
        change: steps.into_iter().flatten().collect::<Vec<_>>().join("; then "),
    };
    listed.into_iter().map(change).collect()
}

/// The lines of the process sheet: the pressure to begin with, and shots to throw away.
pub(super) fn rows(analysis: &Analysis) -> Vec<SheetRow> {
    let shots = first_shots(analysis);
    let (window, press) = (&analysis.evaluation.window, &analysis.setup.press);
    let row = |what: &str, value: String, basis: String| SheetRow {
        what: what.to_owned(),
        value,
        basis,
    };
    let soaked = shots.soaked_setting.map_or_else(String::new, |set| {
        format!("; in a barrel soaked through, with no granule bed, {set}")
    });
    let most = pressure_window::set_to(press, window.most());
    let mut rows = vec![row(
        "Push with",
        format!(
            "{} to begin with{soaked}; never more than {most}",
            pressure_window::set_to(press, window.begin())
        ),
        pressure_window::range(analysis),
    )];
    let mold = analysis.setup.plastic.mold_temperature.value;
    let start = analysis.evaluation.clamping.plates.start;
    if let Some(mold) = mold.filter(|mold| start < mold.low) {
        let low = gauge::heat(mold.low);
        let away = match shots.cold_shots {
            Some(count) => {
                format!("warm it to {low} first, or throw the first {count} shots away")
            }
            None => format!("warm it to {low}: the shots alone do not"),
        };
        rows.push(row(
            "Cold mold",
            format!("the first shot meets the mold at {}; {away}", gauge::heat(start)),
            "heat of each shot into a block of aluminum in still air".to_owned(),
        ));
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::{first_shots, rows, window};
    use crate::findings::fixtures::{analysis, plug, setup, unfilled_settings, with};
    use crate::process::evaluation::RequiredBand;
    use crate::process::evaluation::pressure_window::PressureWindow;
    use crate::units::{Quantity, from_mpa};

    /// By hand, on the example press of 7 bar for 5.601 MPa with 30 % of loss: 4 MPa are
    /// 5 bar, and 3.5 bar where no granules take their share.
    /// A mold as cold as a room is colder than the range of ABS.
    #[test]
    fn a_cold_mold_is_reported() {
        let abs = with(&plug(), setup("abs"), &unfilled_settings());
        let rows = rows(&abs);
        assert!(rows[1].value.contains("the first shot meets the mold at"), "{rows:?}");
        let start = first_shots(&abs).mold_start_c.unwrap();
        assert!(
            start < abs.setup.plastic.mold_temperature.value.unwrap().low.si() - 273.15
        );
    }

    #[test]
    fn the_sheet_begins_with_the_numbers_of_the_window() {
        let mut analysis = analysis(&plug());
        let [best, expected, worst] = [2.0, 3.0, 4.0].map(from_mpa);
        let has = analysis.setup.press.melt_pressure();
        let fills = Some(RequiredBand { best, expected, worst });
        analysis.evaluation.window = PressureWindow::new(fills, Vec::new(), has);
        let shots = first_shots(&analysis);
        assert!((shots.pressure_mpa.unwrap() - 4.0).abs() < 1e-9);
        assert_eq!(shots.setting.as_deref(), Some("5 bar at the regulator"));
        assert_eq!(shots.soaked_setting.as_deref(), Some("3.5 bar at the regulator"));
        let seen: Vec<&str> = shots.changes.iter().map(|it| it.seen.as_str()).collect();
        assert_eq!(seen, ["short", "flashed", "sunk", "burnt"]);
        let change = |at: usize| shots.changes[at].change.as_str();
        assert!(
            change(0).contains("to 7 bar at the regulator (5.6 MPa on the melt) at most")
        );
        assert!(
            change(1)
                .contains("to 3.75 bar at the regulator (3 MPa on the melt) at least")
        );
        assert!(shots.changes.iter().all(|it| !it.change.contains("--")));
        let rows = rows(&analysis);
        assert!(
            rows[0].value.starts_with("5 bar at the regulator (4 MPa"),
            "{}",
            rows[0].value
        );
        assert!((window(&analysis).has_mpa.unwrap() - has.si() * 1e-6).abs() < 1e-9);
    }
}
