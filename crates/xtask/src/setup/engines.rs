//! The browsers of the three engines that the page is tried in, each with the program that drives it
//! by the WebDriver protocol.
//!
//! What cannot be had on a machine does not stop the tests: its reason is handed on, and they say
//! that they were not run there.

use super::{debian_packages, tools};
use crate::{Failure, program};
use std::path::{Path, PathBuf};

const GECKODRIVER_VERSION: &str = "0.37.1";

/// A browser to try the page in.
pub struct Engine {
    /// As the tests call it.
    pub name: &'static str,
    /// The program that drives it, or why there is none.
    pub driver: Result<PathBuf, Failure>,
}

/// Installs what is missing.
pub fn find_or_install() -> Vec<Engine> {
    vec![
        Engine { name: "chromium", driver: debian_program("chromedriver", &["chromium-driver"]) },
        Engine { name: "firefox", driver: firefox() },
        Engine { name: "webkit", driver: webkit() },
    ]
}

fn firefox() -> Result<PathBuf, Failure> {
    debian_program("firefox-esr", &["firefox-esr"])?;
    if program::is_on_path("geckodriver") {
        return Ok("geckodriver".into());
    }
    let folder = tools::cargo_tool("geckodriver", "geckodriver", GECKODRIVER_VERSION);
    tools::remove_build_leftovers();
    Ok(folder?.join("geckodriver"))
}

fn webkit() -> Result<PathBuf, Failure> {
    // It has no mode without a screen, so that one is put up for it.
    debian_program("Xvfb", &["xvfb"])?;
    debian_program("WebKitWebDriver", &["webkit2gtk-driver"])
}

/// The program of this name, from these packages unless it is there.
fn debian_program(name: &str, packages: &[&str]) -> Result<PathBuf, Failure> {
    if !program::is_on_path(name) {
        debian_packages(packages)?;
    }
    if program::is_on_path(name) {
        Ok(Path::new(name).to_path_buf())
    } else {
        Err(format!("there is no program `{name}` after installing {}", packages.join(" ")))
    }
}
