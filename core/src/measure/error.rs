//! What keeps a measurement from being worked out: the facts, and one sentence that says what to do.

use super::words::{amount, degrees, listed};
use crate::units::{UnitSystem, length, long_length};

/// What is counted when there are too few or too many readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// Tapes to a point.
    Tapes,
    /// Points on a rim.
    RimPoints,
    /// Pairs of points to fit.
    Pairs,
}

impl Needs {
    /// Least and most that can be worked with.
    pub const fn range(self) -> (usize, usize) {
        match self {
            Self::Tapes => (3, 20),
            Self::RimPoints => (3, 500),
            Self::Pairs => (3, 40),
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Tapes => "tapes to different datums",
            Self::RimPoints => "points on the rim",
            Self::Pairs => "pairs of points",
        }
    }
}

/// How one tape alone would have to read for all three to meet.
#[derive(Debug, Clone, PartialEq)]
pub struct TapeMend {
    /// Which of the tapes, from 0.
    pub tape: usize,
    /// Name of its datum.
    pub datum: String,
    /// What to add to the tape, mm: positive where it reads too short.
    pub add_mm: f64,
}

/// Why nothing can be worked out.
#[derive(Debug, Clone, PartialEq)]
pub enum MeasureError {
    /// A reading is no number.
    NotANumber {
        /// What was to be read, as it begins a sentence.
        what: String,
    },
    /// A length is beyond what a project may hold.
    TooFar {
        /// What was read, as it begins a sentence.
        what: String,
        /// What it was, mm.
        mm: f64,
        /// Most it may be, mm.
        most_mm: f64,
    },
    /// A length that must be above zero is not.
    NotPositive {
        /// What was read, as it begins a sentence.
        what: String,
        /// What it was, mm.
        mm: f64,
    },
    /// Too few readings, or more than anyone takes.
    Count {
        /// What is counted.
        needs: Needs,
        /// How many there are.
        have: usize,
    },
    /// A direction of zero length, or that is no number.
    NoDirection {
        /// Which one, as it begins a sentence.
        what: String,
    },
    /// Two points that must differ are one.
    SamePoint {
        /// The one, as it begins a sentence.
        first: String,
        /// The other.
        second: String,
        /// How far they are apart, mm.
        apart_mm: f64,
    },
    /// Points that must span a plane lie in one line.
    InLine {
        /// Their names, as they begin a sentence.
        names: Vec<String>,
        /// What lying in line leaves open, and what to do.
        kind: Needs,
    },
    /// Three tapes do not meet anywhere.
    TapesDoNotMeet {
        /// Least that one tape alone would have to change, mm; the whole miss where none can mend it.
        miss_mm: f64,
        /// What each tape alone would have to change, the smallest first; those that could not mend it are left out.
        mends: Vec<TapeMend>,
    },
    /// The rim points run so straight that any circle fits.
    RimStraight,
    /// Seen from the side it goes forward and from above backward, or the other way round.
    ViewsContradict {
        /// Angle in the side view, rad.
        side_rad: f64,
        /// Angle in the plan view, rad.
        above_rad: f64,
    },
    /// The direction runs across both views, which then say nothing about it.
    ViewsBlind,
    /// An incline beyond straight up or down.
    Incline {
        /// What was read, rad.
        incline_rad: f64,
    },
    /// An angle to a line outside 0 to 180°.
    LineAngle {
        /// Name of the line.
        line: String,
        /// What was read, rad.
        angle_rad: f64,
    },
    /// Two known lines too nearly parallel to tell directions by.
    LinesParallel {
        /// The one, as it begins a sentence.
        first: String,
        /// The other.
        second: String,
        /// Angle between them, rad.
        apart_rad: f64,
    },
    /// No direction makes both angles.
    AnglesDoNotMeet {
        /// Name of the first line.
        first: String,
        /// Name of the second line.
        second: String,
        /// By how much the angles together are off, rad.
        by_rad: f64,
        /// Whether they are too small, for lines this far apart; else too large, or too different.
        short: bool,
    },
}

