//! One run: the same calls as those of `goodshot check`, `goodshot mold` and `goodshot compare`,
//! reported step by step. It runs in a process of its own, so that its end is only its own.

use std::sync::Arc;

use anyhow::{Context, Result, anyhow};

use crate::analysis::{self, Setup, Stage};
use crate::cli::desk::answers;
use crate::cli::desk::form_fields::{self, Wrong};
use crate::cli::desk::messages::{Message, Shown};
use crate::cli::desk::order::{Earlier, Order, PartHead, Sources, Task};
use crate::cli::run_check::{self, Judged, Step};
use crate::cli::run_mold;
use crate::cli::why::{self, CutMold};
use crate::compare;
use crate::compare::bundle::{self, Compared};
use crate::compare::comparison::Comparison;
use crate::compare::{lines, shape};
use crate::geom::{Direction, Vector};
use crate::mesh::heal::{self, HealSettings};
use crate::mesh::stl;
use crate::mold::milling::CutterList;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::report::bundle::NamedFile;
use crate::report::diagnosis_page;
use crate::report::first_screen;
use crate::report::html::{self, Inside};
use crate::report::mold::html as mold_page;
use crate::schema::{Report, words};
use crate::settings::{FileUnit, Settings};
use crate::viewer;

/// What a check does, in order.
pub(super) const CHECK_STEPS: [Step; 7] = [
    Step::Stage(Stage::Reading),
    Step::Stage(Stage::Walls),
    Step::Stage(Stage::Release),
    Step::Stage(Stage::Milling),
    Step::Stage(Stage::Press),
    Step::Stage(Stage::Filling),
    Step::Drawing,
];

/// What the making of a mold does, in order.
pub(super) const MOLD_STEPS: [Step; 7] = [
    Step::Stage(Stage::Reading),
    Step::Stage(Stage::Walls),
    Step::Stage(Stage::Release),
    Step::Stage(Stage::Press),
    Step::Stage(Stage::Filling),
    Step::Halves,
    Step::Drawing,
];

/// What is done to find the cause of a bad part, in order.
pub(super) const DIAGNOSIS_STEPS: [Step; 6] = [
    Step::Stage(Stage::Reading),
    Step::Stage(Stage::Walls),
    Step::Stage(Stage::Release),
    Step::Stage(Stage::Press),
    Step::Stage(Stage::Filling),
    Step::Causes,
];

/// Of two states of one part the longest, the middle and the shortest edge of the box differ
/// by no more than this factor; what differs by more is not even laid over the other.
const MOST_GROWN: f64 = 2.0;

/// A part of more bytes is shown only with its answer: reading it twice would take longer than a
/// person waits.
const MOST_SHOWN: usize = 20 << 20;

/// A part as it was uploaded.
pub(super) struct Part {
    /// Its name without folders.
    pub(super) name: String,
    /// Its size and facets in words.
    pub(super) seen: String,
    /// Its file.
    pub(super) bytes: axum::body::Bytes,
}

/// A file of the user's: a press, plastics or cutters.
pub(super) struct Own<T> {
    /// Its name without folders.
    pub(super) file: String,
    /// What it says; `None` for what is built in.
    pub(super) text: Option<Arc<str>>,
    /// What it holds.
    pub(super) holds: T,
    /// Whether it was brought to the page: a check that uses it keeps it for later.
    pub(super) is_new: bool,
}

/// Says one thing, with files.
type Say<'a> = &'a dyn Fn(&Message, &[NamedFile]);

/// Does what `order` asks for; `say` hears of each step and of what comes of it. `parts` are the
/// bytes of its parts.
///
/// # Errors
/// When there is no answer.
pub(super) fn work(order: &Order, parts: &[Vec<u8>], say: Say<'_>) -> Result<()> {
    let named = || order.parts.first().map_or_else(String::new, |head| head.name.clone());
    let show = |steps: &[Step], step: Step| {
        if let Some(place) = steps.iter().position(|other| *other == step) {
            say(&Message::Step(place), &[]);
        }
    };
    match &order.task {
        Task::Check { same, others } => {
            let check = Check { order, others, parts, say, same: same.as_deref() };
            check.run(&|step| show(&CHECK_STEPS, step)).with_context(named)
        }
        Task::Mold(more) => {
            let Made { shown, files } =
                mold(order, more, parts, &|step| show(&MOLD_STEPS, step))
                    .with_context(named)?;
            say(&Message::Done(shown), &files);
            Ok(())
        }
        Task::Diagnosis(more) => {
            let Made { shown, files } =
                diagnosis(order, more, parts, say).with_context(named)?;
            say(&Message::Done(shown), &files);
            Ok(())
        }
        Task::Comparison(both) => {
            let Made { shown, files } = compare_two(both, order, parts)?;
            say(&Message::Done(shown), &files);
            Ok(())
        }
    }
}

