//! What Lighthouse says of the served page.

use crate::{Failure, program, setup};

const SCRIPT: &str = "tests/browser/benches/lighthouse.mjs";

/// Audits the page as it was built last and prints the figures.
pub fn run() -> Result<(), Failure> {
    setup::browser_tests()?;
    let folder = setup::tools::lighthouse()?;
    let own_program =
        std::env::current_exe().map_err(|err| format!("cannot tell this program's path: {err}"))?;
    let mut node = program::command("node");
    node.arg(SCRIPT).env("EVENSTROKE_LIGHTHOUSE", folder).env("EVENSTROKE_XTASK", own_program);
    program::run(&mut node)
}
