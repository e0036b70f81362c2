//! How two spellings of one name are made the same: case, blanks, hyphens, "(and)", British and American spelling; and which of its names
//! a material shows.

use super::schema::Ingredient;

/// The key under which a name is filed and looked up.
pub fn key(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    let lower = name.to_lowercase();
    for word in lower.split(|c: char| c.is_whitespace() || matches!(c, '-' | '_' | '‐' | '‑' | '–')) {
        let word = match word {
            "" => continue,
            "(and)" | "&" | "+" | "/" => "and",
            w => w,
        };
        if !out.is_empty() {
            out.push(' ');
        }
        for c in word.chars() {
            match c {
                'é' | 'è' | 'ê' | 'ë' => out.push('e'),
                'á' | 'à' | 'â' | 'ã' => out.push('a'),
                'ä' => out.push('a'),
                'í' | 'ì' | 'î' | 'ï' => out.push('i'),
                'ó' | 'ò' | 'ô' | 'õ' | 'ö' => out.push('o'),
                'ú' | 'ù' | 'û' | 'ü' => out.push('u'),
                'ñ' => out.push('n'),
                'ç' => out.push('c'),
                '’' | '‘' | '\'' | '"' => {}
                c => out.push(c),
            }
        }
    }
    for (british, american) in SPELLINGS {
        if out.contains(british) {
            out = out.replace(british, american);
        }
    }
    out
}

/// British spellings inside words, and what they are filed under.
const SPELLINGS: [(&str, &str); 9] = [
    ("sulph", "sulf"),
    ("aluminium", "aluminum"),
    ("glycerine", "glycerin"),
    ("caesium", "cesium"),
    ("colour", "color"),
    ("hydrolys", "hydrolyz"),
    ("polymeris", "polymeriz"),
    ("oestr", "estr"),
    ("caprylic/capric", "caprylic capric"),
];

/// The name to show: the one that the id stands for, else the first everyday name, else the INCI name.
pub fn shown(one: &Ingredient) -> String {
    let k = key(&one.id);
    let own = || one.names.iter().find(|n| key(n) == k).cloned();
    let inci = || one.inci.as_ref().filter(|n| key(n) == k).map(|n| running_text(n));
    own().or_else(inci).or_else(|| one.names.first().or(one.inci.as_ref()).cloned()).unwrap_or_else(|| one.id.clone())
}

/// An INCI name inside a sentence: capitals only where they are more than the first letter of a word ("PEG-40 hydrogenated castor oil").
fn running_text(inci: &str) -> String {
    let lowered = |w: &str| if w.chars().skip(1).all(char::is_lowercase) { w.to_lowercase() } else { w.to_owned() };
    inci.split(' ').map(lowered).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::key;

    #[test]
    fn spellings_of_one_name_meet() {
        assert_eq!(key("Sodium Laureth Sulphate"), key("sodium laureth sulfate"));
        assert_eq!(key("benzyl alcohol (and) dehydroacetic acid"), key("Benzyl Alcohol & Dehydroacetic Acid"));
        assert_eq!(key("Caprylic/Capric Triglyceride"), key("caprylic capric triglyceride"));
        assert_eq!(key("shea-butter"), key("  Shea   butter "));
        assert_ne!(key("polysorbate 20"), key("polysorbate 80"));
    }
}
