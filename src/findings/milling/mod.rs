//! Can the cutters make the halves?

use super::{Finding, Kind, Severity, worst_few};
use crate::analysis::Analysis;
use crate::analysis::milling::{MillingStudy, NotMilled};
use crate::mold::milling::bending::{HARD, SIDE_FORCE_N};
use crate::mold::milling::leftover::REPORTED_CELLS;
use crate::mold::milling::outcome::{Cure, FAR_TOO_MUCH_MM, Unreached};
use crate::mold::milling::pace::{FEED_MM_S, SCALLOP_MM};
use crate::part::halves::Half;
use crate::units::format::{ascii_point, three_digits};
use crate::units::in_mm;

/// A corner is drawn this much larger than the cutter, so that the cutter keeps moving (common
/// practice: 2 to 8 %).
const LARGER: f64 = 1.08;

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let Ok(cutting) = &analysis.cutting else { return Vec::new() };
    let all = &cutting.milled.unreached;
    let (on_parting, inside): (Vec<_>, Vec<_>) = all.iter().partition(|it| it.on_parting);
    let mut findings = some(&on_parting, |it| Some(keeps_apart(cutting, it)));
    findings.extend(some(&inside, |it| Some(metal_left(cutting, it))));
    findings.extend(long(cutting));
    if analysis.as_milled {
        findings.extend(some(&inside, |it| thin_as_milled(analysis, it)));
    }
    findings
}

fn some(
    places: &[&Unreached],
    finding: impl Fn(&Unreached) -> Option<Finding>,
) -> Vec<Finding> {
    let all = places.iter().filter_map(|it| finding(it)).collect();
    worst_few(all, "places with metal that no cutter reaches")
}

fn side(half: Half) -> String {
    format!("{} half", half.sign())
}

fn basis(cutting: &MillingStudy) -> String {
    format!(
        "what {} cutters leave of the half as drawn; metal below {} mm is not reported on cells of {} mm",
        cutting.list.cutters.len(),
        three_digits(cutting.milled.limit),
        three_digits(cutting.milled.cell())
    )
}

/// How much metal of this thickness, mm, matters.
pub(super) fn left_severity(left: f64) -> Severity {
    if left > FAR_TOO_MUCH_MM { Severity::Fix } else { Severity::Note }
}

fn metal_left(cutting: &MillingStudy, it: &Unreached) -> Finding {
    let at = ascii_point(it.at);
    let rounds = if is_corner(cutting, it) {
        format!(
            "; the edge of the part comes out with a radius near {} mm",
            three_digits(it.radius)
        )
    } else {
        String::new()
    };
    let title = format!(
        "metal left: {} mm in the {} at {at}, {} mm² that no cutter reaches{rounds}",
        three_digits(it.left),
        side(it.half),
        three_digits(it.area)
    );
    let severity = left_severity(it.left);
    Finding::new(Kind::MetalLeft, severity, title)
        .number(it.left, Some(cutting.milled.limit), "mm")
        .at(it.at)
        .because(basis(cutting))
        .cured_by(cure(cutting, it))
}

fn keeps_apart(cutting: &MillingStudy, it: &Unreached) -> Finding {
    let title = format!(
        "halves kept apart: {} mm of metal stay on the parting surface of the {} at {}",
        three_digits(it.left),
        side(it.half),
        ascii_point(it.at)
    );
    Finding::new(Kind::PartingMetal, Severity::Fix, title)
        .number(it.left, Some(cutting.milled.limit), "mm")
        .at(it.at)
        .because(basis(cutting))
        .cured_by(format!("{}; or relieve the other half there", cure(cutting, it)))
}

/// Whether the metal is what a round cutter leaves in a corner, not a slot or a depth: of 60°
/// and wider corners it is a radius at most.
pub(super) fn is_corner(cutting: &MillingStudy, it: &Unreached) -> bool {
    it.left <= it.radius + cutting.milled.cell() && it.left < 0.9 * it.depth
}

/// What would take the metal, the part first where that is the smaller change.
fn cure(cutting: &MillingStudy, it: &Unreached) -> String {
    let at = ascii_point(it.at);
    let part = if is_corner(cutting, it) {
        format!(
            "give the edge at {at} a radius of {} mm or more",
            three_digits(LARGER * it.radius)
        )
    } else {
        format!(
            "widen the part at {at} to {} mm or more, or lower it there",
            three_digits(2.0 * LARGER * it.radius)
        )
    };
    let ratio = |reach: f64, diameter: f64| {
        let ratio = reach / diameter;
        let hard = if ratio > HARD { ", hard to use" } else { "" };
        format!(
            "{} mm deep, {} diameters{hard}",
            three_digits(reach),
            three_digits(ratio)
        )
    };
    match it.cure {
        Cure::Further { cutter, .. } => further(cutting, cutter),
        Cure::Longer { cutter, reach } => {
            let own = &cutting.list.cutters[cutter];
            let longer = format!(
                "take the {} with more reach than its {} mm ({})",
                own.name,
                three_digits(own.reach),
                ratio(reach, own.diameter)
            );
            if own.radius() >= it.radius - 1e-9 {
                // As wide as what comes nearest: depth alone keeps it out.
                return format!(
                    "{longer}, or lower the part at {at} by {} mm",
                    three_digits(reach - own.reach)
                );
            }
            format!("{part}; or {longer}")
        }
        Cure::Narrower { radius, reach } => format!(
            "{part}; or take a flat cutter of {} mm ({})",
            three_digits(2.0 * radius),
            ratio(reach, 2.0 * radius)
        ),
        Cure::Insert => format!("{part}, or split the half there with an insert"),
    }
}

