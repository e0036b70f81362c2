//! The trade's verbs, in the words that makers use.

use super::scan::{Part, same};
use super::tree::Verb;
use std::sync::LazyLock;

/// Every wording that is read as a verb, the longer before the shorter where one begins the other.
/// The first wording of each verb is the one to offer.
pub const VERBS: &[(&str, Verb)] = &[
    ("weigh", Verb::Weigh),
    ("weigh out", Verb::Weigh),
    ("weigh in", Verb::Weigh),
    ("measure out", Verb::Weigh),
    ("check the weight", Verb::Weigh),
    ("put", Verb::Weigh),
    ("place", Verb::Weigh),
    ("slurry", Verb::Slurry),
    ("make a slurry of", Verb::Slurry),
    ("disperse", Verb::Slurry),
    ("wet out", Verb::Slurry),
    ("wet", Verb::Slurry),
    ("sprinkle", Verb::Sprinkle),
    ("sprinkle in", Verb::Sprinkle),
    ("dust", Verb::Sprinkle),
    ("hydrate", Verb::Hydrate),
    ("let hydrate", Verb::Hydrate),
    ("soak", Verb::Hydrate),
    ("swell", Verb::Hydrate),
    ("let swell", Verb::Hydrate),
    ("dissolve", Verb::Dissolve),
    ("solubilize", Verb::Dissolve),
    ("solubilise", Verb::Dissolve),
    ("melt", Verb::Melt),
    ("melt down", Verb::Melt),
    ("grind", Verb::Grind),
    ("mill", Verb::Grind),
    ("crush", Verb::Grind),
    ("sieve", Verb::Sieve),
    ("sift", Verb::Sieve),
    ("strain", Verb::Sieve),
    ("filter", Verb::Sieve),
    ("heat", Verb::Heat),
    ("heat up", Verb::Heat),
    ("reheat", Verb::Heat),
    ("warm", Verb::Heat),
    ("warm up", Verb::Heat),
    ("bring", Verb::Heat),
    ("microwave", Verb::Heat),
    ("simmer", Verb::Heat),
    ("hold", Verb::Hold),
    ("keep", Verb::Hold),
    ("maintain", Verb::Hold),
    ("top up", Verb::TopUp),
    ("make up", Verb::TopUp),
    ("replace", Verb::TopUp),
    ("add", Verb::Add),
    ("add in", Verb::Add),
    ("stir in", Verb::Add),
    ("stir into", Verb::Add),
    ("mix in", Verb::Add),
    ("mix into", Verb::Add),
    ("blend in", Verb::Add),
    ("blend into", Verb::Add),
    ("fold in", Verb::Add),
    ("fold into", Verb::Add),
    ("work in", Verb::Add),
    ("work into", Verb::Add),
    ("drip in", Verb::Add),
    ("put in", Verb::Add),
    ("incorporate", Verb::Add),
    ("pour", Verb::Pour),
    ("pour in", Verb::Pour),
    ("combine", Verb::Pour),
    ("transfer", Verb::Pour),
    ("stream", Verb::Pour),
    ("drizzle", Verb::Pour),
    ("trickle", Verb::Pour),
    ("unite", Verb::Pour),
    ("blend", Verb::Blend),
    ("stick blend", Verb::Blend),
    ("stick-blend", Verb::Blend),
    ("use a stick blender", Verb::Blend),
    ("use the stick blender", Verb::Blend),
    ("immersion blend", Verb::Blend),
    ("whip", Verb::Blend),
    ("beat", Verb::Blend),
    ("stir", Verb::Stir),
    ("mix", Verb::Stir),
    ("whisk", Verb::Stir),
    ("shake", Verb::Stir),
    ("agitate", Verb::Stir),
    ("homogenize", Verb::Homogenize),
    ("homogenise", Verb::Homogenize),
    ("emulsify", Verb::Homogenize),
    ("neutralize", Verb::Neutralize),
    ("neutralise", Verb::Neutralize),
    ("thicken", Verb::Thicken),
    ("cool", Verb::Cool),
    ("cool down", Verb::Cool),
    ("let cool", Verb::Cool),
    ("let it cool", Verb::Cool),
    ("allow it to cool", Verb::Cool),
    ("leave to cool", Verb::Cool),
    ("allow to cool", Verb::Cool),
    ("chill", Verb::Cool),
    ("measure pH", Verb::MeasurePh),
    ("check pH", Verb::MeasurePh),
    ("check the pH", Verb::MeasurePh),
    ("measure the pH", Verb::MeasurePh),
    ("test pH", Verb::MeasurePh),
    ("test the pH", Verb::MeasurePh),
    ("take the pH", Verb::MeasurePh),
    ("adjust pH", Verb::AdjustPh),
    ("adjust the pH", Verb::AdjustPh),
    ("set pH", Verb::AdjustPh),
    ("set the pH", Verb::AdjustPh),
    ("correct pH", Verb::AdjustPh),
    ("correct the pH", Verb::AdjustPh),
    ("bring pH", Verb::AdjustPh),
    ("bring the pH", Verb::AdjustPh),
    ("adjust", Verb::AdjustPh),
    ("fill", Verb::Fill),
    ("bottle", Verb::Fill),
    ("decant", Verb::Fill),
    ("pot up", Verb::Fill),
    ("jar up", Verb::Fill),
    ("spoon", Verb::Fill),
    ("scoop", Verb::Fill),
    ("mould", Verb::Mould),
    ("mold", Verb::Mould),
    ("pour into moulds", Verb::Mould),
    ("pour into molds", Verb::Mould),
    ("press", Verb::Mould),
    ("cast", Verb::Mould),
    ("rest", Verb::Rest),
    ("let rest", Verb::Rest),
    ("let stand", Verb::Rest),
    ("leave to stand", Verb::Rest),
    ("stand", Verb::Rest),
    ("set aside", Verb::Rest),
    ("leave", Verb::Rest),
    ("wait", Verb::Rest),
    ("cure", Verb::Rest),
    ("mature", Verb::Rest),
    ("remove", Verb::Rest),
    ("take off the heat", Verb::Rest),
    ("take off heat", Verb::Rest),
    ("clean", Verb::Tidy),
    ("sanitize", Verb::Tidy),
    ("sanitise", Verb::Tidy),
    ("sterilize", Verb::Tidy),
    ("sterilise", Verb::Tidy),
    ("disinfect", Verb::Tidy),
    ("wash", Verb::Tidy),
    ("wipe", Verb::Tidy),
    ("label", Verb::Tidy),
    ("close", Verb::Tidy),
    ("seal", Verb::Tidy),
    ("store", Verb::Tidy),
];

