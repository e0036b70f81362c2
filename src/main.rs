fn main() {
    #[cfg(feature = "lsp")]
    if std::env::args().nth(1).as_deref() == Some("serve") {
        std::process::exit(phasewright::lsp::serve());
    }
    let folder = std::env::args().nth(3).unwrap_or_else(|| "kb".into());
    let (base, mut faults) = phasewright::kb::read::read(std::path::Path::new(&folder));
    faults.extend(phasewright::kb::check::check(&base));
    for f in &faults {
        println!("{f}");
    }
    println!(
        "{} ingredients, {} laws, {} sources, {} faults",
        base.ingredients.len(),
        base.laws.len(),
        base.sources.len(),
        faults.len()
    );
    std::process::exit(i32::from(!faults.is_empty()));
}
