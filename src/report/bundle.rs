//! All files of one report, as names and bytes.

use rayon::prelude::*;

use crate::analysis::Analysis;
use crate::draw::atlas::{self, Atlas};
use crate::draw::color_scales::Colorings;
use crate::draw::filling_maps::{self, CaptionedPicture, Flow};
use crate::draw::halves_map::{self, Halves};
use crate::draw::map::{self, Drawn, MapError, Sheet};
use crate::draw::marks::Mark;
use crate::draw::milling_map::{self, CutMap, Spotted};
use crate::draw::paint::Paint;
use crate::draw::palette::Kind;
use crate::draw::view;
use crate::findings;
use crate::geom::Point;
use crate::mesh::sample_grid;
use crate::part::halves::Side;
use crate::part::visibility;
use crate::report::blocks::Picture;
use crate::report::ply;
use crate::report::{dxf, html, json, markdown};
use crate::schema::Report;
use crate::viewer;

/// A file of the report.
pub struct NamedFile {
    /// Its place inside the report's folder.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// Every file that such a report may have, in any of its forms.
pub const OWN: [&str; 15] = [
    "report.json",
    "report.md",
    "report.html",
    "part.ply",
    "parting.dxf",
    RELEASE,
    DRAFT,
    "maps/thickness.png",
    "maps/halves.png",
    "maps/milling.png",
    "maps/fill.png",
    "maps/pressure.png",
    "maps/frozen.png",
    "maps/short_shots.png",
    "maps/front.gif",
];

/// Why a report could not be made.
#[derive(Debug, thiserror::Error)]
pub enum BundleError {
    /// A picture failed.
    #[error(transparent)]
    Map(#[from] MapError),
    /// A number has no place in JSON.
    #[error("report.json: {0}")]
    Json(#[from] serde_json::Error),
}

/// The map that shows the parting line.
const RELEASE: &str = "maps/release.png";

/// The map of the draft.
const DRAFT: &str = "maps/draft.png";

/// At most so many places of one cause are marked on a map.
const MOST_MARKS: usize = 6;

/// Samples that decide which views are drawn.
const LOOKED_AT: usize = 2000;

/// One map: its file, its caption, and what is read from it.
struct Map<'a> {
    file: &'static str,
    caption: &'static str,
    alt: &'static str,
    paint: Paint<'a>,
    marks: Vec<Mark>,
}

/// Of a part of more facets pictures and page are made one after the other.
const MOST_AT_ONCE: usize = 300_000;

/// Every file of the report on `analysis`.
///
/// # Errors
/// When a picture cannot be drawn or a number cannot be written.
pub fn write(
    analysis: &Analysis,
    report: &Report,
) -> Result<Vec<NamedFile>, BundleError> {
    let fields = Colorings::collect(analysis);
    let drawn = || {
        let pictures = || pictures(analysis, report, &fields);
        rayon::join(pictures, || ply(analysis, &fields))
    };
    let packed = || viewer::pack_part(analysis, report, &fields);
    let ((pictures, ply), solid) = if analysis.part.mesh.facets().len() > MOST_AT_ONCE {
        // One after the other, so that what both hold is not held at once.
        let solid = packed();
        (drawn(), solid)
    } else {
        rayon::join(drawn, packed)
    };
    let (pictures, solid) = (pictures?, solid?);
    let beside: Vec<Picture<'_>> = pictures
        .iter()
        .map(|it| Picture {
            caption: it.caption,
            alt: it.alt,
            file: it.file,
            png: &it.picture.png,
        })
        .collect();
    let details: Vec<(usize, &[u8])> = pictures
        .iter()
        .flat_map(|it| &it.picture.details)
        .map(|(number, png)| (*number, png.as_slice()))
        .collect();
    let inside =
        html::Inside { pictures: &beside, details: &details, solid: Some(&solid) };
    let mut files = vec![
        named("report.json", json::write(report)?.into_bytes()),
        named("report.md", markdown::write(report, &beside).into_bytes()),
        named("report.html", html::write(report, &inside).into_bytes()),
        named("part.ply", ply),
        named(
            "parting.dxf",
            dxf::write(&analysis.release.parting, analysis.release.pull),
        ),
    ];
    files.extend(pictures.into_iter().map(|it| named(it.file, it.picture.png)));
    Ok(files)
}

fn named(name: &str, bytes: Vec<u8>) -> NamedFile {
    NamedFile { name: name.to_owned(), bytes }
}

/// What is marked on the map of the walls.
const ON_WALLS: [findings::Kind; 3] =
    [findings::Kind::ThinWall, findings::Kind::ThickWall, findings::Kind::StandingMetal];

/// The maps of walls and halves, what is trapped first.
fn surface_maps<'a>(
    analysis: &'a Analysis,
    report: &Report,
    fields: &'a Colorings,
) -> Vec<Map<'a>> {
    let Colorings { balls, drafts: angles, kinds, .. } = fields;
    let (walls, drafts) = (&fields.wall_scale, &fields.draft_scale);
    let samples = &analysis.part.samples;
    let mut maps = vec![
        Map {
            file: RELEASE,
            caption: "What is trapped? The half that forms each face, and where the halves meet",
            alt: "The part from several sides, colored by the half that forms each face",
            paint: Paint::Kinds { samples, kinds },
            marks: marks(report, &[findings::Kind::Undercut]),
        },
        Map {
            file: DRAFT,
            caption: "Which walls lack draft? Angle of each face to the pull, negative where it is trapped",
            alt: "The part from several sides, colored by the angle of each face to the pull",
            paint: Paint::Facets { values: angles, scale: drafts },
            marks: marks(report, &[findings::Kind::Draft]),
        },
        Map {
            file: "maps/thickness.png",
            caption: "Where is the wall too thin or too thick? The largest ball inside that touches it; edges show the wall beside them",
            alt: "The part from several sides, colored by wall thickness",
            paint: Paint::Samples { samples, values: balls, scale: walls },
            marks: marks(report, &ON_WALLS),
        },
    ];
    // Where every wall has its draft there is nothing to show.
    if analysis.release.short.is_empty() {
        maps.retain(|map| map.file != DRAFT);
    }
    maps
}

