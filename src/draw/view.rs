//! Where to look at the part from, and which few looks show nearly all of it.

use crate::geom::{Direction, Frame, Vector};

/// Chosen views show at least this share of what any candidate shows.
const ENOUGH: f64 = 0.99;
/// More pictures than this on one sheet are too small to read.
const MOST: usize = 8;

/// One look at the part from far away.
#[derive(Clone, Debug)]
pub struct View {
    /// Where the eye is, in words.
    pub name: String,
    /// From the eye into the scene.
    pub toward: Direction,
    /// What points up in the picture; need be neither unit nor across `toward`.
    pub up: Vector,
}

/// Which candidates to draw, and how much they show.
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    /// Indices into the candidates, in the order to draw.
    pub views: Vec<usize>,
    /// Share of what any candidate sees that these show, 0 to 1.
    pub share: f64,
}

/// Looks worth considering: both ways along `pull` first, then four sides, then eight
/// corners. *Above* is the + side of the pull, *front* is towards the lower side of the
/// picture that looks down the pull.
pub fn candidates(pull: Direction) -> Vec<View> {
    let frame = Frame::along(pull);
    let Frame { right, up, along } = frame;
    let look = |name: &str, eye: Vector, up: Vector| {
        let toward = Direction::new(-eye)?;
        Some(View { name: name.to_owned(), toward, up })
    };
    let mut all = vec![
        look("along the pull, from +", along, up),
        look("along the pull, from −", -along, up),
        look("from the front", -up, along),
        look("from the back", up, along),
        look("from the left", -right, along),
        look("from the right", right, along),
    ];
    for (height, rise) in [("above", 0.75), ("below", -0.75)] {
        for (depth, ahead) in [("front", -1.0), ("back", 1.0)] {
            for (side, aside) in [("left", -0.8), ("right", 0.8)] {
                let eye = up * ahead + right * aside + along * rise;
                all.push(look(&format!("from the {depth} {side}, {height}"), eye, along));
            }
        }
    }
    all.into_iter().flatten().collect()
}

/// The first two candidates (both ways along the pull), then whichever shows most that is
/// still unseen, until 99 % of what any candidate sees is shown or eight are chosen.
/// `seen[candidate][sample]` says which samples each candidate sees.
pub fn choose(seen: &[Vec<bool>]) -> Chosen {
    let samples = seen.iter().map(Vec::len).max().unwrap_or(0);
    let mut shown = vec![false; samples];
    let visible = (0..samples)
        .filter(|&i| seen.iter().any(|view| view.get(i).copied().unwrap_or(false)))
        .count();
    let mut views: Vec<usize> = (0..seen.len().min(2)).collect();
    for &view in &views {
        show(&mut shown, &seen[view]);
    }
    let share = |shown: &[bool]| match visible {
        0 => 1.0,
        all => shown.iter().filter(|&&is| is).count() as f64 / all as f64,
    };
    while views.len() < MOST && share(&shown) < ENOUGH {
        let gain = |view: &usize| {
            let new = |(saw, had): (&bool, &bool)| *saw && !*had;
            seen[*view].iter().zip(&shown).filter(|&pair| new(pair)).count()
        };
        let rest = (0..seen.len()).filter(|view| !views.contains(view));
        // Of equals the first: a side is easier to read than a corner.
        let best = rest.map(|view| (gain(&view), std::cmp::Reverse(view))).max();
        let Some((1.., std::cmp::Reverse(view))) = best else { break };
        show(&mut shown, &seen[view]);
        views.push(view);
    }
    Chosen { share: share(&shown), views }
}

fn show(shown: &mut [bool], seen: &[bool]) {
    for (shown, &seen) in shown.iter_mut().zip(seen) {
        *shown |= seen;
    }
}

#[cfg(test)]
mod tests {
    use super::{candidates, choose};
    use crate::geom::{Direction, Vector};

    #[test]
    fn candidates_differ_and_have_an_up() {
        let odd = Direction::new(Vector::new(1.0, -2.0, 0.3)).unwrap();
        for pull in [Direction::Z, odd] {
            let views = candidates(pull);
            assert_eq!(views.len(), 14);
            for (i, view) in views.iter().enumerate() {
                assert!(
                    view.toward.vector().cross(&view.up).norm() > 0.3,
                    "{}",
                    view.name
                );
                for other in &views[..i] {
                    assert!(view.toward.dot(&other.toward.vector()) < 0.95);
                    assert_ne!(view.name, other.name);
                }
            }
            assert!((views[0].toward.dot(&pull.vector()) + 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_box_needs_both_ends_and_two_corners() {
        // One sample a side, seen by whoever looks at its front.
        let sides = [
            Vector::x(),
            -Vector::x(),
            Vector::y(),
            -Vector::y(),
            Vector::z(),
            -Vector::z(),
        ];
        let seen: Vec<Vec<bool>> = candidates(Direction::Z)
            .iter()
            .map(|view| sides.iter().map(|side| view.toward.dot(side) < -1e-9).collect())
            .collect();
        let chosen = choose(&seen);
        assert_eq!(chosen.views.len(), 4);
        assert_eq!(chosen.views[..2], [0, 1]);
        assert!((chosen.share - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_share_is_of_what_can_be_seen_and_eight_is_the_end() {
        // Each of twelve candidates sees one sample of its own; one sample sees nobody.
        let seen: Vec<Vec<bool>> =
            (0..12).map(|view| (0..13).map(|sample| sample == view).collect()).collect();
        let chosen = choose(&seen);
        assert_eq!(chosen.views, [0, 1, 2, 3, 4, 5, 6, 7]);
        assert!((chosen.share - 8.0 / 12.0).abs() < 1e-12);
        assert_eq!(choose(&[]).views, [0usize; 0]);
    }
}
