//! `report.html`: one page that needs nothing else. It allows itself nothing from
//! outside, and every style and script but its own two, named by their hash;
//! without the script it says the same with pictures.
//!
//! The first screen holds the answer and the part; everything else is folded below it, each
//! with an anchor.

use base64::prelude::{BASE64_STANDARD, Engine};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use crate::draw::charts;
use crate::report::blocks::{Picture, Section, Table};
use crate::report::cause_list::{causes, source};
use crate::report::first_screen::{class, first_screen, verdict};
use crate::report::{glossary, outline, process, quantities};
use crate::schema::{Report, words};
use crate::units::us_words::ShownUnits;
use crate::viewer;
use crate::viewer::{Solid, section};

/// How the page looks.
pub(crate) const STYLE: &str = include_str!("page.css");

/// What the page may do: show pictures from within, and run its own style and script.
pub(crate) fn policy() -> String {
    let hash = |text: &str| BASE64_STANDARD.encode(Sha256::digest(text.as_bytes()));
    format!(
        "default-src 'none'; img-src data:; style-src 'sha256-{}'; script-src 'sha256-{}'; \
         base-uri 'none'; form-action 'none'",
        hash(STYLE),
        hash(viewer::SCRIPT)
    )
}

/// What a page holds besides words.
#[derive(Clone, Copy, Default)]
pub struct Inside<'a> {
    /// The maps.
    pub pictures: &'a [Picture<'a>],
    /// Number of a cause, and the map around its worst place as PNG.
    pub details: &'a [(usize, &'a [u8])],
    /// The part, to be turned.
    pub solid: Option<&'a Solid>,
}

/// `report` as one page.
pub fn write(report: &Report, inside: &Inside<'_>) -> String {
    let answer = words::verdict(report.verdict);
    let sections = outline::sections(report);
    let (sheets, numbered): (Vec<&Section>, Vec<&Section>) =
        sections.iter().partition(|each| each.title == process::SHEET);
    let page = html! {
        (DOCTYPE)
        html lang="en" data-units=(shown_key(report.shown_units)) {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy());
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (answer) ": " (report.part.file) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (top(report))
                main {
                    div.first {
                        (explained(first_screen(report, inside.details)))
                        @if let Some(solid) = inside.solid { (section::section(solid)) }
                    }
                    (contents(report, inside))
                    (explained(causes(report, inside.details)))
                    (pictures(report, inside.pictures))
                    (numbers(&numbered))
                    @for each in sheets { (sheet(report, each)) }
                    (list("Cautions", &outline::cautions(report), true))
                    (glossary::list())
                    (list("Assumptions", &report.assumptions, false))
                    (list("Sources", &outline::sources(report), false))
                }
                footer { p { (report.tool.name) " " (report.tool.version) } }
                @if let Some(solid) = inside.solid { (section::data(solid)) }
            }
        }
    };
    let mut page = quantities::mark(&page.into_string(), report.shown_units);
    page.push('\n');
    page
}

/// The part called `name` before anything is known of it but its shape.
pub fn write_shape(name: &str, solid: &Solid) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" data-units="mm" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy());
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (name) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header.top { h1 { (name) } }
                main {
                    div.first {
                        section.answer aria-label="The answer" {
                            p.meaning { "The part as it was read. The answer follows." }
                        }
                        (section::section(solid))
                    }
                }
                (section::data(solid))
            }
        }
    };
    page.into_string()
}

/// As the script of the page knows the units.
pub(crate) fn shown_key(units: ShownUnits) -> &'static str {
    match units {
        ShownUnits::Metric => "mm",
        ShownUnits::UsCustomary => "in",
    }
}

/// `markup` with its words of the trade leading to what they mean.
fn explained(markup: Markup) -> Markup {
    PreEscaped(glossary::link_words(&markup.into_string()))
}

fn top(report: &Report) -> Markup {
    html! {
        header class=(format!("top {}", class(report.verdict))) {
            (verdict(report.verdict))
            h1 { (report.part.file) }
        }
    }
}

/// Where everything is.
fn contents(report: &Report, inside: &Inside<'_>) -> Markup {
    let links = [
        ("causes", "Causes", !report.causes.is_empty()),
        ("pictures", "Pictures", !inside.pictures.is_empty()),
        ("numbers", "Numbers", true),
        ("process-sheet", "Process sheet", !report.sheet.is_empty()),
        ("cautions", "Cautions", !outline::cautions(report).is_empty()),
        ("words", "Words", true),
        ("assumptions", "Assumptions", !report.assumptions.is_empty()),
        ("sources", "Sources", !report.sources.is_empty()),
    ];
    html! {
        nav.contents aria-label="Contents" {
            ul {
                @for (id, name, _) in links.iter().filter(|(.., is_there)| *is_there) {
                    li { a href=(format!("#{id}")) { (name) } }
                }
                li.units { button type="button" data-is="units" hidden { "Show inches" } }
            }
        }
    }
}

/// The pictures and drawings, folded.
fn pictures(report: &Report, all: &[Picture<'_>]) -> Markup {
    html! {
        @if !all.is_empty() {
            // Without script or graphics the pictures are all there is; the script folds them.
            details.fold.see #pictures open {
                summary { h2 { "Pictures" } }
                @for each in all { (picture(each)) }
                (drawings(report))
            }
        }
    }
}

/// The numbers, under the question that they speak to.
fn numbers(sections: &[&Section]) -> Markup {
    html! {
        details.fold.numbers #numbers {
            summary { h2 { "Numbers" } }
            @for each in sections { (section(each)) }
        }
    }
}

