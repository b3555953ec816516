//! Standing metal under its keys.

use crate::analysis::Analysis;
use crate::part::standing_metal::{Ends, Form};
use crate::schema::StandingMetal;
use crate::units::{in_mm, in_mpa};

pub(super) fn standing_metal(analysis: &Analysis) -> Vec<StandingMetal> {
    let strained = analysis.strained_metal();
    let each = analysis.release.standing.iter().zip(&strained);
    each.map(|(metal, it)| {
        let (kind, ends_held) = match metal.form {
            Form::Pin => ("pin", 0),
            Form::Ring { .. } => ("ring", 0),
            Form::Fin { ends: Ends::Free, .. } => ("fin", 0),
            Form::Fin { ends: Ends::One, .. } => ("fin", 1),
            Form::Fin { ends: Ends::Both, .. } => ("fin", 2),
        };
        StandingMetal {
            kind: kind.into(),
            at_mm: metal.at.into(),
            half: metal.half,
            thickness_mm: metal.thickness,
            height_mm: metal.height,
            length_mm: metal.form.length(),
            through: metal.through,
            ends_held,
            filling_mpa: it.filling.map(in_mpa),
            in_use_mpa: it.in_use.map(|load| in_mpa(load.pressure)),
            in_use_stress_mpa: it.in_use.map(|load| in_mpa(load.bent.stress)),
            most_mpa: in_mpa(it.most.pressure),
            stress_mpa: in_mpa(it.most.bent.stress),
            limit_mpa: in_mpa(it.strength.allowed),
            deflection_mm: in_mm(it.most.bent.deflection),
            holds_to_mpa: in_mpa(it.holds_to),
            steel_mm: it.steel.map(|steel| in_mm(steel.size)),
            steel_stress_mpa: it.steel.map(|steel| in_mpa(steel.stress)),
        }
    })
    .collect()
}
