//! The pictures of a filling: when the front comes by, what pressure there is at the end,
//! how much has frozen, what short shots look like, and the front moving.

use crate::analysis::Analysis;
use crate::analysis::filling::FillingStudy;
use crate::draw::atlas::{self, Atlas};
use crate::draw::color_scales::Colorings;
use crate::draw::filling_animation::{self, Moving};
use crate::draw::map::{self, MapError, Sheet};
use crate::draw::marks::{GATE, Mark};
use crate::draw::paint::Paint;
use crate::draw::palette::Scale;
use crate::draw::view::{self, View};
use crate::part::{Part, visibility};
use crate::units::format;
use rayon::prelude::*;

/// Shares of the part whose shape is shown.
const SHARES: [f64; 4] = [0.25, 0.5, 0.75, 0.95];

/// Frozen so far, a place passes no pressure on.
const STIFF: f64 = 0.98;

/// The map of what is frozen, and the share of the wall, %, from which on it is drawn.
const FROZEN: &str = "maps/frozen.png";
/// See [`FROZEN`].
const FREEZES: f64 = 30.0;

/// Samples that decide which views are drawn.
const LOOKED_AT: usize = 2000;

/// The first candidate of the views that looks at a corner.
const CORNERS: usize = 6;

/// A picture with the words that stand beside it.
pub(crate) struct CaptionedPicture {
    /// What it shows.
    pub(crate) caption: &'static str,
    /// The same for those who cannot see it.
    pub(crate) alt: &'static str,
    /// Its place inside the report's folder.
    pub(crate) file: &'static str,
    /// The picture.
    pub(crate) picture: map::Drawn,
}

/// What is drawn.
#[derive(Clone, Copy)]
pub(crate) struct Flow<'a> {
    pub(crate) analysis: &'a Analysis,
    pub(crate) filled: &'a FillingStudy,
    /// What the maps share.
    pub(crate) fields: &'a Colorings,
    /// Name of the part.
    pub(crate) part: &'a str,
    /// The views of all sheets, and the share that they show.
    pub(crate) atlas: &'a Atlas<'a>,
    pub(crate) share: f64,
    /// Numbers of what was found.
    pub(crate) found: &'a [Mark],
}

/// One value a sample, and how it is shown.
struct Field {
    file: &'static str,
    caption: &'static str,
    alt: &'static str,
    values: Vec<Option<f64>>,
    scale: Scale,
}

/// All pictures.
///
/// # Errors
/// When one cannot be drawn.
pub(crate) fn draw(flow: Flow<'_>) -> Result<Vec<CaptionedPicture>, MapError> {
    let fields = fields(flow);
    let views = views(flow);
    let Some(Field { values: arrivals, scale: times, .. }) = fields.first() else {
        return Ok(Vec::new());
    };
    let sheets = || {
        let drawn = fields.par_iter().map(|field| {
            let title = field.caption.split(';').next().unwrap_or(field.caption);
            let picture = sheet(flow, title, &field.values, &field.scale)?;
            let Field { file, caption, alt, .. } = *field;
            Ok(CaptionedPicture { caption, alt, file, picture })
        });
        drawn.collect::<Result<Vec<CaptionedPicture>, MapError>>()
    };
    let shapes = || short_shots(flow, &views, arrivals, times);
    let moving = || moving_front(flow, &views, arrivals, times);
    let (drawn, (shapes, moving)) = rayon::join(sheets, || rayon::join(shapes, moving));
    let mut drawn = drawn?;
    drawn.push(shapes?);
    drawn.push(moving?);
    Ok(drawn)
}

