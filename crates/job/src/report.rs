//! The report: what the command prints as JSON, version 1.

use crate::{
    Job,
    sensitivity::{self, Movers, MoversRow},
    units::UnitSystem,
    what_if::{self, WhatIf, WhatIfRow},
    words,
};
use press_load::{Check, Force, Limit, Peak, State, StrokeRate};
use serde::Serialize;

/// What a report calls itself.
pub const FORMAT: &str = "evenstroke-report";
/// Its version.
pub const VERSION: u32 = 1;

/// The whole report; names and units are a contract.
#[derive(Clone, Debug, Serialize)]
pub struct Report {
    format: &'static str,
    version: u32,
    verdict: &'static str,
    peak: PeakRow,
    peak_upper: PeakRow,
    energy_j: f64,
    energy_upper_j: f64,
    stripping_kn: f64,
    /// An estimate; nothing where the press's mass, stiffness or motion is not known.
    reverse_kn: Option<f64>,
    speed: SpeedRow,
    /// How much the press opens; nothing where its stiffness is not known.
    stretch: Option<StretchRow>,
    /// What this coil asks, where its numbers are entered.
    #[serde(skip_serializing_if = "Option::is_none")]
    coil: Option<CoilRow>,
    limits: Vec<LimitRow>,
    cautions: Vec<CautionRow>,
    curve: Vec<CurveRow>,
}

/// Position 0, 0 where no force acts.
#[derive(Clone, Copy, Debug, Default, Serialize)]
struct PeakRow {
    force_kn: f64,
    height_mm: f64,
    x_mm: f64,
    y_mm: f64,
}

/// Strokes per minute at which the die runs, and slide speed where it first touches.
#[derive(Clone, Copy, Debug, Serialize)]
struct SpeedRow {
    lowest_spm: Option<f64>,
    highest_spm: Option<f64>,
    contact_height_mm: Option<f64>,
    contact_mm_per_s: Option<f64>,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct StretchRow {
    at_peak_mm: f64,
    at_bdc_mm: f64,
}

/// The coil's own numbers with worn edges.
#[derive(Clone, Debug, Serialize)]
struct CoilRow {
    certificate: String,
    date: String,
    thickness_mm: Option<f64>,
    tensile_mpa: Option<f64>,
    yield_mpa: Option<f64>,
    verdict: &'static str,
    peak: PeakRow,
    energy_j: f64,
    /// The limit that it uses most; nothing if none could be checked.
    worst: Option<WorstRow>,
    /// Why the die cannot work it.
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<String>,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct WorstRow {
    limit: &'static str,
    state: &'static str,
    share: f64,
}

#[derive(Clone, Debug, Serialize)]
struct LimitRow {
    id: &'static str,
    state: &'static str,
    share: Option<f64>,
    demand: Option<f64>,
    limit: Option<f64>,
    unit: &'static str,
    at_height_mm: Option<f64>,
    strip_state: Option<String>,
    /// Whether it is an estimate.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    estimate: bool,
    /// What has to be fetched, where not checked.
    #[serde(skip_serializing_if = "Option::is_none")]
    missing: Option<&'static str>,
    /// What the press would have to give in `unit`, where not checked and known.
    #[serde(skip_serializing_if = "Option::is_none")]
    needs: Option<f64>,
    /// The same in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    needs_text: Option<String>,
}

#[derive(Clone, Debug, Serialize)]
struct CautionRow {
    id: &'static str,
    text: String,
    /// The field that it is about, what the job allows there, and what was given.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    place: Option<PlaceRow>,
}

#[derive(Clone, Debug, Serialize)]
struct PlaceRow {
    field: &'static str,
    allowed: String,
    given: String,
}

#[derive(Clone, Copy, Debug, Serialize)]
struct CurveRow {
    height_mm: f64,
    force_kn: f64,
    upper_kn: f64,
    /// Nothing where the press's capacity is not known.
    available_kn: Option<f64>,
    x_mm: f64,
    y_mm: f64,
}

impl Report {
    /// The report of a checked job.
    pub fn new(job: &Job, check: &Check) -> Self {
        Self {
            format: FORMAT,
            version: VERSION,
            verdict: check.verdict.key(),
            peak: check.peak.map_or_else(PeakRow::default, peak_row),
            peak_upper: check.peak_upper.map_or_else(PeakRow::default, peak_row),
            energy_j: check.energy.joules(),
            energy_upper_j: check.energy_upper.joules(),
            stripping_kn: check.stripping.kilonewtons(),
            reverse_kn: check.reverse.map(Force::kilonewtons),
            speed: SpeedRow {
                lowest_spm: check.speed.lowest.map(StrokeRate::per_minute),
                highest_spm: check.speed.highest.map(StrokeRate::per_minute),
                contact_height_mm: check.speed.at_contact.map(|contact| contact.0.millimetres()),
                contact_mm_per_s: check.speed.at_contact.map(|contact| contact.1 * 1e3),
            },
            stretch: check.stretch.map(|stretch| StretchRow {
                at_peak_mm: stretch.at_peak.millimetres(),
                at_bdc_mm: stretch.at_bdc.millimetres(),
            }),
            coil: coil_row(job),
            limits: check.limits.iter().map(limit_row).collect(),
            cautions: caution_rows(job, check),
            curve: check.curve.iter().map(curve_row).collect(),
        }
    }

