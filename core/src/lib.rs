//! Routing, mitre, joint and sheet logic of Pipeloft; knows no window.
//!
//! Space is right-handed, X forward, Y left, Z up. Lengths are millimetres in f64; what computes works in radians,
//! the document keeps degrees as they were typed. What a user entered never panics: what cannot be built becomes a
//! [`finding::Problem`] with its facts.
//!
//! ```
//! use pipeloft_core::fab::Mitre;
//! use pipeloft_core::model::Ends;
//!
//! // 90° in 3 in tube at a centreline radius of 4 1/2 in, four welds: three whole slices, the saw at 11.25°
//! let bend = Mitre::equal(90_f64.to_radians(), 114.3, 76.2, 4, Ends::Half);
//! assert_eq!(bend.slices(), 3);
//! assert!((bend.saw_rad().to_degrees() - 11.25).abs() < 1e-12);
//! ```

pub mod disk;
pub mod edit;
pub mod fab;
pub mod file;
pub mod finding;
pub mod geom;
pub mod measure;
pub mod model;
pub mod report;
pub mod seat;
pub mod sheet;
pub mod space;
pub mod units;
pub mod view3d;
pub mod watch;

#[cfg(test)]
mod testing;
