//! Orders on one stick against every order, and against own vectors.

use super::super::bin::Bin;
use super::super::job::{self, Job, Ticks};
use super::super::tests::{piece, tube};
use super::super::{Piece, SawRules};
use super::vectors;
use super::{Finish, KindCount, Orders, Step, WIDE};
use approx::assert_relative_eq;

/// Least cost beside the weights over every order and both ways round of each piece: up to the last long side and to a
/// square end, over all orders and over those with a piece last that can be held.
fn every_order(job: &Job) -> [Ticks; 4] {
    fn go(job: &Job, left: &[usize], at: Option<usize>, cost: Ticks, best: &mut [Ticks; 4]) {
        for (i, blank) in left.iter().enumerate() {
            let kind = job.kinds[job.blanks[*blank].kind];
            let mut rest = left.to_vec();
            rest.remove(i);
            for [first, second] in [kind.faces, [kind.faces[1], kind.faces[0]]] {
                let face = &job.settings[first];
                let cost = cost + at.map_or(face.begin(), |a| job.settings[a].change(face));
                if rest.is_empty() {
                    let last = &job.settings[second];
                    let ends = [cost + last.end(), cost + last.end_square()];
                    for (j, end) in ends.into_iter().enumerate() {
                        best[j] = best[j].min(end);
                        if kind.holds {
                            best[j + 2] = best[j + 2].min(end);
                        }
                    }
                } else {
                    go(job, &rest, Some(second), cost, best);
                }
            }
        }
    }
    let mut best = [Ticks::MAX; 4];
    go(job, &(0..job.blanks.len()).collect::<Vec<_>>(), None, 0, &mut best);
    best
}

/// All pieces of a job on one stick.
fn set_of_all(job: &Job) -> Vec<KindCount> {
    let mut bin = Bin::new(job.whole.expect("a stick"));
    for blank in 0..job.blanks.len() {
        bin.put(job, blank);
    }
    bin.set().to_vec()
}

/// What an order costs beside the weights, step by step.
fn cost_of(job: &Job, steps: &[Step], square: bool) -> Ticks {
    let faces = |s: &Step| {
        let [a, b] = job.kinds[s.kind].faces;
        if s.reversed { [b, a] } else { [a, b] }.map(|f| job.settings[f])
    };
    let mut cost = faces(&steps[0])[0].begin();
    for pair in steps.windows(2) {
        cost += faces(&pair[0])[1].change(&faces(&pair[1])[0]);
    }
    let last = faces(&steps[steps.len() - 1])[1];
    cost + if square { last.end_square() } else { last.end() }
}

const FINISHES: [Finish; 4] = [Finish::Any, Finish::AnySquare, Finish::Held, Finish::HeldSquare];

/// A job of a few pieces: length, and which of the tilts its faces have.
fn job_of(set: &[(f64, usize, usize)], tilts: &[f64]) -> Job {
    let pieces: Vec<Piece> = set.iter().map(|(l, a, b)| piece("A1", *l, tilts[*a], tilts[*b])).collect();
    let rules = SawRules { kerf_mm: 1.6, grip_mm: 100.0, first_trim_mm: 0.0 };
    Job::new(&tube(3000.0), &pieces.iter().collect::<Vec<_>>(), &rules)
}

