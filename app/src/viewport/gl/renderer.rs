//! From a scene and a camera to pixels inside the window.

use super::cache::MeshCache;
use super::plane::{Planes, drawn_box, shadow_square};
use super::scans::ScanCache;
use super::shadow::Shadow;
use super::surface::{Shot, Surface};
use crate::theme::Tokens;
use eframe::{egui, egui_glow, glow};
use glam::{DMat3, DMat4, DVec2};
use pipeloft_core::view3d::{Camera, Scene};
use std::convert::Infallible;
use std::sync::{Arc, Mutex, PoisonError};
use three_d::{ClearState, Context, CoreError, Mat4, RenderTarget, ScissorBox, Viewport};

/// All that decides one picture.
#[derive(Debug, Clone)]
pub struct DrawFrame {
    /// What is drawn.
    pub scene: Arc<Scene>,
    /// From where.
    pub camera: Camera,
    /// Whether the theme is dark.
    pub dark: bool,
    /// Where in the window, points.
    pub rect: egui::Rect,
}

/// The drawing side of the 3D view: shaders, and the meshes of the scene drawn last.
///
/// Made, used and dropped only while its OpenGL context is current.
pub struct GlView {
    context: Context,
    surface: Surface,
    planes: Planes,
    shadow: Shadow,
    cache: MeshCache,
    scans: ScanCache,
    cached: Option<Arc<Scene>>,
}

impl std::fmt::Debug for GlView {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("GlView").finish_non_exhaustive()
    }
}

impl GlView {
    /// Compiles the shaders. The error says in words what the driver did not like.
    pub fn new(gl: Arc<glow::Context>) -> Result<Self, String> {
        let make = || -> Result<Self, CoreError> {
            let context = Context::from_gl_context(gl)?;
            Ok(Self {
                surface: Surface::new(&context)?,
                planes: Planes::new(&context)?,
                shadow: Shadow::new(&context)?,
                context,
                cache: MeshCache::default(),
                scans: ScanCache::default(),
                cached: None,
            })
        };
        make().map_err(|e| format!("the 3D view cannot be drawn: {e}"))
    }

    fn paint(&mut self, frame: &DrawFrame, info: &egui::PaintCallbackInfo, fbo: Option<glow::Framebuffer>) {
        let (pixels, clip) = (info.viewport_in_pixels(), info.clip_rect_in_pixels());
        // a scissor box of no size would mean no scissor at all
        if pixels.width_px <= 0 || pixels.height_px <= 0 || clip.width_px <= 0 || clip.height_px <= 0 {
            return;
        }
        if !self.cached.as_ref().is_some_and(|s| Arc::ptr_eq(s, &frame.scene)) {
            self.cache.follow(&self.context, &frame.scene);
            self.scans.follow(&self.context, &frame.scene);
            let (centre, half_edge_mm) = shadow_square(&frame.scene);
            self.shadow.follow(centre, half_edge_mm, self.cache.meshes());
            self.cached = Some(Arc::clone(&frame.scene));
        }
        let shot = Shot {
            camera: &frame.camera,
            viewport: Viewport {
                x: pixels.left_px,
                y: pixels.from_bottom_px,
                width: pixels.width_px as u32,
                height: pixels.height_px as u32,
            },
            clip_from_rel: clip_from_rel(frame),
            tokens: Tokens::of(frame.dark),
        };
        let scissor = ScissorBox {
            x: clip.left_px,
            y: clip.from_bottom_px,
            width: clip.width_px as u32,
            height: clip.height_px as u32,
        };
        let [width, height] = info.screen_size_px;
        let target = match fbo {
            Some(fbo) => RenderTarget::from_framebuffer(&self.context, width, height, fbo),
            None => RenderTarget::screen(&self.context, width, height),
        };
        target.clear_partially(scissor, ClearState::depth(1.0));
        let drawn = target.write_partially(scissor, || {
            self.surface.draw_sky(&shot);
            self.surface.draw_meshes(&shot, self.cache.meshes());
            self.surface.draw_scans(&shot, self.scans.drawn());
            self.planes.draw_floor(&shot, &frame.scene, &self.shadow);
            self.planes.draw_faces(&shot, &frame.scene, &self.shadow);
            Ok::<(), Infallible>(())
        });
        if let Err(never) = drawn {
            match never {}
        }
        // the framebuffer belongs to the window: dropping the target would delete it
        target.into_framebuffer();
    }
}

/// Clip space from places relative to the eye.
fn clip_from_rel(frame: &DrawFrame) -> Mat4 {
    let (low, high) = drawn_box(&frame.scene);
    let size = DVec2::new(frame.rect.width().into(), frame.rect.height().into());
    let (right, up, back) = frame.camera.basis();
    let turn = DMat4::from_mat3(DMat3::from_cols(right, up, back).transpose());
    let clip = frame.camera.clip_from_view(size, low, high) * turn;
    Mat4::from(clip.as_mat4().to_cols_array_2d())
}

/// The callback that draws `frame` when the window is painted.
pub fn paint_callback(view: &Arc<Mutex<GlView>>, frame: DrawFrame) -> egui::PaintCallback {
    let (view, rect) = (Arc::clone(view), frame.rect);
    let callback = egui_glow::CallbackFn::new(move |info, painter| {
        let mut view = view.lock().unwrap_or_else(PoisonError::into_inner);
        view.paint(&frame, &info, painter.intermediate_fbo());
    });
    egui::PaintCallback { rect, callback: Arc::new(callback) }
}