/// What is shown on all sides of the part, the time first.
fn fields(flow: Flow<'_>) -> Vec<Field> {
    let FillingStudy { run, .. } = flow.filled;
    let Colorings { cells, arrivals, time_scale, .. } = flow.fields;
    let at = |value: &(dyn Fn(usize) -> Option<f64> + Sync)| -> Vec<Option<f64>> {
        cells.par_iter().map(|&cell| value(cell)).collect()
    };
    let came = |cell: usize| run.arrival_s.get(cell).copied().flatten();
    let passes = |cell: &usize| run.frozen[*cell] < STIFF;
    let pressures = at(&|cell| {
        came(cell).map(|_| cell).filter(passes).map(|cell| run.pressure_pa[cell] * 1e-6)
    });
    // No line where all is frozen.
    let frozen = at(&|cell| came(cell).map(|_| (run.frozen[cell] * 100.0).min(99.9)));
    let fields = [
        Field {
            file: "maps/fill.png",
            caption: "When does the melt arrive? Time from the gate (G) on; lines run along the front",
            alt: "The part from several sides, colored by the time at which the melt reaches each place",
            scale: time_scale.clone(),
            values: arrivals.clone(),
        },
        Field {
            file: "maps/pressure.png",
            caption: "Where is it packed least? Melt pressure when filling ends; where it is low the part sinks first",
            alt: "The part from several sides, colored by the melt pressure at the end of filling",
            scale: Scale::from_zero(&pressures, "MPa")
                .with_lines("not filled, or frozen off"),
            values: pressures,
        },
        Field {
            file: FROZEN,
            caption: "Where does it freeze? Frozen share of the wall when filling ends; near 100 % nothing more gets past that place",
            alt: "The part from several sides, colored by the share of the wall that has frozen",
            scale: Scale::magnitude(0.0, 100.0, "%").with_lines("not filled"),
            values: frozen,
        },
    ];
    // Where next to nothing freezes there is nothing to show.
    let freezes = |value: &Option<f64>| value.is_some_and(|percent| percent >= FREEZES);
    let is_shown =
        |field: &Field| field.file != FROZEN || field.values.iter().any(freezes);
    fields.into_iter().filter(is_shown).collect()
}

/// The gate and what was found, on the surface: cells lie inside.
fn marks(flow: Flow<'_>) -> Vec<Mark> {
    let gate = Mark { number: GATE, at: flow.filled.gate };
    let on_surface = |mark: Mark| {
        let near = flow.analysis.part.bvh.nearest(&mark.at, f64::INFINITY);
        near.map_or(mark, |near| Mark { at: near.point, ..mark })
    };
    std::iter::once(gate).chain(flow.found.iter().copied()).map(on_surface).collect()
}

fn sheet(
    flow: Flow<'_>,
    what: &str,
    values: &[Option<f64>],
    scale: &Scale,
) -> Result<map::Drawn, MapError> {
    let marks = marks(flow);
    let sheet = Sheet {
        counted: "causes",
        part: flow.part,
        what,
        paint: Paint::Samples { samples: &flow.analysis.part.samples, values, scale },
        marks: &marks,
        seam: &[],
        pull: flow.analysis.release.pull,
        share: Some(flow.share),
    };
    map::with_details(flow.atlas, &sheet)
}

/// The corner view that shows most, and the one that shows most of the rest.
fn views(flow: Flow<'_>) -> Vec<View> {
    let Analysis { part: Part { bvh, samples, .. }, release, .. } = flow.analysis;
    let corners = view::candidates(release.pull).split_off(CORNERS);
    let looks: Vec<_> = corners.iter().map(|view| view.toward).collect();
    let seen = visibility::seen(bvh, &samples.thinned(LOOKED_AT), &looks);
    let mut shown = vec![false; seen.first().map_or(0, Vec::len)];
    let mut chosen = Vec::new();
    for _ in 0..2 {
        let gain = |view: usize| {
            seen[view].iter().zip(&shown).filter(|(saw, had)| **saw && !**had).count()
        };
        let best =
            (0..seen.len()).max_by_key(|&view| (gain(view), std::cmp::Reverse(view)));
        let Some(best) = best else { break };
        for (shown, saw) in shown.iter_mut().zip(&seen[best]) {
            *shown |= saw;
        }
        chosen.push(corners[best].clone());
    }
    chosen
}

