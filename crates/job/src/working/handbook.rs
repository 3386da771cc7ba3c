//! The handbook page of all laws, `docs/laws.md`, written from the table.

use super::{
    LAWS, Law,
    formula::{Formula, MATHML, TEX},
};
use std::{collections::BTreeSet, fmt::Write as _};

/// The text of `docs/laws.md`.
fn page() -> String {
    let mut page = String::from(
        "# Laws\n\n\
         Every law behind a number on the page: formula, what is put in, what it takes for granted, where \
         it holds, who says so. Written from the table that the page's own *working* shows: \
         `UPDATE_DOCS=1 cargo test -p evenstroke-job laws`. Formulas hold in any consistent units. The \
         page of a job shows them with its numbers put in; so does `evenstroke working JOB.json`.\n",
    );
    for law in LAWS {
        let tex = law.read().map(|formula| formula.written(&TEX)).unwrap_or_default();
        let _ = write!(
            page,
            "\n## {}\n\n```math\n{tex}\n```\n\n| | | unit |\n|---|---|---|\n",
            law.title
        );
        for symbol in law.symbols {
            let sign = symbol.sign.replace('_', "\\_");
            let _ = writeln!(page, "| {sign} | {} | {} |", symbol.meaning, symbol.unit.symbol());
        }
        let _ = write!(
            page,
            "\n{}\n\n**Range.** {}\n\n**Source.** {}\n",
            law.assumes, law.range, law.source
        );
    }
    page
}

#[test]
fn laws_page_of_the_documentation_is_in_step() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/laws.md");
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(path, page()).expect("docs can be written");
    }
    let written = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        written == page(),
        "{path} is not in step; UPDATE_DOCS=1 cargo test -p evenstroke-job laws"
    );
}

/// The formula and the names in it.
fn read(law: &'static Law) -> (Formula, BTreeSet<&'static str>) {
    let formula = Formula::parse(law.formula).unwrap_or_else(|at| panic!("{}: {at:?}", law.key));
    let mut names = BTreeSet::new();
    formula.for_each_name(&mut |name| {
        names.insert(name);
    });
    (formula, names)
}

#[test]
fn every_formula_is_read_and_every_symbol_in_it_is_told() {
    let mut keys = BTreeSet::new();
    for law in LAWS {
        assert!(keys.insert(law.key), "{} twice", law.key);
        let (formula, names) = read(law);
        assert_eq!(formula.result(), law.symbols[0].sign, "{}", law.key);
        let told: BTreeSet<&str> = law.symbols[1..].iter().map(|symbol| symbol.sign).collect();
        assert_eq!(names, told, "{}", law.key);
    }
}

#[test]
fn every_law_says_what_it_assumes_where_it_holds_and_who_says_so() {
    for law in LAWS {
        for text in [law.assumes, law.range, law.source] {
            assert!(text.ends_with(['.', ')']), "{}: {text}", law.key);
            // They stand in the page as they are.
            assert!(!text.contains(['<', '>', '&', '"']), "{}: {text}", law.key);
            assert!(!text.contains("safe"), "{}: {text}", law.key);
        }
        for symbol in law.symbols {
            assert!(!symbol.meaning.contains(['<', '>', '&', '|']), "{}", law.key);
        }
    }
}

/// What is opened is closed in its order, and nothing but elements of MathML Core is used, so that every
/// browser shows it and the page's policy lets it.
#[test]
fn mathml_of_every_law_is_whole() {
    const ELEMENTS: [&str; 11] =
        ["mi", "mn", "mo", "mtext", "mrow", "mfrac", "msup", "msub", "msqrt", "mspace", "math"];
    for law in LAWS {
        let text = read(law).0.written(&MATHML);
        let mut open = Vec::new();
        for tag in text.split('<').skip(1) {
            let name = tag.split(['>', ' ']).next().unwrap_or_default();
            match name.strip_prefix('/') {
                Some(name) => assert_eq!(open.pop(), Some(name), "{}: {text}", law.key),
                None => {
                    assert!(ELEMENTS.contains(&name), "{}: {name}", law.key);
                    open.push(name);
                }
            }
        }
        assert!(open.is_empty(), "{}: {text}", law.key);
    }
}

#[test]
fn the_laws_fit_the_page() {
    let letters: usize = LAWS
        .iter()
        .map(|law| {
            let symbols: usize = law.symbols.iter().map(|s| s.sign.len() + s.meaning.len()).sum();
            [law.title, law.formula, law.assumes, law.range, law.source]
                .map(str::len)
                .iter()
                .sum::<usize>()
                + symbols
        })
        .sum();
    assert!(letters <= 34_000, "{letters} letters of laws; the page has room for 34 000");
}
