//! All files of one mold, as names and bytes.

use crate::analysis::Analysis;
use crate::analysis::milling::MillingStudy;
use crate::analysis::mold::MoldDesign;
use crate::draw::map::MapError;
use crate::draw::milling_map::{self, CutMap, Spotted};
use crate::draw::{mold_plan, open_mold};
use crate::geom::Direction;
use crate::mold::brep::Made;
use crate::mold::stock::Piece;
use crate::report::blocks::{DrawnPicture, Picture};
use crate::report::bundle::NamedFile;
use crate::report::mold::{
    drawing, gcode, html, levels, markdown, outline, solids, step, table,
};
use crate::schema::mold::MoldReport;
use crate::viewer;

/// The solid of a test piece, as long as its part is.
pub const PIECE: &str = "test-piece.stl";

/// Every file that a mold may have, besides programs for the mill
/// (`report::mold::gcode::is_program`).
pub const OWN: [&str; 36] = [
    "cavity.stl",
    "core.stl",
    "part.stl",
    "feed.stl",
    "cavity.step",
    "core.step",
    "part.step",
    "feed.step",
    "cavity_insert.stl",
    "cavity_insert_2.stl",
    "cavity_insert_3.stl",
    "cavity_insert_4.stl",
    "core_insert.stl",
    "core_insert_2.stl",
    "core_insert_3.stl",
    "core_insert_4.stl",
    "cavity_insert.step",
    "cavity_insert_2.step",
    "cavity_insert_3.step",
    "cavity_insert_4.step",
    "core_insert.step",
    "core_insert_2.step",
    "core_insert_3.step",
    "core_insert_4.step",
    "mold.3mf",
    "mold.json",
    "mold.md",
    "mold.html",
    "drill.csv",
    "parting.dxf",
    "cavity_levels.dxf",
    "core_levels.dxf",
    "maps/halves.png",
    "maps/milling.png",
    "maps/plan_cavity.png",
    "maps/plan_core.png",
];

/// Why the files of a mold could not be made.
#[derive(Debug, thiserror::Error)]
pub enum MoldFileError {
    /// A picture failed.
    #[error(transparent)]
    Map(#[from] MapError),
    /// A number has no place in JSON.
    #[error("mold.json: {0}")]
    Json(#[from] serde_json::Error),
    /// The table failed.
    #[error("drill.csv: {0}")]
    Table(#[from] csv::Error),
    /// A solid failed.
    #[error("STL: {0}")]
    Stl(#[from] std::io::Error),
    /// The solids in one file failed.
    #[error("mold.3mf: {0}")]
    ThreeMf(#[from] zip::result::ZipError),
}

/// Every file of the mold.
///
/// # Errors
/// When a picture cannot be drawn or a file cannot be packed.
pub fn write(
    analysis: &Analysis,
    tooled: &MoldDesign,
    report: &MoldReport,
) -> Result<Vec<NamedFile>, MoldFileError> {
    let mold = &tooled.mold;
    let named = |name: &str, bytes| NamedFile { name: name.to_owned(), bytes };
    let pose = tooled.pose;
    let posed = solids::posed(mold, pose);
    let mut files = Vec::new();
    for (name, solid) in &posed {
        files.push(named(&format!("{name}.stl"), solids::stl(solid)?));
    }
    for Made { name, piece, brep } in &tooled.for_cad {
        let Ok(brep) = brep else { continue };
        let half = piece.half();
        let posed =
            brep.map(|at| pose.place(mold, half, at), |way| pose.turn(mold, half, way));
        files.push(named(&format!("{name}.step"), step::write(name, &posed)));
        if let Piece::Plate(half) = *piece {
            let drawn = levels::write(mold, half, brep);
            files.push(named(&format!("{name}_levels.dxf"), drawn));
        }
    }
    files.push(named("mold.3mf", solids::three_mf(&posed)?));
    files.push(named("mold.json", json(report)?));
    files.push(named("mold.md", markdown::markdown(report).into_bytes()));
    files.push(named("drill.csv", table::csv(&report.drill)?));
    files.push(named("parting.dxf", drawing::write(mold)));
    let moves = tooled.programs.iter().flat_map(|it| &it.list);
    for (program, made) in report.programs.iter().flatten().zip(moves) {
        let written = gcode::write(program, &made.moves, &report.file);
        files.push(named(&program.file, written));
    }
    let pull = analysis.release.pull;
    let pictures = pictures(pull, tooled, &report.file)?;
    let shown: Vec<Picture<'_>> = pictures.iter().map(DrawnPicture::beside).collect();
    let solid = viewer::pack_mold(mold, pull)?;
    files.push(named("mold.html", html::write(report, &shown, &solid).into_bytes()));
    files.extend(pictures.into_iter().map(|it| named(it.file, it.png)));
    Ok(files)
}

/// The pictures of the mold.
fn pictures(
    pull: Direction,
    tooled: &MoldDesign,
    part: &str,
) -> Result<Vec<DrawnPicture>, MapError> {
    let mold = &tooled.mold;
    let cavity = mold.core.other();
    let faces = |name: &str| {
        let own = tooled.for_cad.iter().find(|made| made.name == name);
        own.and_then(|made| made.brep.as_ref().ok())
    };
    let mut pictures = vec![DrawnPicture {
        file: "maps/halves.png",
        caption: "Both halves, each on its parting face",
        alt: "The cavity half and the core half of the mold",
        png: open_mold::png(mold, pull, part)?,
    }];
    if let Ok(cutting) = &tooled.cutting {
        pictures.push(DrawnPicture {
            file: "maps/milling.png",
            caption: "What no cutter reaches",
            alt: "Both halves as the spindle sees them, with the metal that is left",
            png: standing(cutting, part)?,
        });
    }
    pictures.push(DrawnPicture {
        file: "maps/plan_cavity.png",
        caption: "Plan of the cavity half, seen on its parting face",
        alt: "Holes and slots of the cavity half with their numbers",
        png: mold_plan::png(mold, cavity, faces("cavity"), part)?,
    });
    pictures.push(DrawnPicture {
        file: "maps/plan_core.png",
        caption: "Plan of the core half, seen on its parting face",
        alt: "Holes and slots of the core half with their numbers",
        png: mold_plan::png(mold, mold.core, faces("core"), part)?,
    });
    Ok(pictures)
}

/// Both halves with what no cutter reaches; the thickest places are numbered.
fn standing(cutting: &MillingStudy, part: &str) -> Result<Vec<u8>, MapError> {
    let places = cutting.milled.unreached.iter().take(outline::MOST_NUMBERED);
    let spots: Vec<Spotted> = (1..)
        .zip(places)
        .map(|(number, place)| Spotted { number, half: place.half, at: place.at })
        .collect();
    let what = "Both halves with runner and gate: the metal that no cutter reaches";
    milling_map::png(&CutMap {
        part,
        what,
        milled: &cutting.milled,
        spots: &spots,
        numbers: "Numbers: rows of the table in mold.md.",
    })
}

/// `mold.json`.
///
/// # Errors
/// Never for a [`MoldReport`]: all its keys are text.
pub fn json(report: &MoldReport) -> serde_json::Result<Vec<u8>> {
    let mut text = serde_json::to_vec_pretty(report)?;
    text.push(b'\n');
    Ok(text)
}
