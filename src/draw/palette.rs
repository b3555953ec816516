//! Value → color, and the numbers that a legend shows.
//!
//! Magnitudes run along *viridis*, which grows lighter all the way and so survives gray
//! print and color-blind eyes; signed values run along `PuOr` of `ColorBrewer` with zero in
//! the pale middle; draft is dark below its limit and pale from there on; kinds take four Okabe–Ito colors of clearly different lightness. What
//! matters most (trapped, leaning back, no value) carries a pattern too, so that nothing
//! hangs on color alone.

/// Red, green, blue.
pub type Rgb = [u8; 3];

/// Where a place has no value.
pub const NO_VALUE: Rgb = [205, 205, 205];
/// Lines and letters.
pub const INK: Rgb = [34, 34, 34];
/// Paper.
pub const WHITE: Rgb = [255, 255, 255];

/// Colors of a scale.
pub(crate) const COLORS: u32 = 81;

/// How a point of the surface leaves the mold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Formed by the cavity half, leaves freely.
    Cavity,
    /// Formed by the core half, leaves freely.
    Core,
    /// Stands along the pull.
    Upright,
    /// Neither half can leave it.
    Trapped,
}

impl Kind {
    /// Every kind, in the order of the legend and of the codes in `part.ply`.
    pub const ALL: [Self; 4] = [Self::Cavity, Self::Core, Self::Upright, Self::Trapped];

    /// Its color.
    pub fn color(self) -> Rgb {
        match self {
            Self::Cavity => [86, 180, 233],
            Self::Core => [0, 114, 178],
            Self::Upright => [240, 228, 66],
            Self::Trapped => [213, 94, 0],
        }
    }

    /// What the legend calls it.
    pub fn label(self) -> &'static str {
        match self {
            Self::Cavity => "cavity side",
            Self::Core => "core side",
            Self::Upright => "upright",
            Self::Trapped => "trapped",
        }
    }

    /// Whether it is hatched as well as colored.
    pub fn hatched(self) -> bool {
        self == Self::Trapped
    }
}

/// A value that the legend marks.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Where, in the unit of the scale.
    pub value: f64,
    /// What it is, such as `least wall`; the legend adds the number and the unit.
    pub label: String,
}

/// Which colors a scale runs along.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Ramp {
    Magnitude,
    Signed,
    Angle { limit: f64 },
}

/// A range of values and its colors. The ends are finite and the high end is above the
/// low one, whatever was asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    ramp: Ramp,
    low: f64,
    high: f64,
    /// Unit of the values, such as `mm`.
    pub unit: String,
    /// Values marked on the legend.
    pub limits: Vec<Limit>,
    /// What a place without a value is called.
    pub gap: &'static str,
    /// A line is drawn at each multiple of this; no lines when `None`.
    pub line_every: Option<f64>,
}

/// What a place without a value is called when nothing else is said.
const GAP: &str = "no value here";

impl Scale {
    /// For values without a sign, such as thickness.
    pub fn magnitude(low: f64, high: f64, unit: &str) -> Self {
        let (low, high) = sound_range(low, high);
        Self {
            ramp: Ramp::Magnitude,
            low,
            high,
            unit: unit.to_owned(),
            limits: Vec::new(),
            gap: GAP,
            line_every: None,
        }
    }

    /// For values without a sign: from round number to round number, so that all of
    /// `limits` and all but the outermost hundredth of `values` at each end lie within.
    pub fn fitting(values: &[Option<f64>], limits: Vec<Limit>, unit: &str) -> Self {
        let mut known: Vec<f64> =
            values.iter().flatten().copied().filter(|value| value.is_finite()).collect();
        known.sort_by(f64::total_cmp);
        let at = |share: f64| known.get((known.len() as f64 * share) as usize).copied();
        let marked = limits.iter().map(|limit| limit.value).filter(|v| v.is_finite());
        let all: Vec<f64> = marked.chain(at(0.01)).chain(at(0.99)).collect();
        let low = all.iter().copied().fold(f64::INFINITY, f64::min);
        let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = sound_range(low, high);
        let step = nice_step((high - low) / 5.0);
        let mut scale = Self::magnitude(
            (low / step).floor() * step,
            (high / step).ceil() * step,
            unit,
        );
        scale.limits = limits;
        scale
    }

    /// For values without a sign of which the size counts: from nothing to a round number. A
    /// thousandth of a pressure is no difference, and must not look like one.
    pub fn from_zero(values: &[Option<f64>], unit: &str) -> Self {
        let (_, high) = Self::fitting(values, Vec::new(), unit).range();
        let step = nice_step(high / 5.0);
        Self::magnitude(0.0, (high / step).ceil() * step, unit)
    }

    /// For angles of which at least `limit` is wanted, from `-span` to `span`: what is short
    /// of it is dark, what has it is pale.
    pub fn angle(span: f64, limit: f64, unit: &str) -> Self {
        let (low, high) = (-span, span);
        Self { ramp: Ramp::Angle { limit }, low, high, ..Self::signed(span, unit) }
    }

