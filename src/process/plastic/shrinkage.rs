//! How much larger to cut: the cavity is the part divided by 1 − S, as a band.
//!
//! S is linear mold shrinkage as a share of the **cavity** (ISO 294-4). A book value holds
//! at 50 to 60 MPa of packing; a press that packs with less shrinks at the top of the band.
//! Never cut to one number: leave metal where it can still be taken off.

use crate::process::plastic::{Plastic, Unknown};
use crate::process::sourced::Range;
use crate::units::{Pressure, Quantity, Ratio, in_mpa};

/// Packing pressure at which the low end of the band is expected: the holding pressure of
/// ISO 294-4 test plates (50 to 60 MPa in the sheets that state it).
pub const FULL_PACKING_MPA: f64 = 60.0;

/// Linear shrinkage as a share of the cavity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shrinkage {
    /// Lower end of the band.
    pub low: Ratio,
    /// Expected at this packing pressure.
    pub nominal: Ratio,
    /// Upper end of the band.
    pub high: Ratio,
    /// Cavity over part length at the nominal shrinkage.
    pub scale: f64,
}

/// The band of `plastic`, and what to expect when it is packed with `packing`.
///
/// Between the ends the nominal falls in a straight line with pressure, from high at none
/// to low at [`FULL_PACKING_MPA`]: an assumption from memory, in the sense of the measured
/// fall for polystyrene (Jansen, Pantani and Titomanlio 1998: 0.6 to 0.1 %).
///
/// # Errors
///
/// [`Unknown`] when the plastic has no shrinkage.
pub fn band(plastic: &Plastic, packing: Pressure) -> Result<Shrinkage, Unknown> {
    let range = plastic.need(&plastic.shrinkage, "shrinkage")?;
    Ok(of_range(range, packing))
}

/// As [`band`], for a known range: with its typical value when one is stated (measured on
/// own parts), else by the packing.
pub fn of_range(range: &Range<Ratio>, packing: Pressure) -> Shrinkage {
    let packed = (in_mpa(packing) / FULL_PACKING_MPA).clamp(0.0, 1.0);
    let by_packing = range.high - (range.high - range.low) * packed;
    let nominal = range.typical.unwrap_or(by_packing);
    Shrinkage { low: range.low, nominal, high: range.high, scale: scale(nominal) }
}

/// The bands along three axes of the part: the own range of an axis where one is known (in
/// flow and across it differ by up to half), else that of the plastic.
pub fn along_axes(
    whole: &Shrinkage,
    own: [Option<Range<Ratio>>; 3],
    packing: Pressure,
) -> [Shrinkage; 3] {
    own.map(|own| own.map_or(*whole, |range| of_range(&range, packing)))
}

/// Cavity length over part length for shrinkage S: 1 / (1 − S), not 1 + S.
pub fn scale(shrinkage: Ratio) -> f64 {
    (1.0 - shrinkage.si()).recip()
}

#[cfg(test)]
mod tests {
    use super::{along_axes, band, scale};
    use crate::process::plastic::library::Plastics;
    use crate::process::sourced::Range;
    use crate::units::{Pressure, Quantity, Ratio, from_mpa};

    fn near(seen: f64, printed: f64, slack: f64) {
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    /// Hand arithmetic on a part of 100 mm: cut 100.5025, 101.5228, 102.0408, 103.0928 mm
    /// for 0.5, 1.5, 2 and 3 %.
    #[test]
    fn a_cavity_is_the_part_over_one_minus_s() {
        for (percent, cut) in
            [(0.5, 100.5025), (1.5, 101.5228), (2.0, 102.0408), (3.0, 103.0928)]
        {
            near(100.0 * scale(Ratio::from_si(percent / 100.0)), cut, 5e-5);
        }
    }

    #[test]
    fn less_packing_shrinks_more_and_stays_in_the_band() {
        let plastics = Plastics::builtin().unwrap();
        let pp = plastics.find("pp").unwrap();
        let at = |mpa: f64| band(pp, from_mpa(mpa)).unwrap();
        near(at(0.0).nominal.si(), 0.026, 1e-12);
        near(at(30.0).nominal.si(), 0.019, 1e-12);
        near(at(60.0).nominal.si(), 0.012, 1e-12);
        near(at(200.0).nominal.si(), 0.012, 1e-12);
        near(at(0.0).scale, 1.0 / 0.974, 1e-12);
        assert!(at(5.0).nominal > at(10.0).nominal);
    }

    /// Unipetrol Mosten MT 950 data sheet: 2.16 % along the flow, 2.25 % across it.
    #[test]
    fn an_axis_with_its_own_value_keeps_it() {
        let plastics = Plastics::builtin().unwrap();
        let packing = Pressure::from_si(5e6);
        let whole = band(plastics.find("pp").unwrap(), packing).unwrap();
        let of = |percent: f64| {
            let [low, high, typical] = [percent - 0.2, percent + 0.2, percent]
                .map(|p| Ratio::from_si(p / 100.0));
            Some(Range { low, high, typical: Some(typical) })
        };
        let axes = along_axes(&whole, [of(2.16), of(2.25), None], packing);
        near(100.0 * axes[0].scale, 100.0 / (1.0 - 0.0216), 1e-9);
        near(axes[1].nominal.si(), 0.0225, 1e-12);
        assert_eq!(axes[2], whole);
    }
}
