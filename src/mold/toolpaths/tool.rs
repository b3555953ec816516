//! The tools of programs: form of their edge, diameter, speed, and what they are called.

use std::f64::consts::PI;

use crate::units::format::four_digits;

/// What a tool looks like from the side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// An end mill with sharp corners.
    Flat,
    /// An end mill with a half ball.
    Ball,
    /// A drill with a tip of 118° (the usual one).
    Drill,
    /// A spotting drill of 90°.
    Spot,
    /// A reamer.
    Reamer,
}

/// A tool; lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tool {
    /// Its form.
    pub form: Form,
    /// Its diameter; of a spotting drill the widest that has room.
    pub diameter: f64,
}

/// Half the angle of a drill's tip, degrees.
const HALF_TIP_DEG: f64 = 59.0;

/// Most turns a minute and most speed of the edge, m/min (judgment). Cutters: small routers run
/// at 10 000, carbide in aluminum at 180 to 400 m/min. Drills: 0.02 mm a turn at 60 mm/min; high
/// speed steel in aluminum at 80. Reamers: about 12.
const CUTTER: [f64; 2] = [10_000.0, 400.0];
const DRILL: [f64; 2] = [3000.0, 80.0];
const REAMER: [f64; 2] = [1000.0, 12.0];

impl Tool {
    /// Radius.
    pub fn radius(&self) -> f64 {
        self.diameter / 2.0
    }

    /// Height of the edge above the tip, `r` mm from the axis.
    pub fn rise(&self, r: f64) -> f64 {
        let radius = self.radius();
        match self.form {
            Form::Flat | Form::Reamer => 0.0,
            Form::Ball => radius - (radius * radius - r * r).max(0.0).sqrt(),
            Form::Drill => r / HALF_TIP_DEG.to_radians().tan(),
            Form::Spot => r,
        }
    }

    /// From the tip to where it has its full diameter; nothing for a cutter.
    pub fn tip(&self) -> f64 {
        match self.form {
            Form::Drill | Form::Spot => self.rise(self.radius()),
            Form::Flat | Form::Ball | Form::Reamer => 0.0,
        }
    }

    /// Turns a minute, to full hundreds where that is not too coarse.
    pub fn speed(&self) -> f64 {
        let [most, edge] = match self.form {
            Form::Flat | Form::Ball => CUTTER,
            Form::Drill | Form::Spot => DRILL,
            Form::Reamer => REAMER,
        };
        // Only the point of a spotting drill cuts.
        let turns = if self.form == Form::Spot {
            most
        } else {
            most.min(1000.0 * edge / (PI * self.diameter))
        };
        let step = if turns < 1000.0 { 50.0 } else { 100.0 };
        ((turns / step).floor() * step).max(step)
    }

    /// Its part of a file's name: `drill_2.8`.
    pub fn file_word(&self) -> String {
        let size = four_digits(self.diameter);
        match self.form {
            Form::Flat => format!("flat_{size}"),
            Form::Ball => format!("ball_{size}"),
            Form::Drill => format!("drill_{size}"),
            Form::Spot => "spot".to_owned(),
            Form::Reamer => format!("ream_{size}"),
        }
    }

    /// In a few words.
    pub fn describe(&self) -> String {
        let size = four_digits(self.diameter);
        match self.form {
            Form::Flat => format!("flat end mill {size} mm, cutting over its middle"),
            Form::Ball => format!("ball end mill {size} mm"),
            Form::Drill => format!("drill {size} mm, tip 118 degrees"),
            Form::Spot => format!("spotting drill 90 degrees, at most {size} mm"),
            Form::Reamer => format!("reamer {size} mm"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Form, Tool};

    fn tool(form: Form, diameter: f64) -> Tool {
        Tool { form, diameter }
    }

    /// By hand: the tip of a 118° drill is 0.3004 d long (d / 2 / tan 59°), that of a 90° one half
    /// its diameter; v = π d n: a reamer of 6 mm at 12 m/min turns 637 times a minute, a drill of
    /// 13.5 mm at 80 m/min 1886 times.
    #[test]
    fn tips_and_speeds_by_hand() {
        assert!((tool(Form::Drill, 10.0).tip() - 3.004).abs() < 1e-3);
        assert!((tool(Form::Spot, 6.0).tip() - 3.0).abs() < 1e-12);
        assert!((tool(Form::Ball, 6.0).rise(1.8) - 0.6).abs() < 1e-12);
        assert!((tool(Form::Reamer, 6.0).speed() - 600.0).abs() < 1e-9);
        assert!((tool(Form::Drill, 13.5).speed() - 1800.0).abs() < 1e-9);
        assert!((tool(Form::Drill, 3.0).speed() - 3000.0).abs() < 1e-9);
        assert!((tool(Form::Flat, 6.0).speed() - 10_000.0).abs() < 1e-9);
        assert_eq!(tool(Form::Drill, 2.8).file_word(), "drill_2.8");
    }
}
