//! Punch steps: groups of cutting punches that touch one after the other.
//!
//! Rules, all kept by every choice:
//!
//! - A step is the depth of the shear band or a little less ([`STEPS`]), so that the next group touches
//!   before the last one breaks out (P. Ulintz, "Increasing Press Speed and (In)Efficiency",
//!   *MetalForming*, 30 Mar 2023). More would let every group snap by itself.
//! - A smaller punch is never longer than a larger one.
//! - Every punch is through at BDC on the upper line, with a regrind in reserve, and the choice still
//!   does better than now when any one group has been ground by itself ([`REGRIND`]).
//! - Punches whose height differs by more than [`APART`] thicknesses from that of the others do another
//!   job in the stroke and stay.
//!
//! All ways to divide the punches into two or three groups are tried where there are no more than
//! [`MOST_DIVIDED`]. Where there are, punches of the same size are put in four orders (as they stand,
//! left to right, front to back, from the outside in), and all ways to divide each order into runs are
//! tried. Either way the way it is now is one of those compared, and what is proposed has been worked
//! out anew in full, so that no choice is offered that is worse in all that it is judged by.

use crate::{
    Edit, Figures, Proposal,
    figures::not_dominated,
    progress::{BrokenOff, Stage, Watch, tell},
    punch::{Punch, REGRIND, cut, loads, punches},
};
use evenstroke_job::Job;
use evenstroke_language::{number, say, tr};
use press_load::{Force, Length, LoadSeries, Work, order, stripping::Stripper};

/// Steps that are tried, as parts of the depth of the shear band.
const STEPS: [f64; 2] = [1.0, 0.85];
/// Heights at which the divisions are compared with each other, before a few are worked out in full.
const HEIGHTS: usize = 240;
/// Divisions that are all tried.
pub const MOST_DIVIDED: usize = 6_000;
/// Runs into which an order is divided at most along its length.
const MOST_CUTS: usize = 40;
/// Divisions that are worked out in full.
const MOST_IN_FULL: usize = 14;
/// Heights of punches farther apart than so many thicknesses belong to other work (our own form).
const APART: f64 = 3.0;
/// A choice has to lower peak or reverse load by this part to be one (our own form).
const LEAST_GAIN: f64 = 0.02;
/// Differences of figures below this part are none.
const ALIKE: f64 = 0.005;
/// Times the range of the best shift is narrowed to two thirds: to less than a hundredth of it.
const THIRDS: usize = 12;
/// Entry heights are written in hundredths of a millimetre, as punches are ground.
const GRID_MM: f64 = 0.01;

/// One punch and where it touches in a choice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Index of its station.
    pub station: usize,
    /// Index of its cut in the station's work.
    pub work: usize,
    /// Group, 0 touches first.
    pub level: usize,
    /// Entry now.
    pub before: Length,
    /// Entry in this choice.
    pub entry: Length,
}

/// One way to step the punches.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// All punches that are divided, whether they move or not.
    pub steps: Vec<Step>,
    /// How many groups.
    pub levels: usize,
    /// From one group to the next.
    pub step: Length,
    /// Highest force of the upper line when any one group has been ground by itself.
    pub peak_reground: Force,
    /// The change, worked out anew.
    pub proposal: Proposal,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct StepAdvice {
    /// Choices none of which is better than another in peak, reverse load and balance together.
    pub choices: Vec<Choice>,
    /// Index of the one that uses its worst limit least, of those that are worse in neither peak nor
    /// reverse load and use no limit more than the worst is used now.
    pub best: Option<usize>,
    /// Why there is none, or what could not be judged.
    pub notes: Vec<String>,
    /// Whether every division was tried.
    pub exhaustive: bool,
}

/// A division: for each punch its level.
type Levels = Vec<usize>;

/// Divisions of a group of punches, those worth working out where the die stands and those worth it
/// wherever it stands best.
pub(crate) struct Screened {
    pub(crate) group: Vec<Punch>,
    here: Vec<Found>,
    pub(crate) anywhere: Vec<Found>,
}

