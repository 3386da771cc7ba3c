//! A small static server for this machine only: the built page, nothing else.

use crate::{Failure, offline};
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
    let mut head = Head::default();
    let mut line = String::new();
    while reader.read_line(&mut line)? > 2 {
        head.read(line.trim_end());
        line.clear();
    }

    let mut words = request.split_whitespace();
    let (method, target) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
    let mut answer = Answer { with_body: method != "HEAD", ..Answer::default() };
    if method != "GET" && method != "HEAD" {
        answer.body = b"only GET and HEAD\n".to_vec();
        return answer.send(&mut stream, "405 Method Not Allowed");
    }
    let Some(path) = find(root, target) else {
        answer.body = b"no such file\n".to_vec();
        return answer.send(&mut stream, "404 Not Found");
    };
    answer.media_type = media_type(&path);
    answer.caching = caching(&path);
    let packed = head.takes_gzip.then(|| packed_form(&path)).flatten();
    answer.is_packed = packed.is_some();
    answer.body = fs::read(packed.as_ref().unwrap_or(&path))?;
    answer.mark = mark(&answer.body);
    if head.known_mark == answer.mark {
        answer.with_body = false;
        return answer.send(&mut stream, "304 Not Modified");
    }
    answer.send(&mut stream, "200 OK")
}

const PLAIN: &str = "text/plain; charset=utf-8";
/// A page rebuilt a moment ago must not be answered from the browser's cache unasked.
const ASK_AGAIN: &str = "no-cache";

/// What counts here of a request's head.
#[derive(Debug, Default, PartialEq)]
struct Head {
    takes_gzip: bool,
    /// The mark of the copy that the browser holds already; empty where it holds none.
    known_mark: String,
}

impl Head {
    /// Reads one line, if it is one of those that count.
    fn read(&mut self, line: &str) {
        let Some((name, value)) = line.split_once(':') else { return };
        match name.to_ascii_lowercase().as_str() {
            "accept-encoding" => {
                self.takes_gzip = value.split(',').any(|one| {
                    let (coding, weight) = one.split_once(';').unwrap_or((one, ""));
                    coding.trim() == "gzip" && !matches!(weight.trim(), "q=0" | "q=0.0")
                });
            }
            "if-none-match" => self.known_mark = value.trim().to_owned(),
            _ => {}
        }
    }
}

struct Answer {
    media_type: &'static str,
    caching: &'static str,
    is_packed: bool,
    mark: String,
    body: Vec<u8>,
    with_body: bool,
}

impl Default for Answer {
    fn default() -> Self {
        let (mark, body) = (String::new(), Vec::new());
        Self {
            media_type: PLAIN,
            caching: ASK_AGAIN,
            is_packed: false,
            mark,
            body,
            with_body: true,
        }
    }
}

impl Answer {
    fn send(&self, stream: &mut TcpStream, status: &str) -> io::Result<()> {
        let coding = if self.is_packed { "content-encoding: gzip\r\n" } else { "" };
        let mark =
            if self.mark.is_empty() { String::new() } else { format!("etag: {}\r\n", self.mark) };
        let head = format!(
            "HTTP/1.1 {status}\r\ncontent-type: {}\r\ncontent-length: {}\r\n{coding}{mark}\
             cache-control: {}\r\nvary: accept-encoding\r\nx-content-type-options: nosniff\r\n\
             connection: close\r\n\r\n",
            self.media_type,
            self.body.len(),
            self.caching,
        );
        stream.write_all(head.as_bytes())?;
        if self.with_body {
            stream.write_all(&self.body)?;
        }
        stream.flush()
    }
}

/// The packed form of a file, unless the file has been changed since.
fn packed_form(path: &Path) -> Option<PathBuf> {
    let mut packed = path.as_os_str().to_owned();
    packed.push(format!(".{}", offline::PACKED));
    let packed = PathBuf::from(packed);
    let changed = |path: &Path| fs::metadata(path).and_then(|found| found.modified()).ok();
    (changed(&packed)? >= changed(path)?).then_some(packed)
}

/// By what a browser tells whether its copy is the one that is here.
fn mark(body: &[u8]) -> String {
    format!("\"{:08x}-{:x}\"", crc32fast::hash(body), body.len())
}

/// How long a browser may take its copy unasked: for ever where the name is made from the content.
fn caching(path: &Path) -> &'static str {
    let name = path.file_stem().and_then(|name| name.to_str()).unwrap_or_default();
    let name = name.strip_suffix("_bg").unwrap_or(name);
    let is_hash = |end: &str| end.len() >= 12 && end.bytes().all(|byte| byte.is_ascii_hexdigit());
    if name.rsplit_once('-').is_some_and(|(_, end)| is_hash(end)) {
        "public, max-age=31536000, immutable"
    } else {
        ASK_AGAIN
    }
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
    fn a_browser_that_takes_no_gzip_gets_none() {
        let takes = |value: &str| {
            let mut head = Head::default();
            head.read(&format!("Accept-Encoding: {value}"));
            head.takes_gzip
        };
        assert!(takes("gzip, deflate, br") && takes("br, gzip;q=0.5"));
        assert!(!takes("br") && !takes("gzip;q=0") && !takes("identity, x-gzip"));
    }

    #[test]
    fn a_packed_form_older_than_its_file_is_passed_over() {
        let folder = folder("packed");
        let page = folder.join("site/index.html");
        assert_eq!(packed_form(&page), None);
        let packed = folder.join("site/index.html.gz");
        fs::write(&packed, "").unwrap();
        assert_eq!(packed_form(&page), Some(packed));
        let later = std::time::SystemTime::now() + Duration::from_secs(5);
        fs::File::options().write(true).open(&page).unwrap().set_modified(later).unwrap();
        assert_eq!(packed_form(&page), None);
        fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn only_files_named_after_their_content_are_kept_unasked() {
        for name in ["style-32a43b7d9e19b84.css", "evenstroke-app-3f2a9c01b77de410_bg.wasm"] {
            assert!(caching(Path::new(name)).contains("immutable"), "{name}");
        }
        for name in ["index.html", "service-worker.js", "icons/maskable-512.png", "boot.js"] {
            assert_eq!(caching(Path::new(name)), ASK_AGAIN, "{name}");
        }
    }

    #[test]
    fn wasm_has_the_type_that_browsers_insist_on() {
        assert_eq!(media_type(Path::new("a_bg.wasm")), "application/wasm");
    }
}
