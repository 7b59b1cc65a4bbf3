//! Pages to print: a display list in mm, the fonts it is set in, tables, and the PDF writer; and the cut list as a
//! table for spreadsheets. Knows no edit.
//!
//! Marks are placed from the top left corner of the page, x to the right and y down. Everything is black or
//! grey. Which marks stand where is decided by the callers; [`writer::write`] only draws them.

mod area;
mod bench_list;
mod bundle;
mod buy_list;
mod cut_list;
mod cut_sheet;
mod fonts;
mod fraction;
pub mod page;
mod part_list;
mod picture;
mod saw_list;
mod spreadsheet;
pub mod table;
pub mod template;
pub mod writer;

pub use bench_list::{bench_list, hole_list};
pub use bundle::{BundleError, PaperFile, Wanted, all_patterns, all_templates, bundle};
pub use buy_list::buy_list;
pub use cut_list::{CutListError, cut_list};
pub use cut_sheet::{dated_pdf, pages, pdf, revision};
pub use fonts::{CAP_HEIGHT, fit_text, printable, text_width_mm, unset};
pub use page::{Anchor, Grey, Mark, Page, PaperSize, Pen, PointMm};
pub use part_list::part_list;
pub use saw_list::saw_list;
