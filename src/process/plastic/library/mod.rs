//! The plastics that are known: the built-in ones, and those of the user's file.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::process::plastic::Plastic;
use crate::process::plastic::melt_flow::data_sheet::MeltFlow;
use crate::process::plastic::melt_flow::level::{FitError, fit};
use crate::process::sourced::Sourced;
use crate::units::{FileError, from_toml};

/// By which factor a melt may be off whose melt flow rate is known: the sheet allows a spread
/// from lot to lot, and the model has its own shape (judgment).
const DOUBT_OF_A_KNOWN_BAG: f64 = 1.2;

/// All plastics by key, and the sources that their values name.
#[derive(Clone, Debug, Default)]
pub struct Plastics {
    plastics: BTreeMap<String, Plastic>,
    sources: BTreeMap<String, String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    sources: BTreeMap<String, String>,
    #[serde(default)]
    plastic: BTreeMap<String, Plastic>,
}

/// Why plastics could not be read or found.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlasticsError {
    /// The file is not as it should be.
    #[error(transparent)]
    File(#[from] FileError),
    /// A value cannot be right.
    #[error("plastic {key}: {problem}")]
    Nonsense {
        /// Which plastic.
        key: String,
        /// Which value, and what is wrong with it.
        problem: String,
    },
    /// No plastic has this name.
    #[error("no plastic is called \"{name}\": {hint}")]
    NotFound {
        /// The name asked for.
        name: String,
        /// Near names, or all of them.
        hint: String,
    },
}

impl Plastics {
    /// The built-in plastics.
    ///
    /// # Errors
    ///
    /// None in practice: the table is part of the program and a test reads it.
    pub fn builtin() -> Result<Self, PlasticsError> {
        Self::default().with_user_file(include_str!("../plastics.toml"))
    }

    /// These plastics with the values of a user's file over them. A plastic that is `like`
    /// another takes every value of that one which it does not give itself; a melt flow rate
    /// sets the level of its viscosity model.
    ///
    /// # Errors
    ///
    /// When the text is no such file, a value cannot be right, or a plastic is like none that
    /// is known.
    pub fn with_user_file(mut self, text: &str) -> Result<Self, PlasticsError> {
        let file: File = from_toml(text)?;
        self.sources.extend(file.sources);
        let mut waiting = file.plastic;
        while let Some((key, own)) = next(&mut waiting) {
            let nonsense =
                |problem| PlasticsError::Nonsense { key: key.clone(), problem };
            let base = match &own.like {
                Some(like) if names_one(&waiting, like) || plain(like) == plain(&key) => {
                    return Err(nonsense(format!(
                        "like: \"{like}\" is in turn like this one"
                    )));
                }
                Some(like) => {
                    let model = self
                        .find(like)
                        .map_err(|error| nonsense(format!("like: {error}")))?;
                    Plastic { name: String::new(), also: Vec::new(), ..model.clone() }
                }
                None => self.plastics.remove(&key).unwrap_or_default(),
            };
            let plastic = made(&key, own, base).map_err(nonsense)?;
            self.plastics.insert(key, plastic);
        }
        Ok(self)
    }

    /// A commented file of the user's own plastics, ready to be changed.
    pub fn template() -> &'static str {
        include_str!("../plastics-template.toml")
    }

    /// The plastic of this name; letter case, blanks and hyphens do not count.
    ///
    /// # Errors
    ///
    /// [`PlasticsError::NotFound`], with the names that come near.
    pub fn find(&self, name: &str) -> Result<&Plastic, PlasticsError> {
        let wanted = plain(name);
        self.plastics
            .iter()
            .find(|(key, plastic)| {
                names(key, plastic).any(|known| plain(known) == wanted)
            })
            .map(|(_, plastic)| plastic)
            .ok_or_else(|| self.not_found(name))
    }

    /// Key and plastic, in the order of the keys.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Plastic)> {
        self.plastics.iter().map(|(key, plastic)| (key.as_str(), plastic))
    }

    /// The full citations behind the keys of a value's `source`, as (key, citation).
    pub fn citations<'a>(&'a self, source: &'a str) -> Vec<(&'a str, &'a str)> {
        let keys = source.split([' ', ',']);
        let found = keys.filter_map(|key| self.sources.get_key_value(key));
        found.map(|(key, text)| (key.as_str(), text.as_str())).collect()
    }

    /// All keys of sources and their citations, in the order of the keys.
    pub fn sources(&self) -> Vec<(String, String)> {
        self.sources.iter().map(|(key, text)| (key.clone(), text.clone())).collect()
    }

    fn not_found(&self, name: &str) -> PlasticsError {
        let wanted = plain(name);
        let near: Vec<&str> = self
            .iter()
            .filter(|(key, plastic)| {
                names(key, plastic).map(plain).any(|known| {
                    distance(&known, &wanted) <= 1 + wanted.chars().count() / 4
                        || sorted(&known) == sorted(&wanted)
                        || (wanted.len() >= 2 && known.contains(&wanted))
                })
            })
            .map(|(key, _)| key)
            .collect();
        let hint = if near.is_empty() {
            let all: Vec<&str> = self.iter().map(|(key, _)| key).collect();
            format!("known are {}", all.join(", "))
        } else {
            format!("did you mean {}?", near.join(" or "))
        };
        PlasticsError::NotFound { name: name.to_owned(), hint }
    }
}

