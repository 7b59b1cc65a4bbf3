//! Scans that gaps cannot be checked to, or not be trusted.

use super::Severity;

/// What is wrong with a scan, by the name of its obstacle. `why` is what the reader of its file said.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(missing_docs, reason = "the sentence of each in `words` explains its fields")]
pub enum ScanProblem {
    Missing {
        scan: String,
        why: Option<String>,
    },
    Changed {
        scan: String,
        why: String,
    },
    /// Numbers of triangles that were left out, by reason.
    LeftOut {
        scan: String,
        without_area: u64,
        no_number: u64,
        not_in_file: u64,
    },
}

impl ScanProblem {
    /// How bad it is.
    pub fn severity(&self) -> Severity {
        match self {
            // what has no area is no hole in a surface
            Self::LeftOut { no_number: 0, not_in_file: 0, .. } => Severity::Note,
            Self::Missing { .. } | Self::Changed { .. } | Self::LeftOut { .. } => Severity::Warn,
        }
    }

    /// The fixed short name of the kind.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Missing { .. } => "scan-missing",
            Self::Changed { .. } => "scan-changed",
            Self::LeftOut { .. } => "scan-left-out",
        }
    }
}
