//! The set-up sheet on screen, and on paper.

use super::dialog::Dialog;
use crate::{
    browser,
    erased::{on, text},
    store::Store,
};
use evenstroke_language::tr;
use leptos::prelude::*;

/// What is printed is the static sheet of the page, whichever way printing is asked for.
pub fn listen(store: Store) {
    let _ = window_event_listener_untyped("beforeprint", move |_| refresh(store));
}

fn refresh(store: Store) {
    browser::set_printed_sheet(&untrack(move || store.sheet()));
}

/// The sheet, as it is printed.
#[component]
pub fn Sheet(
    /// Whether it is shown.
    open: RwSignal<bool>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let html = move || store.sheet();
    let print = move |_| {
        refresh(store);
        let _ = window().print();
    };
    view! {
        <Dialog open=open label=tr("Set-up sheet") class="sheet-dialog">
            <div class="panel-head">
                <button class="button" on:click=on(print)>{tr("Print")}</button>
                {super::hand_out::save_page_button(store)}
                <button class="button" on:click=on(move |_| open.set(false))>{tr("Close")}</button>
                {super::language::sheet_choices()}
            </div>
            <div class="sheet-view" tabindex="0" inner_html=text(html)></div>
        </Dialog>
    }
}
