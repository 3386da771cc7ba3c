//! Pictures on a canvas, and hands on them: looked at more closely with two fingers, the wheel, buttons
//! and keys, and moved when they are.

use super::button;
use crate::{
    browser,
    erased::{effect, flag, memo, on, text},
    store::Store,
};
use evenstroke_chart::{ChartCanvas, LineChart, Sight, Style, Window, line_reading};
use evenstroke_language::{marked, say, tr};
use leptos::{
    html::{Canvas, Div},
    prelude::*,
    web_sys::{KeyboardEvent, PointerEvent, WheelEvent},
};

/// How much nearer a button or a key goes.
const STEP: f64 = 1.5;
/// The part of the picture by which a key moves it.
const KEY_PART: f64 = 0.15;
/// How far a finger goes before it is no tap, in CSS pixels.
pub const TAP_PX: f64 = 6.0;

/// A place in a picture in CSS pixels.
pub type Pixel = (f64, f64);

/// Paints on a canvas: takes it, its size in CSS pixels, device pixels to a CSS pixel, and colours and
/// type.
pub type Paint = Box<dyn Fn(&ChartCanvas, (f64, f64), f64, &Style)>;

/// Paints on `canvas` once it has a size, whenever what `paint` reads changes, and whenever the size
/// does.
fn keep_painted(canvas: NodeRef<Canvas>, style: Memo<Style>, paint: Paint) {
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
        // Who reads the page in larger type reads its pictures so, too.
        let mut style = style.get();
        style.font_size *= browser::text_scale();
        paper.with_value(|paper| {
            if let Some(paper) = paper {
                paint(paper, size, browser::device_pixel_ratio(), &style);
            }
        });
    });
}

