//! Filling: against closed forms, and what must not change when only the pose does.

use goodshot::fill::cells::{Cells, Resolution};
use goodshot::fill::drive::Drive;
use goodshot::fill::front::{self, Filling};
use goodshot::fill::gate::Gate;
use goodshot::fill::melt::Melt;
use goodshot::fill::prepared::Case;
use goodshot::geom::Point;
use goodshot::mesh::TriMesh;
use goodshot::mesh::bvh::Bvh;
use goodshot::process::plastic::viscosity::{Consistency, Viscosity};
use goodshot::units::{DiffusionCoefficient, DynamicViscosity, Quantity, Temperature};

/// Strip, tube and disc at constant pressure and constant flow.
mod closed_forms;
/// Strips and discs that cool, against a solver of another kind.
mod through_the_gap;
/// Two cavities at once, against one with its share of the sprue.
mod cavities;
/// What shots of a test piece teach of other parts, against the same solver.
mod calibrated;
/// Cells: volume, walls, sections, broken meshes.
mod cut;
/// Pose, triangles and threads do not change the answer; another solver agrees.
mod twins;
/// Weld lines, shut-in air, gates.
mod places;

const ALPHA: f64 = 8e-8;

/// A melt of `viscosity` at 220 °C in a mold of 40 °C that freezes at the share `theta` of
/// the difference.
fn melt(viscosity: Viscosity, theta: Option<f64>) -> Melt {
    Melt {
        viscosity,
        temperature: Temperature::from_si(493.15),
        mold: Temperature::from_si(313.15),
        no_flow: theta.map(|theta| Temperature::from_si(313.15 + 180.0 * theta)),
        diffusivity: DiffusionCoefficient::from_si(ALPHA),
        heat_j_m3_k: 2e6,
        contact_w_m2_k: f64::INFINITY,
    }
}

/// 200 Pa s.
fn newtonian() -> Melt {
    melt(Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) }, None)
}

/// 1e4 Pa sⁿ.
fn power_law(index: f64) -> Melt {
    let consistency = Consistency(1e4);
    melt(Viscosity::PowerLaw { consistency, index, at: None, cooling: None }, None)
}

const NO_FEED: &(dyn Fn(f64) -> f64 + Sync) = &|_| 0.0;

fn push(pressure_pa: f64) -> Drive<'static> {
    Drive { pressure_pa, most_m3_s: None, feed: NO_FEED, channels: &[] }
}

/// Over the whole end of a strip `width` wide and 2 thick, at x = 0.
fn film(width: f64) -> Gate {
    Gate {
        from: Point::new(0.0, 0.0, 1.0),
        to: Point::new(0.0, width, 1.0),
        radius_mm: 1.0,
    }
}

/// Fills `mesh`; gives the cells too.
fn fill(
    mesh: &TriMesh,
    resolution: Resolution,
    gate: Gate,
    melt: &Melt,
    drive: &Drive<'_>,
) -> (Cells, Filling) {
    let bvh = Bvh::new(mesh);
    let cells = Cells::new(mesh, &bvh, resolution).unwrap();
    let gates = [gate];
    let case = Case { cells: &cells, mesh, bvh: &bvh, gates: &gates, melt };
    let filling = front::fill(&case, drive).unwrap();
    (cells, filling)
}

fn near(seen: f64, wanted: f64, share: f64) {
    assert!(
        (seen / wanted - 1.0).abs() <= share,
        "{seen} is not {wanted}: {}",
        seen / wanted
    );
}
