//! The buy list as a table for spreadsheets: tube and bar by the stick, then everything else.

use super::cut_list::{CutListError, harmless};
use super::spreadsheet::spreadsheet;
use crate::model::Project;
use crate::report::Report;
use crate::units::{length_paper, plain_number};

/// A row: what, size, how many, what for, what else is to be known.
type Line = [String; 5];

/// The buy list; `None` where nothing is needed. Comma separated values as the cut list.
///
/// # Errors
/// The writer's own; never in practice, as it writes to memory.
pub fn buy_list(project: &Project, report: &Report) -> Result<Option<String>, CutListError> {
    let lines: Vec<Line> = sticks(project, report).into_iter().chain(others(report)).collect();
    if lines.is_empty() {
        return Ok(None);
    }
    let text = spreadsheet(|table| {
        table.write_record(["what", "size", "count", "for", "note"])?;
        for line in &lines {
            table.write_record(line.each_ref().map(|cell| harmless(cell)))?;
        }
        Ok(())
    })?;
    Ok(Some(text))
}

/// Sticks of tube and of bar.
fn sticks(project: &Project, report: &Report) -> Vec<Line> {
    let units = project.settings.units;
    let long = |mm: f64| {
        let text = length_paper(mm, units);
        format!("stick of {}", text.split(" (").next().unwrap_or_default())
    };
    let at_most = |buy: usize, least: usize| if buy > least { "at most" } else { "" };
    let mut out = Vec::new();
    for stock in report.stock.iter().filter(|s| s.sticks_to_buy > 0) {
        let Some(tube) = project.tube(stock.tube_id) else { continue };
        let letters: Vec<&str> = report
            .runs
            .iter()
            .filter(|r| r.built.pieces.iter().any(|p| p.tube == stock.tube_id && p.is_sawn()))
            .map(|r| r.letters.as_str())
            .collect();
        let mut note = vec![long(tube.stick_mm)];
        note.extend(
            Some(at_most(stock.sticks_to_buy, stock.least_to_buy).to_owned()).filter(|n| !n.is_empty()),
        );
        note.extend(tube.stick_price.map(|price| format!("{} each, as priced", plain_number(price, 2))));
        out.push([
            "Tube".to_owned(),
            stock.tube.clone(),
            stock.sticks_to_buy.to_string(),
            letters.join(", "),
            note.join("; "),
        ]);
    }
    for stock in report.bar_stock.iter().filter(|s| s.sticks_to_buy > 0) {
        let marks: Vec<&str> =
            stock.sticks.iter().flat_map(|s| &s.cuts).map(|cut| cut.mark.as_str()).collect();
        let mut note = vec![long(stock.stick_mm)];
        note.extend(
            Some(at_most(stock.sticks_to_buy, stock.least_to_buy).to_owned()).filter(|n| !n.is_empty()),
        );
        out.push([
            "Bar".to_owned(),
            stock.stock.clone(),
            stock.sticks_to_buy.to_string(),
            marks.join(", "),
            note.join("; "),
        ]);
    }
    out
}

fn others(report: &Report) -> impl Iterator<Item = Line> + '_ {
    report.buy.iter().map(|row| {
        [
            row.what.name().to_owned(),
            row.size.clone(),
            row.count.to_string(),
            row.wanted_for.join(", "),
            row.note.clone(),
        ]
    })
}
