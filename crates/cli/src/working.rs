//! How the numbers of a check come about.

use crate::{Stop, exit_code, print, read_job, text::plain};
use evenstroke_job::{
    Job,
    units::UnitSystem,
    words,
    working::{LAWS, Law, Working, law_lines, lines, of_limit, of_work},
};
use press_load::LimitId;
use serde_json::{Value, json};
use std::{path::Path, process::ExitCode};

/// The steps behind every limit and every operation of a job file.
pub fn working(path: &Path, as_json: bool) -> Result<ExitCode, Stop> {
    let job = read_job(path)?;
    let check = job.check();
    let limits = LimitId::ALL.map(|id| (id, of_limit(&job, &check, job.die.placement, id)));
    let works = works(&job);
    let is_used = |law: &Law| {
        let all = limits.iter().map(|limit| &limit.1).chain(works.iter().map(|work| &work.2));
        all.flatten().any(|step| std::ptr::eq(step.law, law))
    };
    print(&if as_json {
        let limits: Vec<Value> = limits
            .iter()
            .map(|(id, steps)| json!({"id": id.key(), "steps": rows(steps)}))
            .collect();
        let works: Vec<Value> = works
            .iter()
            .map(|(station, work, steps)| {
                json!({"path": format!("stations[{station}].work[{work}]"), "steps": rows(steps)})
            })
            .collect();
        let report = json!({
            "format": "evenstroke-working", "version": 1, "limits": limits, "operations": works
        });
        format!("{report:#}\n")
    } else {
        let mut out = Vec::new();
        for (id, steps) in &limits {
            let words = words::limit_words(&job, &check, check.limit(*id), UnitSystem::Metric);
            out.push(format!("{}: {words}", words::limit_label(*id)));
            push_steps(&mut out, steps);
        }
        for (station, work, steps) in &works {
            let name = &job.stations[*station].name;
            out.push(format!("Station {} {name}, work {}: highest force", station + 1, work + 1));
            push_steps(&mut out, steps);
        }
        out.push("The laws: what they take for granted, where they hold, who says so".to_owned());
        for law in LAWS.iter().filter(|law| is_used(law)) {
            out.extend(law_lines(law).into_iter().map(|line| format!("  {line}")));
        }
        plain(&out)
    })?;
    Ok(exit_code(check.verdict))
}

/// Station, work and steps of every operation.
fn works(job: &Job) -> Vec<(usize, usize, Vec<Working>)> {
    let stations = job.stations.iter().enumerate();
    let places =
        stations.flat_map(|(station, of)| (0..of.work.len()).map(move |work| (station, work)));
    places.map(|(station, work)| (station, work, of_work(job, station, work))).collect()
}

fn push_steps(out: &mut Vec<String>, steps: &[Working]) {
    out.extend(lines(steps, UnitSystem::Metric).into_iter().map(|line| format!("  {line}")));
    out.push(String::new());
}

/// Numbers unrounded, in the units of the file; what is not finite is null.
fn rows(steps: &[Working]) -> Value {
    steps
        .iter()
        .map(|step| {
            let law = step.law;
            let put_in: Vec<Value> = law.symbols[1..]
                .iter()
                .zip(&step.put_in)
                .map(|(symbol, values)| {
                    let unit = step.told_in.unwrap_or(symbol.unit);
                    json!({"symbol": symbol.sign, "meaning": symbol.meaning,
                           "unit": unit.symbol(), "values": values})
                })
                .collect();
            json!({
                "law": law.key, "title": law.title, "formula": law.formula, "note": step.note,
                "put_in": put_in, "rows": step.rows, "result": step.result,
                "unit": law.symbols[0].unit.symbol(), "source": law.source
            })
        })
        .collect()
}
