//! What if: the mishaps of the press room and the next order, each worked out for this die.
//!
//! Every case changes the job and asks the same questions again: the load on the press and on each
//! suspension point, the work, the reverse load, which limits break that did not before, and whether
//! a load alarm would notice. An alarm compares with what the display shows on a good day, which is
//! the nominal line with the strip full; limits are judged on the upper line as always.
//!
//! How a case changes the die is our own form, said at each [`Case`]; nothing in print gives one.

use crate::{
    Job,
    materials::{MATERIALS, Material},
    report::finite,
    sensitivity::{each_cut, shift_entries},
    words,
};
use evenstroke_language::{marked, say, tr};
use press_load::{
    Check, Energy, Force, Length, LimitId, Line, PlacedWork, Range, State, Stock, StripState, Work,
    cutting::CutKind, order, press::Suspension,
};
use serde::Serialize;

/// Cutting force with dull edges over that with sharp ones: the upper end of [`DULL_SOURCE`].
pub const DULL: f64 = 1.3;
/// Where [`DULL`] comes from.
pub const DULL_SOURCE: &str = marked(
    "dull edges take 15 to 30 % more force (press-tool calculation notes on scribd.com, web note)",
);

/// Band of a load alarm where none is given, above and below the normal peak, in percent: the wide
/// ends of +10 to 15 % and −15 to 20 % that a forum post on load monitors gives (servopress.club,
/// "How to read a servo press tonnage monitor"). Common practice, thinly sourced.
pub const DEFAULT_ALARM_PERCENT: (f64, f64) = (15.0, 20.0);

/// Strength of the next grade up over this one, where the library knows none (common practice, no
/// source: a step of a grade of high-strength steel is about a quarter).
pub const NEXT_GRADE_RATIO: f64 = 1.25;
/// A grade that is stronger by less than this is the same to a press.
const LEAST_STEP: f64 = 1.05;

/// More cases of one kind than this are not worked out: no die has as many punches of its own entry.
const MOST_CASES: usize = 60;

/// Band outside which a load alarm stops the press.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlarmBand {
    /// Above the normal peak, as a share of it.
    pub high: f64,
    /// Below the normal peak, as a share of it.
    pub low: f64,
    /// Whether nobody entered it, at least one of the two.
    pub assumed: bool,
}

/// What might happen.
#[derive(Clone, Debug, PartialEq)]
pub enum Case {
    /// Two thicknesses in one station: start-up scrap, or a part that was not ejected.
    ///
    /// Both sheets are worked at once, the upper one against the lower, so that everything done to
    /// stock there is done twice, and tools and pads of the station touch one thickness earlier. What
    /// is squeezed carries the same force through both. What a gap made for one thickness adds is
    /// left out.
    DoubleMetal {
        /// Index of the station.
        station: usize,
    },
    /// Stock of the next grade up: tensile, shear and yield strength and K higher in proportion.
    NextGradeUp {
        /// Strength over that of this grade.
        ratio: f64,
        /// The grade, where the library knows one.
        grade: Option<String>,
    },
    /// The thickest coil that the tolerance lets through.
    ThickestCoil,
    /// All edges dull.
    DullEdges {
        /// Cutting force over that with sharp edges.
        factor: f64,
    },
    /// A punch is broken or pulled: its cut is not made.
    PunchMissing {
        /// Index of the station.
        station: usize,
        /// Index of the cut in its work.
        work: usize,
    },
    /// A slug lies on the stock and is cut once more with it: that cut is made twice at once, one
    /// thickness earlier. It is not stripped twice.
    SlugLeftIn {
        /// Index of the station.
        station: usize,
        /// Index of the cut in its work.
        work: usize,
    },
}

/// Where a load display reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The whole press.
    Total,
    /// The left one of two points.
    Left,
    /// The right one of two points.
    Right,
    /// One of four points.
    FrontLeft,
    /// One of four points.
    FrontRight,
    /// One of four points.
    BackLeft,
    /// One of four points.
    BackRight,
}

