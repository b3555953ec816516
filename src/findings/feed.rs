//! Does the melt get to the part: what the feed costs in pressure, and whether it stays open
//! long enough.

use super::{Finding, Kind, Severity};
use crate::analysis::Analysis;
use crate::process::evaluation::feed::{FeedDesign, NoFeed};
use crate::process::feed::sizing::LOSS_GOAL;
use crate::units::format::three_digits;
use crate::units::{in_cm3_s, in_mpa};

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    match &analysis.evaluation.feed_design {
        Ok(feed_design) => {
            let order = order(feed_design);
            pressure(analysis, feed_design).into_iter().chain(order).collect()
        }
        Err(NoFeed::Measure(error)) => vec![
            Finding::new(Kind::Feed, Severity::Fix, error.to_string())
                .because("no such feed can be milled or works")
                .cured_by("give another measure for the feed"),
        ],
        Err(_) => Vec::new(),
    }
}

/// Nozzle to gate lose more than a feed should: the bound that stopped it is named. Whether the
/// part fills is judged by the filling.
fn pressure(analysis: &Analysis, feed_design: &FeedDesign) -> Option<Finding> {
    let bound = feed_design.bound?;
    let lost = feed_design.lost()?;
    let flow = feed_design.filling.as_ref().ok()?.flow;
    let melt = analysis.setup.press.melt_pressure();
    let goal = melt * LOSS_GOAL;
    let title = format!(
        "feed: nozzle to gate take {} of {} MPa at {} cm³/s ({} % is the goal); what stops it: {}",
        three_digits(in_mpa(lost)),
        three_digits(in_mpa(melt)),
        three_digits(in_cm3_s(flow)),
        three_digits(LOSS_GOAL * 100.0),
        bound.text()
    );
    Some(
        Finding::new(Kind::FeedPressure, Severity::Note, title)
            .number(in_mpa(lost), Some(in_mpa(goal)), "MPa")
            .because("steady flow through nozzle, sprue, runner and gate without a frozen skin; a quarter of the melt pressure is judgment")
            .cured_by(bound.remedy()),
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
            gate_width: read("6 mm").ok(),
            ..FeedChoices::default()
        };
        let choices = Choices { feed, ..Choices::default() };
        let settings = Settings { choices, ..fixture_settings() };
        analysis.evaluation = remake(&analysis.shape, &analysis.setup, &settings, None);
        judge(analysis)
    }

    /// A gate that was given is named as the bound once it is too thin for a quarter of the
    /// pressure, and stays a note however thin it is: whether the part fills is another question.
    #[test]
    fn a_gate_that_is_too_thin_is_named() {
        let mut plug = analysis(&plug());
        let mut of = |depth: &str| {
            gated(&mut plug, depth).into_iter().find(|it| it.kind == Kind::FeedPressure)
        };
        assert_eq!(of("1.5 mm"), None);
        let finding = of("0.06 mm").unwrap();
        assert_eq!(finding.severity, Severity::Note);
        assert!(finding.title.contains("the gate, as given"), "{}", finding.title);
        assert!(finding.cure.contains("the gate"), "{}", finding.cure);
        assert!(finding.value.unwrap() >= finding.limit.unwrap(), "{finding:?}");
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
