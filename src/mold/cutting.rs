//! The finished halves: what is drilled and milled besides the part, taken out of the blanks.

use super::cut_feature::{Cut, Kind};
use super::primitives;
use crate::mesh::solid::{NotCut, Solid};
use crate::part::halves::Half;

/// What could not be cut, and why.
pub(super) struct Failed(pub(super) &'static str, pub(super) NotCut);

/// What is cut out of what.
#[derive(Clone, Copy)]
struct Cutting<'a> {
    /// The halves with nothing but the part in them.
    blanks: &'a [Solid; 2],
    /// The part as it fills them.
    part: &'a Solid,
    /// Everything besides.
    cuts: &'a [Cut],
    /// Spans of the block.
    block: [[f64; 2]; 3],
}

/// The halves, the feed without the part, and two volumes.
pub(super) struct Cuts {
    /// The + half and the − half.
    pub(super) halves: [Solid; 2],
    /// The feed without the part.
    pub(super) feed: Solid,
    /// Volume of the feed's cuts inside the part, mm³.
    pub(super) opens_mm3: f64,
    /// Volume of all holes that melt does not fill, mm³.
    pub(super) holes_mm3: f64,
}

/// The halves, and the cuts that had to be left out.
pub(super) fn cut(
    blanks: &[Solid; 2],
    part: &Solid,
    cuts: &[Cut],
    block: [[f64; 2]; 3],
) -> Result<(Cuts, Vec<Cut>), Failed> {
    let all = Cutting { blanks, part, cuts, block };
    let failed = match all.all() {
        Ok(made) => return Ok((made, Vec::new())),
        Err(failed) => failed,
    };
    // A vent or a slot that cannot be cut costs a file, not the mold.
    let fails = |cut: &&Cut| {
        let blank = &blanks[usize::from(cut.half == Half::Minus)];
        is_light(cut) && blank.minus(&cut.solid).is_err()
    };
    let mut left_out: Vec<Cut> = cuts.iter().filter(fails).cloned().collect();
    if left_out.is_empty() {
        // Each goes alone, so that they fail together.
        left_out = cuts.iter().filter(|cut| is_light(cut)).cloned().collect();
    }
    let kept: Vec<Cut> = cuts
        .iter()
        .filter(|cut| {
            let same = |other: &Cut| {
                (other.kind, other.half, other.at) == (cut.kind, cut.half, cut.at)
            };
            !left_out.iter().any(same)
        })
        .cloned()
        .collect();
    let made = Cutting { cuts: &kept, ..all }.all().map_err(|_| failed)?;
    Ok((made, left_out))
}

/// Whether a mold works without a cut until somebody files it.
fn is_light(cut: &Cut) -> bool {
    matches!(cut.kind, Kind::Vent | Kind::Relief | Kind::Pry)
}

impl Cutting<'_> {
    /// Cuts them, the halves side by side.
    ///
    /// # Errors
    /// What could not be cut: its name, and why.
    fn all(&self) -> Result<Cuts, Failed> {
        let tools = |wanted: &dyn Fn(&Cut) -> bool| {
            let mut all = Solid::default();
            // The pocket of an insert is cut when the insert is taken out of its half.
            let cuts = self.cuts.iter().filter(|cut| cut.kind != Kind::Insert);
            for cut in cuts.filter(|cut| wanted(cut)) {
                all = all
                    .plus(&cut.solid)
                    .map_err(|error| Failed(cut.kind.name(), error))?;
            }
            Ok::<_, Failed>(all)
        };
        let wrong = |error| Failed("feed", error);
        // A sprue in the parting face reaches out of the block.
        let whole_feed = tools(&|cut| cut.kind.is_feed())?;
        let whole_feed =
            whole_feed.meet(&primitives::block(self.block)).map_err(wrong)?;
        let feed = whole_feed.minus(self.part).map_err(wrong)?;
        let half = |half: Half, blank: &Solid| {
            let holes = tools(&|cut| !cut.kind.is_feed() && cut.half == half)?;
            let wrong = |error| Failed("holes", error);
            let both = whole_feed.plus(&holes).map_err(wrong)?;
            let made = blank.minus(&both).map_err(wrong)?;
            let taken = holes.minus(&whole_feed).map_err(wrong)?;
            let taken = taken.meet(blank).map_err(wrong)?;
            Ok::<_, Failed>((made, taken.volume()))
        };
        let (plus, minus) = rayon::join(
            || half(Half::Plus, &self.blanks[0]),
            || half(Half::Minus, &self.blanks[1]),
        );
        let ((plus, one), (minus, other)) = (plus?, minus?);
        let halves = [plus, minus];
        let opens_mm3 = whole_feed.volume() - feed.volume();
        Ok(Cuts { halves, feed, opens_mm3, holes_mm3: one + other })
    }
}

#[cfg(test)]
mod tests {
    use super::cut;
    use crate::mesh::solid::Solid;
    use crate::mold::cut_feature::{Cut, Kind};
    use crate::mold::primitives;
    use crate::part::halves::Half;

    /// A vent whose surface is open cannot be cut: the half is made without it, and it is named.
    /// A hole of a bolt that cannot be cut is no mold.
    #[test]
    fn a_light_cut_that_fails_is_left_out() {
        let block = [[0.0, 40.0], [0.0, 40.0], [-20.0, 20.0]];
        let [x, y, _] = block;
        let blanks = [[0.0, 20.0], [-20.0, 0.0]].map(|z| primitives::block([x, y, z]));
        let part = primitives::block([[10.0, 20.0], [10.0, 20.0], [-5.0, 0.0]]);
        let mut open = primitives::block([[25.0, 30.0], [25.0, 30.0], [-1.0, 1.0]]);
        open.facets.truncate(5);
        let made = |kind: Kind, solid: &Solid| {
            let bad = Cut::new(kind, Half::Minus, [25.0, 25.0], solid.clone());
            let hole = primitives::round([5.0, 5.0], 4.0, [-20.0, 0.0]);
            let good = Cut::new(Kind::Tap, Half::Minus, [5.0, 5.0], hole);
            cut(&blanks, &part, &[good, bad], block)
        };
        let Ok((cuts, left_out)) = made(Kind::Vent, &open) else { panic!("no halves") };
        assert_eq!(left_out.len(), 1);
        assert_eq!(left_out[0].kind, Kind::Vent);
        let whole = 40.0 * 40.0 * 20.0;
        assert!((cuts.halves[0].volume() - whole).abs() < 1e-6);
        assert!(whole - cuts.halves[1].volume() > 200.0, "the hole is there");
        assert!(made(Kind::Tap, &open).is_err());
    }
}
