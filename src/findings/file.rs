//! Is this file what I drew?

use super::{Finding, Kind, Severity};
use crate::analysis::Analysis;
use crate::analysis::mold::LARGE_MM;
use crate::mesh::heal::{BodyRole, DefectKind, RepairKind};
use crate::settings::FileUnit;
use crate::units::format::{ascii_point, three_digits};

/// A part smaller than this across is more likely drawn in another unit: nothing that a
/// hand press makes is less than a fingertip.
const SMALL_MM: f64 = 12.0;

/// Below this it is more likely in meters than in inches: a part in meters is 0.01 to 0.3
/// long, one in inches 0.5 to 12.
const TINY_MM: f64 = 0.5;

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let mut findings: Vec<Finding> = unit(analysis).into_iter().collect();
    findings.extend(open(analysis));
    findings.extend(defects(analysis));
    findings.extend(analysis.oddities.iter().map(|oddity| {
        Finding::new(Kind::OddFile, Severity::Note, format!("odd file: {oddity}"))
            .because("what the file holds against what it says")
            .cured_by(
                "nothing to do if the part below is what you drew; else export it again",
            )
    }));
    findings.extend(analysis.healed.repairs.iter().map(|repair| {
        let twice = repair.volume_mm3.map_or_else(String::new, |volume| {
            format!(", {} mm³ counted twice", three_digits(volume))
        });
        let title = format!("repaired: {} ({}{twice})", repair.kind, repair.count);
        let by_hand = match repair.kind {
            RepairKind::TurnBodies => "tell the program that wrote the file",
            _ => "look at the pictures: is this the part you drew?",
        };
        Finding::new(Kind::Repaired, Severity::Note, title)
            .because("a mesh has one outside and no doubled or empty facets")
            .cured_by(by_hand)
    }));
    findings
}

/// What the size of a part says of the unit of its file.
enum SizeDoubt {
    /// It is more likely this one.
    Other(FileUnit),
    /// No unit makes it a part of a small press.
    TooLarge,
}

/// Whether the user said no unit, and the size speaks against the one that was taken: then
/// everything else hangs on it.
pub(super) fn is_unit_open(analysis: &Analysis) -> bool {
    !analysis.unit_given && size_doubt(analysis).is_some()
}

fn size_doubt(analysis: &Analysis) -> Option<SizeDoubt> {
    let longest = analysis.part.mesh.bounds().size().amax();
    let file_longest = longest / analysis.unit.in_mm();
    match file_longest {
        l if l < TINY_MM && analysis.unit != FileUnit::Meter => {
            Some(SizeDoubt::Other(FileUnit::Meter))
        }
        l if l < SMALL_MM && analysis.unit == FileUnit::Millimeter => {
            Some(SizeDoubt::Other(FileUnit::Inch))
        }
        _ if longest <= LARGE_MM => None,
        _ if analysis.unit == FileUnit::Millimeter => Some(SizeDoubt::TooLarge),
        _ => Some(SizeDoubt::Other(FileUnit::Millimeter)),
    }
}

fn unit(analysis: &Analysis) -> Option<Finding> {
    let doubt = size_doubt(analysis)?;
    let size = analysis.part.mesh.bounds().size();
    let extents = |unit: FileUnit| {
        let edges: Vec<String> =
            size.iter().map(|&edge| three_digits(edge / unit.in_mm())).collect();
        format!("{} {}", edges.join(" × "), unit.name())
    };
    let own = analysis.unit.name();
    let (looks, cure) = match doubt {
        SizeDoubt::Other(guess) => {
            let name = match guess {
                FileUnit::Meter => "meters",
                FileUnit::Inch => "inches",
                FileUnit::Centimeter => "centimeters",
                FileUnit::Millimeter => "millimeters",
            };
            let again = format!(
                "run again with --unit {}; if the size is right, with --unit {own}",
                guess.name()
            );
            (format!("looks like {name}"), again)
        }
        SizeDoubt::TooLarge => {
            let again = "export it in millimeters and run again; if the size is right, with --unit mm";
            ("too large for any small press".to_owned(), again.to_owned())
        }
    };
    let severity = if analysis.unit_given { Severity::Note } else { Severity::Fix };
    let (mm, inch) = (extents(FileUnit::Millimeter), extents(FileUnit::Inch));
    let title = format!("{looks}: the part measures {mm} ({inch})");
    Some(
        Finding::new(Kind::Unit, severity, title)
            .number(size.amax(), None, "mm")
            .because(
                "an STL carries no unit; parts of a small press are 12 mm to 1 m long",
            )
            .cured_by(cure),
    )
}

