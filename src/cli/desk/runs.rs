//! The runs of this session, the oldest first: what was asked, how far each is, and what came
//! of it.

use std::collections::VecDeque;
use std::sync::Arc;

use serde::Serialize;

use crate::cli::desk::form_fields::Request;
use crate::report::bundle::NamedFile;
use crate::schema::Report;
use crate::settings::Stop;

/// Runs that are kept with all their files.
const RUNS: usize = 32;
/// Runs that wait for others at once.
pub(super) const MOST_WAITING: usize = 16;

/// How far a run is.
#[derive(Clone)]
pub(super) enum Run {
    /// Others run first.
    Waiting,
    /// At this one of its steps.
    At(usize),
    /// Its end was asked for, and is near.
    Stopping,
    /// It was ended.
    Stopped,
    /// Done.
    Done(Arc<Answer>),
    /// No answer, and why.
    Failed(String),
}

impl Run {
    /// As the page knows it.
    pub(super) fn key(&self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::At(_) => "at",
            Self::Stopping => "stopping",
            Self::Stopped => "stopped",
            Self::Done(_) => "done",
            Self::Failed(_) => "failed",
        }
    }

    fn goes_on(&self) -> bool {
        matches!(self, Self::Waiting | Self::At(_) | Self::Stopping)
    }
}

/// What came of a run, ready to be shown.
pub(super) struct Answer {
    /// In a few words.
    pub(super) said: String,
    /// The class that its colors go by.
    pub(super) look: &'static str,
    /// The piece of the page that says it.
    pub(super) piece: String,
    /// Its files.
    pub(super) files: Vec<NamedFile>,
    /// The one of them that shows all of it, where there is one.
    pub(super) page: Option<&'static str>,
}

/// What a run makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Kind {
    /// The report on a part.
    Check,
    /// The mold of a part.
    Mold,
    /// What changed from one check to another.
    Comparison,
}

/// A run before it is numbered.
pub(super) struct NewRun {
    /// What is made.
    pub(super) kind: Kind,
    /// The name of the part.
    pub(super) part: String,
    /// What the page sent.
    pub(super) request: Request,
    /// What was chosen: names and values.
    pub(super) choices: Vec<Choice>,
    /// What is done, in order.
    pub(super) steps: Vec<String>,
    /// Ends it.
    pub(super) stop: Stop,
}

/// Something that was chosen, as the page calls it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Choice {
    /// What it is.
    pub(super) name: String,
    /// What was chosen; empty for what is only made or not.
    pub(super) value: String,
}

/// A run with its number.
pub(super) struct Entry {
    id: u64,
    new: NewRun,
    /// What differs from the run of the same part before.
    changed: String,
    run: Run,
    report: Option<Arc<Report>>,
}

/// What the page shows of a run.
#[derive(Serialize)]
pub(super) struct Row {
    run: u64,
    kind: Kind,
    part: String,
    changed: String,
    state: &'static str,
    /// The step that it is at, or what came of it.
    said: String,
    /// The class that its colors go by, where it is done.
    look: &'static str,
    /// What was asked for.
    request: Request,
    /// What is done, in order.
    steps: Vec<String>,
    /// The step that it is at.
    step: Option<usize>,
}

/// All of them.
#[derive(Default)]
pub(super) struct Runs {
    entries: VecDeque<Entry>,
}

impl Runs {
    /// Takes in a run that waits; whether there is room for it.
    pub(super) fn begin(&mut self, id: u64, new: NewRun) -> bool {
        let is_waiting = |entry: &&Entry| matches!(entry.run, Run::Waiting);
        if self.entries.iter().filter(is_waiting).count() >= MOST_WAITING {
            return false;
        }
        let alike = |old: &&Entry| {
            old.new.kind == new.kind && old.new.request.part == new.request.part
        };
        let before = self.entries.iter().rev().find(alike);
        let changed = changed(before.map(|entry| entry.new.choices.as_slice()), &new);
        self.entries.push_back(Entry {
            id,
            new,
            changed,
            run: Run::Waiting,
            report: None,
        });
        while self.entries.len() > RUNS {
            let done = self.entries.iter().position(|entry| !entry.run.goes_on());
            let Some(oldest) = done else { break };
            self.entries.remove(oldest);
        }
        true
    }

