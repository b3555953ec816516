//! How far a strip of plate lifts off the land that it is pressed onto.
//!
//! Half of the strip, from its middle to its end, as beams that bend and shear (Timoshenko,
//! exact between two nodes). The land pushes and never pulls: it is iterated which of its
//! places touch until none changes. Bolts hold with their preload and their stiffness; a jaw
//! holds with a force that it spreads over its face, and it too only pushes.

use super::plate_section::SectionStiffness;
use crate::numeric::FactoredBand;

/// Half of a strip of plate: what bends, what lifts and what holds it. All lengths are from
/// the middle of the plate.
#[derive(Clone, Debug)]
pub struct HalfStrip {
    /// To the end of the plate, m.
    pub length: f64,
    /// To the end of the cavity, m.
    pub cavity: f64,
    /// Section along the cavity, and beyond it.
    pub sections: [SectionStiffness; 2],
    /// What the melt lifts with along the cavity, N/m.
    pub lift: f64,
    /// How stiff the land is beside the cavity, and beyond it, N/m².
    pub land: [f64; 2],
    /// Bolts of this half.
    pub bolts: Vec<HoldingBolt>,
    /// The jaw behind it.
    pub jaw: Option<HoldingJaw>,
}

/// A bolt that holds a plate.
#[derive(Clone, Copy, Debug)]
pub struct HoldingBolt {
    /// Where it stands, m.
    pub at: f64,
    /// How far its head reaches to either side, m.
    pub reach: f64,
    /// How much of it belongs to this half of the strip: a half where its other half does.
    pub share: f64,
    /// Its preload, N.
    pub preload: f64,
    /// How much more it holds for each meter that the plate lifts, N/m.
    pub stiffness: f64,
}

/// A jaw that presses on the outer face of a plate and stays straight.
#[derive(Clone, Copy, Debug)]
pub struct HoldingJaw {
    /// To its end, m.
    pub reach: f64,
    /// Half of the force that it presses with, N.
    pub force: f64,
    /// How much more for each meter that it is pushed back, N/m.
    pub stiffness: f64,
    /// How stiff jaw and plate are where they touch, N/m².
    pub bed: f64,
}

/// How far a strip lifts.
#[derive(Clone, Debug, PartialEq)]
pub struct Lifted {
    /// In the middle of the cavity, m; nothing where it still touches.
    pub middle: f64,
    /// At the end of the cavity, m.
    pub end: f64,
    /// Everywhere, m: nothing while any of it touches.
    pub whole: f64,
    /// Most of what a bolt holds, N.
    pub bolt: f64,
    /// Largest bending stress, Pa.
    pub stress: f64,
}

/// Pieces of the half strip.
const PIECES: usize = 40;
/// Pieces along the cavity at least, and beyond it.
const LEAST_PIECES: usize = 4;
/// Iterations of the contact at most; a handful are needed.
const MOST_TURNS: usize = 60;
/// Width of the band: lift and slope of two neighbors.
const BAND: usize = 4;

/// The strip cut into pieces.
struct Pieces<'a> {
    strip: &'a HalfStrip,
    at: Vec<f64>,
    /// How many of them lie along the cavity.
    in_cavity: usize,
}

impl HalfStrip {
    /// How far it lifts; `None` where nothing holds it or a number is not sound.
    pub fn lifted(&self) -> Option<Lifted> {
        let pieces = Pieces::new(self)?;
        let lifts = pieces.settle()?;
        let lift = |node: usize| lifts[2 * node].max(0.0);
        let bolts = self.bolts.iter().map(|bolt| {
            let shares = pieces.shares(bolt);
            let mean: f64 =
                (0..pieces.at.len()).map(|it| shares[it] * lifts[2 * it]).sum();
            bolt.preload + bolt.stiffness * mean.max(0.0)
        });
        let found = Lifted {
            middle: lift(0),
            end: lift(pieces.in_cavity),
            whole: (0..pieces.at.len()).map(lift).fold(f64::INFINITY, f64::min),
            bolt: bolts.fold(0.0, f64::max),
            stress: pieces.stress(&lifts),
        };
        [found.middle, found.end, found.stress]
            .iter()
            .all(|value| value.is_finite())
            .then_some(found)
    }
}

