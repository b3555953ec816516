//! Gate, vents, their reliefs and pry slots by a flat cutter; the runner by a ball of its own width.

use super::holes::ABOVE_MM;
use super::path::Path;
use super::setup::Setup;
use super::tool::Tool;
use crate::mold::cut_feature::{Cut, Kind};

/// Plunging goes at this share of the feed (common practice: 10 to 30 %).
pub(super) const PLUNGE: f64 = 0.2;
/// Lanes beside each other overlap, so that no ridge stays: one is so much of the width from the next.
const LANE: f64 = 0.8;
/// How far a lane goes is tried by steps of this, mm.
const TRY_MM: f64 = 0.05;

/// Depth of one cut and side step, mm, and feed, mm/min.
#[derive(Clone, Copy)]
pub(super) struct Rates {
    pub(super) pass: f64,
    pub(super) step: f64,
    pub(super) feed: f64,
}

/// A slot with a level floor, in the axes of a setup; lengths in mm.
struct Strip {
    at: [f64; 2],
    way: [f64; 2],
    along: [f64; 2],
    half_width: f64,
    floor: f64,
    top: f64,
}

impl Strip {
    fn place(&self, along: f64, aside: f64) -> [f64; 2] {
        let [x, y] = self.way;
        [self.at[0] + x * along - y * aside, self.at[1] + y * along + x * aside]
    }
}

/// Mills a slot, lane by lane, as far as the finished half leaves room for the cutter.
///
/// # Errors
/// Why it is no plain one.
pub(super) fn slot(
    setup: &Setup<'_>,
    path: &mut Path,
    cut: &Cut,
    tool: Tool,
    rates: Rates,
) -> Result<(), String> {
    let strip = strip(setup, cut)?;
    let aside = strip.half_width - tool.radius();
    if aside < -1e-6 {
        return Err("the cutter is wider".to_owned());
    }
    let beside = (2.0 * aside / (LANE * tool.diameter) - 1e-6).ceil().max(0.0) as u32;
    let mut lanes = Vec::new();
    for lane in 0..=beside {
        let share = if beside == 0 { 0.5 } else { f64::from(lane) / f64::from(beside) };
        let aside = aside * (2.0 * share - 1.0);
        let [from, to] = lane_ends(setup, &strip, aside, tool)
            .ok_or("there is no room for the cutter")?;
        lanes.push([strip.place(from, aside), strip.place(to, aside)]);
    }
    for lane in lanes {
        to_and_fro(path, lane, [strip.top, strip.floor], rates);
    }
    Ok(())
}

/// Mills the groove of a runner by a ball of its width.
///
/// # Errors
/// Where it has no end.
pub(super) fn groove(
    setup: &Setup<'_>,
    path: &mut Path,
    cut: &Cut,
    tool: Tool,
    rates: Rates,
) -> Result<(), String> {
    let end = cut.end.ok_or("it has no end")?;
    let lane = [cut.at, end].map(|at| setup.flat(at));
    let [low, high] = setup.heights(cut);
    let floor = f64::midpoint(low, high) - tool.radius();
    let top = top(setup, &lane)?;
    to_and_fro(path, lane, [top, floor], rates);
    Ok(())
}

/// One lane, deeper with every pass, from its second end.
fn to_and_fro(path: &mut Path, lane: [[f64; 2]; 2], heights: [f64; 2], rates: Rates) {
    let [top, floor] = heights;
    let passes = ((top - floor) / rates.pass.max(1e-3) - 1e-6).ceil().max(1.0);
    let [far, near] = lane;
    path.approach(near, top + ABOVE_MM);
    for pass in 1..=passes as u32 {
        let z = top - (top - floor) * f64::from(pass) / passes;
        let [from, to] = if pass % 2 == 1 { [near, far] } else { [far, near] };
        path.cut([from[0], from[1], z], PLUNGE * rates.feed);
        path.cut([to[0], to[1], z], rates.feed);
    }
    path.lift();
}

