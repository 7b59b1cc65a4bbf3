//! What is said of sleeves and pins, of entries that a bar cannot be worked out from, and of copes that do not seat.

use crate::finding::{BarError, CopeFault, CopedOnto, Fit, PinFit, SaddleError, Side, SleeveFit};
use crate::units::{UnitSystem, angle, fit_length, length, plain_number, tube_size};

impl SleeveFit {
    /// How it goes, and what to do, as a sentence; `instead` is the name of a size that slides, where there is one.
    pub fn text(&self, units: UnitSystem, instead: Option<&str>) -> String {
        let clearance = fit_length(self.clearance_mm.abs(), units);
        let (from, to) = self.slides_mm;
        let inside =
            format!("one with an inside of {} to {}", fit_length(from, units), fit_length(to, units));
        let cure = |else_do: &str| {
            instead.map_or_else(
                || format!("{else_do}, or take {inside}."),
                |name| format!("take {name} instead."),
            )
        };
        match self.fit {
            Fit::TooTight if self.clearance_mm <= 0.0 => format!(
                "The sleeve does not go over the bar: its inside is {clearance} too small. {}",
                capital(&cure("bore it out"))
            ),
            Fit::TooTight => format!(
                "The sleeve is too tight: only {clearance} on the diameter. {}",
                capital(&cure("bore or hone it"))
            ),
            Fit::Slides => format!(
                "The sleeve slides, with {clearance} on the diameter by its nominal sizes: try the two before cutting, and take the weld bead out of a seamed tube."
            ),
            Fit::Loose => {
                format!("The sleeve is loose: {clearance} on the diameter. {}", capital(&cure("bush it")))
            }
        }
    }
}

impl PinFit {
    /// How it goes, in sentences: in the hole first, then its length.
    pub fn text(&self, units: UnitSystem) -> String {
        let across = fit_length(self.clearance_mm.abs(), units);
        let hole = match self.fit {
            Fit::TooTight if self.clearance_mm <= 0.0 => format!(
                "The pin does not go into its hole, which is {across} too small: ream it, or take a thinner pin."
            ),
            Fit::TooTight => {
                format!(
                    "The pin is tight in its hole, with only {across}: ream it if it is to come out by hand."
                )
            }
            Fit::Slides => format!("The pin goes into its hole with {across} on the diameter."),
            Fit::Loose => {
                format!("The pin is loose in its hole, by {across}: bush it, or take a thicker pin.")
            }
        };
        let along = fit_length(self.play_mm.abs(), units);
        let least = fit_length(self.least_to_groove_mm, units);
        let length = match self.length {
            Fit::TooTight if self.play_mm < 0.0 => format!(
                "It is too short: its groove begins {along} inside the washers. Take one with at least {least} from head to groove."
            ),
            Fit::TooTight => format!(
                "It is too short: only {along} is left for the clip. Take one with at least {least} from head to groove."
            ),
            Fit::Slides => format!("The clip goes on with {along} of play."),
            Fit::Loose => format!(
                "It is too long: {along} of play. Add washers, or take one with about {least} from head to groove."
            ),
        };
        format!("{hole} {length}")
    }
}

impl BarError {
    /// The sentence: what is wrong, where, and what to do.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::NotANumber { what } => format!("{what} is not a number: enter it again."),
            Self::Length { what, mm, least_mm, most_mm } => format!(
                "{what} is {}: enter a length from {} to {}.",
                exact(*mm, units),
                exact(*least_mm, units),
                exact(*most_mm, units)
            ),
            Self::Number { what, value, least, most, unit } => {
                let shown = |x: f64| format!("{}{unit}", plain_number(x, 4));
                format!("{what} is {}: enter one from {} to {}.", shown(*value), shown(*least), shown(*most))
            }
            Self::Count { what, have, least, most } if least == most => {
                format!("There are {have} {what}, and {least} are needed: enter one for each.")
            }
            Self::Count { what, have, least, .. } if have < least => {
                format!("There are {have} {what}, and at least {least} are needed: add more.")
            }
            Self::Count { what, have, most, .. } => {
                format!("There are {have} {what}, and at most {most} can be handled: take some away.")
            }
            Self::SamePoint { first } => format!(
                "Points {first} and {} of the bar are at the same place: move one of them, or take it away.",
                first + 1
            ),
            Self::TurnsBack { bend, angle_rad } => format!(
                "Bend {bend} turns back on itself ({}): spread it over two bends, each under 175°.",
                angle(angle_rad.to_degrees(), 1)
            ),
            Self::NoSeat { clock_rad } => format!(
                "The coped end misses the tube at {} round the bar: take a thinner bar, or move it nearer to the middle of the tube.",
                angle(clock_rad.to_degrees(), 0)
            ),
        }
    }
}

