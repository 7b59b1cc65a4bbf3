//! Where the index line is, in words of the car.

use super::column::{Block, Item};
use crate::geom::Frame;
use crate::geom::vector::half_open_turn;
use crate::report::RunReport;
use glam::DVec3;

/// The six words, and what way each is.
const WAYS: [(&str, DVec3); 6] = [
    ("up", DVec3::Z),
    ("down", DVec3::NEG_Z),
    ("left", DVec3::Y),
    ("right", DVec3::NEG_Y),
    ("forward", DVec3::X),
    ("back", DVec3::NEG_X),
];
/// A way is no help to say where something lies round a pipe that runs along it: so much of it has to lie across.
const ACROSS: f64 = 0.5;
/// Angles below this print as none, degrees.
const SAME_DEG: f64 = 0.005;

/// How far the index line lies from the nearest way across the pipe: its word, and the angle clockwise as the air goes,
/// degrees.
pub(in crate::sheet) fn nearest(frame: &Frame) -> (&'static str, f64) {
    let off = |way: DVec3| {
        let across = way - frame.travel * way.dot(frame.travel);
        // the index line is as far from the way as the way is from it, the other way round
        (across.length() > ACROSS).then(|| half_open_turn(-frame.clock_of(way)).to_degrees())
    };
    let all = WAYS.into_iter().filter_map(|(word, way)| Some((word, off(way)?)));
    // of two as near, the one that stands first
    let nearer = |a: (&'static str, f64), b: (&'static str, f64)| {
        if b.1.abs() + SAME_DEG < a.1.abs() { b } else { a }
    };
    all.reduce(nearer).unwrap_or(("up", 0.0))
}

/// `straight up`, or `12.5° clockwise from up`.
pub(in crate::sheet) fn words(frame: &Frame) -> String {
    let (word, off) = nearest(frame);
    if off.abs() < SAME_DEG {
        return format!("straight {word}");
    }
    let way = if off > 0.0 { "clockwise" } else { "anticlockwise" };
    // fine enough to stand the pipe up again: a tenth of a degree moves a far end by more than a tack
    format!("{}° {way} from {word}", crate::units::plain_number(off.abs(), 2))
}

pub(super) fn block(run: &RunReport) -> Block {
    let frames = &run.built.frames;
    let [start, end] = [frames.first().map(|f| f.0), frames.last().map(|f| f.1)];
    let mut items = Vec::new();
    if let Some(start) = start {
        items.push(Item::Words(
            "At the START it is".to_owned(),
            format!("{}, as the pipe sits in the car.", words(&start)),
        ));
    }
    if let Some(end) = end {
        items.push(Item::Words("At the END it is".to_owned(), format!("{}.", words(&end))));
    }
    Block::new("INDEX LINE", items)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_of_six_ways_is_said_with_the_angle_off() {
        let said = |travel: DVec3, index: DVec3| words(&Frame::new(DVec3::ZERO, travel, index));
        assert_eq!(said(DVec3::X, DVec3::Z), "straight up");
        assert_eq!(said(DVec3::Z, DVec3::NEG_Y), "straight right");
        // along +X with up on top, clockwise is to the right, that is −Y
        let right = DVec3::new(0.0, -(0.2_f64.sin()), 0.2_f64.cos());
        assert_eq!(said(DVec3::X, right), "11.46° clockwise from up");
        // against it the same place lies the other way
        assert_eq!(said(DVec3::NEG_X, right), "11.46° anticlockwise from up");
        // a pipe that runs nearly up has no top
        let steep = DVec3::new(0.2, 0.0, 1.0);
        assert!(said(steep, DVec3::X).ends_with("forward"), "{}", said(steep, DVec3::X));
    }

    #[test]
    fn the_words_lead_back_to_the_line() {
        let mut seed = 1.0_f64;
        for _ in 0..200 {
            let mut dice = || {
                seed = (seed * 16_807.0) % 2_147_483_647.0;
                seed / 2_147_483_647.0 * 2.0 - 1.0
            };
            let frame = Frame::new(
                DVec3::ZERO,
                DVec3::new(dice(), dice(), dice()).normalize_or(DVec3::X),
                DVec3::new(dice(), dice(), dice()),
            );
            let (word, off) = nearest(&frame);
            let way = WAYS.iter().find(|w| w.0 == word).unwrap().1;
            let across = (way - frame.travel * way.dot(frame.travel)).normalize_or(DVec3::Z);
            let found = crate::geom::vector::turn(across, frame.travel, off.to_radians());
            assert!(found.dot(frame.index) > 1.0 - 1e-9, "{word} {off}");
        }
    }
}
