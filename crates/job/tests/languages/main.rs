//! Every text that a person reads is in every catalogue, and nothing else is.

mod source;

use evenstroke_job::spec::{self, FieldSpec, ObjectSpec, Shape, Unit};
use evenstroke_language::{Language, find, number, say, speaking, tr};
use source::{Source, repository, sources};
use std::{collections::BTreeSet, fs};

/// The crates whose texts people read.
const CRATES: [&str; 5] = ["job", "chart", "advice", "app", "cli"];
/// Catalogues that hold every text.
const WHOLE: [(Language, &str); 3] =
    [(Language::German, "de"), (Language::Spanish, "es"), (Language::Chinese, "zh")];

/// What a catalogue holds.
fn catalogue(name: &str) -> Vec<(String, String)> {
    let path = repository().join(format!("crates/language/texts/{name}.txt"));
    let text = fs::read_to_string(path).expect("a catalogue");
    let mut entries = Vec::new();
    let mut waiting = Vec::new();
    for line in text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        match line.strip_prefix("= ") {
            Some(english) => waiting.push(english.to_owned()),
            None => entries.extend(waiting.drain(..).map(|english| (english, line.to_owned()))),
        }
    }
    entries
}

/// All texts, from the sources and from the tables.
fn keys() -> BTreeSet<String> {
    let mut keys = BTreeSet::new();
    for source in sources(&CRATES) {
        of_source(&source, &mut keys);
    }
    of_object(&spec::JOB, &mut keys);
    of_physics(&mut keys);
    of_scripts(&mut keys);
    keys.extend([Unit::Spm, Unit::Rpm, Unit::KnmPerMmPerM].map(|unit| unit.symbol().to_owned()));
    // What holds no word needs no translation.
    keys.retain(|key| without_blanks(key).chars().any(char::is_alphabetic));
    keys
}

/// Texts that are translated where they stand: in `tr(…)`, `marked(…)`, `say!(…)`, `fill(…)`.
fn of_source(source: &Source, keys: &mut BTreeSet<String>) {
    let mut insides = source.insides("tr(");
    insides.extend(source.insides("marked("));
    for literal in &source.literals {
        let (before, after) = (source.before(literal), source.after(literal));
        let is_template = before.ends_with("say!(") || before.ends_with("fill(");
        let is_inside =
            insides.iter().any(|(open, close)| (*open..*close).contains(&literal.start));
        // What is compared with or matched against is no text.
        let is_compared = after.starts_with("=>")
            || after.starts_with('|')
            || before.ends_with("==")
            || before.ends_with("!=");
        // Words of a drawing stand behind their place.
        let is_of_drawing = source.path.ends_with("src/sketch.rs")
            && before.ends_with(',')
            && before[..before.len() - 1].ends_with(|c: char| c.is_ascii_digit());
        if is_template || is_of_drawing || (is_inside && !is_compared) {
            keys.insert(literal.text.clone());
        }
    }
}

/// Labels, helps and words of the fields.
fn of_object(object: &ObjectSpec, keys: &mut BTreeSet<String>) {
    object.fields.iter().for_each(|field| of_field(field, keys));
}

fn of_field(field: &FieldSpec, keys: &mut BTreeSet<String>) {
    keys.extend([field.label, field.about].map(str::to_owned));
    of_shape(&field.shape, keys);
}

fn of_shape(shape: &Shape, keys: &mut BTreeSet<String>) {
    match shape {
        Shape::Choice(choices) => keys.extend(choices.iter().map(|choice| choice.1.to_owned())),
        Shape::Object(object) => of_object(object, keys),
        Shape::List { item, .. } => of_shape(item, keys),
        Shape::FixedOr(other) => of_shape(other, keys),
        Shape::OneOf(fields) => fields.iter().for_each(|field| of_field(field, keys)),
        Shape::Tagged { label, kinds, .. } => {
            keys.insert((*label).to_owned());
            for (_, name, body) in *kinds {
                keys.insert((*name).to_owned());
                of_shape(body, keys);
            }
        }
        Shape::Number(_)
        | Shape::NumberOrRange(_)
        | Shape::Whole { .. }
        | Shape::WholeOf(_)
        | Shape::Text { .. }
        | Shape::Date
        | Shape::Time
        | Shape::Image { .. }
        | Shape::Flag
        | Shape::Pair(_)
        | Shape::Exactly(_) => {}
    }
}

