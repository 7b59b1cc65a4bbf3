//! Integrals of smooth and of kinked functions, with an estimate of the error.

/// Nodes of the 15 point Kronrod rule on [−1, 1], the positive ones and zero, from the outside in.
///
/// With the weights below as in QUADPACK (Piessens, de Doncker-Kapenga, Überhuber, Kahaner, 1983), from memory; the
/// test beside integrates every polynomial that the two rules must integrate exactly.
const NODES: [f64; 8] = [
    0.991_455_371_120_812_6,
    0.949_107_912_342_758_5,
    0.864_864_423_359_769_1,
    0.741_531_185_599_394_4,
    0.586_087_235_467_691_1,
    0.405_845_151_377_397_2,
    0.207_784_955_007_898_47,
    0.0,
];
/// Weights of the Kronrod rule at [`NODES`].
const KRONROD: [f64; 8] = [
    0.022_935_322_010_529_224,
    0.063_092_092_629_978_55,
    0.104_790_010_322_250_18,
    0.140_653_259_715_525_92,
    0.169_004_726_639_267_9,
    0.190_350_578_064_785_4,
    0.204_432_940_075_298_9,
    0.209_482_141_084_727_82,
];
/// Weights of the 7 point Gauss rule at every second of [`NODES`], beginning with the second.
const GAUSS: [f64; 4] =
    [0.129_484_966_168_869_7, 0.279_705_391_489_276_64, 0.381_830_050_505_118_9, 0.417_959_183_673_469_4];

/// Most pieces an interval is cut into: with a kink in each, far more than any curve here has.
const MOST_PIECES: usize = 4000;

/// A value and what it may be off by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Integral {
    /// The value.
    pub value: f64,
    /// Estimate of its error, not negative; a cautious one where the function is smooth.
    pub error: f64,
}

/// Integral of `f` from the first to the last of `breaks`, which rise; off by about `tolerance` at most.
///
/// The 15 point Kronrod rule with the 7 point Gauss rule inside it; the difference of the two counts as the error, and
/// the piece with the largest one is halved until their sum is within the tolerance, or until halving no longer helps.
/// `f` is asked neither at a break nor outside them, so a kink is best made a break. Fewer than two breaks give zero.
pub fn integrate(f: impl Fn(f64) -> f64, breaks: &[f64], tolerance: f64) -> Integral {
    let mut pieces: Vec<(f64, f64, Integral)> =
        breaks.windows(2).filter(|w| w[1] > w[0]).map(|w| (w[0], w[1], piece(&f, w[0], w[1]))).collect();
    let total = |pieces: &[(f64, f64, Integral)]| pieces.iter().map(|p| p.2.error).sum::<f64>();
    while total(&pieces) > tolerance && pieces.len() < MOST_PIECES {
        let Some(worst) = (0..pieces.len()).max_by(|a, b| pieces[*a].2.error.total_cmp(&pieces[*b].2.error))
        else {
            break;
        };
        let (from, to, whole) = pieces[worst];
        let middle = from.midpoint(to);
        if !(from < middle && middle < to && whole.error.is_finite()) {
            break;
        }
        pieces[worst] = (from, middle, piece(&f, from, middle));
        pieces.push((middle, to, piece(&f, middle, to)));
    }
    Integral { value: pieces.iter().map(|p| p.2.value).sum(), error: total(&pieces) }
}

fn piece(f: &impl Fn(f64) -> f64, from: f64, to: f64) -> Integral {
    let (middle, half) = (from.midpoint(to), (to - from) / 2.0);
    let (mut kronrod, mut gauss) = (0.0, 0.0);
    for (i, (node, weight)) in NODES.iter().zip(KRONROD).enumerate() {
        let both = if *node == 0.0 { f(middle) } else { f(middle - half * node) + f(middle + half * node) };
        kronrod += weight * both;
        if i % 2 == 1 {
            gauss += GAUSS[i / 2] * both;
        }
    }
    Integral { value: kronrod * half, error: ((kronrod - gauss) * half).abs() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn every_power_that_the_rules_must_hit_is_hit_in_one_piece() {
        for power in 0..=22 {
            let got = piece(&|x: f64| x.powi(power), 0.0, 1.0);
            assert_relative_eq!(got.value, 1.0 / f64::from(power + 1), max_relative = 1e-14);
            // the Gauss rule inside is exact up to the power 13
            assert_eq!(got.error < 1e-15, power <= 13, "{power}: {}", got.error);
        }
    }

    #[test]
    fn a_kink_nobody_named_is_closed_in_on() {
        let got = integrate(|x| (x - 0.3).abs(), &[0.0, 1.0], 1e-10);
        assert_relative_eq!(got.value, 0.09 / 2.0 + 0.49 / 2.0, epsilon = 1e-10);
        assert!(got.error <= 1e-10);
    }

    #[test]
    fn nothing_to_sum_is_zero_and_what_is_no_number_ends() {
        assert_eq!(integrate(|x| x, &[1.0], 1e-9), Integral { value: 0.0, error: 0.0 });
        assert!(integrate(|x| x, &[], 1e-9).value.abs() < 1e-300);
        assert!(integrate(|_| f64::NAN, &[0.0, 1.0], 1e-9).value.is_nan());
    }
}
