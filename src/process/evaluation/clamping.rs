//! Whether this mold stays shut: the force that opens it, the clamp, the plates, the worst
//! bolt, and what cures it.

use super::super::press::circle;
use super::super::sourced::Range;
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::flash::{
    self, Held, Land, Opening, Shut, ShutError, Sprue,
};
use crate::process::clamping::force::{self, ClampForce, Middles};
use crate::process::clamping::mold_plates::{Plates, THICKNESS_MM};
use crate::process::clamping::remedies::{self, Cure};
use crate::process::evaluation::{EvaluationInput, PartData};
use crate::process::feed::layout::FeedLayout;
use crate::units::{
    Area, Force, Length, Quantity, Ratio, format::four_digits, from_mm, in_mm,
};

/// Metal left behind a cavity when the plates are not given: 20 mm, the high end of the 12 to
/// 20 of common practice, because plates in a vise or on a bench bow freely.
pub const BEHIND_MM: f64 = 20.0;
/// Thicknesses of flat bar on the shelf, mm (common sizes; 25 is one inch bar).
pub const BARS_MM: [f64; 8] = [25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 120.0];

/// No thicker bar is taken to keep the plates from bowing, mm (judgement: beyond it bolts
/// nearer to the cavity, or a smaller part, cost less).
const STIFF_MM: f64 = 60.0;

/// Diameter of a bolt hole over that of its thread: medium clearance holes are 1.1 (ISO
/// 273).
const CLEARANCE: f64 = 1.1;

/// Whether the mold stays shut.
#[derive(Clone, Debug)]
pub struct MoldClamping {
    /// Opening against holding force, as a whole.
    pub force: ClampForce,
    /// Area of the feed in it.
    pub feed_area: Area,
    /// What the nozzle adds; negative where it presses the halves together; `None` when the
    /// press file does not say.
    pub nozzle: Option<Force>,
    /// The plates.
    pub plates: Plates,
    /// Clamping force over what keeps the whole land touching, where a vise or a force
    /// squeezes it: less than the margin of the whole when it pushes beside the melt.
    pub squeezed: Option<f64>,
    /// Stress on the land with the mold shut and empty; `None` where the force is not known or
    /// no land is left.
    pub land: Option<Land>,
    /// Bolts and plates; `None` where no bolts hold the mold.
    pub bolted: Option<Result<Bolted, ShutError>>,
}

/// A mold that bolts hold.
#[derive(Clone, Debug)]
pub struct Bolted {
    /// Loads, joint, bow and gap.
    pub shut: Shut,
    /// Metal behind the cavity.
    pub behind: Length,
    /// Depth of vents in which the plastic stays: below it no flash, above it sure.
    pub stays_in: Option<Range<Length>>,
    /// Each change that is enough alone.
    pub cures: Vec<Cure>,
}

/// The plates for this part: as the press file has them, else around the part, thick enough
/// for its deeper half and stiff enough to stay shut.
pub fn plates(shape: &PartData, with: &EvaluationInput<'_>) -> Plates {
    let mold = with.press.mold.clone().unwrap_or_default();
    let bolt = with.press.bolts().and_then(|bolts| bolts.thread().ok());
    let extents = longer_first(shape.extents, shape.extents);
    let mut plates = mold.plates(extents, bolt.map(|thread| thread.diameter));
    if mold.thickness.is_none() {
        thicken(&mut plates, deepest(shape));
        stiffen(&mut plates, shape, with);
    }
    plates
}

/// Takes the bar that leaves enough behind the cavity, where one inch does not.
fn thicken(plates: &mut Plates, deepest: Length) {
    let bar = bar(in_mm(deepest) + BEHIND_MM);
    if bar > THICKNESS_MM {
        let why = format!("the bar that leaves {BEHIND_MM} mm behind the cavity");
        take(plates, bar, why);
    }
}

/// The thinnest bar of the shelf that is at least so thick, mm.
pub fn bar(wanted: f64) -> f64 {
    let fits = BARS_MM.iter().copied().find(|bar| *bar >= wanted - 1e-6);
    fits.unwrap_or_else(|| wanted.ceil())
}

/// Takes the thinnest bar with which the parting opens less than the plastic creeps into,
/// where one up to [`STIFF_MM`] does; the feed counts by its usual share, because its length
/// follows the plates.
fn stiffen(plates: &mut Plates, shape: &PartData, with: &EvaluationInput<'_>) {
    let (Some(bolts), Some(stays_in)) =
        (with.press.bolts(), with.plastic.vent_depth.value)
    else {
        return;
    };
    let area =
        shape.projected_area * (Ratio::from_si(1.0) + with.choices.usual_feed_share());
    let opening = opening(shape, area, with);
    let gapes = |thickness: Length| {
        let plates = Plates { thickness, ..plates.clone() };
        let held = held(&plates, shape, bolts);
        let shut = flash::shut(&opening, &held).ok();
        shut.is_none_or(|shut| shut.gap >= stays_in.low)
    };
    if !gapes(plates.thickness) {
        return;
    }
    let thicker = BARS_MM.iter().copied().filter(|bar| *bar <= STIFF_MM);
    let thicker = thicker.filter(|bar| *bar > in_mm(plates.thickness));
    let enough = thicker.into_iter().find(|bar| !gapes(from_mm(*bar)));
    if let Some(bar) = enough {
        let low = four_digits(1e3 * in_mm(stays_in.low));
        let why = format!(
            "the bar that bows so little that the halves gape less than {low} µm"
        );
        take(plates, bar, why);
    }
}

