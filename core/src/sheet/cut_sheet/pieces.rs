//! The pieces of a run in order, with where the heel of each end is marked.

use super::columns::{Plan, table};
use super::flow::{Flow, ROWS};
use super::words::{angle_key, clock_key, dash, length_key};
use super::{Source, clock};
use crate::model::UnitSystem;
use crate::report::{PieceReport, RunReport};
use crate::sheet::table::{Cell, Row};

/// A turn between the two ends of a piece that is none, degrees.
const NO_TWIST_DEG: f64 = 0.05;

pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let heading = format!("{}  Pieces in order, start to end", run.letters);
    flow.heading(&heading, clock::HEIGHT_MM + 40.0);
    clock::how_to(flow);
    let plans = vec![
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("What"),
        Plan::figures("Long\nside"),
        Plan::figures("Short\nside").spare(1),
        Plan::figures("On the\ncentre"),
        Plan::figures("Start\ncut"),
        Plan::figures("Heel at the start,\nfrom index line"),
        Plan::figures("End\ncut"),
        Plan::figures("Heel at the end,\nfrom index line"),
    ];
    let rows = run.pieces.iter().map(|p| row(p, units)).collect();
    flow.rows(&heading, &table(plans, rows, ROWS, flow.width()));
    turned(flow, run, units);
}

fn row(piece: &PieceReport, units: UnitSystem) -> Row {
    let cut = |deg: f64| if deg == 0.0 { Cell::Text("square".to_owned()) } else { angle_key(deg, 2) };
    let sawn = piece.bend.is_none() && piece.joint.is_none();
    let (what, sides) = match (&piece.bend, &piece.joint) {
        (Some(_), _) => ("elbow", [length_key(piece.long_mm, units), length_key(piece.short_mm, units)]),
        (_, Some(_)) => ("joint", [dash(), dash()]),
        _ => (piece.kind, [length_key(piece.long_mm, units), length_key(piece.short_mm, units)]),
    };
    let [long, short] = sides;
    let ends = if sawn {
        [
            cut(piece.start_cut_deg),
            clock_key(piece.start_heel_clock_deg, piece.od_mm, units),
            cut(piece.end_cut_deg),
            clock_key(piece.end_heel_clock_deg, piece.od_mm, units),
        ]
    } else {
        [dash(), dash(), dash(), dash()]
    };
    let front = [
        Cell::TickBox,
        Cell::Bold(piece.mark.clone()),
        Cell::Text(what.to_owned()),
        long,
        short,
        length_key(piece.centre_mm, units),
    ];
    Row::Cells(front.into_iter().chain(ends).collect())
}

/// Pieces whose two cuts are turned against each other: heel to heel is neither their long nor their short side.
fn turned(flow: &mut Flow, run: &RunReport, units: UnitSystem) {
    let is_turned = |p: &&PieceReport| p.twist_deg.is_some_and(|t| t.abs() > NO_TWIST_DEG);
    let rows: Vec<Row> = run
        .pieces
        .iter()
        .filter(is_turned)
        .filter_map(|p| {
            let lengths = p.quarters_mm?.map(|mm| length_key(mm, units));
            let mark = [Cell::TickBox, Cell::Bold(p.mark.clone())];
            Some(Row::Cells(mark.into_iter().chain(lengths).collect()))
        })
        .collect();
    let plans = vec![
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::figures("Along the\nindex line (0°)"),
        Plan::figures("Along 90°"),
        Plan::figures("Along 180°"),
        Plan::figures("Along 270°"),
    ];
    let heading = format!("{}  Pieces with their cuts turned against each other", run.letters);
    flow.table(&heading, &table(plans, rows, ROWS, flow.width()));
}
