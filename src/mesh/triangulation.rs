//! Triangles between rings on a plane: what lies to the right of every ring and inside the
//! outline.

use spade::handles::{
    FixedDirectedEdgeHandle, FixedFaceHandle, FixedVertexHandle, InnerTag,
};
use spade::{
    ConstrainedDelaunayTriangulation, HasPosition, Point2, PositionInTriangulation,
    Triangulation, mitigate_underflow,
};

/// A corner of the sheet, known to its owner by a number.
#[derive(Clone, Copy, Debug)]
struct Corner {
    place: Point2<f64>,
    name: u32,
}

impl HasPosition for Corner {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.place
    }
}

type Net = ConstrainedDelaunayTriangulation<Corner>;

/// A closed line of named corners.
#[derive(Clone, Debug)]
pub struct Line {
    /// Names, in order.
    pub names: Vec<u32>,
    /// Where each lies.
    pub places: Vec<[f64; 2]>,
}

/// What one sheet is made of.
pub struct TriangulationInput<'a> {
    /// The sheet lies to the right of these.
    pub rings: &'a [Line],
    /// And to the left of this one.
    pub outline: &'a Line,
    /// Further corners; those outside the sheet are left out.
    pub inner: &'a Line,
}

/// A triangulated sheet.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// Names of the corners of every triangle, counter-clockwise.
    pub triangles: Vec<[u32; 3]>,
    /// Number of the connected piece that holds each triangle.
    pub pieces: Vec<u32>,
}

/// The sheet; or a place where lines cross and none can be.
///
/// # Errors
/// Where two lines cross or meet.
pub fn triangulate(input: &TriangulationInput<'_>) -> Result<Sheet, [f64; 2]> {
    let mut net = Net::new();
    let outline = add_line(&mut net, input.outline)?;
    let mut rings = Vec::new();
    for ring in input.rings {
        rings.push(add_line(&mut net, ring)?);
    }
    for (&name, &[x, y]) in input.inner.names.iter().zip(&input.inner.places) {
        let place = Point2::new(x, y);
        // A corner that falls on one that is there already is not needed.
        if !matches!(net.locate(place), PositionInTriangulation::OnVertex(_)) {
            net.insert(Corner { place, name }).map_err(|_| [x, y])?;
        }
    }
    let mut seeds: Vec<FixedDirectedEdgeHandle> = Vec::new();
    let mut walls: Vec<FixedDirectedEdgeHandle> = Vec::new();
    for pair in around(&outline) {
        seeds.push(edge(&net, pair)?);
    }
    for ring in &rings {
        for [a, b] in around(ring) {
            seeds.push(edge(&net, [b, a])?);
            walls.push(edge(&net, [a, b])?);
        }
    }
    let piece = flood(&net, &seeds);
    let is_in = |handle: FixedDirectedEdgeHandle| {
        net.directed_edge(handle).face().as_inner().is_some_and(|face| {
            piece.get(face.fix().index()).copied().flatten().is_some()
        })
    };
    if let Some(wrong) = walls.iter().find(|wall| is_in(**wall)) {
        let at = net.directed_edge(*wrong).from().position();
        return Err([at.x, at.y]);
    }
    Ok(collect(&net, &piece))
}

/// Triangles to the left of all of `outline`, edges between named corners; `None` where they
/// cross or meet in the plane.
pub fn inside(
    outline: &[[u32; 2]],
    place: &dyn Fn(u32) -> [f64; 2],
) -> Option<Vec<[u32; 3]>> {
    let mut names: Vec<u32> = outline.iter().flatten().copied().collect();
    names.sort_unstable();
    names.dedup();
    let mut net = Net::new();
    let mut handles = Vec::with_capacity(names.len());
    for (count, &name) in names.iter().enumerate() {
        let [x, y] = place(name);
        // Numbers too small for exact predicates are as good as zero.
        let place = mitigate_underflow(Point2::new(x, y));
        handles.push(net.insert(Corner { place, name }).ok()?);
        if net.num_vertices() == count {
            return None;
        }
    }
    let handle = |name: &u32| {
        let at = names.binary_search(name).ok()?;
        handles.get(at).copied()
    };
    let mut seeds = Vec::with_capacity(outline.len());
    for [a, b] in outline {
        let (a, b) = (handle(a)?, handle(b)?);
        if !net.can_add_constraint(a, b) {
            return None;
        }
        net.add_constraint(a, b);
    }
    for [a, b] in outline {
        seeds.push(edge(&net, [handle(a)?, handle(b)?]).ok()?);
    }
    let piece = flood(&net, &seeds);
    Some(collect(&net, &piece).triangles)
}

