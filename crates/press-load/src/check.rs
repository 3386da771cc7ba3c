//! The die judged against the press.

use crate::{
    Energy, Force, Length, Line, LoadSeries, Point, Sheet, SnapThrough, Stress, Stroke,
    cutting::{BUCKLING_SHARE, Cut, CutKind, CutModel, PUNCH_STRESS_LIMIT, ShearSide},
    deep_drawing::Draw,
    die::{Die, DieKind, Station, Work},
    limits::{Limit, LimitId, LimitUnit, Missing, State, Use},
    press::{Footprint, Frame, Press, RatingUse, Suspension},
    slide_on_springs::{TiltUse, worst_tilt},
    squeezing::gain_per_tenth_millimetre,
    strip::StripState,
    stripping::Stripper,
    stroke::highest_index,
};

/// Reverse load a press stands as a share of its rated force where its maker gives none: "about
/// 10 % of maximum rated forward load, with exceptions" (P. Ulintz, "Managing Reverse Tonnage",
/// *MetalForming*).
pub const DEFAULT_REVERSE_SHARE: f64 = 0.10;

/// Part of the bed that a die has to span to be allowed the whole rated force (P. Ulintz, "Setting
/// Small Dies in Large Presses", *MetalForming*, 22 Nov 2024); below it the force is taken pro rata
/// to length, which is our own form: the press's chart rules.
pub const FULL_FORCE_BED_SHARE: f64 = 2.0 / 3.0;

/// The highest point of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Force there.
    pub force: Force,
    /// Slide height above BDC.
    pub height: Length,
    /// Load centre on the bolster.
    pub centre: Point,
}

/// A row of the curve on the bolster.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveRow {
    /// Slide height above BDC.
    pub height: Length,
    /// Nominal force, strip full.
    pub force: Force,
    /// Upper force, strip full.
    pub upper: Force,
    /// Force the press allows there, where known.
    pub available: Option<Force>,
    /// Nominal load centre, where a force acts.
    pub centre: Option<Point>,
}

/// Something the setter has to know that is no limit.
#[derive(Clone, Debug, PartialEq)]
pub enum Caution {
    /// A cut is not through at BDC.
    UnfinishedCut {
        /// Station name.
        station: String,
        /// How much deeper it would have to go.
        missing: Length,
    },
    /// Only the cut length is known, so the load centre is that of the station point.
    LengthOnly {
        /// Station name.
        station: String,
    },
    /// A spring is pushed farther than its stroke.
    SpringPastStroke {
        /// Station name.
        station: String,
        /// Travel from first touch to BDC.
        travel: Length,
        /// Its stroke.
        stroke: Length,
    },
    /// A draw takes in more than one draw can.
    DrawingRatioAboveLimit {
        /// Station name.
        station: String,
        /// Diameter before over punch diameter.
        ratio: f64,
        /// Largest ratio of one such draw.
        limit: f64,
    },
    /// A draw or ironing needs more force than the wall of its cup carries: the bottom tears off.
    WallTears {
        /// Station name.
        station: String,
        /// Nominal force of the draw.
        force: Force,
        /// Force at which the wall tears.
        limit: Force,
    },
    /// A hole flange is so high that its wall splits.
    HoleFlangeTooHigh {
        /// Station name.
        station: String,
        /// Height of the flange.
        height: Length,
        /// Height at which the wall splits.
        limit: Length,
    },
    /// A piercing punch is pressed harder than tool steel usually stands.
    PunchOverstressed {
        /// Station name.
        station: String,
        /// Mean pressure on the punch, upper line.
        stress: Stress,
        /// Pressure from which on it is cautioned.
        limit: Stress,
    },
    /// A piercing punch is so slender that it may buckle.
    PunchBuckles {
        /// Station name.
        station: String,
        /// Force on the punch, upper line.
        force: Force,
        /// Euler's force of the punch.
        limit: Force,
    },
    /// Tool shear is ground on the side that bends what is to be kept flat.
    ShearBendsPart {
        /// Station name.
        station: String,
        /// Where it is ground.
        on: ShearSide,
    },
    /// A lance with a closed outline, which frees a slug.
    LanceClosed {
        /// Station name.
        station: String,
    },
    /// Shaving without its allowance, taken as a cut through the whole thickness.
    ShaveWithoutAllowance {
        /// Station name.
        station: String,
    },
    /// Work that stands on the bottom: the press's stiffness says what shut height is worth there.
    ShutHeightGain {
        /// Station name.
        station: String,
        /// Force that 0.1 mm adds.
        gain: Force,
    },
    /// A gap frame opens at the front even under a load in the middle.
    FrameTilts {
        /// How far at the highest force, a length per length.
        tilt: f64,
    },
    /// The load acts outside the suspension points, so one of them is pulled.
    PointLifts {
        /// Slide height where it is worst.
        height: Length,
        /// Strip state.
        strip_state: StripState,
    },
    /// No station does anything.
    NoWork,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Worst of the limits; not checked if an essential one is not and none is over.
    pub verdict: State,
    /// Highest point of the nominal curve, strip full; nothing if no force acts.
    pub peak: Option<Peak>,
    /// The same on the upper line.
    pub peak_upper: Option<Peak>,
    /// Nominal work per stroke.
    pub energy: Energy,
    /// Work per stroke on the upper line.
    pub energy_upper: Energy,
    /// Pull on the slide by stripping on the way up, nominal.
    pub stripping: Force,
    /// Reverse load after the cut breaks through, nominal; an estimate, where it could be made.
    pub reverse: Option<Force>,
    /// Where tilting eats most of a cutting clearance, where it could be judged.
    pub tilt: Option<TiltUse>,
    /// In the order of [`LimitId::ALL`].
    pub limits: Vec<Limit>,
    /// What else to mind.
    pub cautions: Vec<Caution>,
    /// Down-stroke, strip full.
    pub curve: Vec<CurveRow>,
    /// The states the strip goes through.
    pub strip_states: Vec<StripState>,
}

