//! Installing what the builds and tests need, once, into a cache outside the checkout.
//!
//! Every part first looks whether it is there already, so a second run only looks.

pub mod compiler;
pub mod engines;
pub mod tools;

use crate::{Failure, program};
use compiler::WasmCompiler;
use std::path::PathBuf;
use std::process::Command;

/// Everything a build of the page calls.
pub struct PageTools {
    /// Who compiles for WebAssembly.
    pub compiler: WasmCompiler,
    /// Trunk itself.
    pub trunk: PathBuf,
    /// Folders to put in front of `PATH`, where Trunk looks for wasm-bindgen and wasm-opt.
    pub folders: Vec<PathBuf>,
}

impl PageTools {
    /// A command that sees these tools and this compiler first.
    pub fn command(&self, program: impl AsRef<std::ffi::OsStr>) -> Command {
        let mut folders = self.folders.clone();
        folders.extend(self.compiler.folder());
        let mut command = self.compiler.command(program);
        command.env("PATH", program::path_with(&folders));
        command
    }
}

/// Installs what the page is built with.
pub fn page_tools() -> Result<PageTools, Failure> {
    let compiler = compiler::find_or_install()?;
    tools::node()?;
    let trunk = tools::trunk()?;
    let folders = vec![tools::wasm_bindgen()?, tools::wasm_opt()?];
    tools::remove_build_leftovers();
    // Trunk runs offline, so the crates have to be there before it starts.
    let tools = PageTools { compiler, trunk, folders };
    program::run(tools.command("cargo").args(["fetch", "--quiet"]))?;
    Ok(tools)
}

/// Installs what the browser tests run on.
pub fn browser_tests() -> Result<(), Failure> {
    tools::node()?;
    tools::chromium()?;
    tools::browser_packages()
}

/// The folder that holds the installed tools: `$XDG_CACHE_HOME/evenstroke`, by default
/// `~/.cache/evenstroke`.
pub fn cache() -> Result<PathBuf, Failure> {
    let base = match std::env::var_os("XDG_CACHE_HOME").map(PathBuf::from) {
        // The XDG rules say that a relative path here is to be ignored.
        Some(path) if path.is_absolute() => path,
        _ => PathBuf::from(std::env::var_os("HOME").ok_or(
            "neither XDG_CACHE_HOME nor HOME is set, so there is no folder for the tools",
        )?)
        .join(".cache"),
    };
    let cache = base.join("evenstroke");
    std::fs::create_dir_all(&cache)
        .map_err(|err| format!("cannot make the folder {}: {err}", cache.display()))?;
    Ok(cache)
}

/// Says in one line what is being done and may take a while.
pub fn say(what: &str) {
    println!("set-up: {what}");
}

/// Installs Debian packages.
pub fn debian_packages(names: &[&str]) -> Result<(), Failure> {
    if !program::is_on_path("apt-get") {
        return Err(format!(
            "this machine has no apt-get; install by hand what Debian calls {}",
            names.join(" ")
        ));
    }
    say(&format!("installing the Debian packages {}", names.join(" ")));
    program::run(apt_get().args(["update", "-qq"]))?;
    program::run(apt_get().args(["install", "-y", "-qq", "--no-install-recommends"]).args(names))
}

fn apt_get() -> Command {
    let mut command = program::command("apt-get");
    // A package that asks questions would wait for an answer that never comes.
    command.env("DEBIAN_FRONTEND", "noninteractive");
    command
}
