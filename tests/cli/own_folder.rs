//! The user's own folder: what is kept there is used by every command, which says so.

use super::{Answer, Workspace};

/// A workspace whose user keeps things in `ours`.
struct Kept(Workspace);

impl Kept {
    fn new() -> Self {
        Self(Workspace::new())
    }

    fn run(&self, words: &[&str]) -> Answer {
        let folder = self.0.path("ours");
        let output =
            self.0.command(words).env("GOODSHOT_CONFIG", folder).output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Answer {
            code: output.status.code().unwrap(),
            out: text(output.stdout),
            err: text(output.stderr),
        }
    }
}

#[test]
fn a_press_that_is_kept_is_used_and_named_until_another_one_is_nearer() {
    let kept = Kept::new();
    let template = kept.0.run(&["press", "--template"]).out;
    kept.0.put("bench.toml", template.replace("our press", "the corner press"));
    let answer = kept.run(&["press", "bench.toml", "--use"]);
    assert!(answer.out.contains("kept as ") && answer.out.contains("ours/press.toml"));
    let shown = kept.run(&["press"]).out;
    assert!(shown.starts_with("with your press.toml from "), "{shown}");
    assert!(shown.contains("the corner press"), "{shown}");
    kept.0.put("plug.stl", super::desk::plug());
    let words = ["check", "plug.stl", "--no-fill", "--no-mill", "--json"];
    let report = kept.run(&words).out;
    assert!(
        report.contains("\"the corner press\"")
            && report.contains("your press.toml from ")
    );
    // The working folder is nearer, and what is given is nearest.
    kept.0.put("press.toml", template.replace("our press", "the press here"));
    let report = kept.run(&words).out;
    assert!(
        report.contains("\"the press here\"")
            && report.contains("press.toml of this folder")
    );
    let given = kept.run(&["press", "bench.toml"]).out;
    assert!(given.starts_with("the corner press"), "{given}");
    // Nothing of it is used where no folder is.
    std::fs::remove_file(kept.0.path("press.toml")).unwrap();
    let report = kept.0.run(&words).out;
    assert!(!report.contains("corner press") && !report.contains("your press.toml"));
}

#[test]
fn plastics_and_cutters_are_kept_too() {
    let kept = Kept::new();
    kept.0.put("mine.toml", "[plastic.blend]\nlike = 'pp'\nname = 'Our blend'\n");
    kept.0.put("tools.toml", kept.0.run(&["cutters", "--template"]).out);
    assert_eq!(kept.run(&["plastics", "--plastics", "mine.toml", "--use"]).code, 0);
    assert_eq!(kept.run(&["cutters", "tools.toml", "--use"]).code, 0);
    let listed = kept.run(&["plastics"]).out;
    assert!(
        listed.starts_with("with your plastics.toml from ") && listed.contains("blend")
    );
    assert!(kept.run(&["cutters"]).out.contains("our cutters"));
    // The plastic of the last check on the page is the one that is assumed.
    kept.0.put("ours/settings.toml", "plastic = \"blend\"\n");
    kept.0.put("plug.stl", super::desk::plug());
    let words = ["check", "plug.stl", "--no-fill", "--json"];
    let report: serde_json::Value = serde_json::from_str(&kept.run(&words).out).unwrap();
    assert_eq!(report["plastic"]["name"], "Our blend");
    let said = report["assumptions"].to_string();
    assert!(said.contains("your plastics.toml and cutters.toml from "), "{said}");
    assert!(said.contains("your plastic blend from "), "{said}");
}

#[test]
fn what_is_wrong_with_it_is_one_line() {
    let kept = Kept::new();
    assert_eq!(kept.run(&["press", "--use"]).code, 2);
    kept.0.put("ours", "a file where a folder should be");
    kept.0.put("bench.toml", kept.0.run(&["press", "--template"]).out);
    let answer = kept.run(&["press", "bench.toml", "--use"]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
    assert!(answer.err.contains("could not be kept"), "{}", answer.err);
    let answer = kept.0.run(&["press", "bench.toml", "--use"]);
    assert!(answer.err.contains("GOODSHOT_CONFIG is empty"), "{}", answer.err);
    let kept = Kept::new();
    std::fs::create_dir(kept.0.path("ours")).unwrap();
    kept.0.put("ours/settings.toml", "plastic = 3\n");
    kept.0.put("plug.stl", super::desk::plug());
    let answer = kept.run(&["check", "plug.stl"]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1), "{}", answer.err);
    assert!(answer.err.contains("settings.toml: correct or erase it"), "{}", answer.err);
}
