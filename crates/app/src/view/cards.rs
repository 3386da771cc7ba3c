//! The cards: press, stock, die, stations, and how it is worked out. One is open at a time.

use super::{
    button,
    cautions::BeforeTheFirstStroke,
    drawing::DrawingState,
    materials::Materials,
    set_up::SetUp,
    working::{Asked, opener},
};
use crate::{
    browser,
    erased::{flag, memo, on, part, text},
    form::{
        Fold, Towards, duplicate_station, duplicate_work, group, move_station, move_work,
        new_station, new_work, object_form, sectioned_form, shape_form, words_at,
    },
    path::Path,
    store::Store,
};
use evenstroke_job::{
    spec::{self, Unit},
    words::{coil_words, direction_words},
};
use evenstroke_language::{fill, marked, say, tr};
use leptos::prelude::*;
use press_load::{Length, Line};
use serde_json::Value;

/// Which card is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Card {
    Press,
    Stock,
    Die,
    Stations,
    Job,
}

impl Card {
    /// The id of its heading.
    const fn id(self) -> &'static str {
        match self {
            Self::Press => "card~press",
            Self::Stock => "card~stock",
            Self::Die => "card~die",
            Self::Stations => "card~stations",
            Self::Job => "card~job",
        }
    }
}

/// Fields of a station that have a place of their own, or stand in `stock` as well.
const STATION_LEFT_OUT: [&str; 12] = [
    "work",
    "material",
    "thickness_mm",
    "thickness_tolerance_mm",
    "tensile_mpa",
    "shear_ratio",
    "shear_strength_mpa",
    "yield_mpa",
    "penetration",
    "separation",
    "strength_coefficient_mpa",
    "hardening_exponent",
];
/// Fields of the job that have cards of their own.
///
/// The record is lists of text and days, which lines of numbers cannot hold.
const JOB_LEFT_OUT: [&str; 8] =
    ["format", "version", "press", "stock", "coil", "die", "stations", "record"];
/// All fields of the job but its coil, which stands with the stock.
const ALL_BUT_COIL: [&str; 12] = [
    "format", "version", "title", "note", "press", "stock", "die", "stations", "settings", "setup",
    "trip", "record",
];

/// Headings over fields of a card, and which they are.
type Sections = &'static [(&'static str, &'static [&'static str])];

/// The fields of the press; the last section takes what no other names.
const PRESS_SECTIONS: Sections = &[
    (marked("Force and drive"), &["name", "frame", "rated_force_kn", "drive"]),
    (
        marked("Speed and energy"),
        &[
            "speed_spm",
            "running",
            "single_strokes_spm",
            "slowest_spm",
            "fastest_spm",
            "energy",
            "motor_kw",
            "motor_efficiency_percent",
        ],
    ),
    (marked("Off-centre load"), &["suspension", "level", "off_centre", "die_length_table"]),
    (
        marked("Room for the die"),
        &["bolster", "slide", "shut_height_mm", "shut_height_adjustment_mm"],
    ),
    (marked("Stiffness and reverse load"), &[]),
];
/// The fields of the stock.
const STOCK_SECTIONS: Sections = &[
    (
        marked("Material"),
        &["material", "thickness_mm", "thickness_tolerance_mm", "tensile_mpa", "yield_mpa"],
    ),
    (marked("How it is cut"), &["shear_ratio", "shear_strength_mpa", "penetration", "separation"]),
    (marked("How it is drawn"), &[]),
];
/// The fields of the die.
const DIE_SECTIONS: Sections = &[
    (
        marked("Size and mass"),
        &[
            "kind",
            "width_mm",
            "depth_mm",
            "shut_height_mm",
            "shut_height_measured_on",
            "shut_height_measured_by",
            "grind_allowance_mm",
            "parallels_mm",
            "height_setting",
            "upper_mass_kg",
            "mass_kg",
            "opening_needed_mm",
            "guide_engagement_mm",
        ],
    ),
    (marked("On the bolster"), &["placement", "band", "strip"]),
    (marked("How it is held"), &[]),
];

