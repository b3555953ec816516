//! The capillary against closed forms and against models whose rate is known.

use super::capillary::{ENTRY_LOSS, volume_rate};
use super::data_sheet::{self, FlowTest, MeltFlow};
use super::level::fit;
use crate::process::plastic::viscosity::Viscosity;
use crate::units::{MassDensity, Quantity, from_toml};

/// Stress at the wall for a load without loss at the entry, by hand: F = m g,
/// A = π/4 · (9.55 mm)², τ = F/A · 1.0475/(2 · 8).
fn wall_stress(kg: f64) -> f64 {
    let area = std::f64::consts::PI / 4.0 * 9.55e-3_f64.powi(2);
    kg * 9.806_65 / area * 1.0475 / 16.0
}

fn model(text: &str) -> Viscosity {
    #[derive(serde::Deserialize)]
    struct File {
        v: Viscosity,
    }
    from_toml::<File>(&format!("v = {{ {text} }}")).unwrap().v
}

fn flows(text: &str) -> Vec<MeltFlow> {
    #[derive(serde::Deserialize)]
    struct File {
        #[serde(deserialize_with = "data_sheet::given")]
        mfr: Vec<MeltFlow>,
    }
    from_toml::<File>(&format!("mfr = {text}")).unwrap().mfr
}

fn test(text: &str) -> FlowTest {
    flows(&format!("'1 g/10min at {text}'"))[0].test
}

fn cm3(viscosity: &Viscosity, at: &str, entry_loss: f64) -> f64 {
    volume_rate(viscosity, test(at), entry_loss).unwrap().si() * 600e6
}

fn near(seen: f64, right: f64, share: f64) {
    assert!((seen - right).abs() <= share * right.abs(), "{seen} is not {right}");
}

/// Hagen and Poiseuille: Q = π R³ τ / 4η.
#[test]
fn a_newtonian_melt_follows_hagen_and_poiseuille() {
    let melt = model("newtonian = { viscosity = '500 Pa s' }");
    let right = std::f64::consts::PI * 1.0475e-3_f64.powi(3) * wall_stress(2.16) / 2000.0;
    near(cm3(&melt, "230 C, 2.16 kg", 0.0), right * 600e6, 1e-6);
    // Two radii of entry make the die 10.095 mm long.
    let longer = right * 8.0 / (8.0 + 2.0 * 1.0475);
    near(cm3(&melt, "230 C, 2.16 kg", 2.0), longer * 600e6, 1e-6);
}

/// Q = π R³ n/(3n+1) (τ/m)^(1/n), in every book on polymer processing.
#[test]
fn a_power_law_follows_its_closed_form() {
    for (m, n) in [(2e3, 0.8_f64), (1e4, 0.5), (4e4, 0.25), (3.61e4, 0.19)] {
        let text = format!("power_law = {{ consistency = '{m} Pa s^n', index = {n} }}");
        let wall = (wall_stress(5.0) / m).powf(1.0 / n);
        let right =
            std::f64::consts::PI * 1.0475e-3_f64.powi(3) * n / (3.0 * n + 1.0) * wall;
        near(cm3(&model(&text), "200 C, 5 kg", 0.0), right * 600e6, 1e-6);
    }
}

