//! The set-up: step by step what the die needs, what to set, what to look at, what to record; and the same on
//! paper. Every figure is one of a [`Card`](evenstroke_job::cards::Card), shown by one function.

use super::{button, dialog::Dialog};
use crate::{
    browser,
    erased::{flag, memo, on, part, text},
    form::{Fold, add_entry, entries_form, field_at, field_form, fields_of, group},
    keeping::{self, Origin},
    path::Path,
    pictures,
    store::Store,
};
use evenstroke_chart::cards::{card_html, die_card_html, die_tag_html, setup_card_html};
use evenstroke_job::{
    cards::{FieldPlace, STEPS, card_of, missing_fields, stations_with_slugs},
    record::entry_of,
    spec::{MOST_PHOTOS, STATION},
};
use evenstroke_language::{marked, say, tr};
use leptos::{prelude::*, web_sys};
use serde_json::{Value, json};
use wasm_bindgen::JsCast;

/// Which step of the set-up is shown, if it is shown.
#[derive(Clone, Copy)]
pub struct SetUp {
    /// Whether it is shown.
    pub open: RwSignal<bool>,
    step: RwSignal<usize>,
}

impl SetUp {
    /// Not shown, at its first step.
    pub fn new() -> Self {
        Self { open: RwSignal::new(false), step: RwSignal::new(0) }
    }

    /// Shows it at a step.
    fn show(self, id: &str) {
        self.step.set(STEPS.iter().position(|step| step.id == id).unwrap_or_default());
        self.open.set(true);
    }
}

/// Lists of the record beside the set-ups: key, what one is called, what adding one is called.
const HISTORY: [(&str, &str, &str); 5] = [
    ("readings", marked("Reading"), marked("Add a reading")),
    ("grinds", marked("Grind"), marked("Add a grind")),
    ("repairs", marked("Repair"), marked("Add a repair")),
    ("shut_heights", marked("Closed height"), marked("Add a closed height")),
    ("remarks", marked("Remark"), marked("Add a remark")),
];
/// What a die that nobody has described begins with. What cannot be left out says that it is not measured.
const NEW_DIE: &str = r#"{"format": "evenstroke-job", "version": 1, "title": "New die",
"note": "Not measured yet: thickness 1 mm and tensile strength 300 MPa stand in until those of this stock are entered.",
"stock": {"thickness_mm": 1, "tensile_mpa": 300}, "die": {"kind": "single"},
"stations": [{"name": "Station 1", "x_mm": 0, "y_mm": 0, "strip_position": 1, "work": []}]}"#;

/// What a step says where it has no card for this job.
fn instead_of_card(step: &str) -> &'static str {
    tr(match step {
        "last_good" => "Nothing is recorded of this die yet.",
        "slugs" => "No station of this die drops slugs.",
        "after_trip" => {
            "Enter where the slide stands: the crank angle from the dial at the press, or its height above BDC. This records the state; it is no procedure. Freeing a press that is stuck is work for specialists and the press builder."
        }
        "photos" => "Press plate, die tag, set-up: whoever sets next sees what you saw.",
        _ => "",
    })
}

/// What one comes for, as large buttons.
/// They stand in the list of jobs, which closes at a tap on one; `more` is what others add.
pub fn ways(jobs_open: RwSignal<bool>, more: AnyView) -> AnyView {
    let store = expect_context::<Store>();
    let set_up = expect_context::<SetUp>();
    let title = store.job.with_untracked(|job| job.title.clone());
    let way = move |words: &'static str, more: String, does: fn(Store, SetUp)| {
        let go = move |_| {
            jobs_open.set(false);
            does(store, set_up);
        };
        view! {
            <button class="button way" on:click=on(go)>
                <strong>{words}</strong>
                <span>{more}</span>
            </button>
        }
        .into_any()
    };
    view! {
        <div class="ways">
            {way(tr("Set this die"), title, |_, set_up| set_up.show(STEPS[0].id))}
            {way(tr("New die"), tr("without a press at first").to_owned(), |store, _| {
                store.open(tr("New die"), NEW_DIE, Origin::Spare);
                request_animation_frame(|| browser::open_and_focus("card~stock"));
            })}
            {way(
                tr("It tripped"),
                tr("where the slide stands, what may have done it").to_owned(),
                |_, set_up| set_up.show("after_trip"),
            )}
            {more}
        </div>
    }
    .into_any()
}

