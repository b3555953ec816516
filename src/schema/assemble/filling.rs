//! Filling under its keys.

use std::borrow::Cow;

use crate::analysis::Analysis;
use crate::analysis::filling::cures::{Change, Cure, Help};
use crate::analysis::filling::{FillingStudy, GatePlace, VentPlace};
use crate::fill::pockets::{Air, Pocket};
use crate::fill::required_pressure::RequiredPressure;
use crate::fill::weld_lines::Weld;
use crate::findings::filling_remedies;
use crate::process::feed::vents::Vent;
use crate::schema::{Fill, FillCure, FillVent, GateChoice, TrappedAir, WeldLine};
use crate::units::format;
use crate::units::{self, Length, Pressure, Quantity};

pub(crate) fn fill(analysis: &Analysis) -> Fill {
    let available = analysis.setup.press.melt_pressure();
    let unknown = Fill {
        pressure_available_mpa: Some(units::in_mpa(available)),
        ..Fill::default()
    };
    let Ok(filled) = &analysis.filling else { return unknown };
    let needed = match filled.least {
        RequiredPressure::Pressure { pa, .. } => Some(pa),
        _ => None,
    };
    let numbers = filled.numbers;
    let force =
        needed.and_then(|pa| analysis.setup.press.force_for(Pressure::from_si(pa)));
    let offered = filling_remedies::offered(analysis, filled);
    let choices = || filled.choices.iter().map(choice).collect();
    Fill {
        fills: Some(filled.run.fills),
        filled_fraction: Some(filled.run.filled),
        time_s: Some(filled.run.time_s),
        pressure_needed_mpa: needed.map(|pa| pa * 1e-6),
        ram_force_needed_n: force.map(Quantity::si),
        margin: filled.margin(available.si()),
        margin_band: filled.margin_band(available.si()),
        cures: Some(offered.into_iter().map(cure).collect()),
        gate_mm: Some(filled.gate.into()),
        gate_given: Some(filled.gate_moved.is_some()),
        gate_choices: filled.gate_moved.is_none().then(choices),
        last_points: Some(filled.pockets.iter().map(|it| it.at.into()).collect()),
        stuck_at_mm: filled.stuck_at().map(Into::into),
        weld_lines: Some(welds(filled)),
        trapped_air: Some(shut_in(filled).map(trapped).collect()),
        vents_mm: Some(filled.vents.iter().map(|it| it.at.into()).collect()),
        vents: Some(filled.vents.iter().map(|it| vent(analysis, it)).collect()),
        cells: Some(filled.cells.len()),
        cell_mm: Some(filled.cells.edge_mm()),
        flow_length_mm: numbers.map(|it| it.flow_length_mm),
        length_over_wall: numbers.map(|it| it.length_over_wall),
        front_mm_s: numbers.map(|it| it.velocity_m_s * 1000.0),
        graetz: numbers.map(|it| it.graetz),
        nahme: numbers.map(|it| it.nahme),
        ..unknown
    }
}

fn cure(cure: &Cure) -> FillCure {
    let mut keys = FillCure {
        change: Cow::Borrowed("wall"),
        help: Cow::Borrowed(match cure.help {
            Help::Sure => "sure",
            Help::Fills => "fills",
            Help::Less => "less",
        }),
        wall_mm: None,
        gate_depth_mm: None,
        gate_width_mm: None,
        celsius: None,
        plastic: None,
        pressure_needed_mpa: cure.needs_pa.map(|pa| pa * 1e-6),
        why: filling_remedies::said(cure),
    };
    match &cure.change {
        Change::Wall(least) => keys.wall_mm = Some(*least),
        Change::Gate(gate) => {
            keys.change = Cow::Borrowed("gate");
            keys.gate_depth_mm = Some(units::in_mm(gate.depth));
            keys.gate_width_mm = Some(units::in_mm(gate.width));
        }
        Change::Melt(to) => {
            keys.change = Cow::Borrowed("melt");
            keys.celsius = Some(units::in_celsius(*to));
        }
        Change::Mold(to) => {
            keys.change = Cow::Borrowed("mold");
            keys.celsius = Some(units::in_celsius(*to));
        }
        Change::Plastic(name) => {
            keys.change = Cow::Borrowed("plastic");
            keys.plastic = Some(name.clone());
        }
    }
    keys
}

/// The last places that the parting line does not vent.
fn shut_in(filled: &FillingStudy) -> impl Iterator<Item = &Pocket> {
    filled.pockets.iter().filter(|it| it.air != Air::Vented)
}

fn vent(analysis: &Analysis, place: &VentPlace) -> FillVent {
    let shape = analysis.evaluation.vent.as_ref().ok();
    let of = |measure: fn(&Vent) -> Length| shape.map(|vent| units::in_mm(measure(vent)));
    FillVent {
        at_mm: place.at.into(),
        air_mm3: place.air_mm3,
        opens_to_air: place.opens,
        depth_mm: of(|vent| vent.start),
        most_depth_mm: of(|vent| vent.most),
        width_mm: of(|vent| vent.width),
        land_mm: of(|vent| vent.land),
        relief_mm: of(|vent| vent.relief),
    }
}

fn choice(place: &GatePlace) -> GateChoice {
    let choice = &place.choice;
    let mut why = format!(
        "{} to the hardest corner, {} times the wall; a straight runner in the parting plane reaches it",
        format::quantity(choice.flow_length_mm, "mm"),
        format::number(choice.length_over_wall)
    );
    if choice.thickest < 0.5 {
        why += &format!(
            "; the wall there is {} of the thickest, which is packed badly from it",
            format::percent(choice.thickest)
        );
    } else if choice.thickest > 0.9 {
        why += "; it fills from thick to thin";
    }
    match place.shown_weld_mm {
        Some(long) if long > 0.0 => {
            let long = format::quantity(long, "mm");
            why += &format!("; it leaves {long} of weld line on the faces that show");
        }
        Some(_) => why += "; it leaves no weld line on the faces that show",
        None => {}
    }
    GateChoice {
        at_mm: choice.at.into(),
        loss: choice.loss,
        flow_length_mm: choice.flow_length_mm,
        length_over_wall: choice.length_over_wall,
        wall_mm: choice.wall_mm,
        weld_on_shown_mm: place.shown_weld_mm,
        why,
    }
}

fn welds(filled: &FillingStudy) -> Vec<WeldLine> {
    let line = |(index, line): (usize, &Weld)| {
        weld(line, filled.shown_welds_mm.get(index).copied())
    };
    filled.welds.iter().enumerate().map(line).collect()
}

fn weld(weld: &Weld, on_shown_mm: Option<f64>) -> WeldLine {
    WeldLine {
        on_shown_mm,
        at_mm: weld.at.into(),
        length_mm: weld.length_mm,
        angle_deg: weld.angle_deg,
        time_s: weld.time_s,
        celsius: units::in_celsius(weld.temperature),
        frozen: weld.frozen,
    }
}

fn trapped(pocket: &Pocket) -> TrappedAir {
    TrappedAir {
        at_mm: pocket.at.into(),
        volume_mm3: pocket.volume_mm3,
        time_s: pocket.closed_s,
    }
}
