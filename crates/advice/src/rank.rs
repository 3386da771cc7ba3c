//! Which press: every die in every press of a library, each at its best place there.
//!
//! The pairs of die and press have nothing to do with each other, so that they are dealt out one by one
//! to as many threads as there are cores; the standard library does for that, a pool that steals work
//! would bring its crates and save nothing. Where there are no threads, as in a browser, the same is
//! done in one.

use crate::{
    Edit, Figures, apply,
    figures::badness,
    placement::{best_placement, edits},
    progress::{BrokenOff, Stage, Watch, tell},
};
use evenstroke_job::{Job, Refusal, Refused, line, report::finite};
use evenstroke_language::say;
use press_load::{Length, LimitId, Placement, SpeedBand, State, order};
use serde::Serialize;
use serde_json::{Value, json};
#[cfg(not(target_arch = "wasm32"))]
use std::{
    sync::{
        atomic::{AtomicBool, AtomicUsize, Ordering},
        mpsc,
    },
    thread,
};

/// Most presses that one file may hold.
const MOST_PRESSES: usize = 1_000;

/// The `format` of a file in which the page hands out all that it keeps.
const LIBRARY: &str = "evenstroke-library";

/// A die to be ranked: a job whose press is put aside.
#[derive(Clone, Debug)]
pub struct DieEntry {
    /// Where it comes from, a file say.
    pub source: String,
    /// The job file.
    pub value: Value,
    /// The same, understood.
    pub job: Job,
}

/// A press of the library.
#[derive(Clone, Debug, PartialEq)]
pub struct PressEntry {
    /// Where it comes from, a file say.
    pub source: String,
    /// What the shop calls it.
    pub name: String,
    /// The press object of the job file.
    pub value: Value,
}

/// A file that could not be read.
#[derive(Clone, Debug, Serialize)]
pub struct RefusedRow {
    /// Which.
    pub source: String,
    /// What is wrong with it.
    pub refused: Refused,
}

/// Dies and presses that were read, and what was not.
#[derive(Clone, Debug, Default)]
pub struct Library {
    /// Dies.
    pub dies: Vec<DieEntry>,
    /// Presses.
    pub presses: Vec<PressEntry>,
    /// What could not be read, in the order in which it was given.
    pub refused: Vec<RefusedRow>,
}

/// A die in a press, at its best place.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Where it stands best.
    pub placement: Placement,
    /// What it asks there.
    pub figures: Figures,
    /// Limits without which it may not pass that could not be checked.
    pub open: Vec<LimitId>,
    /// How much the die is too low for the press: so much has to be put under it, parallels say. The
    /// verdict is without.
    pub too_low: Option<Length>,
    /// How fast it may run.
    pub speed: SpeedBand,
    /// Whether the press names no speed, so that the one of the die's job was taken.
    pub speed_of_die: bool,
}

/// A die against one press.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// Index of the press.
    pub press: usize,
    /// How it does; what keeps the two from being put together at all, a stroke that is too short say.
    pub outcome: Result<Fit, Refused>,
}

impl Library {
    /// Adds what is read as a die.
    pub fn add_die(&mut self, source: String, value: Result<Value, Refused>) {
        match value.and_then(|value| die_entry(&source, value)) {
            Ok(die) => self.dies.push(die),
            Err(refused) => self.refused.push(RefusedRow { source, refused }),
        }
    }

    /// Adds what is read as presses.
    pub fn add_presses(&mut self, source: String, value: Result<Value, Refused>) {
        match value.and_then(|value| press_entries(&source, &value)) {
            Ok(presses) => self.presses.extend(presses),
            Err(refused) => self.refused.push(RefusedRow { source, refused }),
        }
    }
}

/// Reads a die.
///
/// # Errors
///
/// [`Refused`] as for any job.
pub fn die_entry(source: &str, value: Value) -> Result<DieEntry, Refused> {
    let job = Job::from_value(&value)?;
    Ok(DieEntry { source: source.to_owned(), value, job })
}

