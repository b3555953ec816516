//! A small press: what drives the ram, what the melt feels of it, what holds the mold.
//!
//! **Melt pressure** is ram force over ram area, less the losses that the press file
//! states (granule bed, friction). It is what the barrel offers, not what the last corner
//! of the cavity gets. Plunger presses lose much in the granule bed, commonly quoted as
//! 30 to 80 % (common practice, no citable source): state it, and correct it by a shot.

pub mod shelf;
pub mod drive;
pub mod setting;
pub mod file_error;
pub mod clamp;
mod drive_file;
mod remarks;
pub mod file;
pub mod shot;
pub mod upgrades;
pub mod more_pressure;

use serde::Deserialize;

use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::mold_plates::Mold;
pub use crate::process::press::clamp::Clamp;
use crate::process::press::drive::Drive;
pub(crate) use crate::process::press::drive::circle;
use crate::units::{
    self, Energy, Force, Length, Mass, MassDensity, Pressure, Quantity, Ratio,
    SpringRate, Velocity, Volume, VolumeRate,
};

/// A press as its file describes it; made by [`Press::parse`], which checks it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Press {
    /// What the workshop calls it.
    pub name: String,
    /// What pushes the ram.
    pub drive: Drive,
    /// The ram and its barrel.
    pub ram: Ram,
    /// The nozzle, when known.
    pub nozzle: Option<Nozzle>,
    /// What holds the mold closed, when known.
    pub clamp: Option<Clamp>,
    /// The plates of the mold, as far as they are known.
    pub mold: Option<Mold>,
    /// How values of the file were understood that can be read in two ways; written when it is
    /// read.
    #[serde(skip)]
    pub read_as: Vec<String>,
}

/// The ram and the barrel it runs in.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ram {
    /// Diameter.
    #[serde(deserialize_with = "units::given")]
    pub diameter: Length,
    /// Full stroke through the melt.
    #[serde(deserialize_with = "units::given")]
    pub stroke: Length,
    /// Melt left before the ram at the end of a shot; none if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub cushion: Option<Length>,
    /// Share of the pressure lost in granule bed and friction; none if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub loss: Option<Ratio>,
    /// Pressure lost on top of that; none if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub loss_pressure: Option<Pressure>,
    /// Solid plastic in a barrel full of granules, by volume; [`GRANULE_FILL`] if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub granule_fill: Option<Ratio>,
    /// Fastest the ram moves under load; no limit known if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub speed: Option<Velocity>,
    /// Length of barrel that the heaters keep at melt temperature; the stroke if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub heated_length: Option<Length>,
}

/// Share of a heap of granules that is plastic: 0.6, from memory (cylinders and lentils
/// of one size, poured, 0.55 to 0.65).
pub const GRANULE_FILL: f64 = 0.6;

/// The nozzle.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Nozzle {
    /// Diameter of the orifice.
    #[serde(deserialize_with = "units::given")]
    pub orifice: Length,
    /// Length of the orifice at this diameter.
    #[serde(deserialize_with = "units::given")]
    pub land: Length,
    /// Diameter within which melt presses on the seat.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub seat_diameter: Option<Length>,
    /// Force that holds nozzle and mold together; a spring's is worked out when it is read.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub contact_force: Option<Force>,
    /// The spring that holds them, instead of a force.
    pub spring: Option<Spring>,
    /// Diameter of the bore that leads to the orifice through a cone; flat if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub cone_diameter: Option<Length>,
    /// Length of that cone.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub cone_length: Option<Length>,
    /// Diameter of the tip that enters a counterbore of the mold; the seat and its wall if not
    /// given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub nose_diameter: Option<Length>,
    /// How far that tip reaches in; [`crate::process::feed::NOSE_REACH_MM`] if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub nose_length: Option<Length>,
}

/// A spring that presses the nozzle on.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spring {
    /// Force for each length it is pressed together; of several the sum.
    #[serde(deserialize_with = "units::given")]
    pub rate: SpringRate,
    /// How far it is pressed together while a shot is made.
    #[serde(deserialize_with = "units::given")]
    pub travel: Length,
}

