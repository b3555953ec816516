//! Why there is no mold.

use super::feed::NoWay;
use super::layout::NoBlock;
use crate::geom::Point;
use crate::mesh::solid::NotCut;

/// Why there is no mold.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoMold {
    /// The skins do not close.
    #[error(
        "the surface is open or touches itself along an edge at ({:.2}, {:.2}, {:.2}) mm: unite or part the bodies there in CAD",
        .0.x, .0.y, .0.z
    )]
    Open(Point),
    /// Nothing separates the halves.
    #[error("no line separates the halves along this pull: choose another with --pull")]
    NoLine,
    /// Lines lie over each other.
    #[error(
        "no parting surface can be hung between the lines at ({:.2}, {:.2}, {:.2}) mm: seen along the pull they cross there; move that edge or choose another --pull",
        .0.x, .0.y, .0.z
    )]
    Crossed(Point),
    /// The part grows askew of the pull.
    #[error(
        "the part shrinks differently along x, y and z, and the pull runs askew of them, so walls along it would be tilted: give one shrinkage, or turn the part in CAD so that it opens along an axis"
    )]
    Askew,
    /// No way for the feed.
    #[error("at ({:.1}, {:.1}, {:.1}) mm: {why}", at.x, at.y, at.z)]
    Feed {
        /// Where the gate was wanted.
        at: Point,
        /// Why not.
        why: NoWay,
    },
    /// Several cavities without a feed.
    #[error(
        "several cavities lie around their sprue, and there is none: leave out --no-feed"
    )]
    NoSprue,
    /// No block.
    #[error(transparent)]
    Block(#[from] NoBlock),
    /// A cut failed.
    #[error("the {0} could not be cut: {1}")]
    Cut(&'static str, NotCut),
}
