//! A publisher that is killed at any moment leaves a whole site, the former or the new one.

use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

use super::{edition, holds, left_over, place, publish};

/// Set for the run of this binary that is to be killed: the folder to publish to.
const OUT: &str = "BAYBOOK_TEST_PUBLISH_UNTIL_KILLED";
const FILES: usize = 120;
const KILLS: u64 = 50;

fn editions() -> [baybook::output::Site; 2] {
    [edition(1, FILES, 3000), edition(2, FILES, 3000)]
}

/// Does nothing in an ordinary run; in the child, publishes two editions in turn until it is killed.
#[test]
fn child() {
    let Some(out) = std::env::var_os(OUT).map(PathBuf::from) else { return };
    let editions = editions();
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
    let next = place.path().join(".site-out.baybook/next");
    let (mut seen, mut half_written) = ([false; 2], false);
    for kill in 0..KILLS {
        let mut child = spawn(&out);
        // Spread over some rounds of publishing; the step is prime to the span, so moments do not repeat.
        thread::sleep(Duration::from_micros(kill * 7919 % 50_000));
        child.kill().unwrap();
        child.wait().unwrap();
        let whole = [0, 1].map(|at| holds(&out, &editions[at]));
        assert!(whole[0] ^ whole[1], "kill {kill}: not one whole site");
        seen = [seen[0] | whole[0], seen[1] | whole[1]];
        half_written |= next.exists() && !editions.iter().any(|edition| holds(&next, edition));
    }
    assert_eq!(seen, [true; 2], "kills came before and after exchanges");
    assert!(half_written, "no kill came while a site was being written");
    let third = edition(3, FILES, 100);
    publish(&third, &out).unwrap();
    assert!(holds(&out, &third));
    assert_eq!(left_over(&out), ["lock", "next"]);
}
