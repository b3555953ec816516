//! Runs a target over many inputs, watches it, and keeps the input that breaks it.

use std::collections::BTreeSet;
use std::panic::{self, AssertUnwindSafe};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, Scope, Thread};
use std::time::{Duration, Instant};
use std::{env, fs, process};

use crate::noise::{Noise, mutated};

/// Nothing that is read or worked out here may take longer.
const LONGEST: Duration = Duration::from_secs(10);
/// Nor may the whole test take more memory, bytes.
const MOST_MEMORY: usize = 1 << 30;
/// Inputs that gave a new answer and are changed further, at most.
const MOST_KEPT: usize = 500;

/// What a target is tried with.
pub(crate) struct Campaign {
    /// Name of the target, and of its folder in the corpus.
    pub(crate) name: &'static str,
    /// Executions, each time it is run as usual.
    pub(crate) times: u64,
    /// Inputs to begin with, besides those of the corpus.
    pub(crate) seeds: Vec<Vec<u8>>,
    /// What its language consists of.
    pub(crate) words: Vec<&'static str>,
}

/// What is being tried now.
struct Current {
    since: Instant,
    input: Vec<u8>,
}

impl Campaign {
    /// Gives `target` the corpus as it is, then changed; `target` says in words what came of an
    /// input, and an input with a new answer is changed further.
    pub(crate) fn run(self, target: impl Fn(&[u8]) -> String) {
        let times = self.times * factor();
        let mut noise = Noise(seed() ^ hash(self.name));
        let mut seeds = self.seeds;
        seeds.extend(corpus(self.name));
        assert!(!seeds.is_empty(), "{}: nothing to begin with", self.name);
        let watch = Watch::new(self.name);
        let began = Instant::now();
        let (mut answers, mut slowest) = (BTreeSet::new(), Duration::ZERO);
        thread::scope(|scope| {
            let _over = watch.begin(scope);
            let first = seeds.clone();
            let total = times.max(first.len() as u64);
            for index in 0..total {
                let input = match first.get(index as usize) {
                    Some(seed) => seed.clone(),
                    None => mutated(&mut noise, &seeds, &self.words),
                };
                let (answer, took) = watch.attempt(&input, &target);
                slowest = slowest.max(took);
                if answers.insert(class(&answer)) && index as usize >= first.len() {
                    seeds.push(input);
                    limit(&mut seeds, first.len(), &mut noise);
                }
            }
            println!(
                "{}: {total} executions in {:.1} s, {} kinds of answer, the slowest {:.0} ms",
                self.name,
                began.elapsed().as_secs_f64(),
                answers.len(),
                1000.0 * slowest.as_secs_f64(),
            );
        });
    }
}

/// Lets go of one of the inputs behind the `first` where there are too many.
fn limit(seeds: &mut Vec<Vec<u8>>, first: usize, noise: &mut Noise) {
    if seeds.len() > first + MOST_KEPT {
        let other = first + noise.below(MOST_KEPT);
        seeds.swap_remove(other);
    }
}

/// What an answer says without its numbers and names.
fn class(answer: &str) -> u64 {
    let mut quoted = false;
    let mut plain = String::new();
    for letter in answer.chars().take(400) {
        if matches!(letter, '"' | '`' | '\'') {
            quoted = !quoted;
        }
        if !quoted && !letter.is_ascii_digit() {
            plain.push(letter);
        }
    }
    hash(&plain)
}

fn hash(text: &str) -> u64 {
    let mut noise = Noise(0);
    text.bytes().fold(0, |sum, byte| {
        noise.0 = sum ^ u64::from(byte);
        noise.draw()
    })
}

fn number(name: &str, otherwise: u64) -> u64 {
    let given = env::var(name).ok();
    given.map_or(otherwise, |text| text.parse().expect("a whole number"))
}

/// How many times as many executions as usual.
pub(crate) fn factor() -> u64 {
    number("GOODSHOT_FUZZ_TIMES", 1)
}

pub(crate) fn seed() -> u64 {
    number("GOODSHOT_FUZZ_SEED", 21)
}

/// The inputs that are kept for a target.
fn corpus(name: &str) -> Vec<Vec<u8>> {
    let folder =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus").join(name);
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths.iter().map(|path| fs::read(path).unwrap()).collect()
}

/// Knows what is being tried, and ends it all where that takes too long or too much.
struct Watch {
    name: &'static str,
    current: Mutex<Option<Current>>,
    is_over: AtomicBool,
}

/// Ends the watch, also where a test panics.
struct Over<'a> {
    is_over: &'a AtomicBool,
    watching: Thread,
}

impl Drop for Over<'_> {
    fn drop(&mut self) {
        self.is_over.store(true, Ordering::Relaxed);
        self.watching.unpark();
    }
}

/// Watches one attempt.
pub(crate) fn alone(name: &'static str, input: &[u8], test: impl Fn()) {
    let watch = Watch::new(name);
    thread::scope(|scope| {
        let _over = watch.begin(scope);
        watch.attempt(input, |_| {
            test();
            String::new()
        });
    });
}

impl Watch {
    fn new(name: &'static str) -> Self {
        Self { name, current: Mutex::new(None), is_over: AtomicBool::new(false) }
    }

    fn begin<'scope>(&'scope self, scope: &'scope Scope<'scope, '_>) -> Over<'scope> {
        let watching = scope.spawn(move || self.look()).thread().clone();
        Over { is_over: &self.is_over, watching }
    }

    fn attempt(
        &self,
        input: &[u8],
        target: impl Fn(&[u8]) -> String,
    ) -> (String, Duration) {
        let since = Instant::now();
        *self.current.lock().unwrap() = Some(Current { since, input: input.to_vec() });
        let answer = panic::catch_unwind(AssertUnwindSafe(|| target(input)));
        *self.current.lock().unwrap() = None;
        match answer {
            Ok(answer) => (answer, since.elapsed()),
            Err(cause) => {
                println!("{}: broken by {}", self.name, self.keep(input).display());
                panic::resume_unwind(cause)
            }
        }
    }

    /// Writes the input down, so that it can join the corpus.
    fn keep(&self, input: &[u8]) -> PathBuf {
        let name = format!("{}-{:016x}", self.name, hash(&format!("{input:?}")));
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        fs::write(&path, input).unwrap();
        path
    }

    fn look(&self) {
        while !self.is_over.load(Ordering::Relaxed) {
            thread::park_timeout(Duration::from_millis(20));
            let current = self.current.lock().unwrap();
            let Some(Current { since, input }) = &*current else { continue };
            let (took, memory) = (since.elapsed(), resident());
            if took > LONGEST || memory > MOST_MEMORY {
                let path = self.keep(input);
                let (took, memory) = (took.as_secs_f64(), memory >> 20);
                eprintln!(
                    "{}: {took:.1} s and {memory} MiB: {}",
                    self.name,
                    path.display()
                );
                process::exit(1);
            }
        }
    }
}

/// Bytes of memory that this process holds; nothing where the system does not say.
fn resident() -> usize {
    let pages = fs::read_to_string("/proc/self/statm").unwrap_or_default();
    let pages: usize =
        pages.split(' ').nth(1).and_then(|it| it.parse().ok()).unwrap_or(0);
    pages * 4096
}
