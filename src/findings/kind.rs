//! The kinds of findings, by the names that a program may rely on.

use crate::names::{read_by, written_by};

/// What a finding is about. Its name, such as `thin_wall`, is its `id` in `report.json`,
/// and stays the same from version to version. Kinds are ordered by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Bolts that cannot hold this part.
    Bolts,
    /// What holds the mold against the force that opens it.
    Clamp,
    /// Walls with too little taper.
    Draft,
    /// A feed that cannot be cut or does not work.
    Feed,
    /// A gate, runner or sprue that freezes in the wrong order.
    FeedOrder,
    /// Pressure lost between nozzle and cavity.
    FeedPressure,
    /// Too little pressure in hand to fill the part.
    FillMargin,
    /// A gap at the parting line that plastic runs into.
    Flash,
    /// Facets turned against their neighbors.
    FlippedFacet,
    /// The half that the part stays in when the mold opens.
    KeepsTo,
    /// Pressure on the metal where the halves meet.
    Land,
    /// A cutter far longer than it is wide.
    LongReach,
    /// Metal that no cutter reaches.
    MetalLeft,
    /// Something that the user did not say.
    MissingInput,
    /// A mold that warms from shot to shot.
    MoldWarm,
    /// A solid inside a solid.
    NestedBody,
    /// Edges where more than two facets meet.
    NonManifoldEdge,
    /// Contact of the nozzle with its seat.
    Nozzle,
    /// A file that is not quite what it says.
    OddFile,
    /// A surface with openings.
    OpenSurface,
    /// A parting line that rises and falls.
    Parting,
    /// Metal left where the halves should meet.
    PartingMetal,
    /// Ejector pins: their number, or room for them.
    Pins,
    /// A plastic that this press must not be fed.
    PlasticRefused,
    /// Plates that are too thin for this part.
    Plates,
    /// Pins that might push through the wall.
    PushThrough,
    /// What was repaired in the file.
    Repaired,
    /// Plastic that stays in the barrel too long.
    Residence,
    /// A surface that passes through itself.
    SelfIntersection,
    /// More than one solid in the file.
    SeveralSolids,
    /// A part that does not fill.
    ShortShot,
    /// Plastic of a shot against what the press holds.
    Shot,
    /// Metal of the mold that stands alone between plastic and bends.
    StandingMetal,
    /// A wall above the greatest thickness.
    ThickWall,
    /// A wall that is too thin as the cutters leave it.
    ThinAsMilled,
    /// A wall below the least thickness.
    ThinWall,
    /// Air that the melt shuts in.
    TrappedAir,
    /// A place that neither half can leave.
    Undercut,
    /// A part whose size speaks for another unit.
    Unit,
    /// A value of the press that such presses rarely have, or that reads in two ways.
    UnusualPress,
    /// A line where two fronts of melt meet.
    Weld,
}

impl Kind {
    /// All of them, in order.
    pub const ALL: [Self; 41] = [
        Self::Bolts,
        Self::Clamp,
        Self::Draft,
        Self::Feed,
        Self::FeedOrder,
        Self::FeedPressure,
        Self::FillMargin,
        Self::Flash,
        Self::FlippedFacet,
        Self::KeepsTo,
        Self::Land,
        Self::LongReach,
        Self::MetalLeft,
        Self::MissingInput,
        Self::MoldWarm,
        Self::NestedBody,
        Self::NonManifoldEdge,
        Self::Nozzle,
        Self::OddFile,
        Self::OpenSurface,
        Self::Parting,
        Self::PartingMetal,
        Self::Pins,
        Self::PlasticRefused,
        Self::Plates,
        Self::PushThrough,
        Self::Repaired,
        Self::Residence,
        Self::SelfIntersection,
        Self::SeveralSolids,
        Self::ShortShot,
        Self::Shot,
        Self::StandingMetal,
        Self::ThickWall,
        Self::ThinAsMilled,
        Self::ThinWall,
        Self::TrappedAir,
        Self::Undercut,
        Self::Unit,
        Self::UnusualPress,
        Self::Weld,
    ];

    /// Its name in the report.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Bolts => "bolts",
            Self::Clamp => "clamp",
            Self::Draft => "draft",
            Self::Feed => "feed",
            Self::FeedOrder => "feed_order",
            Self::FeedPressure => "feed_pressure",
            Self::FillMargin => "fill_margin",
            Self::Flash => "flash",
            Self::FlippedFacet => "flipped_facet",
            Self::KeepsTo => "keeps_to",
            Self::Land => "land",
            Self::LongReach => "long_reach",
            Self::MetalLeft => "metal_left",
            Self::MissingInput => "missing_input",
            Self::MoldWarm => "mold_warm",
            Self::NestedBody => "nested_body",
            Self::NonManifoldEdge => "non_manifold_edge",
            Self::Nozzle => "nozzle",
            Self::OddFile => "odd_file",
            Self::OpenSurface => "open_surface",
            Self::Parting => "parting",
            Self::PartingMetal => "parting_metal",
            Self::Pins => "pins",
            Self::PlasticRefused => "plastic_refused",
            Self::Plates => "plates",
            Self::PushThrough => "push_through",
            Self::Repaired => "repaired",
            Self::Residence => "residence",
            Self::SelfIntersection => "self_intersection",
            Self::SeveralSolids => "several_solids",
            Self::ShortShot => "short_shot",
            Self::Shot => "shot",
            Self::StandingMetal => "standing_metal",
            Self::ThickWall => "thick_wall",
            Self::ThinAsMilled => "thin_as_milled",
            Self::ThinWall => "thin_wall",
            Self::TrappedAir => "trapped_air",
            Self::Undercut => "undercut",
            Self::Unit => "unit",
            Self::UnusualPress => "unusual_press",
            Self::Weld => "weld",
        }
    }
}

written_by!(Kind, as_str);
read_by!(Kind, as_str, Self::ALL);

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::Path;

    use super::Kind;

    /// Maps by kind are written in the order of the names.
    #[test]
    fn kinds_are_ordered_by_name_and_listed_once() {
        assert!(Kind::ALL.is_sorted_by(|a, b| a < b && a.as_str() < b.as_str()));
        for kind in Kind::ALL {
            let name = serde_json::to_value(kind).unwrap();
            assert_eq!(name, kind.as_str());
            // The name is that of the variant in snake case.
            assert_eq!(
                format!("{kind:?}").to_lowercase(),
                kind.as_str().replace('_', "")
            );
        }
    }

    #[test]
    fn the_schema_shows_a_string() {
        let [kind, text] = [schemars::schema_for!(Kind), schemars::schema_for!(String)];
        assert_eq!(kind, text);
    }

    /// A kind that nobody reports would be a promise to readers that nothing keeps.
    #[test]
    fn each_kind_is_reported_somewhere() {
        let room = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/findings");
        let mut code = String::new();
        read_code(&room, &mut code);
        for kind in Kind::ALL {
            let name = format!("Kind::{kind:?}");
            let is_named = code.match_indices(&name).any(|(at, _)| {
                let around = [
                    code[..at].chars().next_back(),
                    code[at + name.len()..].chars().next(),
                ];
                !around.into_iter().flatten().any(char::is_alphanumeric)
            });
            assert!(is_named, "{kind}");
        }
    }

    /// Adds the code of every file below `folder` that judges, without unit tests.
    fn read_code(folder: &Path, code: &mut String) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                read_code(&path, code);
            } else if !path.ends_with("kind.rs") && !path.ends_with("tests.rs") {
                let text = fs::read_to_string(path).unwrap();
                *code += text.split("#[cfg(test)]\nmod tests").next().unwrap();
            }
        }
    }
}
