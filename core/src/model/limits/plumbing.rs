//! Limits of tapers and parts on legs, of merges, bars and hardpoints that sit on pipes.

use super::{Checker, Fault, MAX_ARMS, MAX_BENDS, MAX_COORDINATE_MM, MAX_FITTINGS, OD_MM};
use crate::model::{BarEndMake, BarPoint, Onto, Part, PartKind, Run, Screwed, Seat, Spot, TaperMake};
use std::fmt::Display;

impl Checker<'_> {
    /// Tapers and small parts along the legs of a run.
    pub(super) fn on_legs(&mut self, run: &Run) {
        let name = &run.name;
        let count = run.tapers.len() + run.parts.len();
        if count > MAX_FITTINGS {
            self.tell(Fault::TooMany { what: "tapers and parts on one run", count, most: MAX_FITTINGS });
        }
        for taper in &run.tapers {
            self.leg(format_args!("a taper of {name}"), taper.leg);
            self.station(format_args!("a taper of {name}"), taper.station_mm);
            self.within(format_args!("The length of a taper of {name}"), taper.length_mm, 0.1, 5_000.0);
            self.within(format_args!("The wall of a taper of {name}"), taper.wall_mm, 0.1, 50.0);
            self.within(format_args!("The offset of a taper of {name}"), taper.offset_mm, -1_000.0, 1_000.0);
            self.clock(format_args!("The clock of a taper of {name}"), taper.offset_clock_deg);
            if let TaperMake::Rolled { seam_clock_deg, lap_mm } = taper.make {
                self.clock(format_args!("The seam clock of a taper of {name}"), seam_clock_deg);
                self.within(format_args!("The lap of a taper of {name}"), lap_mm, 0.0, 500.0);
            }
        }
        for part in &run.parts {
            self.part(name, part);
        }
    }

    /// A run has at most one leg more than it has bends; whether it has this one is looked at with its way.
    pub(super) fn leg(&mut self, of: impl Display, leg: usize) {
        let number = leg.saturating_add(1) as f64;
        self.number(format_args!("The leg of {of}"), number, 1.0, (MAX_BENDS + 1) as f64, "");
    }

    fn station(&mut self, of: impl Display, mm: f64) {
        self.within(format_args!("The station of {of}"), mm, -MAX_COORDINATE_MM, MAX_COORDINATE_MM);
    }

    fn part(&mut self, run: &str, part: &Part) {
        let name = format!("{} of {run}", part.name);
        self.leg(&name, part.leg);
        self.station(&name, part.station_mm);
        if let Some(turn_deg) = part.turn_deg {
            self.number(format_args!("How far round the bend {name} stands"), turn_deg, 0.0, 180.0, "°");
        }
        self.clock(format_args!("The clock of {name}"), part.clock_deg);
        let mut size = |what: &str, mm: f64, least: f64, most: f64| {
            self.within(format_args!("The {what} of {name}"), mm, least, most);
        };
        let screwed = match &part.kind {
            PartKind::Bung(b) => {
                size("boss", b.boss_mm, 1.0, 500.0);
                size("height", b.height_mm, 0.0, 1_000.0);
                size("hole", b.hole_mm, 0.5, 500.0);
                b.screwed
            }
            PartKind::Stub(s) => {
                size("diameter", s.od_mm, OD_MM.0, OD_MM.1);
                size("length", s.length_mm, 0.0, 5_000.0);
                size("flange", s.flange_mm, 1.0, 2_000.0);
                size("flange's thickness", s.flange_thick_mm, 0.1, 500.0);
                self.wall(&name, s.wall_mm, s.od_mm);
                self.number(format_args!("The angle of {name}"), s.angle_deg, 5.0, 175.0, "°");
                s.screwed
            }
            PartKind::Bracket(b) => {
                size("length", b.along_mm, 0.1, 5_000.0);
                size("thickness", b.thick_mm, 0.1, 500.0);
                size("height", b.height_mm, 0.1, 5_000.0);
                None
            }
            PartKind::Shield(s) => {
                size("length", s.length_mm, 0.1, MAX_COORDINATE_MM);
                size("gap", s.gap_mm, 0.0, 500.0);
                size("thickness", s.thick_mm, 0.05, 100.0);
                size("hot gap", s.hot_gap_mm, 0.0, 5_000.0);
                self.number(format_args!("How far {name} goes round"), s.around_deg, 1.0, 360.0, "°");
                None
            }
            PartKind::Bead(b) => {
                size("height", b.height_mm, 0.1, 100.0);
                size("width", b.width_mm, 0.1, 500.0);
                None
            }
        };
        if let Some(Screwed { diameter_mm, length_mm, removal_mm }) = screwed {
            let sizes = [
                ("diameter of what is screwed into", diameter_mm),
                ("length of what is screwed into", length_mm),
                ("room to take out what is screwed into", removal_mm),
            ];
            for (what, mm) in sizes {
                self.within(format_args!("The {what} {name}"), mm, 0.0, 5_000.0);
            }
        }
    }

    /// Merges.
    pub(super) fn merges(&mut self) {
        let p = self.project;
        for merge in &p.merges {
            let name = &merge.name;
            self.place(name, merge.position_mm);
            for (what, v) in [("direction", merge.direction), ("12 o'clock", merge.clock)] {
                for x in v.to_array() {
                    self.number(format_args!("The {what} of {name}"), x, -1e6, 1e6, "");
                }
            }
            if merge.direction.length() < 1e-9 {
                self.tell(Fault::MergeWithoutDirection { name: name.clone() });
            }
            if merge.arms.len() > MAX_ARMS {
                let (what, count) = ("tubes into one merge", merge.arms.len());
                self.tell(Fault::TooMany { what, count, most: MAX_ARMS });
            }
            for (i, arm) in merge.arms.iter().enumerate() {
                let of = format!("inlet {} of {name}", i + 1);
                self.number(format_args!("The angle of {of}"), arm.angle_deg, 0.0, 170.0, "°");
                self.clock(format_args!("The clock of {of}"), arm.clock_deg);
            }
            if let crate::model::MergeJoin::At { station_mm } = merge.join {
                self.station(format_args!("the outlet of {name}"), station_mm);
            }
        }
        self.ring();
        for port in &p.hardpoints {
            let Some(Seat::Run { spot, clock_deg, angle_deg, offset_mm, .. }) = port.seat else { continue };
            let (Spot::Leg { leg, .. } | Spot::Bend { leg, .. }) = spot;
            self.leg(&port.name, leg);
            match spot {
                Spot::Leg { station_mm, .. } => self.station(&port.name, station_mm),
                Spot::Bend { turn_deg, .. } => {
                    self.number(
                        format_args!("How far round the bend {} sits", port.name),
                        turn_deg,
                        0.0,
                        180.0,
                        "°",
                    );
                }
            }
            self.clock(format_args!("The clock of {}", port.name), clock_deg);
            self.number(format_args!("The angle of {}", port.name), angle_deg, 0.0, 180.0, "°");
            self.within(format_args!("The offset of {}", port.name), offset_mm, -1_000.0, 1_000.0);
        }
    }

    /// Hardpoints that each sit on a run that the other begins or ends.
    fn ring(&mut self) {
        let ring = super::super::seat::ring(self.project);
        if !ring.is_empty() {
            let names = ring.into_iter().map(|h| h.name.clone()).collect();
            self.tell(Fault::Ring { names });
        }
    }

    /// Bars.
    pub(super) fn bars(&mut self) {
        let p = self.project;
        for bar in &p.bars {
            let name = &bar.name;
            self.within(format_args!("The outside diameter of {name}"), bar.od_mm, 3.0, 300.0);
            if let Some(wall_mm) = bar.wall_mm {
                self.wall(name, wall_mm, bar.od_mm);
            }
            self.within(format_args!("The stick length of {name}"), bar.stick_mm, 10.0, MAX_COORDINATE_MM);
            self.within(format_args!("The gap to {name}"), bar.gap_mm, 0.0, 5_000.0);
            if bar.corners.len() > MAX_BENDS {
                let count = bar.corners.len();
                self.tell(Fault::TooMany { what: "bends in one bar", count, most: MAX_BENDS });
            }
            for corner in &bar.corners {
                self.place(format_args!("a corner of {name}"), corner.position_mm);
                self.within(format_args!("A bend radius of {name}"), corner.clr_mm, 0.0, 10_000.0);
            }
            self.number(format_args!("The springback of {name}"), bar.springback_share, 0.0, 0.5, "");
            let mut size = |what: &str, mm: f64, least: f64| {
                self.within(format_args!("The {what} of {name}"), mm, least, MAX_COORDINATE_MM);
            };
            size("straight between bends", bar.least_straight_mm, 0.0);
            size("length to grip", bar.spare_mm, 0.0);
            size("adjustment wanted", bar.wanted_mm, 0.0);
            if let Some(mm) = bar.sawn_mm {
                size("length sawn already", mm, 0.1);
            }
            if let Some(sleeve) = &bar.sleeve {
                size("sleeve's diameter", sleeve.size.od_mm, 1.0);
                size("sleeve's length", sleeve.length_mm, 0.1);
                size("place of the sleeve", sleeve.station_mm, 0.0);
                self.wall(format_args!("the sleeve of {name}"), sleeve.size.wall_mm, sleeve.size.od_mm);
            }
            for end in &bar.ends {
                self.place(format_args!("an end of {name}"), end.position_mm);
                self.clock(format_args!("The clock of an end of {name}"), end.clock_deg);
                self.bar_end(name, end);
            }
        }
    }

    /// Sizes that say more than that they are absurd are left to the bar itself, with a sentence of its own.
    fn bar_end(&mut self, name: &str, end: &BarPoint) {
        let mut size = |what: &str, mm: f64, least: f64| {
            self.within(format_args!("The {what} of {name}"), mm, least, 5_000.0);
        };
        match end.make {
            BarEndMake::Plate { stand_off_mm } => size("stand-off", stand_off_mm, 0.0),
            BarEndMake::Tab(tab) => {
                size("length from hole to bar", tab.hole_to_bar_mm, 0.0);
                size("width of a tab", tab.width_mm, 0.1);
                size("thickness of a tab", tab.thick_mm, 0.1);
            }
            BarEndMake::RodEnd(rod, eye) => {
                size("thread diameter", rod.thread_dia_mm, 1.0);
                size("thread pitch", rod.pitch_mm, 0.1);
                size("length from eye to shoulder", rod.eye_to_shoulder_mm, 0.0);
                size("shank of a rod end", rod.shank_mm, 0.1);
                size("thread length", rod.thread_mm, 0.1);
                size("lock nut", rod.nut_mm, 0.0);
                size("flange of an insert", rod.socket.stand_mm, 0.0);
                size("tapped depth", rod.socket.tapped_mm, 0.1);
                size("length screwed in", rod.screwed_in_mm.unwrap_or(0.0), 0.0);
                size("diameter of an eye", eye.od_mm, 0.1);
                size("width of an eye", eye.width_mm, 0.1);
                self.number(
                    format_args!("The least engagement of {name}"),
                    rod.least_engagement,
                    0.5,
                    5.0,
                    "",
                );
            }
            BarEndMake::Cope { onto, pad } => {
                if let Some(pad) = pad {
                    size("thickness of a saddle plate", pad.thick_mm, 0.1);
                    size("gap under a saddle plate", pad.gap_mm, 0.0);
                    size("lip of a saddle plate", pad.lips_mm[0], 0.0);
                    size("lip of a saddle plate", pad.lips_mm[1], 0.0);
                    if let Some(width_mm) = pad.width_mm {
                        size("width of a saddle plate", width_mm, 1.0);
                    }
                    let what = format!("How far round the saddle plate of {name} goes");
                    self.number(&what, pad.angle_deg, 1.0, 355.0, "°");
                }
                if let Onto::Tube { through_mm, along, od_mm } = onto {
                    self.within(format_args!("The tube that {name} sits on"), od_mm, 1.0, 2_000.0);
                    self.place(format_args!("the tube that {name} sits on"), through_mm);
                    for x in along.to_array() {
                        self.number(
                            format_args!("The direction of the tube that {name} sits on"),
                            x,
                            -1e6,
                            1e6,
                            "",
                        );
                    }
                }
            }
        }
        if let Some(through) = &end.pin {
            let sizes = [
                ("pin's diameter", through.pin.dia_mm, 0.1),
                ("pin's length to its groove", through.pin.to_groove_mm, 0.1),
                ("pin's groove", through.pin.groove_mm, 0.1),
                ("pin's tail", through.pin.tail_mm, 0.0),
                ("hole for a pin", through.hole_mm, 0.1),
                ("length over both cheeks", through.over_cheeks_mm, 0.1),
                ("washers on a pin", through.washers_mm, 0.0),
            ];
            for (what, mm, least) in sizes {
                self.within(format_args!("The {what} of {name}"), mm, least, 5_000.0);
            }
        }
    }
}