/// All cards.
#[component]
pub fn Cards() -> impl IntoView {
    let store = expect_context::<Store>();
    let open = RwSignal::new(None::<Card>);
    provide_context(open);
    let root = Path::root();
    let sections = |spec: &'static spec::ObjectSpec, path: Path, sections: Sections| {
        move || sectioned_form(spec, &path, sections)
    };
    let press = sections(&spec::PRESS, root.key("press"), PRESS_SECTIONS);
    let stock_path = root.key("stock");
    let all = root.clone();
    let stock = move || {
        let coil = move || store.job.with(|job| coil_words(job, store.units.get()));
        view! {
            <Materials />
            {sectioned_form(&spec::STOCK, &stock_path, STOCK_SECTIONS)}
            {object_form(&spec::JOB, &all, &ALL_BUT_COIL)}
            <p class="notes" role="status">{text(move || coil().unwrap_or_default())}</p>
        }
        .into_any()
    };
    let die = sections(&spec::DIE, root.key("die"), DIE_SECTIONS);
    let job = move || {
        view! { <div class="fields">{object_form(&spec::JOB, &root, &JOB_LEFT_OUT)}</div> }
            .into_any()
    };
    view! {
        <section class="cards" aria-label=tr("Data of the job")>
            <CardFrame
                card=Card::Press
                title=move || name_or(store.job.with(|job| job.press_name.clone()), tr("Press"))
                summary=press_summary(store)
                body=press
            />
            <CardFrame card=Card::Stock title=|| {tr("Stock")}.to_owned() summary=stock_summary(store) body=stock />
            <CardFrame card=Card::Die title=|| {tr("Die")}.to_owned() summary=die_summary(store) body=die />
            <CardFrame
                card=Card::Stations
                title=move || {
                    let count = store.job.with(|job| job.stations.len());
                    if count == 1 { tr("1 station").to_owned() } else { say!("{} stations", count) }
                }
                summary=move || {
                    store.job.with(|job| {
                        let names: Vec<&str> = job.stations.iter().map(|s| s.name.as_str()).collect();
                        names.join(" · ")
                    })
                }
                body=|| view! { <Stations /> }.into_any()
            />
            <CardFrame
                card=Card::Job
                title=|| {tr("Title, note, method")}.to_owned()
                summary=move || store.job.with(|job| job.note.clone())
                body=job
            />
            <BeforeTheFirstStroke />
        </section>
    }
}

fn name_or(name: String, otherwise: &str) -> String {
    if name.is_empty() { otherwise.to_owned() } else { name }
}

/// A card: its heading opens and closes it.
#[component]
fn CardFrame(
    card: Card,
    #[prop(into)] title: Signal<String>,
    #[prop(into)] summary: Signal<String>,
    body: impl Fn() -> AnyView + Send + Sync + 'static,
) -> impl IntoView {
    let open = expect_context::<RwSignal<Option<Card>>>();
    let is_open = memo(move || open.get() == Some(card));
    // The set-up shows the same fields, and no field may be on the page twice.
    let set_up = expect_context::<SetUp>();
    let toggle = move |_| open.set(if is_open.get_untracked() { None } else { Some(card) });
    view! {
        <section class="card" class:open=is_open class:aside=flag(move || open.get().is_some_and(|o| o != card))>
            <h2>
                <button class="card-head" id=card.id() aria-expanded=text(move || is_open.get().to_string()) on:click=on(toggle)>
                    <span class="card-title">{title}</span>
                    <span class="card-summary">{summary}</span>
                    <span class="chevron" aria-hidden="true"></span>
                </button>
            </h2>
            {part(move || {
                (is_open.get() && !set_up.open.get())
                    .then(|| view! { <div class="card-body">{body()}</div> })
            })}
        </section>
    }
}

