//! What would happen if, and what moves the limits: worked out piece by piece, so that the page does
//! not stand still.

use crate::{
    erased::{effect, flag, memo, on, part, text},
    store::{Shared, Store},
};
use evenstroke_job::{
    Job,
    sensitivity::{self, Search},
    spec::Unit,
    units::UnitSystem,
    what_if::{self, Outcome, Place},
    words,
};
use evenstroke_language::{number, say, tr};
use leptos::prelude::*;
use press_load::{Check, LimitId, State};
use std::time::Duration;

/// How long a job has to stand still before it is worked out anew.
const STOOD_STILL: Duration = Duration::from_millis(200);

/// One case as it is shown.
#[derive(Clone, PartialEq)]
struct CaseRow {
    label: String,
    peak: String,
    points: String,
    breaks: String,
    alarm: String,
    is_over: bool,
}

/// What would happen if.
#[component]
pub fn WhatIf() -> impl IntoView {
    let store = expect_context::<Store>();
    let rows = RwSignal::new(Vec::<CaseRow>::new());
    let left = RwSignal::new(0_usize);
    piece_by_piece(Box::new(move |job, check| {
        let units = store.units.get_untracked();
        let (mut cases, _) = what_if::cases(job, check);
        cases.reverse();
        rows.set(Vec::new());
        left.set(cases.len());
        let (job, check) = (job.clone(), check.clone());
        Box::new(move || {
            let Some(case) = cases.pop() else { return false };
            left.set(cases.len());
            if let Some(outcome) = case.outcome(&job, &check) {
                rows.update(|rows| rows.push(case_row(&job, &outcome, units)));
            }
            true
        })
    }));
    let status = move || match left.get() {
        0 => store.job.with(|job| band_words(&what_if::AlarmBand::of(job))),
        1 => tr("One case to go …").to_owned(),
        left => say!("{} cases to go …", left),
    };
    let body = move || {
        let row = |row: CaseRow| {
            let class = if row.is_over { "over" } else { "" };
            view! {
                <tr class=class>
                    <th scope="row">{row.label}</th>
                    <td>{row.peak}</td>
                    <td>{row.points}</td>
                    <td class="breaks">{row.breaks}</td>
                    <td>{row.alarm}</td>
                </tr>
            }
        };
        rows.get().into_iter().map(row).collect_view()
    };
    view! {
        <div class="scroll" tabindex="0" role="region" aria-label=tr("Cases")>
            <table class="cases">
                <thead>
                    <tr>
                        <th scope="col">{tr("Case")}</th>
                        <th scope="col">{tr("Peak")}</th>
                        <th scope="col">{tr("Suspension points")}</th>
                        <th scope="col">{tr("Limits")}</th>
                        <th scope="col">{tr("Load alarm")}</th>
                    </tr>
                </thead>
                <tbody>{part(body)}</tbody>
            </table>
        </div>
        <p class="notes" role="status">{text(status)}</p>
    }
}

fn band_words(band: &what_if::AlarmBand) -> String {
    say!(
        "Alarm band taken: +{} % and −{} % of the normal peaks{}.",
        number(band.high * 100.0, 0),
        number(band.low * 100.0, 0),
        if band.assumed {
            tr(" (common practice; enter the shop's own with the method)")
        } else {
            ""
        }
    )
}

fn case_row(job: &Job, outcome: &Outcome, units: UnitSystem) -> CaseRow {
    let change = |reading: &what_if::Reading| {
        let normal = reading.normal.newtons();
        if normal > 0.0 {
            what_if::percent(reading.now.newtons() / normal - 1.0)
        } else {
            "–".to_owned()
        }
    };
    let (mut peak, mut points) = (String::new(), Vec::new());
    for reading in &outcome.readings {
        if reading.place == Place::Total {
            let now = units.show(reading.now.kilonewtons(), Unit::Kn);
            peak = format!("{now}, {}", change(reading));
        } else {
            points.push(format!("{} {}", reading.place.label(), change(reading)));
        }
    }
    CaseRow {
        label: outcome.case.label(job),
        peak,
        points: points.join(", "),
        breaks: what_if::breaks_words(outcome),
        alarm: what_if::alarm_words(outcome),
        is_over: !outcome.breaks.is_empty(),
    }
}

