//! The window of Pipeloft and its command line.

mod actions;
mod app;
mod asking;
mod bringing;
pub mod cli;
mod ctx;
pub mod demos;
mod dialogs;
mod filing;
mod job_kind;
mod jobs;
mod lobe_rooms;
mod panels;
pub mod platform;
mod request;
mod scans;
mod selection;
mod session;
mod state;
mod task;
pub mod theme;
mod verbs;
pub mod viewport;
mod widgets;

pub use dialogs::Pending;
pub use selection::Selection;
pub use session::{Message, Session};
pub use state::{App, Setup};

use eframe::egui;
use std::path::PathBuf;

/// The picture on the task bar; an empty one, which the system replaces by its own, where it cannot be read.
fn icon() -> egui::IconData {
    let png = include_bytes!("../../assets/icon/pipeloft-128.png");
    eframe::icon_data::from_png_bytes(png).unwrap_or_default()
}

/// Opens the window and stays until it is closed.
///
/// # Errors
/// A sentence where no window can be opened here.
pub fn open_window(open: Option<PathBuf>) -> Result<(), String> {
    log::info!("Pipeloft {} begins", env!("CARGO_PKG_VERSION"));
    let options = eframe::NativeOptions {
        renderer: eframe::Renderer::Glow,
        depth_buffer: 24,
        multisampling: 4,
        viewport: egui::ViewportBuilder::default()
            .with_app_id("pipeloft")
            .with_title("Pipeloft")
            .with_icon(icon())
            .with_inner_size(app::OPENS_AT)
            .with_min_inner_size(app::LEAST_SIZE),
        ..Default::default()
    };
    let start = move |cc: &eframe::CreationContext<'_>| -> Result<Box<dyn eframe::App>, _> {
        let recovery = platform::Recovery::system();
        platform::guard(&recovery.last_chance());
        let setup =
            Setup { open, files: None, prefs: platform::PrefsStore::system(), recovery, look_on: true };
        Ok(Box::new(App::new(cc, setup)))
    };
    eframe::run_native("pipeloft", options, Box::new(start)).map_err(|e| {
        format!("The window cannot be opened: {e}. It needs a display with OpenGL 3.3 or better; try LIBGL_ALWAYS_SOFTWARE=1.")
    })
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_icon_can_be_read() {
        let icon = super::icon();
        assert_eq!((icon.width, icon.height, icon.rgba.len()), (128, 128, 128 * 128 * 4));
        // round corners are clear, the middle is not
        assert_eq!((icon.rgba[3], icon.rgba[(64 * 128 + 64) * 4 + 3]), (0, 255));
    }
}
