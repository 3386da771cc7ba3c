//! A tandem line that was opened: its presses judged one by one, and a way into each job.

use crate::{
    erased::{on, part},
    keeping::Origin,
    store::{Shared, Store},
};
use evenstroke_job::{
    Refused,
    line::{TandemLine, job_words, slowest_words, speed_words, weakest_words},
    words,
};
use evenstroke_language::tr;
use leptos::prelude::*;
use serde_json::Value;

/// What there is to read of a line, and the text of each of its jobs.
#[derive(Debug)]
pub struct OpenLine {
    title: String,
    sentences: Vec<String>,
    /// For each job its name, its verdict, its strokes, and its text.
    jobs: Vec<(String, String, String)>,
}

impl OpenLine {
    /// Reads and judges a line whose jobs are all written out.
    ///
    /// # Errors
    ///
    /// [`Refused`] with every place that is wrong.
    pub fn read(value: &Value) -> Result<Self, Refused> {
        let line = TandemLine::from_value(value)?;
        let check = line.check();
        let jobs = check
            .checks
            .iter()
            .zip(&check.speeds)
            .enumerate()
            .map(|(index, (judged, speed))| {
                let verdict = words::verdict_words(judged.verdict);
                let told = format!("{verdict}; {}", speed_words(speed));
                (job_words(&line, index), told, value["jobs"][index].to_string())
            })
            .collect();
        let title = if line.title.is_empty() { tr("Tandem line") } else { &line.title };
        Ok(Self {
            title: title.to_owned(),
            sentences: vec![weakest_words(&line, &check), slowest_words(&line, &check)],
            jobs,
        })
    }
}

/// The panel of the line that is open, if one is.
#[component]
pub fn Line() -> impl IntoView {
    let store = expect_context::<Store>();
    part(move || store.line.get().map(|line| panel(store, line)))
}

fn panel(store: Store, line: Shared<OpenLine>) -> AnyView {
    let job = |(name, told, text): &(String, String, String)| {
        let (open_name, text) = (name.clone(), text.clone());
        view! {
            <li>
                <button class="button wide" on:click=on(move |_| store.open(&open_name, &text, Origin::File))>
                    <strong>{name.clone()}</strong>
                    " "
                    {told.clone()}
                </button>
            </li>
        }
    };
    view! {
        <section class="line" aria-labelledby="line-title">
            <div class="panel-head">
                <h2 id="line-title">{line.title.clone()}</h2>
                <button class="button" on:click=on(move |_| store.line.set(None))>{tr("Close the line")}</button>
            </div>
            {line.sentences.iter().map(|line| view! { <p>{line.clone()}</p> }).collect_view()}
            <ol>{line.jobs.iter().map(job).collect_view()}</ol>
        </section>
    }
    .into_any()
}
