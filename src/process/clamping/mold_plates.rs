//! The plates of the mold: size, metal, where the bolts sit. What the press file does not
//! say is taken from the part, by rules that are stated here.

use serde::{Deserialize, Deserializer};

use super::alloys::Alloy;
use crate::units::{
    self, Area, Length, Mass, Quantity, Temperature, from_celsius, from_mm,
};

/// The `[mold]` table of a press file; every key may be left out.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mold {
    /// Thickness of each of the two plates; [`Bars::usual_mm`] if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub thickness: Option<Length>,
    /// Smaller edge of the plates.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub width: Option<Length>,
    /// Larger edge of the plates.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub length: Option<Length>,
    /// Aluminum by series: "6061-T6", "7075-T6" or "cast 5083"; 6061-T6 if not given.
    #[serde(default)]
    pub alloy: Option<Alloy>,
    /// Distance between the outermost bolts, along the length and along the width.
    #[serde(default, deserialize_with = "pair")]
    pub bolt_spacing: Option<[Length; 2]>,
    /// How many dowels align the halves; two if not given.
    #[serde(default)]
    pub dowels: Option<u32>,
    /// Temperature of the mold before the first shot; [`START_CELSIUS`] if not given.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub start_temperature: Option<Temperature>,
    /// The bars that its shop buys; no key of the table.
    #[serde(skip)]
    pub bars: Bars,
}

/// Flat bars that plates are sawn from, as they are sold.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Bars {
    /// In millimeters.
    #[default]
    Metric,
    /// In inches.
    Inches,
}

impl Bars {
    /// Thicknesses of bars on the shelf, mm (common sizes; a metric bar of 25 mm is the usual one
    /// inch bar).
    pub fn thicknesses_mm(self) -> [f64; 8] {
        match self {
            Self::Metric => [25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 120.0],
            Self::Inches => [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0].map(|it| 25.4 * it),
        }
    }

    /// The thinnest of them that is at least so thick, mm; sawn from a block where none is.
    pub fn at_least(self, wanted_mm: f64) -> f64 {
        let fits = self.thicknesses_mm().into_iter().find(|bar| *bar >= wanted_mm - 1e-6);
        fits.unwrap_or_else(|| match self {
            Self::Metric => wanted_mm.ceil(),
            Self::Inches => 25.4 * (wanted_mm / 25.4 - 1e-9).ceil(),
        })
    }

    /// Thickness of a plate when none is given, mm: one inch bar (common practice).
    pub fn usual_mm(self) -> f64 {
        self.at_least(0.0)
    }
}

/// Land between cavity and bolt hole when no spacing is given: 10 mm, the low end of the 10
/// to 15 mm that makers use (common practice).
pub const LAND_MM: f64 = 10.0;
/// From the middle of a bolt to the edge of the plate, over its diameter: 1.5 (common
/// practice).
pub const EDGE: f64 = 1.5;
/// A mold starts at room temperature when nothing else is said, °C.
pub const START_CELSIUS: f64 = 23.0;
/// Two dowels locate; more fight each other (common practice).
pub const DOWELS: u32 = 2;

/// The plates, with every gap filled.
#[derive(Clone, Debug, PartialEq)]
pub struct Plates {
    /// Thickness of the one in which the part lies deeper.
    pub thickness: Length,
    /// Thickness of the other.
    pub shallower: Length,
    /// Why these, as "one inch bar"; `None` where it was given.
    pub thickness_why: Option<String>,
    /// Edges: length, width.
    pub edges: [Length; 2],
    /// Metal.
    pub alloy: Alloy,
    /// Distance between the outermost bolts along each edge.
    pub bolt_spacing: [Length; 2],
    /// How many dowels.
    pub dowels: u32,
    /// Temperature before the first shot.
    pub start: Temperature,
    /// The bars that they are sawn from.
    pub bars: Bars,
    /// What was not given, as "length: 102 mm, bolts 1.5 diameters from the edge".
    pub assumed: Vec<String>,
}

/// Why a `[mold]` table makes no sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{key}: {problem}")]
pub struct MoldError {
    /// The key.
    pub key: &'static str,
    /// What is wrong, and what to write.
    pub problem: &'static str,
}

