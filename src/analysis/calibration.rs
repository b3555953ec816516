//! From a log of shots to what they say: each shot against its part as the model fills it, all
//! of them together, and the shot that would tell most next.

use crate::analysis::Analysis;
use crate::fill::calibration::{AnsweringPart, ShortShot};
use crate::mold::test_piece::TestPiece;
use crate::process::calibration::experiment::{self, Candidate};
use crate::process::calibration::log::{Filled, LoggedShot};
use crate::process::calibration::posterior::{
    Knowledge, Observation, contradictions, update,
};
use crate::process::evaluation::pressure_window::Holder;
use crate::units::{Mass, Pressure, Quantity, in_mm};

/// A part is weighed, and packed, to this share of itself.
const WEIGHED_NOISE: f64 = 0.03;
/// A share is judged by eye to this share of itself.
const JUDGED_NOISE: f64 = 0.05;
/// A front is read off to this, mm, one standard deviation: between marks of 5 mm.
const READ_MM: f64 = 2.0;

/// A part of the log.
pub struct LoggedPart {
    /// Name of its file, as the log has it.
    pub name: String,
    /// Its check, without any calibration.
    pub analysis: Analysis,
    /// How it answers.
    pub answering: AnsweringPart,
    /// Its measures where it is the test piece: lengths are then read at its marks.
    pub piece: Option<TestPiece>,
}

/// One shot and what is made of it.
#[derive(Clone, Debug, PartialEq)]
pub struct JudgedShot {
    /// Where it stands in the log.
    pub line: usize,
    /// Melt pressure that it was set for.
    pub pressure: Pressure,
    /// Share that was full.
    pub share: f64,
    /// What it says; why it says nothing.
    pub observation: Result<Observation, String>,
    /// How far it is from what all others say, in standard deviations, where that contradicts.
    pub contradicts: Option<f64>,
    /// What its flash says against the clamp of the check.
    pub flash: Option<String>,
}

/// What a log says.
pub struct Calibrated {
    /// Before the shots.
    pub prior: Knowledge,
    /// After them.
    pub known: Knowledge,
    /// The shots.
    pub shots: Vec<JudgedShot>,
    /// The shot that would tell most.
    pub next: Option<NextShot>,
}

/// A shot that would tell most.
#[derive(Clone, Debug, PartialEq)]
pub struct NextShot {
    /// Of which part.
    pub part: String,
    /// Melt pressure to push with.
    pub pressure: Pressure,
    /// The share that it is expected to fill.
    pub share: f64,
    /// By which factor the pressure that the part in question needs is known, in nine cases of ten,
    /// after it and now.
    pub within: [f64; 2],
    /// Which part that is.
    pub of: String,
}

/// Judges `shots`, each of the part of its index and set for a pressure, by what is known before.
pub fn calibrate(
    parts: &[LoggedPart],
    shots: &[(&LoggedShot, usize, Pressure)],
    prior: Knowledge,
) -> Calibrated {
    let mut judged: Vec<JudgedShot> = shots
        .iter()
        .map(|(shot, part, pressure)| {
            let full = full_mass(shots, *part);
            judge(&parts[*part], shot, *pressure, full)
        })
        .collect();
    let known_shots: Vec<(usize, Observation)> = judged
        .iter()
        .enumerate()
        .filter_map(|(index, shot)| Some((index, *shot.observation.as_ref().ok()?)))
        .collect();
    let observations: Vec<Observation> = known_shots.iter().map(|(_, it)| *it).collect();
    for (index, off) in contradictions(&prior, &observations) {
        judged[known_shots[index].0].contradicts = Some(off);
    }
    // What contradicts all else is said, and spoils nothing.
    let sound: Vec<Observation> = judged
        .iter()
        .filter(|shot| shot.contradicts.is_none())
        .filter_map(|shot| shot.observation.as_ref().ok().copied())
        .collect();
    let known = update(&prior, &sound);
    let next = next(parts, &known);
    Calibrated { prior, known, shots: judged, next }
}

/// What a full part weighs: the mean of those that were weighed.
fn full_mass(shots: &[(&LoggedShot, usize, Pressure)], part: usize) -> Option<Mass> {
    let own = shots.iter().filter(|(shot, of, _)| *of == part && shot.full);
    let masses: Vec<f64> =
        own.filter_map(|(shot, ..)| shot.grams).map(|it| it.si()).collect();
    let mean = masses.iter().sum::<f64>() / masses.len() as f64;
    (!masses.is_empty()).then(|| Mass::from_si(mean))
}

