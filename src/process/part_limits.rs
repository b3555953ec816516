//! How thick a wall may be and how much draft it needs, for a plastic on a class of press.
//!
//! Wall tables of the industry assume ten times the pressure of a small press; here they
//! hold only from [`super::press::INDUSTRIAL_MPA`] up.

use super::plastic::{Plastic, Unknown};
use super::press::PressClass;
use super::sourced::Sourced;
use crate::units::{self, Angle, Length, from_degrees};

/// The walls that work.
#[derive(Clone, Debug, PartialEq)]
pub struct WallLimits {
    /// Thinner walls fill badly.
    pub low: Length,
    /// Thicker walls sink and cool long.
    pub high: Length,
    /// Where the limits are from.
    pub basis: String,
}

/// The draft that a side needs.
#[derive(Clone, Debug, PartialEq)]
pub struct DraftLimit {
    /// Least angle to the pull.
    pub required: Angle,
    /// Where the limit is from.
    pub basis: String,
}

/// Draft that a wall needs more for each mm of its height, degrees: 1° per 25 mm (a
/// community workshop's rule; the same in trade guides).
pub const DRAFT_DEG_PER_MM: f64 = 1.0 / 25.0;

/// Draft that an inside wall needs more, degrees: the part shrinks onto it. Trade guides
/// give 0.5° to 1° (common practice).
pub const DRAFT_INSIDE_DEG: f64 = 0.5;

/// Draft that a texture of this depth needs more: 1° to 1.5° for each 0.025 mm in trade
/// guides (common practice), the upper end here.
pub fn texture_draft(depth: Length) -> Angle {
    from_degrees(1.5 / 0.025 * units::in_mm(depth))
}

/// Walls that work for this plastic on this class of press.
///
/// # Errors
///
/// [`Unknown`] when the plastic has no such limits.
pub fn wall(plastic: &Plastic, class: PressClass) -> Result<WallLimits, Unknown> {
    let of = match class {
        PressClass::HandLever | PressClass::SmallRam => &plastic.wall_manual,
        PressClass::Industrial => &plastic.wall_industrial,
    };
    let range = plastic.need(of, "wall thickness")?;
    let basis = format!("{} on a {}: {}", plastic.name, class.name(), basis(of));
    Ok(WallLimits { low: range.low, high: range.high, basis })
}

/// Draft that a side of this plastic needs.
///
/// # Errors
///
/// [`Unknown`] when the plastic has none.
pub fn draft(plastic: &Plastic) -> Result<DraftLimit, Unknown> {
    let required = *plastic.need(&plastic.draft, "draft")?;
    Ok(DraftLimit {
        required,
        basis: format!("{}: {}", plastic.name, basis(&plastic.draft)),
    })
}

/// Note and source keys of a value, as one text.
pub fn basis<T>(of: &Sourced<T>) -> String {
    match (of.note.is_empty(), of.source.is_empty()) {
        (true, true) => of.reason().to_owned(),
        (false, true) => of.note.clone(),
        (true, false) => format!("[{}]", of.source),
        (false, false) => format!("{} [{}]", of.note, of.source),
    }
}

#[cfg(test)]
mod tests {
    use super::{draft, texture_draft, wall};
    use crate::process::plastic::library::Plastics;
    use crate::process::press::PressClass;
    use crate::units::{from_mm, in_degrees, in_mm};

    /// The table of a community workshop: PP, PE, PS, PMMA 2.5 to 5 mm, ABS and PC 2.5 to
    /// 4.5, POM 2.5 to 4, on manual presses.
    #[test]
    fn walls_of_a_workshop() {
        let plastics = Plastics::builtin().unwrap();
        for (name, high) in [
            ("pp", 5.0),
            ("hdpe", 5.0),
            ("ldpe", 5.0),
            ("ps", 5.0),
            ("pmma", 5.0),
            ("abs", 4.5),
            ("pc", 4.5),
            ("pom", 4.0),
        ] {
            let plastic = plastics.find(name).unwrap();
            let limits = wall(plastic, PressClass::SmallRam).unwrap();
            assert!(
                (in_mm(limits.low) - 2.5).abs() < 1e-9
                    && (in_mm(limits.high) - high).abs() < 1e-9
            );
            assert!(limits.basis.contains("[WORKSHOP]"), "{}", limits.basis);
            let industrial = wall(plastic, PressClass::Industrial).unwrap();
            assert!(industrial.low < limits.low, "{name}");
        }
    }

    /// The rule of the trade: 1° on a side for what is rigid.
    #[test]
    fn rigid_plastics_need_one_degree() {
        let plastics = Plastics::builtin().unwrap();
        for (name, required) in [("pp", 1.0), ("pom", 1.0), ("hdpe", 1.0), ("abs", 1.0)] {
            let limit = draft(plastics.find(name).unwrap()).unwrap();
            assert!((in_degrees(limit.required) - required).abs() < 1e-9, "{name}");
        }
    }

    /// Trade guides: 1.5° for 0.025 mm (a thousandth of an inch) of texture.
    #[test]
    fn texture_needs_draft_by_its_depth() {
        for (depth_mm, required) in [(0.0, 0.0), (0.025, 1.5), (0.02, 1.2), (0.1, 6.0)] {
            let angle = texture_draft(from_mm(depth_mm));
            assert!((in_degrees(angle) - required).abs() < 1e-9, "{depth_mm}");
        }
    }

    #[test]
    fn a_refused_plastic_has_no_walls() {
        let plastics = Plastics::builtin().unwrap();
        let pvc = plastics.find("rigid pvc").unwrap();
        let error = wall(pvc, PressClass::HandLever).unwrap_err().to_string();
        assert!(error.contains("refused"), "{error}");
    }
}
