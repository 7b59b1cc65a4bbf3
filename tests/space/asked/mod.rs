//! Whatever gap is asked for: no report says "ok" of less. Random scenes with gaps asked from 1 to 5,000 mm, hairpins of
//! all makes and long runs, against sampling that shares nothing with the search for gaps.
//!
//! `PIPELOFT_GAP_SCENES` multiplies the number of scenes.

mod hairpins;
mod scenes;
mod skin;

use pipeloft_core::finding::Severity;
use pipeloft_core::model::{Item, Project, RunId};
use pipeloft_core::report::{ClearanceReport, Report};

/// What a shop needs of a gap, mm.
const SHOP_MM: f64 = 0.1;

/// So many times as many scenes as usual.
fn times() -> usize {
    std::env::var("PIPELOFT_GAP_SCENES").ok().and_then(|n| n.parse().ok()).unwrap_or(1)
}

/// What came of many scenes.
#[derive(Debug, Default)]
struct Tally {
    scenes: usize,
    /// Where less than what is asked was sampled.
    close: usize,
    /// Furthest above and below the sampled distance, mm.
    over_mm: f64,
    under_mm: f64,
    /// How often it was more than a shop's measure below: where a steep mitre meets the border of what counts as apart along
    /// the pipe, the gap is told too small rather than too large.
    short: usize,
}

impl Tally {
    /// Gaps told too small are rare.
    fn done(&self) {
        assert!(self.short * 100 <= self.scenes, "{self:?}");
    }

    /// Compares what the report lists of one pair with the least distance that was sampled, if that is below the reach.
    /// `tell` describes the scene.
    fn check(
        &mut self,
        (project, report, run): (&Project, &Report, RunId),
        listed: Option<&ClearanceReport>,
        (sampled_mm, asked_mm): (Option<f64>, f64),
        tell: &dyn Fn() -> String,
    ) {
        self.scenes += 1;
        if let Some(gap) = listed {
            assert!((gap.required_mm - asked_mm).abs() < 1e-9, "{}", tell());
            assert_eq!(gap.ok, gap.gap_mm >= asked_mm, "{}", tell());
        }
        let Some(sampled_mm) = sampled_mm else { return };
        let off_mm = listed.map(|gap| gap.gap_mm - sampled_mm).filter(|_| sampled_mm > SHOP_MM);
        if sampled_mm < asked_mm - SHOP_MM {
            self.close += 1;
            let gap =
                listed.unwrap_or_else(|| panic!("{sampled_mm} of {asked_mm} is not listed: {}", tell()));
            assert!(!gap.ok, "ok at {sampled_mm} of {asked_mm}: {gap:?}, {}", tell());
            let said = report.findings_of(run).any(|f| f.severity != Severity::Note && says_gap(f.code));
            assert!(said && report.worst() != Some(Severity::Note), "not said: {}", tell());
            assert!(sampled_mm > SHOP_MM || gap.gap_mm < SHOP_MM, "{sampled_mm} {gap:?}, {}", tell());
        }
        if let Some(off_mm) = off_mm {
            self.over_mm = self.over_mm.max(off_mm);
            self.under_mm = self.under_mm.max(-off_mm);
            let text = || format!("{sampled_mm} sampled of {asked_mm}, {listed:#?}, {}", tell());
            assert!(off_mm < SHOP_MM && off_mm > -1.0, "{}", text());
            self.short += usize::from(off_mm < -SHOP_MM);
        }
        assert!(project.run(run).is_some());
    }
}

fn says_gap(code: &str) -> bool {
    ["too-close", "too-hot", "clash"].contains(&code)
}

/// What is listed of a run to an item.
fn listed(report: &Report, run: RunId, other: Item) -> Option<&ClearanceReport> {
    report.clearance.iter().find(|c| c.run_id == run && c.other == other && !c.tool)
}
