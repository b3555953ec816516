//! What holds the part on each half, and which half keeps it therefore.
//!
//! Which walls a half forms is known once the mold is parted. The half on which the part
//! shrinks onto more is the core half, whatever it looks like: there the pins go, and the sprue
//! comes through the other one. A flat part lies in a pocket, and stays in it.

use crate::analysis::Setup;
use crate::part::draft::Formed;
use crate::part::halves::Half;
use crate::part::{Part, grips};
use crate::process::ejection::{Keeper, Keeping, Pocket, Ring, StandingWall};
use crate::process::evaluation::{Core, Grips, ejection};
use crate::process::plastic::{Unknown, shrinkage};
use crate::units::{from_degrees, from_mm, from_mm2};

/// What holds a part.
#[derive(Clone, Debug, Default)]
pub struct Holding {
    /// What it shrinks onto: in the core half, in the cavity half.
    pub grips: [Grips; 2],
    /// Walls that it shrinks away from, of the same halves.
    pub pockets: [Pocket; 2],
}

impl Holding {
    /// Measures `part` as it is `formed`.
    pub(super) fn measure(part: &Part, formed: Formed<'_>) -> Self {
        let found = grips::find(part, formed);
        let pocket = |it: grips::Pocket| Pocket {
            walls: from_mm2(it.area),
            height: from_mm(it.height),
            draft: from_degrees(it.draft_deg),
        };
        Self {
            grips: [
                on(&found.rings.core, &found.walls.core),
                on(&found.rings.cavity, &found.walls.cavity),
            ],
            pockets: grips::pockets(part, formed).map(pocket),
        }
    }

    /// The half that keeps the part for sure; `core` where both hold alike or nothing is known of
    /// the plastic.
    pub(super) fn keeping_half(&self, core: Half, setup: &Setup) -> Half {
        match self.keeping(setup).map(|keeping| keeping.keeper()) {
            Ok(Keeper::Cavity) => core.other(),
            Ok(Keeper::Core | Keeper::Unsure) | Err(_) => core,
        }
    }

    fn keeping(&self, setup: &Setup) -> Result<Keeping, Unknown> {
        let band = shrinkage::band(&setup.plastic, setup.press.melt_pressure())?;
        let [core, cavity] = &self.grips;
        ejection::keeps([core, cavity], &self.pockets, &band, &setup.plastic)
    }
}

/// What grips the metal of one half.
fn on(rings: &[grips::Ring], walls: &[grips::StandingWall]) -> Grips {
    let core = |it: &grips::Ring| Core {
        ring: Ring {
            walls: from_mm2(it.area),
            outline: from_mm(it.perimeter),
            corners: it.corners,
            wall: from_mm(it.wall),
            draft: from_degrees(it.draft_deg),
            closed: from_mm2(it.closed),
        },
        height: from_mm(it.height),
    };
    let wall = |it: &grips::StandingWall| StandingWall {
        face: from_mm2(it.area),
        height: from_mm(it.height),
        thickness: from_mm(it.thickness),
        breadth: from_mm(it.breadth),
        distance: from_mm(it.distance),
        root: from_mm(it.root),
        root_breadth: from_mm(it.root_breadth),
        draft: from_degrees(it.draft_deg),
    };
    Grips {
        rings: rings.iter().map(core).collect(),
        walls: walls.iter().map(wall).collect(),
    }
}
