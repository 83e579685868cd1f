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
fn what_is_seen_before_the_lock_is_taken_decides_nothing() {
    let (_place, out) = place();
    publish(&edition(1, 5, 50), &out).unwrap();
    let lock = hold(&out);
    fs::write(out.join("passing"), "").unwrap();
    thread::scope(|scope| {
        scope.spawn(|| {
            thread::sleep(Duration::from_millis(150));
            fs::remove_file(out.join("passing")).unwrap();
            drop(lock);
        });
        publish(&edition(2, 5, 50), &out).unwrap();
    });
    assert!(holds(&out, &edition(2, 5, 50)));
}

#[test]
fn a_file_that_somebody_puts_in_meanwhile_is_not_lost() {
    let (_place, out) = place();
    let check = |message: &str| {
        let own = out.join("symptoms/own.txt");
        let mut put_in = |notice| {
            if notice == Notice::Begun {
                fs::create_dir_all(out.join("symptoms")).unwrap();
                fs::write(&own, "own").unwrap();
            }
        };
        let fault = baybook::output::publish(&edition(2, 5, 50), &out, Duration::ZERO, &mut put_in).unwrap_err();
        assert_eq!(fault.to_string(), message.replace("OUT", &out.display().to_string()));
        assert_eq!(fs::read_to_string(&own).unwrap(), "own");
        fs::remove_file(own).unwrap();
    };
    fs::create_dir(&out).unwrap();
    check("will not replace OUT: it has content that was not published here");
    fs::remove_dir_all(&out).unwrap();
    publish(&edition(1, 5, 50), &out).unwrap();
    check("will not replace the folder that holds OUT/symptoms/own.txt: move that away first");
    assert!(holds(&out, &edition(1, 5, 50)));
    fs::remove_dir_all(&out).unwrap();
    check("cannot publish to OUT: File exists (os error 17)");
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
    publish(&edition(1, 25, 100), &out).unwrap();
    let ended = AtomicBool::new(false);
    thread::scope(|scope| {
        let writers: Vec<_> = (1..=4)
            .map(|number| {
                let out = &out;
                scope.spawn(move || (0..12).for_each(|_| _ = publish(&edition(number, 25, 100), out).unwrap()))
            })
            .collect();
        let reader = scope.spawn(|| {
            // The page is there at every moment.
            let mut seen = 0;
            while !ended.load(Ordering::SeqCst) {
                assert!(fs::read_to_string(out.join("symptoms/page-0.html")).unwrap().starts_with("edition "));
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
