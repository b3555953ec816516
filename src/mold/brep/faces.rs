//! From facets to faces: walls first, then planes, then edges.

use super::bores::{Around, Bore};
use super::edges::{self, Corner, Edges};
use super::net::Net;
use super::regions::{self, NONE, Regions};
use super::round_wall::{self, RoundWall};
use super::{Brep, Curve, Edge, Face, RoundHoles, Shape};
use crate::geom::{Point, Vector};
use crate::mold::cut_feature::Cut;

/// The faces of a closed surface, whose round holes `cuts` made.
pub(super) fn join(net: &Net, cuts: &[&Cut]) -> Brep {
    let walls: Vec<RoundWall> = (0..)
        .zip(cuts)
        .flat_map(|(number, cut)| round_wall::of_cut(cut, number))
        .collect();
    let mut regions = Regions::none(net);
    let pieces = wall_pieces(net, &walls, &mut regions);
    regions.grow(net);
    let bores = bores(net, &regions, &walls, &pieces);
    let is_flat = |piece: &&Piece| !bores.iter().any(|bore| bore.region == piece.region);
    for piece in pieces.iter().filter(is_flat) {
        for &facet in &piece.facets {
            regions.of[facet as usize] = NONE;
        }
    }
    let mut missing: Vec<usize> =
        pieces.iter().filter(is_flat).map(|piece| walls[piece.wall].cut).collect();
    let mut holes: Vec<usize> =
        pieces.iter().map(|piece| walls[piece.wall].cut).collect();
    for list in [&mut missing, &mut holes] {
        list.sort_unstable();
        list.dedup();
    }
    regions.grow(net);
    let holes = RoundHoles { all: holes.len(), true_round: holes.len() - missing.len() };
    Brep { holes, ..assemble(net, &regions, &walls, &bores) }
}

/// Connected facets of one wall.
struct Piece {
    region: u32,
    wall: usize,
    facets: Vec<u32>,
}

fn wall_pieces(net: &Net, walls: &[RoundWall], regions: &mut Regions) -> Vec<Piece> {
    let of: Vec<Option<usize>> = (0..net.facets.len())
        .map(|facet| {
            let corners = net.corners(facet);
            walls.iter().position(|wall| wall.holds(&corners))
        })
        .collect();
    let mut pieces = Vec::new();
    for start in 0..net.facets.len() as u32 {
        let Some(wall) = of[start as usize] else { continue };
        if regions.of[start as usize] != NONE {
            continue;
        }
        let region = regions.add(&[start], None);
        let mut facets = vec![start];
        let mut at = 0;
        while let Some(&facet) = facets.get(at) {
            at += 1;
            for edge in 3 * facet..3 * facet + 3 {
                let beyond = net.twin(edge) / 3;
                let name = &mut regions.of[beyond as usize];
                if *name == NONE && of[beyond as usize] == Some(wall) {
                    *name = region;
                    facets.push(beyond);
                }
            }
        }
        pieces.push(Piece { region, wall, facets });
    }
    pieces
}

/// The half edges around each region.
fn rims(net: &Net, regions: &Regions) -> Vec<Vec<u32>> {
    let mut rims = vec![Vec::new(); regions.planes.len()];
    for edge in net.half_edges() {
        let own = regions.of[(edge / 3) as usize];
        if own != regions.of[(net.twin(edge) / 3) as usize] {
            rims[own as usize].push(edge);
        }
    }
    rims
}

/// How many edges between regions meet in each corner.
fn valence(net: &Net, rims: &[Vec<u32>]) -> Vec<u8> {
    let mut valence = vec![0_u8; net.points.len()];
    for &edge in rims.iter().flatten() {
        let count = &mut valence[net.from(edge) as usize];
        *count = count.saturating_add(1);
    }
    valence
}

fn bores(
    net: &Net,
    regions: &Regions,
    walls: &[RoundWall],
    pieces: &[Piece],
) -> Vec<Bore> {
    let rims = rims(net, regions);
    let valence = valence(net, &rims);
    let around = Around { net, regions, valence: &valence, rims: &rims };
    let bore =
        |piece: &Piece| around.bore(piece.region, &piece.facets, walls, piece.wall);
    pieces.iter().filter_map(bore).collect()
}

