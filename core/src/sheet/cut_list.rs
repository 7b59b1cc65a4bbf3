//! The cut list as a table for spreadsheets: one row a piece, in order along each run.
//!
//! Comma separated values as RFC 4180 has them (from memory), in UTF-8 with a byte order mark, which some
//! spreadsheets need to read names right. Lengths are in the project's units, which each column's name says; beside
//! decimals of an inch stands the fraction as text. Lengths to cut to are those of the sheet. What is given and not
//! cut to (diameters, make-up of joints, radii, slices from the shelf) has as many decimals as it needs.

mod bars;
mod column;

use super::spreadsheet::spreadsheet;
use crate::fab::PieceKind;
use crate::fab::nest::saw_reads_deg;
use crate::finding::Severity;
use crate::model::Project;
use crate::report::{
    ElbowReport, PieceReport, PieceSource, Report, RunReport, TaperReport, WeldReport, bar_can_be_made,
};
pub(super) use column::harmless;
use column::{Column, Values};
use std::collections::BTreeMap;

/// Why the cut list cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum CutListError {
    /// The table cannot be put together.
    #[error("the cut list cannot be written ({0})")]
    Table(#[from] csv::Error),
    /// The last of it cannot be put out.
    #[error("the cut list cannot be written ({0})")]
    End(#[from] std::io::Error),
}

/// Where a piece lies: number of the stick among those of its tube, and when it is cut there, both from 1.
type Place = (usize, usize);

/// What a row is made from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Line<'a> {
    project: &'a Project,
    run: &'a RunReport,
    index: usize,
    piece: &'a PieceReport,
    place: Option<Place>,
}

/// The cut list of all runs that can be cut. `report` is the project's own.
///
/// A text that a spreadsheet would take for a formula gets an apostrophe before it.
///
/// # Errors
/// The writer's own; never in practice, as it writes to memory.
pub fn cut_list(project: &Project, report: &Report) -> Result<String, CutListError> {
    let units = project.settings.units;
    let places = places(report);
    spreadsheet(|table| {
        table.write_record(COLUMNS.iter().flat_map(|c| c.names(units)))?;
        for run in report.runs.iter().filter(|r| can_be_cut(report, r)) {
            for (index, piece) in run.printed.iter().enumerate() {
                let place = places.get(piece.mark.as_str()).copied();
                let line = Line { project, run, index, piece, place };
                table.write_record(COLUMNS.iter().flat_map(|c| c.cells(&line, units)))?;
            }
        }
        let names: Vec<String> = COLUMNS.iter().flat_map(|c| c.names(units)).collect();
        for made in project.bars.iter().zip(&report.bars) {
            if bar_can_be_made(&report.findings, made.1) {
                table.write_record(bars::row(project, report, made, &names))?;
            }
        }
        Ok(())
    })
}

/// Whether a run has numbers on the sheet.
pub(super) fn can_be_cut(report: &Report, run: &RunReport) -> bool {
    run.built.is_buildable() && report.findings_of(run.id).all(|f| f.severity != Severity::Stop)
}

fn places(report: &Report) -> BTreeMap<&str, Place> {
    let sticks = report.stock.iter().flat_map(|s| s.sticks.iter().enumerate());
    sticks
        .flat_map(|(stick, s)| {
            s.cuts.iter().enumerate().map(move |(i, c)| (c.mark.as_str(), (stick + 1, i + 1)))
        })
        .collect()
}

