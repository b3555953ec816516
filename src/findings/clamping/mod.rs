//! Does the mold stay shut: clamp, plates and bolts against the melt, and flash.

use super::effect::{Effect, ShortChange};
use super::{Finding, Kind, Severity, pressure_window};
use crate::analysis::Analysis;
use crate::process::clamping::flash::{LAND_SHARE, Overload, ShutError};
use crate::process::clamping::force::{self, REQUIRED_MARGIN};
use crate::process::clamping::plate_bow::VISE_N_M;
use crate::process::clamping::remedies::Cure;
use crate::process::evaluation::clamping::{BetweenJaws, Bolted};
use crate::process::evaluation::pressure_window::{Held, Holder};
use crate::process::part_limits::basis;
use crate::process::sourced::Range;
use crate::units::format::{capitalized, three_digits};
use crate::units::{Length, Quantity, in_kn, in_mm, in_mm2, in_mpa};

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let mut findings: Vec<Finding> =
        [opening(analysis), land(analysis)].into_iter().flatten().collect();
    let clamping = &analysis.evaluation.clamping;
    match &clamping.bolted {
        Some(Err(error)) => findings.extend(held_badly(error)),
        None if clamping.is_cut_through => {
            findings.extend(held_badly(&ShutError::NoMetal));
        }
        Some(Ok(_)) | None => findings.extend(flash(analysis)),
    }
    findings
}

fn opening(analysis: &Analysis) -> Option<Finding> {
    let clamping = &analysis.evaluation.clamping;
    let force = &clamping.force;
    let (holding, margin) = (force.holding?, clamping.margin()?);
    let severity = match analysis.evaluation.window.held(Holder::Clamp) {
        Held::Nothing => Severity::Stop,
        Held::Best => Severity::Fix,
        Held::Expected => {
            return pressure_window::note(analysis, Kind::Clamp, Holder::Clamp);
        }
        Held::Worst => return None,
    };
    let [opening, held] =
        [force.opening, holding].map(|force| three_digits(in_kn(force)));
    let worst = clamping.bolted().map(worst_bolt);
    let tilted = clamping.squeezed.zip(force.margin).zip(force.yaw);
    let tilted = tilted.filter(|((corner, whole), _)| *corner < 0.995 * whole);
    let corner = tilted.map(|((_, whole), off)| {
        format!(
            " in the worst corner of the land ({whole:.2} of the whole): it squeezes {} mm off the middle of the melt",
            three_digits(in_mm(off))
        )
    });
    let title = format!(
        "clamp: the melt opens with {opening} kN, the clamp holds {held} kN, {margin:.2} times as much{}",
        worst.or(corner).unwrap_or_default()
    );
    let basis = format!(
        "melt pressure {} MPa, {}, on {} mm² of part and feed: at constant ram force the whole cavity comes to it; margin {REQUIRED_MARGIN} (common practice 1.1 to 1.25)",
        three_digits(in_mpa(force.pressure)),
        judged_at(analysis, severity),
        three_digits(in_mm2(force.area))
    );
    let cures = clamping.bolted().map_or(&[][..], |bolted| &bolted.cures);
    // What a corner lacks, the whole has to have more.
    let tilt = force.margin.map_or(1.0, |whole| whole / margin);
    let needed = force.opening * tilt * REQUIRED_MARGIN;
    let harder = format!("clamp with at least {} kN", three_digits(in_kn(needed)));
    let change = first_change(analysis, cures).or_else(|| {
        let effect = Effect::of_force(needed, analysis.setup.press.clamp.as_ref()?);
        Some(ShortChange { words: capitalized(&harder), effect })
    });
    let cure = in_words(cures).unwrap_or_else(|| {
        let area = force::holdable_area(holding / tilt, force.pressure).map(in_mm2);
        let area = area.map(|area| {
            format!(", or keep the projected area below {} mm²", three_digits(area))
        });
        let middle = if tilt > 1.005 { ", or move the mold in the clamp" } else { "" };
        format!("{harder}{middle}{}", area.unwrap_or_default())
    });
    Some(
        Finding::new(Kind::Clamp, severity, title)
            .number(margin, Some(REQUIRED_MARGIN), "")
            .because(basis)
            .cured_by(cure)
            .changed_by(change),
    )
}

fn worst_bolt(bolted: &Bolted) -> String {
    format!(
        "; the worst bolt carries {} kN, {} mm off the middle",
        three_digits(in_kn(bolted.shut.loads.worst)),
        three_digits(in_mm(bolted.shut.loads.off))
    )
}

