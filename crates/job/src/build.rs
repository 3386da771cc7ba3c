//! From a checked value to the types of the physics.
//!
//! The description has seen to types and ranges; what is left here are the checks that need two
//! fields at once.

use crate::{
    Coil, Settings,
    refusal::{Refusal, Refused},
    spec::NEXT_TO_NOTHING,
};
use evenstroke_language::{retell, say, tr};
use press_load::{
    Area, Bolts, Clamps, Die, DieKind, Energy, Force, InputError, Length, Mass, Moment, Motion,
    Outline, PlacedWork, Placement, Point, Power, Range, Station, Stiffness, Stock, Stress,
    StrokeRate, Work, WorkError,
    bending::{Bend, BendKind},
    clamping::{DEFAULT_FRICTION_FACTOR, screw_force, strap_force},
    cutting::{Cut, CutKind, CutModel, PunchEnd, ShearSide, SlenderPunch},
    deep_drawing::{self, BoxShape, Draw, DrawKind},
    flanging::{Flange, FlangeKind, HoleFlange},
    hemming::{Hem, HemKind},
    measured_stiffness::stiffness_from_readings,
    place::{Interval, Places},
    press::{
        AxisRating, AxisTable, DieLengthTable, Drive, EnergyRating, Footprint, Frame, MotionTable,
        Opening, Press, Running, SlotDirection, Slots, Suspension,
    },
    slide_on_springs::Level,
    springs::{Spring, SpringKind, air_cushion_force},
    squeezing::{Squeeze, SqueezeKind},
    strip::{Feed, Strip},
    stripping::{DEFAULT_STRIP_FACTOR, Stripper},
    tool_shear::{RoofFirst, ToolShear},
};
use serde_json::{Map, Value};

/// Shear over tensile strength where none is given: measured on steels 0.72–0.75, low-carbon tables
/// up to 0.87, rules in print 0.6–0.8; 0.8 is on the upper side for steel.
pub const DEFAULT_SHEAR_RATIO: f64 = 0.8;
/// Penetration where none is given: P. C. Sharma, *A Textbook of Production Engineering*, ch. 2,
/// uses 0.40 for steel of 2.5 and 3 mm.
pub const DEFAULT_PENETRATION: f64 = 0.4;
/// Separation where none is given, mild steel: 65–73 % of thickness on the cut edges of DC03 in a
/// data set of the University of Stuttgart (simulated), 67–86 % burnish and rollover measured.
pub const DEFAULT_SEPARATION: (f64, f64) = (0.65, 0.75);

/// Most pieces of edge that are worked out; the largest real dies have some ten thousand.
const MOST_PIECES: usize = 100_000;
/// Work other than cutting costs about as much as so many pieces of edge.
const PIECES_OF_OTHER_WORK: usize = 100;
/// A gap between punch and die of more thicknesses than this bends nothing.
const WIDEST_GAP: f64 = 10.0;

/// What stands in for a field that nobody entered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Assumption {
    /// Shear over tensile strength 0.8.
    ShearRatio,
    /// Tensile strength worked back from the shear strength.
    TensileFromShear,
    /// Penetration 0.4.
    Penetration,
    /// Separation 0.65–0.75.
    Separation,
    /// Clearance 6 % per side.
    Clearance,
    /// Stripping 0.1 of the cutting force.
    StripFactor,
    /// Reverse limit 10 % of rated force.
    ReverseLimit,
    /// Energy holds at the running speed.
    EnergySpeed,
    /// The suspension points are all the spring there is in the press.
    PointStiffness,
    /// Stiffness of the press from readings rather than from its builder.
    MeasuredStiffness,
    /// What the clamps hold from their tightening, with friction 0.2 where none is given.
    ClampsFromTorque,
}

/// The parts of a job.
pub(crate) struct Parts {
    pub(crate) press: Press,
    pub(crate) stock: Stock,
    pub(crate) die: Die,
    pub(crate) stations: Vec<Station>,
    pub(crate) settings: Settings,
    pub(crate) band: Places,
    pub(crate) locked: Vec<bool>,
    pub(crate) assumptions: Vec<Assumption>,
}

/// Reads numbers and words out of a checked object.
#[derive(Clone, Copy)]
pub(crate) struct Fields<'a>(pub(crate) &'a Map<String, Value>);

// Read hundreds of times below: kept out of line, they make the page's program smaller by kilobytes.
impl<'a> Fields<'a> {
    #[inline(never)]
    pub(crate) fn value(self, key: &str) -> Option<&'a Value> {
        self.0.get(key)
    }

    #[inline(never)]
    pub(crate) fn number(self, key: &str) -> Option<f64> {
        self.value(key)?.as_f64().map(or_nothing)
    }

    #[inline(never)]
    pub(crate) fn number_or(self, key: &str, otherwise: f64) -> f64 {
        self.number(key).unwrap_or(otherwise)
    }

    #[inline(never)]
    pub(crate) fn range(self, key: &str) -> Option<Range> {
        let value = self.value(key)?;
        match value.as_f64() {
            Some(number) => Some(Range::exactly(number)),
            None => Some(Range::new(value["low"].as_f64()?, value["high"].as_f64()?)),
        }
    }

    #[inline(never)]
    pub(crate) fn word(self, key: &str) -> &'a str {
        self.value(key).and_then(Value::as_str).unwrap_or_default()
    }

    #[inline(never)]
    pub(crate) fn flag(self, key: &str) -> Option<bool> {
        self.value(key)?.as_bool()
    }

    #[inline(never)]
    pub(crate) fn object(self, key: &str) -> Option<Self> {
        self.value(key)?.as_object().map(Fields)
    }

    #[inline(never)]
    pub(crate) fn list(self, key: &str) -> &'a [Value] {
        self.value(key).and_then(Value::as_array).map_or(&[], Vec::as_slice)
    }

    #[inline(never)]
    pub(crate) fn mm(self, key: &str) -> Option<Length> {
        self.number(key).map(Length::from_millimetres)
    }

    #[inline(never)]
    pub(crate) fn mm_or_zero(self, key: &str) -> Length {
        self.mm(key).unwrap_or_default()
    }

    #[inline(never)]
    pub(crate) fn kn(self, key: &str) -> Option<Force> {
        self.number(key).map(Force::from_kilonewtons)
    }

    #[inline(never)]
    pub(crate) fn kn_or_zero(self, key: &str) -> Force {
        self.kn(key).unwrap_or_default()
    }

    #[inline(never)]
    pub(crate) fn rows(self, key: &str, first: &str) -> Vec<(Length, Force)> {
        self.list(key)
            .iter()
            .filter_map(Value::as_object)
            .map(|row| (Fields(row).mm_or_zero(first), Fields(row).kn_or_zero("force_kn")))
            .collect()
    }

    #[inline(never)]
    pub(crate) fn has_any(self, keys: &[&str]) -> bool {
        keys.iter().any(|key| self.0.contains_key(*key))
    }
}

