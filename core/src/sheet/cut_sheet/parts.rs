//! The small parts of a run: where each is marked, drilled and welded.

use super::Source;
use super::columns::{Plan, fitted};
use super::flow::{BODY, Flow};
use super::words::{clock_key, dash, marked_at, plain_length};
use crate::report::{PartReport, RunReport};
use crate::sheet::table::{Cell, Row};
use crate::units::{UnitSystem, length_paper, tube_size};

/// How the table is read.
const HOW: &str = "Measure along the line at that clock, from the piece's start unless it says end; for a mitred end from its \
    edge there. Drill and deburr before welding: chips and burrs go downstream. A stub's hole is its bore marked through \
    it.";

/// The table; nothing for a run without parts.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    if run.parts.is_empty() {
        return;
    }
    let rows: Vec<Row> = run.parts.iter().map(|p| row(source, p)).collect();
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("Part").shrinks(),
        Plan::words("On\npiece"),
        Plan::figures("Middle, along\nthe piece"),
        Plan::figures("Clock,\nfrom index line"),
        Plan::words("Hole"),
        Plan::figures("Drill or\nbore"),
        Plan::figures("Weld"),
    ];
    let heading = format!("{}  Small parts: bungs, stubs, brackets, shields, beads", run.letters);
    flow.table(&heading, &fitted(&plans, &rows, flow.width()));
    flow.skip(2.0);
    flow.paragraph(HOW, BODY);
}

/// What to saw for the stub of a flange.
fn stub(part: &PartReport, units: UnitSystem) -> String {
    part.stub.as_ref().map_or_else(String::new, |s| {
        format!(
            "; saw the stub {}, cut its foot by the template {}",
            length_paper(s.long_mm, units),
            part.mark
        )
    })
}

fn row(source: Source<'_>, part: &PartReport) -> Row {
    let units = source.project.settings.units;
    let hole = part.hole.as_ref();
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(part.mark.clone()),
        Cell::Text(format!("{}: {}{}", part.name, part.what, stub(part, units))),
        Cell::Text(part.piece.clone()),
        marked_at(part.printed_at_mm, part.from_end, units),
        clock_key(Some(part.clock_deg), part.od_mm, units),
        hole.map_or_else(dash, |h| Cell::Text(h.mark.clone())),
        hole.map_or_else(dash, |h| Cell::Bold(tube_size(h.diameter_mm, units))),
        if part.weld_length_mm > 0.0 { Cell::Text(plain_length(part.weld_length_mm, units)) } else { dash() },
    ])
}
