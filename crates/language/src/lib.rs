//! What people read, in the language that they read.
//!
//! The English text is the key: [`tr`] gives it in the language of the moment, [`say!`](crate::say)
//! fills the blanks of a sentence, [`number`] writes a number with that language's decimal mark. What a
//! catalogue does not hold comes back in English. The catalogues are the files in `texts`;
//! `docs/languages.md` says how they are mended.
//!
//! The language of the moment belongs to the thread. It is US English until somebody says otherwise, so
//! that files, tests and the command line do not depend on where they run: the page says it with
//! [`speak`], one text in another language, such as the set-up sheet, is made within [`speaking`].
//!
//! ```
//! use evenstroke_language::{Language, number, say, speaking, tr};
//!
//! assert_eq!(tr("Stations"), "Stations");
//! speaking(Language::German, || {
//!     assert_eq!(tr("Stations"), "Stationen");
//!     assert_eq!(say!("{} of {}", number(12.5, 1), "20 mm"), "12,5 von 20 mm");
//! });
//! ```

mod fill;
mod retell;
mod table;

pub use fill::fill;
pub use retell::retell;

use std::cell::Cell;

/// A language in which the tool can be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Language {
    /// English with the terms of the United States; the texts in the code are these.
    #[default]
    EnglishUs,
    /// English with the terms of the United Kingdom, where they differ.
    EnglishUk,
    /// German.
    German,
    /// Spanish.
    Spanish,
    /// Chinese in simplified characters.
    Chinese,
}

impl Language {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 5] =
        [Self::EnglishUs, Self::EnglishUk, Self::German, Self::Spanish, Self::Chinese];

    /// Its tag after BCP 47, as pages and the command line name it.
    pub const fn key(self) -> &'static str {
        match self {
            Self::EnglishUs => "en-US",
            Self::EnglishUk => "en-GB",
            Self::German => "de",
            Self::Spanish => "es",
            Self::Chinese => "zh-Hans",
        }
    }

    /// What it calls itself.
    pub const fn own_name(self) -> &'static str {
        match self {
            Self::EnglishUs => "English (US)",
            Self::EnglishUk => "English (UK)",
            Self::German => "Deutsch",
            Self::Spanish => "Español",
            Self::Chinese => "简体中文",
        }
    }

    /// The language of a tag such as `de-AT`, `en`, `zh-CN`; capitals do not count. Traditional
    /// characters are not Simplified ones.
    pub fn of_tag(tag: &str) -> Option<Self> {
        let tag = tag.to_ascii_lowercase();
        let mut parts = tag.split(['-', '_']);
        let first = parts.next()?;
        let rest: Vec<&str> = parts.collect();
        let has = |words: &[&str]| rest.iter().any(|part| words.contains(part));
        match first {
            "de" => Some(Self::German),
            "es" => Some(Self::Spanish),
            "zh" if has(&["hant", "tw", "hk", "mo"]) && !has(&["hans"]) => None,
            "zh" => Some(Self::Chinese),
            // Of the English that is spoken elsewhere, more of it follows British terms.
            "en" if rest.is_empty() || has(&["us", "ca", "ph"]) => Some(Self::EnglishUs),
            "en" => Some(Self::EnglishUk),
            _ => None,
        }
    }

    /// What stands between the whole part of a number and its decimals.
    pub const fn decimal_mark(self) -> char {
        match self {
            Self::German | Self::Spanish => ',',
            Self::EnglishUs | Self::EnglishUk | Self::Chinese => '.',
        }
    }
}

thread_local! {
    static CURRENT: Cell<Language> = const { Cell::new(Language::EnglishUs) };
}

/// The language of the moment in this thread.
pub fn current() -> Language {
    CURRENT.get()
}

/// Sets the language of this thread from now on.
pub fn speak(language: Language) {
    CURRENT.set(language);
}

/// Does `work` in a language, and goes back to the one before.
pub fn speaking<T>(language: Language, work: impl FnOnce() -> T) -> T {
    /// Goes back even where `work` panics.
    struct Back(Language);
    impl Drop for Back {
        fn drop(&mut self) {
            CURRENT.set(self.0);
        }
    }
    let _back = Back(CURRENT.replace(language));
    work()
}

/// A text in the language of the moment; in English if its catalogue does not hold it.
pub fn tr(english: &'static str) -> &'static str {
    table::find(current(), english).unwrap_or(english)
}

/// A text of a table that is translated where it is shown. It says so to the test that looks for texts
/// without a translation, and does nothing else.
pub const fn marked(english: &'static str) -> &'static str {
    english
}

/// What a language's catalogue holds for a text.
pub fn find(language: Language, english: &str) -> Option<&'static str> {
    table::find(language, english)
}

/// A sentence in the language of the moment with its blanks filled: `say!("{} of {}", a, b)`.
///
/// Blanks are `{}`; a translation may also number them, `{1}`, to put them into another order.
#[macro_export]
macro_rules! say {
    ($template:literal $(, $value:expr)* $(,)?) => {
        $crate::fill($template, &[$(&$value as &dyn ::core::fmt::Display),*])
    };
}

/// A number with so many decimals, as the language of the moment writes it.
pub fn number(value: f64, decimals: usize) -> String {
    decimal(format!("{value:.decimals$}"))
}

/// A number that was written with a decimal point, as the language of the moment writes it.
pub fn decimal(number: String) -> String {
    match current().decimal_mark() {
        '.' => number,
        _ => number.replace('.', ","),
    }
}

/// A name that stands by itself, such as `Rated force`, as it stands within a sentence; German keeps
/// the capitals of its nouns.
pub fn in_sentence(name: &str) -> String {
    match current() {
        Language::German => name.to_owned(),
        _ => name.to_lowercase(),
    }
}
