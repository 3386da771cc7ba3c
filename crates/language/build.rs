//! Makes tables of the catalogues in `texts`: a hash for each English text, and for each language all
//! its texts as one, a line each in the same order. The English keys themselves stay where they are
//! used and are not carried twice.

use std::{collections::HashMap, env, fmt::Write, fs, path::Path};

include!("src/catalogue.rs");
include!("src/catalogue_hash.rs");

/// Keys stand in the order of the first catalogue, because texts that stand beside each other there are
/// alike and pack well.
const FILES: [(&str, &str); 4] =
    [("GERMAN", "de"), ("SPANISH", "es"), ("CHINESE", "zh"), ("ENGLISH_UK", "en-GB")];

fn main() {
    println!("cargo::rerun-if-changed=texts");
    println!("cargo::rerun-if-changed=src/catalogue.rs");
    println!("cargo::rerun-if-changed=src/catalogue_hash.rs");
    let texts: Vec<String> = FILES
        .iter()
        .map(|(_, name)| {
            let path = format!("texts/{name}.txt");
            fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
        })
        .collect();
    let catalogues: Vec<Vec<Entry>> = FILES
        .iter()
        .zip(&texts)
        .map(|((_, name), text)| read(text).unwrap_or_else(|error| panic!("{name}.txt: {error}")))
        .collect();
    let mut order: Vec<&str> = Vec::new();
    let mut places: HashMap<&str, usize> = HashMap::new();
    let mut hashes: HashMap<u32, &str> = HashMap::new();
    for entry in catalogues.iter().flatten() {
        if places.contains_key(entry.english) {
            continue;
        }
        // Two keys with one hash would show one text for the other.
        if let Some(other) = hashes.insert(hash(entry.english), entry.english) {
            panic!(
                "reword one of these, their hashes are the same: {other:?}, {:?}",
                entry.english
            );
        }
        places.insert(entry.english, order.len());
        order.push(entry.english);
    }
    let mut code = String::new();
    let keys: Vec<u32> = order.iter().map(|english| hash(english)).collect();
    let _ = writeln!(code, "const KEYS: [u32; {}] = {keys:?};", keys.len());
    for ((constant, _), catalogue) in FILES.iter().zip(&catalogues) {
        let mut lines = vec![""; order.len()];
        for entry in catalogue {
            lines[places[entry.english]] = entry.translation;
        }
        let _ = writeln!(code, "const {constant}: &str = {:?};", lines.join("\n"));
    }
    let folder = env::var("OUT_DIR").expect("cargo names a folder");
    fs::write(Path::new(&folder).join("tables.rs"), code).expect("the tables are written");
}