fn first_part<'a>(
    order: &'a Order,
    parts: &'a [Vec<u8>],
) -> Result<(&'a PartHead, &'a [u8])> {
    let first = order.parts.first().zip(parts.first());
    let (head, bytes) = first.ok_or_else(|| anyhow!("there is no part"))?;
    Ok((head, bytes))
}

/// What came of a run.
struct Made {
    shown: Shown,
    files: Vec<NamedFile>,
}

fn lengths(files: &[NamedFile]) -> Vec<(String, u64)> {
    files.iter().map(|file| (file.name.clone(), file.bytes.len() as u64)).collect()
}

/// Press, plastic and settings that a part is checked with.
fn setup(sources: &Sources) -> Result<(Setup, Settings)> {
    let wrong = |wrong: Wrong| anyhow!(wrong.why);
    let given = form_fields::given(&sources.words).map_err(wrong)?;
    let press = match &sources.press {
        Some(own) => Press::parse(&own.text)?,
        None => Press::builtin()?,
    };
    let mut plastics = Plastics::builtin()?;
    if let Some(own) = &sources.plastics {
        plastics = plastics.with_user_file(&own.text)?;
    }
    let cutters = sources.cutters.as_ref().map(|own| CutterList::parse(&own.text));
    let settings = given.settings(cutters.transpose()?.as_ref());
    let choice = given.plastic_choice();
    let setup = run_check::setup_of(press, sources.press.is_some(), &plastics, &choice)?;
    Ok((setup, settings))
}

/// A check, and what its answer is compared with.
struct Check<'a> {
    order: &'a Order,
    /// The newest report on the very same file.
    same: Option<&'a str>,
    /// Checks of other files, the newest first.
    others: &'a [Earlier],
    parts: &'a [Vec<u8>],
    say: Say<'a>,
}

impl Check<'_> {
    fn run(&self, show: &dyn Fn(Step)) -> Result<()> {
        let (head, bytes) = first_part(self.order, self.parts)?;
        let (setup, settings) = setup(&self.order.sources)?;
        if let Some(page) = shape(head, bytes, &settings) {
            let page = [page];
            (self.say)(&Message::Read(Shown::of(&page)), &page);
        }
        let mut judged = run_check::judge(bytes, &head.name, setup, &settings, show)?;
        run_check::try_first_changes(&mut judged, &settings, show);
        let page = html::write(&judged.report, &Inside::default());
        let name = "report.html".to_owned();
        let page = [NamedFile { name, bytes: page.into_bytes() }];
        (self.say)(&Message::Answered(self.shown(&judged, None, &page)), &page);
        let mut files = run_check::files(&judged, show)?;
        let changed = self.changed(&judged, &mut files)?;
        let shown = self.shown(&judged, changed.as_ref(), &files);
        (self.say)(&Message::Done(shown), &files);
        Ok(())
    }

    fn shown(
        &self,
        judged: &Judged,
        changed: Option<&Comparison>,
        files: &[NamedFile],
    ) -> Shown {
        let report = &judged.report;
        Shown {
            said: words::verdict(report.verdict).to_owned(),
            look: first_screen::class(report.verdict).to_owned(),
            piece: answers::check(report, changed, &self.order.typed),
            page: Some("report.html".to_owned()),
            files: lengths(files),
        }
    }

    /// What changed since the newest check of the same file, or of another state of the same
    /// part: then the files of the comparison go beside those of the report. An unrelated part
    /// is not compared.
    fn changed(
        &self,
        judged: &Judged,
        files: &mut Vec<NamedFile>,
    ) -> Result<Option<Comparison>> {
        if let Some(same) = self.same {
            let same: Report = serde_json::from_str(same)?;
            return Ok(Some(compare::compare(&same, &judged.report, None)));
        }
        let names = self.order.parts.iter().zip(self.parts).skip(1);
        for (other, (head, bytes)) in self.others.iter().zip(names) {
            let report: Report = serde_json::from_str(&other.report)?;
            if !may_be_one_part(&report, &judged.report) {
                continue;
            }
            let before = measured(other, report, &head.name, bytes)?;
            let seen = shape::measure(&before.analysis, &judged.analysis);
            if !seen.shape.is_match {
                continue;
            }
            let Compared { comparison, files: more } =
                bundle::write_seen(before.checked(), judged.checked(), seen)?;
            files.extend(more);
            return Ok(Some(comparison));
        }
        Ok(None)
    }
}

/// The page that shows a part before anything is known of it; nothing for one that takes long to
/// show, or that cannot be read, which the check says.
fn shape(head: &PartHead, bytes: &[u8], settings: &Settings) -> Option<NamedFile> {
    if bytes.len() > MOST_SHOWN {
        return None;
    }
    let unit = settings.unit.map_or(1.0, FileUnit::in_mm);
    let healing = HealSettings { close_holes: settings.close_holes };
    let healed = heal::heal(stl::read(bytes).ok()?.scaled(unit), healing).ok()?;
    let solid = viewer::pack_shape(&healed.mesh).ok()?;
    let page = html::write_shape(&head.name, &solid);
    Some(NamedFile { name: "shape.html".to_owned(), bytes: page.into_bytes() })
}

