//! A labelled drop-down list.

use eframe::egui::{ComboBox, Id, Response, Ui};

/// Width of the list's button, points: with its label it fits the narrowest panel.
const WIDTH: f32 = 215.0;

/// A labelled drop-down; returns the option that was chosen anew.
pub(crate) fn choice<T: PartialEq + Clone>(
    ui: &mut Ui,
    id: Id,
    label: &str,
    current: &T,
    options: &[(T, String)],
) -> Option<T> {
    choice_sized(ui, id, (label, WIDTH), current, options)
}

/// The same with words that say what it is, shown when the pointer rests on the label.
pub(crate) fn choice_hinted<T: PartialEq + Clone>(
    ui: &mut Ui,
    id: Id,
    (label, hint): (&str, &str),
    current: &T,
    options: &[(T, String)],
) -> Option<T> {
    let label = ui.label(label).on_hover_text(hint);
    list(ui, id, (&label, WIDTH), current, options)
}

/// The same with a list's button of this width, points.
pub(crate) fn choice_sized<T: PartialEq + Clone>(
    ui: &mut Ui,
    id: Id,
    (label, width): (&str, f32),
    current: &T,
    options: &[(T, String)],
) -> Option<T> {
    let label = ui.label(label);
    list(ui, id, (&label, width), current, options)
}

fn list<T: PartialEq + Clone>(
    ui: &mut Ui,
    id: Id,
    (label, width): (&Response, f32),
    current: &T,
    options: &[(T, String)],
) -> Option<T> {
    let shown =
        options.iter().find(|(value, _)| value == current).map_or("choose…", |(_, words)| words.as_str());
    let mut chosen = None;
    let combo = ComboBox::from_id_salt(id).selected_text(shown).width(width).truncate();
    let response = combo.show_ui(ui, |ui| {
        for (value, words) in options {
            if ui.selectable_label(value == current, words.as_str()).clicked() && value != current {
                chosen = Some(value.clone());
            }
        }
    });
    response.response.labelled_by(label.id);
    chosen
}

/// The words with a capital to begin with, as they stand in a list.
pub(crate) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
