//! Sentences broken into lines, and figures split into what is read first and what stands beside it.

use crate::model::SawScale;
use crate::sheet::fonts::text_width_mm;
use crate::sheet::table::Cell;
use crate::units::{UnitSystem, angle, clock_and_arc, length_paper};

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
    for word in words.split_whitespace() {
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

/// A figure with what stands in brackets after it beside it.
pub(super) fn key(text: &str) -> Cell {
    let (main, beside) = text.split_once(" (").unwrap_or((text, ""));
    let beside = if beside.is_empty() { String::new() } else { format!("({beside}") };
    Cell::Key { main: main.to_owned(), beside }
}

/// A length to work to.
pub(super) fn length_key(mm: f64, units: UnitSystem) -> Cell {
    key(&length_paper(mm, units))
}

/// Where a place is marked along a piece, from its start unless it says end.
pub(super) fn marked_at(mm: f64, from_end: bool, units: UnitSystem) -> Cell {
    match length_key(mm, units) {
        Cell::Key { main, beside } if from_end => {
            Cell::Key { main, beside: format!("{beside} from its end").trim_start().into() }
        }
        other => other,
    }
}

/// A place round the tube, as angle and as arc; a dash where there is none.
pub(super) fn clock_key(clock_deg: Option<f64>, od_mm: f64, units: UnitSystem) -> Cell {
    clock_deg.map_or_else(dash, |clock| key(&clock_and_arc(clock, od_mm, units)))
}

/// The same with a word that says what is marked there.
pub(super) fn clock_word(clock_deg: f64, od_mm: f64, units: UnitSystem, word: &str) -> Cell {
    match clock_key(Some(clock_deg), od_mm, units) {
        Cell::Key { main, beside } => Cell::Key { main, beside: format!("{beside} {word}") },
        other => other,
    }
}

/// A length to check by or to mark with, without the decimal beside it.
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
    angle(reading_deg, decimals)
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
        assert_eq!(said(0.5, 11.0), "11.0°");
        assert_eq!(said(0.1, 11.2), "11.2°");
        assert_eq!(said(0.25, 11.25), "11.25°");
        assert_eq!(said(0.01, 11.2), "11.20°");
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
    fn figures_come_apart_at_the_bracket() {
        let split = |text: &str| match key(text) {
            Cell::Key { main, beside } => (main, beside),
            _ => panic!("not a key"),
        };
        assert_eq!(split("3 1/2\" (3.500)"), ("3 1/2\"".to_owned(), "(3.500)".to_owned()));
        assert_eq!(split("89.0 mm"), ("89.0 mm".to_owned(), String::new()));
    }
}
