//! Fewer and longer moves for a way that was found step by step.

use super::scene::Scene;
use super::stance::Stance;

/// Whether the section can go straight from one stance to the next.
pub(super) fn leg_is_clear(scene: &Scene<'_>, a: &Stance, b: &Stance) -> bool {
    let shift = b.shift_mm - a.shift_mm;
    if a.turn_rad.distance(b.turn_rad) > 0.0 {
        return scene.is_clear(a, b);
    }
    // a bare shift is followed exactly
    shift.try_normalize().is_none_or(|along| scene.slide(a, along, shift.length(), 0.0).is_none())
}

/// The way along `path` and on to `last` in as few moves as are easily found, bare shifts and bare turns where
/// that does. The last leg stays as it is.
pub(super) fn tidy(scene: &Scene<'_>, path: &[Stance], last: Stance) -> Vec<Stance> {
    let mut out: Vec<Stance> = path.first().copied().into_iter().collect();
    let mut at = 0;
    while at + 1 < path.len() {
        let from = path[at];
        // to the furthest that one or two moves reach
        let ahead = (at + 1..path.len()).rev().find_map(|to| Some((to, legs(scene, &from, &path[to])?)));
        let (to, moves) = ahead.unwrap_or_else(|| (at + 1, vec![path[at + 1]]));
        out.extend(moves);
        at = to;
    }
    out.push(last);
    out
}

/// A bare move, two of them, or else one of both kinds at once between two stances, whichever is clear.
fn legs(scene: &Scene<'_>, a: &Stance, b: &Stance) -> Option<Vec<Stance>> {
    let (shifts, turns) = (a.shift_mm != b.shift_mm, a.turn_rad != b.turn_rad);
    if !(shifts && turns) {
        return leg_is_clear(scene, a, b).then(|| vec![*b]);
    }
    let between = [
        Stance { shift_mm: b.shift_mm, turn_rad: a.turn_rad },
        Stance { shift_mm: a.shift_mm, turn_rad: b.turn_rad },
    ];
    let clear = |m: &&Stance| leg_is_clear(scene, a, m) && leg_is_clear(scene, m, b);
    let bare = between.iter().find(clear).map(|m| vec![*m, *b]);
    bare.or_else(|| leg_is_clear(scene, a, b).then(|| vec![*b]))
}
