//! Everything that is measured of a part along one pull.

use goodshot::geom::Direction;
use goodshot::mesh::self_intersection;
use goodshot::part::core_half;
use goodshot::part::draft::{self, Formed, Rule};
use goodshot::part::halves::{Half, Side};
use goodshot::part::undercut::{self, Release};
use goodshot::part::{mass, pull, silhouette, surface_statistics, thickness};

use crate::common::Part;

/// What a missing value counts as.
const MISSING: f64 = -1.0;

/// A number with its name and a difference that does not matter.
type Number = (&'static str, f64, f64);

pub(crate) struct Measured {
    /// What the mesh says itself.
    exact: Vec<Number>,
    /// What samples say.
    sampled: Vec<Number>,
    core: Half,
    /// The pull that is chosen when none is given.
    pub(crate) opening: Direction,
}

impl Measured {
    pub(crate) fn measure(part: &Part, along: Direction) -> Self {
        let (mesh, bvh, samples) = (&part.mesh, &part.bvh, &part.samples);
        let release = Release::along(bvh, samples, along);
        let core = core_half::find(bvh, samples, &release, along);
        let sides = draft::sides(samples, &release, along, core);
        let undercut = undercut::measure(bvh, samples, &release, along);
        let mut measured = Self {
            exact: exact(part, along),
            sampled: walls(part),
            core,
            opening: opening(part),
        };
        let speck = 1e-3 * samples.area_each * samples.len() as f64;
        measured.sampled.extend([
            ("trapped area", undercut.area, speck),
            ("trapped volume", undercut.volume, speck),
        ]);
        let deepest = undercut.regions.first().filter(|_| undercut.area > speck);
        let depth = deepest.map(|deepest| deepest.depth.unwrap_or(MISSING));
        // Without a single remedy the depth is the farthest of only two dozen points.
        let is_stripped = deepest.is_some_and(|deepest| deepest.way.is_none());
        let slack = if is_stripped { 0.5 } else { 0.02 };
        measured.sampled.push(("trapped depth", depth.unwrap_or(0.0), slack));
        for (name, side) in [
            ("cavity", Side::Cavity),
            ("core", Side::Core),
            ("upright", Side::Upright),
            ("trapped", Side::Trapped),
        ] {
            let count = sides.iter().filter(|&&one| one == side).count();
            measured.sampled.push((name, count as f64 * samples.area_each, speck));
        }
        let formed = Formed { pull: along, core, sides: &sides, parted: None };
        let short = draft::short(part, formed, Rule::DEFAULT);
        let crossings = self_intersection::find(mesh, bvh);
        measured.exact.extend([
            ("faces short of draft", short.len() as f64, 0.0),
            ("area short of draft", short.iter().map(|face| face.area).sum(), 0.0),
            ("least draft", short.first().map_or(MISSING, |face| face.draft_deg), 1e-6),
            ("crossings", crossings.pairs as f64, 0.0),
        ]);
        measured
    }

    /// Asserts that this is `other`, what the mesh says to `exact` and what samples say to
    /// `sampled`.
    #[track_caller]
    pub(crate) fn is(&self, other: &Self, exact: f64, sampled: f64, name: &str) {
        for (found, expected, share) in
            [(&self.exact, &other.exact, exact), (&self.sampled, &other.sampled, sampled)]
        {
            assert_eq!(found.len(), expected.len());
            for (&(what, value, _), &(_, known, slack)) in found.iter().zip(expected) {
                // A coarser demand on what the mesh says is a file's single precision.
                let slack = slack.max(if share > 1e-6 { 0.005 } else { 0.0 });
                assert!(
                    (value - known).abs() <= share * known.abs() + slack,
                    "{name}: {what} was {known} and is {value}"
                );
            }
        }
        assert_eq!(self.core, other.core, "{name}");
    }

    /// Asserts that the chosen pull is `expected` or its opposite, within 0.1°.
    #[track_caller]
    pub(crate) fn opens_along(&self, expected: Direction, name: &str) {
        let off = self.opening.vector().cross(&expected.vector()).norm();
        assert!(off < 0.1_f64.to_radians(), "{name}: {:?} {expected:?}", self.opening);
    }

    pub(crate) fn bits(&self) -> Vec<u64> {
        let numbers = self.exact.iter().chain(&self.sampled).map(|number| number.1);
        let opening = self.opening.vector();
        numbers.chain([opening.x, opening.y, opening.z]).map(f64::to_bits).collect()
    }
}

fn exact(part: &Part, along: Direction) -> Vec<Number> {
    let mass = mass::measure(&part.mesh, true);
    let projected_area = silhouette::along(&part.mesh, &part.neighbors, along);
    let solid = mass.solid.unwrap();
    vec![
        ("area", mass.area, 0.0),
        ("volume", solid.volume, 0.0),
        ("inertia", solid.inertia.trace(), 0.0),
        ("projected area", projected_area.area, 0.0),
        ("pieces of the projected area", projected_area.pieces.len() as f64, 0.0),
        ("height", draft::height(&part.mesh, along), 0.0),
        ("faces", part.faces.list.len() as f64, 0.0),
        ("largest face", part.faces.list[0].area, 0.0),
        ("chord error", part.faces.chord_error.unwrap_or(MISSING), 1e-9),
    ]
}

fn walls(part: &Part) -> Vec<Number> {
    let found = thickness::map(&part.bvh, &part.samples);
    let spread = |values: &[Option<f64>]| {
        let known = values.iter().flatten().count() as f64 / values.len() as f64;
        (
            known,
            surface_statistics::quantiles(values)
                .map_or([MISSING; 3], |q| [q.p05, q.p50, q.p95]),
        )
    };
    let (_, [thin, middle, thick]) = spread(&found.ray);
    let (known, [thin_ball, middle_ball, thick_ball]) = spread(&found.ball);
    vec![
        ("ray, 5 %", thin, 0.0),
        ("ray, 50 %", middle, 0.0),
        ("ray, 95 %", thick, 0.0),
        ("ball, 5 %", thin_ball, 0.0),
        ("ball, 50 %", middle_ball, 0.0),
        ("ball, 95 %", thick_ball, 0.0),
        ("share with a ball", known, 0.01),
    ]
}

fn opening(part: &Part) -> Direction {
    pull::best(part, pull::Criteria::DEFAULT, None)[0].direction
}

/// Every sample and every value on it, bit by bit.
pub(crate) fn sampled_bits(part: &Part, along: Direction) -> Vec<u64> {
    let samples = &part.samples;
    let found = thickness::map(&part.bvh, samples);
    let release = Release::along(&part.bvh, samples, along);
    let places = samples.points.iter().flat_map(|point| [point.x, point.y, point.z]);
    let values = found.ray.iter().chain(&found.ball).map(|v| v.unwrap_or(MISSING));
    let free =
        release.to_plus.iter().chain(&release.to_minus).map(|&free| u64::from(free));
    places.chain(values).map(f64::to_bits).chain(free).collect()
}
