//! From the text of a press file to a checked [`Press`].

use super::drive_file;
use super::remarks;
use super::setting;
use crate::process::clamping::mold_plates::{Bars, Mold};
use crate::process::press::file_error::{
    PressError, positive, positive_maybe, share, wrong,
};
use crate::process::press::{Clamp, Nozzle, Press, Ram, Spring, shelf};
use crate::units::{Quantity, from_toml, in_mm, in_mpa};

impl Press {
    /// Reads a press file.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong, by line and key or by table.
    pub fn parse(text: &str) -> Result<Self, PressError> {
        let mut press: Self = from_toml(text)?;
        press.nozzle.as_mut().map_or(Ok(()), nozzle)?;
        press.clamp.as_mut().map_or(Ok(()), Clamp::settle)?;
        press.read_as = remarks::read_as(text);
        if let Some(air) = &mut press.drive.air {
            air.gauge = setting::gauge(text);
        }
        if shelf::is_in_inches(in_mm(press.ram.diameter)) {
            press.buys_in_inches();
        }
        press.check()?;
        Ok(press)
    }

    /// Plates and what else is bought for it come from the shelf in inches.
    pub fn buys_in_inches(&mut self) {
        self.mold.get_or_insert_default().bars = Bars::Inches;
    }

    /// The first thing that cannot be, by table and key; the nozzle is checked when it is
    /// read.
    ///
    /// # Errors
    ///
    /// As [`Press::parse`].
    pub fn check(&self) -> Result<(), PressError> {
        ram(&self.ram)?;
        drive_file::check(&self.drive, self.ram.stroke)?;
        self.clamp.as_ref().map_or(Ok(()), Clamp::check)?;
        self.mold.as_ref().map_or(Ok(()), Mold::check)?;
        let pressure = self.melt_pressure();
        if pressure.si() <= 0.0 {
            let problem = "loss: the stated losses leave no pressure in the melt";
            return Err(wrong("ram", problem));
        }
        let volume = self.shot_volume().value;
        if !(in_mpa(pressure) <= MOST_MPA && volume > 0.0 && volume <= MOST_M3) {
            let problem =
                "no press has this pressure or this barrel; are the units right?";
            return Err(wrong("ram", problem));
        }
        Ok(())
    }

    /// The built-in example press.
    ///
    /// # Errors
    ///
    /// None in practice: the file is part of the program and a test reads it.
    pub fn builtin() -> Result<Self, PressError> {
        Self::parse(include_str!("press.toml"))
    }

    /// A commented press file, ready to be changed.
    pub fn template() -> &'static str {
        include_str!("press-template.toml")
    }
}

/// More than any injection press gives (the industry ends near 300 MPa): a slip in a unit.
const MOST_MPA: f64 = 1000.0;
/// More than any barrel holds: a slip in a unit.
const MOST_M3: f64 = 1.0;

fn ram(ram: &Ram) -> Result<(), PressError> {
    positive("ram", "diameter", ram.diameter)?;
    positive("ram", "stroke", ram.stroke)?;
    share("ram", "loss", ram.loss, 1.0)?;
    share("ram", "granule_fill", ram.granule_fill, 1.0)?;
    if ram.granule_fill.is_some_and(|fill| fill.si() < 0.1) {
        return Err(wrong("ram", "granule_fill: at least 10 %"));
    }
    if ram.loss_pressure.is_some_and(|loss| loss.si() < 0.0) {
        return Err(wrong("ram", "loss_pressure: not below nothing"));
    }
    positive_maybe("ram", "speed", ram.speed)?;
    positive_maybe("ram", "heated_length", ram.heated_length)?;
    match ram.cushion {
        Some(cushion) if cushion.si() < 0.0 || cushion >= ram.stroke => {
            Err(wrong("ram", "cushion: it must be shorter than the stroke"))
        }
        _ => Ok(()),
    }
}