/// The shape of a part that was checked before, for comparing: without the questions that take
/// long, which its report has the answers to.
fn measured(
    earlier: &Earlier,
    report: Report,
    name: &str,
    bytes: &[u8],
) -> Result<Judged> {
    let (setup, mut settings) = setup(&earlier.sources)?;
    settings.fill.skip = true;
    settings.milling.skip = true;
    settings.pull = Direction::new(Vector::from(report.pull.direction));
    let analysis = analysis::run(bytes, setup, &settings, &|_| {})
        .with_context(|| name.to_owned())?;
    Ok(Judged { analysis, report })
}

/// Whether two parts are near enough in size to be two states of one.
fn may_be_one_part(one: &Report, other: &Report) -> bool {
    let edges = |report: &Report| {
        let bounds = &report.part.bounding_box_mm;
        let size = Vector::from(bounds.max) - Vector::from(bounds.min);
        let mut edges = [size.x, size.y, size.z];
        edges.sort_by(f64::total_cmp);
        edges
    };
    let pairs = edges(one).into_iter().zip(edges(other));
    pairs.into_iter().all(|(a, b)| a <= MOST_GROWN * b && b <= MOST_GROWN * a)
}

fn mold(
    order: &Order,
    more: &[String],
    parts: &[Vec<u8>],
    show: &dyn Fn(Step),
) -> Result<Made> {
    let (head, bytes) = first_part(order, parts)?;
    let (setup, settings) = setup(&order.sources)?;
    let hardware = form_fields::hardware(more).map_err(|wrong| anyhow!(wrong.why))?;
    let choices = hardware.choices()?;
    let made = run_mold::make(bytes, &head.name, setup, &settings, &choices, show)?;
    let files = run_mold::files(&made, show)?;
    let shown = Shown {
        said: mold_page::verdict_words(&made.report),
        look: mold_page::verdict_class(&made.report).to_owned(),
        piece: answers::made(&order.typed),
        page: Some("mold.html".to_owned()),
        files: lengths(&files),
    };
    Ok(Made { shown, files })
}

/// Why a part came out bad.
fn diagnosis(
    order: &Order,
    more: &[String],
    parts: &[Vec<u8>],
    say: Say<'_>,
) -> Result<Made> {
    let (head, bytes) = first_part(order, parts)?;
    let wrong = |wrong: Wrong| anyhow!(wrong.why);
    let args = form_fields::shot(&order.sources.words, more).map_err(wrong)?;
    let words = form_fields::without_heat(&order.sources.words);
    let (setup, settings) = setup(&Sources { words, ..order.sources.clone() })?;
    let show = |what: String| {
        let known = DIAGNOSIS_STEPS.iter().position(|step| step.to_string() == what);
        let is_trial = what.starts_with("trying: ");
        if let Some(step) = known.or(is_trial.then_some(DIAGNOSIS_STEPS.len() - 1)) {
            say(&Message::Step(step), &[]);
        }
    };
    let mold = CutMold { setup, settings };
    let found = why::diagnose(&args, bytes, &head.name, mold, &show)?;
    let page = diagnosis_page::write(&found).into_bytes();
    let json = serde_json::to_vec_pretty(&found)?;
    let files = [("why.html", page), ("why.json", json)];
    let files = files.map(|(name, bytes)| NamedFile { name: name.to_owned(), bytes });
    let shown = Shown {
        said: found.causes.first().map_or_else(String::new, |cause| cause.title.clone()),
        look: String::new(),
        piece: answers::made(&order.typed),
        page: Some("why.html".to_owned()),
        files: lengths(&files),
    };
    Ok(Made { shown, files: files.into() })
}

/// What changed from one check that was chosen to another, with its files where the shapes are
/// at hand.
fn compare_two(both: &[Earlier; 2], order: &Order, parts: &[Vec<u8>]) -> Result<Made> {
    let [before, after] = both;
    let reports: [Report; 2] =
        [serde_json::from_str(&before.report)?, serde_json::from_str(&after.report)?];
    let (comparison, files) = match (parts, order.parts.as_slice()) {
        ([old, new], [old_head, new_head]) => {
            let [old_report, new_report] = reports;
            let old = measured(before, old_report, &old_head.name, old)?;
            let new = measured(after, new_report, &new_head.name, new)?;
            let Compared { comparison, files } =
                bundle::write(old.checked(), new.checked())?;
            (comparison, files)
        }
        _ => {
            let comparison = compare::compare(&reports[0], &reports[1], None);
            let bytes = compare::html::write(&comparison, &[]).into_bytes();
            let name = "compare.html".to_owned();
            (comparison, vec![NamedFile { name, bytes }])
        }
    };
    let shown = Shown {
        said: lines::outcome(comparison.outcome).to_owned(),
        look: String::new(),
        piece: String::new(),
        page: Some("compare.html".to_owned()),
        files: lengths(&files),
    };
    Ok(Made { shown, files })
}