    fn entry(&mut self, id: u64) -> Option<&mut Entry> {
        self.entries.iter_mut().find(|entry| entry.id == id)
    }

    /// Asks for the end of a run that goes on; how it then stands, if it is still there.
    pub(super) fn stop(&mut self, id: u64) -> Option<Run> {
        let entry = self.entry(id)?;
        match entry.run {
            Run::Waiting => entry.run = Run::Stopped,
            Run::At(_) => entry.run = Run::Stopping,
            _ => return Some(entry.run.clone()),
        }
        entry.new.stop.ask();
        Some(entry.run.clone())
    }

    /// The run of that number is here now; one that is about to stop or has stopped only ends.
    pub(super) fn set(&mut self, id: u64, run: Run) {
        let Some(entry) = self.entry(id) else { return };
        let is_ending = matches!(entry.run, Run::Stopping | Run::Stopped);
        if !(is_ending && matches!(run, Run::At(_))) {
            entry.run = run;
        }
    }

    /// Keeps the report of a run, for comparing.
    pub(super) fn keep_report(&mut self, id: u64, report: Report) {
        if let Some(entry) = self.entry(id) {
            entry.report = Some(Arc::new(report));
        }
    }

    /// The run of that number, if it is still there.
    pub(super) fn run(&self, id: u64) -> Option<Run> {
        self.find(id).map(|entry| entry.run.clone())
    }

    /// The report of that number, if it is still there.
    pub(super) fn report(&self, id: u64) -> Option<Arc<Report>> {
        self.find(id)?.report.clone()
    }

    /// What was asked for in the run of that number, if it is still there.
    pub(super) fn request(&self, id: u64) -> Option<Request> {
        self.find(id).map(|entry| entry.new.request.clone())
    }

    fn find(&self, id: u64) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.id == id)
    }

    /// The newest report on the part of that number.
    pub(super) fn newest_report(&self, part: Option<u64>) -> Option<Arc<Report>> {
        let of_part = |entry: &&Entry| entry.new.request.part == part;
        self.entries.iter().rev().filter(of_part).find_map(|entry| entry.report.clone())
    }

    /// One run as the page shows it.
    pub(super) fn row(&self, id: u64) -> Option<Row> {
        self.find(id).map(row)
    }

    /// All of them as the page shows them.
    pub(super) fn rows(&self) -> Vec<Row> {
        self.entries.iter().map(row).collect()
    }
}

fn row(entry: &Entry) -> Row {
    let Entry { id, new, changed, run, .. } = entry;
    let NewRun { kind, part, request, steps, .. } = new;
    let (said, look, step) = match run {
        Run::Waiting => ("Waiting for the runs before".to_owned(), "", None),
        Run::At(step) => (step_in_words(steps, *step), "", Some(*step)),
        Run::Stopping => ("Stopping".to_owned(), "", None),
        Run::Stopped => ("Stopped".to_owned(), "", None),
        Run::Done(answer) => (answer.said.clone(), answer.look, None),
        Run::Failed(why) => (why.clone(), "", None),
    };
    Row {
        run: *id,
        kind: *kind,
        part: part.clone(),
        changed: changed.clone(),
        state: run.key(),
        said,
        look,
        request: request.clone(),
        steps: steps.clone(),
        step,
    }
}

fn step_in_words(steps: &[String], step: usize) -> String {
    let what = steps.get(step).map_or("", String::as_str);
    format!("Step {} of {}: {what}", step + 1, steps.len())
}

/// What was chosen otherwise than `before`.
fn changed(before: Option<&[Choice]>, new: &NewRun) -> String {
    if new.kind == Kind::Comparison {
        return String::new();
    }
    let Some(before) = before else { return format!("first {}", name(new.kind)) };
    let written = |choice: &Choice| match choice.value.as_str() {
        "" => choice.name.clone(),
        value => format!("{}: {value}", choice.name),
    };
    let fresh = new.choices.iter().filter(|choice| !before.contains(choice));
    let is_gone =
        |old: &&Choice| new.choices.iter().all(|choice| choice.name != old.name);
    let gone = before.iter().filter(is_gone);
    let all: Vec<String> = fresh
        .map(written)
        .chain(gone.map(|old| format!("no longer {}", written(old))))
        .collect();
    if all.is_empty() { "nothing".to_owned() } else { all.join("; ") }
}

