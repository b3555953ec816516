//! What a press can do, in a few lines with a name each.

use crate::cli::press::words::{area, force, mass, pressure, volume};
use crate::process::clamping::force::{REQUIRED_MARGIN, holdable_area};
use crate::process::feed::nozzle::seat;
use crate::process::plastic::Plastic;
use crate::process::press::Press;
use crate::process::press::shot::ADVISED;

/// One line: its name, and what is known.
pub(in crate::cli) type Fact = (&'static str, String);

/// What matters of `press` with `plastic`: force, pressure, grams a shot, what keeps nozzle and
/// mold closed.
pub(in crate::cli) fn facts(press: &Press, plastic: &Plastic) -> Vec<Fact> {
    let mut facts = vec![
        ("Ram force", force(press.ram_force())),
        ("Melt pressure", pressure(press.melt_pressure())),
        ("Before losses", pressure(press.ram_pressure())),
        ("A stroke gives", volume(press.shot_volume())),
    ];
    if let Some(density) = plastic.melt_density.value {
        let most = press.capacity(density);
        let advised = format!(
            "{} of {}, {} advised",
            mass(most),
            plastic.name,
            mass(most * ADVISED)
        );
        facts.push(("Shot at most", advised));
    }
    facts.push(("Nozzle", nozzle(press)));
    facts.push(("Mold held by", clamp(press)));
    facts
}

fn nozzle(press: &Press) -> String {
    let Some(seat) = seat(press) else {
        return "not known: give the diameter of the seat".to_owned();
    };
    let lift = force(seat.lift);
    match seat.contact {
        Some(contact) if contact < seat.lift => {
            format!("lifted by {lift}, held with {}: it will leak", force(contact))
        }
        Some(contact) => {
            format!("lifted by {lift}, held with {}: it stays seated", force(contact))
        }
        None => format!("lifted by {lift}: hold it with more than that"),
    }
}

fn clamp(press: &Press) -> String {
    let (Some(clamp), Some(holding)) = (&press.clamp, press.holding_force()) else {
        return "not known: say what holds the mold".to_owned();
    };
    let shut = holdable_area(holding, press.melt_pressure()).map_or_else(
        String::new,
        |shut| {
            format!(
                "; keeps {} of part and feed shut, at {REQUIRED_MARGIN} times the opening force",
                area(shut)
            )
        },
    );
    format!("{}, {}{shut}", force(holding), clamp.in_words())
}

#[cfg(test)]
mod tests {
    use super::facts;
    use crate::process::plastic::library::Plastics;
    use crate::process::press::Press;

    /// The values of `goodshot press`, whose tests work them out by hand: 3928 N, 5.601 MPa,
    /// 52.03 cm³, 50.5 g of ABS, 42 kN that keep 59.99 cm² shut.
    #[test]
    fn facts_are_those_of_the_press_screen() {
        let plastics = Plastics::builtin().unwrap();
        let facts = facts(&Press::builtin().unwrap(), plastics.find("abs").unwrap());
        let text: Vec<String> =
            facts.iter().map(|(name, value)| format!("{name}: {value}")).collect();
        let text = text.join("\n");
        for part in [
            "Ram force: 3.928 kN (883 lbf)",
            "Melt pressure: 5.601 MPa (812 psi)",
            "Before losses: 8.002 MPa",
            "A stroke gives: 52.03 cm3",
            "50.5 g",
            "it stays seated",
            "42 kN (9442 lbf), 4 bolts M8 of class 8.8",
            "keeps 59.99 cm2",
        ] {
            assert!(text.contains(part), "{part} is not in\n{text}");
        }
    }
}
