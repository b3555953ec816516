//! The two halves of a mold, by where they go and by what they are for, and which of them
//! forms a place of the part.
//!
//! | type | says | in reports |
//! |---|---|---|
//! | [`Half`] | along or against the pull | `+`, `-` |
//! | [`Role`] | with the core or with the cavity | `core`, `cavity` |
//! | [`Side`] | what forms a place of the surface | `cavity`, `core`, `upright`, `trapped` |
//!
//! Which half has the core is found in [`crate::part::core_half`]; with it one becomes the
//! other: [`Half::role`] and [`Role::half`].

use crate::geom::Direction;
use crate::names::{read_by, written_by};

/// One half of the mold, by the way in which it leaves the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Half {
    /// The half that leaves along the pull.
    Plus,
    /// The half that leaves against the pull.
    Minus,
}

/// What a half is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// It has the cavity, which forms what the core does not.
    Cavity,
    /// It has the core, which forms what the part shrinks onto.
    Core,
}

/// What forms a place of the surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The cavity half.
    Cavity,
    /// The core half.
    Core,
    /// Within 0.1° of the pull: either half could form it.
    Upright,
    /// Neither half can leave it.
    Trapped,
}

/// Which half forms each facet of a part, and from which height on where two halves share one.
#[derive(Clone, Debug, Default)]
pub struct FormedFacets {
    /// The half of each facet; `None` where the plane of the parting cuts it.
    pub(in crate::part) whole: Vec<Option<Half>>,
    /// Height of that plane along the pull, mm.
    pub(in crate::part) plane: f64,
}

impl FormedFacets {
    /// The half that forms the point at `height` mm along the pull on `facet` of the part.
    pub fn half_at(&self, facet: u32, height: f64) -> Half {
        let above = if height > self.plane { Half::Plus } else { Half::Minus };
        self.whole.get(facet as usize).copied().flatten().unwrap_or(above)
    }
}

impl Half {
    /// Both, the one along the pull first.
    pub const BOTH: [Self; 2] = [Self::Plus, Self::Minus];

    /// The other half.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Plus => Self::Minus,
            Self::Minus => Self::Plus,
        }
    }

    /// What it is for, in a mold with its core in `core`.
    pub fn role(self, core: Self) -> Role {
        if self == core { Role::Core } else { Role::Cavity }
    }

    /// The way in which it leaves the part.
    #[must_use]
    pub fn leaves(self, pull: Direction) -> Direction {
        match self {
            Self::Plus => pull,
            Self::Minus => pull.reversed(),
        }
    }

    /// `+` or `-`, as in the keys of a report.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Plus => "+",
            Self::Minus => "-",
        }
    }

    /// "+" or "−", as printed.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Plus => "+",
            Self::Minus => "−",
        }
    }
}

impl Role {
    /// Both, the cavity first.
    pub const BOTH: [Self; 2] = [Self::Cavity, Self::Core];

    /// The half that it is of, in a mold with its core in `core`.
    pub const fn half(self, core: Half) -> Half {
        match self {
            Self::Core => core,
            Self::Cavity => core.other(),
        }
    }

    /// Its name in a report.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Cavity => "cavity",
            Self::Core => "core",
        }
    }
}

impl Side {
    /// Its name in a report.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Cavity => Role::Cavity.as_str(),
            Self::Core => Role::Core.as_str(),
            Self::Upright => "upright",
            Self::Trapped => "trapped",
        }
    }
}

impl From<Role> for Side {
    fn from(role: Role) -> Self {
        match role {
            Role::Cavity => Self::Cavity,
            Role::Core => Self::Core,
        }
    }
}

written_by!(Half, as_str);
written_by!(Role, as_str);
written_by!(Side, as_str);
read_by!(Half, as_str, [Self::Plus, Self::Minus]);
read_by!(Role, as_str, Self::BOTH);
read_by!(Side, as_str, [Self::Cavity, Self::Core, Self::Upright, Self::Trapped]);

#[cfg(test)]
mod tests {
    use super::{Half, Role};
    use crate::geom::{Direction, Vector};

    #[test]
    fn with_the_core_known_a_half_is_its_role_and_back() {
        for core in Half::BOTH {
            assert_eq!(core.role(core), Role::Core);
            assert_eq!(core.other().role(core), Role::Cavity);
            for role in Role::BOTH {
                assert_eq!(role.half(core).role(core), role);
            }
        }
    }

    #[test]
    fn the_halves_leave_opposite_ways() {
        let ways = Half::BOTH.map(|half| half.leaves(Direction::Z).vector());
        assert_eq!(ways, [Vector::z(), -Vector::z()]);
    }
}