/// What a load alarm does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Alarm {
    /// Nothing.
    Silent,
    /// Stops the press for too much force.
    High,
    /// Stops the press for too little force.
    Low,
}

/// The peak that a display shows at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Where.
    pub place: Place,
    /// On a good day.
    pub normal: Force,
    /// In this case.
    pub now: Force,
    /// What an alarm there does.
    pub alarm: Alarm,
}

/// What a die asks, on both lines.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// Nominal peak at every place that a display may read, the whole press first.
    pub peaks: Vec<(Place, Force)>,
    /// Upper peak.
    pub peak_upper: Force,
    /// Nominal work per stroke.
    pub energy: Energy,
    /// Work per stroke on the upper line.
    pub energy_upper: Energy,
    /// Nominal reverse load, an estimate, where it can be made.
    pub reverse: Option<Force>,
    /// The verdict.
    pub verdict: State,
}

/// A case worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// What might happen.
    pub case: Case,
    /// What the die asks then.
    pub figures: Figures,
    /// What the display shows then, and what its alarm does.
    pub readings: Vec<Reading>,
    /// Limits that are over and were not before.
    pub breaks: Vec<LimitId>,
}

/// All cases.
#[derive(Clone, Debug, PartialEq)]
pub struct WhatIf {
    /// Band of the load alarm.
    pub band: AlarmBand,
    /// What the die asks on a good day.
    pub normal: Figures,
    /// The cases, in the order of [`cases`].
    pub outcomes: Vec<Outcome>,
    /// Punches beyond the most that are worked out, which are left out.
    pub left_out: usize,
}

impl AlarmBand {
    /// The band of a job.
    pub fn of(job: &Job) -> Self {
        let (high, low) = (job.settings.alarm_high, job.settings.alarm_low);
        Self {
            high: high.unwrap_or(DEFAULT_ALARM_PERCENT.0 / 100.0),
            low: low.unwrap_or(DEFAULT_ALARM_PERCENT.1 / 100.0),
            assumed: high.is_none() || low.is_none(),
        }
    }

    /// What an alarm with this band does, set while the peak was `normal`.
    pub fn alarm(&self, normal: Force, now: Force) -> Alarm {
        // What lies on the band does not pass it, whatever its last digit.
        let rounding = normal.abs() * 1e-9;
        if now > normal * (1.0 + self.high) + rounding {
            Alarm::High
        } else if now < normal * (1.0 - self.low) - rounding {
            Alarm::Low
        } else {
            Alarm::Silent
        }
    }
}

impl Outcome {
    /// Whether any alarm notices.
    pub fn is_noticed(&self) -> bool {
        self.readings.iter().any(|reading| reading.alarm != Alarm::Silent)
    }
}

impl Figures {
    /// What a checked job asks.
    pub fn of(job: &Job, check: &Check) -> Self {
        let force = |peak: Option<press_load::Peak>| peak.map_or(Force::ZERO, |peak| peak.force);
        Self {
            peaks: peaks(job, Line::Nominal),
            peak_upper: force(check.peak_upper),
            energy: check.energy,
            energy_upper: check.energy_upper,
            reverse: check.reverse,
            verdict: check.verdict,
        }
    }
}

/// Peaks on a line with the strip full, where the die stands, of the whole press and of each suspension
/// point. A rigid slide: two points carry `½ ± x/span`, four the product of the parts in both
/// directions.
pub fn peaks(job: &Job, line: Line) -> Vec<(Place, Force)> {
    let placement = job.die.placement.motion();
    let total = job.stroke.line(line).total(StripState::Full, &placement);
    let highest = |share: &dyn Fn(f64, f64) -> f64| {
        let parts = (0..total.force.len()).map(|i| {
            let force = total.force[i];
            if force > 0.0 {
                force * share(total.moment_x[i] / force, total.moment_y[i] / force)
            } else {
                0.0
            }
        });
        Force::from_newtons(parts.fold(0.0, f64::max))
    };
    let mut found = vec![(Place::Total, highest(&|_, _| 1.0))];
    let right = |x: f64, span: Length| 0.5 + x / span.metres();
    match job.press.suspension {
        None | Some(Suspension::OnePoint) => {}
        Some(Suspension::TwoPoint { span_x }) => {
            found.push((Place::Left, highest(&|x, _| right(-x, span_x))));
            found.push((Place::Right, highest(&|x, _| right(x, span_x))));
        }
        Some(Suspension::FourPoint { span_x, span_y }) => {
            for (place, side, depth) in [
                (Place::FrontLeft, -1.0, -1.0),
                (Place::FrontRight, 1.0, -1.0),
                (Place::BackLeft, -1.0, 1.0),
                (Place::BackRight, 1.0, 1.0),
            ] {
                let share = |x, y| right(side * x, span_x) * right(depth * y, span_y);
                found.push((place, highest(&share)));
            }
        }
    }
    found
}

