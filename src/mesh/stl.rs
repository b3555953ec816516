//! STL bytes ⇄ triangles, through `stl_io`; knows nothing of paths.
//!
//! Text and binary are reported apart by content and size, never by the word `solid`, with
//! which many a binary file begins. What cannot be read is an [`StlError`] of one line; what
//! can be read but is odd is read, and said as an [`Oddity`].

use std::io;

use super::stl_binary;
pub use super::stl_problem::{Oddity, StlError, StlTriangle};
use super::stl_text;
use super::tri_mesh::normal_and_area;
use crate::geom::Point;

/// How the file was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// Fifty bytes a facet.
    Binary,
    /// Words and numbers.
    Text,
}

/// What an STL file holds.
#[derive(Clone, Debug)]
pub struct Stl {
    /// The facets in file order, every coordinate finite, in the unit of the file.
    pub triangles: Vec<StlTriangle>,
    /// What was odd about the file.
    pub oddities: Vec<Oddity>,
    /// Text or binary.
    pub encoding: Encoding,
}

impl Stl {
    /// The facets in millimeters, where one unit of the file is `unit_mm` long.
    pub fn scaled(&self, unit_mm: f64) -> Vec<[Point; 3]> {
        let place = |p: [f32; 3]| Point::from(p.map(|x| f64::from(x) * unit_mm));
        self.triangles.iter().map(|corners| corners.map(place)).collect()
    }
}

/// Reads an STL file, text or binary. Memory follows the size of `bytes`, never a number
/// that they announce.
///
/// # Errors
/// When the bytes are no STL, or one that is cut off, broken, empty, or has corners that
/// are not finite.
pub fn read(bytes: &[u8]) -> Result<Stl, StlError> {
    if bytes.is_empty() {
        return Err(StlError::Empty);
    }
    let encoding = encoding(bytes)?;
    let (triangles, oddities) = match encoding {
        Encoding::Binary => stl_binary::read(bytes)?,
        Encoding::Text => stl_text::read(bytes)?,
    };
    Ok(Stl { triangles, oddities, encoding })
}

/// Writes `triangles`, in millimeters, as a binary STL with normals from the corners.
///
/// # Errors
/// What `out` says, or that there are more facets than the format can count.
pub fn write(
    triangles: impl ExactSizeIterator<Item = [Point; 3]>,
    out: &mut impl io::Write,
) -> io::Result<()> {
    if u32::try_from(triangles.len()).is_err() {
        return Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "too many facets for an STL",
        ));
    }
    stl_io::write_stl(out, triangles.map(|corners| stored(&corners)))
}

fn stored(corners: &[Point; 3]) -> stl_io::Triangle {
    let [a, b, c] = corners;
    let normal = normal_and_area(a, b, c).map(|(normal, _)| normal).unwrap_or_default();
    // The format is single precision.
    let single = |numbers: [f64; 3]| numbers.map(|x| x as f32);
    stl_io::Triangle {
        normal: stl_io::Normal::new(single(normal.into())),
        vertices: corners.map(|p| stl_io::Vertex::new(single(p.coords.into()))),
    }
}

fn encoding(bytes: &[u8]) -> Result<Encoding, StlError> {
    if stl_binary::agrees_with_its_size(bytes) {
        return Ok(Encoding::Binary);
    }
    if stl_text::looks_like_text_stl(bytes) {
        return Ok(Encoding::Text);
    }
    match other_kind(bytes) {
        Some(looks_like) => Err(StlError::NotStl { looks_like }),
        None => Ok(Encoding::Binary),
    }
}

/// Kinds of files that people hand over by mistake, by their first bytes.
const KINDS: [(&[u8], &str); 12] = [
    (b"\x89PNG", "a PNG picture"),
    (b"\xFF\xD8\xFF", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive or a 3MF model"),
    (b"\x1F\x8B", "a gzip archive"),
    (b"ISO-10303", "a STEP model"),
    (b"ply\n", "a PLY model"),
    (b"ply\r", "a PLY model"),
    (b"\xFF\xFE", "text in 16-bit characters"),
    (b"\xFE\xFF", "text in 16-bit characters"),
    (b"<", "a web page or an XML file"),
];

fn other_kind(bytes: &[u8]) -> Option<&'static str> {
    let text = stl_text::is_text(bytes);
    let begin = if text { bytes.trim_ascii_start() } else { bytes };
    let known = KINDS.iter().find(|(mark, _)| begin.starts_with(mark));
    known.map(|(_, kind)| *kind).or_else(|| text.then_some("plain text"))
}

#[cfg(test)]
mod tests {
    use super::{Encoding, StlError, read, write};
    use crate::geom::Point;

    fn written() -> Vec<u8> {
        let corner = |x, y, z| Point::new(x, y, z);
        let triangles = [
            [corner(0.0, 0.0, 0.0), corner(2.0, 0.0, 0.0), corner(0.0, 1.5, 0.0)],
            [corner(0.0, 0.0, 0.0), corner(0.0, 1.5, 0.0), corner(0.0, 0.0, 1.0)],
        ];
        let mut bytes = Vec::new();
        write(triangles.into_iter(), &mut bytes).unwrap();
        bytes
    }

    #[test]
    fn what_is_written_reads_back() {
        let stl = read(&written()).unwrap();
        assert_eq!((stl.triangles.len(), stl.encoding), (2, Encoding::Binary));
        assert!(stl.oddities.is_empty());
        assert_eq!(stl.scaled(25.4)[0][1], Point::new(50.8, 0.0, 0.0));
    }

    #[test]
    fn a_binary_that_begins_with_solid_is_binary() {
        let mut bytes = written();
        bytes[..6].copy_from_slice(b"solid ");
        assert_eq!(read(&bytes).unwrap().encoding, Encoding::Binary);
        bytes.push(0);
        assert_eq!(read(&bytes).unwrap().encoding, Encoding::Binary);
    }

    #[test]
    fn other_files_are_named() {
        let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
        png.resize(500, 7);
        let noise: Vec<u8> =
            (0..5000_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
        for (bytes, kind) in [
            (png, "a PNG picture"),
            (b"%PDF-1.7 and so on".to_vec(), "a PDF document"),
            (b"\n <!DOCTYPE html><html></html>".to_vec(), "a web page or an XML file"),
            (b"v 0 0 0\nv 1 0 0\n".repeat(40), "plain text"),
            (noise, "data of another kind"),
        ] {
            assert_eq!(read(&bytes).unwrap_err(), StlError::NotStl { looks_like: kind });
        }
        assert_eq!(read(b"").unwrap_err(), StlError::Empty);
    }
}
