//! Outlines from a drawing: which lines cut at which station.

mod picture;

use super::dialog::Dialog;
use crate::{
    beside,
    erased::{flag, memo, on, part, text},
    form::Asked,
    store::{Shared, Store},
};
use evenstroke_drawing::{Drawing, LengthUnit, Outline, Point};
use evenstroke_job::spec::{CUT_KINDS, Unit};
use evenstroke_language::{number, retell, say, tr};
use leptos::{prelude::*, task::spawn_local, web_sys};
use serde_json::{Map, Value};
use std::collections::HashMap;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// Outlines that are listed one by one; of a larger drawing the layers are.
const MOST_LISTED: usize = 200;
/// Height above BDC at which a new cut first touches, until its own is typed.
const FIRST_ENTRY_MM: f64 = 4.0;
/// The kind of cut that is offered first.
const FIRST_KIND: &str = "pierce";

/// A drawing that was read.
struct Loaded {
    name: String,
    drawing: Drawing,
}

/// The drawing that is open, and what of it is chosen.
#[derive(Clone, Copy)]
pub struct DrawingState {
    /// Whether the dialog is shown.
    pub open: RwSignal<bool>,
    loaded: RwSignal<Option<Shared<Loaded>>>,
    chosen: RwSignal<Vec<bool>>,
    /// What went wrong, or what was done.
    said: RwSignal<String>,
    /// The drawing being read beside the page.
    reading: StoredValue<Option<beside::Task>, LocalStorage>,
    /// The file of the drawing that is shown, an array buffer, for reading it in another unit.
    file: StoredValue<JsValue, LocalStorage>,
}

impl DrawingState {
    /// Nothing open.
    pub fn new() -> Self {
        Self {
            open: RwSignal::new(false),
            loaded: RwSignal::new(None),
            chosen: RwSignal::new(Vec::new()),
            said: RwSignal::new(String::new()),
            reading: StoredValue::new_local(None),
            file: StoredValue::new_local(JsValue::UNDEFINED),
        }
    }

    /// Reads a drawing that was chosen or dropped, and shows it.
    pub fn read_file(self, file: web_sys::File) {
        let name = file.name();
        self.open.set(true);
        if file.size() > evenstroke_drawing::LARGEST_FILE as f64 {
            let size = file.size() / (1024.0 * 1024.0);
            self.said.set(say!("{} must be at most 64 MB, given {} MB.", name, number(size, 0)));
            return;
        }
        self.said.set(say!("Reading {} …", name));
        spawn_local(async move {
            match JsFuture::from(file.array_buffer()).await {
                Ok(buffer) => self.read(name, buffer, None),
                Err(_) => self.said.set(say!("The browser could not read {}.", name)),
            }
        });
    }

    /// Reads beside the page; of several drawings the one asked for last is shown.
    fn read(self, name: String, bytes: JsValue, unit: Option<LengthUnit>) {
        let kept = bytes.clone();
        let task = beside::read_drawing(
            &bytes,
            unit,
            Box::new(move |found| match found {
                Ok(drawing) => {
                    self.chosen.set(vec![false; drawing.outlines.len()]);
                    self.said.set(found_words(&name, &drawing));
                    self.file.set_value(kept);
                    self.loaded.set(Some(Shared::new(Loaded { name, drawing })));
                }
                // What was open stays.
                Err(refusal) => self.said.set(say!("{} was not opened: {}.", name, refusal)),
            }),
        );
        // The one before ends with that.
        self.reading.set_value(Some(task));
    }

    /// Whether an outline is chosen; none is that another drawing does not have.
    fn is_chosen(self, index: usize) -> bool {
        self.chosen.with(|chosen| chosen.get(index) == Some(&true))
    }

    fn choose(self, indices: &[usize], to: bool) {
        self.chosen.update(|chosen| {
            for &index in indices {
                if let Some(chosen) = chosen.get_mut(index) {
                    *chosen = to;
                }
            }
        });
    }

