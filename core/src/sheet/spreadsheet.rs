//! Tables for spreadsheets: comma separated values in UTF-8, with the mark that says so.

use super::cut_list::CutListError;

/// The text of a table that `fill` writes.
pub(super) fn spreadsheet(
    fill: impl FnOnce(&mut csv::Writer<&mut Vec<u8>>) -> Result<(), CutListError>,
) -> Result<String, CutListError> {
    let mut out = "\u{feff}".as_bytes().to_vec();
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(&mut out);
    fill(&mut table)?;
    table.flush()?;
    drop(table);
    Ok(String::from_utf8_lossy(&out).into_owned())
}
