//! Repairs that look at facets and their neighbors: no area, twice there, wrong way round.

use super::topology::{Edge, Edges, Use};
use super::tri_mesh::normal_and_area;
use crate::geom::Point;
use crate::mesh::vertex_weld::Welded;

/// How many facets a repair concerned, and the place of the first.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Found {
    pub(super) count: usize,
    pub(super) at: Option<Point>,
}

impl Found {
    pub(super) fn add(&mut self, count: usize, at: Point) {
        self.count += count;
        self.at.get_or_insert(at);
    }

    /// Both together.
    pub(super) fn with(self, other: Self) -> Self {
        Self { count: self.count + other.count, at: self.at.or(other.at) }
    }
}

/// The middle of a facet.
pub(super) fn middle(mesh: &Welded, facet: usize) -> Point {
    let [a, b, c] = mesh.facets[facet].map(|i| mesh.points[i as usize].coords);
    Point::from((a + b + c) / 3.0)
}

/// A row of needles passes its corners on one at a time; more rounds than this are not
/// worth it.
const MOST_ROUNDS: usize = 32;

/// Removes facets lower than `tolerance` without opening the surface.
///
/// Where two corners are one vertex, the neighbors already meet. A needle of three
/// corners has one on its long side: the neighbor across that side is split there, so that
/// both sides of the needle meet again.
pub(super) fn remove_flat(mesh: &mut Welded, tolerance: f64) -> Found {
    let flat: Vec<bool> =
        mesh.facets.iter().map(|facet| is_flat(mesh, *facet, tolerance)).collect();
    let mut found = Found::default();
    for facet in (0..flat.len()).filter(|&facet| flat[facet]) {
        found.add(1, middle(mesh, facet));
    }
    if found.count == 0 {
        return found;
    }
    mesh.facets.retain(|[a, b, c]| a != b && b != c && c != a);
    for _ in 0..MOST_ROUNDS {
        if !split_beside_needles(mesh, tolerance) {
            return found;
        }
    }
    let points = std::mem::take(&mut mesh.facets);
    let kept = points.into_iter().filter(|facet| !is_flat(mesh, *facet, tolerance));
    mesh.facets = kept.collect();
    found
}

fn is_flat(mesh: &Welded, facet: [u32; 3], tolerance: f64) -> bool {
    let [a, b, c] = facet.map(|i| mesh.points[i as usize]);
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    normal_and_area(&a, &b, &c).is_none_or(|(_, area)| 2.0 * area <= tolerance * longest)
}

/// One round over all needles; each facet takes part at most once. Whether there was any.
fn split_beside_needles(mesh: &mut Welded, tolerance: f64) -> bool {
    let needles: Vec<usize> = (0..mesh.facets.len())
        .filter(|&facet| is_flat(mesh, mesh.facets[facet], tolerance))
        .collect();
    if needles.is_empty() {
        return false;
    }
    let edges = Edges::collect(&mesh.facets, mesh.points.len());
    let mut touched = vec![false; mesh.facets.len()];
    let mut dead = vec![false; mesh.facets.len()];
    for needle in needles {
        if !touched[needle] {
            flip_long_side(mesh, &edges, needle, &mut touched, &mut dead);
        }
    }
    let mut dead = dead.into_iter();
    mesh.facets.retain(|_| !dead.next().unwrap_or(false));
    true
}

fn flip_long_side(
    mesh: &mut Welded,
    edges: &Edges,
    needle: usize,
    touched: &mut [bool],
    dead: &mut [bool],
) {
    let corners = mesh.facets[needle];
    let length = |side: usize| {
        let [from, to] = [side, (side + 1) % 3].map(|i| mesh.points[corners[i] as usize]);
        nalgebra::distance_squared(&from, &to)
    };
    let long = (0..3).fold(0, |best, i| if length(i) > length(best) { i } else { best });
    let [from, to, tip] = [0, 1, 2].map(|i| corners[(long + i) % 3]);
    let uses = edges.between(from, to);
    let own = uses.iter().find(|one| one.facet() == needle).map(|one| one.forward());
    let mut others = uses.iter().filter(|one| one.facet() != needle);
    let (Some(&across), None) = (others.next(), others.next()) else {
        (touched[needle], dead[needle]) = (true, true);
        return;
    };
    let neighbor = across.facet();
    if touched[neighbor] {
        return;
    }
    (touched[needle], touched[neighbor]) = (true, true);
    let opposite = third(&mesh.facets, across);
    if opposite == tip {
        dead[needle] = true;
        // Two needles back to back cancel; two that run alike leave one.
        dead[neighbor] = own != Some(across.forward());
        return;
    }
    let [x, y] = [0, 1].map(|i| mesh.facets[neighbor][(across.side() + i) % 3]);
    mesh.facets[neighbor] = [x, tip, opposite];
    mesh.facets[needle] = [tip, y, opposite];
}

/// The corner of the facet that is not on the edge.
fn third(facets: &[[u32; 3]], one: Use) -> u32 {
    facets[one.facet()][(one.side() + 2) % 3]
}