impl Check {
    /// One limit.
    pub fn limit(&self, id: LimitId) -> &Limit {
        &self.limits[LimitId::ALL.iter().position(|&other| other == id).unwrap_or(0)]
    }
}

/// The largest use of a limit seen so far.
#[derive(Clone, Copy, Default)]
struct Worst {
    worst: Option<Use>,
    /// Whether the worst use is of a moment rating rather than of a force.
    of_moment: bool,
}

impl Worst {
    fn see(
        &mut self,
        share: f64,
        demand: f64,
        limit: f64,
        height: Length,
        strip_state: StripState,
    ) {
        // Of equal states the full strip is named, which everybody can picture.
        let worse = self.worst.is_none_or(|worst| {
            share > worst.share
                || (share == worst.share
                    && strip_state == StripState::Full
                    && worst.strip_state != StripState::Full)
        });
        if worse {
            self.worst = Some(Use { share, demand, limit, at_height: Some(height), strip_state });
        }
    }

    /// A die without any force uses nothing of the limit.
    fn into_use(self, limit: f64) -> Use {
        self.worst.unwrap_or(Use {
            share: 0.0,
            demand: 0.0,
            limit,
            at_height: None,
            strip_state: StripState::Full,
        })
    }
}

/// Judges `die` with its `stations`, whose loads are `stroke`, in `press`.
///
/// `near_share` is the share from which a limit counts as near; the frame's own if not given.
pub fn check(
    press: &Press,
    die: &Die,
    stations: &[Station],
    stroke: &Stroke,
    near_share: Option<f64>,
) -> Check {
    let snap_through = SnapThrough::new(press, die.upper_mass, stroke);
    check_with(press, die, stations, stroke, &snap_through, near_share)
}

