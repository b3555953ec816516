//! Numerical methods that know nothing of plastic or metal.
//!
//! Bisection: a condition that is true below some number and false above it is found by
//! halving a bracket around that number.
//!
//! Equations in a narrow band: a chain of beams or layers, where each unknown knows only its
//! next few, is solved in a number of steps that grows with its length alone.

use std::cmp::Ordering;

/// A number in the order of [`f64::total_cmp`], for queues that ask for [`Ord`].
#[derive(Clone, Copy, Debug)]
pub struct TotalOrder(pub f64);

impl Ord for TotalOrder {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

impl PartialOrd for TotalOrder {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for TotalOrder {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for TotalOrder {}

/// Narrows `[low, high]` by so many halvings around the number up to which `is_low` is
/// true. Sixty leave no digit of a double to gain.
pub fn bisect(
    bracket: [f64; 2],
    halvings: u32,
    is_low: impl Fn(f64) -> bool,
) -> [f64; 2] {
    (0..halvings).fold(bracket, |bracket, _| halve(bracket, mean(bracket), &is_low))
}

/// Where a function that grows through zero within `bracket` does, to `width`: the false
/// position with the weight of the end that stays halved (the Illinois rule; Dowell and
/// Jarratt, *BIT* 11, 1971). An end where it is not finite is halved away.
pub fn false_position(
    bracket: [f64; 2],
    width: f64,
    function: impl Fn(f64) -> f64,
) -> f64 {
    const MOST_TURNS: usize = 100;
    let [mut low, mut high] = bracket;
    let [mut below, mut above] = [low, high].map(&function);
    let mut last_side = 0;
    for _ in 0..MOST_TURNS {
        if high - low <= width {
            break;
        }
        let share = below / (below - above);
        let is_usable = share > 0.0 && share < 1.0;
        let at = if is_usable { low + share * (high - low) } else { mean([low, high]) };
        let value = function(at);
        let side = if value <= 0.0 { -1 } else { 1 };
        if value <= 0.0 {
            (low, below) = (at, value);
            above *= if side == last_side { 0.5 } else { 1.0 };
        } else {
            (high, above) = (at, value);
            below *= if side == last_side { 0.5 } else { 1.0 };
        }
        last_side = side;
        if value.abs() <= width * 1e-2 {
            return at;
        }
    }
    mean([low, high])
}

/// As [`bisect`], until the bracket is no wider than `width`.
pub fn bisect_to_width(
    mut bracket: [f64; 2],
    width: f64,
    is_low: impl Fn(f64) -> bool,
) -> [f64; 2] {
    while bracket[1] - bracket[0] > width {
        bracket = halve(bracket, mean(bracket), &is_low);
    }
    bracket
}

/// As [`bisect`], but by the geometric mean of two positive numbers, until the upper is at
/// most `ratio` times the lower: for what is known to a share of itself.
pub fn bisect_to_ratio(
    mut bracket: [f64; 2],
    ratio: f64,
    is_low: impl Fn(f64) -> bool,
) -> [f64; 2] {
    while bracket[1] / bracket[0] > ratio {
        bracket = halve(bracket, geometric_mean(bracket), &is_low);
    }
    bracket
}

/// The number halfway between two.
pub fn mean([low, high]: [f64; 2]) -> f64 {
    0.5 * (low + high)
}

/// The positive number that is as many times the lower as the upper is times it.
pub fn geometric_mean([low, high]: [f64; 2]) -> f64 {
    (high * low).sqrt()
}

/// A symmetric matrix of a band of `W` that is positive definite, as L D Lᵀ.
#[derive(Clone, Debug)]
pub struct FactoredBand<const W: usize> {
    rows: Vec<[f64; W]>,
}

impl<const W: usize> FactoredBand<W> {
    /// Factors the matrix whose row `i` holds the entries at (i, i) to (i, i + W − 1); `None`
    /// where it is not positive definite.
    pub fn new(mut rows: Vec<[f64; W]>) -> Option<Self> {
        for at in 0..rows.len() {
            let row = rows[at];
            if !(row[0].is_finite() && row[0] > 0.0) {
                return None;
            }
            for ahead in 1..W.min(rows.len() - at) {
                let share = row[ahead] / row[0];
                for beyond in ahead..W {
                    rows[at + ahead][beyond - ahead] -= share * row[beyond];
                }
                rows[at][ahead] = share;
            }
        }
        Some(Self { rows })
    }

