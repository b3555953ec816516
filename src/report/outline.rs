//! What every readable report says, in its order: sections, rows and tables of plain text.
//!
//! Here a number becomes words; how they are set is the renderers' business. Nothing is
//! escaped here.

use crate::report::blocks::{Section, Table, table};
use crate::report::{process, release, what_if};
use crate::schema::{Report, UndercutRegion, words};
use crate::units::format;

/// Title of the section on walls.
pub const WALLS: &str = "Walls";

/// The numbers of `report`, in reading order. What is not known is left out, and named once in
/// each section.
pub fn sections(report: &Report) -> Vec<Section> {
    let mut sections = all(report);
    for section in &mut sections {
        let is_missing = |row: &(&str, String)| row.1 == format::NOT_KNOWN;
        let missing = section.rows.iter().filter(|row| is_missing(row));
        let missing: Vec<String> = missing.map(|row| row.0.to_lowercase()).collect();
        section.rows.retain(|row| !is_missing(row));
        if !missing.is_empty() {
            let names = missing.join(", ");
            let note = format!("Not worked out: {names}. The assumptions say why.");
            section.notes.insert(0, note);
        }
    }
    sections
}

fn all(report: &Report) -> Vec<Section> {
    let mut sections = vec![
        part(report),
        release::section(report),
        thickness(report),
        draft(report),
        undercut(report),
    ];
    sections.extend(process::sections(report));
    sections.extend(what_if::section(report));
    sections
}

/// The causes as a table: number, severity, what, change.
pub fn causes(report: &Report) -> Table {
    let row = |(cause, number): (&crate::findings::causes::Cause, usize)| {
        vec![
            number.to_string(),
            words::severity(cause.severity).to_owned(),
            cause.title.clone(),
            cause.change.clone(),
        ]
    };
    Table {
        title: "Causes".to_owned(),
        columns: vec!["No.", "Severity", "Cause", "Change"],
        rows: report.causes.iter().zip(1..).map(row).collect(),
    }
}

fn part(report: &Report) -> Section {
    let part = &report.part;
    let size = [0, 1, 2].map(|axis| {
        format::number(part.bounding_box_mm.max[axis] - part.bounding_box_mm.min[axis])
    });
    let unit = if part.unit_given { "" } else { " (assumed)" };
    let unit = format!("{}{unit}", part.unit);
    let closed = if part.closed { "closed" } else { "open: it encloses no volume" };
    let row = |kind: &str, count: usize, at, state: &str| {
        vec![
            words::plain(kind),
            count.to_string(),
            format::maybe_point(at),
            state.to_owned(),
        ]
    };
    let defects =
        part.defects.iter().map(|it| row(&it.kind, it.count, it.at_mm, "found"));
    let repairs = part.repairs.iter().map(|it| row(&it.kind, it.count, None, "repaired"));
    Section {
        title: "Part",
        rows: vec![
            ("Size", format!("{} × {} × {} mm", size[0], size[1], size[2])),
            ("Volume", format::volume(part.volume_mm3)),
            ("Surface", format::area(Some(part.area_mm2))),
            ("Center", format::point(part.centroid_mm)),
            ("Unit of the file", unit),
            ("Mesh", format!("{} facets, {closed}", format::count(Some(part.facets)))),
            ("Bodies", part.bodies.to_string()),
            ("Chord error", format::maybe(part.chord_error_mm, "mm")),
        ],
        tables: table(
            "What was wrong with the file",
            &["What", "Count", "First at", "State"],
            defects.chain(repairs).collect(),
        ),
        notes: Vec::new(),
    }
}

