//! Format 4 and those before it: what they have that the present one has otherwise.

use super::ByPlace;
use super::marks::old_letters;
use crate::model::letters::are_clear;
use crate::model::{
    Bar, Body, Corner, Datum, DonePiece, ElbowStock, FORMAT, Fitting, Hardpoint, HardpointId, JointKind,
    Merge, Obstacle, Part, Project, Run, RunEnd, RunId, Service, Settings, Taper, Tube, TubeId, Waypoint,
};
use serde::Deserialize;

/// A project without letters; sawn pieces say nothing but their marks and shapes.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Project4 {
    #[serde(rename = "format")]
    _format: u32,
    name: String,
    settings: Settings,
    next_id: u32,
    #[serde(default)]
    bodies: Vec<Body>,
    #[serde(default)]
    datums: Vec<Datum>,
    #[serde(default)]
    tubes: Vec<Tube>,
    #[serde(default)]
    elbows: Vec<ElbowStock>,
    #[serde(default)]
    joints: Vec<JointKind>,
    #[serde(default)]
    hardpoints: Vec<Hardpoint>,
    #[serde(default)]
    obstacles: Vec<Obstacle>,
    #[serde(default)]
    runs: Vec<Run4>,
    #[serde(default)]
    merges: Vec<Merge>,
    #[serde(default)]
    bars: Vec<Bar>,
    #[serde(default)]
    done: Vec<Done4>,
}

/// A run that is lettered by its place in the list, with the number of the weld that is fitted last.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Run4 {
    id: RunId,
    name: String,
    service: Service,
    tube: TubeId,
    start: HardpointId,
    start_corner: Corner,
    #[serde(default)]
    waypoints: Vec<Waypoint>,
    end: RunEnd,
    #[serde(default)]
    fittings: Vec<Fitting>,
    #[serde(default)]
    tapers: Vec<Taper>,
    #[serde(default)]
    parts: Vec<Part>,
    gap_mm: f64,
    #[serde(default)]
    fit_weld: Option<u32>,
    #[serde(default)]
    hidden: bool,
}

/// A sawn piece by its mark.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Done4 {
    mark: String,
    tube: TubeId,
    centre_mm: f64,
    start_deg: f64,
    end_deg: f64,
    twist_deg: f64,
}

impl Project4 {
    /// The project with letters for its runs, and what is still by place.
    pub(super) fn brought_up(self) -> (Project, ByPlace) {
        let numbers = self.runs.iter().filter_map(|r| Some((r.id, r.fit_weld?)));
        let by_place = ByPlace { fit_welds: numbers.collect() };
        let mut project = Project {
            format: FORMAT,
            name: self.name,
            settings: self.settings,
            next_id: self.next_id,
            last_letters: String::new(),
            bodies: self.bodies,
            datums: self.datums,
            tubes: self.tubes,
            elbows: self.elbows,
            joints: self.joints,
            hardpoints: self.hardpoints,
            obstacles: self.obstacles,
            runs: self.runs.into_iter().enumerate().map(|(i, run)| run.lettered(i)).collect(),
            merges: self.merges,
            bars: self.bars,
            done: self.done.into_iter().map(Done4::without_key).collect(),
        };
        // those whose old letters read like other marks get new ones
        project.settle_letters();
        (project, by_place)
    }
}

impl Run4 {
    /// With the letters it had as the run at `index`; none where they read like other marks.
    fn lettered(self, index: usize) -> Run {
        let letters = Some(old_letters(index)).filter(|l| are_clear(l)).unwrap_or_default();
        Run {
            id: self.id,
            name: self.name,
            letters,
            service: self.service,
            tube: self.tube,
            start: self.start,
            start_corner: self.start_corner,
            waypoints: self.waypoints,
            end: self.end,
            fittings: self.fittings,
            tapers: self.tapers,
            parts: self.parts,
            gap_mm: self.gap_mm,
            fit_weld: None,
            hidden: self.hidden,
        }
    }
}

impl Done4 {
    fn without_key(self) -> DonePiece {
        DonePiece {
            mark: self.mark,
            key: None,
            tube: self.tube,
            centre_mm: self.centre_mm,
            start_deg: self.start_deg,
            end_deg: self.end_deg,
            twist_deg: self.twist_deg,
            drawn: None,
            trim: None,
        }
    }
}
