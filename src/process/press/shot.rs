//! Does it fit one shot: grams of the part and its feed against what the barrel gives.
//!
//! The part's mass is its volume times the **solid** density; the barrel has to give the
//! same mass at the lighter **melt** density, and is filled with granules, which are
//! bulkier still, so that one shot may take several fillings.

use super::drive::circle;
use crate::process::plastic::{Plastic, Unknown};
use crate::process::press::Press;
use crate::units::{Mass, Quantity, Ratio, Volume};

/// Share of the part's volume that the feed (sprue, runner, gate) is taken to have while it
/// is not drawn: 15 %. An assumption from memory: small single-cavity molds come to 10 to
/// 30 %, long sprues to more.
pub const FEED_SHARE: f64 = 0.15;
/// Share of the barrel up to which shots repeat well: 0.65 (20 to 65 % advised, Plastics
/// Technology, Calculate shot size vs. barrel capacity; for screw presses).
pub const ADVISED: f64 = 0.65;
/// Share of the barrel from which trouble is reported: 0.87 (a community workshop's manual
/// press, more than 130 of 150 g).
pub const TROUBLE: f64 = 0.87;

/// One shot against the barrel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shot {
    /// Mass of the part.
    pub part: Mass,
    /// Mass of sprue, runner and gate, and of the melt in the nozzle.
    pub feed: Mass,
    /// Both.
    pub total: Mass,
    /// Volume of melt the barrel has to give.
    pub melt_volume: Volume,
    /// Mass that one stroke gives of this plastic.
    pub capacity: Mass,
    /// Total over capacity.
    pub fraction: Ratio,
    /// Barrel fillings of granules for one shot.
    pub charges: u32,
}

/// How full a shot drives the barrel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BarrelUse {
    /// Up to [`ADVISED`].
    Fine,
    /// Up to [`TROUBLE`].
    High,
    /// Up to all of it.
    Trouble,
    /// More than it holds.
    Impossible,
}

impl Shot {
    /// How full this shot drives the barrel.
    pub fn barrel_use(&self) -> BarrelUse {
        match self.fraction.si() {
            share if share <= ADVISED => BarrelUse::Fine,
            share if share <= TROUBLE => BarrelUse::High,
            share if share <= 1.0 => BarrelUse::Trouble,
            _ => BarrelUse::Impossible,
        }
    }
}

/// The shot for a part and a feed of these volumes, plus the melt in the nozzle.
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks a density.
pub fn with_feed(
    part_volume: Volume,
    feed_volume: Volume,
    plastic: &Plastic,
    press: &Press,
) -> Result<Shot, Unknown> {
    let solid = *plastic.need(&plastic.solid_density, "solid density")?;
    let melt = *plastic.need(&plastic.melt_density, "melt density")?;
    let nozzle = press.nozzle.as_ref();
    let nozzle = nozzle.map_or(Volume::default(), |n| circle(n.orifice) * n.land);
    let part = part_volume * solid;
    let feed = (feed_volume + nozzle) * solid;
    let total = part + feed;
    let capacity = press.capacity(melt);
    Ok(Shot {
        part,
        feed,
        total,
        melt_volume: total / melt,
        capacity,
        fraction: total / capacity,
        charges: charges(total / press.granule_charge(solid)),
    })
}

/// Whole barrel fillings for a number of fillings, one at least; a hair above a whole number
/// is that number.
pub fn charges(fillings: Ratio) -> u32 {
    let whole = (fillings.si() - 1e-9).ceil().max(1.0);
    // Counted up rather than cast, and no press is filled a thousand times for a shot.
    (1..1000).find(|&count| f64::from(count) >= whole).unwrap_or(1000)
}

#[cfg(test)]
mod tests {
    use super::{BarrelUse, with_feed};
    use crate::process::plastic::library::Plastics;
    use crate::process::press::Press;
    use crate::units::{Quantity, Volume, in_cm3, in_grams, read};

    fn example_shot(volume: &str, plastic: &str, feed: f64) -> super::Shot {
        let plastics = Plastics::builtin().unwrap();
        let press = "name = 'p'\ndrive = { ram_force = '5 kN' }\n[ram]\ndiameter = '24 mm'\n\
                     stroke = '100 mm'";
        let press = Press::parse(press).unwrap();
        let plastic = plastics.find(plastic).unwrap();
        let volume: Volume = read(volume).unwrap();
        with_feed(volume, volume * feed, plastic, &press).unwrap()
    }

    fn near(seen: f64, printed: f64, slack: f64) {
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    /// Plastics Technology, Calculate shot size vs. barrel capacity: 164 g of PP at
    /// 0.90 g/cm³ are 182.2 cm³.
    #[test]
    fn grams_and_volume_of_a_trade_column() {
        let pp =
            "[plastic.pp]\nsolid_density = '0.90 g/cm3'\nmelt_density = '0.89999 g/cm3'";
        let plastics = Plastics::builtin().unwrap().with_user_file(pp).unwrap();
        let press = Press::builtin().unwrap();
        let volume: Volume = read("182.22 cm3").unwrap();
        let pp = plastics.find("pp").unwrap();
        let shot = with_feed(volume, Volume::default(), pp, &press).unwrap();
        near(in_grams(shot.part), 164.0, 0.01);
    }

    /// Hand arithmetic: a melt of PP takes 905/738 of the part's volume, about 22 % more.
    #[test]
    fn melt_takes_more_room_than_the_part() {
        let shot = example_shot("10 cm3", "pp", 0.0);
        near(in_cm3(shot.melt_volume) / 10.0, 1.226, 1e-3);
        near(in_grams(shot.part), 9.05, 1e-9);
        near(in_grams(shot.capacity), 45.239 * 0.738, 1e-3);
        assert_eq!(shot.feed.si().to_bits(), 0.0_f64.to_bits());
    }

    #[test]
    fn feed_and_limits() {
        let fine = example_shot("10 cm3", "ps", 0.15);
        near(in_grams(fine.feed) / in_grams(fine.part), 0.15, 1e-12);
        near(in_grams(fine.total), 12.075, 1e-9);
        assert_eq!(fine.barrel_use(), BarrelUse::Fine);
        for (volume, verdict) in [
            ("26 cm3", BarrelUse::Fine),
            ("28 cm3", BarrelUse::High),
            ("38 cm3", BarrelUse::Trouble),
            ("42 cm3", BarrelUse::Impossible),
        ] {
            assert_eq!(example_shot(volume, "ps", 0.0).barrel_use(), verdict, "{volume}");
        }
    }

    /// 45.2 cm³ of barrel hold 27.1 cm³ of plastic as granules.
    #[test]
    fn granules_take_several_fillings() {
        assert_eq!(example_shot("27 cm3", "ps", 0.0).charges, 1);
        assert_eq!(example_shot("28 cm3", "ps", 0.0).charges, 2);
        assert_eq!(example_shot("1 mm3", "ps", 0.0).charges, 1);
        assert_eq!(example_shot("9 m3", "ps", 0.0).charges, 1000);
    }

    #[test]
    fn a_plastic_without_density_says_so() {
        let plastics =
            Plastics::builtin().unwrap().with_user_file("[plastic.x]").unwrap();
        let press = Press::builtin().unwrap();
        let x = plastics.find("x").unwrap();
        let volume = read("1 cm3").unwrap();
        let error = with_feed(volume, Volume::default(), x, &press).unwrap_err();
        assert!(
            error.to_string().contains("solid density of x is not known (not given)")
        );
    }
}
