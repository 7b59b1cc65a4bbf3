//! Where polynomials and other functions of one number pass through zero, by brackets that cannot be lost.

/// Most halvings of a bracket: f64 has no more.
const MOST_HALVINGS: usize = 200;

/// A place between `low` and `high` where `f` changes sign, to the last digit that halving reaches.
///
/// `f(low)` and `f(high)` must differ in sign; where they do not, the end with the smaller size is given.
pub fn bisect(f: impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let (mut low, mut high) = (low, high);
    let (f_low, f_high) = (f(low), f(high));
    if (f_low < 0.0) == (f_high < 0.0) {
        return if f_low.abs() <= f_high.abs() { low } else { high };
    }
    let rises = f_low < 0.0;
    for _ in 0..MOST_HALVINGS {
        let middle = low.midpoint(high);
        if middle <= low.min(high) || middle >= low.max(high) {
            break;
        }
        if (f(middle) < 0.0) == rises {
            low = middle;
        } else {
            high = middle;
        }
    }
    low.midpoint(high)
}

/// Where the polynomial `Σ coefficients[i]·xⁱ` changes sign between `low` and `high`, rising.
///
/// Between two neighbouring zeros of its derivative a polynomial passes through zero once at most, so the derivatives
/// give the brackets, from the linear one up. A place where it only touches zero is none.
pub fn sign_changes(coefficients: &[f64], low: f64, high: f64) -> Vec<f64> {
    if coefficients.len() < 2 || low >= high {
        return Vec::new();
    }
    let value = |x: f64| coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c);
    let derivative: Vec<f64> = coefficients.iter().enumerate().skip(1).map(|(i, c)| c * i as f64).collect();
    let mut brackets = vec![low];
    brackets.extend(sign_changes(&derivative, low, high));
    brackets.push(high);
    let changes = brackets.windows(2).filter(|w| (value(w[0]) < 0.0) != (value(w[1]) < 0.0));
    changes.map(|w| bisect(value, w[0], w[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Coefficients of `Π (x − root)`.
    fn from_roots(roots: &[f64]) -> Vec<f64> {
        roots.iter().fold(vec![1.0], |p, root| {
            let mut out = vec![0.0; p.len() + 1];
            for (i, c) in p.iter().enumerate() {
                out[i + 1] += c;
                out[i] -= root * c;
            }
            out
        })
    }

    #[test]
    fn all_four_places_of_a_quartic_come_back() {
        let roots = [-130.25, -20.5, 0.125, 77.0];
        let got = sign_changes(&from_roots(&roots), -500.0, 500.0);
        assert_eq!(got.len(), 4);
        for (g, r) in got.iter().zip(roots) {
            assert_relative_eq!(*g, r, epsilon = 1e-9);
        }
    }

    #[test]
    fn what_only_touches_or_lies_outside_is_left_out() {
        assert_eq!(sign_changes(&from_roots(&[2.0, 2.0]), -10.0, 10.0).len() % 2, 0);
        assert!(sign_changes(&[1.0, 0.0, 1.0], -10.0, 10.0).is_empty());
        assert!(sign_changes(&from_roots(&[20.0]), -10.0, 10.0).is_empty());
        assert!(sign_changes(&[3.0], -1.0, 1.0).is_empty());
    }

    #[test]
    fn a_bracket_that_is_none_gives_its_better_end() {
        assert_relative_eq!(bisect(|x| x * x + 1.0, 1.0, 3.0), 1.0);
        assert_relative_eq!(bisect(|x| 8.0 - x * x * x, 5.0, 0.0), 2.0, max_relative = 1e-14);
    }
}
