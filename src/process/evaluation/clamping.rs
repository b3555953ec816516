//! Whether this mold stays shut: the force that opens it, the clamp, the plates, the worst
//! bolt, and what cures it.

use super::super::press::circle;
use super::super::sourced::Range;
use crate::process::clamping::flash::{
    self, Held, Land, Opening, Shut, ShutError, Sprue,
};
use crate::process::clamping::force::{self, ClampForce, Middles};
use crate::process::clamping::mold_plates::{Plates, THICKNESS_MM};
use crate::process::clamping::remedies::{self, Cure};
use crate::process::evaluation::{EvaluationInput, PartData, RequiredBand};
use crate::process::feed::layout::FeedLayout;
use crate::units::{
    Area, Force, Length, Pressure, Quantity, Ratio,
    format::{four_digits, three_digits},
    from_mm, in_mm, in_mpa,
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
        thicken(&mut plates, shape.deepest());
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

/// Takes the thinnest bar with which the parting opens less than the plastic creeps into at
/// the pressure that is needed, else less than it surely runs into, where one up to
/// [`STIFF_MM`] does; else the thickest of them. The feed counts by its usual share, because its length follows the plates.
fn stiffen(plates: &mut Plates, shape: &PartData, with: &EvaluationInput<'_>) {
    let stays_in = with.plastic.vent_depth.value;
    let Some(stays_in) = stays_in.filter(|_| with.press.bolts().is_some()) else {
        return;
    };
    let area =
        shape.projected_area * (Ratio::from_si(1.0) + with.choices.usual_feed_share());
    let bare = plates.clone();
    let opens = |thickness: Length, pressure: Pressure| {
        let plates = &Plates { thickness, ..bare.clone() };
        let mold = ClosedMold { shape, plates, area, with };
        mold.gap(pressure).unwrap_or(Length::from_si(f64::INFINITY))
    };
    let thicker = BARS_MM.iter().copied().map(from_mm);
    let thicker = thicker.filter(|bar| *bar > bare.thickness && in_mm(*bar) <= STIFF_MM);
    let bars: Vec<Length> = std::iter::once(bare.thickness).chain(thicker).collect();
    let ways = [stays_in.low, stays_in.high].into_iter();
    let mut ways = ways
        .flat_map(|most| needed(with).into_iter().map(move |at| [most.si(), at.si()]));
    let enough = ways.find_map(|[most, at]| {
        let (most, at) = (Length::from_si(most), Pressure::from_si(at));
        let bar = bars.iter().copied().find(|bar| opens(*bar, at) < most)?;
        let why = format!(
            "the bar that bows so little that the halves open less than {} µm at {} MPa",
            four_digits(1e3 * in_mm(most)),
            three_digits(in_mpa(at))
        );
        Some(Stiff { bar, why })
    });
    // Where the bolts stretch rather than the plates bow, no bar helps.
    let last = || {
        let (bar, at) = (*bars.last()?, *needed(with).first()?);
        let helps = opens(bar, at) < 0.5 * opens(bare.thickness, at);
        let why = "the thickest bar: no bar keeps the halves from opening".to_owned();
        helps.then_some(Stiff { bar, why })
    };
    if let Some(Stiff { bar, why }) = enough.or_else(last)
        && bar > bare.thickness
    {
        take(plates, in_mm(bar), why);
    }
}

/// A bar and why it is taken.
struct Stiff {
    bar: Length,
    why: String,
}

/// The pressures that plates are made stiff for, the one to prefer first: what fills in the
/// worst case, else what is expected to fill; all that the press has before that is known.
fn needed(with: &EvaluationInput<'_>) -> Vec<Pressure> {
    let has = with.press.melt_pressure();
    with.filling.map_or_else(
        || vec![has],
        |known| {
            let RequiredBand { expected, worst, .. } = known.required;
            [worst.max(expected), expected].map(|pressure| pressure.min(has)).to_vec()
        },
    )
}

/// Takes this bar for this reason.
fn take(plates: &mut Plates, bar: f64, why: String) {
    plates.set_thickness(from_mm(bar), &format!("{bar:.0} mm, {why}"));
    plates.thickness_why = Some(why);
}

/// A mold in its plates, at any pressure.
#[derive(Clone, Copy)]
pub(super) struct ClosedMold<'a> {
    /// The part in it.
    pub(super) shape: &'a PartData,
    /// Its plates.
    pub(super) plates: &'a Plates,
    /// Projected area of part and feed.
    pub(super) area: Area,
    /// With what.
    pub(super) with: &'a EvaluationInput<'a>,
}

