//! What the reader of TOML says, in the words of somebody who fills in a file: keys and values,
//! what was meant, what to write.

use super::format::shortened;

/// Keys that are listed where one is not known.
const MOST_LISTED: usize = 16;
/// A name that is at least so like another is meant to be it (Jaro and Winkler's measure).
const ALIKE: f64 = 0.8;

/// `message` of the reader in one line.
pub(super) fn problem(message: &str) -> String {
    let message = message.replace('\n', "; ");
    let in_words = unknown_key(&message)
        .or_else(|| unknown_word(&message))
        .or_else(|| missing(&message))
        .or_else(|| other_kind(&message));
    in_words.unwrap_or_else(|| bounded(&message))
}

/// Something other than TOML that people write: seen from the line that could not be read.
pub(super) fn slip(written: &str) -> Option<String> {
    if written.contains(['“', '”', '„', '‘', '’']) {
        let straight = written.replace(['“', '”', '„', '‘', '’'], "\"");
        return Some(format!(
            "curly quotes: write straight ones, {}",
            shortened(&straight)
        ));
    }
    let Some((key, value)) = written.split_once('=') else {
        let (key, value) = written.split_once(':')?;
        let line = format!("{} = {}", key.trim(), value.trim());
        return Some(format!("write = between key and value: {}", shortened(&line)));
    };
    let (key, value) = (key.trim(), value.split('#').next().unwrap_or_default().trim());
    if value.is_empty() {
        return Some("there is no value behind the =".to_owned());
    }
    if !value.starts_with(['"', '\'', '[', '{']) {
        let quoted = format!("{key} = \"{}\"", value.trim_end_matches(['"', '\'']));
        return Some(format!("write the value in quotes: {}", shortened(&quoted)));
    }
    let quotes = value.matches('"').count() + value.matches('\'').count();
    (quotes == 1).then(|| format!("the quote is not closed: {}", shortened(value)))
}

/// "unknown field `x`, expected one of `a`, `b`".
fn unknown_key(message: &str) -> Option<String> {
    let quoted = quoted(message.strip_prefix("unknown field ")?);
    let (seen, known) = quoted.split_first()?;
    Some(format!("there is no key \"{}\"{}", shortened(seen), choice(seen, known)))
}

/// "unknown variant `x`, expected `a` or `b`".
fn unknown_word(message: &str) -> Option<String> {
    let quoted = quoted(message.strip_prefix("unknown variant ")?);
    let (seen, known) = quoted.split_first()?;
    Some(format!("\"{}\" is none of the words{}", shortened(seen), choice(seen, known)))
}

/// What was meant, and what there is.
fn choice(seen: &str, known: &[&str]) -> String {
    if known.is_empty() {
        return " known here".to_owned();
    }
    let likeness = |name: &str| strsim::jaro_winkler(&seen.to_lowercase(), name);
    let meant = known.iter().max_by(|a, b| likeness(a).total_cmp(&likeness(b)));
    let meant = meant.filter(|name| likeness(name) >= ALIKE);
    let meant =
        meant.map_or_else(String::new, |name| format!(": did you mean \"{name}\"?"));
    let listed = known.iter().take(MOST_LISTED).copied().collect::<Vec<_>>().join(", ");
    let more = if known.len() > MOST_LISTED { ", …" } else { "" };
    format!(" known here{meant} (known: {listed}{more})")
}

/// "missing field `x`".
fn missing(message: &str) -> Option<String> {
    let key = *quoted(message.strip_prefix("missing field ")?).first()?;
    Some(format!("\"{}\" is missing", shortened(key)))
}

/// "invalid type: integer `5`, expected a string".
fn other_kind(message: &str) -> Option<String> {
    let said = message.strip_prefix("invalid type: ");
    let said = said.or_else(|| message.strip_prefix("invalid value: "))?;
    let (seen, wanted) = said.rsplit_once(", expected ")?;
    let seen = match seen.split_once(' ') {
        Some(("string", text)) => format!("the text {}", shortened(text)),
        Some(("integer", number)) => number.replace('`', ""),
        Some(("floating", number)) => number.replace("point ", "").replace('`', ""),
        Some(("boolean", word)) => word.replace('`', ""),
        _ if seen == "map" => "a table".to_owned(),
        _ if seen == "sequence" => "a list".to_owned(),
        _ => shortened(seen).into_owned(),
    };
    let wanted = match wanted {
        "u32" | "usize" | "u64" | "u8" => {
            "a whole number of 0 or more, without quotes".to_owned()
        }
        "f64" => "a number without quotes".to_owned(),
        "a string" => "a text in quotes".to_owned(),
        "a boolean" => "true or false".to_owned(),
        "a sequence" => "a list in brackets".to_owned(),
        wanted if wanted.starts_with("struct ") || wanted == "a map" => {
            "a table of keys, such as [name] with its keys below".to_owned()
        }
        wanted if wanted.starts_with("a tuple") || wanted.starts_with("an array") => {
            "a list in brackets".to_owned()
        }
        wanted => wanted.to_owned(),
    };
    Some(format!("this is {seen}; write {wanted}"))
}

/// The texts between backticks.
fn quoted(message: &str) -> Vec<&str> {
    message.split('`').skip(1).step_by(2).collect()
}

/// A message that has no words of ours, its quotations cut and in the same signs as ours.
fn bounded(message: &str) -> String {
    let cut = |(part, at): (&str, usize)| match at % 2 {
        0 => part.to_owned(),
        _ => shortened(part).into_owned(),
    };
    message.split('`').zip(0..).map(cut).collect::<Vec<_>>().join("\"")
}

#[cfg(test)]
mod tests {
    use super::{problem, slip};

    #[test]
    fn what_is_meant_is_offered() {
        let said =
            problem("unknown field `diametre`, expected one of `diameter`, `stroke`");
        assert!(said.contains("did you mean \"diameter\"?"), "{said}");
        let said = problem("unknown field `x`, expected `y`");
        assert!(!said.contains("did you mean") && said.contains("known: y"), "{said}");
        let long = format!("unknown field `{}`, expected `y`", "k".repeat(200_000));
        assert!(problem(&long).len() < 200);
        assert!(problem(&format!("`{}`", "k".repeat(200_000))).len() < 200);
    }

    #[test]
    fn slips_of_the_pen_are_shown_as_they_should_be() {
        for (written, part) in [
            ("bore = “63 mm”", "straight ones, bore = \"63 mm\""),
            ("bore = 63 mm", "in quotes: bore = \"63 mm\""),
            ("bore = 63,5 mm # ours", "in quotes: bore = \"63,5 mm\""),
            ("bore: \"63 mm\"", "between key and value: bore = \"63 mm\""),
            ("bore = \"63 mm", "the quote is not closed"),
            ("bore =", "no value behind"),
        ] {
            let said = slip(written).unwrap();
            assert!(said.contains(part), "{said}");
        }
    }
}