fn press_summary(store: Store) -> impl Fn() -> String + Send + Sync + Copy {
    move || {
        let units = store.units.get();
        store.job.with(|job| {
            let press = &job.press;
            let mm = |length: Length| units.show_entered(length.millimetres(), Unit::Mm);
            let mut parts = Vec::new();
            match press.rated_force {
                Some(force) => parts.push(units.show_entered(force.kilonewtons(), Unit::Kn)),
                None => parts.push(tr("rated force not entered").to_owned()),
            }
            use press_load::press::Drive;
            parts.push(match &press.drive {
                Drive::Crank { rating_height: Some(height), stroke, .. } => {
                    say!("at {} · crank, stroke {}", mm(*height), mm(*stroke))
                }
                Drive::Crank { stroke, .. } => say!("crank, stroke {}", mm(*stroke)),
                Drive::Hydraulic { stroke, .. } => say!("hydraulic, stroke {}", mm(*stroke)),
                Drive::Table { stroke, .. } => {
                    say!("capacity from its card, stroke {}", mm(*stroke))
                }
                Drive::Unknown { .. } => tr("no press chosen").to_owned(),
            });
            if let Some(suspension) = press.suspension {
                let points = suspension.points();
                parts.push(if points == 1 {
                    tr("1 point").to_owned()
                } else {
                    say!("{} points", points)
                });
            }
            parts.join(" · ")
        })
    }
}

fn stock_summary(store: Store) -> impl Fn() -> String + Send + Sync + Copy {
    move || {
        let units = store.units.get();
        store.job.with(|job| {
            let thickness = Length::from_metres(job.stock.thickness_m.on(Line::Nominal));
            let (low, high) =
                (job.stock.tensile_pa.low() * 1e-6, job.stock.tensile_pa.high() * 1e-6);
            let strength = if low == high {
                units.show_entered(high, Unit::Mpa)
            } else {
                format!("{}–{}", units.entered(low, Unit::Mpa), units.show_entered(high, Unit::Mpa))
            };
            let material = name_or(job.material.clone(), tr("material not named"));
            format!(
                "{material} · {} · {strength}",
                units.show_entered(thickness.millimetres(), Unit::Mm)
            )
        })
    }
}

fn die_summary(store: Store) -> impl Fn() -> String + Send + Sync + Copy {
    move || {
        let units = store.units.get();
        store.job.with(|job| {
            let number = |length: Length| units.entered(length.millimetres(), Unit::Mm);
            let show = |length: Length| units.show_entered(length.millimetres(), Unit::Mm);
            let size = job.die.footprint.map_or_else(
                || tr("size not entered").to_owned(),
                |area| format!("{} × {}", number(area.width), show(area.depth)),
            );
            let height = job.die.shut_height.map_or_else(
                || tr("height not entered").to_owned(),
                |h| say!("closed height {}", show(h)),
            );
            let at = job.die.placement;
            format!("{size} · {height} · {}", direction_words(at.x, at.y, units))
        })
    }
}

/// The list of stations; one is open at a time.
#[component]
fn Stations() -> impl IntoView {
    let store = expect_context::<Store>();
    let drawing = expect_context::<DrawingState>();
    let path = Path::root().key("stations");
    let list = path.clone();
    let count = memo(move || {
        store
            .document
            .with(|document| list.get(document).and_then(Value::as_array).map_or(0, Vec::len))
    });
    let open = RwSignal::new(None::<usize>);
    let told = RwSignal::new(String::new());
    let add = {
        let path = path.clone();
        move |_| {
            store.edit("add a station", |document| {
                let new = new_station(document);
                if let Some(Value::Array(stations)) = document.get_mut("stations") {
                    stations.push(new);
                } else {
                    path.set(document, Value::Array(vec![new]));
                }
            });
            open.set(count.get_untracked().checked_sub(1));
        }
    };
    view! {
        <ul class="stations">
            {part(move || {
                (0..count.get())
                    .map(|index| view! { <StationItem index=index count=count open=open told=told /> })
                    .collect_view()
            })}
        </ul>
        <p class="about" role="status">{text(move || told.get())}</p>
        <div class="controls">
            <button class="button" on:click=on(add)>{tr("Add a station")}</button>
            <button class="button" on:click=on(move |_| drawing.open.set(true))>
                {tr("Outlines from a drawing")}
            </button>
        </div>
    }
}

