//! A melt pressure as the press is set to it: bar or psi at the regulator, newtons at the
//! lever, the force of a jack.
//!
//! Every drive pushes in proportion to its setting, so the setting for a melt pressure is
//! the one of the press file times the force it takes over the force there is.

use super::drive::{Drive, Gauge};
use crate::process::press::Press;
use crate::units::format::three_digits;
use crate::units::{self, Force, Pressure, Quantity, in_kn};

/// A press is set to no more than this many times what its file says: beyond it one of the two
/// is in another unit.
const MOST_OVER_FILE: f64 = 3.0;

/// What is set at the press.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Setting {
    /// Gauge pressure at the regulator, and the unit to write it in.
    Air {
        /// The pressure.
        pressure: Pressure,
        /// The unit of the press file.
        gauge: Gauge,
    },
    /// Force of the hand at the lever.
    Lever(Force),
    /// Force of the hand at the handle of a screw or a jack.
    Handle(Force),
    /// Force of a jack that is rated by it.
    Jack(Force),
    /// Force on the ram, where the press file states nothing else.
    Ram(Force),
}

impl Press {
    /// What to set for a melt pressure, the stated losses included; `None` where the losses
    /// take all pressure. Nothing is said here about whether the press reaches it.
    pub fn setting_for(&self, pressure: Pressure) -> Option<Setting> {
        let share = self.force_for(pressure)?.si() / self.ram_force().si();
        share.is_finite().then(|| setting(&self.drive, share))
    }
}

impl Press {
    /// Melt pressure that the press gives when it is set as `text` says, such as "4 bar": read in
    /// what is set at its drive.
    ///
    /// # Errors
    ///
    /// In one line, when the text cannot be read so, or is no setting of this press.
    pub fn pressure_when_set(&self, text: &str) -> Result<Pressure, String> {
        let share = match &self.drive {
            Drive { air: Some(air), .. } => {
                units::read::<Pressure>(text).map(|set| set / air.air)
            }
            Drive { lever: Some(lever), .. } => {
                units::read::<Force>(text).map(|set| set / lever.hand)
            }
            Drive { jack: Some(jack), .. } => units::read::<Force>(text)
                .map(|set| set / jack.force.or(jack.hand).unwrap_or_default()),
            Drive { ram_force, .. } => {
                units::read::<Force>(text).map(|set| set / ram_force.unwrap_or_default())
            }
        };
        let share = share.map_err(|error| error.to_string())?.si();
        if share > 0.0 && share <= MOST_OVER_FILE {
            return Ok(self.melt_pressure_of(self.ram_force() * share));
        }
        let file = setting(&self.drive, 1.0).in_words();
        Err(format!(
            "{text:?} is no setting of this press: its file says {file}; write more than 0 and at most {MOST_OVER_FILE} times as much"
        ))
    }

    /// This press when it is set for a melt pressure; as it is where its losses take all of it.
    #[must_use]
    pub fn turned_to(&self, pressure: Pressure) -> Self {
        let share =
            self.force_for(pressure).map(|force| force.si() / self.ram_force().si());
        let Some(share) = share.filter(|share| share.is_finite()) else {
            return self.clone();
        };
        let mut press = self.clone();
        match &mut press.drive {
            Drive { air: Some(air), .. } => air.air *= share,
            Drive { lever: Some(lever), .. } => lever.hand *= share,
            Drive { jack: Some(jack), .. } => {
                jack.force = jack.force.map(|force| force * share);
                jack.hand = jack.hand.map(|hand| hand * share);
            }
            Drive { ram_force, .. } => *ram_force = ram_force.map(|force| force * share),
        }
        press
    }
}

/// The setting of the press file times `share`.
fn setting(drive: &Drive, share: f64) -> Setting {
    match drive {
        Drive { air: Some(air), .. } => {
            Setting::Air { pressure: air.air * share, gauge: air.gauge }
        }
        Drive { lever: Some(lever), .. } => Setting::Lever(lever.hand * share),
        Drive { jack: Some(jack), .. } => match (jack.force, jack.hand) {
            (Some(force), _) => Setting::Jack(force * share),
            (None, hand) => Setting::Handle(hand.unwrap_or_default() * share),
        },
        Drive { ram_force, .. } => Setting::Ram(ram_force.unwrap_or_default() * share),
    }
}

