//! The served page: what Trunk builds, with the first job and its set-up sheet filled in.

use crate::setup::PageTools;
use crate::{Failure, program, template, windows_1252};
use std::env;
use std::fs;
use std::path::{Path, PathBuf};

/// Where the built page lies.
pub const DIST: &str = "dist";
/// The job that a page shows when it is opened for the first time.
const FIRST_JOB: &str = "crates/job/demos/progressive.json";
/// How the names of the program's two files begin.
pub const PROGRAM: &str = "evenstroke-app";

/// The first job, in the forms in which a page holds it.
pub struct FirstJob {
    json: String,
    sheet: String,
}

impl FirstJob {
    /// Reads the job and has the native command write its set-up sheet.
    pub fn read() -> Result<Self, Failure> {
        let json = read_text(Path::new(FIRST_JOB))?;
        let mut command = program::command("cargo");
        command.args(["run", "--quiet", "--release", "--package", "evenstroke-cli"]);
        command.args(["--bin", "evenstroke", "--", "sheet", FIRST_JOB]);
        let sheet = program::output(&mut command)?;
        template::check_sheet(&sheet)?;
        Ok(Self { json, sheet })
    }

    /// The page with this job in it.
    pub fn fill(&self, page: &str) -> Result<String, Failure> {
        let page = template::fill(page, "sheet", self.sheet.trim())?;
        template::fill(&page, "job", &template::job_block(&self.json))
    }

    /// The same for a page that is not in UTF-8.
    pub fn fill_ascii(&self, page: &str) -> Result<String, Failure> {
        let page = template::fill(page, "sheet", &windows_1252::html(self.sheet.trim()))?;
        template::fill(&page, "job", &windows_1252::json(&template::job_block(&self.json)))
    }
}

/// The two files that make up the program.
pub struct Program {
    /// The WebAssembly module.
    pub wasm: Vec<u8>,
    /// The script that wasm-bindgen wrote to go with it.
    pub glue: String,
}

/// Builds the served page into `dist` and returns its program.
pub fn build(tools: &PageTools, job: &FirstJob) -> Result<Program, Failure> {
    let mut trunk = tools.command(&tools.trunk);
    // Trunk reads NO_COLOR as its own option and refuses the usual value 1.
    trunk.arg("build").env_remove("NO_COLOR").env("RUSTFLAGS", page_flags()?);
    program::run(&mut trunk)?;

    let index = Path::new(DIST).join("index.html");
    write(&index, job.fill(&read_text(&index)?)?.as_bytes())?;

    let wasm = built_file("_bg.wasm")?;
    let glue = built_file(".js")?;
    Ok(Program {
        wasm: fs::read(&wasm).map_err(|err| format!("cannot read {}: {err}", wasm.display()))?,
        glue: read_text(&glue)?,
    })
}

/// Compiler flags that keep copies of small functions out of the page, let Leptos share code among
/// all elements of a name, and keep the folders of this machine out of the panic messages, so that
/// the same source gives the same page elsewhere.
fn page_flags() -> Result<String, Failure> {
    let here =
        env::current_dir().map_err(|err| format!("cannot tell the current folder: {err}"))?;
    let mut flags = format!(
        "-Cllvm-args=-inline-threshold=0 --cfg=erase_components --remap-path-prefix={}=evenstroke",
        here.display()
    );
    let cargo_home = env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| env::home_dir().map(|home| home.join(".cargo")));
    let sources = cargo_home.map(|home| home.join("registry/src"));
    for folder in sources.iter().filter_map(|folder| fs::read_dir(folder).ok()).flatten().flatten()
    {
        flags += &format!(" --remap-path-prefix={}=crates", folder.path().display());
    }
    Ok(flags)
}

/// The file of the program in `dist` with this ending; the middle of its name is a hash.
fn built_file(ending: &str) -> Result<PathBuf, Failure> {
    let entries = fs::read_dir(DIST).map_err(|err| format!("cannot read {DIST}: {err}"))?;
    let found = entries.flatten().map(|entry| entry.path()).find(|path| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        name.starts_with(PROGRAM) && name.ends_with(ending)
    });
    found.ok_or_else(|| format!("the build left no file {DIST}/{PROGRAM}…{ending}"))
}

/// Reads a text file.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    fs::read_to_string(path).map_err(|err| format!("cannot read {}: {err}", path.display()))
}

/// Writes a file.
pub fn write(path: &Path, content: &[u8]) -> Result<(), Failure> {
    fs::write(path, content).map_err(|err| format!("cannot write {}: {err}", path.display()))
}