/// The cases of a job: double metal at its worst station, the next grade up, the thickest coil, dull
/// edges, each punch missing, each slug left in; and how many punches and slugs are left out.
pub fn cases(job: &Job, check: &Check) -> (Vec<Case>, usize) {
    let mut found = Vec::new();
    found.extend(worst_double_metal(job, check));
    let (ratio, grade) = next_grade(&job.material);
    found.push(Case::NextGradeUp { ratio, grade });
    let has_tolerance = |stock: &Stock| stock.thickness_m.high() > stock.thickness_m.low();
    if has_tolerance(&job.stock)
        || job.stations.iter().filter_map(|s| s.stock.as_ref()).any(has_tolerance)
    {
        found.push(Case::ThickestCoil);
    }
    let mut punches = Vec::new();
    let mut slugs = Vec::new();
    let mut dullest = DULL;
    for (station, found) in job.stations.iter().enumerate() {
        for (work, placed) in found.work.iter().enumerate() {
            if let Work::Cut(cut) = &placed.work {
                dullest = dullest.max(cut.wear_factor);
                punches.push(Case::PunchMissing { station, work });
                // An open cut frees no slug, and what trimming and shaving free is a ring.
                if cut.outline.is_closed() && matches!(cut.kind, CutKind::Pierce | CutKind::Blank) {
                    slugs.push(Case::SlugLeftIn { station, work });
                }
            }
        }
    }
    if !punches.is_empty() {
        found.push(Case::DullEdges { factor: dullest });
    }
    let left_out = [&punches, &slugs].map(|all| all.len().saturating_sub(MOST_CASES));
    for all in [punches, slugs] {
        found.extend(all.into_iter().take(MOST_CASES));
    }
    (found, left_out[0] + left_out[1])
}

/// Double metal at the station where it brings a limit highest.
fn worst_double_metal(job: &Job, check: &Check) -> Option<Case> {
    let working =
        |index: &usize| job.stations[*index].work.iter().any(|placed| placed.work.needs_stock());
    // The stations with the largest forces come first, should there be too many to try them all.
    let forces: Vec<f64> = job
        .stroke
        .upper
        .stations
        .iter()
        .map(|curve| curve.with_stock.force.iter().copied().fold(0.0, f64::max))
        .collect();
    let tried: Vec<Case> = order::falling(&forces)
        .into_iter()
        .filter(working)
        .take(MOST_CASES)
        .map(|station| Case::DoubleMetal { station })
        .collect();
    let scores: Vec<f64> = tried.iter().map(|case| score(job, check, case)).collect();
    let worst = *order::falling(&scores).first()?;
    tried.into_iter().nth(worst)
}

/// Largest share among the limits that a case moves; of equal ones the larger peak counts.
fn score(job: &Job, before: &Check, case: &Case) -> f64 {
    let Some(changed) = case.apply(job) else { return 0.0 };
    let after = changed.check();
    let share = |limit: &press_load::Limit| limit.outcome.map_or(0.0, |used| finite(used.share));
    let moved = before.limits.iter().zip(&after.limits).filter_map(|(before, after)| {
        let share_now = share(after);
        (share_now > share(before) + 1e-12).then_some(share_now)
    });
    let peak = after.peak_upper.map_or(0.0, |peak| peak.force.newtons());
    moved.fold(0.0, f64::max) + 1e-15 * peak
}

