//! What a bad part shows, by the words of the trade.

use std::str::FromStr;

use crate::names::written_by;

/// What a part, or the work at the press, shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symptom {
    /// Part of it is missing.
    Short,
    /// A film of plastic at the parting line.
    Flash,
    /// A hollow in the surface over a thick place.
    Sink,
    /// Brown or black where the melt came last.
    Burn,
    /// A weld line that shows or breaks.
    Weld,
    /// It does not leave the mold.
    Sticks,
    /// It bends while it cools.
    Warps,
    /// Silver streaks, or bubbles in the wall.
    Bubbles,
    /// Melt runs out of the nozzle between shots.
    Drool,
    /// A cold lump in the part or in front of its gate.
    ColdSlug,
}

/// All of them, with the names they go by; the first is the one that is written.
const NAMES: [(Symptom, &[&str]); 10] = [
    (Symptom::Short, &["short", "short shot"]),
    (Symptom::Flash, &["flash"]),
    (Symptom::Sink, &["sink", "sink mark"]),
    (Symptom::Burn, &["burn", "burn mark"]),
    (Symptom::Weld, &["weld", "weld line", "knit line"]),
    (Symptom::Sticks, &["sticks", "sticking"]),
    (Symptom::Warps, &["warps", "warp"]),
    (Symptom::Bubbles, &["bubbles", "splay"]),
    (Symptom::Drool, &["drool"]),
    (Symptom::ColdSlug, &["cold-slug", "cold slug"]),
];

impl Symptom {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Short,
        Self::Flash,
        Self::Sink,
        Self::Burn,
        Self::Weld,
        Self::Sticks,
        Self::Warps,
        Self::Bubbles,
        Self::Drool,
        Self::ColdSlug,
    ];

    /// As the user writes it.
    pub fn name(self) -> &'static str {
        let named = NAMES.iter().find(|(symptom, _)| *symptom == self);
        named.and_then(|(_, names)| names.first()).copied().unwrap_or_default()
    }

    /// What it is, in a few words.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Short => "short shot: part of it is missing",
            Self::Flash => "flash: a film of plastic at the parting line",
            Self::Sink => "sink mark: a hollow over a thick place",
            Self::Burn => "burn: brown or black where the melt came last",
            Self::Weld => "weld line that shows or breaks",
            Self::Sticks => "sticks: it does not leave the mold",
            Self::Warps => "warps: it bends while it cools",
            Self::Bubbles => "splay or bubbles: silver streaks, or holes in the wall",
            Self::Drool => "drool: melt runs out of the nozzle between shots",
            Self::ColdSlug => "cold slug: a cold lump in the part or before its gate",
        }
    }
}

written_by!(Symptom, name);

impl FromStr for Symptom {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let plain = text.trim().to_lowercase();
        let found = NAMES.iter().find(|(_, names)| names.contains(&plain.as_str()));
        found.map(|(symptom, _)| *symptom).ok_or_else(|| {
            let names: Vec<&str> = Self::ALL.iter().map(|it| it.name()).collect();
            format!("{text:?} is none of {}", names.join(", "))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Symptom;

    #[test]
    fn every_symptom_is_read_by_its_name() {
        for symptom in Symptom::ALL {
            assert_eq!(symptom.name().parse(), Ok(symptom));
            assert!(!symptom.meaning().is_empty());
        }
        assert_eq!(" Splay ".parse(), Ok(Symptom::Bubbles));
        let error = "ugly".parse::<Symptom>().unwrap_err();
        assert!(error.contains("short, flash, sink"), "{error}");
    }
}
