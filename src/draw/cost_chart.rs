//! `maps/cost.png`: what a part costs over the number of parts, molded and printed, with what
//! is in doubt, and from where on the mold pays.

use crate::draw::atlas::{MARGIN, SHEET_WIDTH};
use crate::draw::canvas::{Canvas, Fonts, Pen, Spot, Type};
use crate::draw::legend::SOFT;
use crate::draw::map::{self, MapError};
use crate::draw::palette::{INK, Rgb};
use crate::process::cost::break_even::{Band, Costs};
use crate::units::format;

/// Okabe–Ito colors; each curve is named beside it as well.
const MOLDED: Rgb = [0, 114, 178];
const PRINTED: Rgb = [213, 94, 0];
/// The same, lighter, for what is in doubt.
const MOLDED_BAND: Rgb = [214, 232, 243];
const PRINTED_BAND: Rgb = [249, 226, 210];
const GRID: Rgb = [225, 225, 225];

/// Height of the sheet.
const HEIGHT: usize = 900;
/// Where the curves are: left, top, right, bottom.
const FIELD: [f32; 4] = [150.0, 140.0, 1360.0, 790.0];
/// Numbers of parts at the left and at the right.
const PARTS: [f64; 2] = [1.0, 10_000.0];

/// Costs in their currency, on logarithms of both axes.
struct Chart<'a> {
    costs: &'a Costs,
    currency: &'a str,
    /// The least and the greatest cost of a part.
    span: [f64; 2],
}

/// Draws the costs of `part`.
pub(crate) fn png(
    costs: &Costs,
    currency: &str,
    part: &str,
) -> Result<Vec<u8>, MapError> {
    let mut canvas = Canvas::new(SHEET_WIDTH, HEIGHT, Fonts::load()?);
    let left = MARGIN as f32;
    let room = (SHEET_WIDTH - 2 * MARGIN) as f32;
    let name = canvas.fonts().fit(Type::bold(30.0), part, room);
    canvas.text([left, 48.0], Type::bold(30.0), &name, INK);
    let what =
        "What a part costs over the number of parts; pale: all that is in doubt at once";
    canvas.text([left, 86.0], Type::regular(20.0), what, SOFT);
    let chart = Chart { costs, currency, span: span(costs) };
    chart.bands(&mut canvas);
    chart.axes(&mut canvas);
    chart.curves(&mut canvas);
    chart.mark(&mut canvas);
    map::encode(&canvas)
}

/// Powers of ten around all that is drawn.
fn span(costs: &Costs) -> [f64; 2] {
    let most = molded(costs, PARTS[0], |band| band.worst);
    let least = molded(costs, PARTS[1], |band| band.best).min(costs.printed_band.best);
    let least = if least > 0.0 { least } else { 0.01 };
    [
        10_f64.powf(least.log10().floor()),
        10_f64.powf(most.max(least * 10.0).log10().ceil()),
    ]
}

fn molded(costs: &Costs, parts: f64, of: fn(&Band<f64>) -> f64) -> f64 {
    of(&costs.molded_band) + of(&costs.mold_band) / parts
}