/// Steps the cutting punches.
///
/// # Errors
///
/// [`BrokenOff`] if `watch` says so.
pub fn punch_steps(job: &Job, watch: &mut Watch) -> Result<StepAdvice, BrokenOff> {
    Ok(search(job, watch)?.0)
}

/// The same, and the divisions that were compared.
pub(crate) fn search(job: &Job, watch: &mut Watch) -> Result<(StepAdvice, Screened), BrokenOff> {
    tell(watch, Stage::PunchSteps, 0, 1)?;
    let group = group(job);
    if group.len() < 2 {
        let none = StepAdvice {
            choices: Vec::new(),
            best: None,
            notes: vec![too_few(job, group.len())],
            exhaustive: true,
        };
        return Ok((none, Screened { group, here: Vec::new(), anywhere: Vec::new() }));
    }
    let before = Figures::of(job, &job.check());
    let (divided, exhaustive) = divisions(&group, job);
    let screened = screen(job, group, &divided, watch)?;
    let group = &screened.group;
    let all = 1 + screened.here.len();
    let mut choices: Vec<Choice> = Vec::new();
    for (done, found) in screened.here.iter().enumerate() {
        tell(watch, Stage::PunchSteps, 1 + done, all)?;
        choices.extend(worked_out(job, group, found, &before));
    }
    let mut figures = vec![judged_by(&before)];
    figures.extend(choices.iter().map(|choice| judged_by(&choice.proposal.after)));
    let kept = not_dominated(&figures, ALIKE);
    let mut choices: Vec<Choice> = kept
        .into_iter()
        .filter(|&index| index > 0)
        .map(|index| choices[index - 1].clone())
        .collect();
    let peaks: Vec<f64> =
        choices.iter().map(|choice| choice.proposal.after.peak_upper.newtons()).collect();
    choices = order::rising(&peaks).into_iter().map(|index| choices[index].clone()).collect();
    let best = best(&choices, &before);
    let mut notes = Vec::new();
    if choices.is_empty() {
        notes.push(say!(
            "no step within the shear band, {} mm, lowers peak or reverse load by {} %",
            number(band(group).millimetres(), 2),
            number(100.0 * LEAST_GAIN, 0)
        ));
    }
    if best.is_none() && !choices.is_empty() {
        notes.push(
            tr("each choice pays for one figure with another: none is lower in peak and reverse load and no higher in the worst limit")
                .to_owned(),
        );
    }
    if let Err(missing) = &job.snap_through {
        notes.push(say!("reverse load could not be judged: {}", tr(missing.text())));
    }
    notes.extend(held_by_locked(job));
    Ok((StepAdvice { choices, best, notes, exhaustive }, screened))
}

const fn judged_by(figures: &Figures) -> [f64; 3] {
    let reverse = match figures.reverse_upper {
        Some(reverse) => reverse.newtons(),
        None => 0.0,
    };
    let balance = match figures.balance {
        Some(balance) => balance.share,
        None => 0.0,
    };
    [figures.peak_upper.newtons(), reverse, balance]
}

/// Of the punches that may be changed those that work at about the same height and carry most force.
fn group(job: &Job) -> Vec<Punch> {
    let all = punches(job);
    let mut best: Vec<Punch> = Vec::new();
    let force = |group: &[Punch]| group.iter().map(|punch| punch.force).sum::<f64>();
    for top in &all {
        let reach = top.thickness * APART;
        let near = |punch: &&Punch| punch.entry <= top.entry && punch.entry >= top.entry - reach;
        let group: Vec<Punch> = all.iter().filter(near).copied().collect();
        if force(&group) > force(&best) * (1.0 + 1e-9) {
            best = group;
        }
    }
    best
}

