//! A compiler with the WebAssembly standard library.
//!
//! The toolchain on `PATH` serves if it has the target or rustup can add it. Where rustup's
//! downloads are out of reach, Debian's compiler comes with its library's source, and the library
//! is built from that once. A library only fits the very compiler it was built by, so the two
//! always come as a pair.

use super::{cache, debian_packages, say};
use crate::{Failure, program};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

/// The compile target of the page.
pub const TARGET: &str = "wasm32-unknown-unknown";

const DEBIAN_PACKAGES: [&str; 5] =
    ["rustc-web", "cargo-web", "rust-web-src", "rust-web-llvm", "lld-22"];
const DEBIAN_FOLDER: &str = "/usr/bin";
/// Lies beside a library that we built and holds the version of the compiler it was built by.
const STAMP: &str = "built-for-evenstroke-by";

/// Who compiles for WebAssembly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WasmCompiler {
    /// The toolchain found on `PATH`.
    OnPath,
    /// Debian's own packages.
    Debian,
}

impl WasmCompiler {
    /// The folder that must come first on `PATH`, if any.
    pub fn folder(self) -> Option<PathBuf> {
        match self {
            Self::OnPath => None,
            Self::Debian => Some(PathBuf::from(DEBIAN_FOLDER)),
        }
    }

    /// A command whose surroundings do not lead away from this compiler.
    pub fn command(self, program: impl AsRef<std::ffi::OsStr>) -> Command {
        let mut command = program::command(program);
        if self == Self::Debian {
            // Both name the rustup toolchain that started this program.
            command.env_remove("RUSTUP_TOOLCHAIN").env_remove("LD_LIBRARY_PATH");
        }
        command
    }
}

/// Finds a compiler that can build the page, or installs one.
pub fn find_or_install() -> Result<WasmCompiler, Failure> {
    if has_library(WasmCompiler::OnPath, Path::new("rustc")) {
        return Ok(WasmCompiler::OnPath);
    }
    let debian_rustc = Path::new(DEBIAN_FOLDER).join("rustc");
    if has_library(WasmCompiler::Debian, &debian_rustc) {
        return Ok(WasmCompiler::Debian);
    }
    if program::is_on_path("rustup") {
        say(&format!("adding the target {TARGET} with rustup"));
        let mut rustup = program::command("rustup");
        rustup.args(["target", "add", TARGET]);
        // Where the download is blocked without an answer, rustup would try for many minutes.
        match program::run_within(&mut rustup, Duration::from_secs(120)) {
            Ok(()) if has_library(WasmCompiler::OnPath, Path::new("rustc")) => {
                return Ok(WasmCompiler::OnPath);
            }
            Ok(()) => say("rustup added the target to a toolchain other than the one on PATH"),
            Err(reason) => say(&format!("{reason}; taking Debian's compiler instead")),
        }
    }
    if !DEBIAN_PACKAGES.iter().all(|name| is_installed(name)) {
        debian_packages(&DEBIAN_PACKAGES)?;
    }
    build_library(&debian_rustc)?;
    Ok(WasmCompiler::Debian)
}

fn is_installed(package: &str) -> bool {
    let mut query = program::command("dpkg-query");
    query.args(["-W", "-f", "${db:Status-Status}", package]);
    query.stderr(std::process::Stdio::null());
    query.output().is_ok_and(|output| output.stdout == b"installed")
}

/// Whether this compiler finds a standard library for the target that it can use.
fn has_library(compiler: WasmCompiler, rustc: &Path) -> bool {
    let Ok(folder) = library_folder(compiler, rustc) else {
        return false;
    };
    // A library that we built no longer fits once the compiler has been upgraded.
    let fits = match fs::read_to_string(folder.join(STAMP)) {
        Ok(built_by) => version(compiler, rustc).is_ok_and(|version| version == built_by),
        Err(_) => true,
    };
    fits && fs::read_dir(folder).is_ok_and(|entries| {
        entries.flatten().any(|entry| {
            let name = entry.file_name();
            let name = name.to_string_lossy();
            name.starts_with("libstd-") && name.ends_with(".rlib")
        })
    })
}

/// What the compiler says of its version.
fn version(compiler: WasmCompiler, rustc: &Path) -> Result<String, Failure> {
    program::output(compiler.command(rustc).arg("--version"))
}

/// Where this compiler looks for the target's standard library.
fn library_folder(compiler: WasmCompiler, rustc: &Path) -> Result<PathBuf, Failure> {
    let mut rustc = compiler.command(rustc);
    let folder = program::output(rustc.args(["--print", "target-libdir", "--target", TARGET]))?;
    Ok(PathBuf::from(folder.trim_end()))
}

/// Builds the standard library with Debian's compiler and puts it where that compiler looks.
fn build_library(rustc: &Path) -> Result<(), Failure> {
    say("building the WebAssembly standard library for Debian's compiler, once; takes minutes");
    let folder = cache()?.join("wasm-library");
    let problem = |err: std::io::Error| format!("cannot write below {}: {err}", folder.display());
    fs::create_dir_all(folder.join("src")).map_err(problem)?;
    // The empty crate is only there to make Cargo build the library it would link.
    fs::write(
        folder.join("Cargo.toml"),
        "[package]\nname = \"throw_away\"\nversion = \"0.0.0\"\nedition = \"2024\"\n\n[workspace]\n",
    )
    .map_err(problem)?;
    fs::write(folder.join("src/lib.rs"), "").map_err(problem)?;

    let mut cargo = WasmCompiler::Debian.command(Path::new(DEBIAN_FOLDER).join("cargo"));
    cargo
        .current_dir(&folder)
        .args(["build", "--release", "-Zbuild-std=std,panic_abort", "--target", TARGET])
        .env("RUSTC", rustc)
        // Building the library is marked unstable; what is built with it later is not.
        .env("RUSTC_BOOTSTRAP", "1")
        // The page is linked with fat LTO, which needs the library's bitcode too.
        .env("RUSTFLAGS", "-Cembed-bitcode=yes")
        .env("CARGO_TARGET_DIR", folder.join("target"));
    program::run(&mut cargo)?;

    let built = folder.join("target").join(TARGET).join("release/deps");
    let goal = library_folder(WasmCompiler::Debian, rustc)?;
    let problem = |err: std::io::Error| {
        format!("cannot put the standard library into {}: {err}", goal.display())
    };
    if goal.join(STAMP).is_file() {
        // All in there is ours, and of an older compiler.
        fs::remove_dir_all(&goal).map_err(problem)?;
    }
    fs::create_dir_all(&goal).map_err(problem)?;
    let built_by = version(WasmCompiler::Debian, rustc)?;
    fs::write(goal.join(STAMP), built_by).map_err(problem)?;
    let mut libraries: Vec<PathBuf> = fs::read_dir(&built)
        .map_err(problem)?
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "rlib"))
        .filter(|path| !path.to_string_lossy().contains("libthrow_away-"))
        .collect();
    // `libstd` is what `has_library` looks for, so it goes last: a run cut short starts over.
    libraries.sort_by_key(|path| path.to_string_lossy().contains("/libstd-"));
    for library in libraries {
        fs::copy(&library, goal.join(library.file_name().expect("a library is a file")))
            .map_err(problem)?;
    }
    // Best effort: what is left over only takes room.
    let _ = fs::remove_dir_all(&folder);
    if has_library(WasmCompiler::Debian, rustc) {
        Ok(())
    } else {
        Err(format!("the build left no standard library in {}", goal.display()))
    }
}
