//! The jobs that this browser keeps: found, opened, copied, deleted and brought back, with their
//! earlier revisions; and all of them out to one file and back in.

use super::button;
use crate::{
    erased::{flag, on, part, text},
    files,
    keeping::{self, word},
    store::{Shared, Store},
};
use evenstroke_language::{fill, marked, retell, say, tr};
use leptos::{prelude::*, web_sys};
use serde_json::Value;
use wasm_bindgen::JsValue;

/// What the list shows.
#[derive(Clone, Copy)]
struct Library {
    store: Store,
    /// Whether the dialog that holds it is shown.
    open: RwSignal<bool>,
    /// The kept jobs that are found, as the script lists them.
    entries: RwSignal<Shared<Value>>,
    search: RwSignal<String>,
    /// The job whose revisions are shown; empty where there is none.
    revised: RwSignal<String>,
    /// They, newest first.
    revisions: RwSignal<Shared<Value>>,
    /// What became of the last thing asked for.
    message: RwSignal<String>,
}

impl Library {
    fn refresh(self) {
        let search = self.search.get_untracked();
        keeping::ask("list", &[search.into()], move |answer| match answer {
            Ok(list) => self.entries.set(keeping::json(&list)),
            Err(reason) => self.message.set(say!("The kept jobs cannot be listed: {}.", reason)),
        });
    }

    /// Asks for something to be done with a job, and shows the list as it is then.
    fn act(self, name: &str, id: &str) {
        keeping::ask(name, &[id.into()], move |answer| {
            self.message.set(
                answer
                    .err()
                    .map_or_else(String::new, |reason| say!("That could not be done: {}.", reason)),
            );
            self.refresh();
        });
    }

    fn open_job(self, title: &str, id: &str, revision: Option<f64>) {
        keeping::open_kept(self.store, title.to_owned(), id, revision);
        self.open.set(false);
    }

    fn show_revisions(self, id: &str) {
        if self.revised.with_untracked(|shown| shown == id) {
            self.revised.set(String::new());
            return;
        }
        let owner = id.to_owned();
        keeping::ask("revisions", &[id.into()], move |answer| match answer {
            Ok(list) => {
                self.revisions.set(keeping::json(&list));
                self.revised.set(owner);
            }
            Err(reason) => self.message.set(say!("The revisions cannot be read: {}.", reason)),
        });
    }

    fn import(self, event: &web_sys::Event) {
        files::read_chosen(
            event,
            Box::new(move |name, text| match text {
                Ok(text) => keeping::ask("importAll", &[text.into()], move |answer| {
                    self.message.set(match answer {
                        Ok(told) => retell(&told),
                        Err(reason) => say!("{} was not imported. {}", name, reason),
                    });
                    self.refresh();
                }),
                Err(message) => self.message.set(say!("{} was not imported. {}", name, message)),
            }),
        );
    }
}

/// Hands out all that this browser keeps as one file, and says in `message` what became of it.
pub fn export_all(message: RwSignal<String>) {
    keeping::ask("exportAll", &[], move |answer| {
        let text = match answer {
            Ok(text) => JsValue::from_str(&text),
            Err(reason) => {
                message.set(say!("The library was not exported: {}.", reason));
                return;
            }
        };
        let told = move |answer| {
            message.set(match answer {
                Ok(true) => tr("All kept jobs and presses were handed to a file.").to_owned(),
                Ok(false) => tr("The kept jobs and presses were not handed out.").to_owned(),
                Err(reason) => reason,
            });
        };
        files::hand_out("evenstroke-library.json", text, "application/json", Box::new(told));
    });
}

