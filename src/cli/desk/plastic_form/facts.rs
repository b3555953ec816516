//! What matters of a plastic of the user's own, and its ranges in words.

use crate::process::plastic::Plastic;
use crate::process::sourced::Range;
use crate::units::format::three_digits;
use crate::units::{Pressure, Quantity, Ratio, Temperature, in_celsius};

/// Low and high of a range of temperatures, written.
pub(super) fn celsius(range: Option<Range<Temperature>>) -> [Option<String>; 3] {
    ends(range, |heat| format!("{} C", three_digits(in_celsius(heat))))
}

/// Low and high of a range of shares, written.
pub(super) fn percent(range: Option<Range<Ratio>>) -> [Option<String>; 3] {
    ends(range, |share| format!("{} %", three_digits(share.si() * 100.0)))
}

/// Low and high of a range, written; what lies between is that of other ends.
fn ends<Q: Quantity>(
    range: Option<Range<Q>>,
    write: impl Fn(Q) -> String,
) -> [Option<String>; 3] {
    let Some(range) = range else { return [const { None }; 3] };
    [Some(write(range.low)), Some(write(range.high)), None]
}

/// Shear rate that melts are compared at: that in a gate of a small press, 1/s (judgment).
const SHEAR_RATE: f64 = 1000.0;

/// What matters of the plastic, beside the one that it is like.
pub(super) fn facts(plastic: &Plastic, base: &Plastic) -> Vec<(&'static str, String)> {
    let span = |ends: [Option<String>; 3], typical: Option<String>| {
        let [low, high, _] = ends;
        let (low, high) = low.zip(high)?;
        let usual = typical.map_or_else(String::new, |it| format!(", usually {it}"));
        Some(format!("{low} to {high}{usual}"))
    };
    let heat = |range: Option<Range<Temperature>>| {
        let usual = range.map(|range| format!("{:.0} C", in_celsius(range.typical())));
        span(celsius(range), usual).map(|text| text.replace(" C", " °C"))
    };
    let lines = [
        ("Melt", heat(plastic.melt_temperature.value)),
        ("Mold", heat(plastic.mold_temperature.value)),
        ("Shrinks", span(percent(plastic.shrinkage.value), None)),
        ("Resists flow", resistance(plastic, base)),
        (
            "That is sure within",
            plastic
                .viscosity_doubt
                .value
                .map(|doubt| format!("{} times either way", three_digits(doubt))),
        ),
    ];
    lines.into_iter().filter_map(|(name, value)| Some((name, value?))).collect()
}

/// How much more or less the melt resists than that of `base`, both at the usual temperature of
/// `base`.
fn resistance(plastic: &Plastic, base: &Plastic) -> Option<String> {
    let at = base.melt_temperature.value?.typical();
    let of = |plastic: &Plastic| {
        Some(plastic.viscosity.value?.pa_s(SHEAR_RATE, at, Pressure::from_si(0.0)))
    };
    let times = of(plastic)? / of(base)?;
    let celsius = three_digits(in_celsius(at));
    Some(format!(
        "{} times as much as {} at {celsius} °C",
        three_digits(times),
        base.name
    ))
}
