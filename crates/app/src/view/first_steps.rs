//! Four steps for whoever opens the page for the first time: press, stock, die and stations, answer.
//! They point at the parts themselves, cover nothing and can be left at any time.

use super::button;
use crate::{
    browser,
    erased::{flag, on, part},
    store::Store,
};
use evenstroke_language::{marked, say, tr};
use leptos::prelude::*;

/// Where the browser notes that somebody went through them or left them.
const SHOWN_KEY: &str = "evenstroke-first-steps-1";

/// A step: its name, what it says, and the id of the part that it is about.
const STEPS: [(&str, &str, &str); 4] = [
    (
        marked("The press"),
        marked(
            "Enter what its plate and manual say. What nobody enters is not checked, and never counts as a pass.",
        ),
        "card~press",
    ),
    (
        marked("The stock"),
        marked(
            "Choose it by its designation, or type thickness and strength. A range stays a range.",
        ),
        "card~stock",
    ),
    (
        marked("Die and stations"),
        marked(
            "The die's size and place, then what each station does and at which height it first touches.",
        ),
        "card~stations",
    ),
    (
        marked("The answer"),
        marked(
            "The verdict at the top names the closest limit; all limits stand here, worst first. “?” beside a field explains it.",
        ),
        "limits",
    ),
];

/// Which step is shown, from 1; none with 0.
#[derive(Clone, Copy)]
pub struct FirstSteps(RwSignal<u32>);

impl FirstSteps {
    /// The first step on a browser where nobody has gone on from it or left it, none on others.
    pub fn new() -> Self {
        Self(RwSignal::new(u32::from(browser::kept(SHOWN_KEY).is_none())))
    }

    fn go(self, to: u32) {
        // Where it cannot be noted they are shown again, which does no harm.
        browser::keep(SHOWN_KEY, "shown");
        self.0.set(to);
    }

    /// Shows them again.
    pub fn begin(self) {
        self.0.set(1);
    }

    /// A class that marks the part which the step is about.
    pub fn class(self) -> String {
        format!("board step-{}", self.0.get())
    }
}

/// The step that is shown.
#[component]
pub fn FirstStepsStrip() -> impl IntoView {
    let steps = expect_context::<Store>().first_steps;
    part(move || {
        let number = steps.0.get();
        let (name, words, id) = STEPS.get((number as usize).checked_sub(1)?)?;
        let last = STEPS.len() as u32;
        let go = |words: &str, to: u32| {
            let go = move |_| {
                steps.go(to);
                // The part that the step is about is opened; the focus stays with the steps.
                if let Some(step) = STEPS.get((to as usize).wrapping_sub(1)) {
                    browser::open_and_focus(step.2);
                }
                browser::focus("first-steps");
            };
            button(words, "", flag(|| false), on(go))
        };
        let show = on(move |_| browser::open_and_focus(id));
        Some(view! {
            <aside class="first-steps" id="first-steps" tabindex="-1" aria-label=tr("First steps")>
                <p>
                    <strong>{say!("{} of {}: {}.", number, last, tr(name))}</strong>
                    " "
                    {tr(words)}
                </p>
                <div class="controls">
                    {(number == 1).then(|| super::language::page_choice("first-language"))}
                    {button(tr("Show me"), "", flag(|| false), show)}
                    {(number > 1).then(|| go(tr("Back"), number - 1))}
                    {(number < last).then(|| go(tr("Next"), number + 1))}
                    {go(if number < last { tr("Skip the steps") } else { tr("Done") }, 0)}
                </div>
            </aside>
        })
    })
}