/// The first of the changes to what holds the mold.
fn first_change(analysis: &Analysis, cures: &[Cure]) -> Option<ShortChange> {
    let first = cures.first()?;
    let clamp = analysis.setup.press.clamp.as_ref();
    let effect = clamp.and_then(|clamp| Effect::of_bolts(first, clamp));
    Some(ShortChange { words: capitalized(&cure(first)), effect })
}

/// What the pressure is that the mold is judged at.
fn judged_at(analysis: &Analysis, severity: Severity) -> String {
    match analysis.evaluation.window.fills {
        None => "all that the press has".to_owned(),
        Some(band) if severity == Severity::Stop => format!(
            "which is expected to fill ({} at best)",
            pressure_window::mpa(band.best)
        ),
        Some(_) => "which is expected to fill".to_owned(),
    }
}

/// A land that the clamp presses more than its metal should withstand.
fn land(analysis: &Analysis) -> Option<Finding> {
    let clamping = &analysis.evaluation.clamping;
    let land = clamping.land.filter(|land| land.used.si() > 1.0)?;
    let coins = land.used.si() * LAND_SHARE > 1.0;
    let severity = if coins { Severity::Fix } else { Severity::Note };
    let metal = clamping.plates.alloy.metal();
    let [stress, allowed, proof] = [land.stress, land.allowed, metal.proof]
        .map(|stress| three_digits(in_mpa(stress)));
    let how = if coins { "coins it" } else { "marks it in time" };
    let used = land.used.si();
    // A clamp that holds too little already is not loosened.
    let cure = if analysis.evaluation.window.held(Holder::Clamp) < Held::Worst {
        format!("leave {} times as much land around the cavity", three_digits(used))
    } else {
        format!(
            "clamp with {} times as much, or leave {} times as much land around the cavity",
            three_digits(1.0 / used),
            three_digits(used)
        )
    };
    let title = format!(
        "land: the clamp presses the closed mold with {stress} MPa on its land, which {how}"
    );
    Some(
        Finding::new(Kind::Land, severity, title)
            .number(in_mpa(land.stress), Some(in_mpa(land.allowed)), "MPa")
            .because(format!(
                "high end of the clamping force on plates less cavity and bolt holes; a third of the {proof} MPa at which {} yields, {allowed} MPa, keeps vents and parting line as they were cut (common practice, from memory)",
                metal.name
            ))
            .cured_by(cure),
    )
}

/// "tighten each bolt to 30 N m, or 6 bolts, or …"; `None` when nothing alone is enough.
fn in_words(cures: &[Cure]) -> Option<String> {
    let words: Vec<String> = cures.iter().map(cure).collect();
    (!words.is_empty()).then(|| words.join(", or "))
}

/// A cure as a person reads it, such as "tighten each bolt to 30 N m".
pub fn cure(cure: &Cure) -> String {
    match cure {
        Cure::Torque(torque) => {
            format!("tighten each bolt to {} N m", three_digits(torque.si()))
        }
        Cure::Bolts(count) => format!("use {count} bolts of this size"),
        Cure::Size { name, torque } => {
            format!(
                "take bolts {name}, each tightened to {} N m",
                three_digits(torque.si())
            )
        }
        Cure::Metal(metal) => {
            format!("leave {} mm of metal behind the cavity", three_digits(in_mm(*metal)))
        }
        Cure::Pressure(pressure) => {
            format!("keep the melt below {} MPa", three_digits(in_mpa(*pressure)))
        }
        Cure::Area(area) => {
            format!(
                "keep the projected area of part and feed below {} mm²",
                three_digits(in_mm2(*area))
            )
        }
    }
}

/// How far plates open, however they are held, and what was said of it.
struct Opened {
    gap: Length,
    overload: Option<Overload>,
    stays_in: Range<Length>,
    /// Where the gap is from.
    because: String,
    /// What else cures it.
    cure: Option<String>,
    /// The first of that.
    change: Option<ShortChange>,
}

fn opened_bolts(analysis: &Analysis, bolted: &Bolted) -> Option<Opened> {
    let shut = &bolted.shut;
    let [bow, stretch] =
        [shut.bow_gap, shut.stretch].map(|length| three_digits(in_mm(length)));
    let because = match shut.overload {
        Some(_) => format!("{} mm of metal behind the cavity", behind(bolted.behind)),
        None => format!(
            "plates bow off their land by {bow} mm between preloaded bolts ({} mm of metal behind the cavity, both plates free), the worst bolt stretches by {stretch} mm",
            behind(bolted.behind)
        ),
    };
    Some(Opened {
        gap: shut.gap,
        overload: shut.overload,
        stays_in: bolted.stays_in?,
        because,
        cure: in_words(&bolted.cures),
        change: first_change(analysis, &bolted.cures),
    })
}

fn behind(length: Length) -> String {
    three_digits(in_mm(length))
}