/// Reads presses: a press object, an object with `press`, a whole job, a line of jobs written out, the
/// page's own library (its presses, or those of its jobs where it holds none), or a list of any of these.
///
/// # Errors
///
/// [`Refused`] naming what is wrong with a press.
pub fn press_entries(source: &str, value: &Value) -> Result<Vec<PressEntry>, Refused> {
    let mut found = Vec::new();
    collect(value, &mut found);
    if found.is_empty() || found.len() > MOST_PRESSES {
        let allowed = say!(
            "must be a press, a job with its press, or a list of 1 to {} of them",
            MOST_PRESSES
        );
        let given = if found.is_empty() { "neither".to_owned() } else { found.len().to_string() };
        return Err(Refusal { path: "$".to_owned(), allowed, given }.into());
    }
    found
        .into_iter()
        .map(|press| {
            probe(press)?;
            let name = press["name"].as_str().filter(|name| !name.is_empty());
            Ok(PressEntry {
                source: source.to_owned(),
                name: name.unwrap_or(source).to_owned(),
                value: press.clone(),
            })
        })
        .collect()
}

fn collect<'a>(value: &'a Value, found: &mut Vec<&'a Value>) {
    if let Value::Array(items) = value {
        // No deeper than one list in another: what nests without end is no library.
        for item in items.iter().filter(|item| !item.is_array()) {
            collect(item, found);
        }
    } else if line::is_line(value) {
        if let Some(jobs) = value["jobs"].as_array() {
            found.extend(jobs.iter().map(|job| &job["press"]).filter(|press| press.is_object()));
        }
    } else if value["format"] == LIBRARY {
        let presses = value["presses"].as_array().into_iter().flatten();
        found.extend(presses.filter(|press| press.is_object()));
        if found.is_empty() {
            let jobs = value["jobs"].as_array().into_iter().flatten();
            found.extend(jobs.map(|job| &job["job"]["press"]).filter(|press| press.is_object()));
        }
    } else if let Some(press) = value.get("press") {
        found.push(press);
    } else if value.is_object() && value.get("format").is_none() {
        found.push(value);
    }
}

/// Whether a press can be read at all: in a job that asks next to nothing of it.
fn probe(press: &Value) -> Result<(), Refused> {
    let job = json!({
        "format": evenstroke_job::FORMAT,
        "version": evenstroke_job::VERSION,
        "press": press,
        "stock": {"thickness_mm": 1, "tensile_mpa": 300},
        "die": {"kind": "single"},
        "stations": [{}],
    });
    Job::from_value(&job).map(|_| ())
}

/// Takes away what was set or read at the press of the die's own job and says nothing of another one: its
/// parallels, how far that press opened, where its slide stood after a trip.
fn without_own_press(die: &DieEntry, press: &PressEntry) -> Vec<Edit> {
    if die.value.get("press") == Some(&press.value) {
        return Vec::new();
    }
    ["die.parallels_mm", "setup.press_opening_mm", "trip"]
        .into_iter()
        .filter(|path| die.value.pointer(&format!("/{}", path.replace('.', "/"))).is_some())
        .map(|path| Edit::new(path, Value::Null))
        .collect()
}

/// The job file of a die in another press, which runs as fast as the die's own where the other names no
/// speed.
fn in_press(die: &DieEntry, press: &PressEntry) -> (Value, bool) {
    // All of them are there, so that each has its place.
    let mut value =
        apply(&die.value, &without_own_press(die, press)).unwrap_or_else(|_| die.value.clone());
    let speed = value["press"]["speed_spm"].clone();
    value["press"] = press.value.clone();
    let speed_of_die = value["press"].get("speed_spm").is_none() && speed.is_number();
    if speed_of_die {
        value["press"]["speed_spm"] = speed;
    }
    (value, speed_of_die)
}

/// The edits that put a job's die into another press.
pub fn press_edits(die: &DieEntry, press: &PressEntry, fit: &Fit) -> Vec<Edit> {
    let (value, _) = in_press(die, press);
    let mut all = vec![Edit::new("press", value["press"].clone())];
    all.extend(without_own_press(die, press));
    all.extend(edits(fit.placement));
    all
}

