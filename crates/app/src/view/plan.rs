//! The bolster from above: where the die stands, where the load centre sits; the die is dragged
//! here.

use super::{
    moving::Moving,
    outline::Outlines,
    picture::{Act, Frame, Paint, ZOOM_KEYS, Zoom, picture},
};
use crate::{
    erased::{effect, flag, memo, on, part, text},
    store::Store,
};
use evenstroke_chart::{PlanView, Style, bolster_plan_summary, job};
use evenstroke_job::words::direction_words;
use evenstroke_language::{say, tr};
use leptos::{prelude::*, web_sys};
use press_load::{
    Length, Placement,
    place::{caught_by_slots, one_slot_on},
};

/// Shift by one press of an arrow key, and with Shift held, in millimetres.
const FINE_MM: f64 = 1.0;
const COARSE_MM: f64 = 10.0;
/// How near to a place that the slots hold the die is caught, in CSS pixels.
pub const HOLD_PX: f64 = 8.0;

/// Where a drag began.
#[derive(Clone, Copy)]
struct Drag {
    /// Scale of the picture when it began; it may change while the die leaves the bolster.
    view: PlanView,
    /// Pointer in the window, in millimetres of that picture: the page may move below the pointer
    /// while its words change.
    from: (f64, f64),
    placement: Placement,
}

