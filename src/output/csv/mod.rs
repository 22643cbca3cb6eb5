//! Rows as RFC 4180 text.

pub(crate) mod cells;

/// Why the table could not be put into bytes.
#[derive(Debug, thiserror::Error)]
#[error("the CSV could not be put together: {0}")]
pub struct CsvError(#[from] csv::Error);

/// A header row and rows as bytes.
pub(crate) fn table(
    header: impl IntoIterator<Item = impl AsRef<str>>,
    rows: impl Iterator<Item = Vec<String>>,
) -> Result<Vec<u8>, CsvError> {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(cells::row(header))?;
    for row in rows {
        writer.write_record(cells::row(row))?;
    }
    writer.into_inner().map_err(|e| CsvError(csv::Error::from(e.into_error())))
}
