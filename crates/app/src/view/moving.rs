//! Stations moved on the plan: by hand, by keys, caught by the pitch of the strip.

use super::plan::HOLD_PX;
use crate::{
    erased::{flag, on, part, text},
    store::Store,
};
use evenstroke_chart::{PlanHandle, PlanView, job::way_in_die};
use evenstroke_job::station_place::{self, StationPlace};
use evenstroke_language::tr;
use leptos::{prelude::*, web_sys::KeyboardEvent};

/// How far from a station's point a finger may be, in CSS pixels.
const REACH_PX: f64 = 28.0;
/// Step by one press of an arrow key, and with Shift held, in millimetres.
const FINE_MM: f64 = 1.0;
const COARSE_MM: f64 = 10.0;

/// A station that is held.
#[derive(Clone, Copy)]
struct Held {
    index: usize,
    place: StationPlace,
    /// Scale of the picture when it was taken.
    view: PlanView,
    /// Pointer in the window, in millimetres of that picture.
    from: (f64, f64),
    /// Counts the drags, each of which is one step of undo.
    drag: u32,
}

/// The mode in which stations are moved.
#[derive(Clone, Copy)]
pub struct Moving {
    store: Store,
    /// The station that keys move, while the mode is on.
    chosen: RwSignal<Option<usize>>,
    held: RwSignal<Option<Held>>,
    /// Where the station that was moved last stood before.
    before: RwSignal<Option<(usize, StationPlace)>>,
    drags: StoredValue<u32>,
}

impl Moving {
    /// Not on.
    pub fn new(store: Store) -> Self {
        Self {
            store,
            chosen: RwSignal::new(None),
            held: RwSignal::new(None),
            before: RwSignal::new(None),
            drags: StoredValue::new(0),
        }
    }

    /// Whether stations are being moved, without following it.
    pub fn is_on(self) -> bool {
        self.chosen.get_untracked().is_some()
    }

    /// Whether stations are being moved.
    pub fn is_on_now(self) -> bool {
        self.chosen.get().is_some()
    }

    /// Whether one is in the hand.
    pub fn is_held(self) -> bool {
        self.held.get().is_some()
    }

    /// The handles that the plan shows.
    pub fn handles(self) -> Vec<PlanHandle> {
        let Some(chosen) = self.chosen.get() else { return Vec::new() };
        let count = self.store.job.with(|job| job.stations.len());
        self.store.document.with(|document| {
            let handle = |index| match index {
                _ if station_place::is_locked(document, index) => PlanHandle::Locked,
                _ if index == chosen => PlanHandle::Chosen,
                _ => PlanHandle::Free,
            };
            (0..count).map(handle).collect()
        })
    }

    /// Takes the station whose point is nearest to the pointer; whether it is held. A locked one is
    /// chosen, so that the words say why it stays.
    pub fn grasp(self, view: PlanView, pixel: (f64, f64), client: (f64, f64)) -> bool {
        let placement = self.store.placement.get_untracked().motion();
        let nearest = self.store.job.with_untracked(|job| {
            let away = |station: &press_load::Station| {
                let at = placement.apply(station.at);
                let at = view.pixel_at((at.x * 1e3, at.y * 1e3));
                (at.0 - pixel.0).hypot(at.1 - pixel.1)
            };
            let stations = job.stations.iter().map(away).enumerate();
            stations.reduce(|a, b| if b.1 < a.1 { b } else { a })
        });
        let Some((index, _)) = nearest.filter(|found| found.1 <= REACH_PX) else { return false };
        self.choose(index);
        let place = self.store.document.with_untracked(|document| {
            let place = station_place::place_of(document, index);
            place.filter(|_| !station_place::is_locked(document, index))
        });
        let Some(place) = place else { return false };
        self.drags.update_value(|drags| *drags += 1);
        let (from, drag) = (view.place_at(client), self.drags.get_value());
        self.held.set(Some(Held { index, place, view, from, drag }));
        self.before.set(Some((index, place)));
        true
    }

    /// Moves what is held.
    pub fn pull(self, client: (f64, f64), is_free: bool) {
        let Some(held) = self.held.get_untracked() else { return };
        let now = held.view.place_at(client);
        let way = way_in_die(
            &self.store.placement.get_untracked(),
            (now.0 - held.from.0, now.1 - held.from.1),
        );
        let whole = |start: f64, by: f64| if by == 0.0 { start } else { (start + by).round() };
        let to = (whole(held.place.x_mm, way.0), whole(held.place.y_mm, way.1));
        let hold = HOLD_PX / held.view.pixels_per_mm;
        self.store.edit_held(
            &format!("drag {} of station {}", held.drag, held.index),
            |document| {
                let to = match is_free {
                    true => to,
                    false => station_place::caught(document, held.index, &held.place, to, hold),
                };
                station_place::put(document, held.index, &held.place, to);
            },
        );
    }

