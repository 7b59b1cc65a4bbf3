//! The bends of a run as bend data, and what each is made of.

use super::Source;
use super::columns::{Plan, table};
use super::flow::{Flow, TIGHT};
use super::words::{angle_key, dash, plain_length};
use crate::report::{BendReport, RunReport, ends_name};
use crate::sheet::table::{Cell, Row};
use crate::units::{UnitSystem, tube_size};

/// The bend data as drawn. What is cut stands in the table of the pieces, and nowhere else.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport, first_page: usize) {
    let units = source.project.settings.units;
    let plans = [
        Plan::figures("Bend"),
        Plan::figures("Straight\nbefore it"),
        Plan::figures("Roll, clockwise\nis positive"),
        Plan::figures("Bend\nangle"),
        Plan::figures("Centreline\nradius"),
        Plan::words("Made as"),
        Plan::figures("Welds"),
        Plan::figures("Whole\nslices"),
        Plan::words("Ends"),
    ];
    let mut rows: Vec<Row> = run.bends.iter().enumerate().map(|(i, b)| row(run, i, b, units)).collect();
    if let Some(last) = run.legs.last().filter(|_| !rows.is_empty()) {
        let cells = [Cell::Text("end".to_owned()), Cell::Text(plain_length(last.straight_mm, units))];
        rows.push(Row::Cells(cells.to_vec()));
    }
    let heading = format!("{}  Bends as drawn, to check by, not to cut by", run.letters);
    let table = table(&plans, rows, TIGHT, flow.width());
    let whole = Flow::heading_mm() + table.height_mm();
    flow.put(whole, first_page, |flow| flow.table(&heading, &table));
}

fn row(run: &RunReport, index: usize, bend: &BendReport, units: UnitSystem) -> Row {
    let straight = run.legs.get(index).map(|leg| plain_length(leg.straight_mm, units));
    let count = |n: Option<u32>| n.map_or_else(dash, |n| Cell::Text(n.to_string()));
    Row::Cells(vec![
        Cell::Bold((index + 1).to_string()),
        straight.map_or_else(dash, Cell::Text),
        bend.roll_deg.map_or_else(dash, |deg| angle_key(deg, 1)),
        angle_key(bend.angle_deg, 1),
        Cell::Bold(tube_size(bend.clr_mm, units)),
        Cell::Text(bend.make.name().to_owned()),
        count(bend.welds),
        count(bend.slices),
        bend.ends.map_or_else(dash, |ends| Cell::Text(ends_name(ends).to_owned())),
    ])
}
