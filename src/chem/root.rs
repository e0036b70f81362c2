//! Where a continuous function crosses zero, found between two ends that enclose the crossing.
//!
//! Method: ITP (interpolate, truncate, project; ACM Trans. Math. Softw. 47 (2020) article 5): the secant's
//! guess, held within the distance that plain halving would have allowed so far. It needs at most two
//! evaluations more than halving does, however badly the function behaves, and far fewer on a smooth one: the
//! search always ends, with the crossing within `tolerance` of the answer.
//! Refuses ends of the same sign, and a function that is not a number at a point it is asked for.

use super::ChemError;

pub fn root(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Result<f64, ChemError> {
    let (mut a, mut b) = if low <= high {
        (low, high)
    } else {
        (high, low)
    };
    let (mut fa, mut fb) = (finite(f(a))?, finite(f(b))?);
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if fa.signum() == fb.signum() {
        return Err(ChemError::new(
            "the answer lies outside the range that is searched",
        ));
    }
    // Doubles cannot be told apart below this.
    let eps = (0.5 * tolerance)
        .max(4.0 * f64::EPSILON * a.abs().max(b.abs()))
        .max(f64::MIN_POSITIVE);
    let width = b - a;
    let halvings = libm::log2(width / (2.0 * eps)).ceil().clamp(0.0, 2100.0) as i32;
    let slack = 1;
    for step in 0..=halvings + slack {
        if b - a <= 2.0 * eps {
            break;
        }
        let middle = 0.5 * (a + b);
        let secant = (fb * a - fa * b) / (fb - fa);
        let secant = if secant.is_finite() { secant } else { middle };
        let towards = (middle - secant).signum();
        let nudge = 0.2 / width * (b - a) * (b - a);
        let nudged = if nudge <= (middle - secant).abs() {
            secant + towards * nudge
        } else {
            middle
        };
        // How far from the middle the guess may lie and still keep pace with halving.
        let reach = eps * 2f64.powi(halvings + slack - step) - 0.5 * (b - a);
        let x = if (nudged - middle).abs() <= reach {
            nudged
        } else {
            middle - towards * reach.max(0.0)
        };
        let x = if x > a && x < b { x } else { middle };
        let fx = finite(f(x))?;
        if fx == 0.0 {
            return Ok(x);
        }
        if fx.signum() == fa.signum() {
            (a, fa) = (x, fx);
        } else {
            (b, fb) = (x, fx);
        }
    }
    Ok(0.5 * (a + b))
}

/// The smallest value of a function with one valley between two ends, by the golden section.
pub fn lowest(
    f: impl Fn(f64) -> f64,
    low: f64,
    high: f64,
    tolerance: f64,
) -> Result<f64, ChemError> {
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

fn finite(value: f64) -> Result<f64, ChemError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(ChemError::new(
            "the figures lead out of what can be calculated",
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_roots() {
        assert!((root(|x| x * x - 2.0, 0.0, 2.0, 1e-12).unwrap() - 2f64.sqrt()).abs() < 1e-11);
        assert!(
            (root(|x| x.cos() - x, 0.0, 1.0, 1e-12).unwrap() - 0.739_085_133_215_16).abs() < 1e-11
        );
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

    /// The promise of the method: 35 halvings of this bracket, two more evaluations at most, and the two ends.
    #[test]
    fn it_keeps_pace_with_halving_on_anything() {
        let shapes: [fn(f64) -> f64; 5] = [
            |x| if x < 0.123_456 { -1e-12 } else { 1e12 },
            |x| (x - 0.3).powi(9),
            |x| 10f64.powf(-x) - 10f64.powf(x - 14.0),
            |x| (x + 1.0).signum() * (x + 1.0).abs().powf(0.1),
            |x| (20.0 * (x - 0.7)).tanh(),
        ];
        for f in shapes {
            let calls = std::cell::Cell::new(0);
            let counted = |x: f64| {
                calls.set(calls.get() + 1);
                f(x)
            };
            root(counted, -2.0, 16.0, 1e-9).unwrap();
            assert!(calls.get() <= 39, "{}", calls.get());
        }
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
