//! Outlines of cuts edited on the plan: points, tool shear, mirror, turn, copies.

use crate::{
    erased::{flag, memo, on, part, text},
    form::parse_number,
    store::Store,
};
use evenstroke_chart::{EditedCut, PlanEdit, PlanView, cut_near, cuts_with_line, plan_edit};
use evenstroke_job::{
    outline_edit::{self, Mirror},
    spec::Unit,
};
use leptos::prelude::*;
use serde_json::Value;

/// How far from a handle a finger may be, in CSS pixels.
const REACH_PX: f64 = 24.0;
/// Step of a point by one press of an arrow key, and with Shift held, in millimetres.
const FINE_MM: f64 = 0.1;
const COARSE_MM: f64 = 1.0;

/// What is held.
#[derive(Clone, Copy, PartialEq)]
enum Handle {
    Point(usize),
    Shear,
}

/// A handle that is held, and the picture that it is held in.
#[derive(Clone, Copy)]
struct Grip {
    handle: Handle,
    view: PlanView,
    /// From the pointer to the handle, in pixels.
    off: (f64, f64),
    in_view: Option<[(f64, f64); 2]>,
}

/// The cut whose outline is edited, if any.
#[derive(Clone, Copy)]
pub struct Outlines {
    store: Store,
    edited: RwSignal<Option<EditedCut>>,
    grip: RwSignal<Option<Grip>>,
}

impl Outlines {
    /// Nothing edited.
    pub fn new(store: Store) -> Self {
        Self { store, edited: RwSignal::new(None), grip: RwSignal::new(None) }
    }

    /// Whether a cut is being edited, without following it.
    pub fn is_on(self) -> bool {
        self.edited.get_untracked().is_some()
    }

    /// Whether a cut is being edited.
    pub fn is_on_now(self) -> bool {
        self.edited.get().is_some()
    }

    /// What the plan shows of the edited cut. One that another edit has taken away is shown no more.
    pub fn shown(self) -> Option<PlanEdit> {
        let edited = self.edited.get()?;
        let points = self.points(edited);
        let mut shown =
            self.store.job.with(|job| plan_edit(job, &self.store.scene(), edited, &points))?;
        shown.held = self.grip.get().and_then(|grip| grip.in_view);
        Some(shown)
    }

    fn points(self, edited: EditedCut) -> Vec<(f64, f64)> {
        self.store.document.with(|document| outline_edit::points(cut_of(document, edited)))
    }

    /// Takes hold of what lies under the pointer: a handle, or another cut. Whether it is held.
    pub fn grasp(self, view: PlanView, pixel: (f64, f64)) -> bool {
        let Some(shown) = untrack(move || self.shown()) else { return false };
        let away = |place: (f64, f64)| {
            let at = view.pixel_at(place);
            (at.0 - pixel.0, at.1 - pixel.1)
        };
        let shear = shown.shear_mm.map(|line| (Handle::Shear, away(line[1])));
        let points = shown.points_mm.iter().enumerate();
        let near = points.map(|(index, &place)| (Handle::Point(index), away(place))).chain(shear);
        let nearest =
            near.reduce(|a, b| if b.1.0.hypot(b.1.1) < a.1.0.hypot(a.1.1) { b } else { a });
        if let Some((handle, off)) = nearest.filter(|found| found.1.0.hypot(found.1.1) <= REACH_PX)
        {
            if let Handle::Point(index) = handle {
                self.choose(Some(index));
            }
            self.grip.set(Some(Grip { handle, view, off, in_view: shown.in_view() }));
            return true;
        }
        let other = self.store.job.with_untracked(|job| {
            let scene = untrack(|| self.store.scene());
            cut_near(job, &scene, view.place_at(pixel), REACH_PX / view.pixels_per_mm)
        });
        if other.is_some() {
            self.edited.set(other);
        }
        false
    }

    /// Moves what is held.
    pub fn pull(self, pixel: (f64, f64)) {
        let (Some(grip), Some(edited)) = (self.grip.get_untracked(), self.edited.get_untracked())
        else {
            return;
        };
        let place = grip.view.place_at((pixel.0 + grip.off.0, pixel.1 + grip.off.1));
        let scene = untrack(|| self.store.scene());
        match grip.handle {
            Handle::Point(index) => {
                let to = self.store.job.with_untracked(|job| edited.own_place(job, &scene, place));
                if let Some((x, y)) = to {
                    let tenth = |value: f64| (value * 10.0).round() / 10.0;
                    self.change("drag a point", |cut| {
                        outline_edit::move_point(cut, index, (tenth(x), tenth(y)));
                    });
                }
            }
            Handle::Shear => {
                let to = self.store.job.with_untracked(|job| edited.shear_at(job, &scene, place));
                if let Some((depth, direction)) = to {
                    self.change("drag the tool shear", |cut| {
                        outline_edit::set_shear(cut, depth, direction);
                    });
                }
            }
        }
    }

    /// Lets go of what is held.
    pub fn let_go(self) {
        if self.grip.get_untracked().is_some() {
            self.grip.set(None);
        }
    }

