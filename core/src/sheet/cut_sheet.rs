//! The sheet that is taped to the saw (being laid out).

use super::page::{Page, PaperSize};
use super::writer::{SheetError, write};
use crate::model::Project;
use crate::report::Report;

/// Pages of all runs that can be built.
pub fn pages(_project: &Project, _report: &Report, paper: PaperSize) -> Vec<Page> {
    vec![Page::new(paper)]
}

/// The sheet as a PDF file.
pub fn pdf(project: &Project, report: &Report, paper: PaperSize) -> Result<Vec<u8>, SheetError> {
    write(&pages(project, report, paper), &project.name, "Pipeloft")
}
