//! Which melt pressure fills the cavity, which one everything holds, and which one the
//! press has.
//!
//! A small press need not push with all that it has: what the mold has to hold is the
//! pressure that fills it. So clamp, plates and nozzle seat are judged at that pressure,
//! and less pressure than the press has is advice, never a reason against the mold.

use super::clamping::ClosedMold;
use crate::numeric::bisect_to_ratio;
use crate::process::clamping::flash::{Flash, flashes};
use crate::process::clamping::force::REQUIRED_MARGIN;
use crate::process::clamping::standing_metal::of_alloy;
use crate::process::clamping::strained_metal::{Holding, Pushed, strain};
use crate::process::evaluation::{EvaluationInput, RequiredBand};
use crate::process::feed::nozzle;
use crate::process::press::Press;
use crate::units::{Force, Length, Pressure, Quantity};

/// What gives way when the pressure rises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holder {
    /// Bolts, vise or force that holds the halves together.
    Clamp,
    /// The plates: where they bow, plastic runs into the parting line.
    Plates,
    /// The nozzle on its seat.
    Nozzle,
    /// Metal of the mold that stands alone between plastic.
    StandingMetal,
}

impl Holder {
    /// Its name in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Clamp => "clamp",
            Self::Plates => "plates against flash",
            Self::Nozzle => "nozzle seat",
            Self::StandingMetal => "standing metal",
        }
    }
}

/// Up to which melt pressure something holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// What holds.
    pub by: Holder,
    /// Up to here surely: with the required margin; with a gap below the low end of the
    /// vent depth; with melt under the whole nozzle seat; ten thousand shots with all of it
    /// on one side of standing metal.
    pub surely: Pressure,
    /// Beyond this surely not: margin 1; the high end of the vent depth; melt on the
    /// orifice alone; standing metal stays bent.
    pub at_most: Pressure,
}

/// How much of what filling may take is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Held {
    /// Not even the least pressure that may fill.
    Nothing,
    /// That one, but not the expected one.
    Best,
    /// The expected one, but not the greatest that it may take.
    Expected,
    /// All of it.
    Worst,
}

/// What fills, what holds, what is there.
#[derive(Clone, Debug, PartialEq)]
pub struct PressureWindow {
    /// Melt pressure that fills; `None` before the filling is known.
    pub fills: Option<RequiredBand>,
    /// What limits the pressure, the least first; what never gives way is left out.
    pub limits: Vec<Limit>,
    /// Melt pressure that the press has, after the stated losses.
    pub has: Pressure,
}

impl PressureWindow {
    /// The window; `limits` in any order.
    pub fn new(
        fills: Option<RequiredBand>,
        mut limits: Vec<Limit>,
        has: Pressure,
    ) -> Self {
        limits.sort_by(|a, b| a.surely.si().total_cmp(&b.surely.si()));
        Self { fills, limits, has }
    }

    /// What gives way first; `None` where nothing is known to.
    pub fn first_limit(&self) -> Option<&Limit> {
        self.limits.first()
    }

    /// The most to push with: what surely holds, and no more than the press has.
    pub fn most(&self) -> Pressure {
        self.first_limit().map_or(self.has, |limit| limit.surely.min(self.has))
    }

    /// The pressure to begin with: what fills in the worst case, no more than surely holds
    /// and than the press has. All that holds where the filling is not known.
    pub fn begin(&self) -> Pressure {
        self.wanted().worst.min(self.most())
    }

    /// The pressure that clamp and plates are judged at: the one to begin with, or the one
    /// that is expected to fill where that is more.
    pub fn judged(&self) -> Pressure {
        match self.fills {
            Some(_) => self.wanted().expected.max(self.begin()),
            None => self.has,
        }
    }

    /// What filling takes of what the press has; all of it before that is known.
    fn wanted(&self) -> RequiredBand {
        let all = RequiredBand { best: self.has, expected: self.has, worst: self.has };
        let capped = |pressure: Pressure| pressure.min(self.has);
        self.fills.map_or(all, |band| RequiredBand {
            best: capped(band.best),
            expected: capped(band.expected),
            worst: capped(band.worst.max(band.expected)),
        })
    }

