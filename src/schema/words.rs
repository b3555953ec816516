//! How the report speaks: numbers, units and the words for each verdict, said once.

use crate::findings::{Severity, Verdict};

/// Said wherever a value is `null`.
pub const NOT_KNOWN: &str = "not known";

/// The answer in a few words.
pub fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Cut => "Cut it",
        Verdict::FixFirst => "Fix first",
        Verdict::DoNotCut => "Do not cut",
        Verdict::Unknown => "Cannot tell yet",
    }
}

/// The answer in a sentence.
pub fn verdict_meaning(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Cut => "Nothing was found that speaks against milling this mold today.",
        Verdict::FixFirst => {
            "A good part is unlikely until the findings marked Fix are cured."
        }
        Verdict::DoNotCut => {
            "No good part can come out of this mold on this press; see the findings marked Stop."
        }
        Verdict::Unknown => {
            "An input is missing, so nobody can tell; the findings say which one."
        }
    }
}

/// A sign to go with the verdict, so that it never hangs on color.
pub fn verdict_sign(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Cut => "✓",
        Verdict::FixFirst => "!",
        Verdict::DoNotCut => "✕",
        Verdict::Unknown => "?",
    }
}

/// The name of a severity.
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "Stop",
        Severity::Fix => "Fix",
        Severity::Note => "Note",
    }
}

/// `value` with about three digits; never an exponent for what a mold maker meets.
pub fn number(value: f64) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let size = value.abs();
    if size < 1e-12 {
        return "0".to_owned();
    }
    if !(1e-6..1e15).contains(&size) {
        return format!("{value:.2e}").replace('-', "−");
    }
    // Digits left of the point, at most 0 below one; rounding 9.996 up to 10.0 is fine.
    let whole = size.log10().floor() as i32 + 1;
    let decimals = (3 - whole).max(0) as usize;
    let text = format!("{size:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    let sign = if value < 0.0 { "−" } else { "" };
    format!("{sign}{}", grouped(text))
}

/// A tick of a legend: the number as it is, without rounding to three digits.
pub fn tick(value: f64) -> String {
    let rounded = format!("{:.6}", value.abs());
    let text = rounded.trim_end_matches('0').trim_end_matches('.');
    let sign = if value < 0.0 && text != "0" { "−" } else { "" };
    format!("{sign}{text}")
}

/// `value` and its unit.
pub fn quantity(value: f64, unit: &str) -> String {
    let number = number(value);
    match unit {
        _ if !value.is_finite() => number,
        "" => number,
        // An angle's sign stands right at the number.
        "°" | "deg" => format!("{number}°"),
        unit => format!("{number} {unit}"),
    }
}

/// `text`, or that it is not known.
pub fn known(text: Option<String>) -> String {
    text.unwrap_or_else(|| NOT_KNOWN.to_owned())
}

/// `value` and its unit, or that it is not known.
pub fn maybe(value: Option<f64>, unit: &str) -> String {
    known(value.map(|value| quantity(value, unit)))
}

/// A whole number, or that it is not known.
pub fn count(value: Option<usize>) -> String {
    known(value.map(|value| grouped(&value.to_string())))
}

/// A volume in the unit that reads best.
pub fn volume(value_mm3: Option<f64>) -> String {
    match value_mm3 {
        Some(value) if value.abs() >= 100.0 => quantity(value / 1000.0, "cm³"),
        other => maybe(other, "mm³"),
    }
}

/// An area in the unit that reads best.
pub fn area(value_mm2: Option<f64>) -> String {
    match value_mm2 {
        Some(value) if value.abs() >= 1000.0 => quantity(value / 100.0, "cm²"),
        other => maybe(other, "mm²"),
    }
}

/// A force in the unit that reads best.
pub fn force(value_n: Option<f64>) -> String {
    match value_n {
        Some(value) if value.abs() >= 1000.0 => quantity(value / 1000.0, "kN"),
        other => maybe(other, "N"),
    }
}

