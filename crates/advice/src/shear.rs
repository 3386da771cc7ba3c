//! Tool shear: which punches to grind, how deep, which way.
//!
//! - Always a roof, never a slope: its two halves push sideways against each other, so that no side
//!   thrust is left. A slope that is there already is offered as a roof of the same depth.
//! - On the tool that keeps flat what is to be kept ([`Cut::flat_side`](press_load::cutting::Cut)): on
//!   the punch where the slug falls, on the die where the part does. Cuts that keep both sides (cut-off,
//!   shear, trim) are ground on the punch, and it is said that an end of the part may bend.
//! - Depths from the shear band, below which shear does not lower the peak of the handbook's model, to
//!   once the thickness (common practice, no source), and no more than lets the punch through at BDC
//!   with a regrind in reserve; the entry stays where it can and is raised where it cannot.
//!
//! One punch after the other is tried, the one with most force first, each at both depths, along and
//! across, ridge or ends first; what lowers the worst limit or, where that stays, the peak, and raises
//! neither peak nor reverse load nor the worst limit, is kept. The order is a rule and not a proof: there
//! may be a better set, but never is the answer worse than the die as it is.

use crate::{
    Edit, Figures, Proposal,
    edit::file_mm,
    progress::{BrokenOff, Stage, Watch, tell},
    punch::{Punch, cut, extent, punches},
};
use evenstroke_job::Job;
use evenstroke_language::{say, tr};
use press_load::{
    Length, Point, Work,
    cutting::{Cut, CutKind, ShearSide},
    order,
    tool_shear::{RoofFirst, ToolShear},
};

/// Punches that are looked at, those with most force.
const MOST_PUNCHES: usize = 16;
/// A roof has to lower worst limit or peak by this part to be worth grinding (our own form).
const LEAST_GAIN: f64 = 0.02;
/// Differences below this part are none.
const ALIKE: f64 = 1e-3;
/// Depths are written in tenths of a millimetre, upwards.
const GRID_MM: f64 = 0.1;

/// Tool shear for one punch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grind {
    /// Index of its station.
    pub station: usize,
    /// Index of its cut in the station's work.
    pub work: usize,
    /// Depth of the roof.
    pub depth: Length,
    /// Direction along which it rises and falls, in degrees from x of the outline.
    pub direction_deg: f64,
    /// What touches first.
    pub first: RoofFirst,
    /// On which tool it is ground.
    pub on: ShearSide,
    /// Whether what is kept stays flat on both sides of the cut.
    pub keeps_flat: bool,
    /// Entry, raised where the punch would not get through.
    pub entry: Length,
    /// Whether it takes the place of a slope, which pushes sideways.
    pub was_slope: bool,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct ShearAdvice {
    /// What to grind; none where nothing helps.
    pub grinds: Vec<Grind>,
    /// All of it together, worked out anew.
    pub proposal: Option<Proposal>,
    /// Why there is none, and what to mind.
    pub notes: Vec<String>,
}

/// Finds tool shear for the cutting punches.
///
/// # Errors
///
/// [`BrokenOff`] if `watch` says so.
pub fn tool_shear(job: &Job, watch: &mut Watch) -> Result<ShearAdvice, BrokenOff> {
    tell(watch, Stage::ToolShear, 0, 1)?;
    let before = Figures::of(job, &job.check());
    let found = punches(job);
    let forces: Vec<f64> = found.iter().map(|punch| punch.force).collect();
    let order: Vec<Punch> =
        order::falling(&forces).into_iter().take(MOST_PUNCHES).map(|index| found[index]).collect();
    let (mut now, mut figures) = (job.clone(), before.clone());
    let mut grinds: Vec<Grind> = Vec::new();
    for (done, punch) in order.iter().enumerate() {
        tell(watch, Stage::ToolShear, done, order.len())?;
        let mut best: Option<(Grind, Job, Figures)> = None;
        for grind in grinds_for(job, punch) {
            let Some(changed) = with_grind(&now, &grind) else { continue };
            let after = Figures::of(&changed, &changed.check());
            let is_best = match &best {
                None => is_better(&after, &figures, LEAST_GAIN),
                Some((_, _, best)) => is_better(&after, best, ALIKE),
            };
            if is_best && raises_nothing(&after, &figures) && after.breaks_nothing(&figures) {
                best = Some((grind, changed, after));
            }
        }
        if let Some((grind, changed, after)) = best {
            grinds.push(grind);
            (now, figures) = (changed, after);
        }
    }
    let mut notes = Vec::new();
    if grinds.is_empty() {
        notes.push(
            if found.is_empty() {
                tr("no cutting punch may be changed")
            } else {
                tr("no roof on any one punch lowers the worst limit or the peak without raising reverse load or another limit")
            }
            .to_owned(),
        );
    }
    for punch in found.iter().filter(|punch| {
        !grinds.iter().any(|grind| (grind.station, grind.work) == (punch.station, punch.work))
    }) {
        if let Some(Cut { tool_shear: ToolShear::Slope { .. }, .. }) = cut(job, punch) {
            notes.push(say!("{} is ground with a slope, which pushes sideways: heels or a guided punch, or two slopes against each other, have to take that", crate::punch::label(job, punch.station, punch.work)));
        }
    }
    if grinds.iter().any(|grind| !grind.keeps_flat) {
        notes.push(
            tr("where both sides of the cut are kept, the end towards the ground tool bends a little")
                .to_owned(),
        );
    }
    let proposal = (!grinds.is_empty()).then(|| Proposal {
        assumes: vec![
            tr("tools can be ground so, and the die's closed height is set again after grinding")
                .to_owned(),
            tr("roofs leave no side thrust because their halves push against each other")
                .to_owned(),
            tr("one punch after the other was tried, most force first: there may be a better set")
                .to_owned(),
        ],
        edits: grinds.iter().flat_map(|grind| edits(job, grind)).collect(),
        before,
        after: figures,
    });
    Ok(ShearAdvice { grinds, proposal, notes })
}