/// What the physics says of missing data and of wrong input, in the form in which it is looked up.
fn of_physics(keys: &mut BTreeSet<String>) {
    for source in sources(&["press-load"]) {
        let is_missing = source.path.ends_with("src/limits.rs");
        let is_error = source.path.ends_with("src/error.rs");
        for literal in &source.literals {
            let (before, text) = (source.before(literal), literal.text.as_str());
            let is_name = ["positive(", "positive_length(", "not_negative(", "const ROWS: &str ="]
                .iter()
                .any(|end| before.ends_with(end));
            if is_name || (is_missing && text.contains(' ')) {
                keys.insert(text.to_owned());
            } else if is_error && text.contains(' ') {
                let (rule, given) = text.split_once(", given ").unwrap_or((text, ""));
                let rule = rule.strip_prefix("{what}").unwrap_or(rule).trim_start();
                keys.extend([rule, given].map(with_blanks));
            }
        }
    }
}

/// A template with every blank and number as `{}`.
fn with_blanks(template: &str) -> String {
    let mut out = String::new();
    let mut rest = template;
    while let Some(at) = rest.find(|letter: char| letter == '{' || letter.is_ascii_digit()) {
        out.push_str(&rest[..at]);
        out.push_str("{}");
        let tail = &rest[at..];
        let length = if tail.starts_with('{') {
            tail.find('}').map_or(tail.len(), |end| end + 1)
        } else {
            tail.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(tail.len())
        };
        rest = &tail[length..];
    }
    out + rest
}

fn without_blanks(template: &str) -> String {
    let mut out = template.to_owned();
    while let Some(at) = out.find('{') {
        let end = out[at..].find('}').map_or(out.len(), |end| at + end + 1);
        out.replace_range(at..end, "");
    }
    out
}

/// Sentences of the scripts that the program shows.
fn of_scripts(keys: &mut BTreeSet<String>) {
    for name in ["store.js", "hand.js", "install.js"] {
        let text = fs::read_to_string(repository().join("www").join(name)).expect("a script");
        for line in text.lines() {
            let code = line.trim_start();
            if code.starts_with("//") {
                continue;
            }
            for begin in [
                "tellNotice(",
                "Error(",
                "throw ",
                "told(",
                "say(",
                "paragraph(",
                "button(",
                "failed(failure || ",
                "return ",
                "failed(",
            ] {
                for (at, _) in code.match_indices(begin) {
                    let rest = &code[at + begin.len()..];
                    let Some(quote) = rest.chars().next().filter(|c| "\"`".contains(*c)) else {
                        continue;
                    };
                    let Some(end) = rest[1..].find(quote) else { continue };
                    let sentence = &rest[1..=end];
                    // Words, not the name of something.
                    if sentence.starts_with(char::is_alphabetic) && sentence.contains(' ')
                        || begin == "button("
                    {
                        keys.insert(with_blanks(&sentence.replace("${", "{")));
                    }
                }
            }
        }
    }
}

#[test]
fn every_text_is_in_every_catalogue() {
    let keys = keys();
    assert!(keys.len() > 1_500, "the texts are not found: {}", keys.len());
    for (language, name) in WHOLE {
        let held: BTreeSet<String> = catalogue(name).into_iter().map(|entry| entry.0).collect();
        let missing: Vec<&String> = keys.difference(&held).collect();
        assert!(missing.is_empty(), "{name}.txt lacks {missing:#?}");
        let unused: Vec<&String> = held.difference(&keys).collect();
        assert!(unused.is_empty(), "{name}.txt holds what nobody says any more: {unused:#?}");
        for key in &held {
            assert!(find(language, key).is_some(), "{name}: {key}");
        }
    }
}

#[test]
fn british_english_holds_only_what_is_said_and_differs() {
    let keys = keys();
    for (english, british) in catalogue("en-GB") {
        assert!(keys.contains(&english), "nobody says {english:?}");
        assert_ne!(english, british, "it need not be there");
    }
}

/// Blanks of a template in order, and whether they are numbered.
fn blanks(template: &str) -> (Vec<String>, bool) {
    let mut found = Vec::new();
    let mut rest = template;
    while let Some(at) = rest.find(['{', '}']) {
        let tail = &rest[at..];
        let length = if tail.starts_with("{{") || tail.starts_with("}}") {
            2
        } else {
            tail.find('}').map_or(tail.len(), |end| end + 1)
        };
        found.push(tail[..length].to_owned());
        rest = &tail[length..];
    }
    let numbered = found.iter().any(|blank| blank.contains(|c: char| c.is_ascii_digit()));
    (found, numbered)
}

#[test]
fn translations_have_the_blanks_of_the_english() {
    for name in ["de", "es", "zh", "en-GB"] {
        for (english, translation) in catalogue(name) {
            let (of_english, _) = blanks(&english);
            let (mut of_translation, numbered) = blanks(&translation);
            if numbered {
                of_translation.sort();
                let all: Vec<String> = (0..of_english.len()).map(|n| format!("{{{n}}}")).collect();
                assert_eq!(of_translation, all, "{name}: {english:?}");
            } else {
                assert_eq!(of_translation, of_english, "{name}: {english:?}");
            }
        }
    }
}