/// What kind of press this is; walls that work depend on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PressClass {
    /// A hand lever.
    HandLever,
    /// A small ram: air, screw or jack.
    SmallRam,
    /// As strong as the presses that wall tables of the industry assume.
    Industrial,
}

/// Melt pressure from which a press counts as industrial: 60 MPa. Shrinkage plates of the
/// data sheets are packed at 50 to 60 MPa (ISO 294-4 sheets of Makrolon 2405 and a PBT),
/// and advised injection pressures start at 50 to 80 MPa (Margolis, Engineering Plastics
/// Handbook; trade pages); below, their wall tables do not hold.
pub const INDUSTRIAL_MPA: f64 = 60.0;

impl PressClass {
    /// The words for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::HandLever => "hand lever press",
            Self::SmallRam => "small ram press",
            Self::Industrial => "press of industrial pressure",
        }
    }
}

impl Press {
    /// Force on the ram: the least over its stroke.
    pub fn ram_force(&self) -> Force {
        self.drive.least_force(self.ram.stroke)
    }

    /// Force on the ram at the start, in the middle and at the end of its stroke.
    pub fn stroke_forces(&self) -> [Force; 3] {
        [0.0, 0.5, 1.0].map(|share| self.drive.force_at(self.ram.stroke * share))
    }

    /// Ram force over ram area, before any loss.
    pub fn ram_pressure(&self) -> Pressure {
        self.ram_force() / circle(self.ram.diameter)
    }

    /// Ram force over ram area, less the stated losses; never below nothing.
    pub fn melt_pressure(&self) -> Pressure {
        self.melt_pressure_of(self.ram_force())
    }

    /// Melt pressure that a force on the ram gives, less the stated losses; never below
    /// nothing.
    pub fn melt_pressure_of(&self, force: Force) -> Pressure {
        let kept = 1.0 - self.ram.loss.map_or(0.0, Quantity::si);
        let left = force / circle(self.ram.diameter) * kept
            - self.ram.loss_pressure.unwrap_or_default();
        left.max(Pressure::default())
    }

    /// Melt pressure of a barrel that is soaked through: no granule bed takes its share, so
    /// the stated `loss` does not count, and friction (`loss_pressure`) does. The most that
    /// the melt can feel.
    pub fn soaked_pressure(&self) -> Pressure {
        let left = self.ram_pressure() - self.ram.loss_pressure.unwrap_or_default();
        left.max(self.melt_pressure())
    }

    /// Force on the ram that gives a melt pressure: [`Press::melt_pressure_of`] turned
    /// round. `None` where the losses take all of it.
    pub fn force_for(&self, pressure: Pressure) -> Option<Force> {
        let kept = 1.0 - self.ram.loss.map_or(0.0, Quantity::si);
        let whole = pressure + self.ram.loss_pressure.unwrap_or_default();
        (kept > 0.0).then(|| whole * circle(self.ram.diameter) / kept)
    }

    /// The most melt that the ram can move; `None` when the file gives no speed.
    pub fn flow_limit(&self) -> Option<VolumeRate> {
        Some(circle(self.ram.diameter) * self.ram.speed?)
    }

    /// Mass of melt that lies in the heat at a melt density: ram area times heated length.
    pub fn inventory(&self, melt_density: MassDensity) -> Mass {
        let length = self.ram.heated_length.unwrap_or(self.ram.stroke);
        circle(self.ram.diameter) * length * melt_density
    }

    /// Volume of the barrel under the whole stroke.
    pub fn barrel_volume(&self) -> Volume {
        circle(self.ram.diameter) * self.ram.stroke
    }

    /// Volume of melt that one stroke gives, less the cushion.
    pub fn shot_volume(&self) -> Volume {
        circle(self.ram.diameter)
            * (self.ram.stroke - self.ram.cushion.unwrap_or_default())
    }

