//! The sticks of all runs in the order they are sawn.

use super::columns::{Plan, fitted};
use super::flow::{BODY, Flow};
use super::words::{clock_word, dash, length_key, plain_length, ranges, saw_reads};
use super::{Source, clock, notes, share, shelf, stick};
use crate::fab::nest::StickSource;
use crate::model::{Saw, SawScale};
use crate::report::{CutReport, PieceForm, PieceReport, PieceSource, StickReport, StockReport};
use crate::sheet::area::Area;
use crate::sheet::table::{Cell, Row, Table};
use crate::units::{angle, fine_length, length_paper, plain_number};

/// What is kept together with the heading at the top, mm.
const HOW_TO_MM: f64 = 60.0;
/// Width kept for the figure, mm.
const FIGURE_MM: f64 = 82.0;
/// A turn that is none, degrees.
const NO_TURN_DEG: f64 = 0.05;
/// Settings within this are one, degrees.
const SAME_SETTING_DEG: f64 = 1e-3;
/// Lengths within this are one, mm.
const SAME_MM: f64 = 1e-6;

/// All sticks, tube by tube.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    flow.heading("Sawing, all runs", HOW_TO_MM);
    how_to(flow, source);
    waiting(flow, source);
    short_pieces(flow, source);
    shelf::section(flow, source);
    share::section(flow, source);
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

fn how_to(flow: &mut Flow, source: Source<'_>) {
    flow.led_paragraph("Saw:", &settings(source), BODY);
    let said = [
        (
            "",
            "The saw holds the stick; pieces come off its free end, row by row. A shared cut is made once, for both pieces. The saw is set anew only where “change” stands beside an angle.",
        ),
        (
            "1.",
            "Cut the first face, unless it is shared or the stick's own end. “1st end” says which end of the piece that is. Mark its heel: the long side of that cut, on this piece.",
        ),
        (
            "2.",
            "From the heel go the arc to the index line, the way of the arrow as you face the 1st end: ↻ clockwise, ↺ anticlockwise. Where the first face is square, do so from the heel of the second cut. Draw the line, mark the piece.",
        ),
        (
            "3.",
            "Turn the tube as the row says. Half turn: the heel goes to the opposite side; that makes a wedge. Other turns go the way of the arrow as you face the 1st end.",
        ),
        (
            "4.",
            "Measure the long side, heel to heel or heel to square end, and cut the second face. A piece with another turn is measured by the table of turned pieces of its run instead.",
        ),
    ];
    let width = flow.width() - FIGURE_MM;
    let strip = flow.take(clock::sentences_mm(width, &said));
    clock::sentences(flow.page(), (strip.left, strip.top), width, &said);
    let left = strip.right() - FIGURE_MM + 4.0;
    clock::half_turn(flow.page(), Area::new(left, strip.top + 6.0, FIGURE_MM - 4.0, 18.0));
}

/// The saw as it is set up for all sticks.
fn settings(source: Source<'_>) -> String {
    let (units, saw) = (source.project.settings.units, &source.project.settings.saw);
    let scale = match saw.scale {
        SawScale::FromSquare => "0° is a square cut",
        SawScale::FromBlade => "90° is a square cut",
    };
    let trim = if saw.first_trim_mm > 0.0 {
        format!("first {} of a new stick cut off square", plain_length(saw.first_trim_mm, units))
    } else {
        "stick ends taken as square".to_owned()
    };
    format!(
        "{scale} on its scale; steps of {}°; kerf {}; holds no less than {}; {trim}.",
        plain_number(saw.step_deg, 3),
        fine_length(saw.kerf_mm, units),
        plain_length(saw.grip_mm, units),
    )
}

/// Names the pieces that are too short to be held themselves.
fn short_pieces(flow: &mut Flow, source: Source<'_>) {
    let grip_mm = source.project.settings.saw.grip_mm;
    let pieces = source.report.runs.iter().flat_map(|r| &r.printed);
    let short = pieces.filter(|p| p.source == PieceSource::Stick && p.sawn_long_mm < grip_mm - SAME_MM);
    let marks = ranges(short.map(|p| p.mark.as_str()));
    if !marks.is_empty() {
        let words = format!(
            "{marks}. Hold the stick, never the piece, and have both cuts right before it comes off."
        );
        flow.led_paragraph("Shorter than the saw must hold:", &words, BODY);
    }
}

