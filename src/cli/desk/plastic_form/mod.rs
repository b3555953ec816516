//! A plastic of the user's own as a form: like a known one, but for what its bag says. Its fields,
//! and the way from what stands in them to a plastics file and back.

mod facts;

use serde::{Deserialize, Serialize};
use toml::{Table, Value};

use crate::cli::desk::form_fields::Wrong;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::{Plastics, PlasticsError};
use crate::units::format::three_digits;
use crate::units::{FileError, Quantity, in_celsius};
use facts::{celsius, facts, percent};

/// A field of the form.
pub(super) struct PlasticField {
    /// The key of the file.
    pub(super) key: &'static str,
    /// What of it.
    pub(super) part: &'static str,
    /// What the page calls it.
    pub(super) label: &'static str,
    /// What may stand beside its number; nothing for a text.
    pub(super) units: &'static [&'static str],
}

impl PlasticField {
    /// Its name in the form.
    pub(super) fn name(&self) -> String {
        format!("{}.{}", self.key, self.part)
    }
}

const RATE: &[&str] = &["g/10min", "cm3/10min"];
const HEAT: &[&str] = &["C", "F"];
const SHARE: &[&str] = &["%"];
const LOAD: &[&str] = &["kg"];

const fn field(
    key: &'static str,
    part: &'static str,
    label: &'static str,
    units: &'static [&'static str],
) -> PlasticField {
    PlasticField { key, part, label, units }
}

/// Every field, in the order of the page.
pub(super) const FIELDS: [PlasticField; 14] = [
    field("mfr", "rate", "Melt flow rate of the bag", RATE),
    field("mfr", "at", "measured at", HEAT),
    field("mfr", "load", "under a load of", LOAD),
    field("mfr", "rate2", "Rate under a second load", RATE),
    field("mfr", "load2", "which is", LOAD),
    field("melt_temperature", "low", "Melt from", HEAT),
    field("melt_temperature", "high", "to", HEAT),
    field("melt_temperature", "typical", "usually", HEAT),
    field("mold_temperature", "low", "Mold from", HEAT),
    field("mold_temperature", "high", "to", HEAT),
    field("mold_temperature", "typical", "usually", HEAT),
    field("shrinkage", "low", "Shrinks by at least", SHARE),
    field("shrinkage", "high", "at most", SHARE),
    field("drying", "text", "Drying, such as 80 C, 3 h", &[]),
];

/// What stands in the form.
#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FilledPlastic {
    /// What the workshop calls it.
    pub(super) name: String,
    /// The known plastic that it is like.
    pub(super) like: String,
    /// Where its values are from.
    #[serde(default)]
    pub(super) source: String,
    /// Name of each field and what stands in it, the unit behind the number.
    pub(super) values: Vec<(String, String)>,
    /// What the form does not show, as TOML.
    #[serde(default)]
    pub(super) kept: String,
}

/// A plastics file and what comes of it.
#[derive(Debug)]
pub(super) struct MadePlastic {
    /// The file.
    pub(super) text: String,
    /// Name and value of what matters.
    pub(super) facts: Vec<(&'static str, String)>,
}

impl FilledPlastic {
    fn value(&self, name: &str) -> &str {
        let found = self.values.iter().find(|(other, _)| other == name);
        found.map_or("", |(_, value)| value.trim())
    }

