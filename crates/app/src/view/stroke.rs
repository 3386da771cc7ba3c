//! Force through the stroke, with the handle that moves the slide.

use crate::{
    browser,
    erased::{effect, flag, memo, on, part, text},
    form::parse_number,
    store::Store,
};
use evenstroke_chart::{
    ChartCanvas, ChartView, Handle, StrokeChart, Style, job, stroke_chart_summary,
};
use evenstroke_job::{
    spec::Unit,
    words::{point_words, strip_state_words},
};
use leptos::{html::Canvas, prelude::*, web_sys};
use press_load::{Length, StripState};
use std::time::Duration;

/// How long the played stroke takes from the first touch to BDC and back.
const STROKE_SECONDS: f64 = 6.0;

/// The stroke chart with its controls and its numbers.
#[component]
pub fn StrokePanel(
    /// Colours of the charts.
    style: Memo<Style>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let canvas = NodeRef::<Canvas>::new();
    let paper = StoredValue::new_local(None::<ChartCanvas>);
    let view = StoredValue::new(None::<ChartView>);
    let resized = RwSignal::new(0_u32);
    // The curves do not depend on where the die or the slide is.
    let curves = memo(move || {
        let scene = job::Scene {
            units: store.units.get(),
            slide_height: None,
            placement: store.job.with(|job| job.die.placement),
            strip_state: store.state_in_view(),
        };
        store.job.with(|job| {
            let check = job.check();
            job::stroke_chart(job, &check, &scene)
        })
    });
    let height = memo(move || {
        store
            .slide_height
            .get()
            .or_else(|| store.check.with(|check| check.peak_upper.map(|peak| peak.height)))
            .unwrap_or_default()
    });
    let chart = move || {
        let units = store.units.get();
        let millimetres = height.get().millimetres();
        StrokeChart {
            handle: Some(Handle {
                height: units.to_screen(millimetres, Unit::Mm),
                tag: units.show(millimetres, Unit::Mm),
            }),
            ..curves.get()
        }
    };
    effect(move || {
        let Some(element) = canvas.get() else { return };
        if paper.with_value(Option::is_none) {
            browser::on_resize(&element, resized);
            paper.set_value(ChartCanvas::new(element.clone()));
        }
        resized.track();
        let size = (f64::from(element.client_width()), f64::from(element.client_height()));
        let drawn = paper.with_value(|paper| {
            paper
                .as_ref()?
                .draw_stroke_chart(size, browser::device_pixel_ratio(), &chart(), &style.get())
                .ok()
        });
        view.set_value(drawn);
    });

    // The highest height that the chart shows; the handle stays within it.
    let top = memo(move || {
        let from = curves.with(|chart| chart.range.from_height);
        store.units.get().to_file(from, Unit::Mm)
    });
    let move_to = move |millimetres: f64| {
        let millimetres = millimetres.clamp(0.0, top.get_untracked());
        store.slide_height.set(Some(Length::from_millimetres(millimetres)));
    };
    let playing = RwSignal::new(None::<f64>);
    let drag_to = move |event: &web_sys::PointerEvent| {
        if let Some(view) = view.get_value() {
            let units = store.units.get_untracked();
            playing.set(None);
            move_to(units.to_file(view.height_at(f64::from(event.offset_x())), Unit::Mm));
        }
    };
    let holding = RwSignal::new(false);
    let press = move |event: web_sys::PointerEvent| {
        if let Some(element) = canvas.get() {
            let _ = element.set_pointer_capture(event.pointer_id());
        }
        holding.set(true);
        drag_to(&event);
    };

    // Time since the run was started decides where the slide is, so that a slow page skips
    // pictures instead of playing slower.
    let step = move || {
        let Some(started) = playing.get_untracked() else { return };
        let part = (browser::now_ms() - started) / 1_000.0 / STROKE_SECONDS;
        if part >= 1.0 {
            playing.set(None);
            store.slide_height.set(None);
            return;
        }
        let from_bdc = (2.0 * part - 1.0).abs();
        move_to(top.get_untracked() * from_bdc);
    };
    effect(move || {
        if playing.get().is_some() {
            animate(step, playing);
        }
    });
    let run = move |_| {
        if playing.get_untracked().is_some() {
            playing.set(None);
        } else {
            playing.set(Some(browser::now_ms()));
        }
    };

    let states = move || store.check.with(|check| check.strip_states.clone());
    view! {
        <section class="panel stroke" aria-labelledby="stroke-title">
            <div class="panel-head">
                <h2 id="stroke-title">"Force through the stroke"</h2>
                <span>"time runs to the right, into BDC"</span>
            </div>
            <canvas
                node_ref=canvas
                class="chart"
                role="img"
                aria-label=text(move || stroke_chart_summary(&chart()))
                on:pointerdown=on(press)
                on:pointermove=on(move |event| if holding.get_untracked() { drag_to(&event) })
                on:pointerup=on(move |_| holding.set(false))
                on:pointercancel=on(move |_| holding.set(false))
            ></canvas>
            <div class="controls">
                <button class="button" on:click=on(run)>
                    {text(move || if playing.get().is_some() { "Stop".to_owned() } else { "Run a stroke".to_owned() })}
                </button>
                <label class="handle">
                    <span class="sr-only">"Slide height above BDC"</span>
                    <input
                        type="range"
                        min="0"
                        max=text(move || format!("{:.3}", top.get()))
                        step="0.05"
                        // Time runs left to right into BDC, as in the chart.
                        prop:value=text(move || format!("{:.3}", top.get() - height.get().millimetres()))
                        aria-valuetext=text(move || {
                            let units = store.units.get();
                            format!("{} above BDC", units.show(height.get().millimetres(), Unit::Mm))
                        })
                        on:input=on(move |event| {
                            playing.set(None);
                            if let Ok(Some(value)) = parse_number(&event_target_value(&event)) {
                                move_to(top.get_untracked() - value);
                            }
                        })
                    />
                </label>
                <button class="button" on:click=on(move |_| { playing.set(None); store.slide_height.set(None) })>
                    "To the peak"
                </button>
                {part(move || {
                    let states = states();
                    (states.len() > 1).then(|| view! { <StripStates states=states /> })
                })}
            </div>
            <Readout />
        </section>
    }
}

