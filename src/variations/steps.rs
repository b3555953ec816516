//! The steps over which a thing is varied, each as the whole case after it: press, plastic,
//! wishes and part.

use super::factors::{Factor, FactorRequest};
use super::scale::{Scale, bolt_size, gauge, read, scale, written};
use crate::analysis::repeat::Reshaped;
use crate::analysis::{Analysis, Setup};
use crate::part::wall_change::WallChange;
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::mold_plates::Bars;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::process::press::drive::{Cylinders, Gauge, Jack, Lever};
use crate::process::press::shelf::{BORES, RAMS};
use crate::process::press::upgrades::MOST_AIR_PA;
use crate::process::sourced::{Range, Sourced};
use crate::settings::Settings;
use crate::units::{
    Angle, Force, Length, Pressure, Quantity, Temperature, Torque, format::four_digits,
    from_celsius, in_celsius, in_mm, in_psi,
};

/// What a part is made with, and how it differs from the one measured.
#[derive(Clone, Debug)]
pub struct Case {
    /// Press and plastic.
    pub setup: Setup,
    /// Wishes.
    pub settings: Settings,
    /// The part.
    pub part: Reshaped,
}

/// One step.
pub(super) struct Step {
    /// Such as "8 bar".
    pub(super) text: String,
    /// Its value in the unit of the text; `None` for a name.
    pub(super) value: Option<f64>,
    /// How far it is from what is now, negative below it.
    pub(super) away: f64,
    /// The case after it; why it cannot be.
    pub(super) case: Result<Case, String>,
}

/// Whether the values of a wish can be read, before any part is.
///
/// # Errors
///
/// The first value that is none, with an example.
pub fn readable(wish: &FactorRequest, plastics: &Plastics) -> Result<(), String> {
    let known = |text: &String| match wish.factor {
        Factor::Plastic => plastics.find(text).map(|_| ()).map_err(|it| it.to_string()),
        factor => read(factor, text).map(|_| ()),
    };
    wish.values.iter().try_for_each(known)
}

/// What is now, and the steps in the order of their values.
pub(super) fn list(
    wish: &FactorRequest,
    base: &Case,
    analysis: &Analysis,
    plastics: &Plastics,
) -> Result<(String, Vec<Step>), String> {
    if wish.factor == Factor::Plastic {
        return plastic_steps(wish, base, plastics);
    }
    let press = &base.setup.press;
    let now = now(wish.factor, base, analysis)?;
    let mut values = if wish.values.is_empty() {
        shelf(wish.factor, now, base)
    } else {
        let read = |text: &String| read(wish.factor, text);
        wish.values.iter().map(read).collect::<Result<_, _>>()?
    };
    values.sort_by(f64::total_cmp);
    values.retain(|value| (value - now).abs() > 1e-6 * now.abs().max(1e-6));
    let step = |value: f64| {
        let case = changed(wish.factor, value, now, base)
            .and_then(|case| sound(case, wish.factor));
        let away = value - now;
        Step { text: written(wish.factor, value, press), value: Some(value), away, case }
    };
    let text = match wish.factor {
        Factor::Draft => "as it is".to_owned(),
        factor => written(factor, now, press),
    };
    Ok((text, values.into_iter().map(step).collect()))
}

fn air(case: &mut Case) -> Option<&mut Cylinders> {
    case.setup.press.drive.air.as_mut()
}

fn lever(case: &mut Case) -> Option<&mut Lever> {
    case.setup.press.drive.lever.as_mut()
}

fn bolts(case: &mut Case) -> Option<&mut Bolts> {
    case.setup.press.clamp.as_mut()?.bolts.as_mut()
}

/// The force that is stated for the ram: by itself or by a jack's rating.
fn stated_force(case: &mut Case) -> Option<&mut Force> {
    let drive = &mut case.setup.press.drive;
    let jack = drive.jack.as_mut();
    drive.ram_force.as_mut().or(jack.and_then(|Jack { force, .. }| force.as_mut()))
}

fn clamp_force(case: &mut Case) -> Option<&mut Force> {
    let clamp = case.setup.press.clamp.as_mut()?;
    clamp.vise.as_mut().or(clamp.force.as_mut())
}

