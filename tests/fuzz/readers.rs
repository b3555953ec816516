//! Every reader: what is no file of its kind is one line, whatever the bytes.

use goodshot::mesh::heal::{self, HealSettings};
use goodshot::mesh::stl;
use goodshot::mold::milling::CutterList;
use goodshot::process::calibration::file::Calibration;
use goodshot::process::calibration::log;
use goodshot::process::cost::shop::Shop;
use goodshot::process::plastic::library::Plastics;
use goodshot::process::press::Press;
use goodshot::units::us_words;

use crate::campaign::Campaign;
use crate::shapes;

/// Facets that are healed at the most: more only takes longer.
const MOST_HEALED: usize = 600;

/// What makes a file of a shop.
const WORDS: [&str; 60] = [
    "[drive.air]",
    "[drive.lever]",
    "[drive.jack]",
    "[drive]",
    "[ram]",
    "[nozzle]",
    "[nozzle.spring]",
    "[clamp.bolts]",
    "[clamp]",
    "[[clamp.c_clamps]]",
    "[[clamp.toggles]]",
    "[mold]",
    "[[cutter]]",
    "[plastic.mine]",
    "[sources]",
    "\nname = \"a\"",
    "\nlike = \"pp\"",
    "\nbore = \"2 1/2 in\"",
    "\nair = \"100 psi\"",
    "\nram_force = \"900 lbf\"",
    "\nsize = \"1/4-20\"",
    "\nclass = \"grade 5\"",
    "\npreload = \"70 %\"",
    "\nvise = \"20 kN\"",
    "\nforce = \"2 ton\"",
    "\nat = [\"40 mm\", \"0 mm\"]",
    "\ncount = 4",
    "\ntorque = \"24 N m\"",
    "\nmfr = \"12 g/10min at 230 C, 2.16 kg\"",
    "\nreal = { low = \"1 %\", high = \"2 %\" }",
    "\nholder = \"20 mm\"",
    "\nkind = \"ball\"",
    "\nkind = \"tapered\"",
    "\nflute = \"10 mm\"",
    "mm",
    "in",
    "\"",
    "psi",
    "bar",
    "MPa",
    "N",
    "kN",
    "lbf",
    "ton",
    "N m",
    "ft lbf",
    "mm/s",
    "in/min",
    "N/mm",
    "deg",
    "%",
    "C",
    "F",
    "g",
    "kg",
    "h",
    "min",
    "s",
    "g/10min",
    "true",
];

/// One line of at most a thousand characters, as the command line cuts it.
fn one_line(error: &impl ToString) -> String {
    let line = error.to_string();
    assert!(!line.is_empty(), "an error that says nothing");
    assert!(line.chars().count() < 4000, "an error of {} letters", line.len());
    line
}

fn text_campaign(name: &'static str, times: u64, seeds: &[&str]) -> Campaign {
    let seeds = seeds.iter().map(|it| it.as_bytes().to_vec()).collect();
    Campaign { name, times, seeds, words: WORDS.to_vec() }
}

fn read_text(bytes: &[u8], read: impl Fn(&str) -> String) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => read(text),
        Err(_) => read(&String::from_utf8_lossy(bytes)),
    }
}

/// Binary and text, healed where they are small.
#[test]
fn stl_files() {
    let words = [
        "solid a\n",
        "facet normal 0 0 1\n",
        "outer loop\n",
        "vertex 0 0 1\n",
        "endloop\n",
        "endfacet\n",
        "endsolid a\n",
        "endsolid",
        "SOLID",
        "1e-5",
        "nan",
    ];
    let words = words.to_vec();
    let campaign = Campaign { name: "stl", times: 60_000, seeds: shapes::files(), words };
    campaign.run(|bytes| {
        let read = match stl::read(bytes) {
            Ok(read) => read,
            Err(error) => return one_line(&error),
        };
        let triangles = read.scaled(25.4);
        assert!(triangles.iter().flatten().all(|it| it.iter().all(|x| x.is_finite())));
        if triangles.len() > MOST_HEALED {
            return format!("{:?} {:?}", read.encoding, read.oddities);
        }
        match heal::heal(&triangles, HealSettings { close_holes: bytes.len() % 2 == 0 }) {
            Ok(healed) => {
                assert!(
                    healed
                        .mesh
                        .points()
                        .iter()
                        .all(|at| at.iter().all(|x| x.is_finite()))
                );
                assert!(!healed.mesh.facets().is_empty());
                let record = &healed.record;
                let kinds = record.defects.iter().map(|it| it.kind);
                format!(
                    "{} {:?} {}",
                    healed.closed,
                    kinds.collect::<Vec<_>>(),
                    record.repairs.len()
                )
            }
            Err(error) => one_line(&error),
        }
    });
}

