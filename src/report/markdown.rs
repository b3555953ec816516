//! `report.md`: verdict and findings first; readable as it is.

use crate::findings::Finding;
use crate::report::blocks::{Picture, Section, Table};
use crate::report::outline;
use crate::schema::{Report, words};

/// `report` as Markdown, with links to `pictures`.
pub fn write(report: &Report, pictures: &[Picture<'_>]) -> String {
    let mut text = format!("# {}\n\n", escaped(&report.part.file));
    text += &format!("**{}.** ", words::verdict(report.verdict));
    text += words::verdict_meaning(report.verdict);
    text += "\n\n## Findings\n\n";
    let findings = outline::findings(report);
    match findings.rows.is_empty() {
        true => text += "None.\n\n",
        false => text += &table(&findings),
    }
    text += &list("Why these limits", reasons(&report.findings).into_iter(), 3);
    if !pictures.is_empty() {
        text += "## Pictures\n\n";
    }
    for picture in pictures {
        let target = picture.file.replace(' ', "%20").replace(['(', ')', '<', '>'], "");
        text += &format!("![{}]({target})\n\n", escaped(picture.alt));
        text += &format!("{}\n\n", escaped(picture.caption));
    }
    for each in outline::sections(report) {
        text += &section(&each);
    }
    text += &list("Assumptions", report.assumptions.iter().cloned(), 2);
    text += &list("Cautions", outline::cautions(report).into_iter(), 2);
    text += &list("Sources", outline::sources(report).into_iter(), 2);
    let tool = &report.tool;
    text += &format!("{} {}\n", escaped(&tool.name), escaped(&tool.version));
    text
}

/// Each reason once, with the findings that it stands behind.
fn reasons(findings: &[Finding]) -> Vec<String> {
    let numbered =
        findings.iter().zip(1..).filter(|(finding, _)| !finding.basis.is_empty());
    let numbered: Vec<(&Finding, usize)> = numbered.collect();
    numbered
        .chunk_by(|a, b| a.0.basis == b.0.basis && a.1 + 1 == b.1)
        .filter_map(|run| {
            let (finding, first) = *run.first()?;
            let last = run.last()?.1;
            let numbers = if first == last {
                format!("{first}")
            } else {
                format!("{first}–{last}")
            };
            Some(format!("No. {numbers}: {}", finding.basis))
        })
        .collect()
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
        let verdict = text.find("**Fix first.**").unwrap();
        let finding = text.find("Wall of 0.5").unwrap();
        let numbers = text.find("## Part").unwrap();
        assert!(verdict < finding && finding < numbers);
        assert!(!text.contains("NaN") && !text.contains("inf"));
        assert!(text.contains("not known"));
        assert!(text.contains("| 0.5 mm |") && text.contains("| 0.9 mm |"), "{text}");
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