    /// What a key does; whether it does anything.
    pub fn press_key(self, key: &str, shift: bool) -> bool {
        let step = if shift { COARSE_MM } else { FINE_MM };
        match key {
            "ArrowLeft" => self.nudge(-step, 0.0),
            "ArrowRight" => self.nudge(step, 0.0),
            "ArrowUp" => self.nudge(0.0, step),
            "ArrowDown" => self.nudge(0.0, -step),
            "PageDown" => self.next_point(1),
            "PageUp" => self.next_point(-1),
            "Delete" => self.remove_point(),
            "Escape" => self.edited.set(None),
            _ => return false,
        }
        true
    }

    fn nudge(self, x: f64, y: f64) {
        let Some(edited) = self.edited.get_untracked() else { return };
        let points = untrack(move || self.points(edited));
        let Some(index) = edited.point.filter(|&index| index < points.len()) else { return };
        let to = (points[index].0 + x, points[index].1 + y);
        self.change("arrow keys on a point", |cut| outline_edit::move_point(cut, index, to));
    }

    fn next_point(self, by: isize) {
        let Some(edited) = self.edited.get_untracked() else { return };
        let count = untrack(move || self.points(edited)).len() as isize;
        if count > 0 {
            let next = edited.point.map_or(0, |index| index as isize + by).rem_euclid(count);
            self.choose(Some(next as usize));
        }
    }

    fn remove_point(self) {
        if let Some(index) = self.edited.get_untracked().and_then(|edited| edited.point) {
            self.change("take a point out", |cut| outline_edit::remove_point(cut, index));
            self.next_point(-1);
        }
    }

    fn choose(self, point: Option<usize>) {
        self.edited.update(|edited| {
            if let Some(edited) = edited {
                edited.point = point;
            }
        });
    }

    /// Changes the edited cut.
    fn change(self, what: &str, does: impl FnOnce(&mut Value)) {
        let Some(edited) = self.edited.get_untracked() else { return };
        let field = format!("{what} {} {}", edited.station, edited.work);
        self.store.edit(&field, |document| {
            let cut = &mut document["stations"][edited.station]["work"][edited.work];
            if cut.is_object() {
                does(cut);
            }
        });
    }

    /// Puts copies in the place of the edited cut.
    fn repeat(self, copies: impl FnOnce(&Value) -> Vec<Value>) {
        let Some(edited) = self.edited.get_untracked() else { return };
        self.store.edit("repeat a cut", |document| {
            let Some(works) = document["stations"][edited.station]["work"].as_array_mut() else {
                return;
            };
            if let Some(cut) = works.get(edited.work) {
                let copies = copies(cut);
                works.splice(edited.work..=edited.work, copies);
            }
        });
    }

    /// What is edited, in words; nothing if nothing is.
    pub fn words(self) -> Option<String> {
        let edited = self.edited.get()?;
        let units = self.store.units.get();
        let show = |millimetres: f64| units.show(millimetres, Unit::Mm);
        let points = self.points(edited);
        let point = edited.point.and_then(|index| Some((index, *points.get(index)?)));
        let point = point.map_or_else(
            || "Tap a point, the arrow of the tool shear, or another cut".to_owned(),
            |(index, (x, y))| {
                format!("Point {} of {} at {}, {}", index + 1, points.len(), show(x), show(y))
            },
        );
        let shear = self.store.document.with(|document| {
            let shear = &cut_of(document, edited)["tool_shear"];
            shear["depth_mm"].as_f64().map(|depth| {
                let direction = shear["direction_deg"].as_f64().unwrap_or(0.0);
                format!("; tool shear {} towards {direction:.0}°", show(depth))
            })
        });
        Some(format!("{point}{}", shear.unwrap_or_default()))
    }

    /// The button that begins and ends it.
    pub fn switch(self) -> impl IntoView {
        let cuts = memo(move || self.store.job.with(|job| cuts_with_line(job).first().copied()));
        let press = move |_| {
            let next = if self.is_on() { None } else { cuts.get_untracked() };
            self.grip.set(None);
            self.edited.set(next);
        };
        view! {
            <button
                class="button"
                aria-pressed=text(move || self.is_on_now().to_string())
                disabled=flag(move || cuts.get().is_none() && !self.is_on_now())
                on:click=on(press)
            >
                {text(move || if self.is_on_now() { "Done with outlines" } else { "Edit outlines" }.to_owned())}
            </button>
        }
    }

