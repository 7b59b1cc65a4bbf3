//! What is said on a strip.

use super::unroll::{Edge, OtherEnd, Part, ShapedEdge, ShapedTo, Template};
use crate::fab::limb::Edge as WallEdge;
use crate::sheet::cut_sheet::words::saw_setting;
use crate::sheet::fonts::fit_text;
use crate::units::{UnitSystem, angle, length_paper, tube_size};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// More marks than this are given as ranges.
const LISTED_MARKS: usize = 12;
/// Font size at which names are cut to a sensible width, and that width, mm.
const NAME_MM: (f64, f64) = (3.0, 60.0);
/// A quarter line nearer than this (rad, 0.05°) to a heel or throat line has no words of its own.
const ONE_LINE_RAD: f64 = 0.05 * TAU / 360.0;

/// Which part of a strip's height a line covers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Span {
    /// All of it.
    Full,
    /// The half towards the start.
    Lower,
    /// The half towards the end.
    Upper,
}

/// A line along the tube.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct HelpLine {
    /// Its clock, rad in [0, 2π).
    pub(super) clock_rad: f64,
    /// What it is.
    pub(super) words: String,
    /// Whether it is a heel, a throat or a bend's inside, not just a quarter.
    pub(super) is_side: bool,
    /// How far it goes.
    pub(super) span: Span,
}

/// Heel and throat lines of each cut, the inside of a bar's bend, then the quarter lines; the index line is the seam and not among them.
pub(super) fn help_lines(template: &Template) -> Vec<HelpLine> {
    let mut out = Vec::new();
    let mut sides = |edge: &Edge, prefix: &str, span| {
        let Some(heel) = edge.cut.heel_clock_rad else { return };
        for (name, clock) in [("heel", heel), ("throat", heel + PI)] {
            let clock_rad = clock.rem_euclid(TAU) % TAU;
            let words = format!("{prefix}{name} {}", clock_words(clock_rad));
            out.push(HelpLine { clock_rad, words, is_side: true, span });
        }
    };
    if template.has_one_heel() {
        let edge = if template.lower.is_mitred() { &template.lower } else { &template.upper };
        sides(edge, "", Span::Full);
    } else {
        sides(&template.lower, "start ", Span::Lower);
        sides(&template.upper, "end ", Span::Upper);
    }
    if let Some(clock) = template.bend_clock_rad {
        let clock_rad = clock.rem_euclid(TAU) % TAU;
        let words = format!("inside of bend {}", clock_words(clock_rad));
        out.push(HelpLine { clock_rad, words, is_side: true, span: Span::Full });
    }
    for quarter in 1..4 {
        let clock_rad = f64::from(quarter) * FRAC_PI_2;
        let taken = out.iter().any(|l| l.is_side && (l.clock_rad - clock_rad).abs() < ONE_LINE_RAD);
        let words = if taken { String::new() } else { format!("{}°", quarter * 90) };
        out.push(HelpLine { clock_rad, words, is_side: false, span: Span::Full });
    }
    out
}

/// A clock angle as on the sheet: to 0.1°, below 360°.
fn clock_words(clock_rad: f64) -> String {
    let tenths = (clock_rad.to_degrees() * 10.0).round().rem_euclid(3600.0);
    angle(tenths / 10.0, 1)
}

/// The marks in one line, and in more lines for narrow strips.
pub(super) fn marks(template: &Template) -> Vec<Vec<String>> {
    let names =
        if template.names.len() > LISTED_MARKS { ranges(&template.names) } else { template.names.clone() };
    (1..=4)
        .filter(|lines| *lines == 1 || *lines <= names.len())
        .map(|lines| names.chunks(names.len().div_ceil(lines).max(1)).map(|c| c.join(" ")).collect())
        .collect()
}

/// Marks that follow each other as `A3–A9`.
fn ranges(names: &[String]) -> Vec<String> {
    let number = |name: &str| {
        let letters = name.trim_end_matches(|c: char| c.is_ascii_digit());
        Some((letters.to_owned(), name[letters.len()..].parse::<u64>().ok()?))
    };
    let mut out: Vec<(String, String)> = Vec::new();
    for name in names {
        let follows = out.last().and_then(|(_, last)| {
            let (a, b) = (number(last)?, number(name)?);
            Some(a.0 == b.0 && a.1.checked_add(1) == Some(b.1))
        });
        match out.last_mut() {
            Some((_, last)) if follows == Some(true) => last.clone_from(name),
            _ => out.push((name.clone(), name.clone())),
        }
    }
    out.into_iter().map(|(a, b)| if a == b { a } else { format!("{a}–{b}") }).collect()
}

