//! Projects and files: opening, saving, work that is brought back, and the question before any of it is lost.

use crate::cli;
use crate::dialogs::{Dialog, KeptList, Leave, Pending};
use crate::platform::{Ask, Picked, Purpose, Work, documents, first_units, folder_of, real_path};
use crate::session::Session;
use crate::state::App;
use crate::{demos, verbs};
use eframe::egui::{Context, ViewportCommand};
use pipeloft_core::disk;
use pipeloft_core::file::{self, SaveError, Stamp};
use pipeloft_core::model::Project;
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::space::scan::with_folder;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Opening.
impl App {
    /// Opens the named file, else the last project, else the first worked example. Where a file cannot be opened nothing
    /// else is opened in its place.
    pub(crate) fn open_first(&mut self, named: Option<PathBuf>) {
        match named.or_else(|| self.prefs.recent.first().cloned()) {
            Some(path) => {
                if !self.open_path(path) {
                    let message = self.session.message.take();
                    self.replace(verbs::empty_project(first_units()), None, None);
                    self.session.message = message;
                }
            }
            None => self.open_demo(0),
        }
    }

    pub(crate) fn open_demo(&mut self, index: usize) {
        let Some(demo) = demos::ALL.get(index) else { return };
        match demo.open() {
            Ok(project) => {
                self.replace(project, None, None);
                let words = "is a worked example: save it under a name of your own to keep changes.";
                self.session.say(format!("{} {words}", demo.title), false);
            }
            Err(error) => self.trouble("The example cannot be opened", error.to_string()),
        }
    }

    /// Opens a file; says why where it cannot. Returns whether it did.
    pub(crate) fn open_path(&mut self, path: PathBuf) -> bool {
        match file::load_stamped(&path) {
            Ok((project, stamp)) => {
                log::info!("opened {}", path.display());
                disk::tidy(&folder_of(&path));
                self.prefs.remember(&path);
                self.keep_prefs();
                self.replace(project, Some(path), Some(stamp));
                true
            }
            Err(error) => {
                self.trouble("The file cannot be opened", error.to_string());
                false
            }
        }
    }

    /// Opens a project in place of the one that is open; `stamp` is of what its file holds.
    fn replace(&mut self, project: Project, path: Option<PathBuf>, stamp: Option<Stamp>) {
        self.session = Session::new(project, path);
        self.session.stamp = stamp;
        self.loader.forget();
        if let Some(wake) = self.wake.clone() {
            self.session.look_on(wake);
        }
        self.view.fit_pending = true;
        self.view.drag = None;
        self.job = None;
    }

    /// Does what was pending, unless work would be lost: then asks first.
    pub(crate) fn want(&mut self, pending: Pending, ctx: &Context) {
        if self.form_holds_entries() {
            self.show_at_once(Dialog::Form(Leave::For(pending)));
        } else if self.session.history().is_dirty() {
            self.show_at_once(Dialog::Unsaved(pending));
        } else {
            self.go_on(pending, ctx);
        }
    }

    /// Whether something would be lost if the window closed now.
    pub(crate) fn would_lose(&self) -> bool {
        self.session.history().is_dirty() || self.form_holds_entries()
    }