    fn toggle(self, index: usize) {
        let is_chosen = untrack(move || self.is_chosen(index));
        self.choose(&[index], !is_chosen);
    }
}

fn found_words(name: &str, drawing: &Drawing) -> String {
    let closed = drawing.outlines.iter().filter(|outline| outline.closed).count();
    let mut words = say!(
        "{}: {} closed and {} open outlines, read in {}.",
        name,
        closed,
        drawing.outlines.len() - closed,
        drawing.unit.symbol()
    );
    if drawing.deviation_mm > 0.0 {
        words += &say!(
            " Curves are arcs and lines within {} mm of the drawing.",
            number(drawing.deviation_mm, 4)
        );
    }
    words
}

/// The dialog of the drawing.
#[component]
pub fn DrawingDialog() -> impl IntoView {
    let state = expect_context::<DrawingState>();
    view! {
        <Dialog open=state.open label=tr("Outlines from a drawing") class="drawing">
            <Body />
        </Dialog>
    }
}

#[component]
fn Body() -> impl IntoView {
    let state = expect_context::<DrawingState>();
    let choose_file = move |event: web_sys::Event| {
        let input =
            event.target().and_then(|target| target.dyn_into::<web_sys::HtmlInputElement>().ok());
        let Some(input) = input else { return };
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            state.read_file(file);
        }
        input.set_value("");
    };
    view! {
        <div class="panel-head">
            <h2>{tr("Outlines from a drawing")}</h2>
            <button class="button" on:click=on(move |_| state.open.set(false))>{tr("Close")}</button>
        </div>
        <label class="button file">
            {tr("Open a DXF or SVG file")}
            <input type="file" accept=".dxf,.svg,image/svg+xml" on:change=on(choose_file) />
        </label>
        <p role="status">{text(move || state.said.get())}</p>
        {part(move || state.loaded.get().map(|loaded| found(state, &loaded)))}
    }
}

/// Picture, lists and what to do with the chosen outlines.
fn found(state: DrawingState, loaded: &Shared<Loaded>) -> AnyView {
    let drawing = &loaded.drawing;
    let unit = drawing.unit;
    let name = loaded.name.clone();
    let choose_unit = move |event| {
        if let Some(unit) = LengthUnit::from_symbol(&event_target_value(&event)) {
            state.read(name.clone(), state.file.get_value(), Some(unit));
        }
    };
    let units = LengthUnit::ALL.into_iter().map(|other| {
        view! { <option value=other.symbol() selected=other == unit>{other.symbol()}</option> }
    });
    let mut remarks: Vec<String> = Vec::new();
    if drawing.unit_assumed {
        remarks.push(
            tr("The file does not say its unit; millimetres are taken. Check a length below.")
                .to_owned(),
        );
    }
    if !drawing.gaps.is_empty() {
        let gap = &drawing.gaps[0];
        remarks.push(say!("Open ends near each other that are not joined: {} (rings in the picture), the first at {}, {} mm, {} mm apart.", drawing.gaps.len(), number(gap.from.x, 2), number(gap.from.y, 2), number(gap.distance_mm, 3)));
    }
    let skipped = drawing.skipped.iter();
    remarks.extend(skipped.map(|row| {
        say!("Passed over: {} × {}, {}.", row.count, row.what, retell(&row.why.to_string()))
    }));
    remarks.extend(drawing.notes.iter().map(|note| format!("{note}.")));
    view! {
        <label class="show">
            <span>{tr("Unit of the drawing ")}</span>
            <select class="button" on:change=on(choose_unit)>{units.collect_view()}</select>
        </label>
        <ul class="notes">
            {remarks.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}
        </ul>
        {(!drawing.outlines.is_empty()).then(|| view! { <picture::Picture /> })}
        <Layers />
        <Assign />
    }
    .into_any()
}

