//! View mathematics: camera, meshes, picking and dragging. No GUI and no GPU here.

pub mod scene;

pub use scene::{Glow, Part, Scene, SceneItem, Shade, Tint};
