//! What is said where the program proposes no route.

use super::end_word;
use crate::finding::{NoRoute, RouteCure};
use crate::units::{UnitSystem, length};

impl NoRoute {
    /// The sentence a person reads: what, where, what to do. `cures` are changes with which a route was found.
    pub fn text(&self, cures: &[RouteCure], units: UnitSystem) -> String {
        let len = |mm: f64| length(mm, units);
        let why = match self {
            Self::NoSuchRun => "There is no such run any more: choose another.".to_owned(),
            Self::NoEnds { why } => format!("There is nothing to lay a route between: {why}"),
            Self::NoMake { tube } => format!(
                "There is no way to make a bend in {tube}: enter an elbow of that size, or allow mitred bends."
            ),
            Self::Blocked { at_end, against, free_mm, needs_mm } => format!(
                "There cannot be a route: straight out of its {} the pipe comes too near to {against} after {}, and needs {} there before it may turn. Move or turn the hardpoint, move {against}, or ask for less gap or a shorter straight.",
                end_word(!at_end),
                len(*free_mm),
                len(*needs_mm)
            ),
            Self::NoWay { od_mm, size_mm: [x, y, z] } => format!(
                "There cannot be a route in the {} × {} × {} of room that was searched: nowhere is there a way through for a pipe of {} with the gaps that are asked for. Use smaller tube, ask for less gap, or move what is in the way.",
                len(*x),
                len(*y),
                len(*z),
                len(*od_mm)
            ),
            Self::NoTurn => "No route was found in what was searched. A ball of the pipe's size gets through, so it is room to turn, or room for the straights, that seems to be missing.".to_owned(),
            Self::NotFound { tried } => format!(
                "No route was found in what was searched, {tried} ways through in all. That is no proof that there is none: search longer, or give the pipe more room."
            ),
            Self::Refused { why } => {
                format!("Ways through were found, but none that is sound as it is to be built: {why}")
            }
            Self::Stopped => "The search was stopped before a route was found.".to_owned(),
            Self::NoMend => "No change near to how the run is drawn was found that clears what is wrong with it: look for routes, or move what is in the way.".to_owned(),
            Self::NoTidy { bends: 0..=2 } => "With fewer than three bends both ends decide what the bends turn, so they stay as they are: add a waypoint for a third, or move a hardpoint.".to_owned(),
            Self::NoTidy { .. } => "The bends were not brought to angles that the saw and the elbows make, such that the run ends on both hardpoints and keeps its gaps: add a waypoint, or let one angle stay as it is.".to_owned(),
        };
        let mut out = why;
        for cure in cures {
            out.push(' ');
            out.push_str(&cure.text(units));
        }
        out
    }
}

impl RouteCure {
    /// The sentence that says what helps.
    pub fn text(&self, units: UnitSystem) -> String {
        match self {
            Self::MoreBends { bends } => format!("With {bends} bends there is a route."),
            Self::ShorterStraight { shortest_mm } => {
                format!("With straights down to {} there is a route.", length(*shortest_mm, units))
            }
            Self::Radius { clr_mm } => {
                format!("With a centreline radius of {} there is a route.", length(*clr_mm, units))
            }
            Self::Without { name } => format!("Without {name} there is a route."),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_proved_is_said_to_be_so() {
        let all = [
            NoRoute::NoSuchRun,
            NoRoute::NoEnds { why: "no tube.".to_owned() },
            NoRoute::NoMake { tube: "63.5 mm".to_owned() },
            NoRoute::Blocked { at_end: true, against: "Rail".to_owned(), free_mm: 12.0, needs_mm: 30.0 },
            NoRoute::NoWay { od_mm: 63.5, size_mm: [900.0, 800.0, 700.0] },
            NoRoute::NoTurn,
            NoRoute::NotFound { tried: 40 },
            NoRoute::Refused { why: "short.".to_owned() },
            NoRoute::Stopped,
            NoRoute::NoMend,
            NoRoute::NoTidy { bends: 2 },
            NoRoute::NoTidy { bends: 4 },
        ];
        for none in all {
            let text = none.text(&[], UnitSystem::Millimetre);
            assert_eq!(text.contains("cannot be"), none.is_proved(), "{text}");
            assert!(text.ends_with('.'), "{text}");
        }
        let cures = [RouteCure::MoreBends { bends: 4 }, RouteCure::Without { name: "Tray".to_owned() }];
        let text = NoRoute::NoTurn.text(&cures, UnitSystem::Millimetre);
        assert!(text.ends_with("With 4 bends there is a route. Without Tray there is a route."), "{text}");
    }
}
