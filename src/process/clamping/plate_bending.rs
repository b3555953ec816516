//! How far a plate bows, and how hard it is bent: circles, rectangles, strips, walls.
//!
//! Small deflections of thin plates (Timoshenko; Boresi and Schmidt). A plate as thick as a
//! third of its span also shears, which adds some 10 to 20 % and is left out; the safe
//! supports chosen in [`super::flash`] are larger than that.

use crate::units::{Force, Length, Pressure, Quantity};

/// How the rim is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rim {
    /// It cannot turn: a floor that is one piece with thick walls.
    Clamped,
    /// It turns freely: a plate on bolts. The safe side.
    Supported,
}

/// What a plate is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stiff {
    /// Young's modulus.
    pub modulus: Pressure,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Thickness of the plate.
    pub thickness: Length,
}

/// Middle deflection and largest bending stress.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bent {
    /// Of the middle.
    pub deflection: Length,
    /// At the rim when clamped, in the middle when supported.
    pub stress: Pressure,
}

/// A round plate of `radius` under uniform `pressure`. Clamped: σ = ¾ p (a/h)²,
/// w = 3 (1 − ν²) p a⁴ / 16 E h³; supported: σ = 3 (3 + ν)/8 p (a/h)²,
/// w = 3 (1 − ν)(5 + ν) p a⁴ / 16 E h³. `None` without thickness.
pub fn circular(
    rim: Rim,
    radius: Length,
    pressure: Pressure,
    of: &Stiff,
) -> Option<Bent> {
    let nu = of.poisson;
    let slender = (radius.si() / of.thickness.si()).powi(2);
    let span = radius.si().powi(4) / (16.0 * of.cubed());
    let (bending, bow) = match rim {
        Rim::Clamped => (0.75, 3.0 * (1.0 - nu * nu)),
        Rim::Supported => (3.0 * (3.0 + nu) / 8.0, 3.0 * (1.0 - nu) * (5.0 + nu)),
    };
    bent(bow * pressure.si() * span, bending * pressure.si() * slender)
}

/// A rectangular plate of edges `short` and `long` under uniform `pressure`. Clamped
/// (Boresi and Schmidt): w = 0.032 (1 − ν²) p b⁴ / [(1 + (b/a)⁴) E h³], stress from the
/// moment p b² / 12 [1 + (b/a)⁴] in the middle of the long edges (Westergaard, from memory).
/// Supported: w = 0.142 p b⁴ / [(1 + 2.21 (b/a)³) E h³], σ = 0.75 p b² / [(1 + 1.61 (b/a)³)
/// h²] (Roark's fits for ν = 0.3, from memory). `None` without thickness.
pub fn rectangular(
    rim: Rim,
    [long, short]: [Length; 2],
    pressure: Pressure,
    of: &Stiff,
) -> Option<Bent> {
    let (a, b, p) = (long.max(short).si(), long.min(short).si(), pressure.si());
    let (ratio, h) = (b / a, of.thickness.si());
    let load = p * b.powi(4) / of.cubed();
    let nu = of.poisson;
    match rim {
        Rim::Clamped => {
            let square = 1.0 + ratio.powi(4);
            let moment = p * b * b / (12.0 * square);
            bent(0.032 / square * (1.0 - nu * nu) * load, 6.0 * moment / (h * h))
        }
        Rim::Supported => bent(
            0.142 / (1.0 + 2.21 * ratio.powi(3)) * load,
            0.75 * p * (b / h).powi(2) / (1.0 + 1.61 * ratio.powi(3)),
        ),
    }
}

/// Thickness at which a bending moment for each unit of width reaches a stress:
/// h = √(6 M / σ).
pub fn thickness_for(moment_n: f64, allowed: Pressure) -> Option<Length> {
    let h = (6.0 * moment_n / allowed.si()).sqrt();
    h.is_finite().then(|| Length::from_si(h))
}

