//! Does the melt reach the last corner, with which reserve, where do fronts meet, and where
//! is air shut in?

use super::{Finding, Kind, MOST_OF_A_KIND, Severity, pressure_window};
use crate::analysis::Analysis;
use crate::analysis::filling::{
    FillingStudy, KELVIN_DOUBT, MOLD_KELVIN_DOUBT, SUPPLY_DOUBT, viscosity_doubt,
};
use crate::fill::pockets::{Air, Pocket};
use crate::fill::required_pressure::RequiredPressure;
use crate::findings::filling_remedies;
use crate::process::part_limits::basis;
use crate::process::plastic::Plastic;
use crate::units::format::{ascii_point, three_digits};
use crate::units::{self, Quantity, in_mm};

/// Air at the pressure of the workshop, Pa.
const ATMOSPHERE_PA: f64 = 101_325.0;
/// Fronts that meet with more of the wall frozen hardly join (judgment).
const COLD_WELD: f64 = 0.5;

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let Ok(filled) = &analysis.filling else { return Vec::new() };
    let mut findings = vec![short_shot(analysis, filled), margin(analysis, filled)];
    // What lies on a marked face leads.
    let on_shown =
        |index: usize| filled.shown_welds_mm.get(index).copied().unwrap_or(0.0);
    let mut order: Vec<usize> = (0..filled.welds.len()).collect();
    order.sort_by(|&a, &b| on_shown(b).total_cmp(&on_shown(a)));
    findings.extend(order.into_iter().take(MOST_OF_A_KIND).map(|index| {
        let weld = filled.welds.get(index)?;
        let mut severity = Severity::Note;
        let mut title = format!(
            "weld: two fronts meet at {:.0}° over {} mm and at {:.0} °C, {:.0} % of the wall frozen in the end",
            weld.angle_deg,
            three_digits(weld.length_mm),
            units::in_celsius(weld.temperature),
            weld.frozen * 100.0
        );
        let long = on_shown(index);
        if long > 0.0 {
            severity = Severity::Fix;
            title += &format!("; {} mm of it on a face that shows", three_digits(long));
        }
        let weld = Finding::new(Kind::Weld, severity, title)
            .number(weld.frozen * 100.0, Some(COLD_WELD * 100.0), "%")
            .at(weld.at)
            .because("fronts that run into each other leave a line that is weaker and shows (common practice: below 135° between them); more skin, worse joint")
            .cured_by("move the gate so that the line falls where neither load nor eye does, or keep the melt hotter");
        Some(weld)
    }));
    let shut_in = filled.pockets.iter().filter(|pocket| pocket.air != Air::Vented);
    let shut_in = shut_in.take(MOST_OF_A_KIND);
    findings.extend(shut_in.map(|pocket| Some(trapped(analysis, filled, pocket))));
    findings.into_iter().flatten().collect()
}

/// How the numbers came about, for the basis of a finding.
fn how(analysis: &Analysis, filled: &FillingStudy) -> String {
    format!(
        "thin-gap flow of {} at {:.0} °C through feed and gate at {} into a mold at {:.0} °C, with the temperature through the wall, in {} cells of {} mm",
        analysis.setup.plastic.name,
        units::in_celsius(filled.melt.temperature),
        ascii_point(filled.gate),
        units::in_celsius(filled.melt.mold),
        filled.cells.len(),
        three_digits(filled.cells.edge_mm())
    )
}

/// A part that the press does not fill: not at all where even the least that filling may
/// take is more than the press gives with a barrel soaked through, else unlikely.
fn short_shot(analysis: &Analysis, filled: &FillingStudy) -> Option<Finding> {
    if filled.run.fills {
        return None;
    }
    let (window, press) = (&analysis.evaluation.window, &analysis.setup.press);
    let most = press.soaked_pressure();
    let may_fill = match filled.least {
        RequiredPressure::Any => true,
        RequiredPressure::Pressure { band_pa, .. } => band_pa[0] <= most.si(),
        RequiredPressure::None => false,
    };
    let severity = if may_fill { Severity::Fix } else { Severity::Stop };
    // Never "100 %" of a part that is short.
    let share = (filled.run.filled * 1000.0).floor() / 10.0;
    let stuck = filled.stuck_at();
    let at = stuck.map_or_else(String::new, |at| {
        format!(", it freezes off at {}", ascii_point(at))
    });
    let takes = pressure_window::fills(window)
        .unwrap_or_else(|| "no pressure tried fills it".to_owned());
    let title = format!(
        "short shot: {} % of the part fills at the {} that the press has, it {takes}{at}",
        three_digits(share),
        pressure_window::set_to(press, window.has)
    );
    let soaked = (most > window.has).then(|| {
        format!(
            "; in a barrel soaked through no granule bed takes pressure, then the press has up to {}",
            pressure_window::mpa(most)
        )
    });
    let ways = filling_remedies::all(analysis, filled);
    Some(
        Finding::new(Kind::ShortShot, severity, title)
            .number(filled.run.filled * 100.0, Some(100.0), "%")
            .at(stuck)
            .because(how(analysis, filled) + &soaked.unwrap_or_default())
            .cured_by(filling_remedies::in_words(&ways))
            .changed_by(filling_remedies::first(&ways)),
    )
}

