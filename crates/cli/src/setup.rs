//! What a die needs of any press, and what a set-up needs beside the check.

use crate::{Stop, print, read_job, text::plain};
use evenstroke_job::{
    Job,
    cards::{Card, NeedRecord, SetupReport, need_card, setup_cards},
    units::UnitSystem,
    words::state_word,
};
use evenstroke_language::{say, tr};
use press_load::State;
use std::{path::Path, process::ExitCode};

/// What the die of a job file needs of any press.
pub fn need(path: &Path, json: bool) -> Result<ExitCode, Stop> {
    let job = read_job(path)?;
    print(&if json {
        NeedRecord::new(&job).to_json() + "\n"
    } else {
        let mut lines = title(&job);
        lines.extend(card_lines(&need_card(&job, UnitSystem::Metric)));
        plain(&lines)
    })?;
    Ok(ExitCode::SUCCESS)
}

/// The cards of a set-up.
pub fn setup(path: &Path, json: bool) -> Result<ExitCode, Stop> {
    let job = read_job(path)?;
    let check = job.check();
    print(&if json {
        SetupReport::new(&job, &check).to_json() + "\n"
    } else {
        let mut lines = title(&job);
        for card in setup_cards(&job, &check, UnitSystem::Metric) {
            lines.extend(card_lines(&card));
            lines.push(String::new());
        }
        lines.pop();
        plain(&lines)
    })?;
    Ok(ExitCode::SUCCESS)
}

fn title(job: &Job) -> Vec<String> {
    let title = if job.title.is_empty() { tr("Untitled job") } else { &job.title };
    let mut lines = vec![title.to_owned()];
    if !job.press_name.is_empty() {
        lines.push(say!("in {}", job.press_name));
    }
    lines.push(String::new());
    lines
}

/// The word for a state's key.
fn words_of(key: &str) -> &'static str {
    [State::Within, State::Near, State::Over, State::NotChecked]
        .into_iter()
        .find(|state| state.key() == key)
        .map_or("", state_word)
}

/// A card as lines: rows, table, sentences.
fn card_lines(card: &Card) -> Vec<String> {
    let mut lines = vec![card.title.to_owned()];
    let widest = card.rows.iter().map(|row| row.label.chars().count()).max().unwrap_or(0);
    for row in &card.rows {
        let state = row.state.map_or(String::new(), |state| format!(" ({})", words_of(state)));
        let open = if row.is_missing { "? " } else { "" };
        lines.push(format!("  {:<widest$}  {open}{}{state}", row.label, row.text));
    }
    if let Some(table) = &card.table
        && !table.rows.is_empty()
    {
        let widths: Vec<usize> = (0..table.head.len())
            .map(|column| {
                let cells = table.rows.iter().filter_map(|row| row.get(column));
                let head = table.head[column].chars().count();
                cells.map(|cell| cell.chars().count()).max().unwrap_or(0).max(head)
            })
            .collect();
        let line = |cells: Vec<&str>| {
            let padded = cells.iter().zip(&widths).map(|(cell, width)| format!("{cell:<width$}"));
            format!("  {}", padded.collect::<Vec<_>>().join("  ")).trim_end().to_owned()
        };
        lines.push(line(table.head.clone()));
        lines.extend(table.rows.iter().map(|row| line(row.iter().map(String::as_str).collect())));
    }
    lines.extend(card.sentences.iter().map(|sentence| format!("  - {sentence}")));
    lines
}