/// The choice of strip state.
#[component]
fn StripStates(states: Vec<StripState>) -> impl IntoView {
    let store = expect_context::<Store>();
    let known = states.clone();
    let choose = move |event: web_sys::Event| {
        let word = event_target_value(&event);
        let found = known.iter().copied().find(|state| state.to_string() == word);
        store.strip_state.set(found.unwrap_or(StripState::Full));
    };
    let options = states
        .into_iter()
        .map(|state| {
            let selected = flag(move || store.state_in_view() == state);
            view! {
                <option value=state.to_string() selected=selected>
                    {strip_state_words(state)}
                </option>
            }
        })
        .collect_view();
    view! {
        <label class="strip">
            <span class="sr-only">"Strip state"</span>
            <select class="button" on:change=on(choose)>
                {options}
            </select>
        </label>
    }
}

/// Calls `step` before every repaint while something is playing.
fn animate(step: impl Fn() + Copy + 'static, playing: RwSignal<Option<f64>>) {
    step();
    set_timeout(
        move || {
            if playing.try_get_untracked().flatten().is_some() {
                request_animation_frame(move || animate(step, playing));
            }
        },
        Duration::ZERO,
    );
}

/// The numbers at the slide's height.
#[component]
fn Readout() -> impl IntoView {
    let store = expect_context::<Store>();
    let now = move || {
        store.job.with(|job| store.check.with(|check| job::now(job, check, &store.scene())))
    };
    let words = move || {
        let (now, units) = (now(), store.units.get());
        let kn = |force: press_load::Force| units.show(force.kilonewtons(), Unit::Kn);
        let allowed = now.available.map_or_else(
            || "what the press allows is not known".to_owned(),
            |available| format!("press allows {}", kn(available)),
        );
        let centre = now.centre.map_or_else(
            || "no load to speak of".to_owned(),
            |centre| format!("load centre {}", point_words(centre, units)),
        );
        let height = units.show(now.height.millimetres(), Unit::Mm);
        let angle = store
            .job
            .with(|job| job.press.drive.degrees_before_bdc(now.height))
            .map_or_else(String::new, |degrees| format!(" ({degrees:.0}° before BDC)"));
        format!(
            "At {height}{angle}: {} nominal, {} upper; {allowed}; {centre}.",
            kn(now.force),
            kn(now.upper)
        )
    };
    view! { <p class="readout" data-testid="readout">{text(words)}</p> }
}