/// A part that fills as expected, and not in the worst case: advice for the first shots.
fn margin(analysis: &Analysis, filled: &FillingStudy) -> Option<Finding> {
    let (window, press) = (&analysis.evaluation.window, &analysis.setup.press);
    let [low, high] = filled.margin_band(window.has.si())?;
    if low >= 1.0 || !filled.run.fills {
        return None;
    }
    let title = format!(
        "filling: {}, the press has {}",
        pressure_window::fills(window)?,
        pressure_window::set_to(press, window.has)
    );
    let because = format!(
        "{}; {}; has {} times the best case",
        how(analysis, filled),
        doubts(&analysis.setup.plastic),
        three_digits(high)
    );
    let last =
        filled.pockets.iter().filter_map(|pocket| Some((pocket.time_s?, pocket.at)));
    let last = last.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, at)| at);
    let is_held = window.fills.is_some_and(|band| band.expected <= window.most());
    let begin = pressure_window::set_to(press, window.begin());
    let begin = if is_held {
        format!("push the first shots with {begin}; if one stays short: ")
    } else {
        String::new()
    };
    let ways = filling_remedies::all(analysis, filled);
    Some(
        Finding::new(Kind::FillMargin, Severity::Note, title)
            .number(low, Some(1.0), "")
            .at(last)
            .because(because)
            .cured_by(begin + &filling_remedies::in_words(&ways)),
    )
}

/// What the band is for.
fn doubts(plastic: &Plastic) -> String {
    match &plastic.calibrated {
        Some(by) => format!("the band is what {} shots left of all doubts", by.shots),
        None => format!(
            "viscosity off by a factor of {}, melt by {KELVIN_DOUBT} K, mold by {MOLD_KELVIN_DOUBT} K, contact with the mold, pressure of the press by a factor of {SUPPLY_DOUBT} (judgment)",
            three_digits(viscosity_doubt(plastic))
        ),
    }
}

/// What the filling goes by.
fn goes_by(plastic: &Plastic) -> String {
    let grade = basis(&plastic.viscosity);
    let Some(by) = &plastic.calibrated else {
        return format!(
            "filling goes by the viscosity of one grade, {grade}; the band is for {} times thicker or thinner, melt and mold {KELVIN_DOUBT} and {MOLD_KELVIN_DOUBT} K hotter or colder, more or less contact with the mold and {SUPPLY_DOUBT} times more or less pressure from the press",
            three_digits(viscosity_doubt(plastic))
        );
    };
    let when =
        if by.date.is_empty() { "without a date".to_owned() } else { by.date.clone() };
    format!(
        "filling goes by {} shots of {} on \"{}\" ({when}): {} times the pressure of the grade ({grade}), {} times the usual contact with the mold, mold {} K and melt {} K hotter than measured; the band is what they left of all doubts",
        by.shots,
        by.plastic,
        by.press,
        three_digits(by.pressure_factor),
        three_digits(by.contact_factor),
        three_digits(by.mold_offset_k),
        three_digits(by.melt_offset_k)
    )
}

fn trapped(analysis: &Analysis, filled: &FillingStudy, pocket: &Pocket) -> Finding {
    let wall = filled.cells.wall_mm.get(filled.cells.nearest(&pocket.at)).copied();
    let wall = wall.unwrap_or(f64::INFINITY);
    let pressure = analysis.setup.press.melt_pressure().si().max(ATMOSPHERE_PA);
    let bubble = pocket.volume_mm3 * ATMOSPHERE_PA / pressure;
    let ball = std::f64::consts::PI / 6.0 * wall.powi(3);
    let severity = if bubble > ball { Severity::Fix } else { Severity::Note };
    let title = format!(
        "air: {} mm³ shut in away from the parting line, a bubble of {} mm³ when pressed",
        three_digits(pocket.volume_mm3),
        three_digits(bubble)
    );
    let depth = analysis.evaluation.vent.as_ref().map_or_else(
        |_| String::new(),
        |vent| format!(", {} mm of clearance around it", three_digits(in_mm(vent.start))),
    );
    Finding::new(Kind::TrappedAir, severity, title)
        .number(bubble, Some(ball), "mm³")
        .at(pocket.at)
        .because("the front cuts this place off from the parting line around the part before it is full; pressed to melt pressure its air burns the plastic, and a bubble as wide as the wall is a hole")
        .cured_by(format!("it does not open to the air: let it out there through an ejector pin or a split insert{depth}; or move the gate"))
}

