//! The cutting punches of a job: how large each is, how low it has to go, what it does at an entry.

use evenstroke_job::{Job, sensitivity::LEAST_ENTRY_MM};
use evenstroke_language::say;
use press_load::{
    Length, Line, LoadSeries, Motion, Outline, Point, Station, Work,
    cutting::{Cut, CutKind},
    load::Load,
};
use std::f64::consts::PI;

/// What a regrind takes off a group of punches that is ground by itself, in metres (common practice,
/// no source: a tenth or two of a millimetre).
pub const REGRIND: Length = Length::from_millimetres(0.1);
/// Sizes within this part of each other are the same size: what a tool maker grinds alike (our own form).
const SAME_SIZE: f64 = 1e-3;
/// An outline narrower than this part of its length is a blade, whose size is its length (our own form).
const BLADE: f64 = 0.1;

/// A cutting punch that advice may change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Punch {
    /// Index of its station.
    pub station: usize,
    /// Index of its cut in the station's work.
    pub work: usize,
    /// Width of its section where it is narrowest, or the length of a blade, in metres.
    pub size: f64,
    /// Slide height at which it first touches.
    pub entry: Length,
    /// Lowest entry at which it is through at BDC on the upper line, after a regrind.
    pub lowest: Length,
    /// Depth of the shear band: penetration times thickness, both at their low ends, so that it holds
    /// for every coil.
    pub band: Length,
    /// Thickness as ordered.
    pub thickness: Length,
    /// Peak force of its whole edge on the upper line, in newtons.
    pub force: f64,
}

impl Punch {
    /// Whether it is smaller than another.
    pub fn is_smaller_than(&self, other: &Self) -> bool {
        self.size < other.size * (1.0 - SAME_SIZE)
    }
}

/// The cut of a punch of this job.
///
/// # Panics
///
/// If the job has no such station or work: punches come from [`punches`].
pub fn cut<'a>(job: &'a Job, punch: &Punch) -> Option<&'a Cut> {
    match &job.stations[punch.station].work[punch.work].work {
        Work::Cut(cut) => Some(cut),
        _ => None,
    }
}

/// All cutting punches that stand in no locked station. Lances and shaving punches are left out: what
/// follows them in the same stroke hangs on their height.
pub fn punches(job: &Job) -> Vec<Punch> {
    let mut found = Vec::new();
    for (station, at) in job.stations.iter().enumerate() {
        if job.locked.get(station) == Some(&true) {
            continue;
        }
        for (work, placed) in at.work.iter().enumerate() {
            if let Work::Cut(cut) = &placed.work
                && !matches!(cut.kind, CutKind::Lance | CutKind::Shave)
            {
                found.extend(punch(job, at, station, work, cut));
            }
        }
    }
    found
}

fn punch(job: &Job, at: &Station, station: usize, work: usize, cut: &Cut) -> Option<Punch> {
    let stock = at.stock.as_ref().unwrap_or(&job.stock);
    let upper = &job.stroke.upper.stations[station].sheet;
    let factor = cut.force_factor(Line::Upper, job.settings.cut_model);
    let length = cut.outline.length().ok()?;
    let deep = cut.entry - cut.finished_at(upper);
    Some(Punch {
        station,
        work,
        size: size(&cut.outline)?,
        entry: cut.entry,
        lowest: (deep + REGRIND).max(Length::from_millimetres(LEAST_ENTRY_MM)),
        band: Length::from_metres(stock.penetration.low() * stock.thickness_m.low()),
        thickness: Length::from_metres(stock.thickness_m.on(Line::Nominal)),
        force: (length * cut.line_force(upper, factor)).newtons(),
    })
}

/// Narrowest width of the punch that cuts an outline, in metres.
fn size(outline: &Outline) -> Option<f64> {
    if let Outline::LengthOnly(length) = outline {
        // As if it were round.
        return Some(length.metres() / PI);
    }
    let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
    for step in 0..12 {
        let width = extent(outline, Point::towards(PI * f64::from(step) / 12.0))?;
        (least, most) = (least.min(width), most.max(width));
    }
    Some(if least < BLADE * most { most } else { least })
}

/// How wide an outline is along a direction, in metres; nothing where only its length is known.
pub(crate) fn extent(outline: &Outline, direction: Point) -> Option<f64> {
    let (low, high) = outline.extent_along(direction).ok()?;
    (high >= low).then_some(high - low)
}

/// What a piece of work puts on the slide at falling heights, on the upper line and turned and placed
/// as the die stands.
///
/// # Panics
///
/// If the job has no such station.
pub fn loads(job: &Job, station: usize, work: &Work, own: &Motion, heights: &[f64]) -> LoadSeries {
    let sheet = &job.stroke.upper.stations[station].sheet;
    let to_die = Motion::new(job.stations[station].at, 0.0);
    let motion = own.then(&to_die).then(&job.die.placement.motion());
    let loads = work.loads(sheet, Line::Upper, job.settings.cut_model, &motion);
    let mut series = LoadSeries::zero(heights.len());
    for load in loads.iter().flatten() {
        Load::add_to(load, heights, &mut series);
    }
    series
}

/// A punch in words: its station, and which of the cuts there if there are several.
///
/// # Panics
///
/// As [`cut`].
pub fn label(job: &Job, station: usize, work: usize) -> String {
    let at = &job.stations[station];
    let is_cut = |index: &usize| matches!(at.work[*index].work, Work::Cut(_));
    let cuts: Vec<usize> = (0..at.work.len()).filter(is_cut).collect();
    match cuts.iter().position(|&index| index == work) {
        Some(nth) if cuts.len() > 1 => say!("{}, cut {} of {}", at.name, nth + 1, cuts.len()),
        _ => at.name.clone(),
    }
}
