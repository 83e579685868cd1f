//! Several publishers at once.

use std::fs::{self, File};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use baybook::output::{Notice, OutputFault};

use super::{content, edition, holds, left_over, place, publish};

fn hold(out: &std::path::Path) -> File {
    let lock = File::options().write(true).open(baybook::output::working_folder(out).unwrap().join("lock")).unwrap();
    lock.lock().unwrap();
    lock
}

#[test]
fn a_second_publisher_waits_then_gives_up() {
    let (_place, out) = place();
    publish(&edition(1, 5, 50), &out).unwrap();
    let _lock = hold(&out);
    let mut told = Vec::new();
    let patience = Duration::from_millis(1200);
    let fault = baybook::output::publish(&edition(2, 5, 50), &out, patience, &mut |notice| told.push(notice));
    let message = format!("gave up after 1 s: {} is being published by another run", out.display());
    assert_eq!(fault.unwrap_err().to_string(), message);
    assert_eq!(told, [Notice::Waiting]);
    assert!(holds(&out, &edition(1, 5, 50)));
}

#[test]
fn a_second_publisher_goes_on_when_the_first_is_done() {
    let (_place, out) = place();
    publish(&edition(1, 5, 50), &out).unwrap();
    let lock = hold(&out);
    let first_ended = AtomicBool::new(false);
    thread::scope(|scope| {
        scope.spawn(|| {
            thread::sleep(Duration::from_millis(150));
            first_ended.store(true, Ordering::SeqCst);
            drop(lock);
        });
        publish(&edition(2, 5, 50), &out).unwrap();
        assert!(first_ended.load(Ordering::SeqCst));
    });
    assert!(holds(&out, &edition(2, 5, 50)));
}

#[test]
fn without_patience_it_gives_up_at_once() {
    let (_place, out) = place();
    publish(&edition(1, 5, 50), &out).unwrap();
    let _lock = hold(&out);
    let fault = baybook::output::publish(&edition(2, 5, 50), &out, Duration::ZERO, &mut |_| {});
    assert!(matches!(fault, Err(OutputFault::Busy { .. })));
}

#[test]
fn four_publishers_never_mix() {
    let (_place, out) = place();
    let ended = AtomicBool::new(false);
    thread::scope(|scope| {
        let writers: Vec<_> = (1..=4)
            .map(|number| {
                let out = &out;
                scope.spawn(move || (0..12).for_each(|_| _ = publish(&edition(number, 25, 100), out).unwrap()))
            })
            .collect();
        let reader = scope.spawn(|| {
            // A reader that holds the folder open reads one edition, whatever is exchanged meanwhile.
            let mut seen = 0;
            while !ended.load(Ordering::SeqCst) {
                let Ok(index) = fs::read_to_string(out.join("symptoms/page-0.html")) else { continue };
                assert!(index.starts_with("edition "), "{index}");
                seen += 1;
            }
            seen
        });
        let results: Vec<_> = writers.into_iter().map(thread::ScopedJoinHandle::join).collect();
        ended.store(true, Ordering::SeqCst);
        assert!(reader.join().unwrap() > 0);
        assert!(results.iter().all(Result::is_ok));
    });
    assert!((1..=4).any(|number| holds(&out, &edition(number, 25, 100))), "{:?}", content(&out).keys());
    assert_eq!(left_over(&out), ["lock", "next"]);
}
