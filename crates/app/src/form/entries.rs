//! Lists of entries, such as the readings of a record: each folds, the newest stands first.

use super::{Fold, group, object_form, words_at};
use crate::{
    browser,
    erased::{flag, memo, on, part},
    path::Path,
    store::Store,
    view::button,
};
use evenstroke_job::spec::{FieldSpec, Shape};
use evenstroke_language::{say, tr};
use leptos::prelude::*;
use serde_json::Value;

/// The entries of a list with their fields; one is called `one`. The newest begins as `newest` says.
pub fn entries_form(
    field: &'static FieldSpec,
    path: &Path,
    one: &'static str,
    newest: Fold,
) -> AnyView {
    let Shape::List { item: shape, .. } = &field.shape else { return ().into_any() };
    let Shape::Object(spec) = shape else { return ().into_any() };
    let store = expect_context::<Store>();
    let list = path.clone();
    let count = memo(move || {
        store
            .document
            .with(|document| list.get(document).and_then(Value::as_array).map_or(0, Vec::len))
    });
    let before = RwSignal::new(count.get_untracked());
    let list = path.clone();
    let entry = move |index: usize, is_new: bool| {
        let place = list.item(index);
        let at = place.clone();
        let remove = move |_| {
            store.edit(&format!("remove {}", at), |document| at.remove(document));
        };
        let label = format!("{one} {}", index + 1);
        let fields = view! {
            {object_form(spec, &place, &[])}
            <div class="controls wide">
                {button(tr("Remove"), &say!("Remove {}", label.to_lowercase()), flag(|| false), on(remove))}
            </div>
        }
        .into_any();
        let fold = if is_new { Fold::Open } else { Fold::Folded };
        group(label, "", place.to_string(), fold, words_at(shape, &place), fields)
    };
    view! {
        <div class="entries" id=path.to_string()>
            {part(move || {
                let count = count.get();
                let added = count > before.get_untracked();
                before.set(count);
                (0..count)
                    .rev()
                    .map(|index| entry(index, index + 1 == count && (added || newest == Fold::Open)))
                    .collect_view()
            })}
        </div>
    }
    .into_any()
}

/// Adds an entry to the list at a place as one step of undo, and goes to its fields.
pub fn add_entry(store: Store, path: &Path, entry: Value) {
    store.edit(&format!("add to {} {}", path, browser::now_ms()), |document| {
        let mut list = path.get(document).and_then(Value::as_array).cloned().unwrap_or_default();
        list.push(entry);
        path.set(document, Value::Array(list));
    });
    let newest = format!("[id=\"{path}\"] > details");
    request_animation_frame(move || browser::jump_to(&newest));
}
