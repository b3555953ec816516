//! The plastics that are known: the built-in ones, and those of the user's file.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::process::plastic::Plastic;
use crate::units::{FileError, from_toml};

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
        Self::default().with_user_file(include_str!("plastics.toml"))
    }

    /// These plastics with the values of a user's file over them.
    ///
    /// # Errors
    ///
    /// When the text is no such file, or a value cannot be right.
    pub fn with_user_file(mut self, text: &str) -> Result<Self, PlasticsError> {
        let file: File = from_toml(text)?;
        self.sources.extend(file.sources);
        for (key, own) in file.plastic {
            let base = self.plastics.remove(&key).unwrap_or_default();
            let mut plastic = own.over(base);
            if plastic.name.is_empty() {
                plastic.name.clone_from(&key);
            }
            if let Some(problem) = plastic.nonsense() {
                return Err(PlasticsError::Nonsense { key, problem });
            }
            self.plastics.insert(key, plastic);
        }
        Ok(self)
    }

    /// A commented file of the user's own plastics, ready to be changed.
    pub fn template() -> &'static str {
        include_str!("plastics-template.toml")
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
mod tests {
    use super::{Plastics, PlasticsError, distance};
    use crate::process::sourced::Sourced;
    use crate::units::{Pressure, Quantity, from_celsius, in_mpa};

    fn builtin() -> Plastics {
        Plastics::builtin().unwrap()
    }

    #[test]
    fn every_built_in_value_has_a_source_or_a_reason() {
        let plastics = builtin();
        assert_eq!(plastics.iter().count(), 20);
        for (key, plastic) in plastics.iter() {
            assert!(plastic.family.is_some() && !plastic.description.is_empty(), "{key}");
            let entries = [
                said(&plastic.solid_density),
                said(&plastic.melt_density),
                said(&plastic.melt_temperature),
                said(&plastic.mold_temperature),
                said(&plastic.ejection_temperature),
                said(&plastic.no_flow_temperature),
                said(&plastic.diffusivity),
                said(&plastic.drying),
                said(&plastic.viscosity),
                said(&plastic.shrinkage),
                said(&plastic.wall_manual),
                said(&plastic.wall_industrial),
                said(&plastic.draft),
                said(&plastic.vent_depth),
                said(&plastic.strip_strain),
                said(&plastic.friction),
                said(&plastic.modulus),
                said(&plastic.hot_stiffness),
                said(&plastic.fume),
                said(&plastic.residence),
                said(&plastic.residence_limit),
            ];
            for (known, source, note) in entries {
                if known {
                    let keys = source.split(' ').count();
                    assert_eq!(plastics.citations(source).len(), keys, "{key}: {source}");
                } else {
                    assert!(!note.is_empty(), "{key} leaves a gap unexplained");
                }
            }
        }
    }

    /// A source names a work or says what kind of page it was, and sends nobody to a shop.
    #[test]
    fn sources_are_cited_and_not_advertised() {
        let plastics = builtin();
        let mut used = std::collections::BTreeSet::new();
        for (_, plastic) in plastics.iter() {
            for source in [
                &plastic.solid_density.source,
                &plastic.melt_temperature.source,
                &plastic.vent_depth.source,
                &plastic.shrinkage.source,
            ] {
                used.extend(plastics.citations(source));
            }
        }
        assert!(used.len() > 20);
        for (key, citation) in &plastics.sources {
            let hosts = ["www", "http", ".com", ".co.", ".net", ".org"];
            assert!(
                !hosts.iter().any(|host| citation.contains(host)),
                "{key}: {citation}"
            );
        }
    }

    fn said<T>(of: &Sourced<T>) -> (bool, &str, &str) {
        (of.value.is_some(), &of.source, &of.note)
    }

    #[test]
    fn only_rigid_pvc_is_refused() {
        let refused: Vec<_> = builtin()
            .iter()
            .filter(|(_, plastic)| plastic.refuse.is_some())
            .map(|(key, _)| key.to_owned())
            .collect();
        assert_eq!(refused, ["pvc"]);
    }

    /// Physics that holds for every plastic, whatever the table: the melt is lighter than
    /// the solid, the mold colder than ejection, ejection colder than no-flow.
    #[test]
    fn the_table_obeys_physics() {
        for (key, plastic) in builtin().iter() {
            let solid = plastic.solid_density.value.unwrap().si();
            let melt = plastic.melt_density.value.unwrap().si();
            assert!(melt < solid && melt > 0.75 * solid, "{key}: {melt} {solid}");
            let ejection = plastic.ejection_temperature.value.unwrap().si();
            if let Some(no_flow) = plastic.no_flow_temperature.value {
                assert!(ejection < no_flow.si(), "{key}");
                let melt = plastic.melt_temperature.value.unwrap().low.si();
                assert!(no_flow.si() < melt, "{key}");
            }
        }
    }

