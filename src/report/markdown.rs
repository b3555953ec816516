//! `report.md`: the answer on two pages; readable as it is.

use crate::findings::Severity;
use crate::findings::causes::Cause;
use crate::report::blocks::{Picture, Section, Table};
use crate::report::{outline, process};
use crate::schema::{Report, words};
use crate::units::format;

/// `report` as Markdown: the first screen, the causes, what to set, and where the rest is.
pub fn write(report: &Report, pictures: &[Picture<'_>]) -> String {
    let answer = &report.answer;
    let name = format!("# {}\n\n", escaped(&report.part.file));
    let mut text = format!(
        "**{} {}.** {}\n\n",
        words::verdict_sign(report.verdict),
        words::verdict(report.verdict),
        escaped(&answer.why)
    );
    text += &bullets(answer.before_all.iter().cloned());
    for line in
        [words::judged_with(&answer.judged_with), words::window(&report.pressure_window)]
    {
        text += &format!("{}\n\n", escaped(&line));
    }
    text += &table(&questions(report));
    if !answer.do_first.is_empty() {
        text += "## Do first\n\n";
        for (step, number) in answer.do_first.iter().zip(1..) {
            text += &format!("{number}. {}\n", escaped(&step.change));
        }
        text += &format!("\n{}\n\n", escaped(&answer.then));
    }
    text += "## Causes\n\n";
    match report.causes.is_empty() {
        true => text += "None.\n\n",
        false => text += &table(&outline::causes(report)),
    }
    text += &list("Where, and every way out", cures(report).into_iter(), 3);
    for each in outline::sections(report).iter().filter(|it| it.title == process::SHEET) {
        text += &section(each);
    }
    text += &list("Cautions", outline::cautions(report).into_iter(), 2);
    text += &rest(report, pictures);
    let tool = &report.tool;
    text += &format!("{} {}\n", escaped(&tool.name), escaped(&tool.version));
    name + &report.shown_units.write(&text)
}

fn questions(report: &Report) -> Table {
    let row = |it: &crate::findings::answer::QuestionAnswer| {
        let sign = words::sign(it.severity, it.known);
        vec![sign.to_owned(), it.question.clone(), it.text.clone()]
    };
    Table {
        title: String::new(),
        columns: vec!["", "Question", "Answer"],
        rows: report.answer.questions.iter().map(row).collect(),
    }
}

/// The whole cure of the worst finding of each cause that stops the mold or is to be fixed.
fn cures(report: &Report) -> Vec<String> {
    let blocking = report.causes.iter().zip(1..);
    let blocking = blocking.filter(|(cause, _)| cause.severity < Severity::Note);
    let line = |(cause, number): (&Cause, usize)| {
        // A line that counts the rest has no cure of its own.
        let mut members = cause
            .findings
            .iter()
            .filter_map(|it| report.findings.get(it.checked_sub(1)?));
        let worst = members.find(|finding| finding.places == 1)?;
        let at = worst.at_mm.map(|at| format!(" at {}", format::point(at)));
        Some(format!("No. {number}{}: {}", at.unwrap_or_default(), worst.cure))
    };
    blocking.filter_map(line).collect()
}

/// Where everything else is.
fn rest(report: &Report, pictures: &[Picture<'_>]) -> String {
    let mut text = format!(
        "{} findings with their numbers, {} assumptions and all sources: report.html and report.json.\n\n",
        report.findings.len(),
        report.assumptions.len()
    );
    let links = pictures.iter().map(|picture| {
        let target = picture.file.replace(' ', "%20").replace(['(', ')', '<', '>'], "");
        format!("[{}]({target})", escaped(picture.caption))
    });
    let links: Vec<String> = links.collect();
    if !links.is_empty() {
        text += &format!("Pictures: {}.\n\n", links.join(", "));
    }
    text
}

/// A section with its rows, tables and notes.
pub(crate) fn section(section: &Section) -> String {
    let mut text = format!("## {}\n\n", section.title);
    let row = |(name, value): &(&str, String)| vec![(*name).to_owned(), value.clone()];
    let rows = section.rows.iter().map(row).collect();
    if !section.rows.is_empty() {
        text +=
            &table(&Table { title: String::new(), columns: vec!["What", "Value"], rows });
    }
    for each in &section.tables {
        text += &format!("### {}\n\n{}", each.title, table(each));
    }
    text + &bullets(section.notes.iter().cloned())
}

fn list(title: &str, entries: impl Iterator<Item = String>, level: usize) -> String {
    let bullets = bullets(entries);
    if bullets.is_empty() {
        return bullets;
    }
    format!("{} {title}\n\n{bullets}", "#".repeat(level))
}

fn bullets(entries: impl Iterator<Item = String>) -> String {
    let text: String = entries.map(|entry| format!("- {}\n", escaped(&entry))).collect();
    if text.is_empty() { text } else { text + "\n" }
}

/// A table whose columns stand under each other even when read raw.
fn table(table: &Table) -> String {
    let head: Vec<String> =
        table.columns.iter().map(|column| (*column).to_owned()).collect();
    let body =
        table.rows.iter().map(|row| row.iter().map(|cell| escaped(cell)).collect());
    let lines: Vec<Vec<String>> = std::iter::once(head).chain(body).collect();
    let width = |column: usize| {
        let cells = lines.iter().filter_map(|line| line.get(column));
        // One endless cell must not push all others off the screen.
        cells
            .map(|cell| cell.chars().count())
            .filter(|&n| n <= 48)
            .max()
            .unwrap_or(0)
            .max(3)
    };
    let widths: Vec<usize> = (0..table.columns.len()).map(width).collect();
    let mut text = String::new();
    for (i, line) in lines.iter().enumerate() {
        for (cell, &width) in line.iter().zip(&widths) {
            text += &format!("| {cell:width$} ");
        }
        text += "|\n";
        if i == 0 {
            for &width in &widths {
                text += &format!("|{}", "-".repeat(width + 2));
            }
            text += "|\n";
        }
    }
    text + "\n"
}

/// `text` as one line in which no letter means anything to Markdown or HTML.
pub(crate) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '<' => safe += "&lt;",
            '>' => safe += "&gt;",
            '&' => safe += "&amp;",
            '\\' | '|' | '`' | '*' | '_' | '[' | ']' | '#' | '~' => {
                safe.extend(['\\', letter]);
            }
            letter if letter.is_control() => safe.push(' '),
            letter => safe.push(letter),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::write;
    use crate::schema::fixtures;

    #[test]
    fn the_answer_comes_first_and_nothing_is_nan() {
        let text = write(&fixtures::report(), &[]);
        let verdict = text.find("**! Fix first.**").unwrap();
        let finding = text.find("Wall of 0.5").unwrap();
        let causes = text.find("## Causes").unwrap();
        assert!(verdict < finding && finding < causes);
        assert!(!text.contains("NaN") && !text.contains("inf "));
        assert!(text.contains("| Stop"), "{text}");
    }

    #[test]
    fn hostile_text_cannot_break_out_of_its_cell() {
        let text = write(&fixtures::report(), &[]);
        assert!(!text.contains("<script"));
        assert!(text.contains("&lt;script&gt;"));
        // Bars that end a cell: every row of a table has as many as its head.
        let mut head = 0;
        for line in text.lines() {
            let bars = line.replace("\\|", "").matches('|').count();
            head = if line.starts_with('|') && head > 0 { head } else { bars };
            assert_eq!(bars, head, "{line}");
        }
    }
}
