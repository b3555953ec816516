//! The causes on a page, each with its findings folded.

use base64::prelude::{BASE64_STANDARD, Engine};
use maud::{Markup, html};

use crate::findings::answer::ended;
use crate::findings::causes::Cause;
use crate::findings::{Finding, Severity};
use crate::schema::{Report, words};
use crate::units::format;

/// All of them; `details` has a picture of the worst place by the number of a cause.
pub(crate) fn causes(report: &Report, details: &[(usize, &[u8])]) -> Markup {
    html! {
        section.found #causes {
            h2 { "Causes" }
            @if report.causes.is_empty() {
                p { "None." }
            } @else {
                ol.causes {
                    @for (each, number) in report.causes.iter().zip(1..) {
                        @let detail = details.iter().find(|(known, _)| *known == number);
                        (cause(report, each, number, detail.map(|(_, png)| *png)))
                    }
                }
            }
        }
    }
}

fn cause(report: &Report, cause: &Cause, number: usize, detail: Option<&[u8]>) -> Markup {
    let members = cause.findings.iter();
    let members: Vec<(usize, &Finding)> = members
        .filter_map(|&one| Some((one, report.findings.get(one.checked_sub(1)?)?)))
        .collect();
    let severity = words::severity(cause.severity);
    // A line that counts the rest has no cure of its own.
    let mut own = members.iter().filter(|(_, finding)| finding.places == 1);
    let whole_cure = own.next().map(|(_, finding)| finding.cure.as_str());
    html! {
        li.cause.note[cause.severity == Severity::Note] id=(format!("cause-{number}")) {
            div.number { (number) }
            div.what {
                h3 {
                    span class=(format!("severity {}", severity.to_lowercase())) { (severity) }
                    (cause.title)
                }
                @if !cause.change.is_empty() { p.cure { (ended(&cause.change)) } }
                @if !cause.places_mm.is_empty() {
                    button.go type="button" hidden data-cause=(number - 1) {
                        "Show on the part" span.quiet { " (" (number) ")" }
                    }
                }
                // On paper there is nothing to unfold.
                @if let Some(cure) = whole_cure { p.paper { (cure) } }
                details {
                    summary { "Where and why" }
                    ul.members { @for (_, each) in &members { li { (finding(each)) } } }
                }
            }
            @if let Some(png) = detail {
                img.detail alt=(format!("The worst place of cause {number} on the part")) src=(source(png));
            }
        }
    }
}

fn finding(finding: &Finding) -> Markup {
    let unit = finding.unit.as_str();
    html! {
        p.title { (finding.title) }
        @if finding.value.is_some() || finding.limit.is_some() || finding.at_mm.is_some() {
            p.measure {
                @if let Some(value) = finding.value {
                    span { "Value " b { (format::quantity(value, unit)) } }
                }
                @if let Some(limit) = finding.limit {
                    span { "Limit " b { (format::quantity(limit, unit)) } }
                }
                @if let Some(at) = finding.at_mm { span { "At " b { (format::point(at)) } } }
            }
        }
        @if !finding.cure.is_empty() { p { b { "Cure: " } (finding.cure) } }
        @if !finding.basis.is_empty() { p.basis { "Why: " (finding.basis) } }
    }
}

/// A picture as an address that holds it itself; a moving one is a GIF.
pub(crate) fn source(picture: &[u8]) -> String {
    let kind = if picture.starts_with(b"GIF8") { "gif" } else { "png" };
    format!("data:image/{kind};base64,{}", BASE64_STANDARD.encode(picture))
}
