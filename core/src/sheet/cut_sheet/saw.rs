//! The sticks of all runs in the order they are sawn.

use super::columns::{Plan, table};
use super::flow::{BODY, Flow, ROWS};
use super::words::{angle_key, clock_key, dash, length_key};
use super::{Source, clock, notes, stick};
use crate::model::{SawScale, UnitSystem};
use crate::report::{CutReport, PieceReport, StickReport, StockReport};
use crate::sheet::area::Area;
use crate::sheet::page::Text;
use crate::sheet::table::{Cell, Row, Table};
use crate::units::{angle, length_paper};

/// Height of the text and figure at the top, mm.
const HOW_TO_MM: f64 = 33.0;
/// A turn that is none, degrees.
const NO_TURN_DEG: f64 = 0.05;

/// All sticks, tube by tube.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    flow.heading("Sawing, all runs", HOW_TO_MM);
    how_to(flow, source.project.settings.saw.scale);
    waiting(flow, source);
    for stock in &source.report.stock {
        let count = stock.sticks.len();
        for (index, one) in stock.sticks.iter().enumerate() {
            let heading = format!("{}: stick {} of {count}", stock.tube, index + 1);
            one_stick(flow, source, (stock, one), &heading);
        }
    }
}

/// Says which pieces on the sticks belong to runs that are not to be cut yet.
fn waiting(flow: &mut Flow, source: Source<'_>) {
    for run in source.report.runs.iter().filter(|r| r.built.is_buildable() && notes::is_stopped(source, r)) {
        let words = format!(
            "{} cannot be cut yet: leave the pieces marked {} until it is mended.",
            run.name, run.letters
        );
        flow.led_paragraph("Wait:", &words, BODY);
    }
}

fn how_to(flow: &mut Flow, scale: SawScale) {
    let scale = match scale {
        SawScale::FromSquare => "Saw scale: 0° is a square cut.",
        SawScale::FromBlade => "Saw scale: 90° is a square cut.",
    };
    let lines = [
        scale,
        "Saw each stick from the top row down. A shared cut is made once, for both pieces.",
        "Mark the heel, the long side of the first cut, then turn the tube as the row says.",
        "Half turn: the heel mark goes to the opposite side; that makes a wedge.",
        "Other turns: ↻ clockwise, ↺ anticlockwise, facing the cut end of the stick.",
    ];
    let strip = flow.take(HOW_TO_MM);
    for (i, line) in lines.iter().enumerate() {
        let at = (strip.left, strip.top + BODY + i as f64 * BODY * 1.5);
        let text = Text::new(at, BODY, *line);
        flow.page().text(if i == 0 { text.bold() } else { text });
    }
    let left = strip.right() - 95.0;
    clock::half_turn(flow.page(), Area::new(left, strip.top + 2.0, 95.0, 20.0));
}

fn one_stick(flow: &mut Flow, source: Source<'_>, (stock, one): (&StockReport, &StickReport), heading: &str) {
    let units = source.project.settings.units;
    let table = cuts(flow, source, one);
    let drawn = stick::Drawing::new(one, stock.od_mm, flow.width());
    let rows = table.row_mm() * table.rows.len().min(2) as f64;
    flow.heading(heading, drawn.height_mm() + table.header_mm() + rows + 10.0);
    let source_words = match one.source {
        "rack" => "whole stick from the rack",
        "offcut" => "offcut from the rack",
        _ => "stick to buy",
    };
    let (long, drop) = (length_paper(one.length_mm, units), length_paper(one.drop_mm, units));
    flow.line(&format!("{long}, {source_words}; {drop} is left over."), BODY, false);
    let strip = flow.take(drawn.height_mm());
    drawn.draw(flow.page(), strip, |mark| {
        let long = piece(source, mark).map(|p| length_paper(p.long_mm, units)).unwrap_or_default();
        // the decimals stand in the table
        long.split(" (").next().unwrap_or_default().to_owned()
    });
    flow.rows(heading, &table);
}

fn piece<'a>(source: Source<'a>, mark: &str) -> Option<&'a PieceReport> {
    source.report.runs.iter().flat_map(|r| &r.pieces).find(|p| p.mark == mark)
}

fn cuts(flow: &Flow, source: Source<'_>, one: &StickReport) -> Table {
    let units = source.project.settings.units;
    let rows = one.cuts.iter().filter_map(|c| Some(row(c, piece(source, &c.mark)?, units))).collect();
    let plans = vec![
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("1st\nend"),
        Plan::words("Set saw,\n1st cut"),
        Plan::figures("Heel mark,\nfrom index line"),
        Plan::words("Then\nturn tube"),
        Plan::figures("Set saw,\n2nd cut"),
        Plan::figures("Long\nside"),
        Plan::figures("Short\nside").spare(1),
        Plan::figures("On the\ncentre").spare(2),
    ];
    table(plans, rows, ROWS, flow.width())
}

fn row(cut: &CutReport, piece: &PieceReport, units: UnitSystem) -> Row {
    let first = if cut.shares_cut {
        Cell::Key { main: angle(cut.first_setting_deg, 2), beside: "shared".to_owned() }
    } else if cut.first_deg == 0.0 && cut.at_mm == 0.0 {
        Cell::Key { main: angle(cut.first_setting_deg, 2), beside: "stick end".to_owned() }
    } else {
        angle_key(cut.first_setting_deg, 2)
    };
    let heel = if cut.end_first { piece.end_heel_clock_deg } else { piece.start_heel_clock_deg };
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(cut.mark.clone()),
        Cell::Text(if cut.end_first { "end" } else { "start" }.to_owned()),
        first,
        clock_key(heel, piece.od_mm, units),
        turn(cut),
        angle_key(cut.setting_deg, 2),
        length_key(piece.long_mm, units),
        length_key(piece.short_mm, units),
        length_key(piece.centre_mm, units),
    ])
}

/// The turn of the tube between the two cuts of a piece, the short way round.
///
/// The report counts it against the clock of the piece as it lies: anticlockwise to who faces the end of the
/// stick where the start of the piece is cut first, clockwise where its end is.
fn turn(cut: &CutReport) -> Cell {
    let Some(turn_deg) = cut.turn_deg else { return dash() };
    if cut.flip {
        return Cell::Bold("half turn".to_owned());
    }
    if turn_deg.min(360.0 - turn_deg) < NO_TURN_DEG {
        return Cell::Bold("no turn".to_owned());
    }
    let clockwise = if cut.end_first { turn_deg } else { 360.0 - turn_deg }.rem_euclid(360.0);
    let (deg, way) = if clockwise > 180.0 { (360.0 - clockwise, "↺") } else { (clockwise, "↻") };
    Cell::Bold(format!("{} {way}", angle(deg, 1)))
}

#[cfg(test)]
mod tests;
