//! The bolster from above: where the die stands, where the load centre sits; the die is dragged
//! here.

use super::{outline::Outlines, picture::keep_painted};
use crate::{
    erased::{flag, on, part, text},
    store::Store,
};
use evenstroke_chart::{PlanView, Style, bolster_plan_summary, job};
use evenstroke_job::words::direction_words;
use evenstroke_language::{say, tr};
use leptos::{html::Canvas, prelude::*, web_sys};
use press_load::{Length, Placement};

/// Shift by one press of an arrow key, and with Shift held, in millimetres.
const FINE_MM: f64 = 1.0;
const COARSE_MM: f64 = 10.0;

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
    let canvas = NodeRef::<Canvas>::new();
    let view = StoredValue::new(None::<PlanView>);
    let outlines = Outlines::new(store);
    let plan = move || {
        let scene = store.scene();
        let mut plan =
            store.job.with(|job| store.check.with(|check| job::bolster_plan(job, check, &scene)));
        plan.editing = outlines.shown();
        plan
    };
    keep_painted(
        canvas,
        Box::new(move |paper, size, ratio| {
            view.set_value(paper.draw_bolster_plan(size, ratio, &plan(), &style.get()).ok());
        }),
    );

    let drag = RwSignal::new(None::<Drag>);
    let begin = move |event: web_sys::PointerEvent| {
        let (Some(element), Some(view)) = (canvas.get(), view.get_value()) else { return };
        let pixel = (f64::from(event.offset_x()), f64::from(event.offset_y()));
        if outlines.is_on() {
            if outlines.grasp(view, pixel) {
                let _ = element.set_pointer_capture(event.pointer_id());
            }
            return;
        }
        let at = view.place_at(pixel);
        let placement = store.placement.get_untracked();
        if !store.job.with_untracked(|job| on_die(job, placement, at)) {
            return;
        }
        let _ = element.set_pointer_capture(event.pointer_id());
        let from = view.place_at((f64::from(event.client_x()), f64::from(event.client_y())));
        drag.set(Some(Drag { view, from, placement }));
    };
    let go_on = move |event: web_sys::PointerEvent| {
        outlines.pull((f64::from(event.offset_x()), f64::from(event.offset_y())));
        let Some(drag) = drag.get_untracked() else { return };
        let to = drag.view.place_at((f64::from(event.client_x()), f64::from(event.client_y())));
        let whole =
            |start: Length, by: f64| Length::from_millimetres((start.millimetres() + by).round());
        store.dragged.set(Some(Placement {
            x: whole(drag.placement.x, to.0 - drag.from.0),
            y: whole(drag.placement.y, to.1 - drag.from.1),
            ..drag.placement
        }));
    };
    let end = move || {
        outlines.let_go();
        if drag.get_untracked().is_some() {
            drag.set(None);
            store.drop_die();
        }
    };
    let give_up = move || {
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
    let by_key = move |event: web_sys::KeyboardEvent| {
        if outlines.is_on() {
            if outlines.press_key(&event.key(), event.shift_key()) {
                event.prevent_default();
            }
            return;
        }
        let step = if event.shift_key() { COARSE_MM } else { FINE_MM };
        match event.key().as_str() {
            "ArrowLeft" => shift(-step, 0.0),
            "ArrowRight" => shift(step, 0.0),
            "ArrowUp" => shift(0.0, step),
            "ArrowDown" => shift(0.0, -step),
            "Escape" => give_up(),
            _ => return,
        }
        event.prevent_default();
    };
    let centre = move |_| {
        let placement = store.placement.get_untracked();
        store.place(Placement { x: Length::ZERO, y: Length::ZERO, ..placement }, "centre the die");
    };
    let place_words = move || {
        if let Some(words) = outlines.words() {
            return words;
        }
        let at = store.placement.get();
        let words = direction_words(at.x, at.y, store.units.get());
        if words == tr("at the centre") {
            tr("Die centre at the bolster centre").to_owned()
        } else {
            say!("Die centre {} of the bolster centre", words)
        }
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
            </div>
            <canvas
                node_ref=canvas
                class="chart"
                class:dragging=flag(move || drag.get().is_some())
                tabindex="0"
                role="application"
                aria-roledescription=text(move || {
                    let keys = if outlines.is_on_now() {
                        tr("arrow keys move the point, page keys go to the next one")
                    } else {
                        tr("arrow keys shift the die")
                    };
                    say!("bolster plan; {}", keys)
                })
                aria-label=text(move || bolster_plan_summary(&plan()))
                on:pointerdown=on(begin)
                on:pointermove=on(go_on)
                on:pointerup=on(move |_| end())
                on:pointercancel=on(move |_| give_up())
                on:keydown=on(by_key)
            ></canvas>
            <div class="controls">
                <p class="place" role="status">{text(place_words)}</p>
                {part(move || (!outlines.is_on_now()).then(|| view! {
                    <button class="button" on:click=on(centre)>{tr("Centre the die")}</button>
                }))}
                {outlines.switch()}
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
