//! What every readable comparison says, in its order, as plain text.

use crate::compare::comparison::{Comparison, Number, Shape};
use crate::compare::lines;
use crate::findings::Finding;
use crate::report::blocks::{Section, Table};
use crate::schema::Region;
use crate::schema::words;
use crate::units::format;

/// Title of the section on findings.
pub const FINDINGS: &str = "Findings";
/// Title of the section on the shape: the pictures stand below it.
pub const SHAPE: &str = "Shape";

/// Everything that changed.
pub fn sections(comparison: &Comparison) -> Vec<Section> {
    let mut sections = vec![findings(comparison), numbers(comparison)];
    sections.extend(comparison.shape.as_ref().map(shape));
    sections
}

fn findings(comparison: &Comparison) -> Section {
    let found = &comparison.findings;
    let mut tables = Vec::new();
    tables.extend(list("New", &found.new));
    tables.extend(list("Gone", &found.gone));
    let changed = found.changed.iter().map(|pair| {
        let [old, new] = [pair.before.severity, pair.after.severity].map(words::severity);
        let severity =
            if old == new { new.to_owned() } else { format!("{old} → {new}") };
        let way = match pair.better {
            Some(true) => "better",
            Some(false) => "worse",
            None => "—",
        };
        vec![
            severity,
            pair.after.title.clone(),
            lines::was(pair),
            way.to_owned(),
            format::maybe_point(pair.after.at_mm),
            pair.after.cure.clone(),
        ]
    });
    tables.extend(table(
        "Changed",
        &["Severity", "Finding", "Before", "It is", "Where", "Cure"],
        changed.collect(),
    ));
    let same = match found.same {
        0 => "No finding is the same as before.".to_owned(),
        1 => "One finding is the same as before.".to_owned(),
        count => format!("{count} findings are the same as before."),
    };
    Section { title: FINDINGS, rows: Vec::new(), tables, notes: vec![same] }
}

fn list(title: &'static str, findings: &[Finding]) -> Option<Table> {
    let row = |finding: &Finding| {
        vec![
            words::severity(finding.severity).to_owned(),
            finding.title.clone(),
            format::maybe_point(finding.at_mm),
            finding.cure.clone(),
        ]
    };
    table(
        title,
        &["Severity", "Finding", "Where", "Cure"],
        findings.iter().map(row).collect(),
    )
}