fn pictures(
    analysis: &Analysis,
    report: &Report,
    fields: &Colorings,
) -> Result<Vec<CaptionedPicture>, MapError> {
    let overview = overview(analysis);
    let maps = surface_maps(analysis, report, fields);
    let metal =
        || rayon::join(|| halves_map(analysis, report), || cuts(analysis, report));
    let seam: Vec<Vec<Point>> =
        analysis.release.parting.loops.iter().map(|line| line.closed()).collect();
    let pull = analysis.release.pull;
    let draw = |map: Map<'_>| -> Result<CaptionedPicture, MapError> {
        let seam = if map.file == RELEASE { seam.as_slice() } else { &[] };
        let Map { file, caption, alt, paint, marks } = map;
        let part = &report.part.file;
        let what = caption;
        let counted = "causes";
        let share = Some(overview.share);
        let sheet =
            Sheet { part, what, paint, marks: &marks, counted, seam, pull, share };
        let picture = map::with_details(&overview.atlas, &sheet)?;
        Ok(CaptionedPicture { caption, alt, file, picture })
    };
    let maps = || {
        maps.into_par_iter()
            .map(draw)
            .collect::<Result<Vec<CaptionedPicture>, MapError>>()
    };
    let flow = || flow(analysis, report, fields, &overview);
    let (maps, (metal, flow)) = rayon::join(maps, || rayon::join(metal, flow));
    let (halves, cuts) = metal;
    let mut pictures = maps?;
    let cuts: Option<CaptionedPicture> = cuts.transpose()?;
    pictures.extend(cuts);
    pictures.extend(flow?);
    pictures.push(halves?);
    Ok(pictures)
}

/// The part pulled apart into the skins of its halves.
fn halves_map(
    analysis: &Analysis,
    report: &Report,
) -> Result<CaptionedPicture, MapError> {
    let (pull, core) = (analysis.release.pull, analysis.release.core);
    let trapped: Vec<bool> =
        analysis.release.sides.iter().map(|&side| side == Side::Trapped).collect();
    let caption =
        "What does each half form? The skins of both, pulled apart along the pull";
    let alt = "The surface of the part split into the skins that the two halves form, \
               moved apart along the pull, seen from above and from below";
    let png = halves_map::png(&Halves {
        part: &report.part.file,
        what: caption,
        skins: &analysis.release.skins,
        samples: &analysis.part.samples,
        trapped: &trapped,
        pull,
        core,
    })?;
    let picture = Drawn { png, details: Vec::new() };
    Ok(CaptionedPicture { caption, alt, file: "maps/halves.png", picture })
}

