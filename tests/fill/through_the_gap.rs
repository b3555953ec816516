//! Melt that cools while it fills: against series, a steady closed form, and a solver of
//! another kind, whose needed pressures stand here. That solver has columns of 60 even nodes,
//! moved with an explicit transport (NumPy); `tests/outside` has it and solves cases again.

use goodshot::fill::cells::{Cells, Resolution};
use goodshot::fill::drive::Drive;
use goodshot::fill::feed_channels::Segment;
use goodshot::fill::front::{self, Filling};
use goodshot::fill::gate::Gate;
use goodshot::fill::melt::Melt;
use goodshot::fill::prepared::{Case, PreparedCavity};
use goodshot::fill::required_pressure::{self, APART, Doubt, RequiredPressure};
use goodshot::geom::Point;
use goodshot::mesh::TriMesh;
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::shapes;
use goodshot::process::plastic::viscosity::{Consistency, Viscosity};
use goodshot::units::{
    DiffusionCoefficient, Quantity, TemperatureCoefficient, from_celsius,
};

use super::{NO_FEED, near, newtonian, push};

/// How near the pressures come to those of the other solver: 10 % but for a long thin strip of
/// ABS behind a contact, which fills in milliseconds and differs by 11 %.
const WITHIN: f64 = 0.11;

/// Wall contact without resistance.
const PERFECT: f64 = f64::INFINITY;

/// A power law: K at T₀, β, n, no-flow °C, ρ, c, α.
struct Plastic {
    consistency: f64,
    at_c: f64,
    cooling: f64,
    index: f64,
    no_flow_c: f64,
    density: f64,
    capacity: f64,
    diffusivity: f64,
}

const ABS: Plastic = Plastic {
    consistency: 3.93e4,
    at_c: 210.0,
    cooling: 0.028,
    index: 0.25,
    no_flow_c: 130.0,
    density: 970.0,
    capacity: 2300.0,
    diffusivity: 0.9e-7,
};
const PP: Plastic = Plastic {
    consistency: 6.7e3,
    at_c: 230.0,
    cooling: 0.0105,
    index: 0.36,
    no_flow_c: 130.0,
    density: 750.0,
    capacity: 2800.0,
    diffusivity: 0.72e-7,
};
const HDPE: Plastic = Plastic {
    consistency: 3.73e3,
    at_c: 220.0,
    cooling: 0.004,
    index: 0.61,
    no_flow_c: 118.0,
    density: 741.0,
    capacity: 2700.0,
    diffusivity: 0.9e-7,
};

impl Plastic {
    /// At so many °C, in a mold at so many, behind a contact in W/(m² K).
    fn melt(&self, melt_c: f64, mold_c: f64, contact: f64) -> Melt {
        Melt {
            viscosity: Viscosity::PowerLaw {
                consistency: Consistency(self.consistency),
                index: self.index,
                at: Some(from_celsius(self.at_c)),
                cooling: Some(TemperatureCoefficient::from_si(self.cooling)),
            },
            temperature: from_celsius(melt_c),
            mold: from_celsius(mold_c),
            no_flow: Some(from_celsius(self.no_flow_c)),
            diffusivity: DiffusionCoefficient::from_si(self.diffusivity),
            heat_j_m3_k: self.density * self.capacity,
            contact_w_m2_k: contact,
        }
    }
}

/// Polypropylene at so many °C, in a mold at so many, behind a contact in W/(m² K).
pub(super) fn pp(melt_c: f64, mold_c: f64, contact: f64) -> Melt {
    PP.melt(melt_c, mold_c, contact)
}

/// A strip of this gap and length, fed over its whole end.
fn strip(gap: f64, length: f64) -> (TriMesh, Gate) {
    let width = 16.0 * gap;
    let end = |y: f64| Point::new(0.0, y, 0.5 * gap);
    let gate = Gate { from: end(0.0), to: end(width), radius_mm: 0.5 * gap };
    (shapes::cuboid(length, width, gap), gate)
}

