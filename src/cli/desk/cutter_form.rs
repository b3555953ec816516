//! The user's own cutters as a form: a list of them, from and to a cutters file.

use serde::{Deserialize, Serialize};
use toml::{Table, Value};

use crate::cli::desk::form_fields::Wrong;
use crate::mold::milling::{CutterError, CutterList};
use crate::units::FileError;
use crate::units::format::three_digits;

/// A field of each cutter: its key, what the page calls it, and what may stand in it.
pub(super) const FIELDS: [(&str, &str, &str); 8] = [
    ("diameter", "Diameter", "1/8 in"),
    ("flute", "Length of its edges", "1/2 in"),
    ("reach", "Tip to where it gets wider", "12 mm"),
    ("shank", "Shank", "1/8 in"),
    ("stickout", "Tip to the holder", "20 mm"),
    ("corner_radius", "Corner radius", "0.5 mm"),
    ("taper", "Taper of a side", "5 deg"),
    ("feed", "Feed in aluminum", "10 mm/s"),
];

/// Forms of cutters, and what the page calls them.
pub(super) const KINDS: [(&str, &str); 4] = [
    ("flat", "Flat"),
    ("ball", "Ball"),
    ("bull", "Rounded corners"),
    ("tapered", "Tapered"),
];

/// What stands in the form.
#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FilledCutters {
    /// What the workshop calls its list.
    pub(super) name: String,
    /// Diameter of the holder.
    pub(super) holder: String,
    /// Key and text of each cutter.
    pub(super) cutters: Vec<Vec<(String, String)>>,
}

/// A cutters file and what comes of it.
#[derive(Debug)]
pub(super) struct MadeCutters {
    /// The file.
    pub(super) text: String,
    /// Name of each cutter, and how deep it goes.
    pub(super) facts: Vec<(String, String)>,
}

/// The cutters file that the form describes.
///
/// # Errors
/// What is wrong, with its field: `cutter.0.diameter` is that of the first cutter.
pub(super) fn make(filled: &FilledCutters) -> Result<MadeCutters, Wrong> {
    let quoted = |text: &str| Value::String(text.trim().to_owned()).to_string();
    let mut text =
        format!("name = {}\nholder = {}\n", quoted(&filled.name), quoted(&filled.holder));
    for cutter in &filled.cutters {
        text += "\n[[cutter]]\n";
        let given = cutter.iter().filter(|(_, value)| !value.trim().is_empty());
        for (key, value) in given.filter(|(key, _)| is_key(key)) {
            text += &format!("{key} = {}\n", quoted(value));
        }
    }
    let list = CutterList::parse(&text).map_err(|why| place(&why, &text))?;
    let facts = list.cutters.iter().map(|cutter| {
        let times = three_digits(cutter.reach / cutter.diameter);
        let reach = three_digits(cutter.reach);
        (cutter.name.clone(), format!("{reach} mm deep, {times} diameters"))
    });
    Ok(MadeCutters { facts: facts.collect(), text })
}

fn is_key(key: &str) -> bool {
    let known = FIELDS.iter().map(|(key, ..)| *key);
    known.chain(["kind", "holder", "name"]).any(|known| known == key)
}

/// At which field a list that is wrong is complained of.
fn place(error: &CutterError, text: &str) -> Wrong {
    let (place, key, why) = match error {
        CutterError::Value { number, problem, .. } => {
            let key = problem.split(':').next().filter(|key| is_key(key));
            (number.checked_sub(1), key.unwrap_or("diameter"), problem.clone())
        }
        CutterError::File(FileError { line, key, problem }) => {
            let heads = text.lines().take(*line).filter(|line| *line == "[[cutter]]");
            (heads.count().checked_sub(1), key.as_str(), problem.clone())
        }
        CutterError::Empty => (None, "", "add a cutter".to_owned()),
    };
    let missing = FIELDS.iter().map(|(key, ..)| *key).find(|key| {
        why.contains("missing")
            && why.split(['`', '"', '\'', ' ']).any(|word| word == *key)
    });
    let key = missing.unwrap_or(if is_key(key) { key } else { "diameter" });
    let field = match place {
        Some(place) => Some(format!("cutter.{place}.{key}")),
        None => Some(key.to_owned()).filter(|key| key == "holder" || key == "name"),
    };
    Wrong { field, why }
}

