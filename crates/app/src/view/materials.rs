//! Stock by its designation: choosing it puts its numbers into the job, and their sources stand
//! beside them. Stock of one's own is kept in this browser.

use crate::{
    browser,
    erased::{memo, on, part, text},
    path::Path,
    store::Store,
};
use evenstroke_job::materials::{Group, MATERIALS, Material, STOCK_FIELD_KEYS, stock_fields};
use evenstroke_language::{number, say, tr};
use leptos::{prelude::*, web_sys};
use serde_json::{Map, Value};

/// Where stock of one's own is kept in the browser.
const OWN_KEY: &str = "evenstroke-own-materials-1";
/// Marks stock of one's own among the choices.
const OWN_PREFIX: &str = "own:";

/// All groups, in the order of the list.
const GROUPS: [Group; 8] = [
    Group::ColdRolledSteel,
    Group::HotRolledSteel,
    Group::HighStrengthSteel,
    Group::StainlessSteel,
    Group::CarbonSteel,
    Group::Aluminium,
    Group::Copper,
    Group::Brass,
];

/// The choice of material and where its numbers come from.
#[component]
pub fn Materials() -> impl IntoView {
    let store = expect_context::<Store>();
    let own = RwSignal::new(read_own());
    let name = memo(move || {
        store
            .document
            .with(|document| document["stock"]["material"].as_str().unwrap_or_default().to_owned())
    });
    let kept = RwSignal::new(String::new());
    let choose = move |event: web_sys::Event| {
        let word = event_target_value(&event);
        let fields = match word.strip_prefix(OWN_PREFIX) {
            Some(name) => {
                own.with_untracked(|own| own.get(name).and_then(Value::as_object).cloned())
            }
            None => MATERIALS.iter().find(|m| m.name() == word).map(stock_fields),
        };
        if let Some(fields) = fields {
            put_stock(store, fields);
        }
    };
    let keep = move |_| {
        let stock = store.document.with_untracked(|document| document["stock"].clone());
        let name = name.get_untracked();
        if name.is_empty() {
            kept.set(tr("Give the material a name first.").to_owned());
            return;
        }
        let fields: Map<String, Value> = STOCK_FIELD_KEYS
            .iter()
            .filter_map(|key| Some(((*key).to_owned(), stock.get(key)?.clone())))
            .collect();
        own.update(|own| {
            own.insert(name.clone(), Value::Object(fields));
        });
        let done = own.with_untracked(write_own);
        kept.set(if done {
            say!("{} is kept in this browser.", name)
        } else {
            tr("This browser keeps nothing for this page; save the job as a file instead.")
                .to_owned()
        });
    };
    let forget = move |_| {
        let name = name.get_untracked();
        own.update(|own| {
            own.shift_remove(&name);
        });
        own.with_untracked(write_own);
        kept.set(say!("{} is no longer kept in this browser.", name));
    };
    let is_own = move || own.with(|own| own.contains_key(&name.get()));
    let own_choices = part(move || {
        own.with(|own| {
            (!own.is_empty()).then(|| {
                let options = own
                    .keys()
                    .map(|own_name| {
                        let word = format!("{OWN_PREFIX}{own_name}");
                        view! { <option value=word>{own_name.clone()}</option> }
                    })
                    .collect_view();
                view! { <optgroup label=tr("Kept in this browser")>{options}</optgroup> }
            })
        })
    });
    let groups = GROUPS
        .into_iter()
        .map(|group| {
            let options = MATERIALS
                .iter()
                .filter(|material| material.group == group)
                .map(|material| {
                    let name = material.name();
                    view! { <option value=name.clone()>{name.clone()}</option> }
                })
                .collect_view();
            view! { <optgroup label=group.label()>{options}</optgroup> }
        })
        .collect_view();
    view! {
        <div class="materials">
            <label class="field wide">
                <span class="label">{tr("Take from the list")}</span>
                <select prop:value="" on:change=on(choose)>
                    <option value="">{tr("choose a material")}</option>
                    {own_choices}
                    {groups}
                </select>
                <small class="about">
                    {tr("Puts strengths, penetration and hardening into the fields below; the thickness stays.")}
                </small>
            </label>
            {part(move || sources(&name.get()))}
            <div class="controls">
                <button class="button" on:click=on(keep)>{tr("Keep this stock in this browser")}</button>
                {part(move || {
                    is_own().then(|| view! {
                        <button class="button quiet" on:click=on(forget)>{tr("Forget it")}</button>
                    })
                })}
            </div>
            <p class="about" role="status">{text(move || kept.get())}</p>
        </div>
    }
}

/// Puts the fields of a material into the job's stock as one step; what it does not know is taken
/// away, since it was of another.
fn put_stock(store: Store, fields: Map<String, Value>) {
    let stock = Path::root().key("stock");
    store.edit("choose a material", |document| {
        for key in STOCK_FIELD_KEYS {
            match fields.get(key) {
                Some(value) => stock.key(key).set(document, value.clone()),
                None => stock.key(key).remove(document),
            }
        }
    });
}

/// Where the numbers of a listed material come from.
fn sources(name: &str) -> Option<AnyView> {
    let material: &Material = MATERIALS.iter().find(|material| material.name() == name)?;
    let implied = material
        .implied_tensile_mpa()
        .map(|mpa| say!("K and n imply a tensile strength of {} MPa (derived).", number(mpa, 0)));
    let lines = material
        .sources
        .iter()
        .map(|source| {
            let fields: Vec<&str> = source.fields.iter().map(|field| field_label(field)).collect();
            let memory = if source.from_memory { tr("value from memory: ") } else { "" };
            view! {
                <li>
                    <strong>{fields.join(", ")}</strong>
                    ": "
                    {format!("{memory}{}", source.text)}
                </li>
            }
        })
        .collect_view();
    Some(
        view! {
            <details class="sources">
                <summary>{say!("Where the numbers of {} come from", name)}</summary>
                <ul>{lines} {implied.map(|line| view! { <li>{line}</li> })}</ul>
            </details>
        }
        .into_any(),
    )
}

/// What the page calls a field of the stock.
fn field_label(key: &str) -> &'static str {
    evenstroke_job::spec::STOCK
        .fields
        .iter()
        .find(|field| field.key == key)
        .map_or("stock", |field| field.label)
}

/// Stock of one's own; what is no list of objects in the browser's store counts as nothing.
fn read_own() -> Map<String, Value> {
    let kept = browser::kept(OWN_KEY).and_then(|text| serde_json::from_str::<Value>(&text).ok());
    match kept {
        Some(Value::Object(own)) => {
            own.into_iter().filter(|(_, stock)| stock.is_object()).collect()
        }
        _ => Map::new(),
    }
}

/// Keeps it, and reads it back to be sure.
fn write_own(own: &Map<String, Value>) -> bool {
    let text = Value::Object(own.clone()).to_string();
    browser::keep(OWN_KEY, &text) && browser::kept(OWN_KEY).is_some_and(|kept| kept == text)
}