/// Pa that fills `mesh` in cells of this edge.
fn needed(mesh: &TriMesh, gate: Gate, melt: &Melt, edge: f64, near_mpa: f64) -> f64 {
    let bvh = Bvh::new(mesh);
    let cells = Cells::new(mesh, &bvh, Resolution::EdgeMm(edge)).unwrap();
    let gates = [gate];
    let case = Case { cells: &cells, mesh, bvh: &bvh, gates: &gates, melt };
    let ready = PreparedCavity::new(&case).unwrap();
    let near = push(near_mpa * 1e6);
    required_pressure::least_of(&ready, melt, &near, APART).unwrap().unwrap()
}

/// Gap and length, mm; MPa that a strip needs with perfect contact and with 1500 W/(m² K).
type Row = (f64, f64, [f64; 2]);

#[expect(clippy::approx_constant, reason = "a pressure that happens to look like π")]
const STRIPS: [(&Plastic, f64, [Row; 5]); 2] = [
    (
        &ABS,
        235.0,
        [
            (1.5, 40.0, [6.00, 5.09]),
            (2.0, 60.0, [6.17, 5.37]),
            (2.0, 90.0, [10.13, 8.64]),
            (2.5, 90.0, [7.02, 6.20]),
            (3.0, 120.0, [7.36, 6.60]),
        ],
    ),
    (
        &PP,
        230.0,
        [
            (1.5, 40.0, [2.86, 2.27]),
            (2.0, 60.0, [2.82, 2.35]),
            (2.0, 90.0, [4.94, 4.11]),
            (2.5, 90.0, [3.14, 2.69]),
            (3.0, 120.0, [3.22, 2.81]),
        ],
    ),
];

#[test]
fn strips_need_what_another_solver_says() {
    for (plastic, melt_c, rows) in STRIPS {
        for (gap, length, wanted) in rows {
            for (contact, wanted) in [PERFECT, 1500.0].into_iter().zip(wanted) {
                let melt = plastic.melt(melt_c, 50.0, contact);
                let (mesh, gate) = strip(gap, length);
                let seen = needed(&mesh, gate, &melt, 0.9 * gap, wanted) * 1e-6;
                near(seen, wanted, WITHIN);
            }
        }
    }
}

/// Half the edge of the cells changes the pressure by less than 5 %.
#[test]
fn finer_cells_need_the_same() {
    for (plastic, gap, length, melt_c) in
        [(&ABS, 1.5, 40.0, 235.0), (&PP, 2.0, 60.0, 230.0)]
    {
        let melt = plastic.melt(melt_c, 50.0, 1500.0);
        let (mesh, gate) = strip(gap, length);
        let [coarse, fine] =
            [1.0, 0.5].map(|share| needed(&mesh, gate, &melt, share * gap, 4.0));
        near(coarse, fine, 0.05);
    }
}

/// Other plastics, gaps and temperatures, by the same other solver.
#[test]
fn other_strips_need_what_another_solver_says() {
    for (plastic, [gap, length], [melt_c, mold_c], contact, wanted) in [
        (&HDPE, [2.0, 60.0], [230.0, 40.0], 2000.0, 2.391),
        (&HDPE, [3.0, 90.0], [230.0, 40.0], PERFECT, 1.954),
        (&ABS, [1.8, 50.0], [250.0, 60.0], 3000.0, 3.600),
        (&PP, [1.2, 40.0], [250.0, 30.0], 2000.0, 3.158),
    ] {
        let melt = plastic.melt(melt_c, mold_c, contact);
        let (mesh, gate) = strip(gap, length);
        near(needed(&mesh, gate, &melt, 0.8 * gap, wanted) * 1e-6, wanted, WITHIN);
    }
}

