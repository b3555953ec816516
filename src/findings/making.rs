//! Does it fit one shot, and does the mold stay shut?

use super::short;
use super::{Finding, Severity};
use crate::analysis::Analysis;
use crate::process::clamp::{self, REQUIRED_MARGIN};
use crate::process::shot::{ADVISED, Shot, TROUBLE};
use crate::units::{Quantity, cm3, grams, mm2, mpa};

/// Cold granules against the melt that they become: why a barrel that is nearly used up
/// is trouble.
const BARREL: &str =
    "common practice: 20 to 65 % of the barrel is good, above 87 % granules do not fit";

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let Some(reason) = &analysis.shop.plastic.refuse {
        findings.push(
            Finding::new(
                "plastic_refused",
                Severity::Stop,
                format!("do not mold {} here", analysis.shop.plastic.name),
            )
            .because(reason)
            .cured_by("choose another plastic with --plastic"),
        );
    }
    if let Some(Ok(shot)) = &analysis.making.shot {
        findings.extend(shot_size(shot));
    }
    findings.extend(opening(analysis));
    findings.extend(nozzle(analysis));
    findings
}

fn shot_size(shot: &Shot) -> Option<Finding> {
    let share = shot.fraction.si();
    let (severity, limit, cure) = if share > 1.0 {
        let fits = grams(shot.part) / share;
        let cure = format!(
            "make the part lighter than {} g, or fit a larger barrel",
            short(fits)
        );
        (Severity::Stop, 1.0, cure)
    } else if share > TROUBLE {
        let cure = "tamp the granules and expect short shots; better a lighter part or a larger barrel";
        (Severity::Fix, TROUBLE, cure.to_owned())
    } else if share > ADVISED {
        (
            Severity::Note,
            ADVISED,
            "fill the barrel well and give it time to melt".to_owned(),
        )
    } else {
        return None;
    };
    let title = format!(
        "shot: {} g of melt ({} cm³) is {:.0} % of one stroke ({} g)",
        short(grams(shot.total)),
        short(cm3(shot.melt_volume)),
        share * 100.0,
        short(grams(shot.capacity))
    );
    Some(
        Finding::new("shot", severity, title)
            .number(share * 100.0, Some(limit * 100.0), "%")
            .because(BARREL)
            .cured_by(cure),
    )
}

fn opening(analysis: &Analysis) -> Option<Finding> {
    let clamping = &analysis.making.clamping;
    let (holding, margin) = (clamping.holding?, clamping.margin?);
    if margin >= REQUIRED_MARGIN {
        return None;
    }
    let severity = if margin < 1.0 { Severity::Stop } else { Severity::Fix };
    let needed = clamping.opening.si() * REQUIRED_MARGIN / 1000.0;
    let title = format!(
        "clamp: the melt opens with {} kN, the clamp holds {} kN",
        short(clamping.opening.si() / 1000.0),
        short(holding.si() / 1000.0)
    );
    let holdable = clamp::holdable_area(holding, clamping.pressure).map(mm2);
    let basis = format!(
        "melt pressure {} MPa on {} mm²: at constant ram force the whole cavity comes to it; margin {REQUIRED_MARGIN} (common practice 1.1 to 1.25)",
        short(mpa(clamping.pressure)),
        short(mm2(clamping.area))
    );
    let area =
        holdable.map(|area| format!(", or keep the shadow below {} mm²", short(area)));
    let cure =
        format!("clamp with at least {} kN{}", short(needed), area.unwrap_or_default());
    Some(
        Finding::new("clamp", severity, title)
            .number(margin, Some(REQUIRED_MARGIN), "")
            .because(basis)
            .cured_by(cure),
    )
}

fn nozzle(analysis: &Analysis) -> Option<Finding> {
    let lift = analysis.shop.press.nozzle_lift()?.si();
    let contact = analysis.shop.press.nozzle.as_ref()?.contact_force?.si();
    if contact >= lift {
        return None;
    }
    let title = format!(
        "nozzle: the melt lifts it with {} N, it is held with {} N",
        short(lift),
        short(contact)
    );
    Some(
        Finding::new("nozzle", Severity::Fix, title)
            .number(contact, Some(lift), "N")
            .because("melt pressure on the circle of the nozzle seat")
            .cured_by(format!(
                "hold the nozzle against the mold with at least {} N",
                short(lift)
            )),
    )
}
