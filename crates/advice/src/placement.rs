//! Where to put the die, and what would balance it where no place does.

use crate::{
    Edit, Figures, Proposal, Used,
    figures::badness,
    progress::{BrokenOff, Stage, Watch, tell},
};
use evenstroke_job::{Job, units::UnitSystem, words};
use evenstroke_language::{say, tr};
use press_load::{
    Check, Die, Force, Length, Limit, LimitId, Motion, PlacedWork, Placement, Point, State,
    Station, StripState, Work,
    die_needs::highest_contact,
    order,
    place::{BestPlace, Bound, Interval, PlaceQuestion, Places, Room, Unmet, depends_on_place},
    press::Press,
    springs::{Spring, SpringKind},
};
use std::ops::ControlFlow;

/// Fineness of a place in millimetres: finer than any die is set.
const GRID_MM: f64 = 0.01;
/// A shift that lowers the worst share by less than this part of it is none (our own form: a die set
/// with a tape is off by more).
const LEAST_GAIN: f64 = 0.01;
/// A share lower by this part is worth other bolt places or slug holes (our own form).
const WORTH_DRILLING: f64 = 0.05;
/// How far towards the end of the die a balancing load is put (our own form: its spring has to stand
/// on the die).
const ALONG_DIE: f64 = 0.9;
/// Forces that are tried for a balancing load, evenly apart, and halvings between two of them.
const FORCES: u32 = 12;
const HALVINGS: u32 = 10;
/// How far above the height where it is needed a balancing load takes hold, in millimetres.
const LEAD_MM: f64 = 0.5;

/// A limit before and after.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain {
    /// Which.
    pub id: LimitId,
    /// Share before.
    pub before: f64,
    /// Share after.
    pub after: f64,
}

/// A better place for the die.
#[derive(Clone, Debug, PartialEq)]
pub struct Shift {
    /// Where the die's centre stands then.
    pub to: Placement,
    /// What is used most before, of the limits that depend on the place.
    pub before: Used,
    /// What is used most after.
    pub after: Used,
    /// Each of these limits.
    pub gains: Vec<Gain>,
    /// No place in the room has a worst share below this.
    pub no_lower: f64,
    /// The change, worked out anew.
    pub proposal: Proposal,
}

/// What tips the slide most with the die at its best place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cause {
    /// Index of the station.
    pub station: usize,
    /// Its moment about the press centre in newton metres, left–right and front–back.
    pub moment: Point,
    /// That of all stations.
    pub all: Point,
    /// Slide height.
    pub height: Length,
    /// Strip state.
    pub strip_state: StripState,
}

