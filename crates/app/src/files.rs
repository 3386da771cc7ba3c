//! Job files in and out.

use crate::{
    browser,
    keeping::{self, Origin},
    store::Store,
};
use evenstroke_language::{number, say, tr};
use leptos::{prelude::*, task::spawn_local, web_sys};
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;

/// Largest file that is even looked at; the reader has its own limit.
const LARGEST: f64 = evenstroke_job::read::LARGEST_FILE as f64;

/// What is done with the name of a file and its text, or with why it has none.
type Reader = Box<dyn FnOnce(String, Result<String, String>)>;

/// Opens the job file that a file input holds.
pub fn open_chosen(store: Store, event: &web_sys::Event) {
    read_chosen(event, opener(store));
}

/// Opens a job file that was dropped on the page.
pub fn open_dropped(store: Store, file: web_sys::File) {
    read_file(file, opener(store));
}

fn opener(store: Store) -> Reader {
    Box::new(move |name, text| match text {
        Ok(text) => store.open(&name, &text, Origin::File),
        Err(message) => store.refused_file.set(Some((name, message))),
    })
}

/// Reads what a file input holds, and empties it so that the same file can be chosen again.
pub fn read_chosen(event: &web_sys::Event, then: Reader) {
    let input =
        event.target().and_then(|target| target.dyn_into::<web_sys::HtmlInputElement>().ok());
    let Some(input) = input else { return };
    if let Some(file) = input.files().and_then(|files| files.get(0)) {
        read_file(file, then);
    }
    input.set_value("");
}

fn read_file(file: web_sys::File, then: Reader) {
    let name = file.name();
    if file.size() > LARGEST {
        let size = file.size() / (1024.0 * 1024.0);
        then(name, Err(say!("$: a file must be at most 20 MB, given {} MB", number(size, 0))));
        return;
    }
    spawn_local(async move {
        let text = match JsFuture::from(file.text()).await {
            Ok(text) => Ok(text.as_string().unwrap_or_default()),
            Err(_) => Err(tr("$: the browser could not read the file").to_owned()),
        };
        then(name, text);
    });
}

/// Hands the job to the user as a file.
pub fn save_job(store: Store) {
    let document = store.document.get_untracked();
    let text = keeping::text_of(&document);
    let title = document["title"].as_str().unwrap_or_default().to_owned();
    if browser::download(&file_name(&title), &text).is_ok() {
        keeping::handed(store.handle.get_untracked(), &text);
    } else {
        let message = tr("$: the browser refused to save the file").to_owned();
        store.refused_file.set(Some((title, message)));
    }
}

/// Hands the whole tool to the user as one page with the job and its set-up sheet in it.
pub fn save_page(store: Store) {
    let document = store.document.get_untracked();
    let text = keeping::text_of(&document);
    let sheet = untrack(move || store.sheet());
    let handle = store.handle.get_untracked();
    let title = document["title"].as_str().unwrap_or_default().to_owned();
    let name = page_name(&title, &browser::today());
    let written = keeping::call("written", &[text.as_str().into(), sheet.into()])
        .and_then(|promise| promise.dyn_into::<js_sys::Promise>().ok());
    spawn_local(async move {
        let page = match written {
            Some(promise) => JsFuture::from(promise).await,
            None => Err(tr("the browser makes no files").into()),
        };
        let handed = page.and_then(|page| browser::download_blob(&name, page.unchecked_ref()));
        match handed {
            Ok(()) => keeping::handed(handle, &text),
            Err(error) => {
                let reason = keeping::field(&error, "message").as_string();
                let reason = reason.unwrap_or_else(|| format!("{error:?}"));
                let message = say!("$: the page could not be saved: {}", reason);
                store.refused_file.set(Some((title, message)));
            }
        }
    });
}

fn page_name(title: &str, day: &str) -> String {
    file_name(title).replace(".json", &format!("-{day}.html"))
}

/// A file name that every system takes.
pub fn file_name(title: &str) -> String {
    let mut name: String = title
        .chars()
        .map(
            |letter| {
                if letter.is_ascii_alphanumeric() || !letter.is_ascii() { letter } else { '-' }
            },
        )
        .collect::<String>()
        .split('-')
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("-")
        .to_ascii_lowercase();
    name = name.chars().take(60).collect();
    if name.is_empty() { "job.json".to_owned() } else { format!("{name}.json") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_names_are_plain() {
        assert_eq!(file_name("Gate-latch plate, 5-station"), "gate-latch-plate-5-station.json");
        assert_eq!(file_name("../../etc/passwd"), "etc-passwd.json");
        assert_eq!(file_name(""), "job.json");
        assert_eq!(page_name("Gate-latch plate", "2026-11-25"), "gate-latch-plate-2026-11-25.html");
    }
}