/// Enters a line and joins its corners.
fn add_line(net: &mut Net, line: &Line) -> Result<Vec<FixedVertexHandle>, [f64; 2]> {
    let mut handles = Vec::with_capacity(line.names.len());
    for (&name, &[x, y]) in line.names.iter().zip(&line.places) {
        let before = net.num_vertices();
        let corner = Corner { place: Point2::new(x, y), name };
        handles.push(net.insert(corner).map_err(|_| [x, y])?);
        if net.num_vertices() == before {
            return Err([x, y]);
        }
    }
    for [a, b] in around(&handles) {
        if !net.can_add_constraint(a, b) {
            let at = net.vertex(a).position();
            return Err([at.x, at.y]);
        }
        net.add_constraint(a, b);
    }
    Ok(handles)
}

fn around(line: &[FixedVertexHandle]) -> impl Iterator<Item = [FixedVertexHandle; 2]> {
    line.iter().zip(line.iter().cycle().skip(1)).map(|(&a, &b)| [a, b])
}

fn edge(
    net: &Net,
    [a, b]: [FixedVertexHandle; 2],
) -> Result<FixedDirectedEdgeHandle, [f64; 2]> {
    let found = net.get_edge_from_neighbors(a, b).map(|edge| edge.fix());
    // A corner of another line lies on this edge.
    found.ok_or_else(|| {
        let at = net.vertex(a).position();
        [at.x, at.y]
    })
}

/// The piece of every face that is reached from the left of `seeds` without crossing a
/// line.
fn flood(net: &Net, seeds: &[FixedDirectedEdgeHandle]) -> Vec<Option<u32>> {
    let mut piece: Vec<Option<u32>> = vec![None; net.num_all_faces()];
    let mut count = 0;
    for &seed in seeds {
        let Some(start) = net.directed_edge(seed).face().as_inner() else { continue };
        if piece[start.fix().index()].is_some() {
            continue;
        }
        piece[start.fix().index()] = Some(count);
        let mut stack: Vec<FixedFaceHandle<InnerTag>> = vec![start.fix()];
        while let Some(face) = stack.pop() {
            for edge in net.face(face).adjacent_edges() {
                if net.is_constraint_edge(edge.as_undirected().fix()) {
                    continue;
                }
                let Some(other) = edge.rev().face().as_inner() else { continue };
                let seen = &mut piece[other.fix().index()];
                if seen.is_none() {
                    *seen = Some(count);
                    stack.push(other.fix());
                }
            }
        }
        count += 1;
    }
    piece
}

fn collect(net: &Net, piece: &[Option<u32>]) -> Sheet {
    let mut sheet = Sheet::default();
    for face in net.inner_faces() {
        if let Some(own) = piece[face.fix().index()] {
            sheet.triangles.push(face.vertices().map(|corner| corner.data().name));
            sheet.pieces.push(own);
        }
    }
    sheet
}

#[cfg(test)]
mod tests {
    use super::{Line, TriangulationInput, inside, triangulate};

    fn square(first: u32, [low, high]: [f64; 2]) -> Line {
        let places = vec![[low, low], [high, low], [high, high], [low, high]];
        Line { names: (first..first + 4).collect(), places }
    }

