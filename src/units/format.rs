//! Numbers as a person reads them. Two styles, each with its own reason:
//!
//! - *ASCII* ([`four_digits`], [`three_digits`], [`ascii_point`], [`ascii_direction`]): for
//!   sentences of findings, the terminal, files and labels, which are searched, piped and
//!   typed in again; a hyphen for minus, no thin spaces.
//! - *Typeset* ([`number`] and all that build on it): for the report, where numbers stand in
//!   tables and pictures; a minus sign, thin spaces, and "not known" for what is missing.

use std::borrow::Cow;

/// Said wherever a value is `null`.
pub const NOT_KNOWN: &str = "not known";

/// `value` with four digits at most, in ASCII: 3928, 54.0 as 54, 0.0485. For what a person
/// may read off a gauge or write back into a file, where a fourth digit still matters.
pub fn four_digits(value: f64) -> String {
    if value.abs() >= 1000.0 || !value.is_finite() {
        return format!("{value:.0}");
    }
    // As many decimals as leave four digits, counting from the first that is not zero.
    let magnitude = value.abs().max(1e-6).log10().floor();
    let decimals = (0..=9).find(|&n| f64::from(n) >= 3.0 - magnitude).unwrap_or(9);
    let text = format!("{value:.*}", usize::try_from(decimals).unwrap_or(9));
    without_zeros(&text).to_owned()
}

/// `value` with three digits and at most three decimals, in ASCII: 156, 54.6, 0.02. For the
/// sentences of findings, whose numbers are not known any better than that.
pub fn three_digits(value: f64) -> String {
    let size = value.abs();
    let decimals = match size {
        s if s >= 99.95 => 0,
        s if s >= 9.995 => 1,
        s if s >= 0.9995 => 2,
        _ => 3,
    };
    without_zeros(&format!("{value:.decimals$}")).to_owned()
}

/// A point in part coordinates, in ASCII: "(12.0, 4.5, 8.0)". One decimal each, for the eye
/// has to find the place on the part.
pub fn ascii_point(at_mm: impl Into<[f64; 3]>) -> String {
    // Nothing added to minus zero is zero.
    let [x, y, z] = at_mm.into().map(|value| value + 0.0);
    format!("({x:.1}, {y:.1}, {z:.1})")
}

/// A direction in ASCII: "+z" along an axis of the part, otherwise its three numbers.
pub fn ascii_direction(vector: impl Into<[f64; 3]>) -> String {
    let vector = vector.into();
    for (value, name) in vector.iter().zip(['x', 'y', 'z']) {
        if value.abs() > 0.999_999 {
            return format!("{}{name}", if *value > 0.0 { '+' } else { '-' });
        }
    }
    let [x, y, z] = vector.map(|value| value + 0.0);
    format!("({x:.3}, {y:.3}, {z:.3})")
}

/// `value` with about three digits, typeset for the report: a minus sign, thin spaces
/// between thousands, and never an exponent for what a mold maker meets.
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
    let text = without_zeros(&text);
    let sign = if value < 0.0 { "−" } else { "" };
    format!("{sign}{}", grouped(text))
}

/// A tick of a legend, typeset: the number as it is, for ticks that differ in the fourth
/// digit must not read the same.
pub fn tick(value: f64) -> String {
    rounded(value, 6)
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

/// `text` with a large first letter, to begin a sentence.
pub fn capitalized(text: &str) -> String {
    with_first(text, |first| first.to_uppercase().to_string())
}

/// `text` with a small first letter, to stand within a sentence.
pub fn lowered(text: &str) -> String {
    with_first(text, |first| first.to_lowercase().to_string())
}

fn with_first(text: &str, change: impl Fn(char) -> String) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| change(first) + letters.as_str())
}

/// A whole number, or that it is not known.
pub fn count(value: Option<usize>) -> String {
    known(value.map(|value| grouped(&value.to_string())))
}

/// `text` as it is quoted in one line: its first [`QUOTED`] characters, control characters as
/// spaces.
pub fn shortened(text: &str) -> Cow<'_, str> {
    let is_long = text.chars().nth(QUOTED).is_some();
    if !is_long && !text.contains(char::is_control) {
        return Cow::Borrowed(text);
    }
    let start = text.chars().take(QUOTED);
    let start = start.map(|letter| if letter.is_control() { ' ' } else { letter });
    Cow::Owned(start.chain(is_long.then_some('…')).collect())
}

/// Characters of a text that are quoted in a message.
pub const QUOTED: usize = 60;

