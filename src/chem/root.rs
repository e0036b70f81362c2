//! Where a continuous function crosses zero, found between two ends that enclose the crossing.
//!
//! Method: regula falsi with the Illinois rule, and a plain halving whenever the last two steps together
//! did not halve the bracket. The bracket therefore halves at least every three evaluations, so the search
//! always ends: the crossing lies within `tolerance` of the answer however badly the function behaves.
//! Refuses ends of the same sign, and a function that is not a number at a point it is asked for.

use super::Refusal;

pub fn root(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Result<f64, Refusal> {
    let (mut a, mut b) = if low <= high { (low, high) } else { (high, low) };
    let (mut fa, mut fb) = (finite(f(a))?, finite(f(b))?);
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if fa.signum() == fb.signum() {
        return Err(Refusal::new("the answer lies outside the range that is searched"));
    }
    // The width two steps ago decides whether the clever step has earned another turn.
    let mut widths = [f64::INFINITY, b - a];
    // 64 halvings take any bracket of doubles to neighbours; three evaluations are allowed for each.
    for _ in 0..3 * 1100 {
        if b - a <= tolerance {
            break;
        }
        let halve = b - a > 0.5 * widths[0];
        let mut x = if halve { 0.5 * (a + b) } else { (a * fb - b * fa) / (fb - fa) };
        if !(x > a && x < b) {
            x = 0.5 * (a + b);
            if !(x > a && x < b) {
                break;
            }
        }
        let fx = finite(f(x))?;
        widths = [widths[1], b - a];
        if fx == 0.0 {
            return Ok(x);
        }
        if fx.signum() == fa.signum() {
            (a, fa) = (x, fx);
            fb *= 0.5;
        } else {
            (b, fb) = (x, fx);
            fa *= 0.5;
        }
        if halve {
            // A true halving starts a fresh count, with true values at both ends.
            widths = [f64::INFINITY, b - a];
            (fa, fb) = (finite(f(a))?, finite(f(b))?);
        }
    }
    Ok(0.5 * (a + b))
}

/// The smallest value of a function with one valley between two ends, by the golden section.
pub fn lowest(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Result<f64, Refusal> {
    const RATIO: f64 = 0.618_033_988_749_894_9;
    let (mut a, mut b) = (low, high);
    let mut c = b - RATIO * (b - a);
    let mut d = a + RATIO * (b - a);
    let (mut fc, mut fd) = (finite(f(c))?, finite(f(d))?);
    for _ in 0..200 {
        if b - a <= tolerance {
            break;
        }
        if fc < fd {
            (b, d, fd) = (d, c, fc);
            c = b - RATIO * (b - a);
            fc = finite(f(c))?;
        } else {
            (a, c, fc) = (c, d, fd);
            d = a + RATIO * (b - a);
            fd = finite(f(d))?;
        }
    }
    Ok(0.5 * (a + b))
}

fn finite(value: f64) -> Result<f64, Refusal> {
    if value.is_finite() { Ok(value) } else { Err(Refusal::new("the figures lead out of what can be calculated")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_roots() {
        assert!((root(|x| x * x - 2.0, 0.0, 2.0, 1e-12).unwrap() - 2f64.sqrt()).abs() < 1e-11);
        assert!((root(|x| x.cos() - x, 0.0, 1.0, 1e-12).unwrap() - 0.739_085_133_215_16).abs() < 1e-11);
        assert_eq!(root(|x| x, 0.0, 1.0, 1e-12), Ok(0.0));
        assert_eq!(root(|x| x - 1.0, 0.0, 1.0, 1e-12), Ok(1.0));
    }

    #[test]
    fn a_cliff_and_a_plateau_are_both_found() {
        let cliff = |x: f64| if x < 0.123_456 { -1e-12 } else { 1e12 };
        assert!((root(cliff, -5.0, 5.0, 1e-9).unwrap() - 0.123_456).abs() < 1e-8);
        let flat = |x: f64| (x - 0.3).powi(9);
        assert!((root(flat, -1.0, 4.0, 1e-9).unwrap() - 0.3).abs() < 1e-8);
    }

    #[test]
    fn no_crossing_and_no_number_are_refused() {
        assert!(root(|x| x * x + 1.0, -1.0, 1.0, 1e-9).is_err());
        assert!(root(|x| x.ln(), -1.0, 1.0, 1e-9).is_err());
        assert!(lowest(|_| f64::NAN, 0.0, 1.0, 1e-9).is_err());
    }

    #[test]
    fn the_bottom_of_a_valley() {
        assert!((lowest(|x| (x - 1.7).powi(2), 0.0, 5.0, 1e-9).unwrap() - 1.7).abs() < 1e-4);
    }
}
