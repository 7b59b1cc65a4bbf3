//! The sheet that is taped to the saw: every run with its picture and tables, then the sawing, then what to buy.

mod assembly;
mod bars;
mod bends;
mod branches;
mod clock;
mod columns;
mod elbows;
mod ends;
mod faces;
mod flow;
pub(super) mod frame;
mod head;
mod joints;
mod merges;
mod notes;
mod parts;
mod pieces;
mod saw;
mod share;
mod shelf;
mod shopping;
mod stick;
mod tapers;
mod welds;
pub(super) mod words;

use super::bundle::Wanted;
use super::page::{Page, PaperSize};
use super::writer::{SheetError, write};
use crate::file::to_text;
use crate::model::Project;
use crate::report::{Report, RunReport};
use flow::Flow;

/// What all parts of the sheet are made from.
#[derive(Debug, Clone, Copy)]
struct Source<'a> {
    project: &'a Project,
    report: &'a Report,
}

/// Pages of all runs, then of the sawing; at least one.
///
/// `report` is the project's own: all numbers come from there.
pub fn pages(project: &Project, report: &Report, paper: PaperSize) -> Vec<Page> {
    let source = Source { project, report };
    let mut flow = Flow::new(paper, &project.name, &revision(project, report));
    if report.runs.is_empty() && report.bars.is_empty() {
        flow.start("No run");
        flow.title("There is no run to cut yet");
        flow.paragraph("Draw a run between two hardpoints, then print the sheet again.", flow::BODY);
    }
    for run in &report.runs {
        run_pages(&mut flow, source, run);
    }
    if report.merges.iter().any(|m| m.can_be_made) {
        flow.start("Merges");
        merges::section(&mut flow, source);
    }
    let sticks = report.stock.iter().any(|s| !s.sticks.is_empty());
    if sticks || shelf::has_any(report) || !report.elbows.is_empty() {
        flow.start("Sawing, all runs");
        saw::section(&mut flow, source);
    }
    if report.runs.iter().any(|r| r.built.is_buildable()) || !report.buy.is_empty() {
        shopping::section(&mut flow, source);
    }
    if !report.bars.is_empty() {
        flow.start("Bars");
        bars::section(&mut flow, source);
    }
    flow.finish()
}

/// The sheet as a PDF file.
///
/// # Errors
/// The writer's own: the built-in font or a number that cannot be drawn.
pub fn pdf(project: &Project, report: &Report, paper: PaperSize) -> Result<Vec<u8>, SheetError> {
    write(&pages(project, report, paper), &project.name, "Pipeloft")
}

/// The same with the day of the print on every page.
///
/// # Errors
/// The writer's own.
pub fn dated_pdf(project: &Project, report: &Report, wanted: Wanted<'_>) -> Result<Vec<u8>, SheetError> {
    pdf(project, report, wanted.paper)
}

fn run_pages(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    flow.start(&run.name);
    if notes::is_stopped(source, run) {
        head::names(flow, source, run);
        notes::stopped(flow, source, run);
        return;
    }
    head::block(flow, source, run);
    let area = flow.take(flow.rest().height);
    super::picture::draw(flow.page(), area, run);
    flow.next_page();
    let first_page = flow.full();
    pieces::section(flow, source, run);
    elbows::section(flow, source, run);
    joints::section(flow, source, run);
    branches::section(flow, source, run);
    tapers::section(flow, source, run);
    welds::section(flow, source, run);
    parts::section(flow, source, run);
    assembly::section(flow, source, run, first_page);
    // not last, so that they never stand alone
    notes::section(flow, source, run, first_page);
    faces::section(flow, source, run);
    bends::section(flow, source, run, first_page);
}

/// The stamp on every page: eight digits that change with anything the sheet was computed from.
///
/// FNV-1a, 64 bit (Fowler, Noll and Vo, from memory), its halves laid over each other.
pub fn revision(project: &Project, report: &Report) -> String {
    let text = to_text(project).ok().or_else(|| report.to_json().ok()).unwrap_or_default();
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    format!("{:08x}", (hash >> 32) as u32 ^ hash as u32)
}

#[cfg(test)]
pub(super) mod tests;
