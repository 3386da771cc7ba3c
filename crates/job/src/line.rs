//! A tandem line: one die per press, several presses, judged one by one.
//!
//! ```json
//! {"format": "evenstroke-line", "version": 1, "title": "…",
//!  "jobs": [ {…a job…}, {"file": "trim.json"} ]}
//! ```
//!
//! The jobs stand in the order in which the part goes through them. A job that stands in a file of
//! its own is fetched by whoever reads the line; without files only jobs written out can be read.

use crate::{
    Job,
    read::{describe, whole},
    refusal::{Refusal, Refused},
    report::{Report, finite},
    words,
};
use evenstroke_language::{in_sentence, number, say, tr};
use press_load::{Check, LimitId, State, StrokeRate, press::most_strokes};
use serde::Serialize;
use serde_json::{Map, Value};

/// What a line file calls itself.
pub const FORMAT: &str = "evenstroke-line";
/// The version that is read.
pub const VERSION: u64 = 1;
/// What the report of a line calls itself.
pub const REPORT_FORMAT: &str = "evenstroke-line-report";
/// Its version.
pub const REPORT_VERSION: u32 = 1;
/// Most presses of a line; long ones have some eight.
pub const MOST_JOBS: usize = 20;
/// Longest title and longest path of a job's file.
const LONGEST_TEXT: usize = 200;
/// A line that is wrong all over is not listed all over.
const MOST_REFUSALS: usize = 50;

/// Fetches the file of a job: its bytes, or what is wrong with it.
///
/// The path is relative, with `/` between folders, and does not leave the folder of the line.
pub type Fetch<'a> = &'a mut dyn FnMut(&str) -> Result<Vec<u8>, String>;

/// A line that has been understood.
#[derive(Clone, Debug)]
pub struct TandemLine {
    /// What the shop calls it.
    pub title: String,
    /// The jobs in the order of the part.
    pub jobs: Vec<Job>,
}

/// Where a limit is used most: of all that load the press, and of those of room that are over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weakest {
    /// Index of the job.
    pub job: usize,
    /// Its limit that is used most.
    pub limit: LimitId,
    /// How far it is used.
    pub share: f64,
}

/// The strokes that a press of the line can make.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Speed {
    /// At which it is to run, where entered.
    pub running: Option<StrokeRate>,
    /// Most that its energy and its motor allow on the upper line; `None` where not known.
    pub highest: Option<HighestSpeed>,
}

/// Most strokes that a press can make with a die.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HighestSpeed {
    /// Its motor gives back no more than so many times the work of a stroke.
    Motor(StrokeRate),
    /// Its flywheel does not hold the work of a stroke at any speed.
    None,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct LineCheck {
    /// Worst of the jobs; not checked if one of them is not and none is over.
    pub verdict: State,
    /// The check of each job.
    pub checks: Vec<Check>,
    /// Where a limit is used most; nothing if none could be checked.
    pub weakest: Option<Weakest>,
    /// The strokes of each press.
    pub speeds: Vec<Speed>,
    /// Index of the press that sets the pace, and that pace; nothing if no speed is known.
    pub slowest: Option<(usize, StrokeRate)>,
}

/// Whether a file holds a line rather than a job.
pub fn is_line(value: &Value) -> bool {
    value["format"] == FORMAT
}

impl TandemLine {
    /// Reads a line whose jobs are all written out.
    ///
    /// # Errors
    ///
    /// [`Refused`] with every place that is wrong, `$.jobs[1].press.rated_force_kn`.
    pub fn from_value(value: &Value) -> Result<Self, Refused> {
        Self::with_files(value, &mut |_| Err(tr("no file can be read here").to_owned()))
    }

