//! Routes as text for other programs: lengths mm, angles degrees.

use super::ask::Proposals;
use super::judge::{Proposal, ProposedBend};
use glam::DVec3;
use pipeloft_core::model::Project;
use serde::Serialize;

#[derive(Serialize)]
struct Out<'a> {
    routes: Vec<OutRoute<'a>>,
    none_because: Option<String>,
    none_is_proved: bool,
}

#[derive(Serialize)]
struct OutRoute<'a> {
    cost: f64,
    welds: usize,
    tube_mm: f64,
    tightest_gap_mm: Option<f64>,
    tightest_to: Option<&'a str>,
    spare_mm: Option<f64>,
    vertices_mm: &'a [DVec3],
    bends: &'a [ProposedBend],
    warnings: &'a [String],
}

impl<'a> From<&'a Proposal> for OutRoute<'a> {
    fn from(route: &'a Proposal) -> Self {
        Self {
            cost: route.cost,
            welds: route.welds,
            tube_mm: route.tube_mm,
            tightest_gap_mm: route.tightest_gap_mm,
            tightest_to: route.tightest_to.as_deref(),
            spare_mm: route.spare_mm,
            vertices_mm: &route.vertices_mm,
            bends: &route.bends,
            warnings: &route.warnings,
        }
    }
}

impl Proposals {
    /// The routes as text; `project` is the one they were found in.
    ///
    /// # Errors
    /// Never in practice: all numbers are finite and all keys are strings; the writer's own error otherwise.
    pub fn to_json(&self, project: &Project) -> Result<String, serde_json::Error> {
        let out = Out {
            routes: self.routes.iter().map(OutRoute::from).collect(),
            none_because: self.none_because(project),
            none_is_proved: self.none.as_ref().is_some_and(pipeloft_core::finding::NoRoute::is_proved),
        };
        serde_json::to_string_pretty(&out).map(|text| text + "\n")
    }
}