fn strip(setup: &Setup<'_>, cut: &Cut) -> Result<Strip, String> {
    let points: Vec<_> = cut.solid.points.iter().map(|at| setup.place(at)).collect();
    let [floor, high] = setup.heights(cut);
    let is_level =
        points.iter().all(|at| (at.z - floor).abs() < 1e-6 || (at.z - high).abs() < 1e-6);
    if !is_level {
        return Err("its floor follows a slope: CAM or a scraper".to_owned());
    }
    let (at, way, half_width, most) = match (cut.kind, cut.end) {
        (Kind::Pry, _) => across(setup, cut),
        (_, Some(end)) => {
            let [from, to] = [cut.at, end].map(|at| setup.flat(at));
            let way = [to[0] - from[0], to[1] - from[1]];
            let length = way[0].hypot(way[1]).max(f64::MIN_POSITIVE);
            (from, way.map(|it| it / length), cut.width / 2.0, length)
        }
        (_, None) => return Err("it has no end".to_owned()),
    };
    let far = points
        .iter()
        .map(|point| (point.x - at[0]) * way[0] + (point.y - at[1]) * way[1]);
    let along = far.fold([f64::INFINITY, f64::NEG_INFINITY], |span, it| {
        [span[0].min(it), span[1].max(it)]
    });
    // What leads to the open ends at the wall of the block.
    let along = [along[0], along[1].min(most)];
    let mut strip = Strip { at, way, along, half_width, floor, top: 0.0 };
    let ends = along.map(|along| strip.place(along, 0.0));
    strip.top = top(setup, &ends)?;
    Ok(strip)
}

/// Middle, way, half the width and half the length of a pry slot, which lies along an edge.
fn across(setup: &Setup<'_>, cut: &Cut) -> ([f64; 2], [f64; 2], f64, f64) {
    let bounds = cut.solid.bounds();
    let [a, b] = [bounds.min, bounds.max].map(|at| setup.flat([at.x, at.y]));
    let middle = [0, 1].map(|axis| f64::midpoint(a[axis], b[axis]));
    let [wide, high] = [0, 1].map(|axis| (a[axis] - b[axis]).abs());
    if wide >= high {
        (middle, [1.0, 0.0], high / 2.0, wide / 2.0)
    } else {
        (middle, [0.0, 1.0], wide / 2.0, high / 2.0)
    }
}

/// The highest metal along a line.
fn top(setup: &Setup<'_>, line: &[[f64; 2]; 2]) -> Result<f64, String> {
    let [from, to] = *line;
    let heights = (1..=9).filter_map(|step| {
        let share = f64::from(step) / 10.0;
        setup.surface([0, 1].map(|axis| from[axis] + (to[axis] - from[axis]) * share))
    });
    let top = heights.fold(f64::NEG_INFINITY, f64::max);
    if top.is_finite() { Ok(top) } else { Err("it lies beside the metal".to_owned()) }
}

/// How far a lane goes both ways: until metal is in the way, and no farther than opens its ends.
fn lane_ends(
    setup: &Setup<'_>,
    strip: &Strip,
    aside: f64,
    tool: Tool,
) -> Option<[f64; 2]> {
    let is_free = |along: f64| {
        let [x, y] = strip.place(along, aside);
        setup.has_room([x, y, strip.floor], tool)
    };
    let middle = f64::midpoint(strip.along[0], strip.along[1]);
    // Room counts a tool smaller by half a cell, and a wall may begin a whole one before the middle
    // of the cell that shows it: so far ahead there has to be room as well.
    let ahead = 1.5 * setup.grid.cell;
    let reach = |end: f64, sign: f64| {
        let most = (end - middle).abs() + tool.radius();
        let steps = (most / TRY_MM).ceil().max(1.0) as u32;
        let places = (1..=steps)
            .map(|step| middle + sign * most * f64::from(step) / f64::from(steps));
        let is_open = |along: &f64| is_free(along + sign * ahead);
        places.take_while(is_open).last().unwrap_or(middle)
    };
    is_free(middle).then(|| [reach(strip.along[0], -1.0), reach(strip.along[1], 1.0)])
}
