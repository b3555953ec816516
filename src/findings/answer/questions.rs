//! The six questions, and what was measured about each.

use crate::analysis::Analysis;
use crate::findings::{Kind, pressure_window};
use crate::process::evaluation::pressure_window::Holder;
use crate::units::format::{ascii_direction, three_digits};
use crate::units::{Quantity, in_grams, in_mm};

/// The six questions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Question {
    /// Whether the part can leave the halves.
    ComesOut,
    /// Whether the melt reaches the last corner and can be packed.
    Fills,
    /// Whether the barrel holds the shot, and may hold this plastic.
    OneShot,
    /// Whether the mold and the nozzle stay shut.
    StaysShut,
    /// Whether the part lets go of the metal.
    LetsGo,
    /// Whether the cutters can make the halves.
    Mills,
}

impl Question {
    /// All of them, in order.
    pub const ALL: [Self; 6] = [
        Self::ComesOut,
        Self::Fills,
        Self::OneShot,
        Self::StaysShut,
        Self::LetsGo,
        Self::Mills,
    ];

    /// Its name on the first screen.
    pub fn name(self) -> &'static str {
        match self {
            Self::ComesOut => "Comes out",
            Self::Fills => "Fills",
            Self::OneShot => "One shot",
            Self::StaysShut => "Stays shut",
            Self::LetsGo => "Lets go",
            Self::Mills => "Mills",
        }
    }

    /// The question that a finding speaks to; `None` for those about the file and the inputs.
    pub fn about(kind: Kind) -> Option<Self> {
        Some(match kind {
            Kind::Undercut | Kind::Parting => Self::ComesOut,
            Kind::ShortShot
            | Kind::FillMargin
            | Kind::Feed
            | Kind::FeedOrder
            | Kind::FeedPressure
            | Kind::ThickWall
            | Kind::ThinWall
            | Kind::TrappedAir
            | Kind::Weld => Self::Fills,
            Kind::Shot | Kind::PlasticRefused | Kind::Residence => Self::OneShot,
            Kind::Bolts
            | Kind::Clamp
            | Kind::Flash
            | Kind::Land
            | Kind::Nozzle
            | Kind::Plates => Self::StaysShut,
            Kind::Draft
            | Kind::KeepsTo
            | Kind::MoldWarm
            | Kind::Pins
            | Kind::PushThrough => Self::LetsGo,
            Kind::LongReach
            | Kind::MetalLeft
            | Kind::PartingMetal
            | Kind::StandingMetal
            | Kind::ThinAsMilled => Self::Mills,
            Kind::FlippedFacet
            | Kind::MissingInput
            | Kind::NestedBody
            | Kind::NonManifoldEdge
            | Kind::OddFile
            | Kind::OpenSurface
            | Kind::Repaired
            | Kind::SelfIntersection
            | Kind::SeveralSolids
            | Kind::Unit
            | Kind::UnusualPress => return None,
        })
    }
}

/// What was measured about a question; `None` where that is not known.
pub(super) fn number(question: Question, analysis: &Analysis) -> Option<String> {
    let evaluation = &analysis.evaluation;
    match question {
        Question::ComesOut => {
            let along = ascii_direction(analysis.release.pull.vector());
            let parting = &analysis.release.parting;
            let line = if parting.flat { "flat" } else { "stepped" };
            Some(format!("opens along {along}, {line} parting"))
        }
        Question::Fills => {
            let band = evaluation.window.fills?;
            let has = evaluation.window.has;
            let short = if band.worst > has { "may run short: " } else { "" };
            let [expected, worst, has] =
                [band.expected, band.worst, has].map(pressure_window::mpa);
            Some(format!(
                "{short}takes {expected}, {worst} at worst; the press has {has}"
            ))
        }
        Question::OneShot => {
            let shot = evaluation.shot.as_ref()?.as_ref().ok()?;
            let [total, holds] = [shot.total, shot.capacity].map(in_grams);
            Some(format!("{} of {} g", three_digits(total), three_digits(holds)))
        }
        Question::StaysShut => {
            evaluation.clamping.force.holding?;
            // Whether the cutters can make metal that holds is another question.
            let mut limits = evaluation.window.limits.iter();
            let limit = limits.find(|limit| limit.by != Holder::StandingMetal);
            Some(limit.map_or_else(
                || "holds all that the press has".to_owned(),
                |limit| {
                    let to = pressure_window::mpa(limit.surely);
                    format!("held to {to} ({})", limit.by.name())
                },
            ))
        }
        Question::LetsGo => {
            let ejection = evaluation.ejection.as_ref().ok()?;
            let force = ejection.push.force.si();
            if force < 0.5 {
                return Some("nothing grips the metal".to_owned());
            }
            Some(format!("sticks with {} N{}", three_digits(force), pins(analysis)))
        }
        Question::Mills => {
            let cutting = analysis.cutting.as_ref().ok()?;
            let uses = &cutting.milled.uses;
            let needed = uses.iter().filter(|it| it.needed).count();
            Some(format!("{needed} of {} cutters needed", uses.len()))
        }
    }
}

/// ", 4 ejector pins of 2 mm".
fn pins(analysis: &Analysis) -> String {
    let pins = analysis.pinned.as_ref().and_then(|pinned| pinned.pins);
    pins.map_or_else(String::new, |pins| {
        let diameter = three_digits(in_mm(pins.diameter));
        format!(", {} ejector pins of {diameter} mm", pins.count)
    })
}
