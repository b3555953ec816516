//! The numbers of the part, the press and the plastic that causes are judged by.

use super::bench::Outcome;
use super::shot::MoldedShot;
use crate::analysis::Analysis;
use crate::findings::pressure_window;
use crate::process::evaluation::RequiredBand;
use crate::process::plastic::Plastic;
use crate::process::sourced::Range;
use crate::units::format::three_digits;
use crate::units::{Pressure, Quantity, Temperature, Time, in_celsius, in_mm, in_mpa};

/// One thing that is otherwise than the sheet says, or may be.
#[derive(Clone, Debug)]
pub(super) struct Deviation {
    /// What comes of it alone.
    pub(super) outcome: Outcome,
    /// Whether the molder measured it.
    pub(super) is_measured: bool,
}

/// What the shot is judged by.
pub(super) struct Numbers<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) shot: &'a MoldedShot,
    /// Melt pressure that was pushed with.
    pub(super) pushed: Pressure,
    /// The mold run as its sheet says.
    pub(super) base: Outcome,
    /// The same pushed with what this shot had.
    pub(super) as_pushed: Option<Outcome>,
    /// The mold as cold as it was, or as it is at the first shot.
    pub(super) mold: Option<Deviation>,
    /// The melt as it was, or as cold as the tool doubts.
    pub(super) melt: Option<Deviation>,
    /// The gate as the tool sizes it, where the user gave another.
    pub(super) sized_gate: Option<Outcome>,
    /// Walls no thinner than the plastic asks for, where some are.
    pub(super) thick_walls: Option<Outcome>,
}

impl Numbers<'_> {
    pub(super) fn plastic(&self) -> &Plastic {
        &self.analysis.setup.plastic
    }

    /// What filling takes, as the mold is.
    pub(super) fn takes(&self) -> RequiredBand {
        self.base.takes
    }

    /// By which factor what filling takes may be off.
    pub(super) fn doubt(&self) -> f64 {
        let band = self.takes();
        let doubt = band.worst.si() / band.expected.si();
        if doubt.is_finite() { doubt.max(1.1) } else { 2.0 }
    }

    /// What filling would take of a mold without a fault of its own.
    pub(super) fn takes_sound(&self) -> Pressure {
        let others = [&self.sized_gate, &self.thick_walls].into_iter().flatten();
        let all = others.map(|outcome| outcome.takes.expected);
        all.fold(self.takes().expected, Pressure::min)
    }

    /// How strongly a shortage of pressure is explained by what takes `with` of it where
    /// `without` would do: in doubts, of what lacks.
    pub(super) fn explains(&self, with: Pressure, without: Pressure) -> f64 {
        let from = without.si().max(self.pushed.si());
        let over = (with.si() / from).ln() / self.doubt().ln();
        if over.is_nan() { 0.0 } else { over }
    }

    /// How strongly what may be off by a factor is to blame, though nobody measured it: by how
    /// many times that factor's logarithm it would have to be off.
    pub(super) fn may_explain(&self, factor: f64) -> f64 {
        let lacks = (self.pushed.si() / self.takes().expected.si()).ln();
        if lacks <= 0.0 || lacks.is_nan() {
            // The setting alone explains it.
            return -0.5;
        }
        -lacks / factor.max(1.001).ln()
    }

    /// "2.65 bar at the regulator (2.12 MPa on the melt)".
    pub(super) fn set_to(&self, pressure: Pressure) -> String {
        pressure_window::set_to(&self.analysis.setup.press, pressure)
    }

    /// Whether the melt pressure was given, in words.
    pub(super) fn pushed_with(&self) -> String {
        let taken = if self.shot.pressure.is_some() { "" } else { " as the sheet says" };
        format!("pushed with {}{taken}", self.set_to(self.pushed))
    }

    /// The wanted temperatures of melt or mold.
    pub(super) fn melt_range(&self) -> Option<Range<Temperature>> {
        self.plastic().melt_temperature.value
    }

    pub(super) fn mold_range(&self) -> Option<Range<Temperature>> {
        self.plastic().mold_temperature.value
    }

    /// The melt's temperature: as it was, else the usual one.
    pub(super) fn melt_was(&self) -> Option<Temperature> {
        self.shot.melt.or(self.melt_range().map(|range| range.typical()))
    }

    /// Share of the barrel that a shot takes.
    pub(super) fn barrel_share(&self) -> Option<f64> {
        let shot = self.analysis.evaluation.shot.as_ref()?.as_ref().ok()?;
        Some(shot.fraction.si())
    }

    /// The thickest place of the part, mm.
    pub(super) fn thickest_mm(&self) -> Option<f64> {
        self.analysis.shape.thickest.map(in_mm)
    }

    /// How long the melt was in the heat: as given, else by rhythm.
    pub(super) fn in_heat(&self) -> Option<Time> {
        self.shot.in_barrel.or(self.analysis.evaluation.timing.in_heat)
    }
}

/// "6.5 MPa".
pub(super) fn mpa(pressure: Pressure) -> String {
    if pressure.si().is_finite() {
        format!("{} MPa", three_digits(in_mpa(pressure)))
    } else {
        "more than any pressure tried".to_owned()
    }
}

/// "240 °C".
pub(super) fn celsius(at: Temperature) -> String {
    format!("{} °C", three_digits(in_celsius(at)))
}

/// "12.5 s", "7 min".
pub(super) fn seconds(time: Time) -> String {
    if time.si() >= 180.0 {
        format!("{} min", three_digits(time.si() / 60.0))
    } else {
        format!("{} s", three_digits(time.si()))
    }
}
