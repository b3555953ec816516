//! Will it come out?

use crate::analysis::Analysis;
use crate::findings::{Finding, Kind, MOST_OF_A_KIND, Severity, release_remedies};
use crate::geom::{Direction, Point};
use crate::mesh::heal::BodyRole;
use crate::part::draft::FaceDraft;
use crate::part::halves::Side;
use crate::part::parting::{Loop, Parting};
use crate::part::undercut::LEAST_DEPTH_MM;
use crate::units;
use crate::units::format::{ascii_direction, ascii_point, three_digits};

/// A finding names at most so many remedies; the report has all.
const MOST_WAYS: usize = 3;

/// A face with less than this share of the draft that it needs sticks for sure.
const FAR_TOO_STEEP: f64 = 0.5;

/// A rim no taller than this comes out without draft: there is next to nothing to drag along
/// (common practice), mm.
const LOW_RIM_MM: f64 = 2.0;

/// A wall tilted the wrong way by less than this counts as upright, degrees.
const UPRIGHT_DEG: f64 = 0.1;

/// Short faces smaller than this share of the area are reported only in the sum.
const LEAST_FACE: f64 = 1e-3;

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let mut findings = undercuts(analysis);
    findings.extend(drafts(analysis));
    findings.extend(parting(analysis));
    findings
}

fn undercuts(analysis: &Analysis) -> Vec<Finding> {
    let release = &analysis.release;
    let chord = analysis.part.faces.chord_error.map_or_else(
        || "nothing is curved".to_owned(),
        |chord| format!("the mesh is {} mm off its curved faces", three_digits(chord)),
    );
    let basis = format!(
        "no straight way out along {} or back, deeper than {} mm ({chord}; a mill leaves {LEAST_DEPTH_MM} mm)",
        ascii_direction(release.pull.vector()),
        three_digits(release_remedies::least_depth(analysis))
    );
    let mut findings: Vec<Finding> = release
        .causes
        .iter()
        .take(MOST_OF_A_KIND)
        .filter_map(|members| undercut(analysis, members, &basis))
        .collect();
    let rest = release.causes.get(MOST_OF_A_KIND..).unwrap_or_default();
    if !rest.is_empty() {
        let area: f64 = rest.iter().map(|members| area(analysis, members)).sum();
        let title = format!(
            "{} more trapped places, {} mm² in all",
            rest.len(),
            three_digits(area)
        );
        findings.push(
            Finding::new(Kind::Undercut, Severity::Stop, title)
                .number(area, Some(0.0), "mm²")
                .standing_for(rest.len())
                .because(basis)
                .cured_by("see report.json for every place"),
        );
    }
    findings
}

/// Area of several trapped regions, mm².
fn area(analysis: &Analysis, members: &[usize]) -> f64 {
    let regions = &analysis.release.undercut.regions;
    members.iter().map(|&rank| regions[rank].region.area).sum()
}

/// What the plastic lets strip off comes out as drawn, if not easily.
pub(super) fn undercut_severity(analysis: &Analysis, members: &[usize]) -> Severity {
    let strips = members.iter().all(|&rank| release_remedies::strips(analysis, rank));
    if strips { Severity::Fix } else { Severity::Stop }
}

/// One cause, worded by its deepest member.
fn undercut(analysis: &Analysis, members: &[usize], basis: &str) -> Option<Finding> {
    let &deepest = members.first()?;
    let region = &analysis.release.undercut.regions[deepest];
    let void = analysis.healed.bodies.iter().any(|body| body.role == BodyRole::Void);
    let area = area(analysis, members);
    let many = match members.len() {
        1 => String::new(),
        count => format!(" in {count} places, the worst"),
    };
    let (size, at) = (three_digits(area), ascii_point(region.at));
    let title = match region.depth {
        Some(depth) => format!(
            "undercut: {size} mm²{many} at {at} is trapped {} mm deep",
            three_digits(depth)
        ),
        None if void => {
            format!("closed void: {size} mm²{many} around {at} that no mold can form")
        }
        None => {
            format!(
                "undercut: {size} mm²{many} at {at} that nothing across the pull frees"
            )
        }
    };
    let mut ways = release_remedies::remedies(analysis, deepest);
    ways.truncate(MOST_WAYS);
    let severity = undercut_severity(analysis, members);
    let finding = Finding::new(Kind::Undercut, severity, title)
        .at(region.at)
        .because(basis)
        .cured_by(ways.join("; or "));
    Some(match region.depth {
        Some(depth) => {
            finding.number(depth, Some(release_remedies::least_depth(analysis)), "mm")
        }
        None => finding.number(area, Some(0.0), "mm²"),
    })
}