    /// Reads a line, fetching the jobs that stand in files of their own.
    ///
    /// # Errors
    ///
    /// As [`TandemLine::from_value`]; a file that cannot be fetched is refused at its `file`, what is
    /// wrong inside it at the place in the line where it stands.
    pub fn with_files(value: &Value, fetch: Fetch) -> Result<Self, Refused> {
        let Some(object) = value.as_object().filter(|_| is_line(value)) else {
            return Err(refuse("$.format", say!("must be \"{}\"", FORMAT), &value["format"]).into());
        };
        if whole(&value["version"]) != Some(VERSION as i64) {
            let allowed = say!(
                "must be {}, the version that this program reads; a later one needs a later program",
                VERSION
            );
            return Err(refuse("$.version", allowed, &value["version"]).into());
        }
        let mut refusals = other_fields(object, "$", &["format", "version", "title", "jobs"]);
        let title = match object.get("title") {
            None => "",
            Some(Value::String(title)) if title.chars().count() <= LONGEST_TEXT => title,
            Some(other) => {
                let allowed = say!("must be text of at most {} characters", LONGEST_TEXT);
                refusals.push(refuse("$.title", allowed, other));
                ""
            }
        };
        let items = value["jobs"].as_array().map_or(&[][..], Vec::as_slice);
        if items.is_empty() || items.len() > MOST_JOBS {
            let allowed = say!("must be a list of 1 to {} items", MOST_JOBS);
            refusals.push(refuse("$.jobs", allowed, &value["jobs"]));
            return Err(Refused(refusals));
        }
        let mut jobs = Vec::with_capacity(items.len());
        for (index, item) in items.iter().enumerate() {
            match read_item(item, &format!("$.jobs[{index}]"), fetch) {
                Ok(job) => jobs.push(job),
                Err(Refused(found)) => refusals.extend(found),
            }
        }
        refusals.truncate(MOST_REFUSALS);
        if refusals.is_empty() {
            Ok(Self { title: title.to_owned(), jobs })
        } else {
            Err(Refused(refusals))
        }
    }

    /// Judges every job in its press.
    pub fn check(&self) -> LineCheck {
        let checks: Vec<Check> = self.jobs.iter().map(Job::check).collect();
        let any = |state| checks.iter().any(|check| check.verdict == state);
        let verdict = [State::Over, State::NotChecked, State::Near]
            .into_iter()
            .find(|&state| any(state))
            .unwrap_or(State::Within);
        let mut weakest: Option<Weakest> = None;
        for (job, check) in checks.iter().enumerate() {
            for limit in &check.limits {
                let Ok(used) = limit.outcome else { continue };
                // A die that fills its bolster fits all the same: space counts where it is lacking.
                if limit.id.is_space() && limit.state != State::Over {
                    continue;
                }
                if weakest.is_none_or(|other| used.share > other.share) {
                    weakest = Some(Weakest { job, limit: limit.id, share: used.share });
                }
            }
        }
        let speeds: Vec<Speed> =
            self.jobs.iter().zip(&checks).map(|(job, check)| Speed::of(job, check)).collect();
        let mut slowest: Option<(usize, StrokeRate)> = None;
        for (index, speed) in speeds.iter().enumerate() {
            if let Some(pace) = speed.pace()
                && slowest.is_none_or(|(_, other)| pace < other)
            {
                slowest = Some((index, pace));
            }
        }
        LineCheck { verdict, checks, weakest, speeds, slowest }
    }
}

impl Speed {
    fn of(job: &Job, check: &Check) -> Self {
        let energy = check.energy_upper;
        // From the speed of its rating on a flywheel holds no more: what it does not hold there it
        // holds nowhere.
        let fast = StrokeRate::from_per_minute(1e6);
        let most = job.press.energy.and_then(|rating| rating.usable_at(fast, job.press.running));
        let highest = if most.is_some_and(|most| energy > most) {
            Some(HighestSpeed::None)
        } else if energy.is_positive() {
            let power = job.press.power_at_flywheel();
            power.and_then(|power| most_strokes(energy, power, 1.0)).map(HighestSpeed::Motor)
        } else {
            None
        };
        Self { running: job.press.strokes_made_good(), highest }
    }

