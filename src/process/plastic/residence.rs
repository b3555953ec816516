//! How long the melt stays hot, and whether its plastic stands it.
//!
//! Mean time = melt in the heat ÷ melt of a shot × cycle. What lies against the barrel wall
//! stays longer, and whoever pauses adds the pause.

use crate::process::plastic::Plastic;
use crate::units::{Mass, Quantity, Temperature, Time};

/// Minutes to heat a barrel of a hand press, from cold; with the two below the timetable of
/// a community workshop's press with a barrel of 150 cm³.
pub const HEAT_UP_MIN: f64 = 20.0;
/// Minutes to let the heat soak in before the first charge.
pub const SOAK_MIN: f64 = 15.0;
/// Minutes at least that each charge of granules takes to melt.
pub const CHARGE_MIN: f64 = 10.0;

/// Mean time of the melt in the heat; `None` when no shot is taken.
pub fn time(inventory: Mass, shot: Mass, cycle: Time) -> Option<Time> {
    let shots = (inventory / shot).si();
    shots.is_finite().then(|| cycle * shots.max(0.0))
}

/// The longest this plastic may stay at a temperature: that of the next hotter step its
/// source gives, which is the safe side. `None` when no source gives one, or only for less
/// heat.
pub fn limit(plastic: &Plastic, at: Temperature) -> Option<Time> {
    // Temperatures read from a text are rounded in their last digit.
    const ROUNDING_K: f64 = 1e-6;
    let limits = plastic.residence_limit.value.as_deref()?;
    limits
        .iter()
        .find(|limit| limit.at.si() + ROUNDING_K >= at.si())
        .map(|limit| limit.time)
}

#[cfg(test)]
mod tests {
    use super::{limit, time};
    use crate::process::plastic::library::Plastics;
    use crate::units::{Quantity, read};

    /// A trade page's example: 200 g of barrel by polystyrene, 1.4 of it in the other melt,
    /// 100 g a shot, 15 s: 42 s.
    #[test]
    fn the_example_of_a_trade_page() {
        let seen =
            time(read("280 g").unwrap(), read("100 g").unwrap(), read("15 s").unwrap());
        assert!((seen.unwrap().si() - 42.0).abs() < 1e-9);
        assert_eq!(
            time(read("1 g").unwrap(), read("0 g").unwrap(), read("9 s").unwrap()),
            None
        );
    }

    /// Polyplastics, molding technology of POM: at most 60 min at 200 °C, 30 at 210, 10 at
    /// 230; between them the shorter time holds.
    #[test]
    fn acetal_by_its_maker() {
        let plastics = Plastics::builtin().unwrap();
        let pom = plastics.find("pom").unwrap();
        for (at, minutes) in [
            ("190 C", Some(60.0)),
            ("200 C", Some(60.0)),
            ("205 C", Some(30.0)),
            ("210 C", Some(30.0)),
            ("211 C", Some(10.0)),
            ("446 F", Some(10.0)),
            ("231 C", None),
        ] {
            let seen = limit(pom, read(at).unwrap()).map(|time| time.si() / 60.0);
            assert_eq!(seen.map(f64::round), minutes, "{at}");
        }
        let abs = plastics.find("abs").unwrap();
        assert_eq!(limit(abs, read("220 C").unwrap()), None);
        assert!(abs.residence_limit.reason().contains("temperature"));
    }
}