impl Chart<'_> {
    fn at(&self, parts: f64, cost: f64) -> Spot {
        let share = |value: f64, [low, high]: [f64; 2]| {
            ((value / low).ln() / (high / low).ln()).clamp(0.0, 1.0) as f32
        };
        let [left, top, right, bottom] = FIELD;
        [
            left + share(parts, PARTS) * (right - left),
            bottom - share(cost, self.span) * (bottom - top),
        ]
    }

    /// Numbers of parts, close enough for a smooth curve.
    fn steps() -> impl Iterator<Item = f64> {
        (0..=400)
            .map(|step| PARTS[0] * (PARTS[1] / PARTS[0]).powf(f64::from(step) / 400.0))
    }

    fn bands(&self, canvas: &mut Canvas) {
        let Costs { printed_band, .. } = self.costs;
        let ends = [(PRINTED_BAND, false), (MOLDED_BAND, true)];
        for (color, is_molded) in ends {
            let pen = Pen { color, width: 5.0 };
            for parts in Self::steps() {
                let [best, worst] = if is_molded {
                    [
                        molded(self.costs, parts, |it| it.best),
                        molded(self.costs, parts, |it| it.worst),
                    ]
                } else {
                    [printed_band.best, printed_band.worst]
                };
                canvas.line(self.at(parts, best), self.at(parts, worst), pen);
            }
        }
    }

    fn axes(&self, canvas: &mut Canvas) {
        let [left, top, right, bottom] = FIELD;
        let thin = Pen { color: GRID, width: 1.0 };
        let mut parts = PARTS[0];
        while parts <= PARTS[1] * 1.001 {
            let [x, _] = self.at(parts, self.span[0]);
            canvas.line([x, top], [x, bottom], thin);
            canvas.text_about(
                [x, bottom + 30.0],
                Type::regular(20.0),
                &format::number(parts),
                INK,
            );
            parts *= 10.0;
        }
        let mut cost = self.span[0];
        while cost <= self.span[1] * 1.001 {
            let [_, y] = self.at(PARTS[0], cost);
            canvas.line([left, y], [right, y], thin);
            let label = format!("{} {}", self.currency, format::number(cost));
            let wide = canvas.fonts().width(Type::regular(20.0), &label);
            canvas.text([left - wide - 12.0, y + 7.0], Type::regular(20.0), &label, INK);
            cost *= 10.0;
        }
        let pen = Pen { color: SOFT, width: 1.5 };
        canvas.line([left, bottom], [right, bottom], pen);
        canvas.line([left, top], [left, bottom], pen);
        let middle = f32::midpoint(left, right);
        canvas.text_about([middle, bottom + 66.0], Type::regular(20.0), "parts", INK);
    }

    fn curves(&self, canvas: &mut Canvas) {
        let steps: Vec<f64> = Self::steps().collect();
        let expected = |parts: f64| molded(self.costs, parts, |it| it.expected);
        for pair in steps.windows(2) {
            let ends = [pair[0], pair[1]].map(|parts| self.at(parts, expected(parts)));
            canvas.line(ends[0], ends[1], Pen { color: MOLDED, width: 3.0 });
        }
        let printed = self.costs.printed_band.expected;
        let ends = PARTS.map(|parts| self.at(parts, printed));
        canvas.line(ends[0], ends[1], Pen { color: PRINTED, width: 3.0 });
        let right = FIELD[2] + 14.0;
        let mut names = [
            (self.at(PARTS[1], expected(PARTS[1]))[1], "molded", MOLDED),
            (ends[1][1], "printed", PRINTED),
        ];
        names.sort_by(|a, b| a.0.total_cmp(&b.0));
        // Names of near curves stand apart.
        let lowest = names[0].0 + 26.0;
        names[1].0 = names[1].0.max(lowest);
        for (y, name, color) in names {
            canvas.text([right, y + 7.0], Type::bold(22.0), name, color);
        }
    }

    /// Where the mold pays.
    fn mark(&self, canvas: &mut Canvas) {
        let [_, top, _, bottom] = FIELD;
        let even = &self.costs.break_even;
        let Some(expected) = even.expected else {
            let words = "the mold never pays";
            canvas.text([FIELD[0] + 20.0, top - 14.0], Type::bold(20.0), words, INK);
            return;
        };
        for (parts, width) in [(even.best, 1.0), (Some(expected), 2.5), (even.worst, 1.0)]
        {
            let Some(parts) = parts.filter(|parts| *parts <= PARTS[1]) else { continue };
            let [x, _] = self.at(parts, self.span[0]);
            canvas.line([x, top], [x, bottom], Pen { color: INK, width });
        }
        let words = format!("pays from {} parts on", format::number(expected));
        let [x, _] = self.at(expected.min(PARTS[1]), self.span[0]);
        canvas.text_about([x, top - 14.0], Type::bold(20.0), &words, INK);
    }
}

#[cfg(test)]
mod tests {
    use super::{FIELD, png, span};
    use crate::process::cost::break_even::{Band, Costs, break_even};
    use crate::process::cost::{MoldCost, PartCost, PrintCost};

    fn costs(mold: f64, molded: f64, printed: f64) -> Costs {
        let band =
            |value: f64| Band { best: 0.7 * value, expected: value, worst: 1.4 * value };
        let zero = 0.0;
        Costs {
            mold: MoldCost {
                router_h: zero,
                hand_h: zero,
                router: zero,
                hand: zero,
                aluminum: zero,
                cutters: zero,
                hardware: zero,
                total: mold,
            },
            molded: PartCost {
                parts_per_hour: zero,
                plastic: zero,
                press: zero,
                hand: zero,
                heating_up: zero,
                scrap: zero,
                total: molded,
            },
            printed: PrintCost {
                hours: zero,
                grams: zero,
                material: zero,
                printer: zero,
                hand: zero,
                failed: zero,
                total: printed,
            },
            mold_band: band(mold),
            molded_band: band(molded),
            printed_band: band(printed),
            break_even: Band {
                best: break_even(0.7 * mold, 0.7 * molded, 1.4 * printed),
                expected: break_even(mold, molded, printed),
                worst: break_even(1.4 * mold, 1.4 * molded, 0.7 * printed),
            },
            wanted: 100,
            cavities: Vec::new(),
            best_cavities: 1,
            bound: "",
        }
    }

    #[test]
    fn the_axes_hold_every_curve() {
        let [low, high] = span(&costs(300.0, 1.0, 3.0));
        // 0.7 and 1.4 × 301 lie between a tenth and a thousand.
        assert!((low - 0.1).abs() < 1e-9 && (high - 1000.0).abs() < 1e-9);
    }

    /// The molded curve falls through the printed one at 150 parts: 300 / (3 − 1).
    #[test]
    fn both_curves_and_the_mark_are_drawn() {
        let picture = png(&costs(300.0, 1.0, 3.0), "$", "plug.stl").unwrap();
        let image = image::load_from_memory(&picture).unwrap().to_rgb8();
        let [left, _, right, _] = FIELD;
        let share = 150_f32.log10() / 4.0;
        let x = (left + share * (right - left)) as u32;
        let dark =
            (200..700).filter(|y| image.get_pixel(x, *y).0.iter().all(|it| *it < 90));
        assert!(dark.count() > 300, "the mark stands at 150 parts");
        assert!(!png(&costs(300.0, 3.0, 1.0), "€", "a\nb.stl").unwrap().is_empty());
    }
}
