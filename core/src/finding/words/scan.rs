//! What is said of scans that gaps cannot be checked to, or not be trusted.

use crate::finding::ScanProblem;

impl ScanProblem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::Missing { scan, .. } | Self::Changed { scan, .. } | Self::LeftOut { scan, .. } => {
                scan.clone()
            }
        }
    }

    /// The sentence a person reads: what, where, what to do.
    pub fn text(&self) -> String {
        match self {
            Self::Missing { scan, why } => {
                let why = why.as_deref().unwrap_or("Its file has not been read.");
                format!("Gaps to {scan} are not checked. {why}")
            }
            Self::Changed { scan, why } => {
                format!("{scan} may not be what it was when the pipes were laid out. {why}")
            }
            Self::LeftOut { scan, without_area, no_number, not_in_file } => {
                let total = without_area + no_number + not_in_file;
                let noun = if total == 1 { "triangle was" } else { "triangles were" };
                let reasons = [
                    (without_area, "without area"),
                    (no_number, "with a corner that is no number"),
                    (not_in_file, "with a corner that is not in the file"),
                ];
                let reasons = reasons.iter().filter(|(count, _)| **count > 0);
                let reasons: Vec<String> = reasons.map(|(count, why)| format!("{count} {why}")).collect();
                let lost = if *without_area == total {
                    "They are lines or points, which show no surface."
                } else {
                    "Gaps to what they showed are not checked: export the scan again, or look at that place on the vehicle."
                };
                format!("{scan}: {total} {noun} left out: {}. {lost}", reasons.join(", "))
            }
        }
    }
}