/// One station: its name, and when open its fields and work.
#[component]
fn StationItem(
    index: usize,
    count: Memo<usize>,
    open: RwSignal<Option<usize>>,
    /// What became of the last move or copy.
    told: RwSignal<String>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let path = Path::root().key("stations").item(index);
    let is_open = memo(move || open.get() == Some(index));
    let head = {
        let path = path.clone();
        memo(move || {
            store.document.with(|document| {
                let station = path.get(document).unwrap_or(&Value::Null);
                let name = match station["name"].as_str() {
                    Some(name) if !name.is_empty() => name.to_owned(),
                    _ => format!("Station {}", index + 1),
                };
                let work: Vec<&str> = station["work"]
                    .as_array()
                    .map(|work| work.iter().map(work_word).collect())
                    .unwrap_or_default();
                let work = if work.is_empty() { "idle".to_owned() } else { work.join(", ") };
                (name, work)
            })
        })
    };
    let remove = {
        let path = path.clone();
        move |_| {
            open.set(None);
            store.edit("remove a station", |document| path.remove(document));
        }
    };
    let only_one = move || count.get() <= 1;
    let is_last = move || index + 1 >= count.get();
    // The station that was moved or copied stays open, and has the focus at its new place.
    let went = move |to: Option<usize>, said: Box<dyn Fn(usize, usize) -> String>| {
        let Some(to) = to else { return };
        open.set(Some(to));
        let position = store
            .document
            .with_untracked(|document| document["stations"][to]["strip_position"].as_u64());
        let at = position.map_or_else(String::new, |at| say!(", at strip position {}", at));
        told.set(said(to + 1, count.get_untracked()) + &at);
        let id = head_id(to);
        request_animation_frame(move || browser::focus(&id));
    };
    let name = move || head.get_untracked().0;
    let step = move |towards: Towards| {
        let name = name();
        let mut to = None;
        store.edit(&format!("move station {}", index), |document| {
            to = move_station(document, index, towards)
        });
        went(to, Box::new(move |to, of| say!("{} is now {} of {}", name, to, of)));
    };
    let copy = move |_| {
        let name = name();
        let mut to = None;
        store.edit(&format!("copy station to {}", count.get_untracked()), |document| {
            to = duplicate_station(document, index)
        });
        went(
            to,
            Box::new(move |to, of| say!("A copy of {} stands last, as {} of {}", name, to, of)),
        );
    };
    let toggle = move |_| open.set(if is_open.get_untracked() { None } else { Some(index) });
    let body = move || {
        let remove = remove.clone();
        view! {
            <div class="station-body">
                <div class="fields">{object_form(&spec::STATION, &path, &STATION_LEFT_OUT)}</div>
                <WorkList path=path.key("work") station=index told=told />
                <div class="controls">
                    {button(tr("Move up"), "", flag(move || index == 0), on(move |_| step(Towards::First)))}
                    {button(tr("Move down"), "", flag(is_last), on(move |_| step(Towards::Last)))}
                    {button(tr("Duplicate this station"), "", flag(|| false), on(copy))}
                    {button(tr("Remove this station"), "", flag(only_one), on(remove))}
                </div>
            </div>
        }
    };
    view! {
        <li class="station" class:open=is_open>
            <button class="station-head" id=head_id(index) aria-expanded=text(move || is_open.get().to_string()) on:click=on(toggle)>
                <span class="number" aria-hidden="true">{index + 1}</span>
                <span class="card-title">{text(move || head.get().0)}</span>
                <span class="card-summary">{text(move || head.get().1)}</span>
            </button>
            {part(move || is_open.get().then(&body))}
        </li>
    }
}

