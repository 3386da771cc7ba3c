//! The Evenstroke page.
//!
//! State goes down as signals from one [`store::Store`], edits come up through it. No formula is
//! worked out here: the page calls `press-load` by way of the job.

mod browser;
mod erased;
mod files;
mod form;
mod keeping;
mod path;
mod store;
mod view;

use leptos::prelude::*;
use wasm_bindgen::JsCast;

fn main() {
    std::panic::set_hook(Box::new(|panic| keeping::stopped(&panic.to_string())));
    let Some(root) = document().get_element_by_id("app") else {
        leptos::logging::error!("the page holds no element #app");
        return;
    };
    leptos::mount::mount_to(root.unchecked_into(), view::Page).forget();
    browser::take_over_static_sheet();
}
