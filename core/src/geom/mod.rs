//! Plain geometry: vectors, frames, ellipses and the solids a pipe is built of. Knows no unit and no tube.
//!
//! Lengths are millimetres, angles radians, coordinates right-handed (X forward, Y left, Z up, the vehicle
//! axes of ISO 8855). A clock angle is right-handed about the direction of travel: clockwise when one looks
//! along the travel.

pub mod ellipse;
pub mod frame;
pub mod polyline;
pub mod quadrature;
pub mod roots;
pub mod search;
pub mod solid;
pub mod tolerance;
pub mod vector;

pub use frame::Frame;
pub use solid::{Barrel, Block, Drum, Elbow, Frustum, Solid};
