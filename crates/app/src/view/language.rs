//! The language of the page, and those of the set-up sheet, each remembered in this browser.

use crate::{
    browser,
    erased::{flag, on},
    store::Store,
};
use evenstroke_language::{Language, marked, speak, tr};
use leptos::{prelude::*, web_sys};

/// Names under which they are kept.
const PAGE_KEY: &str = "evenstroke.language";
const SHEET_KEY: &str = "evenstroke.sheet-language";
const SECOND_KEY: &str = "evenstroke.sheet-second-language";

/// The languages that are chosen.
#[derive(Clone, Copy)]
pub struct Languages {
    /// That of the page.
    pub page: RwSignal<Language>,
    /// That of the sheet, where it is not the page's.
    pub sheet: RwSignal<Option<Language>>,
    /// That of a second sheet that follows the first.
    pub second: RwSignal<Option<Language>>,
}

impl Languages {
    /// What this browser keeps; else the first of the user's languages that there is, and one sheet in
    /// the language of the page.
    pub fn new() -> Self {
        let kept = |key| browser::kept(key).as_deref().and_then(of_key);
        let of_user = || browser::languages().iter().find_map(|tag| Language::of_tag(tag));
        let page = kept(PAGE_KEY).or_else(of_user).unwrap_or_default();
        begin(page);
        Self {
            page: RwSignal::new(page),
            sheet: RwSignal::new(kept(SHEET_KEY)),
            second: RwSignal::new(kept(SECOND_KEY)),
        }
    }

    /// The sheet's languages, one or two.
    pub fn of_sheet(self) -> impl Iterator<Item = Language> {
        let first = self.sheet.get().unwrap_or(self.page.get());
        [Some(first), self.second.get()].into_iter().flatten()
    }
}

/// What is said from now on is said in `language`, before anything is made anew.
fn begin(language: Language) {
    speak(language);
    browser::set_language(language.key());
}

fn of_key(key: &str) -> Option<Language> {
    Language::ALL.into_iter().find(|language| language.key() == key)
}

/// The choice of the page's language. Its name is also told in the other languages, for whoever does
/// not read this one.
pub fn page_choice(id: &'static str) -> AnyView {
    let languages = expect_context::<Store>().languages;
    let choose = move |key: &str| {
        let Some(language) = of_key(key) else { return };
        begin(language);
        browser::keep(PAGE_KEY, key);
        languages.page.set(language);
        // The list itself has been made anew.
        request_animation_frame(move || browser::focus(id));
    };
    let now = move || Some(languages.page.get());
    choice(id, marked("Language"), None, Box::new(now), Box::new(choose))
}

/// The choices of the sheet's languages.
pub fn sheet_choices() -> AnyView {
    let Languages { sheet, second, .. } = expect_context::<Store>().languages;
    let keep = |key: &'static str, of: RwSignal<Option<Language>>| -> Box<dyn Fn(&str)> {
        Box::new(move |chosen: &str| {
            of.set(of_key(chosen));
            browser::keep(key, chosen);
        })
    };
    let as_page = Some(marked("as the page"));
    let none = Some(marked("none"));
    view! {
        {choice("sheet-language", marked("Language of the sheet"), as_page, Box::new(move || sheet.get()), keep(SHEET_KEY, sheet))}
        {choice("sheet-second", marked("And once more in"), none, Box::new(move || second.get()), keep(SECOND_KEY, second))}
    }
    .into_any()
}

fn choice(
    id: &'static str,
    label: &'static str,
    without: Option<&'static str>,
    now: Box<dyn Fn() -> Option<Language> + Send + Sync>,
    choose: Box<dyn Fn(&str)>,
) -> AnyView {
    let now = Signal::derive(now);
    let without = without.map(|words| {
        view! { <option value="" selected=flag(move || now.get().is_none())>{tr(words)}</option> }
    });
    let options = Language::ALL.map(|language| {
        let selected = flag(move || now.get() == Some(language));
        view! {
            <option value=language.key() lang=language.key() selected=selected>
                {language.own_name()}
            </option>
        }
    });
    let changed = move |event: web_sys::Event| choose(&event_target_value(&event));
    view! {
        <label class="language">
            <span>{tr(label)}</span>
            <select class="button" id=id on:change=on(changed)>
                {without}
                {options.collect_view()}
            </select>
        </label>
    }
    .into_any()
}
