//! Pictures of the job, each kept once beside the document.
//!
//! An edit copies the document and undo keeps hundreds of them, so that a photo in each would fill the
//! memory of a tablet. In its place stands a short picture of the same form with a number in it, which the
//! reader takes as well. What leaves the page has the pictures in again ([`put_back`]).

use serde_json::Value;
use std::{borrow::Cow, cell::RefCell};

/// What every stand-in begins with: the first bytes of a JPEG.
const STAND_IN: &str = "data:image/jpeg;base64,/9j/";

thread_local! {
    /// Every picture met since the page was opened; undo may bring back any of them.
    static KEPT: RefCell<Vec<String>> = const { RefCell::new(Vec::new()) };
}

/// Keeps a picture and returns what stands in for it; the same picture has one stand-in.
pub fn keep(url: String) -> String {
    KEPT.with_borrow_mut(|kept| {
        let known = kept.iter().position(|one| *one == url);
        let index = known.unwrap_or_else(|| {
            kept.push(url);
            kept.len() - 1
        });
        format!("{STAND_IN}{index:016}")
    })
}

/// The picture that a stand-in stands for.
pub fn picture(stand_in: &str) -> Option<String> {
    let index: usize = stand_in.strip_prefix(STAND_IN)?.parse().ok()?;
    KEPT.with_borrow(|kept| kept.get(index).cloned())
}

/// Takes the pictures out of a document that came from outside. All of them, so that nothing in a file can
/// pass for a stand-in.
pub fn take_out(document: &mut Value) {
    for image in images(document) {
        if let Value::String(url) = image {
            *image = keep(std::mem::take(url)).into();
        }
    }
}

/// The document with its pictures in.
pub fn put_back(document: &Value) -> Cow<'_, Value> {
    if document["record"]["photos"].is_null() {
        return Cow::Borrowed(document);
    }
    let mut whole = document.clone();
    for image in images(&mut whole) {
        if let Some(url) = image.as_str().and_then(picture) {
            *image = url.into();
        }
    }
    Cow::Owned(whole)
}

fn images(document: &mut Value) -> impl Iterator<Item = &mut Value> {
    let photos = document.pointer_mut("/record/photos").and_then(Value::as_array_mut);
    photos.into_iter().flatten().filter_map(|photo| photo.get_mut("image"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use evenstroke_job::{Job, demo::DEMOS};
    use serde_json::json;

    fn job_with(urls: &[&str]) -> Value {
        let mut job: Value = serde_json::from_str(DEMOS[0].text).expect("demo is JSON");
        let photos: Vec<Value> =
            urls.iter().map(|url| json!({"kind": "die_tag", "image": url})).collect();
        job["record"] = json!({ "photos": photos });
        job
    }

    #[test]
    fn document_stays_small_and_what_leaves_the_page_is_whole() {
        let long = format!("{STAND_IN}{}", "A".repeat(300_000));
        let whole = job_with(&[&long, &long, "data:image/jpeg;base64,/9j/4AAQSkZJRgABAQ=="]);
        let mut document = whole.clone();
        take_out(&mut document);
        assert!(document.to_string().len() < 20_000);
        assert!(Job::from_value(&document).is_ok(), "the reader takes a stand-in");
        assert_eq!(document["record"]["photos"][0], document["record"]["photos"][1]);
        assert_eq!(*put_back(&document), whole);
    }

    #[test]
    fn picture_of_a_file_never_passes_for_another() {
        let first = keep(format!("{STAND_IN}{}", "B".repeat(40)));
        let whole = job_with(&[&first]);
        let mut document = whole.clone();
        take_out(&mut document);
        assert_eq!(*put_back(&document), whole, "what looks like a stand-in is a picture too");
    }
}