    /// Data-sheet melt flow tests (ISO 1133, one apparent point each, ±30 % without
    /// corrections): ABS GP-35 1430 Pa s at 63 1/s and 220 °C, SAN 358N 2210 at 41,
    /// PA66 A3K 202 at 222 and 275 °C, PLA 3100HP 480 at 40 and 210 °C, POM C 9021 1310 at 15.
    #[test]
    fn viscosities_meet_the_melt_flow_of_the_data_sheets() {
        for (name, rate, celsius, printed) in [
            ("abs", 63.0, 220.0, 1430.0),
            ("san", 41.0, 220.0, 2210.0),
            ("pa66", 222.0, 275.0, 202.0),
            ("pla", 40.0, 210.0, 480.0),
            ("pom", 15.0, 190.0, 1310.0),
        ] {
            let plastics = builtin();
            let viscosity = plastics.find(name).unwrap().viscosity.value.unwrap();
            let at = from_celsius(celsius);
            let seen = viscosity.pa_s(rate, at, Pressure::from_si(0.0));
            assert!(
                (seen / printed).ln().abs() < 0.3,
                "{name}: {seen} against {printed}"
            );
        }
    }

    #[test]
    fn finds_names_as_people_write_them() {
        let plastics = builtin();
        for (name, found) in [("ABS", "ABS"), ("pe-hd", "HDPE"), ("Nylon 6", "PA6")] {
            assert_eq!(plastics.find(name).unwrap().name, found);
        }
        let error = plastics.find("hpde").unwrap_err().to_string();
        assert!(error.contains("hdpe"), "{error}");
        let error = plastics.find("asb").unwrap_err().to_string();
        assert!(error.ends_with("did you mean abs?"), "{error}");
        let error = plastics.find("zirconium").unwrap_err().to_string();
        assert!(error.contains("abs, hdpe, hips"), "{error}");
        assert_eq!(distance("kitten", "sitting"), 3);
    }

    #[test]
    fn a_user_file_changes_single_values_and_adds_plastics() {
        let text = "[plastic.abs]\nsolid_density = '1.07 g/cm3'\n[plastic.mine]\nmodulus = '1 GPa'";
        let plastics = builtin().with_user_file(text).unwrap();
        let abs = plastics.find("abs").unwrap();
        assert!((abs.solid_density.value.unwrap().si() - 1070.0).abs() < 1e-9);
        assert_eq!(abs.name, "ABS");
        assert!(abs.viscosity.value.is_some());
        let mine = plastics.find("MINE").unwrap();
        assert!((in_mpa(mine.modulus.value.unwrap()) - 1000.0).abs() < 1e-9);
        let error =
            mine.need(&mine.solid_density, "solid density").unwrap_err().to_string();
        assert!(error.contains("solid density of mine is not known"), "{error}");
    }

    #[test]
    fn the_template_is_a_valid_file_also_with_its_examples_switched_on() {
        builtin().with_user_file(Plastics::template()).unwrap();
        // All keys of the commented plastic, with one viscosity of the five at a time.
        let lines: Vec<&str> = Plastics::template()
            .lines()
            .filter_map(|line| line.strip_prefix("# "))
            .collect();
        let body =
            lines.into_iter().skip_while(|line| !line.starts_with("[plastic.my_blend"));
        let (models, rest): (Vec<&str>, Vec<&str>) =
            body.partition(|line| line.starts_with("viscosity"));
        let rest: Vec<_> = rest.into_iter().filter(|line| !line.ends_with(':')).collect();
        assert_eq!(models.len(), 5);
        for model in models {
            let text = format!("{}\n{model}", rest.join("\n"));
            builtin().with_user_file(&text).unwrap();
        }
    }

    #[test]
    fn refuses_what_cannot_be_right() {
        for (text, part) in [
            ("[plastic.abs]\nsolid_density = '1.04 kg/m3'", "abs: solid_density"),
            ("[plastic.abs]\ncolor = 'red'", "line 2"),
            (
                "[plastic.abs]\nshrinkage = { value = { low = '3 %', high = '1 %' } }",
                "abs: shrinkage: low",
            ),
            ("[plastic.abs]\nejection_temperature = '300 C'", "ejection_temperature"),
            (
                "[plastic.abs]\nresidence_limit = { value = [{ at = '20 K', time = '1 s' }] }",
                "abs: residence_limit: no",
            ),
            (
                "[plastic.abs]\nresidence_limit = { value = [{ at = '210 C', time = '1 min' }, \
                 { at = '200 C', time = '1 min' }] }",
                "abs: residence_limit: write",
            ),
            (
                "[plastic.abs]\nviscosity = { value = { newtonian = { viscosity = '0 Pa s' } } }",
                "abs: viscosity",
            ),
        ] {
            let error = builtin().with_user_file(text).unwrap_err();
            assert!(error.to_string().contains(part), "{error}");
            assert!(!matches!(error, PlasticsError::NotFound { .. }));
        }
    }
}
