//! Can the cutters make the halves?

use super::{Finding, MOST_OF_A_KIND, Severity, place, short};
use crate::analysis::Analysis;
use crate::analysis::cutting::{Cutting, NotCut};
use crate::measure::parting::Half;
use crate::mold::milling::bending::{HARD, SIDE_FORCE_N};
use crate::mold::milling::left::BLUR_CELLS;
use crate::mold::milling::milled::{
    Cure, FAR_TOO_MUCH_MM, FEED_MM_S, SCALLOP_MM, Unreached,
};
use crate::units::mm;

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

/// The worst few of a kind, and one line for the rest.
fn some(
    places: &[&Unreached],
    finding: impl Fn(&Unreached) -> Option<Finding>,
) -> Vec<Finding> {
    let mut all: Vec<Finding> = places.iter().filter_map(|it| finding(it)).collect();
    let more = all.len().saturating_sub(MOST_OF_A_KIND);
    all.truncate(MOST_OF_A_KIND + 1);
    if more > 0
        && let Some(last) = all.last_mut()
    {
        last.title = format!("{more} more places with metal that no cutter reaches");
        last.at_mm = None;
        "see report.json for every place".clone_into(&mut last.cure);
    }
    all
}

fn side(half: Half) -> &'static str {
    match half {
        Half::Plus => "+ half",
        Half::Minus => "− half",
    }
}

fn basis(cutting: &Cutting) -> String {
    format!(
        "what {} cutters leave of the half as drawn; metal below {} mm is not told on cells of {} mm",
        cutting.list.cutters.len(),
        short(cutting.milled.limit),
        short(cutting.milled.cell())
    )
}

fn metal_left(cutting: &Cutting, it: &Unreached) -> Finding {
    let at = place(&it.at);
    let rounds = if is_corner(cutting, it) {
        format!(
            "; the edge of the part comes out with a radius near {} mm",
            short(it.radius)
        )
    } else {
        String::new()
    };
    let title = format!(
        "metal left: {} mm in the {} at {at}, {} mm² that no cutter reaches{rounds}",
        short(it.left),
        side(it.half),
        short(it.area)
    );
    let severity = if it.left > FAR_TOO_MUCH_MM { Severity::Fix } else { Severity::Note };
    Finding::new("metal_left", severity, title)
        .number(it.left, Some(cutting.milled.limit), "mm")
        .at(it.at)
        .because(basis(cutting))
        .cured_by(cure(cutting, it))
}

fn keeps_apart(cutting: &Cutting, it: &Unreached) -> Finding {
    let title = format!(
        "halves kept apart: {} mm of metal stay on the parting surface of the {} at {}",
        short(it.left),
        side(it.half),
        place(&it.at)
    );
    Finding::new("parting_metal", Severity::Fix, title)
        .number(it.left, Some(cutting.milled.limit), "mm")
        .at(it.at)
        .because(basis(cutting))
        .cured_by(format!("{}; or relieve the other half there", cure(cutting, it)))
}

/// Whether the metal is what a round cutter leaves in a corner, not a slot or a depth: of 60°
/// and wider corners it is a radius at most.
fn is_corner(cutting: &Cutting, it: &Unreached) -> bool {
    it.left <= it.radius + cutting.milled.cell() && it.left < 0.9 * it.depth
}

/// What would take the metal, the part first where that is the smaller change.
fn cure(cutting: &Cutting, it: &Unreached) -> String {
    let at = place(&it.at);
    let part = if is_corner(cutting, it) {
        format!(
            "give the edge at {at} a radius of {} mm or more",
            short(LARGER * it.radius)
        )
    } else {
        format!(
            "widen the part at {at} to {} mm or more, or lower it there",
            short(2.0 * LARGER * it.radius)
        )
    };
    let ratio = |reach: f64, diameter: f64| {
        let ratio = reach / diameter;
        let hard = if ratio > HARD { ", hard to use" } else { "" };
        format!("{} mm deep, {} diameters{hard}", short(reach), short(ratio))
    };
    match it.cure {
        Cure::Longer { cutter, reach } => {
            let own = &cutting.list.cutters[cutter];
            let longer = format!(
                "take the {} with more reach than its {} mm ({})",
                own.name,
                short(own.reach),
                ratio(reach, own.diameter)
            );
            if own.radius() >= it.radius - 1e-9 {
                // As wide as what comes nearest: depth alone keeps it out.
                return format!(
                    "{longer}, or lower the part at {at} by {} mm",
                    short(reach - own.reach)
                );
            }
            format!("{part}; or {longer}")
        }
        Cure::Narrower { radius, reach } => format!(
            "{part}; or take a flat cutter of {} mm ({})",
            short(2.0 * radius),
            ratio(reach, 2.0 * radius)
        ),
        Cure::Insert => format!("{part}, or split the half there with an insert"),
    }
}