/// The set-up over the whole page.
#[component]
pub fn SetUpDialog() -> impl IntoView {
    let set_up = expect_context::<SetUp>();
    view! {
        <Dialog open=set_up.open label=tr("Set-up") class="set-up">
            {steps()}
        </Dialog>
    }
}

fn steps() -> AnyView {
    let store = expect_context::<Store>();
    let SetUp { open, step } = expect_context::<SetUp>();
    let html = memo(move || {
        let step = STEPS[step.get()].id;
        store.job.with(|job| {
            store.check.with(|check| {
                let card = card_of(step, job, check, store.units.get());
                Some(card.map_or_else(
                    || format!("<p>{}</p>", instead_of_card(step)),
                    |card| card_html(&card),
                ))
            })
        })
    });
    // What the steps are called and what is open in each, a line each.
    let names = memo(move || {
        let mut names = String::new();
        store.job.with(|job| {
            store.check.with(|check| {
                for step in STEPS {
                    let open = match step.id {
                        // What stood after a trip takes long to work out; what is signed comes last.
                        "after_trip" | "signing" => 0,
                        "missing" => missing_fields(check).len(),
                        id => card_of(id, job, check, store.units.get()).map_or(0, |card| {
                            card.rows.iter().filter(|row| row.is_missing).count()
                        }),
                    };
                    names += tr(step.title);
                    if open > 0 {
                        names += &say!(": {} open", open);
                    }
                    names.push('\n');
                }
            });
        });
        Some(names)
    });
    let name = move |index: usize| {
        names.with(|names| {
            let names = names.as_deref().unwrap_or_default();
            names.lines().nth(index).unwrap_or_default().to_owned()
        })
    };
    let go = move |to: usize| {
        step.set(to);
        request_animation_frame(|| browser::jump_to("[id=\"set-up~step\"]"));
    };
    let places = (0..STEPS.len())
        .map(|index| {
            let current = move || if step.get() == index { "step" } else { "false" };
            view! {
                <button
                    class="button"
                    aria-current=text(move || current().to_owned())
                    on:click=on(move |_| go(index))
                >
                    {text(move || name(index))}
                </button>
            }
        })
        .collect_view();
    let choices = (0..STEPS.len())
        .map(|index| {
            let selected = flag(move || step.get() == index);
            view! {
                <option value=index.to_string() selected=selected>{text(move || name(index))}</option>
            }
        })
        .collect_view();
    let choose = move |event| {
        if let Ok(index) = event_target_value(&event).parse::<usize>() {
            go(index.min(STEPS.len() - 1));
        }
    };
    let outdated = move || {
        store.outcome.with(|outcome| {
            let refused = outcome.as_ref().err()?.0.first()?.to_string();
            let words = say!("Not worked out. {}. The figures are those of before.", refused);
            Some(view! { <p class="outdated" role="alert">{words}</p> }.into_any())
        })
    };
    let has_press = memo(move || store.document.with(|document| document["press"].is_object()));
    view! {
        <div class="panel-head">
            <h2>{tr("Set-up")}</h2>
            {button(tr("Undo"), "", flag(move || !store.can_undo()), on(move |_| store.undo()))}
            {button(tr("Redo"), "", flag(move || !store.can_redo()), on(move |_| store.redo()))}
            {button(tr("Close"), "", flag(|| false), on(move |_| open.set(false)))}
        </div>
        {part(outdated)}
        <label class="choose number">
            <span class="label">{tr("Step")}</span>
            <select prop:value=text(move || step.get().to_string()) on:change=on(choose)>
                {choices}
            </select>
        </label>
        <nav aria-label=tr("Steps")>{places}</nav>
        <section class="step" aria-labelledby="set-up~step">
            <h3 id="set-up~step">{text(move || tr(STEPS[step.get()].title).to_owned())}</h3>
            <div class="card-words" inner_html=text(move || html.get().unwrap_or_default())></div>
            <div class="step-fields">
                {part(move || fields_of_step(store, STEPS[step.get()].id, has_press.get()))}
            </div>
            <div class="controls">
                {button(tr("Step before"), "", flag(move || step.get() == 0), on(move |_| go(step.get_untracked() - 1)))}
                {button(tr("Next step"), "", flag(move || step.get() + 1 == STEPS.len()), on(move |_| go(step.get_untracked() + 1)))}
            </div>
            {print_cards(store)}
        </section>
    }
    .into_any()
}

