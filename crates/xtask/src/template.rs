//! Text operations on the page's template, `www/index.html`.
//!
//! Regions lie between `<!-- evenstroke:NAME -->` and `<!-- /evenstroke:NAME -->`. The markers stay
//! in the finished page, so that the page can fill the same regions when it writes itself out.

use crate::Failure;

/// The page with the region `name` holding `content`.
pub fn fill(page: &str, name: &str, content: &str) -> Result<String, Failure> {
    let (open, close) =
        (format!("<!-- evenstroke:{name} -->"), format!("<!-- /evenstroke:{name} -->"));
    let missing = || format!("the page has no region {open}…{close}");
    let (head, rest) = page.split_once(&open).ok_or_else(missing)?;
    let (_, tail) = rest.split_once(&close).ok_or_else(missing)?;
    Ok(format!("{head}{open}{content}{close}{tail}"))
}

/// The block that hands a job to the page.
///
/// Every `<` is escaped, so no text in the job can end the block.
pub fn job_block(json: &str) -> String {
    let json = json.trim().replace('<', "\\u003c");
    format!("<script type=\"application/json\" id=\"job\">{json}</script>")
}

/// The page with another Content-Security-Policy.
pub fn with_policy(page: &str, policy: &str) -> Result<String, Failure> {
    const START: &str = "<meta http-equiv=\"Content-Security-Policy\" content=\"";
    let (head, rest) = page.split_once(START).ok_or("the page has no Content-Security-Policy")?;
    let (_, tail) =
        rest.split_once('"').ok_or("the page's Content-Security-Policy does not end")?;
    Ok(format!("{head}{START}{policy}\"{tail}"))
}

/// The page with another encoding named.
pub fn with_encoding(page: &str, encoding: &str) -> Result<String, Failure> {
    let (head, tail) =
        page.split_once("<meta charset=\"utf-8\">").ok_or("the page names no encoding")?;
    Ok(format!("{head}<meta charset=\"{encoding}\">{tail}"))
}

/// The page with each `<link>` replaced by what `replacement` makes of it.
///
/// `None` leaves the link as it is.
pub fn replace_links(
    page: &str,
    mut replacement: impl FnMut(&Link) -> Result<Option<String>, Failure>,
) -> Result<String, Failure> {
    let mut result = String::with_capacity(page.len());
    let mut rest = page;
    while let Some(start) = rest.find("<link ") {
        let length = rest[start..].find('>').ok_or("the page holds a <link that does not end")? + 1;
        let tag = &rest[start..start + length];
        result.push_str(&rest[..start]);
        match replacement(&Link(tag))? {
            Some(text) => result.push_str(&text),
            None => result.push_str(tag),
        }
        rest = &rest[start + length..];
    }
    result.push_str(rest);
    Ok(result)
}

/// One `<link>` of the page.
pub struct Link<'a>(&'a str);

impl<'a> Link<'a> {
    /// The value of an attribute written as `name="value"`.
    pub fn attribute(&self, name: &str) -> Option<&'a str> {
        let (_, rest) = self.0.split_once(&format!(" {name}=\""))?;
        rest.split_once('"').map(|(value, _)| value)
    }

    /// Whether the link is an instruction to Trunk.
    pub fn is_for_trunk(&self) -> bool {
        self.0.contains(" data-trunk")
    }
}

/// A script's text made safe inside `<script>`…`</script>`.
///
/// `<\/script` and `<\!--` mean the same to JavaScript wherever the originals may stand, in strings
/// and regular expressions, but are nothing to the HTML parser.
pub fn script_text(script: &str) -> String {
    let mut result = String::with_capacity(script.len());
    let mut rest = script;
    while let Some(start) = rest.find('<') {
        let (before, tag) = rest.split_at(start);
        result.push_str(before);
        let ends_script = tag.get(..8).is_some_and(|word| word.eq_ignore_ascii_case("</script"));
        result.push('<');
        if ends_script || tag.starts_with("<!--") {
            result.push('\\');
        }
        rest = &tag[1..];
    }
    result.push_str(rest);
    result
}

/// A script without the lines that hold nothing but a comment, which a saved page need not carry.
///
/// Our own scripts hold no text over several lines in which such a line could mean something.
pub fn without_comment_lines(script: &str) -> String {
    let is_code = |line: &&str| !line.trim_start().starts_with("//");
    script.split_inclusive('\n').filter(is_code).map(str::trim_start).collect()
}

/// A style in three parts: what comes before the rules of the running tool, these, and what follows.
pub fn split_style(style: &str) -> Result<(&str, &str, &str), Failure> {
    let missing = || "the style has no part /* evenstroke:tool: … */ … /* /evenstroke:tool */";
    let (before, rest) = style.split_once("/* evenstroke:tool:").ok_or_else(missing)?;
    let (_, rest) = rest.split_once("*/").ok_or_else(missing)?;
    let (tool, after) = rest.split_once("/* /evenstroke:tool */").ok_or_else(missing)?;
    Ok((before, tool, after))
}

