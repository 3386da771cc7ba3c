//! Cards of a set-up as pieces of HTML, one form for the screen and for paper: what goes with the die on a
//! page or on a tag, and what the setter takes to the press.
//!
//! Like the set-up sheet they hold no script, no inline style and no ids.

use crate::sheet::escape;
use evenstroke_job::{
    Job,
    cards::{Card, card_of, need_card, signing_card},
    spec::Unit,
    units::UnitSystem,
    words,
};
use evenstroke_language::{marked, say, tr};
use press_load::{Check, Length, Line, State};
use std::fmt::Write;

/// What a tag has room for, the law's own first: force, stroke and masses (OSHA 29 CFR 1910.217(d)(6)).
const ON_THE_TAG: [&str; 9] = [
    "force_upper_kn",
    "stroke_least_mm",
    "upper_die_kg",
    "die_kg",
    "energy_upper_kj",
    "shut_height_mm",
    "moment_x_knm",
    "moment_y_knm",
    "stripping_kn",
];
/// What a setter takes to the press.
const AT_THE_PRESS: [&str; 6] =
    ["shut_height", "counterbalance", "holding", "weights", "slugs", "first_strokes"];
const WHO_DECIDES: &str = marked(
    "Worked out from the data entered. The press's own plate and manual, local codes and a competent person decide.",
);

/// A card without its title: rows, table, sentences. What is missing and how a row stands are told in words.
pub fn card_html(card: &Card) -> String {
    let mut html = String::new();
    html += &rows_html(card, |_| true);
    if let Some(table) = card.table.as_ref().filter(|table| !table.rows.is_empty()) {
        let head: String = table
            .head
            .iter()
            .map(|words| match *words {
                "" => "<td></td>".to_owned(),
                words => format!("<th scope=\"col\">{}</th>", escape(words)),
            })
            .collect();
        // A table wider than a phone scrolls by itself; a row on paper is never cut in two.
        let _ = write!(
            html,
            "<div class=\"card-table\" tabindex=\"0\" role=\"region\" aria-label=\"{}\">\
             <table><thead><tr>{head}</tr></thead><tbody>",
            escape(&say!("{}: table", card.title))
        );
        for row in &table.rows {
            html += "<tr>";
            for (index, cell) in row.iter().enumerate() {
                let (tag, scope) = if index == 0 { ("th", " scope=\"row\"") } else { ("td", "") };
                // Where the cells stand below each other, each says what it is.
                let head = escape(table.head.get(index).copied().unwrap_or_default());
                let _ = write!(html, "<{tag}{scope} data-head=\"{head}\">{}</{tag}>", escape(cell));
            }
            html += "</tr>";
        }
        html += "</tbody></table></div>";
    }
    if !card.sentences.is_empty() {
        html += "<ul class=\"sheet-cautions\">";
        for sentence in &card.sentences {
            let _ = write!(html, "<li>{}</li>", escape(sentence));
        }
        html += "</ul>";
    }
    html
}

/// The word for a state's key.
fn state_words(key: &str) -> &'static str {
    [State::Within, State::Near, State::Over, State::NotChecked]
        .into_iter()
        .find(|state| state.key() == key)
        .map_or("", words::state_word)
}

fn rows_html(card: &Card, wanted: impl Fn(&str) -> bool) -> String {
    let mut rows = String::new();
    for row in card.rows.iter().filter(|row| wanted(row.key)) {
        let state = row.state.map_or_else(String::new, |state| {
            format!(" <strong class=\"row-state\">{}</strong>", state_words(state))
        });
        let (class, mark) = if row.is_missing {
            ("missing", format!("<strong class=\"row-state\">{}</strong> ", tr("not known")))
        } else {
            (row.state.unwrap_or(""), String::new())
        };
        let _ = write!(
            rows,
            "<tr class=\"row-{class}\"><th scope=\"row\">{}</th><td>{mark}{}{state}</td></tr>",
            escape(&row.label),
            escape(&row.text)
        );
    }
    if rows.is_empty() {
        return rows;
    }
    format!("<table class=\"card-rows\"><tbody>{rows}</tbody></table>")
}

