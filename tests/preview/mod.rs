//! The preview as a browser meets it: over a socket.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Shutdown, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use baybook::diagnostic::catalogue::EXAMPLE_DAY;
use serde_json::Value as Json;
use tempfile::TempDir;

use crate::support::example_folder;

struct Preview {
    child: Child,
    port: u16,
    kb: TempDir,
    /// Where the process runs; it must stay empty.
    place: TempDir,
}

impl Preview {
    fn of(kb: TempDir) -> Self {
        let place = TempDir::new().unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_baybook"))
            .args(["preview", "--kb", kb.path().to_str().unwrap(), "--today", EXAMPLE_DAY])
            .current_dir(place.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut address = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut address).unwrap();
        let port = address.trim().strip_prefix("http://127.0.0.1:").unwrap().trim_end_matches('/').parse().unwrap();
        Self { child, port, kb, place }
    }

    /// Sends lines as they are and reads everything that comes back.
    fn send(&self, request: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        _ = stream.shutdown(Shutdown::Both);
        String::from_utf8_lossy(&answer).into_owned()
    }

    fn ask(&self, method: &str, target: &str, host: &str) -> String {
        self.send(&format!("{method} {target} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"))
    }

    fn get(&self, target: &str) -> String {
        self.ask("GET", target, &format!("127.0.0.1:{}", self.port))
    }

    fn state(&self, query: &str) -> Json {
        let answer = self.get(&format!("/.preview/state{query}"));
        serde_json::from_str(answer.split("\r\n\r\n").nth(1).unwrap()).unwrap()
    }

    /// The first state after `revision` for which `wanted` holds.
    fn news(&self, revision: &Json, wanted: impl Fn(&Json) -> bool) -> Json {
        let begin = Instant::now();
        let mut state = self.state(&format!("?after={revision}"));
        while !wanted(&state) {
            assert!(begin.elapsed() < Duration::from_secs(60), "{state}");
            state = self.state(&format!("?after={}", state["revision"]));
        }
        state
    }

    fn save(&self, path: &str, edit: impl FnOnce(String) -> String) {
        let path = self.kb.path().join(path);
        let text = edit(fs::read_to_string(&path).unwrap());
        fs::write(path, text).unwrap();
    }
}

impl Drop for Preview {
    fn drop(&mut self) {
        _ = self.child.kill();
        _ = self.child.wait();
    }
}

fn status(answer: &str) -> u16 {
    answer.split(' ').nth(1).unwrap().parse().unwrap()
}

fn is_empty(folder: &Path) -> bool {
    fs::read_dir(folder).unwrap().next().is_none()
}

#[test]
fn pages_are_served_with_the_overlay_and_nothing_is_written() {
    let preview = Preview::of(example_folder(&[]));
    for target in ["/", "/index.html", "/symptoms/hum.html", "/index.html?q=hum"] {
        let page = preview.get(target);
        assert_eq!(status(&page), 200, "{target}");
        assert!(page.contains("Content-Type: text/html; charset=utf-8"), "{target}");
        assert!(page.contains("<script src=\"/.preview/overlay.js\""), "{target}");
        assert!(
            page.contains("default-src 'none'; connect-src 'self'; style-src 'self'; script-src 'self'"),
            "{target}"
        );
        assert!(page.contains("Cache-Control: no-store") && page.contains("frame-ancestors 'none'"), "{target}");
    }
    for target in ["/assets/workshop.css", "/assets/site.js", "/.preview/overlay.js", "/.preview/overlay.css"] {
        assert_eq!(status(&preview.get(target)), 200, "{target}");
    }
    assert!(!preview.get("/assets/offline.js").contains("serviceWorker"), "a preview keeps no copy");
    assert_eq!(status(&preview.get("/sw.js")), 404);
    assert_eq!(status(&preview.get("/symptoms/none.html")), 404);
    let head = preview.ask("HEAD", "/", &format!("localhost:{}", preview.port));
    assert_eq!((status(&head), head.split("\r\n\r\n").nth(1).unwrap()), (200, ""));
    assert!(is_empty(preview.place.path()));
}