impl MeasureError {
    /// The sentence: what is wrong, where, and what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::NotANumber { what } => format!("{what} is not a number: enter it again."),
            Self::TooFar { what, mm, most_mm } => format!(
                "{what} is {}, beyond the {} a project may hold: check the figure and its unit.",
                long_length(*mm, units),
                long_length(*most_mm, units)
            ),
            Self::NotPositive { what, mm } => {
                format!("{what} is {}, but it must be above zero: enter what was read.", length(*mm, units))
            }
            Self::Count { needs, have } => {
                let (least, most) = needs.range();
                if *have < least {
                    format!("At least {least} {} are needed, and there are {have}: add more.", needs.word())
                } else {
                    format!("At most {most} {} are used, and there are {have}: take some away.", needs.word())
                }
            }
            Self::NoDirection { what } => {
                format!("{what} has no direction, its length is zero: enter where it points.")
            }
            Self::SamePoint { first, second, apart_mm } => format!(
                "{first} and {second} are one point, only {} apart: take another place for one of them.",
                amount(*apart_mm, units)
            ),
            Self::InLine { names, kind } => in_line(names, *kind),
            Self::TapesDoNotMeet { miss_mm, mends } => do_not_meet(*miss_mm, mends, units),
            Self::RimStraight => {
                "The rim points run so nearly straight that any circle fits: take points further round the rim."
                    .to_owned()
            }
            Self::ViewsContradict { side_rad, above_rad } => format!(
                "Seen from the side at {} and from above at {}, it would go forward in one view and backward in the other: read both from the same end.",
                degrees(*side_rad),
                degrees(*above_rad)
            ),
            Self::ViewsBlind => {
                "It runs straight across both views, which say nothing about it then: read its incline from level and its heading instead.".to_owned()
            }
            Self::Incline { incline_rad } => format!(
                "An incline of {} is beyond straight up or down: enter one from -90° to 90°.",
                degrees(*incline_rad)
            ),
            Self::LineAngle { line, angle_rad } => format!(
                "The angle to {line} is {}: enter one from 0° to 180°, from the way that line points.",
                degrees(*angle_rad)
            ),
            Self::LinesParallel { first, second, apart_rad } => format!(
                "{first} and {second} are only {} apart, too nearly one direction to measure from: take another line.",
                degrees(*apart_rad)
            ),
            Self::AnglesDoNotMeet { first, second, by_rad, short } => {
                let how = if *short { "too small together" } else { "too far apart or too large" };
                format!(
                    "No direction makes both angles: those to {first} and {second} are {} {how}. Read them again, each from the way its line points.",
                    degrees(*by_rad)
                )
            }
        }
    }
}

fn in_line(names: &[String], kind: Needs) -> String {
    let names = listed(names, "and");
    match kind {
        Needs::Tapes => format!(
            "{names} lie in one line, so the point could be anywhere round it: tape from a datum well off that line."
        ),
        Needs::RimPoints => {
            format!("{names} lie in one line, which no circle does: take points further round the rim.")
        }
        Needs::Pairs => {
            format!("{names} lie in one line, so the fit could turn about it: add a pair well off that line.")
        }
    }
}

fn do_not_meet(miss_mm: f64, mends: &[TapeMend], units: UnitSystem) -> String {
    let way = |m: &TapeMend| {
        let how = if m.add_mm > 0.0 { "short" } else { "long" };
        format!("the one to {} is {} too {how}", m.datum, amount(m.add_mm, units))
    };
    let (head, tail) = ("The three tapes do not meet", "Tape them again.");
    match mends {
        [] => format!(
            "{head}, they miss by {}, and no single one of them is to blame. {tail}",
            amount(miss_mm, units)
        ),
        [one] => format!("{head}: likeliest {}. {tail}", way(one)),
        [first, second, ..] if second.add_mm.abs() < LIKE * first.add_mm.abs() => {
            format!("{head}: likeliest {}, or {}. {tail}", way(first), way(second))
        }
        [first, ..] => format!("{head}: likeliest {}. {tail}", way(first)),
    }
}

/// A second tape is named as well where it would have to change by less than this many times the first.
const LIKE: f64 = 1.5;