/// Time and share of the part, from begin to end.
fn history(filled: &FillingStudy) -> Vec<[f64; 2]> {
    let reachable = filled.run.reachable;
    let instants = filled.run.history.iter();
    instants.map(|instant| [instant.time_s, instant.filled * reachable]).collect()
}

/// When `share` of the part is full, s; `None` when it never is.
fn time_at(history: &[[f64; 2]], share: f64) -> Option<f64> {
    let next = history.iter().position(|at| at[1] >= share)?;
    let Some(&[before, from]) = next.checked_sub(1).and_then(|at| history.get(at)) else {
        return history.first().map(|at| at[0]);
    };
    let [after, to] = *history.get(next)?;
    Some(before + (after - before) * (share - from) / (to - from).max(f64::MIN_POSITIVE))
}

/// What comes out when the shot is stopped early.
fn short_shots(
    flow: Flow<'_>,
    views: &[View],
    arrivals: &[Option<f64>],
    scale: &Scale,
) -> Result<CaptionedPicture, MapError> {
    let caption = "What do short shots look like? Stopped at 25, 50, 75 and 95 % of the part, or where it freezes off; mold such shots on purpose and compare";
    let history = history(flow.filled);
    let reached =
        SHARES.iter().filter_map(|&share| Some((share, time_at(&history, share)?)));
    let mut stops: Vec<(f64, f64)> = reached.collect();
    if stops.len() < SHARES.len() {
        stops.extend(history.last().map(|&[time, share]| (share, time)));
    }
    let named = |view: &View, (share, time): (f64, f64)| View {
        name: format!(
            "{} full at {}",
            format::percent(share),
            format::quantity(time, "s")
        ),
        ..view.clone()
    };
    let panels: Vec<View> = views
        .iter()
        .flat_map(|view| stops.iter().map(move |&stop| named(view, stop)))
        .collect();
    let atlas = atlas::draw(flow.atlas.mesh, panels);
    let shapes: Vec<Vec<Option<f64>>> = stops
        .iter()
        .map(|&(_, time)| {
            arrivals.iter().map(|come| come.filter(|&come| come <= time)).collect()
        })
        .collect();
    let mut scale = scale.clone();
    scale.gap = "still empty";
    let samples = &flow.analysis.part.samples;
    let paint = |values| Paint::Samples { samples, values, scale: &scale };
    let paints: Vec<Paint<'_>> =
        views.iter().flat_map(|_| shapes.iter().map(|values| paint(values))).collect();
    let sheet = Sheet {
        counted: "causes",
        part: flow.part,
        what: caption,
        paint: paint(arrivals),
        marks: &[Mark { number: GATE, at: flow.filled.gate }],
        seam: &[],
        pull: flow.analysis.release.pull,
        share: None,
    };
    let bytes = map::png_each(&atlas, &sheet, &paints)?;
    let alt = "The part from two sides at four moments, colored where it is full by then";
    let picture = map::Drawn { png: bytes, details: Vec::new() };
    Ok(CaptionedPicture { caption, alt, file: "maps/short_shots.png", picture })
}

/// The front moving.
fn moving_front(
    flow: Flow<'_>,
    views: &[View],
    arrivals: &[Option<f64>],
    scale: &Scale,
) -> Result<CaptionedPicture, MapError> {
    let bytes = filling_animation::gif(&Moving {
        atlas: flow.atlas,
        views: views.to_vec(),
        samples: &flow.analysis.part.samples,
        arrivals,
        scale,
        history: history(flow.filled),
    })?;
    Ok(CaptionedPicture {
        caption: "How does the melt run? From the gate to the last corner at even steps of time; the whole filling plays in five seconds",
        alt: "The part from two sides while it fills, colored where it is full",
        file: "maps/front.gif",
        picture: map::Drawn { png: bytes, details: Vec::new() },
    })
}
