//! The main job as a user sees it: a part's file in, a verdict and files out.

mod answers;
mod several_parts;
mod several_cavities;
mod test_piece;
mod calibrating;
mod causes;
mod comparing;
mod cost;
mod own_folder;
mod watching;
mod manual;
mod desk;
mod filling;
mod inputs;
mod evaluation;
mod mold;
mod programs;
mod press_files;
mod why;
mod refusals;

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use goodshot::geom::Point;
use goodshot::mesh::{TriMesh, stl};
use serde_json::Value;
use tempfile::TempDir;

/// A folder of its own for one test, with the program at hand.
struct Workspace {
    folder: TempDir,
}

/// What one run answered.
struct Answer {
    code: i32,
    out: String,
    err: String,
}

impl Workspace {
    fn new() -> Self {
        Self { folder: TempDir::new().unwrap() }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Puts a file into the folder.
    fn put(&self, name: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.path(name), bytes).unwrap();
    }

    /// Puts a part into the folder as a binary STL.
    fn put_part(&self, name: &str, mesh: &TriMesh) {
        self.put(name, binary(&triangles(mesh)));
    }

    /// The program, about to run in the folder.
    fn command(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_goodshot"));
        // What the user of this machine keeps in a folder of their own is no part of a test.
        command.env("GOODSHOT_CONFIG", "");
        command.current_dir(self.folder.path()).args(words);
        command
    }

    /// Runs the program in the folder.
    fn run(&self, words: &[&str]) -> Answer {
        let output = self.command(words).output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Answer {
            code: output.status.code().unwrap(),
            out: text(output.stdout),
            err: text(output.stderr),
        }
    }

    /// Checks one part with `words` more, which must succeed in giving an answer. Whether it
    /// fills is not looked at: that takes longer than all the rest.
    fn check(&self, part: &str, words: &[&str]) -> Value {
        self.fill(part, &[&["--no-fill"], words].concat())
    }

    /// The same with the filling.
    fn fill(&self, part: &str, words: &[&str]) -> Value {
        let answer = self.run(&[&["check", part, "--json"], words].concat());
        assert!(answer.err.is_empty() && answer.code != 2, "{}", answer.err);
        serde_json::from_str(&answer.out).unwrap()
    }

    /// Names in the folder, all the way down, in order.
    fn names(&self) -> Vec<String> {
        let mut names = Vec::new();
        collect(self.folder.path(), self.folder.path(), &mut names);
        names.sort();
        names
    }
}

fn collect(folder: &Path, base: &Path, names: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(&path, base, names);
        } else {
            names.push(path.strip_prefix(base).unwrap().display().to_string());
        }
    }
}

/// A part of `models/`.
fn model(name: &str) -> String {
    format!("{}/models/{name}.stl", env!("CARGO_MANIFEST_DIR"))
}

fn triangles(mesh: &TriMesh) -> Vec<[Point; 3]> {
    (0..mesh.facets().len()).map(|facet| mesh.corners(facet)).collect()
}

fn binary(triangles: &[[Point; 3]]) -> Vec<u8> {
    let mut bytes = Vec::new();
    stl::write(triangles.iter().copied(), &mut bytes).unwrap();
    bytes
}

/// Findings of one kind.
fn findings<'a>(report: &'a Value, id: &str) -> Vec<&'a Value> {
    let all = report["findings"].as_array().unwrap();
    all.iter().filter(|finding| finding["id"] == id).collect()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn point(value: &Value) -> [f64; 3] {
    [0, 1, 2].map(|axis| number(&value[axis]))
}

/// How far `a` is from `b`.
fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    nalgebra::distance(&Point::from(a), &Point::from(b))
}