impl Mold {
    /// The first thing that cannot be.
    ///
    /// # Errors
    ///
    /// By key.
    pub fn check(&self) -> Result<(), MoldError> {
        let wrong = |key, problem| Err(MoldError { key, problem });
        let lengths = [
            ("thickness", self.thickness),
            ("width", self.width),
            ("length", self.length),
        ];
        for (key, length) in lengths {
            if length.is_some_and(|length| !(1e-3..=2.0).contains(&length.si())) {
                return wrong(key, "no plate is that; write from 1 mm to 2 m");
            }
        }
        if let Some(spacing) = self.bolt_spacing {
            if !spacing.iter().all(|edge| (0.0..=2.0).contains(&edge.si())) {
                return wrong(
                    "bolt_spacing",
                    "write two distances, [\"90 mm\", \"60 mm\"]",
                );
            }
            let beyond = |edge: Option<Length>, at: usize| {
                edge.is_some_and(|edge| spacing.get(at).is_some_and(|s| *s >= edge))
            };
            if beyond(self.length, 0) || beyond(self.width, 1) {
                return wrong("bolt_spacing", "the bolts lie beyond the plate");
            }
        }
        if self.start_temperature.is_some_and(|at| !(223.0..=573.0).contains(&at.si())) {
            return wrong("start_temperature", "write from -50 to 300 C");
        }
        Ok(())
    }

    /// The plates for a part of these extents across the pull, longer first, held by bolts
    /// of this diameter (none for a vise).
    pub fn plates(&self, part: [Length; 2], bolt: Option<Length>) -> Plates {
        let mut assumed = Vec::new();
        let mut or = |key: &str, given: Option<Length>, fallback: Length, why: String| {
            given.unwrap_or_else(|| {
                let length = units::format::four_digits(units::in_mm(fallback));
                assumed.push(format!("{key}: {length} mm, {why}"));
                fallback
            })
        };
        let d = bolt.unwrap_or_default();
        let beside = (from_mm(LAND_MM) + d / 2.0) * 2.0;
        let land = format!("{LAND_MM} mm of land between cavity and bolt");
        let [along, across] = self.bolt_spacing.map_or([None, None], |s| s.map(Some));
        let bolt_spacing = [
            or("bolt_spacing along", along, part[0] + beside, land.clone()),
            or("bolt_spacing across", across, part[1] + beside, land),
        ];
        let edge = (d * EDGE).max(from_mm(5.0)) * 2.0;
        let rule = format!("bolts {EDGE} diameters from the edge");
        let edges = [
            or("length", self.length, bolt_spacing[0] + edge, rule.clone()),
            or("width", self.width, bolt_spacing[1] + edge, rule),
        ];
        let stock = "one inch bar";
        let thickness = or(
            "thickness",
            self.thickness,
            from_mm(self.bars.usual_mm()),
            stock.to_owned(),
        );
        self.say_rest(&mut assumed);
        let start = from_celsius(START_CELSIUS);
        Plates {
            thickness,
            shallower: thickness,
            thickness_why: self.thickness.is_none().then(|| stock.to_owned()),
            edges,
            alloy: self.alloy.unwrap_or_default(),
            bolt_spacing,
            dowels: self.dowels.unwrap_or(DOWELS),
            start: self.start_temperature.unwrap_or(start),
            bars: self.bars,
            assumed,
        }
    }

    fn say_rest(&self, assumed: &mut Vec<String>) {
        if self.alloy.is_none() {
            assumed.push(format!("alloy: {}", Alloy::default().metal().name));
        }
        if self.dowels.is_none() {
            assumed.push(format!("dowels: {DOWELS}"));
        }
        if self.start_temperature.is_none() {
            assumed.push(format!("start_temperature: {START_CELSIUS} °C, a room"));
        }
    }
}

impl Plates {
    /// Takes other thicknesses than were assumed, of the deeper half and of the shallower one;
    /// `said` are the new ones in words.
    pub fn set_thickness(&mut self, thickness: [Length; 2], said: &str) {
        [self.thickness, self.shallower] = thickness;
        self.assumed.retain(|line| !line.starts_with("thickness"));
        self.assumed.push(format!("thickness: {said}"));
    }

    /// Of both plates together.
    fn stack(&self) -> Length {
        self.thickness + self.shallower
    }

    /// Mass of both plates, cavities and holes not taken off.
    pub fn mass(&self) -> Mass {
        let [length, width] = self.edges;
        length * width * self.stack() * self.alloy.metal().density
    }

    /// Outside area of the closed mold.
    pub fn outside(&self) -> Area {
        let [length, width] = self.edges;
        (length * width + (length + width) * self.stack()) * 2.0
    }
}

