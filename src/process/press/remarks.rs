//! What a user should look at twice in a press file: values that presses of this kind rarely
//! have, and values that can be read in two ways.
//!
//! What is usual is common practice and the reach of what is sold, not a limit: nothing here
//! refuses a press.

use super::drive::Gauge;
use crate::process::press::Press;
use crate::units::format::{four_digits, shortened};
use crate::units::{self, Quantity, in_bar, in_mm, in_psi};

/// One value beside what is usual.
struct Usual {
    /// Table and key.
    key: &'static str,
    value: Option<f64>,
    range: [f64; 2],
    unit: &'static str,
}

impl Press {
    /// One line for each value that presses of this kind rarely have, then for each that was
    /// read in one of two ways; empty for a usual press.
    pub fn remarks(&self) -> Vec<String> {
        let all = [self.usual_drive(), self.usual_ram(), self.usual_hold()];
        let unusual = all.into_iter().flatten().filter_map(|it| it.in_words());
        unusual.chain(self.read_as.iter().cloned()).collect()
    }

    fn usual_drive(&self) -> Vec<Usual> {
        let air = self.drive.air.as_ref();
        let (lever, jack) = (self.drive.lever.as_ref(), self.drive.jack.as_ref());
        let hand = lever.map(|it| it.hand).or(jack.and_then(|it| it.hand));
        let share = |share: Option<units::Ratio>| share.map(|share| 1e2 * share.si());
        let of_air = match air.map(|it| it.gauge) {
            Some(Gauge::Psi) => usual(
                "[drive.air] air",
                air.map(|it| in_psi(it.air)),
                [30.0, 145.0],
                "psi",
            ),
            _ => {
                usual("[drive.air] air", air.map(|it| in_bar(it.air)), [2.0, 10.0], "bar")
            }
        };
        vec![
            of_air,
            usual(
                "[drive.air] cylinders",
                air.map(|it| f64::from(it.cylinders)),
                [1.0, 6.0],
                "",
            ),
            usual("[drive.air] bore", air.map(|it| in_mm(it.bore)), [16.0, 200.0], "mm"),
            usual(
                "[drive.air] efficiency",
                share(air.and_then(|it| it.efficiency)),
                [60.0, 100.0],
                "%",
            ),
            usual("hand", hand.map(Quantity::si), [30.0, 800.0], "N"),
            usual(
                "[drive.lever] long_arm",
                lever.map(|it| in_mm(it.long_arm)),
                [150.0, 2500.0],
                "mm",
            ),
            usual(
                "[drive.lever] short_arm",
                lever.map(|it| in_mm(it.short_arm)),
                [8.0, 400.0],
                "mm",
            ),
            usual("[drive.jack] ratio", jack.and_then(|it| it.ratio), [5.0, 2000.0], ""),
        ]
    }

    fn usual_ram(&self) -> Vec<Usual> {
        let share = |share: Option<units::Ratio>| share.map(|share| 1e2 * share.si());
        let ram = &self.ram;
        let force = Some(self.ram_force().si() / 1e3);
        vec![
            usual("ram force", force, [0.3, 200.0], "kN"),
            usual("[ram] diameter", Some(in_mm(ram.diameter)), [6.0, 80.0], "mm"),
            usual("[ram] stroke", Some(in_mm(ram.stroke)), [20.0, 500.0], "mm"),
            usual("[ram] loss", share(ram.loss), [0.0, 80.0], "%"),
            usual("[ram] granule_fill", share(ram.granule_fill), [45.0, 75.0], "%"),
            usual("[ram] speed", ram.speed.map(|it| 1e3 * it.si()), [1.0, 500.0], "mm/s"),
            usual(
                "[ram] heated_length",
                ram.heated_length.map(in_mm),
                [20.0, 800.0],
                "mm",
            ),
        ]
    }

    fn usual_hold(&self) -> Vec<Usual> {
        let nozzle = self.nozzle.as_ref();
        let bolts = self.bolts();
        let tightness = bolts.and_then(|bolts| {
            let proof = bolts.thread().ok()?.stress_area() * bolts.strength().ok()?.proof;
            Some(1e2 * bolts.preload().ok()?.si() / proof.si())
        });
        let vise = self.clamp.as_ref().and_then(|clamp| clamp.vise);
        vec![
            usual(
                "[nozzle] orifice",
                nozzle.map(|it| in_mm(it.orifice)),
                [0.8, 12.0],
                "mm",
            ),
            usual("[nozzle] land", nozzle.map(|it| in_mm(it.land)), [0.3, 60.0], "mm"),
            usual(
                "[nozzle] seat_diameter",
                nozzle.and_then(|it| it.seat_diameter).map(in_mm),
                [1.0, 40.0],
                "mm",
            ),
            usual(
                "[clamp.bolts] count",
                bolts.map(|it| f64::from(it.count)),
                [2.0, 12.0],
                "",
            ),
            usual(
                "[clamp.bolts] scatter",
                bolts.map(|it| 1e2 * it.scatter()),
                [10.0, 60.0],
                "%",
            ),
            usual("[clamp.bolts] preload over proof load", tightness, [15.0, 90.0], "%"),
            usual("[clamp] vise", vise.map(|it| it.si() / 1e3), [1.0, 100.0], "kN"),
        ]
    }
}

