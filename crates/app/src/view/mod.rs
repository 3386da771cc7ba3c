//! What is on the page.

mod advice;
mod cards;
mod cautions;
mod dialog;
mod drawing;
mod figures;
mod first_steps;
mod going;
mod hand_out;
mod header;
mod jobs;
mod kept;
mod language;
mod library;
mod limits;
mod line;
mod materials;
mod mend;
mod moving;
mod outline;
mod picture;
mod plan;
mod presses;
mod readings;
mod set_up;
mod sheet;
mod stroke;
mod what_if;
mod working;

use crate::{
    erased::{flag, memo, on, part, text},
    keeping,
    store::Store,
};
use evenstroke_chart::Style;
use evenstroke_language::tr;
use leptos::{prelude::*, web_sys};

pub use first_steps::FirstSteps;
pub use language::Languages;
pub use line::OpenLine;

/// What stays for as long as the page is open, the job with its history above all; and in it the
/// content, which is made anew when another language is chosen.
#[component]
pub fn Page() -> impl IntoView {
    let store = Store::new();
    provide_context(store);
    let drawing = drawing::DrawingState::new();
    provide_context(drawing);
    provide_context(keeping::listen(store));
    provide_context(working::WorkingState::new());
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
    provide_context(set_up::SetUp::new());
    let presses_open = RwSignal::new(false);
    let figure = RwSignal::new(figures::Figure::Force);
    header::listen(store);
    sheet::listen(store);
    part(move || {
        store.languages.page.track();
        untrack(|| content(drawing, style, [sheet_open, jobs_open, presses_open], figure))
    })
}

/// Header, limits, stroke chart, bolster plan, cards.
fn content(
    drawing: drawing::DrawingState,
    style: Memo<Style>,
    [sheet_open, jobs_open, presses_open]: [RwSignal<bool>; 3],
    figure: RwSignal<figures::Figure>,
) -> AnyView {
    let store = expect_context::<Store>();
    // A file dropped anywhere is opened: a drawing to choose outlines from, anything else as a job.
    let dropped = move |event: web_sys::DragEvent| {
        event.prevent_default();
        let files = event.data_transfer().and_then(|transfer| transfer.files());
        let Some(file) = files.and_then(|files| files.get(0)) else { return };
        let name = file.name().to_ascii_lowercase();
        if name.ends_with(".dxf") || name.ends_with(".svg") {
            drawing.read_file(file);
        } else {
            crate::files::open_dropped(store, file);
        }
    };
    view! {
        <header::Header sheet_open=sheet_open jobs_open=jobs_open />
        <div class="messages">
            <kept::Notices />
            <jobs::RefusedFile />
        </div>
        <first_steps::FirstStepsStrip />
        <nav class="jump" aria-label=tr("Parts of the page")>
            {[(tr("Chart"), ".stroke"), (tr("Plan"), ".plan"), (tr("Limits"), ".limits"), (tr("Data"), ".cards")]
                .map(|(word, part)| {
                    button(word, "", flag(|| false), on(move |_| crate::browser::jump_to(part)))
                })}
        </nav>
        <line::Line />
        <jobs::Jobs open=jobs_open presses_open=presses_open />
        <presses::Presses open=presses_open />
        <sheet::Sheet open=sheet_open />
        <set_up::SetUpDialog />
        <drawing::DrawingDialog />
        <working::WorkingDialog />
        <main
            class=text(move || store.first_steps.class())
            on:dragover=on(|event: web_sys::DragEvent| event.prevent_default())
            on:drop=on(dropped)
        >
            <limits::Limits figure=figure />
            <figures::Figures style=style figure=figure />
            <plan::PlanPanel style=style />
            <cards::Cards />
        </main>
    }
    .into_any()
}

/// A button; `name` is its whole name for a screen reader where the words alone do not say it.
pub fn button(
    words: &str,
    name: &str,
    disabled: Signal<bool>,
    does: Box<dyn FnMut(web_sys::MouseEvent)>,
) -> AnyView {
    let name = if name.is_empty() { words } else { name };
    view! {
        <button class="button" aria-label=name.to_owned() disabled=disabled on:click=does>
            {words.to_owned()}
        </button>
    }
    .into_any()
}
