//! What has to be bought before work starts, and what else has to be at hand.

use super::Source;
use super::columns::{Plan, fitted, table};
use super::flow::{BODY, Flow, ROWS};
use super::words::plain_length;
use crate::report::{BarStickReport, StockReport};
use crate::sheet::table::{Cell, Row};
use crate::units::long_length;

/// The list, or that there is nothing on it.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    let sticks = source.report.stock.iter().filter(|s| s.sticks_to_buy > 0).map(|s| stick(source, s));
    let elbows = source.report.findings.iter().filter(|f| f.code == "elbows-to-buy").map(|f| f.text.clone());
    let bars = source.report.bar_stock.iter().filter(|s| s.sticks_to_buy > 0).map(|s| bar_stick(source, s));
    let rows: Vec<Row> = sticks
        .chain(elbows)
        .chain(bars)
        .map(|words| Row::Cells(vec![Cell::TickBox, Cell::Text(words)]))
        .collect();
    if rows.is_empty() {
        flow.heading("To buy", 3.0 * BODY);
        flow.paragraph("Nothing: the tube, bar and elbows on hand are enough.", BODY);
    } else {
        let plans = [Plan::ticks(), Plan::words("Buy before starting").shrinks()];
        flow.table("To buy", &table(&plans, rows, ROWS, flow.width()));
        flow.skip(3.0);
        if let Some(price) = source.report.totals.price.filter(|_| source.report.totals.sticks_to_buy > 0) {
            flow.paragraph(&format!("Price of the sticks of tube to buy: {price:.2}."), BODY);
        }
    }
    besides(flow, source);
    let wire_mm: f64 = source.report.runs.iter().map(|r| r.filler_mm).sum();
    if wire_mm > 0.0 {
        let wire = long_length(wire_mm, source.project.settings.units);
        flow.led_paragraph("Filler wire in all:", &format!("{wire} (an estimate, common practice)."), BODY);
    }
}

fn stick(source: Source<'_>, stock: &StockReport) -> String {
    let count = stock.sticks_to_buy;
    let s = if count == 1 { "" } else { "s" };
    let long = source.project.tube(stock.tube_id).map(|t| {
        format!(
            ", {}{}",
            plain_length(t.stick_mm, source.project.settings.units),
            if count == 1 { "" } else { " each" }
        )
    });
    let most = at_most(stock.sticks_to_buy, stock.least_to_buy);
    format!("Buy {most}{count} stick{s} of {}{}.", stock.tube, long.unwrap_or_default())
}

fn bar_stick(source: Source<'_>, stock: &BarStickReport) -> String {
    let count = stock.sticks_to_buy;
    let (s, each) = if count == 1 { ("", "") } else { ("s", " each") };
    let long = plain_length(stock.stick_mm, source.project.settings.units);
    let most = at_most(stock.sticks_to_buy, stock.least_to_buy);
    format!("Buy {most}{count} stick{s} of {}, {long}{each}.", stock.stock)
}

/// Words before a number of sticks that is not proved to be the least.
fn at_most(buy: usize, least: usize) -> &'static str {
    if buy > least { "at most " } else { "" }
}

/// Everything that is needed besides tube; elbows stand in the list before.
fn besides(flow: &mut Flow, source: Source<'_>) {
    let rows: Vec<Row> = source
        .report
        .buy
        .iter()
        .filter(|row| !row.is_elbow())
        .map(|row| {
            let words =
                if row.note.is_empty() { row.size.clone() } else { format!("{}; {}", row.size, row.note) };
            Row::Cells(vec![
                Cell::TickBox,
                Cell::Bold(row.count.to_string()),
                Cell::Text(row.what.name().to_owned()),
                Cell::Text(words),
                Cell::Text(row.wanted_for.join(", ")),
            ])
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    let plans = [
        Plan::ticks(),
        Plan::figures("Number"),
        Plan::words("What"),
        Plan::words("Size").shrinks(),
        Plan::words("For").shrinks(),
    ];
    flow.table("Needed besides tube", &fitted(&plans, &rows, flow.width()));
    flow.skip(3.0);
}
