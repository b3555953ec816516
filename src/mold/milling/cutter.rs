//! A cutter: what its edge sweeps, and what stands above it.
//!
//! All lengths are in mm. The profile t(r) is that of a flat, a rounded rim and a cone one
//! after the other, of which a cutter may lack any: a flat end mill has only the first, a ball
//! nose only the second, a tapered one all or the last two.

/// What an end mill looks like from the side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Sharp corners at a flat end.
    Flat,
    /// A half ball.
    Ball,
    /// A flat end with rounded corners.
    Bull,
    /// Wider from the tip up.
    Tapered,
}

impl Kind {
    /// The trade's word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Flat => "flat",
            Self::Ball => "ball",
            Self::Bull => "bull",
            Self::Tapered => "tapered",
        }
    }
}

/// One cutter in its holder.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutter {
    /// What the user calls it.
    pub name: String,
    /// Its form.
    pub kind: Kind,
    /// Diameter; of a tapered one that of the ball or flat at its tip.
    pub diameter: f64,
    /// Radius of its corners: nothing for a flat, half the diameter for a ball.
    pub corner: f64,
    /// Angle of its side to its axis, radians.
    pub taper: f64,
    /// Length of its edges.
    pub flute: f64,
    /// From its tip to where it gets wider than it cuts.
    pub reach: f64,
    /// Diameter above that.
    pub shank: f64,
    /// From its tip to the holder.
    pub stickout: f64,
    /// Diameter of the holder.
    pub holder: f64,
    /// Feed in mm/s, where the user knows it.
    pub feed: Option<f64>,
}

impl Cutter {
    /// Radius at the tip.
    pub fn radius(&self) -> f64 {
        self.diameter / 2.0
    }

    /// Greatest radius that cuts.
    pub fn widest(&self) -> f64 {
        let cone = (self.flute - self.rim_height()).max(0.0) * self.taper.tan();
        let rim = self.radius() - self.corner * (1.0 - self.taper.cos());
        (rim + cone).min((self.shank / 2.0).max(self.radius()))
    }

    /// Where the rounded rim ends above the tip.
    fn rim_height(&self) -> f64 {
        self.corner * (1.0 - self.taper.sin())
    }

    /// The same cutter with its tip narrower by `less` all around.
    #[must_use]
    pub fn narrowed(&self, less: f64) -> Self {
        let radius = (self.radius() - less).max(0.0);
        Self { diameter: 2.0 * radius, corner: self.corner.min(radius), ..self.clone() }
    }

    /// Height of the edge above the tip at `r` from the axis; `None` beyond the edge.
    pub fn profile(&self, r: f64) -> Option<f64> {
        // Rounding must not cost the outermost cell.
        let r = (r - 1e-9).max(0.0);
        if r > self.widest() {
            return None;
        }
        let core = self.radius() - self.corner;
        let out = r - core;
        let rim = self.corner * self.taper.cos();
        if out <= 0.0 {
            Some(0.0)
        } else if out <= rim {
            Some(self.corner - (self.corner * self.corner - out * out).max(0.0).sqrt())
        } else {
            Some(self.rim_height() + (out - rim) / self.taper.tan().max(1e-9))
        }
    }

    /// Radius of the flat of its end.
    pub fn core(&self) -> f64 {
        self.radius() - self.corner
    }

    /// In a few words: "3 mm ball".
    pub fn describe(&self) -> String {
        let size = |mm: f64| {
            let text = format!("{mm:.3}");
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        let base = format!("{} mm {}", size(self.diameter), self.kind.name());
        match self.kind {
            Kind::Bull => format!("{base} with {} mm corners", size(self.corner)),
            Kind::Tapered => format!("{base}, {}° a side", size(self.taper.to_degrees())),
            Kind::Flat | Kind::Ball => base,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Cutter, Kind};

    fn cutter(kind: Kind, corner: f64, taper_deg: f64) -> Cutter {
        Cutter {
            name: String::new(),
            kind,
            diameter: 6.0,
            corner,
            taper: taper_deg.to_radians(),
            flute: 12.0,
            reach: 12.0,
            shank: 10.0,
            stickout: 30.0,
            holder: 25.0,
            feed: None,
        }
    }

    /// The formulas of flat, ball and bull nose, by hand: t = 0; R − √(R² − r²);
    /// c − √(c² − (r − (R − c))²) beyond the flat.
    #[test]
    fn profiles_by_hand() {
        let flat = cutter(Kind::Flat, 0.0, 0.0);
        let ball = cutter(Kind::Ball, 3.0, 0.0);
        let bull = cutter(Kind::Bull, 1.0, 0.0);
        assert_eq!(
            [flat.profile(0.0), flat.profile(3.0), flat.profile(3.01)],
            [Some(0.0), Some(0.0), None]
        );
        let near = |seen: Option<f64>, by_hand: f64| {
            assert!((seen.unwrap() - by_hand).abs() < 1e-4, "{seen:?} is not {by_hand}");
        };
        near(ball.profile(0.0), 0.0);
        near(ball.profile(1.8), 0.6);
        near(ball.profile(3.0), 3.0);
        near(bull.profile(2.0), 0.0);
        near(bull.profile(2.6), 0.2);
        near(bull.profile(3.0), 1.0);
        assert!(bull.profile(3.1).is_none());
    }

    /// A taper of 10° leaves its ball where the ball stands at 10° to the axis, and grows by
    /// tan 10° for each mm from there on: smooth, and as wide as its shank at most.
    #[test]
    fn a_taper_leaves_its_ball_smoothly() {
        let taper = cutter(Kind::Tapered, 3.0, 10.0);
        let (sin, cos) = 10_f64.to_radians().sin_cos();
        let at = 3.0 * cos;
        let below = taper.profile(at - 1e-6).unwrap();
        let above = taper.profile(at + 1e-6).unwrap();
        assert!((above - below).abs() < 1e-4 && (below - 3.0 * (1.0 - sin)).abs() < 1e-4);
        let widest = at + (12.0 - 3.0 * (1.0 - sin)) * (sin / cos);
        assert!((taper.widest() - widest).abs() < 1e-9, "{}", taper.widest());
        assert!((taper.profile(widest).unwrap() - 12.0).abs() < 1e-6);
        assert!(cutter(Kind::Flat, 0.0, 0.0).narrowed(0.05).profile(2.96).is_none());
    }

    #[test]
    fn it_says_what_it_is() {
        assert_eq!(
            cutter(Kind::Bull, 0.5, 0.0).describe(),
            "6 mm bull with 0.5 mm corners"
        );
        assert_eq!(cutter(Kind::Flat, 0.0, 0.0).describe(), "6 mm flat");
    }
}
