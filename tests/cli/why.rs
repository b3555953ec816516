//! The causes of a bad part as a user asks for them.

use goodshot::mesh::shapes;
use serde_json::Value;

use super::Workspace;

fn plug(workspace: &Workspace) {
    workspace.put_part("plug.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 48));
}

const QUICK: [&str; 5] = ["why", "plug.stl", "--no-mill", "--cells", "600"];

/// Pressed with far less than it takes, a short part is short of pressure; and what the press is
/// set to for that is read in the unit of its drive.
#[test]
fn the_first_cause_of_a_short_part_is_the_pressure_it_was_not_given() {
    let workspace = Workspace::new();
    plug(&workspace);
    let words = [&QUICK[..], &["--seen", "short", "--set", "0.9 bar", "--json"]].concat();
    let answer = workspace.run(&words);
    assert_eq!((answer.code, answer.err.as_str()), (0, ""), "{}", answer.out);
    let found: Value = serde_json::from_str(&answer.out).unwrap();
    assert_eq!(found["seen"], "short");
    assert_eq!(found["causes"][0]["id"], "pressure_low", "{found:#}");
    assert_eq!(found["causes"][0]["standing"], "likely");
    // 7 bar of the built-in press are 5.601 MPa on the melt: two cylinders of 63 mm at 90 %,
    // 30 % of loss, on 25 mm.
    let pushed = found["pushed_mpa"].as_f64().unwrap();
    assert!((pushed - 5.601 * 0.9 / 7.0).abs() < 1e-3, "{pushed}");
    let then = found["causes"][0]["then"].as_str().unwrap();
    assert!(then.contains("it fills at"), "{then}");
    assert!(!workspace.path("goodshot-report").exists());
}

#[test]
fn the_terminal_lists_causes_then_what_numbers_exclude() {
    let workspace = Workspace::new();
    plug(&workspace);
    let words =
        [&QUICK[..], &["--seen", "splay", "--plastic", "abs", "--dried", "0 h"]].concat();
    let answer = workspace.run(&words);
    assert_eq!((answer.code, answer.err.as_str()), (0, ""), "{}", answer.out);
    let at = |text: &str| {
        answer.out.find(text).unwrap_or_else(|| panic!("no {text} in {}", answer.out))
    };
    assert!(at("1. The plastic is damp (likely)") < at("Excluded by their numbers:"));
    assert!(at("Then:") < at("face shield"));
}

#[test]
fn what_cannot_be_is_refused_in_one_line() {
    let workspace = Workspace::new();
    plug(&workspace);
    for (more, says) in [
        (&["--seen", "ugly"][..], "none of short, flash"),
        (&["--seen", "short", "--set", "200 N"], "--set: "),
        (&["--seen", "short", "--set", "90 bar"], "no setting of this press"),
        (&["--seen", "sink", "--held", "5"], "it has no unit"),
        (&["--seen", "sink", "--melt", "20 C"], "does not flow"),
        (&["--seen", "sink", "--no-fill"], "what filling takes is not known"),
    ] {
        let answer = workspace.run(&[&QUICK[..3], more].concat());
        assert_eq!((answer.code, answer.out.as_str()), (2, ""), "{more:?}");
        assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
        assert!(answer.err.contains(says), "{}", answer.err);
    }
}
