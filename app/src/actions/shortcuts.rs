//! Keys.

use super::table::Action;
use eframe::egui::{Context, Key, KeyboardShortcut, Modifiers};

/// Keys of an action; the first is shown.
pub(super) fn keys(action: Action) -> Vec<KeyboardShortcut> {
    let ctrl = |key| KeyboardShortcut::new(Modifiers::COMMAND, key);
    let ctrl_shift = |key| KeyboardShortcut::new(Modifiers::COMMAND | Modifiers::SHIFT, key);
    let plain = |key| KeyboardShortcut::new(Modifiers::NONE, key);
    let shift = |key| KeyboardShortcut::new(Modifiers::SHIFT, key);
    match action {
        Action::New => vec![ctrl(Key::N)],
        Action::Open => vec![ctrl(Key::O)],
        Action::Save => vec![ctrl(Key::S)],
        Action::SaveAs => vec![ctrl_shift(Key::S)],
        Action::PrintSheet => vec![ctrl(Key::P)],
        Action::Quit => vec![ctrl(Key::Q)],
        Action::Undo => vec![ctrl(Key::Z)],
        Action::Redo => vec![ctrl_shift(Key::Z), ctrl(Key::Y)],
        Action::Delete => vec![plain(Key::Delete)],
        Action::ToggleHidden => vec![plain(Key::H)],
        Action::Duplicate => vec![ctrl(Key::D)],
        Action::AddRun => vec![plain(Key::R)],
        Action::AddHardpoint => vec![plain(Key::A)],
        Action::MeasureIn => vec![plain(Key::M)],
        Action::FitAll => vec![plain(Key::F), plain(Key::Home)],
        Action::FitSelected => vec![shift(Key::F)],
        Action::ViewFront => vec![plain(Key::Num1)],
        Action::ViewSide => vec![plain(Key::Num2)],
        Action::ViewTop => vec![plain(Key::Num3)],
        Action::ViewFree => vec![plain(Key::Num4)],
        Action::ToggleParallel => vec![plain(Key::P)],
        Action::ToggleSnap => vec![plain(Key::S)],
        Action::ToggleLabels => vec![plain(Key::L)],
        Action::ToggleRoom => vec![plain(Key::G)],
        Action::ToggleTree => vec![plain(Key::T)],
        Action::ToggleSide => vec![plain(Key::I)],
        Action::Help => vec![plain(Key::F1)],
        Action::OpenDemo(_)
        | Action::OpenRecent(_)
        | Action::AddObstacle(_)
        | Action::Mirror
        | Action::SwapEnds
        | Action::SameMake
        | Action::AddTube
        | Action::AddElbow
        | Action::AddJoint
        | Action::AddDatum
        | Action::AddMerge
        | Action::AddBar
        | Action::AddBody
        | Action::TakeOff
        | Action::FindRoutes
        | Action::MendRun
        | Action::TidyBends
        | Action::BringScan
        | Action::FindScan(_)
        | Action::ReadScan(_)
        | Action::ToggleTheme
        | Action::BringBack => Vec::new(),
    }
}

/// The key of an action as text, empty where it has none.
pub(crate) fn key_text(ctx: &Context, action: Action) -> String {
    keys(action).first().map_or_else(String::new, |k| ctx.format_shortcut(k))
}

/// Actions whose keys were pressed this frame. While a text field has focus only those with Ctrl count, and
/// undo and redo belong to the field; while something is dragged only undo counts.
pub(crate) fn pressed(ctx: &Context, typing: bool, dragging: bool) -> Vec<Action> {
    let mut wanted: Vec<(KeyboardShortcut, Action)> =
        Action::PLAIN.iter().flat_map(|a| keys(*a).into_iter().map(|k| (k, *a))).collect();
    // the key with more modifiers first, or Ctrl+Shift+Z would be taken for Ctrl+Z
    wanted
        .sort_by_key(|(k, _)| std::cmp::Reverse(u8::from(k.modifiers.shift) + u8::from(k.modifiers.command)));
    wanted
        .into_iter()
        .filter(|(key, action)| {
            let of_field = matches!(action, Action::Undo | Action::Redo) || !key.modifiers.command;
            !(typing && of_field) && (!dragging || *action == Action::Undo)
        })
        .filter(|(key, _)| ctx.input_mut(|i| i.consume_shortcut(key)))
        .map(|(_, action)| action)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_actions_share_a_key() {
        let mut seen: Vec<(KeyboardShortcut, Action)> = Vec::new();
        for action in Action::PLAIN {
            for key in keys(action) {
                if let Some((_, other)) = seen.iter().find(|(k, _)| *k == key) {
                    panic!("{action:?} and {other:?} share {key:?}");
                }
                seen.push((key, action));
            }
        }
        assert!(seen.len() > 20);
    }
}
