//! Routing, mitre, joint and sheet logic of Pipeloft; knows no window.

pub mod edit;
pub mod fab;
pub mod file;
pub mod finding;
pub mod geom;
pub mod model;
pub mod report;
pub mod sheet;
pub mod space;
pub mod units;
pub mod view3d;

#[cfg(test)]
mod testing;
