//! `cost.html`: the costs on one page that needs nothing else.

use maud::{DOCTYPE, PreEscaped, html};

use super::CostReport;
use crate::report::blocks::Picture;
use crate::report::cost::outline;
use crate::report::html as page;
use crate::report::quantities;

/// `report` as one page with its chart.
pub(super) fn write(report: &CostReport, chart: &Picture<'_>) -> String {
    let written = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(page::policy());
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "What " (report.file) " costs" }
                style { (PreEscaped(page::STYLE)) }
            }
            body {
                header.top { h1 { "What " (report.file) " costs" } }
                main {
                    section.answer aria-label="The answer" {
                        @for line in outline::answer(report) { p { (line) } }
                    }
                    (page::picture(chart))
                    @for table in outline::tables(report) {
                        section {
                            h2 { (table.title) }
                            (page::columns(&table, &table.title))
                        }
                    }
                    (page::list("Assumptions", &report.assumptions, true))
                }
                footer { p { "goodshot " (env!("CARGO_PKG_VERSION")) } }
            }
        }
    };
    let mut written = quantities::mark(&written.into_string(), report.shown_units);
    written.push('\n');
    written
}
