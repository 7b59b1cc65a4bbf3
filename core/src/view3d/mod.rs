//! View mathematics: camera, meshes, picking and dragging. No GUI and no GPU here. Knows no file, no edit and no page.
//!
//! Positions on the screen are points from the top left corner of the view, Y down.

pub mod apart;
mod branch;
mod build;
pub mod camera;
pub mod drag;
pub mod mesh;
pub mod opening;
pub mod pick;
pub mod ray;
pub mod scene;

pub use apart::{Apart, take_apart};
pub use build::{BuiltScene, Emphasis, build_scene, obstacle_bounds};
pub use camera::{Camera, NamedView, Projection};
pub use mesh::{Mesh, item_meshes};
pub use opening::{look_at, opening};
pub use pick::{Hit, pick};
pub use ray::{Ray, Slack};
pub use scene::{Glow, Part, Scene, SceneItem, Shade, Tint};
