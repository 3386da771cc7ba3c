//! The drawing as a picture to tap on: two canvases, the outlines below and the chosen ones above.
//!
//! A drawing may hold hundreds of thousands of lines, so they are painted a part at a time.

use super::DrawingState;
use crate::{
    browser,
    erased::{effect, memo, on},
};
use evenstroke_drawing::{Outline, Point};
use evenstroke_language::tr;
use leptos::{html::Canvas, prelude::*, web_sys};
use std::f64::consts::TAU;
use wasm_bindgen::JsCast;

/// How long is painted before the page gets its turn again, in milliseconds; what was drawn has still
/// to be put on the screen.
const TURN_MS: f64 = 6.0;
/// How far, in CSS pixels, a gloved finger may miss a line.
const REACH_PX: f64 = 16.0;
/// Width of lines in CSS pixels.
const LINE_PX: f64 = 1.5;
const CHOSEN_PX: f64 = 4.0;
/// Radius of the rings about open ends that were not joined.
const GAP_PX: f64 = 6.0;

/// How the drawing lies on the canvas: pixel = shift + scale · (x, −y).
#[derive(Clone, Copy, PartialEq)]
struct Fit {
    scale: f64,
    shift: (f64, f64),
}

impl Fit {
    fn of(extents: &[(Point, Point)], (width, height): (f64, f64)) -> Option<Self> {
        let (low, high) = extents.iter().copied().reduce(|a, b| {
            (
                Point::new(a.0.x.min(b.0.x), a.0.y.min(b.0.y)),
                Point::new(a.1.x.max(b.1.x), a.1.y.max(b.1.y)),
            )
        })?;
        let margin = 0.03 * width.min(height) + CHOSEN_PX;
        let across = |extent: f64, room: f64| (room - 2.0 * margin).max(1.0) / extent.max(1e-6);
        let scale = across(high.x - low.x, width).min(across(high.y - low.y, height));
        let middle = (f64::midpoint(low.x, high.x), f64::midpoint(low.y, high.y));
        let shift = (width / 2.0 - scale * middle.0, height / 2.0 + scale * middle.1);
        Some(Self { scale, shift })
    }

    fn pixel(&self, point: Point) -> (f64, f64) {
        (self.shift.0 + self.scale * point.x, self.shift.1 - self.scale * point.y)
    }

    fn place(&self, (x, y): (f64, f64)) -> Point {
        Point::new((x - self.shift.0) / self.scale, (self.shift.1 - y) / self.scale)
    }
}

/// All outlines as lines to tap on.
#[component]
pub fn Picture() -> impl IntoView {
    let state = expect_context::<DrawingState>();
    let (below, above) = (NodeRef::<Canvas>::new(), NodeRef::<Canvas>::new());
    let resized = RwSignal::new(0_u32);
    let extents = memo(move || {
        state.loaded.get().map_or_else(Vec::new, |loaded| {
            loaded.drawing.outlines.iter().map(Outline::extent).collect::<Vec<_>>()
        })
    });
    let fit = memo(move || {
        resized.track();
        let element = below.get()?;
        let size = (f64::from(element.client_width()), f64::from(element.client_height()));
        extents.with(|extents| Fit::of(extents, size))
    });
    // Whoever paints holds a number; another picture begun meanwhile has the next one.
    let painting = StoredValue::new(0_u32);
    let watched = StoredValue::new(false);
    effect(move || {
        let Some(element) = below.get() else { return };
        if !watched.get_value() {
            watched.set_value(true);
            browser::on_resize(&element, resized);
        }
        if let Some(fit) = fit.get() {
            painting.update_value(|number| *number += 1);
            if let Some(context) = cleared(&element, LINE_PX) {
                paint_on(state, fit, context, 0, (painting, painting.get_value()));
            }
        }
    });
    effect(move || {
        let (Some(element), Some(fit), Some(loaded)) = (above.get(), fit.get(), state.loaded.get())
        else {
            return;
        };
        let Some(context) = cleared(&element, CHOSEN_PX) else { return };
        state.chosen.with(|chosen| {
            for (outline, _) in loaded.drawing.outlines.iter().zip(chosen).filter(|row| *row.1) {
                draw(&context, fit, outline);
            }
        });
        context.set_line_width(LINE_PX);
        for gap in &loaded.drawing.gaps {
            for end in [gap.from, gap.to] {
                let (x, y) = fit.pixel(end);
                context.begin_path();
                // It fails only for a negative radius.
                let _ = context.arc(x, y, GAP_PX, 0.0, TAU);
                context.stroke();
            }
        }
    });
    let tap = move |event: web_sys::PointerEvent| {
        let (Some(fit), Some(loaded)) = (fit.get_untracked(), state.loaded.get_untracked()) else {
            return;
        };
        let at = fit.place((f64::from(event.offset_x()), f64::from(event.offset_y())));
        let reach = REACH_PX / fit.scale;
        let nearest = extents.with_untracked(|extents| {
            let near = extents.iter().enumerate().filter(|(_, (low, high))| {
                at.x >= low.x - reach
                    && at.x <= high.x + reach
                    && at.y >= low.y - reach
                    && at.y <= high.y + reach
            });
            near.map(|(index, _)| (index, distance(&loaded.drawing.outlines[index], at)))
                .min_by(|a, b| a.1.total_cmp(&b.1))
        });
        if let Some((index, _)) = nearest.filter(|(_, distance)| *distance <= reach) {
            state.toggle(index);
        }
    };
    view! {
        <div
            class="drawing-picture"
            role="img"
            aria-label=tr("The drawing; its outlines are listed below")
            on:click=on(move |event: web_sys::MouseEvent| tap(event.unchecked_into()))
        >
            <canvas node_ref=below></canvas>
            <canvas node_ref=above class="chosen"></canvas>
        </div>
    }
}

