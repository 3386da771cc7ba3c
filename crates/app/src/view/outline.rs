//! Outlines of cuts edited on the plan: points, tool shear, mirror, turn, copies.

use super::button;
use crate::{
    erased::{flag, memo, on, part, text},
    form::Asked,
    store::Store,
};
use evenstroke_chart::{EditedCut, PlanEdit, PlanView, cut_near, cuts_with_line, plan_edit};
use evenstroke_job::{
    outline_edit::{self, Mirror},
    spec::Unit,
};
use evenstroke_language::{number, say, tr};
use leptos::prelude::*;
use serde_json::Value;

/// How far from a handle a finger may be, in CSS pixels.
const REACH_PX: f64 = 24.0;
/// Step of a point by one press of an arrow key, and with Shift held, in millimetres.
const FINE_MM: f64 = 0.1;
const COARSE_MM: f64 = 1.0;
/// Longest step from a cut to its copy.
const FARTHEST_MM: f64 = 10_000.0;

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
            || tr("Tap a point, the arrow of the tool shear, or another cut").to_owned(),
            |(index, (x, y))| {
                say!("Point {} of {} at {}, {}", index + 1, points.len(), show(x), show(y))
            },
        );
        let shear = self.store.document.with(|document| {
            let shear = &cut_of(document, edited)["tool_shear"];
            shear["depth_mm"].as_f64().map(|depth| {
                let direction = shear["direction_deg"].as_f64().unwrap_or(0.0);
                say!("; tool shear {} towards {}°", show(depth), number(direction, 0))
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
                {text(move || if self.is_on_now() { tr("Done with outlines") } else { tr("Edit outlines") }.to_owned())}
            </button>
        }
    }

    /// What can be done with the edited cut.
    pub fn controls(self) -> AnyView {
        let button = |label: &'static str, does: Box<dyn Fn()>| {
            button(label, "", flag(|| false), on(move |_| does()))
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
                    _ => say!("{}. {}, work {}", cut.station + 1, name, cut.work + 1),
                };
                let selected = flag(move || {
                    self.edited.get().is_some_and(|edited| name_of(edited) == name_of(cut))
                });
                view! { <option value=name_of(cut) selected=selected>{label}</option> }
            });
            rows.collect_view()
        };
        view! {
            <div class="controls outlines" role="group" aria-label=tr("Outline")>
                <label>
                    <span class="sr-only">{tr("Cut whose outline is edited")}</span>
                    <select class="button" on:change=on(choose)>{part(options)}</select>
                </label>
                {button(tr("Next point"), Box::new(move || self.next_point(1)))}
                {button(tr("Add a point"), Box::new(move || {
                    let index = self.edited.get_untracked().and_then(|edited| edited.point);
                    let index = index.unwrap_or_default();
                    self.change("add a point", |cut| outline_edit::add_point(cut, index));
                    self.choose(Some(index + 1));
                }))}
                {button(tr("Take point out"), Box::new(move || self.remove_point()))}
                {button(tr("Quarter turn"), Box::new(move || {
                    self.change("turn a cut", |cut| outline_edit::turn(cut, 90.0));
                }))}
                {button(tr("Mirror left–right"), Box::new(move || {
                    self.change("mirror a cut left and right", |cut| outline_edit::mirror(cut, Mirror::LeftRight));
                }))}
                {button(tr("Mirror front–back"), Box::new(move || {
                    self.change("mirror a cut front and back", |cut| outline_edit::mirror(cut, Mirror::FrontBack));
                }))}
                {self.copies()}
            </div>
        }
        .into_any()
    }

    /// A turn by any angle, and copies: how many, and where they go.
    fn copies(self) -> AnyView {
        let count = (2.0, (|_| outline_edit::MOST_COPIES as f64) as fn(Store) -> f64);
        let count = Asked::new(tr("How many in all"), Unit::One, count, 2.0).whole();
        let step = |label| Asked::new(label, Unit::Mm, (-FARTHEST_MM, |_| FARTHEST_MM), 0.0);
        let (right, back) = (step(tr("Step to the right")), step(tr("Step to the back")));
        let angle = Asked::new(tr("Turn by"), Unit::Deg, (-360.0, |_| 360.0), 45.0);
        let turn = move |_| {
            if let Ok(angle) = untrack(move || angle.value()) {
                self.change("turn a cut by an angle", |cut| outline_edit::turn(cut, angle));
            }
        };
        let in_a_row = move |_| {
            let asked = untrack(move || (count.value(), right.value(), back.value()));
            if let (Ok(count), Ok(right), Ok(back)) = asked {
                self.repeat(|cut| outline_edit::row(cut, count as usize, (right, back)));
            }
        };
        let in_a_circle = move |_| {
            if let Ok(count) = untrack(move || count.value()) {
                self.repeat(|cut| outline_edit::circle(cut, count as usize));
            }
        };
        let no_angle = flag(move || angle.value().is_err());
        let no_row =
            flag(move || count.value().is_err() || right.value().is_err() || back.value().is_err());
        let no_circle = flag(move || count.value().is_err());
        view! {
            <details>
                <summary class="button">{tr("Turn, repeat")}</summary>
                {angle.view()}
                {button(tr("Turn, counter-clockwise"), "", no_angle, on(turn))}
                <div class="fields">{count.view()} {right.view()} {back.view()}</div>
                {button(tr("In a row"), "", no_row, on(in_a_row))}
                {button(tr("In a circle about the station point"), "", no_circle, on(in_a_circle))}
            </details>
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
