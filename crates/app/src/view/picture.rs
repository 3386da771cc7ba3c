//! Pictures on a canvas.

use crate::{
    browser,
    erased::{effect, memo, text},
};
use evenstroke_chart::{ChartCanvas, LineChart, Style};
use leptos::{html::Canvas, prelude::*};

/// Paints on a canvas: takes it, its size in CSS pixels, and device pixels to a CSS pixel.
pub type Paint = Box<dyn Fn(&ChartCanvas, (f64, f64), f64)>;

/// Paints on `canvas` once it has a size, whenever what `paint` reads changes, and whenever the size
/// does.
pub fn keep_painted(canvas: NodeRef<Canvas>, paint: Paint) {
    let paper = StoredValue::new_local(None::<ChartCanvas>);
    let resized = RwSignal::new(0_u32);
    // Asked for only when it has changed: in the middle of an edit the browser would have to lay out
    // the page for an answer.
    let known = StoredValue::new((0_u32, (0.0, 0.0)));
    effect(move || {
        let Some(element) = canvas.get() else { return };
        let times = resized.get();
        if paper.with_value(Option::is_none) {
            paper.set_value(ChartCanvas::new(element.clone()));
            // The observer tells the first size as well, when the page is laid out; asking for it
            // here would have the browser lay out a page that is half made, and paint twice.
            browser::on_resize(&element, resized);
            return;
        }
        if known.with_value(|known| known.0 != times) {
            let size = (f64::from(element.client_width()), f64::from(element.client_height()));
            known.set_value((times, size));
        }
        let (_, size) = known.get_value();
        paper.with_value(|paper| {
            if let Some(paper) = paper {
                paint(paper, size, browser::device_pixel_ratio());
            }
        });
    });
}

/// A line chart that follows what it shows.
pub fn line_picture(
    style: Memo<Style>,
    chart: impl Fn() -> LineChart + Send + Sync + 'static,
) -> AnyView {
    let chart = memo(chart);
    let canvas = NodeRef::<Canvas>::new();
    keep_painted(
        canvas,
        Box::new(move |paper, size, ratio| {
            // What the browser reports is nothing that the reader could mend.
            let _ = chart.with(|chart| paper.draw_line_chart(size, ratio, chart, &style.get()));
        }),
    );
    view! {
        <canvas
            node_ref=canvas
            class="chart"
            role="img"
            aria-label=text(move || chart.with(|chart| chart.summary.clone()))
        ></canvas>
    }
    .into_any()
}
