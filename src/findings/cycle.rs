//! Does the melt stand its time in the barrel, and the mold its shift? Both are advice for
//! the work at the press: neither speaks against cutting the mold.

use super::{Finding, Kind, Severity};
use crate::analysis::Analysis;
use crate::process::part_limits::basis;
use crate::units::format::three_digits;
use crate::units::{Quantity, in_celsius};

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    in_heat(analysis).into_iter().chain(warm(analysis)).collect()
}

fn in_heat(analysis: &Analysis) -> Option<Finding> {
    let timing = &analysis.evaluation.timing;
    let [stays, limit] =
        [timing.in_heat?, timing.heat_limit?].map(|time| time.si() / 60.0);
    if stays <= limit {
        return None;
    }
    let plastic = &analysis.setup.plastic;
    let title = format!(
        "heat: the melt stays {} min in the barrel, {} stands {} min",
        three_digits(stays),
        plastic.name,
        three_digits(limit)
    );
    let melt = plastic.melt_temperature.value.map(|range| in_celsius(range.typical()));
    let because = format!(
        "melt in the heated length ÷ shot × cycle, against the time at {} °C: {}",
        melt.map_or_else(String::new, three_digits),
        basis(&plastic.residence_limit)
    );
    Some(
        Finding::new(Kind::Residence, Severity::Note, title)
            .number(stays, Some(limit), "min")
            .because(because)
            .cured_by(
                "charge no more than a shot, keep the rhythm, purge before and after a pause, or shorten the heated length",
            ),
    )
}

fn warm(analysis: &Analysis) -> Option<Finding> {
    let shift = analysis.evaluation.timing.shift.as_ref()?;
    let shot = shift.too_warm_from? + 1;
    let ejection = analysis.setup.plastic.ejection_temperature.value.map(in_celsius)?;
    let title = format!(
        "mold: from shot {shot} on it is at {:.0} °C, and the part no longer gets stiff",
        in_celsius(shift.end)
    );
    Some(
        Finding::new(Kind::MoldWarm, Severity::Note, title)
            .number(in_celsius(shift.end), Some(ejection), "°C")
            .because(
                "heat of each shot into a block of aluminum that loses it to still air",
            )
            .cured_by("let the mold cool between shots, or make its plates larger"),
    )
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::analysis::Analysis;
    use crate::findings::Kind;
    use crate::findings::fixtures::{analysis, fixture_settings, plug, setup, with};
    use crate::units::Quantity;

    /// The same analysis with another limit: just above and just below what it takes.
    fn limited(share: f64) -> Analysis {
        let mut analysis = with(&plug(), setup("pom"), &fixture_settings());
        let stays = analysis.evaluation.timing.in_heat.unwrap();
        assert!(stays.si() > 60.0);
        analysis.evaluation.timing.heat_limit = Some(stays * share);
        analysis
    }

    #[test]
    fn melt_that_stays_too_long_is_reported() {
        assert!(
            judge(&limited(1.001)).iter().all(|finding| finding.kind != Kind::Residence)
        );
        let findings = judge(&limited(0.999));
        let finding =
            findings.iter().find(|finding| finding.kind == Kind::Residence).unwrap();
        assert!(finding.value > finding.limit && finding.unit == "min");
    }

    #[test]
    fn a_mold_that_gets_too_warm_is_reported() {
        let mut analysis = analysis(&plug());
        assert!(judge(&analysis).is_empty());
        if let Some(shift) = &mut analysis.evaluation.timing.shift {
            shift.too_warm_from = Some(11);
        }
        let findings = judge(&analysis);
        assert_eq!(findings[0].kind, Kind::MoldWarm);
        assert!(findings[0].title.contains("from shot 12 on"), "{}", findings[0].title);
    }
}
