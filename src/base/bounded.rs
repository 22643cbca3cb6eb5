//! Files of others, read up to a size.
//!
//! In: a path and the most bytes that are wanted. Out: all bytes of the file, or why it is
//! not read. A file that says its length is refused before any of it is read; a device or
//! a pipe says none and is read until it exceeds. A pipe into which nobody writes is given
//! up after [`PATIENCE`].

use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::sync::mpsc;
use std::time::Duration;
use std::{io, thread};

use crate::base::target::kind_of;

/// How long a pipe may take to come to its end.
const PATIENCE: Duration = Duration::from_secs(20);

/// What a path led to.
#[derive(Debug)]
pub(crate) enum Bounded {
    Whole(Vec<u8>),
    /// At least this many bytes, which is more than wanted.
    Larger {
        bytes: u64,
    },
    Folder,
}

/// All bytes of a file of at most `most` bytes.
///
/// # Errors
/// What the system says when it cannot be opened or read.
pub(crate) fn read(path: &Path, most: u64) -> io::Result<Bounded> {
    // opening a pipe waits for somebody to write into it
    if std::fs::metadata(path).is_ok_and(|about| kind_of(&about) == Some("a pipe")) {
        return patiently(path, most, PATIENCE);
    }
    read_now(path, most)
}

/// Reads a pipe on a thread of its own, which is left behind where nothing comes.
fn patiently(path: &Path, most: u64, patience: Duration) -> io::Result<Bounded> {
    let (done, wait) = mpsc::channel();
    let owned = path.to_owned();
    thread::spawn(move || done.send(read_now(&owned, most)));
    wait.recv_timeout(patience).unwrap_or_else(|_| {
        let what = format!("nothing came through this pipe within {} s", patience.as_secs_f64());
        Err(io::Error::new(io::ErrorKind::TimedOut, what))
    })
}

fn read_now(path: &Path, most: u64) -> io::Result<Bounded> {
    let file = File::open(path)?;
    let about = file.metadata()?;
    if about.is_dir() {
        return Ok(Bounded::Folder);
    }
    if about.len() > most {
        return Ok(Bounded::Larger { bytes: about.len() });
    }
    let mut bytes = Vec::new();
    file.take(most + 1).read_to_end(&mut bytes)?;
    let read = bytes.len() as u64;
    Ok(if read > most { Bounded::Larger { bytes: read } } else { Bounded::Whole(bytes) })
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::process::Command;

    #[test]
    fn a_pipe_without_a_writer_is_given_up_and_one_with_is_read() {
        let home = tempfile::tempdir().unwrap();
        let pipe = home.path().join("pipe");
        assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        let nobody = patiently(&pipe, 10, Duration::from_millis(50)).unwrap_err();
        assert_eq!(nobody.kind(), io::ErrorKind::TimedOut);
        // the reader that was left behind may take what comes through that pipe
        let pipe = home.path().join("other");
        assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        let writer = pipe.clone();
        let writes = thread::spawn(move || std::fs::write(writer, b"text"));
        let Bounded::Whole(bytes) = read(&pipe, 10).unwrap() else { panic!("no bytes") };
        assert_eq!(bytes, b"text");
        writes.join().unwrap().unwrap();
    }
}
