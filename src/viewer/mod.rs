//! The part in the page, to be turned by hand.
//!
//! | question | file |
//! |---|---|
//! | how are long facets cut, so that corners can carry values | [`refine`] |
//! | which value does each corner have | [`corners`] |
//! | how do corners become bytes | [`pack`] |
//! | what do counts, scales, faces, places and lines in the page mean | [`scene`] |
//! | what do the colors mean | [`keys`] |
//! | which controls stand around the canvas | [`section`] |
//!
//! `viewer.js` and `gl.js` draw, `coarse.js` makes a
//! stand-in for large parts on slow machines. Values at
//! corners are those of the nearest sample that faces the same way, as in `part.ply`.

mod refine;
mod corners;
mod pack;
mod scene;
mod keys;
pub(crate) mod section;

use maud::Markup;

use crate::analysis::Analysis;
use crate::draw::coloring::Colorings;
use crate::findings::Kind;
use crate::geom::Point;
use crate::schema::Report;
use refine::Pieces;

/// What runs in the page.
pub const SCRIPT: &str = concat!(
    "\"use strict\";\n{\n",
    include_str!("gl.js"),
    include_str!("coarse.js"),
    include_str!("viewer.js"),
    "}\n"
);

/// Edges are cut until they are no longer than so many spacings of the samples.
const EDGE: f64 = 2.0;
/// Cutting ends at so many facets, or at twice those of the part.
const MOST_FACETS: usize = 60_000;

/// The part, packed for the page.
pub struct Solid {
    /// The surface, compressed, in letters.
    pub letters: String,
    /// What it means, as JSON that may stand inside a page.
    pub scene: String,
    /// The colors explained, a drawing for each way of coloring.
    pub legends: Vec<Legend>,
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
        // No text inside may end the element that holds it.
        scene: serde_json::to_string(&scene)?.replace('<', "\\u003c"),
        legends: keys::all(fields, analysis.filling.is_ok()),
        letters: packed.letters,
    })
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
    use crate::draw::coloring::Colorings;
    use crate::findings::fixtures::{analysis, open, plug};
    use crate::schema::assemble;
    use crate::schema::fixtures::HOSTILE;

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
            let scene: serde_json::Value = serde_json::from_str(&solid.scene).unwrap();
            assert_eq!(
                scene["findings"].as_array().unwrap().len(),
                report.findings.len()
            );
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
