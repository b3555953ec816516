//! Feed, plates, clamp and cycle of random parts on random presses, in every plastic.

use goodshot::part::wall_change::WallChange;
use goodshot::process::ejection::{Pocket, Ring};
use goodshot::process::evaluation::{
    self, CavityFace, Choices, Core, EvaluationInput, Grips, KnownFilling, PartData,
    RequiredBand,
};
use goodshot::process::plastic::library::Plastics;
use goodshot::process::press::Press;
use goodshot::process::press::{more_pressure, upgrades};
use goodshot::units::{
    Angle, Area, Length, Quantity, Ratio, Time, Volume, VolumeRate, from_degrees,
    from_mm, from_mm2, from_mm3, from_mpa,
};

use crate::campaign::Campaign;
use crate::finite::assert_finite;
use crate::noise::Noise;

#[test]
fn random_presses() {
    let plastics = Plastics::builtin().unwrap();
    let plastics: Vec<_> = plastics.iter().map(|(_, plastic)| plastic.clone()).collect();
    let seeds = (0..8_u64).map(|it| it.to_le_bytes().to_vec()).collect();
    let campaign = Campaign { name: "presses", times: 700, seeds, words: Vec::new() };
    campaign.run(|bytes| {
        let mut noise =
            Noise(bytes.iter().fold(7, |sum, byte| Noise(sum ^ u64::from(*byte)).draw()));
        let text = press(&mut noise);
        let press = match Press::parse(&text) {
            Ok(press) => press,
            Err(error) => return error.to_string(),
        };
        let plastic = noise.pick(&plastics).clone();
        let shape = part(&mut noise);
        let shape = if noise.below(4) == 0 {
            shape.reshaped(&WallChange::default(), from_degrees(1.0))
        } else {
            shape
        };
        let choices = choices(&mut noise);
        let filling = (noise.below(2) == 0).then(|| filling(&mut noise));
        let with = EvaluationInput {
            press: &press,
            plastic: &plastic,
            choices: &choices,
            filling,
        };
        let evaluation = evaluation::evaluate(&shape, &with);
        // What no pressure fills may be infinite, and nothing else.
        let said = format!("{evaluation:?}");
        assert!(!said.contains("NaN"), "{text}\n{said}");
        assert_finite(&evaluation.timing, &text);
        assert_finite(&evaluation.feed_design, &text);
        for change in upgrades::next(&press) {
            assert!(change.press.melt_pressure().si().is_finite(), "{text}");
        }
        let shot = evaluation.shot.as_ref().and_then(|shot| shot.as_ref().ok());
        let ways = more_pressure::ways(&press, press.melt_pressure() * 1.7, shot);
        format!(
            "{} {} {} {}",
            evaluation.feed_design.is_ok(),
            evaluation.timing.cycle.is_some(),
            evaluation.ejection.is_ok(),
            ways.len()
        )
    });
}

/// Between two ends, evenly in logarithms.
fn scaled(noise: &mut Noise, low: f64, high: f64) -> f64 {
    (low.ln() + noise.unit() * (high / low).ln()).exp()
}

fn maybe(noise: &mut Noise, line: String) -> String {
    if noise.below(3) == 0 { String::new() } else { line + "\n" }
}

/// A length in a unit that somebody may write.
fn length(noise: &mut Noise, low_mm: f64, high_mm: f64) -> String {
    let mm = scaled(noise, low_mm, high_mm);
    match noise.below(4) {
        0 => format!("\"{:.4} in\"", mm / 25.4),
        1 => format!("\"{:.3} cm\"", mm / 10.0),
        _ => format!("\"{mm:.3} mm\""),
    }
}

