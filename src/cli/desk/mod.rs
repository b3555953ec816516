//! `goodshot desk`: the check as a page in the browser, for this machine alone.
//!
//! The page listens on 127.0.0.1 only. [`guard`] turns away every other host name and
//! whatever another web page asks for, [`bodies`] and [`connections`] what is too large or too
//! slow; every address holds a token that is new at each start. Parts, files of the user and reports stay in memory ([`store`], [`runs`]) and are
//! gone at the end. [`form_fields`] reads what was chosen as the command line does, [`job`]
//! runs the same check and makes the same mold, [`page`] and [`answers`] say it.

mod offered_fields;
mod form_fields;
mod fields;
mod symptom_drawings;
mod answers;
mod order;
mod messages;
mod job;
mod processes;
mod run;
mod runs;
mod store;
mod press_form;
mod plastic_form;
mod cutter_form;
mod form_page;
mod press_drawings;
mod press_page;
mod plastic_page;
mod cutter_page;
mod page;
mod guard;
mod uploads;
mod bodies;
mod connections;
mod tables;
mod package;
mod press_routes;
mod form_routes;
mod orders;
mod kept_routes;
mod run_routes;
mod routes;
mod watching;

use std::io::Write;
use std::net::Ipv4Addr;
use std::path::Path;
use std::sync::Arc;

use anyhow::{Context, Result};
use tokio::net::TcpListener;
use tokio::runtime::Builder;

use super::args::Desk;
use crate::cli::desk::form_fields::Request;
use crate::cli::desk::job::Own;
use crate::cli::files::{self, OWN_CUTTERS, OWN_PLASTICS, OWN_PRESS};
use crate::findings::assumptions::found_in_words;
use crate::process::plastic::library::Plastics;
use store::Store;
use watching::Watch;

/// What all requests share.
pub(super) struct State {
    /// The host names that this page answers to.
    hosts: [String; 2],
    /// New at each start; a part of every address.
    token: String,
    /// Those that the page begins with.
    plastics: Arc<Own<Plastics>>,
    /// The folder that is watched, as it was typed.
    folder: Option<String>,
    store: Store,
}

/// Opens the page and answers it until interrupted.
pub(super) fn run(args: &Desk, out: &mut dyn Write) -> Result<u8> {
    if args.one_run {
        return processes::run_one(out);
    }
    let begin = Begin::read(args)?;
    let watch = args.folder.as_deref().map(Watch::begin).transpose()?;
    let runtime = Builder::new_current_thread().enable_all().build()?;
    let answered = runtime.block_on(serve(args, Begun { begin, watch }, out));
    // A check under way is given up.
    runtime.shutdown_background();
    answered.map(|()| 0)
}

/// What the page begins with: what was given, and the files of the user's shop in the working
/// folder or the user's own, which every command uses.
struct Begin {
    plastics: Own<Plastics>,
    store: Store,
    /// What was found, in words.
    found: Option<String>,
}

impl Begin {
    fn read(args: &Desk) -> Result<Self> {
        let plastics_file = files::given_or_own(args.plastics.as_deref(), OWN_PLASTICS);
        let press_file = files::given_or_own(None, OWN_PRESS);
        let cutters_file = files::given_or_own(None, OWN_CUTTERS);
        let store = Store::default();
        let (mut press, mut cutters) = (None, None);
        if let Some(file) = &press_file {
            let own = own(file, files::press(Some(file))?)?;
            press = Some(store.add_press(Arc::new(own)));
        }
        if let Some(file) = &cutters_file {
            let own = own(file, files::cutters(file)?)?;
            cutters = Some(store.add_cutters(Arc::new(own)));
        }
        let holds = files::plastics(plastics_file.as_deref())?;
        let plastics = match &plastics_file {
            Some(file) => own(file, holds)?,
            None => {
                let file = "Built-in plastics".to_owned();
                Own { file, text: None, holds, is_new: false }
            }
        };
        let chosen = kept_routes::last_chosen();
        if press.is_some() || cutters.is_some() || !chosen.is_empty() {
            let (part, plastics) = (None, None);
            store.keep_choices(Request { part, press, plastics, cutters, chosen });
        }
        let plastics_file = plastics_file.filter(|_| args.plastics.is_none());
        let found = [press_file, plastics_file, cutters_file].into_iter().flatten();
        let found: Vec<_> = found.map(|file| files::found(&file)).collect();
        Ok(Self { plastics, store, found: found_in_words(&found) })
    }
}

/// A file of the user's that was found or given.
fn own<T>(file: &Path, holds: T) -> Result<Own<T>> {
    let text = Some(files::table_text(file)?.into());
    Ok(Own { file: file.display().to_string(), text, holds, is_new: false })
}

/// Everything that is read before the page is answered.
struct Begun {
    begin: Begin,
    watch: Option<Watch>,
}

async fn serve(args: &Desk, begun: Begun, out: &mut dyn Write) -> Result<()> {
    let Begun { begin, watch } = begun;
    let listener =
        TcpListener::bind((Ipv4Addr::LOCALHOST, args.port)).await.with_context(|| {
            format!("port {} cannot be had: choose another one", args.port)
        })?;
    let port = listener.local_addr()?.port();
    let state = State {
        hosts: [format!("127.0.0.1:{port}"), format!("localhost:{port}")],
        token: token()?,
        plastics: Arc::new(begin.plastics),
        folder: args.folder.as_ref().map(|folder| folder.display().to_string()),
        store: begin.store,
    };
    let address = format!("http://{}/{}/", state.hosts[0], state.token);
    let mut greeting =
        format!("your desk: {address}\nfor this machine only; Ctrl-C ends it\n");
    if let Some(found) = begin.found {
        greeting += &format!("begins with {found}\n");
    }
    if let Some(folder) = &state.folder {
        greeting += &format!("checks what is exported to {folder}\n");
    }
    if !args.no_browser && open::that_detached(&address).is_err() {
        greeting += "no browser could be opened: open that address yourself\n";
    }
    // Whoever read the address may close the pipe: the page is answered all the same.
    let _ = out.write_all(greeting.as_bytes()).and_then(|()| out.flush());
    let state = Arc::new(state);
    if let Some(watch) = watch {
        tokio::spawn(watch.forever(Arc::clone(&state)));
    }
    let routes = routes::all(state);
    tokio::select! {
        biased;
        stop = tokio::signal::ctrl_c() => Ok(stop?),
        ended = connections::serve(listener, routes) => Ok(ended?),
    }
}

/// 128 random bits as hexadecimal digits.
fn token() -> Result<String> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).context("the system gives no random numbers")?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}
