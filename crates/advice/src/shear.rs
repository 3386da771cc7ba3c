//! Tool shear: which punches to grind, how deep, which way.
//!
//! - On one punch always a roof, never a slope: its two halves push sideways against each other, so that
//!   no side thrust is left. A slope that is there already is offered as a roof of the same depth.
//! - On two equal punches in one row, beside the roofs, slopes against each other ([`opposing_slopes`]),
//!   which are easier to grind: a sloped face without friction pushes sideways with the cutting force
//!   times its slope (statics), so that two that cut with the same force at every height leave nothing
//!   for the guides to take.
//! - On the tool that keeps flat what is to be kept ([`Cut::flat_side`](press_load::cutting::Cut)): on
//!   the punch where the slug falls, on the die where the part does. Cuts that keep both sides (cut-off,
//!   shear, trim) are ground on the punch, and it is said that an end of the part may bend.
//! - Depths from the shear band, below which shear does not lower the peak of the handbook's model, to
//!   once the thickness (common practice, no source), and no more than lets the punch through at BDC
//!   with a regrind in reserve; the entry stays where it can and is raised where it cannot.
//!
//! One punch or pair after the other is tried, the one with most force first, each at both depths, along
//! and across, ridge or ends first; what lowers the worst limit or, where that stays, the peak, and raises
//! neither peak nor reverse load nor the worst limit, is kept. The order is a rule and not a proof: there
//! may be a better set, but never is the answer worse than the die as it is.

use crate::{
    Edit, Figures, Proposal,
    edit::file_mm,
    progress::{BrokenOff, Stage, Watch, tell},
    punch::{Punch, cut, extent, loads, punches},
};
use evenstroke_job::Job;
use evenstroke_language::{say, tr};
use press_load::{
    Length, Motion, Point, Work,
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
/// Punches stand in one row if they are off it by no more than this part of their distance: a slope
/// that pushes past the other turns the upper die (our own form).
const OFF_ROW: f64 = 0.02;
/// Side thrusts are against each other if what is left at any height is less than this part of the
/// largest (our own form).
const THRUST_LEFT: f64 = 0.05;
/// Heights at which thrusts are compared.
const HEIGHTS: usize = 120;
/// Pairs that are looked at.
const MOST_PAIRS: usize = 24;

/// What is ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// One roof, and what of it touches first.
    Roof(RoofFirst),
    /// A slope, with another against it.
    Slope {
        /// Station and work of that one.
        against: (usize, usize),
    },
}

