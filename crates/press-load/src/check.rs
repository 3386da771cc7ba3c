//! The die judged against the press.

use crate::{
    Energy, Force, Length, Line, LoadSeries, Moment, Motion, Point, Sheet, SnapThrough, Stress,
    Stroke, StrokeRate,
    cutting::{BUCKLING_SHARE, Cut, CutKind, CutModel, PUNCH_STRESS_LIMIT, ShearSide},
    deep_drawing::Draw,
    die::{Die, DieKind, PlacedWork, Station, Work},
    limits::{Limit, LimitId, LimitUnit, Missing, Need, State, Use},
    order,
    press::{Press, RatingUse, Running, Suspension, most_strokes},
    setting::weight,
    slide_on_springs::{TiltUse, worst_tilt},
    space,
    squeezing::gain_per_tenth_millimetre,
    strip::{Strip, StripState},
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
    /// A press with one suspension point lacks an off-centre rating: nothing bounds the moment there.
    OnePointUnrated {
        /// The distance from the slide centre at which the largest force would make that moment.
        offset: Length,
        /// Largest moment on the upper line in the directions without a rating.
        moment: Moment,
    },
    /// The strip's end lies in an outline at a hit, so that the punch cuts on one side only.
    HalfCut {
        /// Station name.
        station: String,
        /// First and last hit at which it does.
        hits: (u32, u32),
    },
    /// The strip's end lies under forming work or under a pad at a hit, which tips it.
    HalfLoaded {
        /// Station name.
        station: String,
        /// First and last hit at which it does.
        hits: (u32, u32),
    },
    /// The guide posts leave their bushings at the top of the stroke.
    GuidesPart {
        /// How far.
        gap: Length,
        /// Whether that is a hazard of its own.
        hazard: bool,
    },
    /// Bolts do not reach a slot where the die stands.
    BoltsOutOfReach {
        /// On the slide, or on the bolster.
        on_slide: bool,
        /// How many.
        count: usize,
        /// Index of the worst.
        bolt: usize,
        /// How far that is from its slot.
        distance: Length,
        /// How far it may be.
        reach: Length,
    },
    /// A slug falls on the bolster beside its holes.
    SlugBlocked {
        /// Station name.
        station: String,
    },
    /// The slowest speed that does is above the fastest one.
    NoSpeed {
        /// Slowest for the energy, or of the press.
        lowest: StrokeRate,
        /// Fastest for the motor, or of the press.
        highest: StrokeRate,
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
    /// How fast it may and has to run.
    pub speed: SpeedBand,
    /// How much the press opens, where its stiffness is known.
    pub stretch: Option<Stretch>,
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

/// How fast the press may and has to run for this die, on the upper line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeedBand {
    /// Slowest at which the flywheel holds enough energy, or at which the press runs at all; nothing
    /// where neither is known or the energy does not do at any speed.
    pub lowest: Option<StrokeRate>,
    /// Fastest at which the motor makes good the energy, or at which the press runs at all.
    pub highest: Option<StrokeRate>,
    /// Whether `lowest` is the energy's rather than the press's own.
    pub lowest_by_energy: bool,
    /// Whether `highest` is the motor's rather than the press's own.
    pub highest_by_motor: bool,
    /// Whether the flywheel holds too little energy at any speed.
    pub too_little_energy: bool,
    /// Slide height of the first touch and slide speed there in metres per second, where known.
    pub at_contact: Option<(Length, f64)>,
}

impl SpeedBand {
    fn of(press: &Press, stations: &[Station], energy: Energy) -> Self {
        let by_energy = press.energy.and_then(|rating| rating.slowest_for(energy, press.running));
        // In single strokes the motor bounds how many are started, not how fast each runs.
        let by_motor = match press.running {
            Running::Continuous => {
                press.power_at_flywheel().and_then(|power| most_strokes(energy, power, 1.0))
            }
            Running::Single { .. } => None,
        };
        let higher = |rate: StrokeRate| press.slowest.is_none_or(|other| rate > other);
        let lower = |rate: StrokeRate| press.fastest.is_none_or(|other| rate < other);
        let (lowest_by_energy, highest_by_motor) =
            (by_energy.is_some_and(higher), by_motor.is_some_and(lower));
        let touch = space::first_touch(stations);
        let touch_speed = press.drive.speed_at(touch, press.speed);
        Self {
            lowest: by_energy.filter(|_| lowest_by_energy).or(press.slowest),
            highest: by_motor.filter(|_| highest_by_motor).or(press.fastest),
            lowest_by_energy,
            highest_by_motor,
            too_little_energy: press
                .energy
                .is_some_and(|rating| !rating.does_for(energy, press.running)),
            at_contact: touch_speed.filter(|_| touch > Length::ZERO).map(|speed| (touch, speed)),
        }
    }

    /// Whether there is no speed at which the die runs.
    pub fn is_empty(&self) -> bool {
        let crossed = matches!((self.lowest, self.highest), (Some(lowest), Some(highest)) if lowest > highest);
        self.too_little_energy || crossed
    }
}

/// How much the press opens under the upper line, as force over stiffness: by that much the slide is
/// lower at rest than the heights under load say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// At the peak.
    pub at_peak: Length,
    /// At BDC, which the shut height has to make up for where work stands on the bottom.
    pub at_bdc: Length,
}

