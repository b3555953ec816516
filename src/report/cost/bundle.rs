//! All files on costs, as names and bytes.

use super::CostReport;
use crate::draw::cost_chart;
use crate::draw::map::MapError;
use crate::report::blocks::Picture;
use crate::report::bundle::NamedFile;
use crate::report::cost::html;

/// Every file that there may be.
pub const OWN: [&str; 3] = ["cost.json", "cost.html", CHART];

const CHART: &str = "maps/cost.png";

/// Why the files could not be made.
#[derive(Debug, thiserror::Error)]
pub enum CostFileError {
    /// The chart failed.
    #[error(transparent)]
    Map(#[from] MapError),
    /// A number has no place in JSON.
    #[error("cost.json: {0}")]
    Json(#[from] serde_json::Error),
}

/// Every file of `report`.
///
/// # Errors
/// When the chart cannot be drawn or a number cannot be written.
pub fn write(report: &CostReport) -> Result<Vec<NamedFile>, CostFileError> {
    let png = cost_chart::png(&report.costs, &report.currency, &report.file)?;
    let chart = Picture {
        caption: "What a part costs over the number of parts",
        alt: "Curves of the cost of a part, molded and printed, with bands of what is in doubt",
        file: CHART,
        png: &png,
    };
    let page = html::write(report, &chart);
    let named = |name: &str, bytes| NamedFile { name: name.to_owned(), bytes };
    Ok(vec![
        named("cost.json", json(report)?),
        named("cost.html", page.into_bytes()),
        named(CHART, png),
    ])
}

/// `cost.json`.
///
/// # Errors
/// When a number has no place in JSON.
pub fn json(report: &CostReport) -> serde_json::Result<Vec<u8>> {
    let mut text = serde_json::to_vec_pretty(report)?;
    text.push(b'\n');
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::{OWN, write};
    use crate::analysis::cost::job;
    use crate::findings::fixtures::{analysis, plug};
    use crate::process::cost::break_even::costs;
    use crate::process::cost::shop::Shop;
    use crate::report::cost::CostReport;
    use crate::report::html::STYLE;
    use crate::schema::fixtures::HOSTILE;
    use crate::units::us_words::ShownUnits;

    /// Nothing runs, nothing is loaded, and a name does not become part of the page.
    #[test]
    fn the_page_needs_nothing_and_says_every_table() {
        let analysis = analysis(&plug());
        let job = job(&analysis).unwrap();
        let report = CostReport {
            file: HOSTILE.to_owned(),
            shown_units: ShownUnits::default(),
            press: HOSTILE.to_owned(),
            plastic: "PP".to_owned(),
            currency: HOSTILE.to_owned(),
            milling_min: job.mold.milling.value / 60.0,
            shot_g: 5.0,
            cycle_s: job.cycle.total.value,
            costs: costs(&job, &Shop::default(), 500),
            assumptions: vec![HOSTILE.to_owned()],
        };
        let files = write(&report).unwrap();
        let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
        assert_eq!(names, OWN);
        let page = String::from_utf8(files[1].bytes.clone()).unwrap().replace(STYLE, "");
        for outside in ["<script", "http:", "https:", "javascript:", "<link", "url("] {
            assert!(!page.contains(outside), "{outside}");
        }
        for title in ["What a part costs", "The mold", "A molded part", "A printed part"]
        {
            assert!(page.contains(title), "{title}");
        }
        assert_eq!(page.matches("<tr>").count(), page.matches("</tr>").count());
    }
}
