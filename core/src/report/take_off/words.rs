//! The answer in words, for who stands beside the car.

use super::TakeOff;
use crate::space::way_out::{Answer, Blocker, Outcome, Pull, Stop, direction_in_words};
use crate::units;

/// Past everything after less than this is so at once, mm.
const AT_ONCE_MM: f64 = 5.0;

impl TakeOff {
    /// The answer as short sentences, the first the one that counts.
    pub fn words(&self, outcome: &Outcome) -> Vec<String> {
        let length = |mm: f64| units::length(mm, self.units);
        let mut out = match &outcome.answer {
            Answer::Pull(pull) => self.pull(pull),
            Answer::Way(way) => {
                vec![
                    "It comes off with more than one move.".to_owned(),
                    sentence(&way.in_words(&length)),
                    format!(
                        "On the way it keeps {} from all that is not nearer already.",
                        length(self.need_mm)
                    ),
                ]
            }
            Answer::Cannot => vec![format!(
                "It cannot come off: the faces at {} hold it against every pull and every turn. Open it at another joint.",
                self.mate_words.join(" and ")
            )],
            Answer::NoWay(stop) => self.no_way(stop, outcome.poses),
            Answer::Nothing => vec!["There is no pipe between these two places.".to_owned()],
            Answer::Unsound => {
                vec![
                    "A number of this run or of an obstacle cannot be used. Look at the problems first."
                        .to_owned(),
                ]
            }
            Answer::Stopped => vec!["The search was stopped.".to_owned()],
        };
        if !self.unread.is_empty() {
            let names = self.unread.join(", ");
            out.push(format!("Not counted, because it has not been read: {names}."));
        }
        out
    }

    fn pull(&self, pull: &Pull) -> Vec<String> {
        let length = |mm: f64| units::length(mm, self.units);
        let along = direction_in_words(pull.direction);
        let first = match pull.way.moves().as_slice() {
            [draw, _, ..] => {
                format!(
                    "First draw it {} out, {}. ",
                    length(draw.shift_mm.length()),
                    direction_in_words(draw.shift_mm)
                )
            }
            [_] | [] => String::new(),
        };
        let until = if pull.clear_after_mm >= self.far_mm {
            format!("It lies beside something all the way; it was followed for {}.", length(self.far_mm))
        } else if pull.clear_after_mm < AT_ONCE_MM {
            "Nothing lies in its way.".to_owned()
        } else {
            format!("After {} it is past everything.", length(pull.clear_after_mm))
        };
        let room = length(self.need_mm + pull.spare_mm);
        vec![
            format!("{first}Pull it straight {along}."),
            until,
            format!("On the way it keeps {room} or more from all that is not nearer already."),
        ]
    }

    fn no_way(&self, stop: &Stop, poses: usize) -> Vec<String> {
        let length = |mm: f64| units::length(mm, self.units);
        let tried = format!(
            "{poses} positions with shifts and turns were tried too. That does not prove that there is no way."
        );
        match stop {
            Stop::Runs { direction, distance_mm, into } => vec![
                "No way out was found.".to_owned(),
                format!(
                    "The pull that gets furthest is {}: {}, then it comes too near to {}.",
                    direction_in_words(*direction),
                    length(*distance_mm),
                    self.name_of(*into)
                ),
                tried,
            ],
            Stop::AtRest(into) => vec![format!(
                "It cannot be moved as drawn: where it stands it touches {}. Make room there first.",
                self.name_of(*into)
            )],
            Stop::Faces => vec![
                "No way out was found: its faces leave no direction for a straight pull.".to_owned(),
                tried,
            ],
            Stop::Spigots => vec![
                "Its slip joints point different ways: no one pull draws them all. Open it at a joint between them."
                    .to_owned(),
            ],
            Stop::Hose { mate, lacks_mm } => vec![format!(
                "The hose of {} cannot be slid back: the straight tube beside it is {} too short, and no way was \
                 found to draw the pipe out of the hose. Move the joint further from the bend, or open the pipe \
                 elsewhere.",
                self.mate_words.get(*mate).map_or("the joint", String::as_str),
                length(*lacks_mm)
            )],
        }
    }

    /// What is in the way, by name.
    fn name_of(&self, blocker: Blocker) -> String {
        match blocker {
            Blocker::Fixed(i) => self.still.get(i).map(|s| s.words.clone()),
            Blocker::Shape(i) => self.shape_names.get(i).map(|(_, name)| name.clone()),
        }
        .unwrap_or_default()
    }
}

/// Capital and stop for a sentence.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}
