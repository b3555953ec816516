//! The pressure window in words: what fills, what everything holds, what the press has, and
//! what to set.

use crate::analysis::Analysis;
use crate::findings::{Finding, Kind, Severity};
use crate::process::evaluation::pressure_window::{Held, Holder, PressureWindow};
use crate::process::press::Press;
use crate::units::format::three_digits;
use crate::units::{Pressure, Quantity, in_mpa};

/// "5.1 bar at the regulator (6.5 MPa on the melt)".
pub fn set_to(press: &Press, pressure: Pressure) -> String {
    match press.setting_for(pressure) {
        Some(it) => format!("{} ({} on the melt)", it.in_words(), mpa(pressure)),
        None => mpa(pressure),
    }
}

/// "6.5 MPa"; a pressure beyond all that was tried has no number.
pub(super) fn mpa(pressure: Pressure) -> String {
    if pressure.si().is_finite() {
        format!("{} MPa", three_digits(in_mpa(pressure)))
    } else {
        "no pressure tried".to_owned()
    }
}

/// "fills at 4.1 MPa (2.9 MPa at best, 6.4 MPa at worst)"; `None` before the filling is known.
pub fn fills(window: &PressureWindow) -> Option<String> {
    let band = window.fills?;
    let worst = if band.worst.si().is_finite() {
        format!("{} at worst", mpa(band.worst))
    } else {
        "none tried at worst".to_owned()
    };
    Some(format!("fills at {} ({} at best, {worst})", mpa(band.expected), mpa(band.best)))
}

/// What fills and what holds: "fills at 4.1 MPa (2.9 MPa at best, 6.4 MPa at worst), holds to 6.5 MPa
/// (clamp)".
pub fn range(analysis: &Analysis) -> String {
    let window = &analysis.evaluation.window;
    let holding = analysis.evaluation.clamping.force.holding;
    let holds = match (window.first_limit(), holding) {
        (Some(limit), _) => {
            Some(format!("holds to {} ({})", mpa(limit.surely), limit.by.name()))
        }
        (None, Some(_)) => Some("all that the press has is held".to_owned()),
        (None, None) => None,
    };
    // What is missing is said once, among what is missing.
    let known: Vec<String> = [fills(window), holds].into_iter().flatten().collect();
    known.join(", ")
}

/// What the press has and what to push with: "the press has 8.27 bar at the regulator (8.9 MPa
/// on the melt): begin with 5.95 bar at the regulator (6.4 MPa on the melt)".
pub fn advice(analysis: &Analysis) -> String {
    let (window, press) = (&analysis.evaluation.window, &analysis.setup.press);
    let is_enough = window.fills.is_some_and(|band| band.expected <= window.most());
    let begin = match window.fills {
        Some(_) if is_enough => "begin with",
        Some(band) if band.expected > window.has => "not enough to fill it, push with",
        Some(_) => "no pressure fills it and is held, for what is held ends at",
        None => "no more than",
    };
    let more = window.fills.filter(|band| !is_enough && band.expected <= window.has);
    // A gap that the plastic may creep into keeps nobody from filling the part.
    let is_held = [Holder::Clamp, Holder::Plates, Holder::Nozzle, Holder::StandingMetal]
        .into_iter()
        .all(|by| window.held(by) >= Held::Expected);
    let more = more.filter(|_| is_held).map_or_else(String::new, |band| {
        let expected = set_to(press, band.expected);
        format!(" at first, and up to {expected} if a part is short, where it may flash")
    });
    format!(
        "the press has {}: {begin} {}{more}",
        set_to(press, window.has),
        set_to(press, window.begin())
    )
}

/// The note where the expected pressure is held and the greatest that filling may take is
/// not: less pressure is advice.
pub(super) fn note(analysis: &Analysis, kind: Kind, by: Holder) -> Option<Finding> {
    let window = &analysis.evaluation.window;
    let limit = window.limits.iter().find(|limit| limit.by == by)?;
    let worst = window.fills?.worst.min(window.has);
    if window.held(by) != Held::Expected {
        return None;
    }
    let most = set_to(&analysis.setup.press, limit.surely);
    let title = format!(
        "{}: holds to {}, filling takes up to {} at worst: push with at most {most}",
        by.name(),
        mpa(limit.surely),
        mpa(worst)
    );
    Some(
        Finding::new(kind, Severity::Note, title)
            .number(in_mpa(limit.surely), Some(in_mpa(worst)), "MPa")
            .because("the expected pressure that fills is held; the greatest, with another lot, a colder melt or a colder mold, is not")
            .cured_by(format!("push with at most {most}")),
    )
}

#[cfg(test)]
mod tests {
    use super::{advice, range, set_to};
    use crate::findings::fixtures::{analysis, plug};
    use crate::process::evaluation::RequiredBand;
    use crate::process::evaluation::pressure_window::{Holder, Limit, PressureWindow};
    use crate::process::press::Press;
    use crate::units::{Quantity, from_mpa};

    /// By hand: the example press has 7 bar for 5.60 MPa (two cylinders of 63 mm at 90 %,
    /// 30 % of loss, on 25 mm), so 4 MPa are 5 bar.
    #[test]
    fn a_pressure_is_set_in_the_unit_of_the_press() {
        let press = Press::builtin().unwrap();
        assert!((press.melt_pressure().si() - 5.601e6).abs() < 1e3);
        assert_eq!(
            set_to(&press, from_mpa(4.0)),
            "5 bar at the regulator (4 MPa on the melt)"
        );
    }

    #[test]
    fn the_window_is_a_range_and_an_advice() {
        let mut analysis = analysis(&plug());
        let [best, expected, worst] = [2.9, 4.1, 5.2].map(from_mpa);
        let limit =
            Limit { by: Holder::Clamp, surely: from_mpa(4.6), at_most: from_mpa(5.7) };
        let fills = Some(RequiredBand { best, expected, worst });
        let has = analysis.setup.press.melt_pressure();
        analysis.evaluation.window = PressureWindow::new(fills, vec![limit], has);
        assert_eq!(
            range(&analysis),
            "fills at 4.1 MPa (2.9 MPa at best, 5.2 MPa at worst), holds to 4.6 MPa (clamp)"
        );
        assert_eq!(
            advice(&analysis),
            "the press has 7 bar at the regulator (5.6 MPa on the melt): begin with 5.75 bar at the regulator (4.6 MPa on the melt)"
        );
        // Beyond what surely holds it may flash, and fills.
        let [surely, at_most] = [3.5, 5.0].map(from_mpa);
        let plates = Limit { by: Holder::Plates, surely, at_most };
        analysis.evaluation.window = PressureWindow::new(fills, vec![plates], has);
        assert!(advice(&analysis).contains(
            "at first, and up to 5.12 bar at the regulator (4.1 MPa on the melt) if"
        ));
        analysis.evaluation.window = PressureWindow::new(None, Vec::new(), has);
        let open = range(&analysis);
        assert_eq!(open, "all that the press has is held");
        assert!(
            advice(&analysis).contains("no more than 7 bar at the regulator (5.6 MPa")
        );
    }
}
