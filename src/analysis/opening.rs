//! Which way the mold opens, and what that means for the part.

use crate::analysis::{Holding, Setup};
use crate::geom::Direction;
use crate::part::Part;
use crate::part::core_half;
use crate::part::draft::{self, FaceDraft, Formed, Rule};
use crate::part::halves::{Half, Side};
use crate::part::parting::{self, Parting, Skins};
use crate::part::pull::{self, Criteria, Scored};
use crate::part::remedies::{self, Remedy};
use crate::part::silhouette::{self, Silhouette};
use crate::part::standing_metal::{self, StandingMetal};
use crate::part::undercut::{self, Release, Undercut};
use crate::part::undercut_causes;
use crate::process::clamping::force;
use crate::process::part_limits::{self, DraftLimit};
use crate::process::plastic::Unknown;
use crate::process::press::Press;
use crate::settings::Settings;
use crate::units::{self, Length, Ratio};

/// The part along its pull.
pub struct Opening {
    /// Along which the + half leaves.
    pub pull: Direction,
    /// Whether the user named it.
    pub pull_given: bool,
    /// Whether the best pull was set to the axis of the file that it nearly ran along.
    pub set_to_axis: bool,
    /// The best directions, best first.
    pub alternatives: Vec<Scored>,
    /// Extent along the pull, mm.
    pub height: f64,
    /// The projected area.
    pub silhouette: Silhouette,
    /// Which half is the core: the one that keeps the part.
    pub core: Half,
    /// What holds the part on it and on the other.
    pub holding: Holding,
    /// The side of every sample.
    pub sides: Vec<Side>,
    /// Where the halves meet.
    pub parting: Parting,
    /// The surface that each half forms.
    pub skins: Skins,
    /// What is trapped.
    pub undercut: Undercut,
    /// Which regions that are more than noise have one cause.
    pub causes: Vec<Vec<usize>>,
    /// For each trapped region, what can be done about it, cheapest first.
    pub remedies: Vec<Vec<Remedy>>,
    /// What the plastic asks of walls along the pull.
    pub draft_limit: Result<DraftLimit, Unknown>,
    /// The same as a rule.
    pub rule: Rule,
    /// Depth of the texture on the part, where the user gave one.
    pub texture: Option<Length>,
    /// Faces short of it, worst first.
    pub short: Vec<FaceDraft>,
    /// Metal of the mold that stands alone between plastic, the most slender first.
    pub standing: Vec<StandingMetal>,
}

impl Opening {
    /// Which half forms each sample.
    pub fn formed(&self) -> Formed<'_> {
        let parted = Some(&self.skins.formed);
        Formed { pull: self.pull, core: self.core, sides: &self.sides, parted }
    }
}

/// Opens the mold of `part` along the pull that the user named, else along the best.
pub(super) fn find(part: &Part, setup: &Setup, settings: &Settings) -> Opening {
    let Part { mesh, bvh, samples, .. } = part;
    let (draft_limit, rule) = draft_rule(setup, settings);
    let held_area = held_area(&setup.press, settings.choices.usual_feed_share());
    let alternatives = pull::best(part, Criteria { rule, held_area }, settings.pull);
    let best = alternatives.first().map_or(Direction::Z, |best| best.direction);
    let (pull, release) = settled_pull(part, settings.pull, best);
    let inner = core_half::find(bvh, samples, &release, pull);
    let (parting, skins) = parting::with_skins(part, pull, inner);
    let Kept { core, sides, holding } = keep(part, setup, &release, pull, inner, &skins);
    let undercut = undercut::measure(bvh, samples, &release, pull);
    let silhouette = silhouette::along(mesh, &part.neighbors, pull);
    let parted = Some(&skins.formed);
    let formed = Formed { pull, core, sides: &sides, parted };
    let standing = standing_metal::find(part, formed).into_iter();
    let standing: Vec<StandingMetal> = standing
        .map(|it| standing_metal::on_formed_half(it, part, &skins, pull))
        .collect();
    let short = draft::short(part, formed, rule);
    Opening {
        pull,
        pull_given: settings.pull.is_some(),
        set_to_axis: settings.pull.is_none() && pull != best,
        alternatives: pull::with_measured(alternatives, pull, &undercut, silhouette.area),
        height: draft::height(mesh, pull),
        silhouette,
        core,
        holding,
        parting,
        skins,
        remedies: remedies::list(part, &undercut.regions, pull),
        causes: undercut_causes::group(part, &undercut.regions, |region| {
            region.is_real(part.faces.chord_error)
        }),
        undercut,
        draft_limit,
        rule,
        texture: settings.texture,
        short,
        standing,
        sides,
    }
}