/// As [`fn@check`], with the snap-through worked out before: it does not depend on where the die
/// stands, so that a die can be dragged without following the slide through time again.
pub fn check_with(
    press: &Press,
    die: &Die,
    stations: &[Station],
    stroke: &Stroke,
    snap_through: &Result<SnapThrough, Missing>,
    near_share: Option<f64>,
) -> Check {
    let placement = die.placement.motion();
    let near_share = near_share
        .unwrap_or_else(|| press.frame.unwrap_or(Frame::StraightSide).default_near_share());
    let nominal = stroke.nominal.total(StripState::Full, &placement);
    let upper = stroke.upper.total(StripState::Full, &placement);
    let available: Vec<Option<Force>> =
        stroke.rows.iter().map(|row| press.available_force(row.height)).collect();
    let strip_states = StripState::all(die.kind, stations);

    let worst = ForceLimits::find(press, die, stroke, &strip_states, &available);
    let energy_upper = stroke.upper.work();
    let stripping_upper = slide_pull(stroke, stations, Line::Upper);
    let tilt = worst_tilt(press, die, stations, stroke, &strip_states);
    let outcome = |id| -> Result<Use, Missing> {
        match id {
            LimitId::RatedForce => {
                let rated = press.rated_force.ok_or(Missing::RatedForce)?;
                Ok(worst.rated.into_use(rated.kilonewtons()))
            }
            LimitId::ForceAtHeight => worst.force_at_height(press),
            LimitId::OffCentreX => {
                press.off_centre_x.as_ref().ok_or(Missing::OffCentreX)?;
                Ok(worst.off_centre_x.into_use(0.0))
            }
            LimitId::OffCentreY => {
                press.off_centre_y.as_ref().ok_or(Missing::OffCentreY)?;
                Ok(worst.off_centre_y.into_use(0.0))
            }
            LimitId::SuspensionLoad => {
                let points = press.suspension.ok_or(Missing::Suspension)?.points();
                let rated = press.rated_force.ok_or(Missing::RatedForce)?;
                Ok(worst.suspension.into_use(rated.kilonewtons() / f64::from(points)))
            }
            LimitId::ConcentratedLoad => {
                Ok(worst.concentrated.into_use(concentrated_limit(press, die)?.kilonewtons()))
            }
            LimitId::WorkingEnergy => working_energy(press, energy_upper),
            LimitId::MotorPower => motor_power(press, energy_upper),
            LimitId::StripperForce => stripper_force(stroke, stations),
            LimitId::StrippingLoad => {
                let rated = press.rated_force.ok_or(Missing::RatedForce)?;
                let limit = rated * press.reverse_share.unwrap_or(DEFAULT_REVERSE_SHARE);
                Ok(plain_use(stripping_upper.kilonewtons(), limit.kilonewtons()))
            }
            LimitId::ShutHeight => shut_height(press, die),
            LimitId::BolsterFit => fit(die, press.bolster.ok_or(Missing::BolsterSize)?),
            LimitId::SlideFit => fit(die, press.slide.ok_or(Missing::SlideSize)?),
            LimitId::ReverseLoad => {
                let rated = press.rated_force.ok_or(Missing::RatedForce)?;
                let snap = (*snap_through)?;
                let limit = rated * press.reverse_share.unwrap_or(DEFAULT_REVERSE_SHARE);
                let used = plain_use(snap.upper.kilonewtons(), limit.kilonewtons());
                Ok(Use { at_height: Some(snap.upper_at), ..used })
            }
            LimitId::SlideTilt => Ok(tilt?.map_or_else(|| plain_use(0.0, 0.0), tilt_use)),
            LimitId::UpperDieHold | LimitId::Daylight | LimitId::GuideEngagement => {
                Err(Missing::ByHand)
            }
        }
    };
    let limits: Vec<Limit> = LimitId::ALL
        .iter()
        .map(|&id| {
            let outcome = outcome(id);
            let state =
                outcome.map_or(State::NotChecked, |used| State::of_share(used.share, near_share));
            let unit = unit_of(id, &worst);
            Limit { id, state, unit, outcome }
        })
        .collect();

    let curve = stroke
        .rows
        .iter()
        .enumerate()
        .map(|(i, row)| CurveRow {
            height: row.height,
            force: Force::from_newtons(nominal.force[i]),
            upper: Force::from_newtons(upper.force[i]),
            available: available[i],
            centre: nominal.centre(i),
        })
        .collect();

    Check {
        verdict: verdict(&limits, stations),
        peak: peak(stroke, &nominal),
        peak_upper: peak(stroke, &upper),
        energy: stroke.nominal.work(),
        energy_upper,
        stripping: slide_pull(stroke, stations, Line::Nominal),
        reverse: snap_through.ok().map(|snap| snap.nominal),
        cautions: cautions(press, stations, stroke, &worst, tilt.ok().flatten()),
        tilt: tilt.ok().flatten(),
        limits,
        curve,
        strip_states,
    }
}