/// A style without comments and indentation, which a saved page need not carry.
///
/// Our own styles hold no text in which they could mean something.
pub fn lean_style(style: &str) -> String {
    let mut result = String::with_capacity(style.len());
    let mut parts = style.split("/*");
    let first = parts.next().into_iter();
    let rest = parts.filter_map(|part| part.split_once("*/").map(|(_, code)| code));
    for line in first.chain(rest).flat_map(str::lines) {
        let line = line.trim();
        if !line.is_empty() {
            result.push_str(line);
            // After these no space is needed; a selector or a value may go on in the next line.
            if !line.ends_with(['{', '}', ';']) {
                result.push('\n');
            }
        }
    }
    result
}

/// Refuses a sheet that could not stand in the page as it is.
pub fn check_sheet(sheet: &str) -> Result<(), Failure> {
    let text = sheet.to_ascii_lowercase();
    if text.trim().is_empty() {
        return Err("the set-up sheet is empty; it must be a piece of HTML".to_owned());
    }
    // The policy would block the first four, and the others would end the region they stand in.
    for refused in
        ["<script", "<style", "<link", " style=", "<html", "<body", "<main", "</main", "<!--"]
    {
        if text.contains(refused) {
            return Err(format!(
                "the set-up sheet must be a piece of HTML without scripts, styles, links, comments \
                 and page elements; it holds `{refused}`"
            ));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fill_replaces_a_region_and_can_do_so_again() {
        let page = "a<!-- evenstroke:sheet -->old<!-- /evenstroke:sheet -->b";
        let once = fill(page, "sheet", "<p>new</p>").unwrap();
        assert_eq!(once, "a<!-- evenstroke:sheet --><p>new</p><!-- /evenstroke:sheet -->b");
        assert_eq!(fill(&once, "sheet", "old").unwrap(), page);
        assert!(fill(page, "job", "").unwrap_err().contains("evenstroke:job"));
    }

    #[test]
    fn job_block_cannot_be_ended_by_the_job() {
        let block = job_block("{\"title\": \"</script><!--\"}\n");
        assert_eq!(
            block,
            "<script type=\"application/json\" id=\"job\">{\"title\": \"\\u003c/script>\\u003c!--\"}</script>"
        );
    }

    #[test]
    fn script_text_holds_nothing_that_ends_a_script() {
        assert_eq!(script_text("a</SCRIPT>b<!--c"), "a<\\/SCRIPT>b<\\!--c");
        assert_eq!(script_text("if (a < b) <é"), "if (a < b) <é");
    }

    #[test]
    fn comment_lines_are_left_out_and_code_stays() {
        let script = "// What it does.\n  let a = \"//\"; // Why.\n  // More.\n  a();\n";
        assert_eq!(without_comment_lines(script), "let a = \"//\"; // Why.\na();\n");
    }

    #[test]
    fn style_keeps_its_rules_and_loses_comments_and_indentation() {
        let style = "/* What. */\np {\n  color: red; /* Why. */\n}\n\n/* a\n b */ @media print {\n  p { top: 0 }\n}\n";
        assert_eq!(lean_style(style), "p {color: red;}@media print {p { top: 0 }}");
        assert_eq!(lean_style("a,\nb { c: d }\n"), "a,\nb { c: d }");
    }

    #[test]
    fn style_of_the_tool_stands_between_two_others() {
        let style = "a {}/* evenstroke:tool: why */b {}/* /evenstroke:tool */c {}";
        assert_eq!(split_style(style).unwrap(), ("a {}", "b {}", "c {}"));
        assert!(split_style("a {}").unwrap_err().contains("evenstroke:tool"));
    }

    #[test]
    fn policy_is_replaced_whole() {
        let page = "<meta http-equiv=\"Content-Security-Policy\" content=\"old 'self'\"><p>";
        assert_eq!(
            with_policy(page, "new").unwrap(),
            "<meta http-equiv=\"Content-Security-Policy\" content=\"new\"><p>"
        );
        assert!(with_policy("<p>", "new").is_err());
    }

    #[test]
    fn links_are_replaced_one_by_one() {
        let page =
            "x<link data-trunk rel=\"css\" href=\"a.css\">y<link rel=\"icon\" href=\"data:,\">";
        let result = replace_links(page, |link| {
            Ok(link.is_for_trunk().then(|| link.attribute("href").unwrap().to_owned()))
        });
        assert_eq!(result.unwrap(), "xa.cssy<link rel=\"icon\" href=\"data:,\">");
    }

    #[test]
    fn check_sheet_refuses_what_the_policy_would_block() {
        assert!(check_sheet("<h1>Sheet</h1><svg><path d=\"M0 0\"/></svg>").is_ok());
        assert!(check_sheet(" \n").unwrap_err().contains("empty"));
        for bad in ["<SCRIPT>", "<p style=\"x\">", "</main>"] {
            assert!(check_sheet(bad).is_err(), "{bad}");
        }
    }
}
