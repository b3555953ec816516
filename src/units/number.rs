//! Numbers as a workshop writes them: "2.5", "2,5", "5/8", "1 1/2", "1½", with the quotes and
//! signs that a text editor makes of straight ones.

/// Fractions that stand as one sign, and the same spelled out.
const SIGNS: [(char, &str); 9] = [
    ('½', "1/2"),
    ('¼', "1/4"),
    ('¾', "3/4"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
    ('⅓', "1/3"),
    ('⅔', "2/3"),
];

/// Why a text does not start with one clear number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NumberError {
    /// There is none.
    Missing,
    /// Its comma may part thousands or stand for a decimal point.
    Comma,
}

/// `text` trimmed, with straight quotes, plain spaces, a hyphen for minus and fractions
/// spelled out; quotes around all of it are left away.
pub(super) fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.trim().chars() {
        match letter {
            '“' | '”' | '„' | '″' => plain.push('"'),
            '‘' | '’' | '′' => plain.push('\''),
            '\u{a0}' | '\u{2009}' | '\u{202f}' => plain.push(' '),
            '−' | '–' => plain.push('-'),
            _ => match SIGNS.iter().find(|(sign, _)| *sign == letter) {
                Some((_, spelled)) => {
                    let follows_digit = plain.ends_with(|c: char| c.is_ascii_digit());
                    plain.extend(follows_digit.then_some(' '));
                    plain.push_str(spelled);
                }
                None => plain.push(letter),
            },
        }
    }
    let around = |quote| plain.strip_prefix(quote)?.strip_suffix(quote);
    match around('"').or_else(|| around('\'')) {
        Some(inside) => inside.trim().to_owned(),
        None => plain.replace("''", "\""),
    }
}

/// The number that a [`plain`] text starts with, and what stands behind it.
pub(super) fn leading(text: &str) -> Result<(f64, &str), NumberError> {
    // "inf" and "nan" parse as numbers, but start with none of these.
    if !text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+')) {
        return Err(NumberError::Missing);
    }
    if let Some(found) = fraction(text) {
        return Ok(found);
    }
    let is_part = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+');
    let end = text.find(|c| !is_part(c)).unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    if number.contains(',') {
        return Ok((with_comma(number)?, rest.trim()));
    }
    let ends = text.char_indices().map(|(start, c)| start + c.len_utf8()).rev();
    // No number is longer: "1e-300" takes six places, all digits of an f64 take 17.
    let ends = ends.filter(|end| *end <= LONGEST);
    ends.filter_map(|end| text.split_at_checked(end))
        .find_map(|(head, rest)| Some((head.parse().ok()?, rest.trim())))
        .ok_or(NumberError::Missing)
}

/// Characters that a number has at the most.
const LONGEST: usize = 400;

/// "5/8", "1 1/2" or "1-1/2", and what stands behind it; no fraction where none is spelled.
fn fraction(text: &str) -> Option<(f64, &str)> {
    let (sign, text) =
        text.strip_prefix('-').map_or((1.0, text), |positive| (-1.0, positive));
    let (first, rest) = digits(text)?;
    if let Some(below) = rest.strip_prefix('/') {
        let (below, rest) = digits(below)?;
        return over(first, below).map(|it| (sign * it, rest.trim()));
    }
    let (above, rest) = digits(rest.strip_prefix([' ', '-'])?.trim_start())?;
    let (below, rest) = digits(rest.strip_prefix('/')?)?;
    over(above, below).map(|it| (sign * (first + it), rest.trim()))
}

fn over(above: f64, below: f64) -> Option<f64> {
    (below > 0.0).then(|| above / below)
}

/// The whole number that `text` starts with, and the rest.
fn digits(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    Some((digits.parse().ok()?, rest))
}

/// A number with commas: one comma is the decimal point, unless three digits behind it may be
/// those of thousands.
fn with_comma(number: &str) -> Result<f64, NumberError> {
    let Some((whole, decimals)) = number.split_once(',') else {
        return Err(NumberError::Missing);
    };
    let starts_with_zero = whole.trim_start_matches(['-', '+']).starts_with('0');
    let may_be_thousands = decimals.len() == 3 && !starts_with_zero;
    if decimals.is_empty() {
        return Err(NumberError::Missing);
    }
    if decimals.contains([',', '.']) || whole.contains('.') || may_be_thousands {
        return Err(NumberError::Comma);
    }
    format!("{whole}.{decimals}").parse().map_err(|_| NumberError::Missing)
}

#[cfg(test)]
mod tests {
    use super::{NumberError, leading, plain};

    fn read(text: &str) -> Result<(f64, String), NumberError> {
        let text = plain(text);
        leading(&text).map(|(number, rest)| (number, rest.to_owned()))
    }

    /// By hand.
    #[test]
    fn fractions_commas_and_signs() {
        for (text, number, rest) in [
            ("5/8 in", 0.625, "in"),
            ("1 1/2 in", 1.5, "in"),
            ("1-1/2\"", 1.5, "\""),
            ("1½”", 1.5, "\""),
            ("¾″", 0.75, "\""),
            ("-3/4 in", -0.75, "in"),
            ("2,5 mm", 2.5, "mm"),
            ("0,125 in", 0.125, "in"),
            ("1500,25 psi", 1500.25, "psi"),
            ("−3 mm", -3.0, "mm"),
            ("“63 mm”", 63.0, "mm"),
            ("1''", 1.0, "\""),
            ("0.02 1/K", 0.02, "1/K"),
            ("2.5e1mm", 25.0, "mm"),
            ("12\u{a0}kN", 12.0, "kN"),
        ] {
            assert_eq!(read(text), Ok((number, rest.to_owned())), "{text}");
        }
    }

    #[test]
    fn a_comma_that_may_part_thousands_is_asked_for() {
        for text in ["1,500 psi", "1,234.5 N", "1.234,5 N", "1,000,000 Pa"] {
            assert_eq!(read(text), Err(NumberError::Comma), "{text}");
        }
        for text in ["", "in", "/8", "-", "µ", ",5", "3,", "-,"] {
            assert_eq!(read(text), Err(NumberError::Missing), "{text}");
        }
    }
}
