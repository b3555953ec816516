//! `goodshot desk`: the check as a page in the browser, for this machine alone.
//!
//! The page listens on 127.0.0.1 only. [`guard`] turns away every other host name and
//! whatever another web page asks for, [`bodies`] and [`connections`] what is too large or too
//! slow; every address holds a token that is new at each start. Parts, files of the user and reports stay in memory ([`store`], [`runs`]) and are
//! gone at the end. [`form_fields`] reads what was chosen as the command line does, [`job`]
//! runs the same check and makes the same mold, [`page`] and [`answers`] say it.

mod form_fields;
mod job;
mod runs;
mod store;
mod press_form;
mod press_drawings;
mod press_page;
mod fields;
mod answers;
mod page;
mod guard;
mod uploads;
mod bodies;
mod connections;
mod tables;
mod package;
mod press_routes;
mod run_routes;
mod routes;

use std::io::Write;
use std::net::Ipv4Addr;
use std::sync::Arc;

use anyhow::{Context, Result};
use tokio::net::TcpListener;
use tokio::runtime::Builder;

use super::args::Desk;
use crate::cli::desk::form_fields::Request;
use crate::cli::desk::job::Own;
use crate::cli::files::{self, OWN_CUTTERS, OWN_PLASTICS, OWN_PRESS};
use crate::process::plastic::library::Plastics;
use store::Store;

/// What all requests share.
pub(super) struct State {
    /// The host names that this page answers to.
    hosts: [String; 2],
    /// New at each start; a part of every address.
    token: String,
    /// Those that the page begins with.
    plastics: Arc<Own<Plastics>>,
    /// The file that they were read from as it was typed, where there is one.
    plastics_file: Option<String>,
    store: Store,
}

/// Opens the page and answers it until interrupted.
pub(super) fn run(args: &Desk, out: &mut dyn Write) -> Result<u8> {
    let begin = Begin::read(args)?;
    let runtime = Builder::new_current_thread().enable_all().build()?;
    let answered = runtime.block_on(serve(args, begin, out));
    // A check under way is given up.
    runtime.shutdown_background();
    answered.map(|()| 0)
}

/// What the page begins with: what was given, and the files of the user's shop in the working
/// folder, which every command uses.
struct Begin {
    plastics: Plastics,
    plastics_file: Option<String>,
    store: Store,
    /// The files that were found.
    found: Vec<&'static str>,
}

impl Begin {
    fn read(args: &Desk) -> Result<Self> {
        let own = |name| files::given_or_own(None, name);
        let plastics_file = files::given_or_own(args.plastics.as_deref(), OWN_PLASTICS);
        let store = Store::default();
        let press = own(OWN_PRESS).map(|file| -> Result<u64> {
            let holds = files::press(Some(&file))?;
            Ok(store.add_press(Arc::new(Own { file: OWN_PRESS.to_owned(), holds })))
        });
        let cutters = own(OWN_CUTTERS).map(|file| -> Result<u64> {
            let holds = files::cutters(&file)?;
            Ok(store.add_cutters(Arc::new(Own { file: OWN_CUTTERS.to_owned(), holds })))
        });
        let is_found = [
            (OWN_PRESS, press.is_some()),
            (OWN_PLASTICS, args.plastics.is_none() && plastics_file.is_some()),
            (OWN_CUTTERS, cutters.is_some()),
        ];
        let (press, cutters) = (press.transpose()?, cutters.transpose()?);
        if press.is_some() || cutters.is_some() {
            let (plastics, chosen) = (None, Vec::new());
            let part = None;
            store.keep_choices(Request { part, press, plastics, cutters, chosen });
        }
        let found = is_found.into_iter().filter(|(_, is_found)| *is_found);
        Ok(Self {
            plastics: files::plastics(plastics_file.as_deref())?,
            plastics_file: plastics_file.map(|file| file.display().to_string()),
            store,
            found: found.map(|(name, _)| name).collect(),
        })
    }
}

async fn serve(args: &Desk, begin: Begin, out: &mut dyn Write) -> Result<()> {
    let listener =
        TcpListener::bind((Ipv4Addr::LOCALHOST, args.port)).await.with_context(|| {
            format!("port {} cannot be had: choose another one", args.port)
        })?;
    let port = listener.local_addr()?.port();
    let state = State {
        hosts: [format!("127.0.0.1:{port}"), format!("localhost:{port}")],
        token: token()?,
        plastics: Arc::new(Own {
            file: "Built-in plastics".to_owned(),
            holds: begin.plastics,
        }),
        plastics_file: begin.plastics_file,
        store: begin.store,
    };
    let address = format!("http://{}/{}/", state.hosts[0], state.token);
    let mut greeting =
        format!("your desk: {address}\nfor this machine only; Ctrl-C ends it\n");
    if !begin.found.is_empty() {
        greeting += &format!("begins with {} of this folder\n", begin.found.join(", "));
    }
    if !args.no_browser && open::that_detached(&address).is_err() {
        greeting += "no browser could be opened: open that address yourself\n";
    }
    // Whoever read the address may close the pipe: the page is answered all the same.
    let _ = out.write_all(greeting.as_bytes()).and_then(|()| out.flush());
    let routes = routes::all(Arc::new(state));
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
