//! The large panel: force through the stroke, or what else there is to see of this die in this press.

use super::{
    advice::WhatToChange,
    picture::{Zoom, line_picture},
    readings::{Readings, ReadingsState},
    stroke::Force,
    what_if::{Movers, WhatIf},
};
use crate::{
    erased::{effect, flag, memo, on, part, text},
    store::Store,
};
use evenstroke_chart::{
    Style,
    job::{self, Scene},
};
use evenstroke_job::{units::UnitSystem, words};
use evenstroke_language::{say, tr};
use leptos::prelude::*;
use press_load::SlideCourse;

/// What the panel shows.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// Force through the stroke.
    Force,
    /// Speed, energy and stretch.
    Speed,
    /// Snap-through.
    SnapThrough,
    /// Tilt of the slide.
    Tilt,
    /// What if.
    WhatIf,
    /// What moves the limits.
    Movers,
    /// What to change.
    Advice,
    /// What the press says.
    Readings,
}

const FIGURES: [Figure; 8] = [
    Figure::Force,
    Figure::Speed,
    Figure::SnapThrough,
    Figure::Tilt,
    Figure::WhatIf,
    Figure::Movers,
    Figure::Advice,
    Figure::Readings,
];

impl Figure {
    fn title(self) -> &'static str {
        tr(match self {
            Self::Force => "Force through the stroke",
            Self::Speed => "Speed, energy and stretch",
            Self::SnapThrough => "Snap-through, an estimate",
            Self::Tilt => "Tilt of the slide",
            Self::WhatIf => "What if",
            Self::Movers => "What moves the limits",
            Self::Advice => "What to change",
            Self::Readings => "Readings",
        })
    }
}

/// The panel with the choice of what it shows.
#[component]
pub fn Figures(
    /// Colours of the charts.
    style: Memo<Style>,
    /// What is shown.
    figure: RwSignal<Figure>,
) -> impl IntoView {
    let zoom = Zoom::new(expect_context::<Store>());
    provide_context(zoom);
    // Of another figure the whole is shown first.
    effect(move || {
        figure.track();
        zoom.begin();
    });
    // What is typed stays while something else is looked at.
    let readings = ReadingsState::new();
    let options = FIGURES
        .iter()
        .enumerate()
        .map(|(index, &other)| {
            let selected = flag(move || figure.get() == other);
            view! { <option value=index.to_string() prop:selected=selected>{other.title()}</option> }
        })
        .collect_view();
    let choose = move |event| {
        let index = event_target_value(&event).parse().unwrap_or(0_usize);
        figure.set(FIGURES.get(index).copied().unwrap_or(Figure::Force));
    };
    view! {
        <section class="panel stroke" aria-labelledby="stroke-title">
            <div class="panel-head">
                <h2 id="stroke-title">{text(move || figure.get().title().to_owned())}</h2>
                {zoom.buttons()}
                <label class="show">
                    <span>{tr("Show ")}</span>
                    <select class="button" on:change=on(choose)>
                        {options}
                    </select>
                </label>
            </div>
            {part(move || match figure.get() {
                Figure::Force => view! { <Force style=style /> }.into_any(),
                Figure::Speed => view! { <Speed style=style /> }.into_any(),
                Figure::SnapThrough => view! { <SnapThrough style=style /> }.into_any(),
                Figure::Tilt => view! { <Tilt style=style /> }.into_any(),
                Figure::WhatIf => view! { <WhatIf /> }.into_any(),
                Figure::Movers => view! { <Movers /> }.into_any(),
                Figure::Advice => view! { <WhatToChange /> }.into_any(),
                Figure::Readings => view! { <Readings state=readings style=style /> }.into_any(),
            })}
        </section>
    }
}

/// Energy over strokes per minute, with the band in which the die runs.
#[component]
fn Speed(style: Memo<Style>) -> impl IntoView {
    let store = expect_context::<Store>();
    let chart = move || {
        store
            .job
            .with(|job| store.check.with(|check| job::speed_chart(job, check, store.units.get())))
    };
    let lines = move || {
        store.job.with(|job| {
            store.check.with(|check| words::running_words(job, check, store.units.get()))
        })
    };
    view! {
        {line_picture(style, chart)}
        {notes(lines)}
    }
}

/// Force in the press over time.
#[component]
fn SnapThrough(style: Memo<Style>) -> impl IntoView {
    let store = expect_context::<Store>();
    let chart = move || {
        store.job.with(|job| job::snap_through_chart(job, store.units.get())).unwrap_or_default()
    };
    let lines = move || store.job.with(|job| words::snap_through_words(job, store.units.get()));
    view! {
        {line_picture(style, chart)}
        {notes(lines)}
    }
}

/// How far the slide tips.
#[component]
fn Tilt(style: Memo<Style>) -> impl IntoView {
    let store = expect_context::<Store>();
    // Where the slide is now does not change how it tips.
    let course = memo(move || {
        let scene = Scene {
            units: UnitSystem::Metric,
            slide_height: None,
            placement: store.placement.get(),
            strip_state: store.state_in_view(),
        };
        store.job.with(|job| job::tilt_course(job, &scene))
    });
    let chart = move || {
        let scene = store.scene();
        let draw = |course: &SlideCourse| {
            store
                .job
                .with(|job| store.check.with(|check| job::tilt_chart(job, check, &scene, course)))
        };
        course.with(|course| course.as_ref().map(draw).unwrap_or_default())
    };
    let lines = move || {
        let units = store.units.get();
        store.job.with(|job| {
            store.check.with(|check| {
                course.with(|course| match course {
                    Ok(course) => words::slide_tilt_words(job, check, course, units),
                    Err(missing) => vec![say!("Not known: {}", tr(missing.text()))],
                })
            })
        })
    };
    view! {
        {line_picture(style, chart)}
        {notes(lines)}
    }
}

/// Sentences under a picture.
fn notes(lines: impl Fn() -> Vec<String> + Send + 'static) -> AnyView {
    let list =
        move || lines().into_iter().map(|line| view! { <li>{line + "."}</li> }).collect_view();
    view! { <ul class="notes">{part(list)}</ul> }.into_any()
}