fn too_few(job: &Job, found: usize) -> String {
    let locked = job.locked.iter().filter(|&&locked| locked).count();
    let what = if found == 0 {
        tr("no cutting punch may be changed")
    } else {
        tr("only one cutting punch may be changed at its height")
    };
    if locked > 0 {
        say!("{}: {} of {} stations are locked", what, locked, job.stations.len())
    } else {
        what.to_owned()
    }
}

fn held_by_locked(job: &Job) -> Option<String> {
    let cuts = |station: &press_load::Station| {
        station.work.iter().any(|placed| matches!(placed.work, Work::Cut(_)))
    };
    let names: Vec<&str> = job
        .stations
        .iter()
        .zip(&job.locked)
        .filter(|(station, locked)| **locked && cuts(station))
        .map(|(station, _)| station.name.as_str())
        .collect();
    (!names.is_empty()).then(|| say!("locked and left as they are: {}", names.join(", ")))
}

/// The shallowest shear band of a group, which bounds its steps.
fn band(group: &[Punch]) -> Length {
    let band = group.iter().map(|punch| punch.band.metres()).fold(f64::INFINITY, f64::min);
    Length::from_metres(band)
}

/// Punches from the largest to the smallest, in classes of the same size.
fn classes(group: &[Punch]) -> Vec<Vec<usize>> {
    let sizes: Vec<f64> = group.iter().map(|punch| punch.size).collect();
    let mut classes: Vec<Vec<usize>> = Vec::new();
    for index in order::falling(&sizes) {
        match classes.last_mut() {
            // Against the first of its class, so that no chain of small differences becomes a large one.
            Some(class) if !group[index].is_smaller_than(&group[class[0]]) => class.push(index),
            _ => classes.push(vec![index]),
        }
    }
    classes
}

/// The ways to divide the punches into two or three groups, larger ones never later than smaller ones;
/// and whether these are all.
fn divisions(group: &[Punch], job: &Job) -> (Vec<Levels>, bool) {
    let classes = classes(group);
    let mut found: Vec<Levels> = Vec::new();
    if all_divisions(&classes, group.len(), &mut found) {
        return (found, true);
    }
    found.clear();
    let along = |of: fn(&press_load::Point) -> f64| {
        move |index: usize| {
            let punch = &group[index];
            let placed = &job.stations[punch.station].work[punch.work];
            let at =
                placed.motion.then(&press_load::Motion::new(job.stations[punch.station].at, 0.0));
            of(&at.shift)
        }
    };
    let orders: [&dyn Fn(usize) -> f64; 4] = [
        &|index| index as f64,
        &along(|at| at.x),
        &along(|at| at.y),
        &along(|at| -at.x.hypot(at.y)),
    ];
    for key in orders {
        let line: Vec<usize> = classes
            .iter()
            .flat_map(|class| {
                let keys: Vec<f64> = class.iter().map(|&index| key(index)).collect();
                order::rising(&keys).into_iter().map(|place| class[place]).collect::<Vec<usize>>()
            })
            .collect();
        let every = line.len().div_ceil(MOST_CUTS);
        let ends: Vec<usize> =
            (1..=line.len()).filter(|end| end % every == 0 || *end == line.len()).collect();
        for (i, &first) in ends.iter().enumerate() {
            for &second in &ends[i..] {
                let mut levels = vec![0; group.len()];
                for (place, &index) in line.iter().enumerate() {
                    levels[index] = usize::from(place >= first) + usize::from(place >= second);
                }
                found.push(without_gaps(levels));
            }
        }
    }
    found.retain(|levels| levels.iter().any(|&level| level > 0));
    (found, false)
}

/// Levels from 0 on, none of them empty.
fn without_gaps(mut levels: Levels) -> Levels {
    for level in [1, 0] {
        if !levels.contains(&level) {
            levels.iter_mut().filter(|own| **own > level).for_each(|own| *own -= 1);
        }
    }
    levels
}

