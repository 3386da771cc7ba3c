//! Advice and ranking as readable text.

use crate::text::plain;
use evenstroke_advice::{
    Advice,
    rank::{Library, Ranked},
    told::{self, Offer},
};
use evenstroke_job::{Job, units::UnitSystem, words};

const UNITS: UnitSystem = UnitSystem::Metric;

/// All advice for a job.
pub fn text(job: &Job, advice: &Advice) -> String {
    let check = job.check();
    let title = if job.title.is_empty() { "Untitled job" } else { &job.title };
    let mut lines = vec![title.to_owned()];
    if !job.press_name.is_empty() {
        lines.push(format!("in {}", job.press_name));
    }
    lines.push(String::new());
    lines.push(format!("As it stands: {}", words::verdict_words(check.verdict)));
    lines.push(format!("  {}", words::reason(job, &check, UNITS)));
    lines.push("Each proposal is for the die as it stands, and was worked out anew.".to_owned());

    for topic in told::topics(job, advice, UNITS) {
        lines.push(String::new());
        lines.push(topic.title.to_owned());
        for offer in &topic.offers {
            lines.extend(told_offer(offer));
        }
        lines.extend(topic.notes.iter().map(|note| format!("  - {note}")));
    }
    lines.push(String::new());
    lines.push(words::STANDING_CAUTIONS.last().map_or_else(String::new, |last| last.1.to_owned()));
    plain(&lines)
}

/// What to change, before and after, and what is taken for granted.
fn told_offer(offer: &Offer) -> Vec<String> {
    let first = if offer.is_first { ", named first" } else { "" };
    let mut lines = vec![format!("  {}{first}", offer.words)];
    lines.extend(offer.details.iter().map(|line| format!("    {line}")));
    let figure = |[name, before, after]: &[String; 3]| format!("    {name:<40}{before} → {after}");
    lines.extend(offer.figures.iter().map(figure));
    lines.extend(offer.assumes.iter().map(|line| format!("    taken for granted: {line}")));
    lines
}

/// Dies against presses.
pub fn rank(library: &Library, ranked: &[Vec<Ranked>]) -> String {
    let Library { dies, presses, refused } = library;
    let mut lines = Vec::new();
    for (die, ranked) in dies.iter().zip(ranked) {
        let title = if die.job.title.is_empty() { "untitled job" } else { &die.job.title };
        lines.push(format!("{title} ({})", die.source));
        for (place, row) in ranked.iter().enumerate() {
            let press = &presses[row.press];
            let told = told::ranked_words(row, UNITS);
            let worst = if told.worst.is_empty() { String::new() } else { told.worst + "; " };
            lines.push(format!(
                "  {:>3}. {:<24}{}: {worst}{}",
                place + 1,
                press.name,
                told.verdict,
                told.details.join("; ")
            ));
        }
        lines.push(String::new());
    }
    if !refused.is_empty() {
        lines.push("Refused".to_owned());
        for row in refused {
            for refusal in &row.refused.0 {
                lines.push(format!("  {}: {refusal}", row.source));
            }
        }
        lines.push(String::new());
    }
    lines.push(words::STANDING_CAUTIONS.last().map_or_else(String::new, |last| last.1.to_owned()));
    plain(&lines)
}
