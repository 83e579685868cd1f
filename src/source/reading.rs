//! Reading one file, of limited size, that somebody may be saving at this moment.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::time::{Duration, SystemTime};

/// How often a file is read that changes meanwhile, and how long to wait before each.
const TRIES: u32 = 5;
const BETWEEN_TRIES: Duration = Duration::from_millis(10);

/// Reads a file that may hold at most `limit` bytes; one byte more is asked for, so that a file which grows while
/// it is read is noticed too. A file that is written to while it is read is read again: half of what somebody is
/// saving must not be published.
pub(super) fn read_limited(path: &Path, limit: u64) -> Result<Vec<u8>, String> {
    settled(limit, || read_once(path, limit))
}

/// Reads until the file stays as it is meanwhile.
fn settled(limit: u64, mut read: impl FnMut() -> io::Result<(Vec<u8>, bool)>) -> Result<Vec<u8>, String> {
    for _ in 0..TRIES {
        let (bytes, is_settled) = read().map_err(|fault| cause_words(&fault))?;
        if bytes.len() as u64 > limit {
            return Err(format!("it is larger than {} KiB", limit / 1024));
        }
        if is_settled {
            return Ok(bytes);
        }
        std::thread::sleep(BETWEEN_TRIES);
    }
    Err("it is being written to again and again".to_owned())
}

/// What the file says, and whether it stayed as it was meanwhile.
fn read_once(path: &Path, limit: u64) -> io::Result<(Vec<u8>, bool)> {
    let file = File::open(path)?;
    let before = stamp(&file)?;
    let mut bytes = Vec::with_capacity(usize::try_from(before.0.min(limit) + 1).unwrap_or(0));
    (&file).take(limit + 1).read_to_end(&mut bytes)?;
    let is_settled = stamp(&file)? == before;
    Ok((bytes, is_settled))
}

fn stamp(file: &File) -> io::Result<(u64, Option<SystemTime>)> {
    let found = file.metadata()?;
    Ok((found.len(), found.modified().ok()))
}

/// The cause in words that are the same on every system.
pub(super) fn cause_words(fault: &io::Error) -> String {
    match fault.kind() {
        io::ErrorKind::NotFound => "it is not there, or is a link that leads nowhere".to_owned(),
        io::ErrorKind::PermissionDenied => "it may not be read".to_owned(),
        _ => format!("it cannot be read: {fault}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What reading says of a file that changes during the first so many readings.
    fn read_changing(changes: usize) -> Result<Vec<u8>, String> {
        let mut readings = 0;
        settled(100, || {
            readings += 1;
            Ok((format!("reading {readings}").into_bytes(), readings > changes))
        })
    }

    #[test]
    fn what_was_read_while_it_changed_is_read_again() {
        assert_eq!(read_changing(0), Ok(b"reading 1".to_vec()));
        assert_eq!(read_changing(3), Ok(b"reading 4".to_vec()));
        assert_eq!(read_changing(9), Err("it is being written to again and again".to_owned()));
    }
}
