//! The smallest changes that make a part fill, in words.

use crate::analysis::Analysis;
use crate::analysis::filling::FillingStudy;
use crate::analysis::filling::cures::{Change, Cure, Help};
use crate::fill::required_pressure::RequiredPressure;
use crate::units::format::three_digits;
use crate::units::{self, Force, Pressure, Quantity, in_kn, in_mm};

/// Names of other plastics told at most.
const MOST_NAMES: usize = 5;

/// Everything that was tried and helps, the press first.
pub(super) fn all(analysis: &Analysis, filled: &FillingStudy) -> String {
    let mut ways: Vec<String> = press(analysis, filled).into_iter().collect();
    let tried = filled.cures.iter();
    let changes = tried.filter(|cure| !matches!(cure.change, Change::Plastic(_)));
    ways.extend(changes.map(said));
    ways.extend(plastics(&filled.cures));
    if filled.cures.is_empty() {
        ways.push(
            "shorter ways or thicker walls: neither gate nor heat helps".to_owned(),
        );
    }
    ways.join("; or ")
}

/// The ram that does.
fn press(analysis: &Analysis, filled: &FillingStudy) -> Option<String> {
    let available = analysis.setup.press.melt_pressure().si();
    match filled.least {
        RequiredPressure::Pressure { pa, band_pa, .. } => {
            let sure = if band_pa[1].is_finite() { band_pa[1] } else { pa };
            let wanted = if sure > available { sure } else { pa };
            Some(format!("press with {}", strength(analysis, wanted)))
        }
        RequiredPressure::None => {
            Some("no stronger press alone helps: it freezes first".to_owned())
        }
        RequiredPressure::Any => None,
    }
}

/// "7.2 MPa: 3.5 kN on the ram, 8 bar in its cylinders".
fn strength(analysis: &Analysis, pa: f64) -> String {
    let press = &analysis.setup.press;
    let mut text = format!("{} MPa", three_digits(pa * 1e-6));
    let force: Option<Force> = press.force_for(Pressure::from_si(pa));
    let Some(force) = force else { return text };
    text += &format!(": {} kN on the ram", three_digits(in_kn(force)));
    if let Some(air) = &press.drive.air {
        let bar = units::in_bar(air.air) * force.si() / press.ram_force().si();
        if bar.is_finite() {
            text += &format!(", {} bar in its cylinders", three_digits(bar));
        }
    }
    text
}

/// One change and what it brings.
pub fn said(cure: &Cure) -> String {
    let change = match &cure.change {
        Change::Wall(least) => format!("every wall at least {} mm", three_digits(*least)),
        Change::Gate(gate) => format!(
            "a gate {} mm deep and {} wide (--gate-depth)",
            three_digits(in_mm(gate.depth)),
            three_digits(in_mm(gate.width))
        ),
        Change::Melt(to) => format!("melt at {:.0} °C", units::in_celsius(*to)),
        Change::Mold(to) => format!("mold at {:.0} °C", units::in_celsius(*to)),
        Change::Plastic(name) => format!("--plastic {name}"),
    };
    let needs = cure.needs_pa.map(|pa| three_digits(pa * 1e-6));
    let brings = match (cure.help, needs) {
        (Help::Sure, Some(needs)) => {
            format!("then {needs} MPa fill it, to spare for any lot")
        }
        (Help::Sure, None) => "fills with another lot too".to_owned(),
        (Help::Fills, Some(needs)) => format!("then {needs} MPa fill it"),
        (Help::Fills, None) => "fills, with nothing to spare".to_owned(),
        (Help::Less, needs) => {
            format!("not enough alone: then {} MPa", needs.unwrap_or_default())
        }
    };
    format!("{change} ({brings})")
}

/// The plastics that fill in place of this one, the sure ones first.
fn plastics(cures: &[Cure]) -> Option<String> {
    let with = |help: Help| {
        cures.iter().filter(move |cure| cure.help == help).filter_map(|cure| match &cure
            .change
        {
            Change::Plastic(name) => Some(name.as_str()),
            _ => None,
        })
    };
    let (sure, barely): (Vec<&str>, Vec<&str>) =
        (with(Help::Sure).collect(), with(Help::Fills).collect());
    let (names, brings) = if sure.is_empty() {
        (barely, "fills, with nothing to spare")
    } else {
        (sure, "fills with another lot too")
    };
    let first = names.iter().take(MOST_NAMES).copied().collect::<Vec<_>>();
    (!first.is_empty()).then(|| format!("--plastic {} ({brings})", first.join(" or ")))
}
