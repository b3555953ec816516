//! The surface as bytes for the page: 16-bit places and values, differences from corner to
//! corner, low bytes apart from high ones, all of it compressed (zlib, RFC 1950) and in
//! letters (base64, RFC 4648).
//!
//! In this order, each list one after the other: x, y, z; normal on an octahedron, two
//! bytes; thickness by ray and by ball, draft, time; kind; half; problem; face; corners of the facets
//! as distance below the highest index so far; ends of the sharp edges likewise.

use std::io::Write;

use base64::prelude::{BASE64_STANDARD, Engine};
use flate2::Compression;
use flate2::write::ZlibEncoder;

use crate::draw::problems::Problem;
use crate::geom::{Aabb, Vector};
use crate::part::halves::Half;
use crate::viewer::corners::Surface;

/// Code of the greatest of the values of one kind; the least has code 0.
pub(crate) const LAST_CODE: u16 = u16::MAX - 1;
/// Code of *no value*.
pub(crate) const NO_VALUE_CODE: u16 = u16::MAX;
/// Code of 1 in a folded normal.
pub(crate) const UNIT_NORMAL_CODE: i8 = i8::MAX;
/// Code of a corner of which no kind is known.
const NO_KIND: u8 = 255;

/// A packed surface and what its numbers mean.
pub(crate) struct Packed {
    /// The letters.
    pub(crate) letters: String,
    /// Place of code 0, mm.
    pub(crate) low: [f64; 3],
    /// Size of one step, mm.
    pub(crate) step: [f64; 3],
    /// Value of code 0 and size of one step of each of the four values.
    pub(crate) ranges: [[f64; 2]; 4],
}

/// Packs `surface`.
pub(crate) fn pack(surface: &Surface) -> Packed {
    let bounds = Aabb::around(surface.corners.iter().map(|corner| &corner.at));
    let low = [0, 1, 2]
        .map(|axis| if bounds.min[axis].is_finite() { bounds.min[axis] } else { 0.0 });
    let step = [0, 1, 2].map(|axis| step(bounds.max[axis] - bounds.min[axis]));
    let ranges = [0, 1, 2, 3].map(|field| range(surface, field));
    let mut bytes = Vec::new();
    let corners = &surface.corners;
    for axis in 0..3 {
        words(
            &mut bytes,
            corners.iter().map(|it| code(it.at[axis], low[axis], step[axis])),
        );
    }
    let folded: Vec<[i8; 2]> = corners.iter().map(|it| fold(&it.normal)).collect();
    for axis in 0..2 {
        bytes.extend(folded.iter().map(|it| it[axis].cast_unsigned()));
    }
    for (field, [least, step]) in ranges.iter().enumerate() {
        let coded = |value: Option<f64>| {
            value.map_or(NO_VALUE_CODE, |it| code(it, *least, *step))
        };
        words(&mut bytes, corners.iter().map(|it| coded(it.values[field])));
    }
    bytes.extend(corners.iter().map(|it| it.kind.unwrap_or(NO_KIND)));
    bytes.extend(corners.iter().map(|it| u8::from(it.half == Half::Plus)));
    let problem = |problem: Option<Problem>| {
        let code = Problem::ALL.iter().position(|&each| Some(each) == problem);
        code.map_or(0, |code| code as u8 + 1)
    };
    bytes.extend(corners.iter().map(|it| problem(it.problem)));
    let mut last = 0;
    longs(
        &mut bytes,
        corners
            .iter()
            .map(|it| it.face.wrapping_sub(std::mem::replace(&mut last, it.face))),
    );
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
    if extent.is_finite() && extent > 0.0 { extent / f64::from(LAST_CODE) } else { 1.0 }
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
    ((value - low) / step).round().clamp(0.0, f64::from(LAST_CODE)) as u16
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
    [x, y].map(|value| (value * f64::from(UNIT_NORMAL_CODE)).round() as i8)
}

