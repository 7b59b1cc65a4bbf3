//! What is said of the line of a run: its legs and bends, what sits on its legs, what its ends come to.

use super::limit::without_direction;
use super::{counted, end_word};
use crate::finding::RouteProblem;
use crate::units::{UnitSystem, angle, length, plain_number};
use glam::DVec3;

/// A direction in the words of the vehicle, the way it goes most first: `forward`, `up and back`.
fn way_words(way: DVec3) -> String {
    let named = [("forward", "back", way.x), ("left", "right", way.y), ("up", "down", way.z)];
    let mut named = named.map(|(plus, minus, part)| (if part < 0.0 { minus } else { plus }, part.abs()));
    named.sort_by(|a, b| b.1.total_cmp(&a.1));
    // a lean of less than about 6° does not change where a person puts the mark
    let told: Vec<&str> = named.iter().filter(|(_, part)| *part > 0.1).map(|(word, _)| *word).collect();
    told.join(" and ")
}

impl RouteProblem {
    /// Where it is, in words.
    pub fn place(&self) -> String {
        match self {
            Self::SmallKink { bend, .. }
            | Self::TurnsBack { bend, .. }
            | Self::RadiusTooSmall { bend, .. }
            | Self::TooFewWelds { bend, .. }
            | Self::ElbowShort { bend, .. }
            | Self::ElbowSize { bend, .. }
            | Self::OddSlice { bend, .. }
            | Self::NotMultiple { bend, .. }
            | Self::ElbowMetal { bend, .. } => format!("bend {bend}"),
            Self::BendsOverlap { leg, .. }
            | Self::JointOffLeg { leg, .. }
            | Self::JointBodyOnBend { leg, .. } => format!("leg {leg}"),
            Self::BehindFace { at_start, .. } => end_word(*at_start).to_owned(),
            Self::NoSuchLeg { joint, .. } | Self::JointSize { joint, .. } | Self::NoBead { joint } => {
                joint.clone()
            }
            Self::NoDirection { hardpoint }
            | Self::ClockAlong { hardpoint, .. }
            | Self::PortSize { hardpoint, .. } => hardpoint.clone(),
            Self::Missing { .. } | Self::NoLength | Self::NoFlexible { .. } => String::new(),
        }
    }

