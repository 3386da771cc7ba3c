//! The Evenstroke page.
//!
//! State goes down as signals from one [`store::Store`], edits come up through it. No formula is
//! worked out here: the page calls `press-load` by way of the job.

mod beside;
mod browser;
mod erased;
mod files;
mod form;
mod keeping;
mod path;
mod pictures;
mod readings;
mod store;
mod view;

use leptos::prelude::*;
use wasm_bindgen::JsCast;

fn main() {
    // In a worker there is no page; what is asked of it comes through [`beside::work`].
    if !browser::is_page() {
        std::panic::set_hook(Box::new(|panic| wasm_bindgen::throw_str(&panic.to_string())));
        return;
    }
    std::panic::set_hook(Box::new(|panic| keeping::stopped(&panic.to_string())));
    let Some(root) = document().get_element_by_id("app") else {
        leptos::logging::error!("the page holds no element #app");
        return;
    };
    leptos::mount::mount_to(root.unchecked_into(), view::Page).forget();
    browser::take_over_static_sheet();
}
