//! What each half is milled from: its plate, and bars for its inserts.

use super::build::Mold;
use crate::mesh::solid::Solid;
use crate::part::halves::Half;

impl Mold {
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