/// Rows worked out apart from this program with the same integral: Cross models whose B was
/// solved for the rate named (densities 0.76 for PE, 0.95 and 0.96 for PS, 1.085 g/cm³ for
/// PLA). B has three digits. PA12 and the rest of the family have the same form.
#[test]
fn solved_models_give_their_rates_back() {
    for (n, tau, b, tb, at, entry, printed) in [
        (0.30, 7.5e5, 5.06e-6, 10_223.0, "300 C, 1.2 kg", 1.0, 19.0),
        (0.20, 5.0e4, 1.37e-5, 9_622.0, "200 C, 5 kg", 2.5, 4.0 / 0.95),
        (0.20, 5.0e4, 6.84e-6, 9_622.0, "200 C, 5 kg", 2.5, 8.0 / 0.95),
        (0.252, 3.08e4, 6.88e-6, 9_622.0, "200 C, 5 kg", 2.5, 12.0 / 0.96),
        (0.40, 5.5e4, 1.00e-3, 6_014.0, "190 C, 2.16 kg", 2.0, 22.0 / 0.76),
        (0.38, 3.0e4, 6.92e-3, 6_254.0, "190 C, 2.16 kg", 3.0, 2.0 / 0.76),
        (0.36, 2.5e4, 4.95e-2, 6_254.0, "190 C, 2.16 kg", 3.0, 0.3 / 0.76),
        (0.40, 1.2e5, 0.982, 3_247.0, "190 C, 2.16 kg", 1.5, 8.0 / 0.76),
        (0.40, 8.0e4, 3.97, 3_247.0, "190 C, 2.16 kg", 2.0, 2.0 / 0.76),
        (0.35, 3.0e4, 21.4, 3_368.0, "190 C, 2.16 kg", 2.5, 0.35 / 0.76),
        (0.35, 2.5e5, 9.79e-4, 6_615.0, "275 C, 5 kg", 1.0, 165.0),
        (0.35, 2.5e5, 4.50e-4, 7_216.0, "275 C, 5 kg", 1.0, 120.0),
        (0.35, 2.5e5, 1.62e-3, 6_615.0, "275 C, 5 kg", 1.0, 100.0),
        (0.30, 2.5e5, 1.50e-2, 5_051.0, "190 C, 2.16 kg", 1.0, 13.0),
        (0.30, 2.0e5, 4.18e-2, 4_811.0, "190 C, 2.16 kg", 1.0, 8.0),
        (0.33, 1.14e5, 1.31e-6, 10_223.0, "210 C, 2.16 kg", 1.5, 6.0 / 1.085),
        (0.33, 1.14e5, 3.26e-7, 10_223.0, "210 C, 2.16 kg", 1.5, 24.0 / 1.085),
        (0.35, 3.0e5, 2.65e-4, 7_818.0, "250 C, 2.16 kg", 1.0, 13.0),
        (0.40, 2.5e5, 8.22e-7, 10_825.0, "240 C, 2.16 kg", 1.0, 9.3),
    ] {
        let text = format!(
            "cross_arrhenius = {{ n = {n}, tau_star = '{tau} Pa', b = '{b} Pa s', tb = '{tb} K' }}"
        );
        near(cm3(&model(&text), at, entry), printed, 0.015);
    }
}

const MODELS: [&str; 4] = [
    "power_law = { consistency = '24210 Pa s^n', index = 0.33, at = '200 C', cooling = '0.009 1/K' }",
    "cross_wlf = { n = 0.252, tau_star = '30.8 kPa', d1 = '4.76e10 Pa s', d2 = '373.15 K', a1 = 25.74, a2 = '61.06 K' }",
    "cross_arrhenius = { n = 0.40, tau_star = '55 kPa', b = '1e-3 Pa s', tb = '6014 K' }",
    "carreau_arrhenius = { k1 = '1386 Pa s', k2 = '0.091 s', k3 = 0.68, at = '220 C', activation = '42.7 kJ/mol' }",
];

/// The rate of the bag comes back, and the stress at which the melt begins to thin stays:
/// every grade is the other at another time scale.
#[test]
fn one_rate_sets_the_level() {
    let density = Some(MassDensity::from_si(760.0));
    for text in MODELS.into_iter().chain(["newtonian = { viscosity = '500 Pa s' }"]) {
        let given = flows("'12 g/10min at 190 C, 2.16 kg'");
        let fitted = fit(Some(model(text)), &given, ENTRY_LOSS, density).unwrap();
        near(cm3(&fitted, "190 C, 2.16 kg", ENTRY_LOSS), 12.0 / 0.76, 1e-6);
        let [own, others] = [fitted, model(text)].map(|melt| {
            let [low, high] =
                [1.0, 10.0].map(|kg| cm3(&melt, &format!("190 C, {kg} kg"), 0.0));
            high / low
        });
        near(own, others, 1e-5);
    }
}

/// LDPE 1922T: 22 and 75 g/10min under 2.16 and 5 kg, between which the index is
/// ln(5/2.16)/ln(75/22) = 0.684. With n 0.40 kept, τ* worked out apart from this program
/// (another integration rule) comes to 33 949 Pa with two radii of entry loss.
#[test]
fn two_loads_set_the_shape() {
    let given = flows("['22 g/10min at 190 C, 2.16 kg', '75 g/10min at 190 C, 5 kg']");
    let density = Some(MassDensity::from_si(760.0));
    for text in MODELS {
        let fitted = fit(Some(model(text)), &given, ENTRY_LOSS, density).unwrap();
        near(cm3(&fitted, "190 C, 2.16 kg", ENTRY_LOSS), 22.0 / 0.76, 1e-5);
        near(cm3(&fitted, "190 C, 5 kg", ENTRY_LOSS), 75.0 / 0.76, 1e-5);
        match fitted {
            Viscosity::PowerLaw { index, .. } => near(index, 0.6844, 1e-3),
            Viscosity::CrossArrhenius { tau_star, .. } => {
                near(tau_star.si(), 33_949.0, 1e-3);
            }
            _ => {}
        }
        assert!(fitted.plausible());
    }
}

