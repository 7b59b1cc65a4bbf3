//! The bends of a run as bend data, and what each is made of.

use super::Source;
use super::columns::{Plan, table};
use super::flow::{Flow, ROWS};
use super::words::{angle_key, dash, length_key};
use crate::model::UnitSystem;
use crate::report::{BendReport, RunReport};
use crate::sheet::table::{Cell, Row};
use crate::units::tube_size;

/// Two tables: the bend data, and the mitred bends among them.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let plans = vec![
        Plan::figures("Bend"),
        Plan::figures("Straight\nbefore it"),
        Plan::figures("Roll, clockwise\nis positive"),
        Plan::figures("Bend\nangle"),
        Plan::figures("Centreline\nradius"),
        Plan::words("Made as"),
    ];
    let mut rows: Vec<Row> = run.bends.iter().enumerate().map(|(i, b)| bend_row(run, i, b, units)).collect();
    if let Some(last) = run.legs.last().filter(|_| !rows.is_empty()) {
        let cells = [Cell::Text("end".to_owned()), length_key(last.straight_mm, units)];
        rows.push(Row::Cells(cells.to_vec()));
    }
    let heading = format!("{}  Bends, as straight, roll and angle", run.letters);
    flow.table(&heading, &table(plans, rows, ROWS, flow.width()));
    let plans = vec![
        Plan::figures("Bend"),
        Plan::figures("Welds"),
        Plan::figures("Whole\nslices"),
        Plan::words("Ends"),
        Plan::figures("Cut, from\nsquare"),
        Plan::figures("Slice at\nthe heel"),
        Plan::figures("Slice at\nthe throat"),
        Plan::figures("Slice on\nthe centre").spare(1),
    ];
    let rows = run.bends.iter().enumerate().filter_map(|(i, b)| mitre_row(i, b, units)).collect();
    let heading = format!("{}  Mitred bends", run.letters);
    flow.table(&heading, &table(plans, rows, ROWS, flow.width()));
}

fn bend_row(run: &RunReport, index: usize, bend: &BendReport, units: UnitSystem) -> Row {
    let straight = run.legs.get(index).map_or_else(dash, |leg| length_key(leg.straight_mm, units));
    Row::Cells(vec![
        Cell::Bold((index + 1).to_string()),
        straight,
        bend.roll_deg.map_or_else(dash, |deg| angle_key(deg, 1)),
        angle_key(bend.angle_deg, 1),
        Cell::Bold(tube_size(bend.clr_mm, units)),
        Cell::Text(bend.make.to_owned()),
    ])
}

fn mitre_row(index: usize, bend: &BendReport, units: UnitSystem) -> Option<Row> {
    let (welds, slices) = (bend.welds?, bend.slices?);
    // with one weld there is no whole slice whose sides could be measured
    let side = |mm: Option<f64>| mm.filter(|_| slices > 0).map_or_else(dash, |mm| length_key(mm, units));
    Some(Row::Cells(vec![
        Cell::Bold((index + 1).to_string()),
        Cell::Text(welds.to_string()),
        Cell::Text(slices.to_string()),
        Cell::Text(bend.ends.unwrap_or_default().to_owned()),
        bend.saw_angle_deg.map_or_else(dash, |deg| angle_key(deg, 2)),
        side(bend.heel_mm),
        side(bend.throat_mm),
        side(bend.centre_mm),
    ]))
}