/// The next grade up in the library: of the same group the least strong one that is stronger by a
/// step worth naming, and how much stronger, by the middles of their ranges.
pub fn next_grade(material: &str) -> (f64, Option<String>) {
    let middle = |material: &Material| 0.5 * (material.tensile_mpa.0 + material.tensile_mpa.1);
    let name = material.trim();
    let known = MATERIALS.iter().find(|row| row.name() == name || row.designation == name);
    let mut next: Option<(f64, &Material)> = None;
    for row in MATERIALS {
        let Some(known) = known.filter(|known| known.group == row.group) else { continue };
        let ratio = middle(row) / middle(known);
        if ratio >= LEAST_STEP && next.is_none_or(|(least, _)| ratio < least) {
            next = Some((ratio, row));
        }
    }
    next.map_or((NEXT_GRADE_RATIO, None), |(ratio, row)| (ratio, Some(row.name())))
}

impl Case {
    /// Its name in files.
    pub const fn key(&self) -> &'static str {
        match self {
            Self::DoubleMetal { .. } => "double_metal",
            Self::NextGradeUp { .. } => "next_grade_up",
            Self::ThickestCoil => "thickest_coil",
            Self::DullEdges { .. } => "dull_edges",
            Self::PunchMissing { .. } => "punch_missing",
            Self::SlugLeftIn { .. } => "slug_left_in",
        }
    }

    /// Index of the station where it happens, where it happens at one.
    pub const fn station(&self) -> Option<usize> {
        match self {
            Self::DoubleMetal { station }
            | Self::PunchMissing { station, .. }
            | Self::SlugLeftIn { station, .. } => Some(*station),
            Self::NextGradeUp { .. } | Self::ThickestCoil | Self::DullEdges { .. } => None,
        }
    }

    /// The job in this case; nothing where no law can work with it.
    pub fn apply(&self, job: &Job) -> Option<Job> {
        job.altered(|job| match self {
            Self::DoubleMetal { station } => double_metal(job, *station),
            Self::NextGradeUp { ratio, .. } => each_stock(job, &|stock| strengthen(stock, *ratio)),
            Self::ThickestCoil => each_stock(job, &|stock| {
                stock.thickness_m = Range::exactly(stock.thickness_m.high());
            }),
            Self::DullEdges { factor } => dull(job, *factor),
            Self::PunchMissing { station, work } => {
                job.stations[*station].work.remove(*work);
            }
            Self::SlugLeftIn { station, work } => slug_left_in(job, *station, *work),
        })
        .ok()
    }

    /// The case worked out beside the job as it was.
    pub fn outcome(&self, job: &Job, before: &Check) -> Option<Outcome> {
        let band = AlarmBand::of(job);
        let changed = self.apply(job)?;
        let after = changed.check();
        let figures = Figures::of(&changed, &after);
        let readings = peaks(job, Line::Nominal)
            .into_iter()
            .zip(&figures.peaks)
            .map(|((place, normal), &(_, now))| Reading {
                place,
                normal,
                now,
                alarm: band.alarm(normal, now),
            })
            .collect();
        let breaks = before
            .limits
            .iter()
            .zip(&after.limits)
            .filter(|(before, after)| after.state == State::Over && before.state != State::Over)
            .map(|(_, after)| after.id)
            .collect();
        Some(Outcome { case: self.clone(), figures, readings, breaks })
    }
}

fn each_stock(job: &mut Job, change: &dyn Fn(&mut Stock)) {
    change(&mut job.stock);
    job.stations.iter_mut().filter_map(|station| station.stock.as_mut()).for_each(change);
}

fn strengthen(stock: &mut Stock, ratio: f64) {
    stock.tensile_pa = stock.tensile_pa.scaled(ratio);
    stock.shear_pa = stock.shear_pa.scaled(ratio);
    stock.yield_pa = stock.yield_pa.map(|range| range.scaled(ratio));
    stock.strength_coefficient_pa = stock.strength_coefficient_pa.map(|k| k * ratio);
}

