//! What each unit stands for.

use super::error::Wanted;
use super::token::Mark;

/// Turns a number with a unit into mm or degrees, as `value · times / over`.
///
/// Two whole numbers rather than one factor, so that 3 1/2 in is the same f64 as 88.9 mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    times: f64,
    over: f64,
}

impl Scale {
    /// For what is in mm, in degrees or without unit already.
    pub(super) const ONE: Self = Self { times: 1.0, over: 1.0 };
    /// For inches: 25.4 mm.
    pub(super) const INCH: Self = Self { times: 254.0, over: 10.0 };

    const CENTIMETRE: Self = Self { times: 10.0, over: 1.0 };
    const METRE: Self = Self { times: 1000.0, over: 1.0 };
    const FOOT: Self = Self { times: 3048.0, over: 10.0 };
    const MINUTE: Self = Self { times: 1.0, over: 60.0 };
    const SECOND: Self = Self { times: 1.0, over: 3600.0 };
    const RADIAN: Self = Self { times: 180.0, over: std::f64::consts::PI };

    /// The number in mm or degrees.
    pub(super) fn apply(self, value: f64) -> f64 {
        value * self.times / self.over
    }
}

/// What `mark` stands for in an entry of this kind, and the smaller unit that may follow it; `None` where the
/// unit does not belong.
pub(super) fn scale(wanted: Wanted, mark: Mark) -> Option<(Scale, Option<Mark>)> {
    match (wanted, mark) {
        (Wanted::Length, Mark::Millimetre) => Some((Scale::ONE, None)),
        (Wanted::Length, Mark::Centimetre) => Some((Scale::CENTIMETRE, None)),
        (Wanted::Length, Mark::Metre) => Some((Scale::METRE, None)),
        (Wanted::Length, Mark::Inch | Mark::DoublePrime) => Some((Scale::INCH, None)),
        (Wanted::Length, Mark::Foot | Mark::Prime) => Some((Scale::FOOT, Some(Mark::DoublePrime))),
        (Wanted::Angle, Mark::Degree) => Some((Scale::ONE, Some(Mark::Prime))),
        (Wanted::Angle, Mark::Prime) => Some((Scale::MINUTE, Some(Mark::DoublePrime))),
        (Wanted::Angle, Mark::DoublePrime) => Some((Scale::SECOND, None)),
        (Wanted::Angle, Mark::Radian) => Some((Scale::RADIAN, None)),
        (Wanted::Length, Mark::Degree | Mark::Radian)
        | (Wanted::Angle, Mark::Millimetre | Mark::Centimetre | Mark::Metre | Mark::Inch | Mark::Foot)
        | (Wanted::Number | Wanted::Count, _) => None,
    }
}
