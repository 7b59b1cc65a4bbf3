//! What is said of small parts: what, where, the nearest choice.

use super::block;
use crate::finding::{Over, PartFault, PartProblem, Width};
use crate::units::{UnitSystem, angle, length, plain_number, tube_size};

impl Over {
    /// Where it reaches.
    fn text(&self) -> String {
        match self {
            Self::Weld(mark) => format!("over the weld to {mark}"),
            Self::Bend => "onto the bend".to_owned(),
            Self::Joint(mark) => format!("under the body of the joint {mark}"),
            Self::End => "over the end of the pipe".to_owned(),
        }
    }
}

fn width(what: Width) -> &'static str {
    match what {
        Width::Boss => "boss",
        Width::Stub => "stub",
        Width::Thickness => "thickness",
    }
}

impl PartProblem {
    /// The sentence a person reads: what, where, what to do.
    #[expect(clippy::too_many_lines, reason = "one sentence a kind, all in one place")]
    pub fn text(&self, units: UnitSystem) -> String {
        let len = |mm: f64| length(mm, units);
        let size = |mm: f64| tube_size(mm, units);
        let move_to = |fits: &Option<f64>| match fits {
            Some(mm) => format!("the nearest station with room for it is {}.", len(*mm)),
            None => "this leg has no room for it: choose another leg, or a smaller part.".to_owned(),
        };
        let name = &self.part;
        match &self.fault {
            PartFault::NoLeg { leg, legs } => {
                format!("{name} is on leg {leg}, but the run has {legs}: choose one of those.")
            }
            PartFault::OffLeg { leg, straight_mm, fits } => format!(
                "{name} stands off the straight of leg {leg}, which is {} long: {}",
                len(straight_mm.max(0.0)),
                move_to(fits)
            ),
            PartFault::OnBlock { what, mark, fits } => {
                format!(
                    "{name} stands on the {} {mark}, where there is no tube for it: {}",
                    block(*what),
                    move_to(fits)
                )
            }
            PartFault::Over { over, by_mm, fits } => {
                format!("{name} reaches {} {}: {}", len(*by_mm), over.text(), move_to(fits))
            }
            PartFault::OffWall { by_mm, fits } => format!(
                "{name} reaches {} beyond the wall that is left at its clock, where it would be welded to nothing: {}",
                len(*by_mm),
                move_to(fits)
            ),
            PartFault::NotOnBend => {
                format!("{name} cannot stand on a bend, where it has no straight wall: put it on a leg.")
            }
            PartFault::NoBend { leg } => {
                format!("{name} is on the bend after leg {leg}, but there is none: put it on a leg.")
            }
            PartFault::OffBend { leg, turn_deg, most_deg } => format!(
                "{name} is {} round the bend after leg {leg}, which turns {}: take from 0° to {1}.",
                angle(*turn_deg, 1),
                angle(*most_deg, 1)
            ),
            PartFault::Onto { what, mark, by_mm } => format!(
                "{name} reaches {} from the bend onto the {} {mark}: turn it back by that much.",
                len(*by_mm),
                block(*what)
            ),
            PartFault::WideOnBend { width_mm, largest_mm } => {
                let narrower = largest_mm
                    .map_or_else(String::new, |mm| format!("take one of at most {}, or ", size(mm)));
                format!(
                    "{name}, {} across, does not seat all round on the bend: {narrower}put it on a straight.",
                    size(*width_mm)
                )
            }
            PartFault::AcrossWelds { pieces } => format!(
                "{name} stands across welds between {}: finish those first and grind them flush where it sits.",
                pieces.join(", ")
            ),
            PartFault::OnOther { other, fits } => {
                let cure = match fits {
                    Some(mm) => format!("the nearest station that is free is {}.", len(*mm)),
                    None => {
                        "this leg is full at its clock: turn one of them, or choose another leg.".to_owned()
                    }
                };
                format!("{name} stands where {other} is welded on: {cure}")
            }
            PartFault::TooWide { what, width_mm, tube_mm } => format!(
                "The {} of {name} is {} wide, wider than the tube of {}: take one no wider than the tube.",
                width(*what),
                size(*width_mm),
                size(*tube_mm)
            ),
            PartFault::TooFlat { angle_rad, least_rad } => format!(
                "{name} leaves the tube at {}, too flat to cut and weld its tip: take between {} and {}.",
                angle(angle_rad.to_degrees(), 1),
                angle(least_rad.to_degrees(), 0),
                angle(180.0 - least_rad.to_degrees(), 0)
            ),
            PartFault::Unfit { why } => format!("{name} does not fit on the tube: {}", why.text(units)),
            PartFault::HoleTooWide { hole_mm, boss_mm } => format!(
                "The hole for {name}, {}, leaves nothing of its boss of {} to weld to: drill smaller, or take a larger boss.",
                len(*hole_mm),
                len(*boss_mm)
            ),
            PartFault::FlangeLow { length_mm, least_mm } => format!(
                "The flange of {name} runs into the tube: its stub is {} long and has to be at least {}.",
                len(*length_mm),
                len(*least_mm)
            ),
            PartFault::FlangeNarrow { flange_mm, stub_mm } => format!(
                "The flange of {name}, {}, is no wider than its stub of {}: take a wider flange.",
                size(*flange_mm),
                size(*stub_mm)
            ),
            PartFault::SensorLow { stands_rad, least_rad, fits_rad } => {
                let cure = match fits_rad {
                    Some(clock) => {
                        format!(
                            "turn it to clock {}°.",
                            plain_number(clock.to_degrees().rem_euclid(360.0), 1)
                        )
                    }
                    None => "no clock on this leg does, it is too steep: put it on a flatter leg.".to_owned(),
                };
                format!(
                    "{name} stands {} above level; a sensor in exhaust gas should stand at least {} above it so that \
                     water runs off (common practice): {cure}",
                    angle(stands_rad.to_degrees(), 1),
                    angle(least_rad.to_degrees(), 0),
                )
            }
            PartFault::SensorNear { from_start_mm, least_mm } => format!(
                "{name} is {} along the pipe from its start; behind a turbine a sensor lasts longer from {} on \
                 (common practice).",
                len(*from_start_mm),
                len(*least_mm)
            ),
            PartFault::TapNear { from_bend_mm, least_mm, fits } => {
                let cure = match fits {
                    Some(mm) => format!("station {} does.", len(*mm)),
                    None => "this leg is too short for that.".to_owned(),
                };
                format!(
                    "{name} is {} after a bend, where the pressure across the pipe is uneven; {} reads truer (common \
                     practice): {cure}",
                    len(*from_bend_mm),
                    len(*least_mm)
                )
            }
            PartFault::PartRound { around_rad } => format!(
                "{name} covers {} of the way round the pipe: what lies behind it may be as near as a shielded pipe may be. \
                 What sees the bare pipe past its edges needs the full gap of a hot pipe: look at that yourself.",
                angle(around_rad.to_degrees(), 0)
            ),
            PartFault::Through { shield } => {
                format!("{name} stands in {shield}: cut a hole for it in the shield, with room to move.")
            }
        }
    }
}
