//! Every check and test in one run, counted together.
//!
//! A step that fails does not keep the later ones from running, so the count is always whole.

use crate::{Failure, program, saved_page, setup};
use std::ops::AddAssign;
use std::path::{Path, PathBuf};
use std::process::Command;

/// How many tests passed and failed, and how many could not be run on this machine.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Tally {
    passed: usize,
    failed: usize,
    not_run: usize,
}

impl Tally {
    /// That of a step that counts as one test.
    fn one(outcome: &Result<(), Failure>) -> Self {
        let (passed, failed) = if outcome.is_ok() { (1, 0) } else { (0, 1) };
        Self { passed, failed, not_run: 0 }
    }
}

impl AddAssign for Tally {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.not_run += other.not_run;
    }
}

/// Runs everything and prints the tally as the last line.
pub fn run() -> Result<(), Failure> {
    // Asked before Cargo may put a newly linked program in this one's place.
    let own_program =
        std::env::current_exe().map_err(|err| format!("cannot tell this program's path: {err}"))?;
    let mut total = Tally::default();
    total += single("formatting", || {
        program::run(program::command("cargo").args(["fmt", "--all", "--check"]))
    });
    total += single("lints", || {
        let mut clippy = program::command("cargo");
        clippy.args(["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"]);
        program::run(&mut clippy)
    });
    total += rust_tests();
    total += wasm_tests();
    let page = single("page builds", || saved_page::build(&setup::page_tools()?));
    total += page;
    total += if page.failed == 0 {
        let mut tally = browser_tests(&own_program);
        tally += engine_tests(&own_program);
        tally
    } else {
        // Without a page there is nothing to open, which the failed step has already counted.
        println!("\n== browser tests: not run, for there is no page");
        Tally::default()
    };

    let Tally { passed, failed, not_run } = total;
    let skipped = if not_run > 0 { format!(", {not_run} skipped") } else { String::new() };
    println!("\n{passed} passed, {failed} failed{skipped}");
    if failed > 0 || passed == 0 {
        // The tally is to be the very last line, so there is no message after it.
        std::process::exit(1);
    }
    Ok(())
}

/// Runs a step that counts as one test.
fn single(name: &str, step: impl FnOnce() -> Result<(), Failure>) -> Tally {
    println!("\n== {name}");
    let outcome = step();
    match &outcome {
        Ok(()) => println!("{name}: passed"),
        Err(reason) => println!("{name}: failed: {reason}"),
    }
    Tally::one(&outcome)
}

/// The crates' own tests, those in their documentation included.
fn rust_tests() -> Tally {
    println!("\n== tests of the crates and their documentation");
    let mut cargo = program::command("cargo");
    cargo.args(["test", "--workspace", "--no-fail-fast"]);
    counted(&mut cargo, cargo_tally)
}

/// The check as a WebAssembly module against the native command.
fn wasm_tests() -> Tally {
    println!("\n== the check in WebAssembly");
    match wasm_test_command() {
        Ok(mut node) => counted(&mut node, |line| node_tally("wasm tests: ", line)),
        Err(reason) => {
            println!("the check in WebAssembly: failed: {reason}");
            Tally::one(&Err(reason))
        }
    }
}

/// Builds the module and the command, and gives what compares them.
fn wasm_test_command() -> Result<Command, Failure> {
    let tools = setup::page_tools()?;
    let mut cargo = tools.command("cargo");
    cargo.args(["build", "--quiet", "--package", "evenstroke-worker", "--lib"]);
    cargo.args(["--target", "wasm32-unknown-unknown"]);
    program::run(&mut cargo)?;
    program::run(program::command("cargo").args([
        "build",
        "--quiet",
        "--package",
        "evenstroke-cli",
    ]))?;
    let target =
        std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| "target".into(), PathBuf::from);
    let target = std::path::absolute(target)
        .map_err(|err| format!("cannot tell where Cargo builds: {err}"))?;
    let module = target.join("wasm32-unknown-unknown/debug/evenstroke_worker.wasm");
    let folder = target.join("worker-module");
    let mut bindgen = tools.command("wasm-bindgen");
    bindgen.args(["--target", "nodejs", "--out-dir"]).arg(&folder).arg(&module);
    program::run(&mut bindgen)?;
    let mut node = program::command("node");
    node.arg("tests/wasm/run.mjs");
    node.env("EVENSTROKE_WORKER", folder.join("evenstroke_worker.js"));
    node.env("EVENSTROKE", target.join("debug/evenstroke"));
    Ok(node)
}

