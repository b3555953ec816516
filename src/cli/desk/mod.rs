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
use crate::cli::desk::job::Own;
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
    let plastics = super::files::plastics(args.plastics.as_deref())?;
    let runtime = Builder::new_current_thread().enable_all().build()?;
    let answered = runtime.block_on(serve(args, plastics, out));
    // A check under way is given up.
    runtime.shutdown_background();
    answered.map(|()| 0)
}

async fn serve(args: &Desk, plastics: Plastics, out: &mut dyn Write) -> Result<()> {
    let listener =
        TcpListener::bind((Ipv4Addr::LOCALHOST, args.port)).await.with_context(|| {
            format!("port {} cannot be had: choose another one", args.port)
        })?;
    let port = listener.local_addr()?.port();
    let state = State {
        hosts: [format!("127.0.0.1:{port}"), format!("localhost:{port}")],
        token: token()?,
        plastics: Arc::new(Own { file: "Built-in plastics".to_owned(), holds: plastics }),
        plastics_file: args.plastics.as_ref().map(|file| file.display().to_string()),
        store: Store::default(),
    };
    let address = format!("http://{}/{}/", state.hosts[0], state.token);
    writeln!(out, "your desk: {address}\nfor this machine only; Ctrl-C ends it")?;
    out.flush()?;
    if !args.no_browser && open::that_detached(&address).is_err() {
        writeln!(out, "no browser could be opened: open that address yourself")?;
        out.flush()?;
    }
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
