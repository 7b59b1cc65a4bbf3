//! Strips for the stubs that flanges stand on.

use super::unroll::{Between, Edge, ShapedEdge, Template, Wrap};
use crate::fab::saddle::Saddle;
use crate::report::StubReport;

/// The strip for a stub: its seat on the pipe below, square under its flange.
///
/// `mark` is that of the part, `run` the name of its run.
pub fn stub_templates(
    saddle: &Saddle,
    stub: &StubReport,
    (mark, run): (&str, &str),
    wrap: &Wrap,
) -> Vec<Template> {
    let radius_mm = stub.od_mm / 2.0;
    let between = Between {
        od_mm: stub.od_mm,
        lower: Edge::start(Some(ShapedEdge::coped(saddle, wrap.wall_edge)), radius_mm),
        upper: Edge::end(stub.under_flange_mm, None, radius_mm),
        sides_mm: (stub.long_mm, stub.short_mm),
    };
    Template::strips(between, &[mark.to_owned()], run, wrap)
}
