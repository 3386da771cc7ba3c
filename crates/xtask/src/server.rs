//! A small static server for this machine only: the built page, nothing else.

use crate::Failure;
use std::fs;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The port taken unless another is asked for.
pub const USUAL_PORT: u16 = 8080;
/// How many ports are tried before giving up.
const TRIES: u16 = 20;
/// No browser sends longer request heads to a page that sets no cookies.
const LONGEST_HEAD: u64 = 16 * 1024;
const PATIENCE: Duration = Duration::from_secs(10);

/// Serves the files below `root` until the program is ended.
pub fn serve(root: &Path, port: u16) -> Result<(), Failure> {
    let root = fs::canonicalize(root).ok().filter(|root| root.join("index.html").is_file());
    let root = root.ok_or("there is no built page; run `cargo xtask page` first")?;
    let (listener, taken) = listen(port)?;
    if port != 0 && taken != port {
        println!("Port {port} is busy, so {taken} was taken.");
    }
    println!("Evenstroke is at http://127.0.0.1:{taken}/ (end with Ctrl+C)");
    for stream in listener.incoming() {
        let root = root.clone();
        // A connection that breaks off concerns only the browser that opened it.
        std::thread::spawn(move || stream.and_then(|stream| answer(&root, stream)));
    }
    Ok(())
}

/// Listens on `port` or, where that is busy, on the next free one.
fn listen(port: u16) -> Result<(TcpListener, u16), Failure> {
    let last = if port == 0 { 0 } else { port.saturating_add(TRIES - 1) };
    for candidate in port..=last {
        match TcpListener::bind((Ipv4Addr::LOCALHOST, candidate)) {
            Ok(listener) => {
                let taken = listener.local_addr().map_err(|err| err.to_string())?.port();
                return Ok((listener, taken));
            }
            Err(err) if err.kind() == io::ErrorKind::AddrInUse => {}
            Err(err) => return Err(format!("cannot listen on port {candidate}: {err}")),
        }
    }
    Err(format!("the ports {port} to {last} are all busy; choose another with --port N"))
}

/// Answers the one request of a connection.
fn answer(root: &Path, mut stream: TcpStream) -> io::Result<()> {
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    let mut reader = BufReader::new(stream.try_clone()?.take(LONGEST_HEAD));
    let mut request = String::new();
    reader.read_line(&mut request)?;
    // The head is read to its end: closing with unread bytes would make the answer be dropped.
    let mut line = String::new();
    while reader.read_line(&mut line)? > 2 {
        line.clear();
    }

    let mut words = request.split_whitespace();
    let (method, target) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
    if method != "GET" && method != "HEAD" {
        return reply(&mut stream, "405 Method Not Allowed", PLAIN, b"only GET and HEAD\n", true);
    }
    match find(root, target).and_then(|path| Some((fs::read(&path).ok()?, path))) {
        Some((body, path)) => {
            reply(&mut stream, "200 OK", media_type(&path), &body, method == "GET")
        }
        None => reply(&mut stream, "404 Not Found", PLAIN, b"no such file\n", method == "GET"),
    }
}

const PLAIN: &str = "text/plain; charset=utf-8";

fn reply(
    stream: &mut TcpStream,
    status: &str,
    media_type: &str,
    body: &[u8],
    with_body: bool,
) -> io::Result<()> {
    // A page rebuilt a moment ago must not be answered from the browser's cache.
    let head = format!(
        "HTTP/1.1 {status}\r\ncontent-type: {media_type}\r\ncontent-length: {}\r\n\
         cache-control: no-cache\r\nx-content-type-options: nosniff\r\nconnection: close\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes())?;
    if with_body {
        stream.write_all(body)?;
    }
    stream.flush()
}

/// The file below `root` that a request's target names, if there is one.
fn find(root: &Path, target: &str) -> Option<PathBuf> {
    let path = target.split(['?', '#']).next()?;
    let path = percent_decoded(path.strip_prefix('/')?)?;
    let mut found = root.to_path_buf();
    for part in path.split('/') {
        match part {
            "" | "." => {}
            // Only plain names go down the tree; a backslash or colon is a path elsewhere.
            _ if part == ".." || part.contains(['\\', ':', '\0']) => return None,
            _ => found.push(part),
        }
    }
    if found.is_dir() {
        found.push("index.html");
    }
    // A link inside the folder must not lead out of it either.
    let real = fs::canonicalize(found).ok()?;
    (real.starts_with(root) && real.is_file()).then_some(real)
}

/// Undoes percent-encoding; `None` where it is broken or not UTF-8.
fn percent_decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let high = char::from(rest.next()?).to_digit(16)?;
            let low = char::from(rest.next()?).to_digit(16)?;
            bytes.push(u8::try_from(high * 16 + low).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}

/// What a file is, by its name; browsers compile WebAssembly while it loads only by its own type.
fn media_type(path: &Path) -> &'static str {
    match path.extension().and_then(|extension| extension.to_str()) {
        // Each page names its encoding itself.
        Some("html") => "text/html",
        Some("js" | "mjs") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("wasm") => "application/wasm",
        Some("json") => "application/json",
        Some("webmanifest") => "application/manifest+json",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("ico") => "image/x-icon",
        Some("txt" | "md") => PLAIN,
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("evenstroke-{name}-{}", std::process::id()));
        fs::create_dir_all(folder.join("site/parts")).unwrap();
        fs::write(folder.join("site/index.html"), "page").unwrap();
        fs::write(folder.join("site/parts/a b.css"), "").unwrap();
        fs::write(folder.join("secret.txt"), "").unwrap();
        fs::canonicalize(folder).unwrap()
    }

    #[test]
    fn targets_are_found_below_the_root_only() {
        let folder = folder("targets");
        let root = folder.join("site");
        assert_eq!(find(&root, "/"), Some(root.join("index.html")));
        assert_eq!(find(&root, "/index.html?x=1"), Some(root.join("index.html")));
        assert_eq!(find(&root, "/parts/a%20b.css"), Some(root.join("parts/a b.css")));
        for outside in [
            "/../secret.txt",
            "/%2e%2e/secret.txt",
            "/parts/../../secret.txt",
            "/..%2fsecret.txt",
            "/..\\secret.txt",
            "//etc/hostname",
            "/%00",
            "/%zz",
            "/parts",
            "secret.txt",
            "",
        ] {
            assert_eq!(find(&root, outside), None, "{outside}");
        }
        fs::remove_dir_all(folder).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn links_out_of_the_root_are_not_followed() {
        let folder = folder("links");
        let root = folder.join("site");
        std::os::unix::fs::symlink(folder.join("secret.txt"), root.join("link.txt")).unwrap();
        assert_eq!(find(&root, "/link.txt"), None);
        fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn a_busy_port_gives_way_to_the_next_free_one() {
        let (first, port) = listen(0).unwrap();
        let (_second, taken) = listen(port).unwrap();
        assert!(taken > port && taken < port + TRIES, "{port} then {taken}");
        drop(first);
    }

    #[test]
    fn wasm_has_the_type_that_browsers_insist_on() {
        assert_eq!(media_type(Path::new("a_bg.wasm")), "application/wasm");
    }
}
