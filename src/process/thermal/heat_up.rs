//! How warm the mold gets over a shift, and what that does to cooling.
//!
//! The mold is one block of aluminum of one temperature (its conductivity is so high that it
//! differs by a few kelvin inside): each shot brings heat at once, and between shots air
//! takes it away, C dT/dt = −h A (T − A) in air of temperature A. Blind to: heat that flows into press and bench
//! (give it as extra loss), and a fan or a wet rag between shots.

use crate::process::clamping::mold_plates::Plates;
use crate::process::plastic::{Family, Plastic, Unknown};
use crate::units::{Mass, Quantity, Temperature, Time, in_celsius};

/// Loss to still air, radiation included: 8 W/(m² K), within the 5 to 10 of common practice.
pub const AIR_W_M2_K: f64 = 8.0;

/// The mold as a block that stores and loses heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// Heat that warms it by one kelvin, J/K.
    pub stores_j_k: f64,
    /// Heat it loses for each kelvin above the air, W/K.
    pub loses_w_k: f64,
    /// Of the air.
    pub air: Temperature,
    /// Of the block before the first shot.
    pub start: Temperature,
}

impl Block {
    /// The block of these plates in air, with `extra_w_k` flowing into press and bench.
    pub fn new(plates: &Plates, air: Temperature, extra_w_k: f64) -> Self {
        let metal = plates.alloy.metal();
        Self {
            stores_j_k: plates.mass().si() * metal.heat_capacity_j_kg_k,
            loses_w_k: plates.outside().si() * AIR_W_M2_K + extra_w_k.max(0.0),
            air,
            start: plates.start,
        }
    }

    /// Time in which its excess over the air falls to 1/e.
    pub fn time_constant(&self) -> Time {
        Time::from_si(self.stores_j_k / self.loses_w_k)
    }

    /// Its temperature after a shot of this heat, when the next one is due.
    pub fn next(&self, now: Temperature, heat_j: f64, cycle: Time) -> Temperature {
        let excess = now.si() - self.air.si() + heat_j / self.stores_j_k;
        Temperature::from_si(self.air.si() + excess * self.keeps(cycle))
    }

    fn keeps(&self, cycle: Time) -> f64 {
        (-cycle.si() / self.time_constant().si()).exp()
    }
}

/// Specific heat of a melt on its way to ejection, J/(kg K), and its heat of crystallization,
/// J/kg: 2100 and none for amorphous plastics, 2500 and 120 kJ/kg for semicrystalline ones
/// (from memory: melts 1.8 to 2.4 and 2.2 to 3.0 kJ/(kg K); PP 100, HDPE 190, POM 150, PA
/// 70 kJ/kg). An unknown family counts as semicrystalline, which warms more.
pub fn heat_of(family: Option<Family>) -> (f64, f64) {
    match family {
        Some(Family::Amorphous) => (2100.0, 0.0),
        _ => (2500.0, 120e3),
    }
}

/// Heat that a shot leaves in the mold, J: from melt down to the mean of a plate whose middle
/// has reached the ejection temperature, mold + (ejection − mold) · 2/π.
///
/// # Errors
///
/// [`Unknown`] when the plastic lacks a temperature.
pub fn heat_per_shot(
    plastic: &Plastic,
    shot: Mass,
    mold: Temperature,
) -> Result<f64, Unknown> {
    let melt = plastic.need(&plastic.melt_temperature, "melt temperature")?.typical();
    let target = plastic.need(&plastic.ejection_temperature, "ejection temperature")?;
    let mean =
        mold.si() + (target.si() - mold.si()).max(0.0) * std::f64::consts::FRAC_2_PI;
    let (capacity, latent) = heat_of(plastic.family);
    Ok(shot.si() * (capacity * (melt.si() - mean).max(0.0) + latent))
}

/// One shot of a shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warm {
    /// Of the mold as the melt comes in.
    pub mold: Temperature,
    /// Until the next shot.
    pub cycle: Time,
}

