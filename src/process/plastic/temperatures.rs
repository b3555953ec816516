//! The temperatures that a user runs with, in place of the usual ones of a plastic.

use super::Plastic;
use crate::process::sourced::{Range, Sourced};
use crate::units::{Temperature, format::four_digits, in_celsius};

/// The hottest melt that is taken for meant, °C: high-temperature plastics end below it.
const HOTTEST_MELT: f64 = 450.0;
/// The coldest mold, °C: below it is no coolant of a workshop.
const COLDEST_MOLD: f64 = -30.0;

/// What the basis of a temperature says where the user gave it.
const GIVEN: &str = "as given for this run; the range is that of the plastic";

impl Plastic {
    /// This plastic with the melt and the mold at the temperatures given, where they are. Its
    /// ranges stay, so a temperature may lie outside its range: see
    /// [`Self::outside_its_range`].
    ///
    /// # Errors
    ///
    /// In one line, when the melt would not flow or the part would not get stiff.
    pub fn at_temperatures(
        mut self,
        melt: Option<Temperature>,
        mold: Option<Temperature>,
    ) -> Result<Self, String> {
        if let Some(melt) = melt {
            let no_flow =
                self.no_flow_temperature.value.or(self.ejection_temperature.value);
            if no_flow.is_some_and(|no_flow| melt <= no_flow) {
                let no_flow = no_flow.map_or(0.0, in_celsius);
                return Err(format!(
                    "a melt of {} does not flow: {} stops flowing below {} °C",
                    celsius(melt),
                    self.name,
                    four_digits(no_flow)
                ));
            }
            if in_celsius(melt) > HOTTEST_MELT {
                return Err(format!(
                    "no plastic is molded at {}: is the unit right?",
                    celsius(melt)
                ));
            }
            set(&mut self.melt_temperature, melt);
        }
        if let Some(mold) = mold {
            let ejection = self.ejection_temperature.value;
            if let Some(ejection) = ejection.filter(|ejection| mold >= *ejection) {
                return Err(format!(
                    "in a mold of {} {} never gets stiff enough to push out, which takes less than {}",
                    celsius(mold),
                    self.name,
                    celsius(ejection)
                ));
            }
            if in_celsius(mold) < COLDEST_MOLD {
                return Err(format!(
                    "no mold is run at {}: is the unit right?",
                    celsius(mold)
                ));
            }
            set(&mut self.mold_temperature, mold);
        }
        Ok(self)
    }

    /// The temperatures that lie outside the range of this plastic, one line each.
    pub fn outside_its_range(&self) -> Vec<String> {
        let line = |what: &str, of: &Sourced<Range<Temperature>>| {
            let range = of.value.filter(|range| !range.in_order())?;
            Some(format!(
                "the {what} is run at {}, outside the {} to {} °C at which {} is molded",
                celsius(range.typical()),
                four_digits(in_celsius(range.low)),
                four_digits(in_celsius(range.high)),
                self.name
            ))
        };
        let lines =
            [line("melt", &self.melt_temperature), line("mold", &self.mold_temperature)];
        lines.into_iter().flatten().collect()
    }
}

fn set(of: &mut Sourced<Range<Temperature>>, at: Temperature) {
    let range = of.value.unwrap_or(Range { low: at, high: at, typical: None });
    of.value = Some(Range { typical: Some(at), ..range });
    GIVEN.clone_into(&mut of.note);
}

fn celsius(at: Temperature) -> String {
    format!("{} °C", four_digits(in_celsius(at)))
}

#[cfg(test)]
mod tests {
    use crate::process::plastic::Plastic;
    use crate::process::plastic::library::Plastics;
    use crate::units::{from_celsius, in_celsius};

    fn abs() -> Plastic {
        Plastics::builtin().unwrap().find("abs").unwrap().clone()
    }

    fn at(melt: Option<f64>, mold: Option<f64>) -> Result<Plastic, String> {
        abs().at_temperatures(melt.map(from_celsius), mold.map(from_celsius))
    }

    #[test]
    fn a_given_temperature_is_used_and_the_range_stays() {
        let seen = at(Some(250.0), Some(40.0)).unwrap();
        let melt = seen.melt_temperature.value.unwrap();
        assert!((in_celsius(melt.typical()) - 250.0).abs() < 1e-9);
        assert!((in_celsius(melt.low) - 220.0).abs() < 1e-9);
        let mold = seen.mold_temperature.value.unwrap();
        assert!((in_celsius(mold.typical()) - 40.0).abs() < 1e-9);
        assert!(seen.outside_its_range().is_empty() && seen.nonsense().is_none());
        assert!(seen.melt_temperature.note.contains("given"));
        assert_eq!(at(None, None).unwrap(), abs());
    }

    #[test]
    fn outside_the_range_is_taken_and_said() {
        let seen = at(Some(280.0), Some(20.0)).unwrap();
        let lines = seen.outside_its_range();
        assert_eq!(
            lines[0],
            "the melt is run at 280 °C, outside the 220 to 260 °C at which ABS is molded"
        );
        assert!(
            lines[1].starts_with("the mold is run at 20 °C, outside the 30 to 60 °C")
        );
        assert!(seen.nonsense().is_none());
    }

    #[test]
    fn nonsense_is_refused_in_one_line() {
        for (melt, mold, part) in [
            (Some(120.0), None, "does not flow: ABS stops flowing below 130 °C"),
            (Some(2350.0), None, "is the unit right?"),
            (None, Some(90.0), "ABS never gets stiff enough"),
            (None, Some(-200.0), "is the unit right?"),
        ] {
            let error = at(melt, mold).unwrap_err();
            assert!(error.contains(part) && error.lines().count() == 1, "{error}");
        }
    }
}
