//! Which bolt is loaded most: a force that does not act in the middle of the bolts loads
//! those on its side more, and the mold yaws open there.
//!
//! The plate is taken as rigid and the bolts as alike springs, so that the load of each
//! falls along a plane (the elastic bolt group of the textbooks). A bolt on the far side
//! may come out negative: it is relieved.

use crate::units::{Force, Length, Quantity, Torque};

/// Places of `count` bolts on a rectangle of these outer spacings, about its middle: two on
/// its long axis, four in the corners, then pairs in the middle of the long sides and of
/// the short ones; any other number evenly along its rim from one corner.
pub fn places(count: u32, [along, across]: [Length; 2]) -> Vec<[Length; 2]> {
    let (x, y) = (along / 2.0, across / 2.0);
    let none = Length::default();
    let corners = vec![[x, y], [-x, y], [-x, -y], [x, -y]];
    let long_sides =
        if along >= across { [[none, y], [none, -y]] } else { [[x, none], [-x, none]] };
    let short_sides =
        if along >= across { [[x, none], [-x, none]] } else { [[none, y], [none, -y]] };
    match count {
        2 if along >= across => vec![[x, none], [-x, none]],
        2 => vec![[none, y], [none, -y]],
        4 => corners,
        6 => [corners, long_sides.to_vec()].concat(),
        8 => [corners, long_sides.to_vec(), short_sides.to_vec()].concat(),
        _ => (0..count).map(|i| on_rim(f64::from(i) / f64::from(count), x, y)).collect(),
    }
}

/// The point at a share of the rim of a rectangle, from a corner.
fn on_rim(share: f64, x: Length, y: Length) -> [Length; 2] {
    let (long, wide) = (2.0 * x, 2.0 * y);
    let at = (long + wide) * 2.0 * share;
    match at {
        at if at <= long => [x - at, y],
        at if at <= long + wide => [-x, y - (at - long)],
        at if at <= long * 2.0 + wide => [at - long - wide - x, -y],
        at => [x, at - long * 2.0 - wide - y],
    }
}

/// What a force at a place does to bolts.
#[derive(Clone, Debug, PartialEq)]
pub struct Loads {
    /// Load of each bolt, in the order of the places; negative where it is relieved.
    pub each: Vec<Force>,
    /// The largest of them.
    pub worst: Force,
    /// From the middle of the bolts to the force.
    pub off: Length,
    /// Moment that yaws the mold open.
    pub yaw: Torque,
}

/// Load on each of the bolts at `places` when `force` opens the mold at `at`. `None`
/// without bolts, or when they stand in one line and the force beside it: nothing but the
/// bending of plates then holds the mold.
pub fn loads(places: &[[Length; 2]], force: Force, at: [Length; 2]) -> Option<Loads> {
    let n = places.len() as f64;
    let middle = middle(places)?;
    let arms: Vec<[f64; 2]> = places
        .iter()
        .map(|place| [0, 1].map(|axis| place[axis].si() - middle[axis].si()))
        .collect();
    let sum = |of: &dyn Fn(&[f64; 2]) -> f64| arms.iter().map(of).sum::<f64>();
    let (xx, yy) = (sum(&|a| a[0] * a[0]), sum(&|a| a[1] * a[1]));
    let xy = sum(&|a| a[0] * a[1]);
    let off = [0, 1].map(|axis| at[axis].si() - middle[axis].si());
    let size = (xx + yy).max(f64::MIN_POSITIVE);
    let [tilt_x, tilt_y] = tilt([xx, yy, xy], off, size)?;
    let f = force.si();
    let each: Vec<Force> = arms
        .iter()
        .map(|arm| Force::from_si(f * (1.0 / n + tilt_x * arm[0] + tilt_y * arm[1])))
        .collect();
    let worst = each.iter().copied().reduce(Force::max)?;
    let off = off[0].hypot(off[1]);
    Some(Loads { each, worst, off: Length::from_si(off), yaw: Torque::from_si(f * off) })
}

/// The middle of the bolts: where a force loads all alike.
pub fn middle(places: &[[Length; 2]]) -> Option<[Length; 2]> {
    let n = places.len() as f64;
    let mean = |axis: usize| {
        Length::from_si(places.iter().map(|place| place[axis].si()).sum::<f64>() / n)
    };
    (!places.is_empty()).then(|| [mean(0), mean(1)])
}