/// What is entered at a step.
fn fields_of_step(store: Store, step: &'static str, has_press: bool) -> AnyView {
    match step {
        "last_good" => {
            return HISTORY.map(|list| record_list(store, list)).collect_view().into_any();
        }
        "signing" => return set_ups(store),
        "photos" => return photos(store),
        _ => {}
    }
    let mut places: Vec<FieldPlace> =
        STEPS.iter().find(|one| one.id == step).map_or_else(Vec::new, |one| one.fields.to_vec());
    if step == "missing" {
        // As it is now: a field must not go away under the hand that fills it.
        places = store.check.with_untracked(|check| missing_fields(check));
    }
    let all = places.len();
    places.retain(|place| has_press || place.0 != "press");
    let needs_press = (places.len() < all).then(|| {
        view! {
            <p class="about">
                {tr("No press is chosen. What belongs to a press is asked once there is one: its card is on the page.")}
            </p>
        }
    });
    let of_stations = (step == "slugs").then(|| slug_drops(store));
    let fields = places.into_iter().map(field_at).collect_view();
    view! {
        {needs_press}
        <div class="fields">{fields} {of_stations}</div>
    }
    .into_any()
}

/// The free height below each station that drops slugs.
fn slug_drops(store: Store) -> AnyView {
    let stations = store.job.with_untracked(|job| {
        let name = |index: usize| (index, job.stations[index].name.clone());
        stations_with_slugs(job).into_iter().map(name).collect::<Vec<_>>()
    });
    let field = STATION.fields.iter().find(|field| field.key == "slug_drop_mm");
    stations
        .into_iter()
        .map(|(index, name)| {
            let path = Path::root().key("stations").item(index).key("slug_drop_mm");
            let key = format!("{path}#");
            let form = field.map(|field| field_form(field, &path)).into_any();
            group(name, "", key, Fold::Open, Box::new(String::new), form)
        })
        .collect_view()
        .into_any()
}

/// Entries of a list of the record, which is called `key` there.
fn entries(key: &str, one: &'static str, newest: Fold) -> AnyView {
    let field = fields_of("record").iter().find(|field| field.key == key);
    field.map(|field| entries_form(field, &of_record(field.key), one, newest)).into_any()
}

fn of_record(key: &'static str) -> Path {
    Path::root().key("record").key(key)
}

