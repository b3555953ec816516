//! Does the melt get to the part: what the feed costs in pressure, and whether it stays open
//! long enough.

use super::{Finding, Kind, Severity};
use crate::analysis::Analysis;
use crate::process::evaluation::feed::{FeedDesign, NoFeed};
use crate::units::format::three_digits;
use crate::units::{Quantity, in_mpa};

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    match &analysis.evaluation.feed_design {
        Ok(feed_design) => {
            let order = order(feed_design);
            pressure(analysis, feed_design).into_iter().chain(order).collect()
        }
        Err(NoFeed::Measure(error)) => vec![
            Finding::new(Kind::Feed, Severity::Fix, error.to_string())
                .because("no such feed can be milled or works")
                .cured_by("give another measure (see Feed in goodshot check --help)"),
        ],
        Err(_) => Vec::new(),
    }
}

/// Whether the feed alone takes all of the pressure: at the wanted flow the part only fills
/// slower; at the slowest flow that beats the freezing it does not fill.
fn pressure(analysis: &Analysis, feed_design: &FeedDesign) -> Option<Finding> {
    let filling = feed_design.filling.as_ref().ok()?;
    let melt = analysis.setup.press.melt_pressure();
    let (wanted, slowest) = (feed_design.lost(), feed_design.lost_at_slowest?);
    let (severity, lost, how, time) = match wanted {
        _ if slowest >= melt => (
            Severity::Fix,
            slowest,
            "even at the slowest flow that is done before the wall is frozen",
            filling.freezes,
        ),
        Some(wanted) if wanted < melt => return None,
        _ => (
            Severity::Note,
            wanted?,
            "at the wanted flow, so the part fills slower",
            filling.time,
        ),
    };
    let title = format!(
        "feed: nozzle to gate take {} of {} MPa {how} ({} s)",
        three_digits(in_mpa(lost)),
        three_digits(in_mpa(melt)),
        three_digits(time.si())
    );
    let dearest = feed_design.dearest()?;
    Some(
        Finding::new(Kind::FeedPressure, severity, title)
            .number(in_mpa(lost), Some(in_mpa(melt)), "MPa")
            .because("steady flow through nozzle, sprue, runner and gate without a frozen skin, against the melt pressure")
            .cured_by(format!(
                "widen what costs most: {}, {}",
                dearest.name, dearest.size
            )),
    )
}

/// What freezes in the wrong order.
fn order(feed_design: &FeedDesign) -> Vec<Finding> {
    let Ok(freezing) = &feed_design.feed.freezing else { return Vec::new() };
    let finding = |fault: String| {
        Finding::new(Kind::FeedOrder, Severity::Note, format!("feed: {fault}"))
            .because("the gate has to freeze first, but after the part is packed (common practice)")
            .cured_by("a thinner gate, or a wider runner and sprue")
    };
    freezing.faults().into_iter().map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::analysis::{Analysis, remake};
    use crate::findings::fixtures::{analysis, fixture_settings, plug};
    use crate::findings::{Finding, Kind, Severity};
    use crate::process::evaluation::Choices;
    use crate::process::feed::FeedChoices;
    use crate::settings::Settings;
    use crate::units::read;

    /// The plug, made again with a gate of this depth.
    fn gated(analysis: &mut Analysis, depth: &str) -> Vec<Finding> {
        let feed = FeedChoices {
            gate_depth: read(depth).ok(),
            gate_width: read("1 mm").ok(),
            ..FeedChoices::default()
        };
        let choices = Choices { feed, ..Choices::default() };
        let settings = Settings { choices, ..fixture_settings() };
        analysis.evaluation = remake(&analysis.shape, &analysis.setup, &settings, None);
        judge(analysis)
    }

    #[test]
    fn a_gate_that_is_too_thin_costs_too_much() {
        let mut plug = analysis(&plug());
        let mut of = |depth: &str| {
            gated(&mut plug, depth).into_iter().find(|it| it.kind == Kind::FeedPressure)
        };
        assert_eq!(of("1.5 mm"), None);
        // As the gate gets thinner, the wanted flow takes all of the pressure first, then
        // the slowest one does.
        let mut seen = Vec::new();
        for hundredths in (6..=150).rev().step_by(6) {
            let Some(finding) = of(&format!("{} mm", f64::from(hundredths) / 100.0))
            else {
                assert!(seen.is_empty(), "lost again at {hundredths}");
                continue;
            };
            assert!(finding.value.unwrap() >= finding.limit.unwrap(), "{finding:?}");
            assert!(finding.cure.starts_with("widen"), "{}", finding.cure);
            seen.push(finding.severity);
        }
        assert!(seen.contains(&Severity::Fix) && seen.contains(&Severity::Note));
        assert!(seen.is_sorted_by(|a, b| a >= b), "{seen:?}");
    }

    #[test]
    fn a_gate_deeper_than_the_wall_is_no_gate() {
        let mut plug = analysis(&plug());
        let findings = gated(&mut plug, "9 mm");
        assert_eq!(findings[0].kind, Kind::Feed);
        assert!(findings[0].title.contains("gate_depth"), "{}", findings[0].title);
        assert!(gated(&mut plug, "1.5 mm").iter().all(|it| it.kind != Kind::Feed));
    }
}