/// Chinese sets no spaces around its punctuation; elsewhere they join what is put together.
#[test]
fn translations_begin_and_end_with_the_spaces_of_the_english() {
    for name in ["de", "es", "en-GB"] {
        for (english, translation) in catalogue(name) {
            let spaces = |text: &str| (text.starts_with(' '), text.ends_with(' '));
            assert_eq!(spaces(&english), spaces(&translation), "{name}: {english:?}");
        }
    }
}

/// What stands in for an empty field is the same sentence of the help in each language.
#[test]
fn sentence_on_an_empty_field_is_found_in_each_language() {
    fn fields(object: &'static ObjectSpec, found: &mut Vec<&'static FieldSpec>) {
        for field in object.fields {
            found.push(field);
            if let Shape::Object(inner) = &field.shape {
                fields(inner, found);
            }
        }
    }
    let mut all = Vec::new();
    for object in [&spec::PRESS, &spec::JOB] {
        fields(object, &mut all);
    }
    let words =
        [(Language::German, "leer"), (Language::Spanish, "vacío"), (Language::Chinese, "留空")];
    let mut count = 0;
    for field in all {
        let Some(english) = field.if_empty() else { continue };
        count += 1;
        assert!(english.contains("if empty"), "{english}");
        for (language, word) in words {
            let told = speaking(language, || field.if_empty()).expect("a sentence");
            assert!(told.contains(word), "{}: {told:?} for {english:?}", language.key());
        }
    }
    assert!(count > 10, "{count}");
}

/// What was said is another text in another language: a comparison with the English would fail there.
#[test]
fn what_was_said_is_not_compared_with_its_english() {
    let keys = keys();
    let mut compared = Vec::new();
    for source in sources(&CRATES) {
        for literal in source.literals.iter().filter(|literal| literal.text.contains(' ')) {
            let (before, after) = (source.before(literal), source.after(literal));
            let is_compared =
                before.ends_with("==") || before.ends_with("!=") || after.starts_with("=>");
            if is_compared && keys.contains(&literal.text) {
                compared.push(format!("{}: {:?}", source.path, literal.text));
            }
        }
    }
    assert!(compared.is_empty(), "{compared:#?}");
}

/// What a person reads in a view stands in `tr`, `say!` or the like, not bare.
#[test]
fn no_view_holds_a_bare_text() {
    let mut bare = Vec::new();
    for source in sources(&["app"]) {
        let views = source.insides("view! {");
        for literal in &source.literals {
            let text = &literal.text;
            let is_text = text.chars().filter(|c| c.is_alphabetic()).count() > 1
                && (text.contains(' ') || text.starts_with(char::is_uppercase));
            if !is_text {
                continue;
            }
            let before = source.before(literal);
            let told = ["aria-label=", "title=", "label=", "placeholder=", "alt="];
            let is_child = source.opening(literal.start).is_some_and(|open| {
                views.iter().any(|view| view.0 == open) && !before.ends_with('=')
            });
            if is_child || told.iter().any(|attribute| before.ends_with(attribute)) {
                bare.push(format!("{}: {text:?}", source.path));
            }
        }
    }
    assert!(bare.is_empty(), "{bare:#?}");
}

/// From memory: Duden and the Real Academia Española write a comma, GB/T 15835 a point.
#[test]
fn numbers_are_written_with_the_decimal_mark_of_the_language() {
    let written = |language| speaking(language, || number(12.5, 1));
    assert_eq!(written(Language::German), "12,5");
    assert_eq!(written(Language::Spanish), "12,5");
    assert_eq!(written(Language::Chinese), "12.5");
    assert_eq!(written(Language::EnglishUk), "12.5");
}

#[test]
fn language_goes_back_after_something_was_said_in_another() {
    assert_eq!(tr("Stations"), "Stations");
    let german = speaking(Language::German, || say!("{} stations", 3));
    assert_eq!(german, "3 Stationen");
    assert_eq!(tr("Stations"), "Stations");
}

#[test]
fn language_of_the_browser_is_understood() {
    for (tag, language) in [
        ("de-AT", Some(Language::German)),
        ("es-419", Some(Language::Spanish)),
        ("zh-CN", Some(Language::Chinese)),
        ("zh-Hans-SG", Some(Language::Chinese)),
        ("zh-TW", None),
        ("en", Some(Language::EnglishUs)),
        ("en-AU", Some(Language::EnglishUk)),
        ("fr", None),
        ("", None),
    ] {
        assert_eq!(Language::of_tag(tag), language, "{tag}");
    }
}
