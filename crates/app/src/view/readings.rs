//! What the press says, beside what was predicted: peaks typed off the display, and recordings of a
//! load monitor read beside the page.

use super::{
    advice::{begun, lines, put_edits},
    button,
    going::Going,
    picture::line_picture,
};
use crate::{
    browser,
    erased::{effect, flag, on, part, text},
    keeping::{field, text_of, word},
    readings::typed_of,
    store::{Shared, Store},
};
use evenstroke_chart::{LineChart, LineCurve, Style};
use evenstroke_job::{day::Day, entry, spec::Unit, units::UnitSystem, what_if::Place};
use evenstroke_language::{number, say, tr};
use evenstroke_readings::{
    Shares,
    rows::LARGEST_FILE,
    typed::{keep, points_of},
    wishes,
};
use leptos::{prelude::*, task::spawn_local, web_sys};
use serde_json::{Map, Value, json};
use std::time::Duration;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// How long what was typed has to stand still before it is compared.
const STOOD_STILL: Duration = Duration::from_millis(300);
/// Where it is kept how the last recording was read, for the next of the same monitor.
const KEPT: &str = "evenstroke-readings-1";
/// Where it is said what was done.
const SAID: &str = "readings-said";

/// What is typed and what is open. It stays while something else is looked at.
#[derive(Clone, Copy)]
pub struct ReadingsState {
    points: RwSignal<Vec<String>>,
    reverse: RwSignal<String>,
    day: RwSignal<String>,
    /// What the user says of the file.
    wishes: RwSignal<Map<String, Value>>,
    /// Name and bytes of the recording.
    file: StoredValue<Option<(String, JsValue)>, LocalStorage>,
    compared: [Compared; 2],
    said: RwSignal<String>,
    /// Whether it is shown how the file is read.
    mapping_open: RwSignal<bool>,
    /// What of it was changed last, which is shown anew and takes the focus again.
    touched: StoredValue<Option<&'static str>>,
    round: StoredValue<u32>,
}

/// One of the two comparisons: typed, or recorded.
#[derive(Clone, Copy)]
struct Compared {
    going: Going,
    found: RwSignal<Option<(Shared<Value>, Shared<Value>)>>,
}

impl ReadingsState {
    /// Nothing typed, nothing open.
    pub fn new() -> Self {
        let kept = browser::kept(KEPT).and_then(|text| serde_json::from_str(&text).ok());
        // What was kept may come from another page.
        let kept = kept.filter(|kept| wishes::read(kept).is_ok());
        let kept = kept.and_then(|kept: Value| kept.as_object().cloned());
        let compared = || Compared { going: Going::new(), found: RwSignal::new(None) };
        Self {
            points: RwSignal::new(vec![String::new(); 4]),
            reverse: RwSignal::new(String::new()),
            day: RwSignal::new(browser::today()),
            wishes: RwSignal::new(kept.unwrap_or_default()),
            file: StoredValue::new_local(None),
            compared: [compared(), compared()],
            said: RwSignal::new(String::new()),
            mapping_open: RwSignal::new(false),
            touched: StoredValue::new(None),
            round: StoredValue::new(0),
        }
    }

    /// What was typed as JSON; nothing while a field is empty that has to be there, or is no number.
    fn typed(self, store: Store) -> Result<Option<Value>, String> {
        let units = store.units.get();
        let number = |text: &str| {
            entry::read(text, Unit::Kn, units)
                .map(|e| e.map(|e| e.value))
                .map_err(|e| e.to_string())
        };
        let count = store.job.with(|job| points_of(job)).max(1);
        let mut points = Vec::new();
        for text in self.points.get().iter().take(count) {
            points.extend(number(text)?);
        }
        let reverse = number(&self.reverse.get())?;
        let whole = points.len() == count || points.is_empty();
        let any = !points.is_empty() || reverse.is_some();
        Ok((whole && any).then(|| json!({"points": points, "reverse": reverse})))
    }

