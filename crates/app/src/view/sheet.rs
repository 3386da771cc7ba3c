//! The set-up sheet on screen, and on paper.

use crate::{
    browser,
    erased::{on, part, text},
    store::Store,
};
use evenstroke_chart::sheet::sheet_html;
use leptos::{prelude::*, web_sys};

/// The sheet, as it is printed.
#[component]
pub fn Sheet(
    /// Whether it is shown.
    open: RwSignal<bool>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let html = move || {
        store.job.with(|job| store.check.with(|check| sheet_html(job, check, store.units.get())))
    };
    // What is printed is the static sheet of the page, whichever way printing is asked for.
    let refresh = move || browser::set_printed_sheet(&untrack(html));
    let _ = window_event_listener_untyped("beforeprint", move |_| refresh());
    let print = move |_| {
        refresh();
        let _ = window().print();
    };
    view! {
        {part(move || open.get().then(|| view! {
            <div class="veil" on:click=on(move |_| open.set(false))></div>
            <section
                class="dialog sheet-dialog"
                role="dialog"
                aria-modal="true"
                aria-label="Set-up sheet"
                on:keydown=on(move |event: web_sys::KeyboardEvent| if event.key() == "Escape" { open.set(false) })
            >
                <div class="panel-head">
                    <button class="button" autofocus on:click=on(print)>"Print"</button>
                    <button class="button" on:click=on(move |_| open.set(false))>"Close"</button>
                </div>
                <div class="sheet-view" tabindex="0" inner_html=text(html)></div>
            </section>
        }))}
    }
}
