//! The part or the finished mold in the page, to be turned by hand.
//!
//! | question | file |
//! |---|---|
//! | how are long facets cut, so that corners can carry values | [`refine`] |
//! | which value does each corner have | [`corners`] |
//! | which corners has a surface of which only its shape is known | [`smooth_surface`] |
//! | which corners do the halves of a mold have | [`mold_surface`] |
//! | how do corners become bytes | [`pack`] |
//! | what do the colors mean | [`keys`] |
//! | which places have a letter or number | [`marks`] |
//! | what do counts, scales, faces and lines in the page mean | [`scene`] |
//! | which controls stand around the canvas | [`section`] |
//!
//! Values at corners are those of the nearest sample that faces the same way, as in
//! `part.ply`. The scripts in `script` unpack and draw them; they are joined to one that needs
//! nothing from outside.

mod refine;
mod corners;
mod smooth_surface;
mod mold_surface;
mod pack;
mod keys;
mod marks;
mod scene;
pub(crate) mod section;

use crate::analysis::Analysis;
use crate::draw::color_scales::Colorings;
use crate::draw::palette::Scale;
use crate::findings::Kind;
use crate::geom::{Direction, Point};
use crate::mesh::TriMesh;
use crate::mold::build::Mold;
use crate::schema::Report;
use maud::Markup;
use refine::Pieces;

/// The scripts in the order in which they are joined. A constant stands before whatever needs
/// its value to begin.
macro_rules! joined {
    () => {
        concat!(
            include_str!("script/vectors.js"),
            include_str!("script/scene.js"),
            include_str!("script/unpack.js"),
            include_str!("script/coarse.js"),
            include_str!("script/shaders.js"),
            include_str!("script/graphics.js"),
            include_str!("script/renderer.js"),
            include_str!("script/camera.js"),
            include_str!("script/page.js"),
            include_str!("script/overlay.js"),
            include_str!("script/viewer.js"),
            include_str!("script/controls.js"),
            include_str!("script/pointer.js"),
            include_str!("script/start.js"),
        )
    };
}

/// What shows a report, for a page that shows one after the other: `startReport` begins.
pub(crate) const PIECES: &str = joined!();

/// What runs in the page of one report: plain scripts in one block, so that their names stay
/// within it.
pub const SCRIPT: &str =
    concat!("\"use strict\";\n{\n", joined!(), include_str!("script/run.js"), "}\n");

/// Edges are cut until they are no longer than so many spacings of the samples.
const EDGE: f64 = 2.0;
/// Cutting ends at so many facets, or at twice those of the part.
const MOST_FACETS: usize = 60_000;

/// The part or the mold, packed for the page.
pub struct Solid {
    /// What it is.
    pub subject: Subject,
    /// The surface, compressed, in letters.
    pub letters: String,
    /// What it means, as JSON that may stand inside a page.
    pub scene: String,
    /// The colors explained, a drawing for each way of coloring.
    pub legends: Vec<Legend>,
}

/// What is turned by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// The part, by the surfaces that its halves form.
    Part,
    /// The finished halves of its mold.
    Mold,
    /// The part as it was read, before anything is known of it.
    Shape,
}

/// What the colors of one way of coloring mean.
pub struct Legend {
    /// Key of the coloring.
    pub key: &'static str,
    /// What it is called.
    pub name: &'static str,
    /// The drawing.
    pub drawing: Markup,
}

/// Packs the part of `analysis`.
///
/// # Errors
/// When a number has no place in JSON.
pub fn pack_part(
    analysis: &Analysis,
    report: &Report,
    fields: &Colorings,
) -> Result<Solid, serde_json::Error> {
    let mut pieces = Pieces::new(&analysis.release.skins.mesh);
    let known = places(analysis, report, &mut pieces);
    let most = MOST_FACETS.max(2 * pieces.facets.len());
    pieces.refine(EDGE * analysis.part.samples.spacing(), most);
    let surface = corners::collect(analysis, fields, &pieces, &known);
    let packed = pack::pack(&surface);
    let scene = scene::describe(analysis, report, fields, &surface, &packed);
    Ok(Solid {
        subject: Subject::Part,
        scene: inside_page(&scene)?,
        legends: keys::all(fields, analysis.filling.is_ok()),
        letters: packed.letters,
    })
}

/// Packs the finished halves of `mold`, which opens along `pull`.
///
/// # Errors
/// When a number has no place in JSON.
pub fn pack_mold(mold: &Mold, pull: Direction) -> Result<Solid, serde_json::Error> {
    let surface = mold_surface::collect(mold);
    let packed = pack::pack(&surface);
    // No value is shown: any scale will do.
    let scale = Scale::magnitude(0.0, 1.0, "");
    let scene = scene::describe_mold(pull, &surface, &packed, &scale);
    Ok(Solid {
        subject: Subject::Mold,
        scene: inside_page(&scene)?,
        legends: keys::formed(),
        letters: packed.letters,
    })
}