    /// Solves for this right side.
    pub fn solve(&self, right: &[f64]) -> Vec<f64> {
        let (rows, mut found) = (&self.rows, right.to_vec());
        for at in 0..rows.len() {
            for ahead in 1..W.min(rows.len() - at) {
                found[at + ahead] -= rows[at][ahead] * found[at];
            }
        }
        for at in (0..rows.len()).rev() {
            found[at] /= rows[at][0];
            for ahead in 1..W.min(rows.len() - at) {
                found[at] -= rows[at][ahead] * found[at + ahead];
            }
        }
        found
    }
}

fn halve([low, high]: [f64; 2], at: f64, is_low: impl Fn(f64) -> bool) -> [f64; 2] {
    if is_low(at) { [at, high] } else { [low, at] }
}

#[cfg(test)]
mod tests {
    use super::{
        FactoredBand, TotalOrder, bisect, bisect_to_ratio, bisect_to_width, mean,
    };

    /// x³ = 2 and cos x = x, whose solutions stand in tables.
    #[test]
    fn roots_are_found_to_the_last_digits() {
        let root = mean(bisect([0.0, 2.0], 60, |x| x * x * x < 2.0));
        assert!((root - 1.259_921_049_894_873_2).abs() < 1e-15, "{root}");
        let [low, high] = bisect([0.0, 1.0], 60, |x| x < x.cos());
        assert!(low <= high && (low - 0.739_085_133_215_160_6).abs() < 1e-15, "{low}");
    }

    #[test]
    fn the_bracket_narrows_as_far_as_it_must() {
        let [low, high] = bisect([0.0, 8.0], 3, |x| x < 5.5);
        assert!((low - 5.0).abs() < 1e-12 && (high - 6.0).abs() < 1e-12);
        let [low, high] = bisect_to_width([0.0, 8.0], 0.25, |x| x * x < 2.0);
        assert!(low * low < 2.0 && 2.0 < high * high && high - low <= 0.25);
        let [low, high] = bisect_to_ratio([1.0, 4096.0], 1.01, |x| x < 100.0);
        assert!(low < 100.0 && 100.0 <= high && high / low <= 1.01);
    }

    #[test]
    fn a_condition_that_never_turns_leaves_an_end() {
        assert!((mean(bisect([1.0, 3.0], 60, |_| true)) - 3.0).abs() < 1e-12);
        assert!((mean(bisect([1.0, 3.0], 60, |_| false)) - 1.0).abs() < 1e-12);
        // The bracket is narrow enough already.
        let [low, high] = bisect_to_ratio([2.0, 2.0], 1.1, |_| true);
        assert!((low - 2.0).abs() + (high - 2.0).abs() < 1e-12);
    }

    /// Multiplied back, the solution gives the right side; a matrix with a negative value is
    /// refused.
    #[test]
    fn a_band_is_solved() {
        let rows: Vec<[f64; 3]> = (0..9)
            .map(|at| [6.0 + f64::from(at), -2.0, 1.0 / f64::from(at + 1)])
            .collect();
        let right: Vec<f64> = (0..9).map(|at| f64::from(at) - 3.0).collect();
        let found = FactoredBand::new(rows.clone()).unwrap().solve(&right);
        for (at, wanted) in right.iter().enumerate() {
            let entry = |other: usize| {
                let (low, high) = (at.min(other), at.max(other));
                rows[low].get(high - low).copied().unwrap_or(0.0)
            };
            let back: f64 = (0..9).map(|other| entry(other) * found[other]).sum();
            assert!((back - wanted).abs() < 1e-12, "{back}");
        }
        assert!(FactoredBand::new(vec![[1.0, 2.0], [1.0, 0.0]]).is_none());
    }

    #[test]
    fn numbers_in_a_queue_have_one_order() {
        let sorted = [f64::NEG_INFINITY, -1.0, -0.0, 0.0, 2.5, f64::INFINITY, f64::NAN];
        let order = sorted.map(TotalOrder);
        assert!(order.is_sorted() && order.windows(2).all(|pair| pair[0] != pair[1]));
        assert_eq!(order[6].max(order[0]), order[6]);
    }
}
