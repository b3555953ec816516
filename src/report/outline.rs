//! What every readable report says, in its order: sections, rows and tables of plain text.
//!
//! Here a number becomes words; how they are set is the renderers' business. Nothing is
//! escaped here.

use crate::report::model::{Report, UndercutRegion};
use crate::report::words;

/// A picture beside the text.
#[derive(Clone, Copy, Debug)]
pub struct Picture<'a> {
    /// What it shows, for the caption.
    pub caption: &'a str,
    /// What it shows, for those who cannot see it.
    pub alt: &'a str,
    /// Where it lies beside the report, such as `maps/thickness.png`.
    pub file: &'a str,
    /// The picture itself.
    pub png: &'a [u8],
}

/// One heading and what stands below it.
#[derive(Clone, Debug, Default)]
pub struct Section {
    /// The heading.
    pub title: &'static str,
    /// Name and value.
    pub rows: Vec<(&'static str, String)>,
    /// Longer lists.
    pub tables: Vec<Table>,
    /// Sentences.
    pub notes: Vec<String>,
}

/// A list with columns.
#[derive(Clone, Debug)]
pub struct Table {
    /// What it lists.
    pub title: &'static str,
    /// Names of the columns.
    pub columns: Vec<&'static str>,
    /// As many cells as columns.
    pub rows: Vec<Vec<String>>,
}

/// Title of the section on walls.
pub const WALLS: &str = "Walls";
/// Title of the section on the shot and what holds the mold.
pub const SHOT: &str = "Shot and clamp";

/// No list is longer; the rest is in `report.json`.
const MOST_ROWS: usize = 12;

/// The numbers of `report`, in reading order.
pub fn sections(report: &Report) -> Vec<Section> {
    vec![
        part(report),
        pull(report),
        thickness(report),
        draft(report),
        undercut(report),
        shot_and_clamp(report),
        fill(report),
        cooling(report),
        plastic_and_press(report),
    ]
}

/// The findings as a table: number, severity, what, value, limit, where, cure.
pub fn findings(report: &Report) -> Table {
    let row = |(i, finding): (usize, &crate::findings::Finding)| {
        vec![
            (i + 1).to_string(),
            words::severity(finding.severity).to_owned(),
            finding.title.clone(),
            finding.value.map_or("—".to_owned(), |v| words::quantity(v, &finding.unit)),
            finding.limit.map_or("—".to_owned(), |v| words::quantity(v, &finding.unit)),
            words::maybe_place(finding.at_mm),
            finding.cure.clone(),
        ]
    };
    Table {
        title: "Findings",
        columns: vec!["No.", "Severity", "Finding", "Value", "Limit", "Where", "Cure"],
        rows: report.findings.iter().enumerate().map(row).collect(),
    }
}

fn part(report: &Report) -> Section {
    let part = &report.part;
    let size = [0, 1, 2].map(|axis| {
        words::number(part.bounding_box_mm.max[axis] - part.bounding_box_mm.min[axis])
    });
    let unit = match part.unit_given {
        true => part.unit.clone(),
        false => format!("{} (assumed)", part.unit),
    };
    let closed = if part.closed { "closed" } else { "open: it encloses no volume" };
    let defects = part.defects.iter().map(|defect| {
        let cells = [words::plain(&defect.kind), defect.count.to_string()];
        [cells.to_vec(), vec![words::maybe_place(defect.at_mm), "found".to_owned()]]
            .concat()
    });
    let repairs = part.repairs.iter().map(|repair| {
        let cells = [words::plain(&repair.kind), repair.count.to_string()];
        [cells.to_vec(), vec!["—".to_owned(), "repaired".to_owned()]].concat()
    });
    Section {
        title: "Part",
        rows: vec![
            ("Size", format!("{} × {} × {} mm", size[0], size[1], size[2])),
            ("Volume", words::volume(part.volume_mm3)),
            ("Surface", words::area(Some(part.area_mm2))),
            ("Center", words::place(part.centroid_mm)),
            ("Unit of the file", unit),
            ("Mesh", format!("{} facets, {closed}", words::count(Some(part.facets)))),
            ("Bodies", part.bodies.to_string()),
            ("Chord error", words::maybe(part.chord_error_mm, "mm")),
        ],
        tables: table(
            "What was wrong with the file",
            &["What", "Count", "First at", "State"],
            defects.chain(repairs).collect(),
        ),
        notes: Vec::new(),
    }
}

fn pull(report: &Report) -> Section {
    let pull = &report.pull;
    let how = if pull.given { "as asked" } else { "chosen" };
    let parting = &report.parting;
    let others = pull.alternatives.iter().map(|other| {
        vec![
            words::direction(other.direction),
            words::area(Some(other.undercut_area_mm2)),
            words::quantity(other.undercut_depth_mm, "mm"),
            words::maybe(other.lowest_draft_deg, "°"),
            words::maybe(other.parting_rise_mm, "mm"),
            words::quantity(other.height_mm, "mm"),
        ]
    });
    Section {
        title: "Pull and parting",
        rows: vec![
            ("Pull", format!("{} ({how})", words::direction(pull.direction))),
            ("Core side", pull.core_side.replace('-', "−")),
            ("Height along the pull", words::quantity(pull.height_mm, "mm")),
            ("Projected area", words::area(Some(pull.projected_area_mm2))),
            ("Parting loops", words::count(parting.loops)),
            ("Parting length", words::maybe(parting.length_mm, "mm")),
            ("Parting flat", words::yes(parting.flat).to_owned()),
            ("Parting rise", words::maybe(parting.rise_mm, "mm")),
            ("Shut-offs", words::count(parting.shut_offs)),
        ],
        tables: table(
            "Directions that were weighed",
            &[
                "Pull",
                "Trapped area",
                "Trapped depth",
                "Least draft",
                "Parting rise",
                "Height",
            ],
            others.collect(),
        ),
        notes: Vec::new(),
    }
}

fn thickness(report: &Report) -> Section {
    let walls = &report.thickness;
    let spread = |quantiles: Option<crate::report::model::Quantiles>| {
        quantiles.map_or_else(
            || words::NOT_KNOWN.to_owned(),
            |q| {
                let [low, middle, high] = [q.p05, q.p50, q.p95].map(words::number);
                format!("{middle} mm (nine tenths within {low} to {high} mm)")
            },
        )
    };
    let regions = [("thin", &walls.thin), ("thick", &walls.thick)];
    let rows = regions.iter().flat_map(|(kind, regions)| {
        regions.iter().map(move |region| {
            vec![
                (*kind).to_owned(),
                words::quantity(region.value_mm, "mm"),
                words::area(Some(region.area_mm2)),
                words::place(region.at_mm),
            ]
        })
    });
    Section {
        title: WALLS,
        rows: vec![
            ("Along the inward normal", spread(walls.ray_mm)),
            ("Inscribed ball", spread(walls.ball_mm)),
            ("Least wall", words::maybe(walls.limit_low_mm, "mm")),
            ("Greatest wall", words::maybe(walls.limit_high_mm, "mm")),
            ("Points measured", words::count(Some(walls.samples))),
            ("Distance between points", words::quantity(walls.spacing_mm, "mm")),
        ],
        tables: table(
            "Walls beyond the limits",
            &["Wall", "Worst", "Area", "Where"],
            rows.collect(),
        ),
        notes: Vec::new(),
    }
}

fn draft(report: &Report) -> Section {
    let draft = &report.draft;
    let faces = draft.faces.iter().map(|face| {
        vec![
            words::plain(&face.side),
            words::quantity(face.draft_deg, "°"),
            words::quantity(face.required_deg, "°"),
            words::quantity(face.height_mm, "mm"),
            words::area(Some(face.area_mm2)),
            words::place(face.at_mm),
        ]
    });
    Section {
        title: "Draft",
        rows: vec![
            ("Needed by an average wall", words::maybe(draft.required_deg, "°")),
            ("Area with less than it needs", words::area(Some(draft.short_area_mm2))),
            ("Cavity side", words::area(Some(draft.cavity_area_mm2))),
            ("Core side", words::area(Some(draft.core_area_mm2))),
            ("Upright", words::area(Some(draft.upright_area_mm2))),
        ],
        tables: table(
            "Faces short of draft",
            &["Side", "Draft", "Needed", "Height", "Area", "Where"],
            faces.collect(),
        ),
        notes: Vec::new(),
    }
}

fn undercut(report: &Report) -> Section {
    let undercut = &report.undercut;
    let region = |region: &UndercutRegion| {
        vec![
            words::quantity(region.depth_mm, "mm"),
            words::area(Some(region.area_mm2)),
            words::volume(region.volume_mm3),
            words::place(region.at_mm),
            region.ways_out.join("; "),
        ]
    };
    Section {
        title: "Undercuts",
        rows: vec![
            ("Trapped area", words::area(Some(undercut.area_mm2))),
            ("Trapped metal", words::volume(undercut.volume_mm3)),
            ("Greatest depth", words::quantity(undercut.depth_mm, "mm")),
        ],
        tables: table(
            "Trapped regions",
            &["Depth", "Area", "Metal", "Where", "Ways out"],
            undercut.regions.iter().map(region).collect(),
        ),
        notes: Vec::new(),
    }
}

fn shot_and_clamp(report: &Report) -> Section {
    let (shot, clamp) = (&report.shot, &report.clamp);
    Section {
        title: SHOT,
        rows: vec![
            ("Part", words::maybe(shot.part_g, "g")),
            ("Sprue, runner and gate", words::maybe(shot.feed_g, "g")),
            ("Shot", words::maybe(shot.total_g, "g")),
            ("Melt taken from the barrel", words::maybe(shot.melt_cm3, "cm³")),
            ("One stroke holds", words::maybe(shot.capacity_g, "g")),
            ("Share of the stroke", words::maybe_percent(shot.fraction)),
            ("Fillings of the barrel", words::count(shot.charges.map(|n| n as usize))),
            ("Pressure in the cavity", words::maybe(clamp.pressure_mpa, "MPa")),
            ("Force that opens", words::force(clamp.opening_force_n)),
            ("Force that holds", words::force(clamp.holding_force_n)),
            ("Holding over opening", words::maybe(clamp.margin, "")),
            ("Off-center by", words::maybe(clamp.yaw_mm, "mm")),
        ],
        ..Section::default()
    }
}

fn fill(report: &Report) -> Section {
    let fill = &report.fill;
    let band = fill.margin_band.map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |[low, high]| format!("{} to {}", words::number(low), words::number(high)),
    );
    let places = |kind: &'static str, points: &[[f64; 3]]| {
        points
            .iter()
            .map(move |&at| vec![kind.to_owned(), words::place(at)])
            .collect::<Vec<_>>()
    };
    let rows: Vec<Vec<String>> = [
        places("fills last", &fill.last_points),
        places("fronts meet", &fill.weld_lines),
        places("air is caught", &fill.trapped_air),
    ]
    .concat();
    let gate = fill.gate_mm.map_or_else(|| words::NOT_KNOWN.to_owned(), words::place);
    Section {
        title: "Filling",
        rows: vec![
            ("Fills", words::yes(fill.fills).to_owned()),
            ("Filled share", words::maybe_percent(fill.filled_fraction)),
            ("Fill time", words::maybe(fill.time_s, "s")),
            ("Pressure needed", words::maybe(fill.pressure_needed_mpa, "MPa")),
            ("Pressure there is", words::maybe(fill.pressure_available_mpa, "MPa")),
            ("Pressure margin", words::maybe(fill.margin, "")),
            ("Margin, worst to best case", band),
            ("Gate", gate),
        ],
        tables: table("Places to watch", &["What", "Where"], rows),
        notes: Vec::new(),
    }
}

