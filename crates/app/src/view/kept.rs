//! How the job in view is kept, and what there is to tell about kept jobs.

use crate::{
    erased::{on, part, text},
    files,
    keeping::{self, Keeping, State},
    store::Store,
};
use evenstroke_language::{retell, say, tr};
use leptos::prelude::*;
use serde_json::Value;

/// The state in a few words, under the title.
#[component]
pub fn KeptState() -> impl IntoView {
    let keeping = expect_context::<Keeping>();
    let mark = move || match keeping.state.get() {
        State::AsOpened => "○",
        State::Edited => "✎",
        State::Kept => "✓",
        State::Handed => "⇩",
        State::NotKept(_) => "!",
    };
    let words = move || match keeping.state.get() {
        State::AsOpened => tr("as opened"),
        State::Edited => tr("edited"),
        State::Kept => tr("kept in this browser"),
        State::Handed => tr("handed to a file"),
        State::NotKept(_) => tr("not kept: save a file"),
    };
    view! {
        <p class="kept" aria-live="polite">
            <span aria-hidden="true">{text(move || mark().to_owned())}</span>
            " "
            {text(move || words().to_owned())}
        </p>
    }
}

/// What was set aside, kept twice or is kept in a newer form; and why nothing is kept.
#[component]
pub fn Notices() -> impl IntoView {
    let store = expect_context::<Store>();
    let keeping = expect_context::<Keeping>();
    // A reason that was read and closed is not shown again, unless it becomes another.
    let closed = RwSignal::new(String::new());
    let not_kept = move || match keeping.state.get() {
        State::NotKept(reason) if reason != closed.get() => Some(reason),
        _ => None,
    };
    view! {
        {part(move || {
            not_kept()
                .map(|reason| {
                    let words = say!("Not kept in this browser: {}. What you change is lost with this page unless you save a file.", retell(&reason));
                    view! {
                        <section class="notice" role="alert">
                            <p>{words}</p>
                            <button class="button" on:click=on(move |_| files::save_job(store))>
                                {tr("Save the job now")}
                            </button>
                            <button class="button" on:click=on(move |_| closed.set(reason.clone()))>
                                {tr("Close")}
                            </button>
                        </section>
                    }
                })
        })}
        {part(move || {
            let notices = keeping.notices.get();
            let list = notices.as_array().into_iter().flatten().enumerate();
            list.map(|(index, notice)| told(store, index, notice)).collect_view()
        })}
    }
}

fn told(store: Store, index: usize, notice: &Value) -> AnyView {
    let offer = keeping::word(notice, "offer");
    let open = (!offer.is_empty()).then(|| {
        let open = move |_| {
            keeping::open_kept(store, tr("The kept job").to_owned(), &offer, None);
            keeping::closed(index);
        };
        view! { <button class="button" on:click=on(open)>{tr("Open that one")}</button> }
    });
    view! {
        <section class="notice" role="status">
            <p>{retell(&keeping::word(notice, "text"))}</p>
            {open}
            <button class="button" on:click=on(move |_| keeping::closed(index))>
                {tr("Close")}
            </button>
        </section>
    }
    .into_any()
}