/// What the thing is now, in the unit of [`scale`]; why it cannot be varied.
fn now(factor: Factor, base: &Case, analysis: &Analysis) -> Result<f64, String> {
    let mut case = base.clone();
    let Scale { si, .. } = scale(factor);
    let value_of = |value: Option<f64>, why: &str| {
        value.map(|value| value / si).ok_or_else(|| format!("{}: {why}", factor.name()))
    };
    let no_air = "the press is not driven by air: vary lever or ram force";
    let no_bolts = "no bolts hold the mold: vary clamp force";
    let feed = analysis.evaluation.feed_design.as_ref().ok().map(|it| &it.feed);
    let gate = feed.map(|feed| feed.gate).filter(|gate| !gate.is_round);
    let no_gate =
        "no feed could be sized, or its sprue stands on the part without a gate";
    match factor {
        Factor::Wall => {
            value_of(analysis.shape.wall.map(Quantity::si), "no wall was measured")
        }
        Factor::Draft | Factor::Plastic => Ok(0.0),
        Factor::MeltTemperature | Factor::MoldTemperature => {
            let range = temperature(&mut case.setup.plastic, factor).value;
            let range = range.ok_or_else(|| {
                format!("{}: it is not known for this plastic", factor.name())
            })?;
            Ok(in_celsius(range.typical()))
        }
        Factor::Air => value_of(air(&mut case).map(|it| it.air.si()), no_air),
        Factor::CylinderBore => value_of(air(&mut case).map(|it| it.bore.si()), no_air),
        Factor::Lever => value_of(
            lever(&mut case).map(|it| it.long_arm.si()),
            "the press has no lever",
        ),
        Factor::RamForce => value_of(
            stated_force(&mut case).map(|it| it.si()),
            "it follows from what drives the ram: vary air, cylinder bore or lever",
        ),
        Factor::RamDiameter => Ok(in_mm(case.setup.press.ram.diameter)),
        Factor::GateDepth => value_of(gate.map(|gate| gate.depth.si()), no_gate),
        Factor::GateWidth => value_of(gate.map(|gate| gate.width.si()), no_gate),
        Factor::Runner => {
            let runner = feed.and_then(|feed| feed.runner);
            value_of(runner.map(|runner| runner.diameter.si()), "there is no runner")
        }
        Factor::Bolts => {
            value_of(bolts(&mut case).map(|it| f64::from(it.count)), no_bolts)
        }
        Factor::BoltSize => {
            let thread = bolts(&mut case).and_then(|it| it.thread().ok());
            value_of(thread.map(|thread| thread.diameter.si()), no_bolts)
        }
        Factor::BoltTorque => value_of(
            bolts(&mut case).and_then(|it| it.torque).map(Quantity::si),
            "the press file gives no torque of its bolts",
        ),
        Factor::ClampForce => value_of(
            clamp_force(&mut case).map(|it| it.si()),
            "the press file states no force: vary bolts, bolt size or bolt torque",
        ),
        Factor::PlateThickness => {
            Ok(in_mm(analysis.evaluation.clamping.plates.thickness))
        }
    }
}

/// Shares of what is now, for what comes in no sizes.
const SHARES: [f64; 8] = [0.5, 0.7, 0.85, 1.15, 1.3, 1.5, 2.0, 3.0];
/// The same for walls, where a part soon is another one.
const WALLS: [f64; 8] = [0.7, 0.8, 0.9, 1.1, 1.2, 1.35, 1.5, 2.0];
/// Steps of a temperature through its range.
const TEMPERATURES: usize = 6;