    fn area(input: &TriangulationInput<'_>) -> f64 {
        let sheet = triangulate(input).unwrap();
        let lines = input.rings.iter().chain([input.outline, input.inner]);
        let known: Vec<(u32, [f64; 2])> = lines
            .flat_map(|line| line.names.iter().copied().zip(line.places.iter().copied()))
            .collect();
        let place = |name: u32| known.iter().find(|(own, _)| *own == name).unwrap().1;
        let twice = sheet.triangles.iter().map(|names| {
            let [a, b, c] = names.map(place);
            (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        });
        twice.sum::<f64>() / 2.0
    }

    #[test]
    fn a_frame_with_a_window_has_its_area() {
        let outline = square(0, [0.0, 10.0]);
        let none = Line { names: Vec::new(), places: Vec::new() };
        let part = square(10, [2.0, 8.0]);
        let mut hole = square(20, [4.0, 6.0]);
        hole.places.reverse();
        let rings = [part, hole];
        let input = TriangulationInput { rings: &rings, outline: &outline, inner: &none };
        assert!((area(&input) - (100.0 - 36.0 + 4.0)).abs() < 1e-12);
        assert_eq!(triangulate(&input).unwrap().pieces.iter().max(), Some(&1));
        let more = Line { names: vec![30, 31], places: vec![[1.0, 1.0], [3.0, 3.0]] };
        let input = TriangulationInput { inner: &more, ..input };
        assert!((area(&input) - 68.0).abs() < 1e-12);
    }

    /// The triangles inside a polygon, with their corners.
    fn fill(polygon: &[[f64; 2]]) -> Option<Vec<[[f64; 2]; 3]>> {
        let count = u32::try_from(polygon.len()).unwrap();
        let outline: Vec<[u32; 2]> = (0..count).map(|i| [i, (i + 1) % count]).collect();
        let place = |name: u32| polygon[name as usize];
        let triangles = inside(&outline, &place)?;
        Some(triangles.into_iter().map(|names| names.map(place)).collect())
    }

    #[test]
    fn triangles_of_a_hollow_polygon_add_up_to_its_area() {
        // With a corner on a straight side, and a number that underflows when squared.
        let hollow = [
            [0.0, 1e-200],
            [1.0, 0.0],
            [2.0, 0.0],
            [2.0, 1.0],
            [1.0, 1.0],
            [1.0, 2.0],
            [3.0, 2.0],
            [3.0, 3.0],
            [0.0, 3.0],
        ];
        let triangles = fill(&hollow).unwrap();
        assert_eq!(triangles.len(), hollow.len() - 2);
        let areas = triangles.iter().map(|[a, b, c]| {
            ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2.0
        });
        let areas: Vec<f64> = areas.collect();
        assert!(areas.iter().all(|&area| area > 0.0));
        // 3 × 3 less the notch of 1 × 1 at (2, 0) and of 2 × 1 at (1, 1).
        assert!((areas.iter().sum::<f64>() - 6.0).abs() < 1e-12);
    }

    #[test]
    fn a_polygon_that_meets_itself_has_no_inside() {
        // Two sides cross; a corner lies on another side; two corners are one.
        let bow_tie = [[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]];
        let touching = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [1.0, 0.0], [0.0, 2.0]];
        let pinched =
            [[0.0, 0.0], [2.0, 0.0], [1.0, 1.0], [2.0, 2.0], [0.0, 2.0], [1.0, 1.0]];
        for polygon in [&bow_tie[..], &touching, &pinched] {
            assert_eq!(fill(polygon), None, "{polygon:?}");
        }
    }

    #[test]
    fn crossing_lines_are_reported_by_place() {
        let outline = square(0, [0.0, 10.0]);
        let none = Line { names: Vec::new(), places: Vec::new() };
        let rings = [square(10, [2.0, 6.0]), square(20, [4.0, 8.0])];
        let input = TriangulationInput { rings: &rings, outline: &outline, inner: &none };
        assert!(triangulate(&input).is_err());
    }
}
