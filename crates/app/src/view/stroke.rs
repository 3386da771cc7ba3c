//! Force through the stroke, with the handle that moves the slide.

use super::{
    picture::{Act, Frame, Paint, Pixel, Reading, ZOOM_KEYS, Zoom, picture},
    working::{Asked, opener},
};
use crate::{
    browser,
    erased::{effect, flag, memo, on, part, text},
    form::parse_number,
    store::Store,
};
use evenstroke_chart::{ChartView, Handle, StrokeChart, Style, job, stroke_chart_summary};
use evenstroke_job::{
    spec::Unit,
    words::{self, point_words, strip_state_words},
};
use evenstroke_language::{number, say, tr};
use leptos::{prelude::*, web_sys};
use press_load::{Length, StripState};
use std::time::Duration;

/// How long the played stroke takes from the first touch to BDC and back.
const STROKE_SECONDS: f64 = 6.0;

/// How far from the handle a finger may be, in CSS pixels.
const REACH_PX: f64 = 24.0;

/// At which height the curves are read.
#[derive(Clone, Copy, PartialEq)]
enum Look {
    Nothing,
    /// Where the slide is.
    Handle,
    /// Here, as the chart shows it.
    At(f64),
}

/// The stroke chart with its controls and its numbers.
#[component]
pub fn Force(
    /// Colours of the charts.
    style: Memo<Style>,
) -> impl IntoView {
    let store = expect_context::<Store>();
    let zoom = expect_context::<Zoom>();
    // What is read: the curves where the slide is, or where a mouse passes over them.
    let look = RwSignal::new(Look::Nothing);
    let spoken = RwSignal::new(false);
    let view = StoredValue::new(None::<ChartView>);
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
    // As the chart shows it.
    let shown_height = move || store.units.get().to_screen(height.get().millimetres(), Unit::Mm);
    let chart = move || {
        let units = store.units.get();
        StrokeChart {
            handle: Some(Handle {
                height: shown_height(),
                tag: units.show(height.get().millimetres(), Unit::Mm),
            }),
            window: zoom.window(),
            read: match look.get() {
                Look::At(height) => Some(height),
                _ => None,
            },
            ..curves.get()
        }
    };
    let paint: Paint = Box::new(move |paper, size, ratio, style| {
        let chart = chart();
        let drawn = paper.draw_stroke_chart(size, ratio, &chart, style).ok();
        view.set_value(drawn);
        let about = |view: &ChartView| {
            let height = chart.handle.as_ref().map_or(0.0, |handle| handle.height);
            let force = job::force_at(&chart.upper, height).unwrap_or(0.0);
            (view.x_at(height), view.y_at(force))
        };
        zoom.saw(drawn.map(|view| (view.sight(), about(&view))));
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
    let drag_to = move |pixel: Pixel| {
        if let Some(view) = view.get_value() {
            let units = store.units.get_untracked();
            playing.set(None);
            look.set(Look::Handle);
            let inside = pixel.0.clamp(view.left, view.right);
            move_to(units.to_file(view.height_at(inside), Unit::Mm));
        }
    };
    let pass_over = move |pixel: Pixel| {
        let inside = view.get_value().filter(|view| (view.left..=view.right).contains(&pixel.0));
        look.set(inside.map_or(Look::Nothing, |view| Look::At(view.height_at(pixel.0))));
    };
    let by_key = move |event: &web_sys::KeyboardEvent| {
        let Some(view) = view.get_value() else { return false };
        let width = view.right - view.left;
        let step = width * if event.shift_key() { 0.05 } else { 0.005 };
        let now = view.x_at(untrack(shown_height));
        match event.key().as_str() {
            "ArrowLeft" => drag_to((now - step, 0.0)),
            "ArrowRight" => drag_to((now + step, 0.0)),
            "Home" => drag_to((view.left, 0.0)),
            "End" => drag_to((view.right, 0.0)),
            "Escape" => look.set(Look::Nothing),
            _ => return false,
        }
        true
    };
    let act = move |what: Act| {
        match what {
            Act::Begin(_, pixel) => {
                // Of a part, a drag beside the handle moves what is in view.
                let near_handle = view.get_value().is_some_and(|view| {
                    (view.x_at(untrack(shown_height)) - pixel.0).abs() <= REACH_PX
                });
                if zoom.is_near() && !near_handle {
                    return false;
                }
                drag_to(pixel);
                return true;
            }
            Act::GoOn(_, pixel) => drag_to(pixel),
            Act::Touch(pixel) => pass_over(pixel),
            Act::Leave => look.set(Look::Nothing),
            Act::Key(event) => return by_key(event),
            Act::End | Act::GiveUp => {}
        }
        false
    };
    let read_at = move || match look.get() {
        Look::Nothing => None,
        Look::Handle => Some(shown_height()),
        Look::At(height) => Some(height),
    };
    let words = text(move || {
        let Some(height) = read_at() else { return String::new() };
        let units = store.units.get();
        curves.with(|chart| job::stroke_reading(chart, units, height)).join("\n")
    });
    let at_left = flag(move || {
        let Some(height) = read_at() else { return false };
        zoom.window();
        view.get_value()
            .is_some_and(|view| view.x_at(height) < f64::midpoint(view.left, view.right))
    });
    let frame = Frame {
        name: text(|| tr("Chart").to_owned()),
        says: Some(text(move || stroke_chart_summary(&chart()))),
        keys: text(|| {
            say!("chart; arrow keys move the slide and read the values, {}", tr(ZOOM_KEYS))
        }),
        class: text(String::new),
        reading: Some(Reading { words, at_left, spoken }),
        act: Box::new(act),
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
        {picture(style, zoom, frame, paint)}
            <div class="controls">
                <button class="button" on:click=on(run)>
                    {text(move || if playing.get().is_some() { tr("Stop").to_owned() } else { tr("Run a stroke").to_owned() })}
                </button>
                <label class="handle">
                    <span class="sr-only">{tr("Slide height above BDC")}</span>
                    <input
                        type="range"
                        min="0"
                        max=text(move || format!("{:.3}", top.get()))
                        step="0.05"
                        // Time runs left to right into BDC, as in the chart.
                        prop:value=text(move || format!("{:.3}", top.get() - height.get().millimetres()))
                        aria-valuetext=text(move || {
                            let units = store.units.get();
                            say!("{} above BDC", units.show(height.get().millimetres(), Unit::Mm))
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
                    {tr("To the peak")}
                </button>
                {part(move || {
                    let states = states();
                    (states.len() > 1).then(|| view! { <StripStates states=states /> })
                })}
            </div>
        <Readout />
    }
}

/// The choice of strip state: a list, a step back and on, and the state that is worst.
#[component]
fn StripStates(states: Vec<StripState>) -> impl IntoView {
    let store = expect_context::<Store>();
    let known = StoredValue::new(in_time(&states));
    let choose = move |event: web_sys::Event| {
        let word = event_target_value(&event);
        let found =
            known.with_value(|known| known.iter().copied().find(|state| state.to_string() == word));
        store.strip_state.set(found.unwrap_or(StripState::Full));
    };
    let go = move |by: isize| {
        let now = store.state_in_view();
        known.with_value(|known| {
            let at = known.iter().position(|&state| state == now).unwrap_or(0);
            let next = (at as isize + by).rem_euclid(known.len() as isize);
            store.strip_state.set(known[next as usize]);
        });
    };
    let worst = move |_| {
        let worst = store.check.with_untracked(|check| {
            let judged = |limit: &&press_load::Limit| {
                limit.outcome.is_ok_and(|used| used.at_height.is_some())
            };
            words::worst_first(check).into_iter().find(judged).and_then(|limit| limit.outcome.ok())
        });
        if let Some(used) = worst {
            store.strip_state.set(used.strip_state);
            store.slide_height.set(used.at_height);
        }
    };
    let options = known
        .get_value()
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
        <div class="strip" role="group" aria-label=tr("Strip")>
            <button class="button icon" aria-label=tr("Strip one step back") on:click=on(move |_| go(-1))>
                "‹"
            </button>
            <label>
                <span class="sr-only">{tr("Strip state")}</span>
                <select class="button" on:change=on(choose)>
                    {options}
                </select>
            </label>
            <button class="button icon" aria-label=tr("Strip one step on") on:click=on(move |_| go(1))>
                "›"
            </button>
            <button class="button" on:click=on(worst)>{tr("Worst")}</button>
        </div>
    }
}

/// The states as they come in time: filling up, full, a blank missing, running out.
fn in_time(states: &[StripState]) -> Vec<StripState> {
    let rank = |state: &StripState| match state {
        StripState::Filling(_) | StripState::Hit(_) => 0.0,
        StripState::Full => 1.0,
        StripState::BlankMissing(_) => 2.0,
        StripState::RunningOut(_) => 3.0,
    };
    let ranks: Vec<f64> = states.iter().map(rank).collect();
    press_load::order::rising(&ranks).into_iter().map(|i| states[i]).collect()
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
            || tr("what the press allows is not known").to_owned(),
            |available| say!("press allows {}", kn(available)),
        );
        let centre = now.centre.map_or_else(
            || tr("no load to speak of").to_owned(),
            |centre| say!("load centre {}", point_words(centre, units)),
        );
        let height = units.show(now.height.millimetres(), Unit::Mm);
        let angle = store
            .job
            .with(|job| job.press.drive.degrees_before_bdc(now.height))
            .map_or_else(String::new, |degrees| say!(" ({}° before BDC)", number(degrees, 0)));
        let speed = store
            .job
            .with(|job| job.press.drive.speed_at(now.height, job.press.speed))
            .map_or_else(String::new, |speed| {
                say!(", slide at {}", units.show(speed * 1e3, Unit::MmPerS))
            });
        say!(
            "At {}{}{}: {} nominal, {} upper; {}; {}.",
            height,
            angle,
            speed,
            kn(now.force),
            kn(now.upper),
            allowed,
            centre
        )
    };
    view! {
        <div class="readout-row">
            <p class="readout" data-testid="readout">{text(words)}</p>
            {opener(Asked::Now, tr("Working"), tr("Show the working of these numbers").to_owned())}
        </div>
    }
}
