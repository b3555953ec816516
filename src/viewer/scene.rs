//! What the viewer is reported besides the surface: counts, scales, faces, places, lines.

use crate::analysis::Analysis;
use crate::draw::color_scales::Colorings;
use crate::draw::formed_surfaces::Formed;
use crate::draw::palette::{COLORS, Kind, NO_VALUE, Rgb, Scale};
use crate::draw::problems::{Problem, SOUND};
use crate::geom::{Direction, Frame, Point, Vector};
use crate::part::faces::{Face, Surface as Form};
use crate::part::halves::Role;
use crate::schema::Report;
use crate::viewer::corners::Surface;
use crate::viewer::keys;
use crate::viewer::marks::{Mark, marks, side};
use crate::viewer::pack::{LAST_CODE, NO_VALUE_CODE, Packed, UNIT_NORMAL_CODE};
use serde::Serialize;

/// Digits after the point where a value is written.
const DIGITS: u8 = 2;
/// Of more faces only the number is reported.
const MOST_FACES: usize = 20_000;
/// A pin is drawn so many times its diameter long.
const PIN_LENGTH: f64 = 2.0;
/// Corners of the ring of a pin.
const RING: u32 = 24;

/// All of it.
#[derive(Serialize)]
pub(crate) struct Scene<'a> {
    /// Whether what is cut may be closed.
    closed: bool,
    /// What closes on its own: +1 and −1 for each half, 0 for both together.
    solids: &'static [i8],
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

/// A line on the part.
#[derive(Serialize)]
struct Line {
    kind: &'static str,
    side: i8,
    points: Vec<[f64; 3]>,
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
        fields: scales(fields, packed, analysis.filling.is_ok()),
        faces: if faces.len() > MOST_FACES {
            Vec::new()
        } else {
            faces.iter().map(face).collect()
        },
        marks: marks(analysis, report),
        lines: lines(analysis, report),
        ..bare(analysis.release.pull, surface, packed, Kind::ALL.map(leaving))
    }
}

/// The scene of a finished mold that opens along `pull`.
pub(crate) fn describe_mold<'a>(
    pull: Direction,
    surface: &Surface,
    packed: &Packed,
    scale: &'a Scale,
) -> Scene<'a> {
    let unknown = |key| Field { known: false, ..field(key, "", scale, [0.0, 1.0]) };
    let kinds = Formed::ALL.map(|formed| Leaving {
        name: formed.label(),
        color: formed.color(),
        hatched: false,
    });
    Scene {
        solids: &[1, -1],
        fields: ["ray", "ball", "draft", "time"].map(unknown).into(),
        ..bare(pull, surface, packed, kinds)
    }
}

/// The scene of a part of which only its shape is known.
pub(crate) fn describe_shape<'a>(
    surface: &Surface,
    packed: &Packed,
    scale: &'a Scale,
) -> Scene<'a> {
    let unknown = |key| Field { known: false, ..field(key, "", scale, [0.0, 1.0]) };
    let kinds =
        Formed::ALL.map(|_| Leaving { name: "", color: NO_VALUE, hatched: false });
    Scene {
        fields: ["ray", "ball", "draft", "time"].map(unknown).into(),
        ..bare(Direction::Z, surface, packed, kinds)
    }
}

/// A surface that leaves along `pull`, as it is packed, without values, faces and marks.
fn bare<'a>(
    pull: Direction,
    surface: &Surface,
    packed: &Packed,
    kinds: [Leaving; 4],
) -> Scene<'a> {
    Scene {
        closed: true,
        solids: &[0],
        corners: surface.corners.len(),
        facets: surface.facets.len(),
        edges: surface.edges.len(),
        low: packed.low,
        step: packed.step,
        codes: Codes { last: LAST_CODE, none: NO_VALUE_CODE, normal: UNIT_NORMAL_CODE },
        pull: pull.vector().into(),
        fields: Vec::new(),
        kinds,
        problems: Problem::ALL.map(|it| Wrong { name: it.label(), color: it.color() }),
        sound: SOUND,
        nothing: NO_VALUE,
        faces: Vec::new(),
        marks: Vec::new(),
        lines: Vec::new(),
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
