//! The answer on the first screen of a terminal, and one line for each of several parts.

use std::io::{self, IsTerminal, Write};
use std::path::Path;

use console::Style;
use textwrap::Options;

use super::terminal::plain;
use crate::findings::answer::QuestionAnswer;
use crate::findings::{Severity, Verdict};
use crate::report::what_if;
use crate::schema::Report;
use crate::schema::words;

/// A line's width where it goes to no terminal.
const WIDTH: usize = 100;

/// Narrower and wider terminals are written to as if they had these widths.
const WIDTHS: [usize; 2] = [60, 110];

/// Where the words of a question begin.
const INDENT: usize = 15;

/// How wide the screen is, and whether it shows colors.
#[derive(Clone, Copy, Debug)]
pub(super) struct Screen {
    /// Letters in a line.
    pub(super) width: usize,
    /// Whether to color signs and verdict.
    pub(super) colored: bool,
}

impl Screen {
    /// That of the standard output; without colors where `NO_COLOR` is set
    /// (<https://no-color.org>).
    pub(super) fn of_output() -> Self {
        if !io::stdout().is_terminal() {
            return Self { width: WIDTH, colored: false };
        }
        let size = console::Term::stdout().size_checked();
        let width = size.map_or(WIDTH, |(_, columns)| usize::from(columns));
        let colored = std::env::var_os("NO_COLOR").is_none_or(|it| it.is_empty());
        Self { width: width.clamp(WIDTHS[0], WIDTHS[1]), colored }
    }

    fn painted(self, text: &str, severity: Option<Severity>, known: bool) -> String {
        let style = match severity {
            _ if !self.colored => return text.to_owned(),
            Some(Severity::Stop) => Style::new().red().bold(),
            Some(Severity::Note) | None if known => Style::new().green(),
            Some(_) | None => Style::new().yellow().bold(),
        };
        style.force_styling(true).apply_to(text).to_string()
    }

    /// `text` broken into lines; the first begins with `head`, the others below its words.
    pub(super) fn wrap(self, head: &str, indent: usize, text: &str) -> String {
        let spaces = " ".repeat(indent);
        // The head may hold colors, which take no room.
        let lines = textwrap::wrap(text, Options::new(self.width.saturating_sub(indent)));
        let joined = lines.join(&format!("\n{spaces}"));
        format!("{head}{joined}")
    }
}

/// Writes the first screen of `report`; `folder` is where the rest went.
pub(super) fn summary(
    report: &Report,
    folder: &Path,
    screen: Screen,
    to: &mut dyn Write,
) -> io::Result<()> {
    answer(report, screen, to)?;
    let page = folder.join("report.html");
    writeln!(to, "  {}: {}", words::counted(report), plain(&page.display().to_string()))
}

/// Writes the answer of `report`.
pub(super) fn answer(
    report: &Report,
    screen: Screen,
    to: &mut dyn Write,
) -> io::Result<()> {
    let answer = &report.answer;
    let own = |text: &str| report.shown_units.write(&plain(text));
    let verdict = verdict(report.verdict, screen);
    writeln!(to, "{}: {verdict}", plain(&report.part.file))?;
    let paragraph = |text: &str| screen.wrap("  ", 2, &own(text));
    writeln!(to, "{}", paragraph(&answer.why))?;
    for line in &answer.before_all {
        writeln!(to, "{}", screen.wrap("  ! ", 4, &own(line)))?;
    }
    writeln!(to, "{}", paragraph(&words::judged_with(&answer.judged_with)))?;
    let window = &report.pressure_window;
    writeln!(to, "{}", paragraph(&words::window(window)))?;
    writeln!(to)?;
    for question in &answer.questions {
        writeln!(to, "{}", line(question, &own(&question.text), screen))?;
    }
    if !answer.do_first.is_empty() {
        writeln!(to, "  Do first")?;
        for (step, number) in answer.do_first.iter().zip(1..) {
            writeln!(
                to,
                "{}",
                screen.wrap(&format!("  {number}. "), 5, &own(&step.change))
            )?;
        }
        writeln!(to, "{}", paragraph(&answer.then))?;
    }
    for it in &report.what_if {
        writeln!(to, "{}", screen.wrap("  What if: ", 11, &own(&what_if::line(it))))?;
    }
    Ok(())
}

