//! How far a half-typed or misspelt name is from others, measured while a maker types. Which are measured at all: [`super::length_index`].

/// A name that is compared with many: slips are letters put in, left out, changed, or two neighbours swapped.
pub struct Pattern<'a> {
    written: &'a str,
    /// For each byte, the places at which the pattern has it.
    places: Option<Box<[u64; 256]>>,
}

impl<'a> Pattern<'a> {
    pub fn of(written: &'a str) -> Pattern<'a> {
        let fits = !written.is_empty() && written.len() <= 64 && written.is_ascii();
        let places = fits.then(|| {
            let mut places = Box::new([0u64; 256]);
            for (n, b) in written.bytes().enumerate() {
                places[usize::from(b)] |= 1 << n;
            }
            places
        });
        Pattern { written, places }
    }

    /// The number of slips between the pattern and `other`: optimal string alignment, all rows of a column at once
    /// in the bits of one word (Nordic Journal of Computing 10 (2003) 29-39).
    pub fn distance(&self, other: &str) -> usize {
        let Some(places) = &self.places else {
            return strsim::osa_distance(self.written, other);
        };
        if !other.is_ascii() {
            return strsim::osa_distance(self.written, other);
        }
        let last = 1u64 << (self.written.len() - 1);
        let (mut up, mut down, mut flat, mut before) = (!0u64, 0u64, 0u64, 0u64);
        let mut distance = self.written.len();
        for b in other.bytes() {
            let here = places[usize::from(b)];
            let swapped = ((!flat & here) << 1) & before;
            flat = ((here & up).wrapping_add(up) ^ up) | here | down | swapped;
            let right_up = down | !(flat | up);
            let right_down = flat & up;
            distance += usize::from(right_up & last != 0);
            distance -= usize::from(right_down & last != 0);
            let right_up = right_up << 1 | 1;
            up = right_down << 1 | !(flat | right_up);
            down = right_up & flat;
            before = here;
        }
        distance
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the plain method of the strsim crate, over pairs with every kind of slip.
    #[test]
    fn the_fast_distance_is_the_plain_one() {
        let words = [
            "a",
            "ab",
            "ba",
            "sodium benzoate",
            "sodium benzoat",
            "sodum benzoate",
            "soduim benzoate",
            "potassium sorbate",
            "xanthan gum",
            "xantham gum",
            "guar gum",
            "cetearyl alcohol",
            "cetyl alcohol",
            "behenyl alcohol",
            "caprylic capric triglyceride",
            "caprilic capric triglyceride",
            "ethylhexyl methoxycinnamate",
            "tocopherol",
            "tocopheryl acetate",
            "",
            "dioleoylethyl hydroxyethylmonium methosulfate and more and more letters",
            "rosé water",
            "rose water",
        ];
        for a in words {
            let pattern = Pattern::of(a);
            for b in words {
                assert_eq!(pattern.distance(b), strsim::osa_distance(a, b), "{a} / {b}");
            }
        }
    }
}
