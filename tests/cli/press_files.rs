//! A press file as people write it: in inches and tons, with clamps of every kind, and with the
//! mistakes that they make in it.

use goodshot::mesh::shapes;
use goodshot::mold::milling::CutterList;
use goodshot::process::press::Press;

use super::Workspace;

/// The template with one thing written otherwise.
fn with(from: &str, to: &str) -> String {
    let template = Press::template();
    assert!(template.contains(from), "{from}");
    template.replacen(from, to, 1)
}

/// Each mistake, and what the one line that answers it says of it.
const MISTAKES: [(&str, &str, &[&str]); 20] = [
    ("bore = \"100 mm\"", "bore = 100", &["bore: \"100\"", "no unit", "\"63 mm\""]),
    ("bore = \"100 mm\"", "bore = 100 mm", &["in quotes: bore = \"100 mm\""]),
    ("bore = \"100 mm\"", "bore = “100 mm”", &["curly quotes", "bore = \"100 mm\""]),
    ("bore = \"100 mm\"", "bore: \"100 mm\"", &["write = between key and value"]),
    ("bore = \"100 mm\"", "bore = \"100 mm", &["the quote is not closed"]),
    (
        "bore = \"100 mm\"",
        "boer = \"100 mm\"",
        &["no key \"boer\"", "did you mean \"bore\"?"],
    ),
    ("bore = \"100 mm\"", "bore = \"1,000 mm\"", &["part thousands"]),
    ("bore = \"100 mm\"", "bore = \"100 furlong\"", &["unknown unit \"furlong\"", "mm"]),
    ("cylinders = 1", "cylinders = -4", &["this is -4", "whole number of 0 or more"]),
    ("cylinders = 1", "cylinders = \"one\"", &["the text \"one\"", "without quotes"]),
    ("cylinders = 1", "cylinders = 2.5", &["this is 2.5", "a whole number"]),
    ("acts = \"push\"", "acts = \"psuh\"", &["did you mean \"push\"?"]),
    ("air = \"7 bar\" ", "air = \"7000 bar\" ", &["700 bar", "shop air is 6 to 8 bar"]),
    ("stroke = \"110 mm\"", "", &["\"stroke\" is missing"]),
    ("count = 4", "count = -4", &["count: this is -4", "whole number"]),
    (
        "torque = \"24 N m\"",
        "torque = \"240 N m\"",
        &[
            "torque: 240 N m is beyond the proof load of M8 of class 8.8",
            "up to 25.5 N m is usual",
        ],
    ),
    ("scatter = \"30 %\"", "scatter = \"130 %\"", &["scatter", "25 to 35 % is usual"]),
    ("size = \"M8\"", "size = \"M7\"", &["unknown bolt size \"M7\"", "1/4-20"]),
    ("class = \"8.8\"", "class = 8.8", &["this is 8.8", "a text in quotes"]),
    ("alloy = \"6061-T6\"", "alloy = \"6061\"", &["did you mean \"6061-T6\"?"]),
];

#[test]
fn every_mistake_is_answered_in_one_line_that_a_person_understands() {
    let workspace = Workspace::new();
    for (from, to, says) in MISTAKES {
        workspace.put("ours.toml", with(from, to));
        let answer = workspace.run(&["press", "ours.toml"]);
        assert_eq!((answer.code, answer.out.as_str()), (2, ""), "{to}: {}", answer.err);
        assert_eq!(answer.err.lines().count(), 1, "{to}:\n{}", answer.err);
        for text in says {
            assert!(answer.err.contains(text), "{text} is not in {}", answer.err);
        }
        for word in ["u32", "variant", "field", "struct", "invalid", "expected", "`"] {
            assert!(!answer.err.contains(word), "{word} is in {}", answer.err);
        }
    }
}

#[test]
fn an_unusual_value_is_a_remark_and_no_refusal() {
    let workspace = Workspace::new();
    workspace.put("ours.toml", with("air = \"7 bar\" ", "air = \"70 bar\" "));
    let answer = workspace.run(&["press", "ours.toml"]);
    assert_eq!(answer.code, 0, "{}", answer.err);
    let remark = "[drive.air] air: 70 bar is unusual, 2 to 10 bar is usual";
    assert!(answer.out.contains(remark), "{}", answer.out);
}

#[test]
fn a_long_key_is_quoted_by_its_start() {
    let workspace = Workspace::new();
    for text in [
        format!("{} = 1\n{}", "k".repeat(200_000), Press::template()),
        format!("{}\nname = \"{}\"", "k".repeat(200_000), "v".repeat(200_000)),
        with("bore = \"100 mm\"", &format!("bore = \"{}\"", "v".repeat(200_000))),
        with("class = \"8.8\"", &format!("class = \"{}\"", "v".repeat(200_000))),
        with("size = \"M8\"", &format!("size = \"{}\"", "v".repeat(200_000))),
    ] {
        workspace.put("ours.toml", text);
        let answer = workspace.run(&["press", "ours.toml"]);
        assert_eq!(answer.code, 2);
        assert!(answer.err.len() < 600, "{} bytes", answer.err.len());
    }
    let long = "9".repeat(100_000);
    let answer = workspace.run(&["check", "part.stl", "--pull", &long]);
    assert_eq!((answer.code, answer.err.lines().count()), (2, 1));
    assert!(answer.err.len() < 1200, "{} bytes", answer.err.len());
}

