//! No bytes make loading panic, hang or reserve memory by what a header says.

use goodshot::geom::Point;
use goodshot::mesh::heal::{HealSettings, heal};
use goodshot::mesh::stl::{self, Encoding, StlError};
use proptest::collection::vec;
use proptest::prelude::{
    ProptestConfig, Strategy, any, prop_assert, prop_assert_eq, proptest,
};
use proptest::sample::Index;

/// A tetrahedron with legs of 10 mm.
fn tetrahedron() -> Vec<[Point; 3]> {
    let legs = [[0.0; 3], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 10.0]];
    let corners = legs.map(Point::from);
    let facets = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];
    facets.map(|facet: [usize; 3]| facet.map(|i| corners[i])).to_vec()
}

fn binary() -> Vec<u8> {
    let mut bytes = Vec::new();
    stl::write(tetrahedron().into_iter(), &mut bytes).unwrap();
    bytes
}

fn text() -> Vec<u8> {
    let vertex = |p: &Point| format!("      vertex {:e} {:e} {:e}\n", p.x, p.y, p.z);
    let facet = |corners: &[Point; 3]| {
        let vertices: String = corners.iter().map(vertex).collect();
        format!(
            "  facet normal 0 0 0\n    outer loop\n{vertices}    endloop\n  endfacet\n"
        )
    };
    let facets: String = tetrahedron().iter().map(facet).collect();
    format!("solid tire lever\n{facets}endsolid tire lever\n").into_bytes()
}

/// Reads `bytes`; what can be read must stay within their size, and heal without panic.
fn load(bytes: &[u8]) -> Result<usize, StlError> {
    let read = stl::read(bytes);
    if let Err(error) = &read {
        assert!(!error.to_string().contains('\n'), "one line: {error}");
    }
    let part = read?;
    assert!(part.triangles.capacity() <= 4 * (bytes.len() / 50 + 4));
    assert!(part.triangles.iter().flatten().flatten().all(|x| x.is_finite()));
    for close_holes in [false, true] {
        if let Ok(healed) = heal(part.scaled(1.0), HealSettings { close_holes }) {
            let in_bodies: usize =
                healed.record.bodies.iter().map(|body| body.facets).sum();
            assert_eq!(healed.mesh.facets().len(), in_bodies);
            assert!(
                healed.closed
                    || healed.record.bodies.iter().any(|b| b.volume_mm3.is_none())
            );
        }
    }
    Ok(part.triangles.len())
}

/// One change of one byte.
fn changes() -> impl Strategy<Value = Vec<(Index, u8)>> {
    vec((any::<Index>(), any::<u8>()), 1..8)
}

fn changed(mut bytes: Vec<u8>, changes: &[(Index, u8)]) -> Vec<u8> {
    for (index, byte) in changes {
        let at = index.index(bytes.len());
        bytes[at] = *byte;
    }
    bytes
}

#[test]
fn both_encodings_hold_the_same_part() {
    let [binary, text] = [binary(), text()].map(|bytes| stl::read(&bytes).unwrap());
    assert_eq!([binary.encoding, text.encoding], [Encoding::Binary, Encoding::Text]);
    assert_eq!(binary.triangles, text.triangles);
    let part = heal(text.scaled(1.0), HealSettings::default()).unwrap();
    // A sixth of the cube over the three legs.
    assert!((part.record.bodies[0].volume_mm3.unwrap() - 1000.0 / 6.0).abs() < 1e-9);
}

#[test]
fn any_line_end_is_read_whole() {
    for line_end in ["\n", "\r", "\r\n", " "] {
        let text = String::from_utf8(text()).unwrap().replace('\n', line_end);
        assert_eq!(load(text.as_bytes()), Ok(4));
    }
}

#[test]
fn a_count_of_four_billion_reserves_nothing() {
    let mut bytes = binary();
    bytes[80..84].fill(0xFF);
    assert_eq!(load(&bytes), Ok(4));
    bytes.truncate(bytes.len() - 1);
    let cut_off = StlError::CutOff { whole: 3, announced: u32::MAX };
    assert_eq!(load(&bytes), Err(cut_off));
}

proptest! {
    // A failure is printed with its seed; no file is left behind.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_never_panic(bytes in vec(any::<u8>(), 0..2000)) {
        let _ = load(&bytes);
    }

    #[test]
    fn random_facets_never_panic(body in vec(any::<u8>(), 50..1500), solid in any::<bool>()) {
        let mut bytes = if solid { b"solid ".to_vec() } else { Vec::new() };
        bytes.resize(80, b' ');
        let count = u32::try_from(body.len() / 50).unwrap();
        bytes.extend(count.to_le_bytes());
        bytes.extend(body);
        let _ = load(&bytes);
    }

    #[test]
    fn small_whole_coordinates_never_panic(numbers in vec(0_u8..4, 9..300)) {
        let places = numbers.chunks_exact(3).map(|p| Point::new(p[0].into(), p[1].into(), p[2].into()));
        let places: Vec<Point> = places.collect();
        let soup: Vec<[Point; 3]> = places.chunks_exact(3).map(|p| [p[0], p[1], p[2]]).collect();
        let mut bytes = Vec::new();
        stl::write(soup.iter().copied(), &mut bytes).unwrap();
        prop_assert_eq!(load(&bytes), Ok(soup.len()));
    }

    #[test]
    fn every_truncation_is_read_or_named(cut in any::<Index>()) {
        let bytes = binary();
        let end = cut.index(bytes.len());
        let whole = end.saturating_sub(84) / 50;
        match load(&bytes[..end]) {
            Ok(facets) => prop_assert_eq!((facets, end), (whole, 84 + 50 * whole)),
            Err(StlError::CutOff { whole: counted, announced }) => {
                prop_assert_eq!((counted, announced), (whole, 4));
            }
            Err(_) => prop_assert!(end < 84),
        }
        let words = text();
        let _ = load(&words[..cut.index(words.len())]);
    }

    #[test]
    fn mutations_never_panic(changes in changes(), cut in any::<Index>()) {
        for bytes in [binary(), text()] {
            let bytes = changed(bytes, &changes);
            let _ = load(&bytes);
            let _ = load(&bytes[..cut.index(bytes.len())]);
        }
    }
}
