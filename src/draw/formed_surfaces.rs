//! What each place of a finished half forms: the part, the feed, or neither.

use rayon::prelude::*;

use crate::draw::palette::{Kind, Rgb};
use crate::geom::Point;
use crate::mesh::solid::Solid;
use crate::mesh::{TriMesh, bvh::Bvh};
use crate::mold::build::Mold;
use crate::part::halves::Half;

/// A facet that is nearer to a surface belongs to it, mm.
const ON_MM: f64 = 1e-4;
/// A facet is asked at places so far inward from its edges to its middle,
const INWARD: f64 = 0.05;
/// and in so many steps along them: flat pieces of part and parting surface share facets.
const STEPS: u32 = 6;

/// What a place of a half forms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Formed {
    /// The part, by the cavity half.
    Cavity,
    /// The part, by the core half.
    Core,
    /// Sprue, runner, gate or well.
    Feed,
    /// Nothing that melt fills.
    Nothing,
}

impl Formed {
    /// All, in the order of legends.
    pub(crate) const ALL: [Self; 4] =
        [Self::Cavity, Self::Core, Self::Feed, Self::Nothing];

    /// Its color.
    pub(crate) fn color(self) -> Rgb {
        match self {
            Self::Cavity => Kind::Cavity.color(),
            Self::Core => Kind::Core.color(),
            Self::Feed => [213, 94, 0],
            Self::Nothing => [214, 214, 214],
        }
    }

    /// What a legend calls it.
    pub(crate) fn label(self) -> &'static str {
        match self {
            Self::Cavity => "forms the part, cavity half",
            Self::Core => "forms the part, core half",
            Self::Feed => "sprue, runner, gate, well",
            Self::Nothing => "parting surface, holes, outside",
        }
    }
}

/// The surfaces that say what a place of a half forms, in the axes of the mold.
pub(crate) struct FormedSurfaces {
    core: Half,
    part: Option<Bvh>,
    feed: Option<Bvh>,
}

impl FormedSurfaces {
    /// Those of `mold`.
    pub(crate) fn collect(mold: &Mold) -> Self {
        let bvh = |solid: &Solid| (!solid.is_empty()).then(|| Bvh::new(&solid.mesh()));
        Self { core: mold.core, part: bvh(&mold.part), feed: bvh(&mold.feed) }
    }

    /// What the place `at` of `half` forms; it is within `near` mm of what it forms.
    pub(crate) fn formed_at(&self, at: &Point, half: Half, near: f64) -> Formed {
        let on = |bvh: &Option<Bvh>| {
            bvh.as_ref().is_some_and(|bvh| bvh.nearest(at, near).is_some())
        };
        match half == self.core {
            true if on(&self.part) => Formed::Core,
            false if on(&self.part) => Formed::Cavity,
            _ if on(&self.feed) => Formed::Feed,
            _ => Formed::Nothing,
        }
    }

    /// What the middle of every facet of a half forms, and whether all of the facet does: a
    /// long flat one may form several things.
    pub(crate) fn formed_by_facets(
        &self,
        mesh: &TriMesh,
        half: Half,
    ) -> Vec<(Formed, bool)> {
        (0..mesh.facets().len())
            .into_par_iter()
            .map(|facet| {
                let middle = mesh.middle(facet);
                let formed = self.formed_at(&middle, half, ON_MM);
                let [a, b, c] = mesh.corners(facet);
                let alike = |[u, v]: [u32; 2]| {
                    let [u, v] = [u, v].map(|step| f64::from(step) / f64::from(STEPS));
                    let at = a + (b - a) * u + (c - a) * v;
                    self.formed_at(&(at + (middle - at) * INWARD), half, ON_MM) == formed
                };
                let mut asked =
                    (0..=STEPS).flat_map(|u| (0..=STEPS - u).map(move |v| [u, v]));
                (formed, asked.all(alike))
            })
            .collect()
    }
}