/// Both halves with what no cutter reaches; `None` where that is not known.
fn cuts(
    analysis: &Analysis,
    report: &Report,
) -> Option<Result<CaptionedPicture, MapError>> {
    let milled = &analysis.cutting.as_ref().ok()?.milled;
    // Where they reach all of it there is nothing to show.
    if milled.unreached.is_empty() {
        return None;
    }
    let caption = "Which metal does no cutter reach? By its thickness";
    let alt =
        "Both halves of the mold as the spindle sees them, colored where metal is left";
    let found = marks(
        report,
        &[
            findings::Kind::MetalLeft,
            findings::Kind::PartingMetal,
            findings::Kind::LongReach,
        ],
    );
    let spots: Vec<Spotted> = found
        .into_iter()
        .filter_map(|Mark { number, at }| {
            let place = milled.unreached.iter().find(|it| it.at == at)?;
            Some(Spotted { number, half: place.half, at })
        })
        .collect();
    let part = &report.part.file;
    let numbers = "Numbers: causes.";
    let sheet = CutMap { part, what: caption, milled, spots: &spots, numbers };
    let captioned = |png| {
        let picture = Drawn { png, details: Vec::new() };
        CaptionedPicture { caption, alt, file: "maps/milling.png", picture }
    };
    Some(milling_map::png(&sheet).map(captioned))
}

/// The views that show nearly everything.
pub(crate) struct Overview<'a> {
    /// Their pictures.
    pub(crate) atlas: Atlas<'a>,
    /// The share of the surface that they show together.
    pub(crate) share: f64,
}

/// Chooses the views that show nearly everything and draws them.
pub(crate) fn overview(analysis: &Analysis) -> Overview<'_> {
    let candidates = view::candidates(analysis.release.pull);
    let looks: Vec<_> = candidates.iter().map(|view| view.toward).collect();
    let few = analysis.part.samples.thinned(LOOKED_AT);
    let chosen = view::choose(&visibility::seen(&analysis.part.bvh, &few, &looks));
    let views = chosen.views.iter().map(|&view| candidates[view].clone()).collect();
    Overview { atlas: atlas::draw(&analysis.part.mesh, views), share: chosen.share }
}

/// The pictures of the filling; none where nobody looked.
fn flow(
    analysis: &Analysis,
    report: &Report,
    fields: &Colorings,
    overview: &Overview<'_>,
) -> Result<Vec<CaptionedPicture>, MapError> {
    let Ok(filled) = &analysis.filling else { return Ok(Vec::new()) };
    let found = marks(
        report,
        &[
            findings::Kind::ShortShot,
            findings::Kind::FillMargin,
            findings::Kind::Weld,
            findings::Kind::TrappedAir,
        ],
    );
    let part = &report.part.file;
    filling_maps::draw(Flow {
        analysis,
        filled,
        fields,
        part,
        atlas: &overview.atlas,
        share: overview.share,
        found: &found,
    })
}

/// The places of causes of some kinds, with their numbers in the list.
fn marks(report: &Report, kinds: &[findings::Kind]) -> Vec<Mark> {
    let numbered = report.causes.iter().zip(1..);
    let chosen = numbered.filter(|(cause, _)| kinds.contains(&cause.kind));
    let places = chosen.flat_map(|(cause, number)| {
        let places = cause.places_mm.iter().take(MOST_MARKS);
        places.map(move |&at| Mark { number, at: Point::from(at) })
    });
    places.collect()
}

fn ply(analysis: &Analysis, shown: &Colorings) -> Vec<u8> {
    let mesh = &analysis.part.mesh;
    let corners = sample_grid::at_corners(mesh, &analysis.part.samples);
    let of = |values: &[Option<f64>]| -> Vec<Option<f64>> {
        corners
            .iter()
            .map(|(_, nearest)| nearest.and_then(|sample| values[sample]))
            .collect()
    };
    let pull = analysis.release.pull;
    let drafts: Vec<Option<f64>> = corners
        .iter()
        .map(|(normal, _)| Some(pull.dot(normal).clamp(-1.0, 1.0).asin().to_degrees()))
        .collect();
    let kinds: Vec<Option<Kind>> = corners
        .iter()
        .map(|(_, nearest)| nearest.and_then(|sample| shown.kinds[sample]))
        .collect();
    let fields = ply::Fields {
        thickness_ray_mm: &of(&analysis.walls.thickness.ray),
        thickness_ball_mm: &of(&analysis.walls.thickness.ball),
        draft_deg: &drafts,
        release: &kinds,
    };
    ply::write(mesh, &fields)
}