fn or_nothing(number: f64) -> f64 {
    if number.abs() <= NEXT_TO_NOTHING { 0.0 } else { number }
}

/// Builds the parts of a job from a value that fits the description.
pub(crate) fn build(value: &Value) -> Result<Parts, Refused> {
    let Some(root) = value.as_object().map(Fields) else {
        return Err(missing("$", tr("must be a job object")).into());
    };
    let section = |key: &str| root.object(key).ok_or_else(|| missing(key, tr("must be an object")));
    let mut assumptions = Vec::new();
    let settings = settings(root.object("settings"));
    let known_press = match root.object("press") {
        Some(fields) => Some(press(fields, &mut assumptions)?),
        None => None,
    };
    let stock_fields = section("stock")?;
    let stock = stock(&[stock_fields], "stock", &mut assumptions)?;
    let die_fields = section("die")?;
    let band = die_fields.object("band").map_or(Ok(Places::EVERYWHERE), band)?;
    let die = die(die_fields)?;
    if let Some(clamps) = die_fields.object("upper_clamps")
        && die.upper_clamps.is_some()
        && !clamps.has_any(&["force_kn"])
    {
        assumptions.push(Assumption::ClampsFromTorque);
    }
    let stroke = known_press
        .as_ref()
        .map_or(Length::from_metres(f64::INFINITY), |press| press.drive.stroke());
    let context = Context { root, settings: &settings, stock: &stock, stroke };
    let stations = root
        .list("stations")
        .iter()
        .enumerate()
        .filter_map(|(index, station)| Some((index, Fields(station.as_object()?))))
        .map(|(index, fields)| station(fields, index, &context, &mut assumptions))
        .collect::<Result<Vec<_>, Refusal>>()?;
    within_budget(&stations)?;
    let press = known_press.unwrap_or_else(|| no_press(&stations, &stock));
    let locked = root.list("stations").iter().filter_map(|station| station.as_object().map(Fields));
    let locked = locked.map(|fields| fields.flag("locked") == Some(true)).collect();
    let mut seen = Vec::new();
    assumptions.retain(|assumption| {
        let new = !seen.contains(assumption);
        seen.push(*assumption);
        new
    });
    Ok(Parts { press, stock, die, stations, settings, band, locked, assumptions })
}

/// What a station needs of the rest of the job.
#[derive(Clone, Copy)]
struct Context<'a> {
    root: Fields<'a>,
    settings: &'a Settings,
    stock: &'a Stock,
    stroke: Length,
}

pub(crate) fn missing(path: &str, allowed: &str) -> Refusal {
    Refusal { path: path.to_owned(), allowed: allowed.to_owned(), given: tr("nothing").to_owned() }
}

/// An error of the physics as a refusal at a place in the file.
pub(crate) fn refusal(path: impl Into<String>, error: &InputError) -> Refusal {
    let text = error.to_string();
    let otherwise = match error {
        InputError::OutlineWithoutLength => tr("points that are all the same"),
        InputError::TableNotOrdered => tr("rows that repeat or turn back"),
        _ => tr("nothing"),
    };
    let (allowed, given) = match text.split_once(", given ") {
        Some((allowed, given)) => (allowed, retell(given)),
        None => (text.as_str(), otherwise.to_owned()),
    };
    Refusal { path: path.into(), allowed: retell(allowed), given }
}

/// An error of a station's work as a refusal at its place in the file.
pub(crate) fn work_refusal(error: &WorkError) -> Refusal {
    if let InputError::TooManyHits { .. } = error.error {
        return refusal("die.strip.pitch_mm", &error.error);
    }
    let mut path = format!("stations[{}]", error.station);
    if let Some(work) = error.work {
        path += &format!(".work[{work}]");
        if let Some(field) = field_at_fault(&error.error) {
            path += &format!(".{field}");
        }
    }
    refusal(path, &error.error)
}

/// The field of a piece of work that an error is about, where it is one.
const fn field_at_fault(error: &InputError) -> Option<&'static str> {
    Some(match error {
        InputError::OutlineWithoutLength => "outline.path.points",
        InputError::BulgeCount { .. } => "outline.path.bulges",
        InputError::CornerRadiusTooLarge { .. } => "outline.rectangle.corner_radius_mm",
        InputError::SlotShorterThanWide { .. } => "outline.slot.length_mm",
        InputError::TableNotOrdered | InputError::NegativeForce(_) => "points",
        InputError::OpeningBelowThickness { .. } => "opening_mm",
        InputError::PunchNotSmallerThanBlank { .. } => "punch_diameter_mm",
        InputError::NothingToDraw { .. } => "blank_diameter_mm",
        InputError::PunchRadiusTooLarge { .. } => "punch_radius_mm",
        InputError::IroningWithoutGap | InputError::WallNotThinned { .. } => "wall_after_mm",
        InputError::FlangeWithoutCurve => "plan_radius_mm",
        InputError::FlangeHigherThanPlanRadius { .. } => "height_mm",
        InputError::HoleNotSmallerThanFlange { .. } => "hole_diameter_mm",
        _ => return None,
    })
}

fn settings(fields: Option<Fields>) -> Settings {
    let Some(fields) = fields else { return Settings::default() };
    Settings {
        cut_model: match fields.word("cut_profile") {
            "plateau" => CutModel::Plateau,
            _ => CutModel::Shaped,
        },
        near_share: fields.number("near_share"),
        strip_factor: fields.number("strip_factor"),
        alarm_high: fields.number("alarm_high_percent").map(|percent| percent / 100.0),
        alarm_low: fields.number("alarm_low_percent").map(|percent| percent / 100.0),
    }
}

