//! The programs the page is built and tested with, each in a folder named after its version.

use super::{cache, debian_packages, say};
use crate::{Failure, program};
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};

const TRUNK_VERSION: &str = "0.21.14";
const BINARYEN_VERSION: &str = "132.0.0";
/// The last that runs on Node.js 20.
const LIGHTHOUSE_VERSION: &str = "12.2.3";
/// What playwright-core and the browser tests ask for.
const OLDEST_NODE: (u32, u32) = (20, 11);
const BROWSER_TESTS: &str = "tests/browser";
/// Where the tools are compiled; removed once they are installed. Each run has its own, or one that
/// is done would take it from under another.
fn build_folder() -> Result<PathBuf, Failure> {
    Ok(cache()?.join(format!("tool-builds-{}", std::process::id())))
}

/// Makes sure that Node.js and npm are there and not too old.
pub fn node() -> Result<(), Failure> {
    if !program::is_on_path("node") || !program::is_on_path("npm") {
        debian_packages(&["nodejs", "npm"])?;
    }
    let given = program::output(program::command("node").arg("--version"))?;
    let given = given.trim_end();
    match node_version(given) {
        Some(version) if version >= OLDEST_NODE => Ok(()),
        _ => Err(format!(
            "Node.js {}.{} or newer is needed, `node --version` says `{given}`",
            OLDEST_NODE.0, OLDEST_NODE.1
        )),
    }
}

/// The first two numbers in `v20.11.0`.
fn node_version(text: &str) -> Option<(u32, u32)> {
    let mut parts = text.strip_prefix('v')?.split('.');
    Some((parts.next()?.parse().ok()?, parts.next()?.parse().ok()?))
}

/// The path of Trunk.
pub fn trunk() -> Result<PathBuf, Failure> {
    Ok(cargo_tool("trunk", "trunk", TRUNK_VERSION)?.join("trunk"))
}

/// The folder that holds the wasm-bindgen command.
///
/// Its version must be the one of the crate, or the two do not understand each other.
pub fn wasm_bindgen() -> Result<PathBuf, Failure> {
    let lock =
        fs::read_to_string("Cargo.lock").map_err(|err| format!("cannot read Cargo.lock: {err}"))?;
    let version = locked_version(&lock, "wasm-bindgen")
        .ok_or("Cargo.lock names no version of wasm-bindgen")?;
    cargo_tool("wasm-bindgen-cli", "wasm-bindgen", version)
}

/// The version of a package in the text of a Cargo.lock.
fn locked_version<'a>(lock: &'a str, package: &str) -> Option<&'a str> {
    let name = format!("name = \"{package}\"");
    let mut lines = lock.lines().skip_while(|line| *line != name);
    lines.nth(1)?.strip_prefix("version = \"")?.strip_suffix('"')
}

/// Installs a program from its crate unless this version is there; returns its folder.
pub fn cargo_tool(package: &str, name: &str, version: &str) -> Result<PathBuf, Failure> {
    let root = cache()?.join(format!("{name}-{version}"));
    let folder = root.join("bin");
    if folder.join(name).is_file() {
        return Ok(folder);
    }
    say(&format!("installing {package} {version}, once; takes minutes"));
    let install = |extra: &[&str]| {
        let mut cargo = program::command("cargo");
        cargo
            .args(["install", package, "--version", version, "--root"])
            .arg(&root)
            .arg("--target-dir")
            .arg(build_folder()?)
            .args(extra)
            // Not in the checkout, whose own settings are not meant for other programs.
            .current_dir(cache()?)
            // Otherwise Cargo would advise to put the folder on the user's own `PATH`.
            .env("PATH", program::path_with(std::slice::from_ref(&folder)))
            // The tools run for seconds, so a quick build is worth more than quick code.
            .env("CARGO_PROFILE_RELEASE_LTO", "off")
            .env("CARGO_PROFILE_RELEASE_OPT_LEVEL", "1")
            .env("CARGO_PROFILE_RELEASE_CODEGEN_UNITS", "16");
        program::run(&mut cargo)
    };
    if let Err(reason) = install(&["--locked"]) {
        // A locked dependency may be newer than what a registry's mirror holds.
        say(&format!("{reason}; trying once more with other versions of its dependencies"));
        install(&[])?;
    }
    if folder.join(name).is_file() {
        Ok(folder)
    } else {
        Err(format!("{package} {version} was installed without a program `{name}`"))
    }
}