    /// Lets go of what is held.
    pub fn let_go(self) {
        if self.held.get_untracked().is_some() {
            self.held.set(None);
        }
    }

    /// Brings back what is held.
    pub fn give_up(self) {
        if let Some(held) = self.held.get_untracked() {
            self.held.set(None);
            self.before.set(None);
            self.store.give_back(&format!("drag {} of station {}", held.drag, held.index));
        }
    }

    /// What a key does; whether it does anything.
    pub fn press_key(self, event: &KeyboardEvent) -> bool {
        let by_pitch = event.ctrl_key() || event.meta_key();
        let step = if event.shift_key() { COARSE_MM } else { FINE_MM };
        match event.key().as_str() {
            "ArrowLeft" => self.nudge((-1.0, 0.0), step, by_pitch),
            "ArrowRight" => self.nudge((1.0, 0.0), step, by_pitch),
            "ArrowUp" => self.nudge((0.0, 1.0), step, by_pitch),
            "ArrowDown" => self.nudge((0.0, -1.0), step, by_pitch),
            "PageDown" => self.next(1),
            "PageUp" => self.next(-1),
            "Escape" if self.held.get_untracked().is_some() => self.give_up(),
            "Escape" => self.chosen.set(None),
            _ => return false,
        }
        true
    }

    fn nudge(self, way: (f64, f64), step: f64, by_pitch: bool) {
        let Some(index) = self.chosen.get_untracked() else { return };
        let (x, y) = way_in_die(&self.store.placement.get_untracked(), way);
        self.store.edit(&format!("arrow keys on station {}", index), |document| {
            let Some(place) = station_place::place_of(document, index) else { return };
            let pitch = station_place::pitch_step(document).filter(|_| by_pitch);
            let along = |pitch: Option<f64>| pitch.filter(|pitch| *pitch > 0.0);
            let step_x = along(pitch.map(|pitch| pitch.0)).unwrap_or(step);
            let step_y = along(pitch.map(|pitch| pitch.1)).unwrap_or(step);
            let to = (place.x_mm + x * step_x, place.y_mm + y * step_y);
            station_place::put(document, index, &place, to);
            self.before.set(Some((index, place)));
        });
    }

    fn next(self, by: isize) {
        let count = self.store.job.with_untracked(|job| job.stations.len()) as isize;
        if let Some(index) = self.chosen.get_untracked().filter(|_| count > 0) {
            self.choose((index as isize + by).rem_euclid(count) as usize);
        }
    }

    fn choose(self, index: usize) {
        self.chosen.set(Some(index));
        self.before.set(None);
    }

    /// Where the chosen station is and what moved with it; nothing while the mode is off.
    pub fn words(self) -> Option<String> {
        let chosen = self.chosen.get()?;
        let before = self.before.get().filter(|before| before.0 == chosen).map(|before| before.1);
        let units = self.store.units.get();
        let said = self
            .store
            .document
            .with(|document| station_place::words(document, chosen, before.as_ref(), units));
        Some(said)
    }

    /// The button that begins and ends it, with the list of stations while it is on.
    pub fn switch(self) -> impl IntoView {
        let press = move |_| {
            self.held.set(None);
            self.before.set(None);
            self.chosen.set(if self.is_on() { None } else { Some(0) });
        };
        let choose = move |event| {
            if let Ok(index) = event_target_value(&event).parse() {
                self.choose(index);
            }
        };
        let options = move || {
            let names = self.store.job.with(|job| {
                let name = |(index, station): (usize, &press_load::Station)| {
                    format!("{}. {}", index + 1, station.name)
                };
                job.stations.iter().enumerate().map(name).collect::<Vec<_>>()
            });
            let row = |(index, name): (usize, String)| {
                let selected = flag(move || self.chosen.get() == Some(index));
                view! { <option value=index.to_string() selected=selected>{name}</option> }
            };
            names.into_iter().enumerate().map(row).collect_view()
        };
        view! {
            {part(move || self.is_on_now().then(|| view! {
                <label>
                    <span class="sr-only">{tr("Station that is moved")}</span>
                    <select class="button" on:change=on(choose)>{part(options)}</select>
                </label>
            }))}
            <button
                class="button"
                aria-pressed=text(move || self.is_on_now().to_string())
                on:click=on(press)
            >
                {text(move || if self.is_on_now() { tr("Done with stations") } else { tr("Move stations") }.to_owned())}
            </button>
        }
    }
}