/// A head for paper: what it is, of which die, worked out for which stock.
fn head(what: &str, job: &Job, units: UnitSystem) -> String {
    let title = if job.title.is_empty() { tr("Untitled job") } else { &job.title };
    let material = if job.material.is_empty() { tr("stock") } else { &job.material };
    let mm = |metres: f64| units.show(Length::from_metres(metres).millimetres(), Unit::Mm);
    let (thinnest, thickest) = (job.stock.thickness_m.low(), job.stock.thickness_m.high());
    let thickness = if thinnest < thickest {
        say!("{} to {}", mm(thinnest), mm(thickest))
    } else {
        mm(job.stock.thickness_m.on(Line::Nominal))
    };
    let strength = units.show(job.stock.tensile_pa.high() * 1e-6, Unit::Mpa);
    format!(
        "<header class=\"sheet-head\"><div><h1>{what}: {}</h1><p>{} · {} · {}</p></div>\
         <p class=\"sheet-version\">Evenstroke {}<br>{}</p></header>",
        escape(title),
        escape(material),
        escape(&thickness),
        escape(&say!("up to {}", strength)),
        env!("CARGO_PKG_VERSION"),
        escape(&job.note),
    )
}

/// The die's own card on one page: what it needs of any press.
pub fn die_card_html(job: &Job, units: UnitSystem) -> String {
    format!(
        "<article class=\"sheet die-card\">{}<section>{}</section>\
         <table class=\"sheet-signatures\"><tbody><tr><td>{}</td>\
         <td>{}</td></tr></tbody></table>\
         <p class=\"sheet-void\">{} {}</p></article>",
        head(tr("What this die needs of any press"), job, units),
        card_html(&need_card(job, units)),
        escape(tr("Made out by, date")),
        escape(tr("Compared with the stamp on the die by, date")),
        escape(tr("Void if the die is ground, repaired or changed.")),
        escape(tr(WHO_DECIDES)),
    )
}

/// The same in short, on a tag of 100 × 70 mm.
pub fn die_tag_html(job: &Job, units: UnitSystem) -> String {
    let title = if job.title.is_empty() { tr("Untitled job") } else { &job.title };
    let material = if job.material.is_empty() { tr("stock") } else { &job.material };
    format!(
        "<article class=\"sheet die-tag\"><h1>{}</h1><p>{} {}</p>{}<p>{}</p></article>",
        escape(title),
        escape(material),
        escape(
            &units.show(Length::from_metres(job.stock.thickness_m.high()).millimetres(), Unit::Mm)
        ),
        rows_html(&need_card(job, units), |key| ON_THE_TAG.contains(&key)),
        escape(tr(WHO_DECIDES)),
    )
}

/// What the setter takes to the press: shut height, what hangs on the slide, slugs, first strokes and
/// cautions with boxes to tick, and lines to sign.
pub fn setup_card_html(job: &Job, check: &Check, units: UnitSystem) -> String {
    let mut html = format!("<article class=\"sheet\">{}", head(tr("Set-up card"), job, units));
    let press =
        if job.press_name.is_empty() { tr("press without a name") } else { &job.press_name };
    let at = job.die.placement;
    let place = words::direction_words(at.x, at.y, units);
    let place = if place == tr("at the centre") {
        tr("Die centre at the bolster centre").to_owned()
    } else {
        say!("Die centre {} of the bolster centre", place)
    };
    let _ = write!(
        html,
        "<p class=\"sheet-verdict\"><strong>{}</strong>. {}.</p>",
        escape(if job.setup.has_press { press } else { tr("no press chosen") }),
        escape(&place),
    );
    for id in AT_THE_PRESS {
        let Some(card) = card_of(id, job, check, units) else { continue };
        let _ = write!(
            html,
            "<section class=\"paper-{id}\"><h2>{}</h2>{}</section>",
            escape(card.title),
            card_html(&card)
        );
    }
    let _ = write!(
        html,
        "<section><h2>{}</h2><ul class=\"sheet-ticks\">",
        tr("Cautions, each seen to")
    );
    for (_, text) in words::all_cautions(job, check, units) {
        let _ = write!(html, "<li>{}</li>", escape(&text));
    }
    // What an earlier set-up has signed is not this one's.
    let _ = write!(
        html,
        "</ul></section><section><h2>{}</h2><table class=\"sheet-signatures\"><tbody><tr>",
        tr("Signed")
    );
    let signing = signing_card(job);
    for row in &signing.rows {
        let _ = write!(html, "<td>{}</td>", escape(&row.label));
    }
    let void = signing.sentences.last().map_or("", String::as_str);
    let _ = write!(
        html,
        "</tr></tbody></table><p class=\"sheet-void\">{} {}</p></section></article>",
        escape(void),
        escape(tr(WHO_DECIDES))
    );
    html
}