    /// The strokes that the press adds to the line: those entered, or fewer if it cannot make them.
    pub fn pace(&self) -> Option<StrokeRate> {
        match (self.running, self.highest) {
            (_, Some(HighestSpeed::None)) => Some(StrokeRate::ZERO),
            (Some(running), Some(HighestSpeed::Motor(most))) => Some(running.min(most)),
            (Some(rate), None) | (None, Some(HighestSpeed::Motor(rate))) => Some(rate),
            (None, None) => None,
        }
    }
}

fn refuse(path: &str, allowed: impl Into<String>, given: &Value) -> Refusal {
    Refusal { path: path.to_owned(), allowed: allowed.into(), given: describe(given) }
}

fn other_fields(object: &Map<String, Value>, path: &str, known: &[&str]) -> Vec<Refusal> {
    object
        .iter()
        .filter(|(key, _)| !known.contains(&key.as_str()))
        .map(|(key, given)| {
            // A key from a foreign file may be of any length and hold anything.
            let key: String = key.chars().take(LONGEST_TEXT / 5).collect();
            let allowed = say!("is no field here; allowed are {}", known.join(", "));
            refuse(&format!("{path}[{key:?}]"), allowed, given)
        })
        .collect()
}

/// A job of the line, written out or in a file.
fn read_item(item: &Value, path: &str, fetch: Fetch) -> Result<Job, Refused> {
    let inside = |Refused(found): Refused| {
        Refused(
            found
                .into_iter()
                .map(|refusal| {
                    let path = match refusal.path.as_str() {
                        "$" => path.to_owned(),
                        // A key that is no plain word stands in brackets.
                        other if other.starts_with('[') => format!("{path}{other}"),
                        other => format!("{path}.{other}"),
                    };
                    Refusal { path, ..refusal }
                })
                .collect(),
        )
    };
    let Some(object) = item.as_object() else {
        return Err(refuse(path, tr("must be a job, or {\"file\"} with its path"), item).into());
    };
    let Some(file) = object.get("file") else {
        return Job::from_value(item).map_err(inside);
    };
    let others = other_fields(object, path, &["file"]);
    if !others.is_empty() {
        return Err(Refused(others));
    }
    let at = format!("{path}.file");
    let name = relative_path(file).map_err(|allowed| refuse(&at, allowed, file))?;
    let bytes = fetch(name).map_err(|problem| Refusal {
        path: at,
        allowed: say!("must be a file that can be read: {}", problem),
        given: describe(file),
    })?;
    Job::read_bytes(&bytes).map_err(inside)
}

/// A path that stays in the folder of the line, on whatever system the line is read.
fn relative_path(file: &Value) -> Result<&str, &'static str> {
    let allowed = tr(
        "must be a relative path of at most 200 characters inside the folder of the line, with / between folders and without ..",
    );
    let path = file.as_str().filter(|path| path.chars().count() <= LONGEST_TEXT).ok_or(allowed)?;
    // A drive letter or a network name makes a path absolute where the line was not written.
    let foreign = path.contains(|c: char| c == '\\' || c == ':' || c.is_control());
    let steps = path.split('/').all(|step| !matches!(step, "" | "." | ".."));
    if foreign || !steps { Err(allowed) } else { Ok(path) }
}

/// The report of a line, version 1.
#[derive(Clone, Debug, Serialize)]
pub struct LineReport {
    format: &'static str,
    version: u32,
    title: String,
    verdict: &'static str,
    weakest: Option<WeakestRow>,
    slowest: Option<SlowestRow>,
    /// In the order of the jobs.
    speeds: Vec<SpeedRow>,
    jobs: Vec<Report>,
}

#[derive(Clone, Debug, Serialize)]
struct WeakestRow {
    /// Index of the job, from 0.
    job: usize,
    title: String,
    press: String,
    limit: &'static str,
    share: f64,
}