/// Whether there is a facet on exactly these corners.
pub(super) fn is_facet(mesh: &Welded, edges: &Edges, corners: &[u32]) -> bool {
    let [a, b, c] = *corners else { return false };
    edges.between(a, b).iter().any(|&one| third(&mesh.facets, one) == c)
}

/// Removes facets that are there more than once.
///
/// Of facets on the same three corners one stays where the surface around needs it: each
/// of its edges has an odd number of other facets, or the facets do not cancel. As many in
/// one direction as in the other, on edges that are whole without them, are a flap or an
/// inner wall without thickness: all go, which changes no enclosed volume. Where that would
/// take more than half of a file, the file is a surface written from both sides, and one
/// of each stays.
pub(super) fn remove_duplicates(mesh: &mut Welded, edges: &Edges) -> Found {
    let groups = same_corners(&mesh.facets, edges);
    let is_wall: Vec<bool> =
        groups.iter().map(|group| cancels(mesh, edges, group)).collect();
    let walls = groups.iter().zip(&is_wall).filter(|(_, is)| **is);
    let in_walls: usize = walls.map(|(group, _)| group.len()).sum();
    let both_sides = in_walls * 2 > mesh.facets.len();
    let mut found = Found::default();
    let mut dead = vec![false; if groups.is_empty() { 0 } else { mesh.facets.len() }];
    for (group, is_wall) in groups.iter().zip(is_wall) {
        let kept =
            if is_wall && !both_sides { None } else { majority(&mesh.facets, group) };
        let removed = group.iter().filter(|&&facet| Some(facet) != kept);
        for &facet in removed {
            dead[facet] = true;
            found.add(1, middle(mesh, facet));
        }
    }
    let mut dead = dead.into_iter();
    mesh.facets.retain(|_| !dead.next().unwrap_or(false));
    found
}

/// Groups of facets on the same three corners, in file order.
fn same_corners(facets: &[[u32; 3]], edges: &Edges) -> Vec<Vec<usize>> {
    let mut suspects: Vec<([u32; 3], usize)> = Vec::new();
    for edge in edges.iter().filter(|edge| edge.uses.len() > 1) {
        let mut tips: Vec<(u32, usize)> =
            edge.uses.iter().map(|&one| (third(facets, one), one.facet())).collect();
        tips.sort_unstable();
        let twice = tips.chunk_by(|a, b| a.0 == b.0).filter(|same| same.len() > 1);
        suspects
            .extend(twice.flatten().map(|&(_, facet)| (sorted(facets[facet]), facet)));
    }
    suspects.sort_unstable();
    suspects.dedup();
    let mut groups: Vec<Vec<usize>> = suspects
        .chunk_by(|a, b| a.0 == b.0)
        .map(|group| group.iter().map(|&(_, facet)| facet).collect())
        .collect();
    groups.sort_unstable();
    groups
}

fn sorted(mut corners: [u32; 3]) -> [u32; 3] {
    corners.sort_unstable();
    corners
}

/// Whether the corners run the way of their sorted order.
fn runs_up(corners: [u32; 3]) -> bool {
    let [a, b, c] = corners;
    // Of three different numbers in a ring, two steps rise or one does.
    [a < b, b < c, c < a].iter().filter(|&&rises| rises).count() == 2
}

fn cancels(mesh: &Welded, edges: &Edges, group: &[usize]) -> bool {
    let up = group.iter().filter(|&&facet| runs_up(mesh.facets[facet])).count();
    let [a, b, c] = mesh.facets[group[0]];
    let whole_without = |a: u32, b: u32| {
        edges.between(a, b).len().saturating_sub(group.len()).is_multiple_of(2)
    };
    2 * up == group.len()
        && whole_without(a, b)
        && whole_without(b, c)
        && whole_without(c, a)
}

/// The first facet of the direction that most of the group have.
fn majority(facets: &[[u32; 3]], group: &[usize]) -> Option<usize> {
    let up = group.iter().filter(|&&facet| runs_up(facets[facet])).count();
    let wanted = match (2 * up).cmp(&group.len()) {
        std::cmp::Ordering::Less => false,
        std::cmp::Ordering::Equal => return group.first().copied(),
        std::cmp::Ordering::Greater => true,
    };
    group.iter().copied().find(|&facet| runs_up(facets[facet]) == wanted)
}

/// Turns facets so that neighbors over edges of two facets agree, the way that most facets
/// of the surface have.
pub(super) fn orient(mesh: &mut Welded, edges: &Edges) -> Found {
    let mut found = Found::default();
    if !edges.iter().any(|edge| disagrees(&edge)) {
        return found;
    }
    let neighbors = Neighbors::across(mesh.facets.len(), edges);
    let mut seen = vec![false; mesh.facets.len()];
    for seed in 0..seen.len() {
        if seen[seed] {
            continue;
        }
        let surface = neighbors.surface(seed, &mut seen);
        let turned = surface.iter().filter(|(_, turn)| *turn).count();
        let wanted = turned * 2 <= surface.len();
        let mut to_turn: Vec<usize> =
            surface.iter().filter(|(_, turn)| *turn == wanted).map(|one| one.0).collect();
        if turned == 0 {
            continue;
        }
        to_turn.sort_unstable();
        for facet in to_turn {
            mesh.facets[facet].swap(1, 2);
            found.add(1, middle(mesh, facet));
        }
    }
    found
}

