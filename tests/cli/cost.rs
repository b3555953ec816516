//! What mold and parts cost, as a user asks for it.

use std::fs;

use goodshot::mesh::shapes;
use serde_json::Value;

use super::Workspace;

const SHOP: &str = "currency = 'EUR'\n[mold]\nrouter_per_hour = 10\nhand_per_hour = 0\nhardware = 15\n\
    aluminum_per_kg = 8\ncutter = 18\ncutter_life = '4 h'\n[molding]\nhand_per_hour = 0\n\
    press_per_hour = 2\nplastic_per_kg = 5\nscrap = '0 %'\nregrind = '0 %'\n[printing]\n\
    hand_per_hour = 0\nprinter_per_hour = 1\nmaterial_per_kg = 20\nfailed = '0 %'\nflow = '8 cm3/h'\n\
    solid = '100 %'\ndensity = '1.2 g/cm3'\n";

fn words<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&["cost", "plug.stl", "--pull", "+z", "--cells", "600"][..], more].concat()
}

fn plug() -> Workspace {
    let workspace = Workspace::new();
    workspace.put_part("plug.stl", &shapes::cup(12.0, 15.0, 3.0, 3.0, 96));
    workspace
}

/// Worked out again from the check's own numbers in report.json and the shop file, to the cent.
#[test]
fn the_costs_are_those_of_the_checks_own_numbers() {
    let workspace = plug();
    workspace.put("shop.toml", SHOP);
    let answer = workspace.run(&words(&["--json", "--parts", "400"]));
    assert_eq!((answer.code, answer.err.as_str()), (0, ""), "{}", answer.out);
    let cost: Value = serde_json::from_str(&answer.out).unwrap();
    let check = workspace.fill("plug.stl", &["--pull", "+z", "--cells", "600"]);
    let number =
        |of: &Value, path: &str| of.pointer(path).and_then(Value::as_f64).unwrap();
    let near = |seen: f64, wanted: f64| {
        assert!((seen / wanted - 1.0).abs() < 1e-9, "{seen} is not {wanted}");
    };
    let milling = number(&check, "/milling/time_min");
    let grams = number(&check, "/shot/total_g");
    let cycle = number(&check, "/cooling/cycle_s");
    near(number(&cost, "/milling_min"), milling);
    near(number(&cost, "/shot_g"), grams);
    near(number(&cost, "/cycle_s"), cycle);
    // No hands are paid: router, cutters, metal and hardware are left.
    let metal = number(&cost, "/costs/mold/aluminum");
    let mold = milling / 60.0 * 10.0 + milling / 240.0 * 18.0 + metal + 15.0;
    near(number(&cost, "/costs/mold/total"), mold);
    let heating = 35.0 / 60.0 * 2.0 / 100.0;
    let part = grams / 1000.0 * 5.0 + cycle / 3600.0 * 2.0 + heating;
    near(number(&cost, "/costs/molded/total"), part);
    let cm3 = number(&check, "/part/volume_mm3") / 1000.0;
    let printed = cm3 / 8.0 * 1.0 + cm3 * 1.2 / 1000.0 * 20.0;
    near(number(&cost, "/costs/printed/total"), printed);
    near(number(&cost, "/costs/break_even/expected"), (mold / (printed - part)).ceil());
    let folder = workspace.path("goodshot-report/plug/cost");
    for name in goodshot::report::cost::bundle::OWN {
        assert!(fs::metadata(folder.join(name)).unwrap().len() > 100, "{name}");
    }
    assert_eq!(fs::read_to_string(folder.join("cost.json")).unwrap(), answer.out);
}

#[test]
fn the_terminal_says_from_how_many_parts_on_the_mold_pays() {
    let workspace = plug();
    let answer = workspace.run(&words(&[]));
    assert_eq!((answer.code, answer.err.as_str()), (0, ""), "{}", answer.out);
    for says in
        ["The mold pays from", "What a part costs", "by defaults, none of them yours"]
    {
        assert!(answer.out.contains(says), "{says}: {}", answer.out);
    }
    // The template is a shop file that says the same.
    let template = workspace.run(&["cost", "--template"]);
    workspace.put("ours.toml", &template.out);
    let same = workspace.run(&words(&["--shop", "ours.toml"]));
    let table = |text: &str| text.split("Costs by").next().map(str::to_owned);
    assert_eq!(table(&same.out), table(&answer.out));
}

#[test]
fn what_cannot_be_is_refused_in_one_line() {
    let workspace = plug();
    workspace.put("bad.toml", "[mold]\nhole = 4\n");
    for (more, says) in [
        (&["--shop", "none.toml"][..], "none.toml: no such file"),
        (&["--shop", "bad.toml"], "bad.toml: line 2, hole: "),
        (&["--no-mill"], "no cost without the milling"),
        (&["--parts", "0"], "--parts"),
    ] {
        let answer = workspace.run(&words(more));
        assert_eq!((answer.code, answer.out.as_str()), (2, ""), "{more:?}");
        assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
        assert!(answer.err.contains(says), "{}", answer.err);
    }
}