/// Thickness of one sheet in a station, nominal.
fn thickness(job: &Job, station: usize) -> Length {
    let stock = job.stations[station].stock.as_ref().unwrap_or(&job.stock);
    Length::from_metres(stock.thickness_m.on(Line::Nominal))
}

fn double_metal(job: &mut Job, station: usize) {
    shift_entries(job, Some(station), thickness(job, station));
    let work = &mut job.stations[station].work;
    let second: Vec<PlacedWork> = work
        .iter()
        .filter(|placed| placed.work.needs_stock() && !matches!(placed.work, Work::Squeeze(_)))
        .cloned()
        .collect();
    work.extend(second);
}

/// Dull edges count on the upper line only; here the edges *are* dull, so that the nominal line has
/// them too. Shear strength enters nothing but cutting, and there as a product with the wear factor.
fn dull(job: &mut Job, factor: f64) {
    each_stock(job, &|stock| stock.shear_pa = stock.shear_pa.scaled(factor));
    each_cut(job, &|cut| cut.wear_factor = 1.0);
}

fn slug_left_in(job: &mut Job, station: usize, work: usize) {
    let top = job.press.drive.stroke();
    let earlier = thickness(job, station);
    let placed = &mut job.stations[station].work;
    let mut slug = placed[work].clone();
    for cut in [&mut placed[work].work, &mut slug.work] {
        crate::sensitivity::shift_work(cut, &|entry| (entry + earlier).min(top));
    }
    if let Work::Cut(cut) = &mut slug.work {
        cut.strip_factor = 0.0;
    }
    placed.push(slug);
}

/// All cases of a checked job.
pub fn what_if(job: &Job, check: &Check) -> WhatIf {
    let (cases, left_out) = cases(job, check);
    WhatIf {
        band: AlarmBand::of(job),
        normal: Figures::of(job, check),
        outcomes: cases.iter().filter_map(|case| case.outcome(job, check)).collect(),
        left_out,
    }
}

impl Place {
    /// Its name in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Total => "total",
            Self::Left => "left",
            Self::Right => "right",
            Self::FrontLeft => "front_left",
            Self::FrontRight => "front_right",
            Self::BackLeft => "back_left",
            Self::BackRight => "back_right",
        }
    }

    /// What people call it.
    pub fn label(self) -> &'static str {
        tr(match self {
            Self::Total => "total",
            Self::Left => "left",
            Self::Right => "right",
            Self::FrontLeft => "front left",
            Self::FrontRight => "front right",
            Self::BackLeft => "back left",
            Self::BackRight => "back right",
        })
    }
}

impl Alarm {
    /// Its name in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Silent => "silent",
            Self::High => "high",
            Self::Low => "low",
        }
    }
}

impl Case {
    /// The case in the words of the press room.
    pub fn label(&self, job: &Job) -> String {
        let at = |station: &usize| job.stations[*station].name.as_str();
        // A station with one cut only needs no number.
        let cut = |station: &usize, work: &usize| {
            let cuts: Vec<usize> = job.stations[*station]
                .work
                .iter()
                .enumerate()
                .filter(|(_, placed)| matches!(placed.work, Work::Cut(_)))
                .map(|(index, _)| index)
                .collect();
            let nth = cuts.iter().position(|index| index == work).unwrap_or(0) + 1;
            match cuts.len() {
                0 | 1 => at(station).to_owned(),
                all => say!("{}, cut {} of {}", at(station), nth, all),
            }
        };
        match self {
            Self::DoubleMetal { station } => say!("Double metal at {}", at(station)),
            Self::NextGradeUp { ratio, grade } => match grade {
                Some(grade) => say!("Next grade up, {}: {}", grade, percent(ratio - 1.0)),
                None => say!("Next grade up, taken as {}", percent(ratio - 1.0)),
            },
            Self::ThickestCoil => tr("Thickest coil").to_owned(),
            Self::DullEdges { factor } => say!("Dull edges, {}", percent(factor - 1.0)),
            Self::PunchMissing { station, work } => {
                say!("Punch missing at {}", cut(station, work))
            }
            Self::SlugLeftIn { station, work } => say!("Slug left in at {}", cut(station, work)),
        }
    }
}

