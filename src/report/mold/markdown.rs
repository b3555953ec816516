//! `mold.md`: the mold for a reader at the bench.

use crate::report::blocks::Table;
use crate::report::markdown::escaped;
use crate::report::mold::outline::{self, CAUTIONS};
use crate::schema::mold::MoldReport;
use crate::schema::words;

/// `report` as Markdown.
pub(crate) fn markdown(report: &MoldReport) -> String {
    let name = format!("# Mold for {}\n\n", escaped(&report.file));
    let mut text = part_check(report);
    text += &table(&outline::summary(report));
    for section in outline::sections(report) {
        text += &format!("## {}\n\n", section.title);
        if !section.lead.is_empty() {
            text += &format!("{}\n\n", section.lead);
        }
        for each in &section.tables {
            if !each.title.is_empty() {
                text += &format!("### {}\n\n", each.title);
            }
            text += &table(each);
        }
    }
    text += "## Assumptions\n\n";
    for line in &report.assumptions {
        text += &format!("- {}\n", escaped(line));
    }
    text += "\n## Before you cut\n\n";
    for line in CAUTIONS {
        text += &format!("- {line}\n");
    }
    text += &format!("\n{} {}\n", report.tool.name, report.tool.version);
    name + &report.shown_units.write(&text)
}

/// What the check says of the part, and what it asks for first.
fn part_check(report: &MoldReport) -> String {
    let check = &report.check;
    let mut text = format!(
        "**{}** {}\n\n{}\n\n",
        words::verdict(check.verdict),
        escaped(&check.why),
        escaped(&check.judged_with)
    );
    for (number, change) in (1..).zip(&check.do_first) {
        text += &format!("{number}. {}\n", escaped(change));
    }
    if !check.do_first.is_empty() {
        text += &format!("\n{}\n\n", escaped(&check.then));
    }
    text
}

fn table(table: &Table) -> String {
    let head = table.columns.iter().map(|column| (*column).to_owned()).collect();
    let mut lines = vec![head, vec!["---".to_owned(); table.columns.len()]];
    lines.extend(
        table.rows.iter().map(|row| row.iter().map(|cell| escaped(cell)).collect()),
    );
    let text: String =
        lines.iter().map(|line| format!("| {} |\n", line.join(" | "))).collect();
    text + "\n"
}
