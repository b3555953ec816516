//! What can be wrong with a surface, and what was done about it: kinds and their words.

use std::fmt;

use crate::geom::Point;

/// What is wrong with a surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum DefectKind {
    /// A facet without area.
    DegenerateFacet,
    /// A facet that is there more than once, or a wall without thickness.
    DuplicateFacet,
    /// A facet that disagrees with its neighbors about the outside.
    FlippedFacet,
    /// An opening.
    Hole,
    /// An edge of more than two facets.
    NonManifoldEdge,
    /// A closed body whose outside is inside.
    InsideOutBody,
    /// A solid inside a solid: its volume counts twice.
    NestedBody,
    /// Solids that pass through each other.
    OverlappingBody,
    /// Facets that pass through each other.
    SelfIntersection,
}

impl DefectKind {
    /// The name in the report.
    pub const fn name(self) -> &'static str {
        match self {
            Self::DegenerateFacet => "degenerate_facet",
            Self::DuplicateFacet => "duplicate_facet",
            Self::FlippedFacet => "flipped_facet",
            Self::Hole => "hole",
            Self::NonManifoldEdge => "non_manifold_edge",
            Self::InsideOutBody => "inside_out_body",
            Self::NestedBody => "nested_body",
            Self::OverlappingBody => "overlapping_body",
            Self::SelfIntersection => "self_intersection",
        }
    }
}

impl fmt::Display for DefectKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::DegenerateFacet => "facets without area",
            Self::DuplicateFacet => "facets that are there more than once",
            Self::FlippedFacet => "facets turned against their neighbors",
            Self::Hole => "openings in the surface",
            Self::NonManifoldEdge => "edges where more than two facets meet",
            Self::InsideOutBody => "bodies with their outside inside",
            Self::NestedBody => "solids inside a solid, whose volume counts twice",
            Self::OverlappingBody => "solids that pass through each other",
            Self::SelfIntersection => "places where the surface passes through itself",
        })
    }
}

/// A kind of defect found in the file as it was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Defect {
    /// What it is.
    pub kind: DefectKind,
    /// How many there were.
    pub count: usize,
    /// How many are left after the repairs.
    pub left: usize,
    /// The first one, mm.
    pub at: Option<Point>,
}

/// What was changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum RepairKind {
    /// Corners that differed by rounding were joined.
    MergeCorners,
    /// Facets without area were taken out.
    DropDegenerateFacets,
    /// Facets that were there more than once were taken out.
    DropDuplicateFacets,
    /// Facets were turned to agree with their neighbors.
    TurnFacets,
    /// Openings got a lid.
    CloseHoles,
    /// Bodies that were inside out were turned, with all that lies inside them.
    TurnBodies,
    /// Solids that overlapped or lay inside each other became one.
    UniteBodies,
}

impl RepairKind {
    /// The name in the report.
    pub const fn name(self) -> &'static str {
        match self {
            Self::MergeCorners => "merge_corners",
            Self::DropDegenerateFacets => "drop_degenerate_facets",
            Self::DropDuplicateFacets => "drop_duplicate_facets",
            Self::TurnFacets => "turn_facets",
            Self::CloseHoles => "close_holes",
            Self::TurnBodies => "turn_bodies",
            Self::UniteBodies => "unite_bodies",
        }
    }
}

impl fmt::Display for RepairKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::MergeCorners => "corners that differed by rounding were joined",
            Self::DropDegenerateFacets => "facets without area were taken out",
            Self::DropDuplicateFacets => {
                "facets that were there more than once were taken out"
            }
            Self::TurnFacets => "facets were turned to agree with their neighbors",
            Self::CloseHoles => "small flat openings were closed",
            Self::TurnBodies => "bodies that were inside out were turned",
            Self::UniteBodies => "solids that overlapped were united",
        })
    }
}

/// One kind of repair that was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repair {
    /// What was done.
    pub kind: RepairKind,
    /// To how many.
    pub count: usize,
    /// Volume that counted twice before, mm³; only of bodies that were united.
    pub volume_mm3: Option<f64>,
}