/// The next plastic that is like none of those that are still to be read; any of them, where
/// each is like another.
fn next(waiting: &mut BTreeMap<String, Plastic>) -> Option<(String, Plastic)> {
    let is_free =
        |own: &Plastic| own.like.as_ref().is_none_or(|like| !names_one(waiting, like));
    let free = waiting.iter().find(|(_, own)| is_free(own));
    let key = free.or_else(|| waiting.iter().next()).map(|(key, _)| key.clone())?;
    waiting.remove_entry(&key)
}

/// Whether `like` is the key or a name of one of these.
fn names_one(waiting: &BTreeMap<String, Plastic>, like: &str) -> bool {
    waiting
        .iter()
        .any(|(key, own)| names(key, own).any(|name| plain(name) == plain(like)))
}

/// A plastic of a file over its base: with a name, at the level of its melt flow rate, and
/// checked.
fn made(key: &str, own: Plastic, base: Plastic) -> Result<Plastic, String> {
    let given = own.mfr.clone();
    let own_doubt = own.viscosity_doubt.value.is_some();
    let own_model = own.viscosity.value.is_some();
    let mut plastic = own.over(base);
    if own_model && given.is_empty() {
        // The rate of the base belongs to its model.
        plastic.mfr = Vec::new();
    }
    if plastic.name.is_empty() {
        key.clone_into(&mut plastic.name);
    }
    for (key, range) in [
        ("melt_temperature", &plastic.melt_temperature),
        ("mold_temperature", &plastic.mold_temperature),
    ] {
        if range.value.is_some_and(|range| !range.in_order()) {
            return Err(format!("{key}: low, typical and high are not in that order"));
        }
    }
    if let Some(problem) = plastic.nonsense() {
        return Err(problem);
    }
    if !given.is_empty() {
        level(&mut plastic, &given).map_err(|error| format!("mfr: {error}"))?;
        if !own_doubt {
            plastic.viscosity_doubt = known_bag(&plastic);
        }
    }
    Ok(plastic)
}

/// Sets the level of the viscosity model by the melt flow rate of the bag.
fn level(plastic: &mut Plastic, given: &[MeltFlow]) -> Result<(), FitError> {
    let (entry, density) = (plastic.entry_radii(), plastic.melt_density.value);
    let fitted = fit(plastic.viscosity.value, given, entry, density)?;
    let rates: Vec<String> = given.iter().map(ToString::to_string).collect();
    let set = format!("set to the melt flow rate of {}", rates.join(" and "));
    let viscosity = &mut plastic.viscosity;
    viscosity.value = Some(fitted);
    viscosity.note = match viscosity.note.as_str() {
        "" => set,
        note => format!("{set}; model before that: {note}"),
    };
    plastic.flow_test.value = given.first().map(|flow| flow.test);
    Ok(())
}

/// The doubt that stays when the melt flow rate of the bag is known: its level is, its shape
/// is as weak as before.
fn known_bag(plastic: &Plastic) -> Sourced<f64> {
    let before = plastic.viscosity_doubt.value.unwrap_or(1.0);
    Sourced {
        value: Some(before.sqrt().max(DOUBT_OF_A_KNOWN_BAG)),
        source: "MEMORY".to_owned(),
        note: "the melt flow rate of the bag is given (judgment)".to_owned(),
    }
}

fn names<'a>(key: &'a str, plastic: &'a Plastic) -> impl Iterator<Item = &'a str> {
    [key, plastic.name.as_str()]
        .into_iter()
        .chain(plastic.also.iter().map(String::as_str))
}

fn plain(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The same letters in another order are a slip of the fingers.
fn sorted(name: &str) -> Vec<char> {
    let mut letters: Vec<char> = name.chars().collect();
    letters.sort_unstable();
    letters
}

/// Letters to insert, drop or change to turn `left` into `right` (Levenshtein).
fn distance(left: &str, right: &str) -> usize {
    let mut row: Vec<usize> = (0..=right.chars().count()).collect();
    for (i, a) in left.chars().enumerate() {
        let mut diagonal = i;
        let mut before = i + 1;
        for (cell, b) in row.iter_mut().skip(1).zip(right.chars()) {
            let best = (diagonal + usize::from(a != b)).min(*cell + 1).min(before + 1);
            diagonal = std::mem::replace(cell, best);
            before = best;
        }
        if let Some(first) = row.first_mut() {
            *first = i + 1;
        }
    }
    row.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests;
