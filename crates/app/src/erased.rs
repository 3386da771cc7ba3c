//! Few types in place of many.
//!
//! Leptos makes machine code for every type of closure that a view, a signal, a memo or an effect
//! holds. Closures of the same erased type share it, which makes the page smaller by tens of kilobytes. Each
//! function here boxes what it is given and hands the box to another one that knows no closure.

use leptos::prelude::*;

/// A text that changes.
pub fn text(of: impl Fn() -> String + Send + Sync + 'static) -> Signal<String> {
    boxed_text(Box::new(of))
}

#[inline(never)]
fn boxed_text(of: Box<dyn Fn() -> String + Send + Sync>) -> Signal<String> {
    Signal::derive(of)
}

/// A yes or no that changes.
pub fn flag(of: impl Fn() -> bool + Send + Sync + 'static) -> Signal<bool> {
    boxed_flag(Box::new(of))
}

#[inline(never)]
fn boxed_flag(of: Box<dyn Fn() -> bool + Send + Sync>) -> Signal<bool> {
    Signal::derive(of)
}

/// A value that is worked out anew when what it is made of changes, and tells of it only if it has
/// become another.
pub fn memo<T: PartialEq + Send + Sync + 'static>(
    of: impl Fn() -> T + Send + Sync + 'static,
) -> Memo<T> {
    boxed_memo(Box::new(of))
}

#[inline(never)]
fn boxed_memo<T: PartialEq + Send + Sync + 'static>(
    of: Box<dyn Fn() -> T + Send + Sync>,
) -> Memo<T> {
    Memo::new(move |_| of())
}

/// What is done now and again whenever what it reads changes.
pub fn effect(does: impl FnMut() + 'static) {
    boxed_effect(Box::new(does));
}

#[inline(never)]
fn boxed_effect(mut does: Box<dyn FnMut()>) {
    Effect::new(move |_| does());
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
