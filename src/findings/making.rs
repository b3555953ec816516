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
        "clamp: the melt opens with {} kN, the clamp holds {} kN, {margin:.2} times as much",
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

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::analysis::Shop;
    use crate::findings::fixtures::{asked, plug, shop, with};
    use crate::findings::{Finding, Severity};
    use crate::mesh::shapes;
    use crate::process::press::Press;
    use crate::units::Quantity;

    fn only(findings: Vec<Finding>, id: &str) -> Option<Finding> {
        findings.into_iter().find(|finding| finding.id == id)
    }

    /// A box of the size that takes just under or over each share of a stroke.
    #[test]
    fn a_shot_is_judged_by_its_share_of_a_stroke() {
        let share = |edge: f64| {
            let analysis = with(&shapes::cuboid(edge, edge, edge), shop("pp"), &asked());
            let shot = analysis.making.shot.as_ref().unwrap().as_ref().unwrap();
            (shot.fraction.si(), only(judge(&analysis), "shot"))
        };
        // The feed takes a share of the part and what stays in the nozzle.
        let edge_of = |target: f64| {
            let (mut low, mut high) = (10.0, 60.0);
            for _ in 0..16 {
                let middle = f64::midpoint(low, high);
                if share(middle).0 < target { low = middle } else { high = middle }
            }
            low
        };
        for (target, severity, limit) in [
            (0.60, None, 0.0),
            (0.70, Some(Severity::Note), 65.0),
            (0.90, Some(Severity::Fix), 87.0),
            (1.10, Some(Severity::Stop), 100.0),
        ] {
            let (seen, finding) = share(edge_of(target));
            assert!((seen - target).abs() < 1e-3, "{seen} is not {target}");
            assert_eq!(finding.as_ref().map(|finding| finding.severity), severity);
            if let Some(finding) = finding {
                assert!((finding.value.unwrap() - 100.0 * target).abs() < 0.1);
                assert!((finding.limit.unwrap() - limit).abs() < 1e-9);
            }
        }
    }

    /// A press of 7.90 MPa that holds its mold with `clamp`.
    fn press(clamp: f64) -> Shop {
        let text = format!(
            "name = 'p'\ndrive = {{ ram_force = '4 kN' }}\nclamp = {{ force = '{clamp} N' }}\n\
             [ram]\ndiameter = '25 mm'\nstroke = '100 mm'"
        );
        Shop { press: Press::parse(&text).unwrap(), press_given: true, ..shop("pp") }
    }

    #[test]
    fn a_clamp_is_judged_by_its_margin() {
        let opening = with(&plug(), press(1e6), &asked()).making.clamping.opening.si();
        for (margin, severity) in
            [(0.9, Some(Severity::Stop)), (1.1, Some(Severity::Fix)), (1.5, None)]
        {
            let analysis = with(&plug(), press(margin * opening), &asked());
            let finding = only(judge(&analysis), "clamp");
            assert_eq!(finding.as_ref().map(|finding| finding.severity), severity);
            if let Some(finding) = finding {
                assert!((finding.value.unwrap() - margin).abs() < 1e-4, "{finding:?}");
                assert!(
                    finding.cure.contains("keep the shadow below"),
                    "{}",
                    finding.cure
                );
            }
        }
    }

    #[test]
    fn a_nozzle_that_lifts_leaks() {
        let with_contact = |contact: &str| {
            let mut shop = shop("pp");
            let text = format!(
                "name = 'p'\ndrive = {{ ram_force = '4 kN' }}\n[ram]\ndiameter = '25 mm'\n\
                 stroke = '100 mm'\n[nozzle]\norifice = '3 mm'\nland = '6 mm'\n\
                 seat_diameter = '10 mm'\ncontact_force = '{contact}'"
            );
            shop.press = Press::parse(&text).unwrap();
            only(judge(&with(&plug(), shop, &asked())), "nozzle")
        };
        // 4 kN on 25 mm are 8.149 MPa; on a circle of 10 mm they lift with 640 N.
        assert_eq!(with_contact("650 N"), None);
        let leaking = with_contact("630 N").unwrap();
        assert!((leaking.limit.unwrap() - 640.0).abs() < 0.5, "{leaking:?}");
    }

    #[test]
    fn a_plastic_that_must_not_be_molded_here_stops() {
        let refused =
            only(judge(&with(&plug(), shop("pvc"), &asked())), "plastic_refused");
        assert_eq!(refused.unwrap().severity, Severity::Stop);
    }
}
