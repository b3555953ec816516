//! A melt pressure as the press is set to it: bar or psi at the regulator, newtons at the
//! lever, the force of a jack.
//!
//! Every drive pushes in proportion to its setting, so the setting for a melt pressure is
//! the one of the press file times the force it takes over the force there is.

use super::drive::{Drive, Gauge};
use crate::process::press::Press;
use crate::units::format::three_digits;
use crate::units::{self, Force, Pressure, Quantity, in_kn};

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
}
