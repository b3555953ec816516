//! Which plates this part takes: as the press file has them, else the bar that leaves enough
//! metal behind the cavity and bows little enough.

use super::clamping::{ClosedMold, longer_first};
use super::{EvaluationInput, PartData, RequiredBand};
use crate::process::clamping::mold_plates::{Bars, Plates};
use crate::units::{
    Length, Pressure, Quantity, Ratio,
    format::{four_digits, three_digits},
    from_mm, in_mm, in_mpa,
};

/// Metal left behind a cavity when the plates are not given: 20 mm, the high end of the 12 to
/// 20 of common practice, because nothing but a vise backs the plates.
pub const BEHIND_MM: f64 = 20.0;
/// No thicker bar is taken to keep the plates from bowing, mm (judgment: beyond it bolts
/// nearer to the cavity, or a smaller part, cost less).
const STIFF_MM: f64 = 60.0;

/// The plates for this part: as the press file has them, else around the part, each thick
/// enough for its half and both stiff enough to stay shut.
pub fn plates(shape: &PartData, with: &EvaluationInput<'_>) -> Plates {
    let mold = with.press.mold.clone().unwrap_or_default();
    let bolt = with.press.bolts().and_then(|bolts| bolts.thread().ok());
    let extents = longer_first(shape.extents, shape.extents);
    let mut plates = mold.plates(extents, bolt.map(|thread| thread.diameter));
    if mold.thickness.is_none() {
        thicken(&mut plates, shape);
        stiffen(&mut plates, shape, with);
    }
    plates
}

/// The bar that leaves enough metal behind a pocket, mm.
fn least_bar(bars: Bars, depth: Length) -> f64 {
    bars.at_least(in_mm(depth) + BEHIND_MM).max(bars.usual_mm())
}

/// Takes the bars that leave enough behind the cavity, where one inch does not.
fn thicken(plates: &mut Plates, shape: &PartData) {
    let [one, other] = shape.depths.map(|depth| least_bar(plates.bars, depth));
    if one.max(other) > plates.bars.usual_mm() {
        let why = format!("the bar that leaves {BEHIND_MM} mm behind the cavity");
        take(plates, [one.max(other), one.min(other)], why);
    }
}

/// Pairs of bars that are at least as thick as these plates, the least metal first and of as
/// much metal those first whose deeper half is thinner; none beyond [`STIFF_MM`]. Halves that
/// start from one bar stay alike, and the shallower half is never the thicker one.
fn bar_pairs(bars: Bars, least: [f64; 2]) -> Vec<[f64; 2]> {
    let [deeper, shallower] = least;
    let from = |least: f64| {
        let thicker = bars.thicknesses_mm().into_iter();
        let thicker = thicker.filter(move |it| *it > least && *it <= STIFF_MM);
        std::iter::once(least).chain(thicker)
    };
    let are_alike = deeper <= shallower;
    let mut pairs: Vec<[f64; 2]> = from(deeper)
        .flat_map(|one| from(shallower).map(move |other| [one, other]))
        .filter(|[one, other]| if are_alike { one <= other } else { true })
        .filter(|[one, other]| other <= one)
        .collect();
    pairs.sort_by(|a, b| {
        (a[0] + a[1]).total_cmp(&(b[0] + b[1])).then(a[0].total_cmp(&b[0]))
    });
    pairs
}

/// Takes the least bars with which the parting opens less than the plastic creeps into at
/// the pressure that is needed, else less than it surely runs into, where bars up to
/// [`STIFF_MM`] do; else the thickest of them. The feed counts by its usual share, because its
/// length follows the plates.
fn stiffen(plates: &mut Plates, shape: &PartData, with: &EvaluationInput<'_>) {
    let stays_in = with.plastic.vent_depth.value;
    let holds = with.press.clamp.as_ref();
    let bows = holds.is_some_and(|clamp| clamp.bolts.is_some() || clamp.vise.is_some());
    let Some(stays_in) = stays_in.filter(|_| bows) else { return };
    let area =
        shape.projected_area * (Ratio::from_si(1.0) + with.choices.usual_feed_share());
    let bare = plates.clone();
    let opens = |pair: [f64; 2], pressure: Pressure| {
        let [thickness, shallower] = pair.map(from_mm);
        let plates = &Plates { thickness, shallower, ..bare.clone() };
        let mold = ClosedMold { shape, plates, area, with };
        mold.gap(pressure).unwrap_or(Length::from_si(f64::INFINITY))
    };
    let least = [bare.thickness, bare.shallower].map(in_mm);
    let pairs = bar_pairs(bare.bars, least);
    let ways = [stays_in.low, stays_in.high].into_iter();
    let mut ways = ways
        .flat_map(|most| needed(with).into_iter().map(move |at| [most.si(), at.si()]));
    let enough = ways.find_map(|[most, at]| {
        let (most, at) = (Length::from_si(most), Pressure::from_si(at));
        let pair = pairs.iter().copied().find(|pair| opens(*pair, at) < most)?;
        let why = format!(
            "the bar that bows so little that the halves open less than {} µm at {} MPa",
            four_digits(1e3 * in_mm(most)),
            three_digits(in_mpa(at))
        );
        Some(Stiff { pair, why })
    });
    // Where the bolts stretch rather than the plates bow, no bar helps.
    let last = || {
        let (pair, at) = (*pairs.last()?, *needed(with).first()?);
        let helps = opens(pair, at) < 0.5 * opens(least, at);
        let why = "the thickest bar: no bar keeps the halves from opening".to_owned();
        helps.then_some(Stiff { pair, why })
    };
    if let Some(Stiff { pair, why }) = enough.or_else(last)
        && pair.iter().zip(least).any(|(bar, least)| *bar > least)
    {
        take(plates, pair, why);
    }
}

/// Bars for the deeper and the shallower half, and why they are taken.
struct Stiff {
    pair: [f64; 2],
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

/// Takes these bars for this reason.
fn take(plates: &mut Plates, pair: [f64; 2], why: String) {
    let [deeper, shallower] = pair;
    let [thick, thin] = pair.map(four_digits);
    let bars = if deeper > shallower {
        format!("{thick} and {thin} mm")
    } else {
        format!("{thick} mm")
    };
    plates.set_thickness(pair.map(from_mm), &format!("{bars}, {why}"));
    plates.thickness_why = Some(why);
}
