//! What things cost in a shop: the user's file over defaults, which are named as such.
//!
//! Every default is a round number from memory, for a small workshop; none has a source.

use serde::Deserialize;

use crate::units::{self, FileError, MassDensity, Quantity, Ratio, Time, VolumeRate};

/// Costs of a shop. Money is in its own currency.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Shop {
    /// The sign or word for money.
    pub currency: String,
    /// Making the mold.
    pub mold: MoldRates,
    /// Molding parts in it.
    pub molding: MoldingRates,
    /// Printing the same part.
    pub printing: PrintingRates,
}

/// What a mold costs.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct MoldRates {
    /// An hour of the router.
    pub router_per_hour: f64,
    /// An hour of a person.
    pub hand_per_hour: f64,
    /// Share of the milling that somebody stands beside.
    #[serde(deserialize_with = "units::given")]
    pub attended: Ratio,
    /// Tool paths, clamping and zeroing of both halves.
    #[serde(deserialize_with = "units::given")]
    pub setting_up: Time,
    /// One hole.
    #[serde(deserialize_with = "units::given")]
    pub hole: Time,
    /// One cutter in one half.
    #[serde(deserialize_with = "units::given")]
    pub tool_change: Time,
    /// A kilogram of aluminum.
    pub aluminum_per_kg: f64,
    /// One cutter.
    pub cutter: f64,
    /// How long it cuts aluminum.
    #[serde(deserialize_with = "units::given")]
    pub cutter_life: Time,
    /// Bolts, dowels and pins.
    pub hardware: f64,
    /// By which factor the hours may be off, from 1.
    pub doubt: f64,
}

/// What molding costs.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct MoldingRates {
    /// A kilogram of plastic.
    pub plastic_per_kg: f64,
    /// An hour of the press, its heat and its air.
    pub press_per_hour: f64,
    /// An hour of a person.
    pub hand_per_hour: f64,
    /// Share of the cycle that somebody stands beside.
    #[serde(deserialize_with = "units::given")]
    pub attended: Ratio,
    /// Before the first part of a session.
    #[serde(deserialize_with = "units::given")]
    pub heating_up: Time,
    /// Parts between two heatings.
    pub parts_per_session: u32,
    /// Parts thrown away.
    #[serde(deserialize_with = "units::given")]
    pub scrap: Ratio,
    /// Share of sprue and runner that is used again.
    #[serde(deserialize_with = "units::given")]
    pub regrind: Ratio,
    /// By which factor the cycle may be off, from 1.
    pub doubt: f64,
}

/// What printing costs.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct PrintingRates {
    /// Plastic laid in a time, moves included.
    #[serde(deserialize_with = "units::given")]
    pub flow: VolumeRate,
    /// Share of the part's volume that is laid.
    #[serde(deserialize_with = "units::given")]
    pub solid: Ratio,
    /// Density of the filament.
    #[serde(deserialize_with = "units::given")]
    pub density: MassDensity,
    /// A kilogram of it.
    pub material_per_kg: f64,
    /// An hour of the printer.
    pub printer_per_hour: f64,
    /// A person's time for each part.
    #[serde(deserialize_with = "units::given")]
    pub hand: Time,
    /// An hour of a person.
    pub hand_per_hour: f64,
    /// Prints thrown away.
    #[serde(deserialize_with = "units::given")]
    pub failed: Ratio,
    /// By which factor the hours may be off, from 1.
    pub doubt: f64,
}

fn hours(value: f64) -> Time {
    Time::from_si(value * 3600.0)
}

impl Default for Shop {
    fn default() -> Self {
        let (mold, molding, printing) = Default::default();
        Self { currency: "$".to_owned(), mold, molding, printing }
    }
}

impl Default for MoldRates {
    fn default() -> Self {
        Self {
            router_per_hour: 12.0,
            hand_per_hour: 25.0,
            attended: Ratio::from_si(0.5),
            setting_up: hours(3.0),
            hole: Time::from_si(240.0),
            tool_change: Time::from_si(240.0),
            aluminum_per_kg: 10.0,
            cutter: 20.0,
            cutter_life: hours(6.0),
            hardware: 20.0,
            doubt: 1.5,
        }
    }
}

