//! The set-up sheet: placement, limits, curve, cautions and signature lines as a piece of HTML.
//!
//! It holds no script, no inline style and no ids, so that it can stand in the page's static HTML,
//! where it is of use even when scripts do not run, and be printed from there.

use crate::bolster_plan::filling_height;
use crate::job::{Scene, bolster_plan, now, plan_dimensions, stroke_chart};
use crate::{RGBColor, Style, bolster_plan_svg, stroke_chart_svg};
use evenstroke_job::{Job, spec::Unit, units::UnitSystem, words};
use evenstroke_language::{current, say, tr};
use press_load::{Check, Length, Work};
use std::fmt::Write;

/// The sheet of a checked job in the given units. `checksum` is that of the job's file
/// ([`evenstroke_job::checksum`]).
pub fn sheet_html(job: &Job, check: &Check, units: UnitSystem, checksum: &str) -> String {
    let scene = Scene::of(job, units);
    // Printed on white paper, whatever the screen looks like.
    let white = RGBColor(255, 255, 255);
    let style = Style { paper: white, surface: white, ..Style::paper() };
    let mut plan = bolster_plan(job, check, &scene);
    plan.dimensions = plan_dimensions(&plan, units);
    let height = filling_height(&plan, &style, 460.0, 240.0, 440.0).round() as u32;
    let plan = bolster_plan_svg(460, height, &plan, &style);
    let chart = stroke_chart_svg(960, 320, &stroke_chart(job, check, &scene), &style);
    let title = if job.title.is_empty() { tr("Untitled job") } else { &job.title };
    let press =
        if job.press_name.is_empty() { tr("press without a name") } else { &job.press_name };
    let material = if job.material.is_empty() { tr("stock") } else { &job.material };
    let thickness = units.show(
        Length::from_metres(job.stock.thickness_m.on(press_load::Line::Nominal)).millimetres(),
        Unit::Mm,
    );
    let mut html = String::with_capacity(32 * 1024);
    // Writing to a string cannot fail.
    let _ = write!(
        html,
        "<article class=\"sheet\" lang=\"{}\">\
         <header class=\"sheet-head\"><div><h1>{}</h1><p>{} · {} · {} {}</p></div>\
         <p class=\"sheet-version\">{}<br>{} · Evenstroke {}</p></header>\
         <p class=\"sheet-verdict state-{}\"><strong>{}</strong> {} <span>{}.</span></p>\
         <div class=\"sheet-columns\"><div><section><h2>{}</h2>{plan}<p>{}</p></section>\
         <section><h2>{}</h2>{}</section></div>\
         <div><h2>{}</h2>{}</div></div>\
         <section><h2>{}</h2>{chart}</section>\
         <div class=\"sheet-columns\"><section><h2>{}</h2>{}</section>\
         <section><h2>{}</h2>{}</section></div>\
         <section>{}</section></article>",
        current().key(),
        escape(&say!("Set-up sheet: {}", title)),
        escape(die_kind_words(job)),
        escape(press),
        escape(material),
        escape(&thickness),
        escape(&job.note),
        escape(&say!("Job {}", checksum)),
        env!("CARGO_PKG_VERSION"),
        check.verdict.key(),
        escape(words::verdict_words(check.verdict)),
        escape(&words::reason_in_short(job, check, units)),
        escape(&words::checked_words(check)),
        tr("Where to clamp"),
        placement(job, check, &scene),
        tr("Die data for setting"),
        die_data(job, check, units),
        tr("Limits, judged on the upper line"),
        limits(job, check, units),
        tr("Force through the stroke"),
        tr("Before the first stroke"),
        tick_list(job),
        tr("Cautions"),
        cautions(job, check, units),
        signatures(),
    );
    html
}

