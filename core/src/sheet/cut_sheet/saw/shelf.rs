//! Pieces that need no sawing: slices from the shelf, and what has been sawn already.

use super::super::Source;
use super::super::columns::{Plan, fitted};
use super::super::flow::{Flow, SMALL};
use super::super::words::{ranges, saw_setting};
use crate::model::TubeId;
use crate::report::{PieceReport, PieceSource, Report};
use crate::sheet::table::{Cell, Row};
use crate::units::fine_length;

/// Slices that differ by less in angle (degrees) and length (mm) lie in one heap.
const SAME: f64 = 0.01;

/// Slices of one shape that are taken from the shelf.
struct Heap<'a> {
    tube: TubeId,
    first: &'a PieceReport,
    marks: Vec<&'a str>,
}

/// Whether anything is taken from the shelf.
pub(super) fn has_any(report: &Report) -> bool {
    report.runs.iter().flat_map(|r| &r.printed).any(|p| p.source == PieceSource::Ready)
}

/// Sentences with the pieces that are done.
pub(super) fn done(flow: &mut Flow, source: Source<'_>) {
    let sawn =
        || source.report.runs.iter().flat_map(|r| &r.printed).filter(|p| p.source == PieceSource::Sawn);
    let done = ranges(sawn().map(|p| p.mark.as_str()));
    let other = |p: &PieceReport| p.written.as_ref().map(|w| format!("{} is marked {w}", p.mark));
    let otherwise: Vec<String> = sawn().filter_map(other).collect();
    if !done.is_empty() {
        flow.led_paragraph("Sawn already, not on the sticks:", &format!("{done}."), SMALL);
    }
    if !otherwise.is_empty() {
        let words = format!("{}.", otherwise.join(", "));
        flow.led_paragraph("Marked otherwise when they were sawn:", &words, SMALL);
    }
}

/// A table of the slices from the shelf.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    let (units, saw) = (source.project.settings.units, &source.project.settings.saw);
    let rows: Vec<Row> = heaps(source.report)
        .into_iter()
        .map(|heap| {
            let tube = source.project.tube(heap.tube).map(|t| source.project.tube_name(t));
            let reads = |tilt: f64| saw_setting(tilt, saw.scale, saw.step_deg);
            let cuts = [heap.first.start_cut_deg, heap.first.end_cut_deg].map(reads);
            let cuts = if cuts[0] == cuts[1] { cuts[0].clone() } else { cuts.join(" and ") };
            Row::Cells(vec![
                Cell::TickBox,
                Cell::Bold(heap.marks.len().to_string()),
                Cell::Text(tube.unwrap_or_default()),
                Cell::Text(cuts),
                Cell::Key { main: fine_length(heap.first.long_mm, units), beside: String::new() },
                Cell::Text(fine_length(heap.first.short_mm, units)),
                Cell::Bold(ranges(heap.marks.into_iter())),
            ])
        })
        .collect();
    let plans = [
        Plan::ticks(),
        Plan::figures("Number"),
        Plan::words("Tube").shrinks(),
        Plan::words("Cut at"),
        Plan::figures("Long side"),
        Plan::figures("Short side"),
        Plan::words("Write on them").shrinks(),
    ];
    flow.table("From the shelf: no cut", &fitted(&plans, &rows, flow.width()));
}

fn heaps(report: &Report) -> Vec<Heap<'_>> {
    let mut out: Vec<Heap<'_>> = Vec::new();
    for run in &report.runs {
        for (built, piece) in run.built.pieces.iter().zip(&run.printed) {
            if piece.source != PieceSource::Ready {
                continue;
            }
            let same = |h: &&mut Heap<'_>| {
                h.tube == built.tube
                    && (h.first.start_cut_deg - piece.start_cut_deg).abs() < SAME
                    && (h.first.end_cut_deg - piece.end_cut_deg).abs() < SAME
                    && (h.first.long_mm - piece.long_mm).abs() < SAME
            };
            match out.iter_mut().find(same) {
                Some(heap) => heap.marks.push(&piece.mark),
                None => out.push(Heap { tube: built.tube, first: piece, marks: vec![&piece.mark] }),
            }
        }
    }
    out
}
