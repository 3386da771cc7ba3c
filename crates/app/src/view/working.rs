//! The working: the law behind a number, with its numbers put in.

use super::dialog::Dialog;
use crate::{
    erased::{on, text},
    store::Store,
};
use evenstroke_job::{
    words,
    working::{html, of_limit, of_now, of_work},
};
use evenstroke_language::{say, tr};
use leptos::prelude::*;
use press_load::LimitId;

/// Whose working is asked for.
#[derive(Clone, Copy)]
pub enum Asked {
    /// That of a limit.
    Limit(LimitId),
    /// That of an operation: index of the station and of its work.
    Work(usize, usize),
    /// That of the numbers beside the stroke chart.
    Now,
}

/// Which working is shown.
#[derive(Clone, Copy)]
pub struct WorkingState {
    open: RwSignal<bool>,
    asked: RwSignal<Asked>,
}

impl WorkingState {
    /// None shown yet.
    pub fn new() -> Self {
        Self { open: RwSignal::new(false), asked: RwSignal::new(Asked::Now) }
    }
}

/// The button that shows a working; `name` is what a screen reader calls it.
pub fn opener(asked: Asked, words: &'static str, name: String) -> AnyView {
    let state = expect_context::<WorkingState>();
    let show = move |_: leptos::web_sys::MouseEvent| {
        state.asked.set(asked);
        state.open.set(true);
    };
    view! {
        <button class="show-working" aria-label=name title=tr("Show the working") on:click=on(show)>
            {words}
        </button>
    }
    .into_any()
}

/// The window over the page.
#[component]
pub fn WorkingDialog() -> impl IntoView {
    let store = expect_context::<Store>();
    let WorkingState { open, asked } = expect_context::<WorkingState>();
    let title = move || match asked.get() {
        Asked::Limit(id) => words::limit_label(id).to_owned(),
        Asked::Now => tr("The slide now").to_owned(),
        Asked::Work(station, work) => store.job.with(|job| {
            let name = job.stations.get(station).map_or("", |station| station.name.as_str());
            say!("{}, work {}: highest force, upper line", name, work + 1)
        }),
    };
    let in_short = move || {
        let Asked::Limit(id) = asked.get() else { return String::new() };
        store.job.with(|job| {
            store
                .check
                .with(|check| words::limit_words(job, check, check.limit(id), store.units.get()))
        })
    };
    let steps = move || {
        let (scene, units) = (store.scene(), store.units.get());
        let steps = store.job.with(|job| match asked.get() {
            Asked::Limit(id) => store.check.with(|check| of_limit(job, check, scene.placement, id)),
            Asked::Work(station, work) => of_work(job, station, work),
            Asked::Now => {
                let height = store.check.with(|check| scene.height(check));
                of_now(job, scene.placement, scene.strip_state, height)
            }
        });
        html(&steps, units)
    };
    view! {
        <Dialog open=open label=tr("The working") class="working-dialog">
            <div class="panel-head">
                <h2>{text(title)}</h2>
                <button class="button" on:click=on(move |_| open.set(false))>{tr("Close")}</button>
            </div>
            <p>{text(in_short)}</p>
            <div class="laws" inner_html=text(steps)></div>
        </Dialog>
    }
}
