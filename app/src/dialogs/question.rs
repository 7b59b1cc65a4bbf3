//! Questions before work could be lost, and what went wrong with a file.

use crate::theme::bold;
use eframe::egui::{Button, Context, Id, Key, Label, Modal, Ui, vec2};
use std::path::Path;

/// The least a button of a question is high, points: it is pressed in gloves.
pub(super) const BUTTON: f32 = 36.0;

/// What was answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Save.
    Yes,
    /// Go on without.
    No,
    /// Neither: stay.
    Stay,
}

/// What is done with a file that something else has changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Clash {
    /// The work is saved to another file.
    Another,
    /// The work replaces it.
    Mine,
    /// It is opened in place of the work.
    Theirs,
    /// Neither: stay.
    Stay,
}

/// Asks what to do with unsaved changes. Enter saves, Esc stays.
pub(crate) fn unsaved_ui(ctx: &Context, name: &str) -> Option<Answer> {
    let words = format!("{name} has changes that are not saved.");
    let buttons = [("Save", Answer::Yes), ("Don't save", Answer::No), ("Go back", Answer::Stay)];
    ask(ctx, "Save the changes?", &words, &buttons, Some(Answer::Stay))
}

/// Asks whether a form is left with what was entered in it. Enter and Esc keep it.
pub(crate) fn form_ui(ctx: &Context, title: &str) -> Option<Answer> {
    let words =
        format!("What you entered in “{title}” is not in the project yet. It is gone when you leave.");
    let buttons = [("Keep the form", Answer::Stay), ("Throw it away", Answer::No)];
    ask(ctx, "Leave the form?", &words, &buttons, Some(Answer::Stay))
}

/// Asks what to do with a file that something else has changed since it was opened or saved here; its content is kept
/// at `before` if it is replaced. Enter takes another name, Esc stays.
pub(crate) fn clash_ui(ctx: &Context, file: &Path, before: &Path) -> Option<Clash> {
    let name = |path: &Path| path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let words = format!(
        "{} was changed by another window or program since you opened or saved it. Nothing has been written yet.\n\n\
         If you replace it, theirs is kept as {}. If you open theirs, yours is set aside: File, Bring back unsaved work.",
        file.display(),
        name(before)
    );
    let buttons = [
        ("Save mine under another name…", Clash::Another),
        ("Keep mine, replace theirs", Clash::Mine),
        ("Open theirs, set mine aside", Clash::Theirs),
        ("Go back", Clash::Stay),
    ];
    ask(ctx, "The file was changed by something else", &words, &buttons, Some(Clash::Stay))
}

/// Says what went wrong, until it is read: a click beside it does not hide it. Returns whether it stays.
pub(crate) fn trouble_ui(ctx: &Context, title: &str, words: &str) -> bool {
    let read = ask(ctx, title, words, &[("OK", ())], None).is_some();
    !read && !ctx.input(|i| i.key_pressed(Key::Escape))
}

/// A question with buttons; Enter is the first of them. Esc and a click beside it answer `beside`, where that is given.
fn ask<T: Copy>(
    ctx: &Context,
    title: &str,
    words: &str,
    buttons: &[(&str, T)],
    beside: Option<T>,
) -> Option<T> {
    let mut answer = None;
    let modal = Modal::new(Id::unique(("question", title))).show(ctx, |ui| {
        ui.set_width(440.0);
        ui.heading(title);
        ui.add_space(6.0);
        ui.add(Label::new(words).wrap());
        ui.add_space(12.0);
        let mut button = |ui: &mut Ui, i: usize, width: f32| {
            let (words, this) = buttons[i];
            let words = if i == 0 { bold(words) } else { words.into() };
            if ui.add(Button::new(words).min_size(vec2(width, BUTTON))).clicked() {
                answer = Some(this);
            }
        };
        if buttons.len() > 3 {
            // long ones stand below each other
            (0..buttons.len()).for_each(|i| {
                ui.horizontal(|ui| button(ui, i, 300.0));
                ui.add_space(4.0);
            });
        } else {
            ui.horizontal(|ui| (0..buttons.len()).for_each(|i| button(ui, i, 110.0)));
        }
        if ui.input(|i| i.key_pressed(Key::Enter)) && answer.is_none() && ui.memory(|m| m.focused().is_none())
        {
            answer = buttons.first().map(|(_, first)| *first);
        }
    });
    if answer.is_none() && modal.should_close() {
        answer = beside;
    }
    answer
}
