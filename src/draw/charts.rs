//! Small drawings for the page, in numbers that the report already has.

use maud::{Markup, html};

use crate::draw::palette;
use crate::schema::{Bin, Draft, Feed, Fill, Shot, Thickness};
use crate::units::format;

/// The drawing is this wide and is shrunk to the page.
const WIDTH: f64 = 560.0;
/// Left and right border inside the drawing.
const EDGE: f64 = 24.0;

/// The share of the surface at each thickness, with the limits marked; nothing when
/// nothing was measured.
pub(crate) fn thickness(walls: &Thickness) -> Option<Markup> {
    let limits = [("least", walls.limit_low_mm), ("greatest", walls.limit_high_mm)];
    let named = Named {
        what: "wall thickness",
        axis: "thickness along the inward normal, mm",
        unit: "mm",
    };
    histogram(&walls.ray_histogram, &limits, &named)
}

/// The share of the walls at each draft, with what the tallest wall needs marked.
pub(crate) fn draft(draft: &Draft) -> Option<Markup> {
    let used = |bin: &&Bin| bin.share > 0.0;
    let (first, last) = (
        draft.histogram.iter().position(|bin| used(&bin))?,
        draft.histogram.iter().rposition(|bin| used(&bin))?,
    );
    let named = Named { what: "draft", axis: "draft of the walls, degrees", unit: "°" };
    let bins = draft.histogram.get(first..=last)?;
    histogram(bins, &[("needed by the tallest wall", draft.required_deg)], &named)
}

/// What a histogram is about.
struct Named {
    what: &'static str,
    axis: &'static str,
    unit: &'static str,
}

fn histogram(
    bins: &[Bin],
    limits: &[(&'static str, Option<f64>)],
    named: &Named,
) -> Option<Markup> {
    let sound = |bin: &&Bin| {
        bin.from.is_finite()
            && bin.to.is_finite()
            && bin.share.is_finite()
            && bin.to > bin.from
    };
    let bins: Vec<&Bin> = bins.iter().filter(sound).collect();
    let marks: Vec<(&str, f64)> = limits
        .iter()
        .filter_map(|(name, limit)| {
            Some((*name, limit.filter(|limit| limit.is_finite())?))
        })
        .collect();
    let (first, last) = (bins.first()?, bins.last()?);
    let low = marks.iter().fold(first.from, |low, mark| low.min(mark.1));
    let high = marks.iter().fold(last.to, |high, mark| high.max(mark.1));
    let tallest = bins.iter().map(|bin| bin.share).fold(1e-12, f64::max);
    let at = |value: f64| EDGE + (value - low) / (high - low) * (WIDTH - 2.0 * EDGE);
    let (top, base) = (44.0, 190.0);
    let label = describe(named, &marks, first.from, last.to);
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
                    (format::tick(tick))
                }
            }
            text x=(px(WIDTH / 2.0)) y="234" text-anchor="middle" { (named.axis) }
            @for (i, (name, limit)) in marks.iter().enumerate() {
                @let x = at(*limit);
                // Each label on its own line and towards the middle, so none is cut off.
                @let y = 14.0 + 18.0 * i as f64;
                @let left = x < WIDTH / 2.0;
                line class="limit" x1=(px(x)) y1=(px(y - 10.0)) x2=(px(x)) y2=(px(base)) {}
                text class="limit" x=(px(if left { x + 7.0 } else { x - 7.0 })) y=(px(y))
                    text-anchor=(if left { "start" } else { "end" }) {
                    (name) " " (format::quantity(*limit, named.unit))
                }
            }
        }
    })
}

fn describe(named: &Named, marks: &[(&str, f64)], low: f64, high: f64) -> String {
    let mut text = format!(
        "Histogram of {} from {} to {}",
        named.what,
        format::number(low),
        format::quantity(high, named.unit)
    );
    for (name, limit) in marks {
        text += &format!(", {name} {}", format::quantity(*limit, named.unit));
    }
    text
}

/// Room for the name of a row of the pressure drawing, and of its number.
const NAME: f64 = 150.0;
const NUMBER: f64 = 86.0;
/// Height of such a row.
const ROW: f64 = 24.0;

