//! Which plates this part takes: as the press file has them, else the bar that leaves enough
//! metal behind the cavity and bows little enough.

use super::clamping::{BARS_MM, ClosedMold, bar, longer_first};
use super::{EvaluationInput, PartData, RequiredBand};
use crate::process::clamping::mold_plates::{Plates, THICKNESS_MM};
use crate::units::{
    Length, Pressure, Quantity, Ratio,
    format::{four_digits, three_digits},
    from_mm, in_mm, in_mpa,
};

/// Metal left behind a cavity when the plates are not given: 20 mm, the high end of the 12 to
/// 20 of common practice, because nothing but a vise backs the plates.
pub const BEHIND_MM: f64 = 20.0;
/// No thicker bar is taken to keep the plates from bowing, mm (judgement: beyond it bolts
/// nearer to the cavity, or a smaller part, cost less).
const STIFF_MM: f64 = 60.0;

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

/// Takes the thinnest bar with which the parting opens less than the plastic creeps into at
/// the pressure that is needed, else less than it surely runs into, where one up to
/// [`STIFF_MM`] does; else the thickest of them. The feed counts by its usual share, because its length follows the plates.
fn stiffen(plates: &mut Plates, shape: &PartData, with: &EvaluationInput<'_>) {
    let stays_in = with.plastic.vent_depth.value;
    let holds = with.press.clamp.as_ref();
    let bows = holds.is_some_and(|clamp| clamp.bolts.is_some() || clamp.vise.is_some());
    let Some(stays_in) = stays_in.filter(|_| bows) else { return };
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
