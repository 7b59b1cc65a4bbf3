//! The sentences: what is wrong, where, and what to do.

use super::{Problem, limit};
use crate::units::{UnitSystem, angle, length, plain_number};

/// Marks in a sentence: `A1, A2 and A3`.
fn listed(marks: &[String]) -> String {
    match marks {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => marks.concat(),
    }
}

/// Two lengths as text; with more digits where both would read alike.
fn told_apart(a_mm: f64, b_mm: f64, units: UnitSystem) -> (String, String) {
    let (a, b) = (length(a_mm, units), length(b_mm, units));
    let bare = |text: &str| text.trim_start_matches("≈ ").to_owned();
    if bare(&a) != bare(&b) {
        return (a, b);
    }
    match units {
        UnitSystem::Millimetre => (format!("{a_mm:.2} mm"), format!("{b_mm:.2} mm")),
        UnitSystem::InchFraction | UnitSystem::InchDecimal => {
            (format!("{:.3}\"", a_mm / 25.4), format!("{:.3}\"", b_mm / 25.4))
        }
    }
}

impl Problem {
    /// The sentence a person reads: what, where, what to do. Bends, legs and so on count from 1.
    #[expect(clippy::too_many_lines, reason = "one sentence a kind, all in one place")]
    pub fn text(&self, units: UnitSystem) -> String {
        let len = |mm: f64| length(mm, units);
        let deg = |rad: f64| angle(rad.to_degrees(), 1);
        let fine = |rad: f64| format!("{}°", plain_number(rad.to_degrees(), 2));
        match self {
            Self::Missing { what, id } => {
                format!("It refers to {what} number {id}, which is not in the project: choose another.")
            }
            Self::NoDirection { hardpoint } => limit::without_direction(hardpoint),
            Self::NoLength => "The run starts and ends at the same place: move one of its ends.".to_owned(),
            Self::Limit(fault) => limit::text(fault, units),
            Self::SmallKink { bend, angle_rad } => format!(
                "Waypoint {bend} makes a kink of only {}: too small to cut, so the pipe is taken as straight there.",
                angle(angle_rad.to_degrees(), 3)
            ),
            Self::TurnsBack { bend, angle_rad } => format!(
                "Bend {bend} turns back on itself ({}): spread it over two bends, each under 175°.",
                deg(*angle_rad)
            ),
            Self::BendsOverlap { leg, by_mm, first, second } => {
                let which = match (first, second) {
                    (Some(a), Some(b)) => format!("Bends {a} and {b} overlap"),
                    (Some(a), None) => format!("Bend {a} overlaps the end of the run"),
                    (None, Some(b)) => format!("Bend {b} overlaps the start of the run"),
                    (None, None) => "The joints overlap".to_owned(),
                };
                format!(
                    "{which} by {} on leg {leg}: move the waypoints apart, or take a smaller centreline radius.",
                    len(*by_mm)
                )
            }
            Self::RadiusTooSmall { bend, clr_mm, least_mm } => format!(
                "Bend {bend} has a centreline radius of {}: the slices would have no throat. Take at least {}.",
                len(*clr_mm),
                len(*least_mm)
            ),
            Self::ThroatShort { mark, throat_mm, least_mm, clr_mm } => {
                let cure = clr_mm.map_or_else(
                    || "move its neighbours apart.".to_owned(),
                    |r| format!("use fewer welds or a centreline radius of {} or more.", len(r)),
                );
                format!(
                    "Piece {mark} is only {} long at its throat, under the {} that can be gripped and tacked: {cure}",
                    len(*throat_mm),
                    len(*least_mm)
                )
            }
            Self::CutsCross { mark, by_mm, fewer_degrees } => {
                let cure =
                    if *fewer_degrees { "use more welds in the bend" } else { "move the waypoints apart" };
                format!("The two cuts of piece {mark} cross each other by {}: {cure}.", len(*by_mm))
            }
            Self::TooFewWelds { bend, welds, least } => {
                format!("Bend {bend} asks for {welds} welds; made like this it needs at least {least}.")
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
            Self::SawLimit { bend, mark, saw_rad, most_rad, welds } => format!(
                "Piece {mark} of bend {bend} is cut at {}, and the saw goes to {}: use {welds} welds or more in that bend, or grind it to its template.",
                fine(*saw_rad),
                fine(*most_rad)
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
            Self::ElbowMetal { bend, elbow, tube, weldable } => {
                if *weldable {
                    format!("The elbow of bend {bend} is {elbow} on {tube} tube: use filler meant for both.")
                } else {
                    format!("The elbow of bend {bend} is {elbow}; it cannot be welded to {tube} tube.")
                }
            }
            Self::ElbowsToBuy { elbow, need, have } => {
                format!(
                    "Elbows, {elbow}: {need} needed, {have} on the shelf. Buy {}.",
                    need.saturating_sub(*have)
                )
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
                format!("{joint} sits on leg {leg}, but the run has only {legs} legs: put it on another.")
            }
            Self::FullEndAtFace { bend, at_start } => {
                let end = if *at_start { "start" } else { "end" };
                format!(
                    "Bend {bend} has full ends but no straight between it and the {end} of the run: its first slice cannot meet the face square. Slide the bend away from the face, or give it half ends."
                )
            }
            Self::BehindFace { at_start, reach_mm, least_mm } => {
                let end = if *at_start { "start" } else { "end" };
                format!(
                    "The bend next to the {end} sits {} from the face, inside or behind the part: bring it out to at least {}.",
                    len(*reach_mm),
                    len(*least_mm)
                )
            }
            Self::PiecesMissEnd { offset_mm, angle_rad } => format!(
                "Laid end to end, its pieces end {} from where the run ends and lean {} there, so nothing that follows from them can be trusted: divide the run in two with a hardpoint between, or take out bends.",
                len(*offset_mm),
                fine(*angle_rad)
            ),
            Self::Lip { weld, lip_mm, turn_rad } => format!(
                "At weld {weld} two mitred faces are turned {} against each other and leave a lip of {}: leave some straight between the two bends.",
                deg(*turn_rad),
                len(*lip_mm)
            ),
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
            Self::FitGone { weld, instead } => format!(
                "{}: {}.",
                weld.as_ref().map_or_else(
                    || "The weld that was chosen to be fitted last is not there any more".to_owned(),
                    |w| format!("Weld {w} was chosen to be fitted last, but nothing beside it can be trimmed")
                ),
                instead.as_ref().map_or_else(|| "choose another".to_owned(), |w| format!("{w} is taken now"))
            ),
            Self::FitShort { weld, mark, long_mm, grip_mm } => format!(
                "{mark} carries the length to trim at weld {weld}, but at {} it is shorter than the {} the saw has to grip: choose another weld to fit last.",
                len(*long_mm),
                len(*grip_mm)
            ),
            Self::NoFit => {
                "No weld has a straight or a slice beside it that could be trimmed: nothing takes up what the others are off. Cut an elbow's leg, or put a straight in.".to_owned()
            }
            Self::SawnOtherwise { mark, written, was_mm, now_mm, .. } => {
                let (was, now) = told_apart(*was_mm, *now_mm, units);
                let written = written.as_ref().map_or_else(String::new, |old| format!(" (marked {old})"));
                format!(
                    "{mark}{written} has been sawn {was} long on its centre, and now it should be {now} or have other cuts: saw it again, or take back the change."
                )
            }
            Self::SawnUnknown { marks } => {
                let (were, they) = if marks.len() == 1 { ("was", "it is") } else { ("were", "they are") };
                format!(
                    "{} {were} sawn before the pipes were changed, and no piece that is drawn now has that shape, or more than one has: {they} not counted as sawn. Look what can still be used, then take {} off the list of what is sawn.",
                    listed(marks),
                    if marks.len() == 1 { "it" } else { "them" }
                )
            }
            Self::PortSize { hardpoint, port_od_mm, tube_od_mm } => format!(
                "{hardpoint} takes {} tube, but the run is {}: it will need a step or another tube.",
                len(*port_od_mm),
                len(*tube_od_mm)
            ),
            Self::ToolBlocked { tool, against } => format!(
                "{tool} cannot get on: {against} is in its way. Turn the joint's clock, slide it, or enter a smaller tool."
            ),
            Self::TooClose { part, against, gap_mm, required_mm, heat, lobe, moved } => {
                let (gap, required) = told_apart(*gap_mm, *required_mm, units);
                let cure = if *lobe {
                    "Turn its clock, slide it, or move the pipe."
                } else if *heat {
                    "Move it away or shield it; heat near fuel, lines or looms starts fires."
                } else {
                    "Move a waypoint away, or lower the gap it asks for."
                };
                let when = moved.as_ref().map_or_else(String::new, |pose| format!("With {pose}: "));
                if *gap_mm < 0.0 {
                    format!(
                        "{when}{part} runs {} into {against}; it should stay {required} clear. {cure}",
                        len(-gap_mm)
                    )
                } else {
                    format!("{when}{part} has only {gap} of gap to {against}; it should have {required}. {cure}")
                }
            }
            Self::Clash { part, lobe, against, deep_mm, itself } => {
                let (where_to, there) = if *itself {
                    ("the same run".to_owned(), "a pipe cannot go through itself")
                } else {
                    (within_sentence(against), "both cannot be there")
                };
                let cure = if *lobe {
                    "Turn its clock, slide it, or move the pipe."
                } else {
                    "Move a waypoint away, or correct what is entered there."
                };
                format!("{part} goes about {} into {where_to}: {there}. {cure}", len(*deep_mm))
            }
            Self::PieceTooLong { mark, length_mm, stick_mm } => format!(
                "Piece {mark} is {} long and does not come out of a stick of {}, saw cuts included: put a joint in that leg, or enter a longer stick.",
                len(*length_mm),
                len(*stick_mm)
            ),
            Self::NoFlexible { bodies: (a, b) } => format!(
                "It ties {a} to {b} with nothing that gives: if they move against each other, a weld will crack. Put a clamp coupler, hose or flexible section in it."
            ),
            Self::ScanMissing { scan, why } => {
                let why = why.as_deref().unwrap_or("Its file has not been read.");
                format!("Gaps to {scan} are not checked. {why}")
            }
            Self::ScanChanged { scan, why } => {
                format!("{scan} may not be what it was when the pipes were laid out. {why}")
            }
            Self::ScanLeftOut { scan, what, flat: true } => {
                format!("{scan}: {what} They are lines or points, which show no surface.")
            }
            Self::ScanLeftOut { scan, what, flat: false } => format!(
                "{scan}: {what} Gaps to what they showed are not checked: export the scan again, or look at that place on the vehicle."
            ),
            Self::Said { text, .. } => text.clone(),
            Self::SticksToBuy { tube, count, at_most } => {
                format!(
                    "Buy {}{} stick{} of {tube}.",
                    if *at_most { "at most " } else { "" },
                    plain_number(*count as f64, 0),
                    if *count == 1 { "" } else { "s" }
                )
            }
        }
    }
}

/// What begins a sentence, as it stands within one.
fn within_sentence(words: &str) -> String {
    for first in ["Piece ", "The "] {
        if let Some(rest) = words.strip_prefix(first) {
            return format!("{}{rest}", first.to_lowercase());
        }
    }
    words.to_owned()
}
