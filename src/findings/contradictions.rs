//! No two cures of one part contradict each other, and none goes beyond a rating: over
//! parts × presses × plastics.

use std::path::{Path, PathBuf};

use crate::analysis::{self, Analysis, Setup};
use crate::fill::cells::Resolution;
use crate::findings::fixtures::{fixture_settings, setup, stl_bytes};
use crate::findings::{Finding, judge};
use crate::mesh::shapes;
use crate::process::press::Press;
use crate::settings::{FillChoices, MillChoices, Settings};
use crate::units::{Quantity, in_bar, in_psi};

/// Two 2-inch cylinders at 120 psi on a ram of 3/4 in, four bolts M8 (common practice).
const SMALL: &str = "name = 'small'\n[drive.air]\ncylinders = 2\nbore = '2 in'\n\
    air = '120 psi'\nefficiency = '90 %'\n[ram]\ndiameter = '0.75 in'\nstroke = '6 in'\n\
    cushion = '4 mm'\nloss = '30 %'\ngranule_fill = '60 %'\nheated_length = '6 in'\n\
    [nozzle]\norifice = '3.2 mm'\nland = '6 mm'\nseat_diameter = '8 mm'\n\
    contact_force = '1.5 kN'\n[clamp.bolts]\ncount = 4\nsize = 'M8'\nclass = '8.8'\n\
    torque = '24 N m'";

/// A hand lever of 400 N and 10 : 1 on a ram of 20 mm, a vise of 20 kN.
const LEVER: &str = "name = 'lever'\n[drive.lever]\nhand = '400 N'\n\
    long_arm = '1000 mm'\nshort_arm = '100 mm'\n[ram]\ndiameter = '20 mm'\n\
    stroke = '120 mm'\ncushion = '4 mm'\nloss = '30 %'\ngranule_fill = '60 %'\n\
    heated_length = '140 mm'\n[nozzle]\norifice = '3 mm'\nland = '6 mm'\n\
    seat_diameter = '8 mm'\ncontact_force = '1.5 kN'\n[clamp]\nvise = '20 kN'\n\
    jaw = '100 mm'";

/// Two 4-inch cylinders at 120 psi on a ram of 1 in, six bolts M10.
const LARGE: &str = "name = 'large'\n[drive.air]\ncylinders = 2\nbore = '4 in'\n\
    air = '120 psi'\nefficiency = '90 %'\n[ram]\ndiameter = '1 in'\nstroke = '6 in'\n\
    cushion = '4 mm'\nloss = '30 %'\ngranule_fill = '60 %'\nheated_length = '6 in'\n\
    [nozzle]\norifice = '4 mm'\nland = '6 mm'\nseat_diameter = '10 mm'\n\
    contact_force = '2.5 kN'\n[clamp.bolts]\ncount = 6\nsize = 'M10'\nclass = '8.8'\n\
    torque = '47 N m'";

/// Where a cure turns something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Turn {
    MorePressure,
    LessPressure,
    Thicker,
    Thinner,
    HotterMelt,
    CoolerMelt,
    HotterMold,
    CoolerMold,
    MoreClamp,
    LessClamp,
    DeeperGate,
    ThinnerGate,
    LargerShot,
    SmallerShot,
}

/// Words that a cure turns something by.
const WORDS: [(&str, Turn); 26] = [
    ("press with", Turn::MorePressure),
    ("raise the pressure", Turn::MorePressure),
    ("push with at most", Turn::LessPressure),
    ("keep the melt below", Turn::LessPressure),
    ("lower the pressure", Turn::LessPressure),
    ("every wall at least", Turn::Thicker),
    ("every wall at least", Turn::LargerShot),
    ("raise the wall", Turn::Thicker),
    ("core it out", Turn::Thinner),
    ("part lighter", Turn::Thinner),
    ("lighter part", Turn::SmallerShot),
    ("part lighter", Turn::SmallerShot),
    ("heat the melt", Turn::HotterMelt),
    ("melt hotter", Turn::HotterMelt),
    ("melt cooler", Turn::CoolerMelt),
    ("mold cooler", Turn::CoolerMelt),
    ("heat the mold", Turn::HotterMold),
    ("mold hotter", Turn::HotterMold),
    ("let the mold cool", Turn::CoolerMold),
    ("tighten each bolt", Turn::MoreClamp),
    ("bolts of this size", Turn::MoreClamp),
    ("take bolts", Turn::MoreClamp),
    ("clamp with at least", Turn::MoreClamp),
    ("clamp with 0.", Turn::LessClamp),
    ("a gate", Turn::DeeperGate),
    ("a thinner gate", Turn::ThinnerGate),
];

/// Pairs that no part may be advised together.
const OPPOSED: [[Turn; 2]; 7] = [
    [Turn::MorePressure, Turn::LessPressure],
    [Turn::Thicker, Turn::Thinner],
    [Turn::HotterMelt, Turn::CoolerMelt],
    [Turn::HotterMold, Turn::CoolerMold],
    [Turn::MoreClamp, Turn::LessClamp],
    [Turn::DeeperGate, Turn::ThinnerGate],
    [Turn::LargerShot, Turn::SmallerShot],
];

fn turns(cure: &str) -> Vec<Turn> {
    WORDS.iter().filter(|(word, _)| cure.contains(word)).map(|(_, turn)| *turn).collect()
}

