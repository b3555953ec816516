//! What was chosen on the page, read just as the command line reads its options.

use clap::Parser;
use serde::Deserialize;

use crate::cli::given_args::Given;

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
pub(super) const VALUES: [Field; 17] = [
    field("units", "Units of what you read: mm or in", "in"),
    field("melt", "Melt temperature", "240 C"),
    field("mold", "Mold temperature", "45 C"),
    field("texture", "Texture depth", "0.02 mm"),
    field("gate", "Gate at", "12,0,4.5"),
    field("feed-layout", "Feed layout: direct, edge or split", "edge"),
    field("gate-depth", "Gate depth", "0.8 mm"),
    field("gate-width", "Gate width", "3 mm"),
    field("gate-land", "Gate length", "1 mm"),
    field("runner", "Runner", "4 mm"),
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
const FIRST: [&str; 3] = ["plastic", "pull", "unit"];

const fn field(
    option: &'static str,
    label: &'static str,
    example: &'static str,
) -> Field {
    Field { option, label, example }
}

/// What the page sends.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Request {
    /// Which part.
    pub(super) part: u64,
    /// Which press; the built-in one when not given.
    pub(super) press: Option<u64>,
    /// Which plastics; those that the page began with when not given.
    pub(super) plastics: Option<u64>,
    /// Which cutters; the built-in list when not given.
    pub(super) cutters: Option<u64>,
    /// Option and value.
    pub(super) chosen: Vec<(String, String)>,
}

#[derive(Parser)]
struct Typed {
    #[command(flatten)]
    given: Given,
}

/// The options that were chosen, as the command line would hold them.
///
/// # Errors
/// One line when an option is none of the page's.
pub(super) fn words(request: &Request) -> Result<Vec<String>, String> {
    let mut words = Vec::new();
    for (option, value) in &request.chosen {
        let value = value.trim();
        let has = |fields: &[Field]| fields.iter().any(|field| field.option == option);
        if has(&SWITCHES) {
            if value == "on" {
                words.push(format!("--{option}"));
            }
        } else if has(&VALUES) || FIRST.contains(&option.as_str()) {
            if !value.is_empty() {
                words.push(format!("--{option}={value}"));
            }
        } else {
            return Err(format!("{option:?} cannot be chosen here"));
        }
    }
    Ok(words)
}

/// The same as settings.
///
/// # Errors
/// One line when a value is not understood.
pub(super) fn given(words: &[String]) -> Result<Given, String> {
    let all = std::iter::once("goodshot").chain(words.iter().map(String::as_str));
    let typed = Typed::try_parse_from(all);
    typed.map(|typed| typed.given).map_err(|error| crate::cli::one_line(&error))
}

/// What would be typed for the same in a terminal; `files` are options and the names of the
/// files that they open.
pub(super) fn as_typed(
    part: &str,
    files: &[(&str, Option<&str>)],
    words: &[String],
) -> String {
    let mut typed = format!("goodshot check {}", quoted(part));
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
    use super::{Request, as_typed, given, words};

    fn request(chosen: &[(&str, &str)]) -> Request {
        let own =
            |(option, value): &(&str, &str)| ((*option).to_owned(), (*value).to_owned());
        let chosen = chosen.iter().map(own).collect();
        Request { part: 1, press: None, plastics: None, cutters: None, chosen }
    }

    #[test]
    fn what_is_chosen_is_read_as_typed() {
        let chosen = [
            ("plastic", "abs"),
            ("pull", "-x"),
            ("unit", " "),
            ("no-fill", "on"),
            ("close-holes", ""),
        ];
        let words = words(&request(&chosen)).unwrap();
        assert_eq!(words, ["--plastic=abs", "--pull=-x", "--no-fill"]);
        let given = given(&words).unwrap();
        assert_eq!(given.plastic.as_deref(), Some("abs"));
        let files =
            [("press", Some("our press.toml")), ("plastics", None), ("tools", Some("c"))];
        let typed = as_typed("it's.stl", &files, &words);
        assert_eq!(
            typed,
            r"goodshot check 'it'\''s.stl' --press 'our press.toml' --tools c --plastic=abs --pull=-x --no-fill"
        );
    }

    #[test]
    fn no_option_that_opens_a_file_can_be_chosen() {
        for option in
            ["press", "plastics", "tools", "out", "json", "help", "gate --press", ""]
        {
            assert!(words(&request(&[(option, "x")])).is_err(), "{option}");
        }
        // A value never becomes another option.
        let words = words(&request(&[("plastic", "--press=secret.toml")])).unwrap();
        let given = given(&words).unwrap();
        assert!(given.press.is_none());
        assert_eq!(given.plastic.as_deref(), Some("--press=secret.toml"));
    }

    #[test]
    fn a_value_that_is_not_understood_is_one_line() {
        for chosen in
            [("pull", "up"), ("texture", "rough"), ("cells", "-1"), ("unit", "feet")]
        {
            let error = given(&words(&request(&[chosen])).unwrap()).unwrap_err();
            assert_eq!(error.lines().count(), 1, "{error}");
            assert!(error.contains(chosen.0), "{error}");
        }
    }
}
