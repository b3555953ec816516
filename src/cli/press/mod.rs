//! `goodshot press`: what a press can do, on one screen.

mod words;
mod plastic;
mod changes;
pub(in crate::cli) mod facts;

use std::io::{self, Write};

use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::force::{REQUIRED_MARGIN, holdable_area};
use crate::process::clamping::tightening;
use crate::process::feed::nozzle::seat;
use crate::process::plastic::Plastic;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::process::press::shot::ADVISED;
use crate::units::{Quantity, format::four_digits, in_bar, in_grams, in_mpa, in_psi};
use words::{area, flow, force, pressure, volume};

/// Writes force, pressure, grams a shot, what holds the mold, and cautions.
pub(super) fn show(
    press: &Press,
    plastics: &Plastics,
    only: Option<&Plastic>,
    to: &mut dyn Write,
) -> io::Result<()> {
    writeln!(to, "{} ({})\n", press.name, press.class().name())?;
    press.remarks().iter().try_for_each(|line| writeln!(to, "look again      {line}"))?;
    ram(press, to)?;
    nozzle(press, to)?;
    clamp(press, to)?;
    match only {
        Some(plastic) => plastic::show(press, plastic, to)?,
        None => grams_a_shot(press, plastics, to)?,
    }
    changes::show(press, only, to)?;
    writeln!(to, "\nbeware")?;
    press.cautions().iter().try_for_each(|caution| writeln!(to, "- {caution}"))
}

fn ram(press: &Press, to: &mut dyn Write) -> io::Result<()> {
    let melt = press.melt_pressure();
    let alike = if swings(press) { "" } else { ", alike over the whole stroke" };
    writeln!(to, "ram force       {}{alike}", force(press.ram_force()))?;
    writeln!(
        to,
        "melt pressure   {} MPa ({:.0} bar, {:.0} psi)",
        four_digits(in_mpa(melt)),
        in_bar(melt),
        in_psi(melt)
    )?;
    let before = four_digits(in_mpa(press.ram_pressure()));
    match (press.ram.loss, press.ram.loss_pressure) {
        (None, None) => writeln!(
            to,
            "                assumed without loss: the file states none, and presses of this \
             kind lose much in the granules"
        )?,
        _ => writeln!(
            to,
            "                after the stated losses, from {before} MPa at the ram"
        )?,
    }
    swing(press, to)?;
    writeln!(
        to,
        "barrel          {}, of which a stroke gives {}",
        volume(press.barrel_volume()),
        volume(press.shot_volume())
    )?;
    let (Some(speed), Some(most)) = (press.ram.speed, press.flow_limit()) else {
        return Ok(());
    };
    let speed = four_digits(speed.si() * 1e3);
    writeln!(to, "ram speed       {speed} mm/s: {} at most", flow(most))
}

/// How force and pressure change as a lever swings; nothing for what pushes alike all the
/// way.
fn swing(press: &Press, to: &mut dyn Write) -> io::Result<()> {
    if !swings(press) {
        return Ok(());
    }
    let forces = press.stroke_forces();
    writeln!(to, "over the stroke the least of these counts above")?;
    for (place, at) in ["at the start", "in the middle", "at the end"].iter().zip(forces)
    {
        let melt = pressure(press.melt_pressure_of(at));
        writeln!(to, "                {place:<14}{}, {melt} in the melt", force(at))?;
    }
    Ok(())
}

fn swings(press: &Press) -> bool {
    press.drive.lever.as_ref().is_some_and(|lever| lever.start_angle.is_some())
}

fn nozzle(press: &Press, to: &mut dyn Write) -> io::Result<()> {
    let Some(seat) = seat(press) else {
        return writeln!(to, "nozzle          not known: give seat_diameter in [nozzle]");
    };
    let (lift, tight) = (force(seat.lift), force(seat.tight_lift));
    match seat.contact {
        Some(contact) => {
            let verdict =
                if contact < seat.lift { "it will leak" } else { "it stays seated" };
            writeln!(
                to,
                "nozzle          lifted by {lift}, pressed on with {}: {verdict}",
                force(contact)
            )?;
        }
        None => writeln!(
            to,
            "nozzle          lifted by {lift}: press it on with more than that"
        )?,
    }
    writeln!(to, "                by {tight} while the seat is tight")
}

