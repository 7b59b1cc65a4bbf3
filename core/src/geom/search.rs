//! The largest value of a function of one number over an interval.

/// Golden section: part of the interval that stays at each step.
const GOLDEN: f64 = 0.618_033_988_749_894_9;
/// Steps of the golden section: the interval shrinks by 1e-10.
const STEPS: usize = 48;

/// Where `f` is largest between `low` and `high`, and that value.
///
/// Looks at `samples` + 1 even places and closes in on the best of them by golden section, so a peak narrower than a
/// sample's step can be missed; a kink is found as well as a smooth peak. A smooth peak's place is good to half the
/// digits only, its value to nearly all.
pub fn largest(f: impl Fn(f64) -> f64, low: f64, high: f64, samples: u32) -> (f64, f64) {
    let values = sampled(&f, low, high, samples);
    close_in(&values, &f, low, high)
}

/// Where `f` is smallest and where it is largest between `low` and `high`, with those values; as [`largest`], with the
/// same places looked at for both.
pub fn both(f: impl Fn(f64) -> f64, low: f64, high: f64, samples: u32) -> ((f64, f64), (f64, f64)) {
    both_from(&sampled(&f, low, high, samples), f, low, high)
}

/// The same where the values of `f` at even places from `low` to `high` are known.
pub fn both_from(values: &[f64], f: impl Fn(f64) -> f64, low: f64, high: f64) -> ((f64, f64), (f64, f64)) {
    let turned: Vec<f64> = values.iter().map(|v| -v).collect();
    let (place, value) = close_in(&turned, &|x| -f(x), low, high);
    ((place, -value), close_in(values, &f, low, high))
}

/// The values of `f` at `samples` + 1 even places.
fn sampled(f: &impl Fn(f64) -> f64, low: f64, high: f64, samples: u32) -> Vec<f64> {
    let samples = samples.max(1);
    let step = (high - low) / f64::from(samples);
    (0..=samples).map(|i| f(low + step * f64::from(i))).collect()
}

/// Closes in on the largest of `values` of `f` at even places.
fn close_in(values: &[f64], f: &impl Fn(f64) -> f64, low: f64, high: f64) -> (f64, f64) {
    let step = (high - low) / values.len().saturating_sub(1).max(1) as f64;
    let mut best = (low, values.first().copied().unwrap_or(f64::NEG_INFINITY));
    for (i, value) in values.iter().enumerate() {
        if *value > best.1 {
            best = (low + step * i as f64, *value);
        }
    }
    let (mut a, mut b) = ((best.0 - step).max(low), (best.0 + step).min(high));
    let (mut c, mut d) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
    let (mut fc, mut fd) = (f(c), f(d));
    for _ in 0..STEPS {
        if fc >= fd {
            (b, d, fd) = (d, c, fc);
            c = b - GOLDEN * (b - a);
            fc = f(c);
        } else {
            (a, c, fc) = (c, d, fd);
            d = a + GOLDEN * (b - a);
            fd = f(d);
        }
    }
    for (x, value) in [(c, fc), (d, fd)] {
        if value > best.1 {
            best = (x, value);
        }
    }
    best
}

/// Where `f` is smallest between `low` and `high`, and that value; as [`largest`].
pub fn smallest(f: impl Fn(f64) -> f64, low: f64, high: f64, samples: u32) -> (f64, f64) {
    let (place, value) = largest(|x| -f(x), low, high, samples);
    (place, -value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn peaks_smooth_kinked_and_at_the_ends_are_found() {
        assert_relative_eq!(largest(f64::cos, -1.0, 2.5, 7).1, 1.0, epsilon = 1e-12);
        assert_relative_eq!(largest(|x| -(x - 0.37).abs(), 0.0, 1.0, 10).0, 0.37, epsilon = 1e-9);
        assert_eq!(largest(|x| x, 0.0, 3.0, 5), (3.0, 3.0));
        assert_eq!(smallest(|x| x, 0.0, 3.0, 5), (0.0, 0.0));
        assert_relative_eq!(smallest(|x| (x - 1.0).powi(2), 0.0, 3.0, 5).0, 1.0, epsilon = 1e-6);
        let (least, most) = both(f64::sin, 0.0, std::f64::consts::TAU, 9);
        assert_relative_eq!(least.1, -1.0, epsilon = 1e-12);
        assert_relative_eq!(most.1, 1.0, epsilon = 1e-12);
    }
}