fn verdict(limits: &[Limit], stations: &[Station]) -> State {
    let any = |state| limits.iter().any(|limit| limit.state == state);
    let essential_open =
        limits.iter().any(|limit| limit.id.is_essential() && limit.state == State::NotChecked);
    let nothing_to_check = stations.iter().all(|station| station.work.is_empty());
    if any(State::Over) {
        State::Over
    } else if essential_open || nothing_to_check {
        State::NotChecked
    } else if any(State::Near) {
        State::Near
    } else {
        State::Within
    }
}

fn peak(stroke: &Stroke, total: &LoadSeries) -> Option<Peak> {
    let index = highest_index(&total.force)?;
    Some(Peak {
        force: Force::from_newtons(total.force[index]),
        height: stroke.rows[index].height,
        centre: total.centre(index)?,
    })
}

/// The limits that depend on force and load centre, each at its worst over the whole stroke and all
/// strip states, on the upper line.
#[derive(Default)]
struct ForceLimits {
    rated: Worst,
    force_at_height: Worst,
    off_centre_x: Worst,
    off_centre_y: Worst,
    suspension: Worst,
    concentrated: Worst,
    /// A force acts where the available force is unknown.
    unknown_height: bool,
    /// Least part carried by a suspension point.
    lifting: Option<(f64, Length, StripState)>,
}

impl ForceLimits {
    fn find(
        press: &Press,
        die: &Die,
        stroke: &Stroke,
        states: &[StripState],
        available: &[Option<Force>],
    ) -> Self {
        let mut found = Self::default();
        let placement = die.placement.motion();
        let concentrated = concentrated_limit(press, die).ok();
        stroke.upper.for_each_state(states, &placement, |state, total| {
            for (index, row) in stroke.rows.iter().enumerate() {
                let force = total.force[index];
                if force <= 0.0 {
                    continue;
                }
                let height = row.height;
                let kilonewtons = force * 1e-3;
                let force = Force::from_newtons(force);
                if let Some(rated) = press.rated_force {
                    let share = force / rated;
                    found.rated.see(share, kilonewtons, rated.kilonewtons(), height, state);
                }
                match available[index] {
                    Some(allowed) => found.force_at_height.see(
                        force / allowed,
                        kilonewtons,
                        allowed.kilonewtons(),
                        height,
                        state,
                    ),
                    None => found.unknown_height = true,
                }
                if let Some(limit) = concentrated {
                    found.concentrated.see(
                        force / limit,
                        kilonewtons,
                        limit.kilonewtons(),
                        height,
                        state,
                    );
                }
                let x = Length::from_metres(total.moment_x[index] / force.newtons());
                let y = Length::from_metres(total.moment_y[index] / force.newtons());
                let see_rating = |worst: &mut Worst, used: RatingUse| {
                    let before = worst.worst;
                    let of_moment = match used {
                        RatingUse::Moment { share, demand, limit } => {
                            let (demand, limit) =
                                (demand.kilonewton_metres(), limit.kilonewton_metres());
                            worst.see(share, demand, limit, height, state);
                            true
                        }
                        RatingUse::Force { share, demand, limit } => {
                            let (demand, limit) = (demand.kilonewtons(), limit.kilonewtons());
                            worst.see(share, demand, limit, height, state);
                            false
                        }
                    };
                    if worst.worst != before {
                        worst.of_moment = of_moment;
                    }
                };
                if let Some(rating) = &press.off_centre_x {
                    see_rating(&mut found.off_centre_x, rating.use_of(force, x));
                }
                if let Some(rating) = &press.off_centre_y {
                    see_rating(&mut found.off_centre_y, rating.use_of(force, y));
                }
                if let (Some(suspension), Some(rated)) = (press.suspension, press.rated_force) {
                    found.see_suspension(suspension, rated, force, (x, y), height, state);
                }
            }
        });
        found
    }

