//! The cuts of all sticks as a table for spreadsheets, in sawing order: what the saw pages say, one row a piece.

use super::CutListError;
use super::cut_list::harmless;
use super::spreadsheet::spreadsheet;
use crate::model::Project;
use crate::report::Report;
use crate::units::{MM_PER_INCH, UnitSystem, plain_number, rounded_for_paper_mm};

/// The list; `None` where nothing is cut.
///
/// # Errors
/// The writer's own; never in practice, as it writes to memory.
pub fn saw_list(project: &Project, report: &Report) -> Result<Option<String>, CutListError> {
    let units = project.settings.units;
    let unit = match units {
        UnitSystem::Millimetre => "mm",
        UnitSystem::InchFraction | UnitSystem::InchDecimal => "in",
    };
    let cut = |mm: f64| {
        let mm = rounded_for_paper_mm(mm, units);
        match units {
            UnitSystem::Millimetre => plain_number(mm, 3),
            UnitSystem::InchFraction | UnitSystem::InchDecimal => plain_number(mm / MM_PER_INCH, 5),
        }
    };
    if report.stock.iter().all(|s| s.sticks.is_empty()) {
        return Ok(None);
    }
    let text = spreadsheet(|table| {
        let long = format!("long_{unit}");
        let names = [
            "tube",
            "stick",
            "from",
            "piece",
            "end_first",
            "first_setting_deg",
            "turn_deg",
            "setting_deg",
            &long,
        ];
        table.write_record(names)?;
        for stock in &report.stock {
            for (index, stick) in stock.sticks.iter().enumerate() {
                for one in &stick.cuts {
                    let Some(piece) = one.key.and_then(|key| report.printed(key)) else { continue };
                    table.write_record([
                        harmless(&stock.tube),
                        (index + 1).to_string(),
                        stick.source.name().to_owned(),
                        one.mark.clone(),
                        if one.end_first { "yes" } else { "no" }.to_owned(),
                        plain_number(one.first_setting_deg, 4),
                        plain_number(one.turn_deg.unwrap_or(0.0), 1),
                        plain_number(one.setting_deg, 4),
                        cut(piece.sawn_long_mm),
                    ])?;
                }
            }
        }
        Ok(())
    })?;
    Ok(Some(text))
}