/// Two lengths in a list.
pub(crate) fn pair<'de, D: Deserializer<'de>>(
    from: D,
) -> Result<Option<[Length; 2]>, D::Error> {
    #[derive(Deserialize)]
    struct Given(#[serde(deserialize_with = "units::given")] Length);
    <[Given; 2]>::deserialize(from).map(|pair| Some(pair.map(|given| given.0)))
}

#[cfg(test)]
mod tests {
    use super::{Bars, Mold};
    use crate::process::clamping::alloys::Alloy;
    use crate::units::{Length, from_mm, from_toml, in_celsius, in_grams, in_mm, in_mm2};

    fn lengths(mm: [f64; 2]) -> [Length; 2] {
        mm.map(from_mm)
    }

    /// Common sizes: 1-1/4 in are 31.75 mm; a block beyond the shelf is whole inches.
    #[test]
    fn a_shop_in_inches_saws_bars_in_inches() {
        let at_least = |bars: Bars, mm: f64| bars.at_least(mm);
        assert!((at_least(Bars::Inches, 25.4) - 25.4).abs() < 1e-9);
        assert!((at_least(Bars::Inches, 25.5) - 31.75).abs() < 1e-9);
        assert!((at_least(Bars::Inches, 130.0) - 152.4).abs() < 1e-9);
        assert!((at_least(Bars::Metric, 25.5) - 30.0).abs() < 1e-9);
        assert!((at_least(Bars::Metric, 130.2) - 131.0).abs() < 1e-9);
        let mold = Mold { bars: Bars::Inches, ..Mold::default() };
        let plates = mold.plates(lengths([50.0, 30.0]), None);
        assert!((in_mm(plates.thickness) - 25.4).abs() < 1e-9);
        let press =
            "name = 'p'\ndrive = { ram_force = '900 lbf' }\n[ram]\nstroke = '4 in'\n";
        for (diameter, bars) in [("1 in", Bars::Inches), ("25 mm", Bars::Metric)] {
            let text = format!("{press}diameter = '{diameter}'");
            let press = crate::process::press::Press::parse(&text).unwrap();
            assert_eq!(press.mold.unwrap_or_default().bars, bars);
        }
    }

    #[test]
    fn a_full_table_is_taken_as_it_stands() {
        let text = "thickness = '30 mm'\nwidth = '80 mm'\nlength = '120 mm'\n\
                    alloy = '7075-T6'\nbolt_spacing = ['90 mm', '60 mm']\ndowels = 2\n\
                    start_temperature = '40 C'";
        let mold: Mold = from_toml(text).unwrap();
        mold.check().unwrap();
        let plates = mold.plates(lengths([50.0, 30.0]), None);
        assert_eq!(plates.assumed, Vec::<String>::new());
        assert_eq!(plates.alloy, Alloy::Wrought7075);
        assert!((in_mm(plates.bolt_spacing[1]) - 60.0).abs() < 1e-9);
        assert!((in_celsius(plates.start) - 40.0).abs() < 1e-9);
        // 12 cm × 8 cm × 6 cm of 2.81 g/cm³; twice (96 + 20 · 6) cm².
        assert!((in_grams(plates.mass()) - 12.0 * 8.0 * 6.0 * 2.81).abs() < 1e-6);
        assert!((in_mm2(plates.outside()) - 43_200.0).abs() < 1e-6);
    }

    #[test]
    fn an_empty_table_follows_the_part_and_says_so() {
        let plates =
            Mold::default().plates(lengths([50.0, 30.0]), Some(lengths([8.0, 0.0])[0]));
        assert!((in_mm(plates.bolt_spacing[0]) - 78.0).abs() < 1e-9);
        assert!((in_mm(plates.edges[0]) - 102.0).abs() < 1e-9);
        assert!((in_mm(plates.thickness) - 25.0).abs() < 1e-9);
        assert_eq!(plates.assumed.len(), 8);
        assert!(plates.assumed[0].starts_with("bolt_spacing along: 78 mm"));
    }

    #[test]
    fn refuses_by_key() {
        for (text, part) in [
            ("thickness = '0 mm'", "thickness: no plate"),
            ("length = '50 mm'\nbolt_spacing = ['60 mm', '1 mm']", "beyond the plate"),
            ("bolt_spacing = ['-60 mm', '1 mm']", "two distances"),
            ("start_temperature = '900 C'", "start_temperature"),
        ] {
            let mold: Mold = from_toml(text).unwrap();
            let error = mold.check().unwrap_err().to_string();
            assert!(error.contains(part), "{error}");
        }
        for (text, part) in [
            ("bolt_spacing = ['60 mm']", "bolt_spacing"),
            ("bolt_spacing = [60, 40]", "bolt_spacing"),
            ("alloy = 'cheese'", "6061-T6"),
            ("color = 'red'", "no key \"color\""),
        ] {
            let error = from_toml::<Mold>(text).unwrap_err().to_string();
            assert!(error.contains(part), "{error}");
        }
    }
}