/// The kept jobs.
#[component]
pub fn KeptJobs(
    /// Whether the dialog that holds them is shown.
    open: RwSignal<bool>,
) -> impl IntoView {
    let library = Library {
        store: expect_context::<Store>(),
        open,
        entries: RwSignal::new(keeping::json("")),
        search: RwSignal::new(String::new()),
        revised: RwSignal::new(String::new()),
        revisions: RwSignal::new(keeping::json("")),
        message: RwSignal::new(String::new()),
    };
    library.refresh();
    let search = move |event| {
        library.search.set(event_target_value(&event));
        library.refresh();
    };
    view! {
        <section aria-labelledby="kept-title">
            <h3 id="kept-title">{tr("Kept in this browser")}</h3>
            <label class="search">
                <span>{tr("Search title or press")}</span>
                <input
                    type="search"
                    on:input=on(search)
                />
            </label>
            <ul class="job-list" aria-labelledby="kept-title">
                {part(move || {
                    let list = library.entries.get();
                    let rows = list.as_array().into_iter().flatten();
                    rows.map(|entry| row(library, entry)).collect_view()
                })}
            </ul>
            <p class="about" role="status">{text(move || library.message.get())}</p>
            <div class="job-ways">
                <button class="button" on:click=on(move |_| export_all(library.message))>
                    {tr("Export all kept jobs")}
                </button>
                <label class="button file">
                    {tr("Import a library")}
                    <input
                        type="file"
                        accept=".json,application/json"
                        on:change=on(move |event: web_sys::Event| library.import(&event))
                    />
                </label>
            </div>
        </section>
    }
}

/// A job in the list, or what is left of one that was deleted.
fn row(library: Library, entry: &Value) -> AnyView {
    let (id, title) = (word(entry, "id"), word(entry, "title"));
    let (press, when) = (word(entry, "press"), word(entry, "when"));
    if entry["deleted"] == true {
        let told = say!("“{}” was deleted.", title);
        let name = say!("Bring back {}", title);
        let restore = move |_| library.act("restore", &id);
        return view! {
            <li class="kept-job">
                <span>{told}</span>
                <div class="job-ways">{way(tr("Bring back"), name, Box::new(restore))}</div>
            </li>
        }
        .into_any();
    }
    let about = if press.is_empty() { when } else { format!("{press} · {when}") };
    let named = |what: &'static str| fill(what, &[&title]);
    let (duplicate, earlier, delete) = (
        named(marked("Duplicate {}")),
        named(marked("Earlier revisions of {}")),
        named(marked("Delete {}")),
    );
    let (of_open, of_copy, of_delete, of_list) = (id.clone(), id.clone(), id.clone(), id.clone());
    let of_title = title.clone();
    let list_title = title.clone();
    let shown = part(move || {
        let list = library.revisions.get();
        (library.revised.get() == id).then(|| revision_list(library, &list_title, &id, &list))
    });
    view! {
        <li class="kept-job">
            <button
                class="button wide"
                on:click=on(move |_| library.open_job(&of_title, &of_open, None))
            >
                <strong>{title}</strong>
                " "
                <span class="about">{about}</span>
            </button>
            <div class="job-ways">
                {way(tr("Duplicate"), duplicate, Box::new(move |_| library.act("duplicate", &of_copy)))}
                {way(tr("Revisions"), earlier, Box::new(move |_| library.show_revisions(&of_list)))}
                {way(tr("Delete"), delete, Box::new(move |_| library.act("remove", &of_delete)))}
            </div>
            {shown}
        </li>
    }
    .into_any()
}

/// A button of a job; its whole name says of which.
fn way(words: &'static str, name: String, does: Box<dyn FnMut(leptos::ev::MouseEvent)>) -> AnyView {
    button(words, &name, flag(|| false), does)
}

fn revision_list(library: Library, job: &str, id: &str, list: &Value) -> AnyView {
    let rows: Vec<AnyView> = list
        .as_array()
        .into_iter()
        .flatten()
        .map(|revision| {
            let (job, id) = (job.to_owned(), id.to_owned());
            let number = revision["revision"].as_f64().unwrap_or_default();
            let (when, title) = (word(revision, "when"), word(revision, "title"));
            let words = say!("Revision {}, {}: {}", number, when, title);
            let open = on(move |_| library.open_job(&job, &id, Some(number)));
            view! { <li><button class="button wide" on:click=open>{words}</button></li> }.into_any()
        })
        .collect();
    view! { <ul class="job-list revisions" aria-label=tr("Revisions, newest first")>{rows}</ul> }
        .into_any()
}