/// Tool shear for one punch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grind {
    /// Index of its station.
    pub station: usize,
    /// Index of its cut in the station's work.
    pub work: usize,
    /// Roof or slope.
    pub form: Form,
    /// How much later than the first its last point touches.
    pub depth: Length,
    /// Direction along which a roof rises and falls, or in which a slope touches later, in degrees from x
    /// of the outline.
    pub direction_deg: f64,
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
    /// Roofs to grind; none where nothing helps.
    pub grinds: Vec<Grind>,
    /// All of them together, worked out anew.
    pub proposal: Option<Proposal>,
    /// In their place slopes against each other, two by two; none where nothing helps.
    pub slopes: Vec<Grind>,
    /// All of them together, worked out anew.
    pub slopes_proposal: Option<Proposal>,
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
    let pairs = pairs(job, &order);
    let steps = order.len() + pairs.len();
    let mut kept = Kept { job: job.clone(), figures: before.clone(), grinds: Vec::new() };
    for (done, punch) in order.iter().enumerate() {
        tell(watch, Stage::ToolShear, done, steps)?;
        kept.take_best(grinds_for(job, punch).into_iter().map(|grind| vec![grind]).collect());
    }
    let Kept { figures, grinds, .. } = kept;
    let mut kept = Kept { job: job.clone(), figures: before.clone(), grinds: Vec::new() };
    for (done, pair) in pairs.iter().enumerate() {
        tell(watch, Stage::ToolShear, order.len() + done, steps)?;
        let is_ground = |punch: &Punch| {
            let place = (punch.station, punch.work);
            kept.grinds.iter().any(|grind| (grind.station, grind.work) == place)
        };
        if !pair.iter().any(is_ground) {
            kept.take_best(opposing_slopes(job, pair));
        }
    }
    let (slopes, with_slopes) = (kept.grinds, kept.figures);
    let mut notes = Vec::new();
    if grinds.is_empty() {
        notes.push(
            if found.is_empty() {
                tr("no cutting punch may be changed")
            } else if !slopes.is_empty() {
                tr("no roof on any one punch does as slopes against each other do")
            } else {
                tr("no roof on any one punch lowers the worst limit or the peak without raising reverse load or another limit")
            }
            .to_owned(),
        );
    }
    for punch in found.iter().filter(|punch| {
        let place = (punch.station, punch.work);
        !grinds.iter().chain(&slopes).any(|grind| (grind.station, grind.work) == place)
    }) {
        if let Some(Cut { tool_shear: ToolShear::Slope { .. }, .. }) = cut(job, punch) {
            notes.push(say!("{} is ground with a slope, which pushes sideways: heels or a guided punch, or two slopes against each other, have to take that", crate::punch::label(job, punch.station, punch.work)));
        }
    }
    if grinds.iter().chain(&slopes).any(|grind| !grind.keeps_flat) {
        notes.push(
            tr("where both sides of the cut are kept, the end towards the ground tool bends a little")
                .to_owned(),
        );
    }
    let proposal = |grinds: &[Grind], after: Figures, thrust: &str| {
        (!grinds.is_empty()).then(|| Proposal {
            assumes: vec![
                tr("tools can be ground so, and the die's closed height is set again after grinding")
                    .to_owned(),
                thrust.to_owned(),
                tr("one after the other was tried, most force first: there may be a better set")
                    .to_owned(),
            ],
            edits: grinds.iter().flat_map(|grind| edits(job, grind)).collect(),
            before: before.clone(),
            after,
        })
    };
    let of_roofs = proposal(
        &grinds,
        figures,
        tr("roofs leave no side thrust because their halves push against each other"),
    );
    let of_slopes = proposal(
        &slopes,
        with_slopes,
        tr(
            "both of two slopes cut at the same time with the same force, so that they push sideways against each other; where one is missing, half a strip say, the other pushes alone",
        ),
    );
    Ok(ShearAdvice { grinds, proposal: of_roofs, slopes, slopes_proposal: of_slopes, notes })
}

/// What was found to help so far.
struct Kept {
    job: Job,
    figures: Figures,
    grinds: Vec<Grind>,
}

impl Kept {
    /// Adds the best of several ways to grind, each of one punch or of two, if one helps.
    fn take_best(&mut self, ways: Vec<Vec<Grind>>) {
        let mut best: Option<(Vec<Grind>, Job, Figures)> = None;
        for grinds in ways {
            let Some(changed) = with_grinds(&self.job, &grinds) else { continue };
            let after = Figures::of(&changed, &changed.check());
            let is_best = match &best {
                None => is_better(&after, &self.figures, LEAST_GAIN),
                Some((_, _, best)) => is_better(&after, best, ALIKE),
            };
            if is_best && after.raises_nothing(&self.figures) && after.breaks_nothing(&self.figures)
            {
                best = Some((grinds, changed, after));
            }
        }
        if let Some((grinds, job, figures)) = best {
            self.grinds.extend(grinds);
            (self.job, self.figures) = (job, figures);
        }
    }
}

/// On which tool a cut is ground, and whether what is kept stays flat; nothing where there is no rule.
const fn ground_on(cut: &Cut) -> Option<(ShearSide, bool)> {
    match (cut.flat_side(), cut.kind) {
        (Some(side), _) => Some((side, true)),
        (None, CutKind::CutOff | CutKind::Shear | CutKind::Trim) => Some((ShearSide::Punch, false)),
        (None, _) => None,
    }
}

/// Depths that are tried where none is ground yet, and what was ground.
fn depths(punch: &Punch, own: Length) -> Vec<Length> {
    let up =
        |mm: f64| Length::from_millimetres((mm / GRID_MM - 1e-6).ceil() / (1.0 / GRID_MM).round());
    if own.is_positive() {
        vec![own]
    } else {
        vec![up(punch.band.millimetres()), up(punch.thickness.millimetres())]
    }
}

/// Where a punch ground to a depth touches first: where it is now, or as much higher as it takes to get
/// through.
fn entry(punch: &Punch, own: Length, depth: Length) -> Length {
    // As deep as now a punch gets through from `lowest`; a deeper one has to start as much higher.
    let lowest = punch.lowest + (depth - own);
    if punch.entry >= lowest {
        punch.entry
    } else {
        let hundredths = (lowest.millimetres() * 100.0 - 1e-6).ceil();
        Length::from_millimetres(hundredths / 100.0)
    }
}

