//! `part.ply`: the mesh with what was measured at each corner, for any mesh viewer.
//!
//! Stanford PLY, binary, little endian. PLY knows no `null`: a missing thickness or kind
//! is −1, a missing draft −999 (−1° is a draft), and the header says so.

use crate::draw::palette::Kind;
use crate::mesh::TriMesh;

/// Written where a thickness or a kind is missing.
const MISSING: f32 = -1.0;
/// Written where a draft is missing.
const MISSING_DRAFT: f32 = -999.0;

/// What was measured, one value a corner of the mesh; a list that is too short counts as
/// missing from there on.
#[derive(Clone, Copy, Debug, Default)]
pub struct Fields<'a> {
    /// Thickness along the inward normal, mm.
    pub thickness_ray_mm: &'a [Option<f64>],
    /// Diameter of the inscribed ball, mm.
    pub thickness_ball_mm: &'a [Option<f64>],
    /// Angle to the pull, degrees.
    pub draft_deg: &'a [Option<f64>],
    /// How it leaves the mold.
    pub release: &'a [Option<Kind>],
}

const PROPERTIES: &str = "property double x\nproperty double y\nproperty double z\n\
    property float thickness_ray\nproperty float thickness_ball\nproperty float draft\n\
    property float release\n";

/// The file of `mesh` with `fields`.
pub fn write(mesh: &TriMesh, fields: &Fields<'_>) -> Vec<u8> {
    let (vertices, facets) = (mesh.points().len(), mesh.facets().len());
    let header = format!(
        "ply\nformat binary_little_endian 1.0\n\
         comment goodshot: x y z and thickness in mm, draft in degrees\n\
         comment release: 0 cavity side, 1 core side, 2 upright, 3 trapped\n\
         comment no value: thickness and release -1, draft -999\n\
         element vertex {vertices}\n{PROPERTIES}\
         element face {facets}\nproperty list uchar int vertex_indices\nend_header\n"
    );
    let mut bytes = header.into_bytes();
    bytes.reserve(vertices * 40 + facets * 13);
    let at = |values: &[Option<f64>], i: usize, missing: f32| {
        let value = values.get(i).copied().flatten().filter(|value| value.is_finite());
        value.map_or(missing, |value| value as f32)
    };
    for (i, point) in mesh.points().iter().enumerate() {
        for axis in point.iter() {
            bytes.extend(axis.to_le_bytes());
        }
        let kind = fields.release.get(i).copied().flatten();
        let code = Kind::ALL.iter().position(|&each| Some(each) == kind);
        let values = [
            at(fields.thickness_ray_mm, i, MISSING),
            at(fields.thickness_ball_mm, i, MISSING),
            at(fields.draft_deg, i, MISSING_DRAFT),
            code.map_or(MISSING, |code| code as f32),
        ];
        for value in values {
            bytes.extend(value.to_le_bytes());
        }
    }
    for facet in mesh.facets() {
        bytes.push(3);
        for corner in facet {
            bytes.extend(corner.to_le_bytes());
        }
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::{Fields, write};
    use crate::draw::palette::Kind;
    use crate::schema::fixtures;

    /// Reads the file back by the rules of its own header (Turk 1994, "The PLY Polygon
    /// File Format", from memory).
    #[test]
    fn the_file_reads_back_as_its_header_says() {
        let mesh = fixtures::block([2.0, 4.0, 6.0]);
        let fields = Fields {
            thickness_ray_mm: &[Some(1.5), None],
            thickness_ball_mm: &[Some(f64::NAN)],
            draft_deg: &[Some(-1.0)],
            release: &[Some(Kind::Trapped)],
        };
        let bytes = write(&mesh, &fields);
        let end = b"end_header\n";
        let start = bytes.windows(end.len()).position(|w| w == end).unwrap() + end.len();
        let header = std::str::from_utf8(&bytes[..start]).unwrap();
        assert!(header.is_ascii() && header.contains("element vertex 8\n"));
        let of = |kind: &str| header.matches(&format!("property {kind} ")).count();
        let stride = 8 * of("double") + 4 * of("float");
        assert_eq!(bytes.len(), start + 8 * stride + 12 * 13);
        let double =
            |at: usize| f64::from_le_bytes(bytes[at..at + 8].try_into().unwrap());
        let float = |at: usize| f32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
        let corner: Vec<f64> = (0..3).map(|axis| double(start + 8 * axis)).collect();
        assert_eq!(corner, [-1.0, -2.0, -3.0]);
        let values = |vertex: usize| {
            (0..4)
                .map(|i| float(start + vertex * stride + 24 + 4 * i))
                .collect::<Vec<_>>()
        };
        assert_eq!(values(0), [1.5, -1.0, -1.0, 3.0]);
        assert_eq!(values(1), [-1.0, -1.0, -999.0, -1.0]);
        assert_eq!(bytes[start + 8 * stride], 3);
    }
}
