//! The form of a plastic against the files that the command line reads.

use super::{FilledPlastic, fill, make};
use crate::process::plastic::library::Plastics;

fn filled(values: &[(&str, &str)]) -> FilledPlastic {
    let own = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
    FilledPlastic {
        name: "Our caps".to_owned(),
        like: "pp".to_owned(),
        source: String::new(),
        values: values.iter().map(own).collect(),
        kept: String::new(),
    }
}

fn fact(filled: &FilledPlastic, name: &str) -> String {
    let facts = make(filled).unwrap().facts;
    facts.into_iter().find(|(other, _)| *other == name).unwrap().1
}

/// "Like PP, flow rate 12": the test of the data sheets of PP (ISO 1873-1 names 230 °C and
/// 2.16 kg) is taken where none is given.
#[test]
fn a_name_a_plastic_and_a_rate_are_enough() {
    let made = make(&filled(&[("mfr.rate", "12 g/10min")])).unwrap();
    assert!(
        made.text.contains("mfr = \"12 g/10min at 230 C, 2.16 kg\""),
        "{}",
        made.text
    );
    let plastics = Plastics::builtin().unwrap().with_user_file(&made.text).unwrap();
    assert_eq!(plastics.find("our_caps").unwrap().name, "Our caps");
    // A bag that flows twice as much resists less.
    let times = |rate: &str| -> f64 {
        let text = fact(&filled(&[("mfr.rate", rate)]), "Resists flow");
        text.split(' ').next().unwrap().parse().unwrap()
    };
    assert!(times("24 g/10min") < times("12 g/10min"));
}

#[test]
fn what_is_opened_and_saved_is_the_same() {
    let values = [
        ("mfr.rate", "6 g/10min"),
        ("mfr.at", "230 C"),
        ("mfr.load", "2.16 kg"),
        ("mfr.rate2", "22 g/10min"),
        ("mfr.load2", "5 kg"),
        ("melt_temperature.low", "390 F"),
        ("melt_temperature.high", "260 C"),
        ("melt_temperature.typical", "240 C"),
        ("shrinkage.low", "1.2 %"),
        ("shrinkage.high", "1.9 %"),
        ("drying.text", "80 C, 2 h"),
    ];
    let made = make(&filled(&values)).unwrap();
    let more = format!("{}[plastic.another]\nlike = 'abs'\n", made.text);
    let again = fill(&more).unwrap();
    assert_eq!((again.name.as_str(), again.like.as_str()), ("another", "abs"));
    let again = fill(&made.text).unwrap();
    assert_eq!(again.name, "Our caps");
    let mut read: Vec<_> = again.values.clone();
    read.sort();
    read.dedup();
    let mut wanted = filled(&values).values;
    wanted.sort();
    assert_eq!(read, wanted);
    assert_eq!(make(&again).unwrap().text, made.text);
    // The others of a file stay in it.
    let others = format!("{}[plastic.zz]\nlike = 'abs'\ndraft = '2 deg'\n", made.text);
    let text = make(&fill(&others).unwrap()).unwrap().text;
    assert!(text.contains("[plastic.zz]") && text.contains("2 deg"), "{text}");
}

#[test]
fn an_end_that_is_left_out_is_that_of_the_plastic_that_it_is_like() {
    let melt = fact(&filled(&[("melt_temperature.typical", "235 C")]), "Melt");
    assert!(melt.ends_with(", usually 235 °C") && melt.contains(" °C to "), "{melt}");
}

#[test]
fn what_is_wrong_stands_at_its_field() {
    for (name, value, says) in [
        ("mfr.rate", "12 apples", "g/10min"),
        ("mfr.rate", "0 g/10min", ""),
        ("melt_temperature.low", "900 C", ""),
        ("shrinkage.high", "2", "share"),
    ] {
        let wrong = make(&filled(&[(name, value)])).unwrap_err();
        let [wrong] = wrong.as_slice() else { panic!("{wrong:?}") };
        let key = name.split('.').next().unwrap();
        assert!(
            wrong.field.as_deref().is_some_and(|it| it.starts_with(key)),
            "{wrong:?}"
        );
        assert!(wrong.why.contains(says) && wrong.why.lines().count() == 1, "{wrong:?}");
    }
    let unnamed = FilledPlastic { name: " ".to_owned(), ..filled(&[]) };
    assert_eq!(make(&unnamed).unwrap_err()[0].field.as_deref(), Some("name"));
    let unlike = FilledPlastic { like: "wood".to_owned(), ..filled(&[]) };
    assert_eq!(make(&unlike).unwrap_err()[0].field.as_deref(), Some("like"));
    assert!(fill("name = 3").is_err());
}