/// Discs from a radius of 5 mm, and strips with a step in their gap.
#[test]
fn discs_and_steps_need_what_another_solver_says() {
    for (plastic, melt_c, gap, radius, wanted) in
        [(&PP, 230.0, 2.0, 45.0, 1.623), (&ABS, 235.0, 2.5, 40.0, 2.227)]
    {
        let mesh = shapes::cone(radius, radius, gap, 96);
        let gate = Gate::round(Point::new(0.0, 0.0, gap), 5.0);
        let melt = plastic.melt(melt_c, 50.0, 1500.0);
        near(needed(&mesh, gate, &melt, 0.7 * gap, wanted) * 1e-6, wanted, WITHIN);
    }
    for (plastic, melt_c, from, gaps, wanted) in [
        (&ABS, 235.0, 40.0, [3.0, 1.5], 5.331),
        (&PP, 230.0, 40.0, [3.0, 1.5], 2.239),
        (&PP, 230.0, 30.0, [1.5, 3.0], 4.148),
    ] {
        let [first, second] = gaps;
        let mut heights = [0.0, 0.5 * (3.0 - 1.5), 0.5 * (3.0 + 1.5), 3.0];
        heights.sort_by(f64::total_cmp);
        let thin = |gap: f64, layer: usize| gap > 2.0 || layer == 1;
        let steps = [&[0.0, from, 70.0][..], &[0.0, 36.0], &heights];
        let mesh = shapes::blocks(steps, |i, _, layer| {
            thin(if i == 0 { first } else { second }, layer)
        });
        let end = |y: f64| Point::new(0.0, y, 1.5);
        let gate = Gate { from: end(0.0), to: end(36.0), radius_mm: 0.5 * first };
        let melt = plastic.melt(melt_c, 50.0, 1500.0);
        near(needed(&mesh, gate, &melt, 0.75, wanted) * 1e-6, wanted, WITHIN);
    }
}

fn run(mesh: &TriMesh, gate: Gate, melt: &Melt, drive: &Drive<'_>) -> Filling {
    super::fill(mesh, Resolution::EdgeMm(1.0), gate, melt, drive).1
}

/// What comes in and what shear makes is what the mold takes and what stays, to 1 %; and shear
/// makes what the pressure at the gate does as work: ∫ P Q dt.
#[test]
fn the_energy_adds_up() {
    for (contact, pressure) in [(PERFECT, 7e6), (1500.0, 7e6), (1500.0, 3e6)] {
        let (mesh, gate) = strip(2.0, 60.0);
        let melt = ABS.melt(235.0, 50.0, contact);
        let filling = run(&mesh, gate, &melt, &push(pressure));
        let energy = filling.energy;
        let out = energy.lost_j + energy.held_j;
        near(energy.entered_j + energy.sheared_j, out, 0.01);
        assert!(energy.lost_j > 0.0, "{energy:?}");
        let work: f64 = filling
            .history
            .windows(2)
            .map(|pair| {
                let volume = (pair[1].filled - pair[0].filled) * 60.0 * 32.0 * 2.0 * 1e-9;
                0.5 * (pair[0].gate_pa + pair[1].gate_pa) * volume
            })
            .sum();
        near(energy.sheared_j, work, 0.06);
    }
}

