//! The smallest changes that make a part fill, in words: the feed first, then heat, another
//! plastic, the wall, and the press last.
//!
//! No change is offered that another finding of the same part speaks against: more pressure
//! than clamp, plates and nozzle hold, a thicker wall where walls are too thick or the shot
//! is too large already, a hotter mold where it gets too warm to eject, a deeper gate where
//! the feed freezes in the wrong order.

use crate::analysis::Analysis;
use crate::analysis::filling::FillingStudy;
use crate::analysis::filling::cures::{Change, Cure, Help};
use crate::findings::effect::{Effect, ShortChange};
use crate::process::press::more_pressure;
use crate::process::press::shot::BarrelUse;
use crate::units::format::{capitalized, three_digits};
use crate::units::{self, Pressure, Quantity, in_mm};

/// A change in words with what it brings, whether it suffices, and what it does.
pub(super) struct Way {
    words: String,
    is_enough: bool,
    effect: Option<Effect>,
}

/// Everything that was tried, helps and contradicts no other finding, in the order in which it
/// is worth trying.
pub(super) fn all(analysis: &Analysis, filled: &FillingStudy) -> Vec<Way> {
    let offered = offered(analysis, filled);
    let is_plastic = |cure: &Cure| matches!(cure.change, Change::Plastic(_));
    let is_wall = |cure: &Cure| matches!(cure.change, Change::Wall(_));
    let way = |cure: &&Cure| Way {
        words: said(cure),
        is_enough: cure.help > Help::Less,
        effect: Some(Effect::Fill(cure.change.clone())),
    };
    let others = |cure: &&&Cure| !is_plastic(cure) && !is_wall(cure);
    let mut ways: Vec<Way> = offered.iter().filter(others).map(way).collect();
    ways.extend(plastics(&offered));
    ways.extend(offered.iter().filter(|cure| is_wall(cure)).map(way));
    ways.extend(press(analysis));
    if ways.is_empty() {
        let words =
            "shorten the flow length: no single change of feed, heat, plastic or press is enough"
                .to_owned();
        ways.push(Way { words, is_enough: false, effect: None });
    }
    ways
}

/// All of them, for a cure.
pub(super) fn in_words(ways: &[Way]) -> String {
    let words: Vec<&str> = ways.iter().map(|way| way.words.as_str()).collect();
    words.join("; or ")
}

/// The first that suffices alone; what does not lifts no verdict.
pub(super) fn first(ways: &[Way]) -> Option<ShortChange> {
    let way = ways.iter().find(|way| way.is_enough).or(ways.first())?;
    Some(ShortChange { words: capitalized(&way.words), effect: way.effect.clone() })
}

/// The changes that no other finding speaks against.
pub fn offered<'a>(analysis: &Analysis, filled: &'a FillingStudy) -> Vec<&'a Cure> {
    let walls = &analysis.walls;
    let evaluation = &analysis.evaluation;
    let shot = evaluation.shot.as_ref().and_then(|shot| shot.as_ref().ok());
    let is_large = shot.is_some_and(|shot| {
        matches!(shot.barrel_use(), BarrelUse::Trouble | BarrelUse::Impossible)
    });
    let high = walls.limits.as_ref().map_or(f64::INFINITY, |limits| in_mm(limits.high));
    let shift = evaluation.timing.shift.as_ref();
    let gets_warm = shift.is_some_and(|shift| shift.too_warm_from.is_some());
    let feed = evaluation.feed_design.as_ref().ok();
    let freezing = feed.and_then(|design| design.feed.freezing.as_ref().ok());
    let freezes_late = freezing.is_some_and(|it| !it.faults().is_empty());
    let fits = |cure: &&Cure| match cure.change {
        Change::Wall(least) => walls.thick.is_empty() && !is_large && least < high,
        Change::Mold(_) => !gets_warm,
        Change::Gate(_) => !freezes_late,
        Change::Melt(_) | Change::Plastic(_) => true,
    };
    filled.cures.iter().filter(fits).collect()
}