    /// How much of what filling takes this one holds. For the plates a gap within the
    /// range of vent depths still counts for the expected pressure.
    pub fn held(&self, by: Holder) -> Held {
        let limit = self.limits.iter().find(|limit| limit.by == by);
        let Some(limit) = limit else { return Held::Worst };
        let wanted = self.wanted();
        let firm = if by == Holder::Plates { limit.at_most } else { limit.surely };
        match () {
            () if wanted.best > limit.at_most => Held::Nothing,
            () if wanted.expected > firm => Held::Best,
            () if wanted.worst > limit.surely => Held::Expected,
            () => Held::Worst,
        }
    }
}

/// The window of a mold in these plates: its limits searched over what its clamp and plates
/// do at each pressure.
pub(super) fn find(mold: &ClosedMold<'_>, with: &EvaluationInput<'_>) -> PressureWindow {
    let has = with.press.melt_pressure();
    let clamp = limit(Holder::Clamp, has, |pressure, firmly| {
        let wanted = if firmly { REQUIRED_MARGIN } else { 1.0 };
        mold.margin(pressure).is_none_or(|margin| margin >= wanted)
    });
    let plates = with.plastic.vent_depth.value.and_then(|stays_in| {
        let tight = |gap: Length, firmly: bool| match flashes(gap, &stays_in) {
            Flash::None => true,
            Flash::Likely => !firmly,
            Flash::Sure => false,
        };
        limit(Holder::Plates, has, |pressure, firmly| {
            mold.gap(pressure).is_none_or(|gap| tight(gap, firmly))
        })
    });
    let metal = standing_metal(mold, with);
    let limits = [clamp, plates, seat(with.press), metal].into_iter().flatten().collect();
    PressureWindow::new(with.filling.map(|known| known.required), limits, has)
}

/// A limit is looked for up to so many times what the press has, and down to that part.
const FARTHEST: f64 = 1e3;
/// A limit is known to this share of itself.
const APART: f64 = 1.0 + 1e-9;

/// Up to which pressure `holds` is true, firmly and at all; `None` where it always is.
fn limit(
    by: Holder,
    has: Pressure,
    holds: impl Fn(Pressure, bool) -> bool,
) -> Option<Limit> {
    let bracket = [has.si() / FARTHEST, has.si() * FARTHEST];
    let up_to = |firmly: bool| {
        let holds = |pa: f64| holds(Pressure::from_si(pa), firmly);
        let end = (!holds(bracket[1])).then(|| bisect_to_ratio(bracket, APART, holds)[0]);
        end.map_or(Pressure::from_si(f64::INFINITY), Pressure::from_si)
    };
    let (surely, at_most) = (up_to(true), up_to(false));
    surely.si().is_finite().then_some(Limit { by, surely, at_most })
}

/// The seat: melt pressure on its circle, and on the orifice alone, against the contact
/// force.
fn seat(press: &Press) -> Option<Limit> {
    let seat = nozzle::seat(press)?;
    let contact = seat.contact?;
    let has = press.melt_pressure();
    let up_to = |lift: Force| has * (contact.si() / lift.si());
    let (surely, at_most) = (up_to(seat.lift), up_to(seat.tight_lift));
    Some(Limit { by: Holder::Nozzle, surely, at_most })
}

/// The weakest metal that stands alone. What is bought instead or has to be changed anyway
/// limits nothing; what lies on the other half is held there in part, so that nothing about it
/// is sure.
fn standing_metal(mold: &ClosedMold<'_>, with: &EvaluationInput<'_>) -> Option<Limit> {
    let has = with.press.melt_pressure();
    let fills = with.filling.map(|known| known.required.worst.min(has));
    let pushed = Pushed { has, fills, known: None };
    let strength = of_alloy(mold.plates.alloy);
    let free = mold.shape.standing.iter().filter(|piece| !piece.through);
    free.map(|piece| strain(&piece.standing, piece.through, pushed, strength))
        .filter(|it| it.replaced_by().is_none() && it.holding != Holding::Never)
        .min_by(|a, b| a.holds_to.si().total_cmp(&b.holds_to.si()))
        .map(|it| Limit {
            by: Holder::StandingMetal,
            surely: it.holds_to,
            at_most: it.bends_at,
        })
}