    /// Compares anew what is typed (0) or recorded (1).
    fn compare(self, store: Store, which: usize) {
        let document = store.document.get_untracked();
        let Compared { going, found } = self.compared[which];
        let said = match which {
            0 => untrack(|| self.typed(store)).ok().flatten(),
            _ => Some(Value::Object(self.wishes.get_untracked())),
        };
        let bytes = match which {
            0 => Some(JsValue::UNDEFINED),
            _ => self.file.with_value(|file| file.as_ref().map(|file| file.1.clone())),
        };
        let (Some(said), Some(bytes)) = (said, bytes) else {
            found.set(None);
            going.stop("");
            return;
        };
        let input = js_sys::Array::of4(
            &text_of(&document).into(),
            &self.day.get_untracked().into(),
            &said.to_string().into(),
            &bytes,
        );
        let task = ["typed", "recording"][which];
        let done = move |answer| {
            found.set(Some((document, Shared::new(answer))));
            if let Some(id) = self.touched.try_update_value(Option::take).flatten() {
                set_timeout(move || browser::focus(&format!("read-{id}")), Duration::ZERO);
            }
        };
        going.begin(task, &input, Box::new(done));
    }

    /// Compares when everything has stood still.
    fn compare_soon(self, store: Store, which: &'static [usize]) {
        self.round.update_value(|round| *round += 1);
        let mine = self.round.get_value();
        set_timeout(
            move || {
                if self.round.try_get_value() == Some(mine) {
                    which.iter().for_each(|&which| self.compare(store, which));
                }
            },
            STOOD_STILL,
        );
    }

    /// Says something of the file, or no longer says it.
    fn wish(self, store: Store, key: &'static str, value: Value) {
        self.touched.set_value(Some(key));
        self.wishes.update(|wishes| {
            // What was said of the place before says nothing of this one.
            let gone: &[&str] = match key {
                "place" => &["place_column", "place_unit", "bdc"],
                "place_column" | "place_unit" => &["bdc"],
                _ => &[],
            };
            for key in gone {
                wishes.remove(*key);
            }
            if value.is_null() {
                wishes.remove(key);
            } else {
                wishes.insert(key.to_owned(), value);
            }
        });
        // Where BDC is belongs to one recording.
        let mut kept = self.wishes.get_untracked();
        kept.remove("bdc");
        browser::keep(KEPT, &Value::Object(kept).to_string());
        self.compare_soon(store, &[1]);
    }

    fn read_file(self, store: Store, file: web_sys::File) {
        let (name, going) = (file.name(), self.compared[1].going);
        if file.size() > LARGEST_FILE as f64 {
            let size = file.size() / 1e6;
            going.say(say!("{} must be at most 200 MB, given {} MB.", name, number(size, 0)));
            return;
        }
        self.wishes.update(|wishes| {
            wishes.remove("bdc");
        });
        spawn_local(async move {
            match JsFuture::from(file.array_buffer()).await {
                Ok(buffer) => {
                    self.file.set_value(Some((name, buffer)));
                    self.compare(store, 1);
                }
                Err(_) => going.say(say!("The browser could not read {}.", name)),
            }
        });
    }

    /// Makes edits, and says so.
    fn make(self, store: Store, words: &str, edits: &Value) {
        let done = put_edits(store, words, edits);
        self.said.set(match done {
            true => say!("Done: {}. Undo takes it back.", words),
            false => say!("This could not be done: {}.", words),
        });
        browser::focus(SAID);
    }

    fn keep_reading(self, store: Store) {
        let (typed, day) = (untrack(|| self.typed(store)), Day::read(&self.day.get_untracked()));
        let (Ok(Some(typed)), Some(day)) = (typed, day) else {
            self.said.set(
                tr("Type the peaks or the reverse load, and the day as 2026-03-31.").to_owned(),
            );
            return;
        };
        let document = store.document.get_untracked();
        let edit = store.job.with_untracked(|job| keep(&document, job, &typed_of(&typed), day));
        let edits = json!([{"path": edit.path, "value": edit.value}]);
        self.make(store, &say!("reading of {} kept in the record", day), &edits);
    }
}

