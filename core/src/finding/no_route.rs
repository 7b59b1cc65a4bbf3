//! Why the program proposes no route, and what would have to change.

/// Lengths mm. What is in the way goes by its name.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum NoRoute {
    NoSuchRun,
    /// Something the run refers to is not there, or has no direction.
    NoEnds {
        why: String,
    },
    NoMake {
        tube: String,
    },
    /// Proved.
    Blocked {
        at_end: bool,
        against: String,
        free_mm: f64,
        needs_mm: f64,
    },
    /// Proved, within the box that was searched.
    NoWay {
        od_mm: f64,
        size_mm: [f64; 3],
    },
    NoTurn,
    NotFound {
        tried: usize,
    },
    /// Routes were found, and the report finds fault with all of them.
    Refused {
        why: String,
    },
    Stopped,
    /// No change near to how the run is drawn clears it.
    NoMend,
    /// Its bends cannot be brought to angles that can be made.
    NoTidy {
        bends: usize,
    },
}

impl NoRoute {
    /// Whether it is proved that there is none, in the box that was searched.
    pub fn is_proved(&self) -> bool {
        match self {
            Self::Blocked { .. } | Self::NoWay { .. } => true,
            Self::NoSuchRun
            | Self::NoEnds { .. }
            | Self::NoMake { .. }
            | Self::NoTurn
            | Self::NotFound { .. }
            | Self::Refused { .. }
            | Self::Stopped
            | Self::NoMend
            | Self::NoTidy { .. } => false,
        }
    }
}

/// A change with which a route was found.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum RouteCure {
    MoreBends { bends: usize },
    ShorterStraight { shortest_mm: f64 },
    Radius { clr_mm: f64 },
    Without { name: String },
}
