//! The runs of this session, the oldest first.

use std::collections::VecDeque;
use std::sync::Arc;
use std::time::Instant;

use serde::Serialize;

use crate::cli::desk::form_fields::Request;
use crate::cli::desk::processes::Process;
use crate::cli::desk::run::{Answer, Choice, Done, Kind, NewRun, Run};

/// Runs that are kept with all their files.
const RUNS: usize = 32;
/// Runs that wait for others at once.
pub(super) const MOST_WAITING: usize = 16;

/// A run with its number.
pub(super) struct Entry {
    id: u64,
    new: NewRun,
    /// What differs from the run of the same part before.
    changed: String,
    run: Run,
    /// What is known of it before it is done.
    early: Option<Arc<Answer>>,
    process: Option<Process>,
    begun: Option<Instant>,
    /// How long it took until its answer was known.
    seconds: Option<f64>,
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
    look: String,
    /// Whether its part can be shown.
    seen: bool,
    /// Whether its answer is known, though it may not be done.
    answered: bool,
    /// How long that took, s.
    seconds: Option<f64>,
    /// Whether it began by itself.
    from_folder: bool,
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
            early: None,
            process: None,
            begun: None,
            seconds: None,
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
        if let Some(process) = &entry.process {
            process.kill();
        }
        Some(entry.run.clone())
    }

    /// The run of that number goes on in `process`; one whose end was asked for is ended.
    pub(super) fn start(&mut self, id: u64, process: Process) {
        let Some(entry) = self.entry(id) else { return process.kill() };
        if matches!(entry.run, Run::Stopping | Run::Stopped) {
            process.kill();
        } else {
            entry.run = Run::At(0);
        }
        entry.process = Some(process);
        entry.begun = Some(Instant::now());
    }

    /// Whether the end of the run of that number was asked for, or it is gone.
    pub(super) fn is_ending(&self, id: u64) -> bool {
        let run = self.find(id).map(|entry| &entry.run);
        run.is_none_or(|run| matches!(run, Run::Stopping | Run::Stopped))
    }

    /// Keeps the part of a run as it was read.
    pub(super) fn show_part(&mut self, id: u64, page: Arc<Answer>) {
        if let Some(entry) = self.entry(id) {
            entry.early = Some(page);
        }
    }

    /// Keeps what is known of a run before it is done.
    pub(super) fn answer_early(&mut self, id: u64, answer: Arc<Answer>) {
        if let Some(entry) = self.entry(id) {
            entry.seconds = entry.begun.map(|begun| begun.elapsed().as_secs_f64());
            entry.early = Some(answer);
        }
    }

    /// The run of that number is here now; one that is about to stop or has stopped only ends.
    pub(super) fn set(&mut self, id: u64, run: Run) {
        let Some(entry) = self.entry(id) else { return };
        let is_ending = matches!(entry.run, Run::Stopping | Run::Stopped);
        if is_ending && matches!(run, Run::At(_)) {
            return;
        }
        if !run.goes_on() {
            entry.process = None;
            entry.early = None;
        }
        entry.run = run;
    }

    /// The run of that number, if it is still there.
    pub(super) fn run(&self, id: u64) -> Option<Run> {
        self.find(id).map(|entry| entry.run.clone())
    }

    /// What is known of the run of that number.
    pub(super) fn answer(&self, id: u64) -> Option<Arc<Answer>> {
        let entry = self.find(id)?;
        match &entry.run {
            Run::Done(answer) => Some(Arc::clone(answer)),
            _ => entry.early.clone(),
        }
    }

    /// What was asked for in the run of that number, if it is still there.
    pub(super) fn request(&self, id: u64) -> Option<Request> {
        self.find(id).map(|entry| entry.new.request.clone())
    }

    fn find(&self, id: u64) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.id == id)
    }

    /// All checks that are done, the newest first.
    pub(super) fn checks(&self) -> Vec<Done> {
        let checks = self.entries.iter().rev().filter(|it| it.new.kind == Kind::Check);
        let done = checks.filter_map(|entry| {
            let Run::Done(answer) = &entry.run else { return None };
            Some(Done {
                run: entry.id,
                part: entry.new.part.clone(),
                request: entry.new.request.clone(),
                answer: Arc::clone(answer),
            })
        });
        done.collect()
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
    let Entry { id, new, changed, run, early, seconds, .. } = entry;
    let NewRun { kind, part, request, steps, .. } = new;
    let (said, look, step) = match run {
        Run::Waiting => ("Waiting for the runs before".to_owned(), "", None),
        Run::At(step) => (step_in_words(steps, *step), "", Some(*step)),
        Run::Stopping => ("Stopping".to_owned(), "", None),
        Run::Stopped => ("Stopped".to_owned(), "", None),
        Run::Done(answer) => (answer.said.clone(), answer.look.as_str(), None),
        Run::Failed(why) => (why.clone(), "", None),
    };
    Row {
        run: *id,
        kind: *kind,
        part: part.clone(),
        changed: changed.clone(),
        state: run.key(),
        said,
        look: look.to_owned(),
        seen: early.is_some() || matches!(run, Run::Done(_)),
        answered: (early.is_some() && seconds.is_some()) || matches!(run, Run::Done(_)),
        seconds: *seconds,
        from_folder: new.is_from_folder,
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
        Kind::Diagnosis => "search for a cause",
        Kind::Comparison => "comparison",
    }
}

#[cfg(test)]
mod tests {
    use super::{MOST_WAITING, RUNS, Runs};
    use crate::cli::desk::form_fields::Request;
    use crate::cli::desk::run::{Choice, Kind, NewRun, Run};

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
            is_from_folder: false,
        }
    }

    #[test]
    fn a_run_that_is_to_stop_ends_and_does_not_go_on() {
        let mut runs = Runs::default();
        assert!(runs.begin(1, new(1, &[])));
        runs.set(1, Run::At(1));
        assert_eq!(runs.rows()[0].said, "Step 2 of 2: drawing");
        assert!(matches!(runs.stop(1), Some(Run::Stopping)) && runs.is_ending(1));
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