#[test]
fn no_order_on_a_stick_costs_less_than_the_one_found() {
    // three that can be held and a slice that cannot: a fourth that is left out would change the best end
    let mut sets: Vec<Vec<(f64, usize, usize)>> =
        vec![vec![(200.0, 0, 1), (200.0, 0, 1), (200.0, 0, 1), (40.0, 1, 1)]];
    let tilts = [0.0, 11.25, 7.5, 3.0, 14.0, 20.5, 17.0, 1.2];
    let mut state = 13_usize;
    let mut below = |n: usize| {
        state = state * 48_271 % 2_147_483_647;
        state / 7 % n
    };
    for _ in 0..1200 {
        let settings = 2 + below(7);
        let all = (0..=below(6)).map(|_| ([40.0, 200.0][below(2)], below(settings), below(settings)));
        sets.push(all.collect());
    }
    let (mut held, mut untied) = (0, 0);
    for set in sets {
        let job = job_of(&set, &tilts);
        let all = set_of_all(&job);
        let mut orders = Orders::new(&job);
        orders.width = WIDE;
        let wanted = every_order(&job);
        for (finish, wanted) in FINISHES.into_iter().zip(wanted) {
            let Some(cost) = orders.cost(&all, finish) else {
                assert!(finish.parts().0 && wanted == Ticks::MAX, "{set:?}");
                continue;
            };
            assert_eq!((cost.ticks, cost.is_exact), (wanted, true), "{finish:?} {set:?}");
            let steps = orders.steps(&all, finish);
            assert_eq!(cost_of(&job, &steps, finish.parts().1), wanted, "{finish:?} {set:?}");
            assert_eq!(steps.len(), all.iter().map(|k| k.parts().1).sum::<usize>());
            assert!(!finish.parts().0 || job.kinds[steps[steps.len() - 1].kind].holds);
            let least = orders.least(&all, finish.parts().1);
            assert!(least <= wanted);
            untied += usize::from(finish == Finish::Any && least < wanted);
        }
        held += usize::from(wanted[2] < Ticks::MAX && wanted[2] > wanted[0]);
    }
    assert!(held > 50 && untied > 100, "{held} {untied}");
}

/// More pieces than can be tried in every order: a narrow sweep never says less than a wide one, and no order it gives
/// costs other than it says.
#[test]
fn a_narrow_sweep_gives_an_order_that_costs_what_it_says() {
    let mut state = 5_usize;
    let mut below = |n: usize| {
        state = state * 48_271 % 2_147_483_647;
        state / 7 % n
    };
    let mut loose = 0;
    for _ in 0..60 {
        let tilts: Vec<f64> =
            (0..30).map(|i| if i == 0 { 0.0 } else { 1.0 + below(25_000) as f64 / 1000.0 }).collect();
        let set: Vec<(f64, usize, usize)> =
            (0..10 + below(30)).map(|_| ([60.0, 200.0][below(2)], below(30), below(30))).collect();
        let job = job_of(&set, &tilts);
        let all = set_of_all(&job);
        let mut orders = Orders::new(&job);
        let mut costs = Vec::new();
        for width in [1, 2, super::NARROW, WIDE] {
            orders.width = width;
            for finish in FINISHES {
                let cost = orders.cost(&all, finish).expect("a piece that can be held");
                let steps = orders.steps(&all, finish);
                assert_eq!(cost_of(&job, &steps, finish.parts().1), cost.ticks, "{width} {finish:?} {set:?}");
                costs.push((finish as usize, cost.ticks));
            }
        }
        for finish in FINISHES {
            let of_finish: Vec<Ticks> =
                costs.iter().filter(|c| c.0 == finish as usize).map(|c| c.1).collect();
            let best = of_finish[of_finish.len() - 1];
            // kept ways are the best guesses, so that a narrow sweep may be lucky: not by much
            assert!(of_finish.iter().all(|c| *c >= best - job::ticks(0.05)), "{finish:?} {of_finish:?}");
            loose += usize::from(of_finish[0] > best);
        }
    }
    assert!(loose > 10, "{loose}");
}

#[test]
fn own_vectors_reach_as_far_as_they_should() {
    for vector in vectors::ALL {
        let pieces = vector.pieces();
        let mut tube = tube(vector.stick_mm);
        tube.od_mm = vector.od_mm;
        let job = Job::new(&tube, &pieces.iter().collect::<Vec<_>>(), &vector.rules());
        let all = set_of_all(&job);
        let weights: Ticks = job.blanks.iter().map(|b| b.weight).sum();
        let mut orders = Orders::new(&job);
        let reach = |ticks: Ticks| job::mm(weights + ticks);
        let [any, square] = [Finish::Any, Finish::AnySquare].map(|f| orders.cost(&all, f).expect("an order"));
        assert!(any.is_exact && square.is_exact);
        assert_relative_eq!(reach(any.ticks), vector.long_side_mm, epsilon = 1e-6);
        assert_relative_eq!(reach(square.ticks), vector.square_mm, epsilon = 1e-6);
        assert_relative_eq!(reach(orders.least(&all, false)), vector.even_mm, epsilon = 1e-6);
    }
}