/// The wording to offer for a verb.
pub fn wording(verb: Verb) -> &'static str {
    VERBS
        .iter()
        .find(|(_, v)| *v == verb)
        .map_or("", |(w, _)| w)
}

/// Words that may stand before a verb and change nothing.
fn is_adverb(word: &str) -> bool {
    let before = [
        "and",
        "then",
        "now",
        "next",
        "finally",
        "first",
        "please",
        "gradually",
        "while",
        "keep",
        "with",
        "again",
        "also",
    ];
    before.iter().any(|w| same(w, word))
        || word.len() > 4
            && word
                .get(word.len() - 2..)
                .is_some_and(|end| same(end, "ly"))
}

/// The verb that the text begins with, and the bytes from its beginning to its end.
pub fn leading(text: Part<'_>) -> Option<(Verb, usize, usize)> {
    // `let the cream cool`, `allow the gum to hydrate`.
    if ["let", "allow", "leave"]
        .iter()
        .any(|w| same(w, text.first_word()))
        && at_word(text, 0).is_none_or(|(_, end)| end == text.first_word().len())
        && let Some(found) = text.words().skip(1).take(5).find_map(|(at, word)| {
            let left_alone = ["cool", "stand", "rest", "hydrate", "swell", "cure"]
                .iter()
                .any(|w| same(w, word));
            at_word(text, at)
                .filter(|_| left_alone)
                .map(|(verb, end)| (verb, at, end))
        })
    {
        return Some(found);
    }
    for (at, word) in text.words().take(4) {
        // `keep stirring`: what is kept up is the verb.
        if (same(word, "keep") || same(word, "continue") || same(word, "start"))
            && let Some((next, verb)) = text.from(at + word.len()).words().next()
            && is_gerund(verb)
            && let Some((verb, end)) = at_word(text, at + word.len() + next)
        {
            return Some((verb, at, end));
        }
        if let Some((verb, end)) = at_word(text, at) {
            return Some((verb, at, end));
        }
        if !is_adverb(word) {
            return None;
        }
    }
    None
}