/// A shift of shots.
#[derive(Clone, Debug, PartialEq)]
pub struct Shift {
    /// Shot by shot.
    pub shots: Vec<Warm>,
    /// Mold temperature after the last.
    pub end: Temperature,
    /// Shot from which the part no longer gets stiff: from then on the mold has to wait.
    pub too_warm_from: Option<usize>,
    /// Where the mold has settled: it changes by less than [`SETTLED_K`] a shot.
    pub steady: Option<Temperature>,
}

impl Shift {
    /// How many shots meet a mold that is colder than `at`, the first of them at its start
    /// temperature; `None` where it never gets so warm.
    pub fn shots_below(&self, at: Temperature) -> Option<usize> {
        self.shots.iter().position(|shot| shot.mold >= at)
    }
}

/// A mold that warms by less than this from shot to shot has settled, K.
pub const SETTLED_K: f64 = 0.05;

/// A shift of `count` shots; `heat_j` and `cycle` say, for a mold temperature, what a shot
/// brings and how long it takes (nothing when the part never gets stiff). So cooling
/// follows the mold as it warms.
pub fn shift(
    block: &Block,
    count: usize,
    heat_j: &dyn Fn(Temperature) -> f64,
    cycle: &dyn Fn(Temperature) -> Option<Time>,
) -> Shift {
    let mut mold = block.start;
    let mut shots = Vec::new();
    let (mut too_warm_from, mut steady) = (None, None);
    for shot in 0..count {
        let Some(time) = cycle(mold) else {
            too_warm_from = Some(shot);
            break;
        };
        shots.push(Warm { mold, cycle: time });
        let next = block.next(mold, heat_j(mold), time);
        steady = ((next.si() - mold.si()).abs() < SETTLED_K).then_some(next);
        mold = next;
    }
    Shift { shots, end: mold, too_warm_from, steady }
}

