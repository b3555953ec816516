//! What keeps the mold shut, in numbers: each cure alone, large enough to do it.

use super::bolts::{Bolts, NUT_FACTOR};
use super::flash::{Held, Opening, Shut, shut};
use super::mold_plates::Plates;
use super::plate_bow::PlateHalf;
use super::tightening;
use crate::numeric::bisect_to_ratio;
use crate::process::clamping::force::REQUIRED_MARGIN;
use crate::units::{Area, Force, Length, Pressure, Quantity, Torque, from_mm, in_mm};

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
/// No more metal than so much is added to cure a bow.
const MOST_METAL_MM: f64 = 100.0;
/// Less pressure or area than this share of what there is is no cure.
const LEAST_SHARE: f64 = 1e-3;
/// A cure is known to this share of itself.
const APART: f64 = 1.0005;

/// A mold, and the gap that its plastic allows.
struct Judged<'a> {
    opening: &'a Opening,
    held: &'a Held<'a>,
    now: &'a Shut,
    allowed: Length,
}

/// Every single change that gives the wanted margin, keeps the gap below `allowed` and
/// overloads nothing; empty when all that holds already, or when no single change is enough.
pub fn cures(
    opening: &Opening,
    held: &Held<'_>,
    now: &Shut,
    allowed: Length,
) -> Vec<Cure> {
    let judged = Judged { opening, held, now, allowed };
    if judged.is_enough(now) {
        return Vec::new();
    }
    let found = [
        judged.more_torque().map(Cure::Torque),
        judged.more_bolts().map(Cure::Bolts),
        judged.larger(),
        judged.metal().map(Cure::Metal),
        judged
            .share(|share| opening.pressed_by(share))
            .map(|share| Cure::Pressure(opening.pressure * share)),
        judged
            .share(|share| opening.of_area(share))
            .map(|share| Cure::Area(opening.area * share)),
    ];
    found.into_iter().flatten().collect()
}

impl Opening {
    /// The same with this share of the pressure.
    fn pressed_by(&self, share: f64) -> Self {
        Self { pressure: self.pressure * share, ..*self }
    }

    /// The same with this share of the area.
    fn of_area(&self, share: f64) -> Self {
        Self { area: self.area * share, ..*self }
    }
}

impl Judged<'_> {
    fn is_enough(&self, shut: &Shut) -> bool {
        let firm = |margin: f64| margin >= REQUIRED_MARGIN * (1.0 - 1e-9);
        shut.margin.is_none_or(firm) && shut.gap < self.allowed && shut.overload.is_none()
    }

    fn is_held(&self, opening: &Opening, held: &Held<'_>) -> bool {
        shut(opening, held).is_ok_and(|shut| self.is_enough(&shut))
    }

    fn is_held_by(&self, bolts: &Bolts) -> bool {
        self.is_held(self.opening, &Held { bolts, ..*self.held })
    }

    /// Preload to aim at, so that its low end gives the worst bolt the wanted margin.
    fn wanted_preload(&self) -> Force {
        let low = 1.0 - self.held.bolts.scatter();
        self.now.loads.worst * REQUIRED_MARGIN / low
    }

    /// The least torque that is enough and that a bolt that is opened again stands.
    fn more_torque(&self) -> Option<Torque> {
        let bolts = self.held.bolts;
        let (thread, class) = (bolts.thread().ok()?, bolts.strength().ok()?);
        let (most, _) = tightening::most(&thread, &class);
        let tightened = |preload: f64| {
            let preload = Force::from_si(preload);
            let torque = Some(tightening::torque(&thread, preload, NUT_FACTOR));
            Bolts { torque, preload: None, ..bolts.clone() }
        };
        let is_held = |preload: f64| self.is_held_by(&tightened(preload));
        let least = self.wanted_preload().max(bolts.preload().ok()?);
        if least > most || !is_held(most.si()) {
            return None;
        }
        if is_held(least.si()) {
            return tightened(least.si()).torque;
        }
        let bracket = [least, most].map(Force::si);
        let preload = bisect_to_ratio(bracket, APART, |preload| !is_held(preload))[1];
        tightened(preload).torque
    }

    /// The least even number of the same bolts that does it.
    fn more_bolts(&self) -> Option<u32> {
        let bolts = self.held.bolts;
        (2..=MOST_BOLTS)
            .step_by(2)
            .filter(|count| *count > bolts.count)
            .find(|&count| self.is_held_by(&Bolts { count, ..bolts.clone() }))
    }

    /// The least size of the shelf of this thread that does it at a torque it withstands.
    fn larger(&self) -> Option<Cure> {
        let bolts = self.held.bolts;
        let (thread, class) = (bolts.thread().ok()?, bolts.strength().ok()?);
        thread.shelf().into_iter().find_map(|larger| {
            let (_, torque) = tightening::most(&larger, &class);
            let name = larger.name();
            let size = name.clone();
            let turned =
                Bolts { size, torque: Some(torque), preload: None, ..bolts.clone() };
            let helps = larger.diameter > thread.diameter && self.is_held_by(&turned);
            helps.then_some(Cure::Size { name, torque })
        })
    }

    /// Metal behind the cavity, both plates thicker by as much.
    fn metal(&self) -> Option<Length> {
        let behind = in_mm(self.held.behind());
        let is_held = |metal: f64| {
            let more = from_mm(metal - behind);
            let thickness = self.held.plates.thickness + more;
            let plates = Plates { thickness, ..self.held.plates.clone() };
            let grown =
                |half: PlateHalf| PlateHalf { thickness: half.thickness + more, ..half };
            let halves = self.held.halves.map(grown);
            self.is_held(self.opening, &Held { plates: &plates, halves, ..*self.held })
        };
        let bracket = [behind, behind + MOST_METAL_MM];
        let is_cure = behind > 0.0 && is_held(bracket[1]);
        is_cure.then(|| from_mm(bisect_to_ratio(bracket, APART, |it| !is_held(it))[1]))
    }

    /// The largest share of pressure or area that does it.
    fn share(&self, taken: impl Fn(f64) -> Opening) -> Option<f64> {
        let is_held = |share: f64| self.is_held(&taken(share), self.held);
        let is_cure = is_held(LEAST_SHARE);
        is_cure.then(|| bisect_to_ratio([LEAST_SHARE, 1.0], APART, is_held)[0])
    }
}