/// A length of `mm` as a shop in inches writes it: "2-1/2 in" on the grid of 64ths, else
/// "0.245 in".
pub fn inches(mm: f64) -> String {
    let sixty_fourths = mm / 25.4 * 64.0;
    let nearest = sixty_fourths.round();
    if (sixty_fourths - nearest).abs() > 1e-6 || !(1.0..1e6).contains(&nearest) {
        return format!("{} in", without_zeros(&format!("{:.3}", mm / 25.4)));
    }
    let (whole, mut above, mut below) =
        ((nearest / 64.0).floor(), (nearest % 64.0) as u32, 64);
    while above > 0 && above % 2 == 0 {
        (above, below) = (above / 2, below / 2);
    }
    match (whole > 0.0, above) {
        (_, 0) => format!("{whole} in"),
        (true, _) => format!("{whole}-{above}/{below} in"),
        (false, _) => format!("{above}/{below} in"),
    }
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

/// A point in part coordinates, typeset: to a hundredth of a millimeter, finer than a small
/// mill places a cutter.
pub fn point(at_mm: [f64; 3]) -> String {
    let [x, y, z] = at_mm.map(coordinate);
    format!("({x}, {y}, {z}) mm")
}

/// A point, or a dash for what has none.
pub fn maybe_point(at_mm: Option<[f64; 3]>) -> String {
    at_mm.map_or_else(|| "—".to_owned(), point)
}

/// A direction, typeset: `+z` along an axis of the part, otherwise its three numbers.
pub fn direction(vector: [f64; 3]) -> String {
    for (axis, name) in ["x", "y", "z"].iter().enumerate() {
        if vector[axis].abs() > 1.0 - 1e-9 {
            return format!("{}{name}", if vector[axis] < 0.0 { "−" } else { "+" });
        }
    }
    let [x, y, z] = vector.map(number);
    format!("({x}, {y}, {z})")
}

/// A coordinate to a hundredth of a millimeter.
fn coordinate(value: f64) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    rounded(value, 2)
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

/// `value` with so many decimals at most, and a minus sign where it is not zero then.
fn rounded(value: f64, decimals: usize) -> String {
    let rounded = format!("{:.decimals$}", value.abs());
    let text = without_zeros(&rounded);
    let sign = if value < 0.0 && text != "0" { "−" } else { "" };
    format!("{sign}{text}")
}

/// `text` without the zeros that end its decimals.
fn without_zeros(text: &str) -> &str {
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::{
        area, ascii_direction, ascii_point, direction, four_digits, maybe, number,
        percent, point, quantity, three_digits, tick, volume,
    };

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
        assert_eq!(point([1.0, -2.005, -0.001]), "(1, −2, 0) mm");
        assert_eq!(direction([0.0, 0.0, -1.0]), "−z");
        assert_eq!(direction([0.6, 0.0, 0.8]), "(0.6, 0, 0.8)");
    }

    #[test]
    fn a_long_text_is_cut_and_inches_are_fractions() {
        assert_eq!(super::shortened("a b"), "a b");
        assert_eq!(super::shortened("a\nb"), "a b");
        let long = super::shortened(&"µ".repeat(200_000)).into_owned();
        assert_eq!(long.chars().count(), super::QUOTED + 1);
        for (mm, text) in [
            (25.4, "1 in"),
            (63.5, "2-1/2 in"),
            (15.875, "5/8 in"),
            (0.396_875, "1/64 in"),
            (6.2, "0.244 in"),
            (0.0, "0 in"),
        ] {
            assert_eq!(super::inches(mm), text);
        }
    }

    #[test]
    fn a_gauge_is_read_to_four_digits() {
        for (value, text) in [
            (3927.66, "3928"),
            (54.0, "54"),
            (0.0485, "0.0485"),
            (12.3456, "12.35"),
            (999.96, "1000"),
            (0.0, "0"),
            (-1.5, "-1.5"),
            (100.0, "100"),
        ] {
            assert_eq!(four_digits(value), text);
        }
    }

    #[test]
    fn a_sentence_keeps_three_digits_points_and_directions() {
        for (value, text) in [
            (156.4, "156"),
            (54.65, "54.6"),
            (3.5727, "3.57"),
            (2.5, "2.5"),
            (0.02, "0.02"),
            (0.000_4, "0"),
            (99.97, "100"),
            (0.0, "0"),
            (1200.0, "1200"),
            (-12.34, "-12.3"),
        ] {
            assert_eq!(three_digits(value), text);
        }
        assert_eq!(ascii_point([-0.0, 4.25, -8.0]), "(0.0, 4.2, -8.0)");
        assert_eq!(ascii_direction([0.0, -1.0, 0.0]), "-y");
        assert_eq!(ascii_direction([0.6, 0.0, 0.8]), "(0.600, 0.000, 0.800)");
    }

    #[test]
    fn what_may_be_missing_is_written_or_said_to_be_missing() {
        assert_eq!(super::maybe_percent(Some(0.25)), percent(0.25));
        assert_eq!(super::maybe_percent(None), super::known(None));
        let at = [1.0, 2.5, -3.0];
        assert_eq!(super::maybe_point(Some(at)), point(at));
        assert_eq!(super::maybe_point(None), "—");
        assert!(!super::known(None).is_empty() && percent(0.25).contains("25"));
    }
}
