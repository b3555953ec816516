//! Binary STL: 80 bytes of anything, a count, then 50 bytes a facet.
//!
//! The count is never believed for memory: what can be read is what the size of the file
//! holds. Where the two disagree, the facets themselves decide which one is right.

use std::io;

use super::stl_problem::{Gathered, Oddity, StlError, StlTriangle};

/// Bytes of the header and the count.
pub(super) const HEADER: usize = 84;
/// Bytes of one facet: a normal, three corners, two attribute bytes.
const FACET: usize = 50;
/// No part is that large in any unit; random bytes often are.
const LARGEST_COORDINATE: f32 = 1e15;
/// How many facets are looked at to tell a damaged STL from some other file.
const PROBES: usize = 64;

/// Whether count and size agree to the byte, which no other kind of file does by chance.
pub(super) fn agrees_with_its_size(bytes: &[u8]) -> bool {
    announced(bytes).is_some_and(|n| {
        n > 0 && bytes.len() as u64 == HEADER as u64 + FACET as u64 * u64::from(n)
    })
}

/// Reads a binary STL.
pub(super) fn read(bytes: &[u8]) -> Result<(Vec<StlTriangle>, Vec<Oddity>), StlError> {
    let Some(announced) = announced(bytes) else {
        return Err(StlError::HeaderCutOff { bytes: bytes.len() });
    };
    let body = &bytes[HEADER..];
    let (facets, oddity) = facets_to_read(announced, body)?;
    let (triangles, normals) = gather(body, facets).finish()?;
    Ok((triangles, oddity.into_iter().chain(normals).collect()))
}

fn announced(bytes: &[u8]) -> Option<u32> {
    let count = bytes.get(HEADER - 4..HEADER)?;
    count.try_into().ok().map(u32::from_le_bytes)
}

/// How many facets to read, and what is odd about that number.
fn facets_to_read(
    announced: u32,
    body: &[u8],
) -> Result<(usize, Option<Oddity>), StlError> {
    let (whole, rest) = (body.len() / FACET, body.len() % FACET);
    let wanted = usize::try_from(announced).unwrap_or(usize::MAX);
    if wanted == whole && rest == 0 {
        return Ok((whole, None));
    }
    if !looks_like_facets(body, whole.min(wanted.max(1))) {
        return Err(StlError::NotStl { looks_like: "data of another kind" });
    }
    let wrong = Oddity::WrongCount { announced, read: whole };
    if wanted > whole {
        return match rest {
            0 if whole > 0 => Ok((whole, Some(wrong))),
            _ => Err(StlError::CutOff { whole, announced }),
        };
    }
    if rest == 0 && belongs_to_the_part(body, wanted) {
        return Ok((whole, Some(wrong)));
    }
    Ok((wanted, Some(Oddity::TrailingBytes { bytes: body.len() - wanted * FACET })))
}

/// Whether most of the first `facets`, sampled evenly, have corners that a part can have.
fn looks_like_facets(body: &[u8], facets: usize) -> bool {
    let probes = facets.min(PROBES);
    let sane = (0..probes)
        .filter(|i| {
            corners(body, i * facets / probes).all(|x| x.abs() < LARGEST_COORDINATE)
        })
        .count();
    sane * 2 >= probes
}

/// Whether what follows the first `counted` facets is facets of the same part, so that the
/// count is wrong and not the bytes: corners that differ, about where the others lie.
fn belongs_to_the_part(body: &[u8], counted: usize) -> bool {
    let whole = body.len() / FACET;
    let largest = |from: usize, to: usize| {
        (from..to).flat_map(|i| corners(body, i)).fold(0.0, |most: f32, x| {
            if x.is_finite() { most.max(x.abs()) } else { f32::INFINITY }
        })
    };
    let apart = |i: &usize| {
        let numbers: Vec<u32> = corners(body, *i).map(f32::to_bits).collect();
        numbers[..3] != numbers[3..6] && numbers[3..6] != numbers[6..]
    };
    let beyond = largest(counted, whole);
    let limit =
        if counted == 0 { LARGEST_COORDINATE } else { 10.0 * largest(0, counted) };
    beyond <= limit && (counted..whole).filter(apart).count() * 2 > whole - counted
}

/// The nine coordinates of the corners of facet `index`.
fn corners(body: &[u8], index: usize) -> impl Iterator<Item = f32> + '_ {
    let facet = body.get(index * FACET..(index + 1) * FACET).unwrap_or_default();
    let (numbers, _) = facet.as_chunks::<4>();
    numbers.iter().skip(3).map(|&four| f32::from_le_bytes(four))
}

fn gather(body: &[u8], facets: usize) -> Gathered {
    let mut gathered = Gathered::with_capacity(facets);
    let mut reader = Relabelled::new(body, facets);
    if let Ok(found) = stl_io::create_stl_reader(&mut reader) {
        // The relabelled count holds exactly what is there, so no facet can fail.
        for facet in found.map_while(Result::ok) {
            gathered.push(&facet);
        }
    }
    gathered
}

