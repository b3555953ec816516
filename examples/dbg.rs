use goodshot::{measure::*, mesh::*};
fn main() {
    let p = std::env::args().nth(1).unwrap();
    let bytes = std::fs::read(p).unwrap();
    let s = stl::read(&bytes).unwrap();
    let h = heal::heal(&s.scaled(1.0), Default::default()).unwrap();
    let m = &h.mesh;
    let b = bvh::Bvh::new(m);
    let sm = samples::Samples::spread(m, &b, 30000);
    let t = thickness::map(&b, &sm);
    let mut v: Vec<(f64, usize)> =
        t.ball.iter().enumerate().filter_map(|(i, b)| b.map(|b| (b, i))).collect();
    v.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (r, i) in v.iter().take(25) {
        println!(
            "{r:.5} ray {:?} at {:?} n {:?} facet {} area {:.5} h {:.6} corners {:?}",
            t.ray[*i],
            sm.points[*i].coords.as_slice(),
            sm.normals[*i].as_slice(),
            sm.facets[*i],
            m.areas()[sm.facets[*i] as usize],
            m.least_height(sm.facets[*i] as usize),
            m.corners(sm.facets[*i] as usize).map(|c| [c.x, c.y, c.z])
        );
    }
}