fn opened_jaws(analysis: &Analysis, jaws: &BetweenJaws) -> Option<Opened> {
    let because = format!(
        "plates bow around jaws that press on {} mm of their length and on their whole width ({} mm of metal behind the cavity), on a vise that gives way by 1 mm for {} kN (judgment)",
        three_digits(in_mm(jaws.jaw)),
        behind(jaws.behind),
        three_digits(VISE_N_M * 1e-6)
    );
    let window = &analysis.evaluation.window;
    let limit = window.limits.iter().find(|limit| limit.by == Holder::Plates);
    let fills = window.fills.map(|band| band.expected);
    let less = limit.filter(|limit| fills.is_none_or(|fills| limit.surely >= fills));
    let less = less.map(|limit| {
        format!("keep the melt below {}", pressure_window::mpa(limit.surely))
    });
    let back = "back the plates over all of their length";
    let words = capitalized(less.as_deref().unwrap_or(back));
    let less = less.map_or_else(String::new, |less| less + ", or ");
    let cure = format!(
        "{less}{back} (bars between jaws and plates, or clamps on the free ends), clamp harder, or take thicker plates"
    );
    Some(Opened {
        gap: jaws.squeezed.gap,
        overload: jaws.squeezed.overload,
        stays_in: jaws.stays_in?,
        because,
        cure: Some(cure),
        change: Some(ShortChange { words, effect: None }),
    })
}

/// "the worst bolt carries 31 kN, its class withstands 21.2 kN"; no gap has a meaning then.
fn overloaded(overload: Overload) -> String {
    match overload {
        Overload::Bolt { carries, stands } => format!(
            "the worst bolt carries {} kN, its class withstands {} kN",
            three_digits(in_kn(carries)),
            three_digits(in_kn(stands))
        ),
        Overload::Plate { carries, stands } => format!(
            "the plates bend with {} MPa, their metal yields at {} MPa",
            three_digits(in_mpa(carries)),
            three_digits(in_mpa(stands))
        ),
    }
}

fn flash(analysis: &Analysis) -> Option<Finding> {
    let clamping = &analysis.evaluation.clamping;
    let jaws = || opened_jaws(analysis, clamping.between_jaws.as_ref()?);
    let opened = match clamping.bolted() {
        Some(bolted) => opened_bolts(analysis, bolted)?,
        None => jaws()?,
    };
    let Opened { gap, overload, stays_in, because, cure, change } = opened;
    let (severity, how) = match analysis.evaluation.window.held(Holder::Plates) {
        Held::Nothing | Held::Best => (Severity::Fix, "runs"),
        // At the pressure to begin with nothing creeps out.
        Held::Expected if gap < stays_in.low && overload.is_none() => {
            return pressure_window::note(analysis, Kind::Flash, Holder::Plates);
        }
        Held::Expected => (Severity::Note, "may creep"),
        Held::Worst => return None,
    };
    let plastic = &analysis.setup.plastic;
    let pressure = pressure_window::mpa(clamping.force.pressure);
    let title = match overload {
        Some(overload) => format!(
            "flash: bolts and plates cannot hold {pressure}: {}, and {} {how} out",
            overloaded(overload),
            plastic.name
        ),
        None => format!(
            "flash: the halves open by {} mm beside the cavity at {pressure}, and {} {how} out there",
            three_digits(in_mm(gap)),
            plastic.name
        ),
    };
    let because = format!(
        "{because}; {} stays in a gap of {} to {} mm: {}",
        plastic.name,
        three_digits(in_mm(stays_in.low)),
        three_digits(in_mm(stays_in.high)),
        basis(&plastic.vent_depth)
    );
    let cure = cure.unwrap_or_else(|| {
        "no single change is enough: clamp harder and leave more metal behind the cavity"
            .to_owned()
    });
    let finding = Finding::new(Kind::Flash, severity, title);
    let finding = match overload {
        Some(_) => finding,
        None => finding.number(in_mm(gap), Some(in_mm(stays_in.low)), "mm"),
    };
    Some(finding.because(because).cured_by(cure).changed_by(change))
}

/// Bolts or plates that cannot hold this part at all. What the bolts of a press file lack is
/// refused when it is read.
fn held_badly(error: &ShutError) -> Option<Finding> {
    let (kind, cure) = match error {
        ShutError::Bolts(_) => return None,
        ShutError::OneLine => (Kind::Bolts, "place the bolts on both sides of the part"),
        ShutError::NoMetal => {
            (Kind::Plates, "take thicker plates ([mold] in the press file)")
        }
    };
    Some(
        Finding::new(kind, Severity::Stop, error.to_string())
            .because("plates and bolts of the press file against the depth and the middle of the part")
            .cured_by(cure),
    )
}

#[cfg(test)]
mod tests;