/// The facets behind a header of our own, so that neither the word `solid` in the original
/// nor its count can mislead the reader.
struct Relabelled<'a> {
    header: [u8; HEADER],
    body: &'a [u8],
    at: usize,
}

impl<'a> Relabelled<'a> {
    fn new(body: &'a [u8], facets: usize) -> Self {
        let mut header = [0; HEADER];
        // The reader looks for a first line: let it find an empty one at once.
        header[0] = b'\n';
        let count = u32::try_from(facets).unwrap_or(u32::MAX);
        header[HEADER - 4..].copy_from_slice(&count.to_le_bytes());
        Self { header, body, at: 0 }
    }
}

impl io::Read for Relabelled<'_> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        let from = match self.header.get(self.at..) {
            Some(header) if !header.is_empty() => header,
            _ => self.body.get(self.at - HEADER..).unwrap_or_default(),
        };
        let n = from.len().min(out.len());
        out[..n].copy_from_slice(&from[..n]);
        self.at += n;
        Ok(n)
    }
}

impl io::Seek for Relabelled<'_> {
    fn seek(&mut self, to: io::SeekFrom) -> io::Result<u64> {
        let end = self.header.len() + self.body.len();
        let target = match to {
            io::SeekFrom::Start(at) => i64::try_from(at).ok(),
            io::SeekFrom::End(by) => (end as i64).checked_add(by),
            io::SeekFrom::Current(by) => (self.at as i64).checked_add(by),
        };
        let at = target.and_then(|at| usize::try_from(at).ok());
        self.at = at.ok_or(io::ErrorKind::InvalidInput)?.min(end);
        Ok(self.at as u64)
    }
}

#[cfg(test)]
mod tests {
    use super::{FACET, HEADER, Oddity, StlError, read};

    /// `facets` sound facets behind a header that begins with `solid`, every attribute used.
    fn file(facets: u16, announced: u32) -> Vec<u8> {
        let mut bytes = b"solid but binary all the same".to_vec();
        bytes.resize(HEADER - 4, b' ');
        bytes.extend(announced.to_le_bytes());
        for i in 0..facets {
            let x = f32::from(i);
            let numbers =
                [0.0, 0.0, 1.0, x, 0.0, 0.0, x + 1.0, 0.0, 0.0, x, 1.0, 0.0_f32];
            bytes.extend(numbers.iter().flat_map(|n| n.to_le_bytes()));
            bytes.extend([0x34, 0x12]);
        }
        bytes
    }

    #[test]
    fn the_word_solid_and_attribute_bytes_change_nothing() {
        let (triangles, odd) = read(&file(3, 3)).unwrap();
        assert_eq!(triangles[2], [[2.0, 0.0, 0.0], [3.0, 0.0, 0.0], [2.0, 1.0, 0.0]]);
        assert_eq!((triangles.len(), odd.len()), (3, 0));
    }

    #[test]
    fn bytes_after_the_last_facet_are_counted_and_ignored() {
        for extra in [1, 49, 51, 500] {
            let mut bytes = file(3, 3);
            bytes.resize(bytes.len() + extra, 0xAB);
            let (triangles, odd) = read(&bytes).unwrap();
            assert_eq!(
                (triangles.len(), &odd[..]),
                (3, &[Oddity::TrailingBytes { bytes: extra }][..])
            );
        }
    }

    #[test]
    fn a_wrong_count_over_whole_facets_is_odd() {
        for announced in [0, 1, 4, u32::MAX] {
            let (triangles, odd) = read(&file(3, announced)).unwrap();
            assert_eq!(
                (triangles.len(), &odd[..]),
                (3, &[Oddity::WrongCount { announced, read: 3 }][..])
            );
        }
    }

    #[test]
    fn a_file_that_ends_inside_a_facet_is_cut_off() {
        let bytes = file(3, 3);
        let error = read(&bytes[..bytes.len() - 1]).unwrap_err();
        assert_eq!(error, StlError::CutOff { whole: 2, announced: 3 });
        assert!(error.to_string().contains("2 whole facets"));
        let error = read(&bytes[..HEADER + 10]).unwrap_err();
        assert_eq!(error, StlError::CutOff { whole: 0, announced: 3 });
        assert_eq!(
            read(&bytes[..HEADER - 1]).unwrap_err(),
            StlError::HeaderCutOff { bytes: 83 }
        );
    }

    #[test]
    fn corners_that_are_nowhere_are_refused_with_their_facet() {
        let mut bytes = file(3, 3);
        let at = HEADER + FACET + 12;
        bytes[at..at + 4].copy_from_slice(&f32::NAN.to_le_bytes());
        assert_eq!(
            read(&bytes).unwrap_err(),
            StlError::NotFinite { facets: 1, first: 2 }
        );
        bytes[at..at + 4].copy_from_slice(&f32::NEG_INFINITY.to_le_bytes());
        assert_eq!(
            read(&bytes).unwrap_err(),
            StlError::NotFinite { facets: 1, first: 2 }
        );
    }

    #[test]
    fn a_header_alone_holds_no_facet() {
        assert_eq!(read(&file(0, 0)).unwrap_err(), StlError::NoFacets);
    }
}
