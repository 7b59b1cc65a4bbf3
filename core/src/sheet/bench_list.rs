//! The welds of all runs in tack order, and the holes, each as a table for spreadsheets.

use super::CutListError;
use super::cut_list::{can_be_cut, harmless};
use super::cut_sheet::words::round;
use super::spreadsheet::spreadsheet;
use crate::model::Project;
use crate::report::{Report, RunReport};
use crate::units::{MM_PER_INCH, UnitSystem, plain_number, rounded_for_paper_mm};

fn unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Millimetre => "mm",
        UnitSystem::InchFraction | UnitSystem::InchDecimal => "in",
    }
}

fn length(mm: f64, units: UnitSystem) -> String {
    let mm = rounded_for_paper_mm(mm, units);
    match units {
        UnitSystem::Millimetre => plain_number(mm, 3),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => plain_number(mm / MM_PER_INCH, 5),
    }
}

/// The arc from the index line the shorter way, which side that is, and the angle.
fn place(clock_deg: f64, od_mm: f64, units: UnitSystem) -> [String; 3] {
    let place = round(clock_deg, od_mm, units);
    let deg = place.signed_deg.abs();
    [length(od_mm / 2.0 * deg.to_radians(), units), place.side.to_owned(), plain_number(deg, 1)]
}

fn runs(report: &Report) -> impl Iterator<Item = &RunReport> + '_ {
    report.runs.iter().map(|run| &**run).filter(|run| can_be_cut(report, run))
}

/// The welds; `None` where there are none.
///
/// # Errors
/// The writer's own; never in practice, as it writes to memory.
pub fn bench_list(project: &Project, report: &Report) -> Result<Option<String>, CutListError> {
    let units = project.settings.units;
    if runs(report).all(|run| run.welds.is_empty()) {
        return Ok(None);
    }
    let text = spreadsheet(|table| {
        let (arc, around) = (format!("mark_arc_{}", unit(units)), format!("weld_{}", unit(units)));
        table.write_record([
            "run",
            "tack",
            "weld",
            "from",
            "to",
            &arc,
            "mark_side",
            "mark_deg",
            "fit_last",
            &around,
        ])?;
        for run in runs(report) {
            let mut welds: Vec<_> = run.welds.iter().collect();
            welds.sort_by_key(|w| w.tack);
            for weld in welds {
                let [arc, side, deg] = place(weld.printed_clock_deg.unwrap_or(0.0), weld.od_mm, units);
                table.write_record([
                    harmless(&run.name),
                    weld.tack.to_string(),
                    weld.mark.clone(),
                    harmless(&weld.between[0]),
                    harmless(&weld.between[1]),
                    arc,
                    side,
                    deg,
                    if weld.fit { "yes" } else { "no" }.to_owned(),
                    length(weld.length_mm, units),
                ])?;
            }
        }
        Ok(())
    })?;
    Ok(Some(text))
}

/// The holes; `None` where there are none.
///
/// # Errors
/// The writer's own; never in practice, as it writes to memory.
pub fn hole_list(project: &Project, report: &Report) -> Result<Option<String>, CutListError> {
    let units = project.settings.units;
    if runs(report).all(|run| run.holes.is_empty()) {
        return Ok(None);
    }
    let text = spreadsheet(|table| {
        let unit = unit(units);
        let [along, arc, size] = ["along", "arc", "diameter"].map(|name| format!("{name}_{unit}"));
        table.write_record([
            "run",
            "hole",
            "piece",
            "measured_from",
            &along,
            &arc,
            "side",
            "deg",
            &size,
            "for",
        ])?;
        for run in runs(report) {
            for hole in &run.holes {
                let od_mm = run.printed.get(hole.piece_index).map_or(run.tube.od_mm, |p| p.od_mm);
                let [arc, side, deg] = place(hole.clock_deg, od_mm, units);
                table.write_record([
                    harmless(&run.name),
                    hole.mark.clone(),
                    hole.piece.clone(),
                    if hole.from_end { "end" } else { "start" }.to_owned(),
                    length(hole.printed_at_mm, units),
                    arc,
                    side,
                    deg,
                    plain_number(
                        match units {
                            UnitSystem::Millimetre => hole.diameter_mm,
                            UnitSystem::InchFraction | UnitSystem::InchDecimal => {
                                hole.diameter_mm / MM_PER_INCH
                            }
                        },
                        5,
                    ),
                    harmless(&hole.of),
                ])?;
            }
        }
        Ok(())
    })?;
    Ok(Some(text))
}
