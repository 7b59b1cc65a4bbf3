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
        let text = match ask.purpose {
            Purpose::Open => folder.display().to_string(),
            Purpose::Save | Purpose::Sheet => folder.join(&ask.name).display().to_string(),
        };
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
        match list(&folder, self.ask.extension()) {
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
        match self.ask.purpose {
            Purpose::Open => path,
            Purpose::Save | Purpose::Sheet if path.extension().is_none() => {
                path.with_extension(self.ask.extension())
            }
            Purpose::Save | Purpose::Sheet => path,
        }
    }
}

/// Folders first, then files with that ending, by name.
fn list(folder: &Path, extension: &str) -> std::io::Result<Vec<PathBuf>> {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder)?
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| p.is_dir() || p.extension().is_some_and(|e| e == extension))
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
                entry.text = match entry.ask.purpose {
                    Purpose::Open => path.display().to_string(),
                    Purpose::Save | Purpose::Sheet => path.join(&entry.ask.name).display().to_string(),
                };
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
                if entry.ask.purpose == Purpose::Open && path.is_dir() {
                    entry.go(path);
                } else if entry.ask.purpose != Purpose::Open
                    && path.exists()
                    && entry.replaces.as_ref() != Some(&path)
                {
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