fn clamp(press: &Press, to: &mut dyn Write) -> io::Result<()> {
    let (Some(clamp), Some(holding)) = (&press.clamp, press.holding_force()) else {
        return writeln!(
            to,
            "mold held by    not known: give [clamp.bolts], vise or force"
        );
    };
    writeln!(to, "mold held by    {}, {}", force(holding), clamp.in_words())?;
    if let Some(bolts) = &clamp.bolts {
        bolt_torque(bolts, to)?;
    }
    let Some(shut) = holdable_area(holding, press.melt_pressure()) else {
        return Ok(());
    };
    writeln!(
        to,
        "                keeps {} of part and feed shut, at {REQUIRED_MARGIN} times the opening \
         force",
        area(shut)
    )
}

/// How far each bolt is turned, and how far it may be: as delivered to three quarters of its
/// proof load, for a joint that is opened again; and where oil takes the friction off, the
/// torque that reaches 90 % of its yield stress already (VDI 2230).
fn bolt_torque(bolts: &Bolts, to: &mut dyn Write) -> io::Result<()> {
    let (Ok(thread), Ok(class)) = (bolts.thread(), bolts.strength()) else {
        return Ok(());
    };
    let turned = bolts.torque.map_or_else(String::new, |torque| {
        format!("turned to {} each, ", words::torque(torque))
    });
    let (_, again) = tightening::most(&thread, &class);
    let oiled = tightening::to_yield(&thread, &class, OILED).map_or_else(
        String::new,
        |(_, torque)| {
            let torque = words::torque(torque);
            format!("\n                oiled, {torque} reach 90 % of yield (VDI 2230, friction {OILED})")
        },
    );
    writeln!(
        to,
        "                {turned}at most {} as delivered{oiled}",
        words::torque(again)
    )
}

/// Friction of oiled threads and heads, the middle of 0.10 to 0.14 in the tables of VDI 2230.
const OILED: f64 = 0.12;

/// One line for each plastic that is not refused: what a stroke gives, what is advised, what
/// a filling holds.
fn grams_a_shot(
    press: &Press,
    plastics: &Plastics,
    to: &mut dyn Write,
) -> io::Result<()> {
    let advised = format!("advised {:.0} %", ADVISED * 100.0);
    writeln!(
        to,
        "\n{:<8}{:>10}{:>15}{:>18}",
        "plastic", "g a shot", advised, "g of granules"
    )?;
    // A grade that is like another plastic weighs as that one.
    let listed = |plastic: &Plastic| plastic.refuse.is_none() && plastic.like.is_none();
    for (_, plastic) in plastics.iter().filter(|(_, plastic)| listed(plastic)) {
        let capacity =
            plastic.melt_density.value.map(|melt| in_grams(press.capacity(melt)));
        let charge = plastic
            .solid_density
            .value
            .map(|solid| in_grams(press.granule_charge(solid)));
        let text =
            |value: Option<f64>| value.map_or("-".to_owned(), |g| format!("{g:.1}"));
        writeln!(
            to,
            "{:<8}{:>10}{:>15}{:>18}",
            plastic.name,
            text(capacity),
            text(capacity.map(|g| g * ADVISED)),
            text(charge)
        )?;
    }
    writeln!(to, "\"goodshot press --plastic NAME\" says more about one of them")
}

#[cfg(test)]
mod tests {
    use super::show;
    use crate::process::plastic::library::Plastics;
    use crate::process::press::Press;

    fn shown(press: &Press, only: Option<&str>) -> String {
        let plastics = Plastics::builtin().unwrap();
        let only = only.map(|name| plastics.find(name).unwrap());
        let mut bytes = Vec::new();
        show(press, &plastics, only, &mut bytes).unwrap();
        String::from_utf8(bytes).unwrap()
    }

