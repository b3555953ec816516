//! Sizes that can be bought, metric or in inches: those of the system in which the size that is
//! there was measured.

use crate::units::format::{four_digits, inches};

/// Sizes of one thing in both systems.
#[derive(Clone, Copy, Debug)]
pub struct Shelf {
    metric_mm: &'static [f64],
    inches: &'static [f64],
}

/// Bores of pneumatic cylinders: ISO 15552, and the usual bores of NFPA cylinders (common
/// practice).
pub const BORES: Shelf = Shelf {
    metric_mm: &[32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0],
    inches: &[1.5, 2.0, 2.5, 3.25, 4.0, 5.0],
};
/// Diameters of ground rod that a ram is made of (common sizes).
pub const RAMS: Shelf = Shelf {
    metric_mm: &[10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 32.0],
    inches: &[0.375, 0.5, 0.625, 0.75, 0.875, 1.0, 1.125, 1.25],
};

impl Shelf {
    /// The sizes in millimeters, the smallest first, in the system of the size that is there.
    pub fn sizes_mm(&self, now_mm: f64) -> Vec<f64> {
        if is_in_inches(now_mm) {
            self.inches.iter().map(|inches| 25.4 * inches).collect()
        } else {
            self.metric_mm.to_vec()
        }
    }
}

/// Whether a size was measured in inches: it lies on the grid of sixteenths, where metric sizes
/// but 127 mm, which is 5 in, do not.
pub fn is_in_inches(mm: f64) -> bool {
    let sixteenths = mm / 25.4 * 16.0;
    sixteenths > 0.5 && (sixteenths - sixteenths.round()).abs() < 1e-6
}

/// A size as its shop writes it: "63 mm", "2-1/2 in".
pub fn written(mm: f64, in_inches: bool) -> String {
    if in_inches { inches(mm) } else { format!("{} mm", four_digits(mm)) }
}

/// A size and the one that takes its place: "63 → 80 mm", "2 → 2-1/2 in".
pub fn change(before_mm: f64, after_mm: f64) -> String {
    let [before, after] =
        [before_mm, after_mm].map(|mm| written(mm, is_in_inches(before_mm)));
    let bare = before.rsplit_once(' ').map_or(before.as_str(), |(number, _)| number);
    format!("{bare} → {after}")
}

#[cfg(test)]
mod tests {
    use super::{BORES, RAMS, change, is_in_inches};

    #[test]
    fn the_next_size_is_of_the_same_system() {
        assert_eq!(change(63.0, 80.0), "63 → 80 mm");
        assert_eq!(change(50.8, 63.5), "2 → 2-1/2 in");
        for shelf in [BORES, RAMS] {
            assert!(shelf.sizes_mm(25.0).iter().all(|mm| !is_in_inches(*mm)));
            assert!(shelf.sizes_mm(25.4).iter().all(|mm| is_in_inches(*mm)));
        }
    }
}