fn thickness(report: &Report) -> Section {
    let walls = &report.thickness;
    let spread = |quantiles: Option<crate::schema::Quantiles>| {
        format::known(quantiles.map(|q| {
            let [low, middle, high] = [q.p05, q.p50, q.p95].map(format::number);
            format!("{middle} mm (nine tenths within {low} to {high} mm)")
        }))
    };
    let regions = [("thin", &walls.thin), ("thick", &walls.thick)];
    let rows = regions.iter().flat_map(|(kind, regions)| {
        regions.iter().map(move |region| {
            vec![
                (*kind).to_owned(),
                format::quantity(region.value_mm, "mm"),
                format::area(Some(region.area_mm2)),
                format::point(region.at_mm),
            ]
        })
    });
    Section {
        title: WALLS,
        rows: vec![
            ("Along the inward normal", spread(walls.ray_mm)),
            ("Inscribed ball", spread(walls.ball_mm)),
            ("Least wall", format::maybe(walls.limit_low_mm, "mm")),
            ("Greatest wall", format::maybe(walls.limit_high_mm, "mm")),
            ("Points measured", format::count(Some(walls.samples))),
            ("Distance between points", format::quantity(walls.spacing_mm, "mm")),
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
            face.side.to_string(),
            format::quantity(face.draft_deg, "°"),
            format::quantity(face.required_deg, "°"),
            format::quantity(face.height_mm, "mm"),
            format::area(Some(face.area_mm2)),
            format::point(face.at_mm),
        ]
    });
    Section {
        title: "Draft",
        rows: vec![
            (
                "Needed by a wall as tall as the part",
                format::maybe(draft.required_deg, "°"),
            ),
            ("Area with less than it needs", format::area(Some(draft.short_area_mm2))),
            ("Cavity side", format::area(Some(draft.cavity_area_mm2))),
            ("Core side", format::area(Some(draft.core_area_mm2))),
            ("Upright", format::area(Some(draft.upright_area_mm2))),
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
            region.cause.to_string(),
            format::maybe(region.depth_mm, "mm"),
            format::area(Some(region.area_mm2)),
            format::volume(region.volume_mm3),
            format::point(region.at_mm),
            region.release_direction.map_or_else(|| "none".to_owned(), format::direction),
            region.ways_out.join("; "),
        ]
    };
    Section {
        title: "Undercuts",
        rows: vec![
            ("Trapped area", format::area(Some(undercut.area_mm2))),
            ("Trapped metal", format::volume(undercut.volume_mm3)),
            ("Greatest depth", format::maybe(undercut.depth_mm, "mm")),
        ],
        tables: table(
            "Trapped regions",
            &["Cause", "Depth", "Area", "Metal", "Where", "Comes free along", "Ways out"],
            undercut.regions.iter().map(region).collect(),
        ),
        notes: Vec::new(),
    }
}

/// Cautions of the plastic and of the press.
pub fn cautions(report: &Report) -> Vec<String> {
    [report.plastic.cautions.as_slice(), &report.press.cautions].concat()
}

/// What the keys in brackets stand for, each as key in brackets and citation.
pub fn sources(report: &Report) -> Vec<String> {
    let line =
        |source: &crate::schema::Source| format!("[{}] {}", source.key, source.citation);
    report.sources.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::{causes, sections};
    use crate::schema::{self, fixtures};
    use crate::units::format;

    #[test]
    fn every_row_is_as_long_as_its_head_and_long_lists_end() {
        let report = fixtures::report();
        let mut tables: Vec<_> =
            sections(&report).into_iter().flat_map(|s| s.tables).collect();
        tables.push(causes(&report));
        assert!(tables.len() >= 6);
        // The sheet for the press is one page and is not cut short.
        for table in &tables {
            assert!(table.rows.len() <= 13, "{}", table.title);
            assert!(table.rows.iter().all(|row| row.len() == table.columns.len()));
        }
        let more = |row: &&Vec<String>| row[0] == "… 3 more in the JSON report";
        let ends = tables.iter().filter_map(|table| table.rows.last());
        assert_eq!(ends.filter(more).count(), 1, "15 directions, 12 shown");
    }

    #[test]
    fn what_is_not_known_is_said_once() {
        let mut report = fixtures::report();
        report.fill = schema::Fill::default();
        let all = sections(&report);
        let fill = all.iter().find(|section| section.title == "Filling").unwrap();
        assert!(fill.rows.is_empty() && fill.notes[0].starts_with("Not worked out: "));
        let part = all.iter().find(|section| section.title == "Part").unwrap();
        assert!(part.rows.iter().all(|(_, value)| value != format::NOT_KNOWN));
        assert!(part.notes[0].starts_with("Not worked out: volume."), "{:?}", part.notes);
    }
}
