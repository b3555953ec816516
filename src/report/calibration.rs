//! What a log of shots says, as lines of text.

use crate::analysis::calibration::{Calibrated, JudgedShot, LoggedPart};
use crate::findings::pressure_window::set_to;
use crate::process::calibration::posterior::{Knowledge, NINE_IN_TEN};
use crate::process::calibration::{CONTACT, MELT, MOLD, NAMES, PRESSURE};
use crate::report::diagnosis::Line;
use crate::units::format::{percent, three_digits};

/// Two factors that hang together like this the shots cannot tell apart.
const BOUND: f64 = 0.7;
/// What is still as wide as this of what it was before was not learned.
const UNLEARNED: f64 = 0.9;

fn line(indent: usize, text: impl Into<String>) -> Line {
    Line { indent, text: text.into() }
}

/// All lines; what contradicts the model comes first.
pub fn lines(calibrated: &Calibrated, parts: &[LoggedPart]) -> Vec<Line> {
    let mut lines = Vec::new();
    let useful = calibrated.shots.iter().filter(|shot| shot.observation.is_ok()).count();
    let all = calibrated.shots.len();
    lines.extend(calibrated.shots.iter().flat_map(loud));
    lines.push(line(0, format!("{useful} of {all} shots say something")));
    for factor in [PRESSURE, CONTACT, MOLD, MELT] {
        lines.push(line(2, of_factor(calibrated, factor)));
    }
    lines.extend(bound(&calibrated.known).map(|text| line(2, text)));
    lines.push(line(2, "Bag and press are one number: shots on one press with one bag cannot tell a thick bag from a press that loses much."));
    lines.push(line(0, "Melt pressure that fills, before and after the shots"));
    for part in parts {
        let of = |known: &Knowledge| part.answering.predicted(1.0, known);
        let (Some(before), Some(after)) = (of(&calibrated.prior), of(&calibrated.known))
        else {
            continue;
        };
        lines.push(line(
            2,
            format!("{}: {}, now {}", part.name, band(before), band(after)),
        ));
    }
    lines.extend(next(calibrated, parts).map(|text| line(0, text)));
    lines
}

/// "2.1 MPa (1.4 to 3.2)".
fn band(ends: [f64; 3]) -> String {
    let [low, middle, high] = ends.map(|end| three_digits(end.exp() * 1e-6));
    format!("{middle} MPa ({low} to {high})")
}

/// What has to be said of a shot before all else.
fn loud(shot: &JudgedShot) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some(off) = shot.contradicts {
        let way = if off > 0.0 { "took more" } else { "took less" };
        lines.push(line(
            0,
            format!(
                "LINE {}: THIS SHOT CONTRADICTS THE MODEL. Pushed with {} MPa it filled {} and {way} pressure than all other shots say, by {} standard deviations. It is left out of what follows: look at the setting, the scale, leaks and the heat of that shot, and repeat it.",
                shot.line,
                three_digits(shot.pressure.value * 1e-6),
                percent(shot.share),
                three_digits(off.abs())
            ),
        ));
    }
    if let Err(why) = &shot.observation {
        lines.push(line(0, format!("Line {}: says nothing: {why}", shot.line)));
    }
    lines.extend(
        shot.flash.iter().map(|flash| line(0, format!("Line {}: {flash}", shot.line))),
    );
    lines
}

fn of_factor(calibrated: &Calibrated, factor: usize) -> String {
    let Calibrated { prior, known, .. } = calibrated;
    let [before, now] = [prior, known].map(|known| NINE_IN_TEN * known.deviation(factor));
    let mean = known.mean[factor];
    let value = if factor == PRESSURE || factor == CONTACT {
        let within = |wide: f64| three_digits(wide.exp());
        format!(
            "{} times the usual, within a factor of {} (before {})",
            three_digits(mean.exp()),
            within(now),
            within(before)
        )
    } else {
        format!(
            "off by {} K, within {} K (before {})",
            three_digits(mean),
            three_digits(now),
            three_digits(before)
        )
    };
    let learned =
        if now > UNLEARNED * before { "; these shots say nothing of it" } else { "" };
    format!("{}: {value}{learned}", NAMES[factor])
}

/// What the shots cannot tell apart.
fn bound(known: &Knowledge) -> Option<String> {
    let mut pairs = Vec::new();
    for (one, name) in NAMES.iter().enumerate() {
        for (other, other_name) in NAMES.iter().enumerate().skip(one + 1) {
            if known.correlation(one, other).abs() > BOUND {
                pairs.push(format!("{name} from {other_name}"));
            }
        }
    }
    (!pairs.is_empty())
        .then(|| format!("These shots cannot tell apart: {}.", pairs.join("; ")))
}

fn next(calibrated: &Calibrated, parts: &[LoggedPart]) -> Option<String> {
    let next = calibrated.next.as_ref()?;
    let press = &parts.first()?.analysis.setup.press;
    let [after, now] = next.within.map(three_digits);
    Some(format!(
        "The shot that would tell most: {} at {}, which should fill about {}. What {} needs is then known within a factor of {after} instead of {now}.",
        next.part,
        set_to(press, next.pressure),
        percent(next.share),
        next.of
    ))
}
