//! Advice and ranking as readable text, and the folders of dies and presses.

use crate::text::plain;
use evenstroke_advice::{
    Advice, Figures, Proposal,
    placement::place_words,
    punch,
    rank::{Library, Ranked},
};
use evenstroke_job::{Job, spec::Unit, units::UnitSystem, words};
use press_load::{Force, Length, tool_shear::RoofFirst};

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

    heading(&mut lines, "Placement");
    let placement = &advice.placement;
    if let Some(shift) = &placement.shift {
        let stands = job.die.placement;
        let by = words::direction_words(shift.to.x - stands.x, shift.to.y - stands.y, UNITS);
        lines.push(format!(
            "  Move the die {}: its centre is then {}.",
            if by == "at the centre" { "by less than 0.1 mm" } else { &by },
            place_words(shift.to, UNITS)
        ));
        for gain in &shift.gains {
            lines.push(format!(
                "    {:<24}{} → {}",
                words::limit_label(gain.id),
                words::share_words(gain.before),
                words::share_words(gain.after)
            ));
        }
        told(&mut lines, &shift.proposal);
    }
    if let Some(reason) = &placement.reason {
        lines.push(format!("  None: {reason}."));
    }
    notes(&mut lines, &placement.notes);
    if let Some(cause) = &placement.cause {
        let moment = |moment: f64| UNITS.show(moment.abs() * 1e-3, Unit::Knm);
        lines.push(format!(
            "  At the best place {} tips the slide most: {} left–right, {} front–back, of {} and {} in all, at {} with {}.",
            job.stations[cause.station].name,
            moment(cause.moment.x),
            moment(cause.moment.y),
            moment(cause.all.x),
            moment(cause.all.y),
            mm(cause.height),
            words::strip_state_words(cause.strip_state)
        ));
        match &placement.balance {
            Some(balance) => {
                lines.push(format!(
                    "  A load of {} {} of the die's centre, from {} above BDC down, would balance it.",
                    kn(balance.force),
                    words::point_words(balance.at, UNITS),
                    mm(balance.from)
                ));
                told(&mut lines, &balance.proposal);
            }
            None => lines.push("  No single load on the die brings it within.".to_owned()),
        }
    }

    heading(&mut lines, "Punch steps");
    for (index, choice) in advice.steps.choices.iter().enumerate() {
        let first = if advice.steps.best == Some(index) { ", named first" } else { "" };
        lines.push(format!(
            "  {} groups, steps of {:.2} mm{first}",
            choice.levels,
            choice.step.millimetres()
        ));
        for step in &choice.steps {
            lines.push(format!(
                "    group {}: {:<32} touches at {:.2} mm{}",
                step.level + 1,
                punch::label(job, step.station, step.work),
                step.entry.millimetres(),
                if step.entry == step.before {
                    ", as now".to_owned()
                } else {
                    format!(", now {:.2} mm", step.before.millimetres())
                }
            ));
        }
        lines.push(format!(
            "    highest force when one group has been ground by itself: {}",
            kn(choice.peak_reground)
        ));
        told(&mut lines, &choice.proposal);
    }
    notes(&mut lines, &advice.steps.notes);
    if !advice.steps.exhaustive {
        lines.push(
            "  - too many punches to try all divisions: runs along four orders were tried"
                .to_owned(),
        );
    }

    heading(&mut lines, "Tool shear");
    for grind in &advice.shear.grinds {
        lines.push(format!(
            "  {}: roof of {:.1} mm {}, {} first, on the {}{}",
            punch::label(job, grind.station, grind.work),
            grind.depth.millimetres(),
            if grind.direction_deg == 0.0 { "along x" } else { "along y" },
            if grind.first == RoofFirst::Ridge { "ridge" } else { "ends" },
            match grind.on {
                press_load::cutting::ShearSide::Punch => "punch",
                press_load::cutting::ShearSide::Die => "die",
            },
            if grind.was_slope { ", in place of the slope" } else { "" }
        ));
        let now = job.stations[grind.station].work[grind.work].work.entry();
        if grind.entry != now {
            lines.push(format!(
                "    touches at {:.2} mm, now {:.2} mm, so that it gets through at BDC",
                grind.entry.millimetres(),
                now.millimetres()
            ));
        }
    }
    if let Some(proposal) = &advice.shear.proposal {
        told(&mut lines, proposal);
    }
    notes(&mut lines, &advice.shear.notes);

    heading(&mut lines, "Speed");
    match &advice.speed.words {
        Some(band) => lines.push(format!("  runs {band}")),
        None => lines.push("  neither energy nor motor says how fast it may run".to_owned()),
    }
    if let Some((rate, proposal)) = &advice.speed.proposal {
        // As finely as it takes to stay inside the band, and without the last digits of a conversion.
        let strokes = (rate.per_minute() * 1e6).round() / 1e6;
        lines.push(format!("  Run at {strokes} strokes/min."));
        told(&mut lines, proposal);
    }
    lines.push(String::new());
    lines.push(words::STANDING_CAUTIONS.last().map_or_else(String::new, |last| last.1.to_owned()));
    plain(&lines)
}