fn verdict(verdict: Verdict, screen: Screen) -> String {
    let severity = match verdict {
        Verdict::Cut => None,
        Verdict::DoNotCut => Some(Severity::Stop),
        Verdict::FixFirst | Verdict::Unknown => Some(Severity::Fix),
    };
    let text = format!("{} {}", words::verdict_sign(verdict), words::verdict(verdict));
    screen.painted(&text, severity, true)
}

/// "  ✓ One shot     20.9 of 38.4 g".
fn line(it: &QuestionAnswer, text: &str, screen: Screen) -> String {
    let sign = screen.painted(words::sign(it.severity, it.known), it.severity, it.known);
    let room = INDENT - 4;
    let head = format!("  {sign} {:<room$}", it.question);
    screen.wrap(&head, INDENT, text)
}

/// One line for each of several parts: its verdict, and what to do first.
pub(super) fn table(
    reports: &[Report],
    screen: Screen,
    to: &mut dyn Write,
) -> io::Result<()> {
    let name = |report: &Report| plain(&report.part.file);
    let widest = reports.iter().map(|it| name(it).chars().count()).max().unwrap_or(0);
    let names = widest.min(screen.width / 3);
    writeln!(to)?;
    for report in reports {
        let file: String = name(report).chars().take(names).collect();
        let verdict = verdict(report.verdict, screen);
        let room = 18_usize.saturating_sub(words::verdict(report.verdict).len() + 2);
        let first = report.answer.do_first.first();
        let change = first.map_or(report.answer.why.as_str(), |step| &step.change);
        let head = format!("{file:<names$}  {verdict}{}", " ".repeat(room));
        let change = report.shown_units.write(&plain(change));
        writeln!(to, "{}", screen.wrap(&head, names + 20, &change))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{Screen, summary, table};
    use crate::findings::Kind;
    use crate::schema::fixtures;

    const PIPED: Screen = Screen { width: 100, colored: false };

    fn shown(screen: Screen) -> String {
        let mut bytes = Vec::new();
        summary(&fixtures::report(), Path::new("out"), screen, &mut bytes).unwrap();
        String::from_utf8(bytes).unwrap()
    }

    #[test]
    fn the_answer_fits_a_screen_of_any_width() {
        let text = shown(PIPED);
        assert!(text.lines().count() <= 25, "{text}");
        // The file's name holds a line end, which must not be one here.
        assert!(text.starts_with(fixtures::HOSTILE.split('\n').next().unwrap()));
        assert!(text.lines().next().unwrap().contains("Fix first"), "{text}");
        let narrow = shown(Screen { width: 60, colored: false });
        let own = narrow.lines().skip(1).filter(|line| !line.contains("report.html"));
        for line in own {
            assert!(line.chars().count() <= 60, "{line}");
        }
        assert!(Kind::ALL.len() > 25);
    }

    #[test]
    fn colors_change_no_word() {
        let colored = shown(Screen { width: 100, colored: true });
        assert!(colored.contains('\u{1b}'));
        assert_eq!(console::strip_ansi_codes(&colored), shown(PIPED));
    }

    #[test]
    fn several_parts_are_one_line_each() {
        let mut bytes = Vec::new();
        let reports = [fixtures::report(), fixtures::report()];
        table(&reports, PIPED, &mut bytes).unwrap();
        let text = String::from_utf8(bytes).unwrap();
        assert_eq!(text.matches("Fix first").count(), 2, "{text}");
    }
}
