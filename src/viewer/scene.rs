//! What the viewer is reported besides the surface: counts, scales, faces, places, lines.

use crate::analysis::Analysis;
use crate::draw::color_scales::Colorings;
use crate::draw::palette::{COLORS, Kind, NO_VALUE, Rgb, Scale};
use crate::draw::problems::{Problem, SOUND};
use crate::findings;
use crate::geom::{Direction, Frame, Point, Vector};
use crate::part::faces::{Face, Surface as Form};
use crate::part::halves::{Half, Role};
use crate::schema::Report;
use crate::units::{format, us_words};
use crate::viewer::corners::Surface;
use crate::viewer::keys;
use crate::viewer::pack::{LAST_CODE, NO_VALUE_CODE, Packed, UNIT_NORMAL_CODE};
use serde::Serialize;

/// Digits after the point where a value is written.
const DIGITS: u8 = 2;
/// Of more faces only the number is reported.
const MOST_FACES: usize = 20_000;
/// So much around a place should be seen with it, as a share of the diagonal.
const CLEAR: f64 = 0.004;
/// A pin is drawn so many times its diameter long.
const PIN_LENGTH: f64 = 2.0;
/// At most so many places of one cause are marked.
const MOST_PLACES: usize = 12;
/// Corners of the ring of a pin.
const RING: u32 = 24;

/// All of it.
#[derive(Serialize)]
pub(crate) struct Scene<'a> {
    /// Whether what is cut may be closed.
    closed: bool,
    corners: usize,
    facets: usize,
    edges: usize,
    low: [f64; 3],
    step: [f64; 3],
    codes: Codes,
    pull: [f64; 3],
    fields: Vec<Field<'a>>,
    kinds: [Leaving; 4],
    problems: [Wrong; 4],
    sound: Rgb,
    nothing: Rgb,
    /// Kind of surface and area of each face, mm².
    faces: Vec<(&'static str, f64)>,
    marks: Vec<Mark>,
    lines: Vec<Line>,
    bar: Bar,
}

/// What the packed numbers are.
#[derive(Serialize)]
struct Codes {
    last: u16,
    none: u16,
    /// That of 1 in a normal.
    normal: i8,
}

/// Where the bar of a legend lies in its drawing.
#[derive(Serialize)]
struct Bar {
    left: f64,
    right: f64,
    top: f64,
}

/// How a point of the surface leaves the mold.
#[derive(Serialize)]
struct Leaving {
    name: &'static str,
    color: Rgb,
    hatched: bool,
}

/// What may be wrong with a point of the surface.
#[derive(Serialize)]
struct Wrong {
    name: &'static str,
    color: Rgb,
}

/// One value of the surface.
#[derive(Serialize)]
struct Field<'a> {
    key: &'static str,
    name: &'static str,
    unit: &'a str,
    digits: u8,
    base: f64,
    step: f64,
    low: f64,
    high: f64,
    colors: Vec<Rgb>,
    limits: Vec<f64>,
    signed: bool,
    gap: &'static str,
    known: bool,
}

/// A place with a letter or number.
#[derive(Serialize)]
struct Mark {
    /// What it is shown with, as the controls name it.
    show: &'static str,
    text: String,
    what: String,
    /// The same in US customary units.
    inches: String,
    at: [f64; 3],
    /// Unit vector from the place towards an eye that sees it.
    look: [f64; 3],
    /// Whether something stands before it whichever way one looks.
    hidden: bool,
    /// +1 or −1 with the half that forms it, 0 between.
    side: i8,
    /// The cause, from 0.
    cause: Option<usize>,
    /// Whether it is the worst place of a cause that stops the mold or is to be fixed: these
    /// show before a cause is chosen.
    first: bool,
    /// The value that shows it best.
    field: Option<&'static str>,
}

/// A line on the part.
#[derive(Serialize)]
struct Line {
    kind: &'static str,
    side: i8,
    points: Vec<[f64; 3]>,
}

/// The coloring by which a cause is seen best.
fn field_of(kind: findings::Kind) -> Option<&'static str> {
    Some(match kind {
        findings::Kind::ThinWall | findings::Kind::ThickWall => "ball",
        findings::Kind::Draft => "draft",
        findings::Kind::Undercut => "release",
        findings::Kind::ShortShot
        | findings::Kind::FillMargin
        | findings::Kind::Weld
        | findings::Kind::TrappedAir => "time",
        _ => return None,
    })
}

