//! What was chosen on the page, read just as the command line reads its options.

use std::error::Error;

use clap::Parser;
use clap::error::{ContextKind, ContextValue};
use serde::{Deserialize, Serialize};

use crate::cli::args::Why;
use crate::cli::given_args::Given;
use crate::cli::mold_args::Hardware;

/// A choice on the page: the option that it stands for.
pub(super) struct Field {
    /// The option without its dashes.
    pub(super) option: &'static str,
    /// What the page calls it.
    pub(super) label: &'static str,
    /// An example.
    pub(super) example: &'static str,
}

/// Choices that need a value; what opens a file is not among them.
pub(super) const VALUES: [Field; 19] = [
    field("units", "Units of what you read: mm or in", "in"),
    field("melt", "Melt temperature", "240 C"),
    field("mold", "Mold temperature", "45 C"),
    field("texture", "Texture depth", "0.02 mm"),
    field("gate", "Gate at", "12,0,4.5"),
    field("feed-layout", "Feed layout: direct, edge or split", "edge"),
    field("gate-depth", "Gate depth", "0.8 mm"),
    field("gate-width", "Gate width", "3 mm"),
    field("gate-land", "Gate length", "1 mm"),
    field("cavities", "Equal cavities", "2"),
    field("runner", "Runner", "4 mm"),
    field("runner-section", "Runner section: round or trapezoid", "trapezoid"),
    field("runner-length", "Runner length", "20 mm"),
    field("sprue-length", "Sprue length", "15 mm"),
    field("cutters", "Ball cutters", "2 mm,3 mm"),
    field("feed-share", "Feed as a share", "15 %"),
    field("dimension", "Cavity size for", "48 mm"),
    field("cells", "Cells for filling", "8000"),
    field("mill-cell", "Cells for the cutters", "0.1 mm"),
];

/// Choices that are made or not.
pub(super) const SWITCHES: [Field; 5] = [
    field("no-runner", "No runner: the sprue stands at the gate", ""),
    field("close-holes", "Close small flat holes of an open surface", ""),
    field(
        "no-fill",
        "Do not look whether it fills (faster; leaves the verdict open)",
        "",
    ),
    field("as-milled", "Weigh and judge the part as the cutters leave it", ""),
    field("no-mill", "Do not look at the cutters", ""),
];

/// Those that the page shows first.
const FIRST: [Field; 3] = [
    field("plastic", "Plastic", ""),
    field("pull", "Mold opens along", "+z"),
    field("unit", "Unit of the file", "mm"),
];

/// Choices of a mold that need a value.
pub(super) const MOLD_VALUES: [Field; 4] = [
    field("dowel-diameter", "Dowels", "6 mm"),
    field("vents", "Number of vents", "4"),
    field("opening", "The press opens by", "120 mm"),
    field("travel", "The mill travels along x, y and z", "200 mm,150 mm,60 mm"),
];

/// Choices of a mold that are made or not.
pub(super) const MOLD_SWITCHES: [Field; 7] = [
    field("no-bolts", "No bolt holes", ""),
    field("no-dowels", "No dowel holes", ""),
    field("no-feed", "No sprue, runner and gate", ""),
    field("no-pins", "No ejector pin holes", ""),
    field("no-vents", "No vents", ""),
    field("no-pry-slots", "No pry slots", ""),
    field("strip", "The part is stripped off what traps it", ""),
];

/// What is known of a bad shot.
pub(super) const SHOT_VALUES: [Field; 9] = [
    field("seen", "What the part shows", "short"),
    field("set", "The press was set to", "4 bar"),
    field("melt", "Melt, as measured", "230 C"),
    field("mold", "Mold, as measured", "40 C"),
    field("held", "Pressure held for", "3 s"),
    field("cooled", "Cooled for", "25 s"),
    field("in-barrel", "In the hot barrel for", "15 min"),
    field("dried", "Plastic dried for", "3 h"),
    field("shot", "Shot of the session", "4"),
];

/// What is known of a bad shot or not.
pub(super) const SHOT_SWITCHES: [Field; 1] =
    [field("was-good", "This mold made good parts before, on this press", "")];

const fn field(
    option: &'static str,
    label: &'static str,
    example: &'static str,
) -> Field {
    Field { option, label, example }
}

/// What the page sends: the part, with what it is made, and what was chosen besides.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Request {
    /// Which part; a check has one.
    pub(super) part: Option<u64>,
    /// Which press; the built-in one when not given.
    #[serde(default)]
    pub(super) press: Option<u64>,
    /// Which plastics; those that the page began with when not given.
    #[serde(default)]
    pub(super) plastics: Option<u64>,
    /// Which cutters; the built-in list when not given.
    #[serde(default)]
    pub(super) cutters: Option<u64>,
    /// Option and value.
    pub(super) chosen: Chosen,
}

