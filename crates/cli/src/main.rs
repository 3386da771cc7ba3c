//! The native command `evenstroke`: the same check as the page, on a file.

mod advise;
mod compare;
mod outline;
mod setup;
mod text;
mod working;

use clap::{Args, Parser, Subcommand};
use evenstroke_advice::{
    rank::{Library, Ranked, rank},
    report::{AdviceReport, RankReport},
};
use evenstroke_drawing::{LengthUnit, Options};
use evenstroke_job::{
    Job, Refusal, Refused,
    line::{self, LineReport, TandemLine},
    read,
    report::{Report, VariedReport, curve_csv},
    schema,
    sensitivity::sensitivity,
    units::UnitSystem,
    what_if::what_if,
};
use evenstroke_language::{Language, speaking};
use press_load::State;
use serde_json::Value;
use std::{
    fs, io,
    io::{Read, Write},
    ops::ControlFlow,
    path::{Path, PathBuf},
    process::ExitCode,
};

/// Checks stamping dies against presses.
#[derive(Parser)]
#[command(name = "evenstroke", version, about, arg_required_else_help = true)]
struct Command {
    #[command(subcommand)]
    action: Action,
}

#[derive(Subcommand)]
enum Action {
    /// Judge the die of a job file against its press, or every die of a line file against its own.
    ///
    /// A tandem line gets the worst verdict of its presses. Jobs that it names by file are read from
    /// its own folder.
    ///
    /// Exit code 0: within or near the limits checked; 1: over; 2: not checked, data missing;
    /// 3: input refused.
    Check(Check),
    /// Say which input moves each limit most, and what double metal, dull edges, a missing punch and
    /// their like would do.
    ///
    /// Exit codes as for `check`: they are those of the job as it stands.
    Vary {
        /// The job file; `-` reads standard input.
        job: PathBuf,
        /// Print the report as JSON, with `sensitivity` and `what_if`.
        #[arg(long)]
        json: bool,
    },
    /// Say what the die of a job file needs of any press: force by height, stroke, energy, moments, heights,
    /// weights, slugs.
    ///
    /// The job file may leave out its press. Exit code 0, or 3: input refused.
    Need {
        /// The job file; `-` reads standard input.
        job: PathBuf,
        /// Print the record as JSON.
        #[arg(long)]
        json: bool,
        /// Language of the words: en-US, en-GB, de, es or zh-Hans. Ids, units and keys stay as they are.
        #[arg(long, value_name = "TAG", default_value = "en-US", value_parser = language)]
        language: Language,
    },
    /// Say what a set-up needs beside the check: last good set-up, shut height, counterbalance, holding,
    /// safety blocks, lifting, slugs, the first strokes, what is missing.
    ///
    /// Exit code 0, or 3: input refused.
    Setup {
        /// The job file; `-` reads standard input.
        job: PathBuf,
        /// Print the cards as JSON.
        #[arg(long)]
        json: bool,
        /// Language of the words: en-US, en-GB, de, es or zh-Hans. Ids, units and keys stay as they are.
        #[arg(long, value_name = "TAG", default_value = "en-US", value_parser = language)]
        language: Language,
    },
    /// Show the working: for every limit and every operation the laws with the numbers put in, what they
    /// take for granted and who says so.
    ///
    /// Exit codes as for `check`: they are those of the job as it stands.
    Working {
        /// The job file; `-` reads standard input.
        job: PathBuf,
        /// Print the steps as JSON, numbers unrounded in the units of the file.
        #[arg(long)]
        json: bool,
    },
    /// Propose where to put the die, how to step its punches, what tool shear to grind and how fast to
    /// run, each worked out anew; nothing is changed.
    ///
    /// Exit codes as for `check`: they are those of the job as it stands.
    Advise {
        /// The job file; `-` reads standard input.
        job: PathBuf,
        /// Print the advice as JSON, with the edits that make each proposal.
        #[arg(long)]
        json: bool,
    },
    /// Rank a library of presses for each die, every one at its best place.
    ///
    /// Reads the `.json` files of two folders: job files as dies; press objects, objects with `press`, or
    /// job files as presses.
    ///
    /// Exit code 0: every die has a press that is within or near the limits checked; 1: some die is over
    /// in every press; 2: not checked, data missing, is the best that some die gets; 3: input refused,
    /// also where the other files were ranked.
    Rank {
        /// The folder of the dies.
        #[arg(long, value_name = "DIR")]
        dies: PathBuf,
        /// The folder of the presses.
        #[arg(long, value_name = "DIR")]
        presses: PathBuf,
        /// Print the ranking as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Lay what a load monitor read over the prediction: a recorded signature, or the peaks off its
    /// display.
    ///
    /// Says what was predicted and what was read, which station is likely off, what the reading looks
    /// like, and what to correct in the job; nothing is changed. Exit code 0, or 3: input refused.
    Compare(Box<compare::Compare>),
    /// Write the set-up sheet of a job file as a piece of HTML.
    Sheet {
        /// The job file; `-` reads standard input.
        job: PathBuf,
        /// Language of the words: en-US, en-GB, de, es or zh-Hans. Ids, units and keys stay as they are.
        #[arg(long, value_name = "TAG", default_value = "en-US", value_parser = language)]
        language: Language,
    },
    /// List the outlines of a drawing, DXF as text or SVG.
    ///
    /// Lengths and places are in millimetres; x and y are the centroid of the line. Exit code 3:
    /// drawing refused.
    Outline(Outline),
    /// Write the JSON Schema of the job file.
    Schema,
}

/// A language by its tag.
fn language(tag: &str) -> Result<Language, String> {
    Language::of_tag(tag).ok_or_else(|| {
        let known = Language::ALL.map(Language::key).join(", ");
        format!("must be one of {known}, given {tag:?}")
    })
}

#[derive(Args)]
struct Check {
    /// The job file, or the file of a tandem line; `-` reads standard input.
    job: PathBuf,
    /// Print the report as JSON.
    #[arg(long, conflicts_with_all = ["csv", "svg"])]
    json: bool,
    /// Print the curve as comma-separated values.
    #[arg(long, conflicts_with = "svg")]
    csv: bool,
    /// Write the stroke chart and the bolster plan as SVG into a folder.
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
}

#[derive(Args)]
struct Outline {
    /// The drawing; `-` reads standard input.
    drawing: PathBuf,
    /// Print the outlines as JSON, with their form in the job file.
    #[arg(long)]
    json: bool,
    /// Unit of the drawing's numbers; what the file says, else mm.
    #[arg(long, value_name = "U", value_parser = length_unit)]
    unit: Option<LengthUnit>,
    /// Ends closer than this are joined.
    #[arg(long, value_name = "T", default_value_t = Options::default().tolerance_mm)]
    tolerance_mm: f64,
    /// Farthest that curves may lie from the arcs and lines that stand for them.
    #[arg(long, value_name = "E", default_value_t = Options::default().chord_error_mm)]
    chord_error_mm: f64,
    /// Read this layer only, also if it is switched off.
    #[arg(long, value_name = "NAME")]
    layer: Option<String>,
}

fn length_unit(symbol: &str) -> Result<LengthUnit, String> {
    LengthUnit::from_symbol(symbol).ok_or_else(|| {
        let symbols: Vec<&str> = LengthUnit::ALL.iter().map(|unit| unit.symbol()).collect();
        format!("must be one of {}", symbols.join(", "))
    })
}

/// Exit codes of the contract.
const OVER: u8 = 1;
const NOT_CHECKED: u8 = 2;
const REFUSED: u8 = 3;

/// Why the command stopped.
enum Stop {
    /// The job file was refused.
    Refused(PathBuf, Refused),
    /// The drawing was refused.
    DrawingRefused(PathBuf, evenstroke_drawing::Refusal),
    /// Readings were refused.
    ReadingsRefused(String, evenstroke_readings::Problem),
    /// A file could not be read or written.
    File(PathBuf, io::Error),
    /// A folder holds nothing of what is looked for; what to put there.
    Empty(PathBuf, &'static str),
}

fn main() -> ExitCode {
    let command = match Command::try_parse() {
        Ok(command) => command,
        Err(error) => {
            // Help and version are no errors; a wrong command line is refused input.
            let code = if error.use_stderr() { REFUSED } else { 0 };
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    let result = match command.action {
        Action::Check(options) => check(&options),
        Action::Vary { job, json } => vary(&job, json),
        Action::Need { job, json, language } => speaking(language, || setup::need(&job, json)),
        Action::Setup { job, json, language } => speaking(language, || setup::setup(&job, json)),
        Action::Working { job, json } => working::working(&job, json),
        Action::Advise { job, json } => advise(&job, json),
        Action::Rank { dies, presses, json } => rank_folders(&dies, &presses, json),
        Action::Compare(options) => compare::compare(&options),
        Action::Sheet { job, language } => speaking(language, || sheet(&job)),
        Action::Outline(options) => outline(&options),
        Action::Schema => print(&schema::json_schema_text()).map(|()| ExitCode::SUCCESS),
    };
    result.unwrap_or_else(|stop| {
        let mut message = match &stop {
            Stop::Refused(path, _) => format!("{} is refused:\n", path.display()),
            Stop::DrawingRefused(path, refusal) => {
                format!("{} is refused:\n  {refusal}\n", path.display())
            }
            Stop::ReadingsRefused(name, problem) => format!("{name} is refused:\n  {problem}\n"),
            Stop::File(path, error) => format!("{}: {error}\n", path.display()),
            Stop::Empty(path, wanted) => {
                format!("{} holds no .json file: put {wanted} there\n", path.display())
            }
        };
        if let Stop::Refused(_, refused) = &stop {
            for refusal in &refused.0 {
                message += &format!("  {refusal}\n");
            }
        }
        // Whoever closed the standard error does not want to know.
        let _ = io::stderr().write_all(message.as_bytes());
        ExitCode::from(REFUSED)
    })
}

fn read_job(path: &Path) -> Result<Job, Stop> {
    let bytes = read_file(path, read::LARGEST_FILE)?;
    Job::read_bytes(&bytes).map_err(|refused| Stop::Refused(path.to_owned(), refused))
}

/// All of a file, or as much of an endless one as shows that it is larger than `largest`.
fn read_file(path: &Path, largest: usize) -> Result<Vec<u8>, Stop> {
    let read_enough = |input: &mut dyn io::Read| {
        let mut bytes = Vec::new();
        input.take(largest as u64 + 1).read_to_end(&mut bytes).map(|_| bytes)
    };
    if path == Path::new("-") {
        read_enough(&mut io::stdin().lock())
    } else {
        fs::File::open(path).and_then(|mut file| read_enough(&mut file))
    }
    .map_err(|error| Stop::File(path.to_owned(), error))
}

fn outline(options: &Outline) -> Result<ExitCode, Stop> {
    let path = &options.drawing;
    let bytes = read_file(path, evenstroke_drawing::LARGEST_FILE)?;
    let reading = Options {
        unit: options.unit,
        tolerance_mm: options.tolerance_mm,
        chord_error_mm: options.chord_error_mm,
        layer: options.layer.clone(),
    };
    let drawing = evenstroke_drawing::read(&bytes, &reading)
        .map_err(|refusal| Stop::DrawingRefused(path.clone(), refusal))?;
    let out = if options.json {
        outline::json(&drawing, &reading)
    } else {
        outline::text(&drawing, &reading)
    };
    print(&out)?;
    Ok(ExitCode::SUCCESS)
}

fn check(options: &Check) -> Result<ExitCode, Stop> {
    let path = &options.job;
    let refused = |refused| Stop::Refused(path.clone(), refused);
    let value = read::json_of_bytes(&read_file(path, read::LARGEST_FILE)?).map_err(refused)?;
    if line::is_line(&value) {
        return check_line(options, &value);
    }
    let job = Job::from_value(&value).map_err(refused)?;
    let check = job.check();
    let out = if options.json {
        Report::new(&job, &check).to_json() + "\n"
    } else if options.csv {
        curve_csv(&check)
    } else if let Some(folder) = &options.svg {
        let written = write_charts(&job, &check, folder)?;
        written.iter().map(|path| format!("{}\n", path.display())).collect()
    } else {
        text::report(&job, &check)
    };
    print(&out)?;
    Ok(exit_code(check.verdict))
}

fn check_line(options: &Check, value: &Value) -> Result<ExitCode, Stop> {
    let refused = |refused| Stop::Refused(options.job.clone(), refused);
    if options.csv || options.svg.is_some() {
        let allowed = "must be a job with --csv or --svg, which take one press at a time";
        return Err(refused(Refused(vec![Refusal {
            path: "$".to_owned(),
            allowed: allowed.to_owned(),
            given: "a line".to_owned(),
        }])));
    }
    // A line from standard input names files of the folder in which the command runs.
    let folder = options.job.parent().unwrap_or(Path::new(""));
    let mut fetch = |name: &str| {
        let read = read_file(&folder.join(name), read::LARGEST_FILE);
        read.map_err(|stop| match stop {
            Stop::File(_, error) => error.to_string(),
            _ => "it cannot be read".to_owned(),
        })
    };
    let line = TandemLine::with_files(value, &mut fetch).map_err(refused)?;
    let check = line.check();
    print(&if options.json {
        LineReport::new(&line, &check).to_json() + "\n"
    } else {
        text::line(&line, &check)
    })?;
    Ok(exit_code(check.verdict))
}

fn exit_code(verdict: State) -> ExitCode {
    match verdict {
        State::Within | State::Near => ExitCode::SUCCESS,
        State::Over => ExitCode::from(OVER),
        State::NotChecked => ExitCode::from(NOT_CHECKED),
    }
}

fn vary(path: &Path, json: bool) -> Result<ExitCode, Stop> {
    let job = read_job(path)?;
    let check = job.check();
    let (movers, what_if) = (sensitivity(&job, &check), what_if(&job, &check));
    print(&if json {
        VariedReport::new(&job, &check, &movers, &what_if).to_json() + "\n"
    } else {
        text::vary(&job, &check, &movers, &what_if)
    })?;
    Ok(exit_code(check.verdict))
}

fn advise(path: &Path, json: bool) -> Result<ExitCode, Stop> {
    let job = read_job(path)?;
    // Nothing breaks it off but the user, who has the process for that.
    let Ok(advice) = evenstroke_advice::advise(&job, &mut |_| ControlFlow::Continue(())) else {
        return Ok(ExitCode::from(REFUSED));
    };
    print(&if json {
        AdviceReport::new(&job, &advice).to_json() + "\n"
    } else {
        advise::text(&job, &advice)
    })?;
    Ok(exit_code(job.check().verdict))
}

/// The `.json` files of a folder, by name.
fn json_files(folder: &Path, wanted: &'static str) -> Result<Vec<PathBuf>, Stop> {
    let at_fault = |error| Stop::File(folder.to_owned(), error);
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(at_fault)? {
        let path = entry.map_err(at_fault)?.path();
        let is_json = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("json"));
        if is_json && !path.is_dir() {
            found.push(path);
        }
    }
    if found.is_empty() {
        return Err(Stop::Empty(folder.to_owned(), wanted));
    }
    found.sort();
    Ok(found)
}

fn rank_folders(dies: &Path, presses: &Path, json: bool) -> Result<ExitCode, Stop> {
    let mut library = Library::default();
    let value = |path: &Path| Ok(read::json_of_bytes(&read_file(path, read::LARGEST_FILE)?));
    let name = |path: &Path| path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    for path in json_files(dies, "job files")? {
        library.add_die(name(&path), value(&path)?);
    }
    for path in json_files(presses, "press objects, or job files with their presses")? {
        library.add_presses(name(&path), value(&path)?);
    }
    let go_on = &mut |_| ControlFlow::Continue(());
    let Ok(ranked) = rank(&library.dies, &library.presses, go_on) else {
        return Ok(ExitCode::from(REFUSED));
    };
    print(&if json {
        RankReport::new(&library, &ranked).to_json() + "\n"
    } else {
        advise::rank(&library, &ranked)
    })?;
    let all_read = library.refused.is_empty();
    Ok(if all_read { ranking_code(&ranked) } else { ExitCode::from(REFUSED) })
}

/// That of the die that fares worst in its best press.
fn ranking_code(ranked: &[Vec<Ranked>]) -> ExitCode {
    let best = |row: &Vec<Ranked>| {
        let first = row.first().and_then(|first| first.outcome.as_ref().ok());
        first.map_or(State::Over, |fit| fit.figures.verdict)
    };
    let any = |state| ranked.iter().any(|row| best(row) == state);
    if any(State::Over) {
        ExitCode::from(OVER)
    } else if any(State::NotChecked) {
        ExitCode::from(NOT_CHECKED)
    } else {
        ExitCode::SUCCESS
    }
}

fn write_charts(job: &Job, check: &press_load::Check, folder: &Path) -> Result<Vec<PathBuf>, Stop> {
    fs::create_dir_all(folder).map_err(|error| Stop::File(folder.to_owned(), error))?;
    let charts = [
        ("stroke.svg", evenstroke_chart::job::stroke_chart_svg(job, check)),
        ("plan.svg", evenstroke_chart::job::bolster_plan_svg(job, check)),
    ];
    let mut written = Vec::new();
    for (name, svg) in charts {
        let path = folder.join(name);
        fs::write(&path, svg).map_err(|error| Stop::File(path.clone(), error))?;
        written.push(path);
    }
    Ok(written)
}

fn sheet(path: &Path) -> Result<ExitCode, Stop> {
    let bytes = read_file(path, read::LARGEST_FILE)?;
    let refused = |refused| Stop::Refused(path.to_owned(), refused);
    let job = Job::read_bytes(&bytes).map_err(refused)?;
    let checksum = evenstroke_job::checksum(&read::json_of_bytes(&bytes).map_err(refused)?);
    let html =
        evenstroke_chart::sheet::sheet_html(&job, &job.check(), UnitSystem::Metric, &checksum);
    print(&html)?;
    Ok(ExitCode::SUCCESS)
}

/// Prints; a reader that stops listening, as `head` does, is no failure.
fn print(text: &str) -> Result<(), Stop> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(Stop::File(PathBuf::from("standard output"), error))
        }
        _ => Ok(()),
    }
}