    fn see_suspension(
        &mut self,
        suspension: Suspension,
        rated: Force,
        force: Force,
        (x, y): (Length, Length),
        height: Length,
        state: StripState,
    ) {
        let limit = rated / f64::from(suspension.points());
        let (most, least) = suspension.parts(x, y);
        let demand = force * most;
        self.suspension.see(
            demand / limit,
            demand.kilonewtons(),
            limit.kilonewtons(),
            height,
            state,
        );
        // What lifts is judged by force: a light load far out lifts less than it seems.
        let pull = (force * least).newtons();
        if pull < self.lifting.map_or(0.0, |(worst, ..)| worst) {
            self.lifting = Some((pull, height, state));
        }
    }

    fn force_at_height(&self, press: &Press) -> Result<Use, Missing> {
        use crate::press::Drive;
        let rated = press.rated_force.ok_or(Missing::RatedForce)?;
        match &press.drive {
            Drive::Crank { crank: None, .. } => return Err(Missing::ConnectingRod),
            Drive::Crank { rating_height: None, .. } => return Err(Missing::RatingHeight),
            _ => {}
        }
        let used = self.force_at_height.into_use(rated.kilonewtons());
        // A force beyond the known part of a table leaves the limit open, unless it is over anyway.
        if self.unknown_height && used.share <= 1.0 {
            return Err(Missing::CapacityAboveTable);
        }
        Ok(used)
    }
}

fn concentrated_limit(press: &Press, die: &Die) -> Result<Force, Missing> {
    let rated = press.rated_force.ok_or(Missing::RatedForce)?;
    let bed = press.bolster.ok_or(Missing::BolsterSize)?.width;
    let length = die.placed_footprint().ok_or(Missing::DieSize)?.width;
    Ok(rated * (length / (bed * FULL_FORCE_BED_SHARE)).min(1.0))
}

fn plain_use(demand: f64, limit: f64) -> Use {
    let share = if demand == 0.0 { 0.0 } else { demand / limit };
    Use { share, demand, limit, at_height: None, strip_state: StripState::Full }
}

fn tilt_use(tilt: TiltUse) -> Use {
    Use {
        share: tilt.share(),
        demand: tilt.mismatch.millimetres(),
        limit: tilt.clearance.millimetres(),
        at_height: Some(tilt.row.slide),
        strip_state: tilt.strip_state,
    }
}

fn working_energy(press: &Press, energy: Energy) -> Result<Use, Missing> {
    let usable = press.usable_energy().ok_or_else(|| {
        if matches!(press.drive, crate::press::Drive::Hydraulic { .. }) {
            Missing::RatedForce
        } else if press.energy.is_none() {
            Missing::UsableEnergy
        } else {
            Missing::Speed
        }
    })?;
    Ok(plain_use(energy.kilojoules(), usable.kilojoules()))
}

fn motor_power(press: &Press, energy: Energy) -> Result<Use, Missing> {
    let motor = press.motor.ok_or(Missing::MotorPower)?;
    let speed = press.speed.ok_or(Missing::Speed)?;
    Ok(plain_use((energy * speed).kilowatts(), motor.kilowatts()))
}

fn shut_height(press: &Press, die: &Die) -> Result<Use, Missing> {
    let highest = press.shut_height.ok_or(Missing::PressShutHeight)?;
    let height = die.shut_height.ok_or(Missing::DieShutHeight)?;
    let used = |share, limit: Length| Use {
        share,
        demand: height.millimetres(),
        limit: limit.millimetres(),
        at_height: None,
        strip_state: StripState::Full,
    };
    let Some(adjustment) = press.shut_height_adjustment else {
        // Too high is too high; whether it is low enough cannot be said.
        return if height > highest {
            Ok(used(height / highest, highest))
        } else {
            Err(Missing::ShutHeightAdjustment)
        };
    };
    // How much of the window is used, from its middle: 0 there, 1 at either end.
    let lowest = highest - adjustment;
    let half = adjustment / 2.0;
    let off_middle = height - (lowest + half);
    let limit = if off_middle >= Length::ZERO { highest } else { lowest };
    let share = if half > Length::ZERO {
        off_middle.abs() / half
    } else if height == highest {
        1.0
    } else {
        f64::INFINITY
    };
    Ok(used(share, limit))
}

