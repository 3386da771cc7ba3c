//! The few things asked of the browser itself.

use crate::form::parse_number;
use leptos::{prelude::*, web_sys};
use wasm_bindgen::{JsCast, prelude::Closure};

/// Whether the program runs in a page, not in a worker.
pub fn is_page() -> bool {
    js_sys::Reflect::has(&js_sys::global(), &"document".into()).unwrap_or(false)
}

/// Milliseconds of a clock that never runs backwards.
pub fn now_ms() -> f64 {
    js_sys::Reflect::get(&js_sys::global(), &"performance".into())
        .ok()
        .and_then(|performance| {
            let now = js_sys::Reflect::get(&performance, &"now".into()).ok()?;
            now.dyn_into::<js_sys::Function>().ok()?.call0(&performance).ok()?.as_f64()
        })
        .unwrap_or_else(js_sys::Date::now)
}

/// Hides the static sheet, which the page shows where no script runs. It is still what is printed:
/// the style sheet for print shows it although it is hidden.
pub fn take_over_static_sheet() {
    if let Some(sheet) = document().get_element_by_id("static-sheet") {
        let _ = sheet.set_attribute("hidden", "");
    }
}

/// Puts the sheet to be printed into the page. The HTML is our own and escapes what comes from the
/// job.
pub fn set_printed_sheet(html: &str) {
    if let Some(sheet) = document().get_element_by_id("static-sheet") {
        sheet.set_inner_html(html);
    }
}

/// Gives the focus to an element, if it is there.
pub fn focus(id: &str) {
    let element = document().get_element_by_id(id);
    if let Some(element) = element.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = element.focus();
    }
}

/// Gives the focus to an element, after opening it if it is the closed heading of a card.
pub fn open_and_focus(id: &str) {
    let element = document().get_element_by_id(id);
    if let Some(element) = element.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
        if element.get_attribute("aria-expanded").as_deref() == Some("false") {
            element.click();
        }
        let _ = element.focus();
    }
}

/// Brings a part of the page to the top of the window and gives it the focus.
pub fn jump_to(selector: &str) {
    let part = document().query_selector(selector).ok().flatten();
    if let Some(part) = part.and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok()) {
        part.scroll_into_view();
        let _ = part.set_attribute("tabindex", "-1");
        let _ = part.focus();
    }
}

/// What this browser keeps for the page under a key. Where storage is switched off there is none.
pub fn kept(key: &str) -> Option<String> {
    window().local_storage().ok().flatten()?.get_item(key).ok().flatten()
}

/// Keeps a text under a key; whether it could.
pub fn keep(key: &str, text: &str) -> bool {
    let storage = window().local_storage().ok().flatten();
    storage.is_some_and(|storage| storage.set_item(key, text).is_ok())
}

/// The languages of the user as tags such as `de-AT`, the preferred one first.
pub fn languages() -> Vec<String> {
    window().navigator().languages().iter().filter_map(|tag| tag.as_string()).collect()
}

/// Says in which language the page is, for whoever reads it aloud.
pub fn set_language(tag: &str) {
    if let Some(root) = document().document_element() {
        let _ = root.set_attribute("lang", tag);
    }
}

/// The day, as on the wall: year, month, day.
pub fn today() -> String {
    let now = js_sys::Date::new_0();
    format!("{}-{:02}-{:02}", now.get_full_year(), now.get_month() + 1, now.get_date())
}

/// Gives the focus to an element without moving the page.
pub fn focus_here(element: &web_sys::HtmlElement) {
    let options = web_sys::FocusOptions::new();
    options.set_prevent_scroll(true);
    let _ = element.focus_with_options(&options);
}

/// How many times larger than usual the page's text is set, at most twice.
pub fn text_scale() -> f64 {
    const USUAL_PX: f64 = 15.0;
    let root = document().document_element();
    root.and_then(|root| {
        let style = window().get_computed_style(&root).ok().flatten()?;
        let size = style.get_property_value("font-size").ok()?;
        let pixels = parse_number(size.trim_end_matches("px")).ok()??;
        Some((pixels / USUAL_PX).clamp(1.0, 2.0))
    })
    .unwrap_or(1.0)
}

/// The time of day, as files hold it.
pub fn time_of_day() -> String {
    let now = js_sys::Date::new_0();
    format!("{:02}:{:02}", now.get_hours(), now.get_minutes())
}

/// How many picture elements lie in one CSS pixel.
pub fn device_pixel_ratio() -> f64 {
    window().device_pixel_ratio()
}

/// Whether a media query holds, kept up to date for as long as the page lives.
pub fn media(query: &str) -> ReadSignal<bool> {
    let list = window().match_media(query).ok().flatten();
    let (read, write) = signal(list.as_ref().is_some_and(web_sys::MediaQueryList::matches));
    if let Some(list) = list {
        let source = list.clone();
        let changed = Closure::<dyn FnMut()>::new(move || write.set(source.matches()));
        let _ = list.add_event_listener_with_callback("change", changed.as_ref().unchecked_ref());
        changed.forget();
    }
    read
}

/// A signal that changes whenever one of the elements changes size, or the screen its density.
pub fn on_resize(element: &web_sys::Element, changed: RwSignal<u32>) {
    let bump = Closure::<dyn FnMut()>::new(move || {
        changed.try_update(|count| *count = count.wrapping_add(1));
    });
    if let Ok(observer) = web_sys::ResizeObserver::new(bump.as_ref().unchecked_ref()) {
        observer.observe(element);
    }
    let _ = window().add_event_listener_with_callback("resize", bump.as_ref().unchecked_ref());
    bump.forget();
}
