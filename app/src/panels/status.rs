//! The line at the bottom: what was said last, and what the mouse does.

use crate::ctx::UiCtx;
use crate::session::Message;
use crate::theme::Tokens;
use eframe::egui::{Align, Label, Layout, RichText, Ui};
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
pub(crate) fn status_ui(ui: &mut Ui, ctx: UiCtx<'_>, message: Option<&Message>, hint: &str) {
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
            // a run or a bar that several things stop is one
            let stopped: BTreeSet<_> =
                ctx.report.findings.iter().filter(|f| f.severity == Severity::Stop).map(|f| f.item).collect();
            let (stops, warns) = (stopped.len(), count(Severity::Warn));
            let (words, colour) = match (stops, warns) {
                (0, 0) => ("✔ No problems".to_owned(), tokens.good),
                (0, w) => (format!("⚠ {w} warning{}", if w == 1 { "" } else { "s" }), tokens.warn),
                (s, w) => (format!("✖ {s} cannot stay so, ⚠ {w}"), tokens.stop),
            };
            ui.label(RichText::new(words).color(colour));
        });
    });
}
