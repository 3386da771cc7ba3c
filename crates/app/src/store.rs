//! The state of the page: the job being edited, its history, and what follows from it.

use crate::{
    browser,
    erased::memo,
    form::Forms,
    keeping::{self, Handle, Origin},
    path::Path,
    pictures,
    view::{FirstSteps, Languages, OpenLine},
};
use evenstroke_chart::{job::Scene, sheet::sheet_html};
use evenstroke_job::{
    Job, Refused, demo::DEMOS, line::is_line, mend::can_be_mended, read::json_of_bytes,
    units::UnitSystem,
};
use evenstroke_language::{speaking, tr};
use leptos::prelude::*;
use press_load::{Check, Length, Placement, StripState};
use serde_json::Value;
use std::{ops::Deref, sync::Arc};

/// Edits of the same field closer together than this are one step of undo.
const SAME_EDIT_MS: f64 = 1_500.0;
/// Steps of undo that are kept; a job is some kilobytes.
const MOST_STEPS: usize = 500;

/// A value that signals share instead of copying; two are equal if they are the same one.
#[derive(Debug)]
pub struct Shared<T>(Arc<T>);

impl<T> Shared<T> {
    /// Shares `value`.
    pub fn new(value: T) -> Self {
        Self(Arc::new(value))
    }
}

impl<T> Clone for Shared<T> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<T> PartialEq for Shared<T> {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl<T> Deref for Shared<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

/// A job that was refused, as it is being mended.
#[derive(Clone, PartialEq)]
pub struct Mending {
    /// What it was called where it was to be opened.
    pub name: String,
    /// Which kept job it is, if it is kept.
    pub kept: Option<Handle>,
    /// Its text.
    pub text: String,
}

impl Mending {
    fn of(name: &str, kept: Option<Handle>, text: &str, refused: &Refused) -> Option<Self> {
        can_be_mended(text, refused).then(|| Self {
            name: name.to_owned(),
            kept,
            text: text.to_owned(),
        })
    }
}

/// A document, and which open job it is.
type Step = (Handle, Shared<Value>);

/// What was, and what was taken back.
#[derive(Default)]
struct History {
    past: Vec<Step>,
    future: Vec<Step>,
    /// Field and time of the last edit.
    last: Option<(String, f64)>,
}

/// The one store of the page; everything else is derived from it.
#[derive(Clone, Copy)]
pub struct Store {
    /// The job as JSON, which may be incomplete while it is being typed.
    pub document: RwSignal<Shared<Value>>,
    /// Which open job it is, for keeping it.
    pub handle: RwSignal<Handle>,
    history: RwSignal<History>,
    /// Where the die is while it is being dragged.
    pub dragged: RwSignal<Option<Placement>>,
    /// Where the slide is, if somebody has moved it.
    pub slide_height: RwSignal<Option<Length>>,
    /// The strip state looked at.
    pub strip_state: RwSignal<StripState>,
    /// Units on screen.
    pub units: RwSignal<UnitSystem>,
    /// Languages of the page and of the sheet.
    pub languages: Languages,
    /// Why a file could not be opened: its name and what is wrong.
    pub refused_file: RwSignal<Option<(String, String)>>,
    /// A job that was refused and can be mended.
    pub mending: RwSignal<Option<Mending>>,
    /// The tandem line that was opened last, if it is still shown.
    pub line: RwSignal<Option<Shared<OpenLine>>>,
    /// Which help is open and which groups are folded.
    pub forms: Forms,
    /// Which of the first steps is shown.
    pub first_steps: FirstSteps,
    /// The document understood, or why not.
    pub outcome: Memo<Result<Shared<Job>, Shared<Refused>>>,
    /// The last job that could be understood.
    pub job: Memo<Shared<Job>>,
    /// Where the die stands, dragged or not.
    pub placement: Memo<Placement>,
    /// The job judged where the die stands.
    pub check: Memo<Shared<Check>>,
}

impl Store {
    /// A store that holds the job that was open last, that of the page, or the first demo.
    pub fn new() -> Self {
        // Before anything is said.
        let languages = Languages::new();
        let spare = || keeping::begin(DEMOS[0].text, Origin::Spare);
        let (first, text) = keeping::first().unwrap_or_else(|| (spare(), DEMOS[0].text.to_owned()));
        // What cannot be read stays as it is kept: the demo in its place is a job of its own.
        let was_to_be_opened = tr("The job that was to be opened");
        let (handle, mut value, refused) = match evenstroke_job::read::read_text(&text) {
            Ok(value) => (first, value, None),
            Err(refused) => (spare(), demo_value(), Some(refused)),
        };
        let mending = refused
            .as_ref()
            .and_then(|refused| Mending::of(was_to_be_opened, Some(first), &text, refused));
        let refused = refused.map(|refused| (was_to_be_opened.to_owned(), refused.to_string()));
        pictures::take_out(&mut value);
        let document = RwSignal::new(Shared::new(value));
        let dragged = RwSignal::new(None);
        // The job before an edit, of which the stations that the edit left alone are taken over.
        let known = StoredValue::new(None::<Shared<Job>>);
        let outcome = memo(move || {
            // What is refused is told in the language of the page.
            languages.page.track();
            let previous = known.get_value();
            let job = document.with(|value| Job::from_edited(value, previous.as_deref()));
            let job = job.map(Shared::new).map_err(Shared::new);
            if let Ok(job) = &job {
                known.set_value(Some(job.clone()));
            }
            job
        });
        let job = Memo::new(move |last: Option<&Shared<Job>>| match (outcome.get(), last) {
            (Ok(job), _) => job,
            (Err(_), Some(last)) => last.clone(),
            (Err(_), None) => fallback_job(),
        });
        let placement =
            memo(move || dragged.get().unwrap_or_else(|| job.with(|job| job.die.placement)));
        let check = memo(move || job.with(|job| Shared::new(job.check_at(placement.get()))));
        Self {
            document,
            handle: RwSignal::new(handle),
            history: RwSignal::new(History::default()),
            dragged,
            slide_height: RwSignal::new(None),
            strip_state: RwSignal::new(StripState::Full),
            units: RwSignal::new(UnitSystem::Metric),
            languages,
            refused_file: RwSignal::new(refused),
            mending: RwSignal::new(mending),
            line: RwSignal::new(None),
            forms: Forms::new(),
            first_steps: FirstSteps::new(),
            outcome,
            job,
            placement,
            check,
        }
    }