    /// Mass that one stroke gives of a melt of this density.
    pub fn capacity(&self, melt_density: MassDensity) -> Mass {
        self.shot_volume() * melt_density
    }

    /// Mass of plastic in one barrel filling of granules of this solid density.
    pub fn granule_charge(&self, solid_density: MassDensity) -> Mass {
        let fill = self.ram.granule_fill.map_or(GRANULE_FILL, Quantity::si);
        self.barrel_volume() * solid_density * fill
    }

    /// What kind of press this is.
    pub fn class(&self) -> PressClass {
        if units::in_mpa(self.melt_pressure()) >= INDUSTRIAL_MPA {
            PressClass::Industrial
        } else if self.drive.lever.is_some() {
            PressClass::HandLever
        } else {
            PressClass::SmallRam
        }
    }

    /// The bolts that close the mold, when bolts do.
    pub fn bolts(&self) -> Option<&Bolts> {
        self.clamp.as_ref()?.bolts.as_ref()
    }

    /// Force that holds nozzle and mold together, when known.
    pub fn contact_force(&self) -> Option<Force> {
        self.nozzle.as_ref()?.contact_force
    }

    /// Force that surely holds the mold closed; `None` when the file names no clamp.
    pub fn holding_force(&self) -> Option<Force> {
        let clamp = self.clamp.as_ref()?;
        let bolts = self.bolts().and_then(|bolts| bolts.low_preload().ok());
        bolts.or(clamp.vise).or(clamp.force)
    }

    /// Force with which the melt lifts the nozzle off its seat: melt pressure on the circle
    /// of the seat. The contact force must be larger, or melt leaks there.
    pub fn nozzle_lift(&self) -> Option<Force> {
        self.nozzle_lift_at(self.melt_pressure())
    }

    /// The same at another melt pressure.
    pub fn nozzle_lift_at(&self, pressure: Pressure) -> Option<Force> {
        let seat = self.nozzle.as_ref()?.seat_diameter?;
        Some(pressure * circle(seat))
    }

    /// Energy of the air in cylinders at full stroke: p V / (γ − 1) with the gauge pressure
    /// (Brode 1959, for a burst vessel), taking the ram's stroke for the cylinders'.
    pub fn stored_air_energy(&self) -> Option<Energy> {
        let air = self.drive.air.as_ref()?;
        let volume = circle(air.bore) * self.ram.stroke * f64::from(air.cylinders);
        Some(Energy::from_si(air.air.si() * volume.value / 0.4))
    }

    /// Energy of the nozzle spring during a shot: half of force times travel.
    pub fn stored_spring_energy(&self) -> Option<Energy> {
        let spring = self.nozzle.as_ref()?.spring?;
        Some(spring.rate * spring.travel * spring.travel / 2.0)
    }

    /// What to beware of at this press, shortest first. No advice replaces local rules and
    /// licensed practice, and nothing here says that a press complies with anything.
    pub fn cautions(&self) -> Vec<String> {
        let mut cautions = vec![
            "pinch points: keep hands away from ram, clamp and a falling mold half".to_owned(),
            "hot barrel: guard it; wear a face shield and heat gloves".to_owned(),
            "nozzle: release the pressure before touching it; a frozen slug flies like a shot, and \
             never put a hand under it"
                .to_owned(),
        ];
        if let Some(energy) = self.stored_air_energy() {
            let joules = energy.si();
            cautions.push(format!(
                "stored air: about {joules:.0} J at full stroke; fit regulator, relief and dump \
                 valve, and vent before opening anything"
            ));
        }
        if let Some(energy) = self.stored_spring_energy() {
            let joules = energy.si();
            cautions.push(format!(
                "nozzle spring: about {joules:.0} J when pressed together; hold it captive"
            ));
        }
        if self.drive.lever.is_some() {
            cautions.push("lever: it kicks back when the nozzle frees itself".to_owned());
        }
        cautions.push(
            "local codes and licensed practice come first; this is a check of arithmetic, not of \
             safety"
                .to_owned(),
        );
        cautions
    }
}