impl Default for MoldingRates {
    fn default() -> Self {
        Self {
            plastic_per_kg: 4.0,
            press_per_hour: 3.0,
            hand_per_hour: 25.0,
            attended: Ratio::from_si(1.0),
            heating_up: Time::from_si(2100.0),
            parts_per_session: 100,
            scrap: Ratio::from_si(0.08),
            regrind: Ratio::from_si(0.8),
            doubt: 1.3,
        }
    }
}

impl Default for PrintingRates {
    fn default() -> Self {
        Self {
            flow: VolumeRate::from_si(10e-6 / 3600.0),
            solid: Ratio::from_si(0.5),
            density: MassDensity::from_si(1240.0),
            material_per_kg: 22.0,
            printer_per_hour: 0.5,
            hand: Time::from_si(300.0),
            hand_per_hour: 25.0,
            failed: Ratio::from_si(0.06),
            doubt: 1.3,
        }
    }
}

/// No doubt is larger.
const MOST_DOUBT: f64 = 10.0;
/// No money in such a file is more: a slip of the comma.
const MOST_MONEY: f64 = 1e6;

/// A shop file, read.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadShop {
    /// The costs.
    pub shop: Shop,
    /// Keys that the file leaves to their defaults, as `mold.router_per_hour = 12.0`.
    pub assumed: Vec<String>,
}

impl Shop {
    /// A commented file with every default.
    pub fn template() -> &'static str {
        include_str!("shop.toml")
    }

    /// Reads a shop file; an empty one leaves everything to the defaults.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong, with its line and key.
    pub fn parse(text: &str) -> Result<ReadShop, FileError> {
        let shop: Self = units::from_toml(text)?;
        shop.check().map_err(|(table, key, problem)| FileError {
            line: line_of(text, table, key),
            key: key.to_owned(),
            problem,
        })?;
        let given = text.parse().unwrap_or_default();
        Ok(ReadShop { shop, assumed: assumed(&given) })
    }

    /// The first value that cannot be: its table, its key, and why.
    fn check(&self) -> Result<(), (&'static str, &'static str, String)> {
        for (table, key, value) in self.money() {
            if !(0.0..=MOST_MONEY).contains(&value) {
                return Err((table, key, format!("costs are from 0 to {MOST_MONEY}")));
            }
        }
        for (table, doubt) in [
            ("mold", self.mold.doubt),
            ("molding", self.molding.doubt),
            ("printing", self.printing.doubt),
        ] {
            if !(1.0..=MOST_DOUBT).contains(&doubt) {
                let problem = format!("a factor from 1 to {MOST_DOUBT}, such as 1.3");
                return Err((table, "doubt", problem));
            }
        }
        let Self { mold, molding, printing, .. } = self;
        for (table, key, share, most) in [
            ("mold", "attended", mold.attended, 1.0),
            ("molding", "attended", molding.attended, 1.0),
            ("molding", "scrap", molding.scrap, 0.95),
            ("molding", "regrind", molding.regrind, 1.0),
            ("printing", "solid", printing.solid, 1.0),
            ("printing", "failed", printing.failed, 0.95),
        ] {
            if !(0.0..=most).contains(&share.si()) {
                let problem = format!("a share from 0 % to {} %", most * 100.0);
                return Err((table, key, problem));
            }
        }
        self.check_measures()
    }

    fn check_measures(&self) -> Result<(), (&'static str, &'static str, String)> {
        let Self { mold, molding, printing, .. } = self;
        let week = 7.0 * 86_400.0;
        for (table, key, value, least, most) in [
            ("mold", "setting_up", mold.setting_up.si(), 0.0, week),
            ("mold", "hole", mold.hole.si(), 0.0, week),
            ("mold", "tool_change", mold.tool_change.si(), 0.0, week),
            ("mold", "cutter_life", mold.cutter_life.si(), 60.0, 100.0 * week),
            ("molding", "heating_up", molding.heating_up.si(), 0.0, week),
            ("printing", "hand", printing.hand.si(), 0.0, week),
        ] {
            if !(least..=most).contains(&value) {
                let problem = "no such time is meant: is the unit right?".to_owned();
                return Err((table, key, problem));
            }
        }
        if molding.parts_per_session == 0 {
            let problem = "a session has at least one part".to_owned();
            return Err(("molding", "parts_per_session", problem));
        }
        if !(1e-10..=1e-3).contains(&printing.flow.si()) {
            let problem = "a printer lays 1 cm3/h to some liters an hour".to_owned();
            return Err(("printing", "flow", problem));
        }
        if !(100.0..=20_000.0).contains(&printing.density.si()) {
            let problem =
                "no filament has this density; most have 1 to 1.4 g/cm3".to_owned();
            return Err(("printing", "density", problem));
        }
        Ok(())
    }

    fn money(&self) -> [(&'static str, &'static str, f64); 11] {
        let Self { mold, molding, printing, .. } = self;
        [
            ("mold", "router_per_hour", mold.router_per_hour),
            ("mold", "hand_per_hour", mold.hand_per_hour),
            ("mold", "aluminum_per_kg", mold.aluminum_per_kg),
            ("mold", "cutter", mold.cutter),
            ("mold", "hardware", mold.hardware),
            ("molding", "plastic_per_kg", molding.plastic_per_kg),
            ("molding", "press_per_hour", molding.press_per_hour),
            ("molding", "hand_per_hour", molding.hand_per_hour),
            ("printing", "material_per_kg", printing.material_per_kg),
            ("printing", "printer_per_hour", printing.printer_per_hour),
            ("printing", "hand_per_hour", printing.hand_per_hour),
        ]
    }
}