    /// What is looked at; without where the slide is, the slide stands at the peak.
    pub fn scene(&self) -> Scene {
        Scene {
            units: self.units.get(),
            slide_height: self.slide_height.get(),
            placement: self.placement.get(),
            strip_state: self.state_in_view(),
        }
    }

    /// The set-up sheet, a piece of HTML, of what was worked out last; in two languages one after the
    /// other, if so chosen.
    pub fn sheet(&self) -> String {
        self.languages.of_sheet().map(|language| speaking(language, || self.sheet_here())).collect()
    }

    fn sheet_here(&self) -> String {
        let checksum = self.document.with(|document| evenstroke_job::checksum(document));
        let units = self.units.get();
        let sheet =
            self.job.with(|job| self.check.with(|check| sheet_html(job, check, units, &checksum)));
        if self.outcome.with(Result::is_ok) {
            return sheet;
        }
        let outdated = tr("Outdated.");
        let words = tr(
            "The job was changed to something that is refused; this sheet is of the job as it was before.",
        );
        format!("<p class=\"sheet-outdated\"><strong>{outdated}</strong> {words}</p>{sheet}")
    }

    /// The strip state looked at, the full strip if this die does not go through it.
    pub fn state_in_view(&self) -> StripState {
        let state = self.strip_state.get();
        if self.check.with(|check| check.strip_states.contains(&state)) {
            state
        } else {
            StripState::Full
        }
    }

    /// Changes the document as one step of undo; edits of the same `field` in quick succession are
    /// one step.
    pub fn edit(&self, field: &str, change: impl FnOnce(&mut Value)) {
        let mut value = (*self.document.get_untracked()).clone();
        change(&mut value);
        self.replace(field, self.handle.get_untracked(), value);
    }

    /// As [`Self::edit`], while something is held: all edits of the same `field` are one step, however
    /// long it is held.
    pub fn edit_held(&self, field: &str, change: impl FnOnce(&mut Value)) {
        self.edit(field, change);
        self.history.update(|history| {
            if let Some(last) = history.last.as_mut().filter(|last| last.0 == field) {
                last.1 = f64::INFINITY;
            }
        });
    }

    /// Takes back what was edited of `field` as if it had never been, if that was the last edit.
    pub fn give_back(&self, field: &str) {
        let mut found = None;
        self.history.update(|history| {
            if history.last.take_if(|last| last.0 == field).is_some() {
                found = history.past.pop();
            }
        });
        if let Some(step) = found {
            self.show(step);
        }
    }

    fn replace(&self, field: &str, handle: Handle, value: Value) {
        let before = (self.handle.get_untracked(), self.document.get_untracked());
        if handle == before.0 && value == *before.1 {
            return;
        }
        let now = browser::now_ms();
        self.history.update(|history| {
            let goes_on = history
                .last
                .as_ref()
                .is_some_and(|(last, at)| last == field && now - at < SAME_EDIT_MS);
            if !goes_on || history.past.is_empty() {
                history.past.push(before);
                if history.past.len() > MOST_STEPS {
                    history.past.remove(0);
                }
            }
            history.future.clear();
            history.last = Some((field.to_owned(), now));
        });
        self.show((handle, Shared::new(value)));
    }

