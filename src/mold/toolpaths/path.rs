//! Moves of a tool's tip, in the axes of its setup: x and y from the datum, z up; mm.

/// How a tool goes to a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Motion {
    /// As fast as the machine goes.
    Rapid,
    /// At this feed, mm/min.
    Feed(f64),
}

/// A straight move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// Where it ends.
    pub to: [f64; 3],
    /// How it goes there.
    pub motion: Motion,
}

/// Moves one after the other; the tool begins and ends at the height of rapid moves.
#[derive(Clone, Debug)]
pub(super) struct Path {
    /// Height of rapid moves.
    pub(super) safe: f64,
    pub(super) moves: Vec<Move>,
}

/// Feed by which a tool comes down through what should be air, mm/min (judgment): slow enough to
/// stop when there is metal.
const APPROACH_MM_MIN: f64 = 300.0;

impl Path {
    pub(super) fn new(safe: f64) -> Self {
        Self { safe, moves: Vec::new() }
    }

    /// Up, over to a place, and down to `z`, which should be just above metal.
    pub(super) fn approach(&mut self, at: [f64; 2], z: f64) {
        self.lift();
        self.push([at[0], at[1], self.safe], Motion::Rapid);
        if z < self.safe {
            self.push([at[0], at[1], z], Motion::Feed(APPROACH_MM_MIN));
        }
    }

    /// To a place at a feed, mm/min.
    pub(super) fn cut(&mut self, to: [f64; 3], feed: f64) {
        self.push(to, Motion::Feed(feed));
    }

    /// Fast along the tool's own hole.
    pub(super) fn slide(&mut self, z: f64) {
        if let Some(&Move { to: [x, y, _], .. }) = self.moves.last() {
            self.push([x, y, z], Motion::Rapid);
        }
    }

    /// Up to the height of rapid moves.
    pub(super) fn lift(&mut self) {
        if let Some(&Move { to: [x, y, z], .. }) = self.moves.last()
            && z < self.safe
        {
            self.push([x, y, self.safe], Motion::Rapid);
        }
    }

    fn push(&mut self, to: [f64; 3], motion: Motion) {
        self.moves.push(Move { to, motion });
    }
}

/// Time of the feed moves, min.
pub fn minutes(moves: &[Move]) -> f64 {
    let pairs = moves.windows(2);
    let times = pairs.map(|pair| match pair[1].motion {
        Motion::Rapid => 0.0,
        Motion::Feed(feed) => {
            let [a, b] = [pair[0].to, pair[1].to];
            let along = [0, 1, 2].map(|axis| (b[axis] - a[axis]).powi(2));
            along.iter().sum::<f64>().sqrt() / feed
        }
    });
    times.sum()
}

/// The lowest height of some moves.
pub(super) fn lowest(moves: &[Move]) -> f64 {
    moves.iter().map(|it| it.to[2]).fold(f64::INFINITY, f64::min)
}
