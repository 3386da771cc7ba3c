//! What is on the page.

mod cards;
mod cautions;
mod dialog;
mod figures;
mod header;
mod jobs;
mod kept;
mod library;
mod limits;
mod materials;
mod picture;
mod plan;
mod sheet;
mod stroke;

use crate::{erased::memo, keeping, store::Store};
use evenstroke_chart::Style;
use leptos::prelude::*;

/// The whole page: header, limits, stroke chart, bolster plan, cards.
#[component]
pub fn Page() -> impl IntoView {
    let store = Store::new();
    provide_context(store);
    provide_context(keeping::listen(store));
    let dark = crate::browser::media("(prefers-color-scheme: dark)");
    let contrast = crate::browser::media("(prefers-contrast: more)");
    // The charts follow the page's colours.
    let style = memo(move || {
        if contrast.get() {
            Style::high_contrast()
        } else if dark.get() {
            Style::dark()
        } else {
            Style::paper()
        }
    });
    let sheet_open = RwSignal::new(false);
    let jobs_open = RwSignal::new(false);
    view! {
        <header::Header sheet_open=sheet_open jobs_open=jobs_open />
        <div class="messages">
            <kept::Notices />
            <jobs::RefusedFile />
        </div>
        <jobs::Jobs open=jobs_open />
        <sheet::Sheet open=sheet_open />
        <main class="board">
            <limits::Limits />
            <figures::Figures style=style />
            <plan::PlanPanel style=style />
            <cards::Cards />
        </main>
    }
}
