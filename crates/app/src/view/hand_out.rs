//! Pictures and curve as files.

use crate::{browser, erased::on, files, store::Store};
use evenstroke_chart::{Style, bolster_plan_svg, job, stroke_chart_svg};
use evenstroke_job::report::curve_csv;
use leptos::prelude::*;
use wasm_bindgen::JsCast;

/// What can be handed out beside the job.
#[derive(Clone, Copy)]
enum Piece {
    ChartSvg,
    ChartPng,
    PlanSvg,
    PlanPng,
    CurveCsv,
}

const PIECES: [(Piece, &str, &str); 5] = [
    (Piece::ChartSvg, "Stroke chart, SVG", "-stroke.svg"),
    (Piece::ChartPng, "Stroke chart, PNG", "-stroke.png"),
    (Piece::PlanSvg, "Bolster plan, SVG", "-plan.svg"),
    (Piece::PlanPng, "Bolster plan, PNG", "-plan.png"),
    (Piece::CurveCsv, "Force curve, CSV", "-curve.csv"),
];

/// Buttons that hand out the pictures as they are seen, and the curve with the strip full.
#[component]
pub fn HandOut() -> impl IntoView {
    let store = expect_context::<Store>();
    let button = |&(piece, label, ending): &(Piece, &'static str, &'static str)| {
        view! {
            <button class="button" on:click=on(move |_| hand_out(store, piece, ending))>{label}</button>
        }
    };
    view! {
        <h3>"Hand out pictures and curve"</h3>
        <div class="controls">{PIECES.iter().map(button).collect_view()}</div>
    }
}

fn hand_out(store: Store, piece: Piece, ending: &str) {
    let title = store.job.with_untracked(|job| job.title.clone());
    let name = files::file_name(&title).replace(".json", ending);
    let scene = untrack(move || store.scene());
    let text = |kind: &str, make: &dyn Fn() -> String| browser::download_as(&name, &make(), kind);
    let (chart_size, plan_size) = ((960, 340), (490, 370));
    let done = store.job.with_untracked(|job| {
        store.check.with_untracked(|check| match piece {
            Piece::ChartSvg => text("image/svg+xml", &|| {
                let chart = job::stroke_chart(job, check, &scene);
                stroke_chart_svg(chart_size.0, chart_size.1, &chart, &Style::paper())
            }),
            Piece::PlanSvg => text("image/svg+xml", &|| {
                let plan = job::bolster_plan(job, check, &scene);
                bolster_plan_svg(plan_size.0, plan_size.1, &plan, &Style::paper())
            }),
            Piece::CurveCsv => text("text/csv", &|| curve_csv(check)),
            Piece::ChartPng => canvas_as_file(".stroke canvas", &name),
            Piece::PlanPng => canvas_as_file(".plan canvas", &name),
        })
    });
    if done.is_err() {
        let message = "$: the browser refused to save the file".to_owned();
        store.refused_file.set(Some((name, message)));
    }
}

/// The picture on a canvas as it is seen.
fn canvas_as_file(selector: &str, name: &str) -> Result<(), wasm_bindgen::JsValue> {
    let canvas = document().query_selector(selector)?;
    let canvas = canvas.and_then(|canvas| canvas.dyn_into::<web_sys::HtmlCanvasElement>().ok());
    let Some(canvas) = canvas else { return Err("there is no picture".into()) };
    browser::download_url(name, &canvas.to_data_url()?)
}
