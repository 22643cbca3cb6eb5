//! Files of others, read with limits.
//!
//! In: a path. Out: its bytes or text, or why not; and pieces of such text that
//! may go into a comment, a name or onto a terminal.

use std::io;
use std::path::{Path, PathBuf};

use crate::base::bounded;
use crate::base::bounded::Bounded;

/// Pieces of text are cut to this many characters.
const MAX_PIECE: usize = 200;

/// Why a file cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    #[error("cannot read `{}`: {cause}; check the name and whether you may read it", path.display())]
    Unreadable { path: PathBuf, cause: io::Error },
    #[error("`{}` is a folder; give a file", path.display())]
    Folder { path: PathBuf },
    #[error("`{}` has more than {limit_mb} MB; give a smaller piece", path.display())]
    TooLarge { path: PathBuf, limit_mb: u64 },
    #[error("`{}` is not text in UTF-8; save it as UTF-8", path.display())]
    Encoding { path: PathBuf },
}

/// All bytes of a file of at most `limit_mb` megabytes.
///
/// # Errors
/// [`ReadError`].
pub fn bytes_of(path: &Path, limit_mb: u64) -> Result<Vec<u8>, ReadError> {
    let path = path.to_owned();
    match bounded::read(&path, limit_mb * 1024 * 1024) {
        Ok(Bounded::Whole(bytes)) => Ok(bytes),
        Ok(Bounded::Larger { .. }) => Err(ReadError::TooLarge { path, limit_mb }),
        Ok(Bounded::Folder) => Err(ReadError::Folder { path }),
        Err(cause) => Err(ReadError::Unreadable { path, cause }),
    }
}

/// The text of a file of at most `limit_mb` megabytes.
///
/// # Errors
/// [`ReadError`].
pub fn text_file(path: &Path, limit_mb: u64) -> Result<String, ReadError> {
    String::from_utf8(bytes_of(path, limit_mb)?)
        .map_err(|_| ReadError::Encoding { path: path.to_owned() })
}

/// Text of others on one line of bounded length, without anything that is not seen:
/// it must not break the file that it is written to, nor drive a terminal.
///
/// ```
/// use quarterstop::base::read::clean;
/// assert_eq!(clean(" Mill\n[place] \u{1b}[2J "), "Mill [place] [2J");
/// ```
pub fn clean(text: &str) -> String {
    let unseen = |c: char| {
        c.is_control()
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}')
            || matches!(c, '\u{2066}'..='\u{2069}' | '\u{feff}')
    };
    let spaced = text.chars().map(|c| if unseen(c) { ' ' } else { c });
    let cut: String = spaced.take(MAX_PIECE).collect();
    cut.split_whitespace().collect::<Vec<_>>().join(" ")
}
