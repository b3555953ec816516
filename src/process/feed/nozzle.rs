//! What the nozzle costs in pressure, whether it stays on its seat, and when it freezes.
//!
//! The melt runs through a cone, when the file gives one, contracts into the orifice, and
//! runs along its land. For the contraction the orifice counts as longer than it is, by
//! [`END_CORRECTION`] of its radii (Bagley); in a sharp contraction stretching costs more
//! than shear, and no source gives that share for a plastic at these rates, so this link is
//! the least sure of all.

use crate::numeric::bisect;
use crate::process::feed::channel::{self, Channel, Melt};
use crate::process::plastic::viscosity::Viscosity;
use crate::process::plastic::{Plastic, Unknown};
use crate::process::press::{Nozzle, Press, circle};
use crate::process::thermal::cooling::{self, Section};
use crate::units::{
    Force, Length, Pressure, Quantity, Temperature, Time, VolumeRate,
    format::four_digits, in_mm,
};

/// Radii by which a contraction lengthens the channel behind it: 3.5, the middle of the 2
/// to 5 of the trade, from memory.
pub const END_CORRECTION: f64 = 3.5;

/// One piece of the way to the cavity.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// What it is, as "nozzle land".
    pub name: &'static str,
    /// Its size in words, as "3 mm × 6 mm".
    pub size: String,
    /// Its shape, the length of a contraction being that of its end correction.
    pub channel: Channel,
    /// Whether it is a contraction, which costs pressure and holds no melt of its own.
    pub is_end_correction: bool,
    /// The flow that `channel` carries over that into one cavity: the number of cavities where
    /// all their melt passes, and less than one where the true section is larger than that of the
    /// tube which stands for it.
    pub flows: f64,
}

impl Link {
    /// Pressure lost in it, for a flow into each cavity.
    pub fn loss(&self, melt: &Melt, flow: VolumeRate) -> Pressure {
        channel::loss(self.channel, melt, flow * self.flows)
    }

    /// Apparent shear rate in it where it is narrowest, 1/s, for a flow into each cavity.
    pub fn apparent_rate(&self, flow: VolumeRate) -> f64 {
        channel::apparent_rate(self.channel, flow * self.flows)
    }

    /// The same with the melt of so many cavities.
    #[must_use]
    pub fn shared_by(self, cavities: u32) -> Self {
        Self { flows: self.flows * f64::from(cavities), ..self }
    }
}

/// The contraction into a channel of this shape and radius, as a piece of it.
pub(crate) fn contraction(name: &'static str, radius: Length, channel: Channel) -> Link {
    let length = END_CORRECTION * radius;
    let channel = match channel {
        Channel::Tube { diameter, .. } => Channel::Tube { diameter, length },
        Channel::Slot { depth, width, .. } => Channel::Slot { depth, width, length },
        other @ Channel::Cone { .. } => other,
    };
    let size = format!("end correction of {END_CORRECTION} radii");
    Link { name, size, channel, is_end_correction: true, flows: 1.0 }
}

/// The melt of this plastic in this press: at its typical temperature, at half of the melt
/// pressure, the mean along the way to an empty cavity.
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks a viscosity or a melt temperature.
pub fn melt(plastic: &Plastic, press: &Press) -> Result<Melt, Unknown> {
    let viscosity: Viscosity = *plastic.need(&plastic.viscosity, "viscosity")?;
    let range = plastic.need(&plastic.melt_temperature, "melt temperature")?;
    let temperature: Temperature = range.typical();
    Ok(Melt { viscosity, temperature, pressure: press.melt_pressure() / 2.0 })
}

