//! The merges of the project: what comes together, seams, areas, the order of work.

use super::Source;
use super::columns::{Plan, fitted};
use super::flow::{BODY, Flow};
use super::words::{dash, plain_length};
use crate::report::MergeReport;
use crate::sheet::table::{Cell, Row};
use crate::units::{angle, plain_number, tube_size};

/// Work in this order (common practice, no source).
const ORDER: &str = "Shape every tube to its template, then fit two at a time: tack the seams between the tubes first, then set the outlet on, tack it round, and weld the seams before the outlet (common practice, no source).";

/// All merges whose runs can be built.
pub(super) fn section(flow: &mut Flow, source: Source<'_>) {
    for merge in source.report.merges.iter().filter(|m| m.can_be_made) {
        one(flow, source, merge);
    }
}

fn one(flow: &mut Flow, source: Source<'_>, merge: &MergeReport) {
    let units = source.project.settings.units;
    let rows: Vec<Row> = merge
        .arms
        .iter()
        .enumerate()
        .map(|(i, arm)| {
            Row::Cells(vec![
                Cell::TickBox,
                Cell::Bold(format!("Inlet {}", i + 1)),
                Cell::Text(arm.run.clone().unwrap_or_default()),
                arm.od_mm.map_or_else(dash, |mm| Cell::Text(tube_size(mm, units))),
                Cell::Text(angle(arm.angle_deg, 1)),
                Cell::Text(angle(arm.clock_deg, 1)),
                arm.cut_depth_mm.map_or_else(dash, |mm| Cell::Text(plain_length(mm, units))),
            ])
        })
        .collect();
    let plans = [
        Plan::ticks(),
        Plan::words("Tube"),
        Plan::words("Run").shrinks(),
        Plan::figures("OD"),
        Plan::figures("Angle to\nthe outlet"),
        Plan::figures("Comes from\nclock"),
        Plan::figures("Depth of\nits cut"),
    ];
    flow.table(&format!("Merge: {}", merge.name), &fitted(&plans, &rows, flow.width()));
    flow.skip(2.0);
    flow.led_paragraph("Welds:", &welds(source, merge), BODY);
    if let Some(ratio) = merge.area_ratio {
        let words = format!(
            "the outlet's bore is {} times those of the tubes that come in. Well under 1 the flow is squeezed where they meet; well over 1 it slows down there.",
            plain_number(ratio, 2)
        );
        flow.led_paragraph("Areas:", &words, BODY);
    }
    if let Some(gap) = merge.to_close_mm {
        let words = format!(
            "beside the tubes the outlet's mouth stands open by up to {}: close it with cheeks of sheet, or hammer the mouth down.",
            plain_length(gap, units)
        );
        flow.led_paragraph("To close:", &words, BODY);
    }
    if merge.open_middle {
        flow.led_paragraph(
            "To close:",
            "a hole is left in the middle between the tubes: put in a plug.",
            BODY,
        );
    }
    flow.led_paragraph("Order:", ORDER, BODY);
}

fn welds(source: Source<'_>, merge: &MergeReport) -> String {
    let units = source.project.settings.units;
    let seams = merge
        .seams
        .iter()
        .map(|s| format!("inlets {} and {} {}", s.arms[0], s.arms[1], plain_length(s.length_mm, units)));
    let outlet = format!("round the outlet {}", plain_length(merge.outlet_weld_mm, units));
    seams.chain([outlet]).collect::<Vec<_>>().join("; ") + "."
}