/// The scene of `analysis`.
pub(crate) fn describe<'a>(
    analysis: &Analysis,
    report: &Report,
    fields: &'a Colorings,
    surface: &Surface,
    packed: &Packed,
) -> Scene<'a> {
    let faces = &analysis.part.faces.list;
    let face = |face: &Face| (form(face), (face.area * 100.0).round() / 100.0);
    let leaving = |kind: Kind| Leaving {
        name: kind.label(),
        color: kind.color(),
        hatched: kind.hatched(),
    };
    Scene {
        closed: analysis.part.closed,
        corners: surface.corners.len(),
        facets: surface.facets.len(),
        edges: surface.edges.len(),
        low: packed.low,
        step: packed.step,
        codes: Codes { last: LAST_CODE, none: NO_VALUE_CODE, normal: UNIT_NORMAL_CODE },
        pull: analysis.release.pull.vector().into(),
        fields: scales(fields, packed, analysis.filling.is_ok()),
        kinds: Kind::ALL.map(leaving),
        problems: Problem::ALL.map(|it| Wrong { name: it.label(), color: it.color() }),
        sound: SOUND,
        nothing: NO_VALUE,
        faces: if faces.len() > MOST_FACES {
            Vec::new()
        } else {
            faces.iter().map(face).collect()
        },
        marks: marks(analysis, report),
        lines: lines(analysis, report),
        bar: Bar { left: keys::LEFT, right: keys::RIGHT, top: keys::TOP },
    }
}

fn form(face: &Face) -> &'static str {
    match face.surface {
        Form::Plane(_) => "plane",
        Form::Round { lean, .. } if lean.abs() < 1e-3 => "cylinder",
        Form::Round { .. } => "cone",
        Form::Blend => "blend",
    }
}

/// The values in the order of [`Packed::ranges`].
fn scales<'a>(fields: &'a Colorings, packed: &Packed, fills: bool) -> Vec<Field<'a>> {
    let [ray, ball, draft, time] = packed.ranges;
    let time = field("time", "fill time", &fields.time_scale, time);
    vec![
        field("ray", "thickness by ray", &fields.wall_scale, ray),
        field("ball", "thickness by ball", &fields.wall_scale, ball),
        field("draft", "draft", &fields.draft_scale, draft),
        Field { known: fills, ..time },
    ]
}

/// A value whose code 0 and step are `[base, step]`.
fn field<'a>(
    key: &'static str,
    name: &'static str,
    scale: &'a Scale,
    [base, step]: [f64; 2],
) -> Field<'a> {
    let (low, high) = scale.range();
    let at = |i: u32| low + (high - low) * f64::from(i) / f64::from(COLORS - 1);
    Field {
        key,
        name,
        unit: &scale.unit,
        digits: DIGITS,
        base,
        step,
        low,
        high,
        colors: (0..COLORS).map(|i| scale.color(at(i))).collect(),
        limits: scale.limits.iter().map(|limit| limit.value).collect(),
        signed: scale.hatched(-1.0),
        gap: scale.gap,
        known: true,
    }
}

/// Places of causes, gate and vents.
fn marks(analysis: &Analysis, report: &Report) -> Vec<Mark> {
    let mut marks = Vec::new();
    for (index, cause) in report.causes.iter().enumerate() {
        let places = cause.places_mm.iter().take(MOST_PLACES).enumerate();
        let seen = places.filter_map(|(rank, &at)| Some((rank, place(analysis, at)?)));
        marks.extend(seen.map(|(rank, mark)| Mark {
            show: "cause",
            text: (index + 1).to_string(),
            what: cause.title.clone(),
            inches: us_words::rewritten(&cause.title),
            cause: Some(index),
            first: rank == 0 && cause.severity < findings::Severity::Note,
            field: field_of(cause.kind),
            ..mark
        }));
    }
    let named = |letter: &str, what: &'static str, at: [f64; 3]| {
        place(analysis, at).map(|mark| Mark {
            show: what,
            text: letter.to_owned(),
            what: format!("{what} at {}", format::point(at)),
            inches: us_words::rewritten(&format!("{what} at {}", format::point(at))),
            side: 0,
            ..mark
        })
    };
    marks.extend(report.fill.gate_mm.and_then(|gate| named("G", "gate", gate)));
    let vents = report.fill.vents_mm.iter().flatten();
    marks.extend(vents.filter_map(|&vent| named("V", "vent", vent)));
    marks
}