fn signatures() -> String {
    let cells = [
        tr("Set by, date and time"),
        tr("Checked by, date and time"),
        tr("Guards tested by"),
        tr("First-off accepted"),
    ]
    .map(|cell| format!("<td>{}</td>", escape(cell)))
    .concat();
    let void = tr(
        "Void if the die was ground or repaired, or runs in another press, other stock or at another speed.",
    );
    format!(
        "<table class=\"sheet-signatures\"><tbody><tr>{cells}</tr></tbody></table>\
         <p class=\"sheet-void\">{}</p>",
        escape(void)
    )
}

/// Text as HTML text or attribute value.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            letter => out.push(letter),
        }
    }
    out
}

fn die_kind_words(job: &Job) -> &'static str {
    use press_load::DieKind;
    tr(match job.die.kind {
        DieKind::Single => "single operation",
        DieKind::Compound => "compound die",
        DieKind::Combination => "combination die",
        DieKind::Progressive => "progressive die",
        DieKind::Transfer => "transfer die",
    })
}

fn placement(job: &Job, check: &Check, scene: &Scene) -> String {
    let units = scene.units;
    let at = job.die.placement;
    let turned = if at.turn_deg.rem_euclid(360.0) == 0.0 {
        String::new()
    } else {
        say!(", turned {}° counter-clockwise", at.turn_deg.rem_euclid(360.0))
    };
    let die = words::direction_words(at.x, at.y, units);
    // At the height of the chart's handle and the plan's dot.
    let now = now(job, check, scene);
    let load = now.centre.map_or_else(
        || tr("No force acts.").to_owned(),
        |centre| {
            say!(
                "Load centre at {}, the peak: {}.",
                units.show(now.height.millimetres(), Unit::Mm),
                words::point_words(centre, units)
            )
        },
    );
    let place = if die == tr("at the centre") {
        tr("Die centre at the bolster centre").to_owned()
    } else {
        say!("Die centre {} of the bolster centre", die)
    };
    format!("<strong>{}{}.</strong> {}", escape(&place), escape(&turned), escape(&load))
}

fn limits(job: &Job, check: &Check, units: UnitSystem) -> String {
    let mut rows = String::new();
    for limit in words::worst_first(check) {
        let share =
            limit.outcome.map_or_else(|_| String::new(), |used| words::share_words(used.share));
        let _ = write!(
            rows,
            "<tr class=\"state-{}\"><th scope=\"row\">{}</th><td>{} {share}</td><td>{}</td></tr>",
            limit.state.key(),
            escape(words::limit_label(limit.id)),
            words::state_word(limit.state),
            escape(&words::limit_words(job, check, limit, units)),
        );
    }
    format!(
        "<table><thead><tr><th scope=\"col\">{}</th><th scope=\"col\">{}</th>\
         <th scope=\"col\">{}</th></tr></thead>\
         <tbody>{rows}</tbody></table>",
        tr("limit"),
        tr("state"),
        tr("demand of limit"),
    )
}

