//! How two spellings of one name are made the same: case, blanks, hyphens, "(and)", British and American spelling; and which of its names
//! a material shows.

use crate::schema::Ingredient;
use smol_str::SmolStr;

/// The key under which a name is filed and looked up.
pub fn key(name: &str) -> String {
    let mut out = String::with_capacity(name.len() + 1);
    let mut word = 0;
    for c in name.chars() {
        if c.is_whitespace() || matches!(c, '-' | '_' | '‐' | '‑' | '–') {
            end_word(&mut out, &mut word);
        } else if c.is_ascii() {
            if !matches!(c, '\'' | '"') {
                out.push(c.to_ascii_lowercase());
            }
        } else {
            out.extend(c.to_lowercase().filter_map(bare));
        }
    }
    end_word(&mut out, &mut word);
    out.truncate(out.trim_end().len());
    let letters = letters(&out);
    for (british, american) in SPELLINGS {
        if british.letters & !letters == 0 && out.contains(british.text) {
            out = out.replace(british.text, american);
        }
    }
    out
}

/// Ends the word that begins at `word`; the next begins behind a blank.
fn end_word(out: &mut String, word: &mut usize) {
    match &out[*word..] {
        "" => return,
        "(and)" | "&" | "+" | "/" => {
            out.truncate(*word);
            out.push_str("and");
        }
        _ => {}
    }
    out.push(' ');
    *word = out.len();
}

/// A letter without its accent; a typographic quote is dropped.
fn bare(c: char) -> Option<char> {
    Some(match c {
        'é' | 'è' | 'ê' | 'ë' => 'e',
        'á' | 'à' | 'â' | 'ã' | 'ä' => 'a',
        'í' | 'ì' | 'î' | 'ï' => 'i',
        'ó' | 'ò' | 'ô' | 'õ' | 'ö' => 'o',
        'ú' | 'ù' | 'û' | 'ü' => 'u',
        'ñ' => 'n',
        'ç' => 'c',
        '’' | '‘' => return None,
        c => c,
    })
}

/// British spellings inside words, and what they are filed under.
const SPELLINGS: [(Spelling, &str); 9] = [
    (spelling("sulph"), "sulf"),
    (spelling("aluminium"), "aluminum"),
    (spelling("glycerine"), "glycerin"),
    (spelling("caesium"), "cesium"),
    (spelling("colour"), "color"),
    (spelling("hydrolys"), "hydrolyz"),
    (spelling("polymeris"), "polymeriz"),
    (spelling("oestr"), "estr"),
    (spelling("caprylic/capric"), "caprylic capric"),
];

/// A piece of a word with the letters in it: a name that lacks one of them need not be searched.
struct Spelling {
    text: &'static str,
    letters: u32,
}

const fn spelling(text: &'static str) -> Spelling {
    Spelling {
        text,
        letters: letters(text),
    }
}

/// A bit for each Latin letter that is in a text.
const fn letters(text: &str) -> u32 {
    let bytes = text.as_bytes();
    let (mut all, mut n) = (0, 0);
    while n < bytes.len() {
        if bytes[n].is_ascii_lowercase() {
            all |= 1 << (bytes[n] - b'a');
        }
        n += 1;
    }
    all
}

/// The name to show: the one that the id stands for, else the first everyday name, else the INCI name.
pub fn shown(one: &Ingredient) -> String {
    let k = key(&one.id);
    let own = || {
        one.names
            .iter()
            .find(|n| key(n) == k)
            .map(SmolStr::to_string)
    };
    let inci = || {
        one.inci
            .iter()
            .chain(&one.inci_us)
            .find(|n| key(n) == k)
            .map(|n| running_text(n))
    };
    own().or_else(inci).unwrap_or_else(|| {
        one.names
            .first()
            .or(one.inci.as_ref())
            .unwrap_or(&one.id)
            .to_string()
    })
}

/// An INCI name inside a sentence: capitals only where they are more than the first letter of a word ("PEG-40 hydrogenated castor oil").
fn running_text(inci: &str) -> String {
    let lowered = |w: &str| {
        if w.chars().skip(1).all(char::is_lowercase) {
            w.to_lowercase()
        } else {
            w.to_owned()
        }
    };
    inci.split(' ').map(lowered).collect::<Vec<_>>().join(" ")
}

/// The key of a blend by its parts, in whatever order they are named.
pub fn blend_key<'a>(parts: impl Iterator<Item = &'a str>) -> String {
    let mut ids: Vec<&str> = parts.collect();
    ids.sort_unstable();
    format!("={}", ids.join("+"))
}

#[cfg(test)]
mod tests {
    use super::key;

    #[test]
    fn spellings_of_one_name_meet() {
        assert_eq!(
            key("Sodium Laureth Sulphate"),
            key("sodium laureth sulfate")
        );
        assert_eq!(
            key("benzyl alcohol (and) dehydroacetic acid"),
            key("Benzyl Alcohol & Dehydroacetic Acid")
        );
        assert_eq!(
            key("Caprylic/Capric Triglyceride"),
            key("caprylic capric triglyceride")
        );
        assert_eq!(key("shea-butter"), key("  Shea   butter "));
        assert_ne!(key("polysorbate 20"), key("polysorbate 80"));
    }
}