/// What filling took for granted; why it is not known stands in what is missing.
pub(super) fn assumed(analysis: &Analysis) -> Vec<String> {
    let Ok(filled) = &analysis.filling else { return Vec::new() };
    let plastic = &analysis.setup.plastic;
    let mut lines = vec![
        goes_by(plastic),
        "filling: the temperature through every wall is worked out, carried along, conducted to the mold and heated by shear; checked against closed forms and a solver of another kind, not against real shots".to_owned(),
        "filling: sprue, runner and gate cool like the part, the gate counts as a round one of its area, and air gets out ahead of the front".to_owned(),
    ];
    let feed = analysis.evaluation.feed_design.as_ref();
    match filled.gate_moved {
        None if feed.is_ok_and(|design| design.feed.gate.is_round) => lines.push(format!(
            "the sprue stands on the part at {}, on a flat face of the cavity half",
            ascii_point(filled.gate)
        )),
        None => lines.push(format!(
            "the gate stands at {}, the best of the parting line around the part (--gate)",
            ascii_point(filled.gate)
        )),
        Some(moved) if moved > 0.05 => lines.push(format!(
            "the gate was moved by {} mm onto the part, to {}",
            three_digits(moved),
            ascii_point(filled.gate)
        )),
        Some(_) => {}
    }
    if filled.run.reachable < 0.999 {
        lines.push(format!(
            "the gate reaches {:.0} % of the plastic; the rest is another body that is not filled",
            filled.run.reachable * 100.0
        ));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::analysis::Analysis;
    use crate::fill::cells::Resolution;
    use crate::findings::fixtures::{fixture_settings, plug, setup, with};
    use crate::findings::{Finding, Kind, Severity, assumptions};
    use crate::mesh::shapes;
    use crate::settings::{FillChoices, Settings};
    use crate::units::{self, Quantity};

    fn at_force(newtons: f64) -> Analysis {
        let mut setup = setup("pp");
        setup.press.drive.air = None;
        setup.press.drive.ram_force = Some(units::Force::from_si(newtons));
        let fill =
            FillChoices { cells: Resolution::Budget(600), ..FillChoices::default() };
        with(
            &shapes::cuboid(80.0, 20.0, 2.0),
            setup,
            &Settings { fill, ..fixture_settings() },
        )
    }

    fn only(analysis: &Analysis, kind: Kind) -> Option<Finding> {
        judge(analysis).into_iter().find(|finding| finding.kind == kind)
    }

    /// Short far below the least pressure that may fill, unlikely below the expected one,
    /// in doubt above it, fine far above it.
    #[test]
    fn the_band_decides_between_stop_fix_note_and_nothing() {
        let first = at_force(4000.0);
        let filled = first.filling.as_ref().unwrap();
        let has = first.setup.press.melt_pressure().si();
        let needed = 4000.0 / filled.margin(has).unwrap();
        let weak = only(&at_force(0.25 * needed), Kind::ShortShot).unwrap();
        assert_eq!(weak.severity, Severity::Stop);
        assert!(weak.value.unwrap() < 98.0 && weak.at_mm.is_some(), "{weak:?}");
        let short = only(&at_force(0.75 * needed), Kind::ShortShot).unwrap();
        assert_eq!(short.severity, Severity::Fix);
        assert!(short.title.contains("at worst), it freezes off at"), "{}", short.title);
        assert!(
            short.cure.contains("kN on the ram")
                && short.cure.contains("heat the melt to")
        );
        let doubtful = at_force(1.15 * needed);
        assert!(only(&doubtful, Kind::ShortShot).is_none());
        let margin = only(&doubtful, Kind::FillMargin).unwrap();
        assert_eq!(margin.severity, Severity::Note);
        assert!(margin.cure.starts_with("push the first shots with"), "{}", margin.cure);
        assert!((0.4..1.0).contains(&margin.value.unwrap()), "{margin:?}");
        let strong = at_force(4.0 * needed);
        assert!(only(&strong, Kind::ShortShot).is_none());
        assert!(only(&strong, Kind::FillMargin).is_none());
        let reported = assumptions::list(&strong).join("\n");
        assert!(
            reported.contains("--gate") && reported.contains("real shots"),
            "{reported}"
        );
    }

    #[test]
    fn a_filling_that_was_not_looked_at_leaves_the_verdict_open() {
        let fill = FillChoices { skip: true, ..FillChoices::default() };
        let skipped =
            with(&plug(), setup("pp"), &Settings { fill, ..fixture_settings() });
        assert!(judge(&skipped).is_empty());
        let missing = assumptions::missing(&skipped);
        assert!(missing.iter().any(|line| line.contains("--no-fill")), "{missing:?}");
    }
}
