//! How warm the melt is where two fronts meet.
//!
//! The melt in the middle of the front left the gate some time ago and has cooled on its
//! way through the walls it passed: ∫ α dt / (H/2)² along it, and the series of the plate
//! or rod gives what is left in the middle of the wall (Carslaw and Jaeger, 1959). It moves
//! faster than the front, so it has been under way for less than the whole time: 1.23 times
//! the mean for n = 0.3, common to melts, (2n+1)/(n+1) in a gap. Blind to heat of shear and
//! to the fountain at the front, which mixes in colder melt from the walls.

use super::cells::Cells;
use super::front::Filling;
use super::melt::Melt;
use crate::fill::local_walls::SECTIONS;
use crate::process::thermal::cooling::{self, Section};
use crate::units::{Quantity, Temperature};

/// Speed of the middle over the mean, (2n+1)/(n+1) at n = 0.3.
const AHEAD: f64 = 1.23;

/// For each cell α t / (H/2)² summed along the way that the middle of its front came.
pub(super) fn cooled(cells: &Cells, filling: &Filling, melt: &Melt) -> Vec<f64> {
    let time = |cell: u32| filling.arrival_s[cell as usize].unwrap_or(f64::INFINITY);
    let mut order: Vec<u32> = (0..cells.len() as u32).collect();
    order.sort_by(|&a, &b| time(a).total_cmp(&time(b)).then(a.cmp(&b)));
    // The melt came from the neighbor that it reached first.
    let mut from: Vec<u32> = (0..cells.len() as u32).collect();
    for link in &cells.links {
        for (own, other) in [(link.low, link.high), (link.high, link.low)] {
            if time(other) < time(from[own as usize]) {
                from[own as usize] = other;
            }
        }
    }
    let mut cooled = vec![0.0; cells.len()];
    for &cell in &order {
        let own = cell as usize;
        let Some(now) = filling.arrival_s[own] else { break };
        let before = from[own];
        let lasted = now - if before == cell { 0.0 } else { time(before) };
        let half = 0.5e-3 * cells.wall_mm[own].max(0.5 * cells.edge_mm());
        let more = melt.diffusivity.si() * lasted / (AHEAD * half * half);
        cooled[own] = cooled[before as usize] + more;
    }
    cooled
}

/// The temperature in the middle of a section (0 a wall, 16 a rod) that has cooled so long.
pub(super) fn middle(melt: &Melt, section: u8, cooled: f64) -> Temperature {
    let share = |section: Section| {
        cooling::share_at(cooling::terms(section), cooled.max(1e-3)).clamp(0.0, 1.0)
    };
    let rod = f64::from(section) / (SECTIONS - 1) as f64;
    let left = (1.0 - rod) * share(Section::Plate) + rod * share(Section::Rod);
    let [hot, cold] = [melt.temperature, melt.mold].map(Quantity::si);
    Temperature::from_si(cold + (hot - cold) * left)
}

#[cfg(test)]
mod tests {
    use super::{AHEAD, cooled, middle};
    use crate::fill::cells::{Cells, Resolution};
    use crate::fill::flow_step::Drive;
    use crate::fill::front::fill;
    use crate::fill::gate::Gate;
    use crate::fill::melt::Melt;
    use crate::fill::prepared::Case;
    use crate::geom::Point;
    use crate::mesh::{bvh::Bvh, shapes};
    use crate::process::plastic::viscosity::Viscosity;
    use crate::units::{DiffusionCoefficient, DynamicViscosity, Quantity, Temperature};

    /// A strip of 2 mm at constant flow: at its end α t/(1 mm)² of the whole time, and the
    /// middle of a plate has 1.2732 e^(−π²Fo/4) of its heat left once Fo is above 0.2.
    #[test]
    fn the_front_of_a_strip_cools_as_a_plate() {
        let mesh = shapes::cuboid(100.0, 40.0, 2.0);
        let bvh = Bvh::new(&mesh);
        let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.0)).unwrap();
        let melt = Melt {
            viscosity: Viscosity::Newtonian {
                viscosity: DynamicViscosity::from_si(200.0),
            },
            temperature: Temperature::from_si(493.15),
            mold: Temperature::from_si(313.15),
            no_flow: None,
            diffusivity: DiffusionCoefficient::from_si(8e-8),
        };
        let end = |y: f64| Point::new(0.0, y, 1.0);
        let gates = [Gate { from: end(0.0), to: end(40.0), radius_mm: 1.0 }];
        let case =
            Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
        // 8 cm³ in 6 s.
        let flow = 8e-6 / 6.0;
        let drive = Drive { pressure_pa: 1e9, most_m3_s: Some(flow), feed: &|_| 0.0 };
        let filling = fill(&case, &drive).unwrap();
        let far = cells.nearest(&Point::new(99.5, 20.0, 1.0));
        let seen = cooled(&cells, &filling, &melt)[far];
        let wanted = 8e-8 * 6.0 / 1e-6 / AHEAD;
        assert!((seen / wanted - 1.0).abs() < 0.05, "{seen} {wanted}");
        let left = middle(&melt, 0, wanted).si() - 313.15;
        let share = 1.2732 * (-std::f64::consts::PI.powi(2) / 4.0 * wanted).exp();
        assert!((left / 180.0 / share - 1.0).abs() < 2e-3, "{left} {share}");
    }
}
