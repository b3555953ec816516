//! The surface as bytes for the page: 16-bit places and values, differences from corner to
//! corner, low bytes apart from high ones, all of it compressed (zlib, RFC 1950) and in
//! letters (base64, RFC 4648).
//!
//! In this order, each list one after the other: x, y, z; normal on an octahedron, two
//! bytes; thickness by ray and by ball, draft, time; kind; half; face; corners of the facets
//! as distance below the highest index so far; ends of the sharp edges likewise.

use std::io::Write;

use base64::prelude::{BASE64_STANDARD, Engine};
use flate2::Compression;
use flate2::write::ZlibEncoder;

use crate::geom::{Aabb, Vector};
use crate::measure::parting::Half;
use crate::report::palette::Kind;
use crate::report::viewer::corners::Surface;

/// Steps of a 16-bit value; the last code is kept for *no value*.
const STEPS: f64 = 65_534.0;
/// *No value*.
const NONE: u16 = u16::MAX;
/// Code of a corner of which no kind is known.
const NO_KIND: u8 = 255;

/// A packed surface and what its numbers mean.
pub(super) struct Packed {
    /// The letters.
    pub(super) letters: String,
    /// Place of code 0, mm.
    pub(super) low: [f64; 3],
    /// Size of one step, mm.
    pub(super) step: [f64; 3],
    /// Value of code 0 and size of one step of each of the four values.
    pub(super) ranges: [[f64; 2]; 4],
}

/// Packs `surface`.
pub(super) fn pack(surface: &Surface) -> Packed {
    let bounds = Aabb::of(surface.corners.iter().map(|corner| &corner.at));
    let low = [0, 1, 2].map(|axis| bounds.min[axis]);
    let step = [0, 1, 2].map(|axis| step(bounds.max[axis] - bounds.min[axis]));
    let ranges = [0, 1, 2, 3].map(|field| range(surface, field));
    let mut bytes = Vec::new();
    let corners = &surface.corners;
    for axis in 0..3 {
        words(&mut bytes, corners.iter().map(|it| code(it.at[axis], low[axis], step[axis])));
    }
    let folded: Vec<[i8; 2]> = corners.iter().map(|it| fold(&it.normal)).collect();
    for axis in 0..2 {
        bytes.extend(folded.iter().map(|it| it[axis].cast_unsigned()));
    }
    for (field, [least, step]) in ranges.iter().enumerate() {
        let coded = |value: Option<f64>| value.map_or(NONE, |it| code(it, *least, *step));
        words(&mut bytes, corners.iter().map(|it| coded(it.values[field])));
    }
    let kind = |kind: Option<Kind>| {
        Kind::ALL.iter().position(|&each| Some(each) == kind).map_or(NO_KIND, |i| i as u8)
    };
    bytes.extend(corners.iter().map(|it| kind(it.kind)));
    bytes.extend(corners.iter().map(|it| u8::from(it.half == Half::Plus)));
    let mut last = 0;
    longs(&mut bytes, corners.iter().map(|it| it.face.wrapping_sub(std::mem::replace(&mut last, it.face))));
    indices(&mut bytes, surface.facets.as_flattened());
    indices(&mut bytes, surface.edges.as_flattened());
    Packed { letters: letters(&bytes), low, step, ranges }
}

/// `bytes` compressed and in letters.
fn letters(bytes: &[u8]) -> String {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::new(8));
    // Nothing can fail in memory.
    let packed = packer.write_all(bytes).and_then(|()| packer.finish());
    BASE64_STANDARD.encode(packed.unwrap_or_default())
}

/// Size of one of the steps that cover `extent`.
fn step(extent: f64) -> f64 {
    if extent.is_finite() && extent > 0.0 { extent / STEPS } else { 1.0 }
}

/// Least value and size of a step of one field.
fn range(surface: &Surface, field: usize) -> [f64; 2] {
    let known = surface.corners.iter().filter_map(|corner| corner.values[field]);
    let [low, high] = known
        .filter(|value| value.is_finite())
        .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], value| {
            [low.min(value), high.max(value)]
        });
    if low > high { [0.0, 1.0] } else { [low, step(high - low)] }
}

/// The step that `value` is nearest to.
fn code(value: f64, low: f64, step: f64) -> u16 {
    ((value - low) / step).round().clamp(0.0, STEPS) as u16
}

/// A unit vector on the octahedron whose lower half is folded out (Meyer et al. 2010, "On
/// floating-point normal vectors").
fn fold(normal: &Vector) -> [i8; 2] {
    let size = normal.abs().sum().max(f64::MIN_POSITIVE);
    let [x, y] = [normal.x / size, normal.y / size];
    let sign = |value: f64| if value < 0.0 { -1.0 } else { 1.0 };
    let [x, y] = if normal.z < 0.0 {
        [(1.0 - y.abs()) * sign(x), (1.0 - x.abs()) * sign(y)]
    } else {
        [x, y]
    };
    [x, y].map(|value| (value * 127.0).round() as i8)
}

/// Differences of 16-bit numbers: all low bytes, then all high bytes.
fn words(bytes: &mut Vec<u8>, values: impl Iterator<Item = u16>) {
    let mut last = 0;
    let steps: Vec<[u8; 2]> = values
        .map(|value| value.wrapping_sub(std::mem::replace(&mut last, value)).to_le_bytes())
        .collect();
    for byte in 0..2 {
        bytes.extend(steps.iter().map(|step| step[byte]));
    }
}

/// 32-bit numbers, byte by byte.
fn longs(bytes: &mut Vec<u8>, values: impl Iterator<Item = u32>) {
    let values: Vec<[u8; 4]> = values.map(u32::to_le_bytes).collect();
    for byte in 0..4 {
        bytes.extend(values.iter().map(|value| value[byte]));
    }
}

/// Each index as its distance below the next new one.
fn indices(bytes: &mut Vec<u8>, list: &[u32]) {
    let mut next = 0_u32;
    longs(
        bytes,
        list.iter().map(|&index| {
            let below = next.wrapping_sub(index);
            next = next.max(index + 1);
            below
        }),
    );
}