    fn show(&self, (handle, value): Step) {
        // First to what keeps it: nothing that follows from the document may come in between.
        keeping::changed(handle, &value);
        self.handle.set(handle);
        self.document.set(value);
    }

    /// Puts a value at a place.
    pub fn set(&self, path: &Path, value: Value) {
        self.edit(&path.to_string(), |document| path.set(document, value));
    }

    /// Takes away what stands at a place.
    pub fn remove(&self, path: &Path) {
        self.edit(&path.to_string(), |document| path.remove(document));
    }

    /// Takes the last step back.
    pub fn undo(&self) {
        self.step(|history| (&mut history.past, &mut history.future));
    }

    /// Takes back the taking back.
    pub fn redo(&self) {
        self.step(|history| (&mut history.future, &mut history.past));
    }

    fn step(&self, ends: impl FnOnce(&mut History) -> (&mut Vec<Step>, &mut Vec<Step>)) {
        let current = (self.handle.get_untracked(), self.document.get_untracked());
        let mut found = None;
        self.history.update(|history| {
            history.last = None;
            let (from, to) = ends(history);
            if let Some(value) = from.pop() {
                to.push(current);
                found = Some(value);
            }
        });
        if let Some(value) = found {
            self.show(value);
        }
    }

    /// Whether there is a step to take back.
    pub fn can_undo(&self) -> bool {
        self.history.with(|history| !history.past.is_empty())
    }

    /// Whether there is a step to take again.
    pub fn can_redo(&self) -> bool {
        self.history.with(|history| !history.future.is_empty())
    }

    /// Opens the text of a job file. What is refused leaves the open job alone.
    pub fn open(&self, name: &str, text: &str, origin: Origin) {
        // A line is shown beside the job, which stays open until one of the line's is chosen.
        let read = json_of_bytes(text.as_bytes());
        if let Some(line) = read.as_ref().ok().filter(|value| is_line(value)) {
            match OpenLine::read(line) {
                Ok(line) => {
                    self.refused_file.set(None);
                    self.line.set(Some(Shared::new(line)));
                }
                Err(refused) => self.refused_file.set(Some((name.to_owned(), refused.to_string()))),
            }
            return;
        }
        self.open_as(name, None, text, read, origin);
    }

    /// Opens a job that this browser keeps.
    pub fn open_kept(&self, name: &str, handle: Handle, text: &str) {
        let read = json_of_bytes(text.as_bytes());
        self.open_as(name, Some(handle), text, read, Origin::File);
    }

    fn open_as(
        &self,
        name: &str,
        kept: Option<Handle>,
        text: &str,
        read: Result<Value, Refused>,
        origin: Origin,
    ) {
        let read = read.and_then(|value| Job::from_value(&value).map(|_| value));
        match read {
            Ok(mut value) => {
                pictures::take_out(&mut value);
                self.refused_file.set(None);
                self.mending.set(None);
                self.slide_height.set(None);
                self.strip_state.set(StripState::Full);
                // The very job that is open already is not another one.
                let is_open = self.document.with_untracked(|document| **document == value);
                let handle = match kept {
                    Some(handle) => handle,
                    None if is_open => self.handle.get_untracked(),
                    None => keeping::begin(text, origin),
                };
                self.replace("the whole job", handle, value);
                self.history.update(|history| history.last = None);
            }
            Err(refused) => {
                self.mending.set(Mending::of(name, kept, text, &refused));
                self.refused_file.set(Some((name.to_owned(), refused.to_string())));
            }
        }
    }

    /// Opens the job that was mended, which is still the kept one that it was.
    pub fn open_mended(&self) {
        if let Some(Mending { name, kept, text }) = self.mending.get_untracked() {
            self.open_as(&name, kept, &text, json_of_bytes(text.as_bytes()), Origin::File);
        }
    }

    /// Puts the die where it was dragged, as one step of undo.
    pub fn drop_die(&self) {
        if let Some(placement) = self.dragged.get_untracked() {
            self.place(placement, "drag");
            self.dragged.set(None);
        }
    }

    /// Puts the die somewhere. Places are kept to a tenth of a millimetre.
    pub fn place(&self, placement: Placement, field: &str) {
        let tenth = |length: Length| (length.millimetres() * 10.0).round() / 10.0;
        let path = Path::root().key("die").key("placement");
        self.edit(field, |document| {
            path.key("x_mm").set(document, tenth(placement.x).into());
            path.key("y_mm").set(document, tenth(placement.y).into());
        });
    }
}

fn demo_value() -> Value {
    evenstroke_job::read::json_of_bytes(DEMOS[0].text.as_bytes()).unwrap_or(Value::Null)
}

/// The first demo, which a test holds to be readable.
fn fallback_job() -> Shared<Job> {
    match Job::read(DEMOS[0].text) {
        Ok(job) => Shared::new(job),
        Err(refused) => panic!("the demo that ships with the page is refused: {refused}"),
    }
}
