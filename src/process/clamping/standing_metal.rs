//! How far metal that stands alone in the cavity bends, and how hard that strains it, when the
//! melt pushes harder on one side of it.
//!
//! Cantilevers from their foot (beam tables): of a fin of thickness t under the pressure q the
//! stress at the depth y below its tip is `3 q (y/t)²`, of a pin of diameter d
//! `16/π q (y/d)²`, so a taper counts where it is worst. They bend by `∫ M y / (E I) dy`,
//! which is `3 q h⁴ / (2 E t³)` and `8 q h⁴ / (π E d³)` where they do not taper. A fin between
//! two pockets is a plate held on three sides (Roark, plates with uniform load, one side free;
//! from memory). A ring stretches as a short pipe that is held at its foot: `1.82 q r/t`
//! (Timoshenko, shells clamped at an edge, Poisson's ratio 0.3).

use crate::numeric::bisect;
use crate::process::clamping::alloys::Alloy;
use crate::units::{Length, Pressure, Quantity, from_mpa};

/// Pieces of the height in the integral of the bending.
const SLICES: u32 = 64;

/// Length over height of plates held on three sides, and what remains of the stress of a
/// cantilever at the middle of the foot and at the ends of the free edge (Roark's
/// coefficients over 3; from memory).
const HELD: [[f64; 3]; 8] = [
    [0.0, 0.0, 0.0],
    [0.25, 0.0067, 0.0103],
    [0.5, 0.027, 0.042],
    [1.0, 0.107, 0.170],
    [1.5, 0.242, 0.358],
    [2.0, 0.409, 0.523],
    [3.0, 0.702, 0.661],
    [6.0, 1.0, 0.661],
];

/// What remains of the stress and of the deflection of a cantilever whose tip is seated: the
/// moment at its foot is q h²/8, not q h²/2, and it moves by q h⁴/185, not q h⁴/8, over E I
/// (beam tables).
const SEATED: [f64; 2] = [0.25, 8.0 / 185.0];

/// A strip that is held at both ends, so many times as long as the cantilever is high, moves
/// by (L/h)⁴ over this of what that does: q L⁴/384 against q h⁴/8 (beam tables).
const STRIP: f64 = 48.0;

/// A clamped edge of a pipe bends as hard as `1.82 q r/t`: 3 / √(3 (1 − 0.3²)).
const CLAMPED_EDGE: f64 = 1.816;

/// Wider than so many times its thickness it is another part.
const MOST_WIDER: f64 = 3.0;

/// How many times as hard as the filling says the melt may push (judgment).
pub const DOUBT: f64 = 1.5;

/// At least this share of all that the press has stands on one side (judgment: one side full
/// and the other empty, by a hesitation or a gate a little off, the rest lost on the
/// way).
pub const LEAST_SHARE: f64 = 0.5;

/// How much harder a filling pushes on one side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneSided {
    /// Pressure difference between both sides, the greatest while it fills.
    pub more: Pressure,
    /// Pressure at the ram with which the filling was run.
    pub run_with: Pressure,
}

/// What holds standing metal, and its shape across the pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Round, held by its foot.
    Pin,
    /// Round, held by its foot, its tip seated in the other half.
    SeatedPin,
    /// Long, held by its foot.
    Fin,
    /// Long, held by its foot and at both ends, this far apart.
    HeldFin {
        /// From end to end.
        length: Length,
    },
    /// Closed in itself.
    Ring {
        /// Mean radius.
        radius: Length,
    },
}

/// Standing metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Its shape.
    pub shape: Shape,
    /// Thickness or diameter at its tip.
    pub tip: Length,
    /// The same at its foot.
    pub foot: Length,
    /// From tip to foot.
    pub height: Length,
}

/// What it is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strength {
    /// Name.
    pub name: &'static str,
    /// Stress that it stands for about ten thousand shots.
    pub allowed: Pressure,
    /// Stress from which on it stays bent.
    pub yields: Pressure,
    /// Young's modulus.
    pub modulus: Pressure,
}

/// What a pressure on one side does.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bent {
    /// Greatest stress.
    pub stress: Pressure,
    /// How far its tip moves.
    pub deflection: Length,
}

