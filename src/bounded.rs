//! Files of others, read up to a size.
//!
//! In: a path and the most bytes that are wanted. Out: all bytes of the file, or why it is
//! not read. A file that says its length is refused before any of it is read; a device or
//! a pipe says none and is read until it exceeds.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

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