/// What the press says.
#[component]
pub fn Readings(
    /// What is typed and open.
    state: ReadingsState,
    /// Colours of the chart.
    style: Memo<Style>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    effect(move || {
        store.document.track();
        state.points.track();
        state.reverse.track();
        state.day.track();
        state.compare_soon(store, &[0, 1]);
    });
    let fields = move || {
        let count = store.job.with(|job| points_of(job));
        let places: &[Place] = match count {
            2 => Shares::Two(1.0).places(),
            4 => Shares::Four(1.0, 1.0).places(),
            _ => &[Place::Total],
        };
        let unit = store.units.get().symbol(Unit::Kn);
        let field = |(index, place): (usize, &Place)| {
            let label = match place {
                Place::Total => say!("Peak, {}", unit),
                place => say!("Peak {}, {}", place.label(), unit),
            };
            typed_field(
                label,
                text(move || {
                    state.points.with(|points| points.get(index).cloned().unwrap_or_default())
                }),
                Box::new(move |typed| {
                    state.points.update(|points| {
                        if let Some(point) = points.get_mut(index) {
                            *point = typed;
                        }
                    });
                }),
            )
        };
        let mut fields: Vec<AnyView> = places.iter().enumerate().map(field).collect();
        fields.push(typed_field(
            say!("Reverse load, {}", unit),
            text(move || state.reverse.get()),
            Box::new(move |typed| state.reverse.set(typed)),
        ));
        fields.push(typed_field(
            tr("Day").to_owned(),
            text(move || state.day.get()),
            Box::new(move |typed| state.day.set(typed)),
        ));
        fields
    };
    let wrong = move || match state.typed(store) {
        Err(wrong) => say!("A reading {}.", wrong),
        Ok(_) if Day::read(&state.day.get()).is_none() => {
            tr("The day must be one such as 2026-03-31.").to_owned()
        }
        Ok(_) => String::new(),
    };
    let choose = on(move |event: web_sys::Event| {
        let input = event.target().and_then(|t| t.dyn_into::<web_sys::HtmlInputElement>().ok());
        let Some(input) = input else { return };
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            state.read_file(store, file);
        }
        input.set_value("");
    });
    let drop = on(move |event: web_sys::DragEvent| {
        let files = event.data_transfer().and_then(|data| data.files());
        if let Some(file) = files.and_then(|files| files.get(0)) {
            event.prevent_default();
            // The page itself would take it for a job.
            event.stop_propagation();
            state.read_file(store, file);
        }
    });
    let found = move |which: usize| state.compared[which].found.get();
    let typed = move || found(0).map(|(_, answer)| typed_view(state, store, &answer));
    let recorded = move || found(1).map(|(_, answer)| recorded_view(state, store, &answer));
    let chart = move || {
        found(1)
            .map_or_else(LineChart::default, |(_, answer)| curve_chart(&answer, store.units.get()))
    };
    let picture = part(move || {
        let has_curve = found(1).is_some_and(|(_, answer)| answer["curve"].is_array());
        has_curve.then(|| line_picture(style, chart))
    });
    view! {
        <div class="scroll readings" tabindex="0" role="region" aria-label=tr("Readings") on:drop=drop>
            <p class="notes" id=SAID tabindex="-1" role="status">{text(move || state.said.get())}</p>
            <h3>{tr("Off the display")}</h3>
            <div class="read-fields">{part(fields)}</div>
            <p class="notes" role="alert">{text(wrong)}</p>
            {button(tr("Keep in the record"), "", flag(|| false), on(move |_| state.keep_reading(store)))}
            {state.compared[0].going.view()}
            {part(typed)}
            <h3>{tr("A recording")}</h3>
            <p class="notes">
                {tr("Force over time, crank angle or slide height, as text with any delimiter. It stays in this browser.")}
            </p>
            <label class="button read-file">
                <span>{tr("Choose a recording")}</span>
                <input type="file" accept=".csv,.tsv,.txt,.asc,.dat,text/*" on:change=choose />
            </label>
            {state.compared[1].going.view()}
            {picture}
            {part(recorded)}
        </div>
    }
}

/// A field with its words over it.
fn typed_field(label: String, value: Signal<String>, typed: Box<dyn Fn(String)>) -> AnyView {
    view! {
        <label class="read-field">
            <span>{label}</span>
            <input
                type="text"
                autocomplete="off"
                prop:value=value
                on:input=on(move |event| typed(event_target_value(&event)))
            />
        </label>
    }
    .into_any()
}

fn head_cell(words: &'static str) -> AnyView {
    if words.is_empty() {
        return view! { <td></td> }.into_any();
    }
    view! { <th scope="col">{words}</th> }.into_any()
}