/// An alloy of the mold: for ten thousand shots one way, with a fillet at the foot, 6061-T6
/// stands 100 MPa, 7075-T6 150, cast plate 60 (judgment; smooth 6061-T6 in turn stands 241).
pub fn of_alloy(alloy: Alloy) -> Strength {
    let metal = alloy.metal();
    let allowed = match alloy {
        Alloy::Wrought6061 => 100.0,
        Alloy::Wrought7075 => 150.0,
        Alloy::Cast5083 => 60.0,
    };
    Strength {
        name: metal.name,
        allowed: from_mpa(allowed),
        yields: metal.proof,
        modulus: metal.modulus,
    }
}

/// How hard the melt may push on one side when the press `has` so much: what the filling says,
/// as much higher as the pressure is than that of the filling, times [`DOUBT`], but no more than
/// the press has and at least [`LEAST_SHARE`] of it, which is what counts without a filling.
pub fn greatest_one_sided(filling: Option<OneSided>, has: Pressure) -> Pressure {
    let least = has * LEAST_SHARE;
    match filling {
        Some(OneSided { more, run_with }) if run_with.si() > 0.0 => {
            let scale = DOUBT * (has.si() / run_with.si()).max(1.0);
            has.min(least.max(more * scale))
        }
        _ => least,
    }
}

/// What the pressure `q` on one side does to `standing`.
pub fn bend(standing: &Standing, q: Pressure, strength: &Strength) -> Bent {
    let (h, q) = (standing.height.si(), q.si());
    let [tip, foot] = [standing.tip, standing.foot].map(|it| it.si());
    let mean = f64::midpoint(tip, foot);
    if h <= 0.0 || tip.min(foot) <= 0.0 {
        return Bent::default();
    }
    let beam = cantilever(standing, strength.modulus.si());
    let bent = match standing.shape {
        Shape::Pin | Shape::Fin => beam,
        Shape::SeatedPin => [beam[0] * SEATED[0], beam[1] * SEATED[1]],
        Shape::HeldFin { length } => {
            let [at_foot, at_edge] = held(length.si() / h);
            let edge = 3.0 * (h / mean).powi(2);
            let stress = (at_foot * beam[0]).max(at_edge * edge).min(beam[0].max(edge));
            let strip = (length.si() / h).powi(4) / STRIP;
            [stress, beam[1] * strip.min(1.0)]
        }
        Shape::Ring { radius } => {
            let r = radius.si();
            let stretched = r * r / (strength.modulus.si() * mean);
            [beam[0].min(CLAMPED_EDGE * r / mean), beam[1].min(stretched)]
        }
    };
    Bent {
        stress: Pressure::from_si(q * bent[0]),
        deflection: Length::from_si(q * bent[1]),
    }
}

/// The part of `standing` that is left at this height: its tip stays as thick, its walls as
/// steep.
pub fn cut_to(standing: &Standing, height: Length) -> Standing {
    let share = height.si() / standing.height.si().max(f64::MIN_POSITIVE);
    let foot = standing.tip + (standing.foot - standing.tip) * share;
    Standing { foot, height, ..*standing }
}

/// The greatest height of `standing` at which `q` strains it to no more than `limit`.
pub fn height_that_holds(
    standing: &Standing,
    q: Pressure,
    strength: &Strength,
    limit: Pressure,
) -> Length {
    let is_low = |height: f64| {
        bend(&cut_to(standing, Length::from_si(height)), q, strength).stress <= limit
    };
    let [low, _] = bisect([0.0, standing.height.si()], 40, is_low);
    Length::from_si(low)
}

/// By how much thicker all over `standing` holds; `None` where no few times its thickness do.
pub fn wider_by(
    standing: &Standing,
    q: Pressure,
    strength: &Strength,
    limit: Pressure,
) -> Option<Length> {
    let holds = |more: f64| {
        let [tip, foot] =
            [standing.tip, standing.foot].map(|it| it + Length::from_si(more));
        bend(&Standing { tip, foot, ..*standing }, q, strength).stress <= limit
    };
    let most = MOST_WIDER * standing.tip.max(standing.foot).si();
    let [_, enough] = bisect([0.0, most], 40, |more| !holds(more));
    holds(enough).then(|| Length::from_si(enough))
}

