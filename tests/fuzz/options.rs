//! What may be typed: every option with values of every kind, quantities in every unit.

use goodshot::cli;
use goodshot::units::{
    self, Angle, Force, Length, Mass, Pressure, Quantity, Ratio, SpringRate, Temperature,
    Time, Torque, Velocity,
};

use crate::campaign::Campaign;

const UNITS: [&str; 44] = [
    "mm",
    "cm",
    "m",
    "um",
    "in",
    "inch",
    "\"",
    "ft",
    "N",
    "kN",
    "lbf",
    "ton",
    "t",
    "kgf",
    "bar",
    "psi",
    "MPa",
    "kPa",
    "atm",
    "C",
    "F",
    "K",
    "\u{b0}C",
    "g",
    "kg",
    "oz",
    "lb",
    "s",
    "min",
    "h",
    "N m",
    "N\u{b7}m",
    "ft lbf",
    "in lbf",
    "mm/s",
    "in/min",
    "N/mm",
    "lbf/in",
    "deg",
    "rad",
    "%",
    "+x",
    "inside along y",
    "to 2 %",
];

/// Values of options, one a line: the option, then what it is given.
const TYPED: [&str; 34] = [
    "check\na.stl\n--melt=240 C",
    "check\na.stl\n--mold=-5 C",
    "check\na.stl\n--pull=0,0.5,1",
    "check\na.stl\n--unit=in\n--units=in",
    "check\na.stl\n--texture=0.02 mm",
    "check\na.stl\n--dimension=8 mm inside along x",
    "check\na.stl\n--shrink-along=x: 1.6 % to 2 %",
    "check\na.stl\n--pin-diameter=3 mm",
    "check\na.stl\n--gate=12,0,4.5\n--show-face=0,0,12",
    "check\na.stl\n--cells=20000\n--mill-cell=0.1 mm",
    "check\na.stl\n--gate-depth=1/16 in\n--gate-width=3 mm\n--gate-land=1 mm",
    "check\na.stl\n--runner=4 mm\n--runner-length=20 mm",
    "check\na.stl\n--sprue-length=15 mm\n--sprue-inlet=4 mm\n--sprue-taper=2 deg",
    "check\na.stl\n--feed-layout=edge\n--feed-share=20 %",
    "check\na.stl\n--well-diameter=5 mm\n--well-length=6 mm\n--cutters=3 mm,4 mm",
    "check\na.stl\n--vary=air: 6 bar, 8 bar",
    "check\na.stl\n--vary=wall: 1 mm\n--vary=bolt size: M8, 1/4-20",
    "check\na.stl\n--vary=plastic\n--vary=cylinder bore: 1 1/2 in",
    "check\na.stl\n--vary=draft: 1 deg\n--vary=bolt torque: 20 ft lbf",
    "check\na.stl\n--vary=clamp force: 2 ton\n--vary=ram force: 900 lbf",
    "mold\na.stl\n--dowel-diameter=6 mm\n--vents=4",
    "mold\na.stl\n--opening=120 mm\n--travel=200 mm,150 mm,60 mm",
    "cost\na.stl\n--parts=500",
    "why\na.stl\n--seen=short\n--set=4 bar\n--held=3 s\n--cooled=20 s",
    "why\na.stl\n--seen=sink\n--in-barrel=15 min\n--dried=3 h\n--shot=3",
    "calibrate\na.csv\n--date=2026-11-30",
    "compare\na.stl\nb.stl\n--json",
    "press\na.toml\n--plastic=pp",
    "plastics\npp",
    "cutters\n--template",
    "desk\n--port=8080\n--no-browser",
    "completions\nbash",
    "manual\ncheck",
    "--version",
];

#[test]
fn typed_options() {
    let seeds = TYPED.iter().map(|it| it.as_bytes().to_vec()).collect();
    let campaign =
        Campaign { name: "options", times: 3_000, seeds, words: UNITS.to_vec() };
    campaign.run(|bytes| {
        let text = String::from_utf8_lossy(bytes);
        let words = text.lines().map(|line| line.replace('\0', ""));
        match cli::understand(words) {
            Ok(()) => "understood".to_owned(),
            Err(line) => {
                assert!(!line.contains('\n') && !line.is_empty(), "{line:?}");
                line
            }
        }
    });
}

#[test]
fn quantities() {
    let seeds = [
        "5/8 in",
        "1 1/2 in",
        "1\"",
        "60 in/min",
        "2 ton",
        "240 \u{b0}C",
        "1,5 mm",
        "-3e-4 %",
    ];
    let seeds = seeds.iter().map(|it| it.as_bytes().to_vec()).collect();
    let campaign =
        Campaign { name: "quantities", times: 60_000, seeds, words: UNITS.to_vec() };
    campaign.run(|bytes| {
        let text = String::from_utf8_lossy(bytes);
        let mut said = read::<Length>(&text);
        for other in [
            read::<Pressure>,
            read::<Force>,
            read::<Temperature>,
            read::<Time>,
            read::<Mass>,
            read::<Ratio>,
            read::<Torque>,
            read::<Velocity>,
            read::<SpringRate>,
            read::<Angle>,
        ] {
            said += &other(&text);
        }
        said
    });
}

/// Whether it was read, or why not.
fn read<Q: Quantity>(text: &str) -> String {
    match units::read::<Q>(text) {
        Ok(value) => {
            assert!(value.si().is_finite(), "{text:?} is {}", value.si());
            Q::WHAT.to_owned()
        }
        Err(error) => {
            let line = error.to_string();
            assert!(line.chars().count() < 1000 && !line.is_empty(), "{line}");
            line
        }
    }
}