/// Paints the outlines from `first` on, as many as fit into one turn, and asks for the next turn.
fn paint_on(
    state: DrawingState,
    fit: Fit,
    context: web_sys::CanvasRenderingContext2d,
    first: usize,
    (painting, mine): (StoredValue<u32>, u32),
) {
    if painting.try_get_value() != Some(mine) {
        return;
    }
    let Some(loaded) = state.loaded.get_untracked() else { return };
    let outlines = &loaded.drawing.outlines;
    let mut next = first;
    let began = browser::now_ms();
    while next < outlines.len() && browser::now_ms() - began < TURN_MS {
        draw(&context, fit, &outlines[next]);
        next += 1;
    }
    if next < outlines.len() {
        request_animation_frame(move || paint_on(state, fit, context, next, (painting, mine)));
    }
}

/// Draws an outline, on its own: many in one path take far longer.
fn draw(context: &web_sys::CanvasRenderingContext2d, fit: Fit, outline: &Outline) {
    let chords = outline.chords();
    context.begin_path();
    for (index, point) in chords.iter().enumerate() {
        let (x, y) = fit.pixel(*point);
        if index == 0 {
            context.move_to(x, y);
        } else {
            context.line_to(x, y);
        }
    }
    context.stroke();
}

/// The canvas emptied and fitted to its size on the screen, with a pen of the element's colour.
fn cleared(
    element: &web_sys::HtmlCanvasElement,
    line_px: f64,
) -> Option<web_sys::CanvasRenderingContext2d> {
    let ratio = browser::device_pixel_ratio();
    let pixels = |length: i32| (f64::from(length) * ratio).round().max(1.0) as u32;
    element.set_width(pixels(element.client_width()));
    element.set_height(pixels(element.client_height()));
    let context = element.get_context("2d").ok()??;
    let context: web_sys::CanvasRenderingContext2d = context.dyn_into().ok()?;
    let _ = context.scale(ratio, ratio);
    let style = window().get_computed_style(element).ok()??;
    context.set_stroke_style_str(&style.get_property_value("color").unwrap_or_default());
    context.set_line_width(line_px);
    Some(context)
}

/// How far a point is from an outline, in millimetres.
fn distance(outline: &Outline, at: Point) -> f64 {
    let chords = outline.chords();
    let along = |pair: &[Point]| {
        let (dx, dy) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
        let length = dx * dx + dy * dy;
        let part = ((at.x - pair[0].x) * dx + (at.y - pair[0].y) * dy) / length.max(1e-12);
        let part = part.clamp(0.0, 1.0);
        at.distance(Point::new(pair[0].x + part * dx, pair[0].y + part * dy))
    };
    chords.windows(2).map(along).fold(f64::MAX, f64::min)
}
