//! The tapers of a run.

use super::Source;
use super::columns::{Plan, fitted};
use super::flow::{BODY, Flow};
use super::words::{clock_key, dash, plain_length, round};
use crate::report::{PieceReport, RunReport};
use crate::sheet::table::{Cell, Row};
use crate::units::{mass, tube_size, wall};

/// The table of tapers; nothing for a run without.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let rows: Vec<Row> = run.printed.iter().filter_map(|p| row(source, p)).collect();
    if !rows.is_empty() {
        let plans = [
            Plan::ticks(),
            Plan::words("Mark"),
            Plan::words("From, to").shrinks(),
            Plan::figures("Length"),
            Plan::figures("Wall"),
            Plan::figures("Set off by"),
            Plan::figures("Towards clock,\nfrom index line"),
            Plan::words("How"),
            Plan::figures("Mass"),
        ];
        let heading = format!("{}  Tapers", run.letters);
        flow.table(&heading, &fitted(&plans, &rows, flow.width()));
        let seams: Vec<String> = run.printed.iter().filter_map(|p| seam(source, p)).collect();
        if !seams.is_empty() {
            let words = format!(
                "Flats of those to roll are among the templates. Their seams are not among the welds above: {}.",
                seams.join("; ")
            );
            flow.paragraph(&words, BODY);
        }
    }
}

/// Where the seam of a rolled taper stands and how long it is.
fn seam(source: Source<'_>, piece: &PieceReport) -> Option<String> {
    let (taper, units) = (piece.taper?, source.project.settings.units);
    let length = plain_length(taper.seam_mm?, units);
    let place = round(taper.seam_clock_deg?, piece.od_mm, units);
    let where_it_is = match place.side {
        "on the line" => "on the index line".to_owned(),
        "opposite" => "opposite the index line".to_owned(),
        side => format!("{} {side} of the index line", place.arc),
    };
    Some(format!("{} {length}, {where_it_is}", piece.mark))
}

fn row(source: Source<'_>, piece: &PieceReport) -> Option<Row> {
    let (taper, units) = (piece.taper?, source.project.settings.units);
    let size = |mm| tube_size(mm, units);
    Some(Row::Cells(vec![
        Cell::TickBox,
        Cell::Bold(piece.mark.clone()),
        Cell::Text(format!("{} to {}", size(piece.od_mm), size(taper.end_od_mm))),
        Cell::Text(plain_length(piece.centre_mm, units)),
        Cell::Text(wall(taper.wall_mm, units)),
        if taper.offset_mm > 0.0 { Cell::Text(plain_length(taper.offset_mm, units)) } else { dash() },
        clock_key(taper.offset_clock_deg, piece.od_mm, units),
        Cell::Text(if taper.seam_mm.is_some() { "rolled" } else { "bought" }.to_owned()),
        Cell::Text(mass(taper.mass_kg, units)),
    ]))
}
