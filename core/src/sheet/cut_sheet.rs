//! The sheet: the job page, the saw pages, a bench page for each run, then what belongs to several runs.

mod bars;
mod bench;
mod branches;
mod columns;
mod dial;
mod ends;
mod findings;
mod flow;
pub(super) mod frame;
mod job;
mod merges;
mod parts;
mod saw;
mod tapers;
pub(super) mod words;

use super::bundle::Wanted;
use super::page::{Page, PaperSize};
use super::writer::{SheetError, write};
use crate::file::to_text;
use crate::model::Project;
use crate::report::Report;
use flow::{Flow, Head};

/// What all parts of the sheet are made from.
#[derive(Debug, Clone, Copy)]
struct Source<'a> {
    project: &'a Project,
    report: &'a Report,
}

/// All pages; at least one.
///
/// `report` is the project's own: all numbers come from there.
pub fn pages(project: &Project, report: &Report, paper: PaperSize) -> Vec<Page> {
    dated_pages(project, report, Wanted::on(paper))
}

/// The same with the day of the print on every page.
fn dated_pages(project: &Project, report: &Report, wanted: Wanted<'_>) -> Vec<Page> {
    let source = Source { project, report };
    let stamp = revision(project, report);
    let stamp = if wanted.date.is_empty() { stamp } else { format!("{stamp}, {}", wanted.date) };
    let mut flow = Flow::new(wanted.paper, &project.name, &stamp);
    if report.runs.is_empty() && report.bars.is_empty() {
        flow.start(Head {
            kind: "JOB".to_owned(),
            title: "There is no run to cut yet".to_owned(),
            ..Head::default()
        });
        flow.paragraph("Draw a run between two hardpoints, then print the sheet again.", flow::BODY);
        return flow.finish();
    }
    job::page(&mut flow, source);
    saw::section(&mut flow, source);
    for run in report.runs.iter().filter(|run| !findings::is_stopped(source, run)) {
        bench::pages(&mut flow, source, run);
    }
    let has_merges = report.merges.iter().any(|m| m.can_be_made);
    if has_merges {
        let title = "Where several pipes come together".to_owned();
        flow.start(Head {
            kind: "MERGES".to_owned(),
            running: "MERGES".to_owned(),
            title,
            ..Head::default()
        });
        merges::section(&mut flow, source);
    }
    if !report.bars.is_empty() {
        let title = "What to saw, bend and screw in".to_owned();
        flow.start(Head { kind: "BARS".to_owned(), running: "BARS".to_owned(), title, ..Head::default() });
        bars::section(&mut flow, source);
    }
    flow.finish()
}

/// The sheet as a PDF file.
///
/// # Errors
/// The writer's own: the built-in font or a number that cannot be drawn.
pub fn pdf(project: &Project, report: &Report, paper: PaperSize) -> Result<Vec<u8>, SheetError> {
    dated_pdf(project, report, Wanted::on(paper))
}

/// The same with the day of the print on every page.
///
/// # Errors
/// The writer's own.
pub fn dated_pdf(project: &Project, report: &Report, wanted: Wanted<'_>) -> Result<Vec<u8>, SheetError> {
    write(&dated_pages(project, report, wanted), &project.name, "Pipeloft")
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