/// A die in a press, at its best place there.
///
/// # Errors
///
/// [`Refused`] where the two cannot be put together.
pub fn fit(die: &DieEntry, press: &PressEntry) -> Result<Fit, Refused> {
    let (value, speed_of_die) = in_press(die, press);
    let job = Job::from_edited(&value, Some(&die.job))?;
    let (placement, check) = best_placement(&job);
    let open =
        |limit: &&press_load::Limit| limit.id.is_essential() && limit.state == State::NotChecked;
    Ok(Fit {
        placement,
        figures: Figures::of(&job, &check),
        open: check.limits.iter().filter(open).map(|limit| limit.id).collect(),
        too_low: too_low(&job),
        speed: check.speed,
        speed_of_die,
    })
}

fn too_low(job: &Job) -> Option<Length> {
    let lowest = job.press.shut_height? - job.press.shut_height_adjustment?;
    let short = lowest - job.die.stack()?;
    short.is_positive().then_some(short)
}

/// Every die against every press: for each die the presses, best first.
///
/// # Errors
///
/// [`BrokenOff`] if `watch` says so.
pub fn rank(
    dies: &[DieEntry],
    presses: &[PressEntry],
    watch: &mut Watch,
) -> Result<Vec<Vec<Ranked>>, BrokenOff> {
    let all = dies.len() * presses.len();
    let pair = |index: usize| fit(&dies[index / presses.len()], &presses[index % presses.len()]);
    let mut found: Vec<Option<Result<Fit, Refused>>> = vec![None; all];
    tell(watch, Stage::Rank, 0, all)?;
    deal_out(&mut found, &pair, watch)?;
    let mut ranked: Vec<Vec<Ranked>> = Vec::with_capacity(dies.len());
    let mut found = found.into_iter().flatten();
    for _ in dies {
        let row = (0..presses.len()).zip(&mut found);
        ranked.push(in_order(row.map(|(press, outcome)| Ranked { press, outcome }).collect()));
    }
    Ok(ranked)
}

/// One after the other, where there are no threads.
#[cfg(target_arch = "wasm32")]
fn deal_out(
    found: &mut [Option<Result<Fit, Refused>>],
    pair: &dyn Fn(usize) -> Result<Fit, Refused>,
    watch: &mut Watch,
) -> Result<(), BrokenOff> {
    let all = found.len();
    for (index, found) in found.iter_mut().enumerate() {
        *found = Some(pair(index));
        tell(watch, Stage::Rank, index + 1, all)?;
    }
    Ok(())
}

/// To as many threads as there are cores; each takes the next pair when it has done with one.
#[cfg(not(target_arch = "wasm32"))]
fn deal_out(
    found: &mut [Option<Result<Fit, Refused>>],
    pair: &(dyn Fn(usize) -> Result<Fit, Refused> + Sync),
    watch: &mut Watch,
) -> Result<(), BrokenOff> {
    let all = found.len();
    let threads = thread::available_parallelism().map_or(1, usize::from).min(all);
    let (next, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let (send, receive) = mpsc::channel();
    thread::scope(|scope| {
        for _ in 0..threads {
            let (send, next, stop) = (send.clone(), &next, &stop);
            scope.spawn(move || {
                loop {
                    let index = next.fetch_add(1, Ordering::Relaxed);
                    if index >= all || stop.load(Ordering::Relaxed) {
                        return;
                    }
                    if send.send((index, pair(index))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(send);
        for (done, (index, outcome)) in receive.iter().enumerate() {
            found[index] = Some(outcome);
            if let Err(broken) = tell(watch, Stage::Rank, done + 1, all) {
                stop.store(true, Ordering::Relaxed);
                return Err(broken);
            }
        }
        Ok(())
    })
}

/// Best verdict first, then the least worst share.
fn in_order(ranked: Vec<Ranked>) -> Vec<Ranked> {
    let verdicts: Vec<f64> = ranked
        .iter()
        .map(|ranked| match &ranked.outcome {
            Ok(fit) => f64::from(badness(fit.figures.verdict)),
            // Behind all verdicts.
            Err(_) => 4.0,
        })
        .collect();
    let shares: Vec<f64> = ranked
        .iter()
        .map(|ranked| ranked.outcome.as_ref().map_or(0.0, |fit| finite(fit.figures.worst_share())))
        .collect();
    // By the lesser key first: the order of equals is kept.
    let by_share = order::rising(&shares);
    let verdicts: Vec<f64> = by_share.iter().map(|&index| verdicts[index]).collect();
    order::rising(&verdicts).into_iter().map(|place| ranked[by_share[place]].clone()).collect()
}