/// Whether an edge has two facets that run along it in the same direction.
pub(super) fn disagrees(edge: &Edge<'_>) -> bool {
    edge.uses.len() == 2 && edge.uses[0].forward() == edge.uses[1].forward()
}

/// Over each side of each facet the one facet beyond, and whether the two disagree.
struct Neighbors(Vec<Option<(u32, bool)>>);

impl Neighbors {
    fn across(facets: usize, edges: &Edges) -> Self {
        let mut over = vec![None; facets * 3];
        for edge in edges.iter() {
            if let [a, b] = *edge.uses {
                let disagree = disagrees(&edge);
                for (one, other) in [(a, b), (b, a)] {
                    // 29 bits of facet.
                    let facet = other.facet() as u32;
                    over[one.facet() * 3 + one.side()] = Some((facet, disagree));
                }
            }
        }
        Self(over)
    }

    /// Every facet that can be reached from `seed`, and whether it must turn to agree.
    fn surface(&self, seed: usize, seen: &mut [bool]) -> Vec<(usize, bool)> {
        let mut surface = vec![(seed, false)];
        seen[seed] = true;
        let mut at = 0;
        while let Some(&(facet, turn)) = surface.get(at) {
            for &(next, disagree) in self.0[facet * 3..facet * 3 + 3].iter().flatten() {
                let next = next as usize;
                if !seen[next] {
                    seen[next] = true;
                    surface.push((next, turn != disagree));
                }
            }
            at += 1;
        }
        surface
    }
}

#[cfg(test)]
mod tests {
    use super::{Edges, orient, remove_duplicates, remove_flat};
    use crate::geom::Point;
    use crate::mesh::vertex_weld::Welded;

    fn tetrahedron() -> Welded {
        let points = [[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        Welded {
            points: points.map(Point::from).to_vec(),
            facets: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]],
        }
    }

    fn edges(mesh: &Welded) -> Edges {
        Edges::collect(&mesh.facets, mesh.points.len())
    }

    #[test]
    fn a_needle_goes_and_the_surface_stays_closed() {
        let mut mesh = tetrahedron();
        // Vertex 4 in the middle of edge 0–1: facet 0 is cut there, facet 1 is not, and a
        // needle closes the gap.
        mesh.points.push(Point::new(0.5, 0.0, 0.0));
        mesh.facets.splice(0..1, [[0, 2, 4], [4, 2, 1], [0, 4, 1]]);
        assert!(edges(&mesh).balanced());
        assert_eq!(remove_flat(&mut mesh, 1e-12).count, 1);
        assert_eq!(mesh.facets.len(), 6);
        assert!(edges(&mesh).balanced());
    }

    #[test]
    fn a_facet_that_is_there_twice_stays_once() {
        for copy in [[1, 2, 3], [2, 1, 3]] {
            let mut mesh = tetrahedron();
            mesh.facets.push(copy);
            let found = remove_duplicates(&mut mesh, &edges(&tetrahedron_with(copy)));
            assert_eq!((found.count, mesh.facets.len()), (1, 4));
            assert!(edges(&mesh).balanced());
        }
    }

    fn tetrahedron_with(copy: [u32; 3]) -> Welded {
        let mut mesh = tetrahedron();
        mesh.facets.push(copy);
        mesh
    }

    #[test]
    fn a_flap_without_thickness_goes_whole() {
        let mut mesh = tetrahedron();
        mesh.points.push(Point::new(0.5, -1.0, 0.0));
        mesh.facets.extend([[0, 1, 4], [1, 0, 4]]);
        let at = edges(&mesh);
        assert_eq!(remove_duplicates(&mut mesh, &at).count, 2);
        assert_eq!(mesh.facets, tetrahedron().facets);
    }

    #[test]
    fn a_surface_written_from_both_sides_stays_once() {
        let mut mesh = tetrahedron();
        let backs: Vec<_> = mesh.facets.iter().map(|&[a, b, c]| [a, c, b]).collect();
        mesh.facets.extend(backs);
        let at = edges(&mesh);
        assert_eq!(remove_duplicates(&mut mesh, &at).count, 4);
        assert_eq!(mesh.facets, tetrahedron().facets);
    }

    #[test]
    fn the_few_turn_to_agree_with_the_many() {
        let mut mesh = tetrahedron();
        mesh.facets[2].swap(0, 1);
        let at = edges(&mesh);
        assert_eq!(orient(&mut mesh, &at).count, 1);
        assert!(edges(&mesh).balanced());
        assert_eq!(mesh.facets[0], [0, 2, 1]);
    }
}