fn record_list(
    store: Store,
    (key, one, add): (&'static str, &'static str, &'static str),
) -> AnyView {
    let begin = move |_| {
        let mut entry = json!({ "date": browser::today() });
        if key == "readings" {
            entry["time"] = browser::time_of_day().into();
        }
        add_entry(store, &of_record(key), entry);
    };
    view! {
        {button(tr(add), "", flag(|| false), on(begin))}
        {entries(key, tr(one), Fold::Folded)}
    }
    .into_any()
}

fn set_ups(store: Store) -> AnyView {
    let begin = move |_| {
        let (day, time) = (browser::today(), browser::time_of_day());
        let entry = store.document.with_untracked(|document| entry_of(document, &day, &time));
        add_entry(store, &of_record("setups"), entry);
    };
    view! {
        {button(tr("Record this set-up"), "", flag(|| false), on(begin))}
        {entries("setups", tr("Set-up"), Fold::Open)}
    }
    .into_any()
}

fn photos(store: Store) -> AnyView {
    let said = RwSignal::new(String::new());
    let chosen = move |event: web_sys::Event| {
        let input =
            event.target().and_then(|target| target.dyn_into::<web_sys::HtmlInputElement>().ok());
        let Some(input) = input else { return };
        let file = input.files().and_then(|files| files.get(0));
        let Some(file) = file else { return };
        let name = file.name();
        keeping::ask("photo", &[file.into()], move |answer| {
            let photos = of_record("photos");
            let count = store.document.with_untracked(|document| {
                photos.get(document).and_then(Value::as_array).map_or(0, Vec::len)
            });
            match answer {
                Err(why) => said.set(why),
                Ok(_) if count >= MOST_PHOTOS => {
                    said.set(say!(
                        "Photos: must be at most {}, given one more: remove one first",
                        MOST_PHOTOS
                    ));
                }
                Ok(url) => {
                    said.set(String::new());
                    let name: String = name.chars().take(200).collect();
                    let entry = json!({
                        "name": name, "kind": "other", "image": pictures::keep(url), "date": browser::today(),
                    });
                    add_entry(store, &photos, entry);
                }
            }
        });
        // So that the same file can be chosen again.
        input.set_value("");
    };
    let source = move |words: &'static str, capture: Option<&'static str>| {
        view! {
            <label class="button file">
                {words}
                <input type="file" accept="image/*" capture=capture on:change=on(chosen) />
            </label>
        }
    };
    view! {
        {source(tr("Take a photo"), Some("environment"))}
        {source(tr("Choose a picture"), None)}
        <p class="error" role="alert" hidden=flag(move || said.with(String::is_empty))>
            {text(move || said.get())}
        </p>
        {entries("photos", tr("Photo"), Fold::Open)}
    }
    .into_any()
}

/// What is printed from here.
#[derive(Clone, Copy)]
enum Paper {
    Die,
    Tag,
    SetUp,
}

/// The cards on paper.
fn print_cards(store: Store) -> AnyView {
    // Beside the printing of the set-up sheet, which fills the page's static part at the same event before.
    let chosen = RwSignal::new(None::<Paper>);
    let fill = move || {
        let Some(paper) = chosen.get_untracked() else { return };
        let units = store.units.get_untracked();
        let html = store.job.with_untracked(|job| match paper {
            Paper::Die => die_card_html(job, units),
            Paper::Tag => die_tag_html(job, units),
            Paper::SetUp => store.check.with_untracked(|check| setup_card_html(job, check, units)),
        });
        browser::set_printed_sheet(&html);
    };
    let hears =
        |event: &str, does: Box<dyn Fn(web_sys::Event)>| window_event_listener_untyped(event, does);
    let before = hears("beforeprint", Box::new(move |_| fill()));
    let after = hears("afterprint", Box::new(move |_| chosen.set(None)));
    on_cleanup(move || {
        before.remove();
        after.remove();
    });
    let way = move |words: &'static str, paper: Paper| {
        let print = move |_| {
            chosen.set(Some(paper));
            fill();
            let _ = window().print();
        };
        button(words, "", flag(|| false), on(print))
    };
    view! {
        <h3>{tr("On paper")}</h3>
        <div class="controls">
            {way(tr("Print the set-up card"), Paper::SetUp)}
            {way(tr("Print the die's card"), Paper::Die)}
            {way(tr("Print a tag, 100 × 70 mm"), Paper::Tag)}
        </div>
    }
    .into_any()
}

#[cfg(test)]
mod tests {
    use super::*;
    use evenstroke_job::Job;

    #[test]
    fn new_die_is_a_job_that_says_what_is_not_measured() {
        let job = Job::read(NEW_DIE).expect("it is read");
        assert!(!job.setup.has_press && job.note.contains("1 mm") && job.note.contains("300 MPa"));
        let check = job.check();
        for step in STEPS {
            // None of its cards needs more than it has.
            let _ = card_of(step.id, &job, &check, evenstroke_job::units::UnitSystem::Metric);
        }
    }

    #[test]
    fn lists_of_the_record_are_those_of_the_file() {
        for (key, ..) in HISTORY {
            assert!(fields_of("record").iter().any(|field| field.key == key), "{key}");
        }
        assert!(fields_of("record").iter().any(|field| field.key == "photos"));
    }
}
