//! The check digits of registry numbers.

/// The last digit of a CAS number is the weighted sum of the others, from the right, modulo 10 (CAS registry rule).
pub(super) fn cas_valid(cas: &str) -> bool {
    let parts: Vec<&str> = cas.split('-').collect();
    let [a, b, c] = parts[..] else { return false };
    if !(2..=7).contains(&a.len())
        || b.len() != 2
        || c.len() != 1
        || !cas.bytes().all(|x| x == b'-' || x.is_ascii_digit())
    {
        return false;
    }
    let sum: u32 = a
        .bytes()
        .chain(b.bytes())
        .rev()
        .enumerate()
        .map(|(n, d)| (n as u32 + 1) * u32::from(d - b'0'))
        .sum();
    sum % 10 == u32::from(c.as_bytes()[0] - b'0')
}

/// EC numbers: six digits weighted 1 to 6, modulo 11, is the seventh (a remainder of 10 is never issued).
pub(super) fn ec_valid(ec: &str) -> bool {
    let digits: Vec<u32> = ec
        .bytes()
        .filter(|b| *b != b'-')
        .map(|b| u32::from(b.wrapping_sub(b'0')))
        .collect();
    let shape: Vec<usize> = ec.split('-').map(str::len).collect();
    shape == [3, 3, 1]
        && digits.iter().all(|d| *d < 10)
        && digits[..6].iter().zip(1..).map(|(d, w)| d * w).sum::<u32>() % 11 == digits[6]
}

#[cfg(test)]
mod tests {
    use super::{cas_valid, ec_valid};

    /// Water, phenoxyethanol and sodium benzoate, as in any chemical catalogue; then one digit off.
    #[test]
    fn registry_numbers() {
        for good in ["7732-18-5", "122-99-6", "532-32-1"] {
            assert!(cas_valid(good), "{good}");
        }
        for bad in ["7732-18-4", "122-99-7", "1-99-6", "122996", "12a-99-6", ""] {
            assert!(!cas_valid(bad), "{bad}");
        }
        assert!(ec_valid("231-791-2"));
        assert!(!ec_valid("231-791-3"));
        assert!(!ec_valid("231-79-12"));
    }
}