fn name(kind: Kind) -> &'static str {
    match kind {
        Kind::Check => "check",
        Kind::Mold => "mold",
        Kind::Comparison => "comparison",
    }
}

#[cfg(test)]
mod tests {
    use super::{Choice, Kind, MOST_WAITING, NewRun, RUNS, Run, Runs};
    use crate::cli::desk::form_fields::Request;
    use crate::settings::Stop;

    fn new(part: u64, choices: &[(&str, &str)]) -> NewRun {
        let request = Request {
            part: Some(part),
            press: None,
            plastics: None,
            cutters: None,
            chosen: Vec::new(),
        };
        let choice = |(name, value): &(&str, &str)| Choice {
            name: (*name).to_owned(),
            value: (*value).to_owned(),
        };
        NewRun {
            kind: Kind::Check,
            part: "plug.stl".to_owned(),
            request,
            choices: choices.iter().map(choice).collect(),
            steps: vec!["reading".to_owned(), "drawing".to_owned()],
            stop: Stop::default(),
        }
    }

    #[test]
    fn a_run_that_is_to_stop_ends_and_does_not_go_on() {
        let mut runs = Runs::default();
        let stop = Stop::default();
        assert!(runs.begin(1, NewRun { stop: stop.clone(), ..new(1, &[]) }));
        runs.set(1, Run::At(1));
        assert_eq!(runs.rows()[0].said, "Step 2 of 2: drawing");
        assert!(matches!(runs.stop(1), Some(Run::Stopping)) && stop.is_asked());
        runs.set(1, Run::At(1));
        assert!(matches!(runs.run(1), Some(Run::Stopping)));
        runs.set(1, Run::Stopped);
        assert!(matches!(runs.stop(1), Some(Run::Stopped)));
        assert!(runs.stop(2).is_none());
        // One that waits is stopped at once and does not begin.
        runs.begin(3, new(1, &[]));
        assert!(matches!(runs.stop(3), Some(Run::Stopped)));
        runs.set(3, Run::At(0));
        assert!(matches!(runs.run(3), Some(Run::Stopped)));
        // One that is done stays done.
        runs.begin(4, new(1, &[]));
        runs.set(4, Run::Failed("no".to_owned()));
        assert!(matches!(runs.stop(4), Some(Run::Failed(_))));
    }

    #[test]
    fn a_run_says_what_differs_from_the_one_before_of_its_part() {
        let mut runs = Runs::default();
        runs.begin(1, new(1, &[("Plastic", "pp"), ("No vents", "")]));
        runs.begin(2, new(2, &[("Plastic", "pa6")]));
        runs.begin(3, new(1, &[("Plastic", "abs"), ("Mold opens along", "−z")]));
        runs.begin(4, new(1, &[("Plastic", "abs"), ("Mold opens along", "−z")]));
        let rows = runs.rows();
        let changed: Vec<&str> = rows.iter().map(|row| row.changed.as_str()).collect();
        let third = "Plastic: abs; Mold opens along: −z; no longer No vents";
        assert_eq!(changed, ["first check", "first check", third, "nothing"]);
    }

    #[test]
    fn the_oldest_that_are_done_make_room_and_the_line_has_an_end() {
        let mut runs = Runs::default();
        for id in 0..2 * RUNS as u64 {
            assert!(runs.begin(id, new(id, &[])));
            // The first one goes on all the time.
            if id > 0 {
                runs.set(id, Run::Failed("no".to_owned()));
            }
        }
        assert_eq!(runs.rows().len(), RUNS);
        assert!(runs.run(0).is_some() && runs.run(1).is_none());
        let waiting = (100..).take_while(|&id| runs.begin(id, new(id, &[]))).count();
        assert_eq!(waiting, MOST_WAITING - 1);
    }
}
