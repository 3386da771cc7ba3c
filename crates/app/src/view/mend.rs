//! A job that is refused, mended: field by field, or as the text that it is.

use super::{button, dialog::Dialog};
use crate::{
    erased::{flag, memo, on, part, text},
    files::{file_name, hand_out},
    keeping,
    store::Store,
};
use evenstroke_job::{
    Job, Refusal,
    mend::{place_of, value_at, with_value, without},
    read::json_of_bytes,
};
use evenstroke_language::{say, tr};
use leptos::{html::Textarea, prelude::*};
use wasm_bindgen::JsValue;

/// The button that opens it, where the job that was refused can be mended.
pub fn mend_button(store: Store, name: &str, open: RwSignal<bool>) -> Option<AnyView> {
    let is_it = |mending: &Option<_>| {
        mending.as_ref().is_some_and(|mending: &crate::store::Mending| mending.name == name)
    };
    store
        .mending
        .with_untracked(is_it)
        .then(|| button(tr("Mend it here"), "", flag(|| false), on(move |_| open.set(true))))
}

/// What is wrong with the job, its fields and its text.
#[component]
pub fn Mend(
    /// Whether it is shown.
    open: RwSignal<bool>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let content = memo(move || {
        store.mending.with(|mending| mending.as_ref().map_or_else(String::new, |m| m.text.clone()))
    });
    let change = move |text: String| {
        store.mending.update(|mending| {
            if let Some(mending) = mending {
                mending.text = text;
            }
        });
    };
    let wrong = memo(move || {
        content.with(|text| {
            let read = json_of_bytes(text.as_bytes());
            let refused = read.and_then(|value| Job::from_value(&value).map(|_| ())).err();
            refused.map_or_else(Vec::new, |refused| refused.0)
        })
    });
    let area = NodeRef::<Textarea>::new();
    let show = move |refusal: &Refusal| {
        let Some(area) = area.get() else { return };
        let text = area.value();
        let place = place_of(&text, &refusal.path, &refusal.given);
        let units = |end: usize| text[..end].encode_utf16().count() as u32;
        let lines = |end: usize| text[..end].matches('\n').count() as f64;
        let _ = area.focus();
        let _ = area.set_selection_range(units(place.start), units(place.end));
        let line = f64::from(area.scroll_height()) / (lines(text.len()) + 1.0);
        area.set_scroll_top(((lines(place.start) - 3.0) * line) as i32);
    };
    let row = move |refusal: Refusal| {
        let current = content.with_untracked(|text| {
            value_at(text, &refusal.path).map(|value| value.chars().take(80).collect::<String>())
        });
        let path = refusal.path.clone();
        let put = move |event| {
            let typed = event_target_value(&event);
            if let Some(text) = content.with_untracked(|text| with_value(text, &path, &typed)) {
                change(text);
            }
        };
        let can_be_put = content.with_untracked(|text| with_value(text, &refusal.path, "1"));
        let field = (refusal.path != "$" && can_be_put.is_some()).then(|| {
            view! {
                <label class="field">
                    <span class="label">{say!("Put there ({})", refusal.path)}</span>
                    <input
                        class="button"
                        autocomplete="off"
                        spellcheck="false"
                        value=current.unwrap_or_default()
                        on:change=on(put)
                    />
                </label>
            }
        });
        let at = refusal.path.clone();
        let take_out = move |_| {
            if let Some(text) = content.with_untracked(|text| without(text, &at)) {
                change(text);
            }
        };
        let is_there = content.with_untracked(|text| without(text, &refusal.path).is_some());
        let take_out =
            is_there.then(|| button(tr("Take it out"), "", flag(|| false), on(take_out)));
        let (path, allowed) = (refusal.path.clone(), refusal.allowed.clone());
        let given = say!("given {}", refusal.given);
        view! {
            <li>
                <p><strong>{path}</strong>": "{allowed}", "{given}</p>
                {field}
                {take_out}
                {button(tr("Show in the text"), "", flag(|| false), on(move |_| show(&refusal)))}
            </li>
        }
    };
    let reads = move || content.with(|text| !text.is_empty()) && wrong.with(Vec::is_empty);
    let said = move || match wrong.with(Vec::len) {
        0 => tr("It can be read now.").to_owned(),
        1 => tr("One thing is wrong.").to_owned(),
        count => say!("{} things are wrong.", count),
    };
    let open_it = move |_| {
        store.open_mended();
        open.set(false);
    };
    let save = move |_| {
        let Some(mending) = store.mending.get_untracked() else { return };
        let name = mending.name.trim_end_matches(".json").to_owned() + " being mended";
        let told = |answer: Result<bool, String>| {
            if let Err(reason) = answer {
                keeping::tell(&reason);
            }
        };
        let text = JsValue::from_str(&mending.text);
        hand_out(&file_name(&name), text, "application/json", Box::new(told));
    };
    view! {
        <Dialog open=open label=tr("Mend a job") class="sheet-dialog mend">
            <div class="panel-head">
                <h2>{tr("Mend a job")}</h2>
                {button(tr("Close"), "", flag(|| false), on(move |_| open.set(false)))}
            </div>
            <p class="about">
                {tr("What is kept stays as it is until the mended job is opened, and then as an earlier revision of it.")}
            </p>
            <p role="status"><strong>{text(said)}</strong></p>
            <ul class="wrong">
                {part(move || wrong.get().into_iter().map(row).collect_view())}
            </ul>
            <label class="field">
                <span class="label">{tr("Text of the job")}</span>
                <textarea
                    node_ref=area
                    rows="12"
                    wrap="off"
                    spellcheck="false"
                    prop:value=text(move || content.get())
                    on:input=on(move |event| change(event_target_value(&event)))
                ></textarea>
            </label>
            <div class="controls">
                {button(tr("Open it"), "", flag(move || !reads()), on(open_it))}
                {button(tr("Save this text as a file"), "", flag(|| false), on(save))}
            </div>
        </Dialog>
    }
}