impl<'a> Pieces<'a> {
    /// Nodes at both ends of the cavity; `None` for lengths that are none.
    fn new(strip: &'a HalfStrip) -> Option<Self> {
        let HalfStrip { length, cavity, .. } = *strip;
        if !(cavity > 0.0 && length > cavity && length.is_finite()) {
            return None;
        }
        let share = cavity / length;
        let in_cavity = (share * PIECES as f64).round() as usize;
        let in_cavity = in_cavity.clamp(LEAST_PIECES, PIECES - LEAST_PIECES);
        let beyond = PIECES - in_cavity;
        let inner = (0..in_cavity).map(|it| cavity * it as f64 / in_cavity as f64);
        let outer =
            (0..=beyond).map(|it| cavity + (length - cavity) * it as f64 / beyond as f64);
        Some(Self { strip, at: inner.chain(outer).collect(), in_cavity })
    }

    /// Lift and slope of each node, with a land that only pushes.
    fn settle(&self) -> Option<Vec<f64>> {
        let (beams, loads) = (self.beams(), self.loads());
        let (land, jaw) = (self.land(), self.jaw_bed());
        let nodes = self.at.len();
        let mut touches = vec![true; nodes];
        let mut pressed = vec![true; nodes];
        let mut found = Vec::new();
        for _ in 0..MOST_TURNS {
            let mut rows = beams.clone();
            let mut bed = vec![0.0; 2 * nodes];
            for node in 0..nodes {
                bed[2 * node] = if pressed[node] { jaw[node] } else { 0.0 };
                rows[2 * node][0] += bed[2 * node];
                rows[2 * node][0] += if touches[node] { land[node] } else { 0.0 };
            }
            let band = FactoredBand::new(rows)?;
            found = band.solve(&loads);
            let back = self.push_back(&band, &bed, &mut found);
            let changed = (0..nodes).fold(false, |changed, node| {
                let lift = found[2 * node];
                let now = [lift < 0.0, lift > back];
                let is_other = now != [touches[node], pressed[node]];
                [touches[node], pressed[node]] = now;
                changed || is_other
            });
            if !changed {
                break;
            }
        }
        Some(found)
    }

    /// How far the jaw is pushed back, which it adds to what the strip does without that: the
    /// sum over its face is its force.
    fn push_back(
        &self,
        band: &FactoredBand<BAND>,
        bed: &[f64],
        found: &mut [f64],
    ) -> f64 {
        let Some(jaw) = self.strip.jaw else { return f64::NEG_INFINITY };
        let follows = band.solve(bed);
        let sum =
            |lifts: &[f64]| bed.iter().zip(lifts).map(|it| it.0 * it.1).sum::<f64>();
        let stiff = bed.iter().sum::<f64>() + jaw.stiffness - sum(&follows);
        let back = (sum(found) - jaw.force) / stiff;
        for (lift, follow) in found.iter_mut().zip(follows) {
            *lift += back * follow;
        }
        back
    }

