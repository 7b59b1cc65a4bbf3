//! The welds of a run.

use super::Source;
use super::columns::{Plan, table};
use super::flow::{Flow, ROWS};
use super::words::clock_key;
use crate::report::{RunReport, WeldReport};
use crate::sheet::table::{Cell, Row};
use crate::units::long_length;

pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let row = |weld: &WeldReport| {
        let [first, second] = &weld.between;
        let at = |i: usize| run.pieces.get(i).map(|p| p.od_mm);
        let od_mm = at(weld.before).or_else(|| at(run.pieces.len().checked_sub(1)?)).unwrap_or_default();
        Row::Cells(vec![
            Cell::TickBox,
            Cell::Bold(weld.mark.clone()),
            Cell::Text(format!("{first} to {second}")),
            Cell::Text(weld.kind.to_owned()),
            clock_key(weld.heel_clock_deg, od_mm, units),
            Cell::Text(long_length(weld.length_mm, units)),
            Cell::TickBox,
        ])
    };
    let rows = run.welds.iter().map(row).collect();
    let plans = vec![
        Plan::ticks().titled("Tacked"),
        Plan::words("Weld"),
        Plan::words("Joins").gives(),
        Plan::words("Kind"),
        Plan::figures("Heel mark,\nfrom index line"),
        Plan::figures("Weld length"),
        Plan::ticks().titled("Welded"),
    ];
    let heading = format!("{}  Welds in order, start to end", run.letters);
    flow.table(&heading, &table(plans, rows, ROWS, flow.width()));
}
