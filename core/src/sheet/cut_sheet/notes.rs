//! What is wrong with a run, and the cautions that apply to it.

use super::Source;
use super::flow::{BODY, Flow};
use crate::finding::{Finding, Severity};
use crate::report::{RunReport, cautions};

/// Most room that warnings may take under the head of a run, mm; the picture needs the rest.
const IN_HEAD_MM: f64 = 30.0;

/// The findings that concern a run, worst first. By id, as two runs may have one name.
pub(super) fn of<'a>(source: Source<'a>, run: &RunReport) -> impl Iterator<Item = &'a Finding> + use<'a> {
    source.report.findings_of(run.id)
}

/// Whether no sheet is to be printed for the run.
pub(super) fn is_stopped(source: Source<'_>, run: &RunReport) -> bool {
    !run.built.is_buildable() || of(source, run).any(|f| f.severity == Severity::Stop)
}

/// Instead of tables: why the run cannot be cut.
pub(super) fn stopped(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    flow.title("This run cannot be cut yet");
    let mut any = false;
    for finding in of(source, run).filter(|f| f.severity == Severity::Stop) {
        flow.paragraph(&finding.text, 5.5);
        any = true;
    }
    if !any {
        flow.paragraph("It cannot be built as drawn.", 5.5);
    }
    flow.paragraph("Mend this in the project, then print the sheet again.", 5.5);
}

fn warnings(source: Source<'_>, run: &RunReport) -> Vec<String> {
    let warnings = of(source, run).filter(|f| f.severity == Severity::Warn);
    warnings.map(|f| format!("•  {}", f.text)).collect()
}

/// Whether the warnings are few enough to stand under the head of the run.
fn are_short(flow: &Flow, warnings: &[String]) -> bool {
    flow.block_mm(warnings.iter().map(|w| ("", w.as_str()))) <= IN_HEAD_MM
}

/// Under the head of a run: its warnings, or where there are too many, how many.
pub(super) fn in_head(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let warnings = warnings(source, run);
    if warnings.is_empty() {
        return;
    }
    let s = if warnings.len() == 1 { "" } else { "s" };
    let count = format!("{} warning{s}:", warnings.len());
    if are_short(flow, &warnings) {
        flow.line(&count, BODY, true);
        for warning in warnings {
            flow.paragraph(&warning, BODY);
        }
    } else {
        let words = format!("{count} read them on this run's pages before cutting.");
        flow.line(&words, BODY, true);
    }
}

/// Warnings that did not fit under the head, and cautions of a run that can be cut. They are put where there is room
/// on the run's pages from `first_page` on: what stands alone on the back is not read.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport, first_page: usize) {
    let warnings = warnings(source, run);
    if !are_short(flow, &warnings) {
        flow.heading(&format!("{}  Warnings", run.letters), 3.0 * BODY);
        for warning in warnings {
            flow.paragraph(&warning, BODY);
        }
    }
    let cautions = source.project.run(run.id).map(|r| cautions(source.project, r)).unwrap_or_default();
    if cautions.is_empty() {
        return;
    }
    let leads: Vec<String> = cautions.iter().map(|c| format!("{}:", c.about)).collect();
    let all = flow.block_mm(leads.iter().zip(&cautions).map(|(lead, c)| (lead.as_str(), c.text)));
    flow.put(Flow::heading_mm() + all, first_page, |flow| {
        flow.heading(&format!("{}  Cautions", run.letters), all);
        for (lead, caution) in leads.iter().zip(cautions) {
            flow.led_paragraph(lead, caution.text, BODY);
        }
    });
}
