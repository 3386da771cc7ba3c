//! Which press: the presses of the shop, kept in this browser; this die in each of them, and every kept
//! job in each of them. Ranked beside the page.

use super::{
    advice::{lines, put_edits},
    button,
    dialog::Dialog,
    going::{Going, by_and_by},
    library::export_all,
};
use crate::{
    beside,
    erased::{flag, on, part, text},
    files,
    keeping::{self, text_of, word},
    store::{Shared, Store},
};
use evenstroke_job::{spec::Unit, words};
use evenstroke_language::{retell, say, tr};
use leptos::{prelude::*, web_sys};
use press_load::State;
use serde_json::{Value, json};
use std::sync::Arc;

/// Cells of a large table that are made at a time, so that the page does not stand still.
const CELLS_AT_ONCE: usize = 24;

#[derive(Clone, Copy)]
struct Shop {
    store: Store,
    open: RwSignal<bool>,
    /// The presses, as the script lists them; nothing until it has.
    presses: RwSignal<Option<Shared<Value>>>,
    message: RwSignal<String>,
    going: Going,
    /// The job file that was ranked, and how it does.
    ranked: RwSignal<Option<(Shared<Value>, Shared<Value>)>>,
    all_going: Going,
    /// All kept jobs in all presses.
    all: RwSignal<Option<Shared<Value>>>,
}

impl Shop {
    /// Lists the presses anew and, as they are then, ranks this die.
    fn refresh(self) {
        self.all_going.stop("");
        self.all.set(None);
        keeping::ask("presses", &[], move |answer| {
            // The dialog may have been closed meanwhile.
            if self.presses.try_get_untracked().is_none() {
                return;
            }
            match answer {
                Ok(list) => {
                    self.presses.set(Some(keeping::json(&list)));
                    self.rank();
                }
                Err(reason) => {
                    self.message.set(say!("The presses cannot be listed: {}.", reason));
                    self.presses.set(Some(Shared::new(json!([]))));
                }
            }
        });
    }

    fn press_texts(self) -> js_sys::Array {
        self.presses.with_untracked(|list| {
            let list = list.iter().flat_map(|list| list.as_array()).flatten();
            beside::list(list.filter(|one| one["deleted"] != true).map(|one| word(one, "text")))
        })
    }

    fn units(self) -> js_sys::JsString {
        self.store.units.get_untracked().key().into()
    }

    fn rank(self) {
        self.ranked.set(None);
        let presses = self.press_texts();
        if presses.length() == 0 {
            self.going.stop("");
            return;
        }
        let document = self.store.document.get_untracked();
        let die = beside::list(std::iter::once(text_of(&document)));
        let input = js_sys::Array::of3(&self.units(), &die, &presses);
        self.going.begin(
            "rank",
            &input,
            Box::new(move |found| self.ranked.set(Some((document, Shared::new(found))))),
        );
    }

    fn rank_all(self) {
        self.all.set(None);
        keeping::ask("texts", &[], move |answer| {
            if self.presses.try_get_untracked().is_none() {
                return;
            }
            let texts = match answer {
                Ok(list) => keeping::json(&list),
                Err(reason) => {
                    self.all_going.say(say!("The kept jobs cannot be read: {}.", reason));
                    return;
                }
            };
            let of = |one: &Value| one.as_str().unwrap_or_default().to_owned();
            let dies = beside::list(texts.as_array().into_iter().flatten().map(of));
            if dies.length() == 0 {
                self.all_going.say(tr("No job is kept in this browser yet.").to_owned());
                return;
            }
            let input = js_sys::Array::of3(&self.units(), &dies, &self.press_texts());
            self.all_going.begin(
                "rank all",
                &input,
                Box::new(move |found| self.all.set(Some(Shared::new(found)))),
            );
        });
    }

    /// Has something done by the script, and shows the presses as they are then.
    fn act(self, name: &str, values: &[wasm_bindgen::JsValue]) {
        keeping::ask(name, values, move |answer| {
            self.message.set(
                answer
                    .err()
                    .map_or_else(String::new, |reason| say!("That could not be done: {}.", reason)),
            );
            self.refresh();
        });
    }

    /// Keeps the presses of files, given as name, text, name, text …; `refused` is what could not even be
    /// read.
    fn take(self, files: Vec<String>, mut refused: Vec<String>) {
        let input = beside::list(files.into_iter());
        self.going.begin(
            "presses",
            &input,
            Box::new(move |found| {
                let told = found["refused"].as_array().into_iter().flatten();
                refused.extend(told.map(|line| line.as_str().unwrap_or_default().to_owned()));
                let refused = refused.join(" ");
                let count = found["presses"].as_array().map_or(0, Vec::len);
                if count == 0 {
                    self.message.set(say!("No press was added. {}", refused));
                    self.rank();
                    return;
                }
                let list = found["presses"].to_string();
                keeping::ask("keepPresses", &[list.into()], move |answer| {
                    self.message.set(match answer {
                        Ok(told) => format!("{} {refused}", retell(&told)),
                        Err(reason) => say!("The presses were not kept: {}. {}", reason, refused),
                    });
                    self.refresh();
                });
            }),
        );
    }

