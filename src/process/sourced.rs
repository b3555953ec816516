//! A value together with where it comes from, or the reason why it is not known.
//!
//! In a file either form is understood:
//!
//! ```toml
//! solid_density = "1.05 g/cm3"
//! solid_density = { value = "1.05 g/cm3", source = "data sheet of the bag", note = "23 C" }
//! solid_density = { missing = "not on the data sheet" }
//! ```
//!
//! A value that is itself a table (a range, a viscosity model) has the long form only.

use serde::de::value::{MapAccessDeserializer, StrDeserializer};
use serde::{Deserialize, Deserializer, de};

use crate::units::{self, Quantity};

/// A value and its source; without a value, the note says why.
#[derive(Clone, Debug, PartialEq)]
pub struct Sourced<T> {
    /// The value, when known.
    pub value: Option<T>,
    /// Keys into the table of sources, or the user's own words.
    pub source: String,
    /// Condition or reservation; the reason when there is no value.
    pub note: String,
}

impl<T> Default for Sourced<T> {
    fn default() -> Self {
        Self { value: None, source: String::new(), note: String::new() }
    }
}

impl<T> Sourced<T> {
    /// This value, or what `other` says when nothing at all was said here.
    pub fn or(self, other: Self) -> Self {
        if self.value.is_none() && self.note.is_empty() { other } else { self }
    }

    /// Why there is no value.
    pub fn reason(&self) -> &str {
        if self.note.is_empty() { "not given" } else { &self.note }
    }
}

/// Two ends and, where one is known, the value to use between them.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(
    deny_unknown_fields,
    bound = "Q: Quantity",
    expecting = "a range, as in { value = { low = …, high = … } }"
)]
pub struct Range<Q> {
    /// The lower end.
    #[serde(deserialize_with = "units::given")]
    pub low: Q,
    /// The upper end.
    #[serde(deserialize_with = "units::given")]
    pub high: Q,
    /// The value to use; the middle when `None`.
    #[serde(default, deserialize_with = "units::given_maybe")]
    pub typical: Option<Q>,
}

impl<Q: Quantity> Range<Q> {
    /// The value to use: the typical one, else the middle.
    pub fn typical(&self) -> Q {
        self.typical.unwrap_or_else(|| Q::from_si((self.low.si() + self.high.si()) / 2.0))
    }

    /// Whether the ends are in order and the typical value between them.
    pub fn in_order(&self) -> bool {
        let (low, typical, high) = (self.low.si(), self.typical().si(), self.high.si());
        low <= typical && typical <= high
    }
}

/// What can stand as the value of a [`Sourced`].
pub trait Entry: Sized {
    /// Reads the value alone.
    ///
    /// # Errors
    ///
    /// In the words of the file's format, naming what was expected.
    fn entry<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error>;
}

impl<Q: Quantity> Entry for Q {
    fn entry<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        units::given(from)
    }
}

impl<Q: Quantity> Entry for Range<Q> {
    fn entry<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Self::deserialize(from)
    }
}

impl Entry for String {
    fn entry<'de, D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Self::deserialize(from)
    }
}

/// The long form of a [`Sourced`].
#[derive(Deserialize)]
#[serde(deny_unknown_fields, bound = "T: Entry")]
struct Written<T> {
    #[serde(default, deserialize_with = "entry_maybe")]
    value: Option<T>,
    #[serde(default)]
    source: String,
    #[serde(default)]
    note: String,
    missing: Option<String>,
}

fn entry_maybe<'de, D: Deserializer<'de>, T: Entry>(
    from: D,
) -> Result<Option<T>, D::Error> {
    T::entry(from).map(Some)
}

impl<'de, T: Entry> Deserialize<'de> for Sourced<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Visitor<T>(std::marker::PhantomData<T>);
        impl<'de, T: Entry> de::Visitor<'de> for Visitor<T> {
            type Value = Sourced<T>;
            fn expecting(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(to, "a value with its unit, or {{ value = …, source = \"…\" }}")
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Sourced<T>, E> {
                T::entry(StrDeserializer::new(text)).map(own)
            }
            fn visit_f64<E: de::Error>(self, number: f64) -> Result<Sourced<T>, E> {
                T::entry(de::value::F64Deserializer::new(number)).map(own)
            }
            fn visit_i64<E: de::Error>(self, number: i64) -> Result<Sourced<T>, E> {
                T::entry(de::value::I64Deserializer::new(number)).map(own)
            }
            fn visit_map<A: de::MapAccess<'de>>(
                self,
                map: A,
            ) -> Result<Sourced<T>, A::Error> {
                let written = Written::deserialize(MapAccessDeserializer::new(map))?;
                match (written.value, written.missing) {
                    (Some(value), None) => Ok(Sourced {
                        value: Some(value),
                        source: written.source,
                        note: written.note,
                    }),
                    (None, Some(note)) if !note.is_empty() => {
                        Ok(Sourced { value: None, source: written.source, note })
                    }
                    _ => Err(de::Error::custom(
                        "give either value = …, or missing = \"the reason\"",
                    )),
                }
            }
        }
        from.deserialize_any(Visitor(std::marker::PhantomData))
    }
}

/// A value given without a source is the user's own.
fn own<T>(value: T) -> Sourced<T> {
    Sourced { value: Some(value), source: "given by you".to_owned(), note: String::new() }
}

#[cfg(test)]
mod tests {
    use super::{Range, Sourced};
    use crate::units::{Length, MassDensity, Quantity, from_toml};

    #[derive(Debug, serde::Deserialize)]
    struct File {
        #[serde(default)]
        density: Sourced<MassDensity>,
        #[serde(default)]
        wall: Sourced<Range<Length>>,
    }

    #[test]
    fn reads_the_short_and_the_long_form() {
        let file: File = from_toml("density = '1.05 g/cm3'").unwrap();
        assert!((file.density.value.unwrap().si() - 1050.0).abs() < 1e-9);
        assert_eq!(file.density.source, "given by you");
        let text = "wall = { value = { low = '1 mm', high = '4 mm' }, source = 'bag' }";
        let file: File = from_toml(text).unwrap();
        assert!((file.wall.value.unwrap().typical().si() - 0.0025).abs() < 1e-12);
        let file: File = from_toml("density = { missing = 'unknown grade' }").unwrap();
        assert_eq!(
            (file.density.value, file.density.note.as_str()),
            (None, "unknown grade")
        );
    }

    #[test]
    fn refuses_with_line_and_key() {
        for (text, start) in [
            ("\ndensity = 1.05", "line 2, density: \"1.05\" is not a density"),
            ("density = { value = 5 }", "line 1, density: \"5\" is not a density"),
            ("wall = '2 mm'", "line 1, wall: this is the text \"2 mm\"; write a range"),
            ("density = {}", "line 1, density: give either"),
            (
                "density = { value = '1 g/cm3', color = 1 }",
                "line 1, density: there is no key",
            ),
        ] {
            let error = from_toml::<File>(text).unwrap_err().to_string();
            assert!(error.starts_with(start), "{error}");
        }
    }
}