fn die_data(job: &Job, check: &Check, units: UnitSystem) -> String {
    let missing = || tr("not entered").to_owned();
    let mass = |mass: Option<press_load::Mass>| {
        mass.map_or_else(missing, |mass| units.show(mass.kilograms(), Unit::Kg))
    };
    let force = check.peak_upper.map_or_else(
        || tr("none").to_owned(),
        |peak| {
            say!(
                "{} at {}",
                units.show(peak.force.kilonewtons(), Unit::Kn),
                units.show(peak.height.millimetres(), Unit::Mm)
            )
        },
    );
    let first_touch =
        check.curve.iter().find(|row| row.upper > press_load::Force::ZERO).map_or_else(
            || tr("none").to_owned(),
            |row| units.show(row.height.millimetres(), Unit::Mm),
        );
    let rows = [
        (tr("Force needed (upper)"), force),
        (tr("Work per stroke (upper)"), units.show(check.energy_upper.kilojoules(), Unit::Kj)),
        (tr("Stripping pull"), units.show(check.stripping.kilonewtons(), Unit::Kn)),
        (tr("First touch above BDC"), first_touch),
        (
            tr("Stroke of this press"),
            job.press
                .drive
                .known_stroke()
                .map_or_else(missing, |stroke| units.show(stroke.millimetres(), Unit::Mm)),
        ),
        (
            tr("Closed height of the die"),
            job.die
                .shut_height
                .map_or_else(missing, |height| units.show(height.millimetres(), Unit::Mm)),
        ),
        (tr("Upper die"), mass(job.die.upper_mass)),
        (tr("Whole die"), mass(job.die_mass)),
        (
            tr("Strokes per minute"),
            job.press
                .speed
                .map_or_else(missing, |speed| units.number(speed.per_minute(), Unit::Spm)),
        ),
        (
            tr("Runs"),
            words::speed_words(&check.speed).unwrap_or_else(|| tr("not known").to_owned()),
        ),
        (
            tr("Stop at a reverse reading of"),
            words::reverse_limit(job)
                .map_or_else(missing, |limit| units.show(limit.kilonewtons(), Unit::Kn)),
        ),
        (
            tr("Press opens at the peak"),
            check.stretch.map_or_else(
                || tr("not known").to_owned(),
                |stretch| words::fine_length(stretch.at_peak, units),
            ),
        ),
    ];
    let mut body = String::new();
    for (name, value) in rows {
        let _ = write!(body, "<tr><th scope=\"row\">{name}</th><td>{}</td></tr>", escape(&value));
    }
    format!("<table><tbody>{body}</tbody></table>")
}

fn tick_list(job: &Job) -> String {
    let slug_stations: Vec<String> = job
        .stations
        .iter()
        .enumerate()
        .filter(|(_, station)| {
            station.work.iter().any(|placed| matches!(placed.work, Work::Cut(_)))
        })
        .map(|(index, _)| (index + 1).to_string())
        .collect();
    let mut items = vec![
        tr("Locked out, slide blocked while clamping; blocks counted in: ____ out: ____")
            .to_owned(),
        tr("Bolts, guards and clear hands checked").to_owned(),
        tr("Closed height measured; shut height set; inched through empty").to_owned(),
    ];
    if !slug_stations.is_empty() {
        items.push(say!("Slugs and scrap fall free at stations {}", slug_stations.join(", ")));
    }
    items.push(tr("First strokes watched at the load reading").to_owned());
    let items: String = items.iter().map(|item| format!("<li>{}</li>", escape(item))).collect();
    format!("<ul class=\"sheet-ticks\">{items}</ul>")
}

fn cautions(job: &Job, check: &Check, units: UnitSystem) -> String {
    let items: String = words::all_cautions(job, check, units)
        .iter()
        .map(|(_, text)| format!("<li>{}</li>", escape(text)))
        .collect();
    format!("<ul class=\"sheet-ticks\">{items}</ul>")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheet_holds_no_script_and_no_inline_style() {
        for demo in evenstroke_job::demo::DEMOS {
            let job = Job::read(demo.text).expect("demo loads");
            let html = sheet_html(&job, &job.check(), UnitSystem::Metric, "3F2A-91C0");
            for forbidden in ["<script", "style=", " id=", "javascript:"] {
                assert!(!html.contains(forbidden), "{forbidden} in {}", demo.label);
            }
            assert!(html.contains("<svg"));
            assert!(html.contains("Job 3F2A-91C0"));
        }
    }

    #[test]
    fn names_from_a_file_are_shown_as_text() {
        let text = evenstroke_job::demo::DEMOS[0]
            .text
            .replacen("\"Pierce\"", "\"<img src=x onerror=alert(1)>\"", 1)
            .replacen("Gate-latch plate", "</h1><script>alert(1)</script>", 1);
        let job = Job::read(&text).expect("job loads");
        let html = sheet_html(&job, &job.check(), UnitSystem::Metric, "3F2A-91C0");
        assert!(!html.contains("<script") && !html.contains("<img"));
    }
}
