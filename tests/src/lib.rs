//! Test helpers.

pub mod dice;
pub mod glow_renderer;
pub mod headless;
pub mod scans;
pub mod shop;

pub use glow_renderer::GlowTestRenderer;
