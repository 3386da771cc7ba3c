//! Set-up, build, serve, test and saved page of Evenstroke.
//!
//! `cargo xtask` lists the commands. Everything runs from a plain Rust toolchain: what is missing
//! is installed once into a cache outside the checkout.

mod lighthouse;
mod offline;
mod pack;
mod program;
mod saved_page;
mod server;
mod setup;
mod site;
mod streams;
mod suite;
mod template;
mod windows_1252;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Why a task stopped, as one message for the person at the terminal.
pub type Failure = String;

const USAGE: &str = "\
cargo xtask setup             installs what the other commands need; quick when nothing is missing
cargo xtask serve [--port N]  builds the page and serves it on this machine
                  [--built]   serves the page as it was built last
cargo xtask page              builds the page and writes dist/evenstroke.html, the whole tool in one file
cargo xtask lighthouse        builds the page and prints what Lighthouse says of it, as served
                  [--built]   of the page as it was built last
cargo xtask test              runs every check and every test, the browser's too, and counts them";

/// What the command line asks for.
#[derive(Debug, PartialEq)]
enum Task {
    Setup,
    Serve { port: u16, source: Source },
    Page,
    Lighthouse { source: Source },
    Test,
    Help,
}

/// Which page to serve or audit.
#[derive(Debug, PartialEq)]
enum Source {
    BuildFirst,
    AsBuilt,
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let outcome = read_task(&arguments).and_then(|task| {
        std::env::set_current_dir(checkout())
            .map_err(|err| format!("cannot enter {}: {err}", checkout().display()))?;
        match task {
            Task::Setup => install_all(),
            Task::Serve { port, source } => {
                build_page(source)?;
                server::serve(Path::new(site::DIST), port)
            }
            Task::Lighthouse { source } => {
                build_page(source)?;
                lighthouse::run()
            }
            Task::Page => saved_page::build(&setup::page_tools()?),
            Task::Test => suite::run(),
            Task::Help => {
                println!("{USAGE}");
                Ok(())
            }
        }
    });
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("error: {message}");
            ExitCode::FAILURE
        }
    }
}

fn install_all() -> Result<(), Failure> {
    setup::page_tools()?;
    setup::browser_tests()?;
    for engine in setup::engines::find_or_install() {
        if let Err(reason) = engine.driver {
            setup::say(&format!("the page will not be tried in {}: {reason}", engine.name));
        }
    }
    Ok(())
}

fn build_page(source: Source) -> Result<(), Failure> {
    match source {
        Source::BuildFirst => saved_page::build(&setup::page_tools()?),
        Source::AsBuilt => Ok(()),
    }
}

/// The root of the checkout, where every task runs.
fn checkout() -> PathBuf {
    // Cargo sets the variable when it runs a program. The value from compile time may be that of
    // another checkout, where several share one target folder.
    std::env::var_os("CARGO_MANIFEST_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from)
        .ancestors()
        .nth(2)
        .expect("the crate lies two folders below the checkout")
        .to_path_buf()
}

/// Reads the command line.
fn read_task(arguments: &[String]) -> Result<Task, Failure> {
    let mut words = arguments.iter().map(String::as_str);
    let task = match words.next() {
        None | Some("help" | "--help" | "-h") => return Ok(Task::Help),
        Some("setup") => Task::Setup,
        Some("serve") => return read_serve(words),
        Some("page") => Task::Page,
        Some("test") => Task::Test,
        Some("lighthouse") => Task::Lighthouse { source: Source::BuildFirst },
        Some(other) => {
            return Err(format!(
                "unknown command `{other}`; allowed are setup, serve, page, lighthouse and test\n\n{USAGE}"
            ));
        }
    };
    match words.next() {
        Some("--built") if arguments[0] == "lighthouse" => {
            Ok(Task::Lighthouse { source: Source::AsBuilt })
        }
        Some(extra) if arguments[0] == "lighthouse" => {
            Err(format!("unknown option `{extra}` of `lighthouse`; allowed is --built"))
        }
        None => Ok(task),
        Some(extra) => Err(format!("`{}` takes no options, given was `{extra}`", arguments[0])),
    }
}

fn read_serve<'a>(mut words: impl Iterator<Item = &'a str>) -> Result<Task, Failure> {
    let mut port = server::USUAL_PORT;
    let mut source = Source::BuildFirst;
    while let Some(word) = words.next() {
        let given = match word.split_once('=') {
            Some(("--port", value)) => value,
            None if word == "--port" => words.next().unwrap_or(""),
            None if word == "--built" => {
                source = Source::AsBuilt;
                continue;
            }
            _ => {
                return Err(format!(
                    "unknown option `{word}` of `serve`; allowed are --port N and --built"
                ));
            }
        };
        port = given.parse().map_err(|_| {
            format!(
                "--port must be a whole number from 1 to 65535, or 0 for any free port, given was `{given}`"
            )
        })?;
    }
    Ok(Task::Serve { port, source })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn task(line: &str) -> Result<Task, Failure> {
        let words: Vec<String> = line.split_whitespace().map(str::to_owned).collect();
        read_task(&words)
    }

    #[test]
    fn serve_takes_a_port_in_both_spellings() {
        let expected = Ok(Task::Serve { port: 9000, source: Source::BuildFirst });
        assert_eq!(task("serve --port 9000"), expected);
        assert_eq!(task("serve --port=9000"), expected);
    }

    #[test]
    fn serve_refuses_a_port_that_is_none_and_says_what_was_given() {
        for given in ["abc", "65536", "-1", "8080.5", ""] {
            let message = task(&format!("serve --port {given}")).unwrap_err();
            assert!(message.contains("from 1 to 65535"), "{message}");
            assert!(message.contains(&format!("`{given}`")), "{message}");
        }
    }

    #[test]
    fn lighthouse_takes_the_page_as_built() {
        assert_eq!(task("lighthouse"), Ok(Task::Lighthouse { source: Source::BuildFirst }));
        assert_eq!(task("lighthouse --built"), Ok(Task::Lighthouse { source: Source::AsBuilt }));
    }

    #[test]
    fn unknown_words_are_refused_with_what_is_allowed() {
        assert!(task("sevre").unwrap_err().contains("setup, serve, page"));
        assert!(task("serve --prot 1").unwrap_err().contains("--port N and --built"));
        assert!(task("page now").unwrap_err().contains("no options"));
        assert!(task("lighthouse --bilt").unwrap_err().contains("--built"));
    }
}
