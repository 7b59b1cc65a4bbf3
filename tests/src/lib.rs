//! Test helpers.

pub mod glow_renderer;
pub mod headless;

pub use glow_renderer::GlowTestRenderer;
