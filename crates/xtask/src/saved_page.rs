//! The saved page: the whole tool in one HTML file that runs from a disk with no network.
//!
//! Browsers load neither modules nor neighbouring files from `file://`, so everything is inside:
//! the glue, a classic script, and the module packed into a data block, the style as text. The
//! policy admits exactly these scripts and this style, by their hashes; that holds as well for the
//! glue, which the page puts in as a script once it is unpacked.

use crate::setup::PageTools;
use crate::site::{self, DIST, FirstJob, Program};
use crate::{Failure, offline, pack, template, windows_1252};
use base64::Engine;
use base64::engine::general_purpose::STANDARD as BASE64;
use sha2::{Digest, Sha256};
use std::path::Path;

const SOURCES: &str = "www";
const PROGRAM_BUDGET_KB: f64 = 300.0;
const PAGE_BUDGET_KB: f64 = 600.0;

/// Builds the served page and, from the same program, the saved one; says how large they are.
pub fn build(tools: &PageTools) -> Result<(), Failure> {
    let job = FirstJob::read()?;
    let program = site::build(tools, &job)?;
    let page = windows_1252::bytes(&job.fill_ascii(&assemble(&program)?)?)?;
    let path = Path::new(DIST).join("evenstroke.html");
    site::write(&path, &page)?;
    let packed = offline::finish(Path::new(DIST))?;

    let is_program = |name: &str| name.starts_with(site::PROGRAM);
    let program_size =
        packed.iter().filter(|(name, _)| is_program(name)).map(|(_, size)| size).sum();
    report("wasm and glue, gzipped", program_size, PROGRAM_BUDGET_KB);
    report("saved page dist/evenstroke.html", page.len(), PAGE_BUDGET_KB);
    Ok(())
}

fn report(what: &str, bytes: usize, budget_kb: f64) {
    let size_kb = bytes as f64 / 1000.0;
    println!("{what}: {size_kb:.1} kB of {budget_kb:.0} kB");
    if size_kb > budget_kb {
        println!("warning: {what}: {:.1} kB over the budget", size_kb - budget_kb);
    }
}

/// The template with style and program inside, its job and sheet still to be filled in.
fn assemble(program: &Program) -> Result<String, Failure> {
    let sources = Path::new(SOURCES);
    let mut styles = Vec::new();
    let page = site::read_text(&sources.join("index.html"))?;
    let page = template::replace_links(&page, |link| match link.attribute("rel") {
        Some("css") if link.is_for_trunk() => {
            let name = link.attribute("href").ok_or("a style link has no href")?;
            let style = site::read_text(&sources.join(name))?;
            check_style(name, &style)?;
            let (before, tool, after) = template::split_style(&style)?;
            let lean = |part| windows_1252::style(&template::lean_style(part));
            let parts = [before, tool, after].map(lean);
            let element = format!("<style>{}</style><style>{}</style>", parts[0], parts[2]);
            styles.extend(parts);
            Ok(Some(element))
        }
        // Neither the files that Trunk copies nor an app's manifest and icons exist beside a saved
        // page; an empty picture keeps browsers from looking for one.
        Some("manifest" | "apple-touch-icon") => Ok(Some(String::new())),
        Some("icon") => Ok(Some("<link rel=\"icon\" href=\"data:,\">".to_owned())),
        _ => Ok(link.is_for_trunk().then(String::new)),
    })?;

    let script = |name: &str| -> Result<String, Failure> {
        let text = site::read_text(&sources.join(name))?;
        Ok(template::script_text(&template::without_comment_lines(&text)))
    };
    let [whole, unpack, boot] = [script("whole.js")?, script("unpack.js")?, script("boot.js")?];
    if let Some(letter) =
        [&whole, &unpack, &boot].iter().find_map(|text| text.chars().find(|c| !c.is_ascii()))
    {
        return Err(format!(
            "{SOURCES}/whole.js, unpack.js and boot.js must be ASCII but for comments of whole lines; one holds {letter:?}"
        ));
    }
    // The HTML parser never sees this one, so it needs nothing escaped.
    // The page takes the glue out of it again, for what works beside it.
    // Its last line puts the tool's style between the two that the page has from the start.
    let tool_style = styles.get(1).ok_or("the page has no style")?;
    let inside = &format!(
        "{}\n// end of glue\n{}{}{}\n\
         document.querySelectorAll(\"style\")[1].before(Object.assign(\
         document.createElement(\"style\"), {{ textContent: {tool_style:?} }}));\n",
        program.glue,
        script("store.js")?,
        script("beside.js")?,
        script("hand.js")? + &script("photo.js")?
    );
    let policy = policy(&[&whole, &unpack, &boot, inside], &styles);
    let page = template::with_policy(&page, &policy)?;
    // The packed program takes a letter for a byte.
    let page = template::with_encoding(&page, "windows-1252")?;
    let (head, rest) = page.split_once("</head>").ok_or("the page has no </head>")?;
    let (body, tail) = rest.rsplit_once("</body>").ok_or("the page has no </body>")?;
    let packed = pack::text(inside, &program.wasm)?;
    Ok(format!(
        "{head}<script>{whole}</script>\n</head>{body}\
         <script type=\"application/octet-stream\" id=\"w\">{packed}</script>\n\
         <script>{unpack}</script>\n<script>{boot}</script>\n</body>{tail}"
    ))
}

/// Refuses a style that would need a file beside the page.
fn check_style(name: &str, style: &str) -> Result<(), Failure> {
    let text = style.to_ascii_lowercase();
    let mut addresses = text.split("url(").skip(1);
    let stays_inside = addresses.all(|rest| {
        let rest = rest.trim_start_matches([' ', '"', '\'']);
        rest.starts_with("data:") || rest.starts_with('#')
    });
    if !stays_inside || text.contains("@import") {
        return Err(format!(
            "{SOURCES}/{name} must stand alone: only `url(data:…)` and `url(#…)` are allowed, and no `@import`"
        ));
    }
    if text.contains("</style") {
        return Err(format!("{SOURCES}/{name} must not hold `</style`"));
    }
    Ok(())
}

/// A policy that admits these scripts and styles and no request at all.
fn policy(scripts: &[&str], styles: &[String]) -> String {
    let scripts: Vec<_> = scripts.iter().map(|text| source_hash(text)).collect();
    let styles: Vec<_> = styles.iter().map(|text| source_hash(text)).collect();
    format!(
        "default-src 'none'; script-src {} 'wasm-unsafe-eval'; style-src {}; img-src data: blob:; \
         worker-src blob:; connect-src 'none'; base-uri 'none'; form-action 'none'",
        scripts.join(" "),
        if styles.is_empty() { "'none'".to_owned() } else { styles.join(" ") },
    )
}

fn source_hash(text: &str) -> String {
    format!("'sha256-{}'", BASE64.encode(Sha256::digest(text)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn policy_names_the_hash_that_browsers_compute() {
        // The example that the Content Security Policy specification gives.
        assert_eq!(
            source_hash("alert('Hello, world.');"),
            "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"
        );
    }

    #[test]
    fn styles_with_neighbours_are_refused() {
        assert!(check_style("a.css", "p { background: url('data:image/png;base64,') }").is_ok());
        assert!(check_style("a.css", "p { fill: url(#hatch) }").is_ok());
        assert!(check_style("a.css", "p { background: url(a.png) }").is_err());
        assert!(check_style("a.css", "@import 'b.css';").is_err());
    }
}