/// Layers, and outlines where there are not too many, to be chosen by name.
#[component]
fn Layers() -> impl IntoView {
    let state = expect_context::<DrawingState>();
    let units = expect_context::<Store>().units;
    let rows = move || {
        let Some(loaded) = state.loaded.get() else { return Vec::new() };
        let drawing = &loaded.drawing;
        let mut on_layer: HashMap<&str, Vec<usize>> = HashMap::new();
        for (index, outline) in drawing.outlines.iter().enumerate() {
            on_layer.entry(&outline.layer).or_default().push(index);
        }
        let mut rows = Vec::new();
        for layer in &drawing.layers {
            let Some(of) = on_layer.get(layer.as_str()) else { continue };
            let count = of.len();
            let (of, all) = (of.clone(), of.clone());
            let is_chosen = flag(move || of.iter().all(|&index| state.is_chosen(index)));
            let choose = move |_| {
                let to = !all.iter().all(|&index| untrack(|| state.is_chosen(index)));
                state.choose(&all, to);
            };
            let label = match count {
                1 => say!("Layer {}, one outline", layer),
                _ => say!("Layer {}, {} outlines", layer, count),
            };
            rows.push(tick(is_chosen, Box::new(choose), label, "layer"));
            if drawing.outlines.len() > MOST_LISTED {
                continue;
            }
            for &index in &on_layer[layer.as_str()] {
                let outline = &drawing.outlines[index];
                let is_chosen = flag(move || state.is_chosen(index));
                let length = units.get().show(outline.length_mm, Unit::Mm);
                let label = say!(
                    "{}, {} long, about {}, {} mm",
                    if outline.closed { tr("closed") } else { tr("open") },
                    length,
                    number(outline.centroid.x, 1),
                    number(outline.centroid.y, 1)
                );
                rows.push(tick(is_chosen, Box::new(move |_| state.toggle(index)), label, ""));
            }
        }
        rows
    };
    view! { <ul class="ticks">{part(move || rows().into_iter().collect_view())}</ul> }
}

fn tick(
    is_chosen: Signal<bool>,
    choose: Box<dyn FnMut(web_sys::Event)>,
    label: String,
    class: &'static str,
) -> AnyView {
    view! {
        <li class=class>
            <label>
                <input type="checkbox" prop:checked=is_chosen on:change=choose />
                {label}
            </label>
        </li>
    }
    .into_any()
}

/// Where the drawing's origin comes to lie.
const AT_DIE: &str = "die";
const AT_STATION: &str = "station";

