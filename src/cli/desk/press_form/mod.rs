//! The press file as a form: its fields, and the way from what stands in them to a file and
//! back.

use serde::{Deserialize, Serialize};
use toml::{Table, Value};

use crate::cli::desk::form_fields::Wrong;
use crate::process::press::Press;
use crate::process::press::file_error::PressError;
use crate::units::FileError;

/// What stands in a field.
#[derive(Clone, Copy, Debug)]
pub(super) enum Holds {
    /// A number with one of these units.
    Quantity(&'static [&'static str]),
    /// Two numbers with one of these units each, as this one of both.
    OneOfTwo(&'static [&'static str], usize),
    /// A whole number.
    Count,
    /// A number without a unit.
    Number,
    /// A text.
    Text,
    /// One of these texts.
    Choice(&'static [&'static str]),
}

/// A field of the form.
pub(super) struct PressField {
    /// The table that it stands in.
    pub(super) table: &'static str,
    /// Its key there.
    pub(super) key: &'static str,
    /// What the page calls it.
    pub(super) label: &'static str,
    pub(super) holds: Holds,
    /// What it begins with; empty for what most leave out.
    pub(super) first: &'static str,
}

impl PressField {
    /// Its name in the form.
    pub(super) fn name(&self) -> String {
        let place = match self.holds {
            Holds::OneOfTwo(_, place) => format!(".{place}"),
            _ => String::new(),
        };
        format!("{}.{}{place}", self.table, self.key)
    }
}

const LENGTH: Holds = Holds::Quantity(&["mm", "cm", "in"]);
const PRESSURE: Holds = Holds::Quantity(&["bar", "psi", "MPa"]);
const FORCE: Holds = Holds::Quantity(&["N", "kN", "lbf"]);
const SHARE: Holds = Holds::Quantity(&["%"]);

const fn field(
    table: &'static str,
    key: &'static str,
    label: &'static str,
    holds: Holds,
    first: &'static str,
) -> PressField {
    PressField { table, key, label, holds, first }
}

const fn one_of_two(
    key: &'static str,
    table: &'static str,
    label: &'static str,
    place: usize,
) -> PressField {
    field(table, key, label, Holds::OneOfTwo(&["mm", "in"], place), "")
}