/// The pieces of a nozzle in the order of the flow.
pub fn links(nozzle: &Nozzle) -> Vec<Link> {
    let land = Channel::Tube { diameter: nozzle.orifice, length: nozzle.land };
    let cone = nozzle.cone_diameter.zip(nozzle.cone_length).map(|(from, length)| Link {
        name: "nozzle cone",
        size: format!(
            "{} to {} mm over {} mm",
            four_digits(in_mm(from)),
            four_digits(in_mm(nozzle.orifice)),
            four_digits(in_mm(length))
        ),
        channel: Channel::Cone { from, to: nozzle.orifice, length },
        is_end_correction: false,
        flows: 1.0,
    });
    let land_link = Link {
        name: "nozzle land",
        size: format!(
            "{} mm × {} mm",
            four_digits(in_mm(nozzle.orifice)),
            four_digits(in_mm(nozzle.land))
        ),
        channel: land,
        is_end_correction: false,
        flows: 1.0,
    };
    let into = contraction("into the orifice", nozzle.orifice / 2.0, land);
    cone.into_iter().chain([into, land_link]).collect()
}

/// What these pieces cost together.
pub fn loss(links: &[Link], melt: &Melt, flow: VolumeRate) -> Pressure {
    links.iter().map(|link| link.loss(melt, flow)).sum()
}

/// The flow at which these pieces alone take all of a pressure: no shot runs faster. The
/// search ends at 1 m³/s and at nothing.
pub fn most_flow(links: &[Link], melt: &Melt, pressure: Pressure) -> VolumeRate {
    // The loss only grows with the flow.
    let is_too_much =
        |log: f64| loss(links, melt, VolumeRate::from_si(log.exp())) > pressure;
    let [log, _] = bisect([1e-15_f64.ln(), 0.0], 60, |log| !is_too_much(log));
    VolumeRate::from_si(log.exp())
}

/// What holds the nozzle on its seat against what lifts it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seat {
    /// Melt pressure on the circle of the seat: once melt has crept under the nozzle, it
    /// presses on all of it.
    pub lift: Force,
    /// Melt pressure on the orifice alone: the lift while the seat is still tight.
    pub tight_lift: Force,
    /// What holds it; `None` when the file does not say.
    pub contact: Option<Force>,
}

impl Seat {
    /// Whether it stays seated even when melt has crept under it.
    pub fn holds(&self) -> Option<bool> {
        self.contact.map(|contact| contact >= self.lift)
    }
}

/// The seat at full melt pressure; `None` when the file gives no seat.
pub fn seat(press: &Press) -> Option<Seat> {
    let nozzle = press.nozzle.as_ref()?;
    Some(Seat {
        lift: press.nozzle_lift()?,
        tight_lift: press.melt_pressure() * circle(nozzle.orifice),
        contact: nozzle.contact_force,
    })
}

/// How long the orifice stays open on a cold mold after the flow has stopped: a rod of its
/// diameter down to where the plastic no longer flows. A tip that is warmer than the mold
/// stays open longer, and with no shut-off it drools. `None` when the mold is too warm for
/// it to freeze.
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks a value that this needs.
pub fn freeze_time(nozzle: &Nozzle, plastic: &Plastic) -> Result<Option<Time>, Unknown> {
    let heat = cooling::to_freeze(plastic)?;
    Ok(cooling::time(Section::Rod, nozzle.orifice, &heat))
}

#[cfg(test)]
mod tests {
    use super::{END_CORRECTION, freeze_time, links, melt, most_flow, seat};
    use crate::process::plastic::library::Plastics;
    use crate::process::press::Press;
    use crate::units::{Quantity, VolumeRate, in_mpa, read};

    fn press(nozzle: &str) -> Press {
        let text = format!(
            "name = 'p'\ndrive = {{ ram_force = '6283.2 N' }}\n[ram]\nstroke = '9 cm'\n\
             diameter = '20 mm'\n[nozzle]\n{nozzle}"
        );
        Press::parse(&text).unwrap()
    }

    const PLAIN: &str = "orifice = '3 mm'\nland = '5 mm'\nseat_diameter = '8 mm'\n";