/// All divisions; false once there are more than [`MOST_DIVIDED`].
fn all_divisions(classes: &[Vec<usize>], count: usize, found: &mut Vec<Levels>) -> bool {
    // For every class the least level that it may have, and the levels chosen so far.
    let mut open: Vec<(usize, usize, usize, Levels)> = vec![(0, 0, 0, vec![0; count])];
    // In a class: the level that all after it must not fall below is the highest in the class.
    while let Some((class, member, highest, levels)) = open.pop() {
        let Some(members) = classes.get(class) else {
            if levels.iter().any(|&level| level > 0) && without_gaps(levels.clone()) == levels {
                found.push(levels);
                if found.len() > MOST_DIVIDED {
                    return false;
                }
            }
            continue;
        };
        let Some(&index) = members.get(member) else {
            let highest = members.iter().map(|&index| levels[index]).fold(highest, usize::max);
            open.push((class + 1, 0, highest, levels));
            continue;
        };
        for level in highest..3 {
            let mut levels = levels.clone();
            levels[index] = level;
            open.push((class, member + 1, highest, levels));
        }
        // Each open way ends in at least one division.
        if open.len() + found.len() > 4 * MOST_DIVIDED {
            return false;
        }
    }
    true
}

/// Entries of a division: the first group where the highest punch is now, raised as far as the lower
/// ones have to be to get through.
fn entries(group: &[Punch], levels: &Levels, step: Length) -> Vec<Length> {
    let top = group.iter().map(|punch| punch.entry).fold(Length::ZERO, Length::max);
    let top = group
        .iter()
        .zip(levels)
        .map(|(punch, &level)| punch.lowest + step * level as f64)
        .fold(top, Length::max);
    levels
        .iter()
        .map(|&level| {
            let mm = (top - step * level as f64).millimetres();
            // Upwards, which only brings groups nearer to each other than a step where the first is
            // rounded up as well.
            Length::from_millimetres((mm / GRID_MM - 1e-6).ceil() / (1.0 / GRID_MM).round())
        })
        .collect()
}

/// A division with a step that is worth working out in full.
pub(crate) struct Found {
    levels: Levels,
    step: Length,
}

/// The divisions that no other beats in peak, sudden release and moment, all of them compared at the
/// same heights; the moment as the die stands, and as it would be with the die where that is least.
fn screen(
    job: &Job,
    punches: Vec<Punch>,
    divided: &[Levels],
    watch: &mut Watch,
) -> Result<Screened, BrokenOff> {
    let group = &punches[..];
    let top = {
        let highest =
            group.iter().map(|punch| punch.entry.max(punch.lowest)).fold(Length::ZERO, Length::max);
        (highest + band(group) * 2.0).metres()
    };
    let heights: Vec<f64> =
        (0..HEIGHTS).map(|i| top * (1.0 - (i as f64 + 0.5) / HEIGHTS as f64)).collect();
    let fixed = fixed_loads(job, group, &heights);
    // Sudden release is what lets go within a tenth of the thickness.
    let thickness =
        group.iter().map(|punch| punch.thickness.metres()).fold(f64::INFINITY, f64::min);
    let apart = ((0.1 * thickness / top * HEIGHTS as f64).ceil() as usize).max(1);
    let (x, y) = (job.press.off_centre_x.as_ref(), job.press.off_centre_y.as_ref());
    let (mut here, mut anywhere): (Vec<[f64; 3]>, Vec<[f64; 3]>) = (Vec::new(), Vec::new());
    let mut found: Vec<(usize, Length)> = Vec::new();
    // For each punch its loads at the entries that came up.
    let mut known: Vec<Vec<(Length, LoadSeries)>> = vec![Vec::new(); group.len()];
    for (number, levels) in divided.iter().enumerate() {
        if number % 256 == 0 {
            tell(watch, Stage::PunchSteps, 0, 1)?;
        }
        for part in STEPS {
            let step = floor_to_grid(band(group) * part);
            if !step.is_positive() {
                continue;
            }
            let mut sum = fixed.clone();
            for (index, entry) in entries(group, levels, step).into_iter().enumerate() {
                let known = &mut known[index];
                let place = match known.iter().position(|row| row.0 == entry) {
                    Some(place) => place,
                    None => {
                        known.push((entry, punch_loads(job, &group[index], entry, &heights)));
                        known.len() - 1
                    }
                };
                sum.add(&known[place].1);
            }
            let peak = sum.force.iter().copied().fold(0.0, f64::max);
            let release = (0..HEIGHTS.saturating_sub(apart))
                .map(|i| sum.force[i] - sum.force[i + apart])
                .fold(0.0, f64::max);
            let uses = |shifts: [Option<f64>; 2]| {
                let [at_x, at_y] = shifts;
                let x = AxisMoments { rating: x, force: &sum.force, moment: &sum.moment_x };
                let y = AxisMoments { rating: y, force: &sum.force, moment: &sum.moment_y };
                x.most_used(at_x).max(y.most_used(at_y))
            };
            here.push([peak, release, uses([Some(0.0); 2])]);
            anywhere.push([peak, release, uses([None; 2])]);
            found.push((number, step));
        }
    }
    let worth = |figures: &[[f64; 3]]| {
        let kept = most_different(figures, front(figures)).into_iter();
        kept.map(|index| Found { levels: divided[found[index].0].clone(), step: found[index].1 })
            .collect()
    };
    let (here, anywhere) = (worth(&here), worth(&anywhere));
    Ok(Screened { group: punches, here, anywhere })
}