/// Where a cut stands and how it is turned, in the die.
fn in_die(job: &Job, punch: &Punch) -> Motion {
    let station = &job.stations[punch.station];
    station.work[punch.work].motion.then(&Motion::new(station.at, 0.0))
}

/// Two punches each that may be sloped against each other: of the same kind, size and height, in one
/// row. Those with most force first.
fn pairs(job: &Job, punches: &[Punch]) -> Vec<[Punch; 2]> {
    let alike = |a: &Punch, b: &Punch| {
        let (Some(own), Some(other)) = (cut(job, a), cut(job, b)) else { return false };
        let same = |a: f64, b: f64| (a - b).abs() <= ALIKE * a.abs().max(b.abs());
        let is_flat_or_sloped = |cut: &Cut| {
            !matches!(cut.tool_shear, ToolShear::Roof { .. }) && ground_on(cut).is_some()
        };
        own.kind == other.kind
            && is_flat_or_sloped(own)
            && is_flat_or_sloped(other)
            && same(own.tool_shear.depth().metres(), other.tool_shear.depth().metres())
            && same(a.force, b.force)
            && same(a.entry.metres(), b.entry.metres())
            && row(job, [a, b]).is_some()
    };
    let mut found = Vec::new();
    for (index, a) in punches.iter().enumerate() {
        // Each with the others as they come: a pair whose one is taken already is passed over later.
        found.extend(punches[index + 1..].iter().filter(|b| alike(a, b)).map(|b| [*a, *b]));
    }
    found.truncate(MOST_PAIRS);
    found
}

/// The direction of the row in which two punches stand, in degrees: along one side of the die, away from
/// the first.
fn row(job: &Job, pair: [&Punch; 2]) -> Option<f64> {
    let [from, to] = pair.map(|punch| in_die(job, punch).shift);
    let (x, y) = (to.x - from.x, to.y - from.y);
    if y.abs() <= OFF_ROW * x.abs() && x != 0.0 {
        Some(if x > 0.0 { 0.0 } else { 180.0 })
    } else if x.abs() <= OFF_ROW * y.abs() && y != 0.0 {
        Some(if y > 0.0 { 90.0 } else { 270.0 })
    } else {
        None
    }
}

/// Ways to slope two punches against each other: from the outside in and from the inside out, at each
/// depth. Only those are named in which the thrusts are against each other at every height.
pub fn opposing_slopes(job: &Job, pair: &[Punch; 2]) -> Vec<Vec<Grind>> {
    let [first, second] = pair;
    let (Some(cut_of_first), Some(along)) = (cut(job, first), row(job, [first, second])) else {
        return Vec::new();
    };
    let Some((on, keeps_flat)) = ground_on(cut_of_first) else { return Vec::new() };
    let mut ways = Vec::new();
    for depth in depths(first, cut_of_first.tool_shear.depth()) {
        for inwards in [0.0, 180.0] {
            let grind = |punch: &Punch, other: &Punch, die_deg: f64| {
                let cut = cut(job, punch)?;
                let turn_deg = in_die(job, punch).turn_rad.to_degrees();
                let direction_deg = whole_degrees((die_deg - turn_deg).rem_euclid(360.0));
                let direction = Point::towards(direction_deg.to_radians());
                // Neither across a blade nor steeper than half a right angle.
                (extent(&cut.outline, direction)? >= 2.0 * depth.metres()).then(|| Grind {
                    station: punch.station,
                    work: punch.work,
                    form: Form::Slope { against: (other.station, other.work) },
                    depth,
                    direction_deg,
                    on,
                    keeps_flat,
                    entry: entry(punch, cut.tool_shear.depth(), depth),
                    was_slope: matches!(cut.tool_shear, ToolShear::Slope { .. }),
                })
            };
            let grinds = [
                grind(first, second, along + inwards),
                grind(second, first, along + inwards + 180.0),
            ];
            if let [Some(a), Some(b)] = grinds
                && thrust_is_balanced(job, [&a, &b])
            {
                ways.push(vec![a, b]);
            }
        }
    }
    ways
}

