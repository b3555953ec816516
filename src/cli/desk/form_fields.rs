//! What was chosen on the page, read just as the command line reads its options.

use std::error::Error;

use clap::Parser;
use clap::error::{ContextKind, ContextValue};
use serde::{Deserialize, Serialize};

use crate::cli::args::Why;
use crate::cli::desk::offered_fields::{
    FIRST, Field, MOLD_SWITCHES, MOLD_VALUES, SHOT_SWITCHES, SHOT_VALUES, SWITCHES,
    VALUES,
};
use crate::cli::given_args::Given;
use crate::cli::mold_args::Hardware;

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
    use clap::{Arg, CommandFactory};

    use super::{
        Chosen, Form, Typed, TypedMold, as_typed, described, given, hardware, words,
    };

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

    /// What the command line knows and no field has, though it opens no file, would be missed on
    /// the page.
    #[test]
    fn every_option_is_on_the_page() {
        let check = (Typed::command(), Form::Check);
        let mold = (TypedMold::command(), Form::Mold);
        for (command, form) in [check, mold] {
            let mut fields: Vec<&str> =
                form.values().iter().map(|it| it.option).collect();
            fields.extend(form.switches().iter().map(|it| it.option));
            let options = command.get_arguments().filter_map(Arg::get_long);
            // What opens a file, and another name of a layout.
            let besides =
                ["press", "plastics", "calibration", "tools", "help", "split-sprue"];
            let missing: Vec<&str> = options
                .filter(|option| !fields.contains(option) && !besides.contains(option))
                .collect();
            assert_eq!(missing, [""; 0]);
        }
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
