//! What the colors in the page mean: drawings with ticks, unit and limits.

use maud::{Markup, html};

use crate::draw::charts::px;
use crate::draw::color_scales::Colorings;
use crate::draw::formed_surfaces::Formed;
use crate::draw::palette::{self, Kind, Rgb, Scale};
use crate::draw::problems::{Problem, SOUND};
use crate::units::format;
use crate::units::us_words::INCH_MM;
use crate::viewer::Legend;

/// The drawing is so wide and high.
const WIDTH: f64 = 420.0;
const HEIGHT: f64 = 74.0;
/// The one of a mold is wider: its words are longer.
const FORMED_WIDTH: f64 = 448.0;
/// Left end of the bar.
pub(crate) const LEFT: f64 = 20.0;
/// Right end of the bar.
pub(crate) const RIGHT: f64 = 376.0;
/// Top of the bar.
pub(crate) const TOP: f64 = 26.0;
/// Foot of the bar.
const FOOT: f64 = 42.0;
/// Steps of the bar.
const STEPS: u32 = 80;

/// The legends of every way of coloring.
pub(crate) fn all(fields: &Colorings, fills: bool) -> Vec<Legend> {
    let mut all = vec![
        Legend { key: "problem", name: "problems only", drawing: problems() },
        Legend { key: "release", name: "which half forms it", drawing: kinds() },
        Legend {
            key: "draft",
            name: "draft",
            drawing: bar(&fields.draft_scale, "Draft"),
        },
        Legend {
            key: "ball",
            name: "wall, largest ball inside",
            drawing: bar(&fields.wall_scale, "Wall by the largest ball inside"),
        },
        Legend {
            key: "ray",
            name: "wall, straight through",
            drawing: bar(&fields.wall_scale, "Wall straight through"),
        },
    ];
    if fills {
        let drawing = bar(&fields.time_scale, "When the melt arrives");
        all.push(Legend { key: "time", name: "when the melt arrives", drawing });
    }
    all
}

fn hex([r, g, b]: Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A scale with its ticks below and its limits above; one of lengths also in inches, of which
/// the style of the page shows the one that its numbers are written in.
fn bar(scale: &Scale, name: &str) -> Markup {
    if scale.unit != "mm" {
        return bar_in(
            scale,
            name,
            &Written { unit: &scale.unit, in_one: 1.0, class: "" },
        );
    }
    html! {
        (bar_in(scale, name, &Written { unit: "mm", in_one: 1.0, class: "metric" }))
        (bar_in(scale, name, &Written { unit: "in", in_one: INCH_MM, class: "us" }))
    }
}

/// How the values of a scale are written.
struct Written<'a> {
    unit: &'a str,
    /// So many of the scale's own unit are one of `unit`.
    in_one: f64,
    class: &'a str,
}

fn bar_in(scale: &Scale, name: &str, written: &Written<'_>) -> Markup {
    let Written { unit, in_one, class } = *written;
    let (low, high) = scale.range();
    let at = |value: f64| LEFT + scale.place(value) * (RIGHT - LEFT);
    let wide = (RIGHT - LEFT) / f64::from(STEPS);
    let limits: Vec<String> = scale
        .limits
        .iter()
        .map(|limit| {
            format!("{} {}", limit.label, format::quantity(limit.value / in_one, unit))
        })
        .collect();
    let label = format!(
        "{name}, from {} to {}{}",
        format::number(low / in_one),
        format::quantity(high / in_one, unit),
        limits.iter().fold(String::new(), |all, limit| all + ", " + limit)
    );
    html! {
        svg class=(format!("key {class}")) role="img" aria-label=(label) viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) {
            @for step in 0..STEPS {
                @let share = (f64::from(step) + 0.5) / f64::from(STEPS);
                rect x=(px(LEFT + wide * f64::from(step))) y=(px(TOP)) width=(px(wide + 0.4))
                    height=(px(FOOT - TOP)) fill=(hex(scale.color(low + (high - low) * share))) {}
            }
            rect.frame x=(px(LEFT)) y=(px(TOP)) width=(px(RIGHT - LEFT)) height=(px(FOOT - TOP)) {}
            @for tick in palette::ticks(low / in_one, high / in_one, 6) {
                @let x = px(at(tick * in_one));
                line.axis x1=(x) y1=(px(FOOT)) x2=(x) y2=(px(FOOT + 5.0)) {}
                text x=(x) y=(px(FOOT + 20.0)) text-anchor="middle" { (format::tick(tick)) }
            }
            text x=(px(RIGHT + 8.0)) y=(px(FOOT - 4.0)) { (unit) }
            @for (i, (limit, text)) in scale.limits.iter().zip(&limits).enumerate() {
                @let x = at(limit.value);
                // The first of two stands to the left of its line, so that they keep apart, and
                // none runs over the border.
                @let first = i == 0 && scale.limits.len() > 1 && x > 0.3 * WIDTH;
                @let before = first || x > 0.8 * WIDTH;
                line.limit x1=(px(x)) y1=(px(TOP - 6.0)) x2=(px(x)) y2=(px(FOOT)) {}
                text.limit x=(px(if before { x + 4.0 } else { x - 4.0 })) y="14"
                    text-anchor=(if before { "end" } else { "start" }) { (text) }
            }
            path.needle d="M0 0 l-5 -9 h10 z" visibility="hidden" {}
        }
    }
}

