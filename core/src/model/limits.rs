//! What numbers and counts a project may hold. A project that passes gives finite geometry.

mod fault;
mod plumbing;
mod text;

use super::hardpoint::Attachment;
use super::movement::Movement;
use super::obstacle::Shape;
use super::project::Project;
use super::run::{BendMake, Blast, Run, RunEnd, Slash};
use super::scan::ScanFile;
use super::stock::JointStyle;
use glam::DVec3;
use std::collections::BTreeSet;
use std::fmt::Display;

pub use fault::Fault;

/// Ids are below this, so that there is always a next one.
pub const MAX_ID: u32 = 1 << 31;
/// Largest coordinate, mm.
pub const MAX_COORDINATE_MM: f64 = 50_000.0;
/// Smallest and largest outside diameter, mm.
pub const OD_MM: (f64, f64) = (5.0, 1_000.0);
/// Most runs in a project.
pub const MAX_RUNS: usize = 500;
/// Most bends in a run.
pub const MAX_BENDS: usize = 200;
/// Most of anything else.
pub const MAX_OTHERS: usize = 5_000;
/// Most holes in one panel.
pub const MAX_HOLES: usize = 200;
/// Most welds round one bend.
pub const MAX_WELDS: u32 = 200;
/// Most joints along one run.
pub const MAX_FITTINGS: usize = 400;
/// Most tubes that come into one merge.
pub const MAX_ARMS: usize = 12;

/// Most characters in a name.
pub const MAX_NAME: usize = 1_000;
/// Faults that are counted; a file with more of them has many.
pub const MOST_FAULTS: usize = 1_000;

/// Everything about the project's numbers that is out of range; empty for a project that can be worked with.
pub fn check(project: &Project) -> Vec<Fault> {
    let mut c = Checker { project, out: Vec::new() };
    c.texts();
    // what follows quotes names: one of a million letters in a thousand sentences would fill the memory
    if !c.out.is_empty() {
        return c.out;
    }
    c.counts();
    c.done();
    c.settings();
    c.stock();
    c.space();
    for run in &project.runs {
        c.run(run);
        c.on_legs(run);
    }
    c.merges();
    c.bars();
    c.out
}

struct Checker<'a> {
    project: &'a Project,
    out: Vec<Fault>,
}

