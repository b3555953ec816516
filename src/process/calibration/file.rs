//! The file that holds what shots said of one press with one plastic: written by the tool, read
//! by every later check.

use serde::{Deserialize, Serialize};

use super::posterior::{Covariance, Knowledge, Values};
use super::{CONTACT, FACTORS, MELT, MOLD, PRESSURE};
use crate::units::{self, FileError};

/// What shots said.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calibration {
    /// Name of the press.
    pub press: String,
    /// Name of the plastic.
    pub plastic: String,
    /// How many shots.
    pub shots: usize,
    /// When, in the user's words; empty when not given.
    #[serde(default)]
    pub date: String,
    /// So many times the pressure worked out without shots.
    pub pressure_factor: f64,
    /// So many times the usual heat transfer to the mold.
    pub contact_factor: f64,
    /// So much warmer is the mold than its thermometer says, K.
    pub mold_offset_k: f64,
    /// So much hotter is the melt than its thermometer says, K.
    pub melt_offset_k: f64,
    /// Covariance of these four, the factors as logarithms.
    pub covariance: [[f64; FACTORS]; FACTORS],
}

/// No factor of a calibration is larger.
const MOST_FACTOR: f64 = 20.0;
/// No thermometer is off by more, K.
const MOST_OFFSET_K: f64 = 100.0;

impl Calibration {
    /// Of what is known.
    pub fn new(known: &Knowledge, press: &str, plastic: &str, shots: usize) -> Self {
        let mean = known.mean;
        let row =
            |one: usize| std::array::from_fn(|other| known.covariance[(one, other)]);
        Self {
            press: press.to_owned(),
            plastic: plastic.to_owned(),
            shots,
            date: String::new(),
            pressure_factor: mean[PRESSURE].exp(),
            contact_factor: mean[CONTACT].exp(),
            mold_offset_k: mean[MOLD],
            melt_offset_k: mean[MELT],
            covariance: std::array::from_fn(row),
        }
    }

    /// What is known.
    pub fn knowledge(&self) -> Knowledge {
        let mut mean = Values::zeros();
        mean[PRESSURE] = self.pressure_factor.ln();
        mean[CONTACT] = self.contact_factor.ln();
        mean[MOLD] = self.mold_offset_k;
        mean[MELT] = self.melt_offset_k;
        let covariance = Covariance::from_fn(|row, column| self.covariance[row][column]);
        Knowledge { mean, covariance }
    }

    /// The file.
    ///
    /// # Errors
    ///
    /// When a number has no place in TOML.
    pub fn write(&self) -> Result<String, toml::ser::Error> {
        let head = "# What shots said of this press with this plastic: written by \"goodshot calibrate\".\n";
        Ok(head.to_owned() + &toml::to_string(self)?)
    }

    /// Reads the file.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong, with its line and key.
    pub fn parse(text: &str) -> Result<Self, FileError> {
        let read: Self = units::from_toml(text)?;
        let wrong = |key: &str, problem: &str| {
            let at = text.lines().position(|line| line.trim_start().starts_with(key));
            let line = at.map_or(1, |at| at + 1);
            Err(FileError { line, key: key.to_owned(), problem: problem.to_owned() })
        };
        let factors = [
            ("pressure_factor", read.pressure_factor),
            ("contact_factor", read.contact_factor),
        ];
        for (key, factor) in factors {
            if !(MOST_FACTOR.recip()..=MOST_FACTOR).contains(&factor) {
                return wrong(key, "no such factor comes out of shots: calibrate again");
            }
        }
        let offsets = [
            ("mold_offset_k", read.mold_offset_k),
            ("melt_offset_k", read.melt_offset_k),
        ];
        for (key, offset) in offsets {
            if !(-MOST_OFFSET_K..=MOST_OFFSET_K).contains(&offset) {
                return wrong(key, "no thermometer is so far off: calibrate again");
            }
        }
        let covariance = read.knowledge().covariance;
        let is_sound = covariance.iter().all(|it| it.is_finite())
            && (covariance - covariance.transpose()).norm() < 1e-9 * covariance.norm()
            && covariance.cholesky().is_some();
        if !is_sound {
            return wrong("covariance", "is none: calibrate again");
        }
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::Calibration;
    use crate::process::calibration::posterior::{Doubts, Knowledge};

    fn calibration() -> Calibration {
        let doubts =
            Doubts { viscosity: 1.5, supply: 1.15, mold_kelvin: 10.0, melt_kelvin: 10.0 };
        let mut known = Knowledge::prior(&doubts);
        known.mean[0] = 0.2;
        known.mean[3] = -4.0;
        known.covariance[(0, 3)] = 0.3;
        known.covariance[(3, 0)] = 0.3;
        Calibration::new(&known, "ours \"it\"", "PP", 4)
    }

    #[test]
    fn a_calibration_is_read_as_it_was_written() {
        let written = Calibration { date: "2026-11-30".to_owned(), ..calibration() };
        let read = Calibration::parse(&written.write().unwrap()).unwrap();
        assert_eq!(read, written);
        let known = read.knowledge();
        assert!((known.mean[0] - 0.2).abs() < 1e-12);
        assert!((known.covariance[(0, 3)] - 0.3).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_come_out_of_shots_is_refused() {
        let good = calibration().write().unwrap();
        for (from, to, key) in [
            ("pressure_factor = 1.", "pressure_factor = 991.", "pressure_factor"),
            ("melt_offset_k = -4.0", "melt_offset_k = nan", "melt_offset_k"),
            ("covariance = [[0.", "covariance = [[-0.", "covariance"),
            ("shots = 4", "shot = 4", "shot"),
        ] {
            let error = Calibration::parse(&good.replace(from, to)).unwrap_err();
            assert_eq!(error.key, key, "{error}\n{good}");
        }
    }
}
