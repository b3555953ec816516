//! Several equal cavities around one sprue: how far each gate stands from it, and what all of
//! them are for clamp and plates.
//!
//! They lie as a star: each is the first one, turned about the sprue by its share of a full
//! turn. So all runners are alike, and the melt divides evenly without any balancing.

use std::f64::consts::PI;

use super::PartData;
use crate::units::{Length, Quantity, from_mm, in_mm};

/// Metal between two cavities, mm: 8, as much as between cavity and bolt at the least (judgment).
pub const BETWEEN_MM: f64 = 8.0;

/// From the middle of the sprue to the edge of each cavity at the least, so that neighbors keep
/// [`BETWEEN_MM`] apart: with half an angle α between two runners, cavities of width w whose gates
/// stand in the middle of their edges need (m/2 + w/2 · cos α) / sin α.
pub fn least_reach(shape: &PartData, cavities: u32) -> Length {
    if cavities < 2 {
        return Length::default();
    }
    let (sin, cos) = (PI / f64::from(cavities)).sin_cos();
    let wide = in_mm(shape.extents[0].max(shape.extents[1]));
    from_mm((0.5 * BETWEEN_MM + 0.5 * wide * cos.max(0.0)) / sin)
}

impl PartData {
    /// All cavities as one part, each gate so far from the sprue.
    pub fn of_all(&self, cavities: u32, reach: Length) -> Self {
        if cavities < 2 {
            return self.clone();
        }
        let count = f64::from(cavities);
        let [one, other] = self.extents;
        let (wide, deep) = (one.max(other), one.min(other));
        let far = reach + deep;
        let around = 2.0 * Length::from_si(far.si().hypot(wide.si() / 2.0));
        let extents = match cavities {
            2 => [2.0 * far, wide],
            4 => [2.0 * far; 2],
            _ => [around; 2],
        };
        Self {
            volume: self.volume.map(|volume| volume * count),
            projected_area: self.projected_area * count,
            extents,
            off_middle: [Length::default(); 2],
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::least_reach;
    use crate::process::evaluation::PartData;
    use crate::units::{from_mm, from_mm2, from_mm3, in_mm, in_mm2};

    fn part() -> PartData {
        PartData {
            volume: Some(from_mm3(1000.0)),
            projected_area: from_mm2(600.0),
            extents: [from_mm(30.0), from_mm(20.0)],
            off_middle: [from_mm(2.0), from_mm(0.0)],
            ..PartData::default()
        }
    }

    fn near(seen: f64, by_hand: f64) {
        assert!((seen - by_hand).abs() < 1e-9, "{seen} {by_hand}");
    }

    /// By hand for a part of 30 mm: two stand 4 mm from the sprue; four at 45° need
    /// (4 + 15 · 0.7071) / 0.7071 = 20.657 mm, and neighbors are then 8 mm apart: the corner of
    /// one at (20.657, 15), turned by 90° at (15, 20.657), lies 5.657 · √2 = 8 mm from it.
    #[test]
    fn neighbors_keep_their_distance() {
        near(in_mm(least_reach(&part(), 1)), 0.0);
        near(in_mm(least_reach(&part(), 2)), 4.0);
        let four = in_mm(least_reach(&part(), 4));
        near(four, 15.0 + 4.0 * 2.0_f64.sqrt());
        near((four - 15.0) * 2.0_f64.sqrt(), 8.0);
    }

    /// Two of them 12 mm from the sprue: 2 (12 + 20) = 64 mm long, 30 mm wide, twice the area, in
    /// the middle.
    #[test]
    fn two_are_twice_one() {
        let two = part().of_all(2, from_mm(12.0));
        near(in_mm(two.extents[0]), 64.0);
        near(in_mm(two.extents[1]), 30.0);
        near(in_mm2(two.projected_area), 1200.0);
        near(in_mm(two.off_middle[0]), 0.0);
        assert_eq!(part().of_all(1, from_mm(12.0)), part());
    }
}