/// Where the square edge of a band belongs, in one line and in more; nothing for a whole piece.
pub(super) fn far_edge(template: &Template) -> Vec<Vec<String>> {
    let (far_mm, from, end) = match template.part {
        Part::Whole => return Vec::new(),
        Part::Start { far_mm, from } => (far_mm, from, "end"),
        Part::End { far_mm, from } => (far_mm, from, "start"),
    };
    if from == OtherEnd::Bend && far_mm == 0.0 {
        return vec![
            vec!["this edge is where the bend begins".to_owned()],
            vec!["this edge is where".to_owned(), "the bend begins".to_owned()],
        ];
    }
    let figure = on_paper(far_mm, template.units);
    let (face, point) = match from {
        OtherEnd::Square => (format!("the square {end}"), String::new()),
        OtherEnd::LongPoint => ("the long point".to_owned(), format!("of the {end} cut")),
        OtherEnd::Bend => ("where".to_owned(), "the bend begins".to_owned()),
    };
    let one = format!("this edge is {figure} from {face} {point}").trim_end().to_owned();
    let mut three = vec!["this edge is".to_owned(), figure.clone(), format!("from {face}")];
    let mut two =
        vec![format!("this edge is {figure}"), format!("from {face} {point}").trim_end().to_owned()];
    if !point.is_empty() {
        three.push(point.clone());
        two = vec![format!("this edge is {figure}"), format!("from {face}"), point];
    }
    vec![vec![one], two, three]
}

/// Which way the travel goes: above and below the arrow.
pub(super) fn travel(template: &Template) -> (&'static str, &'static str) {
    match template.part {
        Part::Whole => ("end", "start"),
        Part::Start { .. } => ("to the end", "start"),
        Part::End { .. } => ("end", "to the start"),
    }
}

/// The facts, each in one line.
pub(super) fn facts(template: &Template) -> Vec<String> {
    let units = template.units;
    let to = if template.bend_clock_rad.is_some() { " to the bend" } else { "" };
    vec![
        "printed side out".to_owned(),
        saw(template),
        format!("long side {}{to}", on_paper(template.long_mm, units)),
        format!("short side {}{to}", on_paper(template.short_mm, units)),
        format!(
            "tube OD {}, paper {}",
            tube_size(template.od_mm, units),
            // paper is sold by thickness in mm and in thousandths
            crate::units::fine_length(template.paper_mm, units)
        ),
        fit_text(&template.run, NAME_MM.0, false, NAME_MM.1),
    ]
}

/// A length as the sheet has it: a fraction alone, as no tape shows its decimals.
pub(super) fn on_paper(mm: f64, units: UnitSystem) -> String {
    let text = length_paper(mm, units);
    text.split(" (").next().unwrap_or_default().to_owned()
}

/// What a shaped end sits on, and which edge of the wall the line is.
fn shaped_words(shaped: &ShapedEdge) -> String {
    let on = match shaped.to {
        ShapedTo::Header => "its header",
        ShapedTo::Merge => "the merge",
        ShapedTo::Tube => "what it sits on",
    };
    let edge = match shaped.wall_edge {
        WallEdge::Seat => "",
        WallEdge::Outside => ", outside edge",
        WallEdge::Inside => ", inside edge",
    };
    format!(" for {on}{edge}")
}

fn saw(template: &Template) -> String {
    let tilt = |edge: &Edge| edge.cut.tilt_rad.to_degrees();
    let cut = |edge: &Edge| match &edge.shaped {
        _ if edge.is_mitred() => saw_setting(tilt(edge), template.scale, template.step_deg),
        Some(shaped) => format!("square, then this line{}", shaped_words(shaped)),
        None => "square".to_owned(),
    };
    let (lower, upper) = (&template.lower, &template.upper);
    match template.part {
        Part::Start { .. } => format!("saw {} at the start", cut(lower)),
        Part::End { .. } => format!("saw {} at the end", cut(upper)),
        Part::Whole if cut(lower) == cut(upper) => format!("saw {}", cut(lower)),
        Part::Whole => format!("saw: start {}, end {}", cut(lower), cut(upper)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_marks_are_given_as_ranges() {
        let names = |list: &[&str]| list.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
        assert_eq!(ranges(&names(&["A3", "A4", "A5", "A9", "B1", "B2"])), ["A3–A5", "A9", "B1–B2"]);
        assert_eq!(ranges(&names(&["odd", "A9", "A10"])), ["odd", "A9–A10"]);
        assert!(ranges(&[]).is_empty());
    }

    #[test]
    fn a_clock_that_rounds_to_a_full_turn_is_none() {
        assert_eq!(clock_words(TAU - 1e-6), "0.0°");
        assert_eq!(clock_words(0.5_f64.to_radians()), "0.5°");
    }
}