fn one_stick(flow: &mut Flow, source: Source<'_>, (stock, one): (&StockReport, &StickReport), heading: &str) {
    let units = source.project.settings.units;
    let table = cuts(flow, source, one);
    let drawn = stick::Drawing::new(one, stock.od_mm, flow.width());
    let rows = table.row_mm() * table.rows.len().min(2) as f64;
    let source_words = match one.source {
        StickSource::Rack => "whole stick from the rack",
        StickSource::Offcut => "offcut from the rack",
        StickSource::Buy => "stick to buy",
    };
    let (long, drop) = (length_paper(one.length_mm, units), length_paper(one.drop_mm, units));
    let mut lines = vec![format!("{long}, {source_words}; {drop} is left over.")];
    lines.extend(holding(source, one));
    lines.extend(odd(source, one));
    let text = flow.block_mm(lines.iter().map(|l| ("", l.as_str())));
    flow.heading(heading, text + drawn.height_mm() + table.header_mm() + rows);
    for line in &lines {
        flow.paragraph(line, BODY);
    }
    let strip = flow.take(drawn.height_mm());
    drawn.draw(flow.page(), strip, |at| {
        // the decimals stand in the table
        let piece = one.cuts.get(at).and_then(|cut| piece(source, cut));
        piece.map(|p| plain_length(p.sawn_long_mm, units)).unwrap_or_default()
    });
    flow.rows(heading, &table);
}

/// How the last piece of a stick is held where what is left is too short for the saw.
fn holding(source: Source<'_>, one: &StickReport) -> Option<String> {
    let grip_mm = source.project.settings.saw.grip_mm;
    let last = one.cuts.last().filter(|_| one.drop_mm < grip_mm - SAME_MM)?;
    let mark = &last.mark;
    Some(if last.to_mm - last.at_mm >= grip_mm - SAME_MM {
        format!(
            "{mark} is cut last: hold the piece for its last cut, what is left is too short for the saw to hold."
        )
    } else {
        format!(
            "Both {mark}, cut last, and what is left are too short for the saw to hold: take a longer stick, or plug and clamp it."
        )
    })
}

/// Says which slices on a stick have two different cuts.
fn odd(source: Source<'_>, one: &StickReport) -> Option<String> {
    let is_odd = |c: &&CutReport| {
        (c.first_setting_deg - c.setting_deg).abs() > SAME_SETTING_DEG
            && piece(source, c).is_some_and(|p| p.kind == PieceForm::Slice)
    };
    let marks = ranges(one.cuts.iter().filter(is_odd).map(|c| c.mark.as_str()));
    (!marks.is_empty())
        .then(|| format!("Slices whose two cuts differ, so set the saw for each of them: {marks}."))
}

fn piece<'a>(source: Source<'a>, cut: &CutReport) -> Option<&'a PieceReport> {
    source.report.printed(cut.key?)
}

fn cuts(flow: &Flow, source: Source<'_>, one: &StickReport) -> Table {
    let mut set = None;
    let rows: Vec<Row> =
        one.cuts.iter().filter_map(|c| Some(row(c, piece(source, c)?, source, &mut set))).collect();
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("1st\nend"),
        Plan::words("Set saw,\n1st cut"),
        Plan::figures("From heel to\nindex line"),
        Plan::words("Then\nturn tube"),
        Plan::words("Set saw,\n2nd cut"),
        Plan::figures("Long\nside"),
        Plan::figures("Short\nside"),
    ];
    fitted(&plans, &rows, flow.width())
}

/// One piece; `set` is what the saw is set to before it, degrees as it reads, and after it.
fn row(cut: &CutReport, piece: &PieceReport, source: Source<'_>, set: &mut Option<f64>) -> Row {
    let (units, saw) = (source.project.settings.units, &source.project.settings.saw);
    let first = if cut.shares_cut {
        Cell::Key { main: saw_reads(cut.first_setting_deg, saw.step_deg), beside: "shared".to_owned() }
    } else if cut.first_deg == 0.0 && cut.at_mm == 0.0 {
        Cell::Small("stick's own end".to_owned())
    } else {
        setting(cut.first_setting_deg, saw, set)
    };
    let second = setting(cut.setting_deg, saw, set);
    let (start, end) = (piece.start_heel_clock_deg, piece.end_heel_clock_deg);
    let heel = if cut.end_first { end.or(start) } else { start.or(end) };
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(cut.mark.clone()),
        Cell::Text(if cut.end_first { "end" } else { "start" }.to_owned()),
        first,
        heel.map_or_else(dash, |deg| clock_word(deg, piece.od_mm, units, to_index(cut))),
        turn(cut),
        second,
        length_key(piece.sawn_long_mm, units),
        Cell::Text(plain_length(piece.sawn_short_mm, units)),
    ])
}

/// Which way round the index line lies from the heel to who faces the end of the piece that is cut first.
///
/// The heel lies clockwise of it as seen along the travel: facing the start of the piece that is how one looks,
/// facing its end one looks the other way.
fn to_index(cut: &CutReport) -> &'static str {
    if cut.end_first { "↻" } else { "↺" }
}

/// A setting of the saw, with a word where it is another than before.
fn setting(deg: f64, saw: &Saw, set: &mut Option<f64>) -> Cell {
    let same = set.is_some_and(|old| (old - deg).abs() < SAME_SETTING_DEG);
    *set = Some(deg);
    let beside = if same { String::new() } else { "change".to_owned() };
    Cell::Key { main: saw_reads(deg, saw.step_deg), beside }
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