/// A swatch for each way to leave the mold; the trapped one is hatched.
fn kinds() -> Markup {
    html! {
        svg.key role="img" aria-label="Halves: cavity side, core side, upright, trapped (hatched)"
            viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) {
            @for (i, kind) in Kind::ALL.into_iter().enumerate() {
                @let x = LEFT + 104.0 * i as f64;
                rect.frame x=(px(x)) y="22" width="22" height="22" fill=(hex(kind.color())) {}
                @if kind.hatched() {
                    path.hatch d=(format!("M{x} 33 l11 -11 M{x} 44 l22 -22 M{} 44 l11 -11", x + 11.0)) {}
                }
                text x=(px(x + 27.0)) y="38" { (kind.label()) }
            }
        }
    }
}

/// A swatch for each problem, and one for what is sound.
fn problems() -> Markup {
    let sound = std::iter::once((SOUND, "nothing found"));
    let all = Problem::ALL.iter().map(|it| (it.color(), it.label())).chain(sound);
    html! {
        svg.key role="img" aria-label="Problems: trapped, short of draft, too thick, too thin, nothing found"
            viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) {
            @for (i, (color, label)) in all.enumerate() {
                @let x = LEFT + 132.0 * (i % 3) as f64;
                @let y = 8.0 + 32.0 * (i / 3) as f64;
                rect.frame x=(px(x)) y=(px(y)) width="22" height="22" fill=(hex(color)) {}
                text x=(px(x + 27.0)) y=(px(y + 16.0)) { (label) }
            }
        }
    }
}

/// That of a part of which only its shape is known: nothing to be explained.
pub(crate) fn none() -> Vec<Legend> {
    vec![Legend { key: "problem", name: "shape only", drawing: html! {} }]
}

/// The one legend of a mold: a swatch for each thing that a half forms.
pub(crate) fn formed() -> Vec<Legend> {
    let labels = Formed::ALL.map(Formed::label).join("; ");
    let drawing = html! {
        svg.key role="img" aria-label=(format!("What the metal forms: {labels}"))
            viewBox=(format!("0 0 {FORMED_WIDTH} {HEIGHT}")) {
            @for (i, formed) in Formed::ALL.into_iter().enumerate() {
                @let x = LEFT + 196.0 * (i % 2) as f64;
                @let y = 8.0 + 32.0 * (i / 2) as f64;
                rect.frame x=(px(x)) y=(px(y)) width="22" height="22" fill=(hex(formed.color())) {}
                text x=(px(x + 27.0)) y=(px(y + 16.0)) { (formed.label()) }
            }
        }
    };
    vec![Legend { key: "formed", name: "what the metal forms", drawing }]
}

#[cfg(test)]
mod tests {
    use super::{bar, kinds};
    use crate::draw::palette::Scale;

    #[test]
    fn a_legend_names_its_limits_and_keeps_them_within() {
        let scale =
            Scale::magnitude(2.5, 5.0, "mm").marking(2.5, "least").marking(5.0, "most");
        let drawn = bar(&scale, "Thickness").into_string();
        assert!(drawn.contains("Thickness, from 2.5 to 5 mm, least 2.5 mm, most 5 mm"));
        assert!(
            drawn.contains(r#"x="16.0" y="14" text-anchor="start">least 2.5 mm"#),
            "{drawn}"
        );
        assert!(
            drawn.contains(r#"x="380.0" y="14" text-anchor="end">most 5 mm"#),
            "{drawn}"
        );
        assert!(
            drawn.contains("Thickness, from 0.0984 to 0.197 in, least 0.0984 in"),
            "{drawn}"
        );
        assert_eq!(drawn.matches("fill=\"#").count(), 2 * 80);
    }

    #[test]
    fn what_is_trapped_is_hatched_as_well_as_colored() {
        assert_eq!(kinds().into_string().matches("class=\"hatch\"").count(), 1);
    }
}