#[test]
fn press_files() {
    let seeds = [Press::template(), include_str!("../../src/process/press/press.toml")];
    text_campaign("press", 12_000, &seeds).run(|bytes| {
        read_text(bytes, |text| match Press::parse(text) {
            Ok(press) => {
                let pressure = press.melt_pressure().value;
                assert!(pressure.is_finite() && pressure > 0.0, "{pressure}");
                format!("{:?} {:?}", press.class(), press.cautions().len())
            }
            Err(error) => one_line(&error),
        })
    });
}

#[test]
fn plastics_files() {
    let builtin = Plastics::builtin().unwrap();
    text_campaign("plastics", 4_000, &[Plastics::template()]).run(|bytes| {
        read_text(bytes, |text| match builtin.clone().with_user_file(text) {
            Ok(plastics) => format!("{} plastics", plastics.iter().count()),
            Err(error) => one_line(&error),
        })
    });
}

#[test]
fn cutters_files() {
    text_campaign("cutters", 10_000, &[CutterList::template()]).run(|bytes| {
        read_text(bytes, |text| match CutterList::parse(text) {
            Ok(list) => format!("{} cutters", list.runner_cutters().len()),
            Err(error) => one_line(&error),
        })
    });
}

#[test]
fn shop_files() {
    text_campaign("shop", 8_000, &[Shop::template()]).run(|bytes| {
        read_text(bytes, |text| match Shop::parse(text) {
            Ok(read) => format!("{} defaults", read.assumed.len()),
            Err(error) => one_line(&error),
        })
    });
}

#[test]
fn calibration_files() {
    text_campaign("calibration", 20_000, &[]).run(|bytes| {
        read_text(bytes, |text| match Calibration::parse(text) {
            Ok(read) => {
                let known = read.knowledge();
                assert!(
                    known.mean.iter().chain(&known.covariance).all(|x| x.is_finite())
                );
                let written = read.write().unwrap();
                assert_eq!(Calibration::parse(&written).unwrap(), read);
                "read".to_owned()
            }
            Err(error) => one_line(&error),
        })
    });
}

/// Logs of shots, as TOML and as a table.
#[test]
fn shot_logs() {
    text_campaign("shots", 12_000, &[]).run(|bytes| {
        read_text(bytes, |text| match log::parse(text) {
            Ok(shots) => {
                let full = shots.iter().filter(|shot| shot.how_far().is_some()).count();
                format!("{} shots, {full}", shots.len())
            }
            Err(error) => one_line(&error),
        })
    });
}

/// Sentences with quantities, rewritten in inches.
#[test]
fn sentences_in_inches() {
    let seeds = [
        "The wall is 1.2 mm thin, limit 0.8 to 3 mm: 120 N at 60 \u{b0}C, 4 bar, 3.1 g, 12 cm\u{b3}",
        "\u{2212}0.02 mm over 40 mm\u{b2}; 1\u{202f}200 N, 5 kN, 24 N m, 60 mm/s, 1.5 \u{b5}m \u{b1} 3 %",
    ];
    text_campaign("sentences", 60_000, &seeds).run(|bytes| {
        read_text(bytes, |text| {
            let rewritten = us_words::rewritten(text);
            let pieces = us_words::pieces(text).len();
            assert!(rewritten.len() <= 40 * text.len() + 40);
            format!("{pieces} pieces")
        })
    });
}