/// Where no press is chosen the loads are followed from where anything of the die first acts, with room
/// for stock that lies double.
fn no_press(stations: &[Station], stock: &Stock) -> Press {
    let doubled = Length::from_metres(2.0 * stock.thickness_m.high());
    let reach = press_load::die_needs::highest_contact(stations) + doubled;
    Press::of(Drive::Unknown { reach })
}

fn press(fields: Fields, assumptions: &mut Vec<Assumption>) -> Result<Press, Refusal> {
    let drive_fields =
        fields.object("drive").ok_or_else(|| missing("press.drive", tr("must be an object")))?;
    let rate = |key: &str| fields.number(key).map(StrokeRate::from_per_minute);
    let speed = rate("speed_spm");
    if let (Some(slowest), Some(fastest)) = (rate("slowest_spm"), rate("fastest_spm"))
        && slowest > fastest
    {
        return Err(Refusal {
            path: "press.slowest_spm".to_owned(),
            allowed: say!("must be at most {}, the fastest", fastest.per_minute()),
            given: slowest.per_minute().to_string(),
        });
    }
    let running = match fields.word("running") {
        "single" => Running::Single { started: rate("single_strokes_spm") },
        _ => Running::Continuous,
    };
    let (bolster, slide) = (fields.object("bolster"), fields.object("slide"));
    let die_length = if fields.has_any(&["die_length_table"]) {
        let rows = fields.rows("die_length_table", "length_mm");
        let table = DieLengthTable::new(rows);
        Some(table.map_err(|error| refusal("press.die_length_table", &error))?)
    } else {
        None
    };
    let reverse_share = fields.number("reverse_limit_percent").map(|percent| percent / 100.0);
    if reverse_share.is_none() {
        assumptions.push(Assumption::ReverseLimit);
    }
    let energy = fields.object("energy").and_then(|fields| energy(fields, assumptions));
    let off_centre = |moment: &str, table: &str| -> Result<Option<AxisRating>, Refusal> {
        let Some(fields) = fields.object("off_centre") else { return Ok(None) };
        let moment = fields.number(moment).map(Moment::from_kilonewton_metres);
        let table = if fields.has_any(&[table]) {
            let path = format!("press.off_centre.{table}");
            let rows = fields.rows(table, "offset_mm");
            Some(AxisTable::new(rows).map_err(|error| refusal(path, &error))?)
        } else {
            None
        };
        Ok(match (moment, table) {
            (Some(moment), Some(table)) => Some(AxisRating::Both(moment, table)),
            (Some(moment), None) => Some(AxisRating::Moment(moment)),
            (None, Some(table)) => Some(AxisRating::Table(table)),
            (None, None) => None,
        })
    };
    let entered =
        fields.number("stiffness_kn_per_mm").map(Stiffness::from_kilonewtons_per_millimetre);
    let measured = fields
        .has_any(&["stiffness_readings"])
        .then(|| stiffness_from_readings(&fields.rows("stiffness_readings", "shut_height_mm")))
        .transpose()
        .map_err(|error| refusal("press.stiffness_readings", &error))?;
    if entered.is_none() && measured.is_some() {
        assumptions.push(Assumption::MeasuredStiffness);
    }
    let stiffness = entered.or(measured);
    Ok(Press {
        frame: match fields.word("frame") {
            "straight_side" => Some(Frame::StraightSide),
            "gap_frame" => Some(Frame::GapFrame),
            _ => None,
        },
        rated_force: fields.kn("rated_force_kn"),
        drive: drive(drive_fields)?,
        speed,
        running,
        slowest: rate("slowest_spm"),
        fastest: rate("fastest_spm"),
        energy,
        motor: fields.number("motor_kw").map(Power::from_kilowatts),
        motor_efficiency: fields.number("motor_efficiency_percent").map(|percent| percent / 100.0),
        suspension: fields.object("suspension").and_then(suspension),
        level: level(fields, stiffness.is_some(), assumptions),
        off_centre_x: off_centre("moment_x_knm", "table_x")?,
        off_centre_y: off_centre("moment_y_knm", "table_y")?,
        die_length,
        bolster: bolster.and_then(area),
        bolster_slots: bolster.and_then(slots),
        openings: bolster.map(openings).unwrap_or_default(),
        slide: slide.and_then(area),
        slide_slots: slide.and_then(slots),
        shut_height: fields.mm("shut_height_mm"),
        shut_height_adjustment: fields.mm("shut_height_adjustment_mm"),
        stiffness,
        slide_mass: fields.number("slide_mass_kg").map(Mass::from_kilograms),
        damping_share: fields.number("damping_percent").map(|percent| percent / 100.0),
        reverse_share,
    })
}

fn drive(fields: Fields) -> Result<Drive, Refusal> {
    let stroke = fields.mm_or_zero("stroke_mm");
    let at = |key: &str| format!("press.drive.{key}");
    match fields.word("kind") {
        "hydraulic" => {
            let speed = fields.number("pressing_speed_mm_per_s");
            Ok(Drive::Hydraulic { stroke, pressing_speed: speed.map(|speed| speed * 1e-3) })
        }
        "table" => {
            let mut drive = Drive::table(stroke, fields.rows("points", "height_mm"))
                .map_err(|error| refusal(at("points"), &error))?;
            if let Drive::Table { motion, .. } = &mut drive
                && fields.has_any(&["motion"])
            {
                let rows: Vec<(f64, Length)> = fields
                    .list("motion")
                    .iter()
                    .filter_map(|row| row.as_object().map(Fields))
                    .map(|row| {
                        let angle = row.number_or("angle_deg", 0.0).to_radians();
                        (angle, row.mm_or_zero("height_mm"))
                    })
                    .collect();
                let table =
                    MotionTable::new(&rows).map_err(|error| refusal(at("motion"), &error))?;
                if table.highest() > stroke * (1.0 + 1e-9) {
                    return Err(Refusal {
                        path: at("motion"),
                        allowed: say!("must stay within the stroke, {} mm", stroke.millimetres()),
                        given: say!("{} mm", table.highest().millimetres()),
                    });
                }
                *motion = Some(table);
            }
            Ok(drive)
        }
        _ => crank_drive(fields, stroke),
    }
}

