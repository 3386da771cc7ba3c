//! How much of the cutting clearance tilting eats.

use super::{
    SlideRow, SlideSprings,
    descent::{Slide, Tables},
};
use crate::{
    Length, Missing, Motion, Point, Station, StripState, Stroke,
    cut_profile::DEFAULT_CLEARANCE_PERCENT,
    die::{Die, Work},
    order,
    press::{Frame, Press},
    stroke::StrokeLine,
};

/// A strip state costs about its rows times its stations, some ten nanoseconds each; what would cost
/// more than this is spent on the states that tilt most, at least [`FEWEST_STATES`], so that a die
/// can be dragged.
const MOST_WORK: usize = 60_000;
/// Strip states that are followed however large the die is.
const FEWEST_STATES: usize = 3;
/// A moment of less than this part of force times reach is none.
const NO_MOMENT: f64 = 1e-9;

/// The worst that tilting does to a cutting edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TiltUse {
    /// Index of the station whose clearance is eaten most.
    pub station: usize,
    /// How far punch and die are out of line there.
    pub mismatch: Length,
    /// Cutting clearance of that station, per side.
    pub clearance: Length,
    /// The slide at that moment.
    pub row: SlideRow,
    /// Tilt left–right that is counted, in radians: the slide's, and what the gibs let it where nothing
    /// else holds it.
    pub counted_x: f64,
    /// The same front–back.
    pub counted_y: f64,
    /// Strip state.
    pub strip_state: StripState,
    /// Largest tilt front–back by which a gap frame opens, in radians.
    pub frame_tilt: f64,
}

impl TiltUse {
    /// Part of the clearance that is eaten.
    pub fn share(&self) -> f64 {
        self.mismatch / self.clearance
    }
}

/// The worst tilt of the upper line in all strip states.
///
/// A punch of the upper die moves sideways against the die by tilt times lever; the lever is taken
/// as the whole closed height of the die, which is more than the upper half has, since the slide
/// turns about a place above its face (our own form). The measured parallelism tilts the die as the
/// load does, and the whole play of the gibs is added. Directions are not told apart, because closed
/// outlines have edges in all of them, and a punch counts from its first touch down to BDC, with
/// stock under it or without: once it is through, its edge stands in the die.
///
/// A direction in which nothing is known to hold the slide is bounded by the gibs: play over length.
///
/// # Errors
///
/// [`Missing`] naming what has to be known first. What is over is over, whatever is missing besides.
pub fn worst_tilt(
    press: &Press,
    die: &Die,
    stations: &[Station],
    stroke: &Stroke,
    states: &[StripState],
) -> Result<Option<TiltUse>, Missing> {
    let edges = cutting_edges(die, stations, stroke);
    if edges.is_empty() {
        return Err(Missing::CuttingStation);
    }
    let springs = SlideSprings::of(press)?;
    let lever = die.shut_height.ok_or(Missing::DieShutHeight)?.metres();
    let level = &press.level;
    let line = &stroke.upper;
    let tables = Tables::new(line, stroke, &die.placement.motion());

    let play = level.gib_clearance.unwrap_or_default();
    let free_tilt = level.gib_length.map_or(0.0, |length| play / length);
    let free = |held: bool| if held { 0.0 } else { free_tilt };
    let (free_x, free_y) = (free(springs.held_x), free(springs.held_y));
    let parallelism = level.parallelism.unwrap_or(0.0);
    let tightest = edges.iter().map(|edge| edge.clearance).fold(f64::INFINITY, f64::min);

    let mut worst: Option<TiltUse> = None;
    let mut worst_share = -1.0;
    let (mut moment_x, mut moment_y, mut force) = (0.0_f64, 0.0_f64, 0.0_f64);
    let placement = die.placement.motion();
    for state in states_worth_following(&springs, &tables, line, states, &placement) {
        let mut see = |row: SlideRow| {
            force = force.max(row.force);
            // A direction that nothing holds is tilted by any moment at all.
            let reach = NO_MOMENT * row.force * (lever + tables.reach);
            let acts = |moment: f64| if moment.abs() > reach { moment.abs() } else { 0.0 };
            moment_x = moment_x.max(acts(row.moment_x));
            moment_y = moment_y.max(acts(row.moment_y));
            let tilt = |tilt: f64, free: f64, moment: f64| {
                tilt.abs() + if acts(moment) > 0.0 { free } else { 0.0 }
            };
            let (x, y) =
                (tilt(row.tilt_x, free_x, row.moment_x), tilt(row.tilt_y, free_y, row.moment_y));
            let mismatch = (x.hypot(y) + parallelism) * lever + play.metres();
            if mismatch <= worst_share * tightest {
                return;
            }
            for edge in &edges {
                let share = mismatch / edge.clearance;
                if order::is_greater(share, worst_share)
                    && row.height_at(edge.at).metres() <= edge.entry
                {
                    worst_share = share;
                    worst = Some(TiltUse {
                        station: edge.station,
                        mismatch: Length::from_metres(mismatch),
                        clearance: Length::from_metres(edge.clearance),
                        row,
                        counted_x: x,
                        counted_y: y,
                        strip_state: state,
                        frame_tilt: 0.0,
                    });
                }
            }
        };
        Slide::new(&springs, &tables, line, state).follow(&mut see)?;
    }
    if worst_share <= 1.0 {
        let unknown = |held: bool, moment: f64| {
            !held && moment > 0.0 && (level.gib_clearance.is_none() || level.gib_length.is_none())
        };
        if press.frame == Some(Frame::GapFrame) && force > 0.0 {
            level.frame_tilt_at_rated.ok_or(Missing::FrameTilt)?;
            press.rated_force.ok_or(Missing::RatedForce)?;
        }
        if unknown(springs.held_x, moment_x) {
            return Err(Missing::TiltStiffnessX);
        }
        if unknown(springs.held_y, moment_y) {
            return Err(Missing::TiltStiffnessY);
        }
    }
    let frame_tilt = springs.frame_tilt * force;
    Ok(worst.map(|worst| TiltUse { frame_tilt, ..worst }))
}