impl ClosedMold<'_> {
    /// The margin that counts at this pressure; `None` where nothing opens, nothing is known
    /// to hold, or bolts and plates cannot hold this part at all.
    pub(super) fn margin(&self, pressure: Pressure) -> Option<f64> {
        let force = self.force(pressure);
        let worst = match self.shut(pressure) {
            Some(shut) => shut.ok()?.margin,
            None => self.squeezed(&force),
        };
        least(worst, force.margin)
    }

    /// How far the halves open beside the cavity at this pressure; `None` where no bolts hold
    /// the mold, or not at all.
    pub(super) fn gap(&self, pressure: Pressure) -> Option<Length> {
        Some(self.shut(pressure)?.ok()?.gap)
    }

    fn force(&self, pressure: Pressure) -> ClampForce {
        let holding = self.with.press.holding_force();
        let mut force = force::load(pressure, self.area, holding, Some(self.middles()));
        force.opening = self.opening(pressure).force();
        force.margin = holding.and_then(|holding| force::margin(holding, force.opening));
        force
    }

    fn shut(&self, pressure: Pressure) -> Option<Result<Shut, ShutError>> {
        let held = self.held()?;
        if held.behind.si() <= 0.0 {
            return Some(Err(ShutError::NoMetal));
        }
        Some(flash::shut(&self.opening(pressure), &held))
    }

    /// Both plates bow: neither is known to lie on the press.
    fn held(&self) -> Option<Held<'_>> {
        let Self { plates, shape, .. } = *self;
        let bolts = self.with.press.bolts()?;
        let behind = plates.thickness - shape.deepest();
        Some(Held { plates, behind, bolts, free_plates: 2 })
    }

    /// What opens it.
    fn opening(&self, pressure: Pressure) -> Opening {
        let Self { shape, area, .. } = *self;
        Opening {
            pressure,
            area,
            extents: longer_first(shape.extents, shape.extents),
            middle: longer_first(shape.off_middle, shape.extents),
            nozzle: nozzle(self.with).unwrap_or_default(),
        }
    }

    fn middles(&self) -> Middles {
        let Self { shape, with, .. } = *self;
        let clamp = with.press.clamp.as_ref();
        Middles {
            pressure: longer_first(shape.off_middle, shape.extents),
            clamping: clamp.and_then(|clamp| clamp.off_middle).unwrap_or_default(),
        }
    }

    /// The margin at the corner of the land, where no bolts hold it.
    fn squeezed(&self, force: &ClampForce) -> Option<f64> {
        let clamp = self.with.press.clamp.as_ref();
        let clamp = clamp.filter(|clamp| clamp.bolts.is_none())?;
        let edges = self.plates.edges;
        let along = clamp.jaw.map_or(edges[0], |jaw| jaw.min(edges[0]));
        let half = [along / 2.0, edges[1] / 2.0];
        let middles = self.middles();
        let off = [0, 1].map(|axis| middles.pressure[axis] - middles.clamping[axis]);
        flash::squeeze_margin(force.holding?, force.opening, off, half)
    }

    /// Stress on all of the plate that is neither cavity nor bolt hole, from the high end of
    /// the clamping force.
    fn land(&self) -> Option<Land> {
        let Self { plates, with, .. } = *self;
        let left = plates.edges[0] * plates.edges[1] - self.area;
        let Some(bolts) = with.press.bolts() else {
            return flash::land(with.press.holding_force()?, left, plates.alloy);
        };
        let count = f64::from(bolts.count);
        let hole = circle(bolts.thread().ok()?.diameter * CLEARANCE);
        let force = bolts.high_preload().ok()?;
        flash::land(force, left - hole * count, plates.alloy)
    }

    /// Bolts and plates at this pressure, and what cures them. Less pressure than fills is
    /// no cure.
    fn bolted(&self, pressure: Pressure) -> Option<Result<Bolted, ShutError>> {
        let held = self.held()?;
        let behind = held.behind;
        let stays_in = self.with.plastic.vent_depth.value;
        let fills = self.with.filling.map(|known| known.required.expected);
        let is_cure = |cure: &Cure| match cure {
            Cure::Pressure(most) => fills.is_none_or(|expected| *most >= expected),
            _ => true,
        };
        Some(self.shut(pressure)?.map(|shut| {
            let mut cures = stays_in.map_or_else(Vec::new, |stays_in| {
                remedies::cures(&self.opening(pressure), &held, &shut, stays_in.low)
            });
            cures.retain(is_cure);
            Bolted { shut, behind, stays_in, cures }
        }))
    }
}

/// The lesser of two margins, or the one that is known.
fn least(one: Option<f64>, other: Option<f64>) -> Option<f64> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
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

/// `of`, turned so that the longer of `extents` comes first.
fn longer_first(of: [Length; 2], extents: [Length; 2]) -> [Length; 2] {
    if extents[0] >= extents[1] { of } else { [of[1], of[0]] }
}

/// Whether the mold stays shut at this pressure.
pub(super) fn evaluate(
    mold: &ClosedMold<'_>,
    feed_area: Area,
    pressure: Pressure,
) -> MoldClamping {
    let force = mold.force(pressure);
    MoldClamping {
        feed_area,
        nozzle: nozzle(mold.with),
        plates: mold.plates.clone(),
        squeezed: mold.squeezed(&force),
        land: mold.land(),
        bolted: mold.bolted(pressure),
        force,
    }
}

impl MoldClamping {
    /// The margin that counts: of the worst bolt where bolts hold, of the worst corner of the
    /// land where a vise or a force squeezes it.
    pub fn margin(&self) -> Option<f64> {
        let worst = self.bolted().and_then(|bolted| bolted.shut.margin).or(self.squeezed);
        least(worst, self.force.margin)
    }

    /// The bolted mold, where one is known.
    pub fn bolted(&self) -> Option<&Bolted> {
        self.bolted.as_ref()?.as_ref().ok()
    }
}