/// A strip of the plate on two supports, loaded over its middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// From support to support.
    pub span: Length,
    /// Across the span.
    pub width: Length,
    /// How much of the span is loaded, in its middle.
    pub loaded: Length,
}

/// Bow of a strip of the plate that turns freely on its supports, at `off` from its middle
/// (outside the loaded stretch, or just in the middle for `off` of nothing).
///
/// For a force F spread over c in the middle of the span L: w = F (8 L³ − 4 L c² + c³) /
/// 384 E I in the middle, F x (3 L² − c² − 4 x²) / 48 E I at x from a support outside c.
pub fn strip(strip: &Strip, force: Force, off: Length, of: &Stiff) -> Option<Length> {
    let (l, c, off) = (strip.span.si(), strip.loaded.si().min(strip.span.si()), off.si());
    if l <= 0.0 {
        return Some(Length::default());
    }
    let bends = of.modulus.si() * strip.width.si() * of.thickness.si().powi(3) / 12.0;
    let f = force.si() / bends;
    let w = if off <= 0.0 {
        f * (8.0 * l.powi(3) - 4.0 * l * c * c + c.powi(3)) / 384.0
    } else {
        let x = (l / 2.0 - off.max(c / 2.0)).max(0.0);
        f * x * (3.0 * l * l - c * c - 4.0 * x * x) / 48.0
    };
    w.is_finite().then(|| Length::from_si(w))
}

/// How far the wall beside a deep pocket leans out at its top: a strip clamped at its foot,
/// `thick` of land and `height` deep, w = p H⁴ / 8 E' I with E' = E / (1 − ν²). The corners
/// and the other half help; leaving them out is the safe side.
pub fn wall_bow(height: Length, pressure: Pressure, land: &Stiff) -> Option<Length> {
    let plane = land.modulus.si() / (1.0 - land.poisson * land.poisson);
    let bends = plane * land.thickness.si().powi(3) / 12.0;
    let w = pressure.si() * height.si().powi(4) / (8.0 * bends);
    w.is_finite().then(|| Length::from_si(w))
}

/// Growth and hoop stress of a round cavity of radius `inner` in a block that reaches out
/// to `outer`: σ = p (b² + a²)/(b² − a²), u = p a/E [(b² + a²)/(b² − a²) + ν] (Lamé). `None`
/// without metal around it.
pub fn ring(
    [inner, outer]: [Length; 2],
    pressure: Pressure,
    modulus: Pressure,
    poisson: f64,
) -> Option<Bent> {
    let (a, b) = (inner.si(), outer.si());
    let shape = (b * b + a * a) / (b * b - a * a);
    let p = pressure.si();
    let growth = p * a / modulus.si() * (shape + poisson);
    (b > a && a >= 0.0).then(|| bent(growth, p * shape)).flatten()
}

impl Stiff {
    /// E h³.
    fn cubed(&self) -> f64 {
        self.modulus.si() * self.thickness.si().powi(3)
    }
}

fn bent(deflection: f64, stress: f64) -> Option<Bent> {
    (deflection.is_finite() && stress.is_finite()).then(|| Bent {
        deflection: Length::from_si(deflection),
        stress: Pressure::from_si(stress),
    })
}

#[cfg(test)]
mod tests {
    use super::{
        Rim, Stiff, Strip, circular, rectangular, ring, strip, thickness_for, wall_bow,
    };
    use crate::units::{Force, Pressure, Quantity, from_mm, from_mpa, in_mm, in_mpa};

    fn stiff(gpa: f64, poisson: f64, h_mm: f64) -> Stiff {
        let thickness = from_mm(h_mm);
        Stiff { modulus: Pressure::from_si(gpa * 1e9), poisson, thickness }
    }

    fn near(seen: f64, printed: f64, share: f64) {
        assert!((seen / printed - 1.0).abs() <= share, "{seen} is not {printed}");
    }

