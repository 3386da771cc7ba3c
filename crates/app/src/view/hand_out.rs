//! Pictures and curve as files.

use crate::{
    erased::{flag, on},
    files, keeping,
    store::Store,
};
use evenstroke_chart::{ChartCanvas, Style, bolster_plan_svg, job, stroke_chart_svg};
use evenstroke_job::report::curve_csv;
use evenstroke_language::{marked, tr};
use leptos::{prelude::*, web_sys};
use wasm_bindgen::{JsCast, JsValue};

/// What can be handed out beside the job.
#[derive(Clone, Copy)]
enum Piece {
    ChartSvg,
    ChartPng,
    PlanSvg,
    PlanPng,
    CurveCsv,
}

/// Width and height in CSS pixels, and picture elements to one of them.
const CHART_SIZE: (u32, u32) = (960, 340);
const PLAN_SIZE: (u32, u32) = (490, 370);
const PNG_DENSITY: f64 = 2.0;

const PIECES: [(Piece, &str, &str); 5] = [
    (Piece::ChartSvg, marked("Stroke chart, SVG"), "-stroke.svg"),
    (Piece::ChartPng, marked("Stroke chart, PNG"), "-stroke.png"),
    (Piece::PlanSvg, marked("Bolster plan, SVG"), "-plan.svg"),
    (Piece::PlanPng, marked("Bolster plan, PNG"), "-plan.png"),
    (Piece::CurveCsv, marked("Force curve, CSV"), "-curve.csv"),
];

/// Buttons that hand out the pictures as they are seen, and the curve with the strip full.
#[component]
pub fn HandOut() -> impl IntoView {
    let store = expect_context::<Store>();
    let button = |&(piece, label, ending): &(Piece, &'static str, &'static str)| {
        view! {
            <button class="button" on:click=on(move |_| hand_out(store, piece, ending))>{tr(label)}</button>
        }
    };
    view! {
        <h3>{tr("Hand out page, pictures and curve")}</h3>
        <div class="controls">
            {save_page_button(store)} {PIECES.iter().map(button).collect_view()}
        </div>
    }
}

/// Hands out the whole tool with this job in it.
pub fn save_page_button(store: Store) -> AnyView {
    let name = tr("Save page: the whole tool with this job, in one file");
    let never = flag(|| false);
    super::button(tr("Save page"), name, never, on(move |_| files::save_page(store)))
}

fn hand_out(store: Store, piece: Piece, ending: &str) {
    let title = store.job.with_untracked(|job| job.title.clone());
    let name = files::file_name(&title).replace(".json", ending);
    let scene = untrack(move || store.scene());
    let (content, kind) = store.job.with_untracked(|job| {
        store.check.with_untracked(|check| match piece {
            Piece::ChartSvg => {
                let chart = job::stroke_chart(job, check, &scene);
                let text = stroke_chart_svg(CHART_SIZE.0, CHART_SIZE.1, &chart, &Style::paper());
                (text.into(), "image/svg+xml")
            }
            Piece::PlanSvg => {
                let plan = job::bolster_plan(job, check, &scene);
                let text = bolster_plan_svg(PLAN_SIZE.0, PLAN_SIZE.1, &plan, &Style::paper());
                (text.into(), "image/svg+xml")
            }
            Piece::CurveCsv => (curve_csv(check).into(), "text/csv"),
            Piece::ChartPng => {
                let paint = |paper: &ChartCanvas, size| {
                    let chart = job::stroke_chart(job, check, &scene);
                    let _ = paper.draw_stroke_chart(size, PNG_DENSITY, &chart, &Style::paper());
                };
                (painted(CHART_SIZE, &paint), "image/png")
            }
            Piece::PlanPng => {
                let paint = |paper: &ChartCanvas, size| {
                    let plan = job::bolster_plan(job, check, &scene);
                    let _ = paper.draw_bolster_plan(size, PNG_DENSITY, &plan, &Style::paper());
                };
                (painted(PLAN_SIZE, &paint), "image/png")
            }
        })
    });
    let then = |answer: Result<bool, String>| {
        if let Err(reason) = answer {
            keeping::tell(&reason);
        }
    };
    files::hand_out(&name, content, kind, Box::new(then));
}

/// A picture painted on a canvas of its own, so that it does not hang on what the page shows;
/// nothing where this browser paints none, which is then refused as a file.
fn painted(size: (u32, u32), paint: &dyn Fn(&ChartCanvas, (f64, f64))) -> JsValue {
    let canvas = document().create_element("canvas");
    let canvas = canvas.ok().map(|canvas| canvas.unchecked_into::<web_sys::HtmlCanvasElement>());
    let paper = canvas.clone().and_then(ChartCanvas::new);
    let Some((canvas, paper)) = canvas.zip(paper) else { return JsValue::NULL };
    paint(&paper, (f64::from(size.0), f64::from(size.1)));
    canvas.into()
}
