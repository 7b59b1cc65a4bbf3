//! The line at the bottom: what was said last, and what the mouse does.

use super::results::lead_to_first;
use crate::ctx::UiCtx;
use crate::request::Requests;
use crate::selection::Selection;
use crate::session::Message;
use crate::theme::Tokens;
use crate::widgets::counted;
use eframe::egui::{Align, Button, Label, Layout, RichText, Ui};
use pipeloft_core::finding::Severity;
use std::collections::BTreeSet;

/// What is said as long as no copy of unsaved work can be written.
pub(crate) fn no_copies_ui(ui: &mut Ui, problem: &str) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    let words = format!(
        "⚠ No copy of your unsaved work can be kept: {problem} If the program or the machine goes down now, what is \
         not saved is lost. Save often."
    );
    ui.add(Label::new(RichText::new(words).color(tokens.stop)).wrap());
}

/// The status line.
pub(crate) fn status_ui(
    ui: &mut Ui,
    ctx: UiCtx<'_>,
    message: Option<&Message>,
    hint: &str,
    requests: &mut Requests,
) {
    let tokens = Tokens::of(ui.visuals().dark_mode);
    ui.horizontal(|ui| {
        match message {
            Some(m) if m.bad => {
                ui.add(Label::new(RichText::new(format!("⚠ {}", m.text)).color(tokens.stop)).truncate())
            }
            Some(m) => ui.add(Label::new(m.text.as_str()).truncate()),
            None => ui.add(Label::new(RichText::new(hint).weak()).truncate()),
        }
        .on_hover_text(message.map_or(hint, |m| m.text.as_str()));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let count = |s| ctx.report.findings.iter().filter(|f| f.severity == s).count();
            // a run or a bar that several things stop is one; two that run into each other are two
            let stops = ctx.report.findings.iter().filter(|f| f.severity == Severity::Stop);
            let stopped: BTreeSet<_> =
                stops.flat_map(|f| std::iter::once(f.item).chain(f.also.map(Some))).collect();
            let (stops, warns) = (stopped.len(), count(Severity::Warn));
            let (words, colour) = match (stops, warns) {
                (0, 0) => ("✔ No problems".to_owned(), tokens.good),
                (0, w) => (format!("⚠ {}", counted(w, "warning")), tokens.warn),
                (s, w) => (format!("✖ {s} cannot stay so, ⚠ {w}"), tokens.stop),
            };
            let words = RichText::new(words).color(colour);
            if stops + warns == 0 {
                ui.label(words);
                return;
            }
            // all of them stand with the whole project
            let all = ui.add(Button::new(words).frame(false)).on_hover_text("Show them, the worst first");
            if all.clicked() {
                requests.select(Selection::default());
                lead_to_first(ui, None);
            }
        });
    });
}
