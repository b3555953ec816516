//! The short summary and the progress line; writes to what it is given.

use std::io::{self, Write};
use std::path::Path;

use indicatif::{ProgressBar, ProgressStyle};

use crate::compare::comparison::Comparison;
use crate::compare::lines;
use crate::findings::Finding;
use crate::report::what_if;
use crate::schema::Report;
use crate::schema::words;
use crate::units::format;

/// Findings shown in the summary; the rest is in the report. With the other lines the
/// summary stays within 25.
const SHOWN: usize = 8;

/// A line's width on a plain terminal.
const WIDTH: usize = 100;

/// Writes what matters of `report` in at most 25 lines; `folder` is where the rest went.
pub(super) fn summary(
    report: &Report,
    folder: &Path,
    to: &mut dyn Write,
) -> io::Result<()> {
    let part = &report.part;
    let verdict = words::verdict(report.verdict);
    let meaning = words::verdict_meaning(report.verdict);
    writeln!(to, "{}: {verdict}. {meaning}", plain(&part.file))?;
    let size: Vec<String> = (0..3)
        .map(|axis| part.bounding_box_mm.max[axis] - part.bounding_box_mm.min[axis])
        .map(format::number)
        .collect();
    writeln!(
        to,
        "  part      {} mm, volume {}, {} facets",
        size.join(" × "),
        format::volume(part.volume_mm3),
        part.facets
    )?;
    writeln!(
        to,
        "  pull      {}{}, core on the {} side, {} trapped",
        format::direction(report.pull.direction),
        if report.pull.given { "" } else { " (chosen)" },
        report.pull.core_side,
        format::area(Some(report.undercut.area_mm2))
    )?;
    walls(report, to)?;
    press(report, to)?;
    fill(report, to)?;
    window(report, to)?;
    mill(report, to)?;
    findings(report, to)?;
    for it in &report.what_if {
        writeln!(to, "  what if   {}", what_if::line(it))?;
    }
    let given = |given: bool| if given { "" } else { " (assumed)" };
    writeln!(
        to,
        "  with      {}{} on {}{}",
        report.plastic.name,
        given(report.plastic.given),
        plain(&report.press.name),
        given(report.press.given)
    )?;
    let page = folder.join("report.html");
    writeln!(to, "  report    {}", plain(&page.display().to_string()))
}

/// Writes what a revision changed; `folder` is where the rest went, if anywhere.
pub(super) fn compared(
    comparison: &Comparison,
    folder: Option<&Path>,
    to: &mut dyn Write,
) -> io::Result<()> {
    let [before, after] = [&comparison.before.file, &comparison.after.file];
    let headline = lines::headline(comparison);
    writeln!(to, "{} → {}: {headline}", plain(before), plain(after))?;
    for line in lines::summarize(comparison) {
        writeln!(to, "{}", plain(&line))?;
    }
    match folder.map(|folder| folder.join("compare.html")) {
        Some(page) => writeln!(to, "  report    {}", plain(&page.display().to_string())),
        None => Ok(()),
    }
}

fn walls(report: &Report, to: &mut dyn Write) -> io::Result<()> {
    let thickness = &report.thickness;
    let Some(ball) = thickness.ball_mm else {
        return writeln!(to, "  walls     {}", format::NOT_KNOWN);
    };
    writeln!(
        to,
        "  walls     {} mm at the median, 90 % within {} to {} mm; {} asks for {} to {}",
        format::number(ball.p50),
        format::number(ball.p05),
        format::number(ball.p95),
        report.plastic.name,
        format::maybe(thickness.limit_low_mm, "mm"),
        format::maybe(thickness.limit_high_mm, "mm")
    )
}

