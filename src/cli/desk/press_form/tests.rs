//! The form of the press against the files that the command line reads.

use super::{CLAMPS, DRIVES, FIELDS, Filled, Holds, fill, press};
use crate::process::press::Press;

/// What the form begins with.
fn first() -> Filled {
    let values = FIELDS.iter().filter(|field| !field.first.is_empty());
    Filled {
        name: "our press".to_owned(),
        drive: DRIVES[0].0.to_owned(),
        clamp: CLAMPS[0].0.to_owned(),
        values: values.map(|field| (field.name(), field.first.to_owned())).collect(),
        kept: String::new(),
        plastic: String::new(),
    }
}

fn with(mut filled: Filled, name: &str, value: &str) -> Filled {
    filled.values.retain(|(other, _)| other != name);
    filled.values.push((name.to_owned(), value.to_owned()));
    filled
}

/// The template is what the form begins with, but for its plates, which the form leaves open.
#[test]
fn the_form_begins_as_the_template() {
    let (made, _) = press(&first()).unwrap();
    let template = Press::parse(Press::template()).unwrap();
    assert_eq!(Press { mold: None, ..made }, Press { mold: None, ..template });
}

/// Whatever file is opened comes out again as the same press, and so does every drive and clamp.
#[test]
fn a_file_that_is_opened_and_saved_is_the_same_press() {
    let rest = "[ram]\ndiameter = '1 in'\nstroke = '4 in'\nloss_pressure = '0.5 MPa'\n\
                [nozzle]\norifice = '3 mm'\nland = '5 mm'\nseat_diameter = '10 mm'\n\
                spring = { rate = '20 N/mm', travel = '10 mm' }\n\
                [mold]\nlength = '120 mm'\nwidth = '80 mm'\nalloy = '7075-T6'\n\
                bolt_spacing = ['90 mm', '60 mm']\nstart_temperature = '30 C'\n";
    let files = [
        Press::template().to_owned(),
        include_str!("../../../process/press/press.toml").to_owned(),
        format!("name = 'a'\ndrive = {{ ram_force = '900 lbf' }}\n{rest}"),
        format!(
            "name = 'b'\n[drive.lever]\nhand = '300 N'\nlong_arm = '900 mm'\n\
             short_arm = '90 mm'\nstart_angle = '38 deg'\n{rest}\
             [clamp]\nvise = '20 kN'\njaw = '4 in'\noff_middle = ['5 mm', '-2 mm']\n"
        ),
        format!(
            "name = 'c'\n[drive.jack]\nhand = '150 N'\nratio = 300.5\nefficiency = '30 %'\n\
             {rest}[clamp]\nforce = '30 kN'\n"
        ),
    ];
    for file in files {
        let filled = fill(&file).unwrap();
        let (made, text) =
            press(&filled).unwrap_or_else(|wrong| panic!("{wrong:?}\n{file}"));
        assert_eq!(made, Press::parse(&file).unwrap(), "{text}");
        assert_eq!(Press::parse(&text).unwrap(), made);
    }
    assert!(fill("name = 3").is_err());
}

#[test]
fn what_is_wrong_stands_at_its_field() {
    for (name, value, says) in [
        ("drive.air.cylinders", "0", "at least one"),
        ("drive.air.cylinders", "two", "whole number"),
        ("drive.air.rod", "120 mm", "thinner than the bore"),
        ("drive.air.bore", "wide mm", "no number"),
        ("drive.air.bore", "100 furlong", "furlong"),
        ("ram.diameter", "0 mm", "more than nothing"),
        ("ram.cushion", "200 mm", "shorter than the stroke"),
        ("ram.loss", "130 %", "0 to 100 %"),
        ("ram.speed", "-3 mm/s", "more than nothing"),
        ("nozzle.seat_diameter", "1 mm", "not narrower"),
        ("clamp.bolts.count", "1.5", "whole number"),
        ("clamp.bolts.size", "M99", "unknown bolt size"),
        ("mold.thickness", "5 m", "no plate"),
        ("mold.start_temperature", "900 C", "-50 to 300"),
    ] {
        let wrong = press(&with(first(), name, value)).unwrap_err();
        assert_eq!(wrong[0].field.as_deref(), Some(name), "{wrong:?}");
        assert!(wrong[0].why.contains(says), "{wrong:?}");
        assert_eq!(wrong[0].why.lines().count(), 1, "{wrong:?}");
    }
    // Several at once, and one that is missing.
    let two = with(with(first(), "ram.stroke", "x mm"), "drive.air.air", "y bar");
    assert_eq!(press(&two).unwrap_err().len(), 2);
    let wrong = press(&with(first(), "ram.stroke", "")).unwrap_err();
    assert!(
        wrong[0].field.as_deref().is_some_and(|field| field.starts_with("ram.")),
        "{wrong:?}"
    );
    assert!(wrong[0].why.contains("stroke"), "{wrong:?}");
}

/// Only the drive and the clamp that are chosen count.
#[test]
fn what_is_not_chosen_does_not_count() {
    let lever =
        Filled { drive: "drive.lever".to_owned(), clamp: String::new(), ..first() };
    let (made, _) = press(&with(lever, "drive.air.bore", "nonsense")).unwrap();
    assert!(
        made.drive.air.is_none() && made.drive.lever.is_some() && made.clamp.is_none()
    );
}

/// One of each may be too little or too much for a press, but is read.
#[test]
fn every_unit_that_is_offered_is_understood() {
    for field in FIELDS.iter().filter(|field| !field.first.is_empty()) {
        let Holds::Quantity(units) = field.holds else { continue };
        let name = field.name();
        let chosen = |kinds: &[(&str, &str)]| {
            let own =
                kinds.iter().find(|(kind, _)| !kind.is_empty() && name.starts_with(kind));
            own.unwrap_or(&kinds[0]).0.to_owned()
        };
        for unit in units {
            let filled =
                Filled { drive: chosen(&DRIVES), clamp: chosen(&CLAMPS), ..first() };
            let made = press(&with(filled, &name, &format!("1 {unit}")));
            let said = made.err().map(|wrong| wrong[0].why.clone()).unwrap_or_default();
            let is_read = !said.contains("unit") || said.contains("are the units right");
            assert!(is_read, "{name}: {said}");
        }
    }
}
