//! Sentences with metric quantities, and the same in inches, pounds and degrees Fahrenheit.
//!
//! Reports are worded in metric units; where a reader wants others, the quantities of a
//! finished sentence are rewritten. Factors: NIST Special Publication 811 (2008), appendix B.

use std::sync::LazyLock;

use regex::{Captures, Regex};
use serde::{Deserialize, Serialize};

/// An inch, mm.
pub const INCH_MM: f64 = 25.4;

/// One number as reports write it.
const NUMBER: &str = "[−-]?[0-9]+(?:[\u{2009}\u{202f}][0-9]{3})*(?:[.][0-9]+)?";

/// Number of a metric unit, factor and unit that it becomes; temperatures apart.
const FACTORS: [(&str, f64, &str); 15] = [
    ("mm³", 1.0 / 16_387.064, "in³"),
    ("mm²", 1.0 / 645.16, "in²"),
    ("mm", 1.0 / INCH_MM, "in"),
    ("cm³/s", 1.0 / 16.387_064, "in³/s"),
    ("cm³", 1.0 / 16.387_064, "in³"),
    ("cm²", 1.0 / 6.4516, "in²"),
    ("µm", 1.0 / INCH_MM, "mil"),
    ("MPa", 145.037_738, "psi"),
    ("bar", 14.503_773_8, "psi"),
    ("kN", 224.808_943, "lbf"),
    ("N m", 0.737_562_149, "ft·lbf"),
    ("N", 0.224_808_943, "lbf"),
    ("kg", 2.204_622_62, "lb"),
    ("g", 0.035_273_961_9, "oz"),
    // Differences of temperature only.
    ("K", 1.8, "°F"),
];

/// A size before these words is the name of a cutter.
const NAMED: [&str; 2] = [" flat", " ball"];

/// Numbers that share the unit behind the last of them ("8.7 to 5 mm"), or a place.
static QUANTITY: LazyLock<Option<Regex>> = LazyLock::new(|| {
    let between = "(?: to | × | of |–)";
    let units: Vec<&str> = FACTORS.iter().map(|it| it.0).collect();
    let units = units.join("|");
    let places = format!(
        r"\((?<place>{NUMBER}, {NUMBER}, {NUMBER})\) mm|\((?<bare>-?[0-9]+[.][0-9], -?[0-9]+[.][0-9], -?[0-9]+[.][0-9])\)"
    );
    let quantities = format!(
        r"(?<lead>^|[^\p{{L}}0-9.−-])(?<numbers>{NUMBER}(?:{between}{NUMBER})*)(?<gap> ?)(?<unit>{units}|°C)(?<end>[^\p{{L}}0-9²³/·]|$)"
    );
    Regex::new(&format!("{places}|{quantities}")).ok()
});

static ONE: LazyLock<Option<Regex>> = LazyLock::new(|| Regex::new(NUMBER).ok());

/// Units that people read; files for programs stay metric.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub enum ShownUnits {
    /// Millimeters, newtons, megapascals, degrees Celsius.
    #[default]
    #[serde(rename = "mm")]
    Metric,
    /// Inches, pounds, psi, degrees Fahrenheit.
    #[serde(rename = "in")]
    UsCustomary,
}

impl ShownUnits {
    /// A metric sentence in these units.
    pub fn write(self, text: &str) -> String {
        match self {
            Self::Metric => text.to_owned(),
            Self::UsCustomary => rewritten(text),
        }
    }
}

/// A piece of a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece<'a> {
    /// Words.
    Words(&'a str),
    /// A quantity, as written and in US customary units.
    Quantity(&'a str, String),
}

/// `text` in pieces; joined as written they are `text`.
pub fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    let mut rest = 0;
    for found in QUANTITY.iter().flat_map(|it| it.captures_iter(text)) {
        let Some(whole) = found.get(0) else { continue };
        // What stands before a number and behind its unit is not part of it.
        let start = found.name("lead").map_or(whole.start(), |lead| lead.end());
        let end = found.name("end").map_or(whole.end(), |end| end.start());
        if NAMED.iter().any(|name| text[end..].starts_with(name)) {
            continue;
        }
        if rest < start {
            pieces.push(Piece::Words(&text[rest..start]));
        }
        pieces.push(Piece::Quantity(&text[start..end], converted(&found)));
        rest = end;
    }
    if rest < text.len() {
        pieces.push(Piece::Words(&text[rest..]));
    }
    pieces
}

