use goodshot::{geom::*, measure::*, mesh::*};
use std::time::Instant;
fn load(path: &str) -> TriMesh {
    let mut f = std::io::BufReader::new(std::fs::File::open(path).unwrap());
    let m = stl_io::read_stl(&mut f).unwrap();
    let pts = m
        .vertices
        .iter()
        .map(|v| Point::new(v.0[0] as f64, v.0[1] as f64, v.0[2] as f64))
        .collect();
    let mut facets: Vec<[u32; 3]> =
        m.faces.iter().map(|t| t.vertices.map(|i| i as u32)).collect();
    let mesh = TriMesh::new(pts, facets.clone());
    let ms = mass::of(&mesh, true);
    if ms.solid.is_none() {
        for f in &mut facets {
            f.swap(1, 2)
        }
        return TriMesh::new(mesh.points().to_vec(), facets);
    }
    mesh
}
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let n: usize = a[1].parse().unwrap();
    for p in &a[2..] {
        let t = Instant::now();
        let mesh = load(p);
        let tl = t.elapsed();
        let t = Instant::now();
        let nb = neighbors::of(&mesh);
        let tn = t.elapsed();
        let t = Instant::now();
        let bvh = bvh::Bvh::new(&mesh);
        let tb = t.elapsed();
        let t = Instant::now();
        let s = samples::Samples::spread(&mesh, &bvh, n);
        let ts = t.elapsed();
        let t = Instant::now();
        let ms = mass::of(&mesh, true);
        let tm = t.elapsed();
        let t = Instant::now();
        let th = thickness::map(&bvh, &s);
        let tt = t.elapsed();
        let t = Instant::now();
        let fc = faces::of(&mesh, &nb);
        let tf = t.elapsed();
        println!(
            "{} facets {} V {:?} A {} load {:?} nb {:?} bvh {:?} samp {:?} mass {:?} thick {:?} faces {:?}",
            p.rsplit('/').next().unwrap(),
            mesh.facets().len(),
            ms.solid.map(|s| s.volume),
            ms.area,
            tl,
            tn,
            tb,
            ts,
            tm,
            tt,
            tf
        );
        println!(
            "   ray {:?}\n  ball {:?} with {}",
            field::quantiles(&th.ray),
            field::quantiles(&th.ball),
            th.ball.iter().flatten().count() as f64 / s.len() as f64
        );

        println!("   faces {} chord {:?}", fc.list.len(), fc.chord_error);
        for f in fc.list.iter().take(3) {
            println!("     {:.2} {:?} {}", f.area, f.surface, f.facets.len());
        }
        for d in [Direction::Z, Direction::X, Direction::Y] {
            let t = Instant::now();
            let r = undercut::Release::along(&bvh, &s, d);
            let tr = t.elapsed();
            let t = Instant::now();
            let u = undercut::of(&bvh, &s, &r, d);
            let tu = t.elapsed();
            let t = Instant::now();
            let si = silhouette::along(&mesh, &nb, d);
            println!(
                "   {:?} undercut {:.5} vol {:.3} regions {} deepest {:?} [{:?} {:?}] shadow {} {:?}",
                d.vector().as_slice(),
                u.area / ms.area,
                u.volume,
                u.regions.len(),
                u.regions.first().map(|r| (r.depth, r.region.area)),
                tr,
                tu,
                si.area,
                t.elapsed()
            );
        }
        let t = Instant::now();
        let b = pull::best(
            pull::Part { mesh: &mesh, bvh: &bvh, faces: &fc },
            &s,
            draft::Rule { least_deg: 1.0, deg_per_mm: 0.04 },
        );
        println!("   pull {:?}", t.elapsed());
        for s in &b {
            println!(
                "     {:?} {:.4} trapped {:.3} {:?} draft {:?}",
                s.direction.vector().as_slice(),
                s.score,
                s.trapped_area,
                s.trapped_depth,
                s.lowest_draft_deg
            );
        }
    }
}