/// Options and their values.
pub(super) type Chosen = Vec<(String, String)>;

/// What is wrong with a choice: one line, and the field that it stands in where that is known.
#[derive(Debug, PartialEq)]
pub(super) struct Wrong {
    /// The option without its dashes.
    pub(super) field: Option<String>,
    /// What was seen, and what to write.
    pub(super) why: String,
}

#[derive(Parser)]
struct Typed {
    #[command(flatten)]
    given: Given,
}

#[derive(Parser)]
struct TypedWhy {
    #[command(flatten)]
    why: Why,
}

#[derive(Parser)]
struct TypedMold {
    #[command(flatten)]
    hardware: Hardware,
}

/// Which fields may be chosen.
#[derive(Clone, Copy)]
pub(super) enum Form {
    /// Those of a check.
    Check,
    /// Those of a mold.
    Mold,
    /// Those of a bad shot.
    Shot,
}

impl Form {
    fn values(self) -> Vec<&'static Field> {
        match self {
            Self::Check => FIRST.iter().chain(&VALUES).collect(),
            Self::Mold => MOLD_VALUES.iter().collect(),
            Self::Shot => SHOT_VALUES.iter().collect(),
        }
    }

    fn switches(self) -> &'static [Field] {
        match self {
            Self::Check => &SWITCHES,
            Self::Mold => &MOLD_SWITCHES,
            Self::Shot => &SHOT_SWITCHES,
        }
    }
}

/// The options that were chosen, as the command line would hold them.
///
/// # Errors
/// When an option is none of the form's.
pub(super) fn words(form: Form, chosen: &Chosen) -> Result<Vec<String>, Wrong> {
    let values = form.values();
    let mut words = Vec::new();
    for (option, value) in chosen {
        let value = value.trim();
        if form.switches().iter().any(|field| field.option == option) {
            if value == "on" {
                words.push(format!("--{option}"));
            }
        } else if values.iter().any(|field| field.option == option) {
            if !value.is_empty() {
                words.push(format!("--{option}={value}"));
            }
        } else {
            return Err(Wrong {
                field: None,
                why: format!("{option:?} cannot be chosen here"),
            });
        }
    }
    Ok(words)
}

/// What was chosen, as the page calls it, with its value; empty for what is only made or not.
pub(super) fn described(
    form: Form,
    chosen: &Chosen,
) -> impl Iterator<Item = (&'static str, &str)> {
    let values = form.values();
    chosen.iter().filter_map(move |(option, value)| {
        let named = |field: &&'static Field| field.option == option;
        let switch = form.switches().iter().find(named).map(|field| (field.label, ""));
        let value = value.trim();
        let valued = values.iter().copied().find(named).filter(|_| !value.is_empty());
        switch.or(valued.map(|field| (field.label, value)))
    })
}

/// The same as settings.
///
/// # Errors
/// When a value is not understood.
pub(super) fn given(words: &[String]) -> Result<Given, Wrong> {
    parse::<Typed>(words).map(|typed| typed.given)
}

/// The same of a mold.
///
/// # Errors
/// When a value is not understood.
pub(super) fn hardware(words: &[String]) -> Result<Hardware, Wrong> {
    parse::<TypedMold>(words).map(|typed| typed.hardware)
}

/// The same of a bad shot: what a check was asked with, and what is known of the shot.
///
/// # Errors
/// When a value is not understood.
pub(super) fn shot(words: &[String], more: &[String]) -> Result<Why, Wrong> {
    let part = ["part.stl".to_owned()];
    let all = [part.as_slice(), &without_heat(words), more].concat();
    parse::<TypedWhy>(&all).map(|typed| typed.why)
}

/// The options of a check but the temperatures: a mold is cut for the usual ones.
pub(super) fn without_heat(words: &[String]) -> Vec<String> {
    let is_heat =
        |word: &&String| ["--melt=", "--mold="].iter().any(|heat| word.starts_with(heat));
    words.iter().filter(|word| !is_heat(word)).cloned().collect()
}

fn parse<T: Parser>(words: &[String]) -> Result<T, Wrong> {
    let all = std::iter::once("goodshot").chain(words.iter().map(String::as_str));
    T::try_parse_from(all).map_err(|error| wrong(&error))
}