fn cooling(report: &Report) -> Section {
    let (cooling, shrinkage) = (&report.cooling, &report.shrinkage);
    let (ejection, milling) = (&report.ejection, &report.milling);
    let exact = |value: Option<f64>| {
        value.map_or_else(|| words::NOT_KNOWN.to_owned(), |scale| format!("× {scale:.4}"))
    };
    let keeps = ejection.keeps_to.as_deref().map_or_else(
        || words::NOT_KNOWN.to_owned(),
        |side| format!("the {} half", words::plain(side)),
    );
    Section {
        title: "Cycle, shrinkage and metal",
        rows: vec![
            ("Hold", words::maybe(cooling.hold_s, "s")),
            ("Cool", words::maybe(cooling.cool_s, "s")),
            ("Cycle", words::maybe(cooling.cycle_s, "s")),
            ("Parts an hour", words::maybe(cooling.parts_per_hour, "")),
            ("Shrinkage, least", words::maybe_percent(shrinkage.low)),
            ("Shrinkage, expected", words::maybe_percent(shrinkage.nominal)),
            ("Shrinkage, greatest", words::maybe_percent(shrinkage.high)),
            ("Cut the cavity larger by", exact(shrinkage.scale)),
            ("Force to push the part off", words::force(ejection.force_n)),
            ("The part stays on", keeps),
            ("Least inside radius", words::maybe(milling.smallest_radius_mm, "mm")),
            (
                "Deepest reach over cutter diameter",
                words::maybe(milling.deepest_reach_ratio, ""),
            ),
        ],
        notes: milling.cutters.clone(),
        ..Section::default()
    }
}

