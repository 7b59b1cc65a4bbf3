//! From jumps to an order: the walk along all pieces and jumps, each once.

use super::Step;
use super::net::{Jumps, Net};

/// The pieces in the order of a walk from the start to the arrival (Hierholzer, from memory).
pub(super) fn steps(net: &Net, jumps: &Jumps) -> Vec<Step> {
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
        if let Some((Some(kind), [a, _])) = edge.map(|e| edges[e]) {
            let from = way.last().map_or(jumps.start, |w| w.0);
            out.push(Step { kind, reversed: from != a });
        }
    }
    out.reverse();
    out
}
