//! Ejector pins for a part: how many of which diameter, and where they push.

use crate::geom::Point;
use crate::part::draft::Formed;
use crate::part::ejector_pin_sites::{
    self, KeptOff, METAL_MM, PinSite, PinSites, Room, SLOPED_DEG, SQUARE_DEG, Wanted,
};
use crate::part::{Part, grips};
use crate::process::ejection::pins::{DIAMETERS_MM, Pins};
use crate::process::evaluation::ejection::{EjectionForces, MOST_PINS};
use crate::units::{self, Length, Quantity};

/// A pin may stand where the part is thinner than its median wall by this share, which is
/// about how much the median differs from place to place on an even wall.
const THINNER: f64 = 0.9;

/// So thick that no pin punches through, mm.
const SOLID_MM: f64 = 1000.0;

/// Ejector pins and their places.
pub struct Pinned {
    /// Diameter, number, and the rule behind it; `None` when no number of pins does.
    pub pins: Option<Pins>,
    /// Thickness of the part where it is thinnest behind one of them.
    pub behind: Length,
    /// Their places.
    pub pads: PinSites,
}

/// Metal that is left beside the hole of a pin where no place leaves [`METAL_MM`], mm: the
/// hole must not break into the core's flank.
const THIN_METAL_MM: f64 = 0.2;

/// Pins of the diameter `only`, else the thinnest of the shelf that do and find a place each,
/// with sturdy metal beside their holes if they can, on faces that are square to the pull before
/// sloped ones; where no diameter finds all its places,
/// the one that misses fewest. None stands beside the cores `kept_off`.
///
/// How many are needed depends on how thick the part is where they push: fewer do on ribs and
/// bosses. Asked for are the fewest that all find a place thick enough for so few; where none
/// are, the number that the best places ask for.
pub fn find(
    ejection: &EjectionForces,
    part: &Part,
    formed: Formed<'_>,
    kept_off: &[KeptOff],
    only: Option<Length>,
) -> Pinned {
    let least_wall = THINNER * units::in_mm(ejection.push.wall);
    let search = Search {
        ejection,
        part,
        formed,
        grips: &ejector_pin_sites::gripped(part, formed),
        kept_off,
    };
    let diameters = only.map_or(DIAMETERS_MM.to_vec(), |only| vec![units::in_mm(only)]);
    let mut best: Option<(usize, Pinned)> = None;
    'found: for (least_metal, most_lean_deg) in
        [(METAL_MM, SQUARE_DEG), (METAL_MM, SLOPED_DEG), (THIN_METAL_MM, SQUARE_DEG)]
    {
        for &diameter in &diameters {
            let wanted =
                Wanted { diameter, count: 1, least_wall, least_metal, most_lean_deg };
            let Some(tried) = search.place(&wanted) else {
                continue;
            };
            let count = tried.pins.map_or(usize::MAX, |pins| pins.count as usize);
            let missing = count.saturating_sub(tried.pads.list.len());
            if best.as_ref().is_none_or(|(least, _)| missing < *least) {
                best = Some((missing, tried));
            }
            if missing == 0 {
                break 'found;
            }
        }
    }
    let none = || PinSites { list: Vec::new(), middle: Point::origin(), off: None };
    let none = || Pinned { pins: None, behind: Length::default(), pads: none() };
    best.map_or_else(none, |(_, pinned)| pinned)
}

/// Where pins are looked for.
struct Search<'a> {
    ejection: &'a EjectionForces,
    part: &'a Part,
    formed: Formed<'a>,
    /// Points of the walls that the part grips.
    grips: &'a [Point],
    /// Cores that pins keep off.
    kept_off: &'a [KeptOff],
}

impl Search<'_> {
    /// Pins of one diameter; `None` when too many are needed.
    fn place(&self, wanted: &Wanted) -> Option<Pinned> {
        let Self { ejection, part, formed, grips, kept_off } = *self;
        let room = Room::find(part, formed, grips, kept_off, wanted);
        let ask = |room: &Room, count: u32| room.best(&Wanted { count, ..*wanted });
        let behind = |pad: &PinSite| grips::behind(part, formed, &pad.at);
        let thinnest = |pads: &PinSites| {
            let behind = pads.list.iter().filter_map(behind);
            behind.min_by(f64::total_cmp).unwrap_or(wanted.least_wall)
        };
        let needed = |behind: f64| ejection.pins(length(wanted.diameter), length(behind));
        let least = needed(SOLID_MM)?;
        // The fewest pins that all find a place thick enough for so few.
        let few = (least.count..=MOST_PINS).find_map(|count| {
            let holds = |pad: &PinSite| {
                needed(behind(pad).unwrap_or(pad.wall))
                    .is_some_and(|it| it.count <= count)
            };
            let pads = ask(&room.only(holds), count);
            (pads.list.len() == count as usize).then_some(pads)
        });
        let pads = match few {
            Some(pads) => pads,
            None => {
                let first = ask(&room, least.count);
                let enough = needed(thinnest(&first))?;
                if enough.count <= least.count { first } else { ask(&room, enough.count) }
            }
        };
        // More pins may have to stand where the part is thinner still.
        let behind = thinnest(&pads);
        Some(Pinned { pins: needed(behind), behind: length(behind), pads })
    }
}

fn length(mm: f64) -> Length {
    Length::from_si(mm * 1e-3)
}