/// All columns in order.
const COLUMNS: [Column; 50] = [
    Column("run", Values::Text(|l| Some(l.run.name.clone()))),
    Column("mark", Values::Text(|l| Some(l.piece.mark.clone()))),
    Column("kind", Values::Text(|l| Some(l.piece.kind.name().to_owned()))),
    Column("source", Values::Text(|l| Some(l.piece.source.name().to_owned()))),
    Column("tube", Values::Text(tube)),
    Column("od", Values::Given(|l| Some(l.piece.od_mm))),
    Column("long", Values::Cut(|l| side(l, l.piece.sawn_long_mm))),
    Column("short", Values::Cut(|l| side(l, l.piece.sawn_short_mm))),
    Column("centre", Values::Cut(|l| side(l, l.piece.centre_mm))),
    Column("start_cut", Values::Angle(|l| sawn(l).then_some(l.piece.start_cut_deg))),
    Column("start_setting", Values::Angle(|l| sawn(l).then(|| setting(l, l.piece.start_cut_deg)))),
    Column("start_heel_clock", Values::Clock(|l| l.piece.start_heel_clock_deg)),
    Column("start_heel_arc", Values::Arc(|l| l.piece.start_heel_clock_deg)),
    Column("end_cut", Values::Angle(|l| sawn(l).then_some(l.piece.end_cut_deg))),
    Column("end_setting", Values::Angle(|l| sawn(l).then(|| setting(l, l.piece.end_cut_deg)))),
    Column("end_heel_clock", Values::Clock(|l| l.piece.end_heel_clock_deg)),
    Column("end_heel_arc", Values::Arc(|l| l.piece.end_heel_clock_deg)),
    Column("twist", Values::Turn(|l| l.piece.twist_deg)),
    Column("elbow", Values::Text(elbow_name)),
    Column("elbow_angle", Values::Angle(|l| elbow(l).map(|e| e.angle_deg))),
    Column("elbow_clr", Values::Given(|l| elbow(l).map(|e| e.clr_mm))),
    Column("elbow_lead", Values::Cut(|l| elbow(l).map(|e| (e.lead_mm, false)))),
    Column("elbow_tail", Values::Cut(|l| elbow(l).map(|e| (e.tail_mm, false)))),
    Column("elbow_throat_clock", Values::Clock(|l| elbow(l).map(|e| e.throat_clock_deg))),
    Column("elbow_throat_arc", Values::Arc(|l| elbow(l).map(|e| e.throat_clock_deg))),
    Column(
        "elbow_cut_away",
        Values::Angle(|l| elbow(l).filter(|e| e.cut_at.is_some()).map(|e| e.removed_deg)),
    ),
    Column("elbow_cut_away_at", Values::Text(|l| Some(elbow(l)?.cut_at?.name().to_owned()))),
    Column("taper_length", Values::Given(|l| taper(l).map(|_| l.piece.centre_mm))),
    Column("taper_end_od", Values::Given(|l| taper(l).map(|t| t.end_od_mm))),
    Column("taper_offset", Values::Given(|l| taper(l).map(|t| t.offset_mm))),
    Column("taper_offset_clock", Values::Clock(|l| taper(l)?.offset_clock_deg)),
    Column("taper_offset_arc", Values::Arc(|l| taper(l)?.offset_clock_deg)),
    Column("taper_seam_clock", Values::Clock(|l| taper(l)?.seam_clock_deg)),
    Column("taper_seam_arc", Values::Arc(|l| taper(l)?.seam_clock_deg)),
    Column("joint", Values::Text(|l| l.piece.joint.clone())),
    Column("joint_make_up", Values::Given(|l| l.piece.joint.as_ref().map(|_| l.piece.centre_mm))),
    Column("joint_lobe_clock", Values::Clock(lobe)),
    Column("joint_lobe_arc", Values::Arc(lobe)),
    Column("trim", Values::Cut(|l| l.piece.trim_at.map(|_| (l.piece.trim_mm, true)))),
    Column("trim_at", Values::Text(|l| l.piece.trim_at.map(|end| end.name().to_owned()))),
    Column("trim_weld", Values::Text(|l| l.piece.trim_at.and(l.run.fit.as_ref()).map(|f| f.weld.clone()))),
    Column("stick", Values::Count(|l| l.place.map(|p| p.0))),
    Column("stick_order", Values::Count(|l| l.place.map(|p| p.1))),
    Column("weld_before", Values::Text(|l| Some(weld(l, 0)?.mark.clone()))),
    Column("weld_before_tack", Values::Count(|l| Some(weld(l, 0)?.tack))),
    Column("weld_after", Values::Text(|l| Some(weld(l, 1)?.mark.clone()))),
    Column("weld_after_tack", Values::Count(|l| Some(weld(l, 1)?.tack))),
    Column("weld_after_fitted_last", Values::Text(|l| weld(l, 1)?.fit.then(|| "yes".to_owned()))),
    Column("weld_gap", Values::Given(|l| Some(l.project.settings.allowances.weld_gap_mm))),
    Column("weld_shrink", Values::Given(|l| Some(l.project.settings.allowances.shrink_mm))),
];

fn sawn(line: &Line<'_>) -> bool {
    line.piece.bend.is_none() && line.piece.joint.is_none() && line.piece.taper.is_none()
}

fn taper<'a>(line: &Line<'a>) -> Option<&'a TaperReport> {
    line.piece.taper.as_ref()
}

fn elbow(line: &Line<'_>) -> Option<ElbowReport> {
    line.piece.bend
}

/// A side of a piece, and whether it is rounded: slices from the shelf are what they are.
fn side(line: &Line<'_>, mm: f64) -> Option<(f64, bool)> {
    let is_tube = line.piece.joint.is_none() && line.piece.taper.is_none();
    is_tube.then_some((mm, line.piece.source != PieceSource::Ready))
}

fn setting(line: &Line<'_>, tilt_deg: f64) -> f64 {
    saw_reads_deg(tilt_deg.to_radians(), line.project.settings.saw.scale)
}

fn tube(line: &Line<'_>) -> Option<String> {
    let tube = line.run.built.pieces.get(line.index).filter(|_| sawn(line))?.tube;
    line.project.tube(tube).map(|t| line.project.tube_name(t))
}

fn elbow_name(line: &Line<'_>) -> Option<String> {
    let bend = line.run.built.pieces.get(line.index).filter(|_| elbow(line).is_some())?.bend?;
    match &line.run.built.route.as_ref()?.bends.get(bend)?.make {
        crate::fab::route::Make::Elbow(stock) => Some(line.project.elbow_name(stock)),
        crate::fab::route::Make::Mitred(_) => None,
    }
}

/// Where the lobe of a joint lies, degrees; none for a joint that is alike all round.
fn lobe(line: &Line<'_>) -> Option<f64> {
    let PieceKind::Joint(id) = line.run.built.pieces.get(line.index)?.kind else { return None };
    line.project.joint(id)?.lobe?;
    line.piece.lobe_clock_deg
}

/// The weld at the piece's start (0) or end (1).
fn weld<'a>(line: &Line<'a>, end: usize) -> Option<&'a WeldReport> {
    line.run.welds.iter().find(|w| w.before == line.index + end)
}

#[cfg(test)]
mod tests;