    /// Boresi and Schmidt, Advanced Mechanics of Materials, Ex. 13.3: a clamped steel disc
    /// (200 kN/mm², ν 0.29, yield 315 MPa) of 200 mm and 10 mm yields at 4.20 MPa, bows
    /// 0.36 mm then, and may carry 2.10 MPa at a safety of 2.
    #[test]
    fn a_disc_of_a_textbook() {
        let disc = stiff(200.0, 0.29, 10.0);
        let at = |p: f64| {
            let pressure = from_mpa(p);
            circular(Rim::Clamped, from_mm(100.0), pressure, &disc).unwrap()
        };
        near(in_mpa(at(4.20).stress), 315.0, 1e-4);
        near(in_mm(at(4.20).deflection), 0.3606, 1e-3);
        near(in_mpa(at(2.10).stress), 315.0 / 2.0, 1e-4);
    }

    /// Boresi and Schmidt, Ex. 13.2: a clamped steel plate 0.9 × 1.2 m under 3 m of water
    /// at 124 MPa, with their M = 0.04 p b², is 6.79 mm thick and bows 6.86 mm.
    #[test]
    fn a_tank_wall_of_a_textbook() {
        let pressure = 9810.0 * 3.0;
        let moment = 0.04 * pressure * 0.9 * 0.9;
        let h = thickness_for(moment, Pressure::from_si(124e6)).unwrap();
        near(in_mm(h), 6.789, 2e-3);
        let plate = stiff(200.0, 0.29, in_mm(h));
        let edges = [from_mm(1200.0), from_mm(900.0)];
        let pressure = Pressure::from_si(pressure);
        let bent = rectangular(Rim::Clamped, edges, pressure, &plate).unwrap();
        near(in_mm(bent.deflection), 6.862, 3e-3);
        // The moment at the rim, which this program takes, is larger than theirs.
        assert!(in_mpa(bent.stress) > 124.0);
    }

    /// Worked apart: aluminum 71.7 kN/mm², ν 0.33, 25 mm thick, radius 30 mm, 20 MPa: clamped
    /// 0.002416 mm and 21.6 MPa, supported 0.009682 mm and 35.96 MPa.
    #[test]
    fn a_floor_under_a_cavity() {
        let floor = stiff(71.7, 0.33, 25.0);
        let pressure = Pressure::from_si(20e6);
        for (rim, w, s) in
            [(Rim::Clamped, 0.002_416, 21.6), (Rim::Supported, 0.009_682, 35.96)]
        {
            let bent = circular(rim, from_mm(30.0), pressure, &floor).unwrap();
            near(in_mm(bent.deflection), w, 5e-4);
            near(in_mpa(bent.stress), s, 5e-4);
        }
    }

    /// Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, Table 8 (from
    /// memory): supported rectangles bow 0.00406, 0.01013 and 0.01302 p b⁴/D for edges 1 : 1,
    /// 2 : 1 and infinitely long; Table 35, clamped: 0.00126 and 0.00254 at 1 : 1 and 2 : 1.
    #[test]
    fn rectangles_of_the_tables() {
        let plate = stiff(70.0, 0.3, 5.0);
        let rigidity = 70e9 * 0.005_f64.powi(3) / (12.0 * (1.0 - 0.09));
        let unit = 1e6 * 0.1_f64.powi(4) / rigidity * 1e3;
        let bow = |rim, long: f64| {
            let edges = [from_mm(long), from_mm(100.0)];
            let pressure = Pressure::from_si(1e6);
            in_mm(rectangular(rim, edges, pressure, &plate).unwrap().deflection) / unit
        };
        near(bow(Rim::Supported, 100.0), 0.004_06, 0.01);
        near(bow(Rim::Supported, 200.0), 0.010_13, 0.01);
        near(bow(Rim::Supported, 1e5), 0.013_02, 0.01);
        near(bow(Rim::Clamped, 100.0), 0.001_26, 0.06);
        near(bow(Rim::Clamped, 200.0), 0.002_54, 0.06);
    }

