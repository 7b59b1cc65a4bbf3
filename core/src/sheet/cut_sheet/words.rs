//! Sentences broken into lines, and figures split into what is read first and what stands beside it.

use crate::model::SawScale;
use crate::sheet::fonts::text_width_mm;
use crate::sheet::table::Cell;
use crate::units::{UnitSystem, angle, length_paper, plain_number};

/// Most decimals of a saw angle that are worth printing.
const MOST_DECIMALS: usize = 3;
/// Decimals of an angle that is on no step of the saw: that of a ready slice.
const ODD_DECIMALS: usize = 2;
/// A number this close to one with fewer decimals has no more.
const SAME_DECIMAL: f64 = 1e-6;

/// A line of a paragraph.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::sheet) struct Line {
    /// Where it begins, mm from the left.
    pub(in crate::sheet) indent_mm: f64,
    pub(in crate::sheet) words: String,
}

/// `words` in lines of at most `width_mm`, the first one after a bold `lead`.
///
/// A word that is wider than a line is broken where it has to be.
pub(in crate::sheet) fn wrapped(lead: &str, words: &str, size: f64, width_mm: f64) -> Vec<Line> {
    let mut indent = 0.0;
    if !lead.is_empty() {
        indent = text_width_mm(lead, size, true) + text_width_mm(" ", size, false);
    }
    let mut out = Vec::new();
    let mut line = String::new();
    let fits = |text: &str, indent: f64| text_width_mm(text, size, false) + indent <= width_mm;
    for word in whole_words(words) {
        let word = word.as_str();
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&longer, indent) {
            line = longer;
            continue;
        }
        if !line.is_empty() || indent > 0.0 {
            out.push(Line { indent_mm: indent, words: std::mem::take(&mut line) });
            indent = 0.0;
        }
        for c in word.chars() {
            if !line.is_empty() && !fits(&format!("{line}{c}"), indent) {
                out.push(Line { indent_mm: indent, words: std::mem::take(&mut line) });
            }
            line.push(c);
        }
    }
    if !line.is_empty() || out.is_empty() {
        out.push(Line { indent_mm: indent, words: line });
    }
    out
}

