//! Job files in and out.

use crate::{
    browser,
    keeping::{self, Handle, Origin},
    store::Store,
};
use evenstroke_language::{number, say, tr};
use leptos::{prelude::*, task::spawn_local, web_sys};
use wasm_bindgen::{JsCast, JsValue};
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

/// The name of a file and its text, or why it has none.
pub type NamedText = (String, Result<String, String>);

/// Reads all the `.json` files that a file input holds, one after the other, and empties it.
pub fn read_all_chosen(event: &web_sys::Event, then: Box<dyn FnOnce(Vec<NamedText>)>) {
    let input =
        event.target().and_then(|target| target.dyn_into::<web_sys::HtmlInputElement>().ok());
    let Some(input) = input else { return };
    let files: Vec<web_sys::File> = input
        .files()
        .into_iter()
        .flat_map(|files| (0..files.length()).filter_map(move |index| files.get(index)))
        .filter(|file| file.name().to_ascii_lowercase().ends_with(".json"))
        .collect();
    input.set_value("");
    spawn_local(async move {
        let mut read = Vec::new();
        for file in files {
            read.push((file.name(), text_of(&file).await));
        }
        then(read);
    });
}

/// The text of a file, or why there is none.
async fn text_of(file: &web_sys::File) -> Result<String, String> {
    if file.size() > LARGEST {
        let size = file.size() / (1024.0 * 1024.0);
        return Err(say!("$: a file must be at most 20 MB, given {} MB", number(size, 0)));
    }
    match JsFuture::from(file.text()).await {
        Ok(text) => Ok(text.as_string().unwrap_or_default()),
        Err(_) => Err(tr("$: the browser could not read the file").to_owned()),
    }
}

fn read_file(file: web_sys::File, then: Reader) {
    spawn_local(async move {
        let text = text_of(&file).await;
        then(file.name(), text);
    });
}

/// Hands the job to the user as a file.
pub fn save_job(store: Store) {
    let document = store.document.get_untracked();
    let text = keeping::text_of(&document);
    let name = file_name(document["title"].as_str().unwrap_or_default());
    let content = JsValue::from_str(&text);
    hand_out_job(store.handle.get_untracked(), text, &name, content, "application/json");
}

/// Hands a text, a blob or a picture to the user as a file, as a download or by the share sheet.
/// `then` gets whether it went out, as far as a page can tell, or a sentence that says why it could
/// not.
pub fn hand_out(
    name: &str,
    content: JsValue,
    media_type: &str,
    then: Box<dyn FnOnce(Result<bool, String>)>,
) {
    let told = name.to_owned();
    keeping::ask("handOut", &[name.into(), content, media_type.into()], move |answer| {
        then(match answer {
            Ok(outcome) => Ok(outcome == "handed"),
            Err(reason) => Err(say!("{} was not saved: {}.", told, reason)),
        });
    });
}

/// Hands the whole tool to the user as one page with the job and its set-up sheet in it.
pub fn save_page(store: Store) {
    let document = store.document.get_untracked();
    let text = keeping::text_of(&document);
    let sheet = untrack(move || store.sheet());
    let handle = store.handle.get_untracked();
    let title = document["title"].as_str().unwrap_or_default();
    let name = page_name(title, &browser::today());
    let written = keeping::call("written", &[text.as_str().into(), sheet.into()])
        .and_then(|promise| promise.dyn_into::<js_sys::Promise>().ok());
    spawn_local(async move {
        let page = match written {
            Some(promise) => JsFuture::from(promise).await,
            None => Err(tr("the browser makes no files").into()),
        };
        match page {
            Ok(page) => hand_out_job(handle, text, &name, page, "text/html"),
            Err(error) => {
                let reason = keeping::field(&error, "message").as_string();
                let reason = reason.unwrap_or_else(|| format!("{error:?}"));
                keeping::tell(&say!("{} was not saved: {}.", name, reason));
            }
        }
    });
}

/// Hands out a job, in whatever form, and tells that it was.
fn hand_out_job(handle: Handle, text: String, name: &str, content: JsValue, media_type: &str) {
    let then = move |answer: Result<bool, String>| match answer {
        Ok(true) => keeping::handed(handle, &text),
        Ok(false) => {}
        Err(reason) => keeping::tell(&reason),
    };
    hand_out(name, content, media_type, Box::new(then));
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