#[test]
fn what_a_model_cannot_give_is_refused_in_one_line() {
    let density = Some(MassDensity::from_si(760.0));
    let two = |high: &str| flows(&format!("['22 g/10min at 190 C, 2.16 kg', '{high}']"));
    let one = flows("'22 g/10min at 190 C, 2.16 kg'");
    let newtonian = model("newtonian = { viscosity = '500 Pa s' }");
    for (melt, given, part) in [
        (model(MODELS[2]), two("25 g/10min at 190 C, 5 kg"), "the index 6.57"),
        (
            model(MODELS[2]),
            two("900 g/10min at 190 C, 5 kg"),
            "cross_arrhenius model reaches 0.4",
        ),
        (model(MODELS[0]), two("40 g/10min at 190 C, 5 kg"), "the index 1.4"),
        (newtonian, two("75 g/10min at 190 C, 5 kg"), "newtonian"),
        (model(MODELS[2]), two("75 g/10min at 200 C, 5 kg"), "one temperature"),
        (model(MODELS[2]), two("75 g/10min at 190 C, 2.16 kg"), "two loads"),
        (
            model(MODELS[1]),
            flows("'5 g/10min at 100 C, 0.1 kg'"),
            "no flow at 100 °C, 0.1 kg",
        ),
    ] {
        let error = fit(Some(melt), &given, ENTRY_LOSS, density).unwrap_err().to_string();
        assert!(error.contains(part) && error.lines().count() == 1, "{error}");
    }
    let error = fit(None, &one, ENTRY_LOSS, density).unwrap_err().to_string();
    assert!(error.contains("like = \"pp\""), "{error}");
    let error = fit(Some(newtonian), &one, ENTRY_LOSS, None).unwrap_err().to_string();
    assert!(error.contains("melt_density"), "{error}");
}

#[test]
fn rates_are_read_as_data_sheets_write_them() {
    for text in [
        "12 g/10min at 230 C, 2.16 kg",
        "12 g/10 min at 230 °C, 2.16 kg",
        "12g/10min at 446 F / 2.16 kg",
    ] {
        let flow = flows(&format!("'{text}'"))[0];
        assert_eq!(flow.to_string(), "12 g/10min at 230 °C, 2.16 kg", "{text}");
    }
    let flow = flows("'19 cm3/10min at 300 C, 1.2 kg'")[0];
    assert_eq!(flow.to_string(), "19 cm³/10min at 300 °C, 1.2 kg");
    assert_eq!(
        flows("['1 g/10min at 190 C, 2.16 kg', '9 g/10min at 190 C, 5 kg']").len(),
        2
    );
    #[derive(Debug, serde::Deserialize)]
    struct File {
        #[serde(deserialize_with = "data_sheet::given")]
        #[expect(dead_code, reason = "only refused here")]
        mfr: Vec<MeltFlow>,
    }
    for (bad, part) in [
        ("'12'", "no melt flow rate"),
        ("'12 at 230 C, 2.16 kg'", "12 g/10min"),
        ("'12 g/10min at 230 C'", "230 C, 2.16 kg"),
        ("'12 g/10min at 230, 2.16 kg'", "no unit"),
        ("'12 g/10min at 230 C, 216 kg'", "0.1 kg to 50 kg"),
        ("'12 g/10min at 20 C, 2.16 kg'", "100 °C to 450 °C"),
        ("'0 g/10min at 230 C, 2.16 kg'", "0.001 to 10000"),
        ("'-3 g/10min at 230 C, 2.16 kg'", "0.001 to 10000"),
        ("12", "12 g/10min at 230 C"),
    ] {
        let error = from_toml::<File>(&format!("mfr = {bad}")).unwrap_err().to_string();
        assert!(error.contains(part) && error.starts_with("line 1, mfr"), "{error}");
    }
}
