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
    let samples = samples.max(1);
    let step = (high - low) / f64::from(samples);
    let place = |i: u32| low + step * f64::from(i);
    let mut best = (low, f(low));
    for i in 1..=samples {
        let value = f(place(i));
        if value > best.1 {
            best = (place(i), value);
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
    }
}