fn table(
    title: &'static str,
    columns: &[&'static str],
    rows: Vec<Vec<String>>,
) -> Option<Table> {
    (!rows.is_empty()).then(|| Table {
        title: title.to_owned(),
        columns: columns.to_vec(),
        rows,
    })
}

fn numbers(comparison: &Comparison) -> Section {
    let changed: Vec<Vec<String>> =
        comparison.numbers.iter().filter_map(number).collect();
    let unchanged = comparison.numbers.len() - changed.len();
    let mut rows = changed;
    rows.extend(comparison.settings.iter().map(|setting| {
        vec![
            setting.name.to_owned(),
            setting.before.clone(),
            setting.after.clone(),
            String::new(),
        ]
    }));
    let note = match (rows.is_empty(), unchanged) {
        (true, _) => "No number has changed.".to_owned(),
        (false, 0) => "Every number has changed.".to_owned(),
        (false, 1) => "One more number is the same as before.".to_owned(),
        (false, count) => format!("{count} more numbers are the same as before."),
    };
    let columns = ["What", "Before", "Now", "Change"];
    let tables = table("Before and now", &columns, rows).into_iter().collect();
    Section { title: "Numbers", rows: Vec::new(), tables, notes: vec![note] }
}

/// Name, before, now and change; nothing when it reads the same.
fn number(number: &Number) -> Option<Vec<String>> {
    let say = |value: Option<f64>| lines::say(value, number.unit);
    let [before, after] = [number.before, number.after].map(say);
    if before == after {
        return None;
    }
    let change = number.change.map_or_else(String::new, |change| {
        let size = say(Some(change.abs()));
        let sign = if change < 0.0 { "−" } else { "+" };
        let share_of =
            number.before.filter(|before| before.abs() > 1e-9 && number.unit != "%");
        let share = share_of.map_or_else(String::new, |before| {
            let share = format::number((100.0 * change / before).abs());
            format!(" ({sign}{share} %)")
        });
        format!("{sign}{size}{share}")
    });
    Some(vec![number.name.to_owned(), before, after, change])
}

fn shape(shape: &Shape) -> Section {
    let how = match lines::laid(shape) {
        Some(how) => format!("{how}, so that it lies on the new one"),
        None if shape.is_match => "no: the files lie well as they are".to_owned(),
        None => "no: nothing was found that lays it on the new one".to_owned(),
    };
    let rows = vec![
        (
            "Greatest distance between the surfaces",
            match shape.farthest_at_mm {
                Some(at) => {
                    let far = format::quantity(shape.farthest_mm, "mm");
                    format!("{far} at {}", format::point(at))
                }
                None => format::quantity(shape.farthest_mm, "mm"),
            },
        ),
        ("Mean distance of the new surface", format::quantity(shape.mean_mm, "mm")),
        ("Moved, of the new surface", format::area(Some(shape.moved_area_mm2))),
        ("No longer there, of the old surface", format::area(Some(shape.left_area_mm2))),
        ("Old part moved", how),
    ];
    let walls = places(shape).into_iter().map(|(number, way, region)| {
        vec![
            number.to_string(),
            way.to_owned(),
            format::quantity(region.value_mm.abs(), "mm"),
            format::area(Some(region.area_mm2)),
            format::point(region.at_mm),
        ]
    });
    let columns = ["No.", "Wall is", "By up to", "Area", "Where"];
    let tables = table("Walls that changed", &columns, walls.collect());
    let least = format::quantity(shape.least_mm, "mm");
    let spacing = format::quantity(shape.spacing_mm, "mm");
    Section {
        title: SHAPE,
        rows,
        tables: tables.into_iter().collect(),
        notes: notes(
            shape,
            format!(
                "Less than {least} counts as no change. Points lie {spacing} apart: what is \
                 smaller may be missed."
            ),
        ),
    }
}

fn notes(shape: &Shape, blind: String) -> Vec<String> {
    let mut notes = Vec::new();
    if !shape.is_match {
        let mut said = lines::no_match(shape);
        said.replace_range(..1, "N");
        notes.push(format!("{said}. Are these two states of one part?"));
    }
    if let Some(turn) = shape.turn {
        notes.push(
            "The old part was turned about the origin of its file. Places are those of the \
             new file; a pull, a gate or a face that was given holds in the coordinates of \
             each file as it is."
                .to_owned(),
        );
        let others = match turn.as_good {
            0 => None,
            1 => Some("One other turn lays it as well".to_owned()),
            count => Some(format!("At least {count} other turns lay it as well")),
        };
        notes.extend(others.map(|others| {
            format!(
                "{others}: the part has some symmetry, and the least angle was taken. How \
                 it was really turned cannot be known from its shape."
            )
        }));
    }
    notes.push(blind);
    notes
}

/// The walls that changed with their numbers, thinner ones first.
pub(super) fn places(shape: &Shape) -> Vec<(usize, &'static str, &Region)> {
    let thinner = shape.thinner.iter().map(|region| ("thinner", region));
    let all = thinner.chain(shape.thicker.iter().map(|region| ("thicker", region)));
    all.zip(1..).map(|((way, region), number)| (number, way, region)).collect()
}

/// How the exit code and the word for the outcome come about.
pub const RULE: &str = "Better or worse: the verdict decides; where it is the same, what is \
    new or more severe, then what is gone or milder. Notes do not count.";

#[cfg(test)]
mod tests {
    use super::{number, sections};
    use crate::compare;
    use crate::compare::comparison::Number;
    use crate::schema::fixtures;

    #[test]
    fn a_change_has_its_sign_its_unit_and_its_share() {
        let one = |before: Option<f64>, after: Option<f64>, unit: &'static str| {
            let change = before.zip(after).map(|(before, after)| after - before);
            number(&Number { key: "k", name: "n", unit, before, after, change })
        };
        let row = one(Some(8.0), Some(10.0), "g").unwrap();
        assert_eq!(row[1..], ["8 g", "10 g", "+2 g (+25 %)"]);
        let row = one(Some(2000.0), Some(500.0), "N").unwrap();
        assert_eq!(row[1..], ["2 kN", "500 N", "−1.5 kN (−75 %)"]);
        let row = one(Some(0.0), Some(3.0), "").unwrap();
        assert_eq!(row[3], "+3");
        let row = one(None, Some(3.0), "s").unwrap();
        assert_eq!(row[1..], ["not known", "3 s", ""]);
        assert!(one(Some(3.0), Some(3.0001), "s").is_none());
    }

    #[test]
    fn the_same_report_has_no_table() {
        let report = fixtures::report();
        let all = sections(&compare::compare(&report, &report, None));
        assert!(all.iter().all(|section| section.tables.is_empty()));
        assert!(all.iter().any(|section| section.notes[0] == "No number has changed."));
    }
}
