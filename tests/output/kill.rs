//! A publisher that is killed at any moment leaves a whole site, the former or the new one.

use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Instant;

use super::{edition, holds, left_over, place, publish};

/// Set for the run of this binary that is to be killed: the folder to publish to.
const OUT: &str = "BAYBOOK_TEST_PUBLISH_UNTIL_KILLED";
const FILES: usize = 120;
const KILLS: u32 = 50;

/// Three, so that what stands idle is never what is written next.
fn editions() -> [baybook::output::Site; 3] {
    [1, 2, 3].map(|number| edition(number, FILES, 3000))
}

/// Does nothing in an ordinary run; in the child, publishes the editions in turn until it is killed.
#[test]
fn child() {
    let Some(out) = std::env::var_os(OUT).map(PathBuf::from) else { return };
    let mut editions = editions();
    let published = editions.iter().position(|edition| holds(&out, edition)).unwrap();
    editions.rotate_left((published + 1) % 3);
    eprintln!("ready");
    loop {
        for edition in &editions {
            publish(edition, &out).unwrap();
        }
    }
}

fn spawn(out: &std::path::Path) -> Child {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["output::kill::child", "--exact", "--nocapture"])
        .env(OUT, out)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut words = BufReader::new(child.stderr.take().unwrap()).lines();
    assert!(words.any(|line| line.unwrap() == "ready"));
    child
}

#[test]
fn a_kill_at_any_moment_leaves_one_whole_site() {
    let (place, out) = place();
    let editions = editions();
    publish(&editions[0], &out).unwrap();
    publish(&editions[1], &out).unwrap();
    let begin = Instant::now();
    publish(&editions[0], &out).unwrap();
    let round = begin.elapsed();
    let next = place.path().join(".site-out.baybook/next");
    let (mut seen, mut half_written) = ([false; 3], false);
    for kill in 0..KILLS {
        let mut child = spawn(&out);
        // Spread over four rounds, densest at the start, where files are written (later the disk is waited for), in
        // the order that the golden ratio gives: even, and never the same twice.
        thread::sleep(round.mul_f64(4.0 * (f64::from(kill) * 0.618_034).fract().powi(3)));
        child.kill().unwrap();
        child.wait().unwrap();
        let whole = editions.iter().position(|edition| holds(&out, edition));
        assert!(whole.is_some(), "kill {kill}: not one whole site");
        seen[whole.unwrap()] = true;
        half_written |= next.exists() && !editions.iter().any(|edition| holds(&next, edition));
    }
    assert_eq!(seen, [true; 3], "kills came before and after exchanges");
    assert!(half_written, "no kill came while a site was being written");
    let last = edition(4, FILES, 100);
    publish(&last, &out).unwrap();
    assert!(holds(&out, &last));
    assert_eq!(left_over(&out), ["lock", "next"]);
}