#[cfg(test)]
mod tests {
    use super::{Held, Holder, Limit, PressureWindow};
    use crate::process::evaluation::RequiredBand;
    use crate::units::{Pressure, from_mpa, in_mpa};

    fn band(best: f64, expected: f64, worst: f64) -> RequiredBand {
        let [best, expected, worst] = [best, expected, worst].map(from_mpa);
        RequiredBand { best, expected, worst }
    }

    fn limit(by: Holder, surely: f64, at_most: f64) -> Limit {
        Limit { by, surely: from_mpa(surely), at_most: from_mpa(at_most) }
    }

    fn window(limits: &[Limit]) -> PressureWindow {
        PressureWindow::new(Some(band(2.9, 4.1, 6.4)), limits.to_vec(), from_mpa(8.9))
    }

    fn near(seen: Pressure, mpa: f64) {
        assert!((in_mpa(seen) - mpa).abs() < 1e-9, "{seen:?} is not {mpa}");
    }

    /// Fills from 4.1 MPa, 6.4 at worst, on a press of 8.9 MPa: held to 6.5, it is pushed
    /// with the 6.4 that surely fill; held to 5, with those 5.
    #[test]
    fn the_pressure_to_begin_with_fills_the_worst_case_if_that_holds() {
        let free = window(&[]);
        near(free.begin(), 6.4);
        near(free.most(), 8.9);
        let held = window(&[limit(Holder::Clamp, 6.5, 8.1)]);
        near(held.begin(), 6.4);
        near(held.most(), 6.5);
        assert_eq!(held.held(Holder::Clamp), Held::Worst);
        let tight = window(&[limit(Holder::Clamp, 5.0, 6.2)]);
        near(tight.begin(), 5.0);
        near(tight.judged(), 5.0);
        assert_eq!(tight.held(Holder::Clamp), Held::Expected);
        // The least of all limits counts.
        let both = [limit(Holder::Nozzle, 6.0, 20.0), limit(Holder::Plates, 5.5, 7.0)];
        near(window(&both).most(), 5.5);
        assert_eq!(window(&both).first_limit().unwrap().by, Holder::Plates);
    }

    #[test]
    fn what_is_held_decides_between_the_cases() {
        for (surely, at_most, clamp, plates) in [
            (6.4, 8.0, Held::Worst, Held::Worst),
            (6.3, 8.0, Held::Expected, Held::Expected),
            (4.0, 5.0, Held::Best, Held::Expected),
            (3.2, 4.0, Held::Best, Held::Best),
            (2.0, 2.8, Held::Nothing, Held::Nothing),
        ] {
            for (by, held) in [(Holder::Clamp, clamp), (Holder::Plates, plates)] {
                let window = window(&[limit(by, surely, at_most)]);
                assert_eq!(window.held(by), held, "{by:?} {surely}");
                assert_eq!(window.held(Holder::Nozzle), Held::Worst);
            }
        }
        // Judged at what is expected to fill, where that is more than holds.
        near(window(&[limit(Holder::Clamp, 3.2, 4.0)]).judged(), 4.1);
    }

    /// Nobody pushes with more than there is; before the filling is known, all of it counts.
    #[test]
    fn no_more_counts_than_the_press_has() {
        let endless = band(2.9, 4.1, f64::INFINITY);
        let weak = |has: f64, limits: Vec<Limit>| {
            PressureWindow::new(Some(endless), limits, from_mpa(has))
        };
        near(weak(8.9, Vec::new()).begin(), 8.9);
        near(weak(3.5, Vec::new()).judged(), 3.5);
        let clamp = vec![limit(Holder::Clamp, 4.0, 5.0)];
        assert_eq!(weak(3.5, clamp.clone()).held(Holder::Clamp), Held::Worst);
        let unknown = PressureWindow::new(None, clamp, from_mpa(8.9));
        assert_eq!(unknown.held(Holder::Clamp), Held::Nothing);
        near(unknown.judged(), 8.9);
        near(unknown.begin(), 4.0);
    }
}
