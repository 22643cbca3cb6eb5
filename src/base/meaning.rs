//! What a file says, without how it is written.
//!
//! In: bytes of any file. Out: bytes that are the same for two TOML files that say the same
//! in the same words: comments, blank space and the order of keys do not count. Of what is
//! no TOML the bytes themselves.

use std::borrow::Cow;

/// The bytes that tell whether a run can go on with a file that was edited.
pub(crate) fn meaning(bytes: &[u8]) -> Cow<'_, [u8]> {
    let text = std::str::from_utf8(bytes).ok();
    // a table prints its keys in order
    let table =
        text.and_then(|text| text.trim_start_matches('\u{feff}').parse::<toml::Table>().ok());
    match table.and_then(|table| toml::to_string(&table).ok()) {
        Some(text) => Cow::Owned(text.into_bytes()),
        None => Cow::Borrowed(bytes),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_do_not_count_and_numbers_do() {
        let plain = b"[place]\nlatitude_deg = 52.0\nzone = \"UTC\"\n";
        let noted = b"# measured\n\n[place]  # here\nzone = 'UTC'\nlatitude_deg=52.0\n";
        let moved = b"[place]\nlatitude_deg = 52.5\nzone = \"UTC\"\n";
        assert_eq!(meaning(plain), meaning(noted));
        assert_ne!(meaning(plain), meaning(moved));
        // the order of stands is theirs
        assert_ne!(meaning(b"[[a]]\nb=1\n[[a]]\nb=2"), meaning(b"[[a]]\nb=2\n[[a]]\nb=1"));
        assert_eq!(&*meaning(b"\xff\x00"), b"\xff\x00");
        assert_eq!(&*meaning(b"v 0 0 0\n"), b"v 0 0 0\n");
    }
}
