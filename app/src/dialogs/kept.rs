//! Unsaved work that windows left behind, to be brought back or discarded.

use super::question::BUTTON;
use crate::platform::Kept;
use crate::theme::{Tokens, bold};
use eframe::egui::{Button, Context, Id, Key, Label, Modal, RichText, ScrollArea, Ui, vec2};
use std::time::{Duration, SystemTime};

/// The list, held for this window while it is shown.
#[derive(Debug)]
pub(crate) struct KeptList {
    /// The copies, the newest first.
    pub(crate) all: Vec<Kept>,
    /// The one whose next press of *Discard* is meant.
    sure: Option<usize>,
}

impl KeptList {
    /// Shows these.
    pub(crate) fn new(all: Vec<Kept>) -> Self {
        Self { all, sure: None }
    }
}

/// What was answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum KeptAnswer {
    /// Bring that one back.
    BringBack(usize),
    /// Delete that one for good.
    Discard(usize),
    /// Decide later.
    Later,
}

/// The question. A click beside it is no answer.
pub(crate) fn kept_ui(ctx: &Context, list: &mut KeptList) -> Option<KeptAnswer> {
    let mut answer = None;
    Modal::new(Id::unique("kept work")).show(ctx, |ui| {
        ui.set_width(560.0);
        ui.heading("Bring back unsaved work?");
        ui.add_space(4.0);
        let words = "The program ended before this was saved. Copies were kept.";
        ui.add(Label::new(words).wrap());
        ui.add_space(8.0);
        ScrollArea::vertical().max_height(420.0).show(ui, |ui| {
            for (i, kept) in list.all.iter().enumerate() {
                ui.group(|ui| {
                    ui.set_width(ui.available_width());
                    if let Some(this) = one_ui(ui, i, kept, &mut list.sure) {
                        answer = Some(this);
                    }
                });
            }
        });
        ui.add_space(8.0);
        // in a row of its own, for the words to stand in the middle of the button
        let later = ui.horizontal(|ui| ui.add(Button::new("Decide later").min_size(vec2(150.0, BUTTON))));
        if later.inner.clicked() {
            answer = Some(KeptAnswer::Later);
        }
        let words = "Then it is offered again at the next start, and under File, Bring back unsaved work.";
        ui.add(Label::new(RichText::new(words).small()).wrap());
    });
    if answer.is_none() && ctx.input(|i| i.key_pressed(Key::Escape)) {
        answer = Some(KeptAnswer::Later);
    }
    answer
}

fn one_ui(ui: &mut Ui, index: usize, kept: &Kept, sure: &mut Option<usize>) -> Option<KeptAnswer> {
    let mut answer = None;
    let name = match &kept.project {
        Ok(project) => project.name.as_str(),
        Err(_) => "A copy that cannot be read",
    };
    ui.add(Label::new(bold(name)).wrap());
    let age = kept.at.map_or_else(|| "at an unknown time".to_owned(), |at| ago(at, SystemTime::now()));
    ui.label(format!("Kept {age}"));
    let file = match (&kept.file, &kept.project) {
        (Some(file), _) => format!("Of {}", file.display()),
        (None, Ok(_)) => "It has no file of its own yet".to_owned(),
        (None, Err(_)) => format!("In {}", kept.copy().display()),
    };
    ui.add(Label::new(file).wrap());
    let tokens = Tokens::of(ui.visuals().dark_mode);
    if let Err(why) = &kept.project {
        ui.add(Label::new(RichText::new(why).color(tokens.stop)).wrap());
    }
    ui.horizontal(|ui| {
        let size = vec2(150.0, BUTTON);
        if kept.project.is_ok() && ui.add(Button::new(bold("Bring it back")).min_size(size)).clicked() {
            answer = Some(KeptAnswer::BringBack(index));
        }
        // what lies between keeps a thick finger off it
        ui.add_space(30.0);
        let is_sure = *sure == Some(index);
        let words = if is_sure { "Discard for good" } else { "Discard…" };
        if ui.add(Button::new(words).min_size(size)).clicked() {
            if is_sure {
                (*sure, answer) = (None, Some(KeptAnswer::Discard(index)));
            } else {
                *sure = Some(index);
            }
        }
    });
    if *sure == Some(index) {
        ui.label(RichText::new("Press again: it cannot be brought back after that.").color(tokens.warn));
    }
    answer
}

/// How long ago something was, in words.
fn ago(at: SystemTime, now: SystemTime) -> String {
    // a clock that was put back makes it now
    let minutes = now.duration_since(at).unwrap_or(Duration::ZERO).as_secs() / 60;
    let words = |count: u64, one: &str| match count {
        1 => format!("1 {one} ago"),
        count => format!("{count} {one}s ago"),
    };
    match minutes {
        0 => "less than a minute ago".to_owned(),
        1..60 => words(minutes, "minute"),
        60..2880 => words(minutes / 60, "hour"),
        2880.. => words(minutes / 1440, "day"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ages_are_told_as_people_do() {
        let now = SystemTime::now();
        for (seconds, wanted) in [
            (5, "less than a minute ago"),
            (60, "1 minute ago"),
            (3_599, "59 minutes ago"),
            (3_600, "1 hour ago"),
            (100_000, "27 hours ago"),
            (200_000, "2 days ago"),
        ] {
            assert_eq!(ago(now - Duration::from_secs(seconds), now), wanted);
        }
        assert_eq!(ago(now + Duration::from_mins(1), now), "less than a minute ago");
    }
}