/// A share of one.
pub fn percent(share: f64) -> String {
    // 0.9996 is not all of it.
    let percent = share * 100.0;
    let shown = if share < 1.0 { percent.min(99.9) } else { percent };
    quantity(shown, "%")
}

/// A share of one, or that it is not known.
pub fn maybe_percent(share: Option<f64>) -> String {
    known(share.map(percent))
}

/// Yes, no, or that it is not known.
pub fn yes(value: Option<bool>) -> &'static str {
    match value {
        Some(true) => "yes",
        Some(false) => "no",
        None => NOT_KNOWN,
    }
}

/// A place in part coordinates.
pub fn place(at_mm: [f64; 3]) -> String {
    let [x, y, z] = at_mm.map(coordinate);
    format!("({x}, {y}, {z}) mm")
}

/// A place, or a dash for what has none.
pub fn maybe_place(at_mm: Option<[f64; 3]>) -> String {
    at_mm.map_or_else(|| "—".to_owned(), place)
}

/// A direction: `+z` along an axis of the part, otherwise its three numbers.
pub fn direction(vector: [f64; 3]) -> String {
    for (axis, name) in ["x", "y", "z"].iter().enumerate() {
        if vector[axis].abs() > 1.0 - 1e-9 {
            return format!("{}{name}", if vector[axis] < 0.0 { "−" } else { "+" });
        }
    }
    let [x, y, z] = vector.map(number);
    format!("({x}, {y}, {z})")
}

/// A name from the program's vocabulary in plain letters.
pub fn plain(name: &str) -> String {
    name.replace('_', " ")
}

/// A coordinate to a hundredth of a millimeter.
fn coordinate(value: f64) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let rounded = format!("{:.2}", value.abs());
    let text = rounded.trim_end_matches('0').trim_end_matches('.');
    let sign = if value < 0.0 && text != "0" { "−" } else { "" };
    format!("{sign}{text}")
}

/// Thin spaces between thousands, from five digits on.
fn grouped(text: &str) -> String {
    let (whole, rest) =
        text.split_once('.').map_or((text, ""), |(whole, rest)| (whole, rest));
    if whole.len() < 5 {
        return text.to_owned();
    }
    let mut grouped = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            grouped.push('\u{202f}');
        }
        grouped.push(digit);
    }
    if !rest.is_empty() {
        grouped = format!("{grouped}.{rest}");
    }
    grouped
}

#[cfg(test)]
mod tests {
    use super::{area, direction, maybe, number, percent, place, quantity, tick, volume};

    #[test]
    fn numbers_have_about_three_digits_and_no_noise() {
        let cases = [
            (0.9, "0.9"),
            (12.345, "12.3"),
            (1234.6, "1235"),
            (0.012_34, "0.0123"),
            (-3.0, "−3"),
            (0.0, "0"),
            (-0.0, "0"),
            (1_234_567.0, "1\u{202f}234\u{202f}567"),
            (9.999, "10"),
            (f64::NAN, "not known"),
            (f64::INFINITY, "not known"),
        ];
        for (value, text) in cases {
            assert_eq!(number(value), text);
        }
        assert_eq!(tick(1250.0), "1250");
        assert_eq!(tick(-0.1), "−0.1");
    }

    #[test]
    fn units_follow_their_numbers() {
        assert_eq!(quantity(1.5, "°"), "1.5°");
        assert_eq!(maybe(Some(0.9), "mm"), "0.9 mm");
        assert_eq!(maybe(None, "mm"), "not known");
        assert_eq!(volume(Some(12_345.0)), "12.3 cm³");
        assert_eq!(volume(Some(12.0)), "12 mm³");
        assert_eq!(area(Some(1234.0)), "12.3 cm²");
        assert_eq!(percent(0.99999), "99.9 %");
        assert_eq!(percent(1.0), "100 %");
        assert_eq!(place([1.0, -2.005, -0.001]), "(1, −2, 0) mm");
        assert_eq!(direction([0.0, 0.0, -1.0]), "−z");
        assert_eq!(direction([0.6, 0.0, 0.8]), "(0.6, 0, 0.8)");
    }
}