/// A force going down through the stroke and its moment about one axis.
struct AxisMoments<'a> {
    rating: Option<&'a press_load::press::AxisRating>,
    force: &'a [f64],
    moment: &'a [f64],
}

impl AxisMoments<'_> {
    /// Largest share of the rating with the die shifted by so many metres, or by what makes it least.
    fn most_used(&self, shift: Option<f64>) -> f64 {
        let Some(rating) = self.rating else { return 0.0 };
        let used = |shift: f64| {
            let each = self.force.iter().zip(self.moment).filter(|(force, _)| **force > 0.0);
            each.map(|(&force, &moment)| {
                let offset = Length::from_metres(moment / force + shift);
                rating.use_of(Force::from_newtons(force), offset).share().min(1e9)
            })
            .fold(0.0, f64::max)
        };
        if let Some(shift) = shift {
            return used(shift);
        }
        // The largest of shares that each rise away from their own centre has one valley: its place is
        // narrowed down from both ends.
        let centres = self.force.iter().zip(self.moment).filter(|(force, _)| **force > 0.0);
        let (mut low, mut high) = centres
            .map(|(force, moment)| -moment / force)
            .fold((0.0_f64, 0.0_f64), |(low, high), at| (low.min(at), high.max(at)));
        for _ in 0..THIRDS {
            let third = (high - low) / 3.0;
            if used(low + third) <= used(high - third) {
                high -= third;
            } else {
                low += third;
            }
        }
        used(0.5 * (low + high))
    }
}

/// Of many those that are best by one figure or by all together.
fn most_different(figures: &[[f64; 3]], kept: Vec<usize>) -> Vec<usize> {
    if kept.len() <= MOST_IN_FULL {
        return kept;
    }
    let mut chosen: Vec<usize> = Vec::new();
    let scale = |part: usize| kept.iter().map(|&i| figures[i][part]).fold(1e-300, f64::max);
    let scales = [scale(0), scale(1), scale(2)];
    let weights =
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 1.0, 1.0], [1.0, 1.0, 0.0]];
    for nth in 0..kept.len() {
        for weights in weights {
            let score = |&i: &usize| (0..3).map(|p| weights[p] * figures[i][p] / scales[p]).sum();
            let scores: Vec<f64> = kept.iter().map(score).collect();
            let index = kept[order::rising(&scores)[nth]];
            if !chosen.contains(&index) {
                chosen.push(index);
            }
            if chosen.len() == MOST_IN_FULL {
                return chosen;
            }
        }
    }
    chosen
}