    /// As JSON text.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}

/// The report with what moves each limit and what would be if, which take a while to work out.
#[derive(Clone, Debug, Serialize)]
pub struct VariedReport {
    #[serde(flatten)]
    report: Report,
    sensitivity: Vec<MoversRow>,
    what_if: WhatIfRow,
}

impl VariedReport {
    /// The report of a checked job with its answers.
    pub fn new(job: &Job, check: &Check, movers: &[Movers], what_if: &WhatIf) -> Self {
        Self {
            report: Report::new(job, check),
            sensitivity: sensitivity::rows(movers),
            what_if: what_if::row(job, what_if),
        }
    }

    /// As JSON text.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}

fn peak_row(peak: Peak) -> PeakRow {
    PeakRow {
        force_kn: peak.force.kilonewtons(),
        height_mm: peak.height.millimetres(),
        x_mm: peak.centre.x * 1e3,
        y_mm: peak.centre.y * 1e3,
    }
}

fn coil_row(job: &Job) -> Option<CoilRow> {
    let coil = job.coil.as_ref()?;
    let (check, error) = match job.check_coil()? {
        Ok(check) => (Some(check), None),
        Err(error) => (None, Some(error.to_string())),
    };
    let check = check.as_ref();
    Some(CoilRow {
        certificate: coil.certificate.clone(),
        date: coil.date.clone(),
        thickness_mm: coil.thickness_m.map(|metres| metres * 1e3),
        tensile_mpa: coil.tensile_pa.map(|pascals| pascals * 1e-6),
        yield_mpa: coil.yield_pa.map(|pascals| pascals * 1e-6),
        verdict: check.map_or(State::NotChecked, |check| check.verdict).key(),
        peak: check.and_then(|check| check.peak_upper).map_or_else(PeakRow::default, peak_row),
        energy_j: check.map_or(0.0, |check| check.energy_upper.joules()),
        worst: check.and_then(|check| {
            let limit = *words::worst_first(check).first()?;
            Some(WorstRow {
                limit: limit.id.key(),
                state: limit.state.key(),
                share: finite(limit.outcome.ok()?.share),
            })
        }),
        error,
    })
}

fn caution_rows(job: &Job, check: &Check) -> Vec<CautionRow> {
    let units = UnitSystem::Metric;
    let outside = job.coil_outside_range();
    // They come in the order in which their texts do.
    let mut outside = outside.iter();
    words::all_cautions(job, check, units)
        .into_iter()
        .map(|(id, text)| {
            let row = if id == words::COIL_OUTSIDE_RANGE { outside.next() } else { None };
            let place = row.map(|row| {
                let (allowed, given) = words::outside_range_words(row, units);
                PlaceRow { field: row.field, allowed, given }
            });
            CautionRow { id, text, place }
        })
        .collect()
}

/// JSON has no infinity: a demand against a limit of nothing is a very large share.
pub const fn finite(value: f64) -> f64 {
    value.clamp(-1e12, 1e12)
}

fn limit_row(limit: &Limit) -> LimitRow {
    let used = limit.outcome.ok();
    LimitRow {
        id: limit.id.key(),
        state: limit.state.key(),
        share: used.map(|used| finite(used.share)),
        demand: used.map(|used| finite(used.demand)),
        limit: used.map(|used| finite(used.limit)),
        unit: limit.unit.symbol(),
        at_height_mm: used.and_then(|used| used.at_height).map(|height| height.millimetres()),
        strip_state: used.map(|used| used.strip_state.to_string()),
        estimate: limit.id.is_estimate(),
        missing: limit.outcome.err().map(press_load::Missing::text),
        needs: limit.needs.map(|needs| finite(needs.demand)),
        needs_text: words::needs_words(limit, UnitSystem::Metric),
    }
}

fn curve_row(row: &press_load::check::CurveRow) -> CurveRow {
    let centre = row.centre.unwrap_or_default();
    CurveRow {
        height_mm: row.height.millimetres(),
        force_kn: row.force.kilonewtons(),
        upper_kn: row.upper.kilonewtons(),
        available_kn: row.available.map(Force::kilonewtons),
        x_mm: centre.x * 1e3,
        y_mm: centre.y * 1e3,
    }
}

/// The curve as comma-separated values with a heading.
pub fn curve_csv(check: &Check) -> String {
    let mut csv = String::from("height_mm,force_kn,upper_kn,available_kn,x_mm,y_mm\n");
    for row in check.curve.iter().map(curve_row) {
        let available = row.available_kn.map(|kn| kn.to_string()).unwrap_or_default();
        csv += &format!(
            "{},{},{},{available},{},{}\n",
            row.height_mm, row.force_kn, row.upper_kn, row.x_mm, row.y_mm
        );
    }
    csv
}
