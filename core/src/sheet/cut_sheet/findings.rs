//! What is wrong with a run, as far as paper asks for it.

use super::Source;
use crate::finding::{Finding, Severity};
use crate::report::RunReport;

/// The findings that concern a run, worst first. By id, as two runs may have one name.
pub(super) fn of<'a>(source: Source<'a>, run: &RunReport) -> impl Iterator<Item = &'a Finding> + use<'a> {
    source.report.findings_of(run.id)
}

/// Whether no bench page is to be printed for the run.
pub(super) fn is_stopped(source: Source<'_>, run: &RunReport) -> bool {
    !run.built.is_buildable() || of(source, run).any(|f| f.severity == Severity::Stop)
}

/// What has to be settled before the run is made, as sentences.
pub(super) fn open<'a>(source: Source<'a>, run: &RunReport) -> Vec<&'a str> {
    of(source, run).filter(|f| f.severity != Severity::Note).map(|f| f.text.as_str()).collect()
}

/// Letters of the runs a finding concerns.
pub(super) fn letters(source: Source<'_>, finding: &Finding) -> Vec<String> {
    let runs = source.report.runs.iter();
    runs.filter(|run| finding.concerns(crate::model::Item::Run(run.id)))
        .map(|run| run.letters.clone())
        .collect()
}
