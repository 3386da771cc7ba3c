//! The last good set-up, and what is signed.

use super::{Card, Table, hanging::air_words};
use crate::{
    Job,
    record::{Peaks, SetupEntry, taken_off},
    spec::Unit,
    units::UnitSystem,
    words::{self, fine_length},
};
use evenstroke_language::{say, tr};
use press_load::Force;

/// The last good set-up and whether it still holds; nothing where the record is empty.
pub fn last_good_card(job: &Job, units: UnitSystem) -> Option<Card> {
    let record = &job.setup.record;
    if record.is_empty() {
        return None;
    }
    let mut card = Card::new("last_good", tr("Last good set-up"));
    let Some(standing) = job.last_good_setup(units) else {
        card.missing(
            "holds",
            tr("Still holds"),
            tr("the record has no set-up that is marked as good"),
        );
        remarks(job, &mut card, units);
        return Some(card);
    };
    let entry = &record.setups[standing.setup];
    let holds = match (standing.holds(), standing.not_compared.is_empty()) {
        (false, _) => tr("void"),
        (true, true) => tr("nothing that was compared has changed"),
        (true, false) => tr("nothing that could be compared has changed"),
    };
    card.text("holds", tr("Still holds"), holds);
    card.text("when", tr("Set"), when_and_who(&entry.day.to_string(), &entry.time, &entry.set_by));
    if !entry.press.is_empty() {
        card.text("press", tr("In"), entry.press.clone());
    }
    if let Some(height) = entry.shut_height {
        card.number_as(
            "shut_height_mm",
            tr("Closed height then"),
            height.millimetres(),
            Unit::Mm,
            fine_length(height, units),
        );
    }
    if let Some(setting) = entry.slide_setting {
        card.number_as(
            "slide_setting_mm",
            tr("Slide set to"),
            setting.millimetres(),
            Unit::Mm,
            fine_length(setting, units),
        );
    }
    if let Some((x, y)) = entry.place {
        card.text("place", tr("Die centre"), words::direction_words(x, y, units));
    }
    if let Some(pressure) = entry.counterbalance {
        card.number_as(
            "counterbalance_mpa",
            tr("Counterbalance"),
            pressure.megapascals(),
            Unit::Mpa,
            air_words(pressure, units),
        );
    }
    if let Some(speed) = entry.speed_spm {
        card.number("speed_spm", tr("Speed"), speed, Unit::Spm, units);
    }
    if let Some(text) = peaks_words(&entry.peaks, units) {
        card.text("peaks", tr("Read then"), text);
    }
    if !entry.remark.is_empty() {
        card.text("remark", tr("Remark"), entry.remark.clone());
    }
    for reason in &standing.void {
        card.say(say!("Void: {}. Then {}, now {}.", reason.what.label(), reason.then, reason.now));
    }
    if !standing.not_compared.is_empty() {
        let open: Vec<&str> = standing.not_compared.iter().map(|what| what.label()).collect();
        card.say(say!("Not recorded on one side, so look yourself: {}?", open.join(", ")));
    }
    remarks(job, &mut card, units);
    Some(card)
}

/// Readings and remarks, the latest first.
fn remarks(job: &Job, card: &mut Card, units: UnitSystem) {
    let record = &job.setup.record;
    let mut rows: Vec<(String, Vec<String>)> = Vec::new();
    let mut add = |day: String, what: &str, text: String| {
        rows.push((day.clone(), vec![day, what.to_owned(), text]))
    };
    for reading in &record.readings {
        let text = peaks_words(&reading.peaks, units).unwrap_or_default();
        add(format!("{} {}", reading.day, reading.time).trim_end().to_owned(), tr("read"), text);
    }
    for (day, amount) in &record.grinds {
        add(day.to_string(), tr("ground"), taken_off(*amount, units));
    }
    for (day, what) in &record.repairs {
        add(day.to_string(), tr("repaired"), what.clone());
    }
    for (day, height) in &record.shut_heights {
        add(day.to_string(), tr("closed height"), fine_length(*height, units));
    }
    for (day, text, by) in &record.remarks {
        add(
            day.to_string(),
            tr("remark"),
            if by.is_empty() { text.clone() } else { format!("{text} ({by})") },
        );
    }
    if rows.is_empty() {
        return;
    }
    // Days written year first sort as text; of one day the order of the lists stays.
    rows.sort_by(|a, b| b.0.cmp(&a.0));
    card.table = Some(Table {
        head: vec![tr("when"), tr("what"), ""],
        rows: rows.into_iter().map(|row| row.1).collect(),
    });
}