fn assemble(net: &Net, regions: &Regions, walls: &[RoundWall], bores: &[Bore]) -> Brep {
    let rims = rims(net, regions);
    let valence = valence(net, &rims);
    let mut facets = vec![Vec::new(); regions.planes.len()];
    for (facet, region) in (0_u32..).zip(&regions.of) {
        facets[*region as usize].push(facet);
    }
    let loops: Vec<Vec<Vec<u32>>> = (0_u32..)
        .zip(&facets)
        .map(|(name, own)| {
            net.loops_around(own, &|facet| regions.of[facet as usize] == name)
        })
        .collect();
    let mut corners: Vec<Corner> = valence
        .iter()
        .map(|count| if *count == 2 { Corner::Open } else { Corner::Kept })
        .collect();
    let mut points = net.points.clone();
    let mut round: Vec<Option<usize>> = vec![None; net.half_edges().len()];
    for bore in bores {
        for rim in &bore.rims {
            for &edge in &rim.edges {
                corners[net.from(edge) as usize] = Corner::Dropped;
                round[edge as usize] = Some(bore.wall);
                round[net.twin(edge) as usize] = Some(bore.wall);
            }
            corners[rim.seam as usize] = Corner::Kept;
            for &(joint, place) in &rim.joints {
                corners[joint as usize] = Corner::Kept;
                points[joint as usize] = place;
            }
        }
    }
    let all: Vec<Vec<u32>> = loops.iter().flatten().cloned().collect();
    let edges = edges::join(net, &all, &mut corners);
    let around = Around { net, regions, valence: &valence, rims: &rims };
    let mut made =
        Making { net, edges, corners, brep: Brep::default(), names: Vec::new() };
    made.add_edges(&points, |edge| {
        let wall = &walls[round[edge as usize]?];
        around.curve(edge, wall)
    });
    for (region, own) in loops.iter().enumerate() {
        if let Some(plane) = regions.planes[region].filter(|_| !own.is_empty()) {
            let mut own = own.clone();
            own.sort_by(|a, b| {
                let area = |it: &[u32]| regions::area(net, it, &plane);
                area(b).total_cmp(&area(a))
            });
            let shape = Shape::Plane { at: plane.at, normal: plane.normal };
            made.add_face(shape, true, &own);
        }
    }
    for bore in bores {
        made.add_bore(bore, &walls[bore.wall]);
    }
    made.finish()
}

/// A solid in the making.
struct Making<'a> {
    net: &'a Net,
    edges: Edges,
    corners: Vec<Corner>,
    brep: Brep,
    /// The name of each corner of the net in the solid.
    names: Vec<usize>,
}

impl Making<'_> {
    fn add_edges(&mut self, points: &[Point], curve: impl Fn(u32) -> Option<Curve>) {
        self.names = vec![usize::MAX; points.len()];
        for chain in &self.edges.chains {
            let (Some(&first), Some(&last)) = (chain.first(), chain.last()) else {
                continue;
            };
            let ends = [self.net.from(first), self.net.to(last)].map(|corner| {
                let name = &mut self.names[corner as usize];
                if *name == usize::MAX {
                    *name = self.brep.corners.len();
                    self.brep.corners.push(points[corner as usize]);
                }
                *name
            });
            let curve = curve(first).unwrap_or(Curve::Line);
            self.brep.edges.push(Edge { ends, curve });
        }
    }

    fn add_face(&mut self, shape: Shape, is_along: bool, loops: &[Vec<u32>]) {
        let loops = loops
            .iter()
            .map(|around| self.edges.along(self.net, around, &self.corners))
            .collect();
        self.brep.faces.push(Face { shape, is_along, loops, body: 0 });
    }

    /// A round wall, closed along a straight seam.
    fn add_bore(&mut self, bore: &Bore, wall: &RoundWall) {
        let ends = [0, 1].map(|at: usize| self.names[bore.rims[at].seam as usize]);
        let seam = self.brep.edges.len();
        self.brep.edges.push(Edge { ends, curve: Curve::Line });
        let [low, high] = [0, 1].map(|at: usize| {
            self.edges.along(self.net, &bore.rims[at].edges, &self.corners)
        });
        let around = [low, vec![(seam, true)], high, vec![(seam, false)]].concat();
        let is_wider_above = wall.slope() >= 0.0;
        let [radius, z] = wall.ends[usize::from(!is_wider_above)];
        let shape = Shape::Round {
            at: Point::new(wall.at[0], wall.at[1], z),
            axis: if is_wider_above { Vector::z() } else { -Vector::z() },
            radius,
            lean: wall.slope().abs().atan(),
        };
        let face =
            Face { shape, is_along: bore.is_outward, loops: vec![around], body: 0 };
        self.brep.faces.push(face);
    }

    /// Gives each face its body.
    fn finish(mut self) -> Brep {
        let brep = &mut self.brep;
        let mut of_edge: Vec<Vec<usize>> = vec![Vec::new(); brep.edges.len()];
        for (face, own) in brep.faces.iter().enumerate() {
            for &(edge, _) in own.loops.iter().flatten() {
                of_edge[edge].push(face);
            }
        }
        let beside = |face: usize| -> Vec<usize> {
            let own = brep.faces[face].loops.iter().flatten();
            own.flat_map(|(edge, _)| of_edge[*edge].iter().copied()).collect()
        };
        let mut body = vec![usize::MAX; brep.faces.len()];
        let mut count = 0;
        for start in 0..body.len() {
            if body[start] != usize::MAX {
                continue;
            }
            let mut open = vec![start];
            while let Some(face) = open.pop() {
                if body[face] == usize::MAX {
                    body[face] = count;
                    open.extend(beside(face));
                }
            }
            count += 1;
        }
        for (face, body) in brep.faces.iter_mut().zip(body) {
            face.body = body;
        }
        brep.bodies = count;
        self.brep
    }
}