/// What becomes of the chosen outlines.
#[component]
fn Assign() -> impl IntoView {
    let (state, store) = (expect_context::<DrawingState>(), expect_context::<Store>());
    let station = RwSignal::new(0_usize);
    let kind = RwSignal::new(FIRST_KIND);
    let place = RwSignal::new(AT_DIE);
    // What was typed, and what it means, or why it means nothing.
    let most = |store: Store| store.job.with(|job| job.press.drive.stroke().millimetres());
    let entry = Asked::new(tr("First touch above BDC"), Unit::Mm, (0.0, most), FIRST_ENTRY_MM);
    let count = memo(move || state.chosen.with(|chosen| chosen.iter().filter(|&&c| c).count()));
    let names = move || {
        store.document.with(|document| {
            let stations = document["stations"].as_array().map_or(&[][..], Vec::as_slice);
            stations
                .iter()
                .enumerate()
                .map(|(index, station)| {
                    let name = station["name"].as_str().unwrap_or("station").to_owned();
                    view! {
                        <option value=index.to_string()>{format!("{}. {name}", index + 1)}</option>
                    }
                })
                .collect_view()
        })
    };
    let kinds = CUT_KINDS.iter().map(|&(key, label)| {
        view! { <option value=key selected=key == FIRST_KIND>{label}</option> }
    });
    let choose_kind = move |event| {
        let key = event_target_value(&event);
        kind.set(
            CUT_KINDS.iter().map(|kind| kind.0).find(|&other| other == key).unwrap_or(FIRST_KIND),
        );
    };
    let add = move |_| {
        let Some(loaded) = state.loaded.get_untracked() else { return };
        let chosen = state.chosen.get_untracked();
        let outlines: Vec<&Outline> = loaded
            .drawing
            .outlines
            .iter()
            .zip(&chosen)
            .filter_map(|(outline, &is_chosen)| is_chosen.then_some(outline))
            .collect();
        let index = station.get_untracked();
        let at_die = place.get_untracked() == AT_DIE;
        let (key, Ok(entry)) = (kind.get_untracked(), untrack(move || entry.value())) else {
            return;
        };
        let mut failed = None;
        store.edit("outlines from a drawing", |document| {
            let station = &mut document["stations"][index];
            let origin = if at_die {
                let at = |key: &str| station[key].as_f64().unwrap_or(0.0);
                Point { x: at("x_mm"), y: at("y_mm") }
            } else {
                middle(&outlines)
            };
            let Some(work) = station["work"].as_array_mut() else { return };
            for outline in &outlines {
                match cut(outline, origin, key, entry) {
                    Ok(cut) => work.push(cut),
                    Err(why) => failed = Some(why),
                }
            }
        });
        let added = outlines.len();
        state.said.set(failed.map_or_else(
            || match added {
                1 => tr("One cut added; Undo takes it back.").to_owned(),
                _ => say!("{} cuts added; Undo takes them back.", added),
            },
            |why| say!("Not all were added: {}.", why),
        ));
        state.chosen.update(|chosen| chosen.fill(false));
    };
    view! {
        <div class="fields assign">
            <label class="field">
                <span class="label">{tr("Cut at")}</span>
                <select
                    class="button"
                    on:change=on(move |event| station.set(event_target_value(&event).parse().unwrap_or(0)))
                >
                    {part(names)}
                </select>
            </label>
            <label class="field">
                <span class="label">{tr("Kind of cut")}</span>
                <select class="button" on:change=on(choose_kind)>{kinds.collect_view()}</select>
            </label>
            <label class="field">
                <span class="label">{tr("The drawing's origin is")}</span>
                <select
                    class="button"
                    on:change=on(move |event| {
                        place.set(if event_target_value(&event) == AT_STATION { AT_STATION } else { AT_DIE });
                    })
                >
                    <option value=AT_DIE>{tr("the die centre")}</option>
                    <option value=AT_STATION>{tr("left out: the middle of the chosen lies on the station point")}</option>
                </select>
            </label>
            {entry.view()}
        </div>
        <button class="button" disabled=flag(move || count.get() == 0 || entry.value().is_err()) on:click=on(add)>
            {text(move || match count.get() {
                0 => tr("Choose outlines first").to_owned(),
                1 => tr("Add one cut").to_owned(),
                count => say!("Add {} cuts", count),
            })}
        </button>
    }
}

/// The middle of the frame around outlines.
fn middle(outlines: &[&Outline]) -> Point {
    let extents = outlines.iter().map(|outline| outline.extent());
    let whole = extents.reduce(|a, b| {
        let low = Point { x: a.0.x.min(b.0.x), y: a.0.y.min(b.0.y) };
        (low, Point { x: a.1.x.max(b.1.x), y: a.1.y.max(b.1.y) })
    });
    whole.map_or(Point { x: 0.0, y: 0.0 }, |(low, high)| Point {
        x: (low.x + high.x) / 2.0,
        y: (low.y + high.y) / 2.0,
    })
}

/// A cut along an outline, placed from `origin`.
fn cut(outline: &Outline, origin: Point, kind: &str, entry_mm: f64) -> Result<Value, String> {
    let round = |value: f64| (value * 1e6).round() / 1e6;
    let mut cut = Map::new();
    cut.insert("op".to_owned(), "cut".into());
    cut.insert("kind".to_owned(), kind.into());
    cut.insert("outline".to_owned(), outline.to_job(outline.centroid)?);
    cut.insert("x_mm".to_owned(), round(outline.centroid.x - origin.x).into());
    cut.insert("y_mm".to_owned(), round(outline.centroid.y - origin.y).into());
    cut.insert("entry_mm".to_owned(), entry_mm.into());
    Ok(Value::Object(cut))
}
