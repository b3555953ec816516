//! The halves, the part and the feed as STL, and all of them as one 3MF in millimeters.

use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::result::ZipResult;
use zip::write::SimpleFileOptions;

use crate::geom::Point;
use crate::mesh::solid::Solid;
use crate::mesh::stl;
use crate::mold::build::Mold;
use crate::mold::pose::Pose;
use crate::mold::stock::Body;

/// Steps in a millimeter to which places are rounded in the 3MF: a hundredth of a micron.
const STEPS_PER_MM: f64 = 1e5;

/// The solids by name, as they lie in their files.
pub(crate) fn posed(mold: &Mold, pose: Pose) -> Vec<(String, Solid)> {
    let posed = |Body { name, piece, solid }: Body<'_>| {
        (name, solid.map(|point| pose.place(mold, piece.half(), point)))
    };
    mold.bodies().into_iter().map(posed).collect()
}

/// A solid as binary STL. Facets whose corners fall together in single precision go: their
/// neighbors meet there.
pub(crate) fn stl(solid: &Solid) -> std::io::Result<Vec<u8>> {
    let single =
        |point: &Point| [point.x, point.y, point.z].map(|value| value as f32 + 0.0);
    let kept: Vec<[Point; 3]> = solid
        .triangles()
        .filter(|corners| {
            let [a, b, c] = [&corners[0], &corners[1], &corners[2]].map(single);
            let bits = [a, b, c].map(|corner| corner.map(f32::to_bits));
            bits[0] != bits[1] && bits[1] != bits[2] && bits[2] != bits[0]
        })
        .collect();
    let mut bytes = Vec::new();
    stl::write(kept.into_iter(), &mut bytes)?;
    Ok(bytes)
}

// The three parts of a package: its content types, where its model is, the model.
const CONTENT_TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
"#;
const RELATIONS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rel0" Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
"#;
const MODEL_START: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
<resources>
"#;

/// All solids in one file: 3MF Core Specification 1.3, in an Open Packaging Conventions
/// package without dates.
pub(crate) fn three_mf(solids: &[(String, Solid)]) -> ZipResult<Vec<u8>> {
    let numbered = || solids.iter().zip(1..);
    let mut model = MODEL_START.to_owned();
    for ((name, solid), id) in numbered() {
        model += &format!("<object id=\"{id}\" name=\"{name}\" type=\"model\"><mesh>\n");
        mesh(&mut model, solid);
        model += "</mesh></object>\n";
    }
    model += "</resources>\n<build>\n";
    for (_, id) in numbered() {
        model += &format!("<item objectid=\"{id}\"/>\n");
    }
    model += "</build>\n</model>\n";
    let mut package = ZipWriter::new(Cursor::new(Vec::new()));
    let parts = [
        ("[Content_Types].xml", CONTENT_TYPES),
        ("_rels/.rels", RELATIONS),
        ("3D/3dmodel.model", &model),
    ];
    for (name, text) in parts {
        package.start_file(name, SimpleFileOptions::default())?;
        package.write_all(text.as_bytes())?;
    }
    Ok(package.finish()?.into_inner())
}

fn mesh(model: &mut String, solid: &Solid) {
    let round = |value: f64| (value * STEPS_PER_MM).round() / STEPS_PER_MM + 0.0;
    *model += "<vertices>\n";
    for point in &solid.points {
        let [x, y, z] = [point.x, point.y, point.z].map(round);
        *model += &format!("<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>\n");
    }
    *model += "</vertices>\n<triangles>\n";
    for [a, b, c] in &solid.facets {
        *model += &format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>\n");
    }
    *model += "</triangles>\n";
}