/// The words of a text; a number and its fraction are one, so that no line ends between them.
fn whole_words(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let is_fraction = word.starts_with(|c: char| c.is_ascii_digit()) && word.contains('/');
        let is_unit = word.trim_end_matches(['.', ',', ';', ':', ')']) == "mm";
        match out.last_mut() {
            Some(last)
                if (is_fraction && !last.is_empty() && last.bytes().all(|b| b.is_ascii_digit()))
                    || (is_unit && last.ends_with(|c: char| c.is_ascii_digit())) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

/// A figure with nothing beside it.
pub(super) fn key(text: &str) -> Cell {
    Cell::Key { main: text.to_owned(), beside: String::new() }
}

/// A length to work to.
pub(super) fn length_key(mm: f64, units: UnitSystem) -> Cell {
    key(&plain_length(mm, units))
}

/// Where a place is marked along a piece, from its start unless it says end.
pub(super) fn marked_at(mm: f64, from_end: bool, units: UnitSystem) -> Cell {
    let beside = if from_end { "from its end" } else { "" };
    Cell::Key { main: plain_length(mm, units), beside: beside.to_owned() }
}

/// A place round the tube from the index line, the shorter way, as the air goes.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::sheet) struct Round {
    /// The arc round the outside, as a tape shows it.
    pub(in crate::sheet) arc: String,
    /// Which way: `right`, `left`, `opposite`, or `on the line`.
    pub(in crate::sheet) side: &'static str,
    /// The angle, never more than half a turn: `135°`.
    pub(in crate::sheet) deg: String,
    /// The angle, clockwise positive, degrees.
    pub(in crate::sheet) signed_deg: f64,
}

/// Angles nearer than this are one, degrees: they print alike.
const SAME_DEG: f64 = 0.05;

/// The place at a clock angle, which is counted clockwise as the air goes: the right side is that of the clockwise way.
pub(in crate::sheet) fn round(clock_deg: f64, od_mm: f64, units: UnitSystem) -> Round {
    let tenths = (clock_deg.rem_euclid(360.0) * 10.0).round() % 3600.0;
    let signed_deg = if tenths > 1800.0 { tenths - 3600.0 } else { tenths } / 10.0;
    let side = if signed_deg.abs() < SAME_DEG {
        "on the line"
    } else if signed_deg.abs() > 180.0 - SAME_DEG {
        "opposite"
    } else if signed_deg > 0.0 {
        "right"
    } else {
        "left"
    };
    let arc = plain_length(od_mm / 2.0 * signed_deg.abs().to_radians(), units);
    Round { arc, side, deg: plain_angle(signed_deg.abs()), signed_deg }
}

/// A place round the tube in a cell: the arc and its side large, the angle small; a dash where there is none.
pub(super) fn clock_key(clock_deg: Option<f64>, od_mm: f64, units: UnitSystem) -> Cell {
    let Some(clock) = clock_deg else { return dash() };
    let round = round(clock, od_mm, units);
    let main = if round.side == "on the line" {
        round.side.to_owned()
    } else {
        format!("{} {}", round.arc, round.side)
    };
    Cell::Key { main, beside: round.deg }
}

/// An angle to 0.1° without zeros at its end.
pub(super) fn plain_angle(deg: f64) -> String {
    format!("{}°", plain_number(deg, 1))
}

/// A length to check by or to mark with: a fraction alone, as no tape shows its decimals.
pub(super) fn plain_length(mm: f64, units: UnitSystem) -> String {
    let text = length_paper(mm, units);
    text.split(" (").next().unwrap_or_default().to_owned()
}

/// What the saw's scale shows, with as many decimals as its steps have.
pub(in crate::sheet) fn saw_reads(reading_deg: f64, step_deg: f64) -> String {
    let is_on = |x: f64, decimals: usize| {
        let parts = 10_f64.powi(decimals as i32);
        ((x * parts).round() / parts - x).abs() < SAME_DECIMAL
    };
    let of_step = (0..MOST_DECIMALS).find(|d| is_on(step_deg, *d)).unwrap_or(MOST_DECIMALS);
    let decimals = if is_on(reading_deg, of_step) { of_step } else { of_step.max(ODD_DECIMALS) };
    format!("{}°", plain_number(reading_deg, decimals))
}

/// What the saw is set to for a face tilted by `tilt_deg` from square.
pub(in crate::sheet) fn saw_setting(tilt_deg: f64, scale: SawScale, step_deg: f64) -> String {
    if tilt_deg == 0.0 {
        return "square".to_owned();
    }
    match scale {
        SawScale::FromSquare => saw_reads(tilt_deg, step_deg),
        SawScale::FromBlade => saw_reads(90.0 - tilt_deg, step_deg),
    }
}

/// A length that is as it is given or left whole: decimals where it is on no step of a tape.
pub(super) fn given_length(mm: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::InchFraction => crate::units::tube_size(mm, units),
        UnitSystem::InchDecimal | UnitSystem::Millimetre => {
            let on_tape = plain_length(mm, units);
            let step = crate::units::paper_step_mm(units);
            let is_on_step = (mm / step - (mm / step).round()).abs() < 1e-3;
            if is_on_step { on_tape } else { crate::units::fine_length(mm, units) }
        }
    }
}