/// A change as a percentage with its sign: `+12 %`, `−3 %`.
pub fn percent(change: f64) -> String {
    let whole = (100.0 * change).round();
    let sign = if whole < 0.0 { "−" } else { "+" };
    format!("{sign}{} %", whole.abs())
}

/// What a load alarm notices, in a sentence.
pub fn alarm_words(outcome: &Outcome) -> String {
    let noticing: Vec<String> = outcome
        .readings
        .iter()
        .filter_map(|reading| {
            let word = match reading.alarm {
                Alarm::Silent => return None,
                Alarm::High => say!("high {}", reading.place.label()),
                Alarm::Low => say!("low {}", reading.place.label()),
            };
            Some(word)
        })
        .collect();
    if noticing.is_empty() {
        tr("the load alarm stays silent").to_owned()
    } else {
        say!("the load alarm trips: {}", noticing.join(", "))
    }
}

/// What breaks, in words.
pub fn breaks_words(outcome: &Outcome) -> String {
    if outcome.breaks.is_empty() {
        return tr("no further limit is over").to_owned();
    }
    let labels: Vec<&str> = outcome.breaks.iter().map(|&id| words::limit_label(id)).collect();
    say!("over: {}", labels.join("; "))
}

/// All cases, as the report has them.
#[derive(Clone, Debug, Serialize)]
pub struct WhatIfRow {
    alarm_high_percent: f64,
    alarm_low_percent: f64,
    /// Whether the band is common practice rather than the shop's own.
    alarm_assumed: bool,
    normal: FiguresRow,
    cases: Vec<CaseRow>,
    /// Punches and slugs that were too many to be worked out.
    left_out: usize,
}

#[derive(Clone, Debug, Serialize)]
struct FiguresRow {
    peak_kn: f64,
    peak_upper_kn: f64,
    energy_j: f64,
    energy_upper_j: f64,
    reverse_kn: Option<f64>,
    verdict: &'static str,
}

#[derive(Clone, Debug, Serialize)]
struct CaseRow {
    case: &'static str,
    label: String,
    station: Option<String>,
    #[serde(flatten)]
    figures: FiguresRow,
    breaks: Vec<&'static str>,
    readings: Vec<ReadingRow>,
    noticed: bool,
}

#[derive(Clone, Debug, Serialize)]
struct ReadingRow {
    place: &'static str,
    normal_kn: f64,
    now_kn: f64,
    alarm: &'static str,
}

fn figures_row(figures: &Figures) -> FiguresRow {
    FiguresRow {
        peak_kn: figures.peaks.first().map_or(0.0, |peak| peak.1.kilonewtons()),
        peak_upper_kn: figures.peak_upper.kilonewtons(),
        energy_j: figures.energy.joules(),
        energy_upper_j: figures.energy_upper.joules(),
        reverse_kn: figures.reverse.map(Force::kilonewtons),
        verdict: figures.verdict.key(),
    }
}

/// The answer as the report has it.
pub fn row(job: &Job, found: &WhatIf) -> WhatIfRow {
    let case = |outcome: &Outcome| CaseRow {
        case: outcome.case.key(),
        label: outcome.case.label(job),
        station: outcome.case.station().map(|station| job.stations[station].name.clone()),
        figures: figures_row(&outcome.figures),
        breaks: outcome.breaks.iter().map(|id| id.key()).collect(),
        readings: outcome
            .readings
            .iter()
            .map(|reading| ReadingRow {
                place: reading.place.key(),
                normal_kn: reading.normal.kilonewtons(),
                now_kn: reading.now.kilonewtons(),
                alarm: reading.alarm.key(),
            })
            .collect(),
        noticed: outcome.is_noticed(),
    };
    WhatIfRow {
        alarm_high_percent: 100.0 * found.band.high,
        alarm_low_percent: 100.0 * found.band.low,
        alarm_assumed: found.band.assumed,
        normal: figures_row(&found.normal),
        cases: found.outcomes.iter().map(case).collect(),
        left_out: found.left_out,
    }
}
