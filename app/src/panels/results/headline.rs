//! The four numbers that are looked at first.

use super::problems::lead_to_first;
use crate::ctx::UiCtx;
use crate::theme::{HEADLINE, Tokens, bold};
use crate::widgets::{counted, unbroken};
use eframe::egui::{Button, Color32, Label, RichText, Role, Ui, WidgetInfo};
use pipeloft_core::finding::Severity;
use pipeloft_core::model::Run;
use pipeloft_core::report::RunReport;
use pipeloft_core::units;

/// What the saw's steps may make the end miss by without a word, mm: less than what a tack moves.
const SAW_MISS_MM: f64 = 0.5;

/// Welds, tube, tightest gap, problems, and how far the end is off.
pub(crate) fn headline_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport) {
    let (tokens, system) = (Tokens::of(ui.visuals().dark_mode), ctx.units());
    ui.heading(format!("{}  {}", report.letters, run.name));
    let buildable = report.built.is_buildable();
    ui.columns(2, |columns| {
        let [left, right] = columns else { return };
        if buildable {
            let count = report.welds.len();
            let word = if count == 1 { "weld" } else { "welds" };
            let detail = format!("{word}, {}", units::long_length(report.weld_length_mm, system));
            number(left, &count.to_string(), &detail, tokens.text);
            let pieces = counted(sawn(report), "piece");
            let detail = format!("tube in {pieces}, {}", units::mass(report.mass_kg, system));
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
                number(left, &value, &format!("{}, to {}", gap.kind_words(system), gap.against), colour);
            }
            None => number(left, "—", "nothing near it", tokens.text),
        }
        problems(right, ctx, run);
    });
    if buildable {
        miss_ui(ui, ctx, report);
    }
}

/// How much is wrong with the run, by itself or together with another one; a click leads to the first of it.
fn problems(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let count = |s| ctx.report.findings_of(run.id).filter(|f| f.severity == s).count();
    let (stops, warns) = (count(Severity::Stop), count(Severity::Warn));
    let (mark, colour, detail) = match (stops, warns) {
        (0, 0) => return number(ui, "✔ 0", "problems", tokens.good),
        (0, w) => ("⚠", tokens.warn, counted(w, "warning")),
        (s, 0) => ("✖", tokens.stop, counted(s, "problem")),
        (s, w) => ("✖", tokens.stop, format!("{}, {}", counted(s, "problem"), counted(w, "warning"))),
    };
    let words = bold(format!("{mark} {}", stops + warns)).size(HEADLINE).color(colour);
    let first = ui.add(Button::new(words).frame(false)).on_hover_text("Show the first of them");
    first.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Show the first of {detail}")));
    if first.clicked() {
        lead_to_first(ui, Some(run.id));
    }
    ui.add(Label::new(RichText::new(&detail).small()).truncate()).on_hover_text(&detail);
    ui.add_space(4.0);
}

/// How far the pipe built from the sheet ends off, and what of that the saw alone makes.
fn miss_ui(ui: &mut Ui, ctx: UiCtx<'_>, report: &RunReport) {
    let (tokens, system) = (Tokens::of(ui.visuals().dark_mode), ctx.units());
    let off = units::fine_length(report.miss.offset_mm, system);
    let turned = if report.miss.angle_deg < 0.005 {
        String::new()
    } else {
        format!(" and {}", units::angle(report.miss.angle_deg, 2))
    };
    let words = format!("Cut from the sheet it ends {off}{turned} off.");
    ui.add(Label::new(RichText::new(words).small()).wrap()).on_hover_text(
        "The numbers on the sheet are rounded to what a tape and the saw can do, all together so that the pipe still ends right. This is what is left.",
    );
    if let Some(forecast) = &report.forecast {
        ui.add(Label::new(RichText::new(unbroken(&forecast.text(system))).small()).wrap()).on_hover_text(
            "What saw, tape, marks and welds usually leave, each error carried to the end of the pipe. How much that is stands with the whole project.",
        );
    }
    if report.saw_miss.offset_mm > SAW_MISS_MM {
        let saw = units::fine_length(report.saw_miss.offset_mm, system);
        let step = units::plain_number(ctx.project.settings.saw.step_deg, 3);
        let taken = report
            .fit
            .as_ref()
            .map_or_else(String::new, |f| format!(", taken up where {} is fitted last", f.weld));
        let words = format!("The saw's {step}° steps alone make {saw}{taken}.");
        ui.add(Label::new(RichText::new(words).small().color(tokens.warn)).wrap());
    }
}

fn sawn(report: &RunReport) -> usize {
    report.built.pieces.iter().filter(|p| p.is_sawn()).count()
}

fn number(ui: &mut Ui, value: &str, detail: &str, colour: Color32) {
    ui.add(Label::new(bold(value).size(HEADLINE).color(colour)).truncate());
    ui.add(Label::new(RichText::new(detail).small()).truncate()).on_hover_text(detail);
    ui.add_space(4.0);
}
