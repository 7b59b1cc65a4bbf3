//! Holes in a run for what is welded on, and what the run itself sits on.

use super::Source;
use super::columns::{Plan, fitted};
use super::flow::Flow;
use super::words::{clock_key, dash, length_key, marked_at, plain_length};
use crate::model::HoleKey;
use crate::report::{HoleForm, HoleReport, RunReport, SeatForm, SeatReport};
use crate::sheet::table::{Cell, Row};
use crate::units::{UnitSystem, angle, tube_size};

/// One table of the holes, one of the ends that sit on other runs.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let rows: Vec<Row> = run.holes.iter().map(|h| hole(h, units)).collect();
    let plans = [
        Plan::ticks(),
        Plan::words("Hole"),
        Plan::words("In"),
        Plan::figures("Middle, from the start\nedge along its line"),
        Plan::figures("Middle,\nfrom index line"),
        Plan::words("For").shrinks(),
        Plan::figures("Along the\ntube"),
        Plan::figures("Round the\ntube"),
    ];
    let heading = format!("{}  Holes for what is welded on", run.letters);
    flow.table(&heading, &fitted(&plans, &rows, flow.width()));
    let ends = [("start", &run.start_on, false), ("end", &run.end_on, true)];
    let rows: Vec<Row> = ends
        .into_iter()
        .filter_map(|(end, seat, last)| Some(sits(source, run, (end, last), seat.as_ref()?, units)))
        .collect();
    let plans = [
        Plan::ticks(),
        Plan::words("Piece"),
        Plan::words("End"),
        Plan::words("Sits on").shrinks(),
        Plan::figures("Hole"),
        Plan::figures("Angle to\nits travel"),
        Plan::figures("Offset of\nthe axes"),
        Plan::figures("Long side,\nshaped"),
        Plan::figures("Short side,\nshaped"),
    ];
    let heading = format!("{}  Ends shaped to another run", run.letters);
    flow.table(&heading, &fitted(&plans, &rows, flow.width()));
}

fn hole(hole: &HoleReport, units: UnitSystem) -> Row {
    let size = |mm: f64| Cell::Text(plain_length(mm, units));
    let what = match hole.kind {
        HoleForm::Drilled => "drill",
        HoleForm::Branch => "bore",
    };
    let of = format!("{}, {what} {}", hole.of, tube_size(hole.diameter_mm, units));
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(hole.mark.clone()),
        Cell::Text(hole.piece.clone()),
        marked_at(hole.printed_at_mm, hole.from_end, units),
        clock_key(Some(hole.clock_deg), hole.od_mm, units),
        Cell::Text(of),
        size(hole.length_mm),
        size(hole.width_mm),
    ])
}

fn sits(
    source: Source<'_>,
    run: &RunReport,
    (end, last): (&str, bool),
    seat: &SeatReport,
    units: UnitSystem,
) -> Row {
    let piece = if last { run.printed.last() } else { run.printed.first() };
    let key = if last { HoleKey::EndOf(run.id) } else { HoleKey::StartOf(run.id) };
    let header = source.report.run(seat.run_id);
    let hole = header.and_then(|header| header.holes.iter().find(|h| h.key == key));
    let [long, short] = piece.map_or_else(
        || [dash(), dash()],
        |p| [length_key(p.long_mm, units), Cell::Text(plain_length(p.short_mm, units))],
    );
    Row::Cells(vec![
        Cell::TickBox,
        piece.map_or_else(dash, |p| Cell::Bold(p.mark.clone())),
        Cell::Text(end.to_owned()),
        Cell::Text(format!(
            "{}, {} {}",
            seat.run,
            match seat.on {
                SeatForm::Leg => "leg",
                SeatForm::Bend => "bend after leg",
            },
            seat.leg
        )),
        hole.map_or_else(dash, |h| Cell::Text(format!("{} in {}", h.mark, h.piece))),
        Cell::Text(angle(seat.angle_deg, 1)),
        Cell::Text(plain_length(seat.offset_mm, units)),
        long,
        short,
    ])
}
