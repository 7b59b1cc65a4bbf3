//! Why an entry was refused.

use std::fmt;
use std::ops::Range;

/// What an entry should have been.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// A length.
    Length,
    /// An angle.
    Angle,
    /// A number without unit.
    Number,
    /// A whole number, not negative.
    Count,
}

impl fmt::Display for Wanted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Length => "a length is written like 3 1/2, 3.5\", 88.9mm, 2'6 or 2*(1+3/8)in",
            Self::Angle => "an angle is written like 45, 22.5°, 22°30' or 90/4",
            Self::Number => "a number is written like 12, 0.5, 3 1/2 or 2*(1+3/8), without a unit",
            Self::Count => "a count is a whole number such as 4, from 0 up",
        })
    }
}

/// An entry that was refused. Its `Display` says what is wrong, where, and what is accepted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{problem}; {wanted}.")]
pub struct EntryError {
    /// What is wrong.
    pub problem: EntryProblem,
    /// What should have been there.
    pub wanted: Wanted,
    /// The offending bytes of the text; empty and at its end where something is missing.
    pub at: Range<usize>,
}

/// What is wrong with an entry. Each `String` is the offending piece of the text, as typed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EntryProblem {
    /// Nothing, or only blanks.
    #[error("Nothing is entered")]
    Empty,
    /// A word or sign that means nothing here.
    #[error("“{0}” is not understood")]
    Unknown(String),
    /// A number with two decimal signs.
    #[error("“{0}” has more than one decimal sign")]
    BrokenNumber(String),
    /// A comma that may part thousands or decimals.
    #[error("“{0}” may mean thousands or decimals: write it with a point, or without the comma")]
    AmbiguousComma(String),
    /// A hyphen that may mean "and" or "minus".
    #[error("“{0}” may mean “and” or “minus”: put blanks round the minus sign, or leave the hyphen out")]
    AmbiguousHyphen(String),
    /// Two numbers, or a number and a bracket, with nothing between them.
    #[error("“{0}” follows a number with nothing to say how they go together")]
    SideBySide(String),
    /// A unit where one has been given.
    #[error("“{0}” is a second unit for the same number")]
    TwoUnits(String),
    /// A unit of something else, or any unit where none belongs.
    #[error("The unit “{0}” does not belong here")]
    WrongUnit(String),
    /// A number, bracket or unit is needed and this stands there.
    #[error("A number is needed where “{0}” stands")]
    NumberNeeded(String),
    /// The text stops where a number is needed.
    #[error("It stops after “{0}”, where a number is needed")]
    Unfinished(String),
    /// An opening bracket without its partner.
    #[error("A bracket is opened and not closed")]
    NotClosed,
    /// A closing bracket without its partner.
    #[error("A bracket is closed that was not opened")]
    NotOpened,
    /// Brackets inside brackets beyond reason.
    #[error("There are too many brackets inside each other")]
    TooDeep,
    /// A product of two quantities that both have a unit.
    #[error("“{0}” multiplies two values that both have a unit")]
    UnitTimesUnit(String),
    /// A division by a quantity that has a unit.
    #[error("“{0}” divides by a value with a unit")]
    DividedByUnit(String),
    /// A division by zero.
    #[error("“{0}” divides by zero")]
    DividedByZero(String),
    /// Minutes or seconds of an angle from 60 up.
    #[error("“{0}” is too many: minutes and seconds go up to 59")]
    TooManyMinutes(String),
    /// Larger than anything that can be meant.
    #[error("“{0}” is larger than anything that can be meant here")]
    TooLarge(String),
    /// Not a whole number, or below zero, where a count is needed.
    #[error("“{0}” is not a whole number from 0 up")]
    NotACount(String),
}
