//! Which elbow each bend is cut from, and what is left of it.

use super::Source;
use super::columns::{Plan, fitted};
use super::flow::{BODY, Flow};
use super::words::{dash, plain_length};
use crate::report::{ElbowStockReport, ElbowUse};
use crate::sheet::table::{Cell, Row};
use crate::units::angle;

const HOW_TO: &str = "Arcs are measured from where the bend of the elbow begins, at the end of its first leg, along its outside and \
    its inside. After a cut the next face is not square: the slot is as wide at the throat as at the heel. It is cut again \
    where the next piece begins.";

/// All elbows of all runs; nothing where none is cut.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    let units = source.project.settings.units;
    let is_cut = |e: &ElbowUse| e.parts.len() > 1 || e.left_deg > 0.05;
    let mut rows = Vec::new();
    for stock in source.report.elbows.iter().filter(|s| s.elbows.iter().any(is_cut)) {
        rows.push(Row::Heading(heading(stock)));
        for (number, elbow) in stock.elbows.iter().enumerate() {
            for (i, part) in elbow.parts.iter().enumerate() {
                let first = i == 0;
                let last = i + 1 == elbow.parts.len();
                let left = format!(
                    "{}{}",
                    angle(elbow.left_deg, 1),
                    if elbow.left_leg { " with its leg" } else { "" }
                );
                let arc = |mm: f64| Cell::Text(plain_length(mm, units));
                rows.push(Row::Cells(vec![
                    Cell::TickBox,
                    if first { Cell::Text(format!("{}, {}", number + 1, elbow.source)) } else { Cell::Empty },
                    Cell::Bold(part.mark.clone()),
                    Cell::Text(if part.end_first { "end" } else { "start" }.to_owned()),
                    arc(part.from_heel_mm),
                    arc(part.from_throat_mm),
                    arc(part.to_heel_mm),
                    arc(part.to_throat_mm),
                    match (last, elbow.left_deg > 0.05) {
                        (true, true) => Cell::Text(left),
                        (true, false) => dash(),
                        (false, _) => Cell::Empty,
                    },
                ]));
            }
        }
    }
    if rows.is_empty() {
        return;
    }
    let plans = [
        Plan::ticks(),
        Plan::words("Elbow"),
        Plan::words("Piece"),
        Plan::words("1st\nend"),
        Plan::figures("From,\noutside"),
        Plan::figures("Same,\ninside"),
        Plan::figures("To,\noutside"),
        Plan::figures("Same,\ninside"),
        Plan::words("Left over"),
    ];
    let heading = "Elbows, all runs: which piece from which";
    let table = fitted(&plans, &rows, flow.width());
    let text = flow.block_mm(std::iter::once(("", HOW_TO)));
    flow.heading(heading, text + table.header_mm() + 2.0 * table.row_mm());
    flow.paragraph(HOW_TO, BODY);
    flow.rows(heading, &table);
}

fn heading(stock: &ElbowStockReport) -> String {
    let count = stock.elbows.len();
    let fewest = if stock.proved_fewest { ", the fewest that do" } else { "" };
    let elbows = if count == 1 { "1 elbow".to_owned() } else { format!("{count} elbows") };
    format!("{}: {elbows}{fewest}", stock.elbow)
}