/// How much of `area`, which is centred, the placed die uses.
fn fit(die: &Die, area: Footprint) -> Result<Use, Missing> {
    let die_area = die.placed_footprint().ok_or(Missing::DieSize)?;
    let reach = |shift: Length, size: Length| shift.abs() + size / 2.0;
    let x = (reach(die.placement.x, die_area.width), area.width / 2.0);
    let y = (reach(die.placement.y, die_area.depth), area.depth / 2.0);
    let (demand, limit) = if x.0 / x.1 >= y.0 / y.1 { x } else { y };
    Ok(plain_use(demand.millimetres(), limit.millimetres()))
}

/// Pull on the slide by stations whose stripper is fixed to the lower die, or unknown: all of them
/// start to pull as the slide turns at BDC.
fn slide_pull(stroke: &Stroke, stations: &[Station], line: Line) -> Force {
    stroke
        .line(line)
        .stations
        .iter()
        .zip(stations)
        .filter(|(_, station)| !matches!(station.stripper, Some(Stripper::Sprung(_))))
        .map(|(curve, _)| curve.strip_force)
        .sum()
}

/// Force needed to strip against what the station's springs still give when its last punch leaves
/// the stock.
fn stripper_force(stroke: &Stroke, stations: &[Station]) -> Result<Use, Missing> {
    let mut worst: Option<Use> = None;
    for (curve, station) in stroke.upper.stations.iter().zip(stations) {
        let Some(Stripper::Sprung(spring)) = &station.stripper else { continue };
        let leaves = station
            .work
            .iter()
            .filter(|placed| matches!(placed.work, Work::Cut(_)))
            .map(|placed| placed.work.entry())
            .fold(Length::ZERO, Length::max);
        let used =
            plain_use(curve.strip_force.kilonewtons(), spring.force_at(leaves).kilonewtons());
        if worst.is_none_or(|other| used.share > other.share) {
            worst = Some(Use { at_height: Some(leaves), ..used });
        }
    }
    worst.ok_or(Missing::SpringStripper)
}

fn unit_of(id: LimitId, worst: &ForceLimits) -> LimitUnit {
    // Where nothing acts, and where nothing is entered, an off-centre rating is a moment.
    let axis = |worst: &Worst| {
        if worst.of_moment || worst.worst.is_none() {
            LimitUnit::KilonewtonMetre
        } else {
            LimitUnit::Kilonewton
        }
    };
    match id {
        LimitId::WorkingEnergy => LimitUnit::Kilojoule,
        LimitId::MotorPower => LimitUnit::Kilowatt,
        LimitId::OffCentreX => axis(&worst.off_centre_x),
        LimitId::OffCentreY => axis(&worst.off_centre_y),
        LimitId::SlideTilt
        | LimitId::ShutHeight
        | LimitId::Daylight
        | LimitId::BolsterFit
        | LimitId::SlideFit
        | LimitId::GuideEngagement => LimitUnit::Millimetre,
        _ => LimitUnit::Kilonewton,
    }
}