/// A press file: usual values mostly, odd ones sometimes.
fn press(noise: &mut Noise) -> String {
    let wide = if noise.below(4) == 0 { 30.0 } else { 1.0 };
    let mut text = "name = \"p\"\n".to_owned();
    text += &drive(noise, wide);
    text += "[ram]\n";
    text += &format!("diameter = {}\n", length(noise, 6.0 / wide, 80.0 * wide));
    text += &format!("stroke = {}\n", length(noise, 20.0 / wide, 500.0 * wide));
    for (key, most) in [("loss", 95.0), ("granule_fill", 99.0)] {
        let line = format!("{key} = \"{:.1} %\"", 1.0 + most * noise.unit());
        text += &maybe(noise, line);
    }
    let line = format!("cushion = {}", length(noise, 0.5, 20.0));
    text += &maybe(noise, line);
    let line = format!("speed = \"{:.2} mm/s\"", scaled(noise, 1.0 / wide, 500.0 * wide));
    text += &maybe(noise, line);
    let line = format!("heated_length = {}", length(noise, 20.0, 800.0));
    text += &maybe(noise, line);
    if noise.below(3) > 0 {
        text += &nozzle(noise, wide);
    }
    text += &clamp(noise, wide);
    if noise.below(2) == 0 {
        text += &format!("[mold]\nthickness = {}\n", length(noise, 6.0, 80.0 * wide));
        let line = format!(
            "length = {}\nwidth = {}",
            length(noise, 30.0, 400.0),
            length(noise, 30.0, 400.0)
        );
        text += &maybe(noise, line);
    }
    text
}

fn drive(noise: &mut Noise, wide: f64) -> String {
    match noise.below(5) {
        0 => format!(
            "[drive]\nram_force = \"{:.1} lbf\"\n",
            scaled(noise, 50.0 / wide, 20_000.0 * wide)
        ),
        1 => format!(
            "[drive.lever]\nhand = \"{:.0} N\"\nlong_arm = {}\nshort_arm = {}\n{}",
            scaled(noise, 30.0, 800.0),
            length(noise, 150.0, 2500.0 * wide),
            length(noise, 8.0 / wide, 400.0),
            maybe(noise, "start_angle = \"38 deg\"".to_owned())
        ),
        2 => format!(
            "[drive.jack]\nforce = \"{:.2} ton\"\n",
            scaled(noise, 0.2, 20.0 * wide)
        ),
        _ => format!(
            "[drive.air]\ncylinders = {}\nbore = {}\nrod = \"12 mm\"\nacts = \"{}\"\nair = \"{:.1} psi\"\n{}",
            1 + noise.below(4),
            length(noise, 16.0, 200.0 * wide),
            noise.pick(&["push", "pull"]),
            scaled(noise, 10.0, 200.0),
            maybe(noise, "efficiency = \"85 %\"".to_owned())
        ),
    }
}

fn nozzle(noise: &mut Noise, wide: f64) -> String {
    let mut text = format!(
        "[nozzle]\norifice = {}\nland = {}\n",
        length(noise, 0.8 / wide, 12.0 * wide),
        length(noise, 0.3, 60.0 * wide)
    );
    let line = format!("seat_diameter = {}", length(noise, 3.0, 40.0));
    text += &maybe(noise, line);
    let line = format!("contact_force = \"{:.0} N\"", scaled(noise, 10.0, 10_000.0));
    text += &maybe(noise, line);
    text
}

fn clamp(noise: &mut Noise, wide: f64) -> String {
    match noise.below(6) {
        0 => String::new(),
        1 => format!(
            "[clamp]\nvise = \"{:.2} kN\"\njaw = {}\n",
            scaled(noise, 0.5, 100.0 * wide),
            length(noise, 40.0, 250.0)
        ),
        2 => format!("[clamp]\nforce = \"{:.2} kN\"\n", scaled(noise, 0.1, 300.0 * wide)),
        3 => "[[clamp.c_clamps]]\nrating = \"10 kN\"\nat = [\"40 mm\", \"0 mm\"]\n\
              [[clamp.c_clamps]]\nforce = \"4 kN\"\nat = [\"-35 mm\", \"5 mm\"]\n"
            .to_owned(),
        _ => format!(
            "[clamp.bolts]\ncount = {}\nsize = \"{}\"\nclass = \"8.8\"\npreload = \"{:.0} %\"\n",
            2 + noise.below(11),
            noise.pick(&["M3", "M5", "M6", "M8", "M10", "M16", "M8x1"]),
            10.0 + 85.0 * noise.unit()
        ),
    }
}

