//! Tall cores as pieces of bar that are set into their plate, so that nobody mills a thick plate away
//! around them.
//!
//! A piece of metal that stands far out of a flat parting face gets a section around its foot, of
//! round bar where that is not much larger than square bar, at least 0.4 mm from everything that
//! is formed of the part. The seam runs where the halves meet, or under a rim of the part that lies
//! in that plane. The insert sits in a pocket and is drawn down by screws from behind. It is drilled and reamed
//! together with its plate, screwed in.
//!
//! | question | file |
//! |---|---|
//! | what stands out, and what is beside it | [`standing`] |
//! | what is the insert cut from | [`shape`] |
//! | which screws hold it, what is cut for them | [`screw`] |
//! | where does it fit | [`search`] |

mod shape;
mod standing;
mod screw;
mod search;

pub use shape::Shape;

use std::f64::consts::PI;

use search::Search;

use super::layout::Layout;
use crate::mesh::bvh::Bvh;
use crate::mesh::solid::{NotCut, Solid};
use crate::part::halves::Half;
use crate::units::format::four_digits;

/// Cores that stand out less are milled with their plate, mm (judgment).
const LEAST_STANDING_MM: f64 = 10.0;
/// More inserts in one half are more work than they save.
const MOST_A_HALF: usize = 4;

/// The pocket of a cut for the plate reaches over what stands out by this, mm.
const OVER_MM: f64 = 1.0;

/// An insert, lengths in mm, in the axes of the mold.
#[derive(Clone, Debug)]
pub struct Insert {
    /// The half that it belongs to.
    pub half: Half,
    /// What it is cut from.
    pub shape: Shape,
    /// Its middle.
    pub at: [f64; 2],
    /// How deep it sits in its plate.
    pub depth: f64,
    /// How far it stands out.
    pub height: f64,
    /// How many screws hold it, and which.
    pub screws: (usize, &'static str),
    /// How long they are.
    pub screw_length: f64,
    /// The finished insert.
    pub solid: Solid,
}

impl Insert {
    /// What its plate loses: the pocket, and all that stands over it.
    fn taken(&self) -> Solid {
        let z = match self.half {
            Half::Plus => [-self.height - OVER_MM, self.depth],
            Half::Minus => [-self.depth, self.height + OVER_MM],
        };
        self.shape.solid(self.at, z)
    }

    /// Whether a place across the pull is its own.
    pub fn holds(&self, at: [f64; 2]) -> bool {
        self.shape.outside([at[0] - self.at[0], at[1] - self.at[1]]) <= 0.0
    }

    /// The area of its section, mm².
    pub fn section(&self) -> f64 {
        match self.shape {
            Shape::Round { diameter } => PI / 4.0 * diameter * diameter,
            Shape::Bar { edges: [x, y] } => x * y,
        }
    }

    /// The bar that it is made from: what it is, and its measures.
    pub fn bar(&self) -> (&'static str, String) {
        let long = four_digits((self.depth + self.height).ceil() + 1.0);
        match self.shape {
            Shape::Round { diameter } => {
                let bar = self.shape.to_shelf().map_or(0.0, |more| 2.0 * more);
                let bar = four_digits(diameter + bar);
                ("round bar", format!("Ø {bar}, {long} mm long"))
            }
            Shape::Bar { edges } => {
                let [x, y] = edges.map(|edge| four_digits(edge.ceil()));
                ("flat bar", format!("{x} x {y}, {long} mm long"))
            }
        }
    }
}

/// Chooses the inserts of both halves and adds pockets and screws to `layout`.
///
/// # Errors
/// When the holes of a screw do not unite.
pub fn add(layout: &mut Layout, blanks: &[Solid; 2]) -> Result<Vec<Insert>, NotCut> {
    let mut all = Vec::new();
    for half in Half::BOTH {
        let blank = &blanks[usize::from(half == Half::Minus)];
        let pieces = standing::pieces(blank, half);
        let tall = pieces.iter().filter(|piece| piece.height >= LEAST_STANDING_MM);
        let tall: Vec<&standing::Piece> = tall.collect();
        if tall.is_empty() || tall.len() > MOST_A_HALF {
            continue;
        }
        let mut own = Vec::new();
        let surface = Bvh::new(&blank.mesh());
        for piece in tall {
            let surface = &surface;
            let search = Search { layout, blank, surface, half, piece };
            match search.find() {
                Some(found) => own.push(found),
                // The plate stays as thick as the tallest that is milled with it.
                None => break,
            }
        }
        for (insert, screws) in own {
            layout.cuts.extend(screw::cuts(layout, &insert, &screws)?);
            all.push(insert);
        }
    }
    Ok(all)
}

/// The plates of finished `halves` without their inserts, where there are any; gives each insert its
/// solid.
///
/// # Errors
/// When a half and the section of an insert cannot be cut.
pub fn part_off(
    halves: &[Solid; 2],
    inserts: &mut [Insert],
) -> Result<Option<[Solid; 2]>, NotCut> {
    if inserts.is_empty() {
        return Ok(None);
    }
    let mut plates = halves.clone();
    for insert in inserts {
        let plate = &mut plates[usize::from(insert.half == Half::Minus)];
        let taken = insert.taken();
        insert.solid = plate.meet(&taken)?;
        *plate = plate.minus(&taken)?;
    }
    Ok(Some(plates))
}