/// Melt that flows on keeps a wall open: near the gate of a strip that fills slowly the skin
/// stays thinner than that of standing melt of the same age on a wall at mold temperature,
/// 2 ξ √(α t) with erf(ξ) = θ, ξ = 0.405 for θ = 80/185 (Carslaw and Jaeger, 1959, §2.4).
#[test]
fn fresh_melt_keeps_the_gate_open() {
    let (mesh, gate) = strip(2.0, 60.0);
    let melt = ABS.melt(235.0, 50.0, PERFECT);
    let bvh = Bvh::new(&mesh);
    let cells = Cells::new(&mesh, &bvh, Resolution::EdgeMm(1.0)).unwrap();
    let gates = [gate];
    let case = Case { cells: &cells, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
    // 3.84 cm³ in 1 s.
    let most_m3_s = Some(3.84e-6);
    let drive = Drive { pressure_pa: 5e7, most_m3_s, feed: NO_FEED, channels: &[] };
    let filling = front::fill(&case, &drive).unwrap();
    assert!(filling.fills);
    let frozen = |x: f64| filling.frozen[cells.nearest(&Point::new(x, 16.0, 1.0))];
    let standing = 2.0 * 0.405 * (0.9e-7 * filling.time_s).sqrt() / 1e-3;
    assert!(frozen(5.0) < 0.9 * standing, "{} {standing}", frozen(5.0));
    assert!(filling.frozen.iter().all(|share| (0.0..=1.0).contains(share)));
}

/// A gate that cools costs more while it is slow: through the same thin channel a slow filling
/// loses more pressure for its flow than a quick one, and at almost no flow it freezes shut.
#[test]
fn a_thin_gate_freezes_when_it_is_slow() {
    let (mesh, gate) = strip(3.0, 60.0);
    let melt = ABS.melt(235.0, 50.0, PERFECT);
    let channels = [Segment {
        section: 0,
        gap_m: 0.3e-3,
        area_m2: 0.3e-3 * 4e-3,
        length_m: 1.5e-3,
        extra_m: 0.0,
    }];
    let fills = |most: f64| {
        let drive = Drive {
            pressure_pa: 3e7,
            most_m3_s: Some(most),
            feed: NO_FEED,
            channels: &channels,
        };
        run(&mesh, gate, &melt, &drive)
    };
    let (quick, slow) = (fills(2e-6), fills(5e-9));
    assert!(quick.fills && !slow.fills, "{} {}", quick.filled, slow.filled);
    let last = slow.history.last().unwrap();
    assert!(last.flow_m3_s < 5e-9 && slow.filled < 0.1, "{last:?}");
}

/// The band of doubts that are independent: logarithms add as squares.
#[test]
fn the_least_pressure_has_a_band() {
    let (mesh, gate) = strip(2.0, 60.0);
    let melt = ABS.melt(235.0, 50.0, 1500.0);
    let bvh = Bvh::new(&mesh);
    let [fine, coarse] =
        [1.0, 2.0].map(|edge| Cells::new(&mesh, &bvh, Resolution::EdgeMm(edge)).unwrap());
    let gates = [gate];
    let case = Case { cells: &fine, mesh: &mesh, bvh: &bvh, gates: &gates, melt: &melt };
    let ready = PreparedCavity::new(&case).unwrap();
    let rough = PreparedCavity::new(&Case { cells: &coarse, ..case }).unwrap();
    let doubt = Doubt { viscosity: 1.5, supply: 1.2, ..Doubt::NONE };
    let band = |doubt: Doubt| {
        let least =
            required_pressure::least(&ready, &rough, &melt, &push(2e7), doubt).unwrap();
        let RequiredPressure::Pressure { pa, band_pa, .. } = least else {
            panic!("{least:?}")
        };
        near(pa, 5.37e6, 0.10);
        band_pa.map(|end| end / pa)
    };
    let both = (1.5_f64.ln().powi(2) + 1.2_f64.ln().powi(2)).sqrt().exp();
    let seen = band(doubt);
    near(seen[1], both, 1e-9);
    near(seen[0], both.recip(), 1e-9);
    // 10 K of melt: β of 0.028 is a factor of 1.3 on the consistency, and a little more.
    let [low, high] = band(Doubt { kelvin: 10.0, ..Doubt::NONE });
    assert!((1.1..1.6).contains(&high) && (0.6..0.9).contains(&low), "{low} {high}");
    let isothermal = newtonian();
    let least =
        required_pressure::least(&ready, &ready, &isothermal, &push(1e7), Doubt::NONE);
    assert_eq!(least, Ok(RequiredPressure::Any));
}

/// What three strips need goes to a file, for `tests/outside` to solve again.
#[test]
fn needed_pressures_are_written_for_an_outside_solver() {
    let cases = [
        ("abs", &ABS, 2.0, 60.0, 235.0, 1500.0),
        ("pp", &PP, 2.5, 90.0, 230.0, 3000.0),
        ("hdpe", &HDPE, 2.0, 60.0, 230.0, 2000.0),
    ];
    let rows = cases.map(|(name, plastic, gap, length, melt_c, contact)| {
        let (mesh, gate) = strip(gap, length);
        let melt = plastic.melt(melt_c, 50.0, contact);
        let pa = needed(&mesh, gate, &melt, 0.9 * gap, 4.0);
        format!(
            "{{\"plastic\": \"{name}\", \"gap_mm\": {gap}, \"length_mm\": {length}, \
             \"melt_c\": {melt_c}, \"contact\": {contact}, \"needed_pa\": {pa}}}"
        )
    });
    let path = concat!(env!("CARGO_TARGET_TMPDIR"), "/fill_needed.json");
    std::fs::write(path, format!("[{}]", rows.join(","))).unwrap();
}
