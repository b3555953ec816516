//! Whether the drive that a press file gives can be one.

use super::drive::{Acts, Cylinders, Drive, Jack, Lever};
use crate::process::press::file_error::{
    PressError, positive, positive_maybe, share, wrong,
};
use crate::units::{Length, Quantity};

/// A lever that swings nearer to the line of its ram than this has no ratio to speak of:
/// sin 80°.
const MOST_SINE: f64 = 0.985;

/// Hydraulic cylinders end here: 700 bar (common ratings).
const MOST_PA: f64 = 7e7;
/// More cylinders than this do not push one ram.
const MOST_CYLINDERS: u32 = 100;

/// Refuses a drive that no press has; a lever has to reach through the whole stroke.
///
/// # Errors
///
/// The first thing that is wrong, by table and key.
pub(crate) fn check(drive: &Drive, stroke: Length) -> Result<(), PressError> {
    match (&drive.air, &drive.lever, &drive.jack, drive.ram_force) {
        (Some(air), None, None, None) => cylinders(air),
        (None, Some(lever), None, None) => lever_of(lever, stroke),
        (None, None, Some(jack), None) => jack_of(jack),
        (None, None, None, Some(force)) => positive("drive", "ram_force", force),
        _ => Err(wrong("drive", "give exactly one of air, lever, jack and ram_force")),
    }
}

fn cylinders(air: &Cylinders) -> Result<(), PressError> {
    const TABLE: &str = "drive.air";
    if air.cylinders == 0 {
        return Err(wrong(TABLE, "cylinders: at least one"));
    }
    positive(TABLE, "bore", air.bore)?;
    positive(TABLE, "air", air.air)?;
    if air.air.si() > MOST_PA {
        return Err(wrong(
            TABLE,
            "air: no cylinder withstands more than 700 bar; shop air is 6 to 8 bar",
        ));
    }
    if air.cylinders > MOST_CYLINDERS {
        return Err(wrong(
            TABLE,
            "cylinders: no press has more than 100; 1 to 4 are usual",
        ));
    }
    share(TABLE, "efficiency", air.efficiency, 1.0)?;
    match (air.acts, air.rod) {
        (Acts::Pull, None) => {
            Err(wrong(TABLE, "rod: cylinders that pull need it, as in \"20 mm\""))
        }
        (_, Some(rod)) if rod.si() < 0.0 || rod >= air.bore => {
            Err(wrong(TABLE, "rod: it must be thinner than the bore"))
        }
        _ => Ok(()),
    }
}

fn lever_of(lever: &Lever, stroke: Length) -> Result<(), PressError> {
    const TABLE: &str = "drive.lever";
    positive(TABLE, "hand", lever.hand)?;
    positive(TABLE, "long_arm", lever.long_arm)?;
    positive(TABLE, "short_arm", lever.short_arm)?;
    let Some(angle) = lever.start_angle else { return Ok(()) };
    if angle.si().abs() > MOST_SINE.asin() {
        return Err(wrong(TABLE, "start_angle: within 80 deg of square to the ram"));
    }
    let end = lever.sine_at(stroke).unwrap_or_default();
    if end < -MOST_SINE {
        let problem = "start_angle: the short arm does not reach through the stroke; start \
                       higher, or is the short arm longer?";
        return Err(wrong(TABLE, problem));
    }
    Ok(())
}

fn jack_of(jack: &Jack) -> Result<(), PressError> {
    const TABLE: &str = "drive.jack";
    share(TABLE, "efficiency", jack.efficiency, 1.0)?;
    positive_maybe(TABLE, "efficiency", jack.efficiency)?;
    match (jack.force, jack.hand, jack.ratio) {
        (Some(force), None, None) => positive(TABLE, "force", force),
        (None, Some(hand), Some(ratio)) => {
            positive(TABLE, "hand", hand)?;
            positive(TABLE, "ratio", ratio)
        }
        _ => Err(wrong(TABLE, "give either force, or hand and ratio")),
    }
}

#[cfg(test)]
mod tests {
    use super::check;
    use crate::units::{from_toml, read};

    #[test]
    fn refuses_what_is_no_drive() {
        let lever = "[lever]\nhand = '300 N'\nlong_arm = '900 mm'\nshort_arm = '90 mm'\n";
        for (text, part) in [
            (format!("{lever}start_angle = '85 deg'"), "within 80 deg"),
            (format!("{lever}start_angle = '5 deg'"), "does not reach"),
            (format!("{lever}[jack]\nforce = '1 kN'"), "exactly one"),
            ("[jack]\nforce = '1 kN'\nratio = 3".to_owned(), "either force"),
            ("[jack]\nhand = '1 kN'\nratio = -3".to_owned(), "ratio: write more"),
            ("[jack]\nhand = '0 N'\nratio = 3".to_owned(), "hand: write more"),
            ("[jack]\nforce = '1 kN'\nefficiency = '0 %'".to_owned(), "efficiency"),
            (String::new(), "exactly one"),
        ] {
            let stroke = read("110 mm").unwrap();
            let error = check(&from_toml(&text).unwrap(), stroke).unwrap_err();
            assert!(error.to_string().contains(part), "{error}");
        }
        let good = format!("{lever}start_angle = '38 deg'");
        check(&from_toml(&good).unwrap(), read("110 mm").unwrap()).unwrap();
    }
}
