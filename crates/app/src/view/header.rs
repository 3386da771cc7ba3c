//! Title, verdict and what one does with the job as a whole.

use super::kept::KeptState;
use crate::{
    erased::{flag, on, text},
    files,
    store::Store,
};
use evenstroke_job::{units::UnitSystem, words};
use evenstroke_language::{say, tr};
use leptos::{prelude::*, web_sys};

/// Hears the keys that work everywhere: undo, redo, and Escape for an open help.
pub fn listen(store: Store) {
    let by_key = move |event: web_sys::KeyboardEvent| {
        store.forms.escape(&event);
        let command = event.ctrl_key() || event.meta_key();
        match (command, event.key().to_ascii_lowercase().as_str(), event.shift_key()) {
            (true, "z", false) => store.undo(),
            (true, "z", true) | (true, "y", _) => store.redo(),
            _ => return,
        }
        event.prevent_default();
    };
    let _ = window_event_listener(leptos::ev::keydown, by_key);
}

/// The bar at the top.
#[component]
pub fn Header(
    /// Whether the set-up sheet is shown.
    sheet_open: RwSignal<bool>,
    /// Whether the list of jobs is shown.
    jobs_open: RwSignal<bool>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let title = move || {
        store.document.with(|document| match document["title"].as_str() {
            Some(title) if !title.is_empty() => title.to_owned(),
            _ => tr("Untitled job").to_owned(),
        })
    };
    view! {
        <header class="bar">
            <button class="button" on:click=on(move |_| jobs_open.set(true))>{tr("Jobs")}</button>
            <div class="name">
                <h1>{text(title)}</h1>
                <KeptState />
            </div>
            <Verdict />
            <div class="actions">
                <button
                    class="button icon"
                    aria-label=tr("Undo")
                    title=tr("Undo (Ctrl Z)")
                    disabled=flag(move || !store.can_undo())
                    on:click=on(move |_| store.undo())
                >
                    <span aria-hidden="true">"↶"</span>
                </button>
                <button
                    class="button icon"
                    aria-label=tr("Redo")
                    title=tr("Redo (Ctrl Y)")
                    disabled=flag(move || !store.can_redo())
                    on:click=on(move |_| store.redo())
                >
                    <span aria-hidden="true">"↷"</span>
                </button>
                <select
                    class="button"
                    aria-label=tr("Units")
                    on:change=on(move |event| {
                        let key = event_target_value(&event);
                        if let Some(units) = UnitSystem::ALL.into_iter().find(|u| u.key() == key) {
                            store.units.set(units);
                        }
                    })
                >
                    {UnitSystem::ALL
                        .map(|units| {
                            let selected = flag(move || store.units.get() == units);
                            view! {
                                <option value=units.key() selected=selected>{units.label()}</option>
                            }
                        })
                        .collect_view()}
                </select>
                <button class="button" on:click=on(move |_| files::save_job(store))>{tr("Save file")}</button>
                <button class="button" on:click=on(move |_| sheet_open.set(true))>{tr("Set-up sheet")}</button>
                <button
                    class="button icon"
                    aria-label=tr("First steps")
                    title=tr("First steps")
                    on:click=on(move |_| store.first_steps.begin())
                >
                    <span aria-hidden="true">"?"</span>
                </button>
            </div>
        </header>
    }
}

/// The verdict and the one sentence that says why.
#[component]
fn Verdict() -> impl IntoView {
    let store = expect_context::<Store>();
    let outdated = move || store.outcome.with(Result::is_err);
    let state = move || {
        if outdated() { "outdated" } else { store.check.with(|check| check.verdict.key()) }
    };
    let headline = move || {
        if outdated() {
            tr("Not worked out")
        } else {
            store.check.with(|check| words::verdict_words(check.verdict))
        }
    };
    let reason = move || match store.outcome.get() {
        Ok(_) => store.job.with(|job| {
            store.check.with(|check| words::reason_in_short(job, check, store.units.get()))
        }),
        Err(refused) => match refused.0.first() {
            // While a part is being entered for the first time its other fields are not wrong yet.
            Some(refusal) if refusal.given == tr("nothing") => {
                say!("Still to be entered: {}", refusal.path.replace('.', ", ").replace('_', " "))
            }
            refusal => refusal.map_or_else(String::new, ToString::to_string),
        },
    };
    let checked = move || store.check.with(|check| words::checked_words(check));
    view! {
        <div class="verdict" role="status" aria-live="polite">
            <strong class=text(move || format!("badge state-{}", state()))>{text(move || headline().to_owned())}</strong>
            <span class="reason">
                {text(reason)} " "
                <span class="checked">
                    {text(move || if outdated() { String::new() } else { checked() })}
                </span>
            </span>
        </div>
    }
}
