//! Two answers told apart in words, by what a person sees first: which is higher, further left or further forward.

use glam::DVec3;

/// How two points or directions differ most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Differ {
    /// The first lies or points higher (`true`), or lower.
    Up(bool),
    /// The first lies or points further to the left (`true`), or to the right.
    Left(bool),
    /// The first lies or points further forward (`true`), or back.
    Forward(bool),
}

impl Differ {
    /// Of two points or two directions. Where they differ alike along several axes, height counts first, then left
    /// and right.
    pub fn of(first: DVec3, second: DVec3) -> Self {
        let d = first - second;
        let size = d.abs();
        if size.z >= size.x && size.z >= size.y {
            Self::Up(d.z >= 0.0)
        } else if size.y >= size.x {
            Self::Left(d.y >= 0.0)
        } else {
            Self::Forward(d.x >= 0.0)
        }
    }

    /// The words for the first and the second of two points.
    pub const fn points(self) -> [&'static str; 2] {
        const UP: [&str; 2] = ["The upper one", "The lower one"];
        const LEFT: [&str; 2] = ["The one further left", "The one further right"];
        const FORWARD: [&str; 2] = ["The one further forward", "The one further back"];
        match self {
            Self::Up(first) => turned(UP, first),
            Self::Left(first) => turned(LEFT, first),
            Self::Forward(first) => turned(FORWARD, first),
        }
    }

    /// The words for the first and the second of two directions.
    pub const fn directions(self) -> [&'static str; 2] {
        const UP: [&str; 2] = ["The one that points higher", "The one that points lower"];
        const LEFT: [&str; 2] = ["The one that points further left", "The one that points further right"];
        const FORWARD: [&str; 2] =
            ["The one that points further forward", "The one that points further back"];
        match self {
            Self::Up(first) => turned(UP, first),
            Self::Left(first) => turned(LEFT, first),
            Self::Forward(first) => turned(FORWARD, first),
        }
    }
}

const fn turned([one, other]: [&'static str; 2], as_is: bool) -> [&'static str; 2] {
    if as_is { [one, other] } else { [other, one] }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_biggest_difference_gives_the_words() {
        let at = DVec3::new(100.0, 20.0, 5.0);
        assert_eq!(Differ::of(at, at - DVec3::Z).points(), ["The upper one", "The lower one"]);
        assert_eq!(Differ::of(at, at + DVec3::Z).points(), ["The lower one", "The upper one"]);
        let aside = at + DVec3::new(30.0, -50.0, 10.0);
        assert_eq!(Differ::of(at, aside).points(), ["The one further left", "The one further right"]);
        let ahead = at + DVec3::new(60.0, -50.0, 10.0);
        assert_eq!(Differ::of(at, ahead).points(), ["The one further back", "The one further forward"]);
        let up = Differ::of(DVec3::Z, DVec3::X).directions();
        assert_eq!(up[0], "The one that points higher");
    }
}