    /// Stiffness of the beams and bolts: of a beam of length l with Φ = 12 E I / G A l², the
    /// exact one of Timoshenko (Przemieniecki, Theory of Matrix Structural Analysis). The
    /// middle has no slope.
    fn beams(&self) -> Vec<[f64; BAND]> {
        let mut rows = vec![[0.0; BAND]; 2 * self.at.len()];
        for piece in 0..self.at.len() - 1 {
            let l = self.at[piece + 1] - self.at[piece];
            let section = self.section(piece);
            let soft = 12.0 * section.bending_n_m2 / (section.shear_n * l * l);
            let k = section.bending_n_m2 / (l * l * l * (1.0 + soft));
            let [own, other] = [(4.0 + soft) * l * l * k, (2.0 - soft) * l * l * k];
            let [push, turn] = [12.0 * k, 6.0 * l * k];
            let local = [
                [push, turn, -push, turn],
                [own, -turn, other, 0.0],
                [push, -turn, 0.0, 0.0],
                [own, 0.0, 0.0, 0.0],
            ];
            for (row, local) in rows[2 * piece..].iter_mut().zip(local) {
                row.iter_mut().zip(local).for_each(|(entry, more)| *entry += more);
            }
        }
        for bolt in &self.strip.bolts {
            let shares = self.shares(bolt);
            for (node, share) in shares.into_iter().enumerate() {
                rows[2 * node][0] += bolt.share * bolt.stiffness * share;
            }
        }
        rows[0][1] = 0.0;
        rows[1] = [1.0, 0.0, 0.0, 0.0];
        rows
    }

    /// What the melt lifts with, less what bolts press with.
    fn loads(&self) -> Vec<f64> {
        let mut loads = vec![0.0; 2 * self.at.len()];
        for piece in 0..self.in_cavity {
            let half = 0.5 * self.strip.lift * (self.at[piece + 1] - self.at[piece]);
            loads[2 * piece] += half;
            loads[2 * piece + 2] += half;
        }
        for bolt in &self.strip.bolts {
            for (node, share) in self.shares(bolt).into_iter().enumerate() {
                loads[2 * node] -= bolt.share * bolt.preload * share;
            }
        }
        loads
    }

    /// Stiffness of the land at each node.
    fn land(&self) -> Vec<f64> {
        let mut land = vec![0.0; self.at.len()];
        for piece in 0..self.at.len() - 1 {
            let stiff = self.strip.land[usize::from(piece >= self.in_cavity)];
            let half = 0.5 * stiff * (self.at[piece + 1] - self.at[piece]);
            land[piece] += half;
            land[piece + 1] += half;
        }
        land
    }

    /// Stiffness of the face of the jaw at each node.
    fn jaw_bed(&self) -> Vec<f64> {
        let under = |jaw: HoldingJaw| {
            (0..self.at.len())
                .map(|node| jaw.bed * self.overlap(node, [-jaw.reach, jaw.reach]))
                .collect()
        };
        self.strip.jaw.map_or_else(|| vec![0.0; self.at.len()], under)
    }

    /// Shares of a bolt that the nodes carry.
    fn shares(&self, bolt: &HoldingBolt) -> Vec<f64> {
        let last = self.strip.length;
        let at = bolt.at.min(last);
        let span = [at - bolt.reach, at + bolt.reach];
        let parts: Vec<f64> =
            (0..self.at.len()).map(|node| self.overlap(node, span)).collect();
        let sum: f64 = parts.iter().sum();
        parts.into_iter().map(|part| part / sum).collect()
    }

    /// How much of a span lies nearer to this node than to its neighbors.
    fn overlap(&self, node: usize, [from, to]: [f64; 2]) -> f64 {
        let at = self.at[node];
        let before = node.checked_sub(1).map_or(at, |it| 0.5 * (self.at[it] + at));
        let after = self.at.get(node + 1).map_or(at, |next| 0.5 * (at + next));
        (to.min(after) - from.max(before)).max(0.0)
    }

    fn section(&self, piece: usize) -> SectionStiffness {
        self.strip.sections[usize::from(piece >= self.in_cavity)]
    }