fn peaks_words(peaks: &Peaks, units: UnitSystem) -> Option<String> {
    let kn = |force: Force| units.show(force.kilonewtons(), Unit::Kn);
    let mut parts = Vec::new();
    if let Some(total) = peaks.total {
        parts.push(say!("peak {}", kn(total)));
    }
    if !peaks.points.is_empty() {
        let points: Vec<String> = peaks.points.iter().map(|force| kn(*force)).collect();
        parts.push(say!("points {}", points.join(", ")));
    }
    if let Some(reverse) = peaks.reverse {
        parts.push(say!("reverse {}", kn(reverse)));
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}

fn when_and_who(day: &str, time: &str, who: &str) -> String {
    let who = if who.is_empty() { tr("name not recorded").to_owned() } else { say!("by {}", who) };
    format!("{day} {time}").trim_end().to_owned() + ", " + &who
}

/// What is signed at a set-up: the latest entry of the record where there is one, lines to fill in otherwise.
///
/// Two names with date and time, the guards tested, the first part, the safety blocks counted; neutral to
/// country, as the rules that ask for them differ.
pub fn signing_card(job: &Job) -> Card {
    let mut card = Card::new("signing", tr("Signed"));
    let latest = job.setup.record.setups.iter().enumerate();
    let latest = latest
        .max_by_key(|(index, setup)| (setup.day, setup.time.clone(), *index))
        .map(|found| found.1);
    let open = tr("to be filled in");
    let mut line = |key, label: &str, text: Option<String>| match text {
        Some(text) => card.text(key, label, text),
        None => card.missing(key, label, open),
    };
    let named =
        |of: fn(&SetupEntry) -> &String| latest.map(of).filter(|name| !name.is_empty()).cloned();
    line(
        "date",
        tr("Date and time"),
        latest.map(|setup| format!("{} {}", setup.day, setup.time).trim_end().to_owned()),
    );
    line("set_by", tr("Set by"), named(|setup| &setup.set_by));
    line("checked_by", tr("Checked by"), named(|setup| &setup.checked_by));
    let tested = named(|setup| &setup.guards_tested_by).map(|by| {
        match latest.map_or("", |setup| setup.guards_tested_at.as_str()) {
            "" => by,
            at => format!("{by}, {at}"),
        }
    });
    line("guards", tr("Guards tested by, at"), tested);
    let first_off = latest.and_then(|setup| {
        Some(match (setup.first_off?, setup.first_off_by.as_str()) {
            (true, "") => tr("accepted").to_owned(),
            (false, "") => tr("rejected").to_owned(),
            (true, by) => say!("accepted by {}", by),
            (false, by) => say!("rejected by {}", by),
        })
    });
    line("first_off", tr("First part"), first_off);
    let (put_in, out) = latest.map_or((None, None), |setup| (setup.blocks_in, setup.blocks_out));
    let blocks = put_in.or(out).map(|_| {
        let put_in = match put_in {
            Some(count) => say!("{} in", count),
            None => tr("in not counted").to_owned(),
        };
        let out = match out {
            Some(count) => say!("{} out", count),
            None => tr("out not counted").to_owned(),
        };
        format!("{put_in}, {out}")
    });
    line("blocks", tr("Safety blocks in and out"), blocks);
    match (put_in, out) {
        (Some(put_in), Some(out)) if out < put_in => {
            let left = put_in - out;
            card.say(match left {
                1 => tr("1 safety block is still in the press: no stroke before it is out.")
                    .to_owned(),
                _ => say!(
                    "{} safety blocks are still in the press: no stroke before they are out.",
                    left
                ),
            });
        }
        (Some(1..), None) => {
            card.say(tr(
                "Safety blocks went in and none is counted out: no stroke before all are out.",
            ));
        }
        _ => {}
    }
    if let Some(setup) = latest
        && !setup.set_by.is_empty()
        && setup.set_by.trim().eq_ignore_ascii_case(setup.checked_by.trim())
    {
        card.say(tr(
            "Set and checked by the same person: another pair of eyes sees what haste hides.",
        ));
    }
    card.say(tr("Void if the die is ground or repaired, or runs in another press, other stock or at another speed. Guards are tested again after every resetting, and as often as local rules ask."));
    card
}