    /// The sentence a person reads: what, where, what to do.
    #[expect(clippy::too_many_lines, reason = "one sentence a kind, all in one place")]
    pub fn text(&self, units: UnitSystem) -> String {
        let len = |mm: f64| length(mm, units);
        let deg = |rad: f64| angle(rad.to_degrees(), 1);
        let fine = |rad: f64| format!("{}°", plain_number(rad.to_degrees(), 2));
        match self {
            Self::Missing { what, id } => {
                format!("It refers to {what} number {id}, which is not in the project: choose another.")
            }
            Self::NoDirection { hardpoint } => without_direction(hardpoint),
            Self::ClockAlong { hardpoint, really } => format!(
                "12 o'clock of {hardpoint} lies along the way it points, so it says nothing: clocks count from {} there. Choose a 12 o'clock across the tube.",
                way_words(*really)
            ),
            Self::NoLength => "The run starts and ends at the same place: move one of its ends.".to_owned(),
            Self::SmallKink { bend, angle_rad } => format!(
                "Waypoint {bend} makes a kink of only {}: too small to cut, so the pipe is taken as straight there.",
                angle(angle_rad.to_degrees(), 3)
            ),
            Self::TurnsBack { bend, angle_rad } => format!(
                "Bend {bend} turns back on itself ({}): spread it over two bends, each under 175°.",
                deg(*angle_rad)
            ),
            Self::BendsOverlap { leg, by_mm, first, second, largest_mm } => {
                let which = match (first, second) {
                    (Some(a), Some(b)) => format!("Bends {a} and {b} overlap"),
                    (Some(a), None) => format!("Bend {a} overlaps the end of the run"),
                    (None, Some(b)) => format!("Bend {b} overlaps the start of the run"),
                    (None, None) => "The joints overlap".to_owned(),
                };
                let radius = match (largest_mm, first.is_some() && second.is_some()) {
                    (None, _) => String::new(),
                    (Some(mm), true) => {
                        format!(", or take a centreline radius of at most {} for both", len(*mm))
                    }
                    (Some(mm), false) => format!(", or take a centreline radius of at most {}", len(*mm)),
                };
                format!("{which} by {} on leg {leg}: move the waypoints apart{radius}.", len(*by_mm))
            }
            Self::RadiusTooSmall { bend, clr_mm, least_mm } => format!(
                "Bend {bend} has a centreline radius of {}: the slices would have no throat. Take at least {}.",
                len(*clr_mm),
                len(*least_mm)
            ),
            Self::TooFewWelds { bend, welds, least } => {
                format!(
                    "Bend {bend} asks for {}; made like this it needs at least {least}.",
                    counted(*welds as usize, "weld")
                )
            }
            Self::OddSlice { bend, angle_rad, saw_rad, odd_rad, multiple_rad } => format!(
                "Bend {bend} turns {}: slices cut at {} leave {} over, so one weld of it is cut at {}. Move the waypoint so that it turns {} to do without.",
                deg(*angle_rad),
                fine(*saw_rad),
                fine(2.0 * odd_rad),
                fine(*odd_rad),
                fine(*multiple_rad)
            ),
            Self::NotMultiple { bend, angle_rad, saw_rad, multiple_rad } => format!(
                "Bend {bend} turns {}, which slices cut at {} cannot make with full ends: move the waypoint so that it turns {}, or give it half ends, where one odd slice takes the rest.",
                deg(*angle_rad),
                fine(*saw_rad),
                fine(*multiple_rad)
            ),
            Self::ElbowShort { bend, need_rad, have_rad, fits } => {
                let cure = fits.as_ref().map_or_else(
                    || "mitre it or move the waypoint.".to_owned(),
                    |name| format!("take the {name}, mitre it, or move the waypoint."),
                );
                format!(
                    "Bend {bend} needs {} but the elbow has only {}: {cure}",
                    deg(*need_rad),
                    deg(*have_rad)
                )
            }
            Self::ElbowSize { bend, elbow_od_mm, tube_od_mm, fits } => {
                let cure = fits.as_ref().map_or_else(
                    || "no elbow in stock fits, so mitre it or add one of the tube's size.".to_owned(),
                    |name| format!("take the {name}."),
                );
                let (elbow, tube) = (len(*elbow_od_mm), len(*tube_od_mm));
                format!("The elbow of bend {bend} is {elbow} but the tube is {tube}: {cure}")
            }
            Self::ElbowMetal { bend, elbow, tube } => {
                let (weldable, elbow, tube) = (elbow.welds_to(*tube), elbow.name(), tube.name());
                if weldable {
                    format!("The elbow of bend {bend} is {elbow} on {tube} tube: use filler meant for both.")
                } else {
                    format!("The elbow of bend {bend} is {elbow}; it cannot be welded to {tube} tube.")
                }
            }
            Self::JointOffLeg { joint, leg, by_mm } => format!(
                "{joint} does not fit on the straight of leg {leg}: it runs {} into a bend or another joint. Slide it along or make the straight longer.",
                len(*by_mm)
            ),
            Self::JointBodyOnBend { joint, leg, by_mm } => format!(
                "The body of {joint} on leg {leg} reaches {} onto a bend, where it cannot seat: slide it along or make the straight longer.",
                len(*by_mm)
            ),
            Self::NoSuchLeg { joint, leg, legs } => {
                format!(
                    "{joint} sits on leg {leg}, but the run has only {}: put it on another.",
                    counted(*legs, "leg")
                )
            }
            Self::BehindFace { at_start, reach_mm, least_mm } => {
                let end = end_word(*at_start);
                format!(
                    "The bend next to the {end} sits {} from the face, inside or behind the part: bring it out to at least {}.",
                    len(*reach_mm),
                    len(*least_mm)
                )
            }
            Self::JointSize { joint, joint_od_mm, tube_od_mm, fits } => {
                let cure = fits.as_ref().map_or_else(
                    || "choose a joint of the tube's size; none is in stock.".to_owned(),
                    |name| format!("take {name}."),
                );
                format!(
                    "{joint} fits {} tube, but the run is {}: {cure}",
                    len(*joint_od_mm),
                    len(*tube_od_mm)
                )
            }
            Self::NoBead { joint } => format!(
                "{joint} has no bead on its tubes, and the run holds pressure, which can blow the hose off: roll a bead on both ends and enter where."
            ),
            Self::PortSize { hardpoint, port_od_mm, tube_od_mm } => format!(
                "{hardpoint} takes {} tube, but the run is {}: it will need a step or another tube.",
                len(*port_od_mm),
                len(*tube_od_mm)
            ),
            Self::NoFlexible { bodies: (a, b) } => format!(
                "It ties {a} to {b} with nothing that gives: if they move against each other, a weld will crack. Put a clamp coupler, hose or flexible section in it."
            ),
        }
    }
}