/// As [`not_dominated`] for many: what is kept is compared with what is kept.
fn front(figures: &[[f64; 3]]) -> Vec<usize> {
    let sums: Vec<f64> = figures.iter().map(|figures| figures[0]).collect();
    let mut kept: Vec<usize> = Vec::new();
    for index in order::rising(&sums) {
        let beaten = kept.iter().any(|&other| {
            (0..3).all(|part| figures[other][part] <= figures[index][part] * (1.0 + ALIKE))
        });
        if !beaten {
            kept.push(index);
        }
    }
    kept
}

fn floor_to_grid(length: Length) -> Length {
    let steps = (length.millimetres() / GRID_MM + 1e-6).floor();
    Length::from_millimetres(steps / (1.0 / GRID_MM).round())
}

/// Loads of everything that stays.
fn fixed_loads(job: &Job, group: &[Punch], heights: &[f64]) -> LoadSeries {
    let mut sum = LoadSeries::zero(heights.len());
    for (station, at) in job.stations.iter().enumerate() {
        for (work, placed) in at.work.iter().enumerate() {
            if !group.iter().any(|punch| (punch.station, punch.work) == (station, work)) {
                sum.add(&loads(job, station, &placed.work, &placed.motion, heights));
            }
        }
        if let Some(Stripper::Sprung(spring)) = &at.stripper {
            let spring = Work::Spring(spring.clone());
            sum.add(&loads(job, station, &spring, &press_load::Motion::NONE, heights));
        }
    }
    sum
}

fn punch_loads(job: &Job, punch: &Punch, entry: Length, heights: &[f64]) -> LoadSeries {
    let placed = &job.stations[punch.station].work[punch.work];
    let Some(cut) = cut(job, punch) else { return LoadSeries::zero(heights.len()) };
    let mut cut = cut.clone();
    cut.entry = entry;
    loads(job, punch.station, &Work::Cut(cut), &placed.motion, heights)
}

/// The job with a division made; nothing where it cannot be.
pub(crate) fn stepped(job: &Job, group: &[Punch], found: &Found) -> Option<Job> {
    with_entries(job, group, &entries(group, &found.levels, found.step))
}

fn with_entries(job: &Job, group: &[Punch], entries: &[Length]) -> Option<Job> {
    let top = job.press.drive.stroke();
    if entries.iter().any(|&entry| entry > top) {
        return None;
    }
    job.altered(|job| {
        for (punch, &entry) in group.iter().zip(entries) {
            if let Work::Cut(cut) = &mut job.stations[punch.station].work[punch.work].work {
                cut.entry = entry;
            }
        }
    })
    .ok()
}

