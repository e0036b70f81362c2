//! Other ways to write a name that is on file: pure text, from a key ([`super::names::key`]) to the keys worth a try.

/// Endings that stand for another.
const ENDINGS: [(&str, &str); 9] = [
    (" eo", " essential oil"),
    (" e.o.", " essential oil"),
    (" ess. oil", " essential oil"),
    (" (eo)", " essential oil"),
    (" hydrolat", " hydrosol"),
    (" hydrolate", " hydrosol"),
    (" floral water", " hydrosol"),
    (" flower water", " hydrosol"),
    (" distillate", " hydrosol"),
];

/// Beginnings that turn round: "essential oil of lemon", "essential oil, lemon".
const BEGINNINGS: [&str; 2] = ["essential oil of ", "essential oil, "];

/// The keys under which the same may be filed, likeliest first.
pub fn variants(k: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (ending, other) in ENDINGS {
        out.extend(k.strip_suffix(ending).map(|head| format!("{head}{other}")));
    }
    for beginning in BEGINNINGS {
        out.extend(
            k.strip_prefix(beginning)
                .map(|plant| format!("{plant} essential oil")),
        );
    }
    out.extend(colour(k));
    out.extend(index_number(k));
    out.extend(without_mesh(k));
    out
}

/// "ci77491", "c.i. 77491", "ci no. 77491" -> "ci 77491".
fn index_number(k: &str) -> Option<String> {
    let rest = k.strip_prefix("ci").or_else(|| k.strip_prefix("c.i."))?;
    let rest = rest.trim_start();
    let number = rest.strip_prefix("no.").unwrap_or(rest).trim_start();
    let figures = number.split(':').next()?;
    let is_one = figures.len() == 5 && figures.bytes().all(|b| b.is_ascii_digit());
    is_one.then(|| format!("ci {number}"))
}

/// How finely it is sieved changes nothing in what it is: "xanthan gum, 80 mesh" -> "xanthan gum".
fn without_mesh(k: &str) -> Option<String> {
    let (name, number) = k.strip_suffix(" mesh")?.rsplit_once(' ')?;
    let sieve = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
    sieve.then(|| name.trim_end_matches(',').to_owned())
}

/// "FD&C Yellow No. 5", "fd and c yellow #5 lake" -> "yellow 5". The colours outside FD&C and D&C keep their "ext".
fn colour(k: &str) -> Option<String> {
    let words: Vec<&str> = k
        .split([' ', '.', '#'])
        .filter(|w| {
            !matches!(
                *w,
                "" | "no" | "number" | "lake" | "dye" | "aluminum" | "calcium"
            )
        })
        .collect();
    let at = words.iter().position(|w| HUES.contains(w))?;
    let [number] = words[at + 1..] else {
        return None;
    };
    let before = words[..at].concat();
    let listed = matches!(
        before.as_str(),
        "" | "fd&c" | "d&c" | "fdandc" | "dandc" | "fdc" | "dc"
    );
    let ext = matches!(before.as_str(), "ext" | "extd&c" | "extdandc" | "extdc");
    if !(listed || ext) || !number.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    Some(format!(
        "{}{} {number}",
        if ext { "ext " } else { "" },
        words[at]
    ))
}

const HUES: [&str; 7] = [
    "yellow", "red", "blue", "green", "orange", "violet", "brown",
];

/// A bracketed second name: what stands outside the brackets, and what inside.
pub fn bracket(k: &str) -> Option<(String, &str)> {
    let (before, after) = k.split_once(" (")?;
    let (inside, behind) = after.split_once(')')?;
    Some((format!("{before}{behind}").trim().to_owned(), inside.trim()))
}

/// The materials that a name strings together: "a (and) b", "a, b", "a, b & c". Fewer than two: none.
pub fn strung(k: &str) -> Vec<&str> {
    let parts: Vec<&str> = k
        .split(" and ")
        .flat_map(|part| part.split(", "))
        .map(|part| part.trim().trim_start_matches("and "))
        .filter(|part| !part.is_empty())
        .collect();
    if parts.len() < 2 { Vec::new() } else { parts }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_colour_by_its_hue_and_number() {
        for name in [
            "fd&c yellow no. 5",
            "fd and c yellow 5",
            "fdc yellow #5",
            "d&c yellow 5 lake",
        ] {
            assert_eq!(variants(name), ["yellow 5"], "{name}");
        }
        assert_eq!(variants("ext. d&c violet no. 2"), ["ext violet 2"]);
        for other in ["yellow clay", "cetyl yellow 5", "red 40 50", "rose"] {
            assert_eq!(variants(other), Vec::<String>::new(), "{other}");
        }
    }

    #[test]
    fn a_number_of_the_colour_index() {
        for name in ["ci77491", "c.i. 77491", "c.i.77491", "ci no. 77491"] {
            assert_eq!(variants(name), ["ci 77491"], "{name}");
        }
        assert_eq!(variants("ci15850:1"), ["ci 15850:1"]);
        assert_eq!(variants("cinnamon oil"), Vec::<String>::new());
    }

    #[test]
    fn sieves_are_no_part_of_a_name() {
        assert_eq!(variants("xanthan gum, 80 mesh"), ["xanthan gum"]);
        assert_eq!(variants("fine mesh"), Vec::<String>::new());
    }

    #[test]
    fn essential_oils_and_hydrosols() {
        assert_eq!(variants("lemon eo"), ["lemon essential oil"]);
        assert_eq!(variants("essential oil of lemon"), ["lemon essential oil"]);
        assert_eq!(variants("rose hydrolat"), ["rose hydrosol"]);
    }

    #[test]
    fn blends_by_their_parts() {
        assert_eq!(
            strung("benzyl alcohol, salicylic acid and glycerin").len(),
            3
        );
        assert_eq!(strung("sunflower oil"), Vec::<&str>::new());
    }
}