fn long(cutting: &Cutting) -> Option<Finding> {
    let uses = cutting.milled.uses.iter().zip(&cutting.list.cutters);
    let needed = uses.filter(|(it, _)| it.needed && it.ratio > HARD);
    let (worst, cutter) = needed.max_by(|a, b| a.0.ratio.total_cmp(&b.0.ratio))?;
    let title = format!(
        "long reach: the {} goes {} diameters deep and gives way by {} µm to {} N",
        cutter.name,
        short(worst.ratio),
        short(worst.bend_um),
        short(SIDE_FORCE_N)
    );
    Some(
        Finding::new("long_reach", Severity::Note, title)
            .number(worst.ratio, Some(HARD), "")
            .because("up to 3 diameters is sturdy, 3 to 6 can be done, more is hard (common practice); bending grows with the cube of the length")
            .cured_by(format!(
                "lower the walls there, or widen the corner to a radius of a sixth of the depth, {} mm",
                short(worst.ratio * cutter.diameter / 6.0)
            )),
    )
}

fn thin_as_milled(analysis: &Analysis, it: &Unreached) -> Option<Finding> {
    let low = mm(analysis.walls.limits.as_ref().ok()?.low);
    let [drawn, milled] = it.wall;
    if milled <= 0.0 || milled >= low || drawn - milled < 0.1 {
        return None;
    }
    let title = format!(
        "thin as milled: {} mm along the pull at {}, drawn with {} mm",
        short(milled),
        place(&it.at),
        short(drawn)
    );
    Some(
        Finding::new("thin_as_milled", Severity::Fix, title)
            .number(milled, Some(low), "mm")
            .at(it.at)
            .because("the gap between both halves as the cutters leave them, against the least wall")
            .cured_by(format!("raise the wall by {} mm there, or let a smaller cutter in", short(low - milled))),
    )
}

/// What was taken for granted, or why nothing is known.
pub(super) fn assumed(analysis: &Analysis) -> Vec<String> {
    let cutting = match &analysis.cutting {
        Ok(cutting) => cutting,
        Err(NotCut::Skipped) => {
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
            short(cutting.milled.lost),
            analysis.hidden_faces
        ));
    }
    lines
}