    /// Two bores of 63 mm at 7 bar and 90 % give 3928 N; on 25 mm less 30 % that is
    /// 5.601 MPa; 53.996 cm³ less 4 mm of cushion are 52.03 cm³, 50.5 g of ABS melt.
    #[test]
    fn shows_what_the_built_in_press_can_do() {
        let text = shown(&Press::builtin().unwrap(), None);
        for part in [
            "3.928 kN (883 lbf)",
            "5.601 MPa (56 bar, 812 psi)",
            "from 8.002 MPa at the ram",
            "54 cm3, of which a stroke gives 52.03 cm3",
            "it stays seated",
            "42 kN (9442 lbf), 4 bolts M8 of class 8.8",
            "keeps 59.99 cm2",
            // VDI 2230, M8 of class 8.8 at friction 0.12: 24.57 N m.
            "turned to 24 N m (17.7 lbf ft) each",
            "oiled, 24.57 N m (18.1 lbf ft) reach 90 %",
            "ABS           50.5",
            "stored air",
            "local codes",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
        assert!(!text.contains("PVC") && text.contains("TPU"));
    }

    #[test]
    fn says_what_the_file_leaves_open() {
        let text = "name = 'p'\ndrive = { ram_force = '900 lbf' }\n[ram]\nstroke = '4 in'\n\
                    diameter = '1 in'";
        let press = Press::parse(text).unwrap();
        let refused = shown(&press, Some("pvc"));
        for part in [
            "assumed without loss",
            "[clamp.bolts]",
            "seat_diameter",
            "refused         rigid PVC",
        ] {
            assert!(refused.contains(part), "{part} is not in\n{refused}");
        }
        assert!(!refused.contains("ABS") && !refused.contains("warm-up"));
        assert!(
            shown(&press, Some("pp")).contains("heated_length in [ram] is not given")
        );
    }

    /// Of POM at 200 °C: 52.03 cm³ of stroke and 68.72 cm³ of heated barrel at 1.2 g/cm³ are
    /// 62.4 and 82.5 g; at 40.6 g every 10 min that stays 20.3 min, of the 60 that its maker
    /// allows. A heap of 60 % of 1.41 is 0.846 g/cm³.
    #[test]
    fn one_plastic_is_reported_whole() {
        let text = shown(&Press::builtin().unwrap(), Some("pom"));
        for part in [
            "62.4 g (2.20 oz) at most, 40.6 g (1.43 oz) advised (65 %)",
            "0.846 g/cm3 as a heap, 1.2 as melt, 1.41 solid",
            "time in heat    20 min with a shot of 40.6 g (1.43 oz) every 10 min: within the \
             60 min at 200 °C",
            "after the flow stops on a cold mold",
            "20 min to heat, 15 min to soak",
            "60 mm/s: 29.45 cm3/s at most",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
    }

    /// 300 N at 900 mm about 90 mm are 3 kN where the arm is square, 3.807 kN at 38°; on a ram
    /// of 25 mm 6.112 and 7.756 MPa. Half as long again gives 9.167 MPa, and 720 N on a seat of
    /// 10 mm, where the spring gives 20 N/mm × 10 mm.
    #[test]
    fn a_lever_is_followed_through_its_stroke() {
        let text = "name = 'p'\n[drive.lever]\nhand = '300 N'\nlong_arm = '900 mm'\n\
                    short_arm = '90 mm'\nstart_angle = '38 deg'\n[ram]\ndiameter = '25 mm'\n\
                    stroke = '110 mm'\n[nozzle]\norifice = '3 mm'\nland = '5 mm'\n\
                    seat_diameter = '10 mm'\nspring = { rate = '20 N/mm', travel = '10 mm' }";
        let text = shown(&Press::parse(text).unwrap(), None);
        for part in [
            "ram force       3 kN (674 lbf)\n",
            "at the start  3.807 kN (856 lbf), 7.756 MPa (1125 psi) in the melt",
            "in the middle 3 kN",
            "pressed on with 200 N (45 lbf): it will leak",
            "- lever 900 → 1350 mm: 6.112 → 9.167 MPa (1330 psi) in the melt",
            "the nozzle spring must hold with 720 N (162 lbf) at least instead of 200 N",
            "nozzle spring: about 1 J",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
    }

    /// 10 for 7 bar; (25/20)² of the pressure for (20/25)² of the shot; (80/63)². The clamp
    /// keeps 42 kN/1.25 over the melt pressure shut.
    #[test]
    fn says_what_the_next_change_would_buy() {
        let text = shown(&Press::builtin().unwrap(), Some("pom"));
        for part in [
            "- air 7 → 10 bar: 5.601 → 8.002 MPa (1161 psi) in the melt",
            "the nozzle holds with 1.5 kN (337 lbf) against 402 N (90 lbf): enough",
            "the clamp keeps 41.99 cm2 instead of 59.99 cm2",
            "- ram 25 → 20 mm: 5.601 → 8.752 MPa",
            "a stroke gives 52.03 → 33.3 cm3, 62.4 → 40.0 g",
            "- bore of each cylinder 63 → 80 mm: 5.601 → 9.032 MPa",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
    }
}