/// Every key of a press file but its name, in the order of the template, with its values.
pub(super) const FIELDS: [PressField; 49] = [
    field("drive.air", "cylinders", "Cylinders", Holds::Count, "1"),
    field("drive.air", "bore", "Bore", LENGTH, "100 mm"),
    field("drive.air", "rod", "Rod", LENGTH, "25 mm"),
    field("drive.air", "acts", "The cylinders", Holds::Choice(&["push", "pull"]), "push"),
    field("drive.air", "air", "Air pressure at the cylinder", PRESSURE, "7 bar"),
    field("drive.air", "efficiency", "Left by seals and hoses", SHARE, "90 %"),
    field("drive.lever", "hand", "Force of the hand", FORCE, "300 N"),
    field("drive.lever", "long_arm", "Pivot to hand", LENGTH, "900 mm"),
    field("drive.lever", "short_arm", "Pivot to ram", LENGTH, "90 mm"),
    field(
        "drive.lever",
        "start_angle",
        "Short arm above square to the ram, at the start",
        Holds::Quantity(&["deg"]),
        "",
    ),
    field("drive.jack", "force", "Rated force", FORCE, "20 kN"),
    field("drive.jack", "hand", "Or the force of the hand", FORCE, ""),
    field(
        "drive.jack",
        "ratio",
        "with way of the hand over way of the ram",
        Holds::Number,
        "",
    ),
    field("drive.jack", "efficiency", "Left by friction", SHARE, ""),
    field("drive", "ram_force", "Force on the ram", FORCE, "900 lbf"),
    field("ram", "diameter", "Diameter", LENGTH, "25 mm"),
    field("ram", "stroke", "Stroke through the melt", LENGTH, "110 mm"),
    field("ram", "cushion", "Cushion left before the ram", LENGTH, "4 mm"),
    field("ram", "loss", "Pressure lost in granules and by friction", SHARE, "30 %"),
    field(
        "ram",
        "loss_pressure",
        "and lost on top of that",
        Holds::Quantity(&["MPa", "bar", "psi"]),
        "",
    ),
    field("ram", "granule_fill", "Plastic in a barrel full of granules", SHARE, "60 %"),
    field(
        "ram",
        "speed",
        "Fastest speed under load",
        Holds::Quantity(&["mm/s", "in/s"]),
        "60 mm/s",
    ),
    field("ram", "heated_length", "Heated length of the barrel", LENGTH, "140 mm"),
    field("nozzle", "orifice", "Orifice", LENGTH, "3 mm"),
    field("nozzle", "land", "Length of the orifice", LENGTH, "6 mm"),
    field("nozzle", "seat_diameter", "Seat diameter", LENGTH, "8 mm"),
    field("nozzle", "contact_force", "Contact force", FORCE, "1.5 kN"),
    field("nozzle", "cone_diameter", "Wide end of its cone", LENGTH, ""),
    field("nozzle", "cone_length", "Length of its cone", LENGTH, ""),
    field("nozzle", "nose_diameter", "Diameter of its tip", LENGTH, ""),
    field("nozzle", "nose_length", "Reach of its tip", LENGTH, ""),
    field(
        "nozzle.spring",
        "rate",
        "Or a spring: rate of all together",
        Holds::Quantity(&["N/mm"]),
        "",
    ),
    field("nozzle.spring", "travel", "pressed together by", LENGTH, ""),
    field("clamp.bolts", "count", "Bolts", Holds::Count, "4"),
    field("clamp.bolts", "size", "Size", Holds::Text, "M8"),
    field("clamp.bolts", "class", "Property class", Holds::Text, "8.8"),
    field(
        "clamp.bolts",
        "torque",
        "Torque of each",
        Holds::Quantity(&["N m", "ft lbf"]),
        "24 N m",
    ),
    field("clamp.bolts", "preload", "Or preload as a share of the proof load", SHARE, ""),
    field("clamp.bolts", "scatter", "May fall short by", SHARE, "30 %"),
    field("clamp", "vise", "Force of the vise", FORCE, "20 kN"),
    field("clamp", "force", "Force of the clamp", FORCE, "30 kN"),
    field("clamp", "jaw", "Width of the jaws", LENGTH, ""),
    one_of_two("off_middle", "clamp", "Off the middle, along the longer edge", 0),
    one_of_two("off_middle", "clamp", "Off the middle, along the shorter edge", 1),
    field("mold", "thickness", "Thickness of each plate", LENGTH, ""),
    field("mold", "length", "Longer edge", LENGTH, ""),
    field("mold", "width", "Shorter edge", LENGTH, ""),
    field("mold", "dowels", "Dowels", Holds::Count, ""),
    field(
        "mold",
        "start_temperature",
        "Temperature before the first shot",
        Holds::Quantity(&["C", "F"]),
        "",
    ),
];

/// Keys that the form does not show and keeps as they were read.
const KEPT: [(&str, &str); 2] = [("mold", "alloy"), ("mold", "bolt_spacing")];

/// What drives the ram: the tables and keys that stand for each.
pub(super) const DRIVES: [(&str, &str); 4] = [
    ("drive.air", "Air cylinders"),
    ("drive.lever", "Lever"),
    ("drive.jack", "Screw or jack"),
    ("drive.ram_force", "Known force"),
];

/// What holds the mold.
pub(super) const CLAMPS: [(&str, &str); 4] = [
    ("clamp.bolts", "Bolts"),
    ("clamp.vise", "Vise"),
    ("clamp.force", "Other clamp"),
    ("", "Not known"),
];

