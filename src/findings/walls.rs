//! Are walls thinner or thicker than the table of their plastic? Where the filling was worked
//! out it says what a thin wall does, and the table of least walls is silent.

use super::{Finding, Kind, MOST_OF_A_KIND, Severity};
use crate::analysis::Analysis;
use crate::part::surface_statistics::Extreme;
use crate::process::part_limits::WallLimits;
use crate::units::format::{ascii_point, three_digits};
use crate::units::in_mm;

/// A wall thicker than this many times the greatest sinks for certain.
const FAR_TOO_THICK: f64 = 1.5;

pub(super) fn judge(analysis: &Analysis) -> Vec<Finding> {
    let Ok(limits) = &analysis.walls.limits else { return Vec::new() };
    let is_filled = analysis.filling.is_ok();
    let thin_walls = if is_filled { &[][..] } else { &analysis.walls.thin[..] };
    let thin = thin_walls.iter().map(|wall| thin(wall, limits)).collect();
    let thick = analysis.walls.thick.iter().map(|wall| thick(wall, limits)).collect();
    let mut findings = shortened(thin, thin_walls, Kind::ThinWall);
    findings.extend(shortened(thick, &analysis.walls.thick, Kind::ThickWall));
    findings
}

/// The worst few, and one line for the rest.
fn shortened(mut all: Vec<Finding>, walls: &[Extreme], kind: Kind) -> Vec<Finding> {
    let rest = walls.get(MOST_OF_A_KIND..).unwrap_or_default();
    let area: f64 = rest.iter().map(|wall| wall.region.area).sum();
    let mildest = all.get(MOST_OF_A_KIND).cloned();
    all.truncate(MOST_OF_A_KIND);
    if let Some(mildest) = mildest {
        let what = if kind == Kind::ThinWall { "thin" } else { "thick" };
        let title = format!(
            "{} more {what} places, {} mm² in all",
            rest.len(),
            three_digits(area)
        );
        all.push(
            Finding::new(kind, mildest.severity, title)
                .number(mildest.value.unwrap_or_default(), mildest.limit, "mm")
                .standing_for(rest.len())
                .because(mildest.basis)
                .cured_by("see report.json for every place"),
        );
    }
    all
}

fn thin(wall: &Extreme, limits: &WallLimits) -> Finding {
    let (low, at) = (in_mm(limits.low), ascii_point(wall.at));
    let area = three_digits(wall.region.area);
    let title = format!(
        "thin wall: {} mm at {at}, {area} mm² below {} mm",
        tenth(wall.value),
        three_digits(low)
    );
    Finding::new(Kind::ThinWall, Severity::Note, title)
        .number(wall.value, Some(low), "mm")
        .at(wall.at)
        .because(&limits.basis)
        .cured_by(format!(
            "raise the wall at {at} from {} to {} mm",
            tenth(wall.value),
            three_digits(low)
        ))
}

/// How much a wall of `value` matters where `high` is the most, both mm.
pub(super) fn thick_severity(value: f64, high: f64) -> Severity {
    if value > FAR_TOO_THICK * high { Severity::Fix } else { Severity::Note }
}

fn thick(wall: &Extreme, limits: &WallLimits) -> Finding {
    let (high, at) = (in_mm(limits.high), ascii_point(wall.at));
    let area = three_digits(wall.region.area);
    let severity = thick_severity(wall.value, high);
    let title = format!(
        "thick wall: {} mm at {at}, {area} mm² above {} mm",
        tenth(wall.value),
        three_digits(high)
    );
    Finding::new(Kind::ThickWall, severity, title)
        .number(wall.value, Some(high), "mm")
        .at(wall.at)
        .because(&limits.basis)
        .cured_by(format!(
            "core it out at {at} from {} to {} mm, or expect a sink mark",
            tenth(wall.value),
            three_digits(high)
        ))
}

/// Walls to a tenth of a millimeter, thinner ones to a hundredth.
pub(super) fn tenth(wall: f64) -> String {
    if wall < 0.95 { format!("{wall:.2}") } else { format!("{wall:.1}") }
}

#[cfg(test)]
mod tests {
    use super::{FAR_TOO_THICK, judge};
    use crate::findings::fixtures::{analysis, plug, setup, unfilled_settings, with};
    use crate::findings::{Finding, Kind, Severity};
    use crate::mesh::shapes;

    /// Findings on a plate of `wall`, 60 mm square, that is not filled.
    fn plate(wall: f64) -> Vec<Finding> {
        judge(&with(&shapes::cuboid(60.0, 60.0, wall), setup("pp"), &unfilled_settings()))
    }

    /// Whether a thin wall fills is worked out, so no table speaks of it.
    #[test]
    fn the_table_of_least_walls_gives_way_to_the_filling() {
        let filled = analysis(&shapes::cuboid(30.0, 30.0, 1.0));
        assert!(filled.filling.is_ok() && !filled.walls.thin.is_empty());
        assert_eq!(judge(&filled), Vec::new());
        let thick = judge(&analysis(&shapes::cuboid(40.0, 40.0, 20.0)));
        assert!(thick.iter().all(|it| it.kind == Kind::ThickWall), "{thick:?}");
        assert!(thick.iter().any(|it| it.severity == Severity::Fix), "{thick:?}");
    }

    #[test]
    fn walls_are_held_against_both_limits() {
        assert_eq!(judge(&analysis(&plug())), Vec::new());
        let thin = plate(1.0);
        assert!(!thin.is_empty());
        let low = thin[0].limit.unwrap();
        for finding in &thin {
            assert_eq!(
                (finding.kind, finding.severity),
                (Kind::ThinWall, Severity::Note)
            );
            assert!((finding.value.unwrap() - 1.0).abs() < 0.01, "{finding:?}");
        }
        let high = plate(20.0)[0].limit.unwrap();
        assert!(low < high);
        for (wall, severity) in [
            (1.1 * high, Severity::Note),
            (0.95 * FAR_TOO_THICK * high, Severity::Note),
            (1.1 * FAR_TOO_THICK * high, Severity::Fix),
        ] {
            let thick = plate(wall);
            assert!(!thick.is_empty(), "{wall}");
            for finding in thick {
                assert_eq!((finding.kind, finding.severity), (Kind::ThickWall, severity));
                assert!(finding.value.unwrap() > high, "{finding:?}");
            }
        }
        // Between the limits there is nothing to say.
        assert_eq!(plate((low + high) / 2.0), Vec::new());
    }
}
