//! From a run to what is sawn and welded. Each file answers one question. Knows no edit, no file and no gap.

pub mod bar;
pub mod build;
pub mod cone;
pub mod done;
pub mod elbow;
pub mod end_curve;
pub mod ends;
pub mod face;
pub mod forecast;
pub mod hole;
pub mod lay;
pub mod limb;
pub mod lra;
pub mod merge;
pub mod mitre;
pub mod nest;
pub mod paper;
pub mod part;
pub mod piece;
pub mod printed;
pub mod rim;
pub mod route;
pub mod saddle;
pub mod shelf;
pub mod slash;
pub mod spot;
pub mod taper;
mod wall;
pub mod weld;
pub mod weld_plan;

pub use build::{Built, build};
pub use ends::build_all;
pub use mitre::Mitre;
pub use piece::{Cut, Piece, PieceKind};
pub use route::{Bend, Leg, Route, clock_problem, trace};
pub use weld::{Weld, WeldKind};
