//! What a short look promises, on jobs that look random: few steps, and hardly more sticks than a long look finds.

use super::tests::{piece, tube};
use super::*;

/// Numbers that look random.
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 / 7 % end
    }

    fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.below(1_000_000) as f64 / 1e6
    }
}

/// What pieces there are: what makes a look long differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sort {
    /// Bends of a few slices between straights, each bend at an angle of its own.
    OwnAngles,
    /// The same, all bends alike and no square end.
    OneAngle,
    /// Ends at four settings or square.
    FewAngles,
    /// Nearly every end at a setting of its own.
    EveryAngle,
    /// A run of long pieces, neighbours cut alike.
    Long,
    /// Square, short and long.
    Square,
    /// Square, a fifth to half of a stick: two or three a stick, what is hardest to lay.
    FifthToHalf,
}

const SORTS: [Sort; 7] = [
    Sort::OwnAngles,
    Sort::OneAngle,
    Sort::FewAngles,
    Sort::EveryAngle,
    Sort::Long,
    Sort::Square,
    Sort::FifthToHalf,
];

fn pieces(sort: Sort, count: usize, dice: &mut Dice) -> Vec<Piece> {
    let settings: Vec<f64> = (0..4).map(|_| dice.between(3.0, 22.0)).collect();
    let mut out: Vec<Piece> = Vec::new();
    // slices of the bend that are still to come, with its angle
    let mut slices = (0, settings[0]);
    let mut last = 0.0;
    while out.len() < count {
        let (length_mm, start, end) = match sort {
            Sort::OwnAngles | Sort::OneAngle if slices.0 > 0 => {
                slices.0 -= 1;
                (152.0 * slices.1.to_radians().tan(), slices.1, slices.1)
            }
            Sort::OwnAngles => {
                let before = slices.1;
                slices = (2 + dice.below(5), dice.between(4.0, 15.0));
                (dice.between(80.0, 500.0), before, slices.1)
            }
            Sort::OneAngle => {
                slices.0 = 2 + dice.below(4);
                (dice.between(80.0, 700.0), slices.1, slices.1)
            }
            Sort::FewAngles => {
                let mut any = || settings.get(dice.below(6) as usize).copied().unwrap_or(0.0);
                let (a, b) = (any(), any());
                (dice.between(60.0, 700.0), a, b)
            }
            Sort::EveryAngle => (dice.between(60.0, 700.0), dice.between(0.5, 30.0), dice.between(0.5, 30.0)),
            Sort::Long => {
                let next = if dice.below(8) == 0 { 0.0 } else { dice.between(3.0, 20.0) };
                (dice.between(200.0, 1400.0), std::mem::replace(&mut last, next), next)
            }
            Sort::Square => (dice.between(60.0, 900.0), 0.0, 0.0),
            Sort::FifthToHalf => (dice.between(600.0, 1500.0), 0.0, 0.0),
        };
        out.push(piece(&format!("A{}", out.len()), length_mm, start, end));
    }
    out
}

/// Counted work instead of the clock: a step takes about six nanoseconds on a quiet core, so 100 pieces take under 5 ms and
/// 400 under 20 ms. What is begun when the steps are used up is ended, which takes some more.
#[test]
fn a_short_look_takes_no_more_steps_than_it_may_whatever_the_pieces() {
    let mut dice = Dice(29);
    for count in [10, 25, 45, 100, 400, 761] {
        for sort in SORTS {
            for (grip_mm, offcuts) in [(0.0, 0), (120.0, 3)] {
                let pieces = pieces(sort, count, &mut dice);
                let rules = SawRules { kerf_mm: 1.6, grip_mm, first_trim_mm: 5.0 };
                let mut tube = tube(3000.0);
                tube.offcuts = vec![crate::model::Offcut { length_mm: 900.0, count: offcuts }];
                let mut job = Job::new(&tube, &pieces.iter().collect::<Vec<_>>(), &rules);
                set_aside(&mut job);
                let mut cutter = Cutter::new(&job, &Unwatched);
                let solved = solve::solve(&mut cutter, Effort::Quick);
                assert!(solved.layout.unplaced.is_empty());
                assert!(solved.least_whole <= solved.layout.whole());
                let most = solve::most_quick_steps(count);
                assert!(cutter.steps() <= most, "{count} {sort:?}: {} of {most}", cutter.steps());
            }
        }
    }
    let most = solve::most_quick_steps;
    assert!(most(100) * 6 <= 5_000_000 && most(400) * 6 <= 20_000_000, "{} {}", most(100), most(400));
}

/// Never more than one stick over what the long look finds, and never told as the fewest where it is not known to be.
/// No layout takes fewer than the bound, so the long look is only asked where the short one is further from that.
#[test]
fn a_short_look_takes_at_most_one_stick_more_than_a_long_one() {
    let mut dice = Dice(101);
    let (mut at_bound, mut above) = (0, 0);
    for case in 0..84 {
        let sort = if case % 2 == 0 { Sort::FifthToHalf } else { SORTS[case / 2 % SORTS.len()] };
        let count = 20 + dice.below(130) as usize;
        let pieces = pieces(sort, count, &mut dice);
        let refs: Vec<&Piece> = pieces.iter().collect();
        let mut tube = tube(3000.0);
        tube.sticks_on_hand = 0;
        let rules = SawRules { kerf_mm: 1.6, grip_mm: [0.0, 80.0][case / 2 % 2], first_trim_mm: 5.0 };
        let quick = nest(&tube, &refs, &rules, Effort::Quick);
        assert!(quick.unplaced.is_empty());
        assert_eq!(quick.proved_fewest, quick.sticks.len() == quick.least_to_buy, "{sort:?} {count}");
        if quick.sticks.len() > quick.least_to_buy + 1 {
            let long = nest(&tube, &refs, &rules, Effort::Thorough);
            assert!(
                quick.sticks.len() <= long.sticks.len() + 1,
                "{sort:?}, {count} pieces: {} and {}",
                quick.sticks.len(),
                long.sticks.len()
            );
        }
        at_bound += usize::from(quick.proved_fewest);
        above += usize::from(!quick.proved_fewest);
    }
    assert!(at_bound > 40 && above > 5, "{at_bound} {above}");
}
