//! Filling: against closed forms, and what must not change when only the pose does.

use goodshot::fill::cells::{Cells, Resolution};
use goodshot::fill::flow::Drive;
use goodshot::fill::front::{self, Case, Filling};
use goodshot::fill::gate::Gate;
use goodshot::fill::melt::Melt;
use goodshot::mesh::TriMesh;
use goodshot::mesh::bvh::Bvh;
use goodshot::process::viscosity::{Consistency, Viscosity};
use goodshot::units::{DiffusionCoefficient, DynamicViscosity, Quantity, Temperature};

/// Strip, tube and disc at constant pressure and constant flow.
mod closed_forms;

const ALPHA: f64 = 8e-8;

/// A melt of `viscosity` at 220 °C in a mold of 40 °C.
fn melt(viscosity: Viscosity) -> Melt {
    Melt {
        viscosity,
        temperature: Temperature::from_si(493.15),
        mold: Temperature::from_si(313.15),
        no_flow: None,
        diffusivity: DiffusionCoefficient::from_si(ALPHA),
    }
}

fn newtonian() -> Melt {
    melt(Viscosity::Newtonian { viscosity: DynamicViscosity::from_si(200.0) })
}

fn power_law(index: f64) -> Melt {
    let consistency = Consistency(1e4);
    melt(Viscosity::PowerLaw { consistency, index, at: None, cooling: None })
}

const NO_FEED: &(dyn Fn(f64) -> f64 + Sync) = &|_| 0.0;

fn push(pressure_pa: f64) -> Drive<'static> {
    Drive { pressure_pa, most_m3_s: None, feed: NO_FEED }
}

/// Fills `mesh`; gives the cells too.
fn fill(
    mesh: &TriMesh,
    resolution: Resolution,
    (gate, melt): (Gate, &Melt),
    drive: &Drive<'_>,
) -> (Cells, Filling) {
    let bvh = Bvh::new(mesh);
    let cells = Cells::of(mesh, &bvh, resolution).unwrap();
    let gates = [gate];
    let case = Case { cells: &cells, mesh, bvh: &bvh, gates: &gates, melt };
    let filling = front::fill(&case, drive).unwrap();
    (cells, filling)
}
