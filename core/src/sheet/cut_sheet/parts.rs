//! Elbows to cut down, and joints.

use super::Source;
use super::columns::{Plan, table};
use super::flow::{Flow, ROWS};
use super::words::{angle_key, clock_key, dash, length_key};
use crate::fab::route::Make;
use crate::report::{PieceReport, RunReport};
use crate::sheet::table::{Cell, Row};

/// What is cut off each elbow, under the name of the elbow it is made from.
pub(super) fn elbows(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let mut rows = Vec::new();
    let mut under = String::new();
    for (index, piece) in run.pieces.iter().enumerate() {
        let Some(bend) = piece.bend else { continue };
        let name = elbow_name(source, run, index);
        if name != under {
            rows.push(Row::Heading(name.clone()));
            under = name;
        }
        let arc = |mm: f64| if bend.cut_at.is_some() { length_key(mm, units) } else { dash() };
        rows.push(Row::Cells(vec![
            Cell::TickBox,
            Cell::Bold(piece.mark.clone()),
            angle_key(bend.angle_deg, 1),
            bend.cut_at.map_or_else(dash, |_| angle_key(bend.removed_deg, 1)),
            Cell::Text(bend.cut_at.unwrap_or("used whole").to_owned()),
            arc(bend.removed_heel_mm),
            arc(bend.removed_throat_mm),
            length_key(bend.lead_mm, units),
            length_key(bend.tail_mm, units),
            clock_key(Some(bend.throat_clock_deg), piece.od_mm, units),
        ]));
    }
    let plans = vec![
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::figures("Angle\nused"),
        Plan::figures("Cut\naway"),
        Plan::words("At\nwhich end"),
        Plan::figures("Cut away,\noutside"),
        Plan::figures("Cut away\ninside"),
        Plan::figures("Leg left\nat the start"),
        Plan::figures("Leg left\nat the end"),
        Plan::figures("Inside of bend,\nfrom index line").spare(1),
    ];
    let heading = format!("{}  Elbows to cut down", run.letters);
    flow.table(&heading, &table(plans, rows, ROWS, flow.width()));
}

/// The elbow a piece is made from, as the trade says it.
fn elbow_name(source: Source<'_>, run: &RunReport, piece: usize) -> String {
    let bend = run.built.pieces.get(piece).and_then(|p| p.bend);
    let bends = run.built.route.as_ref().map(|r| &r.bends);
    match bends.zip(bend).and_then(|(bends, i)| bends.get(i)).map(|b| &b.make) {
        Some(Make::Elbow(stock)) => source.project.elbow_name(stock),
        Some(Make::Mitred(_)) | None => "Elbow".to_owned(),
    }
}

/// The joints with where their lobes point.
pub(super) fn joints(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let units = source.project.settings.units;
    let row = |piece: &PieceReport| {
        let name = piece.joint.clone()?;
        Some(Row::Cells(vec![
            Cell::TickBox,
            Cell::Bold(piece.mark.clone()),
            Cell::Text(name),
            clock_key(piece.lobe_clock_deg, piece.od_mm, units),
            length_key(piece.centre_mm, units),
        ]))
    };
    let rows = run.pieces.iter().filter_map(row).collect();
    let plans = vec![
        Plan::ticks(),
        Plan::words("Mark"),
        Plan::words("Joint").gives(),
        Plan::figures("Nut or lever,\nfrom index line"),
        Plan::figures("Make-up: tube end\nto tube end"),
    ];
    let heading = format!("{}  Joints", run.letters);
    flow.table(&heading, &table(plans, rows, ROWS, flow.width()));
}