/// A length that must not be shown as zero or as its own limit when it is just past it.
fn exact(mm: f64, units: UnitSystem) -> String {
    let plain = |x: f64, unit: &str| format!("{}{unit}", plain_number(x, 4));
    match units {
        _ if mm.abs() >= 1000.0 => length(mm, units),
        UnitSystem::Millimetre => plain(mm, " mm"),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => plain(mm / crate::units::MM_PER_INCH, "\""),
    }
}

impl CopeFault {
    /// The sentence about the end at `side`: what, where, what to do.
    pub(super) fn text(&self, side: Side, units: UnitSystem) -> String {
        let end = side.word();
        match self {
            Self::Gone => format!(
                "The {end} is coped onto something that is not in the project any more: choose what it sits on."
            ),
            Self::Itself => format!("The {end} is coped onto the bar itself: choose another."),
            Self::NoDirection => {
                format!("The tube that the {end} sits on has no direction: enter which way its axis runs.")
            }
            Self::Unbuilt { onto } => {
                format!("The {end} sits on {onto}, which cannot be built as drawn: mend that first.")
            }
            Self::NoSeat { onto, error } => no_seat(error, side, onto.words(), units),
            Self::OnNothing { onto, mark, by_mm, left_mm } => format!(
                "At the {end} the bar reaches {} beyond the wall of piece {mark}, which is cut to what {onto} is joined to; at that clock {} of wall is left: move its point in by that much, or to another side.",
                length(*by_mm, units),
                length(*left_mm, units)
            ),
            Self::OnOther { onto, other } => format!(
                "At the {end} the bar stands on {} where {other} is welded on: move its point along, or to another side.",
                onto.words()
            ),
            Self::OverPlate { round: true, by_mm, least } => format!(
                "At the {end} the bar reaches {} over the side of its saddle plate: let the plate go at least {} round.",
                length(*by_mm, units),
                angle((least.to_degrees() * 10.0).ceil() / 10.0, 1)
            ),
            Self::OverPlate { round: false, by_mm, least } => format!(
                "At the {end} the bar reaches {} over the edge of its saddle plate: make the plate at least {} wide.",
                length(*by_mm, units),
                length(*least, units)
            ),
            Self::PlateOff { onto, by_mm } => format!(
                "At the {end} the saddle plate reaches {} off {}, over an end, onto a bend or a joint, or where the wall is cut away: take a narrower one, or move the bar's point onto a longer straight.",
                length(*by_mm, units),
                onto.words()
            ),
        }
    }
}

impl CopedOnto {
    fn words(&self) -> &str {
        match self {
            Self::Named(name) => name,
            Self::Tube => "the tube",
        }
    }
}

/// Why a coped end does not seat, in the words of a bar.
fn no_seat(error: &SaddleError, side: Side, onto: &str, units: UnitSystem) -> String {
    let (side, size) = (side.word(), |radius: f64| tube_size(2.0 * radius, units));
    match error {
        SaddleError::Branch(error) => format!("The bar at the {side} {}", error.text(units)),
        SaddleError::NoHeader => {
            format!(
                "At the {side} {onto} has no tube to weld the bar to: put its point on a straight or a bend."
            )
        }
        SaddleError::BranchTooLarge { radius_mm, header_mm } => format!(
            "The bar is {} across, and {onto} at the {side} only {}: take a bar no thicker than that.",
            size(*radius_mm),
            size(*header_mm)
        ),
        SaddleError::OffSide { offset_mm, radius_mm, header_mm } => format!(
            "At the {side} the bar hangs {} over the side of {onto}: point it to pass the middle by {} at most.",
            length(offset_mm.abs() + radius_mm - header_mm, units),
            length(header_mm - radius_mm, units)
        ),
        SaddleError::TooFlat { angle_rad, least_rad } => format!(
            "At the {side} the bar meets {onto} at {}, too flat to cut and weld its tip: take at least {}.",
            angle(angle_rad.to_degrees(), 1),
            angle(least_rad.to_degrees(), 1)
        ),
        SaddleError::Misses { by_mm, .. } => format!(
            "At the {side} part of the bar passes {onto} by {}: move its point towards the middle of that, or take a thinner bar.",
            length(*by_mm, units)
        ),
        SaddleError::OffEnd { beyond_mm, .. } => format!(
            "At the {side} the bar reaches {} beyond the end of {onto}: move its point in by that much.",
            length(*beyond_mm, units)
        ),
    }
}

/// `text` with its first letter as a capital.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
