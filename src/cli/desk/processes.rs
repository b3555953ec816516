//! Each run in a process of its own: what ends it ends nothing else, a stop is at once, and its
//! memory goes back to the system.
//!
//! The page's server starts its own program once more and gives it the [`Order`] and the bytes of
//! the parts on standard input, which then stays open: where it closes, the server is gone, and
//! the run ends too. [`Message`]s come back on standard output. Nothing is written to disk.

use std::io::{self, BufReader, Read, Write};
use std::panic::{self, AssertUnwindSafe};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use anyhow::{Context, Result};
use axum::body::Bytes;

use crate::cli::desk::job;
use crate::cli::desk::messages::{self, Message};
use crate::cli::desk::order::Order;
use crate::report::bundle::NamedFile;

/// What the program is called with to do one run.
const RUN: [&str; 2] = ["desk", "--one-run"];

/// What is said of a run that ended without a word: it was killed, or broke off for want of
/// memory.
const BROKE_OFF: &str = "the run broke off before it was done: it was ended from outside, or \
    memory ran out; close other programs, or export a coarser part, and run it again";

/// A process that can be ended.
#[derive(Clone)]
pub(super) struct Process(Arc<Mutex<Child>>);

impl Process {
    /// Ends it at once.
    pub(super) fn kill(&self) {
        // One that has ended already is what is wanted.
        let _ = self.child().kill();
    }

    fn child(&self) -> std::sync::MutexGuard<'_, Child> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A run that goes on.
pub(super) struct Running {
    /// Its process.
    pub(super) process: Process,
    to: ChildStdin,
    from: ChildStdout,
}

/// Starts the process of a run.
///
/// # Errors
/// When the system starts none.
pub(super) fn start() -> Result<Running> {
    let program = std::env::current_exe().context("the program does not find itself")?;
    let mut child = Command::new(program)
        .args(RUN)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .context("no process could be started for the run")?;
    let pipes = child.stdin.take().zip(child.stdout.take());
    let (to, from) = pipes.context("the process of the run cannot be reached")?;
    Ok(Running { process: Process(Arc::new(Mutex::new(child))), to, from })
}

/// Gives a run its `order` and hears it to its end; whatever it says goes to `hear`.
///
/// # Errors
/// When the process ended before its last message.
pub(super) fn follow(
    running: Running,
    order: &Order,
    parts: &[Bytes],
    hear: &mut dyn FnMut(Message, Vec<NamedFile>),
) -> Result<()> {
    let Running { process, mut to, from } = running;
    let is_done = thread::scope(|scope| {
        // One that ends early reads no more; what it says is heard all the same.
        let given = scope.spawn(move || {
            let _ = give(order, parts, &mut to);
            to
        });
        let is_done = hear_all(from, hear);
        // Until here the run has to know that somebody listens.
        drop(given.join());
        is_done
    });
    if !is_done {
        process.kill();
    }
    let _ = process.child().wait();
    if is_done { Ok(()) } else { Err(anyhow::Error::msg(BROKE_OFF)) }
}

fn give(order: &Order, parts: &[Bytes], to: &mut ChildStdin) -> io::Result<()> {
    let mut line = serde_json::to_vec(order)?;
    line.push(b'\n');
    to.write_all(&line)?;
    parts.iter().try_for_each(|part| to.write_all(part))?;
    to.flush()
}

/// Whether the last message came.
fn hear_all(from: ChildStdout, hear: &mut dyn FnMut(Message, Vec<NamedFile>)) -> bool {
    let mut from = BufReader::new(from);
    while let Ok(Some((message, files))) = messages::read(&mut from) {
        let is_last = matches!(message, Message::Done(_) | Message::Failed(_));
        hear(message, files);
        if is_last {
            return true;
        }
    }
    false
}

/// What the process of a run does: reads what is to be done, does it and says what comes of it.
///
/// # Errors
/// When it is not given a whole order, or nobody listens.
pub(super) fn run_one(out: &mut dyn Write) -> Result<u8> {
    be_the_first_to_go();
    let mut from = BufReader::new(io::stdin());
    let mut line = Vec::new();
    io::BufRead::read_until(&mut from, b'\n', &mut line)?;
    let order: Order = serde_json::from_slice(&line).context("this is no order")?;
    drop(line);
    let heads = order.parts.iter();
    let parts: io::Result<Vec<Vec<u8>>> =
        heads.map(|head| messages::bytes(&mut from, head.length)).collect();
    let parts = parts?;
    thread::spawn(move || end_with(from));
    let out = Mutex::new(out);
    let say = |message: &Message, files: &[NamedFile]| {
        let mut out = out.lock().unwrap_or_else(PoisonError::into_inner);
        // Where nobody listens any more the run is ended from outside.
        let _ = messages::write(message, files, &mut **out);
    };
    let done = panic::catch_unwind(AssertUnwindSafe(|| job::work(&order, &parts, &say)));
    match done {
        Ok(Ok(())) => {}
        Ok(Err(error)) => say(&Message::Failed(format!("{error:#}")), &[]),
        Err(_) => say(&Message::Failed("the run broke off".to_owned()), &[]),
    }
    Ok(0)
}

/// Ends this process where the other end of `from` closes.
#[expect(
    clippy::exit,
    reason = "nothing is left half done: all that it makes goes to the server"
)]
fn end_with(mut from: impl Read) {
    let mut more = [0];
    while from.read(&mut more).is_ok_and(|count| count > 0) {}
    std::process::exit(0);
}

/// Where the system is short of memory it ends this process before others.
fn be_the_first_to_go() {
    // Only Linux asks; elsewhere the system decides.
    let _ = std::fs::write("/proc/self/oom_score_adj", "1000");
}
