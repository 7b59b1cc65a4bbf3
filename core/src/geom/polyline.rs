//! Curves in the plane drawn in straight steps, close enough to cut by.

/// Most times a step is halved.
const MOST_HALVINGS: u32 = 14;

/// A place on a drawn curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// The curve's parameter.
    pub t: f64,
    /// Across, mm.
    pub x_mm: f64,
    /// Along, mm.
    pub y_mm: f64,
}

impl Place {
    fn far_from_chord_mm(&self, a: &Self, b: &Self) -> f64 {
        let (dx, dy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
        let (px, py) = (self.x_mm - a.x_mm, self.y_mm - a.y_mm);
        let long = dx.hypot(dy);
        if long > 0.0 { (px * dy - py * dx).abs() / long } else { px.hypot(py) }
    }
}

/// The curve `at` from the first to the last of `breaks`, which rise, in chords that it leaves by `chord_mm` at most.
///
/// Each part between two breaks starts with `least` steps; a step is halved while the curve at its middle or quarters
/// leaves the chord by more, and where that jumps, no more than 14 times. Kinks and jumps are best made breaks.
pub fn draw(at: impl Fn(f64) -> (f64, f64), breaks: &[f64], least: u32, chord_mm: f64) -> Vec<Place> {
    let place = |t: f64| {
        let (x_mm, y_mm) = at(t);
        Place { t, x_mm, y_mm }
    };
    let mut out: Vec<Place> = breaks.first().map(|t| place(*t)).into_iter().collect();
    for part in breaks.windows(2).filter(|w| w[1] > w[0]) {
        let step = (part[1] - part[0]) / f64::from(least.max(1));
        for i in 0..least.max(1) {
            let to = if i + 1 == least.max(1) { part[1] } else { part[0] + step * f64::from(i + 1) };
            if let Some(from) = out.last().copied() {
                go(&place, from, place(to), (chord_mm, MOST_HALVINGS), &mut out);
            }
        }
    }
    out
}

fn go(
    place: &impl Fn(f64) -> Place,
    from: Place,
    to: Place,
    (chord_mm, left): (f64, u32),
    out: &mut Vec<Place>,
) {
    let part = |f: f64| place(from.t + (to.t - from.t) * f);
    let middle = part(0.5);
    let off = |p: &Place| p.far_from_chord_mm(&from, &to) > chord_mm;
    if left > 0 && (off(&middle) || off(&part(0.25)) || off(&part(0.75))) {
        go(place, from, middle, (chord_mm, left - 1), out);
        go(place, middle, to, (chord_mm, left - 1), out);
    } else {
        out.push(to);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_chord_leaves_the_curve_by_more_than_promised() {
        let curve = |t: f64| (40.0 * t, 30.0 * (3.0 * t).sin().abs());
        let breaks = [0.0, std::f64::consts::FRAC_PI_3, 2.0];
        let drawn = draw(curve, &breaks, 4, 0.01);
        assert!(drawn.len() > 20 && drawn.len() < 400, "{}", drawn.len());
        for w in drawn.windows(2) {
            for i in 0..=20 {
                let t = w[0].t + (w[1].t - w[0].t) * f64::from(i) / 20.0;
                let (x_mm, y_mm) = curve(t);
                assert!(Place { t, x_mm, y_mm }.far_from_chord_mm(&w[0], &w[1]) < 0.0105);
            }
        }
        assert_eq!((drawn[0].t, drawn[drawn.len() - 1].t), (0.0, 2.0));
    }

    #[test]
    fn a_jump_ends_the_halving() {
        let drawn = draw(|t| (t, if t < 0.3 { 0.0 } else { 5.0 }), &[0.0, 1.0], 2, 0.01);
        assert!(drawn.len() < 40, "{}", drawn.len());
    }
}