/// The values that can be bought, cut or turned to, on both sides of now.
fn shelf(factor: Factor, now: f64, base: &Case) -> Vec<f64> {
    let around = |shares: &[f64]| shares.iter().map(|share| share * now).collect();
    let near = |sizes: &[f64], least: f64, most: f64| {
        let is_near = |size: &f64| (least * now..=most * now).contains(size);
        sizes.iter().copied().filter(is_near).collect()
    };
    match factor {
        Factor::Wall => around(&WALLS),
        Factor::Draft => vec![0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0],
        Factor::MeltTemperature | Factor::MoldTemperature => {
            let mut plastic = base.setup.plastic.clone();
            let range = temperature(&mut plastic, factor).value;
            range.map_or_else(Vec::new, |range| {
                let [low, high] = [range.low, range.high].map(in_celsius);
                let last = TEMPERATURES - 1;
                let share = |step: usize| step as f64 / last as f64;
                (0..=last).map(|step| low + share(step) * (high - low)).collect()
            })
        }
        Factor::Air => {
            // The gauge is read to 1 bar or to 10 psi.
            let [unit, step] = match gauge(&base.setup.press) {
                Gauge::Bar => [1e-5, 1.0],
                Gauge::Psi => [in_psi(Pressure::from_si(1.0)), 10.0],
            };
            let most = (MOST_AIR_PA * unit / step + 1e-9) as u32;
            let down = ((now - 3.0) * 1e5 * unit / step).floor().max(1.0) as u32;
            (down..=most).map(|count| f64::from(count) * step / unit * 1e-5).collect()
        }
        Factor::CylinderBore => near(&BORES.sizes_mm(now), 0.5, 2.1),
        Factor::RamDiameter => near(&RAMS.sizes_mm(now), 0.6, 1.4),
        Factor::BoltSize => bolt_sizes(base),
        Factor::Bolts => vec![2.0, 4.0, 6.0, 8.0, 10.0, 12.0],
        Factor::PlateThickness => {
            let bars =
                base.setup.press.mold.as_ref().map_or_else(Bars::default, |it| it.bars);
            let thin: [f64; 2] = match bars {
                Bars::Metric => [15.0, 20.0],
                Bars::Inches => [15.875, 19.05],
            };
            [&thin[..], &bars.thicknesses_mm()].concat()
        }
        Factor::Lever
        | Factor::RamForce
        | Factor::GateDepth
        | Factor::GateWidth
        | Factor::Runner
        | Factor::BoltTorque
        | Factor::ClampForce => around(&SHARES),
        Factor::Plastic => Vec::new(),
    }
}

/// Thinner bolts close no mold, mm.
const LEAST_BOLT_MM: f64 = 4.8;
/// Bolts that few shelves have, mm: M14, 7/16 and 9/16 in.
const RARE_BOLTS_MM: [f64; 3] = [14.0, 11.1125, 14.2875];

/// Diameters of the coarse threads on the shelf of the bolts there are, mm.
fn bolt_sizes(base: &Case) -> Vec<f64> {
    let thread = base.setup.press.bolts().and_then(|bolts| bolts.thread().ok());
    let shelf = thread.map_or_else(Vec::new, |thread| thread.shelf());
    let sizes = shelf.iter().map(|thread| in_mm(thread.diameter));
    let is_rare = |size: f64| RARE_BOLTS_MM.iter().any(|rare| (rare - size).abs() < 1e-6);
    sizes.filter(|size| *size >= LEAST_BOLT_MM && !is_rare(*size)).collect()
}

fn temperature(
    plastic: &mut Plastic,
    factor: Factor,
) -> &mut Sourced<Range<Temperature>> {
    match factor {
        Factor::MoldTemperature => &mut plastic.mold_temperature,
        _ => &mut plastic.melt_temperature,
    }
}

