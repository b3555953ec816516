//! `report.html`: one page that needs nothing else.
//!
//! Every text goes through the template and is escaped there. The page forbids itself
//! anything from outside, and every style and script but its own two, named by their hash;
//! without the script it says the same with pictures.

use base64::prelude::{BASE64_STANDARD, Engine};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use crate::draw::charts;
use crate::findings::{Finding, Severity, Verdict};
use crate::report::blocks::{Picture, Section, Table};
use crate::report::{outline, process};
use crate::schema::{Report, words};
use crate::units::format;
use crate::viewer;
use crate::viewer::{Solid, section};

/// On paper the list of findings ends here (`page.css` says the same).
const PRINTED: usize = 12;
/// How the page looks.
pub(crate) const STYLE: &str = include_str!("page.css");

/// What the page may do: show pictures from within, and run its own style and script.
fn policy() -> String {
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
    /// Number of a finding, and the map around its place as PNG.
    pub details: &'a [(usize, &'a [u8])],
    /// The part, to be turned.
    pub solid: Option<&'a Solid>,
}

/// `report` as one page.
pub fn write(report: &Report, inside: &Inside<'_>) -> String {
    let answer = words::verdict(report.verdict);
    let sections = outline::sections(report);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy());
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (answer) ": " (report.part.file) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (top(report))
                main {
                    div.work {
                        (findings(report, inside.details))
                        @if let Some(solid) = inside.solid { (section::section(solid)) }
                    }
                    div.see {
                        @if !inside.pictures.is_empty() {
                            section.pictures {
                                h2 { "Pictures" }
                                @for each in inside.pictures { (picture(each)) }
                            }
                        }
                        (drawings(report))
                    }
                    @for each in sections.iter().filter(|each| each.title != process::SHEET) {
                        (section(each))
                    }
                    (list("Assumptions", &report.assumptions))
                    @for each in sections.iter().filter(|each| each.title == process::SHEET) {
                        (section(each))
                    }
                    (list("Cautions", &outline::cautions(report)))
                    (list("Sources", &outline::sources(report)))
                }
                footer { p { (report.tool.name) " " (report.tool.version) } }
                @if let Some(solid) = inside.solid { (section::data(solid)) }
            }
        }
    };
    let mut page = page.into_string();
    page.push('\n');
    page
}

fn top(report: &Report) -> Markup {
    let size = report.part.bounding_box_mm;
    let edges = [0, 1, 2].map(|axis| format::number(size.max[axis] - size.min[axis]));
    let facts = [
        ("Size", format!("{} mm", edges.join(" × "))),
        ("Volume", format::volume(report.part.volume_mm3)),
        ("Pull", format::direction(report.pull.direction)),
        ("Shot", format::maybe(report.shot.total_g, "g")),
        ("Plastic", report.plastic.name.clone()),
        ("Press", report.press.name.clone()),
    ];
    let window = &report.pressure_window;
    let window = format!("Pressure: {}, {}.", window.range, window.advice);
    html! {
        header class=(format!("top {}", class(report.verdict))) {
            div {
                h1 { (report.part.file) }
                p.verdict {
                    span.sign aria-hidden="true" { (words::verdict_sign(report.verdict)) }
                    span.words { (words::verdict(report.verdict)) }
                }
                p.meaning { (words::verdict_meaning(report.verdict)) }
                p.window { (window) }
                dl.facts {
                    @for (name, value) in &facts {
                        div { dt { (name) } dd { (value) } }
                    }
                }
            }
        }
    }
}

/// The class that a verdict's colors go by.
pub(crate) fn class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Cut => "cut",
        Verdict::FixFirst => "fix_first",
        Verdict::DoNotCut => "do_not_cut",
        Verdict::Unknown => "unknown",
    }
}

fn findings(report: &Report, details: &[(usize, &[u8])]) -> Markup {
    html! {
        section.found {
            h2 { "Findings" }
            @if report.findings.is_empty() {
                p { "None." }
            } @else {
                @if report.findings.len() > PRINTED {
                    p.rest {
                        "The first " (PRINTED) " of " (report.findings.len())
                        " findings; all of them, and every number, stand in report.md and report.html."
                    }
                }
                ol.findings {
                    @for (i, each) in report.findings.iter().enumerate() {
                        @let detail = details.iter().find(|(number, _)| *number == i + 1);
                        li { (finding(i + 1, each, detail.map(|(_, png)| *png))) }
                    }
                }
            }
        }
    }
}

fn finding(number: usize, finding: &Finding, detail: Option<&[u8]>) -> Markup {
    let severity = match finding.severity {
        Severity::Stop => "severity stop",
        Severity::Fix => "severity fix",
        Severity::Note => "severity note",
    };
    let unit = finding.unit.as_str();
    html! {
        div.number { (number) }
        div.what {
            h3 {
                span class=(severity) { (words::severity(finding.severity)) }
                (finding.title)
            }
            @if finding.value.is_some() || finding.limit.is_some() || finding.at_mm.is_some() {
                p.measure {
                    @if let Some(value) = finding.value {
                        span { "Value " b { (format::quantity(value, unit)) } }
                    }
                    @if let Some(limit) = finding.limit {
                        span { "Limit " b { (format::quantity(limit, unit)) } }
                    }
                    @if let Some(at) = finding.at_mm {
                        span { "At " b { (format::point(at)) } }
                    }
                }
            }
            @if finding.at_mm.is_some() {
                button.go type="button" hidden data-finding=(number - 1) {
                    "Show on the part" span.quiet { " (" (number) ")" }
                }
            }
            @if !finding.cure.is_empty() { p.cure { b { "Cure: " } (finding.cure) } }
            @if !finding.basis.is_empty() { p.basis { "Why: " (finding.basis) } }
        }
        @if let Some(png) = detail {
            img.detail alt=(format!("The place of finding {number} on the part")) src=(source(png));
        }
    }
}

/// Pictures that paper has no room for, or cannot show.
const ON_SCREEN: [&str; 5] = [
    "maps/pressure.png",
    "maps/frozen.png",
    "maps/flow_length.png",
    "maps/short_shots.png",
    "maps/front.gif",
];

/// A picture as an address that holds it itself; a moving one is a GIF.
fn source(picture: &[u8]) -> String {
    let kind = if picture.starts_with(b"GIF8") { "gif" } else { "png" };
    format!("data:image/{kind};base64,{}", BASE64_STANDARD.encode(picture))
}

fn picture(picture: &Picture<'_>) -> Markup {
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
        @if all.iter().any(|(_, drawing)| drawing.is_some()) {
            section.charts {
                h2 { "At a glance" }
                div.grid {
                    @for (title, drawing) in &all {
                        @if let Some(drawing) = drawing {
                            div { h3 { (title) } (drawing) }
                        }
                    }
                }
            }
        }
    }
}

fn section(section: &Section) -> Markup {
    html! {
        section.sheet[section.title == process::SHEET].numbers[section.title != process::SHEET] {
            h2 { (section.title) }
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
}

fn table(table: &Table) -> Markup {
    html! {
        h3 { (table.title) }
        div.scroll tabindex="0" role="region" aria-label=(table.title) {
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

fn list(title: &str, entries: &[String]) -> Markup {
    html! {
        @if !entries.is_empty() {
            section class=(title.to_lowercase()) {
                h2 { (title) }
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
        assert!(at("Fix first</span>") < at("Wall of 0.5"));
        assert!(at("Wall of 0.5") < at("<figure"));
        assert!(at("<figure") < at("<h2>Part</h2>"));
        assert!(page.contains("<html lang=\"en\">") && !page.contains("NaN"));
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
