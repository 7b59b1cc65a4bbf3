//! Wrap templates: strips of paper whose edge is the cut, at 1:1.
//!
//! A strip is cut out, wrapped round the tube with the printed side out and its seam on the index line, and the tube
//! is marked round its edge. [`templates`] makes one strip for all pieces of one shape (two for a long piece with
//! two mitred ends); [`pages()`] and [`pdf`] set them on paper, [`svg`] and [`dxf`] write one of them as a drawing.

mod bar;
mod draw;
mod dxf;
mod group;
mod label;
mod pages;
mod pattern;
mod plate;
mod room;
mod stub;
mod svg;
mod tile;
mod unroll;

pub use bar::bar_templates;
pub use dxf::{dxf, stamped_dxf};
pub use group::templates;
pub use pages::{Heading, pages, pdf};
pub use pattern::{Pattern, Wrapped, cone_pattern, hole_pattern};
pub use plate::plate_pattern;
pub use stub::stub_templates;
pub use svg::{stamped_svg, svg};
pub use unroll::{Edge, OtherEnd, Part, ShapedEdge, ShapedTo, Template, Wrap};

#[cfg(test)]
mod tests;