    fn take_of_job(self) {
        let text = text_of(&self.store.document.get_untracked());
        self.take(vec![tr("The press of this job").to_owned(), text], Vec::new());
    }

    fn take_files(self, event: &web_sys::Event) {
        files::read_all_chosen(
            event,
            Box::new(move |files| {
                let (mut good, mut bad) = (Vec::new(), Vec::new());
                for (name, text) in files {
                    match text {
                        Ok(text) => good.extend([name, text]),
                        Err(reason) => bad.push(format!("{name}: {reason}.")),
                    }
                }
                if good.is_empty() && bad.is_empty() {
                    bad.push(tr("There was no .json file.").to_owned());
                }
                self.take(good, bad);
            }),
        );
    }

    fn put(self, of: &Shared<Value>, row: &Value) {
        if self.store.document.get_untracked() == *of
            && put_edits(self.store, &word(row, "name"), &row["edits"])
        {
            self.open.set(false);
        }
    }
}

/// The dialog.
#[component]
pub fn Presses(
    /// Whether it is shown.
    open: RwSignal<bool>,
) -> impl IntoView {
    view! {
        <Dialog open=open label=tr("Which press") class="presses">
            <Body open=open />
        </Dialog>
    }
}

#[component]
fn Body(open: RwSignal<bool>) -> impl IntoView {
    let shop = Shop {
        store: expect_context::<Store>(),
        open,
        presses: RwSignal::new(None),
        message: RwSignal::new(String::new()),
        going: Going::new(),
        ranked: RwSignal::new(None),
        all_going: Going::new(),
        all: RwSignal::new(None),
    };
    shop.refresh();
    let count = move || {
        shop.presses.with(|list| {
            let list = list.iter().flat_map(|list| list.as_array()).flatten();
            list.filter(|one| one["deleted"] != true).count()
        })
    };
    let is_empty = move || shop.presses.with(Option::is_some) && count() == 0;
    let files = |words: &'static str, folder: bool| {
        let folder = folder.then_some("");
        view! {
            <label class="button file">
                {words}
                <input
                    type="file"
                    accept=".json,application/json"
                    multiple
                    {..leptos::attr::custom::custom_attribute("webkitdirectory", folder)}
                    on:change=on(move |event: web_sys::Event| shop.take_files(&event))
                />
            </label>
        }
        .into_any()
    };
    let title = shop.store.document.with_untracked(|document| word(document, "title"));
    view! {
        <div class="panel-head">
            <h2>{tr("Which press")}</h2>
            {button(tr("Close"), "", flag(|| false), on(move |_| open.set(false)))}
        </div>
        <h3 id="ranked-title">{say!("This die: {}", title)}</h3>
        {part(move || is_empty().then(|| view! {
            <p>
                {tr("No press is kept in this browser yet. Take the one of this job, or add files: a press, jobs with their presses, or a whole folder of them. Then this die is tried in each.")}
            </p>
        }))}
        {shop.going.view()}
        {part(move || (!shop.going.on.get() && shop.ranked.with(Option::is_none) && count() > 0)
            .then(|| button(tr("Rank this die"), "", flag(|| false), on(move |_| shop.rank()))))}
        {part(move || shop.ranked.get().map(|(of, found)| ranking(shop, of, found)))}
        <h3 id="shop-title">{tr("Presses kept in this browser")}</h3>
        <p class="about" role="status">{text(move || shop.message.get())}</p>
        <ul class="job-list" aria-labelledby="shop-title">
            {part(move || {
                shop.presses.get().map(|list| {
                    let count = list.as_array().map_or(0, Vec::len);
                    by_and_by(count, 4, Arc::new(move |index| press_row(shop, &list[index])))
                })
            })}
        </ul>
        <div class="job-ways">
            {button(tr("Take the press of this job"), "", flag(|| false), on(move |_| shop.take_of_job()))}
            {files(tr("Add files"), false)}
            {files(tr("Add a folder"), true)}
            {button(tr("Export presses and jobs"), "", flag(|| false), on(move |_| export_all(shop.message)))}
        </div>
        <h3 id="all-title">{tr("All kept jobs in all presses")}</h3>
        <div class="job-ways">
            {button(tr("Rank all kept jobs"), "", flag(is_empty), on(move |_| shop.rank_all()))}
        </div>
        {shop.all_going.view()}
        {part(move || shop.all.get().map(table))}
        <p class="about">{words::STANDING_CAUTIONS.last().map_or("", |last| tr(last.1))}</p>
    }
}