/// The corner of the lines around the part that is farthest from the height at which half
/// of their length lies.
fn off_level(parting: &Parting, pull: Direction) -> Option<Point> {
    let height = |point: &Point| pull.dot(&point.coords);
    let lines: Vec<Vec<Point>> = parting.outer().map(Loop::closed).collect();
    let mut pieces: Vec<(f64, f64)> = lines
        .iter()
        .flat_map(|line| line.windows(2))
        .map(|ends| {
            let middle = f64::midpoint(height(&ends[0]), height(&ends[1]));
            (middle, (ends[1] - ends[0]).norm())
        })
        .collect();
    pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = pieces.iter().map(|piece| piece.1).sum::<f64>() / 2.0;
    let mut upto = 0.0;
    let level = pieces.iter().find(|piece| {
        upto += piece.1;
        upto >= half
    })?;
    let off = |point: &Point| (height(point) - level.0).abs();
    lines.into_iter().flatten().max_by(|a, b| off(a).total_cmp(&off(b)))
}

/// A parting that no plane holds: it can be milled, but not on a flat face.
fn parting(analysis: &Analysis) -> Option<Finding> {
    let parting = &analysis.release.parting;
    let rise = parting.rise.filter(|_| !parting.flat)?;
    let pull = analysis.release.pull;
    let at = off_level(parting, pull)?;
    let flat = analysis
        .release
        .alternatives
        .iter()
        .filter(|other| release_remedies::is_free(analysis, other))
        .find(|other| other.parting_rise.is_some_and(|rise| rise <= 0.0))
        .map(|other| ascii_direction(other.direction.vector()));
    let way = flat.map_or_else(
        || "bring the outer edge here to the height of the rest".to_owned(),
        |flat| {
            format!("open along {flat}, or bring the outer edge here to the height of the rest")
        },
    );
    let title =
        format!("parting: the line is stepped, it rises {} mm", three_digits(rise));
    Some(
        Finding::new(Kind::Parting, Severity::Note, title)
            .number(rise, Some(0.0), "mm")
            .at(at)
            .because("difference of height of the loops around the part; what the facets of curved faces explain does not count")
            .cured_by(format!("a flat parting is simpler to mill: {way}")),
    )
}

/// Faces short of draft that are reported, worst first; those that are trapped have their own
/// finding.
pub(super) fn short_faces(analysis: &Analysis) -> Vec<&FaceDraft> {
    let least = analysis.mass.area * LEAST_FACE;
    let short = analysis.release.short.iter();
    short.filter(|face| face.side != Side::Trapped && face.area >= least).collect()
}

fn drafts(analysis: &Analysis) -> Vec<Finding> {
    let short_faces = short_faces(analysis);
    let mut findings: Vec<Finding> = short_faces
        .iter()
        .take(MOST_OF_A_KIND)
        .map(|face| draft(analysis, face))
        .collect();
    let rest = short_faces.get(MOST_OF_A_KIND..).unwrap_or_default();
    if !rest.is_empty() {
        let area: f64 = rest.iter().map(|face| face.area).sum();
        let is_fix = rest.iter().any(|face| draft_severity(face) == Severity::Fix);
        let severity = if is_fix { Severity::Fix } else { Severity::Note };
        let title = format!(
            "{} more faces with too little draft, {} mm² in all",
            rest.len(),
            three_digits(area)
        );
        findings.push(
            Finding::new(Kind::Draft, severity, title)
                .number(area, Some(0.0), "mm²")
                .standing_for(rest.len())
                .because(base(analysis))
                .cured_by("draft them all; see report.json for every face"),
        );
    }
    findings
}

/// What any wall needs before height, side and texture, and where that is from.
fn base(analysis: &Analysis) -> String {
    match &analysis.release.draft_limit {
        Ok(limit) => limit.basis.clone(),
        Err(unknown) => format!("1° (common practice): {unknown}"),
    }
}

/// Every term of what `face` needs.
fn terms(analysis: &Analysis, face: &FaceDraft) -> String {
    let opening = &analysis.release;
    let rule = opening.rule;
    let mut terms = vec![format!("{}° {}", three_digits(rule.least_deg), base(analysis))];
    if rule.deg_per_mm > 0.0 {
        terms.push(format!(
            "{:.2}° for {} mm of height (1° each 25 mm, common practice)",
            rule.deg_per_mm * face.height,
            three_digits(face.height)
        ));
    }
    if face.inside {
        terms.push(format!(
            "{}° for an inside wall, which the part shrinks onto (common practice)",
            three_digits(rule.inside_deg)
        ));
    }
    if let Some(depth) = opening.texture {
        terms.push(format!(
            "{:.2}° for texture {} mm deep (1.5° each 0.025 mm, common practice)",
            rule.texture_deg,
            three_digits(units::in_mm(depth))
        ));
    }
    terms.join("; + ")
}

