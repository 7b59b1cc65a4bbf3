//! The buy list as a table for spreadsheets: everything that is not tube.

use super::cut_list::{CutListError, harmless};
use super::spreadsheet::spreadsheet;
use crate::report::Report;

/// The buy list; `None` where nothing is needed. Comma separated values as the cut list.
///
/// # Errors
/// The writer's own; never in practice, as it writes to memory.
pub fn buy_list(report: &Report) -> Result<Option<String>, CutListError> {
    if report.buy.is_empty() {
        return Ok(None);
    }
    let text = spreadsheet(|table| {
        table.write_record(["what", "size", "count", "for", "note"])?;
        for row in &report.buy {
            let count = row.count.to_string();
            let wanted_for = row.wanted_for.join(", ");
            let cells = [row.what.name(), &row.size, &count, &wanted_for, &row.note];
            table.write_record(cells.map(harmless))?;
        }
        Ok(())
    })?;
    Ok(Some(text))
}