/// More than the least pressure, which is known to about this factor.
const FIRM: f64 = 1.04;

/// More pressure, within the ratings of the press and of what holds the mold.
fn press(analysis: &Analysis) -> Vec<Way> {
    let window = &analysis.evaluation.window;
    let Some(band) = window.fills else { return Vec::new() };
    let held = |pressure: &Pressure| {
        window.first_limit().is_none_or(|limit| *pressure <= limit.surely)
    };
    let needed = [band.worst, band.expected].map(|it| it * FIRM).into_iter();
    let needed = needed.filter(|pressure| pressure.si().is_finite() && held(pressure));
    let shot = analysis.evaluation.shot.as_ref().and_then(|shot| shot.as_ref().ok());
    let press = &analysis.setup.press;
    let mut ways = needed.filter(|pressure| *pressure > window.has).map(|pressure| {
        let ways = more_pressure::ways(press, pressure, shot).into_iter();
        let mpa = three_digits(units::in_mpa(pressure));
        let way = |it: more_pressure::Way| Way {
            words: format!("press with {mpa} MPa: {}, {}", it.what, it.beware),
            is_enough: true,
            effect: Some(Effect::Press(Box::new(it.press))),
        };
        ways.map(way).collect::<Vec<_>>()
    });
    ways.find(|ways| !ways.is_empty()).unwrap_or_default()
}

/// How a change is called that does not suffice.
pub(super) const NOT_ENOUGH: &str = "not enough alone";

/// One change and what it brings.
pub fn said(cure: &Cure) -> String {
    let change = match &cure.change {
        Change::Wall(least) => {
            format!("make every wall at least {} mm thick", three_digits(*least))
        }
        Change::Gate(gate) => format!(
            "cut a gate {} mm deep and {} mm wide",
            three_digits(in_mm(gate.depth)),
            three_digits(in_mm(gate.width))
        ),
        Change::Melt(to) => format!("heat the melt to {:.0} °C", units::in_celsius(*to)),
        Change::Mold(to) => format!("heat the mold to {:.0} °C", units::in_celsius(*to)),
        Change::Plastic(name) => format!("mold it in {name}"),
    };
    let needs = cure.needs_pa.map(|pa| three_digits(pa * 1e-6));
    let brings = match (cure.help, needs) {
        (Help::Sure, Some(needs)) => {
            format!("then {needs} MPa fill it, with reserve for any lot")
        }
        (Help::Sure, None) => "fills with another lot too".to_owned(),
        (Help::Fills, Some(needs)) => format!("then {needs} MPa fill it"),
        (Help::Fills, None) => "fills, without reserve".to_owned(),
        (Help::Less, Some(needs)) => format!("{NOT_ENOUGH}: then {needs} MPa"),
        (Help::Less, None) => NOT_ENOUGH.to_owned(),
    };
    format!("{change} ({brings})")
}

/// The plastics that fill in place of this one, the sure ones alone where there are any.
fn plastics(cures: &[&Cure]) -> Option<Way> {
    let with = |help: Help| {
        let names = cures.iter().filter(move |cure| cure.help == help);
        let names = names.filter_map(|cure| match &cure.change {
            Change::Plastic(name) => Some(name.as_str()),
            _ => None,
        });
        names.collect::<Vec<_>>()
    };
    let (sure, barely) = (with(Help::Sure), with(Help::Fills));
    let (names, brings) = if sure.is_empty() {
        (barely, "fills, without reserve")
    } else {
        (sure, "fills with another lot too")
    };
    let first = (*names.first()?).to_owned();
    Some(Way {
        words: format!("mold it in {} ({brings})", names.join(" or ")),
        is_enough: true,
        effect: Some(Effect::Fill(Change::Plastic(first))),
    })
}
