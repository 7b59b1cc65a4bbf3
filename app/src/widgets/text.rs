//! A field for a name, and words for numbers of things.

use eframe::egui::{Align2, Id, Key, TextEdit, Ui};

/// A number of things: `1 piece`, `3 pieces`.
pub(crate) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// A labelled name field; returns the new name once it is taken. Esc gives up, an empty name is not taken.
pub(crate) fn name_field(ui: &mut Ui, id: Id, label: &str, name: &str) -> Option<String> {
    let mut text: String = ui.data(|d| d.get_temp(id)).unwrap_or_else(|| name.to_owned());
    let label = ui.label(label);
    let edit =
        TextEdit::singleline(&mut text).id(id).align(Align2::LEFT_CENTER).char_limit(80).desired_width(190.0);
    let response = ui.add(edit).labelled_by(label.id);
    if response.changed() {
        ui.data_mut(|d| d.insert_temp(id, text.clone()));
    }
    if !response.lost_focus() {
        return None;
    }
    ui.data_mut(|d| d.remove::<String>(id));
    let given_up = ui.input(|i| i.key_pressed(Key::Escape));
    let taken = pipeloft_core::edit::new_item::kept_name(&text, name);
    (!given_up && taken != name).then_some(taken)
}