/// Degrees without the last digits of a turn there and back.
fn whole_degrees(deg: f64) -> f64 {
    let rounded = (deg * 1e6).round() / 1e6;
    if rounded == 360.0 { 0.0 } else { rounded }
}

/// Whether the side thrusts of two slopes are the same at every height. Thrust is force times slope.
fn thrust_is_balanced(job: &Job, pair: [&Grind; 2]) -> bool {
    let Some(changed) = with_grinds(job, &pair.map(|grind| *grind)) else { return false };
    let top = pair[0].entry.max(pair[1].entry).metres();
    let heights: Vec<f64> =
        (0..HEIGHTS).map(|i| top * (1.0 - (i as f64 + 0.5) / HEIGHTS as f64)).collect();
    let thrust = |grind: &Grind| -> Option<Vec<f64>> {
        let Work::Cut(cut) = &changed.stations[grind.station].work[grind.work].work else {
            return None;
        };
        let along = extent(&cut.outline, Point::towards(grind.direction_deg.to_radians()))?;
        let work = Work::Cut(cut.clone());
        let series = loads(&changed, grind.station, &work, &Motion::NONE, &heights);
        let slope = grind.depth.metres() / along;
        Some(series.force.iter().map(|force| force * slope).collect())
    };
    let (Some(a), Some(b)) = (thrust(pair[0]), thrust(pair[1])) else { return false };
    let most = a.iter().chain(&b).copied().fold(0.0, f64::max);
    a.iter().zip(&b).all(|(a, b)| (a - b).abs() <= THRUST_LEFT * most)
}

/// What is tried for a punch.
fn grinds_for(job: &Job, punch: &Punch) -> Vec<Grind> {
    let Some(cut) = cut(job, punch) else { return Vec::new() };
    let was_slope = match cut.tool_shear {
        ToolShear::Flat => false,
        ToolShear::Slope { .. } => true,
        ToolShear::Roof { .. } => return Vec::new(),
    };
    let Some((on, keeps_flat)) = ground_on(cut) else { return Vec::new() };
    let own = cut.tool_shear.depth();
    let mut grinds = Vec::new();
    for depth in depths(punch, own) {
        let entry = entry(punch, own, depth);
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
                    form: Form::Roof(first),
                    depth,
                    direction_deg,
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

fn tool_shear_of(grind: &Grind) -> ToolShear {
    let Grind { depth, direction_deg, .. } = *grind;
    match grind.form {
        Form::Roof(first) => ToolShear::Roof { depth, direction_deg, ridges: 1, first },
        Form::Slope { .. } => ToolShear::Slope { depth, direction_deg },
    }
}

fn with_grinds(job: &Job, grinds: &[Grind]) -> Option<Job> {
    if grinds.iter().any(|grind| grind.entry > job.press.drive.stroke()) {
        return None;
    }
    job.altered(|job| {
        for grind in grinds {
            if let Work::Cut(cut) = &mut job.stations[grind.station].work[grind.work].work {
                cut.tool_shear = tool_shear_of(grind);
                cut.shear_on = Some(grind.on);
                cut.entry = grind.entry;
            }
        }
    })
    .ok()
}

fn edits(job: &Job, grind: &Grind) -> Vec<Edit> {
    let path = format!("stations[{}].work[{}]", grind.station, grind.work);
    let mut tool_shear = serde_json::json!({
        "kind": "slope",
        "depth_mm": file_mm(grind.depth),
        "direction_deg": grind.direction_deg,
        "shear_on": match grind.on { ShearSide::Punch => "punch", ShearSide::Die => "die" },
    });
    if let Form::Roof(first) = grind.form {
        tool_shear["kind"] = "roof".into();
        tool_shear["ridge_first"] = (first == RoofFirst::Ridge).into();
    }
    let mut edits = vec![Edit::new(format!("{path}.tool_shear"), tool_shear)];
    if grind.entry != job.stations[grind.station].work[grind.work].work.entry() {
        edits.push(Edit::new(format!("{path}.entry_mm"), file_mm(grind.entry)));
    }
    edits
}

/// Whether the worst limit is lower by a part, or, where that stays, the peak.
fn is_better(after: &Figures, before: &Figures, by: f64) -> bool {
    let (own, other) = (after.worst_share(), before.worst_share());
    own <= other * (1.0 - by)
        || (own <= other * (1.0 + ALIKE) && after.peak_upper <= before.peak_upper * (1.0 - by))
}