/// The bolster plan with its controls.
#[component]
pub fn PlanPanel(
    /// Colours of the charts.
    style: Memo<Style>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let zoom = Zoom::new(store);
    let view = StoredValue::new(None::<PlanView>);
    let outlines = Outlines::new(store);
    let moving = Moving::new(store);
    // Whether places that slots and pitch give hold nothing.
    let free = RwSignal::new(false);
    let edited = memo(move || outlines.is_on_now());
    // The picture of a cut has another whole than that of the bolster.
    effect(move || {
        edited.get();
        zoom.set(None);
    });
    let plan = move || {
        let scene = store.scene();
        let mut plan =
            store.job.with(|job| store.check.with(|check| job::bolster_plan(job, check, &scene)));
        plan.editing = outlines.shown();
        plan.handles = moving.handles();
        plan.window = zoom.window();
        plan
    };
    let paint: Paint = Box::new(move |paper, size, ratio, style| {
        let plan = plan();
        let drawn = paper.draw_bolster_plan(size, ratio, &plan, style).ok();
        view.set_value(drawn);
        let about = |view: &PlanView| match plan.die {
            Some(die) if plan.editing.is_none() => view.pixel_at((die.shift_x_mm, die.shift_y_mm)),
            _ => (view.size.0 / 2.0, view.size.1 / 2.0),
        };
        zoom.saw(drawn.map(|view| (view.sight(), about(&view))));
    });

    let drag = RwSignal::new(None::<Drag>);
    let client =
        |event: &web_sys::PointerEvent| (f64::from(event.client_x()), f64::from(event.client_y()));
    let is_free = move |event: &web_sys::PointerEvent| {
        free.get_untracked() || event.alt_key() || event.ctrl_key() || event.meta_key()
    };
    let begin = move |event: &web_sys::PointerEvent, pixel: (f64, f64)| {
        let Some(view) = view.get_value() else { return false };
        if outlines.is_on() {
            return outlines.grasp(view, pixel);
        }
        if moving.is_on() {
            return moving.grasp(view, pixel, client(event));
        }
        let placement = store.placement.get_untracked();
        let at = view.place_at(pixel);
        let held = store.job.with_untracked(|job| on_die(job, placement, at));
        if held {
            drag.set(Some(Drag { view, from: view.place_at(client(event)), placement }));
        }
        held
    };
    let go_on = move |event: &web_sys::PointerEvent, pixel: (f64, f64)| {
        outlines.pull(pixel);
        moving.pull(client(event), is_free(event));
        let Some(drag) = drag.get_untracked() else { return };
        let to = drag.view.place_at(client(event));
        let whole =
            |start: Length, by: f64| Length::from_millimetres((start.millimetres() + by).round());
        let place = Placement {
            x: whole(drag.placement.x, to.0 - drag.from.0),
            y: whole(drag.placement.y, to.1 - drag.from.1),
            ..drag.placement
        };
        let hold = Length::from_millimetres(HOLD_PX / drag.view.pixels_per_mm);
        let caught =
            || store.job.with_untracked(|job| caught_by_slots(&job.press, &job.die, place, hold));
        let caught = if is_free(event) { None } else { caught() };
        store.dragged.set(Some(caught.unwrap_or(place)));
    };
    let end = move || {
        outlines.let_go();
        moving.let_go();
        if drag.get_untracked().is_some() {
            drag.set(None);
            store.drop_die();
        }
    };
    let give_up = move || {
        outlines.let_go();
        moving.give_up();
        drag.set(None);
        store.dragged.set(None);
    };
    let shift = move |x: f64, y: f64| {
        let placement = store.placement.get_untracked();
        store.place(
            Placement {
                x: placement.x + Length::from_millimetres(x),
                y: placement.y + Length::from_millimetres(y),
                ..placement
            },
            "arrow keys",
        );
    };
    // To the next place that the slots hold; along them there is none.
    let to_next_slot = move |to_the_back: bool, steps: f64| {
        let placement = store.placement.get_untracked();
        let next = store
            .job
            .with_untracked(|job| one_slot_on(&job.press, &job.die, placement, to_the_back, steps));
        match next {
            Some(next) => store.place(next, "keys from slot to slot"),
            None if to_the_back => shift(0.0, steps * COARSE_MM),
            None => shift(steps * COARSE_MM, 0.0),
        }
    };
    let by_key = move |event: &web_sys::KeyboardEvent| {
        if outlines.is_on() {
            return outlines.press_key(&event.key(), event.shift_key());
        }
        if moving.is_on() {
            return moving.press_key(event);
        }
        let step = if event.shift_key() { COARSE_MM } else { FINE_MM };
        let (x, y) = match event.key().as_str() {
            "ArrowLeft" => (-1.0, 0.0),
            "ArrowRight" => (1.0, 0.0),
            "ArrowUp" => (0.0, 1.0),
            "ArrowDown" => (0.0, -1.0),
            "Escape" => {
                give_up();
                return true;
            }
            _ => return false,
        };
        if event.ctrl_key() || event.meta_key() {
            to_next_slot(y != 0.0, x + y);
        } else {
            shift(x * step, y * step);
        }
        true
    };
    let act = move |what: Act| match what {
        Act::Begin(event, pixel) => begin(event, pixel),
        Act::GoOn(event, pixel) => {
            go_on(event, pixel);
            true
        }
        Act::End => {
            end();
            true
        }
        Act::GiveUp => {
            give_up();
            true
        }
        Act::Key(event) => by_key(event),
        Act::Touch(_) | Act::Leave => false,
    };
    let centre = move |_| {
        let placement = store.placement.get_untracked();
        store.place(Placement { x: Length::ZERO, y: Length::ZERO, ..placement }, "centre the die");
    };
    let place_words = move || {
        if let Some(words) = outlines.words() {
            return words;
        }
        if let Some(words) = moving.words() {
            return words;
        }
        let at = store.placement.get();
        let words = direction_words(at.x, at.y, store.units.get());
        let words = if words == tr("at the centre") {
            tr("Die centre at the bolster centre").to_owned()
        } else {
            say!("Die centre {} of the bolster centre", words)
        };
        // While it is held the hand has to know whether it is caught.
        let hundredth = Length::from_millimetres(0.05);
        let is_held = drag.get().is_some()
            && store.job.with(|job| caught_by_slots(&job.press, &job.die, at, hundredth)).is_some();
        if is_held { say!("{}; the slots hold it", words) } else { words }
    };
    let keys = text(move || {
        let keys = if outlines.is_on_now() {
            tr("arrow keys move the point, page keys go to the next one").to_owned()
        } else if moving.is_on_now() {
            tr("arrow keys move the station by 1 mm, with Shift by 10 mm, with Ctrl by the pitch; page keys choose another").to_owned()
        } else {
            tr("arrow keys shift the die by 1 mm, with Shift by 10 mm, with Ctrl from slot to slot")
                .to_owned()
        };
        say!("bolster plan; {}; {}", keys, tr(ZOOM_KEYS))
    });
    let class = text(move || {
        let held = drag.get().is_some() || moving.is_held();
        if held { "dragging" } else { "" }.to_owned()
    });
    let frame = Frame {
        name: text(move || bolster_plan_summary(&plan())),
        says: None,
        keys,
        class,
        reading: None,
        act: Box::new(act),
    };
    let has_places = memo(move || {
        store.job.with(|job| job.press.bolster_slots.is_some() || job.die.strip.is_some())
    });
    let free_switch = move || {
        has_places.get().then(|| {
            view! {
                <button
                    class="button"
                    aria-pressed=text(move || free.get().to_string())
                    title=tr("Also while Alt or Ctrl is held")
                    on:click=on(move |_| free.update(|free| *free = !*free))
                >
                    {text(move || if free.get() { tr("✓ Place freely") } else { tr("Place freely") }.to_owned())}
                </button>
            }
        })
    };
    view! {
        <section
            class="panel plan"
            class:editing=flag(move || outlines.is_on_now())
            aria-labelledby="plan-title"
        >
            <div class="panel-head">
                <h2 id="plan-title">{tr("Bolster plan")}</h2>
                <span>{text(move || store.job.with(|job| job.press_name.clone()))}</span>
                {zoom.buttons()}
            </div>
            {picture(style, zoom, frame, paint)}
            <p class="place" role="status">{text(place_words)}</p>
            <div class="controls">
                {part(move || (!outlines.is_on_now() && !moving.is_on_now()).then(|| view! {
                    <button class="button" on:click=on(centre)>{tr("Centre the die")}</button>
                }))}
                {part(move || (!outlines.is_on_now()).then(free_switch))}
                {part(move || (!outlines.is_on_now()).then(|| moving.switch()))}
                {part(move || (!moving.is_on_now()).then(|| outlines.switch()))}
            </div>
            {part(move || outlines.is_on_now().then(|| outlines.controls()))}
        </section>
    }
}

/// Whether a place on the bolster lies on the die; without a die size, near its centre.
fn on_die(job: &evenstroke_job::Job, placement: Placement, (x, y): (f64, f64)) -> bool {
    const WITHOUT_SIZE_MM: f64 = 60.0;
    let (half_width, half_depth) =
        job.die.placed_footprint().map_or((WITHOUT_SIZE_MM, WITHOUT_SIZE_MM), |area| {
            (area.width.millimetres() / 2.0, area.depth.millimetres() / 2.0)
        });
    (x - placement.x.millimetres()).abs() <= half_width
        && (y - placement.y.millimetres()).abs() <= half_depth
}