    /// For values of which the sign matters, from `-span` to `span`.
    pub fn signed(span: f64, unit: &str) -> Self {
        let span = if span.is_finite() && span > 0.0 { span } else { 1.0 };
        let unit = unit.to_owned();
        Self {
            ramp: Ramp::Signed,
            low: -span,
            high: span,
            unit,
            limits: Vec::new(),
            gap: GAP,
            line_every: None,
        }
    }

    /// The same scale with `limit` marked.
    #[must_use]
    pub fn marking(mut self, value: f64, label: &str) -> Self {
        self.limits.push(Limit { value, label: label.to_owned() });
        self
    }

    /// The same scale with a line at each of its round values, and with what a place
    /// without a value is called.
    #[must_use]
    pub fn with_lines(mut self, gap: &'static str) -> Self {
        let ticks = self.ticks();
        self.line_every = ticks.first().zip(ticks.get(1)).map(|(a, b)| b - a);
        self.gap = gap;
        self
    }

    /// The least and the greatest value with a color of its own.
    pub fn range(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    /// How far along the scale `value` lies: 0 at the low end and below, 1 at the high
    /// end and above.
    pub fn place(&self, value: f64) -> f64 {
        ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }

    /// The color of `value`.
    pub fn color(&self, value: f64) -> Rgb {
        if value.is_nan() {
            return NO_VALUE;
        }
        // Steps too small to see, yet equal neighbors make a picture small.
        let last = f64::from(COLORS - 1);
        let place = (self.place(value) * last).round() / last;
        let color = match self.ramp {
            Ramp::Magnitude => colorous::VIRIDIS.eval_continuous(place),
            // ColorBrewer's own order: orange, which calls, for what leans back. The ends
            // are nearly black and would hide every line, so they are left out.
            Ramp::Signed => {
                colorous::PURPLE_ORANGE.eval_continuous(0.5 + 0.8 * (0.5 - place))
            }
            Ramp::Angle { limit } => self.draft_color(place, limit),
        };
        color.into_array()
    }

    /// Purple where it leans back, dark orange from zero on, pale from the limit on: the step
    /// there is what a person looks for (contrast above 3 to 1 after WCAG 2.2, 1.4.11).
    fn draft_color(&self, place: f64, limit: f64) -> colorous::Color {
        let value = self.low + place * (self.high - self.low);
        let share = |from: f64, to: f64| ((value - from) / (to - from)).clamp(0.0, 1.0);
        if value < -1e-9 {
            colorous::PURPLES.eval_continuous(0.6 + 0.35 * (1.0 - share(self.low, 0.0)))
        } else if value < limit {
            colorous::ORANGES.eval_continuous(0.95 - 0.25 * share(0.0, limit))
        } else {
            colorous::GREYS.eval_continuous(0.12 * (1.0 - share(limit, self.high)))
        }
    }

    /// Whether `value` is hatched as well as colored: below zero on a signed scale, whose
    /// two ends look alike in gray.
    pub fn hatched(&self, value: f64) -> bool {
        self.ramp != Ramp::Magnitude && value < 0.0
    }

    /// Round values for the legend.
    pub fn ticks(&self) -> Vec<f64> {
        ticks(self.low, self.high, 8)
    }
}

/// `share` of the way from `old` to `new`.
pub(crate) fn mix(old: u8, new: u8, share: f32) -> u8 {
    (f32::from(old) + (f32::from(new) - f32::from(old)) * share).round() as u8
}

/// Round values (a step of 1, 2 or 5 times a power of ten) within `low..=high`, at most
/// `count` of them and one more.
pub fn ticks(low: f64, high: f64, count: usize) -> Vec<f64> {
    let (low, high) = sound_range(low, high);
    let step = nice_step((high - low) / count.max(1) as f64);
    let slack = step * 1e-6;
    let first = ((low - slack) / step).ceil();
    let last = ((high + slack) / step).floor();
    let steps = (last - first).clamp(0.0, 2.0 * count as f64) as usize;
    // Adding zero turns −0 into 0.
    (0..=steps).map(|i| (first + i as f64) * step + 0.0).collect()
}

/// The least of 1, 2, 5 times a power of ten that is not below `least`.
pub fn nice_step(least: f64) -> f64 {
    if !(least.is_finite() && least > 0.0) {
        return 1.0;
    }
    let power = 10f64.powf(least.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0];
    let fits = |step: &&f64| **step * power >= least * (1.0 - 1e-9);
    steps.iter().find(fits).unwrap_or(&10.0) * power
}

/// `low` and `high` where they make a range, otherwise one that does.
fn sound_range(low: f64, high: f64) -> (f64, f64) {
    match (low.is_finite(), high.is_finite()) {
        (true, true) if high - low > 1e-9 * low.abs().max(high.abs()).max(1e-9) => {
            (low, high)
        }
        (true, _) => (low, low + low.abs().max(1.0)),
        _ => (0.0, 1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::{Kind, Limit, NO_VALUE, Scale, nice_step, ticks};

    /// Lightness as the eye sees it, 0 to 100: CIE L* of sRGB (IEC 61966-2-1).
    fn lightness(color: [u8; 3]) -> f64 {
        let linear = color.map(|c| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        });
        let y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
        if y > 0.008856 { 116.0 * y.cbrt() - 16.0 } else { 903.3 * y }
    }

    #[test]
    fn the_ends_are_the_published_ones() {
        // matplotlib's viridis: #440154 … #fde725; ColorBrewer PuOr, 11 classes: #b35806
        // and #542788 are next to the ends, #f7f7f7 is between.
        let scale = Scale::magnitude(1.0, 3.0, "mm");
        assert_eq!(scale.color(1.0), [0x44, 0x01, 0x54]);
        assert_eq!(scale.color(3.0), [0xfd, 0xe7, 0x25]);
        assert_eq!(scale.color(-9.0), scale.color(1.0));
        assert_eq!(scale.color(f64::NAN), NO_VALUE);
        let angle = Scale::signed(10.0, "°");
        let near =
            |a: [u8; 3], b: [u8; 3]| a.iter().zip(b).all(|(a, b)| a.abs_diff(b) < 16);
        assert!(near(angle.color(-10.0), [0xb3, 0x58, 0x06]), "{:?}", angle.color(-10.0));
        assert!(near(angle.color(10.0), [0x54, 0x27, 0x88]), "{:?}", angle.color(10.0));
        assert!(near(angle.color(0.0), [0xf7, 0xf7, 0xf7]), "{:?}", angle.color(0.0));
    }

    #[test]
    fn magnitudes_grow_lighter_and_kinds_differ_in_gray() {
        let scale = Scale::magnitude(0.0, 1.0, "mm");
        let steps: Vec<f64> =
            (0..=20).map(|i| lightness(scale.color(f64::from(i) / 20.0))).collect();
        assert!(steps.windows(2).all(|pair| pair[1] > pair[0]), "{steps:?}");
        let mut kinds = Kind::ALL.map(|kind| lightness(kind.color()));
        kinds.sort_by(f64::total_cmp);
        assert!(kinds.windows(2).all(|pair| pair[1] - pair[0] > 6.0), "{kinds:?}");
        assert_eq!(Kind::ALL.map(Kind::hatched), [false, false, false, true]);
    }

    /// Relative luminance and contrast after WCAG 2.2, 1.4.11.
    #[test]
    fn no_draft_and_enough_draft_are_told_apart() {
        let luminance = |color| {
            let lightness = lightness(color);
            if lightness > 8.0 {
                ((lightness + 16.0) / 116.0).powi(3)
            } else {
                lightness / 903.3
            }
        };
        let scale = Scale::angle(10.0, 1.5, "°");
        let [none, enough] = [0.0, 1.5].map(|deg| luminance(scale.color(deg)) + 0.05);
        assert!(enough / none > 3.0, "{}", enough / none);
        let nearly = luminance(scale.color(1.2)) + 0.05;
        assert!(enough / nearly > 1.5, "{}", enough / nearly);
        assert!(scale.hatched(-1.0) && !scale.hatched(0.5));
    }

    #[test]
    fn ticks_are_round_and_within() {
        assert_eq!(ticks(0.0, 10.0, 5), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
        assert_eq!(ticks(-10.0, 10.0, 8), [-10.0, -5.0, 0.0, 5.0, 10.0]);
        let fine = ticks(0.61, 1.19, 6);
        assert_eq!(fine.len(), 5);
        assert!(
            (fine[0] - 0.7).abs() < 1e-12 && (fine[4] - 1.1).abs() < 1e-12,
            "{fine:?}"
        );
        assert_eq!(ticks(f64::NAN, f64::INFINITY, 4).len(), 3, "0 to 1 by a half");
        assert!((nice_step(0.03) - 0.05).abs() < 1e-15);
        assert!((nice_step(200.0) - 200.0).abs() < 1e-9);
    }

    #[test]
    fn a_fitted_scale_holds_the_limits_and_nearly_all_values() {
        let mut values: Vec<Option<f64>> =
            (0..1000).map(|i| Some(1.0 + f64::from(i) / 1000.0)).collect();
        values.push(Some(500.0));
        values.push(None);
        let limit = Limit { value: 0.85, label: "least".to_owned() };
        let (low, high) = Scale::fitting(&values, vec![limit], "mm").range();
        assert!((low - 0.5).abs() < 0.31 && low <= 0.85, "{low}");
        assert!((1.9..3.0).contains(&high), "{high}");
        let (low, high) = Scale::fitting(&[None], Vec::new(), "mm").range();
        assert!(low.is_finite() && high > low);
        // Hardly any difference, and a little less than nothing, from rounding.
        for values in [[Some(5.601), Some(5.6012)], [Some(5.6), Some(-1e-9)]] {
            let scale = Scale::from_zero(&values, "MPa");
            assert!(scale.range().0.abs() < 1e-12);
            assert!((5.6..=7.0).contains(&scale.range().1), "{:?}", scale.range());
        }
        let (low, high) = Scale::from_zero(&[Some(0.0); 3], "MPa").range();
        assert!(low.abs() < 1e-12 && high > 0.0);
        let (low, high) = Scale::fitting(&[Some(2.0); 9], Vec::new(), "mm").range();
        assert!(low <= 2.0 && high > low);
    }
}