#[derive(Clone, Debug, Serialize)]
struct SlowestRow {
    /// Index of the job, from 0.
    job: usize,
    title: String,
    press: String,
    /// Strokes per minute that the line makes; 0 if this press's flywheel does not hold its work.
    line_spm: f64,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct SpeedRow {
    speed_spm: Option<f64>,
    /// 0 if the flywheel does not hold the work at any speed; nothing if not known.
    highest_spm: Option<f64>,
}

impl LineReport {
    /// The report of a checked line.
    pub fn new(line: &TandemLine, check: &LineCheck) -> Self {
        let job = |index: usize| {
            let job = &line.jobs[index];
            (job.title.clone(), job.press_name.clone())
        };
        Self {
            format: REPORT_FORMAT,
            version: REPORT_VERSION,
            title: line.title.clone(),
            verdict: check.verdict.key(),
            weakest: check.weakest.map(|weakest| {
                let (title, press) = job(weakest.job);
                let (limit, share) = (weakest.limit.key(), finite(weakest.share));
                WeakestRow { job: weakest.job, title, press, limit, share }
            }),
            slowest: check.slowest.map(|(index, pace)| {
                let (title, press) = job(index);
                SlowestRow { job: index, title, press, line_spm: pace.per_minute() }
            }),
            speeds: check
                .speeds
                .iter()
                .map(|speed| SpeedRow {
                    speed_spm: speed.running.map(StrokeRate::per_minute),
                    highest_spm: speed.highest.map(|highest| match highest {
                        HighestSpeed::Motor(rate) => finite(rate.per_minute()),
                        HighestSpeed::None => 0.0,
                    }),
                })
                .collect(),
            jobs: line
                .jobs
                .iter()
                .zip(&check.checks)
                .map(|(job, check)| Report::new(job, check))
                .collect(),
        }
    }

    /// As JSON text.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}

/// What a job of the line is called: its place, its title, its press.
pub fn job_words(line: &TandemLine, index: usize) -> String {
    let job = &line.jobs[index];
    let title = if job.title.is_empty() { tr("untitled job") } else { &job.title };
    if job.press_name.is_empty() {
        format!("{}. {title}", index + 1)
    } else {
        say!("{}. {}, in {}", index + 1, title, job.press_name)
    }
}

/// Where the line is weakest, in a sentence.
pub fn weakest_words(line: &TandemLine, check: &LineCheck) -> String {
    let open: Vec<String> = check
        .checks
        .iter()
        .enumerate()
        .filter(|(_, check)| check.verdict == State::NotChecked)
        .map(|(index, _)| job_words(line, index))
        .collect();
    let mut words = match check.weakest {
        Some(weakest) => say!(
            "Weakest: {}: {} {}.",
            job_words(line, weakest.job),
            in_sentence(words::limit_label(weakest.limit)),
            words::share_words(weakest.share)
        ),
        None => tr("Weakest: no limit could be checked.").to_owned(),
    };
    if !open.is_empty() {
        words += &say!(" Not checked, data missing: {}.", open.join("; "));
    }
    words
}

/// Which press sets the pace, in a sentence.
pub fn slowest_words(line: &TandemLine, check: &LineCheck) -> String {
    let Some((index, pace)) = check.slowest else {
        return tr("Slowest: no strokes per minute entered.").to_owned();
    };
    let job = job_words(line, index);
    let open = check.speeds.iter().filter(|speed| speed.pace().is_none()).count();
    let mut words = match check.speeds[index].highest {
        Some(HighestSpeed::None) => {
            say!("Slowest: {}: its flywheel does not hold the work at any speed.", job)
        }
        _ => say!("Slowest: {}: {} strokes per minute.", job, number(pace.per_minute(), 1)),
    };
    if open > 0 {
        let all = check.speeds.len();
        words += &say!(" No speed is known for {} of the {} presses.", open, all);
    }
    words
}

/// The strokes of one press, in words.
pub fn speed_words(speed: &Speed) -> String {
    let rate = |rate: StrokeRate| number(rate.per_minute(), 1);
    let running = match speed.running {
        Some(running) => say!("runs at {} strokes per minute", rate(running)),
        None => tr("strokes per minute not entered").to_owned(),
    };
    match speed.highest {
        Some(HighestSpeed::Motor(most)) => say!("{}, its motor allows {}", running, rate(most)),
        Some(HighestSpeed::None) => say!("{}, its flywheel does not hold the work", running),
        None => running,
    }
}