/// What moves each limit most, one input at a time.
#[component]
pub fn Movers() -> impl IntoView {
    let store = expect_context::<Store>();
    let found = RwSignal::new(None::<Shared<Vec<sensitivity::Movers>>>);
    let chosen = RwSignal::new(None::<LimitId>);
    piece_by_piece(Box::new(move |job, check| {
        found.set(None);
        let job = job.clone();
        let mut search = Some(Search::new(&job, check));
        Box::new(move || {
            if search.as_mut().is_some_and(|search| search.step(&job)) {
                return true;
            }
            found.set(search.take().map(|search| Shared::new(search.finish())));
            false
        })
    }));
    // The limit nearest to its end, if nobody has chosen one.
    let limit = memo(move || {
        let nearest = || store.check.with(|check| words::worst_first(check).first().map(|l| l.id));
        chosen.get().or_else(nearest).unwrap_or(LimitId::RatedForce)
    });
    let options = move || {
        store.check.with(|check| {
            let checked =
                words::worst_first(check).into_iter().filter(|l| l.state != State::NotChecked);
            checked
                .map(|judged| {
                    let id = judged.id;
                    let selected = flag(move || limit.get() == id);
                    view! {
                        <option value=id.key() selected=selected>{words::limit_label(id)}</option>
                    }
                })
                .collect_view()
        })
    };
    let choose = move |event| {
        let key = event_target_value(&event);
        chosen.set(LimitId::ALL.iter().copied().find(|id| id.key() == key));
    };
    let bars = move || {
        let say =
            |words: &'static str| view! { <p class="notes" role="status">{words}</p> }.into_any();
        let Some(found) = found.get() else {
            return say(tr("Trying one input after the other …"));
        };
        match found.iter().find(|movers| movers.id == limit.get()) {
            None => say(tr("This limit was not checked.")),
            Some(movers) if movers.movers.is_empty() => {
                say(tr("No input that is uncertain moves this limit."))
            }
            Some(movers) => mover_bars(movers, store.units.get()),
        }
    };
    view! {
        <label class="show">
            <span>{tr("Limit ")}</span>
            <select class="button" on:change=on(choose)>{part(options)}</select>
        </label>
        <div
            class="scroll"
            tabindex="0"
            role="region"
            aria-label=tr("Inputs, the one that moves it most first")
        >
            {part(bars)}
        </div>
        <p class="notes">
            {tr("A bar runs from the share at one end of the input to that at the other; the thin line is the share as judged, the thick one is 1.00.")}
        </p>
    }
}

fn mover_bars(movers: &sensitivity::Movers, units: UnitSystem) -> AnyView {
    let ends = |mover: &sensitivity::Mover| {
        let (a, b) = (mover.share_at_low, mover.share_at_high);
        (a.min(b), a.max(b))
    };
    let finite = movers.movers.iter().map(|mover| ends(mover).1).filter(|share| share.is_finite());
    let most = finite.fold(1.0, f64::max) * 1.04;
    let percent = move |share: f64| format!("{:.2}%", (share / most).clamp(0.0, 1.0) * 100.0);
    let bar = |mover: &sensitivity::Mover| {
        let ((low, high), input) = (ends(mover), &mover.input);
        let span = format!(
            "{} … {}",
            units.number(input.low, input.unit),
            units.show(input.high, input.unit)
        );
        let shares = format!(
            "{} … {}",
            words::share_words(mover.share_at_low),
            words::share_words(mover.share_at_high)
        );
        view! {
            <li class="mover">
                <span class="mover-name">{input.label.clone()}</span>
                <span class="mover-span">{span}</span>
                <span class="track" aria-hidden="true">
                    <span class="fill" style:left=percent(low) style:width=percent(high - low)></span>
                    <span class="mark" style:left=percent(1.0)></span>
                    <span class="mark near-mark" style:left=percent(movers.share)></span>
                </span>
                <span class="mover-share">{shares}</span>
                <span class="mover-why">{input.why}</span>
            </li>
        }
    };
    view! { <ul class="movers">{movers.movers.iter().map(bar).collect_view()}</ul> }.into_any()
}

/// Work that goes on a piece at a time: true as long as there is more.
type Pieces = Box<dyn FnMut() -> bool>;
/// Begins such work for a job as judged.
type Begin = Box<dyn Fn(&Job, &Check) -> Pieces>;

/// Begins anew when job or check have changed and stood still for a while, as a dragged die does not,
/// and lets the page breathe between the pieces.
fn piece_by_piece(begin: Begin) {
    let store = expect_context::<Store>();
    let round = StoredValue::new(0_u32);
    let begin = StoredValue::new_local(begin);
    effect(move || {
        store.job.track();
        store.check.track();
        store.units.track();
        round.update_value(|round| *round += 1);
        let mine = round.get_value();
        set_timeout(
            move || {
                if round.try_get_value() != Some(mine) {
                    return;
                }
                let pieces = store.job.with_untracked(|job| {
                    store.check.with_untracked(|check| begin.with_value(|begin| begin(job, check)))
                });
                go_on(round, mine, pieces);
            },
            STOOD_STILL,
        );
    });
}

fn go_on(round: StoredValue<u32>, mine: u32, mut pieces: Pieces) {
    set_timeout(
        move || {
            // Another round has begun, or the figure is gone.
            if round.try_get_value() == Some(mine) && pieces() {
                go_on(round, mine, pieces);
            }
        },
        Duration::ZERO,
    );
}