impl Checker<'_> {
    /// Notes a fault, unless there are enough.
    fn tell(&mut self, fault: Fault) {
        if self.out.len() < MOST_FAULTS {
            self.out.push(fault);
        }
    }

    /// A length, mm. The name of it is put together only where it is needed: nearly all lengths are in their range.
    fn within(&mut self, what: impl Display, mm: f64, least_mm: f64, most_mm: f64) {
        if !(mm >= least_mm && mm <= most_mm) {
            self.tell(Fault::Length { what: what.to_string(), mm, least_mm, most_mm });
        }
    }

    /// Another number.
    fn number(&mut self, what: impl Display, value: f64, least: f64, most: f64, unit: &'static str) {
        if !(value >= least && value <= most) {
            self.tell(Fault::Number { what: what.to_string(), value, least, most, unit });
        }
    }

    fn place(&mut self, what: impl Display, at: DVec3) {
        for (axis, mm) in [("X", at.x), ("Y", at.y), ("Z", at.z)] {
            self.within(format_args!("{axis} of {what}"), mm, -MAX_COORDINATE_MM, MAX_COORDINATE_MM);
        }
    }

    fn size(&mut self, what: impl Display, mm: f64) {
        self.within(what, mm, 0.1, MAX_COORDINATE_MM);
    }

    fn counts(&mut self) {
        let p = self.project;
        let counts = [
            ("runs", p.runs.len(), MAX_RUNS),
            ("hardpoints", p.hardpoints.len(), MAX_OTHERS),
            ("obstacles", p.obstacles.len(), MAX_OTHERS),
            ("tubes", p.tubes.len(), MAX_OTHERS),
            ("elbows", p.elbows.len(), MAX_OTHERS),
            ("joints", p.joints.len(), MAX_OTHERS),
            ("bodies", p.bodies.len(), MAX_OTHERS),
            ("datums", p.datums.len(), MAX_OTHERS),
            ("merges", p.merges.len(), MAX_OTHERS),
            ("bars", p.bars.len(), MAX_OTHERS),
            ("sawn pieces", p.done.len(), 20 * MAX_OTHERS),
        ];
        for (what, count, most) in counts {
            if count > most {
                self.tell(Fault::TooMany { what, count, most });
            }
        }
        let mut seen = BTreeSet::new();
        let ids = p
            .bodies
            .iter()
            .map(|x| x.id.0)
            .chain(p.tubes.iter().map(|x| x.id.0))
            .chain(p.elbows.iter().map(|x| x.id.0))
            .chain(p.joints.iter().map(|x| x.id.0))
            .chain(p.hardpoints.iter().map(|x| x.id.0))
            .chain(p.obstacles.iter().map(|x| x.id.0))
            .chain(p.runs.iter().map(|x| x.id.0))
            .chain(p.datums.iter().map(|x| x.id.0))
            .chain(p.merges.iter().map(|x| x.id.0))
            .chain(p.bars.iter().map(|x| x.id.0));
        let mut large = p.next_id > MAX_ID;
        for id in ids {
            large |= id >= MAX_ID;
            if !seen.insert(id) {
                self.tell(Fault::SameId { id });
            }
        }
        if large {
            self.tell(Fault::IdsTooLarge { below: MAX_ID });
        }
    }

    /// Waypoints and joints of a run have ids of their own, different within the run.
    fn inner_ids(&mut self, run: &Run) {
        let lists: [(&'static str, Vec<u32>); 4] = [
            ("waypoint", run.waypoints.iter().map(|w| w.id.0).collect()),
            ("joint", run.fittings.iter().map(|f| f.id.0).collect()),
            ("taper", run.tapers.iter().map(|t| t.id.0).collect()),
            ("part", run.parts.iter().map(|p| p.id.0).collect()),
        ];
        for (what, ids) in lists {
            let mut seen = BTreeSet::new();
            for id in ids {
                let run = || run.name.clone();
                if id >= MAX_ID {
                    self.tell(Fault::InnerIdTooLarge { what, id, run: run(), below: MAX_ID });
                } else if seen.insert(id) {
                    continue;
                } else {
                    self.tell(Fault::SameInnerId { what, id, run: run() });
                }
                // one is enough to find the place by
                break;
            }
        }
    }

    fn settings(&mut self) {
        let s = self.project.settings.clone();
        self.within("The saw's kerf", s.saw.kerf_mm, 0.0, 20.0);
        self.number("The saw's angle step", s.saw.step_deg, 0.001, 45.0, "°");
        self.number("The largest angle of the saw", s.saw.most_deg, 1.0, 80.0, "°");
        self.within("The length the saw has to grip", s.saw.grip_mm, 0.0, 2_000.0);
        self.within("The first trim of a stick", s.saw.first_trim_mm, 0.0, 1_000.0);
        let a = &s.allowances;
        self.within("The weld gap", a.weld_gap_mm, 0.0, 10.0);
        self.within("The shrinkage of a weld", a.shrink_mm, 0.0, 10.0);
        self.within("The length to trim at the weld fitted last", a.trim_mm, 0.0, 500.0);
        self.within("The shortest drop kept", a.keep_mm, 0.0, MAX_COORDINATE_MM);
        self.within("The thickness of template paper", a.paper_mm, 0.0, 5.0);
        self.number("The bead's cross-section", a.bead_mm2, 0.0, 500.0, " mm²");
        self.within("The filler wire", a.wire_mm, 0.1, 10.0);
        self.number("The changes of gas", a.purge_changes, 0.0, 100.0, "");
        self.number("The gas flow", a.purge_l_min, 0.1, 1_000.0, " l/min");
        let off = &s.scatter;
        self.number("The scatter of the saw's angle", off.saw_deg, 0.0, 10.0, "°");
        self.within("The scatter of sawn lengths", off.length_mm, 0.0, 50.0);
        self.within("The scatter of marks round the tube", off.clock_mm, 0.0, 50.0);
        self.number("The scatter of elbows", off.elbow_deg, 0.0, 10.0, "°");
        self.number("The pull of welds", off.pull_deg, 0.0, 10.0, "°");
        self.within("The scatter of weld shrinkage", off.shrink_mm, 0.0, 10.0);
        self.within("The shortest throat", s.shortest_throat_mm, 0.0, 1_000.0);
        self.number("The angle that drags snap to", s.angle_snap_deg, 0.0, 90.0, "°");
        self.within("The gap for hot pipes", s.hot_gap_mm, 0.0, 5_000.0);
    }

    fn stock(&mut self) {
        let p = self.project;
        for tube in &p.tubes {
            let name = p.tube_name(tube);
            self.within(format_args!("The outside diameter of {name}"), tube.od_mm, OD_MM.0, OD_MM.1);
            self.wall(&name, tube.wall_mm, tube.od_mm);
            self.within(format_args!("The stick length of {name}"), tube.stick_mm, 10.0, MAX_COORDINATE_MM);
            for offcut in &tube.offcuts {
                self.size(format_args!("An offcut of {name}"), offcut.length_mm);
            }
            for slice in &tube.slices {
                let what = format!("The saw angle of ready slices of {name}");
                self.number(&what, slice.saw_deg, 0.1, 80.0, "°");
                self.size(format_args!("The throat of ready slices of {name}"), slice.throat_mm);
            }
            if let Some(price) = tube.stick_price {
                self.number(format_args!("The price of {name}"), price, 0.0, 1e7, "");
            }
        }
        for elbow in &p.elbows {
            let name = p.elbow_name(elbow);
            self.within(format_args!("The outside diameter of {name}"), elbow.od_mm, OD_MM.0, OD_MM.1);
            self.wall(&name, elbow.wall_mm, elbow.od_mm);
            self.within(format_args!("The centreline radius of {name}"), elbow.clr_mm, 1.0, 10_000.0);
            self.number(format_args!("The angle of {name}"), elbow.angle_deg, 1.0, 180.0, "°");
            self.within(format_args!("The leg of {name}"), elbow.leg_mm, 0.0, 5_000.0);
        }
        for joint in &p.joints {
            let name = &joint.name;
            self.within(format_args!("The tube size of {name}"), joint.od_mm, OD_MM.0, OD_MM.1);
            // the tubes of a slip joint lie in each other
            let least = if joint.style == JointStyle::SlipJoint { -5_000.0 } else { 0.0 };
            self.within(format_args!("The make-up of {name}"), joint.make_up_mm, least, 5_000.0);
            if let Some(hose) = joint.hose {
                self.within(format_args!("The insertion of {name}"), hose.insertion_mm, 0.0, 1_000.0);
                if let Some(bead_mm) = hose.bead_mm {
                    self.within(format_args!("The bead of {name}"), bead_mm, 0.0, hose.insertion_mm);
                }
            }
            self.within(format_args!("The body diameter of {name}"), joint.body_od_mm, 1.0, 2_000.0);
            self.within(format_args!("The body width of {name}"), joint.body_width_mm, 0.1, 5_000.0);
            if let Some(tool) = joint.tool {
                self.within(format_args!("The tool reach of {name}"), tool.reach_mm, 0.0, 2_000.0);
                self.within(format_args!("The tool width of {name}"), tool.width_mm, 0.0, 2_000.0);
                self.number(format_args!("The swing of the tool of {name}"), tool.swing_deg, 0.0, 360.0, "°");
            }
            if let Some(lobe) = joint.lobe {
                self.size(format_args!("The lobe width of {name}"), lobe.width_mm);
                self.size(format_args!("The lobe reach of {name}"), lobe.reach_mm);
                self.size(format_args!("The lobe length of {name}"), lobe.length_mm);
            }
        }
    }

    fn wall(&mut self, name: impl Display, wall_mm: f64, od_mm: f64) {
        if !(wall_mm > 0.0 && wall_mm < od_mm / 2.0) {
            self.tell(Fault::Wall { of: name.to_string(), wall_mm, od_mm });
        }
    }

    fn space(&mut self) {
        let p = self.project;
        for port in &p.hardpoints {
            self.place(&port.name, port.position_mm);
            for (what, v) in [("direction", port.direction), ("12 o'clock", port.clock)] {
                for x in v.to_array() {
                    self.number(format_args!("The {what} of {}", port.name), x, -1e6, 1e6, "");
                }
            }
            if port.direction.length() < 1e-9 {
                self.tell(Fault::HardpointWithoutDirection { name: port.name.clone() });
            }
            self.within(format_args!("The tube size of {}", port.name), port.od_mm, OD_MM.0, OD_MM.1);
            if let Attachment::Joint { lobe_clock_deg, .. } = port.attachment {
                self.number(
                    format_args!("The lobe clock at {}", port.name),
                    lobe_clock_deg,
                    -3600.0,
                    3600.0,
                    "°",
                );
            }
        }
        for body in &p.bodies {
            self.movement(&body.name, &body.movement);
        }
        for datum in &p.datums {
            self.place(&datum.name, datum.position_mm);
        }
        for obstacle in &p.obstacles {
            let name = &obstacle.name;
            if let Some(hot_gap_mm) = obstacle.hot_gap_mm {
                self.within(format_args!("The hot gap to {name}"), hot_gap_mm, 0.0, 5_000.0);
            }
            self.place(name, obstacle.pose.position_mm);
            for x in obstacle.pose.turn_deg.to_array() {
                self.number(format_args!("A turn of {name}"), x, -3600.0, 3600.0, "°");
            }
            self.within(format_args!("The gap to {name}"), obstacle.gap_mm, 0.0, 5_000.0);
            self.shape(name, &obstacle.shape);
        }
    }

    fn done(&mut self) {
        for piece in &self.project.done {
            let name = &piece.mark;
            let mut shape = |how: &str, centre_mm: f64, cuts_deg: [f64; 2]| {
                let length = format!("The length of {name} as {how}");
                self.within(length, centre_mm, 0.0, MAX_COORDINATE_MM);
                for (what, deg) in ["start", "end"].into_iter().zip(cuts_deg) {
                    let cut = format!("The cut at the {what} of {name} as {how}");
                    self.number(cut, deg, -90.0, 90.0, "°");
                }
            };
            shape("sawn", piece.centre_mm, [piece.start_deg, piece.end_deg]);
            if let Some(drawn) = piece.drawn {
                shape("drawn", drawn.centre_mm, [drawn.start_deg, drawn.end_deg]);
            }
            self.clock(format_args!("The twist of {name} as sawn"), piece.twist_deg);
            if let Some(left) = piece.trim {
                let what = format_args!("What is left to trim of {name}");
                self.within(what, left.trim_mm, 0.0, MAX_COORDINATE_MM);
            }
        }
    }

    fn movement(&mut self, name: &str, movement: &Movement) {
        for (axis, mm) in ["X", "Y", "Z"].into_iter().zip(movement.shift_mm.to_array()) {
            self.within(format_args!("The shift of {name} along {axis}"), mm, 0.0, 1_000.0);
        }
        if let Some(roll) = movement.roll {
            self.place(format_args!("the line {name} rolls about"), roll.through_mm);
            self.number(format_args!("The roll of {name}"), roll.turn_deg, 0.0, 45.0, "°");
            for x in roll.axis.to_array() {
                self.number(format_args!("The roll axis of {name}"), x, -1e6, 1e6, "");
            }
        }
    }

    fn scan(&mut self, name: &str, scan: &ScanFile) {
        self.number(format_args!("The scale of {name}"), scan.mm_per_unit, 1e-6, 1e6, " mm to one unit");
        let corners = [("lowest", scan.low_mm), ("highest", scan.high_mm)];
        for (which, corner) in corners {
            self.place(format_args!("the {which} corner of {name}"), corner);
        }
        if let Some(keep) = scan.keep {
            for (which, corner) in [("lowest", keep.low_mm), ("highest", keep.high_mm)] {
                self.place(format_args!("the {which} corner of the box {name} was cut to"), corner);
            }
        }
    }

    fn shape(&mut self, name: &str, shape: &Shape) {
        let size = |what: &str| format!("The {what} of {name}");
        match shape {
            Shape::Box { size_mm } => {
                for x in size_mm.to_array() {
                    self.size(size("size"), x);
                }
            }
            Shape::Cylinder { diameter_mm, length_mm } => {
                self.size(size("diameter"), *diameter_mm);
                self.size(size("length"), *length_mm);
            }
            Shape::Capsule { diameter_mm, length_mm } => {
                self.size(size("diameter"), *diameter_mm);
                self.within(size("length"), *length_mm, 0.0, MAX_COORDINATE_MM);
            }
            Shape::Sphere { diameter_mm } => self.size(size("diameter"), *diameter_mm),
            Shape::Panel { width_mm, height_mm, thickness_mm, holes } => {
                self.size(size("width"), *width_mm);
                self.size(size("height"), *height_mm);
                self.size(size("thickness"), *thickness_mm);
                if holes.len() > MAX_HOLES {
                    self.tell(Fault::TooMany {
                        what: "holes in one panel",
                        count: holes.len(),
                        most: MAX_HOLES,
                    });
                }
                for hole in holes {
                    self.size(size("hole"), hole.diameter_mm);
                    self.place(format_args!("a hole of {name}"), DVec3::new(hole.x_mm, hole.y_mm, 0.0));
                }
            }
            Shape::HalfSpace => {}
            Shape::Scan(scan) => self.scan(name, scan),
        }
    }

    fn open_end(&mut self, name: &str, slash: Option<Slash>, blast: Option<Blast>) {
        if let Some(slash) = slash {
            self.number(
                format_args!("The angle of the cut at the open end of {name}"),
                slash.tilt_deg,
                0.0,
                60.0,
                "°",
            );
            self.clock(format_args!("The clock of the cut at the open end of {name}"), slash.clock_deg);
        }
        if let Some(blast) = blast {
            self.within(format_args!("The reach of what {name} blows"), blast.reach_mm, 1.0, 5_000.0);
            self.number(format_args!("The spread of what {name} blows"), blast.spread_deg, 0.0, 60.0, "°");
        }
    }

    fn clock(&mut self, what: impl Display, deg: f64) {
        self.number(what, deg, -3600.0, 3600.0, "°");
    }

    fn run(&mut self, run: &Run) {
        let name = &run.name;
        let bends = run.vertices().len();
        if bends > MAX_BENDS {
            self.tell(Fault::TooMany { what: "bends in one run", count: bends, most: MAX_BENDS });
        }
        if run.fittings.len() > MAX_FITTINGS {
            self.tell(Fault::TooMany {
                what: "joints in one run",
                count: run.fittings.len(),
                most: MAX_FITTINGS,
            });
        }
        self.inner_ids(run);
        let reach = |c: &mut Self, what: &str, mm: f64| {
            c.within(format_args!("The {what} of {name}"), mm, -MAX_COORDINATE_MM, MAX_COORDINATE_MM);
        };
        reach(self, "reach from the start", run.start_corner.reach_mm);
        match run.end {
            RunEnd::Hardpoint { corner, .. } => reach(self, "reach from the end", corner.reach_mm),
            RunEnd::Open { position_mm, slash, blast } => {
                self.place(format_args!("the open end of {name}"), position_mm);
                self.open_end(name, slash, blast);
            }
        }
        for waypoint in &run.waypoints {
            self.place(format_args!("a waypoint of {name}"), waypoint.position_mm);
        }
        for vertex in run.vertices() {
            if let Some(BendMake::Mitred { clr_mm, welds, throat_mm, saw_deg, .. }) = run.make(vertex) {
                if let Some(throat_mm) = throat_mm {
                    self.within(format_args!("A throat of {name}"), throat_mm, 0.1, 5_000.0);
                }
                if let Some(saw_deg) = saw_deg {
                    self.number(format_args!("A saw angle of {name}"), saw_deg, 0.5, 80.0, "°");
                }
                self.within(format_args!("A centreline radius of {name}"), clr_mm, 0.0, 10_000.0);
                self.number(
                    format_args!("A weld count of {name}"),
                    f64::from(welds),
                    1.0,
                    f64::from(MAX_WELDS),
                    "",
                );
            }
        }
        for fitting in &run.fittings {
            self.leg(format_args!("a joint of {name}"), fitting.leg);
            self.within(
                format_args!("The station of a joint of {name}"),
                fitting.station_mm,
                -MAX_COORDINATE_MM,
                MAX_COORDINATE_MM,
            );
            self.number(
                format_args!("The lobe clock of a joint of {name}"),
                fitting.lobe_clock_deg,
                -3600.0,
                3600.0,
                "°",
            );
        }
        self.within(format_args!("The gap of {name}"), run.gap_mm, 0.0, 5_000.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Problem;
    use crate::testing::{bench_project, run_through};

    fn says(project: &Project, part: &str) -> bool {
        check(project).into_iter().any(|f| Problem::from(f).text(project.settings.units).contains(part))
    }

    #[test]
    fn an_ordinary_project_passes() {
        let (project, _) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        assert_eq!(check(&project), []);
        assert_eq!(check(&Project::new("Empty", project.settings.units)), []);
    }

    #[test]
    fn numbers_that_are_none_and_absurd_sizes_are_named() {
        let (mut project, _) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        project.hardpoints[0].position_mm.y = f64::NAN;
        project.hardpoints[1].position_mm.x = 60_000.0;
        project.hardpoints[1].direction = DVec3::ZERO;
        project.tubes[0].wall_mm = 40.0;
        project.runs[0].gap_mm = f64::INFINITY;
        let part = crate::edit::new_item::part_kinds().swap_remove(0);
        let part = crate::edit::new_item::part(&mut project.clone(), &project.runs[0], part);
        project.runs[0].parts.push(crate::model::Part { leg: usize::MAX, ..part });
        for part in [
            "The leg of",
            "Y of from is not a number",
            "X of to is 60000.0 mm",
            "to has no direction",
            "The wall of",
            "The gap of Run",
        ] {
            assert!(says(&project, part), "{part}: {:?}", check(&project));
        }
    }

    #[test]
    fn too_many_runs_or_bends_and_doubled_ids_are_named() {
        let (mut project, run) = run_through(&[DVec3::ZERO, DVec3::X * 300.0, DVec3::new(300.0, 300.0, 0.0)]);
        project.runs = vec![run; 501];
        assert!(says(&project, "501 runs"));
        assert!(says(&project, "used more than once"));
        let mut project = bench_project();
        project.tubes[0].od_mm = 2.0;
        assert!(says(&project, "outside diameter"));
    }
}