fn press(report: &Report, to: &mut dyn Write) -> io::Result<()> {
    let (shot, clamp) = (&report.shot, &report.clamp);
    writeln!(
        to,
        "  shot      {} of {}, {} of one stroke",
        format::maybe(shot.total_g, "g"),
        format::maybe(shot.capacity_g, "g"),
        format::maybe_percent(shot.fraction)
    )?;
    writeln!(
        to,
        "  clamp     {} opens at {}, {} holds",
        format::force(clamp.opening_force_n),
        format::maybe(clamp.pressure_mpa, "MPa"),
        format::force(clamp.holding_force_n)
    )?;
    let (feed, cooling, ejection) = (&report.feed, &report.cooling, &report.ejection);
    writeln!(
        to,
        "  feed      {}, {} lost on the way at {}",
        format::known(feed.layout.as_ref().map(|layout| format!("{layout} layout"))),
        format::maybe(feed.lost_mpa, "MPa"),
        format::maybe(feed.flow_cm3_s, "cm³/s")
    )?;
    writeln!(
        to,
        "  cycle     hold {}, cool {}, {} from shot to shot",
        format::maybe(cooling.hold_s, "s"),
        format::maybe(cooling.cool_s, "s"),
        format::maybe(cooling.cycle_s, "s")
    )?;
    let pins = ejection.pin_count.map_or_else(String::new, |count| {
        format!(", {count} pins of {}", format::maybe(ejection.pin_diameter_mm, "mm"))
    });
    writeln!(
        to,
        "  eject     {}, up to {}{pins}",
        format::force(ejection.force_n),
        format::force(ejection.force_high_n)
    )
}

fn fill(report: &Report, to: &mut dyn Write) -> io::Result<()> {
    let fill = &report.fill;
    let Some(share) = fill.filled_fraction else {
        return writeln!(to, "  fill      {}", format::NOT_KNOWN);
    };
    let whole = match fill.fills {
        Some(true) => "all of it".to_owned(),
        _ => format!("only {}", format::percent(share)),
    };
    let least = fill.pressure_needed_mpa.map_or_else(String::new, |needed| {
        format!(", needs {}", format::quantity(needed, "MPa"))
    });
    let gate = fill.gate_mm.map_or_else(String::new, format::point);
    writeln!(
        to,
        "  fill      {whole} in {}{least}, has {}, gate at {gate}",
        format::maybe(fill.time_s, "s"),
        format::maybe(fill.pressure_available_mpa, "MPa")
    )
}

/// What fills, what holds, and what to push with.
fn window(report: &Report, to: &mut dyn Write) -> io::Result<()> {
    let window = &report.pressure_window;
    writeln!(to, "  pressure  {}", window.range)?;
    writeln!(to, "  push      {}", window.advice)
}

fn mill(report: &Report, to: &mut dyn Write) -> io::Result<()> {
    let milling = &report.milling;
    let (Some(places), Some(cutters)) = (&milling.unreached, &milling.cutters) else {
        return writeln!(to, "  mill      {}", format::NOT_KNOWN);
    };
    let left = match places.first() {
        None => "the cutters reach all of it".to_owned(),
        Some(worst) => format!(
            "{} places that no cutter reaches, up to {}",
            places.len(),
            format::quantity(worst.left_mm, "mm")
        ),
    };
    let needed = cutters.iter().filter(|it| it.needed).count();
    writeln!(
        to,
        "  mill      {left}; {needed} of {} cutters needed, {}{}",
        cutters.len(),
        format::maybe(milling.time_min, "min"),
        if milling.as_milled == Some(true) { "; judged as milled" } else { "" }
    )
}

