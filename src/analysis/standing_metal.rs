//! How hard the melt strains the metal that stands alone between plastic, and which of it is
//! bought.

use crate::analysis::Analysis;
use crate::analysis::filling::FillingStudy;
use crate::mold::core_pins::CorePin;
use crate::process::clamping::standing_metal::{OneSided, of_alloy};
use crate::process::clamping::strained_metal::{Pushed, StrainedMetal, strain};
use crate::units::{Pressure, Quantity, in_mm};

impl Analysis {
    /// What the melt does to each piece of [`crate::analysis::Opening::standing`], in their
    /// order. Follows press, plates and filling as they are now: another press is asked for
    /// after the part is measured.
    pub fn strained_metal(&self) -> Vec<StrainedMetal> {
        let has = self.setup.press.melt_pressure();
        let strength = of_alloy(self.evaluation.clamping.plates.alloy);
        let filling = self.filling.as_ref().ok();
        let worst = filling.and_then(FillingStudy::known).map(|it| it.required.worst);
        let fills = worst.map(|worst| worst.min(has));
        let each = self.shape.standing.iter().enumerate();
        each.map(|(index, metal)| {
            let known = filling.and_then(|study| {
                let pa = study.run.one_sided_pa.get(index).copied()?;
                Some(OneSided {
                    more: Pressure::from_si(pa),
                    run_with: Pressure::from_si(study.run_pa),
                })
            });
            let pushed = Pushed { has, fills, known };
            strain(&metal.standing, metal.through, pushed, strength)
        })
        .collect()
    }
}

/// The bought pins that stand for round cores.
pub(super) fn core_pins(analysis: &Analysis) -> Vec<CorePin> {
    let strained = analysis.strained_metal();
    let all = analysis.release.standing.iter().zip(&strained);
    // A core that both halves share is milled in both.
    let whole = all.filter(|(metal, _)| !metal.is_split);
    whole
        .filter_map(|(metal, strained)| {
            let pin = strained.replaced_by()?;
            Some(CorePin {
                half: metal.half,
                foot: metal.at,
                height: metal.height,
                widest: metal.thickness[0].max(metal.thickness[1]),
                diameter: in_mm(pin.size),
                is_seated: metal.through,
            })
        })
        .collect()
}
