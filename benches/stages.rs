//! How long each stage takes, and how that grows with the facets: the lamp bracket of
//! `models/` (8 thousand facets) as it is and cut finer, to 33 and 532 thousand.
//!
//! ```text
//! cargo bench                  # all stages
//! cargo bench --bench stages -- walls
//! ```
//!
//! Stages that ask one thing a sample count samples, the others count facets.

#![expect(clippy::unwrap_used, reason = "a bench may panic")]

use std::hint::black_box;
use std::time::Duration;

use criterion::measurement::WallTime;
use criterion::{BenchmarkGroup, BenchmarkId, Criterion, Throughput};
use goodshot::analysis;
use goodshot::analysis::Setup;
use goodshot::geom::{Direction, Point};
use goodshot::mesh::bvh::Bvh;
use goodshot::mesh::heal::{self, HealSettings};
use goodshot::mesh::samples::Samples;
use goodshot::mesh::{shapes, stl};
use goodshot::part::core_half;
use goodshot::part::draft::{self, Formed, Rule};
use goodshot::part::faces;
use goodshot::part::{Part, pull, silhouette, thickness, undercut};
use goodshot::process::plastic::library::Plastics;
use goodshot::process::press::Press;
use goodshot::report::bundle;
use goodshot::schema::assemble;
use goodshot::settings::Settings;

/// Times that the bracket's facets are cut into four.
const FINER: [usize; 3] = [0, 1, 3];

/// Surface points: enough for the time of each to be steady.
const SAMPLES: usize = 5000;

/// One size of the bracket, with what the stages before have made of it.
struct Size {
    bytes: Vec<u8>,
    triangles: Vec<[Point; 3]>,
    part: Part,
}

fn main() {
    let sizes = FINER.map(size);
    let mut criterion = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(300))
        .measurement_time(Duration::from_secs(1))
        .configure_from_args();
    mesh_stages(&mut criterion, &sizes);
    measure_stages(&mut criterion, &sizes);
    release_stages(&mut criterion, &sizes);
    whole_check(&mut criterion, &sizes[..2]);
    criterion.final_summary();
}

fn size(finer: usize) -> Size {
    let bracket = include_bytes!("../models/lamp_bracket.stl");
    let read = stl::read(bracket).unwrap().scaled(1.0);
    let settings = HealSettings::default();
    let mesh = shapes::split(&heal::heal(read, settings).unwrap().mesh, finer);
    let triangles: Vec<_> = (0..mesh.facets().len()).map(|i| mesh.corners(i)).collect();
    let mut bytes = Vec::new();
    stl::write(triangles.iter().copied(), &mut bytes).unwrap();
    Size { bytes, triangles, part: Part::new(mesh, true, SAMPLES) }
}

/// What a stage's time is divided by.
#[derive(Clone, Copy)]
enum Per {
    Facet,
    Sample,
}

/// One group: `stage` on every size.
fn group<T>(
    criterion: &mut Criterion,
    name: &str,
    per: Per,
    sizes: &[Size],
    stage: impl Fn(&Size) -> T,
) {
    let mut group: BenchmarkGroup<'_, WallTime> = criterion.benchmark_group(name);
    for size in sizes {
        let facets = size.part.mesh.facets().len();
        let count = match per {
            Per::Facet => facets,
            Per::Sample => size.part.samples.len(),
        };
        group.throughput(Throughput::Elements(count as u64));
        group.bench_function(BenchmarkId::from_parameter(facets), |bencher| {
            bencher.iter(|| black_box(stage(size)));
        });
    }
    group.finish();
}

fn mesh_stages(criterion: &mut Criterion, sizes: &[Size]) {
    group(criterion, "read", Per::Facet, sizes, |size| stl::read(&size.bytes));
    group(criterion, "heal", Per::Facet, sizes, |size| {
        heal::heal(&size.triangles, HealSettings::default())
    });
    group(criterion, "bvh", Per::Facet, sizes, |size| Bvh::new(&size.part.mesh));
    group(criterion, "samples", Per::Facet, sizes, |size| {
        Samples::spread(&size.part.mesh, &size.part.bvh, SAMPLES)
    });
    group(criterion, "faces", Per::Facet, sizes, |size| {
        faces::fit(&size.part.mesh, &size.part.neighbors)
    });
}

fn measure_stages(criterion: &mut Criterion, sizes: &[Size]) {
    group(criterion, "walls", Per::Sample, sizes, |size| {
        thickness::map(&size.part.bvh, &size.part.samples)
    });
    group(criterion, "projected area", Per::Facet, sizes, |size| {
        silhouette::along(&size.part.mesh, &size.part.neighbors, Direction::Z)
    });
}

fn release_stages(criterion: &mut Criterion, sizes: &[Size]) {
    let pull = Direction::Z;
    let release =
        |size: &Size| undercut::Release::along(&size.part.bvh, &size.part.samples, pull);
    group(criterion, "undercut", Per::Sample, sizes, |size| {
        undercut::measure(&size.part.bvh, &size.part.samples, &release(size), pull)
    });
    group(criterion, "pull search", Per::Sample, sizes, |size| {
        pull::best(&size.part, pull::Criteria::DEFAULT, None)
    });
    group(criterion, "draft", Per::Facet, sizes, |size| {
        let Part { bvh, samples, .. } = &size.part;
        let release = release(size);
        let core = core_half::find(bvh, samples, &release, pull);
        let sides = draft::sides(samples, &release, pull, core);
        let formed = Formed { pull, core, sides: &sides, parted: None };
        draft::short(&size.part, formed, Rule::DEFAULT)
    });
}

/// From the bytes of the part to the bytes of every file of the report, with as many
/// samples as a real run; `benches/peers.py` times it on finer parts.
fn whole_check(criterion: &mut Criterion, sizes: &[Size]) {
    let plastic = Plastics::builtin().unwrap().find("pp").unwrap().clone();
    let press = Press::builtin().unwrap();
    let setup = Setup {
        press,
        press_given: false,
        plastic,
        plastic_given: false,
        sources: Vec::new(),
        found: Vec::new(),
    };
    let settings = Settings::default();
    group(criterion, "whole check", Per::Facet, sizes, |size| {
        let analysis =
            analysis::run(&size.bytes, setup.clone(), &settings, &|_| {}).unwrap();
        let report = assemble::report(&analysis, "lamp_bracket.stl");
        bundle::write(&analysis, &report)
    });
}
