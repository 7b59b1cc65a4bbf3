//! A path typed or picked inside the window, where the system shows no file dialog.

use crate::platform::{Ask, Purpose};
use crate::theme::Tokens;
use eframe::egui::{Context, Id, Key, Modal, RichText, ScrollArea, TextEdit};
use std::path::{Path, PathBuf};

/// The state of the dialog.
#[derive(Debug, Clone)]
pub(crate) struct PathEntry {
    /// What is asked.
    pub ask: Ask,
    text: String,
    folder: PathBuf,
    entries: Vec<PathBuf>,
    problem: Option<String>,
    /// A file that is there already and that the next press replaces.
    replaces: Option<PathBuf>,
    /// Not shown yet: the field takes the focus.
    fresh: bool,
}

impl PathEntry {
    /// Begins in the folder on offer, or where the program was started.
    pub(crate) fn new(ask: Ask) -> Self {
        let here = std::env::current_dir().unwrap_or_else(|_| PathBuf::from("."));
        let folder = ask.folder.clone().filter(|f| f.is_dir()).unwrap_or(here);
        let text = begins_with(&ask, &folder);
        let mut entry = Self {
            ask,
            text,
            folder: PathBuf::new(),
            entries: Vec::new(),
            problem: None,
            replaces: None,
            fresh: true,
        };
        entry.go(folder);
        entry
    }

    fn go(&mut self, folder: PathBuf) {
        match list(&folder, self.ask.endings()) {
            Ok(entries) => {
                self.entries = entries;
                self.problem = None;
            }
            Err(error) => {
                self.entries.clear();
                self.problem = Some(format!("{}: cannot be listed ({error}).", folder.display()));
            }
        }
        self.folder = folder;
    }

    /// The path as entered, with the right ending when something is saved.
    fn path(&self) -> PathBuf {
        let path = PathBuf::from(self.text.trim());
        match self.ask.endings().first() {
            Some(ending) if self.ask.purpose.writes() && path.extension().is_none() => {
                path.with_extension(ending)
            }
            Some(_) | None => path,
        }
    }
}

/// What stands in the field when the dialog has come to `folder`.
fn begins_with(ask: &Ask, folder: &Path) -> String {
    let path = if ask.purpose.writes() { folder.join(&ask.name) } else { folder.to_owned() };
    path.display().to_string()
}

/// Folders first, then files with one of the endings, by name.
fn list(folder: &Path, endings: &[&str]) -> std::io::Result<Vec<PathBuf>> {
    let is_wanted = |path: &PathBuf| {
        let ending = path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
        ending.is_some_and(|ending| endings.contains(&ending.as_str()))
    };
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder)?
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| p.is_dir() || is_wanted(p))
        .filter(|p| !p.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.')))
        .collect();
    entries.sort_by_key(|p| (!p.is_dir(), p.clone()));
    Ok(entries)
}

/// What the dialog says in a frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum PathAnswer {
    /// It is still open.
    NotYet,
    /// This path.
    Path(PathBuf),
    /// The user gave up.
    GivenUp,
}

/// The dialog.
pub(crate) fn path_ui(ctx: &Context, entry: &mut PathEntry) -> PathAnswer {
    let (title, verb) = match entry.ask.purpose {
        Purpose::Open => ("Open a project", "Open"),
        Purpose::Save => ("Save the project", "Save"),
        Purpose::Sheet => ("Write the sheet", "Write"),
        Purpose::Scan => ("Bring in a scan", "Bring in"),
        Purpose::FindScan(_) => ("Where the scan lies now", "Take it"),
    };
    let mut done = PathAnswer::NotYet;
    let modal = Modal::new(Id::unique("path")).show(ctx, |ui| {
        ui.set_width(620.0);
        ui.heading(title);
        let label = ui.label("File, with its folder");
        let edit = TextEdit::singleline(&mut entry.text).desired_width(f32::INFINITY);
        let response = ui.add(edit).labelled_by(label.id);
        if std::mem::take(&mut entry.fresh) {
            response.request_focus();
        }
        let enter = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        ui.label(RichText::new(format!("In {}", entry.folder.display())).small());
        let mut next = None;
        ScrollArea::vertical().max_height(260.0).auto_shrink(false).show(ui, |ui| {
            if let Some(parent) = entry.folder.parent()
                && ui.selectable_label(false, ".. one folder up").clicked()
            {
                next = Some(parent.to_owned());
            }
            for path in &entry.entries {
                let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
                let words = if path.is_dir() { format!("{name}/") } else { name };
                if ui.selectable_label(entry.text == path.display().to_string(), words).clicked() {
                    next = Some(path.clone());
                }
            }
        });
        if let Some(path) = next {
            if path.is_dir() {
                entry.text = begins_with(&entry.ask, &path);
                entry.go(path);
            } else {
                entry.text = path.display().to_string();
            }
        }
        if let Some(problem) = &entry.problem {
            ui.label(RichText::new(problem).color(Tokens::of(ui.visuals().dark_mode).stop));
        }
        ui.horizontal(|ui| {
            if ui.button(verb).clicked() || enter {
                let path = entry.path();
                let writes = entry.ask.purpose.writes();
                if !writes && path.is_dir() {
                    entry.go(path);
                } else if writes && path.exists() && entry.replaces.as_ref() != Some(&path) {
                    entry.problem =
                        Some(format!("{} is there already. Press again to replace it.", path.display()));
                    entry.replaces = Some(path);
                } else {
                    done = PathAnswer::Path(path);
                }
            }
            if ui.button("Go back").clicked() {
                done = PathAnswer::GivenUp;
            }
        });
    });
    if done == PathAnswer::NotYet && modal.should_close() {
        done = PathAnswer::GivenUp;
    }
    done
}