fn crank_drive(fields: Fields, stroke: Length) -> Result<Drive, Refusal> {
    let at = |key: &str| format!("press.drive.{key}");
    let (height, angle) = (fields.mm("rating_height_mm"), fields.number("rating_angle_deg"));
    let rod = fields.mm("connecting_rod_mm");
    if let (Some(height), Some(angle)) = (height, angle) {
        return Err(Refusal {
            path: at("rating_angle_deg"),
            allowed: tr("must not stand beside rating_height_mm: the plate gives one of them")
                .to_owned(),
            given: say!("{} mm and {}°", height.millimetres(), angle),
        });
    }
    let drive = match (angle, rod) {
        (Some(angle), Some(rod)) => Drive::crank_rated_at_angle(stroke, rod, angle),
        // Without the rod the angle is no height yet: what is missing is the rod.
        _ => Drive::crank(stroke, rod, height),
    };
    let drive = drive.map_err(|error| {
        let key = match error {
            InputError::RodNotLongerThanCrank { .. } => "connecting_rod_mm",
            InputError::RatingHeightOutsideStroke { .. } => "rating_height_mm",
            InputError::RatingAngleOutsideQuarter(_) => "rating_angle_deg",
            _ => "stroke_mm",
        };
        refusal(at(key), &error)
    })?;
    let Some(second) = fields.object("second_rating") else { return Ok(drive) };
    let second_height = second.mm_or_zero("height_mm");
    if second_height > stroke {
        return Err(Refusal {
            path: at("second_rating.height_mm"),
            allowed: say!("must be at most {} mm, the stroke", stroke.millimetres()),
            given: say!("{} mm", second_height.millimetres()),
        });
    }
    drive
        .with_second_rating(second_height, second.kn_or_zero("force_kn"))
        .map_err(|error| refusal(at("second_rating.height_mm"), &error))
}

/// An incomplete rating is no rating.
fn energy(fields: Fields, assumptions: &mut Vec<Assumption>) -> Option<EnergyRating> {
    let at = fields.number("at_spm").map(StrokeRate::from_per_minute);
    let rating = if let Some(usable) = fields.number("usable_kj") {
        EnergyRating::Usable {
            energy: Energy::from_kilojoules(usable),
            single: fields.number("single_kj").map(Energy::from_kilojoules),
            at,
        }
    } else {
        EnergyRating::Flywheel {
            inertia_kgm2: fields.number("inertia_kgm2")?,
            turns_per_second: fields.number("flywheel_rpm")? / 60.0,
            slowdown: fields.number("slowdown_percent")? / 100.0,
            single_slowdown: fields
                .number("single_slowdown_percent")
                .map(|percent| percent / 100.0),
            at,
        }
    };
    if at.is_none() {
        assumptions.push(Assumption::EnergySpeed);
    }
    Some(rating)
}

/// Points without their distance say nothing about shares.
fn suspension(fields: Fields) -> Option<Suspension> {
    Some(match fields.number_or("points", 1.0) as u32 {
        2 => Suspension::TwoPoint { span_x: fields.mm("span_x_mm")? },
        4 => Suspension::FourPoint {
            span_x: fields.mm("span_x_mm")?,
            span_y: fields.mm("span_y_mm")?,
        },
        _ => Suspension::OnePoint,
    })
}

/// What keeps the slide level. The stiffness of a point stands with the points.
fn level(press: Fields, is_stiffness_known: bool, assumptions: &mut Vec<Assumption>) -> Level {
    let points = press.object("suspension");
    let point_stiffness = points.and_then(|fields| fields.number("stiffness_kn_per_mm"));
    // One point does not hold the slide level, however stiff it is.
    if points.and_then(suspension).is_some_and(|points| points != Suspension::OnePoint)
        && point_stiffness.is_none()
        && is_stiffness_known
    {
        assumptions.push(Assumption::PointStiffness);
    }
    let number = |key: &str| press.object("level").and_then(|fields| fields.number(key));
    let mm = |key: &str| number(key).map(Length::from_millimetres);
    Level {
        gib_clearance: mm("gib_clearance_mm"),
        gib_length: mm("gib_length_mm"),
        parallelism: number("parallelism_mm_per_m").map(|tilt| tilt * 1e-3),
        frame_tilt_at_rated: number("frame_mm_per_m_at_rated").map(|tilt| tilt * 1e-3),
        point_stiffness: point_stiffness.map(|stiffness| stiffness * 1e6),
        // kN·m per mm/m is N·m per µrad.
        stiffness_x: number("stiffness_x_knm_per_mm_per_m").map(|stiffness| stiffness * 1e6),
        stiffness_y: number("stiffness_y_knm_per_mm_per_m").map(|stiffness| stiffness * 1e6),
    }
}

fn area(fields: Fields) -> Option<Footprint> {
    Some(Footprint { width: fields.mm("width_mm")?, depth: fields.mm("depth_mm")? })
}

fn slots(fields: Fields) -> Option<Slots> {
    let fields = fields.object("slots")?;
    Some(Slots {
        direction: match fields.word("direction") {
            "front_back" => SlotDirection::FrontBack,
            _ => SlotDirection::LeftRight,
        },
        pitch: fields.mm("pitch_mm")?,
        count: fields.number("count")? as u32,
    })
}

fn openings(fields: Fields) -> Vec<Opening> {
    let rows = fields.list("openings").iter().filter_map(|row| row.as_object().map(Fields));
    rows.filter_map(|row| {
        Some(Opening { at: point(row), width: row.mm("width_mm")?, depth: row.mm("depth_mm")? })
    })
    .collect()
}

fn bolts(fields: Fields) -> Bolts {
    let places = |key: &str| -> Vec<Point> {
        let pairs = fields.list(key).iter();
        pairs
            .filter_map(|pair| Some(Point::from_millimetres(pair[0].as_f64()?, pair[1].as_f64()?)))
            .collect()
    };
    Bolts { lower: places("lower"), upper: places("upper"), reach: fields.mm_or_zero("reach_mm") }
}