    /// The key of the plastic in its file: its name in plain letters, that of no known plastic.
    fn key(&self, known: &Plastics) -> String {
        let plain = self.name.to_lowercase();
        let words = plain.split(|c: char| !c.is_ascii_alphanumeric());
        let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
        let key = words.join("_");
        if key.is_empty() || known.find(&key).is_ok() {
            format!("our_{key}")
        } else {
            key
        }
    }
}

/// The plastics file that the form describes.
///
/// # Errors
/// What is wrong, with its field where that is known.
pub(super) fn make(filled: &FilledPlastic) -> Result<MadePlastic, Vec<Wrong>> {
    let whole = |why: String| vec![Wrong { field: None, why }];
    let known = Plastics::builtin().map_err(|why| whole(why.to_string()))?;
    let base = known.find(&filled.like).map_err(|why| {
        vec![Wrong { field: Some("like".to_owned()), why: why.to_string() }]
    })?;
    if filled.name.trim().is_empty() {
        let why = "give it a name, such as our caps".to_owned();
        return Err(vec![Wrong { field: Some("name".to_owned()), why }]);
    }
    let key = filled.key(&known);
    let mut root: Table = toml::from_str(&filled.kept).unwrap_or_default();
    let all = root.entry("plastic").or_insert_with(|| Value::Table(Table::new()));
    if let Value::Table(all) = all {
        let entry = all.entry(key.clone()).or_insert_with(|| Value::Table(Table::new()));
        if let Value::Table(own) = entry {
            fill_table(own, filled, base);
        }
    }
    let text = toml::to_string(&root).map_err(|why| whole(why.to_string()))?;
    let plastics = Plastics::builtin()
        .and_then(|known| known.with_user_file(&text))
        .map_err(|why| vec![place(&why, &text)])?;
    let plastic = plastics.find(&key).map_err(|why| whole(why.to_string()))?;
    Ok(MadePlastic { facts: facts(plastic, base), text })
}

/// Puts what stands in the form into the table of the plastic.
fn fill_table(own: &mut Table, filled: &FilledPlastic, base: &Plastic) {
    let text = |text: &str| Value::String(text.to_owned());
    own.insert("name".to_owned(), text(filled.name.trim()));
    own.insert("like".to_owned(), text(&filled.like));
    let source = match filled.source.trim() {
        "" => "your own",
        source => source,
    };
    let sourced = |value: Value| {
        let mut table = Table::new();
        table.insert("value".to_owned(), value);
        table.insert("source".to_owned(), text(source));
        Value::Table(table)
    };
    let rates = rates(filled, base);
    match rates.as_slice() {
        [] => {}
        [one] => drop(own.insert("mfr".to_owned(), text(one))),
        both => {
            let both = both.iter().map(|rate| text(rate)).collect();
            own.insert("mfr".to_owned(), Value::Array(both));
        }
    }
    for (key, of_base) in [
        ("melt_temperature", celsius(base.melt_temperature.value)),
        ("mold_temperature", celsius(base.mold_temperature.value)),
        ("shrinkage", percent(base.shrinkage.value)),
    ] {
        let given = |part: &str| filled.value(&format!("{key}.{part}"));
        let parts = ["low", "high", "typical"];
        if parts.iter().all(|part| given(part).is_empty()) {
            continue;
        }
        let mut range = Table::new();
        for (part, usual) in parts.iter().zip(&of_base) {
            let value = Some(given(part).to_owned()).filter(|given| !given.is_empty());
            // An end that nobody gives is that of the plastic that it is like.
            if let Some(value) = value.or_else(|| usual.clone()) {
                range.insert((*part).to_owned(), Value::String(value));
            }
        }
        own.insert(key.to_owned(), sourced(Value::Table(range)));
    }
    let drying = filled.value("drying.text");
    if !drying.is_empty() {
        own.insert("drying".to_owned(), sourced(text(drying)));
    }
}

/// The melt flow rates as a data sheet writes them, in the test of the plastic that it is like
/// where none is given.
fn rates(filled: &FilledPlastic, base: &Plastic) -> Vec<String> {
    let test = base.flow_test.value;
    let given = |part: &str| filled.value(&format!("mfr.{part}")).to_owned();
    let or = |given: String, usual: Option<String>| {
        if given.is_empty() { usual.unwrap_or_default() } else { given }
    };
    let at = or(
        given("at"),
        test.map(|test| format!("{} C", three_digits(in_celsius(test.temperature)))),
    );
    let load = or(
        given("load"),
        test.map(|test| format!("{} kg", three_digits(test.load.si()))),
    );
    let pairs = [(given("rate"), load), (given("rate2"), given("load2"))];
    let known = pairs.into_iter().filter(|(rate, _)| !rate.is_empty());
    known.map(|(rate, load)| format!("{rate} at {at}, {load}")).collect()
}

/// At which field a plastic that is wrong is complained of.
fn place(error: &PlasticsError, text: &str) -> Wrong {
    let (keys, why) = match error {
        PlasticsError::Nonsense { problem, .. } => {
            let key = problem.split([':', ' ']).next().unwrap_or_default();
            ([key.to_owned(), String::new()], problem.clone())
        }
        PlasticsError::File(FileError { line, key, problem }) => {
            (keys_at(text, *line, key), problem.clone())
        }
        PlasticsError::NotFound { .. } => {
            ([const { String::new() }; 2], error.to_string())
        }
    };
    let [key, part] = keys;
    let of_key = || FIELDS.iter().filter(|field| field.key == key);
    let field = of_key().find(|field| field.part == part).or_else(|| of_key().next());
    let named = ["name", "like"].contains(&key.as_str()).then_some(key);
    Wrong { field: field.map(PlasticField::name).or(named), why }
}

/// The key of the plastic that line `line` of `text` belongs to, and the part of it.
fn keys_at(text: &str, line: usize, key: &str) -> [String; 2] {
    let heads = text.lines().take(line).filter_map(|line| line.strip_prefix('['));
    let head = heads.last().unwrap_or_default().trim_end_matches(']');
    match head.split('.').nth(2) {
        Some(of) => [of.to_owned(), key.to_owned()],
        None => [key.to_owned(), String::new()],
    }
}

/// What stands in the form for the plastics file `text`: its first plastic, the others kept.
///
/// # Errors
/// When the text is no plastics file.
pub(super) fn fill(text: &str) -> Result<FilledPlastic, PlasticsError> {
    Plastics::builtin()?.with_user_file(text)?;
    let mut kept: Table = toml::from_str(text).unwrap_or_default();
    let first = kept
        .get("plastic")
        .and_then(Value::as_table)
        .and_then(|all| all.iter().next().map(|(key, own)| (key.clone(), own.clone())));
    let (key, own) = first.unwrap_or_else(|| (String::new(), Value::Table(Table::new())));
    let read = own.as_table().cloned().unwrap_or_default();
    let plain = |name: &str| {
        let value = read.get(name).and_then(Value::as_str);
        value.map_or_else(String::new, str::to_owned)
    };
    let name = Some(plain("name")).filter(|name| !name.is_empty()).unwrap_or(key.clone());
    let like = Some(plain("like")).filter(|like| !like.is_empty()).unwrap_or(key.clone());
    let mut source = String::new();
    let mut values = flow_values(read.get("mfr"));
    for each in FIELDS.iter().filter(|field| field.key != "mfr") {
        let Some(found) = read.get(each.key) else { continue };
        if let Some(from) = found.get("source").and_then(Value::as_str) {
            from.clone_into(&mut source);
        }
        let value = found.get("value").unwrap_or(found);
        let value = value.get(each.part).unwrap_or(value);
        if let Some(text) = value.as_str() {
            values.push((each.name(), text.to_owned()));
        }
    }
    if let Some(Value::Table(all)) = kept.get_mut("plastic")
        && let Some(Value::Table(own)) = all.get_mut(&key)
    {
        own.retain(|key, _| {
            key != "name" && key != "like" && !FIELDS.iter().any(|field| field.key == key)
        });
        if own.is_empty() {
            all.remove(&key);
        }
    }
    let kept = toml::to_string(&kept).unwrap_or_default();
    Ok(FilledPlastic { name, like, source, values, kept })
}

/// What stands in the fields of the melt flow rate: "12 g/10min at 230 C, 2.16 kg", once or twice.
fn flow_values(found: Option<&Value>) -> Vec<(String, String)> {
    let rates: Vec<&str> = match found {
        Some(Value::String(one)) => vec![one],
        Some(Value::Array(both)) => both.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    };
    let mut values = Vec::new();
    for (rate, [name, load_name]) in
        rates.iter().zip([["rate", "load"], ["rate2", "load2"]])
    {
        let Some((rate, test)) = rate.split_once(" at ") else { continue };
        let Some((at, load)) = test.split_once(',') else { continue };
        for (name, text) in [(name, rate), ("at", at), (load_name, load)] {
            values.push((format!("mfr.{name}"), text.trim().to_owned()));
        }
    }
    values
}

#[cfg(test)]
mod tests;