/// A division worked out in full; nothing where it does not help, breaks something, or helps only until
/// the next regrind.
pub(crate) fn worked_out(
    job: &Job,
    group: &[Punch],
    found: &Found,
    before: &Figures,
) -> Option<Choice> {
    let entries = entries(group, &found.levels, found.step);
    if group.iter().zip(&entries).all(|(punch, &entry)| punch.entry == entry) {
        return None;
    }
    let changed = with_entries(job, group, &entries)?;
    let after = Figures::of(&changed, &changed.check());
    if !after.breaks_nothing(before) || !gains(&after, before) {
        return None;
    }
    let levels = 1 + found.levels.iter().copied().max().unwrap_or(0);
    let mut peak_reground = after.peak_upper;
    for ground in 0..levels {
        let reground: Vec<Length> = entries
            .iter()
            .zip(&found.levels)
            .map(|(&entry, &level)| if level == ground { entry - REGRIND } else { entry })
            .collect();
        let reground = with_entries(job, group, &reground)?;
        let figures = Figures::of(&reground, &reground.check());
        let better = |now: Option<Force>, was: Option<Force>| match (now, was) {
            (Some(now), Some(was)) => {
                now <= was || after.reverse_upper.is_some_and(|new| new > was)
            }
            _ => true,
        };
        let lower_peak =
            figures.peak_upper <= before.peak_upper || after.peak_upper > before.peak_upper;
        if !lower_peak
            || !better(figures.reverse_upper, before.reverse_upper)
            || !figures.breaks_nothing(before)
        {
            return None;
        }
        peak_reground = peak_reground.max(figures.peak_upper);
    }
    let steps: Vec<Step> = group
        .iter()
        .zip(&entries)
        .zip(&found.levels)
        .map(|((punch, &entry), &level)| Step {
            station: punch.station,
            work: punch.work,
            level,
            before: punch.entry,
            entry,
        })
        .collect();
    let edits = steps
        .iter()
        .filter(|step| step.entry != step.before)
        .map(|step| {
            let path = format!("stations[{}].work[{}].entry_mm", step.station, step.work);
            let hundredths = (step.entry.millimetres() / GRID_MM).round();
            Edit::new(path, hundredths / (1.0 / GRID_MM).round())
        })
        .collect();
    let top = group.iter().map(|punch| punch.entry).fold(Length::ZERO, Length::max);
    let raised = entries.iter().any(|&entry| entry > top);
    let proposal = Proposal {
        assumes: assumes(group, found, raised, job),
        edits,
        before: before.clone(),
        after,
    };
    Some(Choice { steps, levels, step: found.step, peak_reground, proposal })
}

/// Whether peak or reverse load falls by enough to be worth grinding.
fn gains(after: &Figures, before: &Figures) -> bool {
    let falls = |after: Force, before: Force| after <= before * (1.0 - LEAST_GAIN);
    let reverse = match (after.reverse_upper, before.reverse_upper) {
        // A reverse load of next to nothing is not worth a punch.
        (Some(after), Some(before_reverse)) => {
            falls(after, before_reverse) && before_reverse > before.peak_upper * 0.01
        }
        _ => false,
    };
    falls(after.peak_upper, before.peak_upper) || reverse
}

fn assumes(group: &[Punch], found: &Found, raised: bool, job: &Job) -> Vec<String> {
    let mut assumes = vec![
        say!(
            "steps of {} mm, the depth of the shear band being {} mm (penetration and thickness at their low ends)",
            number(found.step.millimetres(), 2),
            number(band(group).millimetres(), 2)
        ),
        say!(
            "punches are ground to these lengths, none through by less than {} mm at BDC; a group ground by itself by as much keeps the gain",
            number(REGRIND.millimetres(), 1)
        ),
        tr("no smaller punch is longer than a larger one").to_owned(),
    ];
    if raised {
        assumes.push(
            tr("the first group is longer than any punch is now, so that the last gets through at BDC")
                .to_owned(),
        );
    }
    if job.assumptions.contains(&evenstroke_job::Assumption::Penetration) {
        assumes.push(tr("penetration was not entered: 0.4 of the thickness is taken").to_owned());
    }
    assumes
}

/// The choice to name first.
fn best(choices: &[Choice], before: &Figures) -> Option<usize> {
    let fits = |choice: &&Choice| choice.proposal.after.raises_nothing(before);
    let score = |choice: &Choice| {
        let after = &choice.proposal.after;
        // Of those alike in the worst limit the one with the lower peak.
        (after.worst_share(), after.peak_upper.newtons())
    };
    let mut best: Option<usize> = None;
    for (index, choice) in choices.iter().enumerate().filter(|(_, choice)| fits(choice)) {
        let better = best.is_none_or(|best: usize| {
            let (own, other) = (score(choice), score(&choices[best]));
            own.0 < other.0 * (1.0 - ALIKE) || (own.0 <= other.0 * (1.0 + ALIKE) && own.1 < other.1)
        });
        if better {
            best = Some(index);
        }
    }
    best
}
