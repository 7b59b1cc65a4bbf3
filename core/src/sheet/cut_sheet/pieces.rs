//! The pieces of a run in order, with where the heel of each end is marked.

use super::columns::{Plan, fitted};
use super::flow::Flow;
use super::words::{clock_key, clock_word, dash, length_key, plain_length, saw_setting};
use super::{Source, clock, ends};
use crate::fab::Piece;
use crate::report::{PieceReport, PieceSource, RunReport};
use crate::sheet::table::{Cell, Row};
use crate::units::{UnitSystem, fine_length};

/// A turn between the two ends of a piece that is none, degrees.
const NO_TWIST_DEG: f64 = 0.05;

pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let heading = format!("{}  Pieces in order, start to end", run.letters);
    flow.heading(&heading, clock::HEIGHT_MM + 40.0);
    clock::how_to(flow, source.project.settings.saw.scale, source.project.settings.units);
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("What"),
        Plan::figures("Long\nside"),
        Plan::figures("Short\nside"),
        Plan::figures("Start\ncut"),
        Plan::figures("Heel at the start,\nfrom index line"),
        Plan::figures("End\ncut"),
        Plan::figures("Heel at the end,\nfrom index line"),
        Plan::words("Note").shrinks(),
    ];
    let rows: Vec<Row> = (0..run.printed.len()).map(|i| row(source, run, i)).collect();
    flow.rows(&heading, &fitted(&plans, &rows, flow.width()));
    turned(flow, run, source.project.settings.units);
}

fn row(source: Source<'_>, run: &RunReport, index: usize) -> Row {
    let piece = &run.printed[index];
    let (units, saw) = (source.project.settings.units, &source.project.settings.saw);
    let is_tube = piece.bend.is_none() && piece.joint.is_none() && piece.taper.is_none();
    let [long, short] = if is_tube { sides(piece, units) } else { [dash(), dash()] };
    let shaped =
        |at_end: bool| run.built.pieces.get(index).is_some_and(|p| p.curves[usize::from(at_end)].is_some());
    let cut = |deg: f64, at_end: bool| match (is_tube, &piece.bend) {
        // the saw cuts it square first
        (true, _) if shaped(at_end) => Cell::Text("shaped".to_owned()),
        (true, _) => Cell::Bold(saw_setting(deg, saw.scale, saw.step_deg)),
        // what the mark beside it is at, as an elbow has no heel
        (false, Some(_)) => Cell::Text("inside".to_owned()),
        (false, None) => dash(),
    };
    let mark = |at_end: bool| {
        let own = run.built.pieces.get(index).filter(|_| at_end);
        let od_mm = own.map_or(piece.od_mm, Piece::end_od_mm);
        ends::mark(source, run, index, at_end).map_or_else(dash, |mark| {
            if mark.word.is_empty() {
                clock_key(Some(mark.clock_deg), od_mm, units)
            } else {
                clock_word(mark.clock_deg, od_mm, units, &mark.word)
            }
        })
    };
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(piece.mark.clone()),
        Cell::Text(piece.kind.name().to_owned()),
        long,
        short,
        cut(piece.start_cut_deg, false),
        mark(false),
        cut(piece.end_cut_deg, true),
        mark(true),
        Cell::Small(note(run, piece, units)),
    ])
}

/// Long and short side. A slice from the shelf is as it is, so it is not rounded to what a tape shows.
fn sides(piece: &PieceReport, units: UnitSystem) -> [Cell; 2] {
    if piece.source == PieceSource::Ready {
        return [piece.sawn_long_mm, piece.sawn_short_mm].map(|mm| Cell::Text(fine_length(mm, units)));
    }
    [length_key(piece.sawn_long_mm, units), Cell::Text(plain_length(piece.sawn_short_mm, units))]
}

/// What else is to be known about a piece, in a few words.
fn note(run: &RunReport, piece: &PieceReport, units: UnitSystem) -> String {
    let source = match (piece.source, &piece.written) {
        (PieceSource::Ready, _) => "from the shelf".to_owned(),
        (PieceSource::Sawn, Some(written)) => format!("done, marked {written}"),
        (PieceSource::Sawn, None) => "done".to_owned(),
        (PieceSource::Stick | PieceSource::Rolled | PieceSource::Bought, _) => String::new(),
    };
    let fit = run.fit.as_ref().filter(|_| piece.trim_at.is_some());
    let trim = fit.map(|fit| format!("incl. {} trim at {}", plain_length(piece.trim_mm, units), fit.weld));
    [Some(source).filter(|s| !s.is_empty()), trim].into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// Pieces whose two cuts are turned against each other: heel to heel is neither their long nor their short side.
fn turned(flow: &mut Flow, run: &RunReport, units: UnitSystem) {
    let is_turned = |p: &&PieceReport| p.twist_deg.is_some_and(|t| t.abs() > NO_TWIST_DEG);
    let rows: Vec<Row> = run
        .printed
        .iter()
        .filter(is_turned)
        .filter_map(|p| {
            let lengths = p.quarters_mm?.map(|mm| length_key(mm, units));
            let mark = [Cell::TickBox, Cell::Bold(p.mark.clone())];
            let long = [clock_key(p.long_clock_deg, p.od_mm, units)];
            Some(Row::Cells(mark.into_iter().chain(lengths).chain(long).collect()))
        })
        .collect();
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::figures("Along the\nindex line (0°)"),
        Plan::figures("Along 90°"),
        Plan::figures("Along 180°"),
        Plan::figures("Along 270°"),
        Plan::figures("The long side\nlies at"),
    ];
    let heading = format!("{}  Pieces with their cuts turned against each other", run.letters);
    flow.table(&heading, &fitted(&plans, &rows, flow.width()));
}
