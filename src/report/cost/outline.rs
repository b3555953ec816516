//! What is said of costs, in order: one list of rows and tables for terminal and page.

use super::CostReport;
use crate::process::cost::break_even::{Band, Costs};
use crate::report::blocks::Table;
use crate::units::format;

/// "$ 12.30": money to the cent, in thousands to the whole.
pub fn money(currency: &str, value: f64) -> String {
    if value.abs() >= 10_000.0 {
        format!("{currency} {value:.0}")
    } else {
        format!("{currency} {value:.2}")
    }
}

/// The answer: from where on the mold pays, and for so many parts what is cheaper.
pub fn answer(report: &CostReport) -> Vec<String> {
    let CostReport { costs, currency, .. } = report;
    let Costs { break_even, wanted, molded, printed, mold, .. } = costs;
    let pays = match break_even.expected {
        Some(parts) => {
            let [best, worst] = [break_even.best, break_even.worst]
                .map(|end| end.map_or_else(|| "never".to_owned(), format::number));
            format!(
                "The mold pays from {} parts on ({best} at best, {worst} at worst).",
                format::number(parts)
            )
        }
        None => format!(
            "The mold never pays: a part out of it costs {}, printed {}.",
            money(currency, molded.total),
            money(currency, printed.total)
        ),
    };
    let each = molded.total + mold.total / f64::from((*wanted).max(1));
    let of_wanted = format!(
        "For {wanted} parts: {} each molded, {} of it the mold; {} each printed.",
        money(currency, each),
        money(currency, each - molded.total),
        money(currency, printed.total)
    );
    vec![pays, of_wanted, cavities(costs)]
}

/// How many cavities pay.
fn cavities(costs: &Costs) -> String {
    let Costs { best_cavities, cavities, bound, wanted, .. } = costs;
    let most = cavities.last().map_or(1, |last| last.count);
    match (best_cavities, most) {
        (1, 1) => format!("One cavity: {bound}."),
        (1, _) => format!(
            "One cavity is cheapest for {wanted} parts; up to {most} would fit ({bound})."
        ),
        (best, _) => format!(
            "{best} cavities are cheapest for {wanted} parts; up to {most} fit ({bound}). Whether they fill was not looked at."
        ),
    }
}

/// Numbers of parts that the table has.
const PARTS: [u32; 7] = [10, 30, 100, 300, 1000, 3000, 10_000];

/// All tables.
pub fn tables(report: &CostReport) -> Vec<Table> {
    let costs = &report.costs;
    let mut tables = vec![over_parts(report), mold(report), part(report), print(report)];
    if costs.cavities.len() > 1 {
        tables.push(of_cavities(report));
    }
    tables
}

fn over_parts(report: &CostReport) -> Table {
    let CostReport { costs, currency, .. } = report;
    let band = |of: &Band<f64>| {
        format!("{} to {}", money(currency, of.best), money(currency, of.worst))
    };
    let row = |parts: &u32| {
        let each = |mold: f64, part: f64| part + mold / f64::from(*parts);
        let (mold, part) = (&costs.mold_band, &costs.molded_band);
        let molded = Band {
            best: each(mold.best, part.best),
            expected: each(mold.expected, part.expected),
            worst: each(mold.worst, part.worst),
        };
        vec![
            parts.to_string(),
            money(currency, molded.expected),
            band(&molded),
            money(currency, costs.printed_band.expected),
            band(&costs.printed_band),
        ]
    };
    Table {
        title: "What a part costs".to_owned(),
        columns: vec!["Parts", "Molded", "Best to worst", "Printed", "Best to worst"],
        rows: PARTS.iter().map(row).collect(),
    }
}

fn listed(title: &str, rows: Vec<(&str, String)>) -> Table {
    Table {
        title: title.to_owned(),
        columns: vec!["What", "How much"],
        rows: rows
            .into_iter()
            .map(|(what, value)| vec![what.to_owned(), value])
            .collect(),
    }
}

fn mold(report: &CostReport) -> Table {
    let (mold, currency) = (&report.costs.mold, report.currency.as_str());
    let hours = |hours: f64| format::quantity((hours * 100.0).round() / 100.0, "h");
    listed(
        "The mold",
        vec![
            (
                "Router, both halves",
                format!("{}, {}", hours(mold.router_h), money(currency, mold.router)),
            ),
            (
                "Hands: setting up, holes, cutters, beside the router",
                format!("{}, {}", hours(mold.hand_h), money(currency, mold.hand)),
            ),
            ("Aluminum", money(currency, mold.aluminum)),
            ("Cutters worn", money(currency, mold.cutters)),
            ("Bolts, dowels, pins", money(currency, mold.hardware)),
            ("In all", money(currency, mold.total)),
        ],
    )
}

fn part(report: &CostReport) -> Table {
    let (part, currency) = (&report.costs.molded, report.currency.as_str());
    listed(
        "A molded part",
        vec![
            ("A shot", format::quantity(report.shot_g, "g")),
            ("From shot to shot", format::quantity(report.cycle_s, "s")),
            ("Good parts in an hour", format::number(part.parts_per_hour)),
            ("Plastic", money(currency, part.plastic)),
            ("Press", money(currency, part.press)),
            ("Hands", money(currency, part.hand)),
            ("Heating up", money(currency, part.heating_up)),
            ("Parts thrown away", money(currency, part.scrap)),
            ("In all, mold left out", money(currency, part.total)),
        ],
    )
}

fn print(report: &CostReport) -> Table {
    let (print, currency) = (&report.costs.printed, report.currency.as_str());
    listed(
        "A printed part",
        vec![
            (
                "Printer",
                format!(
                    "{}, {}",
                    format::quantity(print.hours, "h"),
                    money(currency, print.printer)
                ),
            ),
            (
                "Filament",
                format!(
                    "{}, {}",
                    format::quantity(print.grams, "g"),
                    money(currency, print.material)
                ),
            ),
            ("Hands", money(currency, print.hand)),
            ("Prints thrown away", money(currency, print.failed)),
            ("In all", money(currency, print.total)),
        ],
    )
}

fn of_cavities(report: &CostReport) -> Table {
    let CostReport { costs, currency, .. } = report;
    let rows = costs.cavities.iter().map(|it| {
        vec![
            it.count.to_string(),
            money(currency, it.mold),
            format::quantity(it.cycle_s, "s"),
            money(currency, it.part),
            money(currency, it.each),
        ]
    });
    Table {
        title: format!("Cavities, for {} parts", costs.wanted),
        columns: vec!["Cavities", "Mold", "Shot to shot", "Part, mold left out", "Part"],
        rows: rows.collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::money;

    #[test]
    fn money_is_written_to_the_cent() {
        assert_eq!(money("$", 0.927_13), "$ 0.93");
        assert_eq!(money("CHF", 306.333), "CHF 306.33");
        assert_eq!(money("$", 12_345.6), "$ 12346");
    }
}
