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
    out
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