/// Differences of 16-bit numbers: all low bytes, then all high bytes.
fn words(bytes: &mut Vec<u8>, values: impl Iterator<Item = u16>) {
    let mut last = 0;
    let steps: Vec<[u8; 2]> = values
        .map(|value| {
            value.wrapping_sub(std::mem::replace(&mut last, value)).to_le_bytes()
        })
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

#[cfg(test)]
mod tests {
    use std::io::Read;

    use base64::prelude::{BASE64_STANDARD, Engine};
    use flate2::read::ZlibDecoder;

    use super::{NO_KIND, fold, pack};
    use crate::geom::{Point, Vector};
    use crate::part::halves::Half;
    use crate::viewer::corners::{Corner, Surface};

    fn corner(at: [f64; 3], ball: Option<f64>, kind: Option<u8>) -> Corner {
        let values = [Some(2.0), ball, Some(-3.0), None];
        let half = if at[2] > 0.0 { Half::Plus } else { Half::Minus };
        let (at, normal) = (Point::from(at), Vector::z());
        Corner { at, normal, face: 7, half, values, kind, problem: None }
    }

    /// Reads the letters as the page does, by the order that the file's head gives.
    #[test]
    fn places_and_values_come_back_within_half_a_step() {
        let places =
            [[-5.0, 0.0, 0.0], [5.0, 1.0, 0.0], [0.25, 2.0, 4.0], [1.0, 1.0, 1.0]];
        let balls = [Some(0.5), None, Some(2.5), Some(1.2345)];
        let kinds = [Some(1), None, Some(3), Some(0)];
        let corners: Vec<Corner> =
            (0..4).map(|i| corner(places[i], balls[i], kinds[i])).collect();
        let facets = vec![[0, 1, 2], [2, 1, 3], [0, 3, 1]];
        let edges = vec![[1, 2]];
        let packed = pack(&Surface { corners, facets: facets.clone(), edges });
        let bytes = BASE64_STANDARD.decode(&packed.letters).unwrap();
        let mut raw = Vec::new();
        ZlibDecoder::new(bytes.as_slice()).read_to_end(&mut raw).unwrap();
        assert_eq!(raw.len(), 4 * (6 + 2 + 8 + 1 + 1 + 1 + 4) + 4 * 9 + 4 * 2);
        let words = |from: usize| -> Vec<u16> {
            let step = |i: usize| u16::from_le_bytes([raw[from + i], raw[from + 4 + i]]);
            let sum = |all: &mut u16, i: usize| {
                *all = all.wrapping_add(step(i));
                Some(*all)
            };
            (0..4).scan(0_u16, sum).collect()
        };
        for axis in 0..3 {
            for (code, place) in words(8 * axis).into_iter().zip(places) {
                let back = packed.low[axis] + f64::from(code) * packed.step[axis];
                assert!((back - place[axis]).abs() <= 0.51 * packed.step[axis]);
            }
        }
        let [low, step] = packed.ranges[1];
        for (code, ball) in words(24 + 8 + 8).into_iter().zip(balls) {
            let back = (code != u16::MAX).then(|| low + f64::from(code) * step);
            assert_eq!(back.is_some(), ball.is_some());
            assert!((back.unwrap_or(0.0) - ball.unwrap_or(0.0)).abs() <= 0.51 * step);
        }
        assert_eq!(raw[64..68], [1, NO_KIND, 3, 0]);
        assert_eq!(raw[68..72], [0, 0, 1, 1]);
        assert_eq!(raw[72..76], [0; 4]);
        let mut next = 0_u32;
        let below = |i: usize| {
            u32::from_le_bytes([0, 1, 2, 3].map(|byte| raw[92 + 9 * byte + i]))
        };
        let mut indices = Vec::new();
        for i in 0..9 {
            let index = next.wrapping_sub(below(i));
            next = next.max(index + 1);
            indices.push(index);
        }
        assert_eq!(indices, facets.as_flattened());
    }

    #[test]
    fn a_folded_normal_opens_to_within_a_degree() {
        for i in 0..500 {
            let z = 1.0 - (f64::from(i) + 0.5) / 250.0;
            let turn = f64::from(i) * 2.399_963_229_728_653;
            let across = (1.0 - z * z).sqrt();
            let normal = Vector::new(across * turn.cos(), across * turn.sin(), z);
            let [x, y] = fold(&normal).map(|code| f64::from(code) / 127.0);
            let mut open = Vector::new(x, y, 1.0 - x.abs() - y.abs());
            if open.z < 0.0 {
                let sign = |value: f64| if value < 0.0 { -1.0 } else { 1.0 };
                open.x = (1.0 - y.abs()) * sign(x);
                open.y = (1.0 - x.abs()) * sign(y);
            }
            let apart = open.normalize().dot(&normal).min(1.0).acos().to_degrees();
            assert!(apart < 1.0, "{normal} {apart}");
        }
    }

    #[test]
    fn nothing_packs_to_nothing() {
        let packed = pack(&Surface::default());
        assert!(packed.step.iter().all(|step| step.is_finite() && *step > 0.0));
        assert!(packed.low.iter().all(|low| low.is_finite()));
    }
}
