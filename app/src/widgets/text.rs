//! A field for a name, and words for numbers of things.

use eframe::egui::{Align2, Id, Key, TextEdit, Ui};

/// A number of things: `1 piece`, `3 pieces`.
pub(crate) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// The text with measures that no line may end within: whole inches stay with their fraction, a number with its mm.
pub(crate) fn unbroken(text: &str) -> String {
    const STAY: char = '\u{a0}';
    let is_fraction = |rest: &str| {
        let digits = rest.len() - rest.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        digits > 0 && rest[digits..].starts_with('/')
    };
    let mut out = String::with_capacity(text.len());
    for (at, c) in text.char_indices() {
        let after_digit = text[..at].ends_with(|c: char| c.is_ascii_digit());
        let rest = &text[at + c.len_utf8()..];
        let in_measure = after_digit && (is_fraction(rest) || rest.starts_with("mm"));
        let stays = c == ' ' && (in_measure || text[..at].ends_with('≈'));
        out.push(if stays { STAY } else { c });
    }
    out
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

#[cfg(test)]
mod tests {
    #[test]
    fn fractions_and_millimetres_stay_with_their_number() {
        let said = super::unbroken("It has ≈ 1 19/32\" and 12 mm of 3 pieces, 2 1 / 2.");
        assert_eq!(said, "It has ≈\u{a0}1\u{a0}19/32\" and 12\u{a0}mm of 3 pieces, 2 1 / 2.");
    }
}
