//! What to change: proposals worked out beside the page, each with before and after, and made in one
//! tap. Nothing is changed by itself.

use super::{
    button,
    going::{Going, by_and_by},
};
use crate::{
    beside, browser,
    erased::{effect, flag, on, part, text},
    keeping::{text_of, word},
    store::{Shared, Store},
};
use evenstroke_advice::{Edit, apply};
use evenstroke_language::{say, tr};
use leptos::prelude::*;
use serde_json::Value;
use std::{sync::Arc, time::Duration};

/// How long a job has to stand still before it is worked out anew.
const STOOD_STILL: Duration = Duration::from_millis(300);

/// Where it is said what was done; takes the focus then, because the button that had it is gone.
const SAID: &str = "advice-said";

#[derive(Clone, Copy)]
struct Advice {
    store: Store,
    going: Going,
    /// The job file that was looked at, and what was found.
    found: RwSignal<Option<(Shared<Value>, Shared<Value>)>>,
    /// What was done last.
    said: RwSignal<String>,
    /// Whether it is waited until the job stands still.
    waits: RwSignal<bool>,
}

impl Advice {
    fn begin(self) {
        self.waits.set(false);
        let document = self.store.document.get_untracked();
        let units = self.store.units.get_untracked().key().to_owned();
        let input = beside::list([text_of(&document), units].into_iter());
        self.going.begin(
            "advice",
            &input,
            Box::new(move |topics| self.found.set(Some((document, Shared::new(topics))))),
        );
    }

    /// Makes the edits of an offer, if the job is still the one that they were found for.
    fn make(self, of: &Shared<Value>, offer: &Value) {
        let words = word(offer, "words");
        if self.store.document.get_untracked() != *of {
            return;
        }
        let done = put_edits(self.store, &words, &offer["edits"]);
        self.said.set(if done {
            say!("Done: {}. Undo takes it back.", words)
        } else {
            say!("This could not be done: {}.", words)
        });
        browser::focus(SAID);
    }
}

/// Makes edits as one step of undo; whether it could.
pub fn put_edits(store: Store, name: &str, edits: &Value) -> bool {
    let edits: Vec<Edit> =
        edits.as_array().into_iter().flatten().filter_map(Edit::of_value).collect();
    match apply(&store.document.get_untracked(), &edits) {
        Ok(value) if !edits.is_empty() => {
            store.edit(&format!("advice: {}", name), move |document| *document = value);
            true
        }
        _ => false,
    }
}

/// What to change.
#[component]
pub fn WhatToChange() -> impl IntoView {
    let store = expect_context::<Store>();
    let advice = Advice {
        store,
        going: Going::new(),
        found: RwSignal::new(None),
        said: RwSignal::new(String::new()),
        waits: RwSignal::new(true),
    };
    let round = StoredValue::new(0_u32);
    effect(move || {
        store.document.track();
        store.units.track();
        advice.found.set(None);
        advice.waits.set(true);
        advice.going.stop(tr("Waiting until the job stands still …"));
        round.update_value(|round| *round += 1);
        let mine = round.get_value();
        set_timeout(
            move || {
                if round.try_get_value() == Some(mine) {
                    advice.begin();
                }
            },
            STOOD_STILL,
        );
    });
    let again = move || {
        let idle = !advice.waits.get() && !advice.going.on.get();
        (idle && advice.found.with(Option::is_none))
            .then(|| button(tr("Work it out"), "", flag(|| false), on(move |_| advice.begin())))
    };
    let topics = move || advice.found.get().map(|(of, topics)| topics_view(advice, of, topics));
    view! {
        <p class="notes" id=SAID tabindex="-1" role="status">{text(move || advice.said.get())}</p>
        {advice.going.view()}
        {part(again)}
        <div class="scroll advice-list" tabindex="0" role="region" aria-label=tr("Proposals")>
            {part(topics)}
        </div>
        <p class="notes">
            {tr("Each proposal is for the job as it stands and was worked out anew with its change. Nothing is changed until you choose it.")}
        </p>
    }
}

/// What there is to say, piece by piece: a heading, then the offers, then the notes of each topic.
fn topics_view(advice: Advice, of: Shared<Value>, topics: Shared<Value>) -> AnyView {
    let mut places: Vec<(usize, usize)> = Vec::new();
    for (index, topic) in topics.as_array().into_iter().flatten().enumerate() {
        let offers = topic["offers"].as_array().map_or(0, Vec::len);
        places.extend((0..offers + 2).map(|part| (index, part)));
    }
    let count = places.len();
    let piece = move |place: usize| {
        let (index, part) = places[place];
        let topic = &topics[index];
        match (part.checked_sub(1), part.checked_sub(1).and_then(|at| topic["offers"].get(at))) {
            (None, _) => view! { <h3>{word(topic, "title")}</h3> }.into_any(),
            (_, Some(offer)) => offer_view(advice, &of, offer),
            (_, None) => lines("notes", &topic["notes"]),
        }
    };
    by_and_by(count, 1, Arc::new(piece))
}

/// Words as they begin a sentence or a heading.
pub fn begun(words: &str) -> String {
    let mut begun = words.to_owned();
    // A path of the job file stays as it is written there.
    let first = words.split([' ', ',']).next().unwrap_or_default();
    if !first.is_empty() && first.bytes().all(|letter| letter.is_ascii_alphabetic()) {
        begun[..1].make_ascii_uppercase();
    }
    begun
}

/// Texts one below the other.
pub fn lines(class: &'static str, texts: &Value) -> AnyView {
    let texts = texts.as_array().into_iter().flatten();
    let rows: Vec<AnyView> = texts
        .map(|line| {
            let line = begun(line.as_str().unwrap_or_default());
            let line = if line.ends_with('.') { line } else { line + "." };
            view! { <li>{line}</li> }.into_any()
        })
        .collect();
    if rows.is_empty() { ().into_any() } else { view! { <ul class=class>{rows}</ul> }.into_any() }
}

fn offer_view(advice: Advice, of: &Shared<Value>, offer: &Value) -> AnyView {
    let words = word(offer, "words");
    let name = say!("Apply: {}", words);
    let (of, own) = (of.clone(), offer.clone());
    let make = on(move |_| advice.make(&of, &own));
    let heading =
        format!("{words}{}", if offer["first"] == true { tr(" (named first)") } else { "" });
    let row = |row: &Value| {
        let cell = |at: usize| row[at].as_str().unwrap_or_default().to_owned();
        view! { <tr><th scope="row">{cell(0)}</th><td>{cell(1)}</td><td>{cell(2)}</td></tr> }
            .into_any()
    };
    let rows: Vec<AnyView> = offer["figures"].as_array().into_iter().flatten().map(row).collect();
    view! {
        <article class="offer" aria-label=words>
            <div class="offer-head">
                <h4>{heading}</h4>
                {button(tr("Apply"), &name, flag(|| false), make)}
            </div>
            {lines("notes", &offer["details"])}
            <table class="cases">
                <thead>
                    <tr><td></td><th scope="col">{tr("Before")}</th><th scope="col">{tr("After")}</th></tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
            <p class="notes">{tr("Taken for granted:")}</p>
            {lines("notes assumes", &offer["assumes"])}
        </article>
    }
    .into_any()
}
