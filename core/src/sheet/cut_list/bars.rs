//! Bars in the cut list: one row each, under those columns that they have.

use super::column::{given, harmless, lengths};
use crate::model::{Bar, Project};
use crate::report::{BarReport, Report};
use crate::units::UnitSystem;

/// The cells of a bar under `names`, the names of all columns with their units.
pub(super) fn row(
    project: &Project,
    report: &Report,
    (bar, made): (&Bar, &BarReport),
    names: &[String],
) -> Vec<String> {
    let units = project.settings.units;
    let is_sawn = bar.is_sawn();
    let place = report.bar_stock.iter().find_map(|group| {
        let find = |(i, s): (usize, &crate::report::StickReport)| {
            s.cuts.iter().position(|c| c.mark == made.mark).map(|k| (i + 1, k + 1))
        };
        group.sticks.iter().enumerate().find_map(find)
    });
    let count = |n: Option<usize>| n.map(|n| n.to_string()).unwrap_or_default();
    let cell = |name: &String| {
        let (stem, unit) = name.rsplit_once('_').unwrap_or((name, ""));
        match (name.as_str(), stem, unit) {
            ("run", ..) => harmless(&made.name),
            ("mark", ..) => made.mark.clone(),
            ("kind", ..) => if bar.corners.is_empty() { "bar" } else { "bent bar" }.to_owned(),
            ("source", ..) => if is_sawn { "sawn" } else { "stick" }.to_owned(),
            ("tube", ..) => harmless(&made.stock),
            ("stick", ..) => count(place.map(|p| p.0)),
            ("stick_order", ..) => count(place.map(|p| p.1)),
            (_, "od", _) => given(Some(made.od_mm), units),
            (_, "long" | "centre", unit) => cut(made.cut_printed_mm, unit, units),
            _ => String::new(),
        }
    };
    names.iter().map(cell).collect()
}

/// A length to cut to, as decimal or as fraction.
fn cut(mm: f64, unit: &str, units: UnitSystem) -> String {
    let cells = lengths(Some((mm, true)), units);
    let at = usize::from(unit == "fraction");
    cells.into_iter().nth(at).unwrap_or_default()
}
