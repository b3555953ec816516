//! `compare.html`: what changed, on one page that needs no network.

use base64::{Engine, prelude::BASE64_STANDARD};
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::compare::comparison::{Comparison, Outcome, Side};
use crate::compare::{lines, outline};
use crate::report::blocks::{Picture, Section, Table};
use crate::report::first_screen::class;
use crate::report::html::STYLE;
use crate::report::quantities;
use crate::schema::words;

/// Only pictures from within and the page's own style.
const POLICY: &str = "default-src 'none'; img-src data:; style-src 'unsafe-inline'";

/// What this page looks like beyond the report's.
pub const MORE: &str = include_str!("compare.css");

/// `comparison` as one page with `pictures` inside.
pub fn write(comparison: &Comparison, pictures: &[Picture<'_>]) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (lines::headline(comparison)) }
                style { (PreEscaped(STYLE)) (PreEscaped(MORE)) }
            }
            body {
                header.top { div {
                    h1 { (comparison.before.file) " → " (comparison.after.file) }
                    (head(comparison))
                } }
                main { (body(comparison, pictures)) }
                footer { p { (outline::RULE) } p { (comparison.tool.name) " " (comparison.tool.version) } }
            }
        }
    };
    let mut page = quantities::mark(&page.into_string(), comparison.shown_units);
    page.push('\n');
    page
}

/// Both verdicts and which way it went.
pub fn head(comparison: &Comparison) -> Markup {
    let sign = match comparison.outcome {
        Outcome::Better => "▲",
        Outcome::Same => "=",
        Outcome::Worse => "▼",
        Outcome::Unknown => "?",
    };
    html! {
        p.outcome { span aria-hidden="true" { (sign) " " } (lines::outcome(comparison.outcome)) }
        div.sides {
            (side("Before", &comparison.before))
            (side("Now", &comparison.after))
        }
    }
}

fn side(title: &str, side: &Side) -> Markup {
    html! {
        div class=(class(side.verdict)) {
            p.when { (title) }
            p.verdict {
                span.sign aria-hidden="true" { (words::verdict_sign(side.verdict)) }
                span.words { (words::verdict(side.verdict)) }
            }
        }
    }
}

/// Everything below the head.
pub fn body(comparison: &Comparison, pictures: &[Picture<'_>]) -> Markup {
    html! {
        @for each in outline::sections(comparison) {
            (section(&each))
            @if each.title == outline::SHAPE {
                @for picture in pictures { (figure(picture)) }
            }
        }
    }
}

fn figure(picture: &Picture<'_>) -> Markup {
    let source = format!("data:image/png;base64,{}", BASE64_STANDARD.encode(picture.png));
    html! {
        figure.map {
            div.scroll tabindex="0" role="region" aria-label=(picture.caption) {
                img src=(source) alt=(picture.alt);
            }
            figcaption { (picture.caption) }
        }
    }
}

fn section(section: &Section) -> Markup {
    html! {
        section {
            h2 { (section.title) }
            @if !section.rows.is_empty() {
                table.rows { tbody {
                    @for (name, value) in &section.rows {
                        tr { th scope="row" { (name) } td { (value) } }
                    }
                } }
            }
            @for each in &section.tables { (table(each)) }
            @for note in &section.notes { p { (note) } }
        }
    }
}

fn table(table: &Table) -> Markup {
    html! {
        h3 { (table.title) }
        div.scroll tabindex="0" role="region" aria-label=(table.title) {
            table.list {
                thead { tr { @for column in &table.columns { th scope="col" { (column) } } } }
                tbody {
                    @for row in &table.rows {
                        tr { @for cell in row {
                            td.short[cell.chars().count() < 26] { (cell) }
                        } }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::write;
    use crate::compare;
    use crate::report::blocks::Picture;
    use crate::schema::fixtures;

    #[test]
    fn nothing_runs_and_nothing_is_loaded() {
        let before = fixtures::report();
        let mut after = before.clone();
        after.findings[0].title = "<script>alert(1)</script>".to_owned();
        after.findings[0].value = Some(77.0);
        after.findings[0].at_mm = None;
        let picture = Picture {
            caption: "\"><script>",
            alt: "\" onerror=\"",
            file: "a",
            png: &[1],
        };
        let page = write(&compare::compare(&before, &after, None), &[picture]);
        assert!(!page.contains("<script") && page.contains("&lt;script&gt;"));
        for outside in
            ["http:", "https:", "url(", "@import", "javascript:", "<link", "onerror=\""]
        {
            assert!(!page.contains(outside), "{outside}");
        }
        for tag in ["html", "section", "table", "tr", "td", "figure", "h2", "p", "div"] {
            let open = page.matches(&format!("<{tag}>")).count()
                + page.matches(&format!("<{tag} ")).count();
            assert_eq!(open, page.matches(&format!("</{tag}>")).count(), "{tag}");
        }
    }
}
