//! Elbows at the saw: which piece comes from which elbow, where it is cut, and what its legs are cut to.

use super::super::Source;
use super::super::columns::{self, Plan, fitted};
use super::super::flow::{Flow, SMALL};
use super::super::words::{clock_key, dash, given_length, plain_angle, plain_length};
use crate::fab::route::Make;
use crate::model::ElbowStock;
use crate::report::{ElbowReport, PieceEnd, PieceReport, RunReport};
use crate::sheet::table::{Cell, Row};
use crate::units::{UnitSystem, angle, tube_size};

const HOW: &str = "All cuts are square to the tube. A leg is measured along its straight, from where the bend begins. Where the bend itself is \
    cut, mark its outside and its inside along the tube from the face that is kept, with that leg cut already; join the marks round \
    the tube and saw on the waste side. \"Bend cut\" names the end it is cut at. The inside of the bend lies as far from the index line as the last column says, \
    as the air goes; a leg without a word is as bought.";
const SHARED: &str = "Several pieces come from one elbow here. Arcs run from where its bend begins, at the end of its first leg; after \
    a cut the next face is not square to the tube and is cut again where the next piece begins.";

/// Font size of the table, mm.
const ELBOWS: f64 = 3.5;
/// Lengths nearer than this are one, mm.
const SAME_MM: f64 = 0.05;

/// The table of all elbows, and of those that several pieces come from.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    let units = source.project.settings.units;
    let mut rows = Vec::new();
    let mut under = String::new();
    for run in &source.report.runs {
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
    }
    if rows.is_empty() {
        return;
    }
    let plans = [
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::figures("Angle"),
        Plan::figures("Leg at\nthe start"),
        Plan::figures("Leg at\nthe end"),
        Plan::words("Bend\ncut"),
        Plan::figures("Out-\nside"),
        Plan::figures("In-\nside"),
        Plan::figures("Index line to\ninside of bend"),
    ];
    let heading = "Elbows: legs and cuts";
    let table = columns::table(&plans, rows, ELBOWS, flow.width());
    let text = flow.block_mm(std::iter::once(("", HOW)), SMALL);
    flow.heading(heading, text + table.header_mm() + 2.0 * table.row_mm());
    flow.paragraph(HOW, SMALL);
    flow.rows(heading, &table);
    shared(flow, source);
}

fn row(piece: &PieceReport, bend: &ElbowReport, bought_mm: f64, units: UnitSystem) -> Row {
    let leg = |mm: f64, at: PieceEnd| {
        let whole = (bought_mm - mm).abs() < SAME_MM;
        let beside = if bend.cut_at == Some(at) && mm < SAME_MM {
            "cut away".to_owned()
        } else if whole {
            String::new()
        } else {
            let off = plain_length(bought_mm - mm, units);
            format!("{} off", off.trim_end_matches(" mm"))
        };
        Cell::Key { main: given_length(mm, units), beside }
    };
    let arc = |mm: f64| {
        if bend.cut_at.is_some() { Cell::Text(plain_length(mm, units)) } else { dash() }
    };
    Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(piece.mark.clone()),
        Cell::Text(angle(bend.angle_deg, 1)),
        leg(bend.lead_mm, PieceEnd::Start),
        leg(bend.tail_mm, PieceEnd::End),
        Cell::Text(bend.cut_at.map_or("no", PieceEnd::name).to_owned()),
        arc(piece.long_mm),
        arc(piece.short_mm),
        clock_key(Some(bend.throat_clock_deg), piece.od_mm, units),
    ])
}

/// Which pieces share an elbow, and where on it they lie.
fn shared(flow: &mut Flow, source: Source<'_>) {
    let units = source.project.settings.units;
    let mut rows = Vec::new();
    for stock in &source.report.elbows {
        for (number, elbow) in stock.elbows.iter().enumerate().filter(|(_, e)| e.parts.len() > 1) {
            rows.push(Row::Heading(format!("{}, number {}", stock.elbow, number + 1)));
            for part in &elbow.parts {
                let arc = |mm: f64| Cell::Text(plain_length(mm, units));
                rows.push(Row::Cells(vec![
                    Cell::TickBox,
                    Cell::Bold(part.mark.clone()),
                    Cell::Text(if part.end_first { "end" } else { "start" }.to_owned()),
                    arc(part.from_heel_mm),
                    arc(part.from_throat_mm),
                    arc(part.to_heel_mm),
                    arc(part.to_throat_mm),
                ]));
            }
            if elbow.left_deg > 0.05 {
                let leg = if elbow.left_leg { " with its leg" } else { "" };
                let left = format!("{} of bend{leg} are left over", plain_angle(elbow.left_deg));
                rows.push(Row::Cells(vec![Cell::Empty, Cell::Text(left)]));
            }
        }
    }
    if rows.is_empty() {
        return;
    }
    let plans = [
        Plan::ticks(),
        Plan::words("Piece"),
        Plan::words("End that\ncomes first"),
        Plan::figures("From,\noutside"),
        Plan::figures("Same,\ninside"),
        Plan::figures("To,\noutside"),
        Plan::figures("Same,\ninside"),
    ];
    let heading = "Elbows that several pieces come from";
    let table = fitted(&plans, &rows, flow.width());
    let text = flow.block_mm(std::iter::once(("", SHARED)), SMALL);
    flow.heading(heading, text + table.header_mm() + 2.0 * table.row_mm());
    flow.paragraph(SHARED, SMALL);
    flow.rows(heading, &table);
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
