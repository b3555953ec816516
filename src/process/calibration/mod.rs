//! What real shots say of the four things that a filling hangs on and that nobody can know from a
//! data sheet: how much pressure this bag and this press together take, how well the melt touches
//! the mold, and how far the thermometers of mold and melt are off.
//!
//! | question | file |
//! |---|---|
//! | what is known of the four, before and after shots | [`posterior`] |
//! | which shot would tell most | [`experiment`] |
//! | how is it kept in a file | [`mod@file`] |
//! | what does a log of shots say | [`log`] |
//! | what is one shot of a log | `logged_shot` |
//! | how is a log read from a table | `log_table` |
//!
//! A shot that stops short says at which pressure a known share of the part fills. In
//! logarithms that pressure is the computed one plus the four factors ([`Response`]):
//!
//! ```text
//! ln p = ln p₀(share) + k + δ_c(c) + δ_m(m) + δ_t(t) + noise
//! ```
//!
//! Bag and press (`k`) cannot be kept apart by shots on one press with one bag: twice the
//! viscosity and half the pressure fill alike. They are one number, and stay one.

pub mod posterior;
pub mod experiment;
pub mod file;
mod logged_shot;
mod log_table;
pub mod log;

/// How many factors there are.
pub const FACTORS: usize = 4;
/// The pressure that bag and press together take, as the logarithm of a factor.
pub const PRESSURE: usize = 0;
/// Heat transfer to the mold, as the logarithm of a factor.
pub const CONTACT: usize = 1;
/// How much warmer the mold is than its thermometer says, K.
pub const MOLD: usize = 2;
/// How much hotter the melt is than its thermometer says, K.
pub const MELT: usize = 3;

/// What they are called.
pub const NAMES: [&str; FACTORS] = [
    "pressure of bag and press",
    "contact with the mold",
    "mold thermometer",
    "melt thermometer",
];

/// How the pressure that fills a share follows one factor: `slope · x + bend · x²`, in
/// logarithms.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Response {
    /// At the nominal value.
    pub slope: f64,
    /// How it bends.
    pub bend: f64,
}

impl Response {
    /// Through nothing at nothing and two values at two places.
    pub fn through([x, y]: [f64; 2], [far_x, far_y]: [f64; 2]) -> Self {
        let bend = (far_y / far_x - y / x) / (far_x - x);
        Self { slope: y / x - bend * x, bend }
    }

    /// Its value at `x`.
    pub fn at(self, x: f64) -> f64 {
        (self.slope + self.bend * x) * x
    }

    /// Its slope at `x`.
    pub fn slope_at(self, x: f64) -> f64 {
        self.slope + 2.0 * self.bend * x
    }
}

#[cfg(test)]
mod tests {
    use super::Response;

    #[test]
    fn a_response_goes_through_its_points() {
        let response = Response::through([-2.0, 3.0], [5.0, -4.0]);
        for (x, y) in [(-2.0, 3.0), (0.0, 0.0), (5.0, -4.0)] {
            assert!((response.at(x) - y).abs() < 1e-12, "{x}");
        }
        let step = 1e-6;
        let slope = (response.at(1.0 + step) - response.at(1.0 - step)) / (2.0 * step);
        assert!((response.slope_at(1.0) - slope).abs() < 1e-6);
    }
}
