//! What each half is milled from: its plate, and bars for its inserts.

use super::build::Mold;
use crate::mesh::solid::Solid;
use crate::part::halves::{Half, Role};

/// What a solid of a mold is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Piece {
    /// A half without its inserts.
    Plate(Half),
    /// What is set into a half.
    Insert(Half),
    /// The part as it fills the cavity.
    Part,
    /// The feed as it fills its channels.
    Feed,
}

impl Piece {
    /// The half that it belongs to; none of part and feed.
    pub fn half(self) -> Option<Half> {
        match self {
            Self::Plate(half) | Self::Insert(half) => Some(half),
            Self::Part | Self::Feed => None,
        }
    }
}

/// A solid of a mold under the name of its files.
pub struct Body<'a> {
    /// Such as `core` or `core_insert`.
    pub name: String,
    /// What it is.
    pub piece: Piece,
    /// The solid.
    pub solid: &'a Solid,
}

impl Mold {
    /// Every solid: the plates of cavity and core, the part, the feed if there is one, the inserts.
    pub fn bodies(&self) -> Vec<Body<'_>> {
        let body = |name: String, piece: Piece, solid| Body { name, piece, solid };
        let plate = |role: Role| {
            let half = role.half(self.core);
            body(role.to_string(), Piece::Plate(half), self.plate(half))
        };
        let mut all: Vec<Body<'_>> = Role::BOTH.into_iter().map(plate).collect();
        all.push(body("part".to_owned(), Piece::Part, &self.part));
        if !self.feed.is_empty() {
            all.push(body("feed".to_owned(), Piece::Feed, &self.feed));
        }
        let inserts = self.insert_names().into_iter().zip(&self.inserts);
        all.extend(
            inserts.map(|(name, it)| body(name, Piece::Insert(it.half), &it.solid)),
        );
        all
    }

    /// Thickness of the stock for the plate of `half`, mm, and of what stands out of its parting
    /// plane; inserts have their own.
    pub fn stock(&self, half: Half) -> f64 {
        let bounds = match &self.plates {
            Some(_) => self.plate(half).bounds(),
            None => self.blanks[usize::from(half == Half::Minus)].bounds(),
        };
        bounds.max.z - bounds.min.z
    }

    /// Names of the inserts: `core_insert`, and of a further one in that half `core_insert_2`.
    pub fn insert_names(&self) -> Vec<String> {
        let mut names = Vec::new();
        for (at, insert) in self.inserts.iter().enumerate() {
            let before = self.inserts[..at].iter().filter(|it| it.half == insert.half);
            let role = insert.half.role(self.core);
            names.push(match before.count() {
                0 => format!("{role}_insert"),
                more => format!("{role}_insert_{}", more + 1),
            });
        }
        names
    }

    /// What `half` is milled from, without its inserts.
    pub fn plate(&self, half: Half) -> &Solid {
        &self.plates.as_ref().unwrap_or(&self.halves)[usize::from(half == Half::Minus)]
    }
}
