//! Opening a job: a demo or a file; and what is wrong with a file that was refused.

use super::{
    button,
    dialog::Dialog,
    hand_out::HandOut,
    language::page_choice,
    library::KeptJobs,
    mend::{Mend, mend_button},
    set_up::ways,
};
use crate::{
    erased::{flag, on, part},
    files,
    keeping::{self, Origin},
    store::Store,
};
use evenstroke_job::demo::DEMOS;
use evenstroke_language::{say, tr};
use leptos::prelude::*;

/// The list of jobs to open.
#[component]
pub fn Jobs(
    /// Whether it is shown.
    open: RwSignal<bool>,
    /// Whether the presses of the shop are shown.
    presses_open: RwSignal<bool>,
) -> impl IntoView {
    let which_press = move |_| {
        open.set(false);
        presses_open.set(true);
    };
    let store = expect_context::<Store>();
    view! {
        <Dialog open=open label=tr("Open a job") class="">
            <div class="panel-head">
                <h2>{tr("Open a job")}</h2>
                {page_choice("language")}
                <button class="button" on:click=on(move |_| open.set(false))>{tr("Close")}</button>
            </div>
            {ways(
                open,
                button(tr("Press is down: where can this die go?"), "", flag(|| false), on(which_press)),
            )}
            <label class="button file">
                {tr("Open a file")}
                <input
                    type="file"
                    accept=".json,application/json"
                    on:change=on(move |event| {
                        files::open_chosen(store, &event);
                        open.set(false);
                    })
                />
            </label>
            <KeptJobs open=open />
            <h3 id="demos-title">{tr("Invented demos")}</h3>
            <ul class="job-list" aria-labelledby="demos-title">
                {DEMOS
                    .iter()
                    .map(|demo| {
                        let choose = move |_| {
                            store.open(demo.label, demo.text, Origin::Demo);
                            open.set(false);
                        };
                        view! {
                            <li>
                                <button class="button wide" on:click=on(choose)>{demo.label}</button>
                            </li>
                        }
                    })
                    .collect_view()}
            </ul>
            <HandOut />
            <p class="about">{tr("The job that is open stays in the history: Undo brings it back.")}</p>
            <p class="about">{concat!("Evenstroke ", env!("CARGO_PKG_VERSION"))}</p>
            <Install />
        </Dialog>
    }
}

/// Whether the page starts without a network, and how to install it: filled in by `www/install.js`,
/// which the saved page does not have.
#[component]
fn Install() -> impl IntoView {
    Effect::new(move |_| {
        keeping::call("showInstall", &[]);
    });
    view! { <div id="install" class="install" role="status"></div> }
}

/// Why a file could not be opened. The open job stays as it is.
#[component]
pub fn RefusedFile() -> impl IntoView {
    let store = expect_context::<Store>();
    let mending = RwSignal::new(false);
    let list = part(move || {
        store.refused_file.get().map(|(name, message)| {
            let lines: Vec<String> = message.lines().map(str::to_owned).collect();
            view! {
                <section class="refused" role="alert">
                    <div class="panel-head">
                        <h2>{say!("{} was not opened", name)}</h2>
                        {mend_button(store, &name, mending)}
                        <button class="button" on:click=on(move |_| store.refused_file.set(None))>
                            {tr("Close")}
                        </button>
                    </div>
                    <p>{tr("The job that is open is unchanged. The file says:")}</p>
                    <ul>{lines.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
                </section>
            }
        })
    });
    view! {
        {list}
        <Mend open=mending />
    }
}
