//! The small parts as a table for spreadsheets: one row a part, in order along each run. Written as the cut list is.

use super::CutListError;
use super::cut_list::{can_be_cut, harmless};
use super::spreadsheet::spreadsheet;
use crate::model::Project;
use crate::report::Report;
use crate::units::{MM_PER_INCH, UnitSystem, plain_number};

/// Names of the columns; those of lengths get the unit.
const COLUMNS: [(&str, bool); 17] = [
    ("run", false),
    ("mark", false),
    ("name", false),
    ("kind", false),
    ("what", false),
    ("piece", false),
    ("measured_from", false),
    ("along_at_clock", true),
    ("leg", false),
    ("station", true),
    ("clock_deg", false),
    ("arc", true),
    ("hole", false),
    ("hole_diameter", true),
    ("weld", true),
    ("room_to_remove", true),
    ("round_bend_deg", false),
];

/// The list of all small parts of runs that can be cut; `None` where there is none.
///
/// # Errors
/// The writer's own; never in practice, as it writes to memory.
pub fn part_list(project: &Project, report: &Report) -> Result<Option<String>, CutListError> {
    let units = project.settings.units;
    let runs: Vec<_> = report.runs.iter().filter(|r| !r.parts.is_empty() && can_be_cut(report, r)).collect();
    if runs.is_empty() {
        return Ok(None);
    }
    let unit = match units {
        UnitSystem::Millimetre => "mm",
        UnitSystem::InchFraction | UnitSystem::InchDecimal => "in",
    };
    let length = |mm: f64| match units {
        UnitSystem::Millimetre => plain_number(mm, 3),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => plain_number(mm / MM_PER_INCH, 5),
    };
    let name = |(name, is_length): (&str, bool)| {
        if is_length { format!("{name}_{unit}") } else { name.to_owned() }
    };
    let text = spreadsheet(|table| {
        table.write_record(COLUMNS.map(name))?;
        for (run, part) in runs.iter().flat_map(|r| r.parts.iter().map(move |p| (r, p))) {
            let hole = part.hole.as_ref();
            table.write_record([
                harmless(&run.name),
                part.mark.clone(),
                harmless(&part.name),
                part.kind.name().to_owned(),
                harmless(&part.what),
                part.piece.clone(),
                if part.from_end { "end" } else { "start" }.to_owned(),
                length(part.printed_at_mm),
                part.leg.to_string(),
                // on a bend it is told how far round that it is
                if part.turn_deg.is_some() { String::new() } else { length(part.station_mm) },
                plain_number(part.clock_deg, 1),
                length(part.arc_mm),
                hole.map_or_else(String::new, |h| h.mark.clone()),
                hole.map_or_else(String::new, |h| length(h.diameter_mm)),
                length(part.weld_length_mm),
                part.removal_mm.map_or_else(String::new, length),
                part.turn_deg.map_or_else(String::new, |deg| plain_number(deg, 1)),
            ])?;
        }
        Ok(())
    })?;
    Ok(Some(text))
}
