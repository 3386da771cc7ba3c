/// A text and its translation.
struct Entry<'a> {
    english: &'a str,
    translation: &'a str,
}

/// Reads a catalogue: `# ` begins a comment, `= ` a text in English, and the line below it holds its
/// translation. Several English texts may stand above one translation.
fn read(text: &str) -> Result<Vec<Entry<'_>>, String> {
    let mut entries: Vec<Entry<'_>> = Vec::new();
    let mut waiting: Vec<&str> = Vec::new();
    for (index, line) in text.lines().enumerate() {
        if let Some(english) = line.strip_prefix("= ") {
            if entries.iter().any(|entry| entry.english == english) || waiting.contains(&english) {
                return Err(format!("line {}: {english:?} stands twice", index + 1));
            }
            waiting.push(english);
        } else if line.is_empty() || line.starts_with("# ") || line == "#" {
            if let Some(english) = waiting.first() {
                return Err(format!("line {}: {english:?} has no translation", index + 1));
            }
        } else if waiting.is_empty() {
            return Err(format!("line {}: no English text stands above {line:?}", index + 1));
        } else {
            let translated = waiting.drain(..);
            entries.extend(translated.map(|english| Entry { english, translation: line }));
        }
    }
    match waiting.first() {
        Some(english) => Err(format!("{english:?} at the end has no translation")),
        None => Ok(entries),
    }
}
