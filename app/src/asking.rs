//! Windows over the window: which is open, which waits, and what follows from the answers.

use crate::dialogs::{self, Answer, Clash, Dialog, KeptAnswer, Leave, PathAnswer};
use crate::platform::Purpose;
use crate::state::App;
use eframe::egui::Context;
use pipeloft_core::disk::before_path;

impl App {
    /// Shows a window once no other is open.
    pub(crate) fn show(&mut self, dialog: Dialog) {
        if self.dialog.is_some() {
            self.waiting.push_back(dialog);
        } else {
            self.dialog = Some(dialog);
        }
    }

    /// Shows a window at once; what must not go by unseen comes again after it.
    pub(crate) fn show_at_once(&mut self, dialog: Dialog) {
        match self.dialog.replace(dialog) {
            Some(open @ (Dialog::Kept(_) | Dialog::Trouble(..))) => self.waiting.push_front(open),
            Some(
                Dialog::Unsaved(_) | Dialog::Form(_) | Dialog::Clash(..) | Dialog::Help | Dialog::Path(_),
            )
            | None => {}
        }
    }

    /// Says what went wrong in a window that stays until it is read, and in the status line.
    pub(crate) fn trouble(&mut self, title: &str, words: String) {
        log::warn!("{title}: {words}");
        self.session.say(words.clone(), true);
        self.show(Dialog::Trouble(title.to_owned(), words));
    }

    /// Shows what is open, and does what was answered.
    pub(crate) fn dialogs(&mut self, ctx: &Context) {
        if let Some(open) = self.dialog.take() {
            self.dialog_ui(ctx, open);
        }
        if self.dialog.is_none() {
            self.dialog = self.waiting.pop_front();
            if self.dialog.is_some() {
                ctx.request_repaint();
            }
        }
    }

    fn dialog_ui(&mut self, ctx: &Context, open: Dialog) {
        match open {
            Dialog::Help => self.dialog = dialogs::help_ui(ctx).then_some(Dialog::Help),
            Dialog::Trouble(title, words) => {
                let stays = dialogs::trouble_ui(ctx, &title, &words);
                self.dialog = stays.then_some(Dialog::Trouble(title, words));
            }
            Dialog::Unsaved(pending) => match dialogs::unsaved_ui(ctx, &self.session.project().name) {
                Some(Answer::Yes) => self.save(Some(pending), ctx),
                Some(Answer::No) => self.go_on(pending, ctx),
                Some(Answer::Stay) => {}
                None => self.dialog = Some(Dialog::Unsaved(pending)),
            },
            Dialog::Form(leave) => {
                let title = self.job.as_ref().map_or_else(String::new, |job| job.title());
                match dialogs::form_ui(ctx, &title) {
                    Some(Answer::Yes | Answer::No) => self.leave_form(leave, ctx),
                    Some(Answer::Stay) => {}
                    None => self.dialog = Some(Dialog::Form(leave)),
                }
            }
            Dialog::Clash(path, after) => match dialogs::clash_ui(ctx, &path, &before_path(&path)) {
                Some(Clash::Another) => {
                    self.after_save = after;
                    self.ask(Purpose::Save, ctx);
                }
                Some(Clash::Mine) => self.save_and_go_on(path, after, ctx),
                Some(Clash::Theirs) => self.open_theirs(path),
                Some(Clash::Stay) => {}
                None => self.dialog = Some(Dialog::Clash(path, after)),
            },
            Dialog::Kept(mut list) => match dialogs::kept_ui(ctx, &mut list) {
                Some(KeptAnswer::BringBack(index)) => self.bring_back(list, index),
                Some(KeptAnswer::Discard(index)) => self.discard(list, index),
                Some(KeptAnswer::Later) => log::info!("{} copies are to be decided later", list.all.len()),
                None => self.dialog = Some(Dialog::Kept(list)),
            },
            Dialog::Path(mut entry) => match dialogs::path_ui(ctx, &mut entry) {
                PathAnswer::Path(path) => self.picked(entry.ask.purpose, path, ctx),
                PathAnswer::GivenUp => self.after_save = None,
                PathAnswer::NotYet => self.dialog = Some(Dialog::Path(entry)),
            },
        }
    }

    /// Leaves the form, and does what it is left for.
    fn leave_form(&mut self, leave: Leave, ctx: &Context) {
        self.job = None;
        match leave {
            Leave::Close => {}
            Leave::Open(kind) => self.open_job(&kind),
            Leave::For(pending) => self.want(pending, ctx),
        }
    }
}