/// What is tried for a punch.
fn grinds_for(job: &Job, punch: &Punch) -> Vec<Grind> {
    let Some(cut) = cut(job, punch) else { return Vec::new() };
    let was_slope = match cut.tool_shear {
        ToolShear::Flat => false,
        ToolShear::Slope { .. } => true,
        ToolShear::Roof { .. } => return Vec::new(),
    };
    let (on, keeps_flat) = match (cut.flat_side(), cut.kind) {
        (Some(side), _) => (side, true),
        (None, CutKind::CutOff | CutKind::Shear | CutKind::Trim) => (ShearSide::Punch, false),
        (None, _) => return Vec::new(),
    };
    let up =
        |mm: f64| Length::from_millimetres((mm / GRID_MM - 1e-6).ceil() / (1.0 / GRID_MM).round());
    let own = cut.tool_shear.depth();
    let depths = if was_slope {
        vec![own]
    } else {
        vec![up(punch.band.millimetres()), up(punch.thickness.millimetres())]
    };
    let mut grinds = Vec::new();
    for depth in depths {
        // As deep as now a punch gets through from `lowest`; a deeper one has to start as much higher.
        let lowest = punch.lowest + (depth - own);
        let entry = if punch.entry >= lowest {
            punch.entry
        } else {
            let hundredths = (lowest.millimetres() * 100.0 - 1e-6).ceil();
            Length::from_millimetres(hundredths / 100.0)
        };
        for direction_deg in [0.0, 90.0] {
            let direction = Point::towards(f64::to_radians(direction_deg));
            let along = extent(&cut.outline, direction).unwrap_or(0.0);
            // No roof across a blade, and none steeper than half a right angle.
            if along < 2.0 * depth.metres() {
                continue;
            }
            for first in [RoofFirst::Ridge, RoofFirst::Ends] {
                grinds.push(Grind {
                    station: punch.station,
                    work: punch.work,
                    depth,
                    direction_deg,
                    first,
                    on,
                    keeps_flat,
                    entry,
                    was_slope,
                });
            }
        }
    }
    grinds
}

fn with_grind(job: &Job, grind: &Grind) -> Option<Job> {
    if grind.entry > job.press.drive.stroke() {
        return None;
    }
    job.altered(|job| {
        if let Work::Cut(cut) = &mut job.stations[grind.station].work[grind.work].work {
            cut.tool_shear = ToolShear::Roof {
                depth: grind.depth,
                direction_deg: grind.direction_deg,
                ridges: 1,
                first: grind.first,
            };
            cut.shear_on = Some(grind.on);
            cut.entry = grind.entry;
        }
    })
    .ok()
}

fn edits(job: &Job, grind: &Grind) -> Vec<Edit> {
    let path = format!("stations[{}].work[{}]", grind.station, grind.work);
    let mut edits = vec![Edit::new(
        format!("{path}.tool_shear"),
        serde_json::json!({
            "kind": "roof",
            "depth_mm": file_mm(grind.depth),
            "direction_deg": grind.direction_deg,
            "ridge_first": grind.first == RoofFirst::Ridge,
            "shear_on": match grind.on { ShearSide::Punch => "punch", ShearSide::Die => "die" },
        }),
    )];
    if grind.entry != job.stations[grind.station].work[grind.work].work.entry() {
        edits.push(Edit::new(format!("{path}.entry_mm"), file_mm(grind.entry)));
    }
    edits
}

/// Whether neither peak, reverse load nor the worst limit rises.
fn raises_nothing(after: &Figures, before: &Figures) -> bool {
    let slack = 1.0 + 1e-9;
    let reverse =
        |after: Option<press_load::Force>, before: Option<press_load::Force>| match (after, before)
        {
            (Some(after), Some(before)) => after <= before * slack,
            _ => true,
        };
    after.peak_upper <= before.peak_upper * slack
        && after.peak <= before.peak * slack
        && reverse(after.reverse, before.reverse)
        && reverse(after.reverse_upper, before.reverse_upper)
        && after.worst_share() <= before.worst_share() * slack
}

/// Whether the worst limit is lower by a part, or, where that stays, the peak.
fn is_better(after: &Figures, before: &Figures, by: f64) -> bool {
    let (own, other) = (after.worst_share(), before.worst_share());
    own <= other * (1.0 - by)
        || (own <= other * (1.0 + ALIKE) && after.peak_upper <= before.peak_upper * (1.0 - by))
}
