//! Sets of cutters against every other set, sent over halves whose pockets are known.

use super::{CHANGE_MIN, Choice, Limits, choose};
use crate::geom::Direction;
use crate::mold::milling::cutter::{Cutter, Kind};
use crate::mold::milling::cutter_sequence;
use crate::mold::milling::grid::Grid;
use crate::mold::milling::halves::Halves;
use crate::mold::milling::height_field::Field;
use crate::mold::milling::pace::Pace;
use crate::part::halves::Half;

const CELL: f64 = 0.2;
const LIMITS: Limits = Limits { finished: 0.46, far: 1.0 };

fn flat(diameter: f64, reach: f64) -> Cutter {
    Cutter {
        name: format!("{diameter} mm flat"),
        kind: Kind::Flat,
        diameter,
        corner: 0.0,
        taper: 0.0,
        flute: reach,
        reach,
        shank: diameter,
        stickout: reach,
        holder: 20.0,
        feed: None,
    }
}

/// A block of 60 × 60 mm with pockets so wide and deep, each 12 mm long, in the − half.
fn halves(pockets: &[[f64; 2]]) -> Halves {
    let grid = Grid::on_block(Direction::Z, [[0.0, 60.0]; 2], CELL).unwrap();
    let floor = |x: usize, y: usize| {
        let at = [x, y].map(|cell| (cell as f64 + 0.5) * CELL);
        let own = pockets.iter().zip(0_u8..).find(|([wide, _], index)| {
            let first = 4.0 + 10.0 * f64::from(*index);
            (first..first + wide).contains(&at[0]) && (20.0..32.0).contains(&at[1])
        });
        own.map_or(0.0, |([_, deep], _)| -deep)
    };
    let minus = Field::from_fn(grid.size, floor);
    let filled = vec![true; minus.values.len()];
    let plus = Field::flat(grid.size, 0.0);
    Halves { grid, plus, minus, filled, flat: true, set_in: Vec::new() }
}

fn chosen(halves: &Halves, list: &[Cutter]) -> Choice {
    choose(halves, list, LIMITS)
}

/// Time of a set by sending it over the halves, and the area that it does not finish.
fn sent(halves: &Halves, list: &[Cutter], set: &[bool]) -> (f64, f64) {
    let mut minutes = CHANGE_MIN * set.iter().filter(|it| **it).count() as f64;
    let mut finished = 0.0;
    for half in Half::BOTH {
        let bodies = halves.bodies(half);
        let cut = cutter_sequence::run(&bodies, list, set, CELL, LIMITS.finished);
        for (turn, pace) in cut.turns.iter().zip(list.iter().map(Pace::of)) {
            minutes += turn.volume / pace.rough + turn.surface / pace.finish;
            finished += turn.finished;
        }
    }
    let all = 2.0 * halves.filled.len() as f64 * CELL * CELL;
    (minutes, all - finished)
}

/// A slot of 2.4 mm beside open pockets: 6 mm for the bulk, 2 mm for the slot, and nothing in
/// between is worth its change.
#[test]
fn what_a_narrower_one_does_anyway_is_left_out() {
    let halves = halves(&[[8.0, 4.0], [8.0, 4.0], [2.4, 3.0]]);
    let list = [flat(6.0, 30.0), flat(4.0, 25.0), flat(3.0, 20.0), flat(2.0, 10.0)];
    assert_eq!(chosen(&halves, &list).chosen, [true, false, false, true]);
    // Without the slot the widest is enough: it leaves 0.8 mm in corners of R 2.
    let open = self::halves(&[[8.0, 4.0]]);
    let choice = chosen(&open, &[flat(4.0, 30.0), flat(3.0, 30.0)]);
    assert_eq!(choice.chosen, [true, false], "{choice:?}");
}

/// A cutter that is too short does not stand for the longer one, whatever its width.
#[test]
fn a_short_one_does_not_stand_for_a_long_one() {
    let halves = halves(&[[3.4, 14.0], [2.4, 3.0]]);
    let list = [flat(6.0, 30.0), flat(3.0, 16.0), flat(2.0, 5.0)];
    assert_eq!(chosen(&halves, &list).chosen, [true, true, true]);
}

/// Against every set of five cutters with the widest, sent over the halves one by one: none that
/// leaves as little takes less than 97 % of the time of the chosen one.
#[test]
fn no_other_set_is_much_faster() {
    let list = [
        flat(8.0, 30.0),
        flat(6.0, 9.0),
        flat(4.0, 9.0),
        flat(3.0, 12.0),
        flat(2.0, 7.0),
    ];
    for pockets in [
        vec![[9.0, 8.0], [4.4, 8.0], [3.4, 11.0], [2.4, 6.0]],
        vec![[9.0, 20.0], [6.4, 3.0], [6.4, 3.0], [2.6, 2.0], [2.2, 2.0]],
        vec![[5.0, 4.0], [5.0, 4.0], [5.0, 4.0]],
    ] {
        let halves = halves(&pockets);
        let choice = chosen(&halves, &list);
        let (own, left) = sent(&halves, &list, &choice.chosen);
        let whole = sent(&halves, &list, &[true; 5]);
        assert!(own <= whole.0 + 1e-9, "{own} {whole:?}");
        assert!(left <= whole.1 + 3.0, "{left} {whole:?}");
        for bits in (1..32_u8).step_by(2) {
            let set: Vec<bool> = (0..5).map(|at| bits & (1 << at) != 0).collect();
            let (minutes, stays) = sent(&halves, &list, &set);
            assert!(stays > left + 0.2 || minutes > 0.97 * own, "{set:?} {choice:?}");
        }
    }
}

/// What one more change would take is what is finished with it and not without.
#[test]
fn gains_are_what_one_more_change_finishes() {
    let halves = halves(&[[9.0, 4.0]; 5]);
    let list = [flat(4.0, 30.0), flat(2.0, 20.0)];
    let choice = chosen(&halves, &list);
    assert_eq!(choice.chosen, [true, false]);
    let [with, without] =
        [[true, true], [true, false]].map(|set| sent(&halves, &list, &set).1);
    let gain = choice.gains[1];
    assert!(gain.area > 0.5 && (gain.area - (without - with)).abs() < 1e-6, "{gain:?}");
    assert!(gain.minutes > CHANGE_MIN);
}