/// Takes this bar for this reason.
fn take(plates: &mut Plates, bar: f64, why: String) {
    plates.set_thickness(from_mm(bar), &format!("{bar:.0} mm, {why}"));
    plates.thickness_why = Some(why);
}

/// Both plates bow: neither is known to lie on the press.
fn held<'a>(plates: &'a Plates, shape: &PartData, bolts: &'a Bolts) -> Held<'a> {
    Held { plates, behind: plates.thickness - deepest(shape), bolts, free_plates: 2 }
}

/// What opens the mold over `area`.
fn opening(shape: &PartData, area: Area, with: &EvaluationInput<'_>) -> Opening {
    Opening {
        pressure: with.press.melt_pressure(),
        area,
        extents: longer_first(shape.extents, shape.extents),
        middle: longer_first(shape.off_middle, shape.extents),
        nozzle: nozzle(with).unwrap_or_default(),
    }
}

/// What the nozzle adds.
fn nozzle(with: &EvaluationInput<'_>) -> Option<Force> {
    let sprue = if with.choices.feed.layout == Some(FeedLayout::Split) {
        Sprue::SplitFlat
    } else {
        Sprue::ThroughOneHalf
    };
    with.press.contact_force().map(|contact| flash::nozzle_push(contact, sprue))
}

fn deepest(shape: &PartData) -> Length {
    shape.depths[0].max(shape.depths[1])
}

/// `of`, turned so that the longer of `extents` comes first.
fn longer_first(of: [Length; 2], extents: [Length; 2]) -> [Length; 2] {
    if extents[0] >= extents[1] { of } else { [of[1], of[0]] }
}

/// Whether these plates stay shut on part and feed.
pub fn evaluate(
    shape: &PartData,
    plates: Plates,
    feed_area: Area,
    with: &EvaluationInput<'_>,
) -> MoldClamping {
    let area = shape.projected_area + feed_area;
    let middle = longer_first(shape.off_middle, shape.extents);
    let clamp = with.press.clamp.as_ref();
    let clamping = clamp.and_then(|clamp| clamp.off_middle).unwrap_or_default();
    let middles = Middles { pressure: middle, clamping };
    let mut force = force::load(
        with.press.melt_pressure(),
        area,
        with.press.holding_force(),
        Some(middles),
    );
    let opening = opening(shape, area, with);
    force.opening = opening.force();
    force.margin =
        force.holding.and_then(|holding| force::margin(holding, force.opening));
    let bolted = with.press.bolts().map(|bolts| {
        let held = held(&plates, shape, bolts);
        let behind = held.behind;
        if behind.si() <= 0.0 {
            return Err(ShutError::NoMetal);
        }
        let shut = flash::shut(&opening, &held)?;
        let stays_in = with.plastic.vent_depth.value;
        let cures = stays_in.map_or_else(Vec::new, |stays_in| {
            remedies::cures(&opening, &held, &shut, stays_in.low)
        });
        Ok(Bolted { shut, behind, stays_in, cures })
    });
    let squeezed = squeezed(&force, middles, &plates, with);
    let land = land(area, &plates, with);
    let nozzle = nozzle(with);
    MoldClamping { force, feed_area, nozzle, plates, squeezed, land, bolted }
}

/// The margin at the corner of the land, where no bolts hold it.
fn squeezed(
    force: &ClampForce,
    middles: Middles,
    plates: &Plates,
    with: &EvaluationInput<'_>,
) -> Option<f64> {
    let clamp = with.press.clamp.as_ref().filter(|clamp| clamp.bolts.is_none())?;
    let along = clamp.jaw.map_or(plates.edges[0], |jaw| jaw.min(plates.edges[0]));
    let half = [along / 2.0, plates.edges[1] / 2.0];
    let off = [0, 1].map(|axis| middles.pressure[axis] - middles.clamping[axis]);
    flash::squeeze_margin(force.holding?, force.opening, off, half)
}

/// Stress on all of the plate that is neither cavity nor bolt hole, from the high end of
/// the clamping force.
fn land(cavity: Area, plates: &Plates, with: &EvaluationInput<'_>) -> Option<Land> {
    let whole = plates.edges[0] * plates.edges[1];
    let Some(bolts) = with.press.bolts() else {
        return flash::land(with.press.holding_force()?, whole - cavity, plates.alloy);
    };
    let count = f64::from(bolts.count);
    let hole = circle(bolts.thread().ok()?.diameter * CLEARANCE);
    let force = bolts.high_preload().ok()?;
    flash::land(force, whole - cavity - hole * count, plates.alloy)
}

impl MoldClamping {
    /// The margin that counts: of the worst bolt where bolts hold, of the worst corner of the
    /// land where a vise or a force squeezes it.
    pub fn margin(&self) -> Option<f64> {
        let worst = self.bolted().and_then(|bolted| bolted.shut.margin).or(self.squeezed);
        match (worst, self.force.margin) {
            (Some(worst), Some(whole)) => Some(worst.min(whole)),
            (worst, whole) => worst.or(whole),
        }
    }

    /// The bolted mold, where one is known.
    pub fn bolted(&self) -> Option<&Bolted> {
        self.bolted.as_ref()?.as_ref().ok()
    }
}