fn part(noise: &mut Noise) -> PartData {
    let size = [(); 3].map(|()| scaled(noise, 0.5, 400.0));
    let [x, y, z] = size;
    let share = scaled(noise, 0.01, 1.0);
    let wall = scaled(noise, 0.05, 30.0).min(x.min(y));
    let mm = |value: f64| from_mm(value);
    let depth = z * noise.unit();
    PartData {
        volume: (noise.below(8) > 0).then(|| from_mm3(x * y * z * share)),
        size: size.map(mm),
        projected_area: from_mm2(x * y * scaled(noise, 0.05, 1.0)),
        extents: [x, y].map(mm),
        off_middle: [x, y].map(|edge| mm(edge * 0.1 * (noise.unit() - 0.5))),
        depths: [depth, z - depth].map(mm),
        wall: (noise.below(8) > 0).then(|| mm(wall)),
        thickest: (noise.below(8) > 0).then(|| mm(wall * (1.0 + 2.0 * noise.unit()))),
        cavity_face: (noise.below(2) == 0).then(|| CavityFace {
            at: [(); 3].map(|()| Length::default()),
            depth: mm(z * noise.unit()),
            room: mm(x * noise.unit()),
        }),
        face_shortens: noise.below(2) == 0,
        core_grips: grips(noise, z),
        cavity_grips: grips(noise, z),
        pockets: [(); 2].map(|()| pocket(noise, z)),
        standing: Vec::new(),
    }
}

fn pocket(noise: &mut Noise, height: f64) -> Pocket {
    let walls: Area = from_mm2(scaled(noise, 0.1, 1e5));
    Pocket { walls, height: from_mm(height), draft: angle(noise) }
}

fn angle(noise: &mut Noise) -> Angle {
    from_degrees([0.0, 0.5, 3.0, 45.0][noise.below(4)])
}

fn grips(noise: &mut Noise, height: f64) -> Grips {
    let ring = |noise: &mut Noise| Core {
        ring: Ring {
            walls: from_mm2(scaled(noise, 0.1, 1e5)),
            outline: from_mm(scaled(noise, 1.0, 1000.0)),
            corners: noise.unit(),
            wall: from_mm(scaled(noise, 0.1, 20.0)),
            draft: angle(noise),
            closed: from_mm2(1e4 * noise.unit()),
        },
        height: from_mm(height),
    };
    let count = noise.below(3);
    Grips { rings: (0..count).map(|_| ring(noise)).collect(), walls: Vec::new() }
}

fn choices(noise: &mut Noise) -> Choices {
    let share = (noise.below(6) == 0).then(|| Ratio::from_si(noise.unit()));
    let runner = (noise.below(6) == 0).then(|| from_mm(100.0 * noise.unit()));
    let sprue = (noise.below(6) == 0).then(|| from_mm(1.0 + 60.0 * noise.unit()));
    Choices {
        feed_share: share,
        runner_length: runner,
        sprue_length: sprue,
        ..Choices::default()
    }
}

fn filling(noise: &mut Noise) -> KnownFilling {
    let best = scaled(noise, 0.01, 300.0);
    let worst = if noise.below(4) == 0 { f64::INFINITY } else { 2.5 * best };
    let time = scaled(noise, 1e-3, 1e3);
    let volume: Volume = from_mm3(scaled(noise, 1.0, 1e6));
    let flow: VolumeRate = volume / Time::from_si(time);
    let [best, expected, worst] = [best, 1.5 * best, worst].map(from_mpa);
    KnownFilling {
        time: Time::from_si(time),
        flow,
        required: RequiredBand { best, expected, worst },
    }
}
