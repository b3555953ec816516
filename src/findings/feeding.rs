//! Does the melt get to the part: what the feed costs in pressure, and whether it stays open
//! long enough.

use super::short;
use super::{Finding, Severity};
use crate::analysis::Analysis;
use crate::process::making::feeding::{Feeding, MOST_LOST, NoFeed};
use crate::units::{Quantity, mpa};

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    match &analysis.making.feeding {
        Ok(feeding) => {
            let order = order(feeding);
            pressure(analysis, feeding).into_iter().chain(order).collect()
        }
        Err(NoFeed::Measure(error)) => vec![
            Finding::new("feed", Severity::Fix, error.to_string())
                .because("no such feed can be milled or works")
                .cured_by("give another measure (see Feed in goodshot check --help)"),
        ],
        Err(_) => Vec::new(),
    }
}

fn pressure(analysis: &Analysis, feeding: &Feeding) -> Option<Finding> {
    let (lost, filling) = (feeding.lost()?, feeding.filling.as_ref().ok()?);
    let melt = analysis.shop.press.melt_pressure();
    let share = lost.si() / melt.si();
    if share <= MOST_LOST {
        return None;
    }
    let severity = if share >= 1.0 { Severity::Fix } else { Severity::Note };
    let dearest = feeding.dearest()?;
    let title = format!(
        "feed: nozzle to gate cost {} of {} MPa at the {} cm³/s that fill the part in {} s",
        short(mpa(lost)),
        short(mpa(melt)),
        short(filling.flow.si() * 1e6),
        short(filling.time.si())
    );
    let because = format!(
        "steady flow without a frozen skin; at most {:.0} % of the melt pressure for the way to the cavity (common practice)",
        MOST_LOST * 100.0
    );
    Some(
        Finding::new("feed_pressure", severity, title)
            .number(mpa(lost), Some(mpa(melt) * MOST_LOST), "MPa")
            .because(because)
            .cured_by(format!(
                "widen what costs most: {}, {}, {} MPa",
                dearest.name,
                dearest.size,
                short(mpa(dearest.loss))
            )),
    )
}

/// What freezes in the wrong order.
fn order(feeding: &Feeding) -> Vec<Finding> {
    let Ok(freezing) = &feeding.feed.freezing else { return Vec::new() };
    let finding = |fault: String| {
        Finding::new("feed_order", Severity::Note, format!("feed: {fault}"))
            .because("the gate has to freeze first, but after the part is packed (common practice)")
            .cured_by("a thinner gate, or a wider runner and sprue")
    };
    freezing.faults().into_iter().map(finding).collect()
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::findings::fixtures::{asked, plug, shop, with};
    use crate::findings::{Finding, Severity};
    use crate::process::feed::FeedChoices;
    use crate::process::making::Choices;
    use crate::settings::Settings;
    use crate::units::read;

    /// The plug with a gate of this depth and width.
    fn gated(depth: &str) -> Vec<Finding> {
        let feed = FeedChoices {
            gate_depth: read(depth).ok(),
            gate_width: read("1 mm").ok(),
            ..FeedChoices::default()
        };
        let choices = Choices { feed, ..Choices::default() };
        judge(&with(&plug(), shop("pp"), &Settings { choices, ..asked() }))
    }

    #[test]
    fn a_gate_that_is_too_thin_costs_too_much() {
        let of = |depth: &str| {
            gated(depth).into_iter().find(|finding| finding.id == "feed_pressure")
        };
        assert_eq!(of("1.5 mm"), None);
        // Between the two the loss passes half of the melt pressure, then all of it.
        let mut last = 0.0;
        let mut seen = Vec::new();
        for hundredths in (10..=150).rev().step_by(2) {
            let Some(finding) = of(&format!("{} mm", f64::from(hundredths) / 100.0))
            else {
                assert!(last <= 0.0, "lost again at {hundredths}");
                continue;
            };
            let (value, limit) = (finding.value.unwrap(), finding.limit.unwrap());
            assert!(value > limit && value >= last, "{finding:?}");
            let all = value >= 2.0 * limit;
            assert_eq!(finding.severity == Severity::Fix, all, "{finding:?}");
            assert!(finding.cure.contains("gate"), "{}", finding.cure);
            last = value;
            seen.push(all);
        }
        assert!(seen.contains(&true) && seen.contains(&false), "{seen:?}");
    }

    #[test]
    fn a_gate_deeper_than_the_wall_is_no_gate() {
        let findings = gated("9 mm");
        assert_eq!(findings[0].id, "feed");
        assert!(findings[0].title.contains("gate_depth"), "{}", findings[0].title);
        assert!(gated("1.5 mm").iter().all(|finding| finding.id != "feed"));
    }
}
