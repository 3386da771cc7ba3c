//! Running other programs: always streamed or captured, never redirected by our own surroundings.

use crate::Failure;
use std::ffi::OsStr;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// A command that does not inherit what Cargo tells its own children.
///
/// Under `cargo xtask` these variables name the compiler that built this very program, or flags
/// meant for it; a wasm build or a tool's installation must choose for itself.
pub fn command(program: impl AsRef<OsStr>) -> Command {
    let mut command = Command::new(program);
    for variable in ["CARGO", "RUSTC", "RUSTDOC", "RUSTFLAGS", "CARGO_ENCODED_RUSTFLAGS"] {
        command.env_remove(variable);
    }
    command
}

/// Runs a command with its output on the terminal.
pub fn run(command: &mut Command) -> Result<(), Failure> {
    let status =
        command.status().map_err(|err| format!("cannot start {}: {err}", describe(command)))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("{} ended with {status}", describe(command)))
    }
}

/// Runs a command with its output on the terminal and ends it when `limit` has passed.
pub fn run_within(command: &mut Command, limit: Duration) -> Result<(), Failure> {
    let mut child =
        command.spawn().map_err(|err| format!("cannot start {}: {err}", describe(command)))?;
    let start = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return Ok(()),
            Ok(Some(status)) => return Err(format!("{} ended with {status}", describe(command))),
            Ok(None) if start.elapsed() < limit => std::thread::sleep(Duration::from_millis(100)),
            Ok(None) => {
                // The child may have ended in this instant; either way nothing of it is left.
                let _ = child.kill();
                let _ = child.wait();
                return Err(format!(
                    "{} took longer than {} s",
                    describe(command),
                    limit.as_secs()
                ));
            }
            Err(err) => return Err(format!("cannot wait for {}: {err}", describe(command))),
        }
    }
}

/// Runs a command and returns what it wrote to its standard output.
pub fn output(command: &mut Command) -> Result<String, Failure> {
    let output = command
        .stderr(Stdio::inherit())
        .output()
        .map_err(|err| format!("cannot start {}: {err}", describe(command)))?;
    if !output.status.success() {
        return Err(format!("{} ended with {}", describe(command), output.status));
    }
    String::from_utf8(output.stdout)
        .map_err(|_| format!("{} did not write UTF-8", describe(command)))
}

/// Runs a command, shows each line of its standard output as it comes and hands it to `each_line`.
pub fn run_reading(command: &mut Command, mut each_line: impl FnMut(&str)) -> Result<(), Failure> {
    let mut child = command
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|err| format!("cannot start {}: {err}", describe(command)))?;
    let mut lines = BufReader::new(child.stdout.take().expect("the output was piped"));
    let mut line = Vec::new();
    while lines.read_until(b'\n', &mut line).is_ok_and(|count| count > 0) {
        let text = String::from_utf8_lossy(&line);
        print!("{text}");
        each_line(text.trim_end());
        line.clear();
    }
    let status =
        child.wait().map_err(|err| format!("cannot wait for {}: {err}", describe(command)))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("{} ended with {status}", describe(command)))
    }
}

/// Whether a program of this name is found on `PATH`.
pub fn is_on_path(name: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|folder| folder.join(name).is_file())
}

/// `PATH` with `folders` in front.
pub fn path_with(folders: &[PathBuf]) -> std::ffi::OsString {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let all = folders.iter().cloned().chain(std::env::split_paths(&path));
    std::env::join_paths(all).expect("a cache path holds no path separator")
}

/// The command as a person would type it.
fn describe(command: &Command) -> String {
    let name = Path::new(command.get_program())
        .file_name()
        .unwrap_or(command.get_program())
        .to_string_lossy();
    let words = command.get_args().map(OsStr::to_string_lossy);
    let line: Vec<_> = std::iter::once(name).chain(words).collect();
    format!("`{}`", line.join(" "))
}
