//! Questions before work could be lost.

use crate::theme::bold;
use eframe::egui::{Context, Id, Key, Modal};

/// What was answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Answer {
    /// The first button: save, or bring the work back.
    Yes,
    /// The second: go on without.
    No,
    /// Neither: stay.
    Stay,
}

/// Asks what to do with unsaved changes. Enter saves, Esc stays.
pub(crate) fn unsaved_ui(ctx: &Context, name: &str) -> Option<Answer> {
    ask(
        ctx,
        "Save the changes?",
        &format!("{name} has changes that are not saved."),
        ["Save", "Don't save", "Go back"],
    )
}

/// Asks what to do with work that an earlier start left behind.
pub(crate) fn recover_ui(ctx: &Context, name: &str) -> Option<Answer> {
    ask(
        ctx,
        "Bring back unsaved work?",
        &format!("The program ended before {name} was saved. A copy was kept."),
        ["Bring it back", "Delete the copy", "Decide later"],
    )
}

fn ask(ctx: &Context, title: &str, words: &str, buttons: [&str; 3]) -> Option<Answer> {
    let mut answer = None;
    let modal = Modal::new(Id::unique(("question", title))).show(ctx, |ui| {
        ui.set_width(400.0);
        ui.heading(title);
        ui.add_space(6.0);
        ui.label(words);
        ui.add_space(12.0);
        ui.horizontal(|ui| {
            for (words, this) in buttons.into_iter().zip([Answer::Yes, Answer::No, Answer::Stay]) {
                let words = if this == Answer::Yes { bold(words) } else { words.into() };
                if ui.button(words).clicked() {
                    answer = Some(this);
                }
            }
        });
        if ui.input(|i| i.key_pressed(Key::Enter)) && answer.is_none() && ui.memory(|m| m.focused().is_none())
        {
            answer = Some(Answer::Yes);
        }
    });
    if answer.is_none() && modal.should_close() {
        answer = Some(Answer::Stay);
    }
    answer
}
