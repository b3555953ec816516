//! Ways to a higher melt pressure that stay within what is rated: air of a common
//! compressor, a lever that is not longer than twice its arm, a larger bore of the shelf, a
//! thinner ram that still gives the shot.
//!
//! Frame, seat and clamp carry a higher melt pressure too; whether they do is for the
//! caller to judge.

use super::shelf::{BORES, RAMS, is_in_inches, written};
use super::shot::{Shot, TROUBLE};
use crate::process::press::Press;
use crate::units::format::three_digits;
use crate::units::{Length, Pressure, Quantity, from_mm, in_grams, in_kn, in_mm};

/// Air that a common shop compressor gives: 120 psi, which is 8 bar (common practice).
pub const SHOP_AIR_PA: f64 = 827_371.0;
/// A lever is lengthened at most by this factor (judgment: pivot and frame carry it too).
pub const MOST_LEVER: f64 = 2.0;

/// One change that gives the pressure, and the press after it.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// As "cylinders of 63 mm bore in place of 50.8 mm".
    pub what: String,
    /// What must be rated for it, as "if rod and frame are rated for it".
    pub beware: &'static str,
    /// The press after it.
    pub press: Press,
}

/// Every single change within the ratings after which the press has at least `wanted`;
/// empty where it has that already or no single change is enough. `shot` is what a stroke
/// still has to give; a ram too thin for it is left out.
pub fn ways(press: &Press, wanted: Pressure, shot: Option<&Shot>) -> Vec<Way> {
    let share = press.force_for(wanted).map(|force| force.si() / press.ram_force().si());
    let Some(share) = share.filter(|share| share.is_finite() && *share > 1.0) else {
        return Vec::new();
    };
    let drive = more_air(press, share).or_else(|| larger_bore(press, wanted));
    let drive = drive.or_else(|| longer_lever(press, share));
    let drive = drive.or_else(|| stronger_drive(press, share));
    drive.into_iter().chain(thinner_ram(press, wanted, shot)).collect()
}

/// More air, up to what shops have.
fn more_air(press: &Press, share: f64) -> Option<Way> {
    let mut after = press.clone();
    let air = after.drive.air.as_mut()?;
    let most = air.air.si().max(SHOP_AIR_PA);
    air.air *= share;
    let is_rated = air.air.si() <= most;
    let setting = after.setting_for(after.melt_pressure())?.in_words();
    let beware = "if compressor, hoses and cylinders are rated for it";
    is_rated.then_some(Way { what: setting, beware, press: after })
}

/// The least bore of the shelf that is enough at the air there is.
fn larger_bore(press: &Press, wanted: Pressure) -> Option<Way> {
    let before = press.drive.air.as_ref()?.bore;
    let bores = BORES.sizes_mm(in_mm(before)).into_iter();
    bores.filter(|bore| *bore > in_mm(before)).find_map(|bore| {
        let mut after = press.clone();
        after.drive.air.as_mut()?.bore = from_mm(bore);
        let [bore, now] = [bore, in_mm(before)].map(|it| as_there(it, before));
        let what = format!("cylinders of {bore} bore in place of {now}");
        let beware = "if rod and frame are rated for it";
        (after.melt_pressure() >= wanted).then_some(Way { what, beware, press: after })
    })
}

/// A size in the unit of what is there now, metric ones to three digits.
fn as_there(mm: f64, now: Length) -> String {
    match is_in_inches(in_mm(now)) {
        true => written(mm, true),
        false => format!("{} mm", three_digits(mm)),
    }
}

/// A longer lever, up to [`MOST_LEVER`] times.
fn longer_lever(press: &Press, share: f64) -> Option<Way> {
    let mut after = press.clone();
    let lever = after.drive.lever.as_mut().filter(|_| share <= MOST_LEVER)?;
    let before = lever.long_arm;
    lever.long_arm = before * share;
    let [then, now] =
        [in_mm(lever.long_arm), in_mm(before)].map(|it| as_there(it, before));
    let what = format!("a lever {then} long in place of {now}");
    let beware = "if pivot, link and frame are rated for it";
    Some(Way { what, beware, press: after })
}

/// Another jack, or another drive where the file states its force alone.
fn stronger_drive(press: &Press, share: f64) -> Option<Way> {
    let mut after = press.clone();
    let drive = &mut after.drive;
    let (force, what) = match (&mut drive.jack, &mut drive.ram_force) {
        (Some(jack), _) => (jack.force.as_mut()?, "a jack of"),
        (None, Some(force)) => (force, "a drive with"),
        (None, None) => return None,
    };
    let before = *force;
    *force = before * share;
    let [then, now] = [*force, before].map(|force| three_digits(in_kn(force)));
    let place = if what == "a jack of" { "" } else { " on the ram" };
    let what = format!("{what} {then} kN{place} in place of {now} kN");
    let beware = "if ram and frame are rated for it";
    Some(Way { what, beware, press: after })
}

/// The thickest rod of the shelf that is thin enough, where a stroke of it still gives the
/// shot.
fn thinner_ram(press: &Press, wanted: Pressure, shot: Option<&Shot>) -> Option<Way> {
    let before = press.ram.diameter;
    let after = |diameter: Length| {
        let mut after = press.clone();
        after.ram.diameter = diameter;
        after
    };
    let rods = RAMS.sizes_mm(in_mm(before)).into_iter().rev();
    let after = rods
        .filter(|rod| *rod < in_mm(before))
        .map(|rod| after(from_mm(rod)))
        .find(|after| after.melt_pressure() >= wanted)?;
    let gives = shot.map(|shot| {
        let share = shot.melt_volume.si() / after.shot_volume().si();
        (share, in_grams(shot.total))
    });
    if gives.is_some_and(|(share, _)| share > TROUBLE) {
        return None;
    }
    let gives = gives.map_or_else(String::new, |(share, grams)| {
        let [gives, takes] = [grams / share, grams].map(three_digits);
        format!(", where a stroke gives {gives} g and the shot takes {takes} g")
    });
    let [then, now] =
        [in_mm(after.ram.diameter), in_mm(before)].map(|it| as_there(it, before));
    let what = format!("a ram of {then} in place of {now}{gives}");
    let beware = "if barrel and nozzle are rated for it";
    Some(Way { what, beware, press: after })
}

