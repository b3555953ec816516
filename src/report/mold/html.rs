//! `mold.html`: the finished mold as one page that needs nothing else: its halves to be turned,
//! opened and cut, what is drilled, bought and checked.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::findings::Verdict;
use crate::report::blocks::{Picture, Table};
use crate::report::first_screen::class;
use crate::report::html as page;
use crate::report::mold::outline::{self, CAUTIONS, DRILL, MoldSection};
use crate::report::quantities;
use crate::schema::mold::MoldReport;
use crate::schema::words;
use crate::viewer::{Solid, section};

/// The plan of each half, which goes with the drill table.
const PLANS: &str = "maps/plan_";

/// `report` as one page with `pictures` and the mold to be turned.
pub(crate) fn write(
    report: &MoldReport,
    pictures: &[Picture<'_>],
    solid: &Solid,
) -> String {
    let (plans, others): (Vec<&Picture<'_>>, Vec<&Picture<'_>>) =
        pictures.iter().partition(|picture| picture.file.starts_with(PLANS));
    let sections = outline::sections(report);
    let cautions = CAUTIONS.map(str::to_owned);
    let written = html! {
        (DOCTYPE)
        html lang="en" data-units=(page::shown_key(report.shown_units)) {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(page::policy());
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "Mold for " (report.file) }
                style { (PreEscaped(page::STYLE)) }
            }
            body {
                header class=(format!("top {}", verdict_class(report))) {
                    (verdict(report))
                    h1 { "Mold for " (report.file) }
                }
                main {
                    div.first {
                        section.answer aria-label="The mold" {
                            (part_check(report))
                            (failed(report))
                            (rows(&outline::summary(report)))
                        }
                        (section::section(solid))
                    }
                    @for each in &sections {
                        (folded(each, if each.title == DRILL { &plans } else { &[] }))
                    }
                    details.fold.see #pictures open {
                        summary { h2 { "Pictures" } }
                        @for each in &others { (page::picture(each)) }
                    }
                    (page::list("Assumptions", &report.assumptions, false))
                    (page::list("Before you cut", &cautions, true))
                }
                footer { p { (report.tool.name) " " (report.tool.version) } }
                (section::data(solid))
            }
        }
    };
    let mut written = quantities::mark(&written.into_string(), report.shown_units);
    written.push('\n');
    written
}

/// The class that the colors of its verdict go by.
pub(crate) fn verdict_class(report: &MoldReport) -> &'static str {
    class(verdict_of(report))
}

/// The verdict on the part, and no better than *fix first* where a check of the mold does not
/// hold.
pub(crate) fn verdict_of(report: &MoldReport) -> Verdict {
    match report.check.verdict {
        Verdict::Cut | Verdict::Unknown if counts(report)[0] > 0 => Verdict::FixFirst,
        verdict => verdict,
    }
}

/// The verdict, and whether every check that is known holds, in a few words.
pub(crate) fn verdict_words(report: &MoldReport) -> String {
    let verdict = words::verdict(verdict_of(report));
    let [failed, known] = counts(report);
    match failed {
        0 => format!("{verdict}; all {known} checks of the mold hold"),
        _ => format!("{verdict}; {failed} of {known} checks of the mold do not hold"),
    }
}

/// How many checks do not hold, and how many are known.
fn counts(report: &MoldReport) -> [usize; 2] {
    let failed = report.checks.iter().filter(|check| check.ok == Some(false)).count();
    [failed, report.checks.iter().filter(|check| check.ok.is_some()).count()]
}

fn verdict(report: &MoldReport) -> Markup {
    html! {
        p.verdict {
            span.sign aria-hidden="true" { (words::verdict_sign(verdict_of(report))) }
            span.words { (verdict_words(report)) }
        }
    }
}

/// What the check says of the part, and what it asks for first.
pub(crate) fn part_check(report: &MoldReport) -> Markup {
    let check = &report.check;
    html! {
        p.meaning { (check.why) }
        p { (check.judged_with) }
        @if !check.do_first.is_empty() {
            h2 { "Do first" }
            ol { @for change in &check.do_first { li { (change) } } }
            p { (check.then) }
        }
    }
}

/// The checks that do not hold, each with value and limit.
pub(crate) fn failed(report: &MoldReport) -> Markup {
    let failed = outline::failed(report);
    html! {
        @if !failed.is_empty() {
            h2 { "Does not hold" }
            ul.before { @for line in &failed { li { (line) } } }
        }
    }
}

fn rows(table: &Table) -> Markup {
    html! {
        div.scroll {
            table.rows { tbody {
                @for row in &table.rows {
                    tr {
                        @for (i, cell) in row.iter().enumerate() {
                            @if i == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                        }
                    }
                }
            } }
        }
    }
}

fn folded(section: &MoldSection, plans: &[&Picture<'_>]) -> Markup {
    html! {
        details.fold.sheet[outline::SHEETS.contains(&section.title)] open {
            summary { h2 { (section.title) } }
            @if !section.lead.is_empty() { p { (section.lead) } }
            @for each in &section.tables {
                @if each.title.is_empty() {
                    (page::columns(each, section.title))
                } @else {
                    h3 { (each.title) }
                    (page::columns(each, &each.title))
                }
            }
            @for plan in plans { (page::picture(plan)) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::write;
    use crate::analysis::mold::{MoldChoices, design};
    use crate::findings::fixtures::{analysis, plug};
    use crate::report::html::STYLE;
    use crate::schema;
    use crate::schema::fixtures::HOSTILE;
    use crate::schema::mold::assemble;
    use crate::viewer::{self, SCRIPT};

    /// Nothing but its own style and script, and no name that becomes part of the page.
    #[test]
    fn the_page_of_a_mold_needs_nothing_and_says_everything() {
        let analysis = analysis(&plug());
        let made = design(&analysis, &MoldChoices::default()).unwrap();
        let check = schema::assemble::report(&analysis, HOSTILE);
        let report = assemble::report(&analysis, &made, &check);
        let solid = viewer::pack_mold(&made.mold, analysis.release.pull).unwrap();
        let page = write(&report, &[], &solid);
        assert_eq!(page.matches("<script").count(), 3);
        let words = page.replace(SCRIPT, "").replace(STYLE, "");
        for outside in
            ["http:", "https:", "url(", "@import", "javascript:", "<link", " style=\""]
        {
            assert!(!words.contains(outside), "{outside}");
        }
        for check in &report.checks {
            assert!(page.contains(&check.name), "{}", check.name);
        }
        for title in ["To buy", "To drill, ream and mill", "Before you cut"] {
            assert!(page.contains(title), "{title}");
        }
        assert_eq!(page.matches("<tr>").count(), page.matches("</tr>").count());
    }
}