/// Packs a part as it was read.
///
/// # Errors
/// When a number has no place in JSON.
pub fn pack_shape(mesh: &TriMesh) -> Result<Solid, serde_json::Error> {
    let surface = smooth_surface::collect(mesh);
    let packed = pack::pack(&surface);
    // No value is shown: any scale will do.
    let scale = Scale::magnitude(0.0, 1.0, "");
    let scene = scene::describe_shape(&surface, &packed, &scale);
    Ok(Solid {
        subject: Subject::Shape,
        scene: inside_page(&scene)?,
        legends: keys::none(),
        letters: packed.letters,
    })
}

/// No text inside may end the element that holds it.
fn inside_page(scene: &scene::Scene<'_>) -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string(scene)?.replace('<', "\\u003c"))
}

/// Makes the places of findings corners, so that the values there are their own; gives
/// those whose thickness is known to be that of a ball which an edge holds.
fn places(analysis: &Analysis, report: &Report, pieces: &mut Pieces) -> Vec<(u32, f64)> {
    let skins = &analysis.release.skins;
    let mut known = Vec::new();
    for finding in &report.findings {
        let Some(at) = finding.at_mm.map(Point::from) else { continue };
        let Some(near) = analysis.part.bvh.nearest(&at, f64::INFINITY) else { continue };
        let here = |skin: &u32| skins.origins[*skin as usize] == near.facet;
        let skins: Vec<u32> = (0..skins.origins.len() as u32).filter(here).collect();
        let Some(corner) = pieces.set(&near.point, &skins) else { continue };
        if finding.kind == Kind::ThickWall
            && let Some(value) = finding.value
        {
            known.push((corner, value));
        }
    }
    known
}

#[cfg(test)]
mod tests {
    use super::{SCRIPT, pack_part};
    use crate::draw::color_scales::Colorings;
    use crate::findings::fixtures::{analysis, open, plug};
    use crate::schema::assemble;
    use crate::schema::fixtures::HOSTILE;
    use serde_json::Value;
    use std::collections::BTreeSet;

    #[test]
    fn a_part_packs_the_same_twice_and_holds_nothing_that_ends_its_element() {
        for mesh in [plug(), open(&plug())] {
            let analysis = analysis(&mesh);
            let mut report = assemble::report(&analysis, HOSTILE);
            if let Some(first) = report.findings.first_mut() {
                first.title = HOSTILE.to_owned();
            }
            let fields = Colorings::collect(&analysis);
            let solid = pack_part(&analysis, &report, &fields).unwrap();
            assert_eq!(
                solid.letters,
                pack_part(&analysis, &report, &fields).unwrap().letters
            );
            assert!(!solid.scene.contains('<') && !solid.letters.contains('<'));
            let scene: Value = serde_json::from_str(&solid.scene).unwrap();
            let mut keys = BTreeSet::new();
            collect_keys(&scene, &mut keys);
            let unread: Vec<&String> = keys.iter().filter(|key| !is_read(key)).collect();
            assert!(unread.is_empty(), "no script reads {unread:?}");
            let count = |key: &str| scene[key].as_u64().unwrap() as usize;
            assert!(count("facets") >= analysis.part.mesh.facets().len());
            assert!(count("corners") > 0);
            for mark in scene["marks"].as_array().unwrap() {
                let look: Vec<f64> = mark["look"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .filter_map(|c| c.as_f64())
                    .collect();
                let size: f64 = look.iter().map(|c| c * c).sum();
                assert!((size - 1.0).abs() < 1e-9, "{mark}");
            }
        }
    }

    /// Every key of the objects in `value`, at any depth.
    fn collect_keys(value: &Value, keys: &mut BTreeSet<String>) {
        match value {
            Value::Object(map) => {
                keys.extend(map.keys().cloned());
                map.values().for_each(|inner| collect_keys(inner, keys));
            }
            Value::Array(list) => list.iter().for_each(|inner| collect_keys(inner, keys)),
            _ => {}
        }
    }

    /// Whether a script reads the property `key`: after a point, or out of braces.
    fn is_read(key: &str) -> bool {
        SCRIPT.lines().filter(|line| !line.trim_start().starts_with(['*', '/'])).any(
            |line| {
                let braced = line.split(['{', '}', ',']).any(|part| part.trim() == key);
                let mut words = line.split(|c: char| !c.is_alphanumeric() && c != '.');
                braced || words.any(|word| word.split('.').skip(1).any(|it| it == key))
            },
        )
    }

    #[test]
    fn the_script_asks_for_nothing_from_outside() {
        for word in [
            "http",
            "fetch(",
            "import(",
            "eval(",
            "innerHTML",
            "</",
            "XMLHttp",
            "localStorage",
        ] {
            assert!(!SCRIPT.contains(word), "{word}");
        }
    }
}