/// A mark on the surface at `at`, and from where it is seen.
fn place(analysis: &Analysis, at: [f64; 3]) -> Option<Mark> {
    let near = analysis.part.bvh.nearest(&Point::from(at), f64::INFINITY)?;
    let normal = *analysis.part.mesh.normals().get(near.facet as usize)?;
    let look = eye(analysis, &near.point, &normal);
    let height = analysis.release.pull.dot(&near.point.coords);
    Some(Mark {
        show: "",
        text: String::new(),
        what: String::new(),
        inches: String::new(),
        at: near.point.into(),
        look: look.unwrap_or(normal).into(),
        hidden: look.is_none(),
        side: side(analysis.release.skins.half_at(near.facet, height)),
        cause: None,
        first: true,
        field: None,
    })
}

fn side(half: Half) -> i8 {
    if half == Half::Plus { 1 } else { -1 }
}

/// The direction nearest to the normal along which nothing stands before a place.
fn eye(analysis: &Analysis, at: &Point, normal: &Vector) -> Option<Vector> {
    let start = at + normal * (1e-4 * analysis.part.bvh.diagonal());
    // The 26 directions to the neighbors of a cube.
    let around = (0..27_i32).map(|i| {
        Vector::new(f64::from(i % 3 - 1), f64::from(i / 3 % 3 - 1), f64::from(i / 9 - 1))
    });
    let mut ways: Vec<Vector> =
        around.filter_map(Direction::new).map(|d| d.vector()).collect();
    let leaning = ways.iter().filter_map(|way| Direction::new(normal * 2.0 + way));
    let mut all: Vec<Vector> = leaning.map(|d| d.vector()).collect();
    all.append(&mut ways);
    all.push(*normal);
    // A little aside shows more of the shape than straight on.
    let score = |way: &Vector| {
        let facing = normal.dot(way);
        if facing > 0.92 { 1.84 - facing } else { facing }
    };
    all.retain(|way| normal.dot(way) > 0.15);
    all.sort_by(|a, b| score(b).total_cmp(&score(a)));
    let free = |from: &Point, way: &Vector| {
        Direction::new(*way).is_some_and(|way| !analysis.part.bvh.is_hit(from, way))
    };
    // What shows only through a slit is lost by the next pixel; raised a little, since a
    // hollow face curves towards the eye.
    let beside = Direction::new(*normal).map(Frame::along);
    let clear = |way: &Vector| {
        beside.is_some_and(|frame| {
            let reach = CLEAR * analysis.part.bvh.diagonal();
            [frame.right, -frame.right, frame.up, -frame.up]
                .iter()
                .all(|aside| free(&(start + (aside + normal * 0.5) * reach), way))
        })
    };
    all.retain(|way| free(&start, way));
    all.iter().find(|way| clear(way)).or(all.first()).copied()
}

/// Parting line, pins and the way to the gate.
fn lines(analysis: &Analysis, report: &Report) -> Vec<Line> {
    let parting = analysis.release.parting.loops.iter().map(|line| Line {
        kind: "parting",
        side: 0,
        points: line.closed().iter().map(|&point| point.into()).collect(),
    });
    let mut lines: Vec<Line> = parting.collect();
    lines.extend(pins(analysis, report));
    lines
}

/// Each pin as two rings and lines between, reaching away from the part.
fn pins(analysis: &Analysis, report: &Report) -> Vec<Line> {
    let Some(diameter) = report.ejection.pin_diameter_mm else { return Vec::new() };
    let pull = analysis.release.pull;
    let pushed = report.ejection.keeps_to.unwrap_or(Role::Core);
    let half = pushed.half(analysis.release.core);
    let away = pull.vector() * f64::from(side(half)) * (PIN_LENGTH * diameter);
    let frame = Frame::along(pull);
    let mut lines = Vec::new();
    let mut line = |points: Vec<Point>| {
        let points = points.into_iter().map(Into::into).collect();
        lines.push(Line { kind: "pin", side: side(half), points });
    };
    for pin in report.ejection.pins.iter().flatten() {
        let on_rim = |step: u32, shift: Vector| {
            let angle = std::f64::consts::TAU * f64::from(step) / f64::from(RING);
            Point::from(*pin) + frame.across(angle) * (diameter / 2.0) + shift
        };
        for shift in [Vector::zeros(), away] {
            line((0..=RING).map(|step| on_rim(step, shift)).collect());
        }
        for step in (0..RING).step_by(RING as usize / 4) {
            line(vec![on_rim(step, Vector::zeros()), on_rim(step, away)]);
        }
    }
    lines
}
