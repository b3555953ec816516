//! The shape of standing metal across the pull, and what holds it besides its foot.

use std::f64::consts::TAU;

use crate::geom::{Direction, Frame, Point, Vector};
use crate::part::standing_metal::passage::{Passage, Probe};

/// Middles of a pin lie within this share of its diameter.
const ROUND: f64 = 0.15;

/// A pin is looked at this many ways,
const LOOKS: u32 = 12;

/// and each finds plastic within this share of its diameter: a square core is one too.
const AROUND: f64 = 0.8;

/// The middles of a ring leave no gap wider than this, radians (60°).
const GAP: f64 = TAU / 6.0;

/// And none lies nearer to their center than this share of the farthest: a frame is no pipe.
const HOLLOW: f64 = 0.85;

/// Metal goes on around a corner where it reaches so many thicknesses to one side.
const CORNER: f64 = 1.5;

/// A blade ends where plastic stands within so many thicknesses of its last middle; metal that
/// goes on farther has joined the half.
const ENDS: f64 = 2.0;

/// Standing metal across the pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// Round: the core of a bore.
    Pin,
    /// Long: the core of a slot.
    Fin {
        /// Its length, mm.
        length: f64,
        /// What holds its ends.
        ends: Ends,
    },
    /// Closed around plastic: the core of a groove around a boss.
    Ring {
        /// Mean radius, mm.
        radius: f64,
    },
}

/// Ends of a fin that join the half.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// None: only its foot holds it.
    Free,
    /// One of them.
    One,
    /// Both, so that it is a wall between two pockets.
    Both,
}

impl Form {
    /// Whether its middle lies outside of it.
    pub const fn is_closed_curve(&self) -> bool {
        matches!(self, Self::Ring { .. })
    }

    /// Its length across the pull, mm; of a round pin `None`.
    pub fn length(&self) -> Option<f64> {
        match *self {
            Self::Pin => None,
            Self::Fin { length, .. } => Some(length),
            Self::Ring { radius } => Some(TAU * radius),
        }
    }
}

/// The form of the metal with these passages and this mean thickness.
pub(super) fn find(
    probe: &Probe<'_>,
    frame: &Frame,
    members: &[Passage],
    thickness: f64,
) -> Option<Form> {
    let flat: Vec<[f64; 2]> =
        members.iter().map(|it| frame.flatten(&it.middle)).collect();
    let count = flat.len() as f64;
    let sum = flat.iter().fold([0.0, 0.0], |s, it| [s[0] + it[0], s[1] + it[1]]);
    let center = sum.map(|it| it / count);
    let off: Vec<[f64; 2]> =
        flat.iter().map(|it| [it[0] - center[0], it[1] - center[1]]).collect();
    let radii = || off.iter().map(|[x, y]| x.hypot(*y));
    let farthest = radii().fold(0.0, f64::max);
    if farthest <= ROUND * thickness {
        // Else it is the end of a slot, or a corner.
        return is_surrounded(probe, frame, members, thickness).then_some(Form::Pin);
    }
    if is_ring(&off, farthest) {
        return Some(Form::Ring { radius: radii().sum::<f64>() / count });
    }
    let moment = |i: usize, j: usize| off.iter().map(|it| it[i] * it[j]).sum::<f64>();
    let angle = 0.5 * (2.0 * moment(0, 1)).atan2(moment(0, 0) - moment(1, 1));
    let way = Direction::new(frame.across(angle))?;
    let along = |it: &&Passage| way.dot(&it.middle.coords);
    let by_place = |a: &&Passage, b: &&Passage| along(a).total_cmp(&along(b));
    let first = members.iter().min_by(by_place)?;
    let last = members.iter().max_by(by_place)?;
    let beyond = [(first, way.reversed()), (last, way)]
        .map(|(end, way)| end_of(probe, &end.middle, way, thickness));
    let joined = beyond.iter().filter(|it| it.is_none()).count();
    let more: f64 = beyond.iter().map(|it| it.unwrap_or(probe.spacing() / 2.0)).sum();
    let ends = match joined {
        0 => Ends::Free,
        1 => Ends::One,
        _ => Ends::Both,
    };
    Some(Form::Fin { length: along(&last) - along(&first) + more, ends })
}

/// Whether plastic stands as near all around these middles as their thickness says.
fn is_surrounded(
    probe: &Probe<'_>,
    frame: &Frame,
    members: &[Passage],
    thickness: f64,
) -> bool {
    let sum = members.iter().map(|it| it.middle.coords).sum::<Vector>();
    let middle = Point::from(sum / members.len() as f64);
    (0..LOOKS).all(|look| {
        let angle = TAU * f64::from(look) / f64::from(LOOKS);
        let way = Direction::new(frame.across(angle));
        let far = way.and_then(|way| probe.to_plastic(&middle, way));
        far.is_some_and(|far| far <= AROUND * thickness)
    })
}

/// How far beyond its last middle a blade ends, mm; `None` where it joins the half, or goes on
/// around a corner, which holds it too.
fn end_of(
    probe: &Probe<'_>,
    middle: &Point,
    way: Direction,
    thickness: f64,
) -> Option<f64> {
    let near = ENDS * thickness + 2.0 * probe.spacing();
    let far = probe.to_plastic(middle, way).filter(|far| *far <= near)?;
    let corner = middle + way.vector() * (far - thickness / 2.0);
    let across = Direction::new(probe.pull().vector().cross(&way.vector()))?;
    let goes_on = [across, across.reversed()].into_iter().any(|way| {
        let far = probe.to_plastic(&corner, way);
        far.is_none_or(|far| far > CORNER * thickness)
    });
    (!goes_on).then_some(far)
}

/// Whether these middles close around their center.
fn is_ring(off: &[[f64; 2]], farthest: f64) -> bool {
    let nearest = off.iter().map(|[x, y]| x.hypot(*y)).fold(f64::INFINITY, f64::min);
    if nearest < HOLLOW * farthest {
        return false;
    }
    let mut angles: Vec<f64> = off.iter().map(|[x, y]| y.atan2(*x)).collect();
    angles.sort_by(f64::total_cmp);
    let Some(first) = angles.first().copied() else { return false };
    let next = angles.iter().skip(1).copied().chain([first + TAU]);
    angles.iter().zip(next).all(|(a, b)| b - a <= GAP)
}