/// Rows of a table, the first cell of each its head.
fn table(head: &[&'static str], rows: Vec<Vec<String>>) -> AnyView {
    let heads: Vec<AnyView> = head.iter().map(|&words| head_cell(words)).collect();
    let row = |row: Vec<String>| {
        let mut cells = row.into_iter();
        let first = cells.next().unwrap_or_default();
        let cells: Vec<AnyView> = cells.map(|cell| view! { <td>{cell}</td> }.into_any()).collect();
        view! { <tr><th scope="row">{first}</th>{cells}</tr> }.into_any()
    };
    let rows: Vec<AnyView> = rows.into_iter().map(row).collect();
    view! {
        <table class="cases">
            <thead><tr>{heads}</tr></thead>
            <tbody>{rows}</tbody>
        </table>
    }
    .into_any()
}

fn items(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn shown(units: UnitSystem, value: &Value, unit: Unit) -> String {
    value.as_f64().map_or_else(|| "–".to_owned(), |number| units.show(number, unit))
}

fn ratio(value: &Value) -> String {
    value.as_f64().map_or_else(String::new, |ratio| format!("× {ratio:.2}"))
}

/// The corrections, each with a button.
fn corrections(state: ReadingsState, store: Store, found: &Value) -> AnyView {
    let offer = |row: &Value| {
        let (words, edits) = (word(row, "words"), row["edits"].clone());
        let by = row["plus_minus"].as_f64().map_or_else(String::new, |by| format!(" ± {by:.2}"));
        let (name, done) = (say!("Apply: {}", words), words.clone());
        let make = on(move |_| state.make(store, &done, &edits));
        view! {
            <article class="offer" aria-label=begun(&words)>
                <div class="offer-head">
                    <h4>{begun(&words) + &by}</h4>
                    {button(tr("Apply"), &name, flag(|| false), make)}
                </div>
                <p class="notes">{begun(&word(row, "reason")) + tr(". A remark in the record says so.")}</p>
            </article>
        }
        .into_any()
    };
    let offers: Vec<AnyView> = items(&found["proposals"]).iter().map(offer).collect();
    view! {
        <h4>{tr("Corrections")}</h4>
        {offers}
        {lines("notes", &found["notes"])}
    }
    .into_any()
}

fn typed_view(state: ReadingsState, store: Store, found: &Value) -> AnyView {
    let units = store.units.get();
    let kn = |value: &Value| shown(units, value, Unit::Kn);
    let row = |label: String, row: &Value| {
        vec![
            begun(&label),
            kn(&row["predicted_kn"]),
            kn(&row["upper_kn"]),
            kn(&row["read_kn"]),
            ratio(&row["ratio"]),
        ]
    };
    let mut rows: Vec<Vec<String>> =
        items(&found["points"]).iter().map(|point| row(word(point, "label"), point)).collect();
    let reverse = &found["reverse"];
    if reverse.is_object() {
        rows.push(row(tr("reverse load, an estimate").to_owned(), reverse));
    }
    for (key, label) in
        [("x_mm", tr("load centre, to the right")), ("y_mm", tr("load centre, to the back"))]
    {
        let centre = &found["centre"];
        if centre["read"][key].is_number() {
            let mm = |of: &str| shown(units, &centre[of][key], Unit::Mm);
            rows.push(vec![
                begun(label),
                mm("predicted"),
                String::new(),
                mm("read"),
                String::new(),
            ]);
        }
    }
    let likely = items(&found["likely"]).iter().map(|row| {
        let alike =
            if row["cannot_tell"] == true { tr("cannot be told from the first") } else { "" };
        let off = row["off"].as_f64().unwrap_or_default();
        vec![word(row, "label"), format!("{off:.1}"), alike.to_owned()]
    });
    let likely = likely.collect();
    let stop = found["stop_kn"].is_number().then(|| {
        view! { <p class="notes">{say!("Stop when the reverse load passes {}.", kn(&found["stop_kn"]))}</p> }
    });
    let trends: Vec<Value> =
        items(&found["trends"]).iter().map(|trend| trend["words"].clone()).collect();
    view! {
        {table(&["", tr("Predicted"), tr("Bound"), tr("Read"), tr("Ratio")], rows)}
        {stop}
        {lines("notes", &found["told"])}
        {lines("notes", &Value::Array(trends))}
        <h4>{tr("What it looks like")}</h4>
        {table(&[tr("Case"), tr("Off"), ""], likely)}
        <p class="notes">{tr("Off is in units of what a display is good for: a twentieth of what it shows.")}</p>
        {corrections(state, store, &found["corrections"])}
    }
    .into_any()
}

/// A choice with its words before it; what is chosen is the value of an option.
fn choice(
    id: &'static str,
    label: &'static str,
    options: Vec<(String, String)>,
    now: String,
    choose: Box<dyn Fn(String)>,
) -> AnyView {
    let option = |(value, words): (String, String)| {
        let selected = value == now;
        view! { <option value=value prop:selected=selected>{words}</option> }.into_any()
    };
    let options: Vec<AnyView> = options.into_iter().map(option).collect();
    view! {
        <label class="read-field">
            <span>{label}</span>
            <select class="button" id=format!("read-{id}") on:change=on(move |event| choose(event_target_value(&event)))>
                {options}
            </select>
        </label>
    }
    .into_any()
}

/// How the file is read, to be changed.
fn mapping_view(state: ReadingsState, store: Store, mapping: &Value) -> AnyView {
    let wished = move |key: &'static str| {
        Box::new(move |chosen: String| {
            let number = chosen.parse::<u64>().map(Value::from);
            let value =
                if chosen.is_empty() { Value::Null } else { number.unwrap_or(chosen.into()) };
            state.wish(store, key, value);
        }) as Box<dyn Fn(String)>
    };
    let columns: Vec<(String, String)> = items(&mapping["columns"])
        .iter()
        .enumerate()
        .map(|(index, column)| {
            let (name, unit) = (word(column, "name"), word(column, "unit"));
            let first = column["cells"][0].as_str().unwrap_or_default();
            (index.to_string(), format!("{}. {name} {unit} ({first} …)", index + 1))
        })
        .collect();
    let said = |key: &str, column: &'static str| {
        let said = state.wishes.with_untracked(|wishes| wishes.get(key).cloned());
        let said = said.and_then(|said| said.as_str().map(str::to_owned));
        said.unwrap_or_else(|| column.to_owned())
    };
    let pairs = |pairs: &[(&str, &str)]| -> Vec<(String, String)> {
        pairs.iter().map(|pair| (pair.0.to_owned(), pair.1.to_owned())).collect()
    };
    let forces: Vec<u64> =
        items(&mapping["force_columns"]).iter().filter_map(Value::as_u64).collect();
    let places = pairs(&[
        ("time", tr("time")),
        ("angle", tr("crank angle")),
        ("height", tr("slide height")),
        ("count", tr("even samples")),
    ]);
    let place = word(mapping, "place");
    let place_units = match place.as_str() {
        "time" => pairs(&[("s", "s"), ("ms", "ms")]),
        "angle" => pairs(&[("deg", "degrees"), ("rad", "radians")]),
        _ => pairs(&[("mm", "mm"), ("in", "in")]),
    };
    let counts = pairs(&[("1", "one"), ("2", "two"), ("4", "four")]);
    let all = forces.clone();
    let many = columns.len() as u64;
    let force_count = Box::new(move |chosen: String| {
        let count = chosen.parse::<usize>().unwrap_or(1);
        let mut columns = all.clone();
        columns.truncate(count);
        let free: Vec<u64> = (0..many).filter(|column| !columns.contains(column)).collect();
        // The last columns are forces more often than the first.
        let lacking = count - columns.len();
        columns.extend(free.into_iter().rev().take(lacking).rev());
        state.wish(store, "force_columns", columns.into());
    });
    let mut fields = vec![
        choice(
            "delimiter",
            tr("Columns parted by"),
            pairs(&[
                ("", tr("as found")),
                ("tab", "tabs"),
                (";", "semicolons"),
                (",", "commas"),
                ("space", "spaces"),
            ]),
            said("delimiter", ""),
            wished("delimiter"),
        ),
        choice(
            "decimal",
            tr("Decimal mark"),
            pairs(&[("", tr("as found")), ("point", "point"), ("comma", "comma")]),
            said("decimal", ""),
            wished("decimal"),
        ),
        choice("place", tr("Slide told by"), places, place.clone(), wished("place")),
    ];
    if place == "count" {
        let rate = state.wishes.with_untracked(|wishes| wishes.get("samples_per_second").cloned());
        let rate = rate.map_or_else(String::new, |rate| rate.to_string());
        fields.push(typed_field(
            tr("Samples a second").to_owned(),
            text(move || rate.clone()),
            Box::new(move |typed| {
                let rate = entry::read_number(&typed).ok().flatten().filter(|rate| *rate > 0.0);
                state.wish(store, "samples_per_second", rate.map_or(Value::Null, Value::from));
            }),
        ));
    } else {
        let now = mapping["place_column"].to_string();
        fields.push(choice(
            "place_column",
            tr("in column"),
            columns.clone(),
            now,
            wished("place_column"),
        ));
        fields.push(choice(
            "place_unit",
            tr("in unit"),
            place_units,
            word(mapping, "place_unit"),
            wished("place_unit"),
        ));
    }
    fields.push(choice(
        "force_columns",
        tr("Columns of force"),
        counts,
        forces.len().to_string(),
        force_count,
    ));
    for (nth, &column) in forces.iter().enumerate() {
        let all = forces.clone();
        let changed = Box::new(move |chosen: String| {
            let mut columns = all.clone();
            columns[nth] = chosen.parse().unwrap_or(column);
            state.wish(store, "force_columns", columns.into());
        });
        let id = ["force-1", "force-2", "force-3", "force-4"][nth.min(3)];
        let label = match (forces.len(), nth) {
            (1, _) => tr("Force in"),
            (2, 0) => tr("Left in"),
            (2, _) => tr("Right in"),
            (_, 0) => tr("Front left in"),
            (_, 1) => tr("Front right in"),
            (_, 2) => tr("Back left in"),
            _ => tr("Back right in"),
        };
        fields.push(choice(id, label, columns.clone(), column.to_string(), changed));
    }
    let unit = word(mapping, "force_unit");
    let mut force_units = pairs(&[
        ("kN", "kN"),
        ("N", "N"),
        (tr("US ton"), tr("US ton-force (2000 lb)")),
        ("tonne-force", tr("tonne-force (1000 kg)")),
        ("lbf", "lbf"),
    ]);
    if force_units.iter().all(|row| row.0 != unit) {
        force_units.insert(0, (unit.clone(), say!("{}, as in the file", unit)));
    }
    fields.push(choice("force_unit", tr("Force in unit"), force_units, unit, wished("force_unit")));
    view! {
        <details
            class="read-mapping"
            prop:open=state.mapping_open.get_untracked()
            on:toggle=on(move |event: web_sys::Event| {
                let open = event.target().map(|target| field(&target, "open"));
                state.mapping_open.set(open.and_then(|open| open.as_bool()).unwrap_or(false));
            })
        >
            <summary>{tr("How the file is read")}</summary>
            <div class="read-fields">{fields}</div>
        </details>
    }
    .into_any()
}