/// True if the text begins with a verb, an adverb before it aside.
pub fn begins(text: Part<'_>) -> bool {
    leading(text).is_some()
}

/// True if the first word is a verb in its plain form: `add`, not the `cooling` of `cooling agent`.
pub fn begins_plainly(text: Part<'_>) -> bool {
    let first = text.first_word();
    // Behind these the verb may stand further on.
    let leads_on = ["let", "allow", "leave", "keep", "continue", "start"]
        .iter()
        .any(|w| same(w, first));
    !is_gerund(first)
        && if leads_on {
            matches!(leading(text), Some((_, 0, _)))
        } else {
            at_word(text, 0).is_some()
        }
}

/// The wordings that begin with a letter.
fn with_initial(letter: u8) -> &'static [(&'static str, Verb)] {
    static SORTED: LazyLock<Vec<(&str, Verb)>> = LazyLock::new(|| {
        let mut all = VERBS.to_vec();
        all.sort_by_key(|(wording, _)| wording.as_bytes()[0]);
        all
    });
    let until = |end: u8| SORTED.partition_point(|(wording, _)| wording.as_bytes()[0] < end);
    &SORTED[until(letter)..until(letter.saturating_add(1))]
}

fn at_word(text: Part<'_>, at: usize) -> Option<(Verb, usize)> {
    let mut best: Option<(Verb, usize)> = None;
    let first = text.from(at).first_word().trim_end_matches(['.', ';', ':']);
    let initial = first.bytes().next()?.to_ascii_lowercase();
    let gerund = is_gerund(first);
    for &(wording, verb) in with_initial(initial) {
        // The length decides for nearly all of them.
        let as_long =
            wording.len() == first.len() || wording.as_bytes().get(first.len()) == Some(&b' ');
        if !gerund && !as_long {
            continue;
        }
        if let Some(end) = matches(text, at, wording)
            && best.is_none_or(|(_, longest)| end > longest)
        {
            best = Some((verb, end));
        }
    }
    best
}

/// The end of `wording` at `at`, its words parted by any blanks; the first may stand as `stirring`.
fn matches(text: Part<'_>, at: usize, wording: &str) -> Option<usize> {
    let mut words = text.from(at).words();
    let mut end = at;
    for (n, want) in wording.split(' ').enumerate() {
        let (start, word) = words.next()?;
        let bare = word.trim_end_matches(['.', ';', ':']);
        let fits = same(bare, want) || n == 0 && is_form_of(bare, want);
        if !fits {
            return None;
        }
        end = at + start + bare.len();
    }
    Some(end)
}

fn is_gerund(word: &str) -> bool {
    word.len() > 4
        && word
            .get(word.len() - 3..)
            .is_some_and(|end| same(end, "ing"))
}

/// `stirring`, `adding` of `stir`, `add`; `dissolving` of `dissolve`.
fn is_form_of(word: &str, verb: &str) -> bool {
    if !is_gerund(word) {
        return false;
    }
    let word = word.to_ascii_lowercase();
    let Some(stem) = word.strip_suffix("ing") else {
        return false;
    };
    if stem == verb || verb.strip_suffix('e') == Some(stem) {
        return true;
    }
    let mut ends = stem.chars().rev();
    match (ends.next(), ends.next()) {
        (Some(a), Some(b)) if a == b => stem[..stem.len() - a.len_utf8()] == *verb,
        _ => false,
    }
}
