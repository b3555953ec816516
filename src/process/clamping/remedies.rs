//! What keeps the mold shut, in numbers: each cure alone, large enough to do it.

use super::bolts::{Bolts, NUT_FACTOR};
use super::flash::{Held, Opening, Shut, shut};
use super::thread::{COARSE, Thread};
use super::tightening;
use crate::process::clamping::force::REQUIRED_MARGIN;
use crate::units::{Area, Force, Length, Pressure, Quantity, Torque};

/// One change that is enough by itself.
#[derive(Clone, Debug, PartialEq)]
pub enum Cure {
    /// Tighten each bolt so far; its class stands it.
    Torque(Torque),
    /// As many bolts of this kind, on the same rectangle.
    Bolts(u32),
    /// Bolts of this size, tightened so far.
    Size {
        /// Such as "M10".
        name: String,
        /// Torque for each.
        torque: Torque,
    },
    /// Metal behind the cavity, so that the plates bow less than the plastic needs.
    Metal(Length),
    /// No more pressure than this.
    Pressure(Pressure),
    /// No more projected area than this, at the same pressure.
    Area(Area),
}

/// More bolts than this do not fit around a small mold.
const MOST_BOLTS: u32 = 12;

/// Every single change that gives the wanted margin and keeps the gap below `allowed`; empty
/// when both hold already, or when no single change is enough. Torque, number and size of
/// bolts cure a weak joint, thicker metal a bow, less pressure or area both.
pub fn cures(
    opening: &Opening,
    held: &Held<'_>,
    now: &Shut,
    allowed: Length,
) -> Vec<Cure> {
    let firm = now.margin.is_none_or(|margin| margin >= REQUIRED_MARGIN);
    let tight = now.gap < allowed;
    let (bowed, stays) = (now.bow_gap >= allowed, tight && firm);
    let mut cures = Vec::new();
    if stays {
        return cures;
    }
    if !firm && !bowed {
        cures.extend(more_torque(held.bolts, now).map(Cure::Torque));
        cures.extend(more_bolts(opening, held, allowed).map(Cure::Bolts));
        cures.extend(larger(held.bolts, now));
    }
    if firm && bowed {
        cures.extend(metal(held, now, allowed).map(Cure::Metal));
    }
    if let Some(share) = share(now, allowed) {
        cures.push(Cure::Pressure(opening.pressure * share));
        cures.push(Cure::Area(opening.area * share));
    }
    cures
}

/// Preload to aim at, so that its low end gives the worst bolt the wanted margin.
fn wanted_preload(bolts: &Bolts, now: &Shut) -> Force {
    now.loads.worst * REQUIRED_MARGIN / (1.0 - bolts.scatter())
}

/// Torque that gives the wanted margin at the low end, when a bolt that is opened again
/// stands it.
fn more_torque(bolts: &Bolts, now: &Shut) -> Option<Torque> {
    let (thread, class) = (bolts.thread().ok()?, bolts.strength().ok()?);
    let wanted = wanted_preload(bolts, now);
    let (most, _) = tightening::most(&thread, &class);
    (wanted <= most).then(|| tightening::torque(&thread, wanted, NUT_FACTOR))
}

/// The least even number of the same bolts that does it.
fn more_bolts(opening: &Opening, held: &Held<'_>, allowed: Length) -> Option<u32> {
    let even = (2..=MOST_BOLTS).step_by(2).filter(|count| *count > held.bolts.count);
    even.into_iter().find(|&count| {
        let bolts = Bolts { count, ..held.bolts.clone() };
        let more = Held { bolts: &bolts, ..*held };
        shut(opening, &more).is_ok_and(|shut| {
            shut.margin.is_some_and(|margin| margin >= REQUIRED_MARGIN)
                && shut.gap < allowed
        })
    })
}

/// The least size of the coarse series that does it at a torque it stands.
fn larger(bolts: &Bolts, now: &Shut) -> Option<Cure> {
    let (thread, class) = (bolts.thread().ok()?, bolts.strength().ok()?);
    let wanted = wanted_preload(bolts, now);
    COARSE.iter().map(|&(d, p)| Thread::of_mm(d, p)).find_map(|larger| {
        let (most, torque) = tightening::most(&larger, &class);
        let is_larger = larger.diameter > thread.diameter;
        (is_larger && wanted <= most).then(|| Cure::Size { name: larger.name(), torque })
    })
}

/// Bow falls with the cube of the metal, so metal grows with the cube root.
fn metal(held: &Held<'_>, now: &Shut, allowed: Length) -> Option<Length> {
    let left = (allowed - now.stretch).max(Length::default());
    let grow = (now.bow_gap.si() / left.si()).cbrt();
    grow.is_finite().then(|| held.behind * (grow * (1.0 + 1e-9)))
}