fn strip(fields: Fields) -> Option<Strip> {
    Some(Strip {
        pitch: fields.mm("pitch_mm")?,
        first_hit: fields.mm("first_hit_mm")?,
        feed: match fields.word("feed") {
            "right_to_left" => Feed::RightToLeft,
            "front_to_back" => Feed::FrontToBack,
            "back_to_front" => Feed::BackToFront,
            _ => Feed::LeftToRight,
        },
    })
}

/// `sources` are the objects in which the fields may stand, the nearest first.
fn stock(
    sources: &[Fields],
    path: &str,
    assumptions: &mut Vec<Assumption>,
) -> Result<Stock, Refusal> {
    let range = |key: &str| sources.iter().find_map(|fields| fields.range(key));
    let number = |key: &str| sources.iter().find_map(|fields| fields.number(key));
    let thickness = range("thickness_mm")
        .ok_or_else(|| missing(&format!("{path}.thickness_mm"), tr("must be a thickness")))?;
    let tolerance = number("thickness_tolerance_mm").unwrap_or(0.0);
    let ratio = range("shear_ratio");
    let shear_ratio = ratio.unwrap_or(Range::exactly(DEFAULT_SHEAR_RATIO));
    // The nearest object that says anything of strength decides: a station of stronger stock does
    // not keep the shear strength of the job's.
    let strength_keys = ["tensile_mpa", "shear_ratio", "shear_strength_mpa"];
    let nearest = sources.iter().find(|fields| fields.has_any(&strength_keys));
    let tensile = range("tensile_mpa");
    let shear = match nearest.and_then(|fields| fields.range("shear_strength_mpa")) {
        None if tensile.is_none() => range("shear_strength_mpa"),
        shear => shear,
    };
    let (tensile, shear) = match (tensile, shear) {
        (Some(tensile), Some(shear)) => (tensile, shear),
        (Some(tensile), None) => {
            if ratio.is_none() {
                assumptions.push(Assumption::ShearRatio);
            }
            let shear =
                Range::new(tensile.low() * shear_ratio.low(), tensile.high() * shear_ratio.high());
            (tensile, shear)
        }
        (None, Some(shear)) => {
            assumptions.push(Assumption::TensileFromShear);
            // A range of the ratio says how far the shear strength may vary, which is known here.
            (shear.scaled(1.0 / shear_ratio.on(press_load::Line::Nominal)), shear)
        }
        (None, None) => {
            return Err(missing(
                &format!("{path}.tensile_mpa"),
                tr("must be a strength where shear_strength_mpa is not given"),
            ));
        }
    };
    let mut or_assumed = |key: &str, assumption, otherwise| {
        range(key).unwrap_or_else(|| {
            assumptions.push(assumption);
            otherwise
        })
    };
    let (low, high) = DEFAULT_SEPARATION;
    Ok(Stock {
        thickness_m: Range::new(
            (thickness.low() - tolerance) * 1e-3,
            (thickness.high() + tolerance) * 1e-3,
        ),
        tensile_pa: tensile.scaled(1e6),
        shear_pa: shear.scaled(1e6),
        yield_pa: range("yield_mpa").map(|range| range.scaled(1e6)),
        penetration: or_assumed(
            "penetration",
            Assumption::Penetration,
            Range::exactly(DEFAULT_PENETRATION),
        ),
        separation: or_assumed("separation", Assumption::Separation, Range::new(low, high)),
        strength_coefficient_pa: number("strength_coefficient_mpa").map(|mpa| mpa * 1e6),
        hardening_exponent: number("hardening_exponent"),
    })
}

/// The coil of a checked job.
pub(crate) fn coil(value: &Value) -> Option<Coil> {
    let fields = Fields(value["coil"].as_object()?);
    Some(Coil {
        certificate: fields.word("certificate").to_owned(),
        date: fields.word("date").to_owned(),
        thickness_m: fields.number("thickness_mm").map(|mm| mm * 1e-3),
        tensile_pa: fields.number("tensile_mpa").map(|mpa| mpa * 1e6),
        yield_pa: fields.number("yield_mpa").map(|mpa| mpa * 1e6),
    })
}

fn die(fields: Fields) -> Result<Die, Refusal> {
    let placement = fields.object("placement");
    let place = |key: &str| placement.map_or(Length::ZERO, |fields| fields.mm_or_zero(key));
    Ok(Die {
        kind: match fields.word("kind") {
            "compound" => DieKind::Compound,
            "combination" => DieKind::Combination,
            "progressive" => DieKind::Progressive,
            "transfer" => DieKind::Transfer,
            _ => DieKind::Single,
        },
        footprint: area(fields),
        shut_height: fields.mm("shut_height_mm"),
        upper_mass: fields.number("upper_mass_kg").map(Mass::from_kilograms),
        placement: Placement {
            x: place("x_mm"),
            y: place("y_mm"),
            turn_deg: placement.map_or(0.0, |fields| fields.number_or("turn_deg", 0.0)),
        },
        parallels: fields.mm_or_zero("parallels_mm"),
        opening_needed: fields.mm("opening_needed_mm"),
        guide_engagement: fields.mm("guide_engagement_mm"),
        upper_clamps: fields.object("upper_clamps").map(clamps).transpose()?.flatten(),
        bolts: fields.object("bolts").map(bolts),
        // Loose blanks have no leading edge.
        strip: fields
            .object("strip")
            .filter(|_| fields.word("kind") == "progressive")
            .and_then(strip),
    })
}

/// What each clamp holds: as entered, or from torque and size of its screw. Incomplete is not known.
fn clamps(fields: Fields) -> Result<Option<Clamps>, Refusal> {
    let (held, torque) = (fields.kn("force_kn"), fields.number("torque_nm"));
    if let (Some(held), Some(torque)) = (held, torque) {
        return Err(Refusal {
            path: "die.upper_clamps.torque_nm".to_owned(),
            allowed: tr(
                "must not stand beside force_kn: what a clamp holds follows from one of them",
            )
            .to_owned(),
            given: say!("{} kN and {} N·m", held.kilonewtons(), torque),
        });
    }
    let from_torque = || -> Option<Result<Force, InputError>> {
        let factor = fields.number_or("friction_factor", DEFAULT_FRICTION_FACTOR);
        let torque = Moment::from_newton_metres(torque?);
        let screw = screw_force(torque, fields.mm("bolt_mm")?, factor);
        Some(screw.map(|screw| strap_force(screw, fields.number_or("lever_share", 1.0))))
    };
    let force = match held {
        Some(held) => Some(held),
        None => from_torque()
            .transpose()
            .map_err(|error| refusal("die.upper_clamps.torque_nm", &error))?,
    };
    let count = fields.number("count").map(|count| count as u32);
    Ok(force.zip(count).map(|(force, count)| Clamps { count, force }))
}

