//! How long a look-up takes. `cargo bench --bench kb`.
//!
//! To hold: any name below 50 microseconds, a misspelt one with its nearest names below 300, the packed base loaded below 2 milliseconds.

use phasewright::kb::Kb;

fn main() {
    divan::main();
}

const NAMES: [&str; 14] = [
    "Aqua",
    "cetearyl alcohol",
    "benzyl alcohol (and) dehydroacetic acid",
    "organic cold pressed sweet almond oil",
    "lactic acid 80 %",
    "ethanol 96 % v/v",
    "532-32-1",
    "CI 77891",
    "vitamin E",
    "Simmondsia Chinensis (Jojoba) Seed Oil",
    "caprylic/capric triglycerides",
    "sodium benzoat",
    "quite another thing (of its own kind) 20 %",
    "a long line that somebody has pasted from a page about something else and that names no material at all, not even a near one",
];

#[divan::bench(args = NAMES)]
fn lookup(name: &str) -> phasewright::kb::Lookup {
    Kb::bundled().lookup(divan::black_box(name))
}

#[divan::bench(args = ["c", "cetea", "xantham gum", "sodium benzoat", "caprilic capric triglycerid", "polyglyceryl 3 diisostearat", "quartz watch"])]
fn nearest(name: &str) -> usize {
    Kb::bundled().nearest(divan::black_box(name)).len()
}

/// What a start decodes: the index. Entries are decoded as they are asked for.
#[divan::bench]
fn load() -> usize {
    Kb::decode_again(false)
}

/// And all laws, pairs, products and sources: decoded once, when the first rule asks.
#[divan::bench]
fn load_with_law() -> usize {
    Kb::decode_again(true)
}
