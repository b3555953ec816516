//! What a torque does to a bolt, and how far it may be turned.
//!
//! T = K · F · d is for the workshop; where friction is known, thread and head are worked
//! out apart, as in the textbooks and in VDI 2230. Friction in aluminum threads differs
//! from day to day: oil them, and believe only the low end.

use super::bolts::NUT_FACTOR;
use super::thread::{Strength, Thread};
use crate::units::{Force, Length, Quantity, Torque, in_mm};

/// Preload to tighten to, over proof load: 0.75 for a joint that is opened again (Shigley,
/// Mechanical Engineering Design, from memory); the high end of hand tightening then just
/// stays below the proof load.
pub const REUSED_SHARE: f64 = 0.75;

/// Torque for a preload, T = K · F · d.
pub fn torque(thread: &Thread, preload: Force, nut_factor: f64) -> Torque {
    Torque::from_si(nut_factor * preload.si() * thread.diameter.si())
}

/// The largest preload and torque of a bolt that is opened again.
pub fn most(thread: &Thread, class: &Strength) -> (Force, Torque) {
    let preload = thread.stress_area() * class.proof * REUSED_SHARE;
    (preload, torque(thread, preload, NUT_FACTOR))
}

/// Preload and torque that use 90 % of the yield stress, by VDI 2230, for one friction in
/// thread and under the head; `None` for a size whose head is not tabled.
pub fn to_yield(
    thread: &Thread,
    class: &Strength,
    friction: f64,
) -> Option<(Force, Torque)> {
    let [d2, d3, pitch] =
        [thread.pitch_diameter(), thread.root_diameter(), thread.pitch].map(Length::si);
    let d0 = 0.5 * (d2 + d3);
    let twist = 1.5 * d2 / d0 * (pitch / (std::f64::consts::PI * d2) + 1.155 * friction);
    let area = std::f64::consts::FRAC_PI_4 * d0 * d0;
    let preload = 0.9 * class.yields.si() * area / (1.0 + 3.0 * twist * twist).sqrt();
    let under_head = 0.5 * head_ring(thread)?.si();
    let arm = 0.16 * pitch + 0.58 * d2 * friction + under_head * friction;
    Some((Force::from_si(preload), Torque::from_si(preload * arm)))
}

/// Mean diameter on which a hexagon head rubs: of its washer face (ISO 4014) and of the
/// medium clearance hole (ISO 273), in millimeters; from memory but for M8 to M12.
fn head_ring(thread: &Thread) -> Option<Length> {
    const HEADS: [(f64, f64, f64); 9] = [
        (3.0, 4.57, 3.4),
        (4.0, 5.88, 4.5),
        (5.0, 6.88, 5.5),
        (6.0, 8.88, 6.6),
        (8.0, 11.63, 9.0),
        (10.0, 14.63, 11.0),
        (12.0, 16.63, 13.5),
        (14.0, 19.64, 15.5),
        (16.0, 22.49, 17.5),
    ];
    let d = in_mm(thread.diameter);
    let (_, face, hole) = HEADS.iter().find(|(size, ..)| (size - d).abs() < 1e-9)?;
    Some(Length::from_si(0.5e-3 * (face + hole)))
}

#[cfg(test)]
mod tests {
    use super::{most, to_yield, torque};
    use crate::process::clamping::bolt_strength::strength;
    use crate::process::clamping::bolts::PRELOAD_SCATTER;
    use crate::process::clamping::thread::Thread;
    use crate::units::{Force, Quantity};

    fn near(seen: f64, printed: f64, slack: f64) {
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    /// Jindal, Machine Design, Ex. 9-5: 0.75 · 650 MPa · 115 mm², K 0.2, d 14 mm, 156.97 N m; Ex. 9-6: 120 kN,
    /// K 0.18, d 20 mm, 432 N m.
    #[test]
    fn torques_of_a_textbook() {
        let preload = Force::from_si(0.75 * 650.0 * 115.0);
        near(torque(&Thread::of_mm(14.0, 2.0), preload, 0.2).si(), 156.97, 0.01);
        let m20 = Thread::of_mm(20.0, 2.5);
        near(torque(&m20, Force::from_si(120e3), 0.18).si(), 432.0, 1e-9);
    }

    /// VDI 2230 tables (values of 2003), class 8.8, friction 0.10, 0.12, 0.14: preload in
    /// kN and torque in N m of M8x1, M10x1.25 and M12x1.25, to the last printed digit.
    #[test]
    fn the_tables_of_vdi_2230() {
        let class = strength("8.8", &Thread::of_mm(8.0, 1.25)).unwrap();
        let tables = [
            ("M8x1", [(20.7, 22.8), (20.2, 26.1), (19.7, 29.2)]),
            ("M10x1.25", [(32.4, 44.0), (31.6, 51.0), (30.8, 57.0)]),
            ("M12x1.25", [(49.1, 79.0), (48.0, 90.0), (46.8, 101.0)]),
        ];
        for (size, printed) in tables {
            let thread = Thread::read(size).unwrap();
            for (friction, (kn, nm)) in [0.10, 0.12, 0.14].into_iter().zip(printed) {
                let (preload, torque) = to_yield(&thread, &class, friction).unwrap();
                near(preload.si() / 1e3, kn, 0.08);
                near(torque.si(), nm, 0.55);
            }
        }
    }

    /// Worked apart by the same formulas: coarse threads at 0.12, in kN and N m; a VDI 2230
    /// example prints 41.9 kN for M12 at 0.14, and 23.3 kN at the low end of a factor 1.8.
    #[test]
    fn coarse_threads_by_vdi_2230() {
        let class = strength("8.8", &Thread::of_mm(8.0, 1.25)).unwrap();
        let coarse = [("M6", 10.18, 10.15), ("M8", 18.63, 24.57), ("M10", 29.60, 48.46)];
        for (size, kn, nm) in coarse.into_iter().chain([("M12", 43.11, 83.63)]) {
            let thread = Thread::read(size).unwrap();
            let (preload, torque) = to_yield(&thread, &class, 0.12).unwrap();
            near(preload.si() / 1e3, kn, 0.006);
            near(torque.si(), nm, 0.01);
        }
        let (m12, torque) =
            to_yield(&Thread::read("M12").unwrap(), &class, 0.14).unwrap();
        near(m12.si() / 1e3, 41.98, 0.006);
        near(torque.si(), 93.06, 0.01);
        near(m12.si() / 1.8e3, 23.3, 0.05);
    }

    /// Even the high end of tightening by hand stays below the proof load.
    #[test]
    fn the_largest_torque_is_safe_for_the_bolt() {
        let thread = Thread::read("M8").unwrap();
        let class = strength("8.8", &thread).unwrap();
        let (preload, torque) = most(&thread, &class);
        let proof = (thread.stress_area() * class.proof).si();
        assert!(preload.si() * (1.0 + PRELOAD_SCATTER) < proof);
        near(torque.si(), 0.2 * 0.75 * 36.61 * 580.0 * 8e-3, 0.01);
    }
}