/// A press of the shop, or what is left of one that was deleted.
fn press_row(shop: Shop, press: &Value) -> AnyView {
    let (id, name) = (word(press, "id"), word(press, "name"));
    if press["deleted"] == true {
        let label = say!("Bring back {}", name);
        let back = on(move |_| shop.act("restorePress", &[id.clone().into()]));
        return view! {
            <li class="kept-job">
                <span>{say!("“{}” was deleted.", name)}</span>
                <div class="job-ways">{button(tr("Bring back"), &label, flag(|| false), back)}</div>
            </li>
        }
        .into_any();
    }
    let value = keeping::json(&word(press, "text"));
    let units = shop.store.units.get_untracked();
    let show = |number: &Value, unit| {
        number
            .as_f64()
            .map_or_else(|| tr("not entered").to_owned(), |number| units.show(number, unit))
    };
    let about = say!(
        "rated {}, stroke {}",
        show(&value["rated_force_kn"], Unit::Kn),
        show(&value["drive"]["stroke_mm"], Unit::Mm)
    );
    let of_delete = id.clone();
    let rename = move |event: web_sys::Event| {
        let to = event_target_value(&event).trim().to_owned();
        if to.is_empty() {
            shop.message.set(tr("A press needs a name; the old one stays.").to_owned());
            shop.refresh();
        } else {
            shop.act("namePress", &[id.clone().into(), to.into()]);
        }
    };
    let delete = on(move |_| shop.act("removePress", &[of_delete.clone().into()]));
    view! {
        <li class="press-row">
            <label class="search">
                <span>{tr("Name")}</span>
                <input type="text" maxlength="200" value=name.clone() on:change=on(rename) />
            </label>
            <span class="about">{about}</span>
            {button(tr("Delete"), &say!("Delete {}", name), flag(|| false), delete)}
        </li>
    }
    .into_any()
}

fn ranking(shop: Shop, of: Shared<Value>, found: Shared<Value>) -> AnyView {
    let count = found["dies"][0]["presses"].as_array().map_or(0, Vec::len);
    let refused = lines("notes", &found["refused"]);
    let row = move |index: usize| ranked_row(shop, &of, &found["dies"][0]["presses"][index]);
    view! {
        <ol class="job-list" aria-labelledby="ranked-title">{by_and_by(count, 4, Arc::new(row))}</ol>
        {refused}
    }
    .into_any()
}

fn ranked_row(shop: Shop, of: &Shared<Value>, row: &Value) -> AnyView {
    let name = word(row, "name");
    let label = say!("Put the job on {}", name);
    let (of, own) = (of.clone(), row.clone());
    let put = row["edits"].is_array().then(|| {
        let put = on(move |_| shop.put(&of, &own));
        button(&label, "", flag(|| false), put)
    });
    view! {
        <li class=format!("ranked state-{}", word(row, "key"))>
            <span class="limit-name">{name}</span>
            <span class="tag">{word(row, "verdict")}</span>
            <span>{word(row, "worst")}</span>
            {lines("notes", &row["details"])}
            {put}
        </li>
    }
    .into_any()
}

/// A press across, a job down.
fn table(all: Shared<Value>) -> AnyView {
    let heads = all["presses"].as_array().into_iter().flatten().map(|name| {
        let name = name.as_str().unwrap_or_default().to_owned();
        view! { <th scope="col">{name}</th> }
    });
    let heads = heads.collect_view();
    let refused = lines("notes", &all["refused"]);
    let dies = all["dies"].as_array().map_or(0, Vec::len);
    let presses = all["presses"].as_array().map_or(0, Vec::len);
    let row = move |index: usize| {
        let die = &all["dies"][index];
        let cells: Vec<AnyView> =
            die["presses"].as_array().into_iter().flatten().map(cell).collect();
        view! { <tr><th scope="row">{word(die, "title")}</th>{cells}</tr> }.into_any()
    };
    view! {
        <div class="scroll" tabindex="0" role="region" aria-labelledby="all-title">
            <table class="cases">
                <thead><tr><td></td>{heads}</tr></thead>
                <tbody>{by_and_by(dies, CELLS_AT_ONCE / presses.max(1), Arc::new(row))}</tbody>
            </table>
        </div>
        {refused}
    }
    .into_any()
}

fn cell(row: &Value) -> AnyView {
    let key = word(row, "key");
    let state = [State::Within, State::Near, State::Over, State::NotChecked]
        .into_iter()
        .find(|state| state.key() == key);
    let state = state.map_or(tr("does not go in"), words::state_word);
    view! {
        <td class=format!("state-{key}")>
            <span class="tag">{format!("{state} {}", word(row, "share"))}</span>
            " "
            <span class="about">{word(row, "limit")}</span>
        </td>
    }
    .into_any()
}