/// Slopes of the plane of loads for a unit force `off` the middle: the inverse of the
/// second moments on it. Along a line of bolts only the part of `off` on that line counts.
fn tilt([xx, yy, xy]: [f64; 3], off: [f64; 2], size: f64) -> Option<[f64; 2]> {
    const LINE: f64 = 1e-9;
    let determinant = xx * yy - xy * xy;
    if determinant > LINE * size * size {
        let x = (yy * off[0] - xy * off[1]) / determinant;
        let y = (xx * off[1] - xy * off[0]) / determinant;
        return Some([x, y]);
    }
    // In one line: its direction is the larger column of the moments.
    let (dx, dy) = if xx >= yy { (xx, xy) } else { (xy, yy) };
    let length = dx.hypot(dy);
    let [ux, uy] = if length > 0.0 { [dx / length, dy / length] } else { [0.0, 0.0] };
    let beside = (off[0] - ux * (off[0] * ux + off[1] * uy))
        .hypot(off[1] - uy * (off[0] * ux + off[1] * uy));
    let along = (off[0] * ux + off[1] * uy) / size;
    // A tenth of a micrometer beside the line is on it.
    (beside < 1e-7).then_some([along * ux, along * uy])
}

#[cfg(test)]
mod tests {
    use super::{loads, places};
    use crate::units::{Force, Length, Quantity, from_mm, in_mm};

    fn at(x: f64, y: f64) -> [Length; 2] {
        [from_mm(x), from_mm(y)]
    }

    fn newtons(places: &[[Length; 2]], x: f64, y: f64) -> Vec<f64> {
        let loads = loads(places, Force::from_si(1000.0), at(x, y)).unwrap();
        loads.each.iter().map(|load| load.si()).collect()
    }

    fn near(seen: f64, printed: f64, slack: f64) {
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    /// Statics: in the middle all alike; above one side of two, that bolt carries all; a
    /// force over one corner of four puts 3/4 on it, 1/4 on its neighbors, −1/4 opposite.
    #[test]
    fn loads_by_the_lever() {
        let four = places(4, at(90.0, 60.0));
        for load in newtons(&four, 0.0, 0.0) {
            near(load, 250.0, 1e-9);
        }
        let corner = newtons(&four, 45.0, 30.0);
        for (load, printed) in corner.iter().zip([750.0, 250.0, -250.0, 250.0]) {
            near(*load, printed, 1e-9);
        }
        let two = places(2, at(90.0, 60.0));
        let over_one = newtons(&two, 45.0, 0.0);
        near(over_one[0], 1000.0, 1e-9);
        near(over_one[1], 0.0, 1e-9);
        assert_eq!(loads(&two, Force::from_si(1.0), at(0.0, 5.0)), None);
        assert_eq!(loads(&[], Force::from_si(1.0), at(0.0, 0.0)), None);
    }

    /// Two sums that no choice of model can change: the loads add up to the force, and
    /// their moments to its moment.
    #[test]
    fn forces_and_moments_balance_for_any_number() {
        for count in 2..=12 {
            let spots = places(count, at(90.0, 61.0));
            assert_eq!(spots.len(), count as usize);
            let Some(loads) = loads(&spots, Force::from_si(1000.0), at(7.0, 0.0)) else {
                panic!("{count} bolts say nothing");
            };
            let sum: f64 = loads.each.iter().map(|load| load.si()).sum();
            near(sum, 1000.0, 1e-9);
            for (axis, arm) in [(0, 7.0), (1, 0.0)] {
                let moments = spots.iter().zip(&loads.each);
                let moment: f64 = moments.map(|(p, f)| in_mm(p[axis]) * f.si()).sum();
                near(moment, arm * 1000.0, 1e-6);
            }
            let largest = loads.each.iter().map(|load| load.si()).fold(0.0, f64::max);
            near(loads.worst.si(), largest, 0.0);
        }
    }

    #[test]
    fn the_moment_is_force_times_distance() {
        let four = places(4, at(90.0, 60.0));
        let loads = loads(&four, Force::from_si(2000.0), at(3.0, 4.0)).unwrap();
        near(in_mm(loads.off), 5.0, 1e-9);
        near(loads.yaw.si(), 10.0, 1e-9);
    }

    proptest::proptest! {
        #[test]
        fn more_bolts_load_the_worst_less(x in -20.0..20.0_f64, y in -20.0..20.0_f64) {
            let worst = |count| {
                let spots = places(count, at(90.0, 60.0));
                loads(&spots, Force::from_si(1000.0), at(x, y)).unwrap().worst
            };
            assert!(worst(6) < worst(4) && worst(8) < worst(6));
        }
    }
}