    /// Does what was pending.
    pub(crate) fn go_on(&mut self, pending: Pending, ctx: &Context) {
        match pending {
            Pending::New => {
                let units = self.session.project().settings.units;
                self.replace(verbs::empty_project(units), None, None);
            }
            Pending::Open => self.ask(Purpose::Open, ctx),
            Pending::OpenPath(path) => {
                self.open_path(path);
            }
            Pending::Demo(index) => self.open_demo(index),
            Pending::BringBack => self.offer_kept(true),
            Pending::Quit => {
                log::info!("the window closes");
                self.recovery.forget();
                self.quitting = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }
}

/// Saving.
impl App {
    /// The text of the file at `path` as it would be written.
    fn text_for(&self, path: &Path) -> Result<String, SaveError> {
        let project = self.session.project();
        // scans are found from where the project lies
        let filed = with_folder(project, self.session.folder(), Some(&folder_of(path)));
        file::to_text(filed.as_ref().unwrap_or(project))
    }

    /// Whether the project's file at `path` holds something that was neither opened nor saved here.
    fn is_changed_by_others(&self, path: &Path) -> bool {
        match Stamp::at(path) {
            Ok(None) => false,
            Ok(Some(found)) => {
                let same = |text: String| Stamp::of(text.as_bytes()) == found;
                self.session.stamp != Some(found) && !self.text_for(path).is_ok_and(same)
            }
            // whatever is there now, it is not what was
            Err(_) => true,
        }
    }

    /// Saves to `path`, whatever is there. Returns whether it did.
    fn save_to(&mut self, path: PathBuf) -> bool {
        let project = Arc::clone(self.session.project());
        let from = self.session.folder().map(PathBuf::from);
        let saved = self.text_for(&path).and_then(|text| {
            let kept = file::save_text(&path, &text)?;
            Ok((Stamp::of(text.as_bytes()), kept))
        });
        match saved {
            Ok((stamp, not_kept)) => {
                log::info!("saved to {}", path.display());
                self.prefs.remember(&path);
                self.keep_prefs();
                let words = format!("Saved to {}.", path.display());
                match not_kept {
                    None => self.session.say(words, false),
                    Some(why) => {
                        let before = disk::before_path(&path);
                        let more = format!("{} could not be written ({why}).", before.display());
                        log::warn!("{more}");
                        self.session.say(format!("{words} The earlier file was not kept: {more}"), true);
                    }
                }
                self.session.saved_to(path, stamp, &project);
                self.loader.count_from(from.as_deref(), self.session.folder());
                true
            }
            Err(error) => {
                self.trouble("The project is not saved", error.to_string());
                false
            }
        }
    }

    /// Saves where the project came from, or asks for a place.
    pub(crate) fn save(&mut self, after: Option<Pending>, ctx: &Context) {
        if let Some(path) = self.session.path.clone() {
            self.save_as(path, after, ctx);
        } else {
            self.after_save = after;
            self.ask(Purpose::Save, ctx);
        }
    }

    /// Saves to `path`, unless that is the project's own file and something else has changed it: then asks.
    fn save_as(&mut self, path: PathBuf, after: Option<Pending>, ctx: &Context) {
        let is_own = self.session.path.as_deref().is_some_and(|own| real_path(own) == real_path(&path));
        if is_own && self.is_changed_by_others(&path) {
            log::warn!("{} was changed by something else", path.display());
            self.show_at_once(Dialog::Clash(path, after));
        } else {
            self.save_and_go_on(path, after, ctx);
        }
    }

    /// Saves to `path`, and goes on with what waited for it.
    pub(crate) fn save_and_go_on(&mut self, path: PathBuf, after: Option<Pending>, ctx: &Context) {
        if self.save_to(path)
            && let Some(next) = after
        {
            self.go_on(next, ctx);
        }
    }

    /// Opens what something else has written, and keeps the work as if this window were gone.
    pub(crate) fn open_theirs(&mut self, path: PathBuf) {
        if !self.session.history().is_dirty() {
            // nothing was done here since it was opened or saved
            self.open_path(path);
            return;
        }
        self.follow_work();
        if self.recovery.set_aside() {
            if self.open_path(path) {
                self.session.say("Yours is kept: File, Bring back unsaved work.", false);
            }
        } else {
            let words =
                "Your work could not be set aside, so theirs was not opened. Save under another name.";
            self.trouble("Nothing was opened", words.to_owned());
        }
    }
}

/// Copies of unsaved work.
impl App {
    /// Hands the work over to be copied, where no file holds it. Returns when to look again.
    pub(crate) fn follow_work(&mut self) -> Option<std::time::Duration> {
        if self.quitting {
            // whether it is saved has been decided
            return None;
        }
        let session = &self.session;
        let work = session.history().is_dirty().then(|| Work {
            project: Arc::clone(session.project()),
            folder: session.folder().map(PathBuf::from),
            // from the root: the next start may be in another folder
            file: session.path.as_deref().and_then(|path| Some(session.folder()?.join(path.file_name()?))),
            stamp: session.stamp,
        });
        self.recovery.follow(work)
    }

    /// Offers unsaved work that windows left behind. Where there is none, that is said only if it was `asked` for.
    pub(crate) fn offer_kept(&mut self, asked: bool) {
        let all = self.recovery.left_behind();
        if !all.is_empty() {
            log::info!("{} copies of unsaved work are offered", all.len());
            self.show(Dialog::Kept(KeptList::new(all)));
        } else if asked {
            self.session.say("There is no unsaved work to bring back.", false);
        }
    }

    /// Opens one of the copies, unsaved against the file it is of.
    pub(crate) fn bring_back(&mut self, mut list: KeptList, index: usize) {
        let kept = list.all.remove(index);
        let Ok(project) = &kept.project else { return };
        log::info!("brought back {} from {}", project.name, kept.copy().display());
        let words = match &kept.file {
            Some(file) => format!("Brought back. Save writes it to {}.", file.display()),
            None => "Brought back. It has no file yet: save it.".to_owned(),
        };
        self.replace((**project).clone(), kept.file.clone(), kept.stamp);
        self.session.mark_unsaved();
        self.recovery.adopt(kept);
        let more = match list.all.len() {
            0 => String::new(),
            _ => " More is kept: File, Bring back unsaved work.".to_owned(),
        };
        self.session.say(format!("{words}{more}"), false);
    }

    /// Deletes one of the copies, and asks about the others.
    pub(crate) fn discard(&mut self, mut list: KeptList, index: usize) {
        let kept = list.all.remove(index);
        log::info!("discarded {}", kept.copy().display());
        if let Err(words) = kept.discard() {
            self.trouble("The copy is still there", words);
        }
        if !list.all.is_empty() {
            self.show(Dialog::Kept(KeptList::new(list.all)));
        }
    }
}

/// Paths.
impl App {
    /// Asks for a path.
    pub(crate) fn ask(&mut self, purpose: Purpose, ctx: &Context) {
        let path = self.session.path.clone();
        let folder = path.as_ref().and_then(|p| p.parent()).map(PathBuf::from).or_else(documents);
        let stem = file::file_stem(&self.session.project().name);
        let name = match (purpose, &path) {
            (Purpose::Sheet, Some(path)) => cli::sheet_name(path),
            (Purpose::Sheet, None) => format!("{stem}-sheet.pdf"),
            (Purpose::Open | Purpose::Save, Some(path)) => {
                path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned())
            }
            (Purpose::Open | Purpose::Save, None) => format!("{stem}.ron"),
            (Purpose::Scan | Purpose::FindScan(_), _) => String::new(),
        };
        self.files.ask(Ask { purpose, folder, name }, ctx);
    }

    /// Takes the answer to a question for a path, once there is one.
    pub(crate) fn answers(&mut self, ctx: &Context) {
        match self.files.answer() {
            Some(Picked::Path(purpose, path)) => self.picked(purpose, path, ctx),
            Some(Picked::NoDialog(ask)) => {
                self.show_at_once(Dialog::Path(crate::dialogs::PathEntry::new(ask)));
            }
            Some(Picked::Nothing) => self.after_save = None,
            None => {}
        }
    }

    /// Does what the path was wanted for.
    pub(crate) fn picked(&mut self, purpose: Purpose, path: PathBuf, ctx: &Context) {
        match purpose {
            Purpose::Open => {
                self.open_path(path);
            }
            Purpose::Save => {
                let path = if path.extension().is_none() { path.with_extension("ron") } else { path };
                let after = self.after_save.take();
                self.save_as(path, after, ctx);
            }
            Purpose::Sheet => self.write_sheet(path),
            Purpose::Scan => self.bring_scan(path),
            Purpose::FindScan(id) => self.find_scan(id, &path),
        }
    }

    fn write_sheet(&mut self, path: PathBuf) {
        let path = if path.extension().is_none() { path.with_extension("pdf") } else { path };
        let project = self.session.project();
        let paper = cli::paper_for(project);
        // paper is cut from: look as long as it takes for the best layout
        let report = Report::of(project, self.session.scans(), Effort::Thorough);
        match cli::write_papers(project, &report, (paper, false), &path) {
            Ok(files) => {
                let words = format!(
                    "The sheet is in {}, with the cut list and {} files of templates beside it. Print them at 100 %.",
                    path.display(),
                    files.len().saturating_sub(2)
                );
                self.session.say(words, false);
                if let Err(problem) = self.files.show(&path) {
                    log::warn!("{problem}");
                }
            }
            Err(problem) => self.session.say(problem, true),
        }
    }
}
