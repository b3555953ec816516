//! What was taken for granted about mold, feed, cycle and ejection, and why a value of them
//! is not known.

use crate::analysis::Analysis;
use crate::findings::pressure_window;
use crate::process::clamping::standing_metal::LEAST_SHARE;
use crate::process::ejection::shrunk;
use crate::process::evaluation::feed::{FILL_SHARE, FeedDesign};
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::options::GATE_DEPTHS;
use crate::process::feed::sizing::LOSS_GOAL;
use crate::process::part_limits::basis;
use crate::process::press::shot::FEED_SHARE;
use crate::process::thermal::cycle::{BOLT_S, LOAD_S, REMOVE_S, SOAK_S, VISE_S};
use crate::process::thermal::heat_up::AIR_W_M2_K;
use crate::units::format::three_digits;
use crate::units::{Quantity, in_mm};

/// All of it, in the order of a shot.
pub(super) fn list(analysis: &Analysis) -> Vec<String> {
    let mut lines = feed(analysis);
    lines.extend(clamp(analysis));
    if !analysis.release.standing.is_empty() {
        lines.push(format!(
            "metal that stands alone in the mold carries at least {} % of all the pressure of the press from one side (judgment: a side may fill first by chance)",
            three_digits(LEAST_SHARE * 100.0)
        ));
    }
    lines.extend(times(analysis));
    lines.extend(ejection(analysis));
    if let Err(unknown) = &analysis.evaluation.vent {
        lines.push(format!("vents not known: {unknown}"));
    }
    lines
}

fn feed(analysis: &Analysis) -> Vec<String> {
    let mut lines = Vec::new();
    let share = analysis.choices.feed_share;
    match (&analysis.evaluation.feed_design, share) {
        (Ok(_), Some(share)) => lines.push(format!(
            "sprue, runner and gate take {} % of the part in shot and projected area, as given; their measures only cost pressure and time",
            three_digits(share.si() * 100.0)
        )),
        (Err(_), None) => lines.push(format!(
            "sprue, runner and gate take {} % of the part in shot and projected area, as none is sized (--feed-share)",
            three_digits(FEED_SHARE * 100.0)
        )),
        _ => {}
    }
    match &analysis.evaluation.feed_design {
        Ok(feed_design) => lines.extend(sized(analysis, feed_design)),
        Err(none) => lines.push(format!("no feed is sized: {none}")),
    }
    lines
}

fn sized(analysis: &Analysis, feed_design: &FeedDesign) -> Vec<String> {
    let mut lines = Vec::new();
    let chosen = &analysis.choices.feed;
    if feed_design.layout_assumed {
        lines.push(format!(
            "the feed is laid out as {}: {} (--feed-layout)",
            feed_design.feed.layout.name(),
            feed_design.feed.layout.in_words()
        ));
    }
    if feed_design.runner_assumed
        && let Some(runner) = feed_design.feed.runner
    {
        lines.push(format!(
            "one straight runner of {} mm leads from the sprue to one gate (--runner-length, --no-runner)",
            three_digits(in_mm(runner.length))
        ));
    }
    if chosen.runner_diameter.is_none()
        && chosen.cutters.is_empty()
        && feed_design.feed.runner.is_some()
    {
        lines.push(
            "the runner is as wide as a ball cutter of 1 to 10 mm (--cutters, --runner)"
                .to_owned(),
        );
    }
    if feed_design.sprue_assumed {
        lines.push(format!(
            "the sprue is {} mm long: the nozzle stands in a counterbore of {} mm (--sprue-length; nose_diameter and nose_length in [nozzle])",
            three_digits(in_mm(feed_design.feed.sprue.length)),
            three_digits(in_mm(feed_design.feed.counterbore))
        ));
    }
    if chosen.gate_depth.is_none() && !feed_design.feed.gate.is_round {
        lines.push(format!(
            "sprue, runner and gate are sized so that nozzle to gate lose at most {} % of the melt pressure, the gate no deeper than {} % of the wall (--gate-depth, --gate-width, --gate-land)",
            three_digits(LOSS_GOAL * 100.0),
            three_digits(100.0 * GATE_DEPTHS.iter().copied().fold(0.0, f64::max))
        ));
    }
    lines.extend(feed_design.feed.notes.iter().map(|note| format!("feed: {note}")));
    lines.push(flow(feed_design));
    if let (Ok(_), Err(unknown)) = (&feed_design.filling, &feed_design.losses) {
        lines.push(format!("pressure lost in the feed not known: {unknown}"));
    }
    lines
}