/// A shop in inches, described without a decimal of our making.
const IN_INCHES: &str = r#"name = "the shop's press"
[drive.air]
cylinders = 2
bore = "2 1/2 in"
rod = '5/8"'
air = "100 PSI"
[ram]
diameter = "3/4 in"
stroke = "4 1/2 in"
cushion = "1/8 in"
loss = "30 %"
speed = "120 in/min"
[nozzle]
orifice = "1/8 in"
land = "1/4 in"
seat_diameter = "5/16 in"
contact_force = "0 N"
[nozzle.spring]
rate = "300 lbf/in"
travel = "3/4 in"
[clamp.bolts]
count = 4
size = "1/4-20"
grade = "SAE 5"
torque = "75 in lbf"
[mold]
thickness = "1 in"
"#;

/// By hand: 2 · π/4 · 2.5² · 100 = 982 lbf on 0.4418 in² are 2222 psi, 1556 after the loss; a spring
/// of 300 · 0.75 = 225 lbf; 75 / (0.2 · 0.25) = 1500 lbf a bolt, 4200 lbf of four at their low end.
#[test]
fn a_shop_in_inches_is_described_whole() {
    let workspace = Workspace::new();
    workspace.put("ours.toml", IN_INCHES);
    let answer = workspace.run(&["press", "ours.toml"]);
    assert_eq!(answer.code, 0, "{}", answer.err);
    for part in [
        "982 lbf",
        "1556 psi",
        "pressed on with 1.001 kN (225 lbf)",
        "(4200 lbf), 4 bolts 1/4-20 of SAE grade 5",
        "ram 3/4 → 5/8 in",
        "bore of each cylinder 2-1/2 → 3-1/4 in",
        "air 100 → 145 psi",
    ] {
        assert!(answer.out.contains(part), "{part} is not in\n{}", answer.out);
    }
    assert!(!answer.out.contains("look again"), "{}", answer.out);
}

/// By hand: 2 tons are 4000 lbf; two C-clamps of 10 kN count 36 % each, 7.2 kN.
#[test]
fn tons_and_clamps_by_kind() {
    let workspace = Workspace::new();
    let clamps = "[[clamp.c_clamps]]\nrating = \"10 kN\"\nat = [\"30 mm\", \"0 mm\"]\n\
                  [[clamp.c_clamps]]\nrating = \"10 kN\"\nat = [\"-30 mm\", \"0 mm\"]\n";
    let text = format!(
        "name = \"jack\"\n[drive.jack]\nforce = \"2 Ton\"\n[ram]\ndiameter = \"1 in\"\n\
         stroke = \"4 in\"\n{clamps}"
    );
    workspace.put("ours.toml", text);
    let answer = workspace.run(&["press", "ours.toml"]);
    for part in ["(4000 lbf)", "short tons of 2000 lbf", "7.2 kN", "2 C-clamps"] {
        assert!(
            answer.out.contains(part),
            "{part} is not in\n{}{}",
            answer.out,
            answer.err
        );
    }
}

/// What a user has chosen once is used by every command and named in every answer.
#[test]
fn the_files_of_the_working_folder_are_used_and_named() {
    let workspace = Workspace::new();
    workspace.put_part("cup.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 12));
    workspace
        .put("press.toml", with("name = \"our press\"", "name = \"the garage press\""));
    workspace.put("cutters.toml", CutterList::template());
    let press = workspace.run(&["press"]).out;
    assert!(
        press.starts_with("with press.toml of this folder\nthe garage press"),
        "{press}"
    );
    let cutters = workspace.run(&["cutters"]).out;
    assert!(cutters.starts_with("with cutters.toml of this folder\n"), "{cutters}");
    let answer = workspace.run(&["check", "cup.stl", "--no-fill"]);
    for part in ["the garage press", "press.toml and cutters.toml of this folder"] {
        let flat = answer.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(part), "{part} is not in\n{}", answer.out);
    }
    assert!(!answer.out.contains("an example, not yours"), "{}", answer.out);
    // A file that is named comes before them, and a bad one is refused by its name.
    workspace.put("other.toml", Press::template());
    let other = workspace.run(&["press", "other.toml"]).out;
    assert!(other.starts_with("our press"), "{other}");
    workspace.put("press.toml", "name = 5");
    let refused = workspace.run(&["check", "cup.stl", "--no-fill"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("press.toml: line 1"), "{}", refused.err);
}