fn heading(lines: &mut Vec<String>, name: &str) {
    lines.push(String::new());
    lines.push(name.to_owned());
}

fn notes(lines: &mut Vec<String>, notes: &[String]) {
    lines.extend(notes.iter().map(|note| format!("  - {note}")));
}

fn kn(force: Force) -> String {
    UNITS.show(force.kilonewtons(), Unit::Kn)
}

fn mm(length: Length) -> String {
    UNITS.show(length.millimetres(), Unit::Mm)
}

/// Before, after and what is taken for granted.
fn told(lines: &mut Vec<String>, proposal: &Proposal) {
    for (name, figures) in [("before", &proposal.before), ("after", &proposal.after)] {
        lines.push(format!("    {name:<7} {}", figures_words(figures)));
    }
    for assumed in &proposal.assumes {
        lines.push(format!("    taken for granted: {assumed}"));
    }
}

fn figures_words(figures: &Figures) -> String {
    let mut words = format!("peak {} nominal, {} upper", kn(figures.peak), kn(figures.peak_upper));
    if let Some(reverse) = figures.reverse_upper {
        words += &format!("; reverse load {} upper, an estimate", kn(reverse));
    }
    if let Some(worst) = figures.worst {
        words += &format!(
            "; worst {} {}",
            words::limit_label(worst.id).to_lowercase(),
            words::share_words(worst.share)
        );
    }
    if let Some(balance) =
        figures.balance.filter(|balance| figures.worst.is_none_or(|worst| worst.id != balance.id))
    {
        words += &format!(
            "; {} {}",
            words::limit_label(balance.id).to_lowercase(),
            words::share_words(balance.share)
        );
    }
    words
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
            match &row.outcome {
                Ok(fit) => {
                    let worst = fit.figures.worst.map_or_else(
                        || "nothing could be checked".to_owned(),
                        |worst| {
                            format!(
                                "{} {}",
                                words::limit_label(worst.id).to_lowercase(),
                                words::share_words(worst.share)
                            )
                        },
                    );
                    let mut line = format!(
                        "  {:>3}. {:<24}{}: {worst}; best place {}",
                        place + 1,
                        press.name,
                        words::verdict_words(fit.figures.verdict),
                        words::direction_words(fit.placement.x, fit.placement.y, UNITS)
                    );
                    if !fit.open.is_empty() {
                        let open: Vec<&str> =
                            fit.open.iter().map(|&id| words::limit_label(id)).collect();
                        line += &format!("; not checked: {}", open.join(", ").to_lowercase());
                    }
                    if let Some(short) = fit.too_low {
                        line += &format!("; the die is too low by {}: parallels", mm(short));
                    }
                    if let Some(speed) = words::speed_words(&fit.speed) {
                        line += &format!("; runs {speed}");
                    }
                    if fit.speed_of_die {
                        line += "; speed of the die's own job taken";
                    }
                    lines.push(line);
                }
                Err(refused) => {
                    let why = refused.0.first().map(ToString::to_string).unwrap_or_default();
                    lines.push(format!(
                        "  {:>3}. {:<24}cannot be put in it: {why}",
                        place + 1,
                        press.name
                    ));
                }
            }
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
