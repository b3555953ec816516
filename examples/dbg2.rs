use goodshot::{geom::*, measure::*, mesh::*};
fn main() {
    let p = std::env::args().nth(1).unwrap();
    let bytes = std::fs::read(p).unwrap();
    let s = stl::read(&bytes).unwrap();
    let h = heal::heal(&s.scaled(1.0), Default::default()).unwrap();
    let m = &h.mesh;
    let b = bvh::Bvh::new(m);
    let sm = samples::Samples::spread(m, &b, 30000);
    let r = undercut::Release::along(&b, &sm, Direction::Z);
    let i = (0..sm.len()).find(|&i| r.is_trapped(i)).unwrap();
    let c = b.diagonal() * 1e-4;
    let p = sm.points[i] + sm.normals[i] * c;
    println!("{:?} n {:?}", p, sm.normals[i]);
    let rad = Direction::new(Vector::new(-p.x, -p.y, 0.0)).unwrap();
    println!("hit radial {:?}", b.first_hit(&p, rad, 0.0));
    for k in 0..40 {
        let q = p + rad.vector() * (k as f64 * 0.2);
        println!(
            "{k} {} {:?} {:?}",
            !b.is_hit(&q, Direction::Z) || !b.is_hit(&q, Direction::Z.reversed()),
            b.first_hit(&q, Direction::Z, 0.0).map(|h| h.distance),
            b.first_hit(&q, Direction::Z.reversed(), 0.0).map(|h| h.distance)
        );
    }
    let u = undercut::of(&b, &sm, &r, Direction::Z);
    for t in u.regions.iter().take(3) {
        println!(
            "{:?} {:?} {} bounds {:?}",
            t.depth,
            t.way,
            t.region.samples.len(),
            t.region.bounds
        );
    }
}