/// Marks with those that follow each other drawn together: `A1, A3–A5, B2`.
pub(super) fn ranges<'a>(marks: impl Iterator<Item = &'a str>) -> String {
    let split = |mark: &'a str| {
        let at = mark.find(|c: char| c.is_ascii_digit()).unwrap_or(mark.len());
        (&mark[..at], mark[at..].parse::<u64>().ok())
    };
    let mut out: Vec<(&str, &str)> = Vec::new();
    for mark in marks {
        let follows = out.last().is_some_and(|(_, last)| {
            let ((letters, number), (own_letters, own)) = (split(last), split(mark));
            letters == own_letters && number.zip(own).is_some_and(|(a, b)| a + 1 == b)
        });
        match out.last_mut() {
            Some(range) if follows => range.1 = mark,
            _ => out.push((mark, mark)),
        }
    }
    let said = out
        .into_iter()
        .map(|(first, last)| if first == last { first.to_owned() } else { format!("{first}–{last}") });
    said.collect::<Vec<_>>().join(", ")
}

/// An angle the saw is set to or a bend has.
pub(super) fn angle_key(deg: f64, decimals: usize) -> Cell {
    key(&angle(deg, decimals))
}

/// Where there is nothing to say.
pub(super) fn dash() -> Cell {
    Cell::Text("—".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_never_wider_than_asked_and_lose_no_word() {
        let words = format!("Move the waypoints apart or {} take a smaller radius", "x".repeat(120));
        let lines = wrapped("Stop:", &words, 4.0, 60.0);
        for line in &lines {
            assert!(line.indent_mm + text_width_mm(&line.words, 4.0, false) <= 60.0, "{line:?}");
        }
        let joined: String = lines.iter().map(|l| l.words.as_str()).collect();
        assert_eq!(joined.replace(' ', ""), words.replace(' ', ""));
        assert_eq!(wrapped("", "", 4.0, 60.0).len(), 1);
    }

    #[test]
    fn the_saw_is_set_in_the_decimals_of_its_steps() {
        let said = |step_deg: f64, deg: f64| saw_setting(deg, SawScale::FromSquare, step_deg);
        assert_eq!(said(0.5, 11.0), "11°");
        assert_eq!(said(0.1, 11.2), "11.2°");
        assert_eq!(said(0.25, 11.25), "11.25°");
        assert_eq!(said(0.01, 11.2), "11.2°");
        assert_eq!(said(1.0, 11.0), "11°");
        assert_eq!(said(0.125, 11.125), "11.125°");
        // beside a ready slice that was cut to another step
        assert_eq!(said(0.5, 11.25), "11.25°");
        assert_eq!(said(1.0, 7.84), "7.84°");
        assert_eq!(said(0.1, 0.0), "square");
        assert_eq!(saw_setting(11.2, SawScale::FromBlade, 0.1), "78.8°");
    }

    #[test]
    fn marks_in_a_row_are_drawn_together() {
        let said = |marks: &[&str]| ranges(marks.iter().copied());
        assert_eq!(said(&["A1", "A3", "A4", "A5", "B6"]), "A1, A3–A5, B6");
        assert_eq!(said(&["W9", "W10", "AJ1", "A2", "", "?"]), "W9–W10, AJ1, A2, , ?");
        assert_eq!(said(&[]), "");
    }

    #[test]
    fn the_shorter_way_round_is_said_with_its_side() {
        // a tube of 3 in: half way round is 4.712 in, 45° is 1.178 in (computed apart)
        let said = |deg: f64| {
            let Round { arc, side, deg, .. } = round(deg, 76.2, UnitSystem::InchFraction);
            format!("{arc} {side} {deg}")
        };
        assert_eq!(said(45.0), "1 3/16\" right 45°");
        assert_eq!(said(315.0), "1 3/16\" left 45°");
        assert_eq!(said(-135.0), "3 17/32\" left 135°");
        assert_eq!(said(180.0), "4 23/32\" opposite 180°");
        assert_eq!(said(-180.02), "4 23/32\" opposite 180°");
        assert_eq!(said(359.98), "0\" on the line 0°");
    }

    #[test]
    fn no_line_ends_between_a_number_and_its_fraction() {
        assert_eq!(whole_words("saw 1 11/32\" off, 3 mm."), ["saw", "1 11/32\"", "off,", "3 mm."]);
        assert_eq!(whole_words("A1 3/4"), ["A1", "3/4"]);
    }
}