/// What to set at the press, with the verdict above it: it is printed and carried along.
fn sheet(report: &Report, sheet: &Section) -> Markup {
    html! {
        details.fold.sheet #process-sheet {
            summary { h2 { (sheet.title) } }
            div class=(format!("carried {}", class(report.verdict))) {
                (verdict(report.verdict))
                p { bdi { (report.part.file) } ": " (report.answer.why) }
            }
            (inner(sheet))
        }
    }
}

/// Pictures that paper has no room for, or cannot show.
const ON_SCREEN: [&str; 4] =
    ["maps/pressure.png", "maps/frozen.png", "maps/short_shots.png", "maps/front.gif"];

/// A picture with its caption.
pub(crate) fn picture(picture: &Picture<'_>) -> Markup {
    let on_screen = ON_SCREEN.contains(&picture.file);
    html! {
        figure.map.screen[on_screen] {
            div.scroll tabindex="0" role="region" aria-label=(picture.caption) { img src=(source(picture.png)) alt=(picture.alt); }
            figcaption { (picture.caption) }
        }
    }
}

/// The drawings, each under what it shows.
fn drawings(report: &Report) -> Markup {
    let all = [
        ("Walls", charts::thickness(&report.thickness)),
        ("Draft", charts::draft(&report.draft)),
        ("Pressure", charts::pressure(&report.feed, &report.fill)),
        ("Shot", charts::shot(&report.shot)),
    ];
    html! {
        div.grid {
            @for (title, drawing) in &all {
                @if let Some(drawing) = drawing { div { h3 { (title) } (drawing) } }
            }
        }
    }
}

fn section(section: &Section) -> Markup {
    html! {
        section {
            h3 { (section.title) }
            (inner(section))
        }
    }
}

fn inner(section: &Section) -> Markup {
    html! {
        @if !section.rows.is_empty() {
            div.scroll {
                table.rows {
                    tbody {
                        @for (name, value) in &section.rows {
                            tr { th scope="row" { (name) } td { (value) } }
                        }
                    }
                }
            }
        }
        @for each in &section.tables { (table(each)) }
        @if !section.notes.is_empty() {
            ul { @for note in &section.notes { li { (note) } } }
        }
    }
}

fn table(table: &Table) -> Markup {
    html! {
        h4 { (table.title) }
        (columns(table, &table.title))
    }
}

/// The columns of a table, which is called `label` for those who do not see where it stands.
pub(crate) fn columns(table: &Table, label: &str) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label=(label) {
            table.list {
                thead {
                    tr { @for column in &table.columns { th scope="col" { (column) } } }
                }
                tbody {
                    @for row in &table.rows {
                        tr {
                            // Places and numbers must not break in the middle.
                            @for cell in row {
                                td.short[cell.chars().count() < 26] { (cell) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Sentences under a title, folded or open.
pub(crate) fn list(title: &str, entries: &[String], open: bool) -> Markup {
    let id = title.to_lowercase().replace(' ', "-");
    html! {
        @if !entries.is_empty() {
            details.fold.(id) id=(id) open[open] {
                summary { h2 { (title) } }
                ul { @for entry in entries { li { (entry) } } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Inside, STYLE, write};
    use crate::findings::Verdict;
    use crate::report::blocks::Picture;
    use crate::schema::{fixtures, words};

    fn page() -> String {
        let picture = Picture {
            caption: "Walls of \"><script>",
            alt: "\" onerror=\"alert(1)",
            file: "maps/thickness.png",
            png: &[137, 80, 78, 71],
        };
        write(
            &fixtures::report(),
            &Inside {
                pictures: &[picture],
                details: &[(1, &[137, 80])],
                ..Inside::default()
            },
        )
    }

    #[test]
    fn nothing_runs_and_nothing_is_loaded() {
        let page = page();
        assert!(!page.contains("<script") && page.contains("&lt;script&gt;"));
        assert!(!page.contains("\" onerror"));
        for outside in ["http:", "https:", "url(", "@import", "javascript:", "<link"] {
            assert!(!page.contains(outside), "{outside}");
        }
        assert!(
            page.contains(
                "content=\"default-src 'none'; img-src data:; style-src 'sha256-"
            )
        );
        assert!(!page.contains("unsafe-inline") && !STYLE.contains("</"));
        // An attribute is a style of its own, which the policy forbids.
        assert!(!page.contains(" style=\"") && !page.contains(" onclick"));
        assert!(page.contains("src=\"data:image/png;base64,iVBORw==\""));
    }

    #[test]
    fn the_answer_comes_first_and_every_element_closes() {
        let page = page();
        let at = |text: &str| page.find(text).unwrap_or_else(|| panic!("{text}"));
        assert!(at("Fix first</span>") < at("is below the least"));
        assert!(at("is below the least") < at("<figure"));
        assert!(at("<figure") < at("<h3>Part</h3>"));
        assert!(page.contains("<html lang=\"en\" ") && !page.contains("NaN"));
        for tag in
            ["html", "section", "table", "tr", "td", "svg", "figure", "h2", "li", "p"]
        {
            let open = page.matches(&format!("<{tag}>")).count()
                + page.matches(&format!("<{tag} ")).count();
            assert_eq!(open, page.matches(&format!("</{tag}>")).count(), "{tag}");
        }
    }

    #[test]
    fn each_verdict_has_its_own_words_and_sign() {
        let all = [Verdict::Cut, Verdict::FixFirst, Verdict::DoNotCut, Verdict::Unknown];
        let mut seen = std::collections::BTreeSet::new();
        for verdict in all {
            let mut report = fixtures::report();
            report.verdict = verdict;
            let page = write(&report, &Inside::default());
            assert!(page.contains(words::verdict(verdict)));
            assert!(page.contains(&format!(">{}</span>", words::verdict_sign(verdict))));
            assert!(seen.insert(words::verdict_sign(verdict)));
        }
    }
}