#[cfg(test)]
mod tests {
    use super::{MOST_LEVER, SHOP_AIR_PA, ways};
    use crate::process::press::Press;
    use crate::process::press::shot::Shot;
    use crate::units::{Quantity, from_mpa, read};

    fn press(drive: &str) -> Press {
        let text = format!(
            "name = 'p'\n[drive]\n{drive}\n[ram]\ndiameter = '25 mm'\nstroke = '100 mm'"
        );
        Press::parse(&text).unwrap()
    }

    fn said(press: &Press, mpa: f64, shot: Option<&Shot>) -> Vec<String> {
        ways(press, from_mpa(mpa), shot).into_iter().map(|way| way.what).collect()
    }

    /// By hand: 63 mm at 6 bar on 25 mm give (63/25)² · 0.6 = 3.810 MPa. 5 MPa take
    /// 7.874 bar; 6 MPa would take 9.45 bar, which no common compressor has, so 80 mm
    /// (6.144 MPa), or a ram of (63/√(6/0.6)) = 19.92 mm, that is 18 mm of the shelf.
    #[test]
    fn air_up_to_the_compressor_and_then_the_bore() {
        let air = press("air = { cylinders = 1, bore = '63 mm', air = '6 bar' }");
        assert_eq!(said(&air, 3.8, None), Vec::<String>::new());
        assert_eq!(said(&air, 5.0, None)[0], "7.87 bar at the regulator");
        let bore = "cylinders of 80 mm bore in place of 63 mm";
        assert_eq!(said(&air, 6.0, None), [bore, "a ram of 18 mm in place of 25 mm"]);
        // No bore of the shelf pushes with 60 MPa.
        assert_eq!(said(&air, 60.0, None), Vec::<String>::new());
        for wanted in [4.0, 5.0, 6.0, 9.0, 12.0] {
            for way in ways(&air, from_mpa(wanted), None) {
                assert!(way.press.melt_pressure().si() >= wanted * 1e6 * (1.0 - 1e-9));
                assert!(way.press.drive.air.unwrap().air.si() <= SHOP_AIR_PA);
            }
        }
    }

    /// By hand: 400 N at 10 : 1 on 25 mm give 8.149 MPa; 12 MPa take an arm of 1473 mm,
    /// 20 MPa one of 2454 mm, which is more than twice.
    #[test]
    fn a_lever_grows_to_twice_its_arm() {
        let keys = "hand = '400 N', long_arm = '1 m', short_arm = '10 cm'";
        let lever = press(&format!("lever = {{ {keys} }}"));
        assert!(said(&lever, 12.0, None)[0].starts_with("a lever 1473 mm long"));
        let most = said(&lever, MOST_LEVER * 8.2, None);
        assert!(most.iter().all(|way| !way.contains("lever")), "{most:?}");
        let jack = press("jack = { force = '4 kN' }");
        assert_eq!(said(&jack, 12.0, None)[0], "a jack of 5.89 kN in place of 4 kN");
        let stated = press("ram_force = '4 kN'");
        let drive = "a drive with 5.89 kN on the ram in place of 4 kN";
        assert_eq!(said(&stated, 12.0, None)[0], drive);
    }

    /// Each way says what must be rated for it.
    #[test]
    fn no_way_is_offered_without_what_it_rests_on() {
        for (drive, wanted) in [
            ("air = { cylinders = 1, bore = '63 mm', air = '6 bar' }", 5.0),
            ("air = { cylinders = 1, bore = '63 mm', air = '6 bar' }", 6.0),
            ("lever = { hand = '400 N', long_arm = '1 m', short_arm = '10 cm' }", 12.0),
            ("jack = { force = '4 kN' }", 12.0),
            ("ram_force = '4 kN'", 12.0),
        ] {
            let all = ways(&press(drive), from_mpa(wanted), None);
            assert!(!all.is_empty(), "{drive}");
            for way in all {
                assert!(way.beware.contains("rated for it"), "{}", way.what);
            }
        }
    }

    /// 18 mm × 100 mm are 25.4 cm³: a shot of 20 cm³ takes 79 % of it, one of 24 cm³ 94 %.
    #[test]
    fn a_ram_too_thin_for_the_shot_is_no_way() {
        let air = press("air = { cylinders = 1, bore = '63 mm', air = '6 bar' }");
        let shot = |melt: &str| Shot {
            part: read("14 g").unwrap(),
            feed: read("1 g").unwrap(),
            total: read("15 g").unwrap(),
            melt_volume: read(melt).unwrap(),
            capacity: read("30 g").unwrap(),
            fraction: read("50 %").unwrap(),
            charges: 1,
        };
        let ram = |melt: &str| {
            let said = said(&air, 6.0, Some(&shot(melt)));
            said.into_iter().find(|way| way.contains("a ram of 18 mm"))
        };
        // 15 g · 25.447 / 20.
        assert!(ram("20 cm3").unwrap().contains("gives 19.1 g and the shot takes 15 g"));
        assert_eq!(ram("24 cm3"), None);
    }
}
