//! Draws the window of a test as the program itself does, 3D view included.

use crate::headless::HeadlessGl;
use eframe::{egui, egui_glow};
use egui_kittest::TestRenderer;
use std::sync::Arc;

/// Samples for each pixel, as in the program.
const SAMPLES: u8 = 4;

/// `egui_glow` on a framebuffer without a window, for `egui_kittest`.
pub struct GlowTestRenderer {
    painter: egui_glow::Painter,
    headless: HeadlessGl,
    most: [u32; 2],
}

impl std::fmt::Debug for GlowTestRenderer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("GlowTestRenderer").field("most", &self.most).finish_non_exhaustive()
    }
}

impl GlowTestRenderer {
    /// For windows of up to this many pixels. The error says why there can be none, as on a machine without
    /// an EGL device.
    pub fn new(width: u32, height: u32) -> Result<Self, String> {
        let headless = HeadlessGl::new(width, height, SAMPLES)?;
        let painter = egui_glow::Painter::new(Arc::clone(&headless.gl), "", None, true)
            .map_err(|e| format!("the painter cannot be made: {e}"))?;
        Ok(Self { painter, headless, most: [width, height] })
    }

    /// The OpenGL functions the window is drawn with.
    pub fn gl(&self) -> Arc<glow::Context> {
        Arc::clone(&self.headless.gl)
    }
}

impl TestRenderer for GlowTestRenderer {
    fn setup_eframe(&self, cc: &mut eframe::CreationContext<'_>, _frame: &mut eframe::Frame) {
        cc.gl = Some(self.gl());
    }

    #[expect(clippy::iter_over_hash_type, reason = "textures do not care in which order they come and go")]
    fn handle_delta(&mut self, delta: &mut egui::TexturesDelta) {
        for (id, deltas) in delta.set.drain() {
            for one in &deltas {
                self.painter.set_texture(id, one);
            }
        }
        for id in delta.free.drain() {
            self.painter.free_texture(id);
        }
    }

    fn render(&mut self, ctx: &egui::Context, output: &egui::FullOutput) -> Result<image::RgbaImage, String> {
        let scale = output.pixels_per_point;
        let size = (ctx.content_rect().size() * scale).round();
        let [width, height] = [size.x as u32, size.y as u32];
        if width > self.most[0] || height > self.most[1] {
            return Err(format!("{width}×{height} pixels do not fit into {:?}", self.most));
        }
        let shapes = ctx.tessellate(output.shapes.clone(), scale);
        self.painter.clear([width, height], [0.0, 0.0, 0.0, 1.0]);
        self.painter.paint_primitives([width, height], scale, &shapes);
        let picture = self.painter.read_screen_rgba([width, height]);
        let bytes = picture.pixels.iter().flat_map(egui::Color32::to_array).collect();
        image::RgbaImage::from_raw(width, height, bytes).ok_or_else(|| "picture of the wrong size".to_owned())
    }
}

impl Drop for GlowTestRenderer {
    fn drop(&mut self) {
        self.painter.destroy();
    }
}