/// A load that would balance the die.
#[derive(Clone, Debug, PartialEq)]
pub struct Balance {
    /// Where, from the die's centre.
    pub at: Point,
    /// How much.
    pub force: Force,
    /// From which slide height on down to BDC.
    pub from: Length,
    /// A spring that gives it, as one more station, with the die at its best place.
    pub proposal: Proposal,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacementAdvice {
    /// A better place; nothing where there is none.
    pub shift: Option<Shift>,
    /// Why there is none.
    pub reason: Option<String>,
    /// Bounds that cannot be kept, and bounds that could not be looked at.
    pub notes: Vec<String>,
    /// What tips the slide even at the best place, where a limit is near or over there.
    pub cause: Option<Cause>,
    /// What would bring it within.
    pub balance: Option<Balance>,
}

/// Places the die.
///
/// # Errors
///
/// [`BrokenOff`] if `watch` says so.
pub fn placement(job: &Job, watch: &mut Watch) -> Result<PlacementAdvice, BrokenOff> {
    let question = PlaceQuestion::new(&job.press, &job.die, &job.stations, &job.stroke);
    let now = job.check();
    let before = Figures::of(job, &now);
    let none = || PlacementAdvice {
        shift: None,
        reason: Some(nothing_depends(&now)),
        notes: Vec::new(),
        cause: None,
        balance: None,
    };
    let Some(worst_before) = before.balance.filter(|_| !question.limits().is_empty()) else {
        return Ok(none());
    };
    let (mut done, mut told) = (0, Ok(()));
    let mut go_on = || {
        done += 1;
        told = tell(watch, Stage::Placement, done, done);
        if told.is_ok() { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
    };
    let found = find(job, &question, before.verdict, &mut go_on);
    let held = found.as_ref().and_then(|found| held_by_bolts_and_holes(job, found, &mut go_on));
    told?;
    let Some(Found { best, to, check, .. }) = found else { return Ok(none()) };
    let mut notes = notes(&best, job);
    notes.extend(held);
    let after = Figures::of(job, &check);
    let stands = job.die.placement;
    let inside = best.room.holds(stands.motion().shift);
    let moved = Point::new((to.x - stands.x).metres(), (to.y - stands.y).metres());
    let is_shift = moved.distance(Point::default()) > 0.5e-3 * GRID_MM
        && (is_gain(&after, &before) || !inside);
    let (cause, balance) = balance(job, &question, to, &after, watch)?;
    let Some(worst_after) = after.balance.filter(|_| is_shift) else {
        let share = words::share_words(worst_before.share);
        let reason = if best.room.unmet.is_empty() {
            say!(
                "no place in the room lowers the worst share, {}, by a hundredth of it and makes nothing else worse",
                share
            )
        } else {
            say!("what room there is leaves no place with a lower share than {}", share)
        };
        return Ok(PlacementAdvice { shift: None, reason: Some(reason), notes, cause, balance });
    };
    let proposal =
        Proposal { assumes: assumes(&best, job, inside), edits: edits(to), before, after };
    let shift = Shift {
        to,
        before: worst_before,
        after: worst_after,
        gains: gains(&now, &check),
        no_lower: best.no_lower,
        proposal,
    };
    Ok(PlacementAdvice { shift: Some(shift), reason: None, notes, cause, balance })
}

/// The best place as it can be written down.
struct Found {
    best: BestPlace,
    to: Placement,
    /// The die judged there.
    check: Check,
    /// The band in which it was looked for.
    band: Places,
}

/// The best place of a die whose verdict is `before` where it stands; nothing if no limit depends on it,
/// or if `go_on` breaks off.
fn find(
    job: &Job,
    question: &PlaceQuestion,
    before: State,
    go_on: &mut dyn FnMut() -> ControlFlow<()>,
) -> Option<Found> {
    let mut find_in = |band: Places| {
        let best = question.best(band, go_on)?;
        let to = on_grid(question, &best, job.die.placement);
        Some(Found { best, to, check: job.check_at(to), band })
    };
    let found = find_in(job.band)?;
    // A better balance is no gain where the die then fills bolster or slide to near a limit.
    match roomy(job) {
        Some(band) if badness(found.check.verdict) > badness(before) => find_in(band),
        _ => Some(found),
    }
}

/// Whether a shift is worth its while and makes nothing worse.
fn is_gain(after: &Figures, before: &Figures) -> bool {
    after.balance_share() <= before.balance_share() * (1.0 - LEAST_GAIN)
        && after.breaks_nothing(before)
        && badness(after.verdict) <= badness(before.verdict)
}

/// The part of the band in which the die comes near no end of bolster or slide, where it stands in it.
fn roomy(job: &Job) -> Option<Places> {
    let die = job.die.placed_footprint()?;
    let near_share = job.press.near_share(job.settings.near_share);
    let mut band = job.band;
    for area in [job.press.bolster, job.press.slide].into_iter().flatten() {
        let inside = |area: Length, die: Length| {
            // A hair below the share from which it counts as near.
            let half = (area * (near_share * (1.0 - 1e-6)) - die).metres() / 2.0;
            Interval { low: -half, high: half }
        };
        band.x = band.x.and(inside(area.width, die.width));
        band.y = band.y.and(inside(area.depth, die.depth));
    }
    band.holds(job.die.placement.motion().shift).then_some(band)
}

/// The best placement for a die that is to be judged in a press, judged there: where it stands, if no
/// place is better.
pub(crate) fn best_placement(job: &Job) -> (Placement, Check) {
    let question = PlaceQuestion::new(&job.press, &job.die, &job.stations, &job.stroke);
    let now = job.check();
    let found = find(job, &question, now.verdict, &mut || ControlFlow::Continue(()));
    let Some(found) = found else {
        let to = nearest_in_room(job);
        return (to, job.check_at(to));
    };
    let inside = found.best.room.holds(job.die.placement.motion().shift);
    if !inside || is_gain(&Figures::of(job, &found.check), &Figures::of(job, &now)) {
        (found.to, found.check)
    } else {
        (job.die.placement, now)
    }
}

/// Where nothing of load depends on the place, the die still has to stand on the bolster.
fn nearest_in_room(job: &Job) -> Placement {
    let room = Room::of(&job.press, &job.die, &job.stations, job.band);
    let at = room.nearest(job.die.placement.motion().shift);
    let (x, y) = (Length::from_metres(at.x), Length::from_metres(at.y));
    Placement { x, y, ..job.die.placement }
}

/// The best of the places about the exact one that can be written down in full.
fn on_grid(question: &PlaceQuestion, best: &BestPlace, stands: Placement) -> Placement {
    let exact = best.placement;
    let ends = |length: Length| {
        let steps = length.millimetres() / GRID_MM;
        let at = |steps: f64| steps / (1.0 / GRID_MM).round();
        // What lies on the grid but for rounding stays there.
        if (steps - steps.round()).abs() < 1e-6 {
            vec![at(steps.round())]
        } else {
            vec![at(steps.floor()), at(steps.ceil())]
        }
    };
    let mut found: Option<(f64, Placement)> = None;
    for &x in &ends(exact.x) {
        for &y in &ends(exact.y) {
            let (x, y) = (Length::from_millimetres(x), Length::from_millimetres(y));
            let at = Point::new(x.metres(), y.metres());
            if best.room.holds(at) {
                let share = question.share_at(at);
                if found.is_none_or(|(least, _)| share < least) {
                    found = Some((share, Placement { x, y, ..stands }));
                }
            }
        }
    }
    found.map_or(exact, |found| found.1)
}

/// A placement as it is written into the file: hundredths of a millimetre.
fn millimetres(length: Length) -> f64 {
    let mm = length.millimetres();
    let rounded = (mm / GRID_MM).round() / (1.0 / GRID_MM).round();
    if (mm - rounded).abs() < 1e-7 { rounded } else { mm }
}

/// The edits that put the die there.
pub fn edits(to: Placement) -> Vec<Edit> {
    vec![
        Edit::new("die.placement.x_mm", millimetres(to.x)),
        Edit::new("die.placement.y_mm", millimetres(to.y)),
    ]
}

/// Each limit that depends on the place, before and after.
fn gains(before: &Check, after: &Check) -> Vec<Gain> {
    let share = |limit: &Limit| limit.outcome.ok().map(|used| used.share);
    before
        .limits
        .iter()
        .zip(&after.limits)
        .filter(|(limit, _)| depends_on_place(limit.id))
        .filter_map(|(before, after)| {
            Some(Gain { id: before.id, before: share(before)?, after: share(after)? })
        })
        .collect()
}

fn nothing_depends(check: &Check) -> String {
    let lacking: Vec<&str> = [LimitId::OffCentreX, LimitId::OffCentreY]
        .iter()
        .filter_map(|&id| check.limit(id).outcome.err().map(|missing| tr(missing.text())))
        .collect();
    let mut reason = tr("no limit that depends on the place can be judged").to_owned();
    if !lacking.is_empty() {
        reason += &format!(": {}", lacking.join("; "));
    }
    reason
}

/// What a bound is called.
fn bound_words(bound: Bound) -> &'static str {
    tr(match bound {
        Bound::Bolster => "the area of the bolster",
        Bound::Slide => "the area of the slide",
        Bound::Band => "the band in which the die may stand",
        Bound::BolsterSlots => "the slots of the bolster",
        Bound::SlideSlots => "the slots of the slide",
        Bound::SlugHoles => "the slug holes",
    })
}

fn notes(best: &BestPlace, job: &Job) -> Vec<String> {
    let units = UnitSystem::Metric;
    let mut notes: Vec<String> = Vec::new();
    let is_large = |bound: Bound| {
        let size = match bound {
            Bound::Bolster => job.press.bolster,
            _ => job.press.slide,
        };
        let die = job.die.placed_footprint();
        size.zip(die).is_some_and(|(size, die)| die.width > size.width || die.depth > size.depth)
    };
    for (bound, name) in [(Bound::Bolster, "bolster"), (Bound::Slide, "slide")] {
        if is_large(bound) {
            notes.push(say!("no room: the die is larger than the {}; the nearest is to let it overhang alike on both sides", name));
        }
    }
    for Unmet { bound, short } in &best.room.unmet {
        let bound = bound_words(*bound);
        let note = match short {
            Some(short) => say!(
                "{} cannot be kept with what stands before it: the nearest place is {} off",
                bound,
                words::fine_length(*short, units)
            ),
            None => say!("{} cannot be kept at any place: none is large enough", bound),
        };
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    for bound in &best.room.unknown {
        notes.push(say!("{} could not be minded: not entered", bound_words(*bound)));
    }
    notes
}

/// What other bolt places and slug holes would be worth, where they keep the die from a better place.
fn held_by_bolts_and_holes(
    job: &Job,
    found: &Found,
    go_on: &mut dyn FnMut() -> ControlFlow<()>,
) -> Option<String> {
    if job.die.bolts.is_none() && job.press.openings.is_empty() {
        return None;
    }
    let die = Die { bolts: None, ..job.die.clone() };
    let press = Press { openings: Vec::new(), ..job.press.clone() };
    let question = PlaceQuestion::new(&press, &die, &job.stations, &job.stroke);
    let free = question.best(found.band, go_on)?;
    (free.share <= found.best.share * (1.0 - WORTH_DRILLING)).then(|| {
        say!("slots for the bolts or slug holes keep it from going farther: without them {} is to be had with its centre {}", words::share_words(free.share), place_words(free.placement, UnitSystem::Metric))
    })
}

/// Where the die's centre stands, in words.
pub fn place_words(placement: Placement, units: UnitSystem) -> String {
    match words::direction_words(placement.x, placement.y, units) {
        centre if centre == tr("at the centre") => tr("at that of the press").to_owned(),
        place => say!("{} of that of the press", place),
    }
}

fn assumes(best: &BestPlace, job: &Job, inside: bool) -> Vec<String> {
    let mut assumes = vec![
        tr("the turn of the die stays, and so do its stations").to_owned(),
        tr("the upper line over the whole stroke, in every strip state").to_owned(),
    ];
    if best.searched {
        assumes.push(say!(
            "slide tilt was searched for, not solved: no place does better than {}",
            words::share_words(best.no_lower)
        ));
    }
    if job.band == Places::EVERYWHERE {
        assumes.push(tr("no feed-line band entered: the feed has to follow the die").to_owned());
    }
    if !inside {
        assumes.push(tr("where it stands now the die is outside the room").to_owned());
    }
    assumes
}

/// What tips the slide with the die at `to`, and a load that would balance it, where a limit is near or
/// over there.
fn balance(
    job: &Job,
    question: &PlaceQuestion,
    to: Placement,
    after: &Figures,
    watch: &mut Watch,
) -> Result<(Option<Cause>, Option<Balance>), BrokenOff> {
    let near = job.press.near_share(job.settings.near_share);
    if after.balance_share() < near {
        return Ok((None, None));
    }
    let Some(cause) = cause(job, question, to) else { return Ok((None, None)) };
    let target = |share: f64| share * (1.0 - 1e-9);
    let mut best: Option<Balance> = None;
    for share in [target(near), target(1.0)] {
        for along_x in [true, false] {
            let found = load_along(job, to, &cause, along_x, share, after, watch)?;
            if let Some(found) = found
                && best.as_ref().is_none_or(|best| found.force < best.force)
            {
                best = Some(found);
            }
        }
        if best.is_some() || after.balance_share() <= 1.0 {
            break;
        }
    }
    Ok((Some(cause), best))
}

/// The station with the largest part in the moment where the worst limit is worst.
fn cause(job: &Job, question: &PlaceQuestion, to: Placement) -> Option<Cause> {
    let at = to.motion().shift;
    let uses = question.uses_at(at);
    let worst = uses.iter().reduce(|worst, other| {
        if order::is_greater(other.share, worst.share) { other } else { worst }
    })?;
    let moments = question.moments(worst.row, worst.strip_state, at);
    let all = moments
        .iter()
        .fold(Point::default(), |sum, part| Point::new(sum.x + part.x, sum.y + part.y));
    // Along the direction in which the limit is used; of the larger moment where both count.
    let along_x = match worst.id {
        LimitId::OffCentreX => true,
        LimitId::OffCentreY => false,
        _ => all.x.abs() >= all.y.abs(),
    };
    let part = |moment: &Point| {
        if along_x { moment.x * all.x.signum() } else { moment.y * all.y.signum() }
    };
    let station = (0..moments.len()).reduce(|most, other| {
        if order::is_greater(part(&moments[other]), part(&moments[most])) { other } else { most }
    })?;
    Some(Cause {
        station,
        moment: moments[station],
        all,
        height: job.stroke.rows[worst.row].height,
        strip_state: worst.strip_state,
    })
}

/// The least load towards one end of the die that brings all limits that depend on the place to `share`
/// and breaks nothing else.
fn load_along(
    job: &Job,
    to: Placement,
    cause: &Cause,
    along_x: bool,
    share: f64,
    before: &Figures,
    watch: &mut Watch,
) -> Result<Option<Balance>, BrokenOff> {
    let Some(die) = job.die.placed_footprint() else { return Ok(None) };
    if job.stations.len() >= MOST_STATIONS {
        return Ok(None);
    }
    let (moment, size, shift) = if along_x {
        (cause.all.x, die.width.metres(), to.x.metres())
    } else {
        (cause.all.y, die.depth.metres(), to.y.metres())
    };
    let off = -moment.signum() * ALONG_DIE * size / 2.0;
    let lever = (shift + off) * -moment.signum();
    if moment == 0.0 || lever <= 0.0 {
        return Ok(None);
    }
    let turned = if along_x { Point::new(off, 0.0) } else { Point::new(0.0, off) };
    let at = Motion::new(Point::default(), job.die.placement.turn_deg).turn_back(turned);
    // In the file's own fineness, so that what is judged is what is proposed.
    let at = Point::from_millimetres(tenths(at.x * 1e3), tenths(at.y * 1e3));
    let first = highest_contact(&job.stations);
    let lead = cause.height + Length::from_millimetres(LEAD_MM);
    let most = 2.0 * moment.abs() / lever;
    let mut done = 0;
    let starts = [lead, first.max(lead)].map(|from| {
        let mm = from.min(job.press.drive.stroke()).millimetres();
        Length::from_millimetres(tenths(mm).max(0.1))
    });
    // What does not do from one height on need not be tried again from the same.
    let starts = if starts[0] == starts[1] { &starts[..1] } else { &starts[..] };
    for &from in starts {
        let mut judge = |newtons: f64| -> Result<Option<(Force, Figures)>, BrokenOff> {
            done += 1;
            tell(watch, Stage::Balance, done, (2 * (FORCES + HALVINGS)) as usize)?;
            let force = Force::from_kilonewtons((newtons * 1e-2).ceil() * 0.1);
            let changed = with_load(job, to, at, force, from);
            Ok(changed.map(|job| (force, Figures::of(&job, &job.check()))).filter(|(_, after)| {
                after.balance_share() <= share && after.breaks_nothing(before)
            }))
        };
        let mut found = None;
        let mut ends = (0.0, most);
        for step in 1..=FORCES {
            let newtons = most * f64::from(step) / f64::from(FORCES);
            if let Some(does) = judge(newtons)? {
                (found, ends.1) = (Some(does), newtons);
                break;
            }
            ends.0 = newtons;
        }
        if found.is_none() {
            continue;
        }
        for _ in 0..HALVINGS {
            let newtons = 0.5 * (ends.0 + ends.1);
            match judge(newtons)? {
                Some(does) => (found, ends.1) = (Some(does), newtons),
                None => ends.0 = newtons,
            }
        }
        let Some((force, after)) = found else { continue };
        let mut all = edits(to);
        all.push(Edit::new(
            format!("stations[{}]", job.stations.len()),
            serde_json::json!({
                "name": NAME,
                "x_mm": tenths(at.x * 1e3),
                "y_mm": tenths(at.y * 1e3),
                "strip_position": position(job),
                "work": [{
                    "op": "spring", "kind": "cushion",
                    "force_kn": tenths(force.kilonewtons()),
                    "entry_mm": tenths(from.millimetres()),
                }],
            }),
        ));
        let proposal = Proposal {
            assumes: vec![
                tr("the die at its best place").to_owned(),
                tr("a load that stays the same from where it takes hold down to BDC, with stock under it or without: a gas spring, or a squeezing station with stock").to_owned(),
                say!("it stands at {} % of the way to the end of the die", 100.0 * ALONG_DIE),
            ],
            edits: all,
            before: before.clone(),
            after,
        };
        return Ok(Some(Balance { at, force, from, proposal }));
    }
    Ok(None)
}

const NAME: &str = "Balancing load";
/// Stations that a job file may hold.
const MOST_STATIONS: usize = 500;

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// A strip position that the die has already, so that no strip state is added.
fn position(job: &Job) -> u32 {
    job.stations.first().map_or(1, |station| station.strip_position).max(1)
}

fn with_load(job: &Job, to: Placement, at: Point, force: Force, from: Length) -> Option<Job> {
    let spring = Spring { kind: SpringKind::Cushion { force, stroke: from }, entry: from };
    let station = Station {
        name: NAME.to_owned(),
        at,
        strip_position: position(job),
        stock: None,
        work: vec![PlacedWork { work: Work::Spring(spring), motion: Motion::NONE }],
        stripper: None,
    };
    job.altered(|job| {
        job.die.placement = to;
        job.stations.push(station);
        job.locked.push(false);
    })
    .ok()
}
