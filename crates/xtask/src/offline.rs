//! What a served page needs beside itself: its service worker with the list of its files, and each
//! file packed for the way.

use crate::{Failure, site};
use base64::Engine;
use base64::engine::general_purpose::STANDARD as BASE64;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::Path;

const WORKER: &str = "service-worker.js";
/// The page itself is known by the address of its folder.
const PAGE: (&str, &str) = ("index.html", "./");
/// The ending of a file's packed form.
pub const PACKED: &str = "gz";
/// Pictures are packed already.
const NOT_PACKED: [&str; 2] = ["png", PACKED];

/// Completes the built page in `dist`; returns how large each packed file is, in bytes.
pub fn finish(dist: &Path) -> Result<Vec<(String, usize)>, Failure> {
    let mut files = Vec::new();
    list(dist, "", &mut files)?;
    files.sort();
    let worker = dist.join(WORKER);
    let script = with_files(&site::read_text(&worker)?, &files)?;
    site::write(&worker, script.as_bytes())?;
    let mut sizes = Vec::new();
    for name in files.iter().map(|(name, _)| name.as_str()).chain([WORKER]) {
        if !NOT_PACKED.iter().any(|ending| name.ends_with(ending)) {
            let packed = gzip(&read(&dist.join(name))?)?;
            site::write(&dist.join(format!("{name}.{PACKED}")), &packed)?;
            sizes.push((name.to_owned(), packed.len()));
        }
    }
    Ok(sizes)
}

/// As small as gzip gets.
fn gzip(bytes: &[u8]) -> Result<Vec<u8>, Failure> {
    let mut packed = Vec::new();
    zopfli::compress(zopfli::Options::default(), zopfli::Format::Gzip, bytes, &mut packed)
        .map_err(|err| format!("cannot pack a file of the page: {err}"))?;
    Ok(packed)
}

/// All files below a folder but the service worker, each with the hash by which a browser knows it.
fn list(dist: &Path, below: &str, files: &mut Vec<(String, String)>) -> Result<(), Failure> {
    let folder = dist.join(below);
    let failed = |err| format!("cannot read {}: {err}", folder.display());
    for entry in fs::read_dir(&folder).map_err(failed)? {
        let name = entry.map_err(failed)?.file_name();
        let name = name.to_str().ok_or("a file of the page has a name that is not text")?;
        let path = format!("{below}{name}");
        if dist.join(&path).is_dir() {
            list(dist, &format!("{path}/"), files)?;
        } else if path != WORKER && !path.ends_with(&format!(".{PACKED}")) {
            let hash = BASE64.encode(Sha256::digest(read(&dist.join(&path))?));
            files.push((path, format!("sha256-{hash}")));
        }
    }
    Ok(())
}

/// The worker's script with the files filled in, and with a name for this build made from them and
/// from the script itself, so that whatever changes makes a build of its own.
fn with_files(script: &str, files: &[(String, String)]) -> Result<String, Failure> {
    let entries: Vec<_> = files
        .iter()
        .map(|(name, hash)| {
            let name = if name == PAGE.0 { PAGE.1 } else { name };
            format!("  {name:?}: {hash:?},\n")
        })
        .collect();
    let script = replaced(
        script,
        "const FILES = {};",
        &format!("const FILES = {{\n{}}};", entries.concat()),
    )?;
    let digest = Sha256::digest(&script);
    let build: String = digest.iter().take(6).map(|byte| format!("{byte:02x}")).collect();
    replaced(&script, "const BUILD = \"\";", &format!("const BUILD = \"{build}\";"))
}

fn replaced(script: &str, what: &str, with: &str) -> Result<String, Failure> {
    match script.matches(what).count() {
        1 => Ok(script.replace(what, with)),
        count => Err(format!("{WORKER} must hold `{what}` once, found {count} times")),
    }
}

fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    fs::read(path).map_err(|err| format!("cannot read {}: {err}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCRIPT: &str = "const BUILD = \"\";\nconst FILES = {};\nrun();\n";

    fn files(hash: &str) -> Vec<(String, String)> {
        vec![
            ("a.css".to_owned(), hash.to_owned()),
            ("index.html".to_owned(), "sha256-b".to_owned()),
        ]
    }

    #[test]
    fn worker_lists_every_file_and_knows_the_page_by_its_folder() {
        let script = with_files(SCRIPT, &files("sha256-a")).unwrap();
        assert!(
            script.contains("{\n  \"a.css\": \"sha256-a\",\n  \"./\": \"sha256-b\",\n};"),
            "{script}"
        );
    }

    #[test]
    fn build_has_another_name_when_any_file_or_the_script_is_another() {
        let first = with_files(SCRIPT, &files("sha256-a")).unwrap();
        let name = |script: &str| script.lines().next().unwrap().to_owned();
        assert_eq!(first, with_files(SCRIPT, &files("sha256-a")).unwrap());
        assert_ne!(name(&first), name(&with_files(SCRIPT, &files("sha256-c")).unwrap()));
        let other = SCRIPT.replace("run", "walk");
        assert_ne!(name(&first), name(&with_files(&other, &files("sha256-a")).unwrap()));
    }

    #[test]
    fn script_without_its_places_is_refused() {
        assert!(with_files("const FILES = {};", &[]).unwrap_err().contains("BUILD"));
        assert!(with_files("const BUILD = \"\";", &[]).unwrap_err().contains("FILES"));
    }

    #[test]
    fn hash_is_the_one_that_browsers_compute() {
        let folder =
            std::env::temp_dir().join(format!("evenstroke-offline-{}", std::process::id()));
        fs::create_dir_all(folder.join("icons")).unwrap();
        // The example that the Content Security Policy specification gives of such a hash.
        fs::write(folder.join("icons/a.txt"), "alert('Hello, world.');").unwrap();
        fs::write(folder.join(WORKER), SCRIPT).unwrap();
        finish(&folder).unwrap();
        let script = fs::read_to_string(folder.join(WORKER)).unwrap();
        assert!(
            script.contains(
                "\"icons/a.txt\": \"sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng=\""
            )
        );
        assert!(folder.join("icons/a.txt.gz").is_file());
        assert!(folder.join("service-worker.js.gz").is_file());
        fs::remove_dir_all(folder).unwrap();
    }
}