impl Setting {
    /// As "5.1 bar at the regulator", to three digits.
    pub fn in_words(&self) -> String {
        match *self {
            Self::Air { pressure, gauge } => {
                let written = match gauge {
                    Gauge::Bar => {
                        format!("{} bar", three_digits(units::in_bar(pressure)))
                    }
                    Gauge::Psi => {
                        format!("{} psi", three_digits(units::in_psi(pressure)))
                    }
                };
                format!("{written} at the regulator")
            }
            Self::Lever(hand) => format!("{} at the lever", newtons(hand)),
            Self::Handle(hand) => format!("{} at the handle", newtons(hand)),
            Self::Jack(force) => format!("{} from the jack", newtons(force)),
            Self::Ram(force) => format!("{} on the ram", newtons(force)),
        }
    }
}

/// "210 N", "3.4 kN".
fn newtons(force: Force) -> String {
    if force.si() >= 1000.0 {
        format!("{} kN", three_digits(in_kn(force)))
    } else {
        format!("{} N", three_digits(force.si()))
    }
}

/// The unit of `air` in `[drive.air]` of a press file; bar where it is another metric one.
pub(crate) fn gauge(text: &str) -> Gauge {
    let table = text.parse::<toml::Table>().ok();
    let air = table.as_ref().and_then(|table| {
        table.get("drive")?.get("air")?.get("air")?.as_str().map(str::to_lowercase)
    });
    if air.is_some_and(|air| air.ends_with("psi")) { Gauge::Psi } else { Gauge::Bar }
}

#[cfg(test)]
mod tests {
    use crate::process::press::Press;
    use crate::units::{Pressure, from_mpa};

    const RAM: &str = "[ram]\ndiameter = '20 mm'\nstroke = '100 mm'\nloss = '20 %'";

    fn words(drive: &str, pressure: Pressure) -> String {
        let text = format!("name = 'p'\n[drive]\n{drive}\n{RAM}");
        Press::parse(&text).unwrap().setting_for(pressure).unwrap().in_words()
    }

    /// By hand: a ram of 20 mm is 314.16 mm²; 8 MPa in the melt after 20 % of loss take
    /// 10 MPa, 3141.6 N. One cylinder of 80 mm, 5026.5 mm², pushes that with 0.625 MPa:
    /// 6.25 bar, 90.6 psi. A lever of 10 : 1 takes 314 N.
    #[test]
    fn each_drive_is_set_in_its_own_unit() {
        let melt = from_mpa(8.0);
        let air = |written: &str| {
            format!("air = {{ cylinders = 1, bore = '80 mm', air = '{written}' }}")
        };
        assert_eq!(words(&air("7 bar"), melt), "6.25 bar at the regulator");
        assert_eq!(words(&air("0.7 MPa"), melt), "6.25 bar at the regulator");
        assert_eq!(words(&air("100 psi"), melt), "90.6 psi at the regulator");
        let lever = "lever = { hand = '400 N', long_arm = '1 m', short_arm = '10 cm' }";
        assert_eq!(words(lever, melt), "314 N at the lever");
        assert_eq!(words("jack = { force = '20 kN' }", melt), "3.14 kN from the jack");
        let screw = "jack = { hand = '100 N', ratio = 100 }";
        assert_eq!(words(screw, melt), "31.4 N at the handle");
        assert_eq!(words("ram_force = '5 kN'", melt), "3.14 kN on the ram");
    }

    /// What the whole press has is its own setting again.
    #[test]
    fn all_that_the_press_has_is_what_its_file_says() {
        let press = Press::builtin().unwrap();
        let all = press.setting_for(press.melt_pressure()).unwrap();
        assert_eq!(all.in_words(), "7 bar at the regulator");
    }

    /// A setting that is read is the pressure it was written for, whatever drives the ram.
    #[test]
    fn a_setting_is_read_back_as_its_pressure() {
        for (drive, text) in [
            ("air = { cylinders = 1, bore = '80 mm', air = '7 bar' }", "6.25 bar"),
            (
                "lever = { hand = '200 N', long_arm = '1 m', short_arm = '50 mm' }",
                "157.08 N",
            ),
            ("jack = { force = '20 kN' }", "3.14159 kN"),
            ("ram_force = '6 kN'", "3.14159 kN"),
        ] {
            let file = format!("name = 'p'\n[drive]\n{drive}\n{RAM}");
            let press = Press::parse(&file).unwrap();
            let set = press.pressure_when_set(text).unwrap();
            assert!((set.value / 8e6 - 1.0).abs() < 1e-4, "{drive}: {set:?}");
            let turned = press.turned_to(set).melt_pressure();
            assert!((turned.value / set.value - 1.0).abs() < 1e-9, "{drive}");
            for bad in ["90 C", "0 N", "0 bar", "900 bar", "9 MN", "4"] {
                assert!(press.pressure_when_set(bad).is_err(), "{drive}: {bad}");
            }
        }
    }
}
