//! The welds of a run in order: when each is tacked, which is fitted last, and what they take.

use super::pieces::trim_words;
use super::{fold, head};
use crate::ctx::UiCtx;
use crate::request::{Request, Requests};
use crate::theme::{Tokens, bold};
use crate::widgets::choice;
use eframe::egui::{Grid, Id, Label, RichText, Ui};
use pipeloft_core::edit::Edit;
use pipeloft_core::model::Run;
use pipeloft_core::report::{RunReport, WeldReport};
use pipeloft_core::units;

/// The table and what goes with it.
pub(crate) fn welds_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    fold(ui, &format!("Welds ({})", report.welds.len()), "welds", false, |ui| {
        if report.welds.is_empty() {
            ui.label("Nothing has to be welded.");
        } else {
            table_ui(ui, ctx, report, requests);
            fit_ui(ui, ctx, run, report, requests);
            estimates_ui(ui, ctx, report);
        }
        let words = "Clocks count from the index line, clockwise seen along the travel.";
        ui.add(Label::new(RichText::new(words).small()).wrap());
    });
}

fn table_ui(ui: &mut Ui, ctx: UiCtx<'_>, report: &RunReport, requests: &mut Requests) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    Grid::new(Id::unique(("welds", report.id))).num_columns(4).striped(true).spacing([10.0, 2.0]).show(
        ui,
        |ui| {
            head(ui, &["Mark", "Joins", "Heel at clock, round tube", "Tack"]);
            for weld in &report.welds {
                let response = ui.selectable_label(false, bold(&weld.mark));
                if response.on_hover_text(weld_words(ctx, weld)).clicked() {
                    requests.push(Request::Show(weld.spot));
                }
                ui.label(format!("{} – {}", weld.between[0], weld.between[1]))
                    .on_hover_text(weld.kind.name());
                ui.label(weld.printed_clock_deg.map_or_else(
                    || "free".to_owned(),
                    |clock| units::clock_and_arc(clock, weld.od_mm, ctx.units()),
                ));
                if weld.fit {
                    ui.label(RichText::new("last").color(tokens.selected));
                } else {
                    ui.label(weld.tack.to_string());
                }
                ui.end_row();
            }
        },
    );
}

/// A weld in words, for tooltips.
pub(in crate::panels) fn weld_words(ctx: UiCtx<'_>, weld: &WeldReport) -> String {
    let when = if weld.fit { "fitted last".to_owned() } else { format!("number {} to be tacked", weld.tack) };
    let length = units::length(weld.length_mm, ctx.units());
    format!(
        "{}: {when}. {} to {}, {}, {length} round.",
        weld.mark,
        weld.between[0],
        weld.between[1],
        weld.kind.name()
    )
}

/// Which weld is fitted last: the fabricator's choice, or the program's.
fn fit_ui(ui: &mut Ui, ctx: UiCtx<'_>, run: &Run, report: &RunReport, requests: &mut Requests) {
    let by_program = match &report.fit {
        Some(fit) if !fit.chosen => format!("By the program ({})", fit.weld),
        Some(_) => "By the program".to_owned(),
        None => "By the program (none can be)".to_owned(),
    };
    let mut options = vec![(None, by_program)];
    let named = |w: &WeldReport| format!("{}: {} – {}", w.mark, w.between[0], w.between[1]);
    options.extend(report.welds.iter().filter(|w| w.key.is_some()).map(|w| (w.key, named(w))));
    // one that is chosen is found again where the slices beside it are others now
    let keys: Vec<_> = report.welds.iter().map(|w| w.key).collect();
    let chosen = run.fit_weld.map(|key| key.find(&keys).and_then(|i| keys[i]).unwrap_or(key));
    let id = Id::unique(("fit last", run.id));
    Grid::new(id.with("grid")).num_columns(2).min_col_width(80.0).show(ui, |ui| {
        if let Some(fit_weld) = choice(ui, id, "Fit last", &chosen, &options) {
            requests.edit("choose the weld fitted last", Edit::PutRun(Run { fit_weld, ..run.clone() }));
        }
        ui.end_row();
    });
    let piece = report.printed.iter().find(|p| p.trim_mm > 0.0);
    if let Some(piece) = piece {
        ui.add(Label::new(trim_words(ctx, report, piece)).wrap());
    }
}

fn estimates_ui(ui: &mut Ui, ctx: UiCtx<'_>, report: &RunReport) {
    let wire = units::long_length(report.filler_mm, ctx.units());
    let inside = units::volume(report.purge_l, ctx.units());
    let minutes = units::plain_number(report.purge_min, 1);
    let words = format!("Estimates: {wire} of filler wire; {inside} inside, {minutes} min to purge it.");
    ui.add(Label::new(words).wrap()).on_hover_text(
        "Common practice, from the bead, wire and gas entered with the project: select nothing, then Wire, gas and paper",
    );
}
