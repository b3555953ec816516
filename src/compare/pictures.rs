//! Pictures of a revision: walls and surface of the new part against the old one.

use rayon::prelude::*;

use crate::analysis::Analysis;
use crate::compare::outline;
use crate::compare::shape::Seen;
use crate::draw::map::{self, MapError, Sheet};
use crate::draw::marks::Mark;
use crate::draw::paint::Paint;
use crate::draw::palette::{Scale, nice_step};
use crate::geom::Point;
use crate::part::thickness;
use crate::report::blocks::DrawnPicture;
use crate::report::bundle::{Overview, overview};

/// What a place with nothing to compare with is called.
const NO_OTHER: &str = "no such wall before";

const MOVED: &str = "Surface: how far the new part lies from the old one, positive where plastic \
    was added, negative where it was taken away";
const MOVED_OPEN: &str = "Surface: how far the new part lies from the old one; which way is not \
    known, the old surface is open";
const LEFT: &str = "Old part: how far it lies from the new one, positive where plastic was taken \
    away, negative where it was added";
const LEFT_OPEN: &str = "Old part: how far it lies from the new one; which way is not known, the \
    new surface is open";

struct Map<'a> {
    file: &'static str,
    caption: &'static str,
    alt: &'static str,
    analysis: &'a Analysis,
    part: String,
    values: Vec<Option<f64>>,
    gap: &'static str,
    marks: Vec<Mark>,
}

/// The pictures of what changed from `before` to `after`; none where nothing did.
pub(super) fn draw_all(
    before: &Analysis,
    after: &Analysis,
    names: [&str; 2],
    seen: &Seen,
) -> Result<Vec<DrawnPicture>, MapError> {
    let shape = &seen.shape;
    if shape.is_same() {
        return Ok(Vec::new());
    }
    let places = outline::places(shape).into_iter();
    let marks =
        places.map(|(number, _, region)| Mark { number, at: Point::from(region.at_mm) });
    let mut maps = vec![Map {
        file: "maps/walls.png",
        caption: "Walls: the new wall minus the wall at the nearest place of the old part, thinner is negative",
        alt: "The new part from several sides, colored by how much its walls became thicker or thinner",
        analysis: after,
        part: names[1].to_owned(),
        values: walls(after, seen),
        gap: NO_OTHER,
        marks: marks.collect(),
    }];
    let least = shape.least_mm;
    let parts = [before, after];
    let sides = [
        (
            "maps/moved.png",
            [MOVED, MOVED_OPEN],
            "The new part from several sides, colored by its distance from the old one",
            (1, shape.moved_area_mm2, &seen.revision.moved),
        ),
        (
            "maps/before.png",
            [LEFT, LEFT_OPEN],
            "The old part from several sides, colored by its distance from the new one",
            (0, shape.left_area_mm2, &seen.revision.left),
        ),
    ];
    for (file, [signed, open], alt, (part, area, far)) in sides {
        if area > 0.0 {
            let counted = |value: &f64| Some(counted(*value, least));
            maps.push(Map {
                file,
                caption: if far.signed { signed } else { open },
                alt,
                analysis: parts[part],
                part: names[part].to_owned(),
                values: far.values.iter().map(counted).collect(),
                gap: "",
                marks: Vec::new(),
            });
        }
    }
    let overviews = [overview(before), overview(after)];
    maps.into_par_iter()
        .map(|map| {
            draw(
                &map,
                &overviews[usize::from(map.file != "maps/before.png")],
                shape.least_mm,
            )
        })
        .collect()
}

/// The change of every wall; edges show that of the wall beside them.
fn walls(after: &Analysis, seen: &Seen) -> Vec<Option<f64>> {
    let filled = thickness::filled(&after.part.samples, &seen.revision.wall);
    let changes = filled.iter().zip(&seen.revision.same_wall);
    let counted = |value: f64| counted(value, seen.shape.least_mm);
    changes.map(|(change, is_same)| change.filter(|_| *is_same).map(counted)).collect()
}

/// What does not count as a change is none.
fn counted(value: f64, least: f64) -> f64 {
    if value.abs() > least { value } else { 0.0 }
}

fn draw(
    map: &Map<'_>,
    overview: &Overview<'_>,
    least: f64,
) -> Result<DrawnPicture, MapError> {
    let mut scale = Scale::signed(span(&map.values, least), "mm");
    scale.gap = map.gap;
    let sheet = Sheet {
        part: &map.part,
        what: map.caption,
        paint: Paint::Samples {
            samples: &map.analysis.part.samples,
            values: &map.values,
            scale: &scale,
        },
        marks: &map.marks,
        counted: "walls that changed",
        seam: &[],
        pull: map.analysis.release.pull,
        share: Some(overview.share),
    };
    let png = map::png(&overview.atlas, &sheet)?;
    Ok(DrawnPicture { file: map.file, caption: map.caption, alt: map.alt, png })
}

/// So that all but the outermost hundredth of what changed has a color of its own.
fn span(values: &[Option<f64>], least: f64) -> f64 {
    let mut sizes: Vec<f64> = values
        .iter()
        .flatten()
        .map(|value| value.abs())
        .filter(|size| *size > least)
        .collect();
    sizes.sort_by(f64::total_cmp);
    let most = sizes.get(sizes.len() * 99 / 100).copied().unwrap_or(least);
    nice_step(most.max(2.0 * least))
}

#[cfg(test)]
mod tests {
    use super::span;

    #[test]
    fn the_span_is_round_and_holds_nearly_all_changes() {
        let values: Vec<Option<f64>> = (0..1000)
            .map(|i| Some(if i < 900 { 0.0 } else { -0.8 }))
            .chain([Some(40.0), None])
            .collect();
        assert!((span(&values, 0.05) - 1.0).abs() < 1e-12);
        assert!((span(&[], 0.05) - 0.1).abs() < 1e-12);
    }
}
