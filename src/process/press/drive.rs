//! What pushes the ram, and with how much force at each place of its stroke.
//!
//! Cylinders push the same all the way while the air holds its pressure, a jack too. A
//! lever that swings does not: the hand moves square to the lever, the ram runs straight,
//! and the moment of the ram about the pivot grows with the cosine of the lever's angle.
//! It is least strong where the short arm stands square to the ram, so the **least over the
//! stroke** is what every other answer is built on.

use serde::Deserialize;

use crate::units::{self, Angle, Area, Force, Length, Pressure, Quantity, Ratio};

/// What pushes the ram: exactly one of these.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drive {
    /// Air (or oil) cylinders.
    pub air: Option<Cylinders>,
    /// A lever by hand.
    pub lever: Option<Lever>,
    /// A screw or a hydraulic jack.
    pub jack: Option<Jack>,
    /// The ram force itself, measured or from the maker.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub ram_force: Option<Force>,
}

/// Cylinders side by side.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cylinders {
    /// How many.
    pub cylinders: u32,
    /// Bore of each.
    #[serde(deserialize_with = "units::given")]
    pub bore: Length,
    /// Piston rod of each; it counts only when the cylinders pull.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub rod: Option<Length>,
    /// Which side presses the ram down.
    #[serde(default)]
    pub acts: Acts,
    /// Gauge pressure at the cylinders while the ram moves.
    #[serde(deserialize_with = "units::given")]
    pub air: Pressure,
    /// What seals and hoses leave of the force; all of it if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub efficiency: Option<Ratio>,
    /// The unit in which the file writes `air`.
    #[serde(skip)]
    pub gauge: Gauge,
}

/// The unit in which a press file writes its air.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Gauge {
    /// Bar, or any other metric unit.
    #[default]
    Bar,
    /// Pounds on the square inch.
    Psi,
}

/// The side of a cylinder that does the work.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Acts {
    /// The full bore.
    #[default]
    Push,
    /// The bore less the rod.
    Pull,
}

/// A hand lever.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lever {
    /// What the hand gives, square to the lever.
    #[serde(deserialize_with = "units::given")]
    pub hand: Force,
    /// From the pivot to the hand.
    #[serde(deserialize_with = "units::given")]
    pub long_arm: Length,
    /// From the pivot to the ram; of a rack the radius of its pinion.
    #[serde(deserialize_with = "units::given")]
    pub short_arm: Length,
    /// Angle of the short arm above the square to the ram when the stroke begins. Without
    /// it the ratio of the arms holds all the way, which is true of a rack and pinion and
    /// the least of a lever that swings.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub start_angle: Option<Angle>,
}

/// A screw or a hydraulic jack: its rated force, or the hand's force and what it is
/// multiplied by.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Jack {
    /// The force it is rated for.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub force: Option<Force>,
    /// What the hand gives.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub hand: Option<Force>,
    /// Way of the hand over way of the ram.
    pub ratio: Option<f64>,
    /// What friction leaves of it; all of it if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub efficiency: Option<Ratio>,
}

/// Area of a circle.
pub(crate) fn circle(diameter: Length) -> Area {
    std::f64::consts::FRAC_PI_4 * diameter * diameter
}

impl Drive {
    /// Force on the ram after `travel` of the stroke.
    pub fn force_at(&self, travel: Length) -> Force {
        let air = self.air.as_ref().map(Cylinders::force);
        let lever = self.lever.as_ref().map(|lever| lever.force_at(travel));
        let jack = self.jack.as_ref().map(Jack::force);
        air.or(lever).or(jack).or(self.ram_force).unwrap_or_default()
    }

    /// The least force over a stroke: what surely is there.
    pub fn least_force(&self, stroke: Length) -> Force {
        match &self.lever {
            Some(lever) => lever.least_force(stroke),
            None => self.force_at(Length::default()),
        }
    }
}

impl Cylinders {
    /// Air pressure on the working area of all cylinders, times the efficiency.
    pub fn force(&self) -> Force {
        let rod = match self.acts {
            Acts::Push => Area::default(),
            Acts::Pull => circle(self.rod.unwrap_or_default()),
        };
        let efficiency = self.efficiency.map_or(1.0, Quantity::si);
        self.air * (circle(self.bore) - rod) * f64::from(self.cylinders) * efficiency
    }
}

impl Lever {
    /// Hand force times long arm over the lever arm of the ram, short arm × cos θ.
    fn force_at(&self, travel: Length) -> Force {
        self.square_force() / self.sine_at(travel).map_or(1.0, cosine)
    }