/// What stands in the form.
#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Filled {
    /// What the workshop calls its press.
    pub(super) name: String,
    /// One of [`DRIVES`].
    pub(super) drive: String,
    /// One of [`CLAMPS`].
    pub(super) clamp: String,
    /// Name of each field and what stands in it, the unit behind the number.
    pub(super) values: Vec<(String, String)>,
    /// What the form does not show, as TOML.
    #[serde(default)]
    pub(super) kept: String,
    /// The plastic that grams are given for.
    #[serde(default)]
    pub(super) plastic: String,
}

impl Filled {
    fn value(&self, field: &PressField) -> &str {
        let name = field.name();
        let found = self.values.iter().find(|(other, _)| *other == name);
        found.map_or("", |(_, value)| value.trim())
    }

    /// Whether the drive or clamp that a field belongs to is the one that is chosen.
    fn is_chosen(&self, field: &PressField) -> bool {
        is_part_of(&self.drive, &DRIVES, field) && is_part_of(&self.clamp, &CLAMPS, field)
    }
}

/// Whether `field` counts where `chosen` is the chosen one of `kinds`: it is part of none of
/// them, or of that one.
pub(super) fn is_part_of(
    chosen: &str,
    kinds: &[(&str, &str)],
    field: &PressField,
) -> bool {
    let belongs = |kind: &str| {
        let is_table = kind == field.table;
        is_table || kind == format!("{}.{}", field.table, field.key)
    };
    // Jaws and their place are those of whatever squeezes from outside.
    let is_of_jaws = matches!(field.key, "jaw" | "off_middle");
    if is_of_jaws && kinds.iter().any(|(kind, _)| *kind == "clamp.vise") {
        return matches!(chosen, "clamp.vise" | "clamp.force");
    }
    !kinds.iter().any(|(kind, _)| belongs(kind)) || belongs(chosen)
}