/// What the reader of options says, without the option where its field shows it.
fn wrong(error: &clap::Error) -> Wrong {
    let text = |kind: ContextKind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.as_str()),
        _ => None,
    };
    let option = text(ContextKind::InvalidArg).and_then(|option| {
        option.split([' ', '=']).next().and_then(|name| name.strip_prefix("--"))
    });
    let why = match (error.source(), text(ContextKind::InvalidValue)) {
        (Some(source), Some(value)) => {
            let source = source.to_string();
            let is_quoted = source.contains(value);
            if is_quoted { source } else { format!("{value:?}: {source}") }
        }
        _ => crate::cli::one_line(error),
    };
    Wrong { field: option.map(str::to_owned), why }
}

/// What would be typed for the same in a terminal; `files` are options and the names of the
/// files that they open.
pub(super) fn as_typed(
    command: &str,
    part: &str,
    files: &[(&str, Option<&str>)],
    words: &[String],
) -> String {
    let mut typed = format!("goodshot {command} {}", quoted(part));
    for (option, file) in files {
        if let Some(file) = file {
            typed += &format!(" --{option} {}", quoted(file));
        }
    }
    for word in words {
        typed += &format!(" {}", quoted(word));
    }
    typed
}

fn quoted(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-+=._,/:".contains(c);
    if !word.is_empty() && word.chars().all(plain) {
        return word.to_owned();
    }
    format!("'{}'", word.replace('\'', r"'\''"))
}

#[cfg(test)]
mod tests {
    use super::{Chosen, Form, as_typed, described, given, hardware, words};

    fn chosen(chosen: &[(&str, &str)]) -> Chosen {
        let own =
            |(option, value): &(&str, &str)| ((*option).to_owned(), (*value).to_owned());
        chosen.iter().map(own).collect()
    }

    #[test]
    fn what_is_chosen_is_read_as_typed() {
        let chosen = chosen(&[
            ("plastic", "abs"),
            ("pull", "-x"),
            ("unit", " "),
            ("no-fill", "on"),
            ("close-holes", ""),
        ]);
        let words = words(Form::Check, &chosen).unwrap();
        assert_eq!(words, ["--plastic=abs", "--pull=-x", "--no-fill"]);
        let given = given(&words).unwrap();
        assert_eq!(given.plastic.as_deref(), Some("abs"));
        let files =
            [("press", Some("our press.toml")), ("plastics", None), ("tools", Some("c"))];
        let typed = as_typed("check", "it's.stl", &files, &words);
        assert_eq!(
            typed,
            r"goodshot check 'it'\''s.stl' --press 'our press.toml' --tools c --plastic=abs --pull=-x --no-fill"
        );
    }

    #[test]
    fn what_is_chosen_has_the_names_of_the_page() {
        let chosen = chosen(&[("plastic", "abs"), ("unit", " "), ("no-mill", "on")]);
        let described: Vec<(&str, &str)> = described(Form::Check, &chosen).collect();
        assert_eq!(described, [("Plastic", "abs"), ("Do not look at the cutters", "")]);
    }

    #[test]
    fn no_option_that_opens_a_file_can_be_chosen() {
        for option in
            ["press", "plastics", "tools", "out", "json", "help", "gate --press", ""]
        {
            for form in [Form::Check, Form::Mold, Form::Shot] {
                assert!(words(form, &chosen(&[(option, "x")])).is_err(), "{option}");
            }
        }
        // A value never becomes another option.
        let chosen = chosen(&[("plastic", "--press=secret.toml")]);
        let words = words(Form::Check, &chosen).unwrap();
        let given = given(&words).unwrap();
        assert!(given.press.is_none());
        assert_eq!(given.plastic.as_deref(), Some("--press=secret.toml"));
    }

    #[test]
    fn a_value_that_is_not_understood_is_one_line_at_its_field() {
        let check = [
            ("pull", "up"),
            ("texture", "rough"),
            ("cells", "-1"),
            ("unit", "feet"),
            ("gate-depth", "0.8"),
        ];
        let mold = [("dowel-diameter", "6"), ("vents", "many"), ("travel", "far")];
        let of_check =
            check.map(|it| given(&words(Form::Check, &chosen(&[it])).unwrap()).err());
        let of_mold =
            mold.map(|it| hardware(&words(Form::Mold, &chosen(&[it])).unwrap()).err());
        let wrong = of_check.into_iter().chain(of_mold);
        for (wrong, (field, value)) in wrong.zip(check.into_iter().chain(mold)) {
            let wrong = wrong.unwrap();
            assert_eq!(wrong.field.as_deref(), Some(field), "{wrong:?}");
            assert!(wrong.why.contains(value) && !wrong.why.contains("--"), "{wrong:?}");
            assert_eq!(wrong.why.lines().count(), 1, "{wrong:?}");
        }
    }
}