/// Half of what is asked is where hands give up; above it is the rule's own slack, and a low
/// rim comes out anyway.
pub(crate) fn draft_severity(face: &FaceDraft) -> Severity {
    let is_far = face.draft_deg < FAR_TOO_STEEP * face.required_deg;
    let is_back_drafted = face.draft_deg < -UPRIGHT_DEG;
    if is_far && (face.height > LOW_RIM_MM || is_back_drafted) {
        Severity::Fix
    } else {
        Severity::Note
    }
}

fn draft(analysis: &Analysis, face: &FaceDraft) -> Finding {
    let lean = face.required_deg.to_radians().tan() - face.draft_deg.to_radians().tan();
    let title = format!(
        "draft: the {} face at {} has {:.2}° over {} mm of height",
        if face.inside { "inside" } else { "outside" },
        ascii_point(face.at),
        face.draft_deg + 0.0,
        three_digits(face.height)
    );
    Finding::new(Kind::Draft, draft_severity(face), title)
        .number(face.draft_deg, Some(face.required_deg), "°")
        .at(face.at)
        .because(terms(analysis, face))
        .cured_by(format!(
            "draft it from {:.2}° to {:.2}°: {:.2} mm at its foot",
            face.draft_deg + 0.0,
            face.required_deg,
            face.height * lean
        ))
}

#[cfg(test)]
mod tests {
    use super::judge;
    use crate::findings::fixtures::{analysis, plug};
    use crate::findings::{Finding, Kind, MOST_OF_A_KIND, Severity};
    use crate::mesh::{TriMesh, shapes};

    const THIRDS: &[f64] = &[0.0, 10.0, 20.0, 30.0];

    fn findings(mesh: &TriMesh, kind: Kind) -> Vec<Finding> {
        judge(&analysis(mesh))
            .into_iter()
            .filter(|finding| finding.kind == kind)
            .collect()
    }

    #[test]
    fn a_part_that_comes_out_has_nothing_to_say() {
        assert_eq!(judge(&analysis(&plug())), Vec::new());
    }

    /// A channel along y, open towards +x: along z it is trapped by its depth of 20 mm,
    /// along y or x nothing is.
    #[test]
    fn a_channel_across_the_pull_has_two_ways_out() {
        let channel = shapes::blocks([THIRDS; 3], |i, _, k| i == 0 || k != 1);
        let found = findings(&channel, Kind::Undercut);
        assert!((1..=2).contains(&found.len()), "{found:?}");
        for finding in found {
            assert_eq!(finding.severity, Severity::Stop);
            assert!(finding.value.unwrap() > 9.0, "{finding:?}");
            for way in
                ["open along ", "an insert", "a hand-loaded insert that leaves along "]
            {
                let said = finding.cure.contains(way);
                assert_eq!(said, way != "an insert", "{}", finding.cure);
            }
        }
    }

    #[test]
    fn a_closed_void_is_named_and_opens_through_one_wall() {
        let hollow = shapes::blocks([THIRDS; 3], |i, j, k| [i, j, k] != [1; 3]);
        let found = findings(&hollow, Kind::Undercut);
        assert!(!found.is_empty());
        for finding in found {
            assert!(finding.title.starts_with("closed void"), "{}", finding.title);
            assert!(finding.cure.starts_with("a pass-through slot"), "{}", finding.cure);
            assert_eq!(finding.severity, Severity::Stop);
        }
    }

    /// The four upright sides of a box of 20 mm: 1.5° for the plastic or 1°, and 1° more
    /// each 25 mm of height.
    #[test]
    fn upright_walls_are_reported_how_far_to_lean() {
        let found = findings(&shapes::cuboid(30.0, 30.0, 20.0), Kind::Draft);
        assert_eq!(found.len(), 4);
        for finding in found {
            let required = finding.limit.unwrap();
            assert!(finding.value.unwrap().abs() < 1e-6 && required > 1.0);
            let foot = 20.0 * required.to_radians().tan();
            assert!(finding.cure.contains(&format!("{foot:.2} mm")), "{}", finding.cure);
        }
    }

    #[test]
    fn the_rest_is_counted_in_one_line() {
        // Ten ribs on a plate: 40 upright walls and those of the plate.
        let steps: Vec<f64> = (0..=20).map(|i| f64::from(i) * 5.0).collect();
        let comb =
            shapes::blocks([&steps, &[0.0, 20.0], &[0.0, 5.0, 20.0]], |i, _, k| {
                k == 0 || i % 2 == 0
            });
        let found = findings(&comb, Kind::Draft);
        assert_eq!(found.len(), MOST_OF_A_KIND + 1);
        let last = found.last().unwrap();
        assert!(
            last.title.contains(" more faces with too little draft"),
            "{}",
            last.title
        );
    }
}