fn head_id(index: usize) -> String {
    format!("station~{index}")
}

/// What a piece of work is called in a list: the kind of a cut, the name of anything else.
fn work_word(work: &Value) -> &'static str {
    let spec::Shape::Tagged { kinds, .. } = &spec::WORK else { return "work" };
    let op = work["op"].as_str().unwrap_or_default();
    let Some((_, name, body)) = kinds.iter().find(|kind| kind.0 == op) else { return "work" };
    let kind_of_cut = match body {
        spec::Shape::Object(fields) if op == "cut" => {
            fields.fields.iter().find(|field| field.key == "kind")
        }
        _ => None,
    };
    let Some(spec::Shape::Choice(words)) = kind_of_cut.map(|field| &field.shape) else {
        return name;
    };
    let kind = work["kind"].as_str().unwrap_or_default();
    words.iter().find(|word| word.0 == kind).map_or(*name, |word| word.1)
}

/// The work of a station.
#[component]
fn WorkList(
    path: Path,
    /// Index of the station.
    station: usize,
    /// What became of the last move or copy.
    told: RwSignal<String>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let list = path.clone();
    let count = memo(move || {
        store
            .document
            .with(|document| list.get(document).and_then(Value::as_array).map_or(0, Vec::len))
    });
    let items_path = path.clone();
    let item = move |index: usize| work_item(store, &items_path, (station, index), count, told);
    let add = move |_| {
        store.edit("add work", |document| {
            let mut work =
                path.get(document).and_then(Value::as_array).cloned().unwrap_or_default();
            work.push(new_work(document));
            path.set(document, Value::Array(work));
        });
    };
    view! {
        {part(move || (0..count.get()).map(&item).collect_view())}
        <button class="button" on:click=on(add)>{tr("Add work")}</button>
    }
}

/// One piece of work with its fields.
fn work_item(
    store: Store,
    list: &Path,
    (station, index): (usize, usize),
    count: Memo<usize>,
    told: RwSignal<String>,
) -> AnyView {
    let path = list.item(index);
    let (moved, copied) = (list.clone(), list.clone());
    let step = move |towards: Towards| {
        let mut to = None;
        store.edit(&format!("move work {}", index), |document| {
            to = move_work(document, &moved, index, towards)
        });
        if let Some(to) = to {
            told.set(say!("Work {} is now work {}.", index + 1, to + 1));
        }
    };
    let copy = move |_| {
        store.edit(&format!("copy work to {}", count.get_untracked()), |document| {
            duplicate_work(document, &copied, index);
        });
        told.set(say!("Work {} is a copy at the same place: move it.", index + 2));
    };
    let remove = {
        let path = path.clone();
        move |_| store.edit("remove work", |document| path.remove(document))
    };
    let is_last = flag(move || index + 1 >= count.get());
    let name = |words: &'static str| fill(words, &[&(index + 1)]);
    let (up, down) = (step.clone(), step);
    let fields = view! {
        {shape_form(&spec::WORK, &path, false)}
        <div class="controls wide">
            {opener(Asked::Work(station, index), tr("Working"), name(marked("Show the working of work {}")))}
            {button(tr("Up"), &name(marked("Move up work {}")), flag(move || index == 0), on(move |_| up(Towards::First)))}
            {button(tr("Down"), &name(marked("Move down work {}")), is_last, on(move |_| down(Towards::Last)))}
            {button(tr("Duplicate"), &name(marked("Duplicate work {}")), flag(|| false), on(copy))}
            {button(tr("Remove this work"), "", flag(|| false), on(remove))}
        </div>
    }
    .into_any();
    // A single piece of work is what the station was opened for.
    let fold = if count.get_untracked() > 1 { Fold::OnPhone } else { Fold::Open };
    let words = words_at(&spec::WORK, &path);
    group(say!("Work {}", index + 1), "", path.to_string(), fold, words, fields)
}
