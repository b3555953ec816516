//! The same part asked again: with another press, plastic or wish, or with walls a little
//! thicker or more draft. What was measured is not measured again.

use crate::analysis::filling::{self, FillingStudy, NotFilled};
use crate::analysis::milling::{self, MillingStudy};
use crate::analysis::{Analysis, Setup, as_milled, follow, opening, pins, remake, walls};
use crate::part::Part;
use crate::part::draft;
use crate::part::thickness::Thickness;
use crate::part::wall_change::WallChange;
use crate::process::evaluation::PartData;
use crate::settings::{FillChoices, Settings};
use crate::units::{Angle, in_degrees};

/// What every change starts from.
pub struct Measured {
    thickness: Thickness,
    shape: PartData,
}

/// How the part itself is changed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Reshaped {
    /// All walls so changed, with the area and the box that they have.
    pub walls: WallChange,
    /// Draft on top of what each wall has; walls stay as thick as they are.
    pub draft: Angle,
}

impl Analysis {
    /// What was measured of the part, to be kept while it is asked again.
    pub fn measured(&self) -> Measured {
        let (thickness, shape) = (self.walls.thickness.clone(), self.shape.clone());
        Measured { thickness, shape }
    }

    /// Answers everything but the filling anew, for `setup`, `settings` and a part that
    /// differs from `measured` by `reshaped`. Pull, parting and undercut stay as they are.
    pub fn again(
        &mut self,
        measured: &Measured,
        setup: &Setup,
        settings: &Settings,
        reshaped: Reshaped,
    ) {
        let Reshaped { walls, draft } = reshaped;
        let Part { samples, .. } = &self.part;
        self.walls = walls::judge(measured.thickness.with_walls(&walls), samples, setup);
        self.shape = measured.shape.reshaped(&walls, draft);
        self.choices = settings.choices.clone();
        self.setup = setup.clone();
        let release = &mut self.release;
        (release.draft_limit, release.rule) = opening::draft_rule(setup, settings);
        let mut short = draft::short(&self.part, release.formed(), release.rule);
        for face in &mut short {
            face.draft_deg += in_degrees(draft);
        }
        short.retain(|face| face.draft_deg < face.required_deg);
        let counted = milling::counted(&self.cutting, self.as_milled);
        if let Some(MillingStudy { milled, .. }) = counted {
            (short, self.hidden_faces) = as_milled::formed(short, &self.part, milled);
        }
        release.short = short;
        self.evaluation = remake(&self.shape, setup, settings, None);
        self.pinned =
            pins(&self.evaluation, &self.part, &self.release, &settings.choices);
    }

    /// Lets feed, clamp and cycle follow the filling, once that is known.
    pub fn follow_filling(&mut self, settings: &Settings) {
        let filled = self.filling.as_ref().ok();
        let followed = follow(filled, &self.shape, &self.setup, settings);
        if let Some(evaluation) = followed {
            self.evaluation = evaluation;
        }
    }

    /// How the part fills as [`Analysis::again`] left it, the walls changed so since they were
    /// measured; `before` is how the measured part fills, where that is known: then its coarse
    /// cells answer, scaled to what its fine ones said. The gate stays where it is, and
    /// what would cure a short shot is not asked.
    ///
    /// # Errors
    ///
    /// As the check itself.
    pub fn fill_again(
        &self,
        settings: &Settings,
        walls: WallChange,
        before: Option<&FillingStudy>,
    ) -> Result<FillingStudy, NotFilled> {
        let case = filling::FillCase {
            part: &self.part,
            release: &self.release,
            shape: &self.shape,
            evaluation: &self.evaluation,
            choices: &self.choices,
            setup: &self.setup,
            milled: milling::counted(&self.cutting, self.as_milled),
            walls: Some(walls),
            step_on: before,
        };
        // Else a step would show what another gate does.
        let gate = settings.fill.gate.or(before.map(|before| before.gate));
        filling::simulate(case, &FillChoices { gate, ..settings.fill.clone() })
    }
}
