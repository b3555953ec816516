//! `goodshot cost`: what the mold costs, what a part costs, and from how many on the mold pays.

use std::io::Write;
use std::path::Path;

use anyhow::{Context, Result};

use super::args::Cost;
use super::summary::Screen;
use super::terminal::{Progress, plain};
use crate::analysis::Analysis;
use crate::analysis::cost::job;
use crate::cli::report_folder::{self, Place};
use crate::cli::run_check::Step;
use crate::cli::{files, run_check};
use crate::process::cost::break_even::costs;
use crate::process::cost::shop::{ReadShop, Shop};
use crate::report::blocks::Table;
use crate::report::cost::{CostReport, bundle, outline};
use crate::units::us_words::ShownUnits;
use crate::units::{Quantity, in_grams};

/// Says what it costs; the exit code only says whether there was an answer.
pub(super) fn run(args: &Cost, terminal: bool, out: &mut dyn Write) -> Result<u8> {
    let Some(part) = &args.part else {
        out.write_all(Shop::template().as_bytes())?;
        return Ok(0);
    };
    let shop_file = files::given_or_own(args.shop.as_deref(), files::OWN_SHOP);
    let shop = files::shop(shop_file.as_deref())?;
    let setup = run_check::setup(&args.given)?;
    let settings = run_check::settings(&args.given)?;
    let own_name = files::folder_name(part)?;
    report_folder::prepare(&args.out)?;
    let progress = Progress::new(terminal && !args.quiet);
    let bytes = files::read_part(part)?;
    let name = run_check::name_of(part);
    let report_step = |step: Step| progress.show(format!("{name}: {step}"));
    let judged = run_check::judge(bytes, &name, setup, &settings, &report_step)
        .with_context(|| part.display().to_string())?;
    let report = report(&judged.analysis, &name, &shop, args.parts, settings.shown_units);
    let report = report.with_context(|| part.display().to_string())?;
    report_step(Step::Writing);
    let files = bundle::write(&report).context("could not write the costs")?;
    let folder = args.out.join(own_name).join("cost");
    let place = Place { out: &args.out, folder: &folder, own: &bundle::OWN };
    report_folder::write(place, &files)?;
    drop(progress);
    if args.json {
        super::say(out.write_all(&bundle::json(&report)?))?;
    } else if !args.quiet {
        super::say(show(&report, shop_file.as_deref(), &folder, out))?;
    }
    Ok(0)
}

fn report(
    analysis: &Analysis,
    name: &str,
    shop: &ReadShop,
    wanted: u32,
    shown_units: ShownUnits,
) -> Result<CostReport> {
    let job = job(analysis)?;
    let setup = &analysis.setup;
    let cavities = f64::from(job.cavities);
    let looked_at = match job.cavities {
        1 => "whether several fill was not looked at (--cavities)".to_owned(),
        count => format!(
            "filling, clamp and cycle are those of {count} (--cavities); of other numbers whether they fill was not looked at"
        ),
    };
    let mut assumptions = vec![
        "milling, shot and cycle are those of the check; printing goes by volume over the printer's flow".to_owned(),
        "the band takes all doubts at once: hours at the mold, the cycle and the hours of printing by their factors".to_owned(),
        format!("cavities: each is milled and takes its block alone; the mold opens and cools once for all, the barrel loads and soaks for each; {looked_at}"),
    ];
    if analysis.filling.is_err() {
        assumptions.push(
            "the cycle goes by rules of thumb: the filling was not worked out".to_owned(),
        );
    }
    assumptions.extend(shop.assumed.iter().map(|line| format!("{line} (a default)")));
    Ok(CostReport {
        file: name.to_owned(),
        shown_units,
        press: setup.press.name.clone(),
        plastic: setup.plastic.name.clone(),
        currency: shop.shop.currency.clone(),
        milling_min: cavities * job.mold.milling.si() / 60.0,
        shot_g: cavities * in_grams(job.shot.part + job.shot.feed),
        cycle_s: job.cycle.total.si(),
        costs: costs(&job, &shop.shop, wanted),
        assumptions,
    })
}

fn show(
    report: &CostReport,
    shop: Option<&Path>,
    folder: &Path,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    let screen = Screen::of_output();
    let shown = |text: &str| report.shown_units.write(&plain(text));
    let own = |text: &str| screen.wrap("  ", 2, &shown(text));
    writeln!(out, "{} in {}", plain(&report.file), plain(&report.plastic))?;
    for line in outline::answer(report) {
        writeln!(out, "{}", own(&line))?;
    }
    for each in &outline::tables(report) {
        table(each, &shown, out)?;
    }
    let costs = match shop {
        Some(file) => format!("Costs by {}", file.display()),
        None => "Costs by defaults, none of them yours (--shop; \"goodshot cost --template\" writes a file)".to_owned(),
    };
    writeln!(out, "{}", own(&costs))?;
    writeln!(out, "  {}", plain(&folder.join("cost.html").display().to_string()))
}

/// In columns as wide as their widest cell.
fn table(
    table: &Table,
    shown: &dyn Fn(&str) -> String,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    writeln!(out, "  {}", plain(&table.title))?;
    let heads = table.columns.iter().map(|head| (*head).to_owned()).collect();
    let rows: Vec<Vec<String>> = std::iter::once(&heads)
        .chain(&table.rows)
        .map(|row| row.iter().map(|cell| shown(cell)).collect())
        .collect();
    // A list of two columns needs no heads.
    let rows = if table.columns.len() == 2 { &rows[1..] } else { &rows[..] };
    let wide = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    for row in rows {
        let mut line = String::new();
        for (column, cell) in row.iter().enumerate() {
            line += &format!("  {cell:<width$}", width = wide(column));
        }
        writeln!(out, "  {}", line.trim_end())?;
    }
    Ok(())
}
