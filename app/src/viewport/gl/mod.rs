//! The 3D view's drawing. The only place that knows the graphics library.

mod cache;
mod materials;
mod plane;
mod renderer;
mod scans;
mod shadow;
mod surface;

pub use renderer::{DrawFrame, GlView, paint_callback};