/// What one more cutter of the list would take, and for how long.
fn further(cutting: &MillingStudy, cutter: usize) -> String {
    let gain = cutting.milled.uses[cutter].gain;
    format!(
        "where it matters change to the {} too: it takes {} mm² of corners in {} min with its change",
        cutting.list.cutters[cutter].name,
        three_digits(gain.area),
        three_digits(gain.minutes)
    )
}

/// The first thing to do about metal that is left, without its place.
pub(super) fn short_cure(
    cutting: &MillingStudy,
    it: &Unreached,
    is_corner: bool,
) -> String {
    if is_corner {
        let radius = three_digits(LARGER * it.radius);
        return format!("Draw the inside edges with a radius of {radius} mm");
    }
    let wide = three_digits(2.0 * LARGER * it.radius);
    match it.cure {
        Cure::Further { cutter, .. } => format!(
            "Change to the {} too where these corners matter",
            cutting.list.cutters[cutter].name
        ),
        Cure::Longer { cutter, reach } => {
            let own = &cutting.list.cutters[cutter];
            let ratio = reach / own.diameter;
            let hard = if ratio > HARD { ", hard to use" } else { "" };
            format!(
                "Get a {} with {} mm of reach ({} diameters{hard}), or lower the walls there",
                own.name,
                three_digits(reach),
                three_digits(ratio)
            )
        }
        Cure::Narrower { radius, .. } => format!(
            "Widen the part there to {wide} mm, or get a flat cutter of {} mm",
            three_digits(2.0 * radius)
        ),
        Cure::Insert => {
            format!("Widen the part there to {wide} mm, or form it with an insert")
        }
    }
}

fn long(cutting: &MillingStudy) -> Option<Finding> {
    let uses = cutting.milled.uses.iter().zip(&cutting.list.cutters);
    let needed = uses.filter(|(it, _)| it.needed && it.ratio > HARD);
    let (worst, cutter) = needed.max_by(|a, b| a.0.ratio.total_cmp(&b.0.ratio))?;
    let title = format!(
        "long reach: the {} goes {} diameters deep and gives way by {} µm to {} N",
        cutter.name,
        three_digits(worst.ratio),
        three_digits(worst.bend_um),
        three_digits(SIDE_FORCE_N)
    );
    Some(
        Finding::new(Kind::LongReach, Severity::Note, title)
            .number(worst.ratio, Some(HARD), "")
            .because("up to 3 diameters is sturdy, 3 to 6 can be done, more is hard (common practice); bending grows with the cube of the length")
            .cured_by(format!(
                "lower the walls there, or widen the corner to a radius of a sixth of the depth, {} mm",
                three_digits(worst.ratio * cutter.diameter / 6.0)
            )),
    )
}

fn thin_as_milled(analysis: &Analysis, it: &Unreached) -> Option<Finding> {
    let low = in_mm(analysis.walls.limits.as_ref().ok()?.low);
    let [drawn, milled] = it.wall;
    if milled <= 0.0 || milled >= low || drawn - milled < 0.1 {
        return None;
    }
    let title = format!(
        "thin as milled: {} mm along the pull at {}, drawn with {} mm",
        three_digits(milled),
        ascii_point(it.at),
        three_digits(drawn)
    );
    Some(
        Finding::new(Kind::ThinAsMilled, Severity::Fix, title)
            .number(milled, Some(low), "mm")
            .at(it.at)
            .because("the gap between both halves as the cutters leave them, against the least wall")
            .cured_by(format!("raise the wall by {} mm there, or let a smaller cutter in", three_digits(low - milled))),
    )
}

/// What was taken for granted, or why nothing is known.
pub(super) fn assumed(analysis: &Analysis) -> Vec<String> {
    let cutting = match &analysis.cutting {
        Ok(cutting) => cutting,
        Err(NotMilled::Skipped) => {
            return vec!["cutters are not compared with the mold (--no-mill)".to_owned()];
        }
        Err(reason) => {
            return vec![format!("what the cutters leave is not known: {reason}")];
        }
    };
    let mut lines = taken(cutting);
    if !cutting.milled.halves.flat {
        lines.push(
            "the parting is stepped: whether the cutters make its steps is not looked at"
                .to_owned(),
        );
    }
    if analysis.as_milled {
        lines.push(format!(
            "walls, draft, filling, shot and mass are those of the part as milled: {} mm³ less than drawn, and {} faces short of draft that metal hides are not judged",
            three_digits(cutting.milled.lost),
            analysis.hidden_faces
        ));
    }
    lines
}

/// What was taken for granted of the cutters.
pub(crate) fn taken(cutting: &MillingStudy) -> Vec<String> {
    let milled = &cutting.milled;
    let mut lines = Vec::new();
    if !cutting.given {
        lines.push(format!(
            "the cutters are the built-in list of {}, on a spindle along the pull (--tools)",
            cutting.list.cutters.len()
        ));
    }
    lines.push(format!(
        "cutters are compared on cells of {} mm; metal thinner than {} mm ({} cells) and grooves finer than a cell are not seen (--mill-cell)",
        three_digits(milled.cell()),
        three_digits(milled.limit),
        three_digits(REPORTED_CELLS)
    ));
    lines.push(format!(
        "milling times take {} mm/s where the list gives no feed, ridges of {} mm, and leave out tool changes and moves through the air",
        three_digits(FEED_MM_S),
        three_digits(SCALLOP_MM)
    ));
    lines
}

#[cfg(test)]
mod tests;
