//! What else to mind, beside the verdict.

use super::{button, set_up::SetUp};
use crate::{
    erased::{flag, memo, on, part, text},
    store::Store,
};
use evenstroke_job::words;
use evenstroke_language::{say, tr};
use leptos::prelude::*;

/// The cautions of this job and those that always hold.
#[component]
pub fn Cautions() -> impl IntoView {
    let store = expect_context::<Store>();
    let cautions = memo(move || {
        store.job.with(|job| {
            store.check.with(|check| words::all_cautions(job, check, store.units.get()))
        })
    });
    view! {
        <section class="cautions" aria-labelledby="cautions-title">
            <h3 id="cautions-title">{tr("Cautions")}</h3>
            <ul>
                {part(move || {
                    cautions.get().into_iter().map(|(_, text)| view! { <li>{text}</li> }).collect_view()
                })}
            </ul>
        </section>
    }
}

/// The cautions in a line, always in view beside the verdict, with the way into the set-up.
#[component]
pub fn BeforeTheFirstStroke() -> impl IntoView {
    let store = expect_context::<Store>();
    let found = move || {
        store.job.with(|job| store.check.with(|check| check.cautions.len() + job.assumptions.len()))
    };
    let more = move || match found() {
        0 => String::new(),
        1 => tr(" One caution for this job stands under the limits.").to_owned(),
        count => say!(" {} cautions for this job stand under the limits.", count),
    };
    let set_up = expect_context::<SetUp>();
    view! {
        <aside class="first-stroke" aria-label=tr("Before the first stroke")>
            <p>
                <strong>{tr("Before the first stroke")}</strong>
                {tr(" lock out and block the slide; guards tested, slugs clear. The press's plate and your rules decide.")}
                {text(more)}
            </p>
            {button(tr("Set-up"), "", flag(|| false), on(move |_| set_up.open.set(true)))}
        </aside>
    }
}
