//! The four numbers that are looked at first.

use crate::ctx::UiCtx;
use crate::theme::{HEADLINE, Tokens, bold};
use eframe::egui::{Color32, Label, RichText, Ui};
use pipeloft_core::finding::Severity;
use pipeloft_core::model::Run;
use pipeloft_core::report::RunReport;
use pipeloft_core::units;

/// Welds, tube, tightest gap, problems.
pub(crate) fn headline_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport) {
    let (tokens, system) = (Tokens::of(ui.visuals().dark_mode), ctx.units());
    ui.heading(format!("{}  {}", report.letters, run.name));
    let buildable = report.built.is_buildable();
    ui.columns(2, |columns| {
        let [left, right] = columns else { return };
        if buildable {
            let welds = format!("{}", report.welds.len());
            let detail = format!("welds, {}", units::long_length(report.weld_length_mm, system));
            number(left, &welds, &detail, tokens.text);
            let detail = format!("tube in {} pieces, {}", sawn(report), units::mass(report.mass_kg, system));
            number(right, &units::long_length(report.tube_length_mm, system), &detail, tokens.text);
        } else {
            number(left, "—", "welds: cannot be built yet", tokens.text);
            number(right, "—", "tube: cannot be built yet", tokens.text);
        }
        match ctx.report.tightest(run.id) {
            Some(gap) => {
                let colour = if gap.ok { tokens.good } else { tokens.stop };
                let value = if gap.gap_mm < 0.0 {
                    format!("−{}", units::length(-gap.gap_mm, system))
                } else {
                    units::length(gap.gap_mm, system)
                };
                number(left, &value, &format!("tightest gap, to {}", gap.against), colour);
            }
            None => number(left, "—", "no gap within reach", tokens.text),
        }
        let found: Vec<_> = ctx.report.findings_of(run.id).filter(|f| f.severity != Severity::Note).collect();
        let (words, colour) = match found.first().map(|f| f.severity) {
            None => ("✔ none".to_owned(), tokens.good),
            Some(Severity::Stop) => (format!("✖ {}", found.len()), tokens.stop),
            Some(_) => (format!("⚠ {}", found.len()), tokens.warn),
        };
        number(right, &words, "problems", colour);
    });
}

fn sawn(report: &RunReport) -> usize {
    report.pieces.iter().filter(|p| p.kind == "straight" || p.kind == "slice").count()
}

fn number(ui: &mut Ui, value: &str, detail: &str, colour: Color32) {
    ui.add(Label::new(bold(value).size(HEADLINE).color(colour)).truncate());
    ui.add(Label::new(RichText::new(detail).small()).truncate()).on_hover_text(detail);
    ui.add_space(4.0);
}