fn recorded_view(state: ReadingsState, store: Store, found: &Value) -> AnyView {
    let units = store.units.get();
    let mapping = &found["mapping"];
    let name =
        state.file.with_value(|file| file.as_ref().map_or_else(String::new, |file| file.0.clone()));
    let told = lines("notes", &json!([format!("{name}: {}", word(mapping, "words"))]));
    if let Some(problem) = found["problem"].as_str() {
        return view! {
            <p role="alert" class="read-problem">{say!("{} could not be compared: {}.", name, problem)}</p>
            {mapping_view(state, store, mapping)}
            {told}
        }
        .into_any();
    }
    let row = |row: &Value| {
        let unit = match row["unit"].as_str() {
            Some("kN") => Unit::Kn,
            Some("kJ") => Unit::Kj,
            _ => Unit::Mm,
        };
        let show = |value: &Value| shown(units, value, unit);
        let read = &row["read"];
        let spread = if read.is_object() {
            format!("{} … {}", show(&read["low"]), show(&read["high"]))
        } else {
            String::new()
        };
        vec![
            word(row, "label"),
            show(&row["predicted"]),
            show(&row["upper"]),
            show(&read["mean"]),
            spread,
            ratio(&row["ratio"]),
        ]
    };
    let rows = items(&found["quantities"]).iter().map(row).collect();
    let off = found["stations"]["off"].as_u64();
    let station = |(index, row): (usize, &Value)| {
        let names: Vec<&str> = items(&row["stations"]).iter().filter_map(Value::as_str).collect();
        let mut notes = Vec::new();
        if off == Some(index as u64) {
            notes.push(tr("likely off"));
        }
        if row["separable"] == false {
            notes.push(tr("not told apart: they rise and fall together"));
        }
        if row["at_bound"] == true {
            notes.push(tr("at the end of what is looked for"));
        }
        let number = |key: &str| row[key].as_f64().unwrap_or_default();
        vec![
            names.join(" and "),
            format!("× {:.2} ± {:.2}", number("factor"), number("plus_minus")),
            notes.join(", "),
        ]
    };
    let stations: Vec<Vec<String>> =
        items(&found["stations"]["factors"]).iter().enumerate().map(station).collect();
    let count = |key: &str| found[key].as_u64().unwrap_or_default();
    let head = say!(
        "{} samples, {} strokes compared, {} left out.",
        count("samples"),
        count("strokes"),
        count("left_out")
    );
    let bdc = found["bdc"].as_f64().unwrap_or_default();
    let (unit, reach) = match (mapping["place"].as_str(), mapping["place_unit"].as_str()) {
        (Some("angle"), unit) => {
            (unit.unwrap_or_default(), if unit == Some("rad") { 0.1 } else { 6.0 })
        }
        (Some("height"), unit) => {
            (unit.unwrap_or_default(), if unit == Some("in") { 0.1 } else { 2.0 })
        }
        (_, Some("ms")) => ("ms", 20.0),
        _ => ("s", 0.02),
    };
    let moved = on(move |event| {
        if let Ok(bdc) = event_target_value(&event).parse::<f64>() {
            state.wish(store, "bdc", bdc.into());
        }
    });
    let again = (found["bdc_found"] == false).then(|| {
        button(
            tr("Find BDC again"),
            "",
            flag(|| false),
            on(move |_| state.wish(store, "bdc", Value::Null)),
        )
    });
    let is_found = if again.is_some() { "" } else { tr(", found") };
    view! {
        <p class="notes">{head}</p>
        <label class="read-offset">
            <span>{say!("BDC at {} {}{}", number(bdc, 3), unit, is_found)}</span>
            <input
                type="range"
                id="read-bdc"
                min=(bdc - reach).to_string()
                max=(bdc + reach).to_string()
                step=(reach / 200.0).to_string()
                prop:value=bdc.to_string()
                on:change=moved
            />
        </label>
        {again}
        {mapping_view(state, store, mapping)}
        {table(&["", tr("Predicted"), tr("Bound"), tr("Read"), tr("Lowest … highest"), tr("Ratio")], rows)}
        <h4>{tr("Stations")}</h4>
        {table(&[tr("Station"), tr("Read over predicted"), ""], stations)}
        {corrections(state, store, &found["corrections"])}
        {told}
        {lines("notes", &found["told"])}
    }
    .into_any()
}