    /// Largest bending stress: from the change of slope along each piece.
    fn stress(&self, lifts: &[f64]) -> f64 {
        (0..self.at.len() - 1)
            .map(|piece| {
                let l = self.at[piece + 1] - self.at[piece];
                let section = self.section(piece);
                let turn = lifts[2 * piece + 3] - lifts[2 * piece + 1];
                let moment = section.bending_n_m2 * turn.abs() / l;
                moment * section.stress_per_moment
            })
            .fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::{HalfStrip, HoldingBolt, HoldingJaw};
    use crate::process::clamping::plate_section::SectionStiffness;

    const SECTION: SectionStiffness =
        SectionStiffness { bending_n_m2: 3e3, shear_n: 2e7, stress_per_moment: 2e5 };

    fn strip() -> HalfStrip {
        HalfStrip {
            length: 0.05,
            cavity: 0.02,
            sections: [SECTION; 2],
            lift: 3e5,
            land: [1e3; 2],
            bolts: Vec::new(),
            jaw: None,
        }
    }

    fn bolt(at: f64, preload: f64, stiffness: f64) -> HoldingBolt {
        HoldingBolt { at, reach: 1e-7, share: 1.0, preload, stiffness }
    }

    fn near(seen: f64, printed: f64, share: f64) {
        assert!((seen / printed - 1.0).abs() <= share, "{seen} is not {printed}");
    }

    /// Beam tables, on rigid bolts at the ends of a span L loaded by q over c in its middle:
    /// q c (8 L³ − 4 L c² + c³) / 384 E I and q c (2 L − c) / 8 G A in shear; the moment is
    /// q c (2 L − c) / 8 and each bolt carries q c / 2.
    #[test]
    fn a_beam_on_two_supports() {
        let held = HalfStrip { bolts: vec![bolt(0.05, 0.0, 1e13)], ..strip() };
        let seen = held.lifted().unwrap();
        let [l, c, q] = [0.1_f64, 0.04, 3e5];
        let bends = q * c * (8.0 * l.powi(3) - 4.0 * l * c * c + c.powi(3)) / 384.0 / 3e3;
        let moment = q * c * (2.0 * l - c) / 8.0;
        near(seen.middle, bends + moment / 2e7, 1e-3);
        near(seen.bolt, 0.5 * q * c, 1e-3);
        near(seen.stress, moment * 2e5, 5e-3);
        assert!(seen.whole < 1e-4 * seen.middle && seen.end < seen.middle);
    }

    /// Statics: the same beam cut off at the bolt does not mind a preload that is less than
    /// what it carries, but for the stretch; a preload far beyond keeps a stiff land shut.
    #[test]
    fn preload_holds_the_land_down() {
        let held = |preload: f64, land: f64| {
            let bolts = vec![bolt(0.03, preload, 1e8)];
            HalfStrip { bolts, land: [land; 2], ..strip() }.lifted().unwrap()
        };
        let [none, some, much] = [0.0, 3e3, 2e4].map(|it| held(it, 1e12));
        assert!(none.middle > some.middle && some.middle > much.middle);
        near(none.bolt, 6e3, 0.05);
        near(much.bolt, 2e4, 0.02);
    }

    /// Statics: a jaw over the whole plate gives way by what is beyond its force.
    #[test]
    fn a_jaw_gives_way_beyond_its_force() {
        let pressed = |force: f64| {
            let jaw = HoldingJaw { reach: 0.05, force, stiffness: 1e8, bed: 1e14 };
            HalfStrip { jaw: Some(jaw), ..strip() }.lifted().unwrap()
        };
        near(pressed(1e3).middle, 5e3 / 1e8, 1e-3);
        assert!(pressed(7e3).middle < 1e-7);
    }

    #[test]
    fn what_nothing_holds_has_no_lift() {
        assert_eq!(HalfStrip { land: [0.0; 2], ..strip() }.lifted(), None);
        assert_eq!(HalfStrip { cavity: 0.0, ..strip() }.lifted(), None);
        let endless = HalfStrip { lift: f64::NAN, ..strip() };
        assert_eq!(HalfStrip { land: [1e9; 2], ..endless }.lifted(), None);
    }
}