/// What was taken for granted of the cutters.
pub(crate) fn taken(cutting: &Cutting) -> Vec<String> {
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
        short(milled.cell()),
        short(milled.limit),
        short(BLUR_CELLS)
    ));
    lines.push(format!(
        "milling times take {} mm/s where the list gives no feed, ridges of {} mm, and leave out tool changes and moves through the air",
        short(FEED_MM_S),
        short(SCALLOP_MM)
    ));
    lines
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::analysis::Analysis;
    use crate::fill::cells::Resolution;
    use crate::findings::fixtures::{analysis, asked, plug, shop, with};
    use crate::findings::{Finding, Severity};
    use crate::mesh::{TriMesh, shapes};
    use crate::mold::milling::CutterList;
    use crate::mold::milling::milled::CellSize;
    use crate::settings::{FillChoices, MillChoices, Settings};
    use crate::units::Quantity;

    fn made(mesh: &TriMesh, milling: MillChoices, fill: FillChoices) -> Analysis {
        with(mesh, shop("pp"), &Settings { milling, fill, ..asked() })
    }

    fn no_fill() -> FillChoices {
        FillChoices { skip: true, ..FillChoices::default() }
    }

    /// One flat cutter that stands out so far, mm.
    fn list(diameter: f64, stickout: f64) -> CutterList {
        let flute = 0.75 * stickout;
        let text = format!(
            "name = 'one'\nholder = '20 mm'\n[[cutter]]\nkind = 'flat'\ndiameter = '{diameter} mm'\n\
             flute = '{flute} mm'\nshank = '{diameter} mm'\nstickout = '{stickout} mm'"
        );
        CutterList::parse(&text).unwrap()
    }

    /// One flat cutter that is long enough.
    fn one(diameter: f64, as_milled: bool) -> MillChoices {
        MillChoices {
            cutters: Some(list(diameter, 40.0)),
            cell: CellSize::Edge(0.1),
            as_milled,
            ..MillChoices::default()
        }
    }

    /// Findings on a part, cut with it.
    fn cut(mesh: &TriMesh, diameter: f64, as_milled: bool) -> Vec<Finding> {
        let milling = one(diameter, as_milled);
        judge(&made(mesh, milling, no_fill()))
    }

    #[test]
    fn a_sound_part_leaves_no_metal() {
        assert_eq!(judge(&analysis(&plug())), Vec::new());
    }

    /// A box of 30 × 20 × 4 has four corners in the plan: 3 mm of radius leave R (√2 − 1) =
    /// 1.24264 mm there, 1 mm leaves 0.41421.
    #[test]
    fn corners_of_a_box_are_told_with_their_metal() {
        let block = shapes::cuboid(30.0, 20.0, 4.0);
        for (diameter, left, severity) in
            [(6.0, 1.24264, Severity::Fix), (2.0, 0.41421, Severity::Note)]
        {
            let found = cut(&block, diameter, false);
            assert_eq!(found.len(), 4, "{found:?}");
            for finding in found {
                assert_eq!(
                    (finding.id.as_str(), finding.severity),
                    ("metal_left", severity)
                );
                assert!((finding.value.unwrap() - left).abs() <= 0.1, "{finding:?}");
                let [x, y, _] = finding.at_mm.unwrap();
                let far = |at: f64, edge: f64| at.min(edge - at);
                assert!(
                    far(x, 30.0).abs() < 0.2 && far(y, 20.0).abs() < 0.2,
                    "{finding:?}"
                );
                assert!(finding.cure.contains("radius"), "{finding:?}");
            }
        }
    }

    /// A plate of 40 × 30 × 2 with an upright rib of 1 mm, 8 mm high. No cutter of 3 mm enters
    /// its slot, so what comes out is the plate: its volume, its wall, no short face of a rib,
    /// and a filling that holds the plate alone.
    #[test]
    fn a_rib_that_is_not_cut_does_not_come_out() {
        let (y, z) = ([0.0, 14.5, 15.5, 30.0], [0.0, 2.0, 10.0]);
        let part = shapes::blocks([&[0.0, 40.0], &y, &z], |_, j, k| k == 0 || j == 1);
        let fill =
            FillChoices { cells: Resolution::EdgeMm(0.8), ..FillChoices::default() };
        let [drawn, milled] =
            [false, true].map(|it| made(&part, one(3.0, it), fill.clone()));
        let volume = |it: &Analysis| 1e9 * it.shape.volume.unwrap().si();
        assert!((volume(&drawn) - 2720.0).abs() < 1e-6);
        // The corners of the plate lose a touch to the round cutter as well.
        assert!((volume(&milled) - 2400.0).abs() < 12.0, "{}", volume(&milled));
        let cells = |it: &Analysis| it.filling.as_ref().unwrap().cells.total_mm3();
        assert!((cells(&drawn) - 2720.0).abs() < 1.0, "{}", cells(&drawn));
        assert!((cells(&milled) - 2400.0).abs() < 36.0, "{}", cells(&milled));
        let thinnest = |it: &Analysis| {
            let walls = it.walls.thickness.of_walls();
            walls.into_iter().flatten().fold(f64::INFINITY, f64::min)
        };
        assert!((thinnest(&drawn) - 1.0).abs() < 1e-3, "{}", thinnest(&drawn));
        assert!((thinnest(&milled) - 2.0).abs() < 0.12, "{}", thinnest(&milled));
        let on_rib = |it: &Analysis| {
            let faces = it.release.short.iter();
            faces.filter(|face| face.at.z > 2.0 && face.height > 7.0).count()
        };
        assert!(on_rib(&drawn) >= 2 && on_rib(&milled) == 0);
        assert!(milled.hidden_faces >= 2 && drawn.hidden_faces == 0);
    }

    /// A plate of 0.6 mm, thinner than PP asks for, with a boss of 2.4 mm square and 3 mm high
    /// that a cutter of 3 mm does not enter: along the pull 3.6 mm were drawn there and 0.6 mm
    /// come out.
    #[test]
    fn a_wall_that_metal_thins_along_the_pull_is_told() {
        let steps = [0.0, 10.0, 12.4, 24.0];
        let part = shapes::blocks([&steps, &steps, &[0.0, 0.6, 3.6]], |i, j, k| {
            k == 0 || (i == 1 && j == 1)
        });
        let found = cut(&part, 3.0, true);
        let thin = found.iter().find(|it| it.id == "thin_as_milled").unwrap();
        assert!((thin.value.unwrap() - 0.6).abs() < 1e-6, "{thin:?}");
        assert_eq!(thin.severity, Severity::Fix);
        assert!(!cut(&part, 3.0, false).iter().any(|it| it.id == "thin_as_milled"));
    }

    /// A cup is formed by a core that stands 28 mm out of its parting face. Clamped 20 mm deep a
    /// holder of 20 mm cannot come down beside it: metal stays on the face there and keeps the
    /// halves apart. A cutter that stands out 40 mm leaves none.
    #[test]
    fn metal_on_the_parting_keeps_the_halves_apart() {
        let cup = shapes::cup(20.0, 30.0, 2.0, 1.0, 64);
        for (stickout, keeps) in [(20.0, true), (40.0, false)] {
            let milling = MillChoices {
                cutters: Some(list(3.0, stickout)),
                cell: CellSize::Edge(0.2),
                ..MillChoices::default()
            };
            let found = judge(&made(&cup, milling, no_fill()));
            let apart = found.iter().find(|it| it.id == "parting_metal");
            assert_eq!(apart.is_some(), keeps, "{found:?}");
            if let Some(apart) = apart {
                assert_eq!(apart.severity, Severity::Fix);
                let [x, y, z] = apart.at_mm.unwrap();
                // Outside the rim of 20 mm and 30 tan 1°, within the holder.
                assert!((20.5..31.0).contains(&x.hypot(y)), "{apart:?}");
                assert!(
                    (z - 30.0).abs() < 1e-6 && apart.value.unwrap() > 5.0,
                    "{apart:?}"
                );
            }
        }
    }
}
