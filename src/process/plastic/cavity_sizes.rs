//! To which size to cut for a wanted length, and on which side to leave metal.
//!
//! The shrinkage is a band until the first parts are measured. Metal can be taken off a
//! mold and not be put back, so the first cut leaves it:
//!
//! - an **outside** dimension of the part is a pocket in the mold, which can only grow: cut
//!   it small, with the **low** end of the band;
//! - an **inside** dimension (a hole, the inside of a box) is formed by a core, which can only
//!   get smaller: cut it large, with the **high** end of the band;
//! - a distance **between** two features of one kind moves with neither: cut it at the nominal.
//!
//! Measure parts a day after molding at 23 °C (common practice), and take the rest off.

use super::shrinkage::{Shrinkage, scale};
use crate::units::{Length, Quantity, Ratio};

/// What a length of the part is to the mold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// From outer wall to outer wall: a pocket.
    Outside,
    /// A hole or the inside of walls: a core.
    Inside,
    /// From hole to hole, from rib to rib.
    Between,
}

/// One length: what to cut, and what comes out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutSize {
    /// Wanted on the part.
    pub part: Length,
    /// Cavity length at the nominal shrinkage.
    pub nominal: Length,
    /// Cavity length to cut first, with metal left.
    pub first_cut: Length,
    /// Metal to take off, from the first cut to the nominal, over the whole length.
    pub left: Length,
    /// Part from a cavity of nominal size, should it shrink least.
    pub part_if_low: Length,
    /// Part from a cavity of nominal size, should it shrink most.
    pub part_if_high: Length,
}

/// Sizes for a wanted length.
pub fn cut(part: Length, kind: Kind, band: &Shrinkage) -> CutSize {
    let nominal = part * scale(band.nominal);
    let first = match kind {
        Kind::Outside => band.low,
        Kind::Inside => band.high,
        Kind::Between => band.nominal,
    };
    let first_cut = part * scale(first);
    let shrunk = |by: Ratio| nominal * (1.0 - by.si());
    CutSize {
        part,
        nominal,
        first_cut,
        left: Length::from_si((nominal - first_cut).si().abs()),
        part_if_low: shrunk(band.low),
        part_if_high: shrunk(band.high),
    }
}

#[cfg(test)]
mod tests {
    use super::{Kind, cut};
    use crate::process::plastic::shrinkage::{Shrinkage, scale};
    use crate::units::{Length, Quantity, Ratio, in_mm};

    fn band(percent: [f64; 3]) -> Shrinkage {
        let [low, nominal, high] = percent.map(|p| Ratio::from_si(p / 100.0));
        Shrinkage { low, nominal, high, scale: scale(nominal) }
    }

    fn length(mm: f64) -> Length {
        Length::from_si(mm * 1e-3)
    }

    fn near(seen: f64, printed: f64, slack: f64) {
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    /// Hand arithmetic by ISO 294-4 (share of the cavity): 100 mm at 0.5, 1.5, 2 and 3 % are
    /// cut to 100.5025, 101.5228, 102.0408, 103.0928 mm.
    #[test]
    fn one_hundred_millimeters() {
        for (percent, cavity) in
            [(0.5, 100.5025), (1.5, 101.5228), (2.0, 102.0408), (3.0, 103.0928)]
        {
            let seen = cut(length(100.0), Kind::Between, &band([percent; 3]));
            near(in_mm(seen.first_cut), cavity, 5e-5);
            near(in_mm(seen.part_if_low), 100.0, 1e-9);
            near(1.0 - seen.part.si() / seen.first_cut.si(), percent / 100.0, 1e-12);
        }
    }

    /// By hand, 100 mm at 1, 2 and 3 %: nominal cavity 102.0408; the part comes out 101.0204
    /// or 98.9796; a pocket starts at 101.0101, a core at 103.0928.
    #[test]
    fn metal_is_left_where_it_can_be_taken_off() {
        let band = band([1.0, 2.0, 3.0]);
        let outside = cut(length(100.0), Kind::Outside, &band);
        near(in_mm(outside.nominal), 102.0408, 5e-5);
        near(in_mm(outside.part_if_low), 101.0204, 5e-5);
        near(in_mm(outside.part_if_high), 98.9796, 5e-5);
        near(in_mm(outside.first_cut), 101.0101, 5e-5);
        let inside = cut(length(100.0), Kind::Inside, &band);
        near(in_mm(inside.first_cut), 103.0928, 5e-5);
        near(in_mm(inside.left), 103.0928 - 102.0408, 1e-4);
    }

    proptest::proptest! {
        /// Whatever the shrinkage turns out to be, the correction takes metal off: the
        /// right pocket is never smaller than the first cut, the right core never larger.
        #[test]
        fn a_correction_never_needs_metal_back(
            part in 1.0..300.0_f64, low in 0.0..3.0_f64, more in 0.0..3.0_f64, at in 0.0..1.0_f64
        ) {
            let band = band([low, low + more / 2.0, low + more]);
            let right = in_mm(length(part) * scale(Ratio::from_si((low + at * more) / 100.0)));
            let pocket = in_mm(cut(length(part), Kind::Outside, &band).first_cut);
            let core = in_mm(cut(length(part), Kind::Inside, &band).first_cut);
            proptest::prop_assert!(pocket <= right + 1e-9 && right <= core + 1e-9);
        }
    }
}