fn stretch(press: &Press, stroke: &Stroke, upper: &LoadSeries) -> Option<Stretch> {
    let stiffness = press.stiffness?;
    let opens = |newtons: f64| Length::from_metres(newtons / stiffness.newtons_per_metre());
    let peak = highest_index(&upper.force).map_or(0.0, |index| upper.force[index]);
    let at_bdc = stroke.rows.len().checked_sub(1).map_or(0.0, |last| upper.force[last]);
    Some(Stretch { at_peak: opens(peak), at_bdc: opens(at_bdc) })
}

/// What pulls the upper die off the slide: its weight, stripping, and what it takes to carry it along
/// when the slide springs back. The three are added, though they need not come together.
fn upper_die_pull(
    die: &Die,
    snap_through: &Result<SnapThrough, Missing>,
    stripping: Force,
) -> Result<Force, Missing> {
    let mass = die.upper_mass.ok_or(Missing::UpperMass)?;
    Ok(weight(mass) + stripping + (*snap_through)?.on_upper_die)
}

/// The largest use of a limit seen so far.
#[derive(Clone, Copy, Default)]
struct Worst {
    worst: Option<Use>,
    /// Whether the worst use is of a moment rating rather than of a force.
    of_moment: bool,
}

/// Whether a figure in a strip state is named in place of the largest seen so far: of equal states the
/// full strip, which everybody can picture, and of equal heights the first one, whatever rounding makes
/// of them.
pub(crate) fn is_named_instead(
    figure: f64,
    state: StripState,
    largest: Option<(f64, StripState)>,
) -> bool {
    largest.is_none_or(|(largest, of)| {
        let is_full_instead = state == StripState::Full && of != StripState::Full;
        order::is_greater(figure, largest)
            || (is_full_instead && !order::is_greater(largest, figure))
    })
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
        let worst = self.worst.map(|worst| (worst.share, worst.strip_state));
        if is_named_instead(share, strip_state, worst) {
            self.worst = Some(Use { share, demand, limit, at_height: Some(height), strip_state });
        }
    }

    /// A figure that has no limit to be compared with.
    fn see_figure(&mut self, figure: f64, height: Length, strip_state: StripState) {
        self.see(figure, figure, 0.0, height, strip_state);
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
    let near_share = press.near_share(near_share);
    let nominal = stroke.nominal.total(StripState::Full, &placement);
    let upper = stroke.upper.total(StripState::Full, &placement);
    let available: Vec<Option<Force>> =
        stroke.rows.iter().map(|row| press.available_force(row.height)).collect();
    let strip_states = stroke.strip_states(die.kind);

    let worst = ForceLimits::find(press, die, stroke, &strip_states, &available);
    let energy_upper = stroke.upper.work();
    let speed = SpeedBand::of(press, stations, energy_upper);
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
            LimitId::ShutHeight => space::shut_height(press, die),
            LimitId::BolsterFit => space::fit(die, press.bolster.ok_or(Missing::BolsterSize)?),
            LimitId::SlideFit => space::fit(die, press.slide.ok_or(Missing::SlideSize)?),
            LimitId::Daylight => space::daylight(press, die),
            LimitId::GuideEngagement => space::guide_engagement(die, stations),
            LimitId::UpperDieHold => {
                let clamps = die.upper_clamps.ok_or(Missing::UpperClamps)?;
                let pull = upper_die_pull(die, snap_through, stripping_upper)?;
                let holds = clamps.force * f64::from(clamps.count);
                Ok(plain_use(pull.kilonewtons(), holds.kilonewtons()))
            }
            LimitId::ReverseLoad => {
                let rated = press.rated_force.ok_or(Missing::RatedForce)?;
                let snap = (*snap_through)?;
                let limit = rated * press.reverse_share.unwrap_or(DEFAULT_REVERSE_SHARE);
                let used = plain_use(snap.upper.kilonewtons(), limit.kilonewtons());
                Ok(Use { at_height: Some(snap.upper_at), ..used })
            }
            LimitId::SlideTilt => Ok(tilt?.map_or_else(|| plain_use(0.0, 0.0), tilt_use)),
        }
    };
    let limits: Vec<Limit> = LimitId::ALL
        .iter()
        .map(|&id| {
            let outcome = outcome(id);
            let state =
                outcome.map_or(State::NotChecked, |used| State::of_share(used.share, near_share));
            let unit = unit_of(id, &worst);
            let needs = outcome.err().and_then(|_| match id {
                LimitId::RatedForce | LimitId::ForceAtHeight | LimitId::ConcentratedLoad => {
                    Some(worst.largest.into_use(0.0).needs())
                }
                LimitId::OffCentreX => Some(worst.moment_x.into_use(0.0).needs()),
                LimitId::OffCentreY => Some(worst.moment_y.into_use(0.0).needs()),
                LimitId::SuspensionLoad => worst.on_a_point.worst.map(Use::needs),
                LimitId::WorkingEnergy => Some(Need::of(energy_upper.kilojoules())),
                LimitId::MotorPower => {
                    let strokes = press.strokes_made_good()?;
                    Some(Need::of((energy_upper * strokes).kilowatts()))
                }
                LimitId::StrippingLoad => Some(Need::of(stripping_upper.kilonewtons())),
                LimitId::ReverseLoad => Some(Need::of(snap_through.ok()?.upper.kilonewtons())),
                LimitId::UpperDieHold => {
                    let pull = upper_die_pull(die, snap_through, stripping_upper).ok()?;
                    Some(Need::of(pull.kilonewtons()))
                }
                LimitId::ShutHeight => Some(Need::of(die.stack()?.millimetres())),
                LimitId::GuideEngagement => {
                    Some(Need::of(space::first_touch(stations).millimetres()))
                }
                LimitId::BolsterFit | LimitId::SlideFit => {
                    Some(Need::of(space::reach(die)?.millimetres()))
                }
                LimitId::Daylight | LimitId::SlideTilt | LimitId::StripperForce => None,
            });
            Limit { id, state, unit, outcome, needs }
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
        cautions: cautions(press, die, stations, stroke, &worst, &speed, tilt.ok().flatten()),
        tilt: tilt.ok().flatten(),
        speed,
        stretch: stretch(press, stroke, &upper),
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
    /// The largest force, moments and load on a point, which a press has to bear whose ratings are
    /// not known; their shares are the figures themselves.
    largest: Worst,
    moment_x: Worst,
    moment_y: Worst,
    on_a_point: Worst,
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
                let moment = |moment: f64| moment.abs() * 1e-3;
                found.largest.see_figure(kilonewtons, height, state);
                found.moment_x.see_figure(moment(total.moment_x[index]), height, state);
                found.moment_y.see_figure(moment(total.moment_y[index]), height, state);
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
                match (press.suspension, press.rated_force) {
                    (Some(suspension), Some(rated)) => {
                        found.see_suspension(suspension, rated, force, (x, y), height, state);
                    }
                    (Some(suspension), None) => {
                        let (most, _) = suspension.parts(x, y);
                        found.on_a_point.see_figure(kilonewtons * most, height, state);
                    }
                    (None, _) => {}
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
        let worst = self.lifting.map(|(worst, _, of)| (-worst, of));
        if pull < 0.0 && is_named_instead(-pull, state, worst) {
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

/// The limit of force or moment that one strip state uses most; nothing where none can be judged.
pub(crate) fn most_used(
    press: &Press,
    die: &Die,
    stroke: &Stroke,
    state: StripState,
) -> Option<(LimitId, Use)> {
    let available: Vec<Option<Force>> =
        stroke.rows.iter().map(|row| press.available_force(row.height)).collect();
    let found = ForceLimits::find(press, die, stroke, &[state], &available);
    let uses = [
        (LimitId::RatedForce, found.rated),
        (LimitId::ForceAtHeight, found.force_at_height),
        (LimitId::OffCentreX, found.off_centre_x),
        (LimitId::OffCentreY, found.off_centre_y),
        (LimitId::SuspensionLoad, found.suspension),
        (LimitId::ConcentratedLoad, found.concentrated),
    ];
    let judged = uses.into_iter().filter_map(|(id, worst)| Some((id, worst.worst?)));
    judged.reduce(
        |most, other| {
            if order::is_greater(other.1.share, most.1.share) { other } else { most }
        },
    )
}

fn concentrated_limit(press: &Press, die: &Die) -> Result<Force, Missing> {
    let length = die.placed_footprint().ok_or(Missing::DieSize);
    if let Some(table) = &press.die_length {
        return Ok(table.allowed_for(length?.width));
    }
    let rated = press.rated_force.ok_or(Missing::RatedForce)?;
    let bed = press.bolster.ok_or(Missing::BolsterSize)?.width;
    let length = length?.width;
    Ok(rated * (length / (bed * FULL_FORCE_BED_SHARE)).min(1.0))
}

pub(crate) fn plain_use(demand: f64, limit: f64) -> Use {
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
    let power = press.power_at_flywheel().ok_or(Missing::MotorPower)?;
    let strokes = press.strokes_made_good().ok_or(Missing::Speed)?;
    Ok(plain_use((energy * strokes).kilowatts(), power.kilowatts()))
}

/// Pull on the slide by stations whose stripper is fixed to the lower die, or unknown: all of them
/// start to pull as the slide turns at BDC.
pub(crate) fn slide_pull(stroke: &Stroke, stations: &[Station], line: Line) -> Force {
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
    die: &Die,
    stations: &[Station],
    stroke: &Stroke,
    worst: &ForceLimits,
    speed: &SpeedBand,
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
        if let Some(strip) = &die.strip {
            let crossed = crossed_hits(station, strip, curve.half.iter().map(|half| half.0));
            if let Some(hits) = crossed.cut {
                cautions.push(Caution::HalfCut { station: name(), hits });
            }
            if let Some(hits) = crossed.loaded {
                cautions.push(Caution::HalfLoaded { station: name(), hits });
            }
        }
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
    cautions.extend(space::cautions(press, die, stations));
    if let (Some(lowest), Some(highest)) = (speed.lowest, speed.highest)
        && lowest > highest
    {
        cautions.push(Caution::NoSpeed { lowest, highest });
    }
    let (x, y) = (press.off_centre_x.is_none(), press.off_centre_y.is_none());
    if press.suspension == Some(Suspension::OnePoint)
        && (x || y)
        && let Some(largest) = worst.largest.worst
    {
        let unrated = |worst: Worst, unrated: bool| {
            if unrated { worst.into_use(0.0).demand } else { 0.0 }
        };
        let moment = unrated(worst.moment_x, x).max(unrated(worst.moment_y, y));
        cautions.push(Caution::OnePointUnrated {
            offset: Length::from_metres(moment / largest.demand),
            moment: Moment::from_kilonewton_metres(moment),
        });
    }
    if let Some(tilt) = tilt.map(|tilt| tilt.frame_tilt).filter(|&tilt| tilt > 0.0) {
        cautions.push(Caution::FrameTilts { tilt });
    }
    if let Some((_, height, strip_state)) = worst.lifting {
        cautions.push(Caution::PointLifts { height, strip_state });
    }
    cautions
}

/// First and last hit at which the strip ends within a cut of a station, and at which it ends under its
/// forming work or, where a pad or a stripper on springs holds the stock, anywhere within the station.
#[derive(Default)]
struct Crossed {
    cut: Option<(u32, u32)>,
    loaded: Option<(u32, u32)>,
}

fn crossed_hits(station: &Station, strip: &Strip, hits: impl Iterator<Item = u32>) -> Crossed {
    let mut crossed = Crossed::default();
    let widen = |hits: &mut Option<(u32, u32)>, hit| {
        *hits = Some(hits.map_or((hit, hit), |(first, _)| (first, hit)));
    };
    for hit in hits {
        let (cut, loaded) = crossed_at(station, strip, hit);
        if cut {
            widen(&mut crossed.cut, hit);
        }
        if loaded {
            widen(&mut crossed.loaded, hit);
        }
    }
    crossed
}

/// Whether the strip ends within a cut of a station at a hit at which it ends within the station, and
/// whether it ends under its forming work or under a pad.
pub(crate) fn crossed_at(station: &Station, strip: &Strip, hit: u32) -> (bool, bool) {
    let to_die = Motion::new(station.at, 0.0);
    let has_pad = matches!(station.stripper, Some(Stripper::Sprung(_)))
        || station.work.iter().any(|placed| matches!(placed.work, Work::Spring(_)));
    let end = strip.end_at(hit);
    let ends_within = |placed: &PlacedWork| {
        let extent = placed.work.extent_along(&placed.motion.then(&to_die), end.feed);
        placed.work.needs_stock()
            && extent.is_ok_and(|(low, high)| low < end.position && end.position < high)
    };
    let is_cut = |placed: &&PlacedWork| matches!(placed.work, Work::Cut(_));
    let cut = station.work.iter().filter(is_cut).any(ends_within);
    let loaded = has_pad || station.work.iter().filter(|placed| !is_cut(placed)).any(ends_within);
    (cut, loaded)
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