fn open(analysis: &Analysis) -> Option<Finding> {
    if analysis.part.closed {
        return None;
    }
    let holes = &analysis.healed.holes;
    let edge: f64 = holes.iter().map(|hole| hole.perimeter_mm).sum();
    let places: Vec<String> =
        holes.iter().take(3).map(|hole| ascii_point(hole.at)).collect();
    let title = match holes.len() {
        0 => "the surface does not enclose a volume".to_owned(),
        1 => format!("the surface has a hole at {}: it has no volume", places[0]),
        n => format!(
            "the surface has {n} holes, at {}: it has no volume",
            places.join(", ")
        ),
    };
    let finding = Finding::new(Kind::OpenSurface, Severity::Fix, title)
        .at(holes.first().map(|hole| hole.at))
        .number(edge, Some(0.0), "mm")
        .because("every edge of a solid borders two facets; mm of open edge")
        .cured_by(if analysis.close_holes {
            "close it in CAD and export again: only small flat holes are closed here"
        } else {
            "close it in CAD and export again, or have small flat holes closed as it is read"
        });
    Some(finding)
}

fn defects(analysis: &Analysis) -> Vec<Finding> {
    let mut findings = Vec::new();
    for defect in &analysis.healed.defects {
        let kind = match defect.kind {
            DefectKind::NestedBody if defect.left > 0 => Kind::NestedBody,
            DefectKind::FlippedFacet if defect.left > 0 => Kind::FlippedFacet,
            DefectKind::NonManifoldEdge if defect.left > 0 => Kind::NonManifoldEdge,
            _ => continue,
        };
        let (severity, cure) = match kind {
            Kind::NestedBody => (Severity::Fix, "unite the solids in CAD"),
            _ => (
                Severity::Note,
                "unite the solids in CAD; a mold is cut from one clean surface",
            ),
        };
        let title = format!("{} ({})", defect.kind, defect.left);
        let finding = Finding::new(kind, severity, title)
            .number(defect.left as f64, Some(0.0), "")
            .because("a solid has one closed surface")
            .at(defect.at)
            .cured_by(cure);
        findings.push(finding);
    }
    let solids =
        analysis.healed.bodies.iter().filter(|body| body.role == BodyRole::Solid);
    let bodies = solids.count();
    if bodies > 1 {
        findings.push(
            Finding::new(
                Kind::SeveralSolids,
                Severity::Fix,
                format!("{bodies} solids in one file"),
            )
            .number(bodies as f64, Some(1.0), "")
            .because("one gate fills one solid")
            .cured_by("unite them in CAD if they are one part, else check each alone"),
        );
    }
    let crossings = &analysis.crossings;
    if let Some(at) = crossings.at {
        let defect = DefectKind::SelfIntersection;
        findings.push(
            Finding::new(
                Kind::SelfIntersection,
                if bodies > 1 { Severity::Fix } else { Severity::Note },
                format!("{defect} ({} pairs of facets)", crossings.pairs),
            )
            .number(crossings.pairs as f64, Some(0.0), "")
            .at(at)
            .because("what lies inside twice counts twice in the volume")
            .cured_by("unite overlapping solids in CAD before cutting halves from them"),
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::findings::fixtures::{
        analysis, fixture_settings, open, plug, setup, with,
    };
    use crate::findings::{Finding, Kind, Severity};
    use crate::mesh::shapes;
    use crate::settings::{FileUnit, Settings};

    fn unit(longest: f64, unit: Option<FileUnit>) -> Option<Finding> {
        let mesh = shapes::cuboid(longest, longest / 2.0, longest / 4.0);
        let settings = Settings { unit, ..fixture_settings() };
        let findings = judge(&with(&mesh, setup("pp"), &settings));
        findings.into_iter().find(|finding| finding.kind == Kind::Unit)
    }

    /// The units in which parts are found: of 65 real files three were in meters and two
    /// in inches.
    #[test]
    fn a_size_that_no_press_makes_is_another_unit() {
        let mm = Some(FileUnit::Millimeter);
        for (longest, given, guess, severity) in [
            (2.0, None, "looks like inches", Severity::Fix),
            (2.0, mm, "looks like inches", Severity::Note),
            (0.1, None, "looks like meters", Severity::Fix),
            (0.1, Some(FileUnit::Inch), "looks like meters", Severity::Note),
            (60.0, Some(FileUnit::Inch), "looks like millimeters", Severity::Note),
            (40.0, Some(FileUnit::Meter), "looks like millimeters", Severity::Note),
            (4000.0, None, "too large for any small press", Severity::Fix),
            (4000.0, mm, "too large for any small press", Severity::Note),
        ] {
            let finding = unit(longest, given).unwrap();
            assert!(finding.title.starts_with(guess), "{}", finding.title);
            assert_eq!(finding.severity, severity, "{}", finding.title);
        }
        for (longest, given) in [
            (30.0, None),
            (30.0, mm),
            (2.0, Some(FileUnit::Inch)),
            (3.0, Some(FileUnit::Centimeter)),
        ] {
            assert_eq!(unit(longest, given), None, "{longest} {given:?}");
        }
    }

    #[test]
    fn a_hole_is_reported_with_its_place_and_its_edge() {
        let findings = judge(&analysis(&open(&plug())));
        let hole =
            findings.iter().find(|finding| finding.kind == Kind::OpenSurface).unwrap();
        assert_eq!(hole.severity, Severity::Fix);
        assert!(hole.at_mm.is_some() && hole.value.unwrap() > 12.0, "{hole:?}");
        assert!(hole.title.contains(" a hole at ("), "{}", hole.title);
        assert!(judge(&analysis(&plug())).is_empty());
    }
}