#[cfg(test)]
mod tests {
    use super::*;
    use evenstroke_job::{cards::setup_cards, demo::DEMOS};

    fn demo() -> Job {
        Job::read(DEMOS[0].text).expect("a demo")
    }

    #[test]
    fn cards_on_paper_hold_no_script_and_no_inline_style() {
        let text = DEMOS[0]
            .text
            .replacen("\"Pierce\"", "\"<img src=x onerror=alert(1)>\"", 1)
            .replacen("Gate-latch plate", "</h1><script>alert(1)</script>", 1);
        let job = Job::read(&text).expect("job loads");
        let units = UnitSystem::Metric;
        for html in [
            die_card_html(&job, units),
            die_tag_html(&job, units),
            setup_card_html(&job, &job.check(), units),
        ] {
            for forbidden in ["<script", "<img", "style=", " id=", "javascript:"] {
                assert!(!html.contains(forbidden), "{forbidden} in {html}");
            }
        }
    }

    #[test]
    fn every_figure_on_paper_is_that_of_the_card() {
        let job = demo();
        let units = UnitSystem::UsCustomary;
        let need = need_card(&job, units);
        let page = die_card_html(&job, units);
        for row in &need.rows {
            assert!(page.contains(&escape(&row.text)), "{}", row.key);
        }
        let tag = die_tag_html(&job, units);
        for key in ON_THE_TAG {
            let row = need.row(key).expect("a row of the card");
            assert!(tag.contains(&escape(&row.text)), "{key}");
        }
        let check = job.check();
        let paper = setup_card_html(&job, &check, units);
        for card in setup_cards(&job, &check, units) {
            if AT_THE_PRESS.contains(&card.id) {
                assert!(paper.contains(&card_html(&card)), "{}", card.id);
            }
        }
    }

    /// Who signed an earlier set-up has not signed the one that the paper is taken to.
    #[test]
    fn lines_to_sign_are_empty() {
        let text = DEMOS[0].text.replacen(
            "\"stock\":",
            "\"record\": {\"setups\": [{\"date\": \"2026-03-02\", \"set_by\": \"An earlier setter\"}]}, \"stock\":",
            1,
        );
        let job = Job::read(&text).expect("job loads");
        let html = setup_card_html(&job, &job.check(), UnitSystem::Metric);
        assert!(html.contains("<td>Set by</td>") && html.contains("<td>Checked by</td>"));
        assert!(!html.contains("An earlier setter"));
    }

    #[test]
    fn what_is_missing_and_how_a_row_stands_are_told_in_words() {
        let mut job = demo();
        job.die.upper_mass = None;
        let html = card_html(&need_card(&job, UnitSystem::Metric));
        assert!(html.contains("not known</strong> mass of the upper die"), "{html}");
        let job = demo();
        let holding = card_of("holding", &job, &job.check(), UnitSystem::Metric).expect("a card");
        assert!(card_html(&holding).contains("row-state\">within"), "{holding:?}");
    }
}