/// Stress and deflection of a cantilever under a pressure of 1.
fn cantilever(standing: &Standing, modulus: f64) -> [f64; 2] {
    let h = standing.height.si();
    let [tip, foot] = [standing.tip, standing.foot].map(|it| it.si());
    let slope = (foot - tip) / h;
    let step = h / f64::from(SLICES);
    let mut bent = [0.0_f64; 2];
    for slice in 0..=SLICES {
        let y = f64::from(slice) * step;
        let t = tip + slope * y;
        // Moment, section modulus and moment of inertia: of a pin, or of a fin 1 wide.
        let (moment, inertia) = match standing.shape {
            Shape::Pin | Shape::SeatedPin => (
                tip * y * y / 2.0 + slope * y.powi(3) / 6.0,
                std::f64::consts::PI * t.powi(4) / 64.0,
            ),
            _ => (y * y / 2.0, t.powi(3) / 12.0),
        };
        let stress = moment * t / 2.0 / inertia;
        let weight = match slice {
            0 | SLICES => 1.0,
            odd if odd % 2 == 1 => 4.0,
            _ => 2.0,
        };
        bent[0] = bent[0].max(stress);
        bent[1] += weight * step / 3.0 * moment * y / (modulus * inertia);
    }
    bent
}

/// What remains of the stress at the foot and at the ends of the free edge of a plate that is
/// so many times as long as high.
fn held(ratio: f64) -> [f64; 2] {
    let between = HELD.iter().zip(&HELD[1..]);
    for (low, high) in between {
        if ratio <= high[0] {
            let share = ((ratio - low[0]) / (high[0] - low[0])).max(0.0);
            return [1, 2].map(|it| low[it] + share * (high[it] - low[it]));
        }
    }
    [1.0, 0.661]
}

#[cfg(test)]
mod tests {
    use super::{
        OneSided, Shape, Standing, Strength, bend, cut_to, greatest_one_sided,
        height_that_holds, of_alloy, wider_by,
    };
    use crate::process::clamping::alloys::Alloy;
    use crate::units::{Length, from_mm, from_mpa, in_mm, in_mpa};

    fn standing(shape: Shape, tip: f64, foot: f64, height: f64) -> Standing {
        let [tip, foot, height] = [tip, foot, height].map(from_mm);
        Standing { shape, tip, foot, height }
    }

    fn steel() -> Strength {
        let modulus = from_mpa(205e3);
        Strength { modulus, ..of_alloy(Alloy::Wrought6061) }
    }

    fn near(seen: f64, known: f64, share: f64) {
        assert!((seen / known - 1.0).abs() <= share, "{seen} is not {known}");
    }

    /// Beam tables, by hand: 3 q (h/t)² and 3 q h⁴/(2 E t³); 16/π q (h/d)², 8 q h⁴/(π E d³).
    #[test]
    fn straight_fins_and_pins_bend_as_cantilevers() {
        let metal = of_alloy(Alloy::Wrought6061);
        let fin = bend(&standing(Shape::Fin, 2.0, 2.0, 8.0), from_mpa(5.0), &metal);
        near(in_mpa(fin.stress), 240.0, 1e-9);
        near(in_mm(fin.deflection), 3.0 * 5.0 * 4096.0 / (2.0 * 69e3 * 8.0), 1e-4);
        let steel = steel();
        let pin = bend(&standing(Shape::Pin, 3.0, 3.0, 12.0), from_mpa(5.0), &steel);
        near(in_mpa(pin.stress), 16.0 / std::f64::consts::PI * 5.0 * 16.0, 1e-9);
        let known = 8.0 * 5.0 * 20736.0 / (std::f64::consts::PI * 205e3 * 27.0);
        near(in_mm(pin.deflection), known, 1e-4);
    }

    /// By hand: a fin of 0.8 mm at its tip and 2.0 at its foot, 12 tall: 3 · 3.7 · 36.
    #[test]
    fn a_tapered_fin_is_judged_where_it_is_worst() {
        let metal = of_alloy(Alloy::Wrought6061);
        let fin = bend(&standing(Shape::Fin, 0.8, 2.0, 12.0), from_mpa(3.7), &metal);
        near(in_mpa(fin.stress), 399.6, 1e-6);
        // Thick at its tip and thin at its foot is worse at the foot.
        let turned = bend(&standing(Shape::Fin, 2.0, 0.8, 12.0), from_mpa(3.7), &metal);
        near(in_mpa(turned.stress), 3.0 * 3.7 * 225.0, 1e-6);
    }

