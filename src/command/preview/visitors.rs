//! The browsers that look at the preview.

use std::fmt::Write as _;
use std::io::Write as _;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use tiny_http::{Method, Request, Server, StatusCode};

use super::answer::{Answer, Asked, Reply, reply, state};
use super::edition::Shown;

/// Threads that answer. Answers stand ready in memory; more than one is needed only for visitors that read slowly.
const THREADS: usize = 4;

/// A question for news is answered after so long even if there is none, so that none is left of closed windows.
const NEWS_WAIT: Duration = Duration::from_secs(20);

/// Said with every answer: nothing is kept, nothing is guessed, and no other site may embed or read it.
const HEADERS: [(&str, &str); 5] = [
    ("Cache-Control", "no-store"),
    ("X-Content-Type-Options", "nosniff"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Content-Security-Policy", "frame-ancestors 'none'"),
    ("Referrer-Policy", "no-referrer"),
];

/// What is shown, and who waits for news of it.
pub(super) struct Visitors {
    hall: Arc<Mutex<Hall>>,
}

struct Hall {
    shown: Arc<Shown>,
    waiting: Vec<(Instant, Request)>,
}

impl Visitors {
    /// Begins to answer.
    pub(super) fn receive(server: Server, port: u16, shown: Arc<Shown>) -> Self {
        let hall = Arc::new(Mutex::new(Hall { shown, waiting: Vec::new() }));
        let server = Arc::new(server);
        for _ in 0..THREADS {
            let (server, hall) = (Arc::clone(&server), Arc::clone(&hall));
            thread::spawn(move || {
                while let Ok(request) = server.recv() {
                    receive(request, port, &hall);
                }
            });
        }
        Self { hall }
    }

    /// Shows something else from now on, and tells everybody who waits.
    pub(super) fn show(&self, shown: Arc<Shown>) {
        let mut hall = lock(&self.hall);
        hall.shown = Arc::clone(&shown);
        let waiting = std::mem::take(&mut hall.waiting);
        drop(hall);
        waiting.into_iter().for_each(|(_, request)| give(request, state(&shown)));
    }

    /// Answers those who have waited for long that there is no news.
    pub(super) fn let_go(&self) {
        let mut hall = lock(&self.hall);
        let shown = Arc::clone(&hall.shown);
        let is_over = |waiting: &mut (Instant, Request)| waiting.0.elapsed() > NEWS_WAIT;
        let over: Vec<(Instant, Request)> = hall.waiting.extract_if(.., is_over).collect();
        drop(hall);
        over.into_iter().for_each(|(_, request)| give(request, state(&shown)));
    }
}

fn receive(request: Request, port: u16, hall: &Mutex<Hall>) {
    let method = request.method().to_string();
    let host =
        request.headers().iter().find(|header| header.field.equiv("Host")).map(|header| header.value.to_string());
    let target = request.url().to_owned();
    let asked = Asked { method: &method, host: host.as_deref(), target: &target };
    let shown = Arc::clone(&lock(hall).shown);
    match reply(asked, port, &shown) {
        Reply::Now(answer) => give(request, answer),
        Reply::Later => wait(request, hall, &shown),
    }
}

/// Waits, unless there is news since `shown` was looked at.
fn wait(request: Request, hall: &Mutex<Hall>, shown: &Shown) {
    let mut open = lock(hall);
    if open.shown.revision == shown.revision {
        open.waiting.push((Instant::now(), request));
        return;
    }
    let news = Arc::clone(&open.shown);
    drop(open);
    give(request, state(&news));
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Answers, and lets the connection go. The library keeps a thread for every open connection, and when a browser opens
/// many at once it may leave one of them waiting for a thread until another closes: so none stays open for longer than
/// its answer. A visitor who is gone gets nothing, and that is nobody's fault.
fn give(request: Request, answer: Answer) {
    let status = StatusCode(answer.status);
    let mut head = format!("HTTP/1.1 {} {}\r\nConnection: close\r\n", answer.status, status.default_reason_phrase());
    let allowed = (answer.status == 405).then_some(("Allow", "GET, HEAD"));
    for (name, value) in HEADERS.into_iter().chain([("Content-Type", answer.media_type)]).chain(allowed) {
        _ = write!(head, "{name}: {value}\r\n");
    }
    _ = write!(head, "Content-Length: {}\r\n\r\n", answer.body.len());
    let body = if *request.method() == Method::Head { Vec::new() } else { answer.body };
    let mut writer = request.into_writer();
    _ = writer.write_all(head.as_bytes()).and_then(|()| writer.write_all(&body)).and_then(|()| writer.flush());
}