/// The press that the form describes, and its file.
///
/// # Errors
/// Everything that is wrong with the fields, or else the first thing that is wrong with the
/// press as a whole, each with its field where that is known.
pub(super) fn press(filled: &Filled) -> Result<(Press, String), Vec<Wrong>> {
    let mut root: Table = toml::from_str(&filled.kept).unwrap_or_default();
    root.insert("name".to_owned(), Value::String(filled.name.trim().to_owned()));
    let mut wrong = Vec::new();
    for field in FIELDS.iter().filter(|field| filled.is_chosen(field)) {
        let text = filled.value(field);
        if text.is_empty() {
            continue;
        }
        match value(field, text) {
            Ok(value) => insert(&mut root, field, value),
            Err(why) => wrong.push(Wrong { field: Some(field.name()), why }),
        }
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let text = toml::to_string(&root)
        .map_err(|why| vec![Wrong { field: None, why: why.to_string() }])?;
    let press = Press::parse(&text).map_err(|why| vec![place(&why, &text)])?;
    Ok((press, text))
}

/// What a file holds for `field`.
fn value(field: &PressField, text: &str) -> Result<Value, String> {
    let number = |text: &str| {
        let number = text.parse::<f64>().ok().filter(|number| number.is_finite());
        number.ok_or_else(|| {
            format!("\"{text}\" is no number: write one such as 25 or 0.8")
        })
    };
    match field.holds {
        Holds::Count => {
            let count = text.parse::<u32>().map(i64::from).map(Value::Integer);
            count.map_err(|_| {
                format!("\"{text}\" is no whole number: write one such as 4")
            })
        }
        Holds::Number => number(text).map(Value::Float),
        Holds::Text | Holds::Choice(_) => Ok(Value::String(text.to_owned())),
        Holds::Quantity(_) | Holds::OneOfTwo(..) => {
            number(text.split(' ').next().unwrap_or_default())?;
            Ok(Value::String(text.to_owned()))
        }
    }
}

fn insert(root: &mut Table, field: &PressField, value: Value) {
    let mut table = root;
    for name in field.table.split('.') {
        let inner = table.entry(name).or_insert_with(|| Value::Table(Table::new()));
        let Value::Table(inner) = inner else { return };
        table = inner;
    }
    let Holds::OneOfTwo(_, place) = field.holds else {
        table.insert(field.key.to_owned(), value);
        return;
    };
    let none = || Value::Array(vec![Value::String("0 mm".to_owned()); 2]);
    if let Value::Array(both) = table.entry(field.key).or_insert_with(none)
        && let Some(one) = both.get_mut(place)
    {
        *one = value;
    }
}

/// At which field a press that is wrong as a whole is complained of.
fn place(error: &PressError, text: &str) -> Wrong {
    let (table, problem) = match error {
        PressError::Value { table, problem } => ((*table).to_owned(), problem.clone()),
        PressError::Bolts(problem) => ("clamp.bolts".to_owned(), problem.to_string()),
        PressError::File(FileError { line, problem, .. }) => {
            (table_at(text, *line), problem.clone())
        }
    };
    let of_table = || FIELDS.iter().filter(|field| field.table == table);
    let named =
        of_table().filter(|field| names(&problem, field.key) || at_key(error, field));
    let found = named.min_by_key(|field| problem.find(field.key).unwrap_or(usize::MAX));
    let field = found.or_else(|| of_table().next()).map(PressField::name);
    Wrong { field, why: problem }
}

/// Whether `problem` speaks of `key` as a word.
fn names(problem: &str, key: &str) -> bool {
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    problem.split(|c: char| !is_word(c)).any(|word| word == key)
}

fn at_key(error: &PressError, field: &PressField) -> bool {
    matches!(error, PressError::File(FileError { key, .. }) if key == field.key)
}

/// The table that line `line` of `text` stands in, counted from 1.
fn table_at(text: &str, line: usize) -> String {
    let heads = text.lines().take(line).filter_map(|line| line.strip_prefix('['));
    heads.last().map_or_else(String::new, |head| head.trim_end_matches(']').to_owned())
}

/// What stands in the form for the press file `text`.
///
/// # Errors
/// As [`Press::parse`].
pub(super) fn fill(text: &str) -> Result<Filled, PressError> {
    Press::parse(text)?;
    let root: Table = toml::from_str(text).unwrap_or_default();
    let values = FIELDS.iter().filter_map(|field| {
        let found = find(&root, field.table)?.get(field.key)?;
        let text = match (found, field.holds) {
            (Value::Array(both), Holds::OneOfTwo(_, place)) => plain(both.get(place)?),
            (value, _) => plain(value),
        };
        Some((field.name(), text))
    });
    let has = |kind: &str| {
        let (table, key) = kind.rsplit_once('.')?;
        find(&root, table)?.get(key)
    };
    let chosen = |kinds: &[(&str, &str)]| {
        let found = kinds.iter().find(|(kind, _)| has(kind).is_some());
        found.map_or_else(String::new, |(kind, _)| (*kind).to_owned())
    };
    let mut kept = Table::new();
    for (table, key) in KEPT {
        if let Some(value) = find(&root, table).and_then(|table| table.get(key)) {
            let inner = kept.entry(table).or_insert_with(|| Value::Table(Table::new()));
            if let Value::Table(inner) = inner {
                inner.insert(key.to_owned(), value.clone());
            }
        }
    }
    Ok(Filled {
        name: root.get("name").map_or_else(String::new, plain),
        drive: chosen(&DRIVES),
        clamp: chosen(&CLAMPS),
        values: values.collect(),
        kept: toml::to_string(&kept).unwrap_or_default(),
        plastic: String::new(),
    })
}

fn find<'a>(root: &'a Table, path: &str) -> Option<&'a Table> {
    path.split('.').try_fold(root, |table, name| table.get(name)?.as_table())
}

fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

#[cfg(test)]
mod tests;