/// Where the die's centre may stand; an end that is not entered bounds nothing.
fn band(fields: Fields) -> Result<Places, Refusal> {
    let interval = |from: &str, to: &str| {
        let interval = Interval {
            low: fields.mm(from).map_or(f64::NEG_INFINITY, Length::metres),
            high: fields.mm(to).map_or(f64::INFINITY, Length::metres),
        };
        if interval.is_empty() {
            return Err(Refusal {
                path: format!("die.band.{from}"),
                allowed: say!("must be at most {}, the other end", fields.number_or(to, 0.0)),
                given: fields.number_or(from, 0.0).to_string(),
            });
        }
        Ok(interval)
    };
    Ok(Places { x: interval("x_from_mm", "x_to_mm")?, y: interval("y_from_mm", "y_to_mm")? })
}

fn point(fields: Fields) -> Point {
    Point::from_millimetres(fields.number_or("x_mm", 0.0), fields.number_or("y_mm", 0.0))
}

const STOCK_KEYS: [&str; 10] = [
    "thickness_mm",
    "thickness_tolerance_mm",
    "tensile_mpa",
    "shear_ratio",
    "shear_strength_mpa",
    "yield_mpa",
    "penetration",
    "separation",
    "strength_coefficient_mpa",
    "hardening_exponent",
];

fn station(
    fields: Fields,
    index: usize,
    context: &Context,
    assumptions: &mut Vec<Assumption>,
) -> Result<Station, Refusal> {
    let path = format!("stations[{index}]");
    // The stock fields may stand in the station's own `stock` or beside it; the job's fill the gaps.
    let own: Vec<Fields> = fields
        .object("stock")
        .into_iter()
        .chain(fields.has_any(&STOCK_KEYS).then_some(fields))
        .collect();
    let stock = if own.is_empty() {
        None
    } else {
        let sources: Vec<Fields> = own.into_iter().chain(context.root.object("stock")).collect();
        Some(stock(&sources, &format!("{path}.stock"), assumptions)?)
    };
    let context = &Context { stock: stock.as_ref().unwrap_or(context.stock), ..*context };
    let work = fields
        .list("work")
        .iter()
        .enumerate()
        .filter_map(|(index, work)| Some((index, Fields(work.as_object()?))))
        .map(|(index, fields)| {
            let path = format!("{path}.work[{index}]");
            within_stroke(fields, &path, context.stroke)?;
            Ok(PlacedWork {
                work: work(fields, &path, context, assumptions)?,
                motion: Motion::new(point(fields), fields.number_or("turn_deg", 0.0)),
            })
        })
        .collect::<Result<Vec<_>, Refusal>>()?;
    let stripper = match fields.object("stripper") {
        Some(spring_fields) if spring_fields.word("kind") != "fixed" => {
            let path = format!("{path}.stripper");
            within_stroke(spring_fields, &path, context.stroke)?;
            Some(Stripper::Sprung(spring(spring_fields, &path)?))
        }
        Some(_) => Some(Stripper::Fixed),
        None => fields.value("stripper").map(|_| Stripper::Fixed),
    };
    let name = match fields.word("name") {
        "" => say!("Station {}", index + 1),
        name => name.to_owned(),
    };
    Ok(Station {
        name,
        at: point(fields),
        strip_position: fields.number_or("strip_position", (index + 1) as f64) as u32,
        stock,
        work,
        stripper,
    })
}

/// Refuses jobs that no die has and that would take minutes and gigabytes to work out.
fn within_budget(stations: &[Station]) -> Result<(), Refusal> {
    let mut pieces = 0;
    for (station_index, station) in stations.iter().enumerate() {
        for (work_index, placed) in station.work.iter().enumerate() {
            pieces += match &placed.work {
                Work::Cut(cut) => {
                    // The ridges of tool shear cut every edge into pieces, at worst.
                    let parts = match cut.tool_shear {
                        ToolShear::Roof { ridges, .. } => 2 * ridges as usize,
                        ToolShear::Flat | ToolShear::Slope { .. } => 1,
                    };
                    parts * cut.outline.edges().map_or(0, |edges| edges.len())
                }
                Work::Table(rows) => rows.len(),
                _ => PIECES_OF_OTHER_WORK,
            };
            if pieces > MOST_PIECES {
                return Err(Refusal {
                    path: format!("stations[{station_index}].work[{work_index}]"),
                    allowed: say!(
                        "all work up to here must come to at most {} pieces of edge \
                         (each ridge of tool shear counts every edge twice; work other than \
                         cutting counts {}, a table its points)",
                        MOST_PIECES,
                        PIECES_OF_OTHER_WORK
                    ),
                    given: pieces.to_string(),
                });
            }
        }
    }
    Ok(())
}

/// A tool cannot touch the stock above the top of the stroke.
fn within_stroke(fields: Fields, path: &str, stroke: Length) -> Result<(), Refusal> {
    let check = |path: String, height: Option<Length>| match height {
        Some(height) if height > stroke => Err(Refusal {
            path,
            allowed: say!("must be at most the stroke, {} mm", stroke.millimetres()),
            given: say!("{} mm", height.millimetres()),
        }),
        _ => Ok(()),
    };
    check(format!("{path}.entry_mm"), fields.mm("entry_mm"))?;
    for (index, row) in fields.list("points").iter().enumerate() {
        let height = row["height_mm"].as_f64().map(Length::from_millimetres);
        check(format!("{path}.points[{index}].height_mm"), height)?;
    }
    Ok(())
}