fn judge(
    part: &LoggedPart,
    shot: &LoggedShot,
    pressure: Pressure,
    full: Option<Mass>,
) -> JudgedShot {
    let known = filled(part, shot, full);
    let (share, noise) = known.clone().unwrap_or((0.0, 1.0));
    let plastic = &part.analysis.setup.plastic;
    let over = |measured: Option<crate::units::Temperature>,
                usual: Option<crate::units::Temperature>| {
        measured.zip(usual).map_or(0.0, |(measured, usual)| measured.si() - usual.si())
    };
    let usual_mold = plastic.mold_temperature.value.map(|range| range.typical());
    let usual_melt = plastic.melt_temperature.value.map(|range| range.typical());
    let short = ShortShot {
        pressure_pa: pressure.si(),
        share,
        share_noise: noise,
        mold_k: over(shot.mold, usual_mold),
        melt_k: over(shot.melt, usual_melt),
    };
    let least = part.answering.least_share();
    let observation = known.and_then(|_| {
        part.answering.observe(&short).ok_or_else(|| {
            format!(
                "{:.0} % is too little to tell from: below {:.0} % nothing was looked at",
                share * 100.0,
                least * 100.0
            )
        })
    });
    let flash = shot.flash.then(|| flash(part, pressure)).flatten();
    JudgedShot { line: shot.line, pressure, share, observation, contradicts: None, flash }
}

/// Share of the part that was full, and its standard deviation as a share of it.
fn filled(
    part: &LoggedPart,
    shot: &LoggedShot,
    full: Option<Mass>,
) -> Result<(f64, f64), String> {
    let analysis = &part.analysis;
    match shot.how_far() {
        Some(Filled::Full) => Ok((1.0, 0.0)),
        Some(Filled::Share(share)) => Ok((share.min(0.999), JUDGED_NOISE)),
        Some(Filled::Weighed(mass)) => {
            let drawn = analysis.evaluation.shot.as_ref();
            let count = f64::from(analysis.choices.count());
            let drawn = drawn.and_then(|shot| shot.as_ref().ok());
            let drawn = drawn.map(|shot| shot.part / count);
            let full = full.or(drawn).ok_or("what a full part weighs is not known")?;
            let share = (mass / full).si();
            if share > 1.0 + 3.0 * WEIGHED_NOISE {
                return Err(format!(
                    "it weighs {:.0} % of a full part: was the feed cut off?",
                    share * 100.0
                ));
            }
            Ok((share.min(0.999), WEIGHED_NOISE))
        }
        Some(Filled::Reached(way)) => {
            let filling = analysis.filling.as_ref().map_err(ToString::to_string)?;
            let within = |mm: f64| match &part.piece {
                Some(piece) => piece.share(mm),
                None => filling.share_within(mm),
            };
            let reach = in_mm(way);
            let share = within(reach);
            if share <= 0.0 {
                return Err("no part of it lies so near to the gate".to_owned());
            }
            // Over several cells, so that their edges do not count.
            let wide = match part.piece {
                Some(_) => READ_MM,
                None => READ_MM.max(2.0 * filling.cells.edge_mm()),
            };
            let slope = (within(reach + wide) - within(reach - wide)) / (2.0 * wide);
            Ok((share.min(0.999), (slope * READ_MM / share).max(0.005)))
        }
        None => Err("how far it filled is not said".to_owned()),
    }
}

/// A flash at a pressure that clamp and plates hold by the check.
fn flash(part: &LoggedPart, pressure: Pressure) -> Option<String> {
    let limits = &part.analysis.evaluation.window.limits;
    let of_halves = |by: Holder| matches!(by, Holder::Clamp | Holder::Plates);
    let held = limits.iter().find(|limit| of_halves(limit.by))?;
    (pressure < held.surely).then(|| {
        format!(
            "it flashed at {:.3} MPa, by the check the halves hold to {:.3} MPa ({}): look at clamp and parting faces, and ask goodshot why --seen flash",
            pressure.si() * 1e-6,
            held.surely.si() * 1e-6,
            held.by.name()
        )
    })
}

/// Shares that a next shot is looked for at.
const SHARES: [f64; 6] = [0.4, 0.5, 0.6, 0.7, 0.8, 0.9];

/// The shot after which the pressure that the least known part needs is known best.
fn next(parts: &[LoggedPart], known: &Knowledge) -> Option<NextShot> {
    let slopes = |part: &LoggedPart| part.answering.slopes(1.0, &known.mean);
    let spread = |part: &LoggedPart| slopes(part).map(|slopes| known.spread(&slopes));
    let open = parts.iter().filter_map(|part| Some((part, spread(part)?)));
    let (wanted, _) = open.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let mut candidates = Vec::new();
    for part in parts {
        let most = part.analysis.evaluation.window.most();
        let least = part.answering.least_share();
        for share in SHARES.into_iter().filter(|share| *share > least) {
            let Some([_, pressure, _]) = part.answering.predicted(share, known) else {
                continue;
            };
            let pressure = Pressure::from_si(pressure.exp());
            let (Some(slopes), Some(steep)) = (
                part.answering.slopes(share, &known.mean),
                part.answering.steepness(share),
            ) else {
                continue;
            };
            if pressure <= most {
                let what = (part.name.clone(), pressure, share);
                candidates.push(Candidate { what, slopes, noise: steep * WEIGHED_NOISE });
            }
        }
    }
    let (best, within) = experiment::best(known, &slopes(wanted)?, &candidates)?;
    let (part, pressure, share) = best.what.clone();
    let factor = |deviation: f64| {
        (crate::process::calibration::posterior::NINE_IN_TEN * deviation).exp()
    };
    Some(NextShot {
        part,
        pressure,
        share,
        within: within.map(factor),
        of: wanted.name.clone(),
    })
}
