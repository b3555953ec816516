//! Boxes that a search has yet to open.

use arrayvec::ArrayVec;

use super::build::WAITING;
use super::nodes::{Child, WIDTH};

/// A child and how far away its box is.
#[derive(Clone, Copy)]
struct Ahead {
    away: f32,
    child: Child,
}

/// Children that wait, the most promising last.
pub(super) struct Waiting(ArrayVec<Ahead, WAITING>);

impl Waiting {
    /// None.
    #[inline(always)]
    pub(super) fn new() -> Self {
        Self(ArrayVec::new())
    }

    /// The last that is no farther away than `most`; those after it are dropped.
    #[inline(always)]
    pub(super) fn pop(&mut self, most: f32) -> Option<Child> {
        loop {
            let last = self.0.pop()?;
            if last.away <= most {
                return Some(last.child);
            }
        }
    }

    /// The nearest of the children with a bit in `found`; the others are added.
    #[inline(always)]
    pub(super) fn push(
        &mut self,
        children: &[Child; WIDTH],
        away: [f32; WIDTH],
        mut found: u32,
    ) -> Option<Child> {
        if found == 0 {
            return None;
        }
        // The mask spares a check of the bounds.
        let place = found.trailing_zeros() as usize & (WIDTH - 1);
        found &= found - 1;
        let mut nearest = Ahead { away: away[place], child: children[place] };
        let first = self.0.len();
        while found != 0 {
            let place = found.trailing_zeros() as usize & (WIDTH - 1);
            found &= found - 1;
            let mut other = Ahead { away: away[place], child: children[place] };
            if other.away < nearest.away {
                std::mem::swap(&mut other, &mut nearest);
            }
            self.insert(first, other);
        }
        Some(nearest.child)
    }

    /// Adds one to those from `first` on, which are sorted.
    #[inline(always)]
    fn insert(&mut self, first: usize, one: Ahead) {
        let mut place = self.0.len();
        self.0.push(one);
        while place > first && self.0[place - 1].away < one.away {
            self.0[place] = self.0[place - 1];
            place -= 1;
        }
        self.0[place] = one;
    }
}
