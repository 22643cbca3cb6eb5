//! Whether what a columnar file says about itself is read in the time that its bytes take.
//!
//! In: bytes in Thrift's compact protocol, in which Parquet writes its footer and the header
//! of each page. Out: how long the structure is, and the size that a page header states; or
//! nothing where it is cut off, or states elements that take no bytes. Flags in lists and
//! maps are such elements for the library that reads them: it would step over any number of
//! them one by one. No structure of Parquet that is read here has a list of flags.
//!
//! Source: Apache Thrift, "Thrift compact protocol" (doc/specs/thrift-compact-protocol.md).

use super::parquet::ColumnarError;

/// Structures in each other; those of Parquet go to six or seven.
const MAX_DEPTH: usize = 32;
/// What a page header calls the bytes of its page (Apache Parquet, `parquet.thrift`,
/// `PageHeader`).
const PAGE_BYTES_FIELD: i64 = 3;
/// The length of the footer and four letters (Apache Parquet, "File format").
const FOOTER_END: usize = 8;

/// Types of the compact protocol.
const STOP: u8 = 0;
const TRUE: u8 = 1;
const FALSE: u8 = 2;
const BYTE: u8 = 3;
const I16: u8 = 4;
const I32: u8 = 5;
const I64: u8 = 6;
const DOUBLE: u8 = 7;
const BINARY: u8 = 8;
const LIST: u8 = 9;
const SET: u8 = 10;
const MAP: u8 = 11;
const STRUCT: u8 = 12;
const UUID: u8 = 13;

/// The footer of a whole file.
///
/// # Errors
/// [`ColumnarError::Changed`] where it is cut off or cannot be stepped over.
pub(super) fn footer_is_bounded(file: &[u8]) -> Result<(), ColumnarError> {
    let stated = |end: usize| {
        let bytes = file.get(end..end + 4)?;
        usize::try_from(u32::from_le_bytes(bytes.try_into().ok()?)).ok()
    };
    let end = file.len().checked_sub(FOOTER_END);
    let begins = end.and_then(|end| Some((end.checked_sub(stated(end)?)?, end)));
    let footer = begins.and_then(|(from, end)| file.get(from..end));
    let walked = footer.and_then(|footer| Walk { rest: footer }.structure(MAX_DEPTH));
    walked.map(|_| ()).ok_or(ColumnarError::Changed)
}

/// All pages of a column, which lie one behind another.
///
/// # Errors
/// [`ColumnarError::Changed`] where a header cannot be stepped over, or a page ends beyond
/// the column.
pub(super) fn pages_are_bounded(mut column: &[u8]) -> Result<(), ColumnarError> {
    while !column.is_empty() {
        let mut walk = Walk { rest: column };
        let stated = walk.structure(MAX_DEPTH).flatten();
        let size = stated.and_then(|size| usize::try_from(size).ok());
        let next = size.and_then(|size| walk.rest.get(size..));
        column = next.ok_or(ColumnarError::Changed)?;
    }
    Ok(())
}

/// Steps over values; `None` where they cannot be.
struct Walk<'a> {
    rest: &'a [u8],
}

impl Walk<'_> {
    fn byte(&mut self) -> Option<u8> {
        let (first, rest) = self.rest.split_first()?;
        self.rest = rest;
        Some(*first)
    }

    fn skip(&mut self, count: usize) -> Option<()> {
        self.rest = self.rest.get(count..)?;
        Some(())
    }

    /// A whole number of up to 64 bits, seven a byte, the lowest first.
    fn unsigned(&mut self) -> Option<u64> {
        let mut value = 0_u64;
        for shift in (0..70).step_by(7) {
            let byte = self.byte()?;
            value |= u64::from(byte & 0x7f).checked_shl(shift).unwrap_or(0);
            if byte & 0x80 == 0 {
                return Some(value);
            }
        }
        None
    }

    /// The same with a sign, in the lowest bit.
    fn signed(&mut self) -> Option<i64> {
        let value = self.unsigned()?;
        Some((value >> 1) as i64 ^ -((value & 1) as i64))
    }

    /// Steps over a structure; the number in [`PAGE_BYTES_FIELD`], if it has one.
    fn structure(&mut self, depth: usize) -> Option<Option<i64>> {
        let (mut field, mut size) = (0_i64, None);
        loop {
            let head = self.byte()?;
            let kind = head & 0x0f;
            if kind == STOP {
                return Some(size);
            }
            field = match head >> 4 {
                0 => self.signed()?,
                more => field.checked_add(i64::from(more))?,
            };
            match kind {
                I32 if field == PAGE_BYTES_FIELD => size = Some(self.signed()?),
                // its value is the type
                TRUE | FALSE => {}
                kind => self.value(kind, depth)?,
            }
        }
    }

    /// Steps over a value that takes bytes.
    fn value(&mut self, kind: u8, depth: usize) -> Option<()> {
        let depth = depth.checked_sub(1)?;
        match kind {
            BYTE => self.skip(1),
            I16 | I32 | I64 => self.unsigned().map(|_| ()),
            DOUBLE => self.skip(8),
            UUID => self.skip(16),
            BINARY => {
                let length = usize::try_from(self.unsigned()?).ok()?;
                self.skip(length)
            }
            STRUCT => self.structure(depth).map(|_| ()),
            LIST | SET => {
                let head = self.byte()?;
                let count = match head >> 4 {
                    15 => self.unsigned()?,
                    few => u64::from(few),
                };
                (0..count).try_for_each(|_| self.value(head & 0x0f, depth))
            }
            MAP => {
                let count = self.unsigned()?;
                let kinds = if count > 0 { self.byte()? } else { 0 };
                (0..count).try_for_each(|_| {
                    self.value(kinds >> 4, depth)?;
                    self.value(kinds & 0x0f, depth)
                })
            }
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Written by hand after the specification: field 1 a number (2), field 3 the size (5),
    /// field 5 a structure with a flag and a list of two numbers.
    const HEADER: [u8; 13] =
        [0x15, 0x04, 0x25, 0x0a, 0x2c, 0x11, 0x19, 0x25, 0x02, 0x04, 0x00, 0x00, 0xff];

    #[test]
    fn a_structure_is_stepped_over_and_its_size_is_read() {
        let mut walk = Walk { rest: &HEADER };
        assert_eq!(walk.structure(MAX_DEPTH), Some(Some(5)));
        assert_eq!(walk.rest, [0xff]);
        for length in 0..12 {
            assert_eq!(Walk { rest: &HEADER[..length] }.structure(MAX_DEPTH), None, "{length}");
        }
    }

    #[test]
    fn elements_without_bytes_and_depth_without_end_are_refused() {
        // a list of 2^31 - 1 flags, a map of as many, lists in lists
        let flags = [0xf9, 0xf1, 0xff, 0xff, 0xff, 0xff, 0x07, 0x00];
        assert_eq!(Walk { rest: &flags }.structure(MAX_DEPTH), None);
        let map = [0x1b, 0xff, 0xff, 0xff, 0xff, 0x07, 0x11, 0x00];
        assert_eq!(Walk { rest: &map }.structure(MAX_DEPTH), None);
        let mut deep = vec![0x19];
        deep.extend([0x19; 1000]);
        assert_eq!(Walk { rest: &deep }.structure(MAX_DEPTH), None);
    }
}