    /// Roark (from memory): three sides held, twice as long as high, at most 1.57 q (h/t)².
    #[test]
    fn ends_that_are_held_take_a_share_and_a_long_fin_forgets_them() {
        let metal = of_alloy(Alloy::Wrought6061);
        let long = |length: f64| {
            let shape = Shape::HeldFin { length: from_mm(length) };
            in_mpa(bend(&standing(shape, 2.0, 2.0, 12.0), from_mpa(1.0), &metal).stress)
        };
        near(long(24.0), 1.568 * 36.0, 2e-3);
        near(long(1000.0), 3.0 * 36.0, 1e-9);
        assert!(long(6.0) < long(12.0) && long(12.0) < long(24.0));
    }

    /// Beam tables: q h²/8 at the foot and q h⁴/(185 E I); a strip held at both ends moves by
    /// q L⁴/(32 E t³).
    #[test]
    fn a_seated_tip_and_held_ends_move_less() {
        let steel = steel();
        let q = from_mpa(5.0);
        let seated = bend(&standing(Shape::SeatedPin, 2.0, 2.0, 12.0), q, &steel);
        let section = std::f64::consts::PI * 8.0 / 32.0;
        near(in_mpa(seated.stress), 5.0 * 2.0 * 144.0 / 8.0 / section, 1e-9);
        let inertia = std::f64::consts::PI * 16.0 / 64.0;
        let known = 5.0 * 2.0 * 20736.0 / (185.0 * 205e3 * inertia);
        near(in_mm(seated.deflection), known, 1e-4);
        let held = Shape::HeldFin { length: from_mm(6.0) };
        let held = bend(&standing(held, 2.0, 2.0, 12.0), q, &steel);
        near(in_mm(held.deflection), 5.0 * 1296.0 / (32.0 * 205e3 * 8.0), 1e-4);
    }

    /// By hand: a straight fin under q holds up to t √(limit / 3 q); at the height given for
    /// any shape the stress is the limit, and so it is at the greater thickness.
    #[test]
    fn what_is_said_to_hold_holds() {
        let metal = of_alloy(Alloy::Wrought6061);
        let (q, limit) = (from_mpa(3.0), metal.allowed);
        let fin = standing(Shape::Fin, 1.5, 1.5, 14.0);
        near(
            in_mm(height_that_holds(&fin, q, &metal, limit)),
            1.5 * (100.0_f64 / 9.0).sqrt(),
            1e-6,
        );
        let long = Shape::HeldFin { length: from_mm(20.0) };
        for shape in [Shape::Fin, Shape::Pin, long] {
            let drawn = standing(shape, 0.8, 1.6, 14.0);
            let height = height_that_holds(&drawn, q, &metal, limit);
            let stress = bend(&cut_to(&drawn, height), q, &metal).stress;
            near(in_mpa(stress), 100.0, 1e-3);
            let more = wider_by(&drawn, q, &metal, limit).unwrap();
            let wider =
                Standing { tip: drawn.tip + more, foot: drawn.foot + more, ..drawn };
            near(in_mpa(bend(&wider, q, &metal).stress), 100.0, 1e-3);
        }
    }

    #[test]
    fn a_ring_is_never_weaker_than_a_fin_and_nothing_is_not_a_number() {
        let metal = of_alloy(Alloy::Cast5083);
        let ring = Shape::Ring { radius: from_mm(6.0) };
        let ring = bend(&standing(ring, 2.0, 2.0, 12.0), from_mpa(2.0), &metal);
        near(in_mpa(ring.stress), 1.816 * 2.0 * 3.0, 1e-6);
        let none = bend(&standing(Shape::Pin, 0.0, 0.0, 0.0), from_mpa(2.0), &metal);
        assert_eq!(none.deflection, Length::default());
    }

    #[test]
    fn at_least_half_of_the_pressure_and_at_most_all_of_it_is_on_one_side() {
        let seen = |more: f64, run: f64| {
            let filling = OneSided { more: from_mpa(more), run_with: from_mpa(run) };
            in_mpa(greatest_one_sided(Some(filling), from_mpa(10.0)))
        };
        near(seen(0.1, 5.0), 5.0, 1e-12);
        near(seen(2.0, 5.0), 6.0, 1e-12);
        near(seen(4.0, 5.0), 10.0, 1e-12);
        near(seen(4.0, 0.0), 5.0, 1e-12);
        near(in_mpa(greatest_one_sided(None, from_mpa(10.0))), 5.0, 1e-12);
    }
}