fn cautions(
    press: &Press,
    stations: &[Station],
    stroke: &Stroke,
    worst: &ForceLimits,
    tilt: Option<TiltUse>,
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if stations.iter().all(|station| station.work.is_empty()) {
        cautions.push(Caution::NoWork);
    }
    let curves = stroke.upper.stations.iter().zip(&stroke.nominal.stations);
    for (station, (curve, nominal)) in stations.iter().zip(curves) {
        let name = || station.name.clone();
        // On the nominal line, whose strength and thickness belong together.
        let sheet = &nominal.sheet;
        if curve.unfinished > Length::ZERO {
            cautions.push(Caution::UnfinishedCut { station: name(), missing: curve.unfinished });
        }
        for placed in &station.work {
            match &placed.work {
                Work::Cut(cut) => {
                    if matches!(cut.outline, crate::Outline::LengthOnly(_)) {
                        cautions.push(Caution::LengthOnly { station: name() });
                    }
                    cautions.extend(cut_cautions(&station.name, cut, &curve.sheet));
                }
                Work::Spring(spring) => {
                    if let Some(limit) = spring.stroke()
                        && spring.entry > limit
                    {
                        cautions.push(Caution::SpringPastStroke {
                            station: name(),
                            travel: spring.entry,
                            stroke: limit,
                        });
                    }
                }
                Work::Draw(draw) => cautions.extend(draw_cautions(&station.name, draw, sheet)),
                Work::HoleFlange(flange) => {
                    let limit = flange.height_limit(sheet);
                    if flange.height() > limit {
                        cautions.push(Caution::HoleFlangeTooHigh {
                            station: name(),
                            height: flange.height(),
                            limit,
                        });
                    }
                }
                Work::Bend(_)
                | Work::Flange(_)
                | Work::Hem(_)
                | Work::Squeeze(_)
                | Work::Table(_) => {}
            }
        }
        let on_the_bottom = |work: &Work| match work {
            Work::Squeeze(_) => true,
            Work::Bend(bend) => bend.bottoming.is_some(),
            _ => false,
        };
        if let Some(stiffness) = press.stiffness
            && station.work.iter().any(|placed| on_the_bottom(&placed.work))
        {
            let gain = gain_per_tenth_millimetre(stiffness);
            cautions.push(Caution::ShutHeightGain { station: name(), gain });
        }
    }
    if let Some(tilt) = tilt.map(|tilt| tilt.frame_tilt).filter(|&tilt| tilt > 0.0) {
        cautions.push(Caution::FrameTilts { tilt });
    }
    if let Some((_, height, strip_state)) = worst.lifting {
        cautions.push(Caution::PointLifts { height, strip_state });
    }
    cautions
}

/// What speaks against a cut as its tools are made. `sheet` is that of the upper line, on which
/// punches break.
fn cut_cautions(station: &str, cut: &Cut, sheet: &Sheet) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let name = || station.to_owned();
    let factor = cut.force_factor(Line::Upper, CutModel::Shaped);
    if let Some(stress) = cut.punch_stress(sheet, factor)
        && stress > PUNCH_STRESS_LIMIT
    {
        let limit = PUNCH_STRESS_LIMIT;
        cautions.push(Caution::PunchOverstressed { station: name(), stress, limit });
    }
    if let (Some(limit), Ok(length)) = (cut.buckling_force(), cut.outline.length()) {
        let force = length * cut.line_force(sheet, factor);
        if force > limit * BUCKLING_SHARE {
            cautions.push(Caution::PunchBuckles { station: name(), force, limit });
        }
    }
    if let (Some(on), Some(flat)) = (cut.shear_on, cut.flat_side())
        && on != flat
        && cut.tool_shear.depth() > Length::ZERO
    {
        cautions.push(Caution::ShearBendsPart { station: name(), on });
    }
    if cut.kind == CutKind::Lance && cut.outline.is_closed() {
        cautions.push(Caution::LanceClosed { station: name() });
    }
    if cut.kind == CutKind::Shave && cut.allowance.is_none() {
        cautions.push(Caution::ShaveWithoutAllowance { station: name() });
    }
    cautions
}

/// What speaks against drawing a cup in one go.
fn draw_cautions(station: &str, draw: &Draw, sheet: &Sheet) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let ratio = draw.drawing_ratio();
    // A ratio of two diameters given to the limit is not above it by a rounding error.
    if let Some(limit) = draw.ratio_limit()
        && ratio > limit * (1.0 + 1e-9)
    {
        let station = station.to_owned();
        cautions.push(Caution::DrawingRatioAboveLimit { station, ratio, limit });
    }
    if let Ok(force) = draw.peak_force(sheet)
        && force > draw.tearing_force(sheet)
    {
        let (station, limit) = (station.to_owned(), draw.tearing_force(sheet));
        cautions.push(Caution::WallTears { station, force, limit });
    }
    cautions
}

impl DieKind {
    /// Its name in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Single => "single",
            Self::Compound => "compound",
            Self::Combination => "combination",
            Self::Progressive => "progressive",
            Self::Transfer => "transfer",
        }
    }
}
