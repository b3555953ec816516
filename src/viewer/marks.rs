//! Places with a letter or number: worst places of causes, gate and vents, and from where each is
//! seen.

use serde::Serialize;

use crate::analysis::Analysis;
use crate::findings;
use crate::geom::{Direction, Frame, Point, Vector};
use crate::part::halves::Half;
use crate::schema::Report;
use crate::units::{format, us_words};

/// So much around a place should be seen with it, as a share of the diagonal.
const CLEAR: f64 = 0.004;
/// At most so many places of one cause are marked.
const MOST_PLACES: usize = 12;

/// A place with a letter or number.
#[derive(Serialize)]
pub(crate) struct Mark {
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

/// Places of causes, gate and vents.
pub(crate) fn marks(analysis: &Analysis, report: &Report) -> Vec<Mark> {
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
        side: side(analysis.release.skins.formed.half_at(near.facet, height)),
        cause: None,
        first: true,
        field: None,
    })
}

/// +1 or −1 with the half.
pub(crate) fn side(half: Half) -> i8 {
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