/// Removes what compiling the tools left behind.
pub fn remove_build_leftovers() {
    if let Ok(folder) = build_folder() {
        // Best effort: what is left over only takes room.
        let _ = fs::remove_dir_all(folder);
    }
}

/// The folder that holds `wasm-opt`, from the npm package binaryen.
pub fn wasm_opt() -> Result<PathBuf, Failure> {
    let folder = npm_tool("binaryen", BINARYEN_VERSION)?.join("node_modules/.bin");
    if folder.join("wasm-opt").is_file() {
        Ok(folder)
    } else {
        Err(format!("binaryen {BINARYEN_VERSION} was installed without a program `wasm-opt`"))
    }
}

/// The folder that Lighthouse is installed in.
pub fn lighthouse() -> Result<PathBuf, Failure> {
    npm_tool("lighthouse", LIGHTHOUSE_VERSION)
}

/// Installs an npm package unless this version is there; returns the folder that it is in.
fn npm_tool(package: &str, version: &str) -> Result<PathBuf, Failure> {
    let root = cache()?.join(format!("{package}-{version}"));
    if root.join("node_modules").join(package).is_dir() {
        return Ok(root);
    }
    say(&format!("installing {package} {version}"));
    fs::create_dir_all(&root)
        .map_err(|err| format!("cannot make the folder {}: {err}", root.display()))?;
    program::run(
        program::command("npm")
            .args(["install", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix"])
            .arg(&root)
            .arg(format!("{package}@{version}"))
            .current_dir(&root),
    )?;
    Ok(root)
}

/// Makes sure that there is a Chromium to test with.
pub fn chromium() -> Result<(), Failure> {
    match std::env::var_os("CHROMIUM") {
        Some(path) if Path::new(&path).is_file() => Ok(()),
        Some(path) => Err(format!(
            "CHROMIUM must name the browser's program file, given was `{}`",
            path.to_string_lossy()
        )),
        None if Path::new("/usr/bin/chromium").is_file() => Ok(()),
        None => debian_packages(&["chromium"]),
    }
}

/// Installs the browser tests' packages unless the lock file is the one they were installed from.
pub fn browser_packages() -> Result<(), Failure> {
    let folder = Path::new(BROWSER_TESTS);
    let lock = fs::read(folder.join("package-lock.json"))
        .map_err(|err| format!("cannot read {BROWSER_TESTS}/package-lock.json: {err}"))?;
    let wanted: String = Sha256::digest(&lock).iter().map(|byte| format!("{byte:02x}")).collect();
    let stamp = folder.join("node_modules/.installed-from");
    if fs::read_to_string(&stamp).is_ok_and(|installed| installed == wanted) {
        return Ok(());
    }
    say("installing the browser tests' packages");
    program::run(
        program::command("npm")
            // What is optional draws pictures of PDFs; the tests read their text.
            .args(["ci", "--no-audit", "--no-fund", "--ignore-scripts", "--omit=optional"])
            .current_dir(folder),
    )?;
    fs::write(&stamp, wanted).map_err(|err| format!("cannot write {}: {err}", stamp.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn locked_version_is_that_of_the_very_package() {
        let lock = "[[package]]\nname = \"wasm-bindgen-shared\"\nversion = \"0.2.1\"\n\n\
                    [[package]]\nname = \"wasm-bindgen\"\nversion = \"0.2.130\"\n";
        assert_eq!(locked_version(lock, "wasm-bindgen"), Some("0.2.130"));
        assert_eq!(locked_version(lock, "wasm"), None);
    }

    #[test]
    fn node_version_is_read_from_what_node_says() {
        assert_eq!(node_version("v20.20.2"), Some((20, 20)));
        assert_eq!(node_version("20.20.2"), None);
    }
}
