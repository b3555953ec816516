//! What was taken for granted, and what is not known.

use super::filling;
use crate::analysis::filling::NotFilled;
use crate::analysis::{Analysis, Found};
use crate::findings::{milling, process_assumptions};
use crate::process::press::GRANULE_FILL;
use crate::units::format::{ascii_direction, three_digits};

/// Every default used and every reason for a `null`, in plain sentences.
pub fn list(analysis: &Analysis) -> Vec<String> {
    let mut lines = missing(analysis);
    lines.extend(defaults(analysis));
    lines.extend(details(analysis));
    lines.extend(process_assumptions::list(analysis));
    lines.extend(filling::assumed(analysis));
    lines.extend(milling::assumed(analysis));
    lines
}

/// What is not known and leaves the verdict open.
pub fn missing(analysis: &Analysis) -> Vec<String> {
    let mut missing = Vec::new();
    match &analysis.evaluation.shot {
        None => missing.push(
            "the surface is open, so volume, mass and shot are not known".to_owned(),
        ),
        Some(Err(unknown)) => missing.push(format!("shot not known: {unknown}")),
        Some(Ok(_)) => {}
    }
    if let Err(unknown) = &analysis.walls.limits {
        missing.push(format!("wall limits not known: {unknown}"));
    }
    if analysis.evaluation.clamping.force.holding.is_none() {
        missing.push(
            "holding force not known: the press file has no [clamp]; give bolts, a vise or a force".to_owned(),
        );
    }
    // An open surface is missing already.
    if let Err(reason) = &analysis.filling
        && *reason != NotFilled::Open
    {
        missing.push(format!("filling not known: {reason}"));
    }
    missing
}

/// "press.toml of this folder, and your cutters.toml from ~/.config/goodshot"; `None` where none
/// was found.
pub fn found_in_words(found: &[Found]) -> Option<String> {
    let in_folder = |folder: Option<&str>| -> Vec<&str> {
        let inside = found.iter().filter(|it| it.folder.as_deref() == folder);
        inside.map(|it| it.what.as_str()).collect()
    };
    let mut all = Vec::new();
    let here = in_folder(None);
    if !here.is_empty() {
        all.push(format!("{} of this folder", here.join(" and ")));
    }
    for (i, folder) in found.iter().map(|it| it.folder.as_deref()).enumerate() {
        let is_first = found[..i].iter().all(|it| it.folder.as_deref() != folder);
        if let Some(named) = folder.filter(|_| is_first) {
            all.push(format!("your {} from {named}", in_folder(folder).join(" and ")));
        }
    }
    (!all.is_empty()).then(|| all.join(", and "))
}

fn defaults(analysis: &Analysis) -> Vec<String> {
    let mut lines = Vec::new();
    let setup = &analysis.setup;
    if !analysis.unit_given {
        lines.push("the numbers of the file are millimeters (--unit)".to_owned());
    }
    let found = found_in_words(&setup.found);
    lines.extend(found.map(|files| format!("used, as nobody named others: {files}")));
    if !setup.press_given {
        lines.push(format!(
            "the press is the built-in example, {} (--press)",
            setup.press.name
        ));
    }
    if !setup.plastic_given {
        lines.push(format!("the plastic is {} (--plastic)", setup.plastic.name));
    }
    lines.extend(setup.plastic.outside_its_range());
    let ram = &setup.press.ram;
    if ram.loss.is_none() && ram.loss_pressure.is_none() {
        lines.push(
            "the press file states no loss, so the whole ram pressure reaches the melt"
                .to_owned(),
        );
    }
    if ram.cushion.is_none() {
        lines.push(
            "the press file states no cushion, so the whole stroke counts".to_owned(),
        );
    }
    if ram.granule_fill.is_none() {
        lines.push(format!(
            "granules fill {} % of the barrel, where the press file does not say",
            three_digits(GRANULE_FILL * 100.0)
        ));
    }
    let pull = &analysis.release;
    if !pull.pull_given {
        lines.push(format!(
            "the pull {} was chosen as the best of axes, face normals and a sphere of directions (--pull)",
            ascii_direction(pull.pull.vector())
        ));
    }
    if pull.set_to_axis {
        lines.push(
            "the pull was set to the axis of the file that it ran along within half a degree"
                .to_owned(),
        );
    }
    lines
}

fn details(analysis: &Analysis) -> Vec<String> {
    let mut lines = Vec::new();
    let setup = &analysis.setup;
    lines.push(format!(
        "the whole cavity comes to melt pressure: a ram at constant force has no switch-over, and wall limits are those of a {}",
        setup.press.class().name()
    ));
    if analysis.release.texture.is_none() {
        lines
            .push("walls are smooth; texture asks for more draft (--texture)".to_owned());
    }
    if let Err(unknown) = &analysis.release.draft_limit {
        lines.push(format!("walls need 1° of draft: {unknown}"));
    }
    if let Err(unknown) = &analysis.evaluation.shrinkage {
        lines.push(format!("shrinkage not known: {unknown}"));
    }
    if let Some(chord) = analysis.part.faces.chord_error {
        lines.push(format!("curved faces are up to {} mm off their facets; what is trapped by less does not count", three_digits(chord)));
    }
    let shown = analysis.walls.thickness.ball.iter().flatten().count();
    let share = shown as f64 / analysis.part.samples.len().max(1) as f64;
    lines.push(format!(
        "ball thickness is known on {:.0} % of the area; near convex edges it says nothing of the wall",
        share * 100.0
    ));
    lines
}

#[cfg(test)]
mod tests {
    use super::{list, missing};
    use crate::findings::fixtures::{
        analysis, fixture_settings, open, plug, setup, with,
    };

    #[test]
    fn what_is_missing_is_among_the_assumptions() {
        assert!(missing(&analysis(&plug())).is_empty());
        let mut setup = setup("pp");
        setup.press.clamp = None;
        let analysis = with(&open(&plug()), setup, &fixture_settings());
        let missing = missing(&analysis);
        let of = list(&analysis);
        assert_eq!(missing.len(), 2, "{missing:?}");
        assert!(missing.iter().all(|line| of.contains(line)));
        assert!(missing[0].contains("open") && missing[1].contains("[clamp]"));
    }
}