/// Prediction and reading over slide height.
fn curve_chart(found: &Value, units: UnitSystem) -> LineChart {
    let steps = items(&found["curve"]);
    let curve = |name: &str, key: &str, dashed: bool| {
        let point = |step: &Value| {
            let (height, force) = (step["height_mm"].as_f64()?, step[key].as_f64()?);
            Some((units.to_screen(height, Unit::Mm), units.to_screen(force, Unit::Kn)))
        };
        LineCurve {
            name: name.to_owned(),
            points: steps.iter().filter_map(point).collect(),
            dashed,
            read: matches!(key, "mean_kn" | "high_kn"),
        }
    };
    let mut curves =
        vec![curve("predicted", "predicted_kn", false), curve("read", "mean_kn", false)];
    curves.push(curve("bound", "upper_kn", true));
    if found["strokes"] != 1 {
        curves.push(curve(tr("read, highest"), "high_kn", true));
    }
    let off = found["misfit"].as_f64().unwrap_or_default();
    LineChart {
        summary: say!(
            "Force over slide height, predicted and read: {} % of the peak between them",
            number(100.0 * off, 1)
        ),
        across: say!("slide height above BDC, {}", units.symbol(Unit::Mm)),
        falls: true,
        up_unit: units.symbol(Unit::Kn).to_owned(),
        curves,
        ..LineChart::default()
    }
}
