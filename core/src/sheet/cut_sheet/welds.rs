//! The welds of a run.

use super::columns::{Plan, fitted};
use super::flow::Flow;
use super::words::{clock_key, clock_word, dash, plain_length};
use super::{Source, ends};
use crate::report::{RunReport, WeldReport};
use crate::sheet::table::{Cell, Row};
use crate::units::long_length;

pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let rows: Vec<Row> = run.welds.iter().map(|weld| row(source, run, weld)).collect();
    let plans = [
        Plan::ticks().titled("Tacked"),
        Plan::words("Weld"),
        Plan::words("Joins").shrinks(),
        Plan::words("Kind"),
        Plan::figures("Heel mark,\nfrom index line"),
        Plan::figures("Weld length"),
        Plan::figures("Tack\norder"),
        Plan::words("Fitted\nlast"),
        Plan::ticks().titled("Welded"),
    ];
    let heading = format!("{}  Welds in order, start to end", run.letters);
    flow.table(&heading, &fitted(&plans, &rows, flow.width()));
}

fn row(source: Source<'_>, run: &RunReport, weld: &WeldReport) -> Row {
    let units = source.project.settings.units;
    let [first, second] = &weld.between;
    let od_mm = weld.od_mm;
    let heel = weld.printed_clock_deg.map_or_else(dash, |clock| match ends::weld_word(run, weld) {
        "heel" => clock_key(Some(clock), od_mm, units),
        word => clock_word(clock, od_mm, units, word),
    });
    let fit = run.fit.as_ref().filter(|_| weld.fit);
    let last = fit.map_or_else(dash, |fit| {
        let words = if fit.trim_mm > 0.0 {
            format!("last: trim {} off the {} of {}", plain_length(fit.trim_mm, units), fit.at, fit.piece)
        } else {
            "last".to_owned()
        };
        Cell::Small(words)
    });
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(weld.mark.clone()),
        Cell::Text(format!("{first} to {second}")),
        Cell::Text(weld.kind.name().to_owned()),
        heel,
        Cell::Text(long_length(weld.length_mm, units)),
        Cell::Bold(weld.tack.to_string()),
        last,
        Cell::TickBox,
    ])
}
