//! The limits, worst first, each with its share as a labelled bar.

use super::{
    button,
    cautions::Cautions,
    figures::Figure,
    working::{Asked, opener},
};
use crate::{
    browser,
    erased::{flag, memo, on, part, text},
    store::Store,
};
use evenstroke_job::words;
use evenstroke_language::{say, tr};
use leptos::prelude::*;
use press_load::{Limit, LimitId, State};

/// Largest share that a bar shows; beyond it the bar is full and the number tells.
const WIDEST_SHARE: f64 = 1.25;

/// The panel of limits, and the cautions under them.
#[component]
pub fn Limits(
    /// What the large panel shows.
    figure: RwSignal<Figure>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let order = memo(move || {
        store.check.with(|check| {
            words::worst_first(check).iter().map(|limit| limit.id).collect::<Vec<LimitId>>()
        })
    });
    let what_to_change = move |_| {
        figure.set(Figure::Advice);
        browser::jump_to(".stroke");
    };
    view! {
        <section class="panel limits" id="limits" tabindex="-1" aria-labelledby="limits-title">
            <div class="panel-head">
                <h2 id="limits-title">{tr("Limits")}</h2>
                <span>{tr("worst first · upper line")}</span>
                {button(tr("What to change"), "", flag(|| false), on(what_to_change))}
            </div>
            <ul class="limit-list">
                <For each=move || order.get() key=|id| *id let:id>
                    <LimitRow id=id />
                </For>
            </ul>
            <Cautions />
        </section>
    }
}

/// One limit.
#[component]
fn LimitRow(id: LimitId) -> impl IntoView {
    let store = expect_context::<Store>();
    let limit = memo(move || store.check.with(|check| *check.limit(id)));
    let share = move || limit.get().outcome.map(|used| used.share).ok();
    let tag = move || {
        let limit = limit.get();
        match limit.outcome {
            Ok(used) => {
                format!("{} {}", words::state_word(limit.state), words::share_words(used.share))
            }
            Err(_) => words::state_word(limit.state).to_owned(),
        }
    };
    let detail = move || {
        store.job.with(|job| {
            store
                .check
                .with(|check| words::limit_words(job, check, &limit.get(), store.units.get()))
        })
    };
    let near = move || store.job.with(|job| job.press.near_share(job.settings.near_share));
    let percent = |share: f64| format!("{:.2}%", (share / WIDEST_SHARE).clamp(0.0, 1.0) * 100.0);
    let look_there = move || {
        let Limit { outcome: Ok(used), .. } = limit.get() else { return };
        if let Some(height) = used.at_height {
            store.slide_height.set(Some(height));
            store.strip_state.set(used.strip_state);
        }
    };
    let goes_somewhere = move || limit.get().outcome.is_ok_and(|used| used.at_height.is_some());
    let class = move || format!("limit state-{}", limit.get().state.key());
    view! {
        <li class=text(class)>
            <button
                class="limit-row"
                disabled=flag(move || !goes_somewhere())
                title=tr("Move the slide there")
                on:click=on(move |_| look_there())
            >
                <span class="limit-name">{words::limit_label(id)}</span>
                <span class="tag">{text(tag)}</span>
                <span class="track" aria-hidden="true">
                    <span class="fill" style:width=text(move || percent(share().unwrap_or(0.0)))></span>
                    <span class="mark near-mark" style:left=text(move || percent(near()))></span>
                    <span class="mark" style:left=percent(1.0)></span>
                </span>
                <span class="detail">{text(detail)}</span>
                {part(move || {
                    words::is_told(&limit.get())
                        .then(|| view! { <span class="detail advice">{words::limit_caution(id)}</span> })
                })}
                {part(move || {
                    (limit.get().state == State::NotChecked && id.is_essential())
                        .then(|| view! { <span class="detail essential">{tr("needed for a verdict")}</span> })
                })}
            </button>
            {opener(Asked::Limit(id), "", say!("Show the working of {}", words::limit_label(id)))}
        </li>
    }
}