/// `text` with all its quantities in US customary units.
pub fn rewritten(text: &str) -> String {
    let piece = |piece: Piece<'_>| match piece {
        Piece::Words(words) => words.to_owned(),
        Piece::Quantity(_, us) => us,
    };
    pieces(text).into_iter().map(piece).collect()
}

fn converted(found: &Captures<'_>) -> String {
    if let Some(place) = found.name("place").or_else(|| found.name("bare")) {
        return format!("({}) in", each(place.as_str(), |mm| fixed(mm / INCH_MM)));
    }
    let part = |name: &str| found.name(name).map_or("", |it| it.as_str());
    let (numbers, gap, unit) = (part("numbers"), part("gap"), part("unit"));
    if unit == "°C" {
        return format!("{}{gap}°F", each(numbers, |c| format!("{:.0}", c * 1.8 + 32.0)));
    }
    let Some((_, factor, us)) = FACTORS.iter().find(|it| it.0 == unit) else {
        return String::new();
    };
    format!("{} {us}", each(numbers, |value| digits(value * factor)))
}

/// `numbers` with each of them changed, and what stands between them kept.
fn each(numbers: &str, change: impl Fn(f64) -> String) -> String {
    let Some(one) = ONE.as_ref() else { return numbers.to_owned() };
    let changed = |found: &Captures<'_>| {
        let bare = found[0].replace(['\u{2009}', '\u{202f}'], "").replace('−', "-");
        bare.parse::<f64>().map_or_else(|_| found[0].to_owned(), &change)
    };
    one.replace_all(numbers, changed).into_owned()
}

/// Places to a thousandth of an inch.
fn fixed(inches: f64) -> String {
    format!("{:.3}", inches + 0.0).replace('-', "−")
}

/// Three digits, and no finer than a ten-thousandth.
fn digits(value: f64) -> String {
    let size = value.abs();
    let decimals = match size {
        s if s >= 99.95 => 0,
        s if s >= 9.995 => 1,
        s if s >= 0.9995 => 2,
        s if s >= 0.0995 => 3,
        _ => 4,
    };
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" { "0".to_owned() } else { text.replace('-', "−") }
}

#[cfg(test)]
mod tests {
    use super::{Piece, pieces, rewritten};

    /// By hand with the factors of NIST Special Publication 811.
    #[test]
    fn quantities_are_rewritten_and_words_stay() {
        for (metric, us) in [
            (
                "core it out from 8.7 to 5 mm, or",
                "core it out from 0.343 to 0.197 in, or",
            ),
            ("102 × 40 × 36 mm", "4.02 × 1.57 × 1.42 in"),
            ("5.6 MPa = 7 bar at the", "812 psi = 102 psi at the"),
            ("a 2 mm flat with 24 mm of reach", "a 2 mm flat with 0.945 in of reach"),
            ("10-20 mm, 10–20 mm", "10-20 mm, 0.394–0.787 in"),
            (
                "united (5, 2.63 mm³ counted twice)",
                "united (5, 0.0002 in³ counted twice)",
            ),
            ("12.4 kN opens, 266 N hold", "2788 lbf opens, 59.8 lbf hold"),
            ("220 °C, from 200 to 240 °C", "428 °F, from 392 to 464 °F"),
            ("each tightened to 24 N m", "each tightened to 17.7 ft·lbf"),
            ("640 N", "144 lbf"),
            ("20.9 of 38.4 g", "0.737 of 1.35 oz"),
            ("at (6.1, 4.5, -23.4), 178 mm²", "at (0.240, 0.177, −0.921) in, 0.276 in²"),
            ("(−32.37, 20, 3.2) mm", "(−1.274, 0.787, 0.126) in"),
            ("along (0.940, 0.342, 0.000) after", "along (0.940, 0.342, 0.000) after"),
            ("0.013 mm of clearance", "0.0005 in of clearance"),
            ("4 pins of 2 mm", "4 pins of 0.0787 in"),
            ("7 of 8 cutters, 116 min", "7 of 8 cutters, 116 min"),
            ("2.5° over 24 mm", "2.5° over 0.945 in"),
        ] {
            assert_eq!(rewritten(metric), us);
        }
    }

    #[test]
    fn pieces_joined_are_the_text() {
        let text = "a 2 mm b 3 N";
        let all: String = pieces(text)
            .iter()
            .map(|piece| match piece {
                Piece::Words(words) | Piece::Quantity(words, _) => *words,
            })
            .collect();
        assert_eq!(all, text);
    }
}