fn usual(
    key: &'static str,
    value: Option<f64>,
    range: [f64; 2],
    unit: &'static str,
) -> Usual {
    Usual { key, value, range, unit }
}

impl Usual {
    /// `None` for what is usual or not given.
    fn in_words(&self) -> Option<String> {
        let [least, most] = self.range;
        let value = self.value?;
        // A value on the limit stays usual after its conversion.
        if (least * (1.0 - 1e-6)..=most * (1.0 + 1e-6)).contains(&value) {
            return None;
        }
        let with_unit = |text: String| match self.unit {
            "" => text,
            unit => format!("{text} {unit}"),
        };
        let [seen, least, most] = [value, least, most].map(four_digits);
        Some(format!(
            "{}: {} is unusual, {} is usual; is the unit right?",
            self.key,
            with_unit(seen),
            with_unit(format!("{least} to {most}"))
        ))
    }
}

/// How forces in tons are read: a ton without more is the short one. It is what arbor presses and
/// jacks are sold by in the United States, and the least of the three, so that it promises least.
pub(super) fn read_as(text: &str) -> Vec<String> {
    let mut lines = Vec::new();
    if let Ok(table) = text.parse::<toml::Table>() {
        walk(&toml::Value::Table(table), "", &mut lines);
    }
    lines
}

fn walk(value: &toml::Value, key: &str, lines: &mut Vec<String>) {
    match value {
        toml::Value::String(text) if units::is_short_ton(text) => {
            let text = shortened(text);
            lines.push(format!(
                "{key}: \"{text}\" counts as short tons of 2000 lbf (8.9 kN), as presses and jacks are \
                 sold in the United States and the least that a ton is; write \"t\" for 1000 kgf"
            ));
        }
        toml::Value::Table(table) => {
            for (own, value) in table {
                let dot = if key.is_empty() { "" } else { "." };
                walk(value, &format!("{key}{dot}{own}"), lines);
            }
        }
        toml::Value::Array(values) => {
            values.iter().for_each(|value| walk(value, key, lines));
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use crate::process::press::Press;

    fn remarks(from: &str, to: &str) -> Vec<String> {
        let good = include_str!("press.toml");
        assert!(good.contains(from), "{from}");
        Press::parse(&good.replacen(from, to, 1)).unwrap().remarks()
    }

    #[test]
    fn a_usual_press_has_no_remark() {
        assert_eq!(Press::builtin().unwrap().remarks(), [""; 0]);
        assert_eq!(Press::parse(Press::template()).unwrap().remarks(), [""; 0]);
    }

    #[test]
    fn an_unusual_value_stands_beside_what_is_usual() {
        for (from, to, line) in [
            (
                "\"7 bar\"",
                "\"70 bar\"",
                "[drive.air] air: 70 bar is unusual, 2 to 10 bar is usual",
            ),
            (
                "\"7 bar\"",
                "\"700 psi\"",
                "[drive.air] air: 700 psi is unusual, 30 to 145 psi",
            ),
            (
                "cylinders = 2",
                "cylinders = 40",
                "[drive.air] cylinders: 40 is unusual, 1 to 6",
            ),
            ("\"110 mm\"", "\"1.1 m\"", "[ram] stroke: 1100 mm is unusual"),
            (
                "count = 4",
                "count = 40",
                "[clamp.bolts] count: 40 is unusual, 2 to 12 is usual",
            ),
            (
                "\"24 N m\"",
                "\"2.4 N m\"",
                "[clamp.bolts] preload over proof load: 7.065 %",
            ),
        ] {
            let seen = remarks(from, to);
            assert!(
                seen.iter().any(|seen| seen.starts_with(line)),
                "{line} is not in {seen:?}"
            );
        }
    }

    #[test]
    fn a_ton_is_said_to_be_the_short_one() {
        let seen = remarks("\"1.5 kN\"", "\"0.2 ton\"");
        assert!(
            seen[0].starts_with("nozzle.contact_force: \"0.2 ton\" counts as short tons")
        );
        assert_eq!(remarks("\"1.5 kN\"", "\"0.2 t\""), [""; 0]);
    }
}