    /// What can be done with the edited cut.
    pub fn controls(self) -> AnyView {
        let button = |label: &'static str, does: Box<dyn Fn()>| {
            view! { <button class="button" on:click=on(move |_| does())>{label}</button> }
        };
        let choose = move |event| {
            let word = event_target_value(&event);
            let cuts = self.store.job.with_untracked(|job| cuts_with_line(job));
            self.edited.set(cuts.into_iter().find(|&cut| name_of(cut) == word));
        };
        let options = move || {
            let cuts = self.store.job.with(|job| cuts_with_line(job));
            let count = |station| cuts.iter().filter(|cut| cut.station == station).count();
            let rows = cuts.iter().map(|&cut| {
                let name = self.store.document.with(|document| {
                    let station = &document["stations"][cut.station];
                    station["name"].as_str().unwrap_or("station").to_owned()
                });
                let label = match count(cut.station) {
                    1 => format!("{}. {name}", cut.station + 1),
                    _ => format!("{}. {name}, work {}", cut.station + 1, cut.work + 1),
                };
                let selected = flag(move || {
                    self.edited.get().is_some_and(|edited| name_of(edited) == name_of(cut))
                });
                view! { <option value=name_of(cut) selected=selected>{label}</option> }
            });
            rows.collect_view()
        };
        view! {
            <div class="controls outlines" role="group" aria-label="Outline">
                <label>
                    <span class="sr-only">"Cut whose outline is edited"</span>
                    <select class="button" on:change=on(choose)>{part(options)}</select>
                </label>
                {button("Next point", Box::new(move || self.next_point(1)))}
                {button("Add a point", Box::new(move || {
                    let index = self.edited.get_untracked().and_then(|edited| edited.point);
                    let index = index.unwrap_or_default();
                    self.change("add a point", |cut| outline_edit::add_point(cut, index));
                    self.choose(Some(index + 1));
                }))}
                {button("Take point out", Box::new(move || self.remove_point()))}
                {button("Quarter turn", Box::new(move || {
                    self.change("turn a cut", |cut| outline_edit::turn(cut, 90.0));
                }))}
                {button("Mirror left–right", Box::new(move || {
                    self.change("mirror a cut left and right", |cut| outline_edit::mirror(cut, Mirror::LeftRight));
                }))}
                {button("Mirror front–back", Box::new(move || {
                    self.change("mirror a cut front and back", |cut| outline_edit::mirror(cut, Mirror::FrontBack));
                }))}
                {self.copies()}
            </div>
        }
        .into_any()
    }

    /// How many copies, and where they go.
    fn copies(self) -> AnyView {
        let (count, right, back) = (Field::new(2.0), Field::new(20.0), Field::new(0.0));
        let most = outline_edit::MOST_COPIES;
        let wrong_count = move || {
            let is_whole = |typed: &String| {
                typed.trim().parse().is_ok_and(|count| (2..=most).contains(&count))
            };
            count.0.with(|typed| {
                (!is_whole(typed)).then(|| {
                    format!("How many must be a whole number from 2 to {most}, given {typed:?}.")
                })
            })
        };
        let wrong = move || {
            wrong_count()
                .or_else(|| right.wrong("Step to the right", -1e4, 1e4))
                .or_else(|| back.wrong("Step to the back", -1e4, 1e4))
        };
        let in_a_row = move |_| {
            let step = (right.number(), back.number());
            self.repeat(|cut| outline_edit::row(cut, count.number() as usize, step));
        };
        let in_a_circle = move |_| {
            self.repeat(|cut| outline_edit::circle(cut, count.number() as usize));
        };
        let is_wrong = flag(move || wrong().is_some());
        view! {
            <details>
                <summary class="button">"Repeat"</summary>
                <div class="fields">
                    {count.view("How many in all")}
                    {right.view("Step to the right, mm")}
                    {back.view("Step to the back, mm")}
                </div>
                {part(move || wrong().map(|why| view! { <p class="error" role="alert">{why}</p> }))}
                <button class="button" disabled=is_wrong on:click=on(in_a_row)>"In a row"</button>
                <button class="button" disabled=is_wrong on:click=on(in_a_circle)>
                    "In a circle about the station point"
                </button>
            </details>
        }
        .into_any()
    }
}

/// A number that is typed.
#[derive(Clone, Copy)]
struct Field(RwSignal<String>);

impl Field {
    fn new(value: f64) -> Self {
        Self(RwSignal::new(value.to_string()))
    }

    fn number(self) -> f64 {
        self.0.with_untracked(|typed| parse_number(typed).ok().flatten()).unwrap_or_default()
    }

    /// What is wrong with what was typed.
    fn wrong(self, what: &str, least: f64, most: f64) -> Option<String> {
        self.0.with(|typed| match parse_number(typed) {
            Ok(Some(value)) if value >= least && value <= most => None,
            _ => Some(format!("{what} must be a number from {least} to {most}, given {typed:?}.")),
        })
    }

    fn view(self, label: &'static str) -> AnyView {
        view! {
            <label class="field">
                <span class="label">{label}</span>
                <input
                    class="button"
                    inputmode="decimal"
                    prop:value=self.0.get_untracked()
                    on:input=on(move |event| self.0.set(event_target_value(&event)))
                />
            </label>
        }
        .into_any()
    }
}

fn cut_of(document: &Value, edited: EditedCut) -> &Value {
    &document["stations"][edited.station]["work"][edited.work]
}

/// What an option of the list is known by.
fn name_of(cut: EditedCut) -> String {
    format!("{}.{}", cut.station, cut.work)
}