/// Pairs of cures that contradict each other.
fn contradictions(findings: &[Finding]) -> Vec<[String; 2]> {
    let mut found = Vec::new();
    for one in findings {
        for other in findings {
            let (ours, theirs) = (turns(&one.cure), turns(&other.cure));
            let is_opposed =
                |[up, down]: &[Turn; 2]| ours.contains(up) && theirs.contains(down);
            if OPPOSED.iter().any(is_opposed) {
                found.push([one.cure.clone(), other.cure.clone()]);
            }
        }
    }
    found
}

/// Numbers of a cure that stand before this unit.
fn numbers_in(cure: &str, unit: &str) -> Vec<f64> {
    let words: Vec<&str> = cure.split_whitespace().collect();
    let pairs = words
        .windows(2)
        .filter(|pair| pair[1].trim_matches(|c: char| !c.is_alphanumeric()) == unit);
    pairs.filter_map(|pair| pair[0].trim_matches('(').parse().ok()).collect()
}

/// What a cure asks of the press beyond its rating or that of a common compressor.
fn beyond_rating(analysis: &Analysis, cure: &str) -> Vec<String> {
    let drive = &analysis.setup.press.drive;
    let mut beyond = Vec::new();
    if let Some(air) = &drive.air {
        // 120 psi, or what the press has already; printed to three digits.
        let bar = in_bar(air.air).max(8.274) * 1.005;
        let psi = in_psi(air.air).max(120.0) * 1.005;
        beyond.extend(numbers_in(cure, "bar").into_iter().filter(|it| *it > bar));
        beyond.extend(numbers_in(cure, "psi").into_iter().filter(|it| *it > psi));
    }
    if drive.lever.is_some() && cure.contains("a lever") {
        let arms = numbers_in(cure, "mm").into_iter().filter(|arm| *arm > 900.0);
        beyond.extend(arms.filter(|arm| *arm > 2010.0));
    }
    beyond.into_iter().map(|number| format!("{number} in {cure}")).collect()
}

fn settings() -> Settings {
    let fill = FillChoices { cells: Resolution::Budget(120), ..FillChoices::default() };
    let milling = MillChoices { skip: true, ..MillChoices::default() };
    Settings { fill, milling, samples: 1000, ..fixture_settings() }
}

/// Simple shapes, the demo parts, and those of the folder that `GOODSHOT_PARTS` names.
fn parts() -> Vec<(String, Vec<u8>)> {
    let shapes = [
        shapes::cup(12.0, 15.0, 3.0, 3.0, 32),
        shapes::cuboid(80.0, 30.0, 1.2),
        shapes::tray([60.0, 40.0, 20.0], 2.0),
    ];
    let shapes = shapes.iter().map(|mesh| ("a shape".to_owned(), stl_bytes(mesh)));
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("models");
    let folders = [Some(own), std::env::var_os("GOODSHOT_PARTS").map(PathBuf::from)];
    let mut files: Vec<PathBuf> = folders
        .iter()
        .flatten()
        .flat_map(|folder| std::fs::read_dir(folder).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "stl"))
        .collect();
    files.sort();
    let files = files
        .into_iter()
        .map(|path| (path.display().to_string(), std::fs::read(path).unwrap()));
    shapes.chain(files).collect()
}

/// Options belong to the command line, not to the page; the cure of a wrong unit is nothing but its
/// own.
fn names_option(finding: &Finding) -> bool {
    let own = if finding.kind == super::Kind::Unit { "--unit " } else { "" };
    [&finding.cure, &finding.basis]
        .iter()
        .any(|text| text.replace(own, "").contains("--"))
}

#[test]
fn no_cure_contradicts_another_or_goes_beyond_a_rating() {
    let settings = settings();
    for (name, bytes) in parts() {
        for press in [SMALL, LEVER, LARGE] {
            for plastic in ["pp", "abs", "pc"] {
                let press = Press::parse(press).unwrap();
                let case = format!("{name}, {}, {plastic}", press.name);
                let setup = Setup { press, press_given: true, ..setup(plastic) };
                let Ok(analysis) = analysis::run(&bytes, setup, &settings, &|_| {})
                else {
                    continue; // No part: its own test says so.
                };
                let findings = judge(&analysis);
                let wrong = contradictions(&findings);
                assert!(wrong.is_empty(), "{case}: {wrong:?}");
                for finding in &findings {
                    let cure = &finding.cure;
                    assert_eq!(beyond_rating(&analysis, cure), Vec::<String>::new());
                    assert!(!names_option(finding), "{case}: {cure} {}", finding.basis);
                }
            }
        }
    }
}

/// The pairs are known: what was advised together once is found.
#[test]
fn a_contradiction_is_found() {
    let advised = |cure: &str| {
        let kind = super::Kind::Unit;
        Finding::new(kind, super::Severity::Note, "any").cured_by(cure)
    };
    for [one, other] in [
        ["press with 9.8 MPa: 9.1 bar at the regulator", "push with at most 6.5 MPa"],
        ["every wall at least 2 mm", "core it out at (0, 0, 0) from 20 to 4 mm"],
        ["tighten each bolt to 30 N m", "clamp with 0.6 times as much"],
        ["heat the mold to 80 °C", "let the mold cool between shots"],
    ] {
        assert!(
            !contradictions(&[advised(one), advised(other)]).is_empty(),
            "{one} {other}"
        );
        assert!(contradictions(&[advised(one), advised(one)]).is_empty(), "{one}");
    }
    let press = Press::parse(SMALL).unwrap();
    assert!((press.drive.air.as_ref().unwrap().air.si() / 827_371.0 - 1.0).abs() < 1e-5);
    assert_eq!(numbers_in("cylinders, 17.7 bar at the regulator", "bar"), [17.7]);
}
