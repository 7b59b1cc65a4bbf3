//! From jumps to an order: the walk along all pieces and jumps, each once.

use super::super::job::Job;
use super::Step;
use super::net::{Jumps, Net};

/// A piece as it is walked: its kind and the points it is walked from and to.
type Walked = (usize, [usize; 2]);

/// The pieces in the order of a walk from the start to the arrival (Hierholzer, from memory).
fn walk(net: &Net, jumps: &Jumps) -> Vec<Walked> {
    let pieces = net.edges.iter().map(|(kind, faces)| (Some(*kind), *faces));
    let edges: Vec<(Option<usize>, [usize; 2])> =
        pieces.chain(jumps.pairs.iter().map(|pair| (None, *pair))).collect();
    let mut at_point: Vec<Vec<usize>> = vec![Vec::new(); net.points.len()];
    // taken from the back: the first pieces first
    for (i, (_, [a, b])) in edges.iter().enumerate().rev() {
        at_point[*a].push(i);
        if a != b {
            at_point[*b].push(i);
        }
    }
    let mut is_taken = vec![false; edges.len()];
    let mut way: Vec<(usize, Option<usize>)> = vec![(jumps.start, None)];
    let mut out = Vec::with_capacity(net.edges.len());
    while let Some(&(at, edge)) = way.last() {
        if let Some(next) = at_point[at].pop() {
            if !std::mem::replace(&mut is_taken[next], true) {
                let [a, b] = edges[next].1;
                way.push((if a == at { b } else { a }, Some(next)));
            }
            continue;
        }
        way.pop();
        // walked from the point before to this one; found from the last to the first
        if let Some((Some(kind), _)) = edge.map(|e| edges[e]) {
            let from = way.last().map_or(jumps.start, |w| w.0);
            out.push((kind, [from, at]));
        }
    }
    out.reverse();
    out
}

/// The steps of the walk.
pub(super) fn steps(job: &Job, net: &Net, jumps: &Jumps) -> Vec<Step> {
    let step = |(kind, [from, _]): Walked| {
        let first = job.kinds[kind].faces[0];
        Step { kind, reversed: net.points[from].setting != first }
    };
    walk(net, jumps).into_iter().map(step).collect()
}

/// The same walk without jumps that only lead to other jumps: from piece to piece straight away. `goal` is where it has
/// to arrive, if that is settled.
pub(super) fn shortened(job: &Job, net: &Net, jumps: Jumps, goal: Option<usize>) -> Jumps {
    let walked = walk(net, &jumps);
    let (Some(first), Some(last)) = (walked.first(), walked.last()) else { return jumps };
    let start = first.1[0];
    let arrival = goal.unwrap_or(last.1[1]);
    let between = walked.windows(2).map(|w| [w[0].1[1], w[1].1[0]]);
    let pairs: Vec<[usize; 2]> =
        between.chain(std::iter::once([last.1[1], arrival])).filter(|[a, b]| a != b).collect();
    let setting = |point: usize| &job.settings[net.points[point].setting];
    let jumped: i64 = pairs.iter().map(|[a, b]| setting(*a).change(setting(*b))).sum();
    let cost = net.points[start].begin + jumped + net.points[arrival].end + net.beside;
    if cost < jumps.cost { Jumps { cost, start, arrival, pairs } } else { jumps }
}
