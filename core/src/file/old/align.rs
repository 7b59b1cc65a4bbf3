//! Two lists laid beside each other so that as much as possible of one fits the other, both in their order.

/// How well entry `i` of the first list fits entry `j` of the second; 0 where it does not.
pub(super) trait Fit: Fn(usize, usize) -> u32 {}
impl<F: Fn(usize, usize) -> u32> Fit for F {}

/// The pairs of entries, in order, whose fits add up to most, and that sum. Of equal ones, those that come first.
///
/// The longest common subsequence with weights, by the table of all beginnings of both lists.
pub(super) fn aligned(first: usize, second: usize, fit: impl Fit) -> (u32, Vec<(usize, usize)>) {
    // most[i][j]: what the lists from i and from j on can add up to
    let mut most = vec![vec![0_u32; second + 1]; first + 1];
    for i in (0..first).rev() {
        for j in (0..second).rev() {
            let pair = match fit(i, j) {
                0 => 0,
                fits => fits + most[i + 1][j + 1],
            };
            most[i][j] = pair.max(most[i + 1][j]).max(most[i][j + 1]);
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut pairs = Vec::new();
    while i < first && j < second {
        let fits = fit(i, j);
        if fits > 0 && most[i][j] == fits + most[i + 1][j + 1] {
            pairs.push((i, j));
            (i, j) = (i + 1, j + 1);
        } else if most[i][j] == most[i][j + 1] {
            j += 1;
        } else {
            i += 1;
        }
    }
    (most[0][0], pairs)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The best sum by trying everything.
    fn tried(fits: &[Vec<u32>], i: usize, j: usize) -> u32 {
        if i == fits.len() || j == fits[0].len() {
            return 0;
        }
        let with = if fits[i][j] > 0 { fits[i][j] + tried(fits, i + 1, j + 1) } else { 0 };
        with.max(tried(fits, i + 1, j)).max(tried(fits, i, j + 1))
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_pairs_are_in_order_and_add_up_to_the_most(
            fits in (1..6_usize).prop_flat_map(|n| prop::collection::vec(prop::collection::vec(0..4_u32, n), 1..6)),
        ) {
            let (most, pairs) = aligned(fits.len(), fits[0].len(), |i, j| fits[i][j]);
            prop_assert_eq!(most, tried(&fits, 0, 0));
            prop_assert_eq!(most, pairs.iter().map(|(i, j)| fits[*i][*j]).sum::<u32>());
            prop_assert!(pairs.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 < w[1].1));
        }
    }
}
