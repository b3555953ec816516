//! How much memory a run may take: counts what it holds, and ends it in one line where that is
//! more than allowed or more than the machine gives.
//!
//! A program whose memory cannot be had is aborted by the system without a word, and one that takes
//! all of it drags the whole machine down first. So the program asks [`Counted`] for its memory, also what
//! libraries take inside. Blocks under a kilobyte are not counted: there are many of them, and
//! together they hold little.

use std::alloc::{GlobalAlloc, Layout, System};
use std::fs;
use std::io::{self, Write};
use std::process;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::Duration;

use crate::units::format::three_digits;
use crate::units::{Quantity, Unit, unit};

/// Blocks from here on are counted, bytes.
const COUNTED: usize = 1024;
/// Of the memory of the machine this much is for the rest of it.
const LEFT: f64 = 0.1;

/// What is held, bytes.
static HELD: AtomicUsize = AtomicUsize::new(0);
/// What may be held, bytes.
static MOST: AtomicUsize = AtomicUsize::new(usize::MAX);

/// An amount of memory.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bytes(f64);

impl Quantity for Bytes {
    const WHAT: &'static str = "memory size";
    const EXAMPLE: &'static str = "2 GB";
    const UNITS: &'static [Unit] = &[
        unit(&["GB"], 1e9),
        unit(&["MB"], 1e6),
        unit(&["GiB"], 1024.0 * 1024.0 * 1024.0),
        unit(&["MiB"], 1024.0 * 1024.0),
    ];

    fn from_si(bytes: f64) -> Self {
        Self(bytes)
    }

    fn si(self) -> f64 {
        self.0
    }
}

/// From now on no more than `most` may be held; all that the machine has less a tenth when not
/// given.
pub(super) fn limit(most: Option<Bytes>) {
    let most = most.map(Quantity::si);
    let most = most.or_else(|| Some(of_machine()? * (1.0 - LEFT)));
    if let Some(most) = most {
        MOST.store(most as usize, Ordering::Relaxed);
    }
}

/// The memory of this machine, or of the group of processes that it keeps this one in, bytes;
/// `None` where the system does not say.
fn of_machine() -> Option<f64> {
    let total = fs::read_to_string("/proc/meminfo").ok()?;
    let total = total.lines().find_map(|line| line.strip_prefix("MemTotal:"))?;
    let total: f64 = total.split_whitespace().next()?.parse().ok()?;
    let group = fs::read_to_string("/sys/fs/cgroup/memory.max").ok();
    let group = group.and_then(|text| text.trim().parse().ok());
    Some(group.unwrap_or(f64::INFINITY).min(1024.0 * total))
}

/// The memory of the program: that of the system, counted.
#[derive(Clone, Copy, Debug)]
pub struct Counted;

/// Adds a block to what is held, or ends the run.
fn take(bytes: usize) {
    if bytes >= COUNTED {
        let held = HELD.fetch_add(bytes, Ordering::Relaxed).saturating_add(bytes);
        if held > MOST.load(Ordering::Relaxed) {
            end(held);
        }
    }
}

fn give_back(bytes: usize) {
    if bytes >= COUNTED {
        HELD.fetch_sub(bytes, Ordering::Relaxed);
    }
}

/// A block, unless the system has none.
fn had(block: *mut u8, bytes: usize) -> *mut u8 {
    if block.is_null() {
        end(HELD.load(Ordering::Relaxed).saturating_add(bytes));
    }
    block
}

/// Says why and ends the program: what asked for the memory cannot go on.
#[expect(clippy::exit, reason = "nothing can be returned to whom the memory was for")]
fn end(wanted: usize) -> ! {
    // This message takes memory too, and must not come here again.
    let most = MOST.swap(usize::MAX, Ordering::Relaxed);
    if most == usize::MAX {
        // Another thread is saying it.
        thread::sleep(Duration::from_secs(1));
        process::exit(super::COULD_NOT_RUN.into());
    }
    let [wanted, most] = [wanted, most].map(|bytes| three_digits(bytes as f64 / 1e9));
    // Where even this cannot be written, nothing can be said.
    let _ = writeln!(
        io::stderr(),
        "goodshot: this takes {wanted} GB of memory, and {most} GB may be taken: export the part coarser, take larger \
         cells (--cells, --mill-cell), or allow more (--memory)"
    );
    process::exit(super::COULD_NOT_RUN.into())
}

// The only way to count what is held. Every block is the system's own: nothing is added to it, and it is
// given back with the layout that it was asked for with.
#[expect(unsafe_code, reason = "an allocator can be written in no other way")]
// SAFETY: each call goes to the allocator of the system as it came, with the layout and the block that
// came with it; a block that is null never returns.
unsafe impl GlobalAlloc for Counted {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        take(layout.size());
        // SAFETY: as above.
        had(unsafe { System.alloc(layout) }, layout.size())
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        take(layout.size());
        // SAFETY: as above.
        had(unsafe { System.alloc_zeroed(layout) }, layout.size())
    }

    unsafe fn dealloc(&self, block: *mut u8, layout: Layout) {
        give_back(layout.size());
        // SAFETY: as above.
        unsafe { System.dealloc(block, layout) }
    }

    unsafe fn realloc(&self, block: *mut u8, layout: Layout, bytes: usize) -> *mut u8 {
        // A large block grows where it is, and is not held twice meanwhile.
        give_back(layout.size());
        take(bytes);
        // SAFETY: as above.
        had(unsafe { System.realloc(block, layout, bytes) }, bytes)
    }
}