/// What nozzle, sprue, runner and gate take of the pressure, one after the other, and what
/// filling needs, against what the press has; nothing when no link is known.
pub(crate) fn pressure(feed: &Feed, fill: &Fill) -> Option<Markup> {
    let links = feed.links.as_ref().filter(|links| !links.is_empty())?;
    let has = fill.pressure_available_mpa.filter(|has| has.is_finite())?;
    let needs = fill.pressure_needed_mpa.filter(|needs| needs.is_finite());
    // Name, where the bar begins and ends; an end that is not known is open.
    let mut rows: Vec<(&str, f64, Option<f64>)> = Vec::new();
    let mut spent = 0.0;
    for link in links {
        let lost = link.lost_mpa.filter(|lost| lost.is_finite());
        rows.push((&link.name, spent, lost.map(|lost| spent + lost)));
        spent += lost.unwrap_or_default();
    }
    let most = spent.max(has).max(needs.unwrap_or_default()).max(1e-9) * 1.04;
    let at = |mpa: f64| NAME + mpa / most * (WIDTH - NAME - NUMBER);
    let top = 26.0;
    let count = rows.len() + usize::from(needs.is_some());
    let foot = top + ROW * count as f64;
    let label = format!(
        "Pressure: the way to the cavity takes {} at the wanted flow, the press has {}{}",
        format::quantity(spent, "MPa"),
        format::quantity(has, "MPa"),
        needs.map_or_else(String::new, |needs| {
            format!(", filling the part needs {}", format::quantity(needs, "MPa"))
        })
    );
    let beyond = at(has) > WIDTH / 2.0;
    Some(html! {
        svg role="img" aria-label=(label) viewBox=(format!("0 0 {WIDTH} {}", foot + 34.0)) {
            @for (row, (name, from, to)) in rows.iter().enumerate() {
                @let y = top + ROW * row as f64;
                text x="0" y=(px(y + 16.0)) { (name) }
                @let end = to.unwrap_or(most);
                rect class=(if to.is_some() { "bar" } else { "barrel" }) x=(px(at(*from)))
                    y=(px(y + 4.0)) width=(px((at(end) - at(*from)).max(1.0))) height=(px(ROW - 8.0)) {}
                text x=(px(WIDTH)) y=(px(y + 16.0)) text-anchor="end" {
                    (to.map_or_else(|| "no flow".to_owned(), |to| format::quantity(to - from, "MPa")))
                }
            }
            @if let Some(needs) = needs {
                @let y = foot - ROW;
                text x="0" y=(px(y + 16.0)) { "least that fills" }
                rect class="barrel" x=(px(at(0.0))) y=(px(y + 4.0)) width=(px(at(needs) - at(0.0)))
                    height=(px(ROW - 8.0)) {}
                text x=(px(WIDTH)) y=(px(y + 16.0)) text-anchor="end" { (format::quantity(needs, "MPa")) }
            }
            line class="axis" x1=(px(NAME)) y1=(px(foot)) x2=(px(WIDTH - NUMBER)) y2=(px(foot)) {}
            @for tick in palette::ticks(0.0, most, 6) {
                line class="axis" x1=(px(at(tick))) y1=(px(foot)) x2=(px(at(tick))) y2=(px(foot + 5.0)) {}
                text x=(px(at(tick))) y=(px(foot + 22.0)) text-anchor="middle" { (format::tick(tick)) }
            }
            line class="limit" x1=(px(at(has))) y1="4" x2=(px(at(has))) y2=(px(foot)) {}
            text class="limit" x=(px(at(has) + if beyond { -7.0 } else { 7.0 })) y="16"
                text-anchor=(if beyond { "end" } else { "start" }) {
                "the press has " (format::quantity(has, "MPa"))
            }
        }
    })
}

/// How much of one stroke the shot takes; nothing when that is not known.
pub(crate) fn shot(shot: &Shot) -> Option<Markup> {
    let fraction = shot.fraction.filter(|fraction| fraction.is_finite())?.max(0.0);
    let full = fraction.max(1.0);
    let at = |share: f64| EDGE + share / full * (WIDTH - 2.0 * EDGE);
    let percent = format::percent(fraction);
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
            text x=(px(EDGE)) y="18" { "shot " (format::maybe(shot.total_g, "g")) ", " (percent) }
            text class="limit" x=(px(at(1.0))) y=(px(top + high + 24.0)) text-anchor="end" {
                "one stroke " (format::maybe(shot.capacity_g, "g"))
                @if over { " — the shot is larger" }
            }
        }
    })
}

/// A coordinate to a tenth of a pixel.
pub(crate) fn px(value: f64) -> String {
    format!("{value:.1}")
}

#[cfg(test)]
mod tests {
    use super::{draft, pressure, shot, thickness};
    use crate::schema::{Bin, Feed, Fill, Link, Shot, fixtures};

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

    #[test]
    fn each_link_starts_where_the_last_one_ended() {
        let link = |name: &str, lost_mpa: Option<f64>| Link {
            name: name.to_owned(),
            size: String::new(),
            lost_mpa,
            shear_rate_1_s: None,
        };
        let links =
            vec![link("sprue", Some(3.0)), link("gate", Some(1.0)), link("end", None)];
        let feed = Feed { links: Some(links), ..Feed::default() };
        let fill = Fill { pressure_available_mpa: Some(10.0), ..Fill::default() };
        let drawn = pressure(&feed, &fill).unwrap().into_string();
        // 324 px stand for 10.4 MPa from 150 px on.
        assert!(drawn.contains(r#"x="150.0" y="30.0" width="93.5""#), "{drawn}");
        assert!(drawn.contains(r#"x="243.5" y="54.0" width="31.2""#), "{drawn}");
        assert!(drawn.contains("no flow") && drawn.contains("the press has 10 MPa"));
        assert!(pressure(&Feed::default(), &fill).is_none());
        assert!(pressure(&feed, &Fill::default()).is_none());
    }

    #[test]
    fn drafts_are_drawn_where_there_are_walls() {
        let mut known = fixtures::report().draft;
        let drawn = draft(&known).unwrap().into_string();
        assert_eq!(drawn.matches("<rect").count(), 2);
        assert!(drawn.contains("needed by the tallest wall 1.5°"), "{drawn}");
        known.histogram.clear();
        assert!(draft(&known).is_none());
    }
}