/// `base` with the thing at `value`, which is `now` in `base`.
fn changed(factor: Factor, value: f64, now: f64, base: &Case) -> Result<Case, String> {
    let mut case = base.clone();
    let si = value * scale(factor).si;
    let length = Length::from_si(si);
    let feed = &mut case.settings.choices.feed;
    match factor {
        Factor::Wall => case.part.walls = WallChange::by(value / now),
        Factor::Draft => case.part.draft += Angle::from_si(si),
        Factor::MeltTemperature | Factor::MoldTemperature => {
            warmed(&mut case, factor, value)?;
        }
        Factor::Air => {
            if let Some(air) = air(&mut case) {
                air.air = Pressure::from_si(si);
            }
        }
        Factor::CylinderBore => {
            if let Some(air) = air(&mut case) {
                air.bore = length;
            }
        }
        Factor::Lever => {
            if let Some(lever) = lever(&mut case) {
                lever.long_arm = length;
            }
        }
        Factor::RamForce => {
            if let Some(force) = stated_force(&mut case) {
                *force = Force::from_si(si);
            }
        }
        Factor::RamDiameter => case.setup.press.ram.diameter = length,
        Factor::GateDepth => feed.gate_depth = Some(length),
        Factor::GateWidth => feed.gate_width = Some(length),
        Factor::Runner => feed.runner_diameter = Some(length),
        Factor::Bolts | Factor::BoltSize | Factor::BoltTorque => {
            if let Some(bolts) = bolts(&mut case) {
                bolted(bolts, factor, value, now);
            }
        }
        Factor::ClampForce => {
            if let Some(force) = clamp_force(&mut case) {
                *force = Force::from_si(si);
            }
        }
        Factor::PlateThickness => {
            case.setup.press.mold.get_or_insert_default().thickness = Some(length);
        }
        Factor::Plastic => {}
    }
    Ok(case)
}

/// A temperature within the range that the plastic is molded at.
fn warmed(case: &mut Case, factor: Factor, at: f64) -> Result<(), String> {
    let name = case.setup.plastic.name.clone();
    let Some(range) = &mut temperature(&mut case.setup.plastic, factor).value else {
        return Ok(());
    };
    let [low, high] = [range.low, range.high].map(in_celsius);
    if !(low - 1e-6..=high + 1e-6).contains(&at) {
        let [low, high] = [low, high].map(four_digits);
        return Err(format!("outside the {low} to {high} °C at which {name} is molded"));
    }
    let at = from_celsius(at);
    range.typical = Some(at.max(range.low).min(range.high));
    Ok(())
}

/// Other bolts: of another size they are tightened to the same share of their proof load,
/// which takes the cube of the diameter.
fn bolted(bolts: &mut Bolts, factor: Factor, value: f64, now: f64) {
    match factor {
        Factor::Bolts => bolts.count = value as u32,
        Factor::BoltTorque => bolts.torque = Some(Torque::from_si(value)),
        _ => {
            let share = |bolts: &Bolts| {
                let proof =
                    bolts.thread().ok()?.stress_area() * bolts.strength().ok()?.proof;
                Some(bolts.preload().ok()?.si() / proof.si())
            };
            let same = share(bolts);
            bolts.size = bolt_size(value);
            bolts.torque = bolts.torque.map(|torque| torque * (value / now).powi(3));
            // The thread is not quite as deep on a larger bolt: hit the share exactly.
            if let (Some(torque), Some(same), Some(now)) =
                (bolts.torque, same, share(bolts))
            {
                bolts.torque = Some(torque * (same / now));
            }
        }
    }
}

/// The case, where press and plastic can be so.
fn sound(case: Case, factor: Factor) -> Result<Case, String> {
    case.setup.press.check().map_err(|error| error.to_string())?;
    if matches!(factor, Factor::MeltTemperature | Factor::MoldTemperature)
        && let Some(problem) = case.setup.plastic.nonsense()
    {
        return Err(problem);
    }
    Ok(case)
}

/// One step for each plastic: those that are wanted, else all that may be molded here.
fn plastic_steps(
    wish: &FactorRequest,
    base: &Case,
    plastics: &Plastics,
) -> Result<(String, Vec<Step>), String> {
    let now = &base.setup.plastic;
    let wanted: Vec<&Plastic> = if wish.values.is_empty() {
        let may = |plastic: &&Plastic| plastic.refuse.is_none();
        plastics.iter().map(|(_, plastic)| plastic).filter(may).collect()
    } else {
        let find = |name: &String| plastics.find(name).map_err(|error| error.to_string());
        wish.values.iter().map(find).collect::<Result<_, _>>()?
    };
    let others = wanted.into_iter().filter(|plastic| plastic.name != now.name);
    let step = |(index, plastic): (usize, &Plastic)| {
        let mut case = base.clone();
        case.setup.plastic = plastic.clone();
        let away = index as f64 + 1.0;
        Step { text: plastic.name.clone(), value: None, away, case: Ok(case) }
    };
    Ok((now.name.clone(), others.enumerate().map(step).collect()))
}