#[cfg(test)]
mod tests {
    use super::{Cure, cures};
    use crate::process::clamping::bolts::Bolts;
    use crate::process::clamping::flash::{Held, Opening, Shut, shut};
    use crate::process::clamping::force::REQUIRED_MARGIN;
    use crate::process::clamping::mold_plates::{Mold, Plates};
    use crate::process::clamping::plate_bow::PlateHalf;
    use crate::units::{Force, Length, Quantity, Torque, from_mm, from_mpa, in_mm, read};

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

    /// Plates with so much metal behind pockets of 4 mm.
    fn mold<'a>(plates: &'a Plates, bolts: &'a Bolts, behind: f64) -> Held<'a> {
        let pocket = from_mm(4.0);
        let half = PlateHalf { thickness: from_mm(behind) + pocket, pocket };
        Held { plates, halves: [half; 2], bolts }
    }

    fn is_cured(shut: &Shut, allowed: Length) -> bool {
        shut.margin.unwrap() >= REQUIRED_MARGIN * (1.0 - 1e-9) && shut.gap < allowed
    }

    /// Each cure is put to work: with it alone the mold stays shut.
    #[test]
    fn every_cure_of_a_weak_joint_works() {
        let (plates, bolts, allowed) = (plates(), m6(5.0), from_mm(0.03));
        let held = mold(&plates, &bolts, 40.0);
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
        let held = mold(&plates, &bolts, 12.0);
        let opening = opening(8.0);
        let now = shut(&opening, &held).unwrap();
        let found = cures(&opening, &held, &now, allowed);
        let metal = found.iter().find_map(|cure| match cure {
            Cure::Metal(metal) => Some(in_mm(*metal)),
            _ => None,
        });
        let metal = metal.unwrap();
        let thicker = plates.thickness + from_mm(metal - 12.0);
        let plates = Plates { thickness: thicker, ..plates.clone() };
        let cured = mold(&plates, &bolts, metal);
        let now = shut(&opening, &cured).unwrap();
        assert!(is_cured(&now, allowed));
        assert_eq!(cures(&opening, &cured, &now, allowed), []);
    }

    /// A bolt is never asked for more than its class stands.
    #[test]
    fn torque_is_no_cure_beyond_the_class() {
        let (plates, bolts, allowed) = (plates(), m6(5.0), from_mm(0.05));
        let held = mold(&plates, &bolts, 40.0);
        let opening = opening(20.0);
        let now = shut(&opening, &held).unwrap();
        let found = cures(&opening, &held, &now, allowed);
        assert!(!found.iter().any(|cure| matches!(cure, Cure::Torque(_))), "{found:?}");
        assert!(found.iter().any(|cure| matches!(cure, Cure::Size { .. })));
    }
}
