//! The tables that lie at the mill: what is done to each half in its order, and what is drilled;
//! lengths in the units of the reader.

use crate::part::halves::{Half, Role};
use crate::report::blocks::Table;
use crate::report::milling;
use crate::schema::mold::{HalfSheet, Hole, MillStep, MoldReport, drill as rows};
use crate::units::format;
use crate::units::us_words::{INCH_MM, ShownUnits};

/// How lengths are written.
#[derive(Clone, Copy)]
pub(super) struct Lengths(pub(super) ShownUnits);

impl Lengths {
    /// `value` mm, as a depth or a step: about three digits.
    fn size(self, value: f64) -> String {
        match self.0 {
            ShownUnits::Metric => format::number(value),
            ShownUnits::UsCustomary => format!("{:.3}", value / INCH_MM),
        }
    }

    /// `value` mm, as a place or the width of a hole: to 0.01 mm, or to the ten-thousandth of an
    /// inch that is finer than that.
    fn place(self, value: f64) -> String {
        match self.0 {
            ShownUnits::Metric => format!("{value:.2}"),
            ShownUnits::UsCustomary => format!("{:.4}", value / INCH_MM),
        }
    }

    /// One of two headings.
    fn heading(self, metric: &'static str, us: &'static str) -> &'static str {
        match self.0 {
            ShownUnits::Metric => metric,
            ShownUnits::UsCustomary => us,
        }
    }
}

/// The sheet of a half: stock, clamping, operations.
pub(super) fn sheet(sheet: &HalfSheet, lengths: Lengths) -> Vec<Table> {
    let setup =
        sheet.setup.iter().map(|line| row(&line.name, line.text.clone())).collect();
    let length = |value: Option<f64>| {
        value.map_or_else(|| "—".to_owned(), |value| lengths.size(value))
    };
    let has_programs = sheet.steps.iter().any(|it| made_by(it).is_some());
    let steps = sheet.steps.iter().zip(1..).map(|(step, number)| {
        let rows = rows::numbers(&step.rows);
        let mut cells = vec![
            number.to_string(),
            step.up.to_owned(),
            step.what.clone(),
            rows,
            step.tool.clone(),
            length(step.depth_mm),
            length(step.pass_mm),
            length(step.side_step_mm),
            length(step.feed_mm_min),
            milling::minutes(step.time_min),
        ];
        cells.extend(has_programs.then(|| made_by(step).cloned().unwrap_or_default()));
        cells
    });
    let mut columns = vec![
        "No.",
        "Face up",
        "What",
        "Rows",
        "Tool",
        lengths.heading("Depth mm", "Depth in"),
        lengths.heading("One cut mm", "One cut in"),
        lengths.heading("Side step mm", "Side step in"),
        lengths.heading("Feed mm/min", "Feed in/min"),
        "Time",
    ];
    columns.extend(has_programs.then_some("Program"));
    let all = milling::minutes(sheet.time_min);
    let title = format!(
        "Operations, {all} without tool changes, setting up and moves through the air"
    );
    vec![table("", &["Setup", "What"], setup), table(&title, &columns, steps.collect())]
}

/// The program of a step, or what makes it instead.
fn made_by(step: &MillStep) -> Option<&String> {
    step.program.as_ref().or(step.no_program.as_ref())
}

/// The drill table of each half.
pub(super) fn drill(report: &MoldReport, lengths: Lengths) -> Vec<Table> {
    let columns = [
        "No.",
        "What",
        lengths.heading("x mm", "x in"),
        lengths.heading("y mm", "y in"),
        "to x, y",
        lengths.heading("Ø or width mm", "Ø or width in"),
        lengths.heading("Depth mm", "Depth in"),
        "How",
    ];
    let of_half = |role: Role| {
        let own = report.drill.iter().filter(move |hole| hole.half == role);
        let title = format!(
            "{} half{}",
            format::capitalized(role.as_str()),
            mirrored(report, role)
        );
        table(&title, &columns, own.map(|it| hole(it, lengths)).collect())
    };
    Role::BOTH.map(of_half).into_iter().filter(|it| !it.rows.is_empty()).collect()
}

fn hole(hole: &Hole, lengths: Lengths) -> Vec<String> {
    let place = |value: f64| lengths.place(value);
    let depth = || lengths.size(hole.depth_mm);
    vec![
        hole.number.to_string(),
        hole.kind.to_string(),
        place(hole.x_mm),
        place(hole.y_mm),
        hole.end_mm.map_or_else(String::new, |end| end.map(place).join(", ")),
        place(hole.width_mm),
        if hole.through { "through".to_owned() } else { depth() },
        hole.how.clone(),
    ]
}

fn mirrored(report: &MoldReport, role: Role) -> &'static str {
    if role.half(report.core_side) == Half::Plus {
        " (mirrored: x to the left)"
    } else {
        ""
    }
}

pub(super) fn table(
    title: &str,
    columns: &[&'static str],
    rows: Vec<Vec<String>>,
) -> Table {
    Table { title: title.to_owned(), columns: columns.to_vec(), rows }
}

pub(super) fn row(name: &str, value: String) -> Vec<String> {
    vec![name.to_owned(), value]
}

#[cfg(test)]
mod tests {
    use super::Lengths;
    use crate::units::us_words::ShownUnits;

    /// 12.7 mm are half an inch; a place is never coarser than 0.01 mm.
    #[test]
    fn lengths_follow_the_reader() {
        let [metric, us] = [ShownUnits::Metric, ShownUnits::UsCustomary].map(Lengths);
        assert_eq!(
            (metric.place(12.7), us.place(12.7)),
            ("12.70".into(), "0.5000".into())
        );
        assert_eq!((metric.size(3.175), us.size(3.175)), ("3.17".into(), "0.125".into()));
        let written: f64 = us.place(1.234).parse().unwrap();
        assert!((written * 25.4 - 1.234).abs() < 0.005);
    }
}
