//! Few types in place of many.
//!
//! Leptos makes machine code for every type of closure that a view holds. Closures of the same
//! erased type share it, which makes the page a fifth smaller.

use leptos::prelude::*;

/// A text that changes.
pub fn text(of: impl Fn() -> String + Send + Sync + 'static) -> Signal<String> {
    Signal::derive(of)
}

/// A yes or no that changes.
pub fn flag(of: impl Fn() -> bool + Send + Sync + 'static) -> Signal<bool> {
    Signal::derive(of)
}

/// A part of the page that changes.
pub type Part = Box<dyn FnMut() -> AnyView + Send>;

/// A part of the page that changes.
pub fn part<V: IntoView + 'static>(mut of: impl FnMut() -> V + Send + 'static) -> Part {
    Box::new(move || of().into_any())
}

/// What is done on an event.
pub fn on<E: 'static>(does: impl FnMut(E) + 'static) -> Box<dyn FnMut(E)> {
    Box::new(does)
}
