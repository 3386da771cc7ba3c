//! The handbook page of all fields, `docs/fields.md`, written from the description in [`spec`].

use crate::{
    entry::range_words,
    sketch::{Sketch, VIEW_BOX},
    spec::{FieldSpec, JOB, ObjectSpec, Shape},
    units::UnitSystem,
};
use std::{collections::BTreeSet, fmt::Write as _};

/// Calls `visit` with every field of the file, in the order in which they are described, with the
/// headings under which it stands. A field that several kinds share comes once for each.
pub(crate) fn for_each_field(mut visit: impl FnMut(&[&'static str], &'static FieldSpec)) {
    let mut headings = Vec::new();
    object(&JOB, &mut headings, &mut visit);
}

type Visit<'a> = &'a mut dyn FnMut(&[&'static str], &'static FieldSpec);

fn object(spec: &'static ObjectSpec, headings: &mut Vec<&'static str>, visit: Visit) {
    for field in spec.fields {
        visit(headings, field);
    }
    for field in spec.fields {
        headings.push(field.label);
        shape(&field.shape, headings, visit);
        headings.pop();
    }
}

fn shape(of: &'static Shape, headings: &mut Vec<&'static str>, visit: Visit) {
    match of {
        Shape::Object(spec) => object(spec, headings, visit),
        Shape::List { item, .. } => shape(item, headings, visit),
        Shape::FixedOr(other) => shape(other, headings, visit),
        Shape::OneOf(fields) => {
            for field in *fields {
                visit(headings, field);
                headings.push(field.label);
                shape(&field.shape, headings, visit);
                headings.pop();
            }
        }
        Shape::Tagged { kinds, .. } => {
            for (_, label, body) in *kinds {
                headings.push(label);
                shape(body, headings, visit);
                headings.pop();
            }
        }
        _ => {}
    }
}

/// What a field takes, in words.
fn allowed(of: &Shape) -> String {
    match of {
        Shape::Number(spec) => range_words(spec, UnitSystem::Metric),
        Shape::NumberOrRange(spec) => {
            format!("{}, or a range", range_words(spec, UnitSystem::Metric))
        }
        Shape::Whole { min, max } => format!("whole, from {min} to {max}"),
        Shape::WholeOf(numbers) => {
            numbers.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
        }
        Shape::Text { longest } => format!("text, up to {longest} characters"),
        Shape::Date => "a day, as 2026-03-02".to_owned(),
        Shape::Time => "a time, as 14:05".to_owned(),
        Shape::Image { .. } => "a picture".to_owned(),
        Shape::Choice(words) => words.iter().map(|word| word.1).collect::<Vec<_>>().join(", "),
        Shape::Flag => "yes, no".to_owned(),
        Shape::List { fewest, most, .. } => format!("{fewest} to {most} lines"),
        Shape::Tagged { kinds, .. } => {
            kinds.iter().map(|kind| kind.1).collect::<Vec<_>>().join(", ")
        }
        Shape::OneOf(fields) => {
            fields.iter().map(|field| field.label).collect::<Vec<_>>().join(", ")
        }
        Shape::Exactly(text) => format!("`{text}`"),
        Shape::FixedOr(other) => format!("fixed, {}", allowed(other)),
        Shape::Object(_) => "fields below".to_owned(),
        Shape::Pair(_) => "two numbers".to_owned(),
    }
}

/// The text of `docs/fields.md`.
fn page() -> String {
    let mut page = String::from(
        "# Fields\n\n\
         Every field of the job file: what it is, where to find it, what it takes. Written from the \
         description that the reader, the schema and the page's forms use: \
         `UPDATE_DOCS=1 cargo test -p evenstroke-job fields`.\n\n\
         In a number field the page also understands other units, fractions and arithmetic: \
         `3/8 in`, `1 1/2\"`, `12,5`, `2 x 30`, `25 US ton-f`. What was understood stands below the \
         field. A bare ton, a gauge number, `1,392` and `1-1/2` have two meanings and are refused.\n",
    );
    let mut sections: Vec<(String, Vec<&'static FieldSpec>)> = Vec::new();
    for_each_field(|headings, field| {
        let heading =
            if headings.is_empty() { "The job".to_owned() } else { headings.join(" · ") };
        match sections.last_mut() {
            Some((last, fields)) if *last == heading => fields.push(field),
            _ => sections.push((heading, vec![field])),
        }
    });
    for (heading, fields) in sections {
        let mut sketches = BTreeSet::new();
        let _ = write!(
            page,
            "\n## {heading}\n\n| field | in the file | takes | about |\n|---|---|---|---|\n"
        );
        for field in fields {
            let needed = if field.required { ", needed" } else { "" };
            let _ = writeln!(
                page,
                "| {} | `{}` | {}{needed} | {} |",
                field.label,
                field.key,
                allowed(&field.shape),
                field.about
            );
            sketches.extend(field.sketch.map(Sketch::key));
        }
        for sketch in Sketch::ALL.iter().filter(|sketch| sketches.contains(sketch.key())) {
            let _ = write!(page, "\n![{}](sketches/{}.svg)\n", sketch.title(), sketch.key());
        }
    }
    page
}

/// A sketch as a file of its own, ink on paper.
fn sketch_file(sketch: Sketch) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{VIEW_BOX}\" width=\"360\" height=\"195\" color=\"#14263a\" font-family=\"sans-serif\"><title>{}</title><rect width=\"240\" height=\"130\" fill=\"#fcfbf6\"/>{}</svg>\n",
        sketch.title(),
        sketch.svg()
    )
}

#[test]
fn fields_page_of_the_documentation_is_in_step() {
    let docs = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs");
    let mut files = vec![(format!("{docs}/fields.md"), page())];
    for sketch in Sketch::ALL {
        files.push((format!("{docs}/sketches/{}.svg", sketch.key()), sketch_file(sketch)));
    }
    for (path, text) in files {
        if std::env::var_os("UPDATE_DOCS").is_some() {
            std::fs::create_dir_all(format!("{docs}/sketches")).expect("docs can be written");
            std::fs::write(&path, &text).expect("docs can be written");
        }
        let written = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            written == text,
            "{path} is not in step; UPDATE_DOCS=1 cargo test -p evenstroke-job fields"
        );
    }
}

#[test]
fn every_field_says_what_it_is_and_where_to_find_it() {
    for_each_field(|headings, field| {
        let place = format!("{} · {}", headings.join(" · "), field.label);
        assert!(!field.about.trim().is_empty(), "{place} has no help");
        assert!(field.about.ends_with('.'), "{place}: a sentence ends with a stop");
        let stand_ins = field.about.matches("if empty").count();
        assert!(stand_ins <= 1, "{place} says twice what stands in");
        assert_eq!(field.if_empty().is_some(), stand_ins == 1, "{place}");
    });
}

#[test]
fn the_help_of_all_fields_fits_the_page() {
    let mut texts = BTreeSet::new();
    for_each_field(|_, field| {
        texts.insert(field.about);
    });
    let letters: usize = texts.iter().map(|text| text.len()).sum();
    assert!(letters <= 16_000, "{letters} letters of help; the page has room for 16 000");
}

#[test]
fn every_sketch_is_used_and_stays_in_its_box() {
    let mut used = BTreeSet::new();
    for_each_field(|_, field| used.extend(field.sketch.map(Sketch::key)));
    for sketch in Sketch::ALL {
        assert!(used.contains(sketch.key()), "{} shows no field", sketch.key());
        assert!(sketch.svg().len() < 2_500, "{} is too large", sketch.key());
    }
}
