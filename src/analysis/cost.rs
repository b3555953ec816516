//! What mold and parts cost: the numbers of the check, as the work that they ask for.

use crate::analysis::Analysis;
use crate::process::clamping::force::REQUIRED_MARGIN;
use crate::process::cost::break_even::Job;
use crate::process::cost::{MoldWork, ShotWork};
use crate::process::press::shot::TROUBLE;
use crate::units::{Quantity, Time, from_mm3};

/// Why no cost can be given.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no cost without {what}: {why}")]
pub struct NoCost {
    what: &'static str,
    why: String,
}

/// A bolt and a dowel take a hole in each half.
const HALVES: u32 = 2;
/// Sprue and cold-slug well are drilled.
const FEED_HOLES: u32 = 2;

/// The work at the mold and at the press that `analysis` asks for.
///
/// # Errors
///
/// [`NoCost`] where milling, shot or cycle are not known.
pub fn job(analysis: &Analysis) -> Result<Job, NoCost> {
    let lacks = |what: &'static str, why: &str| NoCost { what, why: why.to_owned() };
    let cutting = analysis.cutting.as_ref();
    let cutting = cutting.map_err(|why| lacks("the milling", &why.to_string()))?;
    let open = "the surface is open; \"goodshot check\" says where";
    let solid = analysis.mass.solid.ok_or_else(|| lacks("a volume", open))?;
    let evaluation = &analysis.evaluation;
    let shot = evaluation.shot.as_ref().ok_or_else(|| lacks("a volume", open))?;
    let shot = shot.as_ref().map_err(|why| lacks("a shot", &why.to_string()))?;
    let timing = &evaluation.timing;
    let cycle = timing.cycle.as_ref().ok_or_else(|| {
        let unknown = timing.unknown.as_ref().map(ToString::to_string);
        lacks("a cycle", &unknown.unwrap_or_else(|| "no feed could be sized".to_owned()))
    })?;
    let plates = &evaluation.clamping.plates;
    let bolts = analysis.setup.press.bolts().map_or(0, |bolts| bolts.count);
    let pins = analysis.pinned.as_ref().map_or(0, |pinned| pinned.pads.list.len());
    let pins = u32::try_from(pins).unwrap_or(u32::MAX);
    let used = cutting.milled.uses.iter().filter(|cutter| cutter.needed).count();
    let margin = evaluation.clamping.margin();
    let cavities = analysis.choices.count();
    // Of one cavity: the counts that are compared multiply it.
    let each = f64::from(cavities);
    Ok(Job {
        mold: MoldWork {
            milling: Time::from_si(cutting.time_min() * 60.0),
            tool_changes: HALVES * u32::try_from(used).unwrap_or(u32::MAX),
            holes: HALVES * (bolts + plates.dowels) + pins + FEED_HOLES,
            aluminum: plates.mass() / each,
        },
        holes_each: pins,
        shot: ShotWork {
            part: shot.part / each,
            feed: shot.feed / each,
            parts: cavities,
            cycle: cycle.total,
        },
        cavities,
        cycle: cycle.clone(),
        volume: from_mm3(solid.volume),
        barrel_gives: each * TROUBLE / shot.fraction.si(),
        clamp_holds: margin.map(|margin| each * margin / REQUIRED_MARGIN),
    })
}

#[cfg(test)]
mod tests {
    use super::job;
    use crate::findings::fixtures::{
        analysis, fixture_settings, open, plug, setup, with,
    };
    use crate::settings::{MillChoices, Settings};
    use crate::units::{Quantity, in_grams};

    /// The job holds the numbers of the check, not its own.
    #[test]
    fn the_job_has_the_numbers_of_the_check() {
        let analysis = analysis(&plug());
        let job = job(&analysis).unwrap();
        let shot = analysis.evaluation.shot.as_ref().unwrap().as_ref().unwrap();
        assert!(
            (in_grams(job.shot.part + job.shot.feed) - in_grams(shot.total)).abs() < 1e-9
        );
        let cycle = analysis.evaluation.timing.cycle.as_ref().unwrap();
        assert!((job.shot.cycle.si() - cycle.total.si()).abs() < 1e-12);
        let report = crate::schema::assemble::report(&analysis, "plug.stl");
        let minutes = report.milling.time_min.unwrap();
        assert!((job.mold.milling.si() / 60.0 - minutes).abs() < 1e-9 && minutes > 0.0);
        // Four bolts and two dowels through both halves.
        assert!(job.mold.holes >= 12 && job.mold.tool_changes >= 2);
    }

    #[test]
    fn what_is_not_known_is_named() {
        let said = |analysis| job(&analysis).unwrap_err().to_string();
        assert!(said(analysis(&open(&plug()))).contains("open"));
        let milling = MillChoices { skip: true, ..MillChoices::default() };
        let settings = Settings { milling, ..fixture_settings() };
        assert!(said(with(&plug(), setup("pp"), &settings)).contains("--no-mill"));
    }
}
