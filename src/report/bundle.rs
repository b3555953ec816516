//! All files of one report, as names and bytes.

use rayon::prelude::*;

use crate::analysis::Analysis;
use crate::geom::Point;
use crate::measure::draft::{self, Drafted, Side};
use crate::measure::thickness;
use crate::measure::visibility;
use crate::mesh::sample_grid;
use crate::report::atlas::{self, Atlas};
use crate::report::blocks::Picture;
use crate::report::cut_map::{self, CutMap, Spotted};
use crate::report::halves::{self, Halves};
use crate::report::map::{self, MapError, Sheet};
use crate::report::marks::{GATE, Mark};
use crate::report::model::Report;
use crate::report::paint::Paint;
use crate::report::palette::{Kind, Limit, Scale};
use crate::report::ply::{self, Fields};
use crate::report::view;
use crate::report::{dxf, html, json, markdown};

/// A file of the report.
pub struct NamedFile {
    /// Its place inside the report's folder.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// Why a report could not be made.
#[derive(Debug, thiserror::Error)]
pub enum BundleError {
    /// A picture failed.
    #[error(transparent)]
    Map(#[from] MapError),
    /// A number has no place in JSON.
    #[error("report.json: {0}")]
    Json(#[from] serde_json::Error),
    /// The drawing of the parting line failed.
    #[error("parting.dxf: {0}")]
    Dxf(#[from] ::dxf::DxfError),
}

/// The map that shows the parting line.
const RELEASE: &str = "maps/release.png";

/// Samples that decide which views are drawn.
const LOOKED_AT: usize = 2000;

/// Draft maps show up to this angle; beyond it a face is no wall.
const STEEPEST_DEG: f64 = 10.0;

/// One map: its file, its caption, and what is read from it.
struct Map<'a> {
    file: &'static str,
    caption: &'static str,
    alt: &'static str,
    paint: Paint<'a>,
    marks: Vec<Mark>,
}

/// Every file of the report on `analysis`.
///
/// # Errors
/// When a picture cannot be drawn or a number cannot be written.
pub fn of(analysis: &Analysis, report: &Report) -> Result<Vec<NamedFile>, BundleError> {
    let (pictures, ply) = rayon::join(|| pictures(analysis, report), || ply(analysis));
    let pictures = pictures?;
    let beside: Vec<Picture<'_>> = pictures
        .iter()
        .map(|(map, png)| Picture { caption: map.0, alt: map.1, file: map.2, png })
        .collect();
    let mut files = vec![
        named("report.json", json::write(report)?.into_bytes()),
        named("report.md", markdown::write(report, &beside).into_bytes()),
        named("report.html", html::write(report, &beside).into_bytes()),
        named("part.ply", ply),
        named(
            "parting.dxf",
            dxf::write(&analysis.release.parting, analysis.release.pull)?,
        ),
    ];
    files.extend(pictures.into_iter().map(|(map, png)| named(map.2, png)));
    Ok(files)
}

fn named(name: &str, bytes: Vec<u8>) -> NamedFile {
    NamedFile { name: name.to_owned(), bytes }
}

type Captioned = ((&'static str, &'static str, &'static str), Vec<u8>);

fn pictures(analysis: &Analysis, report: &Report) -> Result<Vec<Captioned>, MapError> {
    let (atlas, share) = atlas(analysis);
    let balls = thickness::filled(&analysis.samples, &analysis.walls.thickness.ball);
    let walls = wall_scale(analysis);
    let drafted = Drafted {
        mesh: &analysis.healed.mesh,
        faces: &analysis.faces,
        samples: &analysis.samples,
        sides: &analysis.release.sides,
    };
    let angles: Vec<Option<f64>> =
        draft::of_facets(&drafted, analysis.release.pull).into_iter().map(Some).collect();
    let drafts = draft_scale(analysis);
    let kinds: Vec<Option<Kind>> =
        analysis.release.sides.iter().map(|&side| Some(kind(side))).collect();
    let samples = &analysis.samples;
    let arrivals = arrivals(analysis);
    let times = Scale::fitting(&arrivals, Vec::new(), "s").with_lines("not filled");
    let mut maps = vec![
        Map {
            file: "maps/thickness.png",
            caption: "Wall thickness: the largest ball inside that touches the wall; edges show the wall beside them",
            alt: "The part from several sides, colored by wall thickness",
            paint: Paint::Samples { samples, values: &balls, scale: &walls },
            marks: marks(report, &["thin_wall", "thick_wall"]),
        },
        Map {
            file: "maps/draft.png",
            caption: "Draft: angle of each face to the pull, negative where it is trapped",
            alt: "The part from several sides, colored by the angle of each face to the pull",
            paint: Paint::Facets { values: &angles, scale: &drafts },
            marks: marks(report, &["draft"]),
        },
        Map {
            file: RELEASE,
            caption: "Release: which half forms each face, what is trapped, and where the halves meet",
            alt: "The part from several sides, colored by the half that forms each face",
            paint: Paint::Kinds { samples, kinds: &kinds },
            marks: marks(report, &["undercut"]),
        },
    ];
    let came = Paint::Samples { samples, values: &arrivals, scale: &times };
    maps.extend(fill_map(analysis, report, came));
    let seam: Vec<Vec<Point>> =
        analysis.release.parting.loops.iter().map(|line| line.closed()).collect();
    let pull = analysis.release.pull;
    let draw = |map: Map<'_>| -> Result<Captioned, MapError> {
        let seam = if map.file == RELEASE { seam.as_slice() } else { &[] };
        let Map { file, caption, alt, paint, marks } = map;
        let part = &report.part.file;
        let what = caption;
        let sheet = Sheet { part, what, paint, marks: &marks, seam, pull, share };
        Ok(((caption, alt, file), map::png(&atlas, &sheet)?))
    };
    let maps =
        || maps.into_par_iter().map(draw).collect::<Result<Vec<Captioned>, MapError>>();
    let metal =
        || rayon::join(|| halves(analysis, &drafted, report), || cuts(analysis, report));
    let (maps, (halves, cuts)) = rayon::join(maps, metal);
    let last = std::iter::once(halves).chain(cuts);
    maps?.into_iter().map(Ok).chain(last).collect()
}

/// The part pulled apart into the skins of its halves.
fn halves(
    analysis: &Analysis,
    part: &Drafted<'_>,
    report: &Report,
) -> Result<Captioned, MapError> {
    let (pull, core) = (analysis.release.pull, analysis.release.core);
    let trapped: Vec<bool> =
        part.sides.iter().map(|&side| side == Side::Trapped).collect();
    let caption =
        "Two halves: the skin that each half forms, pulled apart along the pull";
    let alt = "The surface of the part split into the skins that the two halves form, \
               moved apart along the pull, seen from above and from below";
    let picture = halves::png(&Halves {
        part: &report.part.file,
        what: caption,
        skins: &analysis.release.skins,
        samples: part.samples,
        trapped: &trapped,
        pull,
        core,
    })?;
    Ok(((caption, alt, "maps/halves.png"), picture))
}

/// Both halves with what no cutter reaches; `None` where that is not known.
fn cuts(analysis: &Analysis, report: &Report) -> Option<Result<Captioned, MapError>> {
    let milled = &analysis.cutting.as_ref().ok()?.milled;
    let caption = "Cutters: the metal that none of them reaches, by its thickness";
    let alt =
        "Both halves of the mold as the spindle sees them, colored where metal is left";
    let found = marks(report, &["metal_left", "parting_metal", "long_reach"]);
    let spots: Vec<Spotted> = found
        .into_iter()
        .filter_map(|Mark { number, at }| {
            let place = milled.unreached.iter().find(|it| it.at == at)?;
            Some(Spotted { number, half: place.half, at })
        })
        .collect();
    let part = &report.part.file;
    let sheet = CutMap { part, what: caption, milled, spots: &spots };
    Some(cut_map::png(&sheet).map(|png| ((caption, alt, "maps/milling.png"), png)))
}

/// The views that show nearly everything, and the share that they show.
fn atlas(analysis: &Analysis) -> (Atlas<'_>, f64) {
    let candidates = view::candidates(analysis.release.pull);
    let looks: Vec<_> = candidates.iter().map(|view| view.toward).collect();
    let few = analysis.samples.thinned(LOOKED_AT);
    let chosen = view::choose(&visibility::seen(&analysis.bvh, &few, &looks));
    let views = chosen.views.iter().map(|&view| candidates[view].clone()).collect();
    (atlas::draw(&analysis.healed.mesh, views), chosen.share)
}

fn draft_scale(analysis: &Analysis) -> Scale {
    let rule = analysis.release.rule;
    Scale::angle(STEEPEST_DEG, "°")
        .marking(rule.least_deg, "needed by a low wall")
        .marking(rule.required_deg(analysis.release.height), "by the tallest")
}

fn wall_scale(analysis: &Analysis) -> Scale {
    let limit = |value: f64, label: &str| Limit { value, label: label.to_owned() };
    let limits = analysis.walls.limits.as_ref().map_or_else(
        |_| Vec::new(),
        |limits| {
            let [low, high] = [limits.low, limits.high].map(crate::units::mm);
            vec![limit(low, "least"), limit(high, "most")]
        },
    );
    Scale::fitting(&analysis.walls.thickness.ball, limits, "mm")
}

/// When the melt comes by, with the gate and what was found; `None` where nobody looked.
fn fill_map<'a>(
    analysis: &Analysis,
    report: &Report,
    paint: Paint<'a>,
) -> Option<Map<'a>> {
    let filled = analysis.filling.as_ref().ok()?;
    let found = marks(report, &["short_shot", "fill_margin", "weld", "trapped_air"]);
    let gate = Mark { number: GATE, at: filled.gate };
    // Cells lie inside; a mark shows where the surface is.
    let on_surface = |mark: Mark| {
        let near = analysis.bvh.nearest(&mark.at, f64::INFINITY);
        near.map_or(mark, |near| Mark { at: near.point, ..mark })
    };
    Some(Map {
        file: "maps/fill.png",
        caption: "Filling: when the front comes by, from the gate (G) on; lines run along the front",
        alt: "The part from several sides, colored by the time at which the melt reaches each place",
        paint,
        marks: std::iter::once(gate).chain(found).map(on_surface).collect(),
    })
}

/// When the front reaches each sample, s; `None` where it never does or nobody looked.
fn arrivals(analysis: &Analysis) -> Vec<Option<f64>> {
    let Ok(filled) = &analysis.filling else { return Vec::new() };
    // A surface point's own cell may hold a sliver: half a cell inside is the wall itself.
    let inward = 0.5 * filled.cells.edge_mm();
    let samples = &analysis.samples;
    let places: Vec<_> = samples.points.iter().zip(&samples.normals).collect();
    let at = |(point, normal): &(&Point, &crate::geom::Vector)| {
        filled.arrival_s(&(*point - *normal * inward))
    };
    places.par_iter().map(at).collect()
}

/// The places of some kinds of findings, with their numbers in the list.
fn marks(report: &Report, ids: &[&str]) -> Vec<Mark> {
    let numbered = report.findings.iter().enumerate();
    numbered
        .filter(|(_, finding)| ids.contains(&finding.id.as_str()))
        .filter_map(|(index, finding)| {
            Some(Mark { number: index + 1, at: Point::from(finding.at_mm?) })
        })
        .collect()
}

fn kind(side: Side) -> Kind {
    match side {
        Side::Cavity => Kind::Cavity,
        Side::Core => Kind::Core,
        Side::Upright => Kind::Upright,
        Side::Trapped => Kind::Trapped,
    }
}

fn ply(analysis: &Analysis) -> Vec<u8> {
    let mesh = &analysis.healed.mesh;
    let corners = sample_grid::at_corners(mesh, &analysis.samples);
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
        .map(|(_, nearest)| nearest.map(|sample| kind(analysis.release.sides[sample])))
        .collect();
    let fields = Fields {
        thickness_ray_mm: &of(&analysis.walls.thickness.ray),
        thickness_ball_mm: &of(&analysis.walls.thickness.ball),
        draft_deg: &drafts,
        release: &kinds,
    };
    ply::write(mesh, &fields)
}
