//! The joints of a run, and the marks on the tubes that meet in them.

use super::columns::{Plan, fitted};
use super::flow::Flow;
use super::words::{clock_key, dash};
use super::{Source, ends};
use crate::model::{JointKind, JointStyle};
use crate::report::RunReport;
use crate::sheet::table::{Cell, Row};
use crate::units::{UnitSystem, tube_size};

/// One table of the joints, one of their halves.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let joints: Vec<(usize, &JointKind)> =
        (0..run.printed.len()).filter_map(|i| Some((i, ends::joint(source, run, i)?))).collect();
    let units = source.project.settings.units;
    let rows: Vec<Row> = joints.iter().map(|(i, kind)| whole(source, run, *i, kind)).collect();
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("Joint").shrinks(),
        Plan::words("Kind"),
        Plan::figures("Make-up: tube end\nto tube end"),
        Plan::figures("Nut or lever,\nfrom index line"),
        Plan::figures("Cut hose\nto"),
    ];
    let heading = format!("{}  Joints", run.letters);
    flow.table(&heading, &fitted(&plans, &rows, flow.width()));
    let rows: Vec<Row> = joints
        .iter()
        .flat_map(|(i, kind)| [false, true].map(|second| half(source, run, (*i, kind), second, units)))
        .collect();
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("Half"),
        Plan::words("Goes on").shrinks(),
        Plan::words("Welded"),
        Plan::figures("Mark for nut or lever\non that tube"),
        Plan::figures("Mark this far\nfrom the tube end"),
        Plan::figures("Middle of bead\nfrom the tube end"),
    ];
    let heading = format!("{}  Joint halves, and the marks on their tubes", run.letters);
    flow.table(&heading, &fitted(&plans, &rows, flow.width()));
}

/// A length that is as the joint has it, so not rounded to what a tape shows.
fn given(mm: f64, units: UnitSystem) -> Cell {
    Cell::Bold(tube_size(mm, units))
}

fn whole(source: Source<'_>, run: &RunReport, index: usize, kind: &JointKind) -> Row {
    let (piece, units) = (&run.printed[index], source.project.settings.units);
    let make_up = kind.engagement_mm().map_or_else(
        || given(piece.centre_mm, units),
        |mm| Cell::Key { main: tube_size(mm, units), beside: "slides in".to_owned() },
    );
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(piece.mark.clone()),
        Cell::Text(kind.name.clone()),
        Cell::Text(kind.style.name().to_owned()),
        make_up,
        clock_key(ends::lobe_clock_deg(source, run, index), piece.od_mm, units),
        kind.hose_mm().map_or_else(dash, |mm| given(mm, units)),
    ])
}

/// One half of a joint and its tube. Both tubes get the mark, so that they meet turned right.
fn half(
    source: Source<'_>,
    run: &RunReport,
    (index, kind): (usize, &JointKind),
    second: bool,
    units: UnitSystem,
) -> Row {
    let piece = &run.printed[index];
    let depth = kind.hose.map(|h| h.insertion_mm).or(kind.engagement_mm());
    let halves = match kind.style {
        JointStyle::VBand | JointStyle::Flange => ["first half", "second half"],
        JointStyle::ClampCoupler
        | JointStyle::HoseAndClamps
        | JointStyle::SlipJoint
        | JointStyle::Flexible => ["first end", "second end"],
    };
    let on = if second { ends::after(run, index) } else { ends::before(run, index) };
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(piece.mark.clone()),
        Cell::Text(halves[usize::from(second)].to_owned()),
        Cell::Text(on),
        Cell::Text(if kind.welded { "welded on" } else { "not welded" }.to_owned()),
        clock_key(ends::lobe_clock_deg(source, run, index), piece.od_mm, units),
        depth.map_or_else(dash, |mm| given(mm, units)),
        kind.hose.and_then(|h| h.bead_mm).map_or_else(dash, |mm| given(mm, units)),
    ])
}