/// Where fill time and flow come from.
fn flow(feed_design: &FeedDesign) -> String {
    match &feed_design.filling {
        Ok(filling) if filling.is_computed => format!(
            "the cavity fills in {} s as the filling was computed; feed, vents and cycle follow it",
            three_digits(filling.time.si())
        ),
        Ok(filling) if filling.ram_limits => format!(
            "the cavity fills in {} s at the speed of the ram; a quarter of the time in which its median wall freezes would ask for more",
            three_digits(filling.time.si())
        ),
        Ok(filling) => format!(
            "the cavity is to be full in {} s, {} % of the time in which its median wall freezes through, as no filling was computed",
            three_digits(filling.time.si()),
            three_digits(FILL_SHARE * 100.0)
        ),
        Err(unknown) => format!("flow not known: {unknown}"),
    }
}

fn clamp(analysis: &Analysis) -> Vec<String> {
    let clamping = &analysis.evaluation.clamping;
    let press = &analysis.setup.press;
    let mut lines = vec![
        "the mold is centered on the part's box; the projected area of the feed counts in the middle of the part".to_owned(),
    ];
    if let Some(clamp) = press.clamp.as_ref().filter(|clamp| clamp.bolts.is_none()) {
        if clamp.off_middle.is_none() {
            lines.push(
                "the clamp squeezes in the middle of the mold (off_middle in [clamp])"
                    .to_owned(),
            );
        }
        if clamp.vise.is_some() && clamp.jaw.is_none() {
            lines.push("the jaws are as wide as the mold (jaw in [clamp])".to_owned());
        }
    }
    if analysis.evaluation.window.fills.is_some() {
        lines.push(format!(
            "clamp, plates and nozzle are judged at {}, not at all that the press has: it is pushed with no more than the sheet says",
            pressure_window::mpa(clamping.force.pressure)
        ));
    }
    if let Some(loss) = press.ram.loss.filter(|loss| loss.si() > 0.0) {
        lines.push(format!(
            "the {} % of pressure that the press file states as lost count; a barrel soaked through has no granule bed and may give up to {}",
            three_digits(loss.si() * 100.0),
            pressure_window::mpa(press.soaked_pressure())
        ));
    }
    let of_plates = clamping.plates.assumed.iter();
    lines.extend(
        of_plates.map(|line| format!("mold plates, {line} ([mold] in the press file)")),
    );
    match clamping.bolted {
        Some(_) => lines.push(
            "both plates are free to bow between their bolts, and each bolt holds with the low end of its preload".to_owned(),
        ),
        None if clamping.force.holding.is_some() => lines.push(
            "the clamp squeezes evenly: without bolts, bow of the plates and gap are not worked out".to_owned(),
        ),
        None => {}
    }
    if clamping.nozzle.is_none() {
        lines.push("what the nozzle pushes is not known: the press file gives no contact_force in [nozzle]".to_owned());
    } else if !is_split(analysis) {
        lines.push("the nozzle presses through one half onto the other, which helps; its help is not counted".to_owned());
    }
    if press.nozzle_lift().is_none() {
        lines.push("whether the nozzle lifts is not known: the press file gives no seat_diameter in [nozzle]".to_owned());
    }
    lines
}

fn is_split(analysis: &Analysis) -> bool {
    let feed_design = analysis.evaluation.feed_design.as_ref();
    feed_design.is_ok_and(|it| it.feed.layout == FeedLayout::Split)
}