/// The line of `key` in `[table]`, from 1; the first where it is not found.
fn line_of(text: &str, table: &str, key: &str) -> usize {
    let mut inside = false;
    for (line, at) in text.lines().zip(1..) {
        let line = line.trim();
        if line.starts_with('[') {
            inside = line.trim_matches(['[', ']']).trim() == table;
        } else if inside
            && line.split_once('=').is_some_and(|(name, _)| name.trim() == key)
        {
            return at;
        }
    }
    1
}

/// What `given` leaves to the defaults, with the default.
fn assumed(given: &toml::Table) -> Vec<String> {
    let all: toml::Table = Shop::template().parse().unwrap_or_default();
    let mut lines = Vec::new();
    for (table, values) in &all {
        let Some(values) = values.as_table() else { continue };
        let own = given.get(table).and_then(toml::Value::as_table);
        for (key, value) in values {
            if own.is_none_or(|own| !own.contains_key(key)) {
                lines.push(format!("{table}.{key} = {value}"));
            }
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::Shop;

    #[test]
    fn the_template_holds_every_default_and_is_read_back() {
        let read = Shop::parse(Shop::template()).unwrap();
        let (seen, default) = (read.shop, Shop::default());
        let flow = |shop: &Shop| shop.printing.flow.value;
        assert!((flow(&seen) / flow(&default) - 1.0).abs() < 1e-9);
        let flow = default.printing.flow;
        let printing = super::PrintingRates { flow, ..seen.printing.clone() };
        assert_eq!(Shop { printing, ..seen }, default);
        assert!(read.assumed.is_empty(), "{:?}", read.assumed);
        let empty = Shop::parse("").unwrap();
        assert_eq!(empty.shop, default);
        assert_eq!(empty.assumed.len(), 29, "{:#?}", empty.assumed);
        let own = Shop::parse("[mold]\nrouter_per_hour = 9\nhole = '2 min'").unwrap();
        assert!((own.shop.mold.hole.value - 120.0).abs() < 1e-9);
        assert_eq!(own.assumed.len(), 27);
    }

    #[test]
    fn what_cannot_be_is_refused_with_line_and_key() {
        for (text, line, key) in [
            ("[mold]\nrouter_per_hour = -1", 2, "router_per_hour"),
            ("[mold]\nhole = 4", 2, "hole"),
            ("\n[molding]\nscrap = '120 %'", 3, "scrap"),
            ("[printing]\ndoubt = 0.5", 2, "doubt"),
            ("[printing]\nflow = '10 m3/s'", 2, "flow"),
            ("[molding]\nparts_per_session = 0", 2, "parts_per_session"),
            ("[mold]\nrouter = 3", 2, "router"),
        ] {
            let error = Shop::parse(text).unwrap_err();
            assert_eq!((error.line, error.key.as_str()), (line, key), "{error}");
            assert!(!error.to_string().contains('\n'), "{error}");
        }
    }
}