/// Share of the pressure (or area) at which margin and gap are both right: bow and load are
/// proportional to it, stretch is gone once the margin is there.
fn share(now: &Shut, allowed: Length) -> Option<f64> {
    let by_margin = now.margin.map_or(1.0, |margin| margin / REQUIRED_MARGIN);
    let by_bow = allowed.si() / now.bow_gap.si() * (1.0 - 1e-9);
    let share = by_margin.min(if by_bow.is_finite() { by_bow } else { 1.0 });
    (share > 0.0 && share < 1.0).then_some(share)
}

#[cfg(test)]
mod tests {
    use super::{Cure, cures};
    use crate::process::clamping::bolts::Bolts;
    use crate::process::clamping::flash::{Held, Opening, Shut, shut};
    use crate::process::clamping::force::REQUIRED_MARGIN;
    use crate::process::clamping::mold_plates::{Mold, Plates};
    use crate::units::{Force, Length, Quantity, Torque, from_mm, from_mpa, read};

    fn plates() -> Plates {
        let mold = Mold {
            thickness: Some(from_mm(40.0)),
            length: Some(from_mm(120.0)),
            width: Some(from_mm(90.0)),
            bolt_spacing: Some([from_mm(90.0), from_mm(60.0)]),
            ..Mold::default()
        };
        mold.plates([from_mm(40.0), from_mm(30.0)], None)
    }

    fn opening(mpa: f64) -> Opening {
        Opening {
            pressure: from_mpa(mpa),
            area: read("12 cm2").unwrap(),
            extents: [from_mm(40.0), from_mm(30.0)],
            middle: [from_mm(3.0), from_mm(2.0)],
            nozzle: Force::default(),
        }
    }

    fn m6(torque: f64) -> Bolts {
        let torque = Some(Torque::from_si(torque));
        let (size, class) = ("M6".to_owned(), "8.8".to_owned());
        Bolts { count: 4, size, class, torque, preload: None, scatter: None }
    }

    fn is_cured(shut: &Shut, allowed: Length) -> bool {
        shut.margin.unwrap() >= REQUIRED_MARGIN * (1.0 - 1e-9) && shut.gap < allowed
    }

    /// Each cure is put to work: with it alone the mold stays shut.
    #[test]
    fn every_cure_of_a_weak_joint_works() {
        let (plates, bolts, allowed) = (plates(), m6(5.0), from_mm(0.03));
        let held = Held {
            plates: &plates,
            behind: from_mm(40.0),
            bolts: &bolts,
            free_plates: 2,
        };
        let opening = opening(11.0);
        let now = shut(&opening, &held).unwrap();
        assert!(!is_cured(&now, allowed));
        let found = cures(&opening, &held, &now, allowed);
        assert_eq!(found.len(), 5, "{found:?}");
        for cure in found {
            let (mut bolts, mut opening) = (bolts.clone(), opening);
            match cure {
                Cure::Torque(torque) => bolts.torque = Some(torque),
                Cure::Bolts(count) => bolts.count = count,
                Cure::Size { name, torque } => {
                    (bolts.size, bolts.torque) = (name, Some(torque));
                }
                Cure::Pressure(pressure) => opening.pressure = pressure,
                Cure::Area(area) => opening.area = area,
                Cure::Metal(_) => panic!("the plates are thick enough"),
            }
            let cured = shut(&opening, &Held { bolts: &bolts, ..held }).unwrap();
            assert!(is_cured(&cured, allowed), "{bolts:?} {:?}", cured.margin);
        }
    }

    #[test]
    fn thicker_metal_cures_a_bow_and_a_good_mold_needs_nothing() {
        let (plates, bolts, allowed) = (plates(), m6(9.8), from_mm(0.013));
        let held = Held {
            plates: &plates,
            behind: from_mm(12.0),
            bolts: &bolts,
            free_plates: 2,
        };
        let opening = opening(8.0);
        let now = shut(&opening, &held).unwrap();
        let found = cures(&opening, &held, &now, allowed);
        let Some(Cure::Metal(metal)) = found.first() else { panic!("{found:?}") };
        let cured = Held { behind: *metal, ..held };
        let now = shut(&opening, &cured).unwrap();
        assert!(is_cured(&now, allowed));
        assert_eq!(cures(&opening, &cured, &now, allowed), []);
    }

    /// A bolt is never asked for more than its class stands.
    #[test]
    fn torque_is_no_cure_beyond_the_class() {
        let (plates, bolts, allowed) = (plates(), m6(5.0), from_mm(0.05));
        let held = Held {
            plates: &plates,
            behind: from_mm(40.0),
            bolts: &bolts,
            free_plates: 2,
        };
        let opening = opening(20.0);
        let now = shut(&opening, &held).unwrap();
        let found = cures(&opening, &held, &now, allowed);
        assert!(!found.iter().any(|cure| matches!(cure, Cure::Torque(_))), "{found:?}");
        assert!(found.iter().any(|cure| matches!(cure, Cure::Size { .. })));
    }
}