fn work(
    fields: Fields,
    path: &str,
    context: &Context,
    assumptions: &mut Vec<Assumption>,
) -> Result<Work, Refusal> {
    let entry = fields.mm_or_zero("entry_mm");
    // The tool's gap does not grow with the strip: it is the nominal thickness on both lines.
    let nominal = Length::from_metres(context.stock.thickness_m.on(press_load::Line::Nominal));
    let needed = |key: &str, when: &str| {
        fields
            .mm(key)
            .ok_or_else(|| missing(&format!("{path}.{key}"), &say!("must be a length {}", when)))
    };
    let gap = fields.mm("gap_mm").unwrap_or(nominal);
    if gap > nominal * WIDEST_GAP {
        return Err(Refusal {
            path: format!("{path}.gap_mm"),
            allowed: say!(
                "must be at most {} thicknesses, {} mm",
                WIDEST_GAP,
                (nominal * WIDEST_GAP).millimetres()
            ),
            given: say!("{} mm", gap.millimetres()),
        });
    }
    let length = fields.mm_or_zero("length_mm");
    let factor = fields.number("factor");
    let pad = fields.kn_or_zero("pad_kn");
    Ok(match fields.word("op") {
        "cut" => Work::Cut(cut(fields, path, context, assumptions)?),
        "bend" => {
            let kind = match fields.word("kind") {
                "v" => BendKind::V { opening: needed("opening_mm", tr("with kind v"))? },
                kind => {
                    let punch_radius = needed("punch_radius_mm", tr("with kind u or wipe"))?;
                    let die_radius = needed("die_radius_mm", tr("with kind u or wipe"))?;
                    if kind == "u" {
                        BendKind::U { punch_radius, die_radius, gap }
                    } else {
                        BendKind::Wipe { punch_radius, die_radius, gap }
                    }
                }
            };
            let bottoming = fields.number("bottoming_mpa").map(Stress::from_megapascals);
            Work::Bend(Bend { kind, length, entry, factor, pad, bottoming })
        }
        "flange" => Work::Flange(Flange {
            kind: match fields.word("kind") {
                "stretch" => FlangeKind::Stretch,
                "shrink" => FlangeKind::Shrink,
                _ => FlangeKind::Straight,
            },
            length,
            punch_radius: needed("punch_radius_mm", tr("for a flange"))?,
            die_radius: needed("die_radius_mm", tr("for a flange"))?,
            gap,
            plan_radius: fields.mm("plan_radius_mm"),
            height: fields.mm("height_mm"),
            factor,
            pad,
            entry,
        }),
        "hem" => {
            let kind = if fields.word("kind") == "flat" { HemKind::Flat } else { HemKind::Open };
            Work::Hem(Hem { kind, length, entry, gap: fields.mm("gap_mm"), factor })
        }
        "hole_flange" => Work::HoleFlange(HoleFlange {
            hole_diameter: fields.mm_or_zero("hole_diameter_mm"),
            flange_diameter: fields.mm_or_zero("flange_diameter_mm"),
            entry,
        }),
        "draw" => Work::Draw(draw(fields, path)?),
        "squeeze" => Work::Squeeze(Squeeze {
            kind: match fields.word("kind") {
                "emboss" => SqueezeKind::Emboss,
                "size" => SqueezeKind::Size,
                _ => SqueezeKind::Coin,
            },
            area: Area::from_square_millimetres(fields.number_or("area_mm2", 0.0)),
            pressure: Stress::from_megapascals(fields.number_or("pressure_mpa", 0.0)),
            entry,
        }),
        "spring" => Work::Spring(spring(fields, path)?),
        _ => Work::Table(fields.rows("points", "height_mm")),
    })
}

fn draw(fields: Fields, path: &str) -> Result<Draw, Refusal> {
    let kind = match fields.word("kind") {
        "redraw" => DrawKind::Redraw,
        "iron" => DrawKind::Iron,
        _ => DrawKind::First,
    };
    let depth = fields.mm_or_zero("depth_mm");
    let rectangular = fields.object("box").map(|fields| BoxShape {
        width: fields.mm_or_zero("width_mm"),
        depth: fields.mm_or_zero("depth_mm"),
        corner_radius: fields.mm_or_zero("corner_radius_mm"),
    });
    let needed = |key: &str| {
        fields.mm(key).ok_or_else(|| {
            missing(&format!("{path}.{key}"), tr("must be a diameter where no box is drawn"))
        })
    };
    let refuse = |key: &str, allowed: &str, given: String| {
        Err(Refusal { path: format!("{path}.{key}"), allowed: allowed.to_owned(), given })
    };
    let (blank_diameter, punch_diameter) = match rectangular {
        None => (needed("blank_diameter_mm")?, needed("punch_diameter_mm")?),
        Some(_) if kind != DrawKind::First => {
            return refuse(
                "box",
                tr("must be left out with a redraw or ironing"),
                tr("a box").to_owned(),
            );
        }
        Some(shape) => {
            let largest = shape.width.min(shape.depth) / 2.0;
            if shape.corner_radius > largest {
                let allowed =
                    say!("must be at most half the shorter side, {} mm", largest.millimetres());
                let given = say!("{} mm", shape.corner_radius.millimetres());
                return refuse("box.corner_radius_mm", &allowed, given);
            }
            let corners = shape.corner_radius * 2.0;
            let punch = fields.mm("punch_diameter_mm");
            if let Some(punch) = punch
                && (punch / corners - 1.0).abs() > 1e-6
            {
                let allowed = say!(
                    "must be left out with a box, or be twice its corner radius, {} mm",
                    corners.millimetres()
                );
                return refuse("punch_diameter_mm", &allowed, say!("{} mm", punch.millimetres()));
            }
            let blank = fields.mm("blank_diameter_mm");
            (blank.unwrap_or_else(|| deep_drawing::blank_diameter_of(corners, depth)), corners)
        }
    };
    Ok(Draw {
        kind,
        blank_diameter,
        punch_diameter,
        depth,
        die_radius: fields.mm("die_radius_mm"),
        punch_radius: fields.mm("punch_radius_mm"),
        wall_after: fields.mm("wall_after_mm"),
        rectangular,
        friction: fields.number_or("friction", deep_drawing::DEFAULT_FRICTION),
        blank_holder: fields.kn_or_zero("blank_holder_kn"),
        entry: fields.mm_or_zero("entry_mm"),
    })
}