    /// Hand arithmetic: 20 MPa lift 1005 N on a seat of 8 mm, 141 N on an orifice of 3 mm.
    #[test]
    fn a_seat_at_twenty_megapascals() {
        let open = seat(&press(PLAIN)).unwrap();
        assert!((open.lift.si() - 1005.3).abs() < 0.05, "{:?}", open.lift);
        assert!((open.tight_lift.si() - 141.4).abs() < 0.05, "{:?}", open.tight_lift);
        assert_eq!(open.holds(), None);
        for (force, holds) in [("1000 N", false), ("1.1 kN", true), ("250 lbf", true)] {
            let press = press(&format!("{PLAIN}contact_force = '{force}'"));
            assert_eq!(seat(&press).unwrap().holds(), Some(holds), "{force}");
        }
        assert_eq!(seat(&press("orifice = '3 mm'\nland = '5 mm'")), None);
    }

    /// Hand arithmetic for 200 Pa s at 5 cm³/s: 8 μ Q L/(π R⁴) over a land of 5 mm is
    /// 2.5150 MPa, and the end correction is as 3.5 × 1.5 mm more of it. The cone by
    /// (8 μ Q/3 π tan φ)(R₁⁻³ − R₂⁻³).
    #[test]
    fn land_contraction_and_cone() {
        let text = "[plastic.oil]\nviscosity = { value = { newtonian = { viscosity = '200 Pa s' } } }\n\
                    melt_temperature = { value = { low = '200 C', high = '200 C' } }";
        let plastics = Plastics::builtin().unwrap().with_user_file(text).unwrap();
        let press =
            press(&format!("{PLAIN}cone_diameter = '9 mm'\ncone_length = '12 mm'"));
        let melt = melt(plastics.find("oil").unwrap(), &press).unwrap();
        assert!((in_mpa(melt.pressure) - 10.0).abs() < 1e-3);
        let flow: VolumeRate = read("5 cm3/s").unwrap();
        let links = links(press.nozzle.as_ref().unwrap());
        let lost: Vec<f64> =
            links.iter().map(|link| in_mpa(link.loss(&melt, flow))).collect();
        let land =
            8.0 * 200.0 * 5e-6 * 5e-3 / (std::f64::consts::PI * 1.5e-3_f64.powi(4));
        assert!((lost[2] - land * 1e-6).abs() < 1e-9 && (lost[2] - 2.5150).abs() < 5e-5);
        assert!((lost[1] / lost[2] - END_CORRECTION * 1.5 / 5.0).abs() < 1e-9);
        let cone = 8.0 * 200.0 * 5e-6 / (3.0 * std::f64::consts::PI * (3.0 / 12.0))
            * (1.5e-3_f64.powi(-3) - 4.5e-3_f64.powi(-3));
        assert!((lost[0] - cone * 1e-6).abs() < 1e-9, "{lost:?}");
        assert_eq!(links[0].size, "9 to 3 mm over 12 mm");
        // A Newtonian loss is in proportion to the flow.
        let most = most_flow(&links, &melt, read("20 MPa").unwrap());
        let all: f64 = lost.iter().sum();
        assert!((most.si() / (5e-6 * 20.0 / all) - 1.0).abs() < 1e-9, "{most:?}");
    }

    /// Worked apart: a pin of 1 mm at 0.08 mm²/s, 220/40 °C, freezes at 130 °C in 0.6292 s by
    /// the one-term formula; the whole series takes 0.4 % off.
    #[test]
    fn an_orifice_freezes_like_a_pin() {
        let heat = |of: &str, at: &str| {
            format!("{of}_temperature = {{ value = {{ low = '{at}', high = '{at}' }} }}")
        };
        let text = format!(
            "[plastic.x]\ndiffusivity = '0.08 mm2/s'\nno_flow_temperature = '130 C'\n{}\n{}",
            heat("melt", "220 C"),
            heat("mold", "40 C")
        );
        let plastics = Plastics::builtin().unwrap().with_user_file(&text).unwrap();
        let press = press("orifice = '1 mm'\nland = '5 mm'");
        let nozzle = press.nozzle.as_ref().unwrap();
        let time = freeze_time(nozzle, plastics.find("x").unwrap()).unwrap().unwrap();
        assert!((time.si() / 0.6292 - 1.0).abs() < 5e-3, "{time:?}");
        let missing = Plastics::builtin().unwrap().with_user_file("[plastic.y]").unwrap();
        assert!(freeze_time(nozzle, missing.find("y").unwrap()).is_err());
    }
}