fn plastic_and_press(report: &Report) -> Section {
    let (plastic, press) = (&report.plastic, &report.press);
    let named = |name: &str, given: bool| match given {
        true => name.to_owned(),
        false => format!("{name} (assumed)"),
    };
    let clamp = press.clamp.clone().unwrap_or_else(|| words::NOT_KNOWN.to_owned());
    Section {
        title: "Plastic and press",
        rows: vec![
            ("Plastic", named(&plastic.name, plastic.given)),
            ("What it is", plastic.description.clone()),
            ("Melt", words::maybe(plastic.melt_c, "°C")),
            ("Mold", words::maybe(plastic.mold_c, "°C")),
            ("Density, solid", words::maybe(plastic.solid_density_g_cm3, "g/cm³")),
            ("Density, melt", words::maybe(plastic.melt_density_g_cm3, "g/cm³")),
            ("Press", named(&press.name, press.given)),
            ("Class", words::plain(&press.class)),
            ("Pressure on the melt", words::maybe(press.melt_pressure_mpa, "MPa")),
            ("Ram force", words::force(press.ram_force_n)),
            ("Ram diameter", words::maybe(press.ram_diameter_mm, "mm")),
            ("Ram stroke", words::maybe(press.stroke_mm, "mm")),
            ("One stroke", words::maybe(press.shot_capacity_cm3, "cm³")),
            ("Clamp", clamp),
        ],
        ..Section::default()
    }
}

/// A table of the first rows, or none when there is no row.
fn table(
    title: &'static str,
    columns: &[&'static str],
    rows: Vec<Vec<String>>,
) -> Vec<Table> {
    if rows.is_empty() {
        return Vec::new();
    }
    let mut rows = rows;
    let more = rows.len().saturating_sub(MOST_ROWS);
    rows.truncate(MOST_ROWS);
    if more > 0 {
        let mut last = vec![String::new(); columns.len()];
        if let Some(first) = last.first_mut() {
            *first = format!("… {more} more in report.json");
        }
        rows.push(last);
    }
    vec![Table { title, columns: columns.to_vec(), rows }]
}

/// Cautions of the plastic and of the press.
pub fn cautions(report: &Report) -> Vec<String> {
    [report.plastic.cautions.as_slice(), &report.press.cautions].concat()
}