#[test]
fn nothing_but_the_site_is_given_away() {
    let preview = Preview::of(example_folder(&[]));
    let port = preview.port;
    for host in
        ["example.org".to_owned(), format!("example.org:{port}"), "127.0.0.1:1".to_owned(), "127.0.0.1".to_owned()]
    {
        assert_eq!(status(&preview.ask("GET", "/", &host)), 421, "{host}");
        assert_eq!(status(&preview.ask("GET", "/.preview/state", &host)), 421, "{host}");
    }
    assert_eq!(status(&preview.send("GET / HTTP/1.0\r\n\r\n")), 421, "no host at all");
    let outside =
        ["/../shop.yaml", "/symptoms/../../shop.yaml", "/%2e%2e/shop.yaml", "/..%2fshop.yaml", "//etc/passwd"];
    for target in outside.into_iter().chain(["/a\\..\\b", "/%00", "http://127.0.0.1/"]) {
        let answer = preview.get(target);
        assert_eq!(status(&answer), 403, "{target}");
        assert!(!answer.contains("name:"), "{target}");
    }
    for target in ["/shop.yaml", "/symptoms/hum.md", "/.git/config", "/.preview/", "/Cargo.toml"] {
        assert_eq!(status(&preview.get(target)), 404, "{target}");
    }
    for method in ["POST", "PUT", "DELETE", "OPTIONS", "PATCH"] {
        let answer = preview.ask(method, "/", &format!("127.0.0.1:{port}"));
        assert_eq!(status(&answer), 405, "{method}");
        assert!(answer.contains("Allow: GET, HEAD"), "{method}");
    }
}

#[test]
fn a_saved_entry_is_shown_and_those_who_wait_are_told() {
    let preview = Preview::of(example_folder(&[]));
    let first = preview.state("");
    assert_eq!((&first["current"], &first["fault"]), (&Json::Bool(true), &Json::Null));
    thread::scope(|scope| {
        let waiting = scope.spawn(|| preview.news(&first["revision"], |state| state["edition"] != first["edition"]));
        thread::sleep(Duration::from_millis(200));
        preview.save("symptoms/hum.md", |text| text.replacen("title: ", "title: Newly named ", 1));
        let news = waiting.join().unwrap();
        assert_eq!(news["current"], true);
    });
    assert!(preview.get("/symptoms/hum.html").contains("Newly named"));
}

#[test]
fn marks_are_told_with_their_places_while_the_last_good_pages_stay() {
    let preview = Preview::of(example_folder(&[]));
    let first = preview.state("");
    let good = preview.get("/symptoms/hum.html");
    preview.save("symptoms/hum.md", |text| text.replace("senses: [hear]", "senses: [hears]"));
    let faulty = preview.news(&first["revision"], |state| state["current"] == Json::Bool(false));
    assert_eq!(faulty["edition"], first["edition"]);
    let mark = &faulty["report"]["marks"][0];
    assert_eq!(mark["file"], "symptoms/hum.md");
    assert_eq!((&mark["line"], &mark["column"]), (&Json::from(4), &Json::from(10)), "{mark}");
    assert!(mark["message"].as_str().unwrap().contains("did you mean `hear`"), "{mark}");
    assert!(mark.get("help").is_some(), "{mark}");
    let body = |page: &str| page.split("<main").nth(1).unwrap().to_owned();
    assert_eq!(body(&preview.get("/symptoms/hum.html")), body(&good));
    preview.save("symptoms/hum.md", |text| text.replace("[hears]", "[hear]"));
    let mended = preview.news(&faulty["revision"], |state| state["current"] == Json::Bool(true));
    assert_eq!(mended["report"]["errors"], 0);
    assert_eq!(mended["edition"], first["edition"], "the same pages need no reload");
}

#[test]
fn entries_that_begin_with_errors_get_their_pages_when_mended() {
    let kb = example_folder(&[]);
    let path = kb.path().join("symptoms/hum.md");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, "no front matter").unwrap();
    let preview = Preview::of(kb);
    let page = preview.get("/symptoms/hum.html");
    assert_eq!(status(&page), 404);
    assert!(page.contains("There are no pages yet") && page.contains("/.preview/overlay.js"));
    let first = preview.state("");
    assert!(first["report"]["errors"].as_u64().unwrap() > 0);
    preview.save("symptoms/hum.md", |_| text);
    preview.news(&first["revision"], |state| state["current"] == Json::Bool(true));
    assert_eq!(status(&preview.get("/symptoms/hum.html")), 200);
}

#[test]
fn a_folder_that_is_not_there_ends_it() {
    let ran = crate::support::baybook(["preview", "--kb", "/nowhere/at/all"]);
    assert_eq!(ran.status, baybook::command::Status::CouldNotRun);
    assert!(ran.err.contains("/nowhere/at/all"), "{}", ran.err);
}
