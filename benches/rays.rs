//! First hits and nearest points of the rays in a file: what `benches/peers.py --rays` compares
//! with Embree.
//!
//! ```text
//! cargo bench --bench rays -- PART.stl RAYS.bin
//! ```
//!
//! The rays are six little-endian single-precision numbers each: start and direction. Prints one
//! line of JSON: seconds for the tree, all first hits and all nearest points, and the sum of
//! their distances, so that both sides can be seen to have answered the same.

#![expect(clippy::unwrap_used, reason = "a bench may panic")]
#![expect(clippy::print_stdout, reason = "the line is what it is run for")]

use std::time::Instant;

use goodshot::geom::{Direction, Point, Vector};
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::heal::{self, HealSettings};
use goodshot::mesh::stl;
use rayon::prelude::*;
use serde_json::json;

fn main() {
    let mut files = std::env::args().skip(1).filter(|argument| argument != "--bench");
    // `cargo bench` runs every bench; without files there is nothing to do.
    let (Some(part), Some(rays)) = (files.next(), files.next()) else { return };
    let read = stl::read(&std::fs::read(part).unwrap()).unwrap();
    let mesh = heal::heal(read.scaled(1.0), HealSettings::default()).unwrap().mesh;
    let rays = read_rays(&std::fs::read(rays).unwrap());
    let (tree_s, bvh) = timed(|| Bvh::new(&mesh));
    let (first_hit_s, hits) = timed(|| {
        let hit = |(start, along): &(Point, Direction)| bvh.first_hit(start, *along, 0.0);
        rays.par_iter().map(|ray| hit(ray).map(|hit| hit.distance)).collect::<Vec<_>>()
    });
    let (nearest_s, nearest) = timed(|| {
        let nearest = |(at, _): &(Point, Direction)| bvh.nearest(at, f64::INFINITY);
        rays.par_iter().map(|ray| nearest(ray).map(|it| it.distance)).collect::<Vec<_>>()
    });
    let sum = |distances: &[Option<f64>]| distances.iter().flatten().sum::<f64>();
    let line = json!({
        "tree_s": tree_s,
        "first_hit_s": first_hit_s,
        "nearest_s": nearest_s,
        "hits_mm": sum(&hits),
        "nearest_mm": sum(&nearest),
    });
    println!("{line}");
}

fn timed<T>(work: impl FnOnce() -> T) -> (f64, T) {
    let begin = Instant::now();
    let done = work();
    (begin.elapsed().as_secs_f64(), done)
}

fn read_rays(bytes: &[u8]) -> Vec<(Point, Direction)> {
    let (numbers, _) = bytes.as_chunks::<4>();
    let (rays, _) = numbers.as_chunks::<6>();
    rays.iter()
        .map(|ray| {
            let [x, y, z, u, v, w] =
                ray.map(|number| f64::from(f32::from_le_bytes(number)));
            (Point::new(x, y, z), Direction::new(Vector::new(u, v, w)).unwrap())
        })
        .collect()
}
