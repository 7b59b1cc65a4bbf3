//! What is wrong with a run, and the cautions that apply to it.

use super::Source;
use super::flow::{BODY, Flow};
use crate::finding::{Finding, Severity};
use crate::model::Item;
use crate::report::{RunReport, cautions};

/// The findings that concern a run, worst first. By id, as two runs may have one name.
pub(super) fn of<'a>(source: Source<'a>, run: &RunReport) -> impl Iterator<Item = &'a Finding> + use<'a> {
    let item = Some(Item::Run(run.id));
    source.report.findings.iter().filter(move |f| f.item == item)
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

/// Warnings and cautions of a run that can be cut.
pub(super) fn section(flow: &mut Flow, source: Source<'_>, run: &RunReport) {
    let warnings: Vec<_> = of(source, run).filter(|f| f.severity == Severity::Warn).collect();
    if !warnings.is_empty() {
        flow.heading(&format!("{}  Warnings", run.letters), 3.0 * BODY);
        for finding in warnings {
            flow.paragraph(&format!("•  {}", finding.text), BODY);
        }
    }
    let cautions = source.project.run(run.id).map(|r| cautions(source.project, r)).unwrap_or_default();
    if !cautions.is_empty() {
        // together on one page: a caution that stands alone on the back is not read
        let all = flow.block_mm(cautions.iter().map(|c| (c.about, c.text)));
        flow.heading(&format!("{}  Cautions", run.letters), all);
        for caution in cautions {
            flow.led_paragraph(&format!("{}:", caution.about), caution.text, BODY);
        }
    }
}
