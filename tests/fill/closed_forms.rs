use goodshot::fill::cells::Resolution;
use goodshot::fill::gate::Gate;
use goodshot::geom::Point;
use goodshot::mesh::shapes;

use super::{fill, newtonian, power_law, push};

#[test]
fn explore() {
    let strip = shapes::cuboid(100.0, 40.0, 2.0);
    let gate = Gate {
        from: Point::new(0.0, 0.0, 1.0),
        to: Point::new(0.0, 40.0, 1.0),
        radius_mm: 1.0,
    };
    for res in [Resolution::Budget(8000), Resolution::default()] {
        for (melt, t) in
            [(newtonian(), 0.1 / 0.182574 * 0.1 / 0.182574), (power_law(0.35), 0.17497)]
        {
            let start = std::time::Instant::now();
            let (cells, f) = fill(&strip, res, (gate, &melt), &push(1e7));
            let d: f64 = cells.section.iter().map(|&s| f64::from(s)).sum::<f64>()
                / cells.len() as f64;
            let h: f64 = cells.wall_mm.iter().sum::<f64>() / cells.len() as f64;
            println!(
                "strip cells {} edge {} section {d} wall {h} fills {} {} t {} / {t} = {} steps {} wall {:?}",
                cells.len(),
                cells.edge_mm(),
                f.fills,
                f.filled,
                f.time_s,
                f.time_s / t,
                f.history.len(),
                start.elapsed()
            );
        }
    }
    let tube = shapes::cone(2.0, 2.0, 100.0, 48);
    let gate = Gate::round(Point::new(0.0, 0.0, 0.0), 2.0);
    for res in [Resolution::Budget(8000), Resolution::default()] {
        for (melt, t) in [
            (newtonian(), 0.1f64.powi(2) * 4.0 * 200.0 / (4e-6 * 1e7)),
            (power_law(0.35), (100.0f64 / 179.16).powf(1.35 / 0.35)),
        ] {
            let start = std::time::Instant::now();
            let (cells, f) = fill(&tube, res, (gate, &melt), &push(1e7));
            let d: f64 = cells.section.iter().map(|&s| f64::from(s)).sum::<f64>()
                / cells.len() as f64;
            let h: f64 = cells.wall_mm.iter().sum::<f64>() / cells.len() as f64;
            println!(
                "tube cells {} edge {} section {d} wall {h} fills {} {} t {} / {t} = {} steps {} wall {:?}",
                cells.len(),
                cells.edge_mm(),
                f.fills,
                f.filled,
                f.time_s,
                f.time_s / t,
                f.history.len(),
                start.elapsed()
            );
        }
    }
    let disc = shapes::cone(50.0, 50.0, 2.0, 96);
    let gate = Gate::round(Point::new(0.0, 0.0, 2.0), 2.0);
    for res in [Resolution::Budget(8000), Resolution::default()] {
        for (melt, t) in [(newtonian(), 0.20398), (power_law(0.35), 0.02621)] {
            let start = std::time::Instant::now();
            let (cells, f) = fill(&disc, res, (gate, &melt), &push(1e7));
            let d: f64 = cells.section.iter().map(|&s| f64::from(s)).sum::<f64>()
                / cells.len() as f64;
            let h: f64 = cells.wall_mm.iter().sum::<f64>() / cells.len() as f64;
            println!(
                "disc cells {} edge {} section {d} wall {h} fills {} {} t {} / {t} = {} steps {} wall {:?}",
                cells.len(),
                cells.edge_mm(),
                f.fills,
                f.filled,
                f.time_s,
                f.time_s / t,
                f.history.len(),
                start.elapsed()
            );
        }
    }
}