/// A pull within this of an axis of the file is meant to be that axis, degrees (judgment).
const AXIS_DEG: f64 = 0.5;

/// The pull that was `given`, else the `best`, set to an axis of the file that it nearly runs
/// along where nothing more is trapped then; and what can leave along it.
fn settled_pull(
    part: &Part,
    given: Option<Direction>,
    best: Direction,
) -> (Direction, Release) {
    let Part { bvh, samples, .. } = part;
    let along = |pull: Direction| Release::along(bvh, samples, pull);
    if let Some(given) = given {
        return (given, along(given));
    }
    let axes = [Direction::X, Direction::Y, Direction::Z];
    let near = axes
        .into_iter()
        .flat_map(|axis| [axis, axis.reversed()])
        .find(|axis| axis.dot(&best.vector()) > AXIS_DEG.to_radians().cos());
    let release = along(best);
    let Some(axis) = near.filter(|axis| *axis != best) else { return (best, release) };
    let on_axis = along(axis);
    let trapped = |release: &Release, pull: Direction| {
        undercut::measure(bvh, samples, release, pull).deepest().unwrap_or(0.0)
    };
    let least = undercut::least_depth(part.faces.chord_error);
    if trapped(&on_axis, axis) <= trapped(&release, best).max(least) {
        (axis, on_axis)
    } else {
        (best, release)
    }
}

/// The half that keeps the part, and what follows from it.
struct Kept {
    core: Half,
    sides: Vec<Side>,
    holding: Holding,
}

/// Which half keeps a part that is parted so; `inner` where both hold it alike.
fn keep(
    part: &Part,
    setup: &Setup,
    release: &Release,
    pull: Direction,
    inner: Half,
    skins: &Skins,
) -> Kept {
    let parted = Some(&skins.formed);
    let with = |core: Half| {
        let sides = draft::sides(&part.samples, release, pull, core);
        let formed = Formed { pull, core, sides: &sides, parted };
        let holding = Holding::measure(part, formed);
        Kept { core, sides, holding }
    };
    let kept = with(inner);
    let core = kept.holding.keeping_half(inner, setup);
    if core == inner { kept } else { with(core) }
}

/// What plastic and texture ask of the walls along the pull.
pub(super) fn draft_rule(
    setup: &Setup,
    settings: &Settings,
) -> (Result<DraftLimit, Unknown>, Rule) {
    let draft_limit = part_limits::draft(&setup.plastic);
    let mut rule = draft_limit.as_ref().map_or(Rule::DEFAULT, |limit| Rule {
        least_deg: units::in_degrees(limit.required),
        deg_per_mm: part_limits::DRAFT_DEG_PER_MM,
        ..Rule::DEFAULT
    });
    rule.inside_deg = part_limits::DRAFT_INSIDE_DEG;
    rule.texture_deg = settings
        .texture
        .map_or(0.0, |depth| units::in_degrees(part_limits::texture_draft(depth)));
    (draft_limit, rule)
}

/// The projected area of a part that the clamp holds shut with its feed, mm². The feed is not sized
/// before the pull is known, so it counts by its usual share.
fn held_area(press: &Press, feed_share: Ratio) -> Option<f64> {
    let held = force::holdable_area(press.holding_force()?, press.melt_pressure())?;
    Some(units::in_mm2(force::without_feed(held, feed_share)))
}
