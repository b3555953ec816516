//! Small drawings for the page, in numbers that the report already has.

use maud::{Markup, html};

use crate::report::{
    model::{Bin, Shot, Thickness},
    palette, words,
};

/// The drawing is this wide and is shrunk to the page.
const WIDTH: f64 = 560.0;
/// Left and right border inside the drawing.
const EDGE: f64 = 24.0;

/// The share of the surface at each thickness, with the limits marked; nothing when
/// nothing was measured.
pub(crate) fn thickness(walls: &Thickness) -> Option<Markup> {
    let sound = |bin: &&Bin| {
        bin.from.is_finite()
            && bin.to.is_finite()
            && bin.share.is_finite()
            && bin.to > bin.from
    };
    let bins: Vec<&Bin> = walls.ray_histogram.iter().filter(sound).collect();
    let limits = [("least", walls.limit_low_mm), ("greatest", walls.limit_high_mm)];
    let marks: Vec<(&str, f64)> = limits
        .into_iter()
        .filter_map(|(name, limit)| {
            Some((name, limit.filter(|limit| limit.is_finite())?))
        })
        .collect();
    let (first, last) = (bins.first()?, bins.last()?);
    let low = marks.iter().fold(first.from, |low, mark| low.min(mark.1));
    let high = marks.iter().fold(last.to, |high, mark| high.max(mark.1));
    let tallest = bins.iter().map(|bin| bin.share).fold(1e-12, f64::max);
    let at = |value: f64| EDGE + (value - low) / (high - low) * (WIDTH - 2.0 * EDGE);
    let (top, base) = (44.0, 190.0);
    let label = describe(&marks, first.from, last.to);
    Some(html! {
        svg role="img" aria-label=(label) viewBox=(format!("0 0 {WIDTH} 240")) {
            @for bin in &bins {
                @let height = (base - top) * bin.share.max(0.0) / tallest;
                rect class="bar" x=(px(at(bin.from))) y=(px(base - height))
                    width=(px((at(bin.to) - at(bin.from) - 1.0).max(0.5))) height=(px(height)) {}
            }
            line class="axis" x1=(px(EDGE)) y1=(px(base)) x2=(px(WIDTH - EDGE)) y2=(px(base)) {}
            @for tick in palette::ticks(low, high, 7) {
                line class="axis" x1=(px(at(tick))) y1=(px(base)) x2=(px(at(tick)))
                    y2=(px(base + 6.0)) {}
                text x=(px(at(tick))) y=(px(base + 24.0)) text-anchor="middle" {
                    (words::tick(tick))
                }
            }
            text x=(px(WIDTH / 2.0)) y="234" text-anchor="middle" {
                "thickness along the inward normal, mm"
            }
            @for (i, (name, limit)) in marks.iter().enumerate() {
                @let x = at(*limit);
                // Each label on its own line and towards the middle, so none is cut off.
                @let y = 14.0 + 18.0 * i as f64;
                @let left = x < WIDTH / 2.0;
                line class="limit" x1=(px(x)) y1=(px(y - 10.0)) x2=(px(x)) y2=(px(base)) {}
                text class="limit" x=(px(if left { x + 7.0 } else { x - 7.0 })) y=(px(y))
                    text-anchor=(if left { "start" } else { "end" }) {
                    (name) " " (words::quantity(*limit, "mm"))
                }
            }
        }
    })
}

fn describe(marks: &[(&str, f64)], low: f64, high: f64) -> String {
    let mut text = format!(
        "Histogram of wall thickness from {} to {}",
        words::number(low),
        words::quantity(high, "mm")
    );
    for (name, limit) in marks {
        text += &format!(", {name} allowed {}", words::quantity(*limit, "mm"));
    }
    text
}

/// How much of one stroke the shot takes; nothing when that is not known.
pub(crate) fn shot(shot: &Shot) -> Option<Markup> {
    let fraction = shot.fraction.filter(|fraction| fraction.is_finite())?.max(0.0);
    let full = fraction.max(1.0);
    let at = |share: f64| EDGE + share / full * (WIDTH - 2.0 * EDGE);
    let percent = words::percent(fraction);
    let label = format!("The shot takes {percent} of one stroke");
    let (top, high) = (30.0, 30.0);
    let over = fraction > 1.0;
    Some(html! {
        svg role="img" aria-label=(label) viewBox=(format!("0 0 {WIDTH} 92")) {
            rect class="barrel" x=(px(EDGE)) y=(px(top)) width=(px(at(1.0) - EDGE))
                height=(px(high)) {}
            rect class="bar" x=(px(EDGE)) y=(px(top + 4.0)) width=(px(at(fraction) - EDGE))
                height=(px(high - 8.0)) {}
            line class="limit" x1=(px(at(1.0))) y1=(px(top - 6.0)) x2=(px(at(1.0)))
                y2=(px(top + high + 6.0)) {}
            text x=(px(EDGE)) y="18" { "shot " (words::maybe(shot.total_g, "g")) ", " (percent) }
            text class="limit" x=(px(at(1.0))) y=(px(top + high + 24.0)) text-anchor="end" {
                "one stroke " (words::maybe(shot.capacity_g, "g"))
                @if over { " — the shot is larger" }
            }
        }
    })
}

/// A coordinate to a tenth of a pixel.
fn px(value: f64) -> String {
    format!("{value:.1}")
}

#[cfg(test)]
mod tests {
    use super::{shot, thickness};
    use crate::report::{
        fixtures,
        model::{Bin, Shot},
    };

    #[test]
    fn the_tallest_bar_fills_the_drawing_and_limits_are_named() {
        let mut walls = fixtures::report().thickness;
        let drawn = thickness(&walls).unwrap().into_string();
        assert_eq!(drawn.matches("<rect").count(), walls.ray_histogram.len());
        assert!(drawn.contains(r#"height="146.0""#), "{drawn}");
        assert!(drawn.contains("least 0.9 mm") && drawn.contains("greatest 4 mm"));
        walls.ray_histogram = vec![Bin { from: f64::NAN, to: 1.0, share: 1.0 }];
        assert!(thickness(&walls).is_none());
    }

    #[test]
    fn a_shot_over_the_stroke_runs_past_its_mark() {
        let bar = |fraction: f64| {
            shot(&Shot { fraction: Some(fraction), ..Shot::default() })
                .unwrap()
                .into_string()
        };
        // 512 px stand for one stroke, or for the shot when it is larger.
        assert!(bar(0.25).contains(r#"width="128.0""#));
        assert!(
            bar(2.0).contains(r#"width="256.0""#)
                && bar(2.0).contains(r#"width="512.0""#)
        );
        assert!(bar(2.0).contains("larger") && !bar(1.0).contains("larger"));
        assert!(shot(&Shot::default()).is_none());
    }
}
