//! The fields that the page offers: which option each stands for, and what it is called.

/// A choice on the page: the option that it stands for.
pub(super) struct Field {
    /// The option without its dashes.
    pub(super) option: &'static str,
    /// What the page calls it.
    pub(super) label: &'static str,
    /// An example.
    pub(super) example: &'static str,
}

/// Choices that need a value; what opens a file is not among them.
pub(super) const VALUES: [Field; 26] = [
    field("units", "Units of what you read: mm or in", "in"),
    field("melt", "Melt temperature", "240 C"),
    field("mold", "Mold temperature", "45 C"),
    field("texture", "Texture depth", "0.02 mm"),
    field("shrink-along", "Shrinkage along an axis", "x: 1.8 %"),
    field("gate", "Gate at", "12,0,4.5"),
    field("show-face", "A point of a face that must not be marked", "0,0,9"),
    field("feed-layout", "Feed layout: direct, edge or split", "edge"),
    field("gate-depth", "Gate depth", "0.8 mm"),
    field("gate-width", "Gate width", "3 mm"),
    field("gate-land", "Gate length", "1 mm"),
    field("cavities", "Equal cavities", "2"),
    field("runner", "Runner", "4 mm"),
    field("runner-section", "Runner section: round or trapezoid", "trapezoid"),
    field("runner-length", "Runner length", "20 mm"),
    field("sprue-length", "Sprue length", "15 mm"),
    field("sprue-inlet", "Sprue at the nozzle", "3.5 mm"),
    field("sprue-taper", "Taper of the sprue", "2 deg"),
    field("well-diameter", "Cold-slug well", "5 mm"),
    field("well-length", "Length of the well", "4 mm"),
    field("pin-diameter", "Ejector pins", "3 mm"),
    field("cutters", "Ball cutters", "2 mm,3 mm"),
    field("feed-share", "Feed as a share", "15 %"),
    field("dimension", "Cavity size for", "48 mm"),
    field("cells", "Cells for filling", "8000"),
    field("mill-cell", "Cells for the cutters", "0.1 mm"),
];

/// Choices that are made or not.
pub(super) const SWITCHES: [Field; 5] = [
    field("no-runner", "No runner: the sprue stands at the gate", ""),
    field("close-holes", "Close small flat holes of an open surface", ""),
    field(
        "no-fill",
        "Do not look whether it fills (faster; leaves the verdict open)",
        "",
    ),
    field("as-milled", "Weigh and judge the part as the cutters leave it", ""),
    field("no-mill", "Do not look at the cutters", ""),
];

/// Those that the page shows first.
pub(super) const FIRST: [Field; 3] = [
    field("plastic", "Plastic", ""),
    field("pull", "Mold opens along", "+z"),
    field("unit", "Unit of the file", "mm"),
];

/// Choices of a mold that need a value.
pub(super) const MOLD_VALUES: [Field; 4] = [
    field("dowel-diameter", "Dowels", "6 mm"),
    field("vents", "Number of vents", "4"),
    field("opening", "The press opens by", "120 mm"),
    field("travel", "The mill travels along x, y and z", "200 mm,150 mm,60 mm"),
];

/// Choices of a mold that are made or not.
pub(super) const MOLD_SWITCHES: [Field; 10] = [
    field("no-bolts", "No bolt holes", ""),
    field("no-dowels", "No dowel holes", ""),
    field("no-feed", "No sprue, runner and gate", ""),
    field("no-pins", "No ejector pin holes", ""),
    field("no-vents", "No vents", ""),
    field("no-pry-slots", "No pry slots", ""),
    field("no-inserts", "Mill tall cores with their plate, do not set them into it", ""),
    field("milling-pose", "Files of the halves lie as on the mill", ""),
    field(
        "gcode",
        "Programs for the mill (G-code): tried on a model of the stock only, so run them above the work first",
        "",
    ),
    field("strip", "The part is stripped off what traps it", ""),
];

/// What is known of a bad shot.
pub(super) const SHOT_VALUES: [Field; 9] = [
    field("seen", "What the part shows", "short"),
    field("set", "The press was set to", "4 bar"),
    field("melt", "Melt, as measured", "230 C"),
    field("mold", "Mold, as measured", "40 C"),
    field("held", "Pressure held for", "3 s"),
    field("cooled", "Cooled for", "25 s"),
    field("in-barrel", "In the hot barrel for", "15 min"),
    field("dried", "Plastic dried for", "3 h"),
    field("shot", "Shot of the session", "4"),
];

/// What is known of a bad shot or not.
pub(super) const SHOT_SWITCHES: [Field; 1] =
    [field("was-good", "This mold made good parts before, on this press", "")];

const fn field(
    option: &'static str,
    label: &'static str,
    example: &'static str,
) -> Field {
    Field { option, label, example }
}
