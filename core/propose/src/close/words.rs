//! Why there is no gap to close, each as a sentence that says what to do.

use std::fmt;

/// Why nothing can be said about closing a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoGap {
    /// There is no such run.
    NoRun,
    /// It ends in the open.
    EndsOpen {
        /// The run.
        run: String,
    },
    /// It ends on another pipe.
    EndsOnPipe {
        /// The run.
        run: String,
        /// The hardpoint it ends at.
        hardpoint: String,
    },
    /// Something it needs is not in the project.
    Missing {
        /// The run.
        run: String,
        /// What is missing.
        what: &'static str,
    },
    /// The hardpoint points nowhere.
    NoDirection {
        /// The hardpoint.
        hardpoint: String,
    },
    /// The open face has no direction.
    FaceNoDirection,
    /// The open face lies outside what a project may hold.
    FaceTooFar,
    /// The pipe is of another tube at the open face than at its end.
    OtherTube {
        /// The run.
        run: String,
    },
}

impl fmt::Display for NoGap {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoRun => f.write_str("The run is not in the project. Choose one that is."),
            Self::EndsOpen { run } => write!(
                f,
                "{run} ends in the open, so it has nothing to meet. Choose a run that ends at a hardpoint."
            ),
            Self::EndsOnPipe { run, hardpoint } => write!(
                f,
                "{run} ends at {hardpoint}, which sits on another pipe. Its last piece is shaped to that pipe: tack \
                 that one first and close the gap further up."
            ),
            Self::Missing { run, what } => {
                write!(f, "{run} needs a {what} that is not in the project. Choose another {what} for it.")
            }
            Self::NoDirection { hardpoint } => {
                write!(f, "{hardpoint} points nowhere. Give it a direction other than 0, 0, 0.")
            }
            Self::FaceNoDirection => {
                f.write_str("The open end points nowhere. Give a direction other than 0, 0, 0.")
            }
            Self::FaceTooFar => f.write_str(
                "The open end lies more than 50 m from the project's zero, or its place is not a number. Measure it in \
                 millimetres from there.",
            ),
            Self::OtherTube { run } => write!(
                f,
                "{run} changes its tube between the open end and the hardpoint. Tack the taper first, then measure the \
                 open end behind it."
            ),
        }
    }
}

impl std::error::Error for NoGap {}