/// One line for each kind of finding: its worst, and how many more there are.
fn findings(report: &Report, to: &mut dyn Write) -> io::Result<()> {
    let all = &report.findings;
    let mut kinds: Vec<(&Finding, usize, usize)> = Vec::new();
    for (index, finding) in all.iter().enumerate() {
        match kinds.iter_mut().find(|(known, ..)| known.kind == finding.kind) {
            Some((_, _, more)) => *more += 1,
            None => kinds.push((finding, index + 1, 0)),
        }
    }
    for (finding, number, more) in kinds.iter().take(SHOWN) {
        writeln!(to, "  {number:>2} {}", line(finding, *more))?;
    }
    if kinds.len() > SHOWN {
        writeln!(to, "     and {} more kinds in the report", kinds.len() - SHOWN)?;
    }
    // The first cure, as the next thing to do.
    match all.first().filter(|finding| !finding.cure.is_empty()) {
        Some(finding) => writeln!(to, "  do first  for 1: {}", finding.cure),
        None => Ok(()),
    }
}

fn line(finding: &Finding, more: usize) -> String {
    let tail = if more > 0 { format!(" (and {more} more)") } else { String::new() };
    let text = format!("{:<5} {}", words::severity(finding.severity), finding.title);
    let room = WIDTH - tail.chars().count();
    if text.chars().count() <= room {
        return text + &tail;
    }
    let cut: String = text.chars().take(room - 1).collect();
    format!("{cut}…{tail}")
}

/// A file name may hold what moves the cursor; on a terminal it is shown as "?".
pub(super) fn plain(name: &str) -> String {
    name.chars().map(|c| if c.is_control() { '?' } else { c }).collect()
}

/// A line that tells what is going on, on a terminal only.
pub(super) struct Progress(Option<ProgressBar>);

impl Progress {
    /// Shows itself when `shown`.
    pub(super) fn new(shown: bool) -> Self {
        let bar = shown.then(|| {
            let bar = ProgressBar::new_spinner();
            if let Ok(style) = ProgressStyle::with_template("{spinner} {msg}") {
                bar.set_style(style);
            }
            bar.enable_steady_tick(std::time::Duration::from_millis(120));
            bar
        });
        Self(bar)
    }

    /// What is done now.
    pub(super) fn show(&self, what: impl Into<String>) {
        if let Some(bar) = &self.0 {
            bar.set_message(what.into());
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(bar) = &self.0 {
            bar.finish_and_clear();
        }
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{SHOWN, WIDTH, line, summary};
    use crate::findings::{Finding, Kind};
    use crate::schema::Report;
    use crate::schema::fixtures;

    fn shown(report: &Report) -> String {
        let mut bytes = Vec::new();
        summary(report, Path::new("out"), &mut bytes).unwrap();
        String::from_utf8(bytes).unwrap()
    }

    #[test]
    fn however_much_is_found_the_summary_fits_a_screen() {
        let mut report = fixtures::report();
        let some = report.findings.clone();
        for kind in Kind::ALL {
            let more = some.iter().cloned().map(|finding| Finding { kind, ..finding });
            report.findings.extend(more);
        }
        let text = shown(&report);
        assert!(text.lines().count() <= 25, "{text}");
        assert!(text.contains("more kinds in the report"), "{text}");
        // The file's name holds a line end, which must not be one here.
        assert!(text.starts_with(fixtures::HOSTILE.split('\n').next().unwrap()));
        assert!(
            text.lines().next().unwrap().contains("? lamp.stl")
                || text.contains("?# lamp.stl")
        );
    }

    #[test]
    fn one_kind_is_one_line_with_its_count() {
        let mut report = fixtures::report();
        report.findings.truncate(1);
        let first = report.findings[0].clone();
        report.findings.extend([first.clone(), first]);
        let text = shown(&report);
        assert_eq!(text.matches("(and 2 more)").count(), 1, "{text}");
        assert!(report.findings.len() < SHOWN);
    }

    #[test]
    fn a_long_title_is_cut_to_the_width_with_its_count_kept() {
        let mut finding = fixtures::report().findings[0].clone();
        finding.title = "m² ".repeat(60);
        let cut = line(&finding, 12);
        assert_eq!(cut.chars().count(), WIDTH);
        assert!(cut.ends_with("… (and 12 more)"), "{cut}");
    }
}
