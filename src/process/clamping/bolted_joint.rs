//! When a bolted joint opens: preload, and how load is shared between bolt and plates.
//!
//! As long as the plates touch, a bolt feels only the share C of what pulls them apart:
//! its force is P + C F over a preload P, and they part at F = P / (1 − C). From there the
//! bolt carries all, and the gap grows with its stretch.

use super::thread::Thread;
use crate::units::{Force, Length, Pressure, Quantity};

/// Young's modulus of a steel bolt, 205 kN/mm² (handbook value).
pub const STEEL_GPA: f64 = 205.0;

/// One bolt of the mold and the metal it squeezes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Stiffness of the bolt, N/m.
    pub bolt_n_m: f64,
    /// Stiffness of the plates it squeezes, N/m.
    pub plates_n_m: f64,
    /// Preload that is sure.
    pub preload: Force,
}

impl Joint {
    /// The joint of a bolt over `grip` of plates of this modulus. The bolt is taken as
    /// thin as its stress area along the whole grip, the plates as two cones of 30°
    /// (Shigley): k = 0.5774 π E d / 2 ln[5 (0.5774 l + 0.5 d) / (0.5774 l + 2.5 d)].
    /// `None` without a grip.
    pub fn new(
        thread: &Thread,
        grip: Length,
        plates: Pressure,
        preload: Force,
    ) -> Option<Self> {
        let (l, d) = (grip.si(), thread.diameter.si());
        let bolt = STEEL_GPA * 1e9 * thread.stress_area().si() / l;
        let cones = 5.0 * (0.5774 * l + 0.5 * d) / (0.5774 * l + 2.5 * d);
        let plates = 0.5774 * std::f64::consts::PI * plates.si() * d / (2.0 * cones.ln());
        let sane = bolt.is_finite() && bolt > 0.0 && plates.is_finite() && plates > 0.0;
        sane.then_some(Self { bolt_n_m: bolt, plates_n_m: plates, preload })
    }

    /// C, the share of a load that the bolt feels.
    pub fn share(&self) -> f64 {
        self.bolt_n_m / (self.bolt_n_m + self.plates_n_m)
    }

    /// Load at which the plates part, P / (1 − C).
    pub fn opens_at(&self) -> Force {
        self.preload / (1.0 - self.share())
    }

    /// Gap between the plates under a load: nothing until they part, then the stretch of
    /// the bolt beyond that.
    pub fn gap(&self, load: Force) -> Length {
        let beyond = (load - self.opens_at()).max(Force::default());
        Length::from_si(beyond.si() / self.bolt_n_m)
    }
}

/// Grip of a screw through a plate into a thread in the other: the plate and half a
/// diameter of thread (Shigley); through both to a nut: both plates.
pub fn tapped_grip(plate: Length, thread: &Thread) -> Length {
    plate + thread.diameter / 2.0
}

#[cfg(test)]
mod tests {
    use super::{Joint, tapped_grip};
    use crate::process::clamping::thread::Thread;
    use crate::units::{Force, Length, Pressure, Quantity, from_mm, in_mm};

    fn near(seen: f64, printed: f64, share: f64) {
        assert!((seen / printed - 1.0).abs() <= share, "{seen} is not {printed}");
    }

    /// Jindal, Machine Design, Ex. 9-4: d 20 mm, C = 0.2240. With the 105 MPa of first
    /// tightening on 245 mm² the joint opens at 33.15 kN (worked apart).
    #[test]
    fn the_joint_of_a_textbook() {
        let preload = Force::from_si(105e6 * 245e-6);
        let joint = Joint { bolt_n_m: 0.224, plates_n_m: 0.776, preload };
        near(joint.share(), 0.2240, 1e-12);
        near(joint.opens_at().si(), 33.15e3, 1e-4);
    }

    /// Wileman, Choudury and Green 1991, fit to finite elements (from memory): k = E d ·
    /// 0.79670 exp(0.63816 d / l) for aluminum; the cones of 30° agree within a fifth.
    #[test]
    fn the_plates_are_as_stiff_as_finite_elements_say() {
        for (size, l) in [("M6", 20.0), ("M8", 29.0), ("M10", 60.0)] {
            let thread = Thread::read(size).unwrap();
            let grip = from_mm(l);
            let e = Pressure::from_si(71e9);
            let joint = Joint::new(&thread, grip, e, Force::from_si(1e3)).unwrap();
            let d = thread.diameter.si();
            let fit = 71e9 * d * 0.796_70 * (0.638_16 * d / grip.si()).exp();
            near(joint.plates_n_m, fit, 0.2);
        }
    }

    /// Hooke: once open, each further force stretches the bolt by F l / E A.
    #[test]
    fn the_gap_starts_at_opening_and_follows_hooke() {
        let m8 = Thread::read("M8").unwrap();
        let grip = tapped_grip(Length::from_si(0.025), &m8);
        near(in_mm(grip), 29.0, 1e-12);
        let e = Pressure::from_si(69e9);
        let joint = Joint::new(&m8, grip, e, Force::from_si(10e3)).unwrap();
        assert!(joint.gap(joint.opens_at()).si().abs() < 1e-15);
        let more = joint.opens_at() + Force::from_si(1000.0);
        near(joint.gap(more).si(), 1000.0 * 0.029 / (205e9 * 36.61e-6), 1e-3);
        assert_eq!(Joint::new(&m8, Length::default(), e, Force::default()), None);
    }
}