fn browser_tests(own_program: &Path) -> Tally {
    println!("\n== browser tests");
    if let Err(reason) = setup::browser_tests() {
        println!("browser tests: failed: {reason}");
        return Tally::one(&Err(reason));
    }
    let mut node = program::command("node");
    node.arg("tests/browser/run.mjs");
    // The tests start and stop the page's server themselves.
    node.env("EVENSTROKE_XTASK", own_program);
    counted(&mut node, |line| node_tally("browser specs: ", line))
}

/// The core path in three engines. One that is not to be had here says so and is counted apart.
fn engine_tests(own_program: &Path) -> Tally {
    println!("\n== the page in three engines");
    let mut node = program::command("node");
    node.arg("tests/browser/engines/run.mjs").env("EVENSTROKE_XTASK", own_program);
    for engine in setup::engines::find_or_install() {
        let name = engine.name.to_uppercase();
        match engine.driver {
            Ok(driver) => node.env(format!("EVENSTROKE_{name}_DRIVER"), driver),
            Err(reason) => node.env(format!("EVENSTROKE_NO_{name}"), reason),
        };
    }
    counted(&mut node, |line| node_tally("engine tests: ", line))
}

/// Runs a command and adds up the counts that `read` finds in its lines.
///
/// A command that fails without having counted a failure, say because a test did not compile,
/// counts as one.
fn counted(command: &mut Command, read: fn(&str) -> Option<Tally>) -> Tally {
    let mut tally = Tally::default();
    let outcome = program::run_reading(command, |line| {
        if let Some(counts) = read(line) {
            tally += counts;
        }
    });
    if let Err(reason) = outcome {
        println!("{reason}");
        tally.failed = tally.failed.max(1);
    }
    tally
}

/// Reads `test result: ok. 3 passed; 0 failed; 0 ignored; …`.
fn cargo_tally(line: &str) -> Option<Tally> {
    let (_, counts) = line.strip_prefix("test result: ")?.split_once(". ")?;
    let count = |name: &str| {
        counts.split("; ").find_map(|part| part.strip_suffix(name)?.trim().parse().ok())
    };
    Some(Tally { passed: count("passed")?, failed: count("failed")?, not_run: 0 })
}

/// Reads `browser specs: 2 passed; 0 failed`, where `what` is what stands before the counts;
/// `; 1 not run` may follow.
fn node_tally(what: &str, line: &str) -> Option<Tally> {
    let mut counts = line.strip_prefix(what)?.split("; ");
    let mut count = |ending: &str| -> Option<Option<usize>> {
        counts.next().map(|part| part.strip_suffix(ending)?.parse().ok())
    };
    Some(Tally {
        passed: count(" passed")??,
        failed: count(" failed")??,
        not_run: count(" not run").unwrap_or(Some(0))?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cargo_tally_reads_good_and_bad_results() {
        let good = "test result: ok. 3 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.00s";
        let bad = "test result: FAILED. 2 passed; 5 failed; 0 ignored; 0 measured; 0 filtered out";
        assert_eq!(cargo_tally(good), Some(Tally { passed: 3, failed: 0, not_run: 0 }));
        assert_eq!(cargo_tally(bad), Some(Tally { passed: 2, failed: 5, not_run: 0 }));
        assert_eq!(cargo_tally("test sums ... ok"), None);
    }

    #[test]
    fn node_tally_reads_the_closing_line() {
        let line = "browser specs: 12 passed; 1 failed";
        let expected = Some(Tally { passed: 12, failed: 1, not_run: 0 });
        assert_eq!(node_tally("browser specs: ", line), expected);
        assert_eq!(node_tally("wasm tests: ", line), None);
    }

    #[test]
    fn what_was_not_run_is_counted_apart() {
        let line = "engine tests: 4 passed; 0 failed; 2 not run";
        let expected = Some(Tally { passed: 4, failed: 0, not_run: 2 });
        assert_eq!(node_tally("engine tests: ", line), expected);
        assert_eq!(node_tally("engine tests: ", "engine tests: 4 passed; 0 failed; 2 lost"), None);
    }

    #[test]
    fn a_command_that_fails_uncounted_counts_as_one_failure() {
        let mut command = program::command("false");
        let expected = Tally { passed: 0, failed: 1, not_run: 0 };
        assert_eq!(counted(&mut command, cargo_tally), expected);
    }
}
