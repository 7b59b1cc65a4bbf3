//! What things in the report are, each told by one word or two: the same on screen, on paper and in files.

use crate::fab::WeldKind;
use crate::fab::nest::StickSource;
use crate::model::Ends;
use serde::{Serialize, Serializer};
use std::fmt;

/// An enum whose values have one name each, which is what is shown and what a file holds.
macro_rules! named {
    ($(#[$about:meta])* $name:ident { $($(#[$of:meta])* $value:ident = $word:literal,)+ }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[$of])* $value,)+
        }

        impl $name {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$value),+];

            /// The name on screen, on paper and in files.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$value => $word,)+
                }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(self.name())
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(self.name())
            }
        }
    };
}

named! {
    /// What a piece of a run is.
    PieceForm {
        /// Tube with straight sides between two bends or faces.
        Straight = "straight",
        /// A slice of a mitred bend.
        Slice = "slice",
        /// Tube with an end shaped to another part.
        Coped = "coped",
        /// A bend from stock.
        Elbow = "elbow",
        /// A joint.
        Joint = "joint",
        /// A taper.
        Taper = "taper",
    }
}

named! {
    /// Where a piece comes from.
    PieceSource {
        /// It is sawn off a stick.
        Stick = "stick",
        /// It is a slice from the shelf.
        Ready = "ready",
        /// It has been sawn already.
        Sawn = "sawn",
        /// It is rolled from sheet.
        Rolled = "rolled",
        /// It is bought as it is.
        Bought = "bought",
    }
}

named! {
    /// One of the two ends of a piece, in the travel of its run.
    PieceEnd {
        /// Where the piece begins.
        Start = "start",
        /// Where it ends.
        End = "end",
    }
}

impl PieceEnd {
    /// The end where `at_end` says so, else the start.
    pub fn of(at_end: bool) -> Self {
        if at_end { Self::End } else { Self::Start }
    }
}

named! {
    /// How a bend is made.
    BendForm {
        /// From an elbow.
        Elbow = "elbow",
        /// From slices that are all alike.
        Mitred = "mitred",
        /// From slices of a batch, with one odd weld.
        Batch = "batch",
    }
}

named! {
    /// What an error is of that moves the end of a pipe.
    ErrorForm {
        /// The length of a piece.
        Length = "length",
        /// One setting of the saw.
        Saw = "saw angle",
        /// A mark round the tube.
        Clock = "clock mark",
        /// The angle of an elbow.
        Elbow = "elbow angle",
        /// A weld that pulls over.
        Pull = "weld pull",
        /// A weld that draws together.
        Shrink = "weld shrinkage",
    }
}

named! {
    /// What a hole is.
    HoleForm {
        /// What the bore of a branch opens.
        Branch = "branch",
        /// Round, drilled.
        Drilled = "drilled",
    }
}

named! {
    /// What of another run an end sits on.
    SeatForm {
        /// A leg.
        Leg = "leg",
        /// A bend.
        Bend = "bend",
    }
}

named! {
    /// What a small part is.
    PartForm {
        /// A boss with a thread.
        Bung = "bung",
        /// A short pipe with a flange.
        Stub = "flange stub",
        /// A plate on edge.
        Bracket = "bracket",
        /// A shell that keeps heat in.
        Shield = "heat shield",
        /// A ring rolled into the tube.
        Bead = "bead",
    }
}

named! {
    /// How an end of a bar is made.
    BarEndForm {
        /// A rod end on a thread.
        RodEnd = "rod end",
        /// A tab with a hole.
        Tab = "tab",
        /// Shaped to a round tube.
        Coped = "coped",
        /// Sawn square.
        Square = "square",
    }
}

named! {
    /// How the tubes of a merge meet its outlet.
    MergeForm {
        /// Mitred to each other.
        Mitred = "mitred",
        /// The outlet goes over them.
        Over = "over",
        /// They cover the outlet's end.
        Against = "against",
        /// The outlet begins at a station.
        At = "at",
    }
}

named! {
    /// Where an elbow comes from.
    ElbowSource {
        /// It is there.
        Shelf = "shelf",
        /// It has to be bought.
        Buy = "buy",
    }
}

/// The name of how the ends of a mitred bend are made.
pub fn ends_name(ends: Ends) -> &'static str {
    match ends {
        Ends::Half => "half",
        Ends::Full => "full",
    }
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the form that serde asks for")]
pub(super) fn write_stick_source<S: Serializer>(source: &StickSource, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(source.name())
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the form that serde asks for")]
pub(super) fn write_weld_kind<S: Serializer>(kind: &WeldKind, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(kind.name())
}

#[expect(clippy::trivially_copy_pass_by_ref, clippy::ref_option, reason = "the form that serde asks for")]
pub(super) fn write_ends<S: Serializer>(ends: &Option<Ends>, to: S) -> Result<S::Ok, S::Error> {
    ends.map(ends_name).serialize(to)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Names that are shown and written: all different, and the same in a file as on screen.
    fn distinct<T: Copy + fmt::Display + Serialize>(all: &[T]) {
        let shown: Vec<String> = all.iter().map(ToString::to_string).collect();
        for (i, (value, name)) in all.iter().zip(&shown).enumerate() {
            assert_eq!(serde_json::to_string(value).unwrap(), format!("\"{name}\""));
            assert!(!name.is_empty() && !shown[..i].contains(name), "{name}");
        }
    }

    #[test]
    fn a_name_is_the_same_on_screen_and_in_a_file_and_no_other_has_it() {
        distinct(PieceForm::ALL);
        distinct(PieceSource::ALL);
        distinct(PieceEnd::ALL);
        distinct(BendForm::ALL);
        distinct(HoleForm::ALL);
        distinct(SeatForm::ALL);
        distinct(PartForm::ALL);
        distinct(BarEndForm::ALL);
        distinct(MergeForm::ALL);
        distinct(ElbowSource::ALL);
        distinct(ErrorForm::ALL);
    }
}
