//! Elbows to cut down: where the saw goes, measured on the elbow.

use super::Source;
use super::columns::{Plan, fitted};
use super::flow::{BODY, Flow};
use super::words::{angle_key, dash, length_key, plain_length};
use crate::fab::route::Make;
use crate::model::ElbowStock;
use crate::report::{ElbowReport, PieceEnd, PieceReport, RunReport};
use crate::sheet::table::{Cell, Row};
use crate::units::{UnitSystem, tube_size};

const HOW_TO: &str = "Cuts are square, through the middle of the bend. Mark the outside and the inside of the bend, \
    measured along the tube from one face, join the two marks round the tube and saw on the waste side. \
    A leg bought longer than what is left is cut back to it. The cut-away face is that of the elbow as bought; \
    the kept face is measured from with its leg cut to what is left. Where its inside lies stands with the pieces.";

/// What is cut off each elbow, under the name of the elbow it is made from.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let mut rows = Vec::new();
    let mut under = String::new();
    for (index, piece) in run.printed.iter().enumerate() {
        let Some(bend) = &piece.bend else { continue };
        let stock = stock_of(run, index);
        let name = name(source, stock);
        if name != under {
            rows.push(Row::Heading(name.clone()));
            under = name;
        }
        rows.push(row(piece, bend, stock.map_or(0.0, |s| s.leg_mm), units));
    }
    if rows.is_empty() {
        return;
    }
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::figures("Angle\nused"),
        Plan::figures("Cut\naway"),
        Plan::words("At\nwhich end"),
        Plan::figures("Leg left\nat the start"),
        Plan::figures("Leg left\nat the end"),
        Plan::figures("Cut-away face\nto cut, outside"),
        Plan::figures("Same,\ninside"),
        Plan::figures("Kept face\nto cut, outside"),
        Plan::figures("Same,\ninside"),
    ];
    let heading = format!("{}  Elbows to cut down", run.letters);
    let table = fitted(&plans, &rows, flow.width());
    let text = flow.block_mm(std::iter::once(("", HOW_TO)));
    flow.heading(&heading, text + table.header_mm() + 2.0 * table.row_mm());
    flow.paragraph(HOW_TO, BODY);
    flow.rows(&heading, &table);
}

fn row(piece: &PieceReport, bend: &ElbowReport, bought_leg_mm: f64, units: UnitSystem) -> Row {
    // the arcs follow from the angle used; the straight leg beyond the cut goes with what is cut away
    let arc = |mm: f64| {
        if bend.cut_at.is_some() { Cell::Text(plain_length(mm, units)) } else { dash() }
    };
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(piece.mark.clone()),
        angle_key(bend.angle_deg, 1),
        bend.cut_at.map_or_else(dash, |_| angle_key(bend.removed_deg, 1)),
        Cell::Text(bend.cut_at.map_or("used whole", PieceEnd::name).to_owned()),
        length_key(bend.lead_mm, units),
        length_key(bend.tail_mm, units),
        arc(bought_leg_mm + bend.removed_heel_mm),
        arc(bought_leg_mm + bend.removed_throat_mm),
        arc(piece.long_mm),
        arc(piece.short_mm),
    ])
}

/// The elbow a piece is made from.
fn stock_of(run: &RunReport, piece: usize) -> Option<&ElbowStock> {
    let bend = run.built.pieces.get(piece)?.bend?;
    match &run.built.route.as_ref()?.bends.get(bend)?.make {
        Make::Elbow(stock) => Some(stock),
        Make::Mitred(_) => None,
    }
}

/// An elbow as the trade says it, with the legs it is bought with.
fn name(source: Source<'_>, stock: Option<&ElbowStock>) -> String {
    stock.map_or_else(
        || "Elbow".to_owned(),
        |s| {
            let legs = tube_size(s.leg_mm, source.project.settings.units);
            format!("{}, bought with legs of {legs}", source.project.elbow_name(s))
        },
    )
}
