//! A window over the page. The browser's own dialog keeps the focus inside, closes on Escape and
//! gives the focus back.

use crate::erased::{on, part};
use leptos::{html, prelude::*, web_sys};

/// A modal dialog; what it holds is made when it opens.
#[component]
pub fn Dialog(
    /// Whether it is shown.
    open: RwSignal<bool>,
    /// What a screen reader calls it.
    label: &'static str,
    /// Classes beside `dialog`.
    class: &'static str,
    /// What it holds.
    children: ChildrenFn,
) -> impl IntoView {
    let node = NodeRef::<html::Dialog>::new();
    Effect::new(move |_| {
        let (Some(dialog), open) = (node.get(), open.get()) else { return };
        if open && !dialog.open() {
            // It fails only where the element is not in the page, and then there is nothing to show.
            let _ = dialog.show_modal();
        } else if !open && dialog.open() {
            dialog.close();
        }
    });
    // A tap beside it hits the dialog element itself, one inside it hits what it holds.
    let beside = move |event: web_sys::MouseEvent| {
        let target = event.target();
        if node.get().is_some_and(|dialog| target.as_ref() == Some(dialog.as_ref())) {
            open.set(false);
        }
    };
    view! {
        <dialog
            node_ref=node
            class=format!("dialog {class}")
            aria-label=label
            on:close=on(move |_: web_sys::Event| open.set(false))
            on:click=on(beside)
        >
            {part(move || open.get().then(|| view! { <div class="dialog-body">{children()}</div> }))}
        </dialog>
    }
}