/// A station's tightest cut.
struct CuttingEdge {
    station: usize,
    at: Point,
    entry: f64,
    clearance: f64,
}

/// The cutting stations with their clearance: percent of the thickness as ordered, by which tools
/// are ground.
fn cutting_edges(die: &Die, stations: &[Station], stroke: &Stroke) -> Vec<CuttingEdge> {
    let placement = die.placement.motion();
    let mut edges = Vec::new();
    for (index, (station, curve)) in stations.iter().zip(&stroke.nominal.stations).enumerate() {
        let mut edge: Option<CuttingEdge> = None;
        for placed in &station.work {
            let Work::Cut(cut) = &placed.work else { continue };
            let percent = cut.clearance_percent.unwrap_or(DEFAULT_CLEARANCE_PERCENT);
            let clearance = curve.sheet.thickness().metres() * percent / 100.0;
            let entry = cut.entry.metres();
            match &mut edge {
                Some(edge) => {
                    edge.clearance = edge.clearance.min(clearance);
                    edge.entry = edge.entry.max(entry);
                }
                None => {
                    let at = placement.apply(station.at);
                    edge = Some(CuttingEdge { station: index, at, entry, clearance });
                }
            }
        }
        edges.extend(edge);
    }
    edges
}

/// All states of a die of usual size; of a very large one those in which the die would tilt a slide
/// most that does not give way to the stations one by one.
fn states_worth_following(
    springs: &SlideSprings,
    tables: &Tables,
    line: &StrokeLine,
    states: &[StripState],
    placement: &Motion,
) -> Vec<StripState> {
    let rows: usize = tables.all.iter().map(|table| table.rows.len()).sum();
    let affordable = (MOST_WORK / (rows * tables.all.len()).max(1)).max(FEWEST_STATES);
    if states.len() <= affordable {
        return states.to_vec();
    }
    let mut seen = Vec::with_capacity(states.len());
    let mut tilts = Vec::with_capacity(states.len());
    line.for_each_state(states, placement, |state, total| {
        let mut most = 0.0_f64;
        for index in 0..total.force.len() {
            let [_, x, y] =
                springs.give([total.force[index], total.moment_x[index], total.moment_y[index]]);
            most = most.max(x * x + y * y);
        }
        seen.push(state);
        tilts.push(most);
    });
    let worst = order::falling(&tilts).into_iter().take(affordable);
    worst.map(|index| seen[index]).collect()
}