/// Checks a nozzle, and writes the force of its spring as its contact force.
fn nozzle(nozzle: &mut Nozzle) -> Result<(), PressError> {
    const TABLE: &str = "nozzle";
    positive(TABLE, "orifice", nozzle.orifice)?;
    positive(TABLE, "land", nozzle.land)?;
    if nozzle.seat_diameter.is_some_and(|seat| seat < nozzle.orifice) {
        return Err(wrong(TABLE, "seat_diameter: not narrower than the orifice"));
    }
    match (nozzle.cone_diameter, nozzle.cone_length) {
        (Some(wide), Some(length)) => {
            positive(TABLE, "cone_length", length)?;
            if wide < nozzle.orifice {
                return Err(wrong(TABLE, "cone_diameter: not narrower than the orifice"));
            }
        }
        (None, None) => {}
        _ => return Err(wrong(TABLE, "give both cone_diameter and cone_length")),
    }
    if nozzle.contact_force.is_some_and(|force| force.si() < 0.0) {
        return Err(wrong(
            TABLE,
            "contact_force: \"0 N\" or more, what presses the nozzle on",
        ));
    }
    positive_maybe(TABLE, "nose_diameter", nozzle.nose_diameter)?;
    positive_maybe(TABLE, "nose_length", nozzle.nose_length)?;
    let Some(Spring { rate, travel }) = nozzle.spring else { return Ok(()) };
    positive("nozzle.spring", "rate", rate)?;
    positive("nozzle.spring", "travel", travel)?;
    if nozzle.contact_force.is_some_and(|force| force.si() > 0.0) {
        return Err(wrong(TABLE, "give either contact_force or spring"));
    }
    nozzle.contact_force = Some(rate * travel);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::Press;
    use crate::process::press::PressClass;
    use crate::units::{Quantity, in_cm3, in_grams, in_mpa, read};

    fn press(drive: &str, diameter: &str) -> Press {
        let text = format!(
            "name = 'p'\n[drive]\n{drive}\n[ram]\ndiameter = '{diameter}'\nstroke = '100 mm'"
        );
        Press::parse(&text).unwrap()
    }

    fn air(cylinders: u32, bore: &str, air: &str, diameter: &str) -> Press {
        let drive = format!(
            "air = {{ cylinders = {cylinders}, bore = '{bore}', air = '{air}' }}"
        );
        press(&drive, diameter)
    }

    fn near(seen: f64, printed: f64, slack: f64) {
        assert!((seen - printed).abs() <= slack, "{seen} is not {printed}");
    }

    /// Hand arithmetic: 0.7 MPa on 80 mm drives a ram of 24 mm with 3518.6 N, 7.778 MPa
    /// (area ratio 11.11), and 24 mm × 100 mm hold 45.239 cm³.
    #[test]
    fn one_cylinder_by_hand() {
        let press = air(1, "80 mm", "0.7 MPa", "24 mm");
        near(press.ram_force().si(), 3518.6, 0.05);
        near(in_mpa(press.melt_pressure()), 7.778, 5e-4);
        near(in_cm3(press.barrel_volume()), 45.239, 5e-4);
        near(in_grams(press.capacity(read("0.97 g/cm3").unwrap())), 43.882, 1e-3);
    }

    /// Common practice: two 2-inch cylinders at 120 psi push with over 3 kN, two 4-inch
    /// ones with over 13 kN.
    #[test]
    fn common_pairs_of_cylinders() {
        let small = air(2, "2 in", "120 psi", "1 in").ram_force().si();
        let large = air(2, "4 in", "120 psi", "1 in").ram_force().si();
        assert!((3000.0..3600.0).contains(&small), "{small}");
        assert!((13_000.0..13_600.0).contains(&large), "{large}");
    }

    /// Hand arithmetic p = 4 F / (π d²): a table of common ram forces and diameters.
    #[test]
    fn ram_force_over_ram_area() {
        for (force, diameter, printed, slack) in [
            ("3 kN", "16 mm", 14.92, 0.005),
            ("3 kN", "32 mm", 3.73, 0.005),
            ("15 kN", "16 mm", 74.60, 0.005),
            ("15 kN", "32 mm", 18.65, 0.005),
            ("2 kN", "20 mm", 6.4, 0.05),
            ("5 kN", "25 mm", 10.2, 0.05),
            ("5.5 kN", "16 mm", 27.4, 0.05),
            ("10 kN", "25 mm", 20.4, 0.05),
            ("10 kN", "20 mm", 31.8, 0.05),
        ] {
            let press = press(&format!("ram_force = '{force}'"), diameter);
            near(in_mpa(press.melt_pressure()), printed, slack);
        }
        // One 100 mm cylinder at 7 bar is the 5.5 kN of that table.
        near(air(1, "100 mm", "7 bar", "25 mm").ram_force().si(), 5500.0, 5.0);
    }

    #[test]
    fn pressure_grows_with_the_square_of_the_bore() {
        let ratio = in_mpa(air(1, "80 mm", "7 bar", "25 mm").melt_pressure())
            / in_mpa(air(1, "40 mm", "7 bar", "25 mm").melt_pressure());
        near(ratio, 4.0, 1e-12);
    }

    #[test]
    fn cylinders_that_pull_lose_the_rod() {
        let drive = |acts: &str| {
            let keys = "cylinders = 1, bore = '50 mm', rod = '30 mm', air = '7 bar'";
            press(&format!("air = {{ {keys}, acts = '{acts}' }}"), "25 mm")
                .ram_force()
                .si()
        };
        near(drive("pull") / drive("push"), 1.0 - 0.36, 1e-12);
    }

    /// A lever of 10 : 1 turns 110 N into 1.1 kN; a 4.5 MPa lever press is one of the trade.
    #[test]
    fn a_lever_multiplies_the_hand() {
        let keys = "hand = '110 N', long_arm = '1 m', short_arm = '10 cm'";
        let press = press(&format!("lever = {{ {keys} }}"), "20 mm");
        near(press.ram_force().si(), 1100.0, 1e-9);
        assert_eq!(press.class(), PressClass::HandLever);
    }

    #[test]
    fn losses_are_taken_off_and_the_class_follows_the_melt() {
        let text = "name = 'p'\ndrive = { ram_force = '30 kN' }\n[ram]\nstroke = '9 cm'\n\
                    diameter = '20 mm'\nloss = '20 %'\nloss_pressure = '5 MPa'";
        let press = Press::parse(text).unwrap();
        near(in_mpa(press.melt_pressure()), 95.493 * 0.8 - 5.0, 1e-3);
        assert_eq!(press.class(), PressClass::Industrial);
        assert_eq!(press.holding_force(), None);
    }

    /// Hand arithmetic: 20 MPa lift 1005 N off a seat of 8 mm.
    #[test]
    fn melt_lifts_the_nozzle() {
        let text = "name = 'p'\ndrive = { ram_force = '6283.2 N' }\n[ram]\nstroke = '9 cm'\n\
                    diameter = '20 mm'\n[nozzle]\norifice = '3 mm'\nland = '5 mm'\n\
                    seat_diameter = '8 mm'";
        near(Press::parse(text).unwrap().nozzle_lift().unwrap().si(), 1005.0, 0.5);
    }

    /// Hand arithmetic: 50 N/mm pressed together by 20 mm hold with 1 kN.
    #[test]
    fn a_spring_holds_the_nozzle() {
        let good = include_str!("press.toml");
        let spring = "[nozzle.spring]\nrate = \"50 N/mm\"\ntravel = \"20 mm\"";
        let sprung = good.replacen("contact_force = \"1.5 kN\"", spring, 1);
        let nozzle = Press::parse(&sprung).unwrap().nozzle.unwrap();
        near(nozzle.contact_force.unwrap().si(), 1000.0, 1e-9);
        // Nothing but the spring presses.
        let zero = sprung.replacen(
            "[nozzle.spring]",
            "contact_force = \"0 N\"\n[nozzle.spring]",
            1,
        );
        let nozzle = Press::parse(&zero).unwrap().nozzle.unwrap();
        near(nozzle.contact_force.unwrap().si(), 1000.0, 1e-9);
        let both = good.replacen("[clamp.bolts]", &format!("{spring}\n[clamp.bolts]"), 1);
        let error = Press::parse(&both).unwrap_err().to_string();
        assert!(error.contains("either contact_force or spring"), "{error}");
    }

    /// Hand arithmetic: a ram of 25 mm at 20 mm/s moves 9.817 cm³/s; 140 mm of heated barrel
    /// hold 68.72 cm³.
    #[test]
    fn speed_and_heated_length() {
        let keys = "drive = { ram_force = '3 kN' }\n[ram]\ndiameter = '25 mm'\nstroke = '110 mm'";
        let bare = Press::parse(&format!("name = 'p'\n{keys}")).unwrap();
        assert_eq!(bare.flow_limit(), None);
        near(in_grams(bare.inventory(read("1 g/cm3").unwrap())), 53.996, 1e-3);
        let text =
            format!("name = 'p'\n{keys}\nspeed = '20 mm/s'\nheated_length = '140 mm'");
        let press = Press::parse(&text).unwrap();
        near(crate::units::in_cm3_s(press.flow_limit().unwrap()), 9.8175, 1e-4);
        near(in_grams(press.inventory(read("1 g/cm3").unwrap())), 68.722, 1e-3);
        let slow = text.replace("20 mm/s", "0 in/s");
        assert!(Press::parse(&slow).unwrap_err().to_string().contains("[ram] speed"));
    }

    #[test]
    fn the_built_in_press_and_the_template_are_valid() {
        let press = Press::builtin().unwrap();
        near(press.ram_force().si(), 3927.7, 0.1);
        near(in_mpa(press.melt_pressure()), 5.601, 1e-3);
        near(press.holding_force().unwrap().si(), 4.0 * 15_000.0 * 0.7, 1.0);
        assert_eq!(press.class(), PressClass::SmallRam);
        assert!(
            press.nozzle_lift().unwrap() < press.nozzle.unwrap().contact_force.unwrap()
        );
        Press::parse(Press::template()).unwrap();
    }

    /// The template's other drives and its spring, each switched on in place of what it has.
    #[test]
    fn the_examples_of_the_template_are_valid() {
        let lines: Vec<&str> = Press::template().lines().collect();
        let block = |lead: &str, head: &str| -> Vec<String> {
            let from = lines.iter().skip_while(|line| !line.starts_with(head));
            let block = from.take_while(|line| !line.is_empty());
            block.filter_map(|line| line.strip_prefix(lead)).map(str::to_owned).collect()
        };
        let air = block("", "[drive.air]").join("\n");
        let lever = block("# ", "# [drive.lever]").join("\n");
        let jack = block("# ", "# [drive.jack]");
        let (rated, by_hand): (Vec<&String>, Vec<&String>) =
            jack.iter().partition(|line| line.starts_with("force"));
        assert_eq!((rated.len(), by_hand.len()), (1, 4));
        let by_hand =
            by_hand.into_iter().map(String::as_str).collect::<Vec<_>>().join("\n");
        let rated = format!("[drive.jack]\n{}", rated[0]);
        for drive in [lever, by_hand, rated] {
            let text = Press::template().replacen(&air, &drive, 1);
            let press = Press::parse(&text).unwrap();
            assert!(press.drive.air.is_none() && in_mpa(press.melt_pressure()) > 1.0);
        }
        let spring = block("# ", "# [nozzle.spring]").join("\n");
        let held = Press::template().lines().filter(|l| !l.starts_with("contact_force"));
        let text = held.collect::<Vec<_>>().join("\n");
        let text = text.replacen("# [nozzle.spring]", &format!("{spring}\n#"), 1);
        let nozzle = Press::parse(&text).unwrap().nozzle.unwrap();
        near(nozzle.contact_force.unwrap().si(), 1000.0, 1e-9);
        let cone = Press::template().replace("# cone_", "cone_");
        assert!(Press::parse(&cone).unwrap().nozzle.unwrap().cone_length.is_some());
    }

    #[test]
    fn refuses_by_line_key_or_table() {
        let good = include_str!("press.toml");
        for (from, to, part) in [
            ("\"63 mm\"", "63", "line 6, bore: \"63\""),
            ("\"7 bar\"", "\"-7 bar\"", "[drive.air] air"),
            ("cylinders = 2", "cylinders = 0", "[drive.air] cylinders"),
            ("\"20 mm\"", "\"70 mm\"", "[drive.air] rod"),
            ("\"25 mm\"", "\"0 mm\"", "[ram] diameter"),
            ("\"30 %\"", "\"100 %\"", "no pressure"),
            ("\"30 %\"", "30", "line 16, loss"),
            ("\"25 mm\"", "\"1e-300 mm\"", "are the units right"),
            ("\"110 mm\"", "\"1e300 mm\"", "are the units right"),
            ("\"63 mm\"", "\"63 m\"", "are the units right"),
            ("\"4 mm\"", "\"400 mm\"", "[ram] cushion"),
            ("\"M8\"", "\"8\"", "[clamp.bolts] unknown bolt size"),
            ("torque = \"24 N m\"", "", "[clamp.bolts] give either"),
            ("[ram]", "[mold]\nwidth = \"0 mm\"\n[ram]", "[mold] width"),
            ("stroke = \"110 mm\"", "", "\"stroke\" is missing"),
            ("[clamp.bolts]", "[clamp]\nvise = \"9 kN\"\n[clamp.bolts]", "exactly one"),
            ("[drive.air]", "[drive]\nram_force = \"9 kN\"\n[drive.air]", "exactly one"),
        ] {
            assert!(good.contains(from), "{from}");
            let error =
                Press::parse(&good.replacen(from, to, 1)).unwrap_err().to_string();
            assert!(error.contains(part) && !error.contains('\n'), "{error}");
        }
    }
}
