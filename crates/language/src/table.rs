//! The tables made of the catalogues, and how a text is found in them.

use crate::Language;
use std::cell::OnceCell;

include!("catalogue_hash.rs");
include!(concat!(env!("OUT_DIR"), "/tables.rs"));

/// Twice as many places as keys and more, a power of two.
const PLACES: usize = (2 * KEYS.len()).next_power_of_two();

/// A language's texts in the order of [`KEYS`], and for each place the key that lies there, counted from
/// one.
struct Table {
    texts: Vec<&'static str>,
    places: Vec<u16>,
}

impl Table {
    fn new(lines: &'static str) -> Self {
        let mut places = vec![0; PLACES];
        for (index, key) in KEYS.iter().enumerate() {
            let mut place = *key as usize % PLACES;
            while places[place] != 0 {
                place = (place + 1) % PLACES;
            }
            places[place] = index as u16 + 1;
        }
        Self { texts: lines.split('\n').collect(), places }
    }

    fn find(&self, english: &str) -> Option<&'static str> {
        let key = hash(english);
        let mut place = key as usize % PLACES;
        while self.places[place] != 0 {
            let index = usize::from(self.places[place]) - 1;
            if KEYS[index] == key {
                return self.texts.get(index).copied().filter(|text| !text.is_empty());
            }
            place = (place + 1) % PLACES;
        }
        None
    }
}

thread_local! {
    static TABLES: [OnceCell<Table>; 4] = const { [const { OnceCell::new() }; 4] };
}

/// What a language has for a text.
pub(crate) fn find(language: Language, english: &str) -> Option<&'static str> {
    let (index, lines) = match language {
        Language::EnglishUs => return None,
        Language::German => (0, GERMAN),
        Language::Spanish => (1, SPANISH),
        Language::Chinese => (2, CHINESE),
        Language::EnglishUk => (3, ENGLISH_UK),
    };
    TABLES.with(|tables| tables[index].get_or_init(|| Table::new(lines)).find(english))
}
