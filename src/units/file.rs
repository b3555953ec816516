//! Quantities in TOML files: read with their unit, refused with line and key.

use serde::{Deserializer, de};

use super::format::shortened;
use super::toml_words;
use super::{Quantity, read};

/// Reads a quantity from a file: `#[serde(deserialize_with = "units::given")]`.
///
/// # Errors
///
/// As [`read`], in the words of the file's format; a bare number is refused.
pub fn given<'de, D: Deserializer<'de>, Q: Quantity>(from: D) -> Result<Q, D::Error> {
    struct Visitor<Q>(std::marker::PhantomData<Q>);
    impl<Q: Quantity> de::Visitor<'_> for Visitor<Q> {
        type Value = Q;
        fn expecting(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            write!(to, "a {} in quotes with its unit, as in \"{}\"", Q::WHAT, Q::EXAMPLE)
        }
        fn visit_str<E: de::Error>(self, text: &str) -> Result<Q, E> {
            read(text).map_err(E::custom)
        }
        fn visit_f64<E: de::Error>(self, number: f64) -> Result<Q, E> {
            read(&number.to_string()).map_err(E::custom)
        }
        fn visit_i64<E: de::Error>(self, number: i64) -> Result<Q, E> {
            read(&number.to_string()).map_err(E::custom)
        }
    }
    from.deserialize_any(Visitor(std::marker::PhantomData))
}

/// As [`given`], for a key that may be absent.
///
/// # Errors
///
/// As [`given`].
pub fn given_maybe<'de, D, Q>(from: D) -> Result<Option<Q>, D::Error>
where
    D: Deserializer<'de>,
    Q: Quantity,
{
    given(from).map(Some)
}

/// What is wrong in a file, and where in it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("line {line}{}: {problem}", if key.is_empty() { String::new() } else { format!(", {key}") })]
pub struct FileError {
    /// Line, counted from 1.
    pub line: usize,
    /// The key or the table on that line; empty when there is none.
    pub key: String,
    /// What was seen and what to do.
    pub problem: String,
}

/// Reads a whole TOML file.
///
/// # Errors
///
/// The first thing that is wrong, with its line and key, in the words of a user.
pub fn from_toml<T: de::DeserializeOwned>(text: &str) -> Result<T, FileError> {
    toml::from_str(text).map_err(|error| {
        let start = error.span().map_or(0, |span| span.start);
        let before = text.get(..start).unwrap_or_default();
        let line = before.matches('\n').count();
        let written = text.lines().nth(line).unwrap_or_default().trim();
        let key = match written.split_once('=') {
            Some((key, _)) => key.trim(),
            None if written.starts_with('[') => written,
            None => "",
        };
        let is_toml = text.parse::<toml::Table>().is_ok();
        let slip = (!is_toml).then(|| toml_words::slip(written)).flatten();
        let problem = slip.unwrap_or_else(|| toml_words::problem(error.message()));
        FileError { line: line + 1, key: shortened(key).into_owned(), problem }
    })
}

#[cfg(test)]
mod tests {
    use super::{from_toml, given};
    use crate::units::{Length, Quantity};

    #[derive(Debug, serde::Deserialize)]
    struct Cylinder {
        #[serde(deserialize_with = "given")]
        bore: Length,
    }

    #[test]
    fn a_file_error_names_line_and_key() {
        let two_inches = from_toml::<Cylinder>("bore = '2 in'").unwrap().bore.si();
        assert!((two_inches - 0.0508).abs() < 1e-12);
        let error =
            from_toml::<Cylinder>("\n# ours\nbore = 63\n").unwrap_err().to_string();
        assert!(error.starts_with("line 3, bore: \"63\""), "{error}");
        assert!(error.contains("\"63 mm\""), "{error}");
        let error = from_toml::<Cylinder>("bore = true").unwrap_err().to_string();
        assert!(error.contains("\"63 mm\""), "{error}");
        let error = from_toml::<Cylinder>("x = [").unwrap_err().to_string();
        assert!(error.starts_with("line 1") && !error.contains('\n'), "{error}");
    }
}
