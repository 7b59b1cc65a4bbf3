//! What has to be bought before work starts.

use super::Source;
use super::columns::{Plan, table};
use super::flow::{BODY, Flow, ROWS};
use crate::sheet::table::{Cell, Row};

/// Codes of the findings that are a shopping list.
const CODES: [&str; 2] = ["elbows-to-buy", "sticks-to-buy"];

/// The list, or that there is nothing on it.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    let items = source.report.findings.iter().filter(|f| CODES.contains(&f.code));
    let rows: Vec<Row> = items.map(|f| Row::Cells(vec![Cell::TickBox, Cell::Text(f.text.clone())])).collect();
    if rows.is_empty() {
        flow.heading("To buy", 3.0 * BODY);
        flow.paragraph("Nothing: the tube and elbows on hand are enough.", BODY);
        return;
    }
    let plans = vec![Plan::ticks(), Plan::words("Buy before starting").gives()];
    flow.table("To buy", &table(plans, rows, ROWS, flow.width()));
    if let Some(price) = source.report.totals.price.filter(|_| source.report.totals.sticks_to_buy > 0) {
        flow.skip(3.0);
        flow.paragraph(&format!("Price of the sticks to buy: {price:.2}."), BODY);
    }
}