    /// Where the short arm passes the square to the ram the force is least, else at the end
    /// of the stroke that is nearer to it.
    fn least_force(&self, stroke: Length) -> Force {
        let ends = [Length::default(), stroke];
        match ends.map(|travel| self.sine_at(travel)) {
            [Some(start), Some(end)] if start * end > 0.0 => {
                self.square_force() / cosine(start).max(cosine(end))
            }
            _ => self.square_force(),
        }
    }

    fn square_force(&self) -> Force {
        self.hand * (self.long_arm / self.short_arm)
    }

    /// Sine of the short arm's angle above the square: the ram has moved by the fall of the
    /// arm's end. `None` when the angle is not given.
    pub(crate) fn sine_at(&self, travel: Length) -> Option<f64> {
        let start = self.start_angle?.si().sin();
        Some(start - travel.si() / self.short_arm.si())
    }
}

fn cosine(sine: f64) -> f64 {
    (1.0 - sine * sine).max(0.0).sqrt()
}

impl Jack {
    fn force(&self) -> Force {
        let by_hand = self.hand.zip(self.ratio).map(|(hand, ratio)| hand * ratio);
        let efficiency = self.efficiency.map_or(1.0, Quantity::si);
        self.force.or(by_hand).unwrap_or_default() * efficiency
    }
}

#[cfg(test)]
mod tests {
    use super::{Drive, Lever};
    use crate::units::{Length, Quantity, from_toml, read};

    fn drive(text: &str) -> Drive {
        from_toml(text).unwrap()
    }

    fn near(seen: f64, wanted: f64, slack: f64) {
        assert!((seen - wanted).abs() <= slack, "{seen} is not {wanted}");
    }

    /// Hand arithmetic: 300 N at 900 mm about 90 mm are 3 kN where the arm is square to the
    /// ram; at 30° cos θ is 0.866, so 3464 N. Over 90 mm of stroke the arm goes from 30° up to
    /// 30° down and is square in the middle.
    #[test]
    fn a_lever_that_swings_is_weakest_in_the_middle() {
        let text = "[lever]\nhand = '300 N'\nlong_arm = '900 mm'\nshort_arm = '90 mm'\n\
                    start_angle = '30 deg'";
        let drive = drive(text);
        let stroke: Length = read("90 mm").unwrap();
        let [start, middle, end] =
            [0.0, 0.5, 1.0].map(|share| drive.force_at(stroke * share).si());
        near(start, 3464.1, 0.05);
        near(middle, 3000.0, 1e-9);
        near(end, 3464.1, 0.05);
        near(drive.least_force(stroke).si(), 3000.0, 1e-9);
        // Of a short stroke only the strong part is used: to sin θ = 1/2 − 1/9.
        let short: Length = read("10 mm").unwrap();
        let sine: f64 = 0.5 - 1.0 / 9.0;
        near(drive.least_force(short).si(), 3000.0 / (1.0 - sine * sine).sqrt(), 1e-9);
    }

    /// What goes in comes out: hand force times hand way is ram force times ram way, summed
    /// over the stroke.
    #[test]
    fn a_lever_keeps_the_work() {
        let text = "[lever]\nhand = '300 N'\nlong_arm = '900 mm'\nshort_arm = '90 mm'\n\
                    start_angle = '50 deg'";
        let drive = drive(text);
        let stroke = 0.120;
        let steps = 20_000;
        let step = stroke / f64::from(steps);
        let work: f64 = (0..steps)
            .map(|i| Length::from_si(step * (f64::from(i) + 0.5)))
            .map(|travel| drive.force_at(travel).si() * step)
            .sum();
        let lever: &Lever = drive.lever.as_ref().unwrap();
        let end = lever.sine_at(Length::from_si(stroke)).unwrap().asin();
        let swing = 50.0_f64.to_radians() - end;
        near(work, 300.0 * 0.9 * swing, 1e-4);
    }

    #[test]
    fn a_rack_pushes_alike_all_the_way() {
        let text = "[lever]\nhand = '110 N'\nlong_arm = '1 m'\nshort_arm = '10 cm'";
        let drive = drive(text);
        for travel in ["0 mm", "50 mm", "200 mm"] {
            near(drive.force_at(read(travel).unwrap()).si(), 1100.0, 1e-9);
        }
    }

    /// Hand arithmetic: a screw of 5 mm lead turned at 250 mm has 2 π 250/5 = 314.2; a
    /// third of that is left, so 100 N give 10.5 kN. A jack of 2 t by its rating.
    #[test]
    fn jacks_by_hand_and_by_rating() {
        let screw = "[jack]\nhand = '100 N'\nratio = 314.16\nefficiency = '33.3 %'";
        near(drive(screw).force_at(Length::default()).si(), 10_461.5, 0.1);
        let rated = drive("[jack]\nforce = '2000 kgf'");
        near(rated.least_force(read("10 cm").unwrap()).si(), 19_613.3, 1e-6);
    }
}