    /// Beam tables: 5 F L³/384 EI under a spread load, F L³/48 EI under a force in the
    /// middle, and at a quarter of the span 11/16 of that; p H⁴/8EI for a cantilever.
    #[test]
    fn strips_and_walls_of_the_beam_tables() {
        let plate = stiff(70.0, 0.0, 20.0);
        let inertia = 0.05 * 0.02_f64.powi(3) / 12.0;
        let unit = 1000.0 * 0.1_f64.powi(3) / (70e9 * inertia);
        let beam = |loaded: f64, off: f64| {
            let span = Strip {
                span: from_mm(100.0),
                width: from_mm(50.0),
                loaded: from_mm(loaded),
            };
            strip(&span, Force::from_si(1000.0), from_mm(off), &plate).unwrap().si()
                / unit
        };
        near(beam(100.0, 0.0), 5.0 / 384.0, 1e-9);
        near(beam(0.0, 0.0), 1.0 / 48.0, 1e-9);
        near(beam(0.0, 25.0), 11.0 / 16.0 / 48.0, 1e-9);
        let wall = wall_bow(from_mm(30.0), Pressure::from_si(10e6), &plate).unwrap();
        let exact = 10e6 * 0.03_f64.powi(4) / (8.0 * 70e9 * 0.02_f64.powi(3) / 12.0);
        near(wall.si(), exact, 1e-12);
    }

    /// Ugural and Fenster, Advanced Strength, Ex. 8.1: a cylinder of 0.3/0.4 m at 250 MPa
    /// holds 70 MPa inside or 54.69 MPa outside; the latter is pressure all over less the
    /// same inside, p + σ(p) = 250 MPa. Ex. 8.3's outer ring, 0.20/0.25 m, opens by Lamé.
    #[test]
    fn a_round_cavity_of_a_textbook() {
        let stress = |p: f64| {
            let pressure = from_mpa(p);
            let radii = [from_mm(150.0), from_mm(200.0)];
            in_mpa(ring(radii, pressure, Pressure::from_si(200e9), 0.3).unwrap().stress)
        };
        near(stress(70.0), 250.0, 1e-9);
        near(54.69 + stress(54.69), 250.0, 1e-4);
        let pressure = Pressure::from_si(12.305e6);
        let steel = Pressure::from_si(200e9);
        let grown = ring([from_mm(200.0), from_mm(250.0)], pressure, steel, 0.3).unwrap();
        let shrunk = 12.305e6 * 0.2 / 200e9 * (0.0625 / 0.0175 - 0.3);
        near(in_mm(grown.deflection) + shrunk * 1e3, 0.1, 1e-4);
        assert_eq!(ring([from_mm(9.0), from_mm(9.0)], pressure, steel, 0.3), None);
    }

    #[test]
    fn no_thickness_has_no_answer() {
        let none = stiff(70.0, 0.33, 0.0);
        let pressure = Pressure::from_si(1e6);
        assert_eq!(circular(Rim::Clamped, from_mm(10.0), pressure, &none), None);
        assert_eq!(wall_bow(from_mm(10.0), pressure, &none), None);
    }

    proptest::proptest! {
        #[test]
        fn a_thicker_plate_bows_less(h in 5.0..40.0_f64, more in 0.1..20.0_f64) {
            let pressure = Pressure::from_si(10e6);
            let edges = [from_mm(90.0), from_mm(60.0)];
            for rim in [Rim::Clamped, Rim::Supported] {
                let bow = |h| {
                    let plate = stiff(70.0, 0.33, h);
                    let rect = rectangular(rim, edges, pressure, &plate).unwrap();
                    let disc = circular(rim, from_mm(30.0), pressure, &plate).unwrap();
                    (rect.deflection, disc.deflection, rect.stress)
                };
                let (thin, thick) = (bow(h), bow(h + more));
                assert!(thick.0 < thin.0 && thick.1 < thin.1 && thick.2 < thin.2);
            }
        }
    }
}