fn cut(
    fields: Fields,
    path: &str,
    context: &Context,
    assumptions: &mut Vec<Assumption>,
) -> Result<Cut, Refusal> {
    let outline = outline(fields);
    outline.edges().map_err(|error| {
        let field = field_at_fault(&error).unwrap_or("outline");
        refusal(format!("{path}.{field}"), &error)
    })?;
    let strip_factor = fields.number("strip_factor").or(context.settings.strip_factor);
    if strip_factor.is_none() {
        assumptions.push(Assumption::StripFactor);
    }
    let clearance_percent = fields.number("clearance_percent");
    if clearance_percent.is_none()
        && outline.is_closed()
        && context.settings.cut_model == CutModel::Shaped
    {
        assumptions.push(Assumption::Clearance);
    }
    let allowance = fields.mm("allowance_mm");
    let thickness = Length::from_metres(context.stock.thickness_m.on(press_load::Line::Nominal));
    if let Some(allowance) = allowance
        && allowance > thickness
    {
        return Err(Refusal {
            path: format!("{path}.allowance_mm"),
            allowed: say!("must be at most the thickness, {} mm", thickness.millimetres()),
            given: say!("{} mm", allowance.millimetres()),
        });
    }
    let shear_fields = fields.object("tool_shear");
    Ok(Cut {
        kind: match fields.word("kind") {
            "blank" => CutKind::Blank,
            "notch" => CutKind::Notch,
            "cut_off" => CutKind::CutOff,
            "shear" => CutKind::Shear,
            "lance" => CutKind::Lance,
            "trim" => CutKind::Trim,
            "shave" => CutKind::Shave,
            _ => CutKind::Pierce,
        },
        outline,
        entry: fields.mm_or_zero("entry_mm"),
        tool_shear: shear_fields.map_or(ToolShear::Flat, tool_shear),
        shear_on: match shear_fields.map_or("", |fields| fields.word("shear_on")) {
            "punch" => Some(ShearSide::Punch),
            "die" => Some(ShearSide::Die),
            _ => None,
        },
        punch: fields.mm("punch_length_mm").map(|length| SlenderPunch {
            length,
            end: if fields.flag("punch_guided") == Some(true) {
                PunchEnd::Guided
            } else {
                PunchEnd::Free
            },
        }),
        allowance,
        clearance_percent,
        land: fields.mm("land_mm"),
        strip_factor: strip_factor.unwrap_or(DEFAULT_STRIP_FACTOR),
        wear_factor: fields.number_or("wear_factor", 1.0),
    })
}

fn outline(fields: Fields) -> Outline {
    let Some(outline) = fields.object("outline") else {
        return Outline::LengthOnly(Length::ZERO);
    };
    if let Some(circle) = outline.object("circle") {
        Outline::Circle { diameter: circle.mm_or_zero("diameter_mm") }
    } else if let Some(rectangle) = outline.object("rectangle") {
        Outline::Rectangle {
            width: rectangle.mm_or_zero("width_mm"),
            depth: rectangle.mm_or_zero("depth_mm"),
            corner_radius: rectangle.mm_or_zero("corner_radius_mm"),
        }
    } else if let Some(slot) = outline.object("slot") {
        Outline::Slot { length: slot.mm_or_zero("length_mm"), width: slot.mm_or_zero("width_mm") }
    } else if let Some(path) = outline.object("path") {
        let coordinate = |pair: &Value, index: usize| pair[index].as_f64().map_or(0.0, or_nothing);
        Outline::Path {
            points: path
                .list("points")
                .iter()
                .map(|pair| Point::from_millimetres(coordinate(pair, 0), coordinate(pair, 1)))
                .collect(),
            bulges: path.list("bulges").iter().filter_map(Value::as_f64).collect(),
            closed: path.flag("closed").unwrap_or(false),
        }
    } else {
        Outline::LengthOnly(outline.mm_or_zero("length_mm"))
    }
}

fn tool_shear(fields: Fields) -> ToolShear {
    let depth = fields.mm_or_zero("depth_mm");
    let direction_deg = fields.number_or("direction_deg", 0.0);
    let first =
        if fields.flag("ridge_first").unwrap_or(true) { RoofFirst::Ridge } else { RoofFirst::Ends };
    match fields.word("kind") {
        "slope" => ToolShear::Slope { depth, direction_deg },
        "roof" => ToolShear::Roof { depth, direction_deg, ridges: 1, first },
        "zigzag" => ToolShear::Roof {
            depth,
            direction_deg,
            ridges: fields.number_or("ridges", 1.0) as u32,
            first,
        },
        _ => ToolShear::Flat,
    }
}

fn spring(fields: Fields, path: &str) -> Result<Spring, Refusal> {
    let entry = fields.mm_or_zero("entry_mm");
    let force = fields.kn_or_zero("force_kn");
    let kind = match fields.word("kind") {
        "coil" => SpringKind::Coil {
            preload: fields.kn_or_zero("preload_kn"),
            rate: Stiffness::from_kilonewtons_per_millimetre(
                fields.number_or("rate_kn_per_mm", 0.0),
            ),
        },
        "gas" => SpringKind::Gas {
            force,
            stroke: fields.mm_or_zero("stroke_mm"),
            force_rise: fields.number_or("force_rise", 1.0),
        },
        "elastomer" => SpringKind::Elastomer { points: fields.rows("points", "travel_mm") },
        "air_cushion" => {
            let force = air_cushion_force(
                Stress::from_megapascals(fields.number_or("pressure_mpa", 0.0)),
                fields.mm_or_zero("piston_diameter_mm"),
                fields.number_or("pistons", 1.0),
            )
            .map_err(|error| refusal(path, &error))?;
            let stroke = fields.mm("stroke_mm").unwrap_or(entry);
            SpringKind::Gas { force, stroke, force_rise: fields.number_or("force_rise", 1.0) }
        }
        // A cushion whose stroke nobody entered is taken to follow.
        _ => SpringKind::Cushion { force, stroke: fields.mm("stroke_mm").unwrap_or(entry) },
    };
    Ok(Spring { kind, entry })
}