fn times(analysis: &Analysis) -> Vec<String> {
    let timing = &analysis.evaluation.timing;
    let mut lines = Vec::new();
    if let Some(unknown) = &timing.unknown {
        lines.push(format!("hold and cooling time not known: {unknown}"));
    } else if timing.cool.is_none() {
        lines.push("cooling time not known: no wall was measured, or the mold is too warm for the part to get stiff".to_owned());
    }
    if timing.cycle.is_some() {
        lines.push(format!(
            "hands take {BOLT_S:.0} s a bolt ({VISE_S:.0} s a vise) to close and to open, {REMOVE_S:.0} s for the part, {LOAD_S:.0} s to load; a charge soaks {:.0} min, a shot its share of that (from memory: measure yours)",
            SOAK_S / 60.0
        ));
    } else {
        lines.push(
            "cycle not known: it needs shot, flow, hold and cooling time".to_owned(),
        );
    }
    if timing.shift.is_some() {
        lines.push(format!(
            "the mold warms as one block of aluminum in still air ({AIR_W_M2_K:.0} W/(m² K)); what flows into the press is not counted"
        ));
    }
    if timing.heat_limit.is_none() {
        lines.push(format!(
            "how long {} stands its heat is not known as a number: {}",
            analysis.setup.plastic.name,
            analysis.setup.plastic.residence_limit.reason()
        ));
    }
    if analysis.evaluation.shrinkage.is_ok() && analysis.evaluation.shrink_axes.is_none()
    {
        lines.push(
            "the part shrinks alike along all axes; in flow and across it can differ by half (--shrink-along)".to_owned(),
        );
    }
    if analysis.evaluation.shrinkage.is_ok() && analysis.choices.dimensions.is_empty() {
        lines.push(
            "cavity sizes are given for the box of the part only (--dimension)"
                .to_owned(),
        );
    }
    lines
}

fn ejection(analysis: &Analysis) -> Vec<String> {
    let plastic = &analysis.setup.plastic;
    match &analysis.evaluation.ejection {
        Err(unknown) => vec![format!("ejection not known: {unknown}")],
        Ok(_) => vec![
            format!(
                "friction on the core ({}), stiffness when ejected ({}) and shrinkage are loose: the force is a band. Of the shrinkage {} % count, what the plastic shrinks from its no-flow to its ejection temperature; a slot that is open at its side counts as gripping nothing",
                basis(&plastic.friction),
                basis(&plastic.hot_stiffness),
                three_digits(100.0 * shrunk(plastic).unwrap_or(1.0))
            ),
            "pins are sized for the typical force; at its upper end they may mark the part or punch it. They stand on the core half, in a mold that guides them at their ends; no air gets behind a closed core".to_owned(),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::list;
    use crate::findings::fixtures::{analysis, fixture_settings, plug, setup, with};
    use crate::process::evaluation::Choices;
    use crate::settings::Settings;
    use crate::units::read;

    #[test]
    fn a_default_is_reported_until_it_is_given() {
        let listed = |choices: Choices| {
            list(&with(&plug(), setup("pp"), &Settings { choices, ..fixture_settings() }))
                .join("\n")
        };
        let plain = listed(Choices::default());
        for word in ["--runner-length", "--sprue-length", "--gate-depth", "[mold]"] {
            assert!(plain.contains(word), "{word} is not in {plain}");
        }
        let given = listed(Choices {
            runner_length: read("20 mm").ok(),
            sprue_length: read("30 mm").ok(),
            ..Choices::default()
        });
        assert!(!given.contains("--runner-length") && !given.contains("--sprue-length"));
    }

    #[test]
    fn what_the_press_file_leaves_out_is_reported() {
        let mut setup = setup("pp");
        setup.press.nozzle = None;
        let lines = list(&with(&plug(), setup, &fixture_settings())).join("\n");
        assert!(lines.contains("contact_force") && lines.contains("seat_diameter"));
        let lines = list(&analysis(&plug())).join("\n");
        assert!(!lines.contains("contact_force"), "{lines}");
    }
}
