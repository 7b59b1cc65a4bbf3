//! What the program remembers between starts; nothing of it belongs to a project.

use pipeloft_core::disk;
use pipeloft_core::file::write_atomic;
use pipeloft_core::units::UnitSystem;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// What is longer was not written by this program, bytes.
const MOST_BYTES: u64 = 1_000_000;

/// Most files in the list.
const MOST_RECENT: usize = 10;

/// The preferences.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
#[expect(clippy::struct_excessive_bools, reason = "switches that have nothing to do with each other")]
pub struct Prefs {
    /// Projects opened or saved last, the newest first.
    pub recent: Vec<PathBuf>,
    /// Dark look.
    pub dark: bool,
    /// Drags catch on angles.
    pub snap: bool,
    /// Names and marks in the 3D view.
    pub labels: bool,
    /// The room along the selected pipe in colours.
    pub room: bool,
    /// The tree on the left.
    pub tree: bool,
    /// The panel on the right.
    pub side: bool,
}

impl Default for Prefs {
    fn default() -> Self {
        Self { recent: Vec::new(), dark: true, snap: true, labels: true, room: true, tree: true, side: true }
    }
}

impl Prefs {
    /// Puts a project at the head of the list.
    pub fn remember(&mut self, path: &Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        self.recent.retain(|p| *p != path);
        self.recent.insert(0, path);
        self.recent.truncate(MOST_RECENT);
    }
}

/// Where preferences are kept; nowhere in tests.
#[derive(Debug, Clone, Default)]
pub struct PrefsStore {
    file: Option<PathBuf>,
}

impl PrefsStore {
    /// The place the system has for it.
    pub fn system() -> Self {
        let dirs = directories::ProjectDirs::from("", "", "pipeloft");
        Self { file: dirs.map(|d| d.config_dir().join("preferences.ron")) }
    }

    /// A given file.
    pub fn at(file: PathBuf) -> Self {
        Self { file: Some(file) }
    }

    /// Reads them; what is missing or broken is as at the first start.
    pub fn load(&self) -> Prefs {
        let bytes = self.file.as_ref().and_then(|f| disk::read(f, MOST_BYTES).ok());
        bytes.and_then(|b| ron::de::from_bytes(&b).ok()).unwrap_or_default()
    }

    /// Writes them. Losing them loses no work, so a failure goes to the log only.
    pub fn save(&self, prefs: &Prefs) {
        let Some(file) = &self.file else { return };
        let write = || -> Result<(), String> {
            if let Some(folder) = file.parent() {
                std::fs::create_dir_all(folder).map_err(|e| e.to_string())?;
            }
            let text = ron::ser::to_string_pretty(prefs, ron::ser::PrettyConfig::new())
                .map_err(|e| e.to_string())?;
            write_atomic(file, text.as_bytes()).map_err(|e| e.to_string())
        };
        if let Err(error) = write() {
            log::warn!("preferences were not kept: {error}");
        }
    }
}

/// Where a person keeps documents; the home folder where there is no such place.
pub fn documents() -> Option<PathBuf> {
    let dirs = directories::UserDirs::new()?;
    Some(dirs.document_dir().unwrap_or_else(|| dirs.home_dir()).to_owned())
}

/// Units for a first project: inches where the locale says so.
pub fn first_units() -> UnitSystem {
    let locale = sys_locale::get_locale().unwrap_or_default();
    let inches = ["US", "LR", "MM"].iter().any(|c| locale.ends_with(&format!("-{c}")));
    if inches { UnitSystem::InchFraction } else { UnitSystem::Millimetre }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_of_files_has_no_doubles_and_an_end() {
        let mut prefs = Prefs::default();
        for i in 0..15 {
            prefs.remember(Path::new(&format!("/jobs/{i}.ron")));
        }
        prefs.remember(Path::new("/jobs/9.ron"));
        assert_eq!(prefs.recent.len(), 10);
        assert_eq!(prefs.recent[0], Path::new("/jobs/9.ron"));
        assert_eq!(prefs.recent.iter().filter(|p| p.ends_with("9.ron")).count(), 1);
    }

    #[test]
    fn broken_preferences_are_as_at_the_first_start() {
        assert_eq!(PrefsStore::at("/no/such/file".into()).load(), Prefs::default());
        assert_eq!(PrefsStore::default().load(), Prefs::default());
    }
}
