//! `preview`: the site as it would be published, for those who write it.
//!
//! The pages stand in memory: nothing is written, so the published site stays what it is, nothing is left behind
//! after a kill, and a slow disk costs nothing. The server listens on 127.0.0.1 alone.

mod answer;
mod edition;
mod visitors;

use std::sync::Arc;
use std::time::{Duration, Instant};

use tiny_http::Server;

use self::edition::Shown;
use self::visitors::Visitors;
use super::arguments::Preview;
use super::run::{Status, Terminal};
use crate::source::Watch;

/// How long a look at the folders lasts; between two of them, questions that nobody will answer are let go.
const LOOK: Duration = Duration::from_secs(1);

/// The command. It ends when the process is ended.
pub(super) fn preview(asked: &Preview, terminal: &mut Terminal<'_>) -> Status {
    let mut folders = vec![asked.kb.clone()];
    if asked.theme != "workshop" {
        folders.push(asked.theme.clone().into());
    }
    let mut watch = Watch::new(folders);
    let mut shown = match first(asked, terminal) {
        Ok(shown) => Arc::new(shown),
        Err(fault) => return terminal.could_not(&fault),
    };
    let server = match Server::http(("127.0.0.1", asked.port)) {
        Ok(server) => server,
        Err(fault) => return terminal.could_not(&format!("cannot listen on 127.0.0.1:{}: {fault}", asked.port)),
    };
    let port = server.server_addr().to_ip().map_or(asked.port, |address| address.port());
    let visitors = Visitors::receive(server, port, Arc::clone(&shown));
    terminal.result(&format!("http://127.0.0.1:{port}/\n"));
    loop {
        if watch.has_changed(LOOK) {
            let begin = Instant::now();
            let next = shown.after(asked);
            if next.revision != shown.revision {
                shown = Arc::new(next);
                visitors.show(Arc::clone(&shown));
            }
            terminal.say(&shown.summary(begin.elapsed()));
        }
        visitors.let_go();
    }
}

/// The first edition. What prevents it from being made at all ends the command.
fn first(asked: &Preview, terminal: &mut Terminal<'_>) -> Result<Shown, String> {
    let begin = Instant::now();
    let shown = Shown::first(asked)?;
    terminal.say(&shown.summary(begin.elapsed()));
    Ok(shown)
}
