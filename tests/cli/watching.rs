//! `goodshot check --watch`: a real file changed on disk while it runs.
#![cfg(unix)]

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use goodshot::mesh::{TriMesh, shapes};

use super::{Workspace, binary, triangles};

/// Far longer than a check takes on a busy machine.
const PATIENCE: Duration = Duration::from_secs(120);

/// The program at watch over a part, and the lines that it prints.
struct Watch {
    child: Child,
    lines: Receiver<String>,
}

impl Watch {
    fn over(workspace: &Workspace, words: &[&str]) -> Self {
        let words =
            [&["check", "plug.stl", "--no-fill", "--pull", "+z", "--watch"], words];
        let mut child = Command::new(env!("CARGO_BIN_EXE_goodshot"))
            .env("GOODSHOT_CONFIG", "")
            .args(words.concat())
            .current_dir(workspace.folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (progress, lines) = channel();
        let out = BufReader::new(child.stdout.take().unwrap());
        thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                if progress.send(line).is_err() {
                    break;
                }
            }
        });
        Self { child, lines }
    }

    /// All lines up to one that holds `text`.
    fn until(&self, text: &str) -> Vec<String> {
        let mut seen = Vec::new();
        loop {
            let line = self.lines.recv_timeout(PATIENCE);
            let line = line.unwrap_or_else(|_| panic!("no {text:?} after {seen:#?}"));
            let found = line.contains(text);
            seen.push(line);
            if found {
                return seen;
            }
        }
    }

    /// Interrupts it as Ctrl-C does; its exit code and what it complained of.
    fn interrupted(mut self) -> (Option<i32>, String) {
        let id = self.child.id().to_string();
        assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
        let code = self.child.wait().unwrap().code();
        let mut said = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        (code, said)
    }
}

fn plug(wall: f64) -> TriMesh {
    shapes::cup(12.0, 15.0, wall, 3.0, 48)
}

#[test]
fn an_export_that_is_written_bit_by_bit_is_answered_once_and_without_alarm() {
    let workspace = Workspace::new();
    workspace.put_part("plug.stl", &plug(3.0));
    let watch = Watch::over(&workspace, &[]);
    let first = watch.until("Ctrl-C");
    assert!(first[0].starts_with("plug.stl: "), "{first:#?}");
    // Half of the new part, longer than a file must be still, then the rest.
    let whole = binary(&triangles(&plug(2.0)));
    workspace.put("plug.stl", &whole[..whole.len() / 2]);
    thread::sleep(Duration::from_millis(1000));
    workspace.put("plug.stl", &whole);
    let changed = watch.until("shape");
    assert!(changed[0].starts_with("plug.stl → plug.stl: "), "{changed:#?}");
    assert!(changed.iter().any(|line| line.contains("thinner by up to")), "{changed:#?}");
    let report =
        fs::read_to_string(workspace.path("goodshot-report/plug/report.json")).unwrap();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    let wall = report["thickness"]["ball_mm"]["p50"].as_f64().unwrap();
    assert!((wall - 2.0).abs() < 0.1, "{wall}");
    // Put in its place by another name, as many programs save.
    workspace.put_part("plug.new", &plug(3.0));
    fs::rename(workspace.path("plug.new"), workspace.path("plug.stl")).unwrap();
    let back = watch.until("shape");
    assert!(back.iter().any(|line| line.contains("thicker by up to")), "{back:#?}");
    let (code, said) = watch.interrupted();
    assert_eq!((code.is_some_and(|code| code != 2), said.as_str()), (true, ""));
    assert!(
        !workspace.names().iter().any(|name| name.contains(".tmp")),
        "{:?}",
        workspace.names()
    );
}

#[test]
fn what_stays_broken_is_reported_and_the_watch_goes_on() {
    let workspace = Workspace::new();
    workspace.put_part("plug.stl", &plug(3.0));
    let watch = Watch::over(&workspace, &[]);
    watch.until("Ctrl-C");
    let whole = binary(&triangles(&plug(2.0)));
    workspace.put("plug.stl", &whole[..whole.len() / 2]);
    // Longer than it is patient.
    thread::sleep(Duration::from_secs(5));
    workspace.put("plug.stl", &whole);
    watch.until("shape");
    let (code, said) = watch.interrupted();
    assert!(code.is_some_and(|code| code != 2), "the last answer counts: {code:?}");
    assert_eq!(said.lines().count(), 1, "{said}");
    assert!(said.contains("plug.stl: ") && said.contains("cut off"), "{said}");
}

#[test]
fn another_press_is_another_answer() {
    let workspace = Workspace::new();
    workspace.put_part("plug.stl", &plug(3.0));
    let press = workspace.run(&["press", "--template"]).out;
    workspace.put("ours.toml", &press);
    let watch = Watch::over(&workspace, &["--press", "ours.toml"]);
    watch.until("Ctrl-C");
    let named = |line: &&str| line.trim_start().starts_with("name");
    let name = press.lines().find(named).unwrap();
    workspace.put("ours.toml", press.replace(name, "name = 'the other one'"));
    let changed = watch.until("the other one");
    assert!(changed.last().unwrap().contains("press "), "{changed:#?}");
    assert!(watch.interrupted().0.is_some());
}

/// One cutter under two names, then two of them: the halves ask for the new list.
#[test]
fn other_cutters_are_another_answer() {
    let workspace = Workspace::new();
    workspace.put_part("plug.stl", &plug(3.0));
    let cutter = |name: &str| {
        format!(
            "name = 'ours'\nholder = '25 mm'\n[[cutter]]\nkind = 'flat'\nname = '{name}'\n\
             diameter = '3 mm'\nflute = '12 mm'\nshank = '3 mm'\nstickout = '20 mm'\n"
        )
    };
    workspace.put("tools.toml", cutter("blunt three"));
    let watch = Watch::over(&workspace, &["--tools", "tools.toml"]);
    watch.until("Ctrl-C");
    workspace.put("tools.toml", cutter("sharp three"));
    let changed = watch.until("sharp three");
    let line = changed.last().unwrap();
    assert!(line.contains("cutters needed blunt three → sharp three"), "{changed:#?}");
    assert!(watch.interrupted().0.is_some());
    // A list that is none is reported before anything is watched.
    workspace.put("tools.toml", "name = 3");
    let answer =
        workspace.run(&["check", "plug.stl", "--watch", "--tools", "tools.toml"]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
}

#[test]
fn nothing_to_watch_is_refused_at_once() {
    let workspace = Workspace::new();
    for words in
        [&["check", "none.stl", "--watch"][..], &["check", "a.stl", "--watch", "--json"]]
    {
        let answer = workspace.run(words);
        assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
    }
}
