//! Does it fit one shot, does the nozzle hold, may this plastic be molded here?

use super::{Finding, Kind, Severity, pressure_window};
use crate::analysis::Analysis;
use crate::process::evaluation::pressure_window::{Held, Holder};
use crate::process::feed::nozzle;
use crate::process::press::shot::{ADVISED, BarrelUse, Shot, TROUBLE};
use crate::units::format::three_digits;
use crate::units::{Quantity, in_cm3, in_grams};

/// Cold granules against the melt that they become: why a barrel that is nearly used up
/// is trouble.
const BARREL: &str =
    "common practice: 20 to 65 % of the barrel is good, above 87 % granules do not fit";

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let Some(reason) = &analysis.setup.plastic.refuse {
        findings.push(
            Finding::new(
                Kind::PlasticRefused,
                Severity::Stop,
                format!("do not mold {} here", analysis.setup.plastic.name),
            )
            .because(reason)
            .cured_by("choose another plastic"),
        );
    }
    if let Some(Ok(shot)) = &analysis.evaluation.shot {
        findings.extend(shot_size(shot, analysis.choices.count()));
    }
    findings.extend(nozzle(analysis));
    findings
}

fn shot_size(shot: &Shot, cavities: u32) -> Option<Finding> {
    let share = shot.fraction.si();
    let (severity, limit, cure) = match shot.barrel_use() {
        BarrelUse::Impossible => {
            let fits = in_grams(shot.part) / share / f64::from(cavities);
            let fewer = if cavities > 1 { ", take fewer cavities" } else { "" };
            let cure = format!(
                "make the part lighter than {} g{fewer}, or fit a larger barrel",
                three_digits(fits)
            );
            (Severity::Stop, 1.0, cure)
        }
        BarrelUse::Trouble => {
            let cure = "tamp the granules and expect short shots; better a lighter part or a larger barrel";
            (Severity::Fix, TROUBLE, cure.to_owned())
        }
        BarrelUse::High => {
            let cure = "fill the barrel well and give it time to melt";
            (Severity::Note, ADVISED, cure.to_owned())
        }
        BarrelUse::Fine => return None,
    };
    let title = format!(
        "shot: {} g of melt ({} cm³) is {:.0} % of one stroke ({} g)",
        three_digits(in_grams(shot.total)),
        three_digits(in_cm3(shot.melt_volume)),
        share * 100.0,
        three_digits(in_grams(shot.capacity))
    );
    Some(
        Finding::new(Kind::Shot, severity, title)
            .number(share * 100.0, Some(limit * 100.0), "%")
            .because(BARREL)
            .cured_by(cure),
    )
}

fn nozzle(analysis: &Analysis) -> Option<Finding> {
    let window = &analysis.evaluation.window;
    let seat = nozzle::seat(&analysis.setup.press)?;
    let contact = seat.contact?.si();
    // As long as no melt is under it, only the orifice lifts.
    let (severity, lift, how) = match window.held(Holder::Nozzle) {
        Held::Nothing => {
            (Severity::Stop, seat.tight_lift, "even while its seat is tight")
        }
        Held::Best => (Severity::Fix, seat.lift, "once melt has crept under it"),
        Held::Expected => {
            return pressure_window::note(analysis, Kind::Nozzle, Holder::Nozzle);
        }
        Held::Worst => return None,
    };
    // The lift goes with the pressure.
    let judged = window.judged().si() / window.has.si();
    let (lift, needed) = (lift.si() * judged, seat.lift.si() * judged);
    let title = format!(
        "nozzle: at {} the melt lifts it with {} N {how}, it is held with {} N",
        pressure_window::mpa(window.judged()),
        three_digits(lift),
        three_digits(contact)
    );
    Some(
        Finding::new(Kind::Nozzle, severity, title)
            .number(contact, Some(needed), "N")
            .because("melt pressure on the circle of the nozzle seat; hot melt sprays where it lifts")
            .cured_by(format!(
                "hold the nozzle against the mold with at least {} N",
                three_digits(needed)
            )),
    )
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::findings::fixtures::{
        fixture_settings, plug, setup, unfilled_settings, with,
    };
    use crate::findings::{Finding, Kind, Severity};
    use crate::mesh::shapes;
    use crate::numeric::bisect;
    use crate::process::press::Press;
    use crate::units::Quantity;

    fn only(findings: Vec<Finding>, kind: Kind) -> Option<Finding> {
        findings.into_iter().find(|finding| finding.kind == kind)
    }

    /// A box of the size that takes just under or over each share of a stroke.
    #[test]
    fn a_shot_is_judged_by_its_share_of_a_stroke() {
        let share = |edge: f64| {
            let analysis =
                with(&shapes::cuboid(edge, edge, edge), setup("pp"), &fixture_settings());
            let shot = analysis.evaluation.shot.as_ref().unwrap().as_ref().unwrap();
            (shot.fraction.si(), only(judge(&analysis), Kind::Shot))
        };
        // The feed takes a share of the part and what stays in the nozzle.
        let edge_of =
            |target: f64| bisect([10.0, 60.0], 16, |edge| share(edge).0 < target)[0];
        for (target, severity, limit) in [
            (0.60, None, 0.0),
            (0.75, Some(Severity::Note), 65.0),
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

    #[test]
    fn a_nozzle_that_lifts_leaks() {
        let with_contact = |contact: &str| {
            let mut setup = setup("pp");
            let text = format!(
                "name = 'p'\ndrive = {{ ram_force = '4 kN' }}\n[ram]\ndiameter = '25 mm'\n\
                 stroke = '100 mm'\n[nozzle]\norifice = '3 mm'\nland = '6 mm'\n\
                 seat_diameter = '10 mm'\ncontact_force = '{contact}'"
            );
            setup.press = Press::parse(&text).unwrap();
            only(judge(&with(&plug(), setup, &unfilled_settings())), Kind::Nozzle)
        };
        // 4 kN on 25 mm are 8.149 MPa; on a circle of 10 mm they lift with 640 N.
        assert_eq!(with_contact("650 N"), None);
        let leaking = with_contact("630 N").unwrap();
        assert!((leaking.limit.unwrap() - 640.0).abs() < 0.5, "{leaking:?}");
    }

    #[test]
    fn a_plastic_that_must_not_be_molded_here_stops() {
        let refused = only(
            judge(&with(&plug(), setup("pvc"), &fixture_settings())),
            Kind::PlasticRefused,
        );
        assert_eq!(refused.unwrap().severity, Severity::Stop);
    }
}
