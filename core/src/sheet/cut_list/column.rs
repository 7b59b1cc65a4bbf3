//! A column of the cut list: its name and how its values are written.

use super::Line;
use crate::units::{MM_PER_INCH, UnitSystem, length_paper, plain_number, rounded_for_paper_mm};

/// A name and what stands under it.
pub(super) struct Column(pub(super) &'static str, pub(super) Values);

/// Where the values come from, and what they are. `None` leaves a cell empty.
pub(super) enum Values {
    /// Words.
    Text(fn(&Line<'_>) -> Option<String>),
    /// A number of things.
    Count(fn(&Line<'_>) -> Option<usize>),
    /// A length of the sheet, mm, rounded as there where `true` stands beside it.
    Cut(fn(&Line<'_>) -> Option<(f64, bool)>),
    /// A length that is given, mm.
    Given(fn(&Line<'_>) -> Option<f64>),
    /// An angle, degrees.
    Angle(fn(&Line<'_>) -> Option<f64>),
    /// An angle from −180° to 180°, degrees, in the steps of clock angles.
    Turn(fn(&Line<'_>) -> Option<f64>),
    /// A place round the tube, degrees.
    Clock(fn(&Line<'_>) -> Option<f64>),
    /// The same clock angle as a length round the outside.
    Arc(fn(&Line<'_>) -> Option<f64>),
}

/// Decimals of angles that are cut or turned; the saw's step may be as fine as 0.001°.
const ANGLE_DECIMALS: usize = 4;

impl Column {
    /// Its name with the unit, and that of the fraction beside it.
    pub(super) fn names(&self, units: UnitSystem) -> Vec<String> {
        let name = self.0;
        match self.1 {
            Values::Text(_) | Values::Count(_) => vec![name.to_owned()],
            Values::Angle(_) | Values::Turn(_) | Values::Clock(_) => vec![format!("{name}_deg")],
            Values::Given(_) => vec![format!("{name}_{}", unit(units))],
            Values::Cut(_) | Values::Arc(_) => {
                let mut names = vec![format!("{name}_{}", unit(units))];
                if units == UnitSystem::InchFraction {
                    names.push(format!("{name}_fraction"));
                }
                names
            }
        }
    }

    /// Its cells in the row of a piece, as many as it has names.
    pub(super) fn cells(&self, line: &Line<'_>, units: UnitSystem) -> Vec<String> {
        let degrees = |deg: Option<f64>, decimals| vec![number(deg, decimals)];
        match self.1 {
            Values::Text(of) => vec![of(line).map(|words| harmless(&words)).unwrap_or_default()],
            Values::Count(of) => vec![of(line).map(|n| n.to_string()).unwrap_or_default()],
            Values::Given(of) => vec![given(of(line), units)],
            Values::Angle(of) => degrees(of(line), ANGLE_DECIMALS),
            Values::Turn(of) => degrees(of(line), 1),
            Values::Clock(of) => degrees(of(line).map(printed_clock_deg), 1),
            Values::Cut(of) => lengths(of(line), units),
            Values::Arc(of) => {
                let arc = |deg: f64| line.piece.od_mm / 2.0 * printed_clock_deg(deg).to_radians();
                lengths(of(line).map(|deg| (arc(deg), true)), units)
            }
        }
    }
}

fn unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Millimetre => "mm",
        UnitSystem::InchFraction | UnitSystem::InchDecimal => "in",
    }
}

/// A clock angle as the sheet has it: in [0°, 360°), to 0.1°.
fn printed_clock_deg(deg: f64) -> f64 {
    (deg.rem_euclid(360.0) * 10.0).round() % 3600.0 / 10.0
}

fn number(x: Option<f64>, decimals: usize) -> String {
    x.filter(|x| x.is_finite()).map(|x| plain_number(x, decimals)).unwrap_or_default()
}

/// A length in decimals fine enough for any step: 0.001 mm, or 1e-5 in, which has every 1/32 in exact.
pub(super) fn given(mm: Option<f64>, units: UnitSystem) -> String {
    match units {
        UnitSystem::Millimetre => number(mm, 3),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => number(mm.map(|mm| mm / MM_PER_INCH), 5),
    }
}

/// A length, rounded where it is so on the sheet, and with fractions its fraction beside it.
pub(super) fn lengths(length: Option<(f64, bool)>, units: UnitSystem) -> Vec<String> {
    let rounded = |(mm, is_rounded)| if is_rounded { rounded_for_paper_mm(mm, units) } else { mm };
    let mut cells = vec![given(length.map(rounded), units)];
    if units == UnitSystem::InchFraction {
        // the inch mark keeps spreadsheets from reading 1/2 as a date
        let fraction = length.map(|(mm, _)| length_paper(mm, units));
        cells.push(fraction.and_then(|f| Some(f.split(" (").next()?.to_owned())).unwrap_or_default());
    }
    cells
}

/// Words that no spreadsheet takes for a formula: an apostrophe goes before a leading = + - @ (their wide forms too),
/// whatever white space or control characters stand before it, and before a leading tab or line break.
pub(in crate::sheet) fn harmless(words: &str) -> String {
    let first = words.trim_start_matches(|c: char| c.is_whitespace() || c.is_control()).chars().next();
    let is_formula = first.is_some_and(|c| matches!(c, '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠'));
    let is_broken = words.starts_with(char::is_control);
    if is_formula || is_broken { format!("'{words}") } else { words.to_owned() }
}
