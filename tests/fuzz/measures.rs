//! Odd meshes, healed and measured whole: every number is one, what must be positive is, and the
//! program itself answers with an exit code of 0 to 3 within its time and memory.

use std::process::Command;

use goodshot::analysis::mold::{self, MoldChoices};
use goodshot::analysis::{self, Analysis, Setup};
use goodshot::fill::cells::Resolution;
use goodshot::mold::milling::CutterList;
use goodshot::mold::milling::outcome::CellSize;
use goodshot::process::plastic::library::Plastics;
use goodshot::process::press::Press;
use goodshot::report::{bundle, markdown};
use goodshot::schema::assemble;
use goodshot::settings::{FillChoices, MillChoices, Settings};
use proptest::prelude::Strategy;
use proptest::test_runner::{Config, RngSeed, TestCaseError, TestRunner};

use crate::campaign::{self, Campaign};
use crate::finite::{assert_finite, first_odd};
use crate::shapes::{self, Soup};

fn setup() -> Setup {
    let plastics = Plastics::builtin().unwrap();
    Setup {
        press: Press::builtin().unwrap(),
        press_given: true,
        plastic: plastics.find("pp").unwrap().clone(),
        plastic_given: true,
        sources: plastics.sources(),
        found: Vec::new(),
    }
}

/// Few samples and cells.
fn settings(skip: bool) -> Settings {
    let fill =
        FillChoices { skip, cells: Resolution::Budget(150), ..FillChoices::default() };
    let milling =
        MillChoices { skip, cell: CellSize::Edge(1.0), ..MillChoices::default() };
    Settings { samples: 400, fill, milling, ..Settings::default() }
}

/// What comes of the part in `bytes`.
fn measured(bytes: &[u8], settings: &Settings) -> String {
    match analysis::run(bytes, setup(), settings, &|_| ()) {
        Ok(analysis) => answered(&analysis),
        Err(error) => error.to_string(),
    }
}

fn answered(analysis: &Analysis) -> String {
    let report = assemble::report(analysis, "part.stl");
    assert_finite(&report, "this part");
    let mass = &analysis.mass;
    assert!(mass.area > 0.0, "an area of {}", mass.area);
    assert!(mass.solid.as_ref().is_none_or(|it| it.volume >= 0.0), "a negative volume");
    assert!(analysis.release.silhouette.area >= 0.0, "a negative projected area");
    let words = markdown::write(&report, &[]);
    assert_eq!(first_odd(&words), None, "{words}");
    let kinds: Vec<_> = report.findings.iter().map(|it| it.kind).collect();
    format!("{:?} {kinds:?}", report.verdict)
}

fn runner(times: u32) -> TestRunner {
    TestRunner::new(Config {
        cases: times * u32::try_from(campaign::factor()).unwrap(),
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(campaign::seed()),
        max_shrink_iters: 200,
        ..Config::default()
    })
}

/// What is run as a program of its own.
const PROGRAM: &str = "program";

fn all(
    name: &'static str,
    times: u32,
    soups: &impl Strategy<Value = Soup>,
    test: impl Fn(&[u8]),
) {
    let count = std::cell::Cell::new(0_u32);
    let mut runner = runner(times);
    let done = runner.run(soups, |soup| {
        count.set(count.get() + 1);
        let bytes = shapes::binary(&soup);
        // The program itself is held to its time and memory by the system.
        if name == PROGRAM {
            test(&bytes);
        } else {
            campaign::alone(name, &bytes, || test(&bytes));
        }
        Ok::<(), TestCaseError>(())
    });
    println!("{name}: {} executions", count.get());
    if let Err(error) = done {
        panic!("{name}: {error}");
    }
}

#[test]
fn odd_meshes_are_measured() {
    let settings = settings(true);
    all("measures", 300, &shapes::odd(), |bytes| drop(measured(bytes, &settings)));
}

#[test]
fn odd_parts_are_filled_and_milled() {
    let settings = settings(false);
    all("fillings", 20, &shapes::of_a_part(), |bytes| drop(measured(bytes, &settings)));
}

/// The halves of what looks like a part, and the files of its report.
#[test]
fn odd_parts_get_a_mold_or_a_reason() {
    let settings = settings(true);
    all("molds", 10, &shapes::of_a_part(), |bytes| {
        let Ok(analysis) = analysis::run(bytes, setup(), &settings, &|_| ()) else {
            return;
        };
        let milling = MillChoices { skip: true, ..MillChoices::default() };
        let choices = MoldChoices { milling, ..MoldChoices::default() };
        match mold::design(&analysis, &choices) {
            Ok(design) => assert_finite(&design.checks, "this mold"),
            Err(reason) => assert!(!reason.to_string().is_empty()),
        }
        let report = assemble::report(&analysis, "part.stl");
        assert!(!bundle::write(&analysis, &report).unwrap().is_empty());
    });
}

/// Files of odd parts, byte by byte.
#[test]
fn changed_files_are_measured() {
    let settings = settings(true);
    let seeds = shapes::files();
    let campaign = Campaign { name: "parts", times: 150, seeds, words: Vec::new() };
    campaign.run(|bytes| measured(bytes, &settings));
}

/// Odd cutters over one part.
#[test]
fn changed_cutters_mill() {
    let part = shapes::files().swap_remove(0);
    let seeds = vec![CutterList::template().as_bytes().to_vec()];
    let campaign =
        Campaign { name: "milling", times: 30, seeds, words: vec!["mm", "in", "\""] };
    campaign.run(|bytes| match CutterList::parse(&String::from_utf8_lossy(bytes)) {
        Ok(list) => {
            let mut settings = settings(true);
            settings.milling.skip = false;
            settings.milling.cutters = Some(list);
            measured(&part, &settings)
        }
        Err(error) => error.to_string(),
    });
}

/// The program itself, with a limit on time and on memory.
#[cfg(unix)]
#[test]
fn the_program_ends_with_an_answer() {
    let folder = tempfile::tempdir().unwrap();
    let part = folder.path().join("part.stl");
    all(PROGRAM, 4, &shapes::odd(), |bytes| {
        std::fs::write(&part, bytes).unwrap();
        for verb in ["check", "mold"] {
            let done = Command::new("sh")
                .args([
                    "-c",
                    "ulimit -t 20; exec \"$@\"",
                    "sh",
                    env!("CARGO_BIN_EXE_goodshot"),
                ])
                .args([
                    verb, "part.stl", "--cells", "300", "--memory", "1 GiB", "--quiet",
                ])
                .current_dir(folder.path())
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&done.stderr);
            assert!(
                matches!(done.status.code(), Some(0..=3)),
                "{verb}: {} {said}",
                done.status
            );
            assert!(
                said.lines().count() <= 1 && !said.contains("panicked"),
                "{verb}: {said}"
            );
        }
    });
}
