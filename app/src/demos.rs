//! The worked examples, built in so that they are always there.

use pipeloft_core::file::{LoadError, from_text};
use pipeloft_core::model::Project;
use std::path::Path;

/// A worked example.
#[derive(Debug, Clone, Copy)]
pub struct Demo {
    /// Name on the menu.
    pub title: &'static str,
    /// What it shows.
    pub about: &'static str,
    /// Name of its file.
    pub file: &'static str,
    text: &'static str,
}

macro_rules! demo {
    ($file:literal, $title:literal, $about:literal) => {
        Demo {
            title: $title,
            about: $about,
            file: $file,
            text: include_str!(concat!("../../demo-projects/", $file)),
        }
    };
}

/// All of them; the first opens at the first start.
pub const ALL: [Demo; 4] = [
    demo!(
        "gravel-buggy.ron",
        "Gravel hill-climb buggy",
        "Mid-engined, one turbo: charge pipes, exhaust and wastegate dump"
    ),
    demo!("pulling-tractor.ron", "Pulling tractor", "Compound turbos, large pipes, upright stack"),
    demo!("irrigation-pump.ron", "Irrigation pump", "Stationary diesel: exhaust through a shed roof"),
    demo!(
        "generator-set.ron",
        "Generator set",
        "Two unequal engines into one stack: ends that meet on bends, tapers and each other"
    ),
];

impl Demo {
    /// Opens it.
    pub fn open(&self) -> Result<Project, LoadError> {
        from_text(self.text, Path::new(self.file))
    }
}