/// What stands in the form for the cutters file `text`.
///
/// # Errors
/// As [`CutterList::parse`].
pub(super) fn fill(text: &str) -> Result<FilledCutters, CutterError> {
    CutterList::parse(text)?;
    let root: Table = toml::from_str(text).unwrap_or_default();
    let plain =
        |value: &Value| value.as_str().map_or_else(|| value.to_string(), str::to_owned);
    let of = |name: &str| root.get(name).map_or_else(String::new, plain);
    let all = root.get("cutter").and_then(Value::as_array);
    let cutters = all.into_iter().flatten().filter_map(Value::as_table).map(|cutter| {
        cutter.iter().map(|(key, value)| (key.clone(), plain(value))).collect()
    });
    Ok(FilledCutters {
        name: of("name"),
        holder: of("holder"),
        cutters: cutters.collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::{FIELDS, FilledCutters, fill, make};
    use crate::mold::milling::CutterList;

    fn one(values: &[(&str, &str)]) -> FilledCutters {
        let own = |(key, value): &(&str, &str)| ((*key).to_owned(), (*value).to_owned());
        let holder = "1 in".to_owned();
        let cutters = vec![values.iter().map(own).collect()];
        FilledCutters { name: "ours".to_owned(), holder, cutters }
    }

    const EIGHTH: [(&str, &str); 5] = [
        ("kind", "flat"),
        ("diameter", "1/8 in"),
        ("flute", "1/2 in"),
        ("shank", "1/8 in"),
        ("stickout", "3/4 in"),
    ];

    #[test]
    fn a_file_that_is_opened_and_saved_is_the_same_list() {
        for text in
            [CutterList::template(), include_str!("../../mold/milling/cutters.toml")]
        {
            let made = make(&fill(text).unwrap()).unwrap();
            assert_eq!(
                CutterList::parse(&made.text).unwrap(),
                CutterList::parse(text).unwrap()
            );
            assert_eq!(made.facts.len(), CutterList::parse(text).unwrap().cutters.len());
        }
    }

    /// 1/8 in are 3.175 mm, 1/2 in 12.7 mm: four diameters.
    #[test]
    fn inch_sizes_are_read_as_they_are_written() {
        let made = make(&one(&EIGHTH)).unwrap();
        assert!(made.text.contains("diameter = \"1/8 in\""), "{}", made.text);
        let [(_, fact)] = made.facts.as_slice() else { panic!() };
        assert_eq!(fact, "12.7 mm deep, 4 diameters");
    }

    #[test]
    fn what_is_wrong_stands_at_its_field() {
        let with = |key: &str, value: &str| {
            let mut filled = one(&EIGHTH);
            filled.cutters.push(one(&EIGHTH).cutters[0].clone());
            filled.cutters[1].retain(|(other, _)| other != key);
            filled.cutters[1].push((key.to_owned(), value.to_owned()));
            make(&filled).unwrap_err()
        };
        for (key, value) in [
            ("diameter", "3"),
            ("diameter", "300 mm"),
            ("shank", ""),
            ("flute", ""),
            ("reach", "1 mm"),
            ("stickout", "5 mm"),
            ("corner_radius", "1 mm"),
            ("feed", "fast"),
        ] {
            let wrong = with(key, value);
            let field = wrong.field.clone().unwrap();
            assert_eq!(field, format!("cutter.1.{key}"), "{value:?} {wrong:?}");
            assert_eq!(wrong.why.lines().count(), 1, "{wrong:?}");
        }
        let mut filled = one(&EIGHTH);
        filled.holder = "wide".to_owned();
        assert_eq!(make(&filled).unwrap_err().field.as_deref(), Some("holder"));
        filled.cutters.clear();
        filled.holder = "1 in".to_owned();
        assert_eq!(make(&filled).unwrap_err().why, "add a cutter");
        // Every field is a key of the file.
        assert!(FIELDS.iter().all(|(key, ..)| CutterList::template().contains(key)));
    }
}