/// What a hand does that does not change what is in view.
pub enum Act<'a> {
    /// Takes hold of what lies under the pointer; whether there is something.
    Begin(&'a PointerEvent, Pixel),
    /// Goes on with what is held.
    GoOn(&'a PointerEvent, Pixel),
    /// Lets go of it where it is.
    End,
    /// Brings it back.
    GiveUp,
    /// Touches a place without taking anything: a tap, or a mouse that passes over it.
    Touch(Pixel),
    /// Leaves the picture.
    Leave,
    /// Presses a key; whether it does anything.
    Key(&'a KeyboardEvent),
}

/// Which part of a picture is in view.
#[derive(Clone, Copy)]
pub struct Zoom {
    window: RwSignal<Option<Window>>,
    /// What was painted last, and the pixel about which buttons and keys go nearer.
    seen: StoredValue<Option<(Sight, Pixel)>>,
}

impl Zoom {
    /// The whole, to which another job and other units lead back.
    pub fn new(store: Store) -> Self {
        let zoom = Self { window: RwSignal::new(None), seen: StoredValue::new(None) };
        // Every edit tells of the handle anew, though it is the same job.
        let handle = memo(move || store.handle.get());
        effect(move || {
            // Read, not only tracked: a memo that nobody reads follows nothing.
            handle.get();
            store.units.track();
            zoom.set(None);
        });
        zoom
    }

    /// The part in view; none where that is the whole.
    pub fn window(self) -> Option<Window> {
        self.window.get()
    }

    /// Shows a part, or the whole.
    pub fn set(self, window: Option<Window>) {
        if self.window.try_get_untracked().is_some_and(|now| now != window) {
            self.window.set(window);
        }
    }

    /// Another picture, of which the whole is shown.
    pub fn begin(self) {
        self.set(None);
        self.seen.set_value(None);
    }

    /// Whether only a part is in view, without following it.
    pub fn is_near(self) -> bool {
        self.window.get_untracked().is_some()
    }

    /// Notes what was painted, and about which pixel buttons and keys go nearer.
    pub fn saw(self, sight: Option<(Sight, Pixel)>) {
        self.seen.set_value(sight);
    }

    /// What was painted last.
    pub fn sight(self) -> Option<Sight> {
        self.seen.get_value().map(|seen| seen.0)
    }

    /// Goes nearer about a pixel, or about what the picture is about.
    fn nearer(self, times: f64, about: Option<Pixel>) {
        let Some((sight, middle)) = self.seen.get_value() else { return };
        let within =
            |(x, y): Pixel| (x.clamp(sight.left, sight.right), y.clamp(sight.top, sight.bottom));
        let about = within(about.unwrap_or(middle));
        self.set(sight.moved(about, about, times));
    }

    fn press_key(self, event: &KeyboardEvent) -> bool {
        if event.ctrl_key() || event.meta_key() {
            return false;
        }
        let (x, y) = match event.key().as_str() {
            "+" | "=" => return self.steps(STEP),
            "-" | "−" | "_" => return self.steps(1.0 / STEP),
            "0" => return self.steps(0.0),
            "ArrowLeft" => (1.0, 0.0),
            "ArrowRight" => (-1.0, 0.0),
            "ArrowUp" => (0.0, 1.0),
            "ArrowDown" => (0.0, -1.0),
            _ => return false,
        };
        let Some(sight) = self.sight().filter(|_| event.alt_key() && self.is_near()) else {
            return false;
        };
        let way =
            (x * KEY_PART * (sight.right - sight.left), y * KEY_PART * (sight.bottom - sight.top));
        self.set(sight.moved((0.0, 0.0), way, 1.0));
        true
    }

    /// Goes so many times nearer, with 0 back to the whole.
    fn steps(self, times: f64) -> bool {
        if times > 0.0 {
            self.nearer(times, None);
        } else {
            self.set(None);
        }
        true
    }

    /// The buttons that go nearer, farther and back to the whole.
    pub fn buttons(self) -> AnyView {
        let whole = move || self.window.get().is_none();
        let step = move |times: f64| {
            on(move |_| {
                self.steps(times);
            })
        };
        view! {
            <div class="zoom" role="group" aria-label=tr("Zoom")>
                {button("−", tr("Farther away"), flag(whole), step(1.0 / STEP))}
                {button("+", tr("Nearer"), flag(|| false), step(STEP))}
                {button(tr("Whole"), tr("The whole picture"), flag(whole), step(0.0))}
            </div>
        }
        .into_any()
    }
}

/// What fingers are doing.
#[derive(Clone, Copy)]
enum Doing {
    Nothing,
    /// What the picture gave to hold.
    Holding,
    /// Moving what is in view; where it was taken.
    Moving(Sight, Pixel),
    /// Two fingers; where they were put down.
    Pinching(Sight, [Pixel; 2]),
    /// A finger is left of two, which does nothing more.
    Leaving,
}

/// What is read in a picture.
#[derive(Clone, Copy)]
pub struct Reading {
    /// Its words; nothing is shown without.
    pub words: Signal<String>,
    /// Whether what is read lies in the left half, so that the words stand in the right one.
    pub at_left: Signal<bool>,
    /// Whether a screen reader is to say it: only what keys ask for.
    pub spoken: RwSignal<bool>,
}

/// How a picture is called and what a hand does in it.
pub struct Frame {
    /// Its name for the keyboard.
    pub name: Signal<String>,
    /// What it shows, as an image of its own; none where `name` says it.
    pub says: Option<Signal<String>>,
    /// What keys do.
    pub keys: Signal<String>,
    /// Classes beside `chart`.
    pub class: Signal<String>,
    /// What is read in it.
    pub reading: Option<Reading>,
    /// What a hand does.
    pub act: Box<dyn Fn(Act) -> bool>,
}

/// A picture under the hand.
pub fn picture(style: Memo<Style>, zoom: Zoom, frame: Frame, paint: Paint) -> AnyView {
    let canvas = NodeRef::<Canvas>::new();
    let area = NodeRef::<Div>::new();
    keep_painted(canvas, style, paint);
    let Frame { name, says, keys, class, reading, act } = frame;
    let act = StoredValue::new_local(act);
    let acts = move |what: Act| act.with_value(|act| act(what));
    let fingers = StoredValue::new(Vec::<(i32, Pixel)>::new());
    let doing = StoredValue::new(Doing::Nothing);
    let pixel_of =
        |event: &PointerEvent| (f64::from(event.offset_x()), f64::from(event.offset_y()));
    let quiet = move || {
        if let Some(reading) = reading {
            reading.spoken.set(false);
        }
    };
    let begin = move |event: PointerEvent| {
        if event.button() > 0 {
            return;
        }
        quiet();
        let pixel = pixel_of(&event);
        fingers.update_value(|fingers| {
            fingers.retain(|finger| finger.0 != event.pointer_id());
            fingers.push((event.pointer_id(), pixel));
        });
        let (count, sight) = (fingers.with_value(Vec::len), zoom.sight());
        let next = match (count, sight) {
            (1, sight) => {
                if acts(Act::Begin(&event, pixel)) {
                    Doing::Holding
                } else {
                    sight.map_or(Doing::Nothing, |sight| Doing::Moving(sight, pixel))
                }
            }
            (2, Some(sight)) => {
                if matches!(doing.get_value(), Doing::Holding) {
                    acts(Act::GiveUp);
                }
                Doing::Pinching(sight, fingers.with_value(|fingers| [fingers[0].1, fingers[1].1]))
            }
            _ => Doing::Leaving,
        };
        doing.set_value(next);
        if let Some(element) = area.get() {
            let _ = element.set_pointer_capture(event.pointer_id());
            // A drag by finger gives no focus by itself, and what is read goes with the focus.
            browser::focus_here(&element);
        }
    };
    let go_on = move |event: PointerEvent| {
        let pixel = pixel_of(&event);
        let mut is_down = false;
        fingers.update_value(|fingers| {
            for finger in fingers.iter_mut().filter(|finger| finger.0 == event.pointer_id()) {
                finger.1 = pixel;
                is_down = true;
            }
        });
        match doing.get_value() {
            Doing::Holding => {
                acts(Act::GoOn(&event, pixel));
            }
            Doing::Moving(sight, from) if is_down && zoom.is_near() => {
                zoom.set(sight.moved(from, pixel, 1.0));
            }
            Doing::Pinching(sight, from) => {
                let now = fingers.with_value(|fingers| {
                    (fingers.len() > 1).then(|| [fingers[0].1, fingers[1].1])
                });
                let Some(now) = now else { return };
                let apart = |[a, b]: [Pixel; 2]| (a.0 - b.0).hypot(a.1 - b.1).max(1.0);
                let middle = |[a, b]: [Pixel; 2]| ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
                zoom.set(sight.moved(middle(from), middle(now), apart(now) / apart(from)));
            }
            Doing::Nothing if !is_down && event.pointer_type() == "mouse" => {
                quiet();
                acts(Act::Touch(pixel));
            }
            _ => {}
        }
    };
    let lift = move |event: PointerEvent, is_given_up: bool| {
        fingers.update_value(|fingers| fingers.retain(|finger| finger.0 != event.pointer_id()));
        match doing.get_value() {
            Doing::Holding if is_given_up => {
                acts(Act::GiveUp);
            }
            Doing::Holding => {
                acts(Act::End);
            }
            Doing::Moving(_, from) if !is_given_up => {
                let pixel = pixel_of(&event);
                if (pixel.0 - from.0).hypot(pixel.1 - from.1) < TAP_PX {
                    acts(Act::Touch(pixel));
                }
            }
            _ => {}
        }
        let left = fingers.with_value(Vec::len);
        doing.set_value(if left == 0 { Doing::Nothing } else { Doing::Leaving });
    };
    let by_key = move |event: KeyboardEvent| {
        if let Some(reading) = reading {
            reading.spoken.set(true);
        }
        if zoom.press_key(&event) || acts(Act::Key(&event)) {
            event.prevent_default();
        }
    };
    let by_wheel = move |event: WheelEvent| {
        // The wheel alone scrolls the page; with Ctrl, as trackpads send two fingers, it goes nearer.
        if event.ctrl_key() {
            event.prevent_default();
            let times = (-event.delta_y().clamp(-50.0, 50.0) * 0.01).exp();
            let at = (f64::from(event.offset_x()), f64::from(event.offset_y()));
            zoom.nearer(times, Some(at));
        }
    };
    // Two fingers are ours, one scrolls the page as the style sheet says.
    let on_touch = move |event: leptos::web_sys::TouchEvent| {
        if fingers.with_value(|fingers| fingers.len() > 1) {
            event.prevent_default();
        }
    };
    let leave = move |event: PointerEvent| {
        if event.pointer_type() == "mouse" && fingers.with_value(Vec::is_empty) {
            acts(Act::Leave);
        }
    };
    let classes = text(move || {
        let near = if zoom.window.get().is_some() { " near" } else { "" };
        format!("chart {}{near}", class.get())
    });
    let shown = reading.map(|reading| {
        let classes = text(move || {
            if reading.at_left.get() { "reading right" } else { "reading" }.to_owned()
        });
        let live = text(move || if reading.spoken.get() { "polite" } else { "off" }.to_owned());
        view! { <output class=classes aria-live=live>{text(move || reading.words.get())}</output> }
    });
    view! {
        <div
            node_ref=area
            class=classes
            tabindex="0"
            role="application"
            aria-roledescription=keys
            aria-label=name
            on:pointerdown=on(begin)
            on:pointermove=on(go_on)
            on:pointerup=on(move |event| lift(event, false))
            on:pointercancel=on(move |event| lift(event, true))
            on:pointerleave=on(leave)
            on:touchstart=on(on_touch)
            on:touchmove=on(on_touch)
            on:wheel=on(by_wheel)
            on:keydown=on(by_key)
            on:blur=on(move |_| { acts(Act::Leave); })
        >
            <canvas
                node_ref=canvas
                role=says.map(|_| "img")
                aria-label=text(move || says.map(|says| says.get()).unwrap_or_default())
                aria-hidden=says.is_none().then_some("true")
            ></canvas>
            {shown}
        </div>
    }
    .into_any()
}

/// What the keys of every picture do.
pub const ZOOM_KEYS: &str = marked(
    "plus and minus go nearer and farther, 0 shows the whole, Alt with an arrow key moves what is in view",
);

/// A line chart that follows what it shows and is read where it is touched.
pub fn line_picture(
    style: Memo<Style>,
    chart: impl Fn() -> LineChart + Send + Sync + 'static,
) -> AnyView {
    followed(style, memo(chart))
}

/// Made once for all line charts.
#[inline(never)]
fn followed(style: Memo<Style>, chart: Memo<LineChart>) -> AnyView {
    let zoom = expect_context::<Zoom>();
    let read = RwSignal::new(None::<f64>);
    let spoken = RwSignal::new(false);
    let paint: Paint = Box::new(move |paper, size, ratio, style| {
        let mut shown = chart.get();
        shown.window = zoom.window();
        shown.read = read.get();
        // What the browser reports is nothing that the reader could mend.
        let sight = paper.draw_line_chart(size, ratio, &shown, style).ok().flatten();
        let middle = |sight: &Sight| {
            let across = shown.read.or(shown.now);
            let at = across.map(|across| sight.pixel((across, 0.0)).0);
            let x = at.unwrap_or(f64::midpoint(sight.left, sight.right));
            (x, f64::midpoint(sight.top, sight.bottom))
        };
        zoom.saw(sight.map(|sight| (sight, middle(&sight))));
    });
    let touch = move |pixel: Pixel| {
        let Some(sight) = zoom.sight() else { return };
        read.set(Some(sight.at((pixel.0.clamp(sight.left, sight.right), pixel.1)).0));
    };
    let by_key = move |event: &KeyboardEvent| {
        let Some(sight) = zoom.sight() else { return false };
        let width = sight.right - sight.left;
        let step = width * if event.shift_key() { 0.05 } else { 0.005 };
        let now = read.get_untracked().or_else(|| chart.with_untracked(|chart| chart.now));
        let now = now.map_or(sight.left + width / 2.0, |now| sight.pixel((now, 0.0)).0);
        match event.key().as_str() {
            "ArrowLeft" => touch((now - step, 0.0)),
            "ArrowRight" => touch((now + step, 0.0)),
            "Home" => touch((sight.left, 0.0)),
            "End" => touch((sight.right, 0.0)),
            "Escape" => read.set(None),
            _ => return false,
        }
        true
    };
    let act = move |what: Act| {
        match what {
            // While a part is in view a drag moves it, and a tap reads.
            Act::Begin(_, pixel) if !zoom.is_near() => {
                touch(pixel);
                return true;
            }
            Act::GoOn(_, pixel) | Act::Touch(pixel) => touch(pixel),
            Act::Leave => read.set(None),
            Act::Key(event) => return by_key(event),
            _ => {}
        }
        false
    };
    let words = text(move || {
        let Some(read) = read.get() else { return String::new() };
        chart.with(|chart| line_reading(chart, read)).join("\n")
    });
    let at_left = flag(move || {
        let Some(read) = read.get() else { return false };
        zoom.window.track();
        zoom.sight().is_some_and(|sight| {
            sight.pixel((read, 0.0)).0 < f64::midpoint(sight.left, sight.right)
        })
    });
    let frame = Frame {
        name: text(|| tr("Chart").to_owned()),
        says: Some(text(move || chart.with(|chart| chart.summary.clone()))),
        keys: text(|| say!("chart; arrow keys read the values, {}", tr(ZOOM_KEYS))),
        class: text(String::new),
        reading: Some(Reading { words, at_left, spoken }),
        act: Box::new(act),
    };
    picture(style, zoom, frame, paint)
}