/// "settles at 61 °C", "…" for the report of a shift.
pub fn in_words(shift: &Shift) -> String {
    match (shift.too_warm_from, shift.steady) {
        (Some(shot), _) => {
            format!("too warm from shot {} on: let the mold cool between shots", shot + 1)
        }
        (None, Some(at)) => format!("settles at {:.0} °C", in_celsius(at)),
        (None, None) => format!(
            "{:.0} °C after {} shots, still changing",
            in_celsius(shift.end),
            shift.shots.len()
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::{Block, heat_per_shot, in_words, shift};
    use crate::process::clamping::mold_plates::Mold;
    use crate::process::plastic::library::Plastics;
    use crate::process::thermal::cooling::{Conditions, Section, time, to_ejection};
    use crate::units::{
        Length, Quantity, Temperature, Time, from_celsius, in_celsius, read,
    };

    fn near(seen: f64, printed: f64, share: f64) {
        assert!((seen / printed - 1.0).abs() <= share, "{seen} is not {printed}");
    }

    fn block(extra_w_k: f64) -> Block {
        let edges = [Length::from_si(0.05), Length::from_si(0.03)];
        let plates = Mold::default().plates(edges, Some(Length::from_si(0.008)));
        Block::new(&plates, from_celsius(23.0), extra_w_k)
    }

    /// Incropera, Fundamentals of Heat and Mass Transfer, Ex. 5.1 (from memory): a bead of
    /// 8500 kg/m³, 400 J/(kg K) at 400 W/(m² K) has a time constant of 1 s at 0.706 mm, and
    /// comes from 25 to 199 °C in air of 200 °C in 5.2 s.
    #[test]
    fn a_thermocouple_of_a_textbook() {
        let d = 7.06e-4_f64;
        let pi = std::f64::consts::PI;
        let stores_j_k = 8500.0 * 400.0 * pi * d.powi(3) / 6.0;
        let loses_w_k = 400.0 * pi * d * d;
        let bead = Block {
            stores_j_k,
            loses_w_k,
            air: from_celsius(200.0),
            start: from_celsius(25.0),
        };
        near(bead.time_constant().si(), 1.0, 1e-3);
        near(
            in_celsius(bead.next(from_celsius(25.0), 0.0, Time::from_si(5.2))),
            199.0,
            2e-4,
        );
    }

    /// The closed form of the approach, with k = exp(−t/τ): T = A + (T₀ − A) kⁿ +
    /// (Q/C) k (1 − kⁿ) / (1 − k), and at the end a balance that no model can change:
    /// what comes in with a shot is what the air takes until the next.
    #[test]
    fn shot_by_shot_is_the_closed_form_and_balances() {
        let block = block(0.3);
        let (heat, cycle) = (6000.0, Time::from_si(150.0));
        let k = (-cycle.si() * block.loses_w_k / block.stores_j_k).exp();
        let gain = heat / block.stores_j_k * k / (1.0 - k);
        let after = |shots: f64| {
            let start = (block.start.si() - block.air.si()) * k.powf(shots);
            block.air.si() + start + gain * (1.0 - k.powf(shots))
        };
        let seen = shift(&block, 40, &|_| heat, &|_| Some(cycle));
        for (shot, warm) in seen.shots.iter().enumerate() {
            near(warm.mold.si(), after(f64::from(u32::try_from(shot).unwrap())), 1e-12);
        }
        near(seen.end.si(), after(40.0), 1e-12);
        let steady = after(f64::INFINITY);
        // Lost in one cycle: the integral of h A (T − T_air) over it, summed in small steps.
        let steps = 100_000;
        let peak = steady - block.air.si() + heat / block.stores_j_k;
        let dt = 150.0 / f64::from(steps);
        let lost: f64 = (0..steps)
            .map(|i| {
                let t = (f64::from(i) + 0.5) * dt;
                peak * (-t / block.time_constant().si()).exp() * block.loses_w_k * dt
            })
            .sum();
        near(lost, heat, 1e-9);
    }

    /// By hand, 10 g of PP from 230 °C with a mold of 40 °C: mean 40 + 50 · 0.6366 = 71.8 °C,
    /// 0.01 · (2500 · 158.2 + 120 000) = 5154 J; ABS, without crystals, 0.01 · 2100 · 164.6.
    #[test]
    fn heat_of_one_shot_by_hand() {
        let plastics = Plastics::builtin().unwrap();
        let heat = |name: &str, mold: f64| {
            let shot = read("10 g").unwrap();
            heat_per_shot(plastics.find(name).unwrap(), shot, from_celsius(mold)).unwrap()
        };
        near(heat("pp", 40.0), 5154.0, 1e-3);
        near(
            heat("abs", 50.0),
            21.0 * (235.0 - 50.0 - 32.0 * std::f64::consts::FRAC_2_PI),
            1e-4,
        );
    }

    /// Workshop: in a mold grown from 40 to 70 °C, 3 mm of PP cool in 23 s instead of 15 s.
    #[test]
    fn cooling_follows_the_mold() {
        let plastics = Plastics::builtin().unwrap();
        let pp = plastics.find("pp").unwrap();
        let to = to_ejection(pp).unwrap();
        let cool = |mold: Temperature| {
            let to = Conditions { mold, ..to };
            time(Section::Plate, Length::from_si(3e-3), &to)
        };
        near(
            cool(from_celsius(70.0)).unwrap().si()
                / cool(from_celsius(40.0)).unwrap().si(),
            23.0 / 15.0,
            0.05,
        );
        let heat = |mold| heat_per_shot(pp, read("10 g").unwrap(), mold).unwrap();
        let hands = |mold| cool(mold).map(|cool| cool + Time::from_si(105.0));
        let calm = shift(&block(1.0), 60, &heat, &hands);
        assert!(calm.too_warm_from.is_none() && calm.steady.is_some());
        let words = in_words(&calm);
        assert!(words.starts_with("settles at"), "{words}");
        // The first shot meets the mold as it stands there, the second a warmer one.
        assert_eq!(calm.shots[0].mold, block(1.0).start);
        assert_eq!(calm.shots_below(calm.shots[0].mold), Some(0));
        assert_eq!(calm.shots_below(calm.shots[3].mold), Some(3));
        assert_eq!(calm.shots_below(from_celsius(300.0)), None);
        assert!(calm.shots.windows(2).all(|pair| pair[0].cycle <= pair[1].cycle));
        let rushed = |mold| cool(mold).map(|cool| cool + Time::from_si(20.0));
        let hot = shift(&block(0.0), 200, &heat, &rushed);
        assert!(hot.too_warm_from.is_some(), "{}", in_words(&hot));
    }
}
