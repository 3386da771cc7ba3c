//! Which single input moves each limit most.
//!
//! One input at a time goes to the low and to the high end of what it may be; everything else stays
//! as the limits are judged, on the upper line. What comes out is the share of every limit at either
//! end, the input that moves it most first: the number that is worth measuring before the others.
//!
//! The ends are the job's own range where it gives one. Where it gives none, they are a range in
//! print or common practice, and each says which ([`Input::why`]).

use crate::{
    Assumption, Job,
    build::{DEFAULT_PENETRATION, DEFAULT_SEPARATION, DEFAULT_SHEAR_RATIO},
    materials::SPREAD,
    report::finite,
    spec::Unit,
};
use evenstroke_language::{say, tr};
use press_load::{
    Check, Force, Length, LimitId, PlacedWork, Range, Stock, Work,
    cutting::Cut,
    order,
    springs::{Spring, SpringKind},
    squeezing::gain_per_tenth_millimetre,
    stripping::Stripper,
};
use serde::Serialize;

/// More stations than this are not moved one by one: no strip has as many, and each costs two checks.
const MOST_STATIONS_ALONE: usize = 40;
/// What moves a share by less than this moves nothing.
const NO_MOVEMENT: f64 = 1e-9;
/// A tool that touches no higher than this above BDC keeps a little of its travel.
pub const LEAST_ENTRY_MM: f64 = 0.01;

/// Whether the ends of an input are its values, or what is added to the job's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// Its values.
    Values,
    /// Added to what the job has.
    Changes,
}

/// An input that is not known exactly.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Its name in files.
    pub key: &'static str,
    /// What people call it.
    pub label: String,
    /// Low end, in `unit`.
    pub low: f64,
    /// High end, in `unit`.
    pub high: f64,
    /// Unit of the ends.
    pub unit: Unit,
    /// What the ends are.
    pub ends: Ends,
    /// Where they come from.
    pub why: &'static str,
    knob: Knob,
}

/// What an input does to one limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Mover {
    /// The input.
    pub input: Input,
    /// Share of the limit with the input at its low end.
    pub share_at_low: f64,
    /// Share of the limit with the input at its high end.
    pub share_at_high: f64,
}

/// What moves one limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Movers {
    /// The limit.
    pub id: LimitId,
    /// Its share as judged.
    pub share: f64,
    /// The inputs that move it, largest movement first; the others are left out.
    pub movers: Vec<Mover>,
}

/// What an input changes in a job.
#[derive(Clone, Debug, PartialEq)]
enum Knob {
    /// Of the stocks at these places: 0 is the job's, the others those of its stations.
    Stock(Property, Vec<usize>),
    /// Of cuts without a clearance of their own.
    Clearance,
    /// Of cuts with one.
    ClearanceChange,
    Wear,
    StripFactor,
    Friction,
    SqueezePressure,
    Springs,
    ShutHeight,
    Entry(usize),
    PlaceX,
    PlaceY,
    Stiffness,
    SlideMass,
    Damping,
}

/// A property of the stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Property {
    /// Shear and yield strength go with it in proportion.
    Tensile,
    ShearRatio,
    Thickness,
    Penetration,
    Separation,
    Coefficient,
    Exponent,
}

impl Mover {
    /// By how much the share moves, from the lowest to the highest of what it may be.
    pub fn movement(&self, judged: f64) -> f64 {
        let [low, high, judged] = [self.share_at_low, self.share_at_high, judged].map(finite);
        low.max(high).max(judged) - low.min(high).min(judged)
    }
}

/// For every limit that is checked, what moves it; limits in the order of the report.
pub fn sensitivity(job: &Job, check: &Check) -> Vec<Movers> {
    let mut search = Search::new(job, check);
    while search.step(job) {}
    search.finish()
}

/// The search for what moves the limits, one input at a time, so that a page need not stand still
/// while it goes on.
#[derive(Debug)]
pub struct Search {
    found: Vec<Movers>,
    /// Inputs still to be tried, the last one next.
    left: Vec<Input>,
}

impl Search {
    /// A search in which nothing is tried yet.
    pub fn new(job: &Job, check: &Check) -> Self {
        let found = check
            .limits
            .iter()
            .filter_map(|limit| {
                let share = limit.outcome.ok()?.share;
                Some(Movers { id: limit.id, share, movers: Vec::new() })
            })
            .collect();
        let mut left = inputs(job);
        left.reverse();
        Self { found, left }
    }

    /// Tries one input; false if none is left.
    pub fn step(&mut self, job: &Job) -> bool {
        let Some(input) = self.left.pop() else { return false };
        let [Some(low), Some(high)] = [input.low, input.high].map(|end| input.knob.check(job, end))
        else {
            // At one end the die cannot be worked out: the reader's ranges say so, not a share.
            return true;
        };
        for limit in &mut self.found {
            let share = |check: &Check| check.limit(limit.id).outcome.map(|used| used.share);
            if let (Ok(share_at_low), Ok(share_at_high)) = (share(&low), share(&high)) {
                let mover = Mover { input: input.clone(), share_at_low, share_at_high };
                if mover.movement(limit.share) > NO_MOVEMENT {
                    limit.movers.push(mover);
                }
            }
        }
        true
    }

    /// What was found, what moves a limit most first.
    pub fn finish(mut self) -> Vec<Movers> {
        for limit in &mut self.found {
            let movements: Vec<f64> =
                limit.movers.iter().map(|mover| mover.movement(limit.share)).collect();
            let sorted = order::falling(&movements);
            limit.movers = sorted.into_iter().map(|place| limit.movers[place].clone()).collect();
        }
        self.found
    }
}

/// Every input of a job that is not known exactly.
pub fn inputs(job: &Job) -> Vec<Input> {
    let mut found = stock_inputs(job);
    let mut push = |key, label: &str, (low, high), unit, ends, why, knob| {
        found.push(Input { key, label: label.to_owned(), low, high, unit, ends, why, knob });
    };
    let works = || job.stations.iter().flat_map(|station| &station.work).map(|placed| &placed.work);
    let cuts = || {
        works().filter_map(|work| match work {
            Work::Cut(cut) => Some(cut),
            _ => None,
        })
    };
    if cuts().any(|cut| cut.clearance_percent.is_none()) {
        push(
            "clearance_percent",
            tr("Clearance per side, where not given"),
            (5.0, 8.0),
            Unit::Percent,
            Ends::Values,
            tr(
                "5 to 8 % per side in print (P. Ulintz, \"Increasing Press Speed and (In)Efficiency\", MetalForming, 30 Mar 2023)",
            ),
            Knob::Clearance,
        );
    }
    if cuts().any(|cut| cut.clearance_percent.is_some()) {
        push(
            "clearance_change_percent",
            tr("Clearance per side"),
            (-1.0, 1.0),
            Unit::Percent,
            Ends::Changes,
            tr("1 % of thickness either way as tools are ground (common practice, no source)"),
            Knob::ClearanceChange,
        );
    }
    if cuts().next().is_some() {
        let dullest = cuts().map(|cut| cut.wear_factor).fold(crate::what_if::DULL, f64::max);
        push(
            "wear_factor",
            tr("Edges, sharp to dull"),
            (1.0, dullest),
            Unit::One,
            Ends::Values,
            tr(crate::what_if::DULL_SOURCE),
            Knob::Wear,
        );
        push(
            "strip_factor",
            tr("Stripping over cutting force"),
            (0.03, 0.3),
            Unit::One,
            Ends::Values,
            tr(
                "0.03 to 0.08 in a press-die tutorial (2012), 0.10 to 0.30 in P. Ulintz, \"Pressure Strippers Part 1\", MetalForming, July 2009",
            ),
            Knob::StripFactor,
        );
    }
    let friction = || {
        works().filter_map(|work| match work {
            Work::Draw(draw) => Some(draw.friction),
            _ => None,
        })
    };
    if friction().next().is_some() {
        push(
            "friction",
            tr("Friction in the draw"),
            (friction().fold(0.05, f64::min), friction().fold(0.15, f64::max)),
            Unit::One,
            Ends::Values,
            tr("0.05 to 0.15 with lubricant (common practice, no source)"),
            Knob::Friction,
        );
    }
    if works().any(|work| matches!(work, Work::Squeeze(_))) {
        push(
            "squeeze_pressure_percent",
            tr("Squeezing pressure"),
            (-20.0, 20.0),
            Unit::Percent,
            Ends::Changes,
            tr(
                "20 % either way, as wide as the tabled ranges (H. Tschätsch, A. Koth, Metal Forming Practise, table 8.1)",
            ),
            Knob::SqueezePressure,
        );
    }
    push(
        "spring_force_percent",
        tr("Springs, pads and cushions"),
        (-10.0, 10.0),
        Unit::Percent,
        Ends::Changes,
        tr("10 % of charge or preload either way (common practice, no source)"),
        Knob::Springs,
    );
    push(
        "shut_height_change_mm",
        tr("Shut height setting, all stations"),
        (-0.1, 0.1),
        Unit::Mm,
        Ends::Changes,
        tr("0.1 mm deeper or less deep (common practice, no source)"),
        Knob::ShutHeight,
    );
    if job.stations.len() <= MOST_STATIONS_ALONE {
        for (index, station) in job.stations.iter().enumerate() {
            push(
                "entry_change_mm",
                &say!("First touch at {}", station.name),
                (-0.1, 0.1),
                Unit::Mm,
                Ends::Changes,
                tr(
                    "0.1 mm of punch length either way, as it is ground (common practice, no source)",
                ),
                Knob::Entry(index),
            );
        }
    }
    for (key, label, knob) in [
        ("placement_x_change_mm", tr("Place of the die, left–right"), Knob::PlaceX),
        ("placement_y_change_mm", tr("Place of the die, front–back"), Knob::PlaceY),
    ] {
        let why = tr("5 mm either way where no pin holds the die (common practice, no source)");
        push(key, label, (-5.0, 5.0), Unit::Mm, Ends::Changes, why, knob);
    }
    if let Some(stiffness) = job.press.stiffness {
        let given = stiffness.newtons_per_metre() * 1e-6;
        push(
            "stiffness_kn_per_mm",
            tr("Stiffness of the press"),
            (0.8 * given, 1.2 * given),
            Unit::KnPerMm,
            Ends::Values,
            tr("20 % either way (common practice, no source)"),
            Knob::Stiffness,
        );
    }
    if let Some(mass) = job.press.slide_mass {
        let given = mass.kilograms();
        push(
            "slide_mass_kg",
            tr("Slide mass"),
            (0.9 * given, 1.1 * given),
            Unit::Kg,
            Ends::Values,
            tr("10 % either way (common practice, no source)"),
            Knob::SlideMass,
        );
    }
    let (damping, why) = match job.press.damping_share {
        Some(given) => (
            (70.0 * given, (130.0 * given).min(100.0)),
            tr("30 % of what is given either way (common practice, no source)"),
        ),
        None => (
            (20.0, 60.0),
            tr(
                "so much that 53 % or 9 % of a sudden release comes back (common practice, no source)",
            ),
        ),
    };
    push(
        "damping_percent",
        tr("Damping of the press"),
        damping,
        Unit::Percent,
        Ends::Values,
        why,
        Knob::Damping,
    );
    found
}

/// The stocks of a job, its own first.
fn stocks(job: &Job) -> impl Iterator<Item = (usize, &Stock)> {
    let own = job.stations.iter().enumerate().filter_map(|(i, s)| Some((i + 1, s.stock.as_ref()?)));
    std::iter::once((0, &job.stock)).chain(own)
}

fn stock_inputs(job: &Job) -> Vec<Input> {
    let own = tr("the job's own range");
    let assumed = |assumption| job.assumptions.contains(&assumption);
    let mut found: Vec<Input> = Vec::new();
    let mut push = |key, label: &str, place: usize, ends: (f64, f64), unit, why, property| {
        let (low, high) = (ends.0.min(ends.1), ends.0.max(ends.1));
        if high - low <= 1e-9 * high {
            return;
        }
        // A station that takes its range from the job varies with it.
        let same = found.iter_mut().find(|input| {
            input.key == key
                && (input.low - low).abs().max((input.high - high).abs()) <= 1e-9 * high
        });
        if let Some(Input { knob: Knob::Stock(_, places), .. }) = same {
            return places.push(place);
        }
        let label = match place.checked_sub(1) {
            Some(station) => say!("{} at {}", label, job.stations[station].name),
            None => label.to_owned(),
        };
        let knob = Knob::Stock(property, vec![place]);
        found.push(Input { key, label, low, high, unit, ends: Ends::Values, why, knob });
    };
    let ends = |range: Range, scale: f64| (range.low() * scale, range.high() * scale);
    for (place, stock) in stocks(job) {
        let tensile = ends(stock.tensile_pa, 1e-6);
        let label = tr("Strength of the stock");
        push("tensile_mpa", label, place, tensile, Unit::Mpa, own, Property::Tensile);
        let thickness = ends(stock.thickness_m, 1e3);
        push("thickness_mm", tr("Thickness"), place, thickness, Unit::Mm, own, Property::Thickness);
        let ratio = |end: fn(Range) -> f64| end(stock.shear_pa) / end(stock.tensile_pa);
        let ratio = (ratio(Range::low), ratio(Range::high));
        let rule = assumed(Assumption::ShearRatio)
            && [ratio.0, ratio.1].iter().all(|r| (r - DEFAULT_SHEAR_RATIO).abs() < 1e-9);
        let (ratio, why) =
            if rule { ((0.6, 0.8), tr("rules in print, 0.6 to 0.8")) } else { (ratio, own) };
        let label = tr("Shear over tensile strength");
        push("shear_ratio", label, place, ratio, Unit::One, why, Property::ShearRatio);
        let default = Range::exactly(DEFAULT_PENETRATION);
        let (penetration, why) = if assumed(Assumption::Penetration) && stock.penetration == default
        {
            (
                (0.24, 0.6),
                tr(
                    "0.24 for steel of 0.5 % carbon to 0.60 for soft aluminium (extract that matches P. C. Sharma, A Textbook of Production Engineering, ch. 2)",
                ),
            )
        } else {
            (ends(stock.penetration, 1.0), own)
        };
        push(
            "penetration",
            tr("Penetration"),
            place,
            penetration,
            Unit::One,
            why,
            Property::Penetration,
        );
        let default = Range::new(DEFAULT_SEPARATION.0, DEFAULT_SEPARATION.1);
        let (separation, why) = if assumed(Assumption::Separation) && stock.separation == default {
            (
                (0.35, 0.86),
                tr(
                    "0.34 to 0.49 on DP600 (A. Schenek, University of Stuttgart, simulated) to 0.67 to 0.86 measured on cold-rolled steel (pepbrainin.com, blanking and shaving)",
                ),
            )
        } else {
            (ends(stock.separation, 1.0), own)
        };
        push(
            "separation",
            tr("Separation"),
            place,
            separation,
            Unit::One,
            why,
            Property::Separation,
        );
        if let Some(k) = stock.strength_coefficient_pa {
            let k = ((1.0 - SPREAD) * k * 1e-6, (1.0 + SPREAD) * k * 1e-6);
            push(
                "strength_coefficient_mpa",
                tr("K of K·φⁿ"),
                place,
                k,
                Unit::Mpa,
                tr(
                    "12.5 % either way, the spread of strength (punching-machine manual B380EN03, p. 3-49)",
                ),
                Property::Coefficient,
            );
        }
        if let Some(n) = stock.hardening_exponent {
            push(
                "hardening_exponent",
                tr("n of K·φⁿ"),
                place,
                (0.9 * n, 1.1 * n),
                Unit::One,
                tr("10 % either way (common practice, no source)"),
                Property::Exponent,
            );
        }
    }
    found
}

impl Knob {
    /// The check with the input at `end`; nothing where the die cannot be worked out there.
    fn check(&self, job: &Job, end: f64) -> Option<Check> {
        let mut placement = job.die.placement;
        match self {
            // Where the die stands changes no curve.
            Self::PlaceX => placement.x += Length::from_millimetres(end),
            Self::PlaceY => placement.y += Length::from_millimetres(end),
            _ => return Some(job.altered(|job| self.turn(job, end)).ok()?.check()),
        }
        Some(job.check_at(placement))
    }

    /// Puts the input at `end` in its own unit.
    fn turn(&self, job: &mut Job, end: f64) {
        match self {
            Self::Stock(property, places) => {
                for &place in places {
                    let stock = match place.checked_sub(1) {
                        None => Some(&mut job.stock),
                        Some(station) => job.stations[station].stock.as_mut(),
                    };
                    if let Some(stock) = stock {
                        property.set(stock, end);
                    }
                }
            }
            Self::Clearance => each_cut(job, &|cut| {
                cut.clearance_percent = cut.clearance_percent.or(Some(end));
            }),
            Self::ClearanceChange => each_cut(job, &|cut| {
                cut.clearance_percent = cut.clearance_percent.map(|own| (own + end).max(0.1));
            }),
            Self::Wear => each_cut(job, &|cut| cut.wear_factor = end),
            Self::StripFactor => each_cut(job, &|cut| cut.strip_factor = end),
            Self::Friction => each_work(job, None, &|work| {
                if let Work::Draw(draw) = work {
                    draw.friction = end;
                }
            }),
            Self::SqueezePressure => scale_squeezing(job, None, 1.0 + end / 100.0),
            Self::Springs => scale_springs(job, 1.0 + end / 100.0),
            // A slide set deeper touches earlier by as much.
            Self::ShutHeight => move_entries(job, None, end),
            Self::Entry(station) => move_entries(job, Some(*station), end),
            Self::PlaceX | Self::PlaceY => {}
            Self::Stiffness => {
                job.press.stiffness = job
                    .press
                    .stiffness
                    .map(|_| press_load::Stiffness::from_kilonewtons_per_millimetre(end));
            }
            Self::SlideMass => job.press.slide_mass = Some(press_load::Mass::from_kilograms(end)),
            Self::Damping => job.press.damping_share = Some(end / 100.0),
        }
    }
}

impl Property {
    fn set(self, stock: &mut Stock, end: f64) {
        // What else belongs to the strength stays as the upper line has it, in proportion.
        let upper = |range: Range| range.high();
        match self {
            Self::Tensile => {
                let factor = end * 1e6 / upper(stock.tensile_pa);
                stock.tensile_pa = Range::exactly(end * 1e6);
                stock.shear_pa = Range::exactly(upper(stock.shear_pa) * factor);
                stock.yield_pa = stock.yield_pa.map(|range| Range::exactly(upper(range) * factor));
            }
            Self::ShearRatio => stock.shear_pa = Range::exactly(upper(stock.tensile_pa) * end),
            Self::Thickness => stock.thickness_m = Range::exactly(end * 1e-3),
            Self::Penetration => stock.penetration = Range::exactly(end),
            Self::Separation => stock.separation = Range::exactly(end),
            Self::Coefficient => stock.strength_coefficient_pa = Some(end * 1e6),
            Self::Exponent => stock.hardening_exponent = Some(end),
        }
    }
}

/// Changes the work of one station, or of all.
pub(crate) fn each_work(job: &mut Job, station: Option<usize>, change: &dyn Fn(&mut Work)) {
    for (index, found) in job.stations.iter_mut().enumerate() {
        if station.is_none_or(|wanted| wanted == index) {
            for PlacedWork { work, .. } in &mut found.work {
                change(work);
            }
        }
    }
}

/// Changes every cut.
pub(crate) fn each_cut(job: &mut Job, change: &dyn Fn(&mut Cut)) {
    each_work(job, None, &|work| {
        if let Work::Cut(cut) = work {
            change(cut);
        }
    });
}

fn scale_squeezing(job: &mut Job, station: Option<usize>, factor: f64) {
    each_work(job, station, &|work| {
        if let Work::Squeeze(squeeze) = work {
            squeeze.pressure = squeeze.pressure * factor;
        }
    });
}

fn scale_springs(job: &mut Job, factor: f64) {
    let scale = |spring: &mut Spring| match &mut spring.kind {
        SpringKind::Coil { preload, .. } => *preload = *preload * factor,
        SpringKind::Gas { force, .. } | SpringKind::Cushion { force, .. } => {
            *force = *force * factor;
        }
        SpringKind::Elastomer { points } => {
            for (_, force) in points {
                *force = *force * factor;
            }
        }
    };
    each_work(job, None, &|work| match work {
        Work::Spring(spring) => scale(spring),
        Work::Bend(bend) => bend.pad = bend.pad * factor,
        Work::Flange(flange) => flange.pad = flange.pad * factor,
        Work::Draw(draw) => draw.blank_holder = draw.blank_holder * factor,
        _ => {}
    });
    for station in &mut job.stations {
        if let Some(Stripper::Sprung(spring)) = &mut station.stripper {
            scale(spring);
        }
    }
}

/// Lets the tools of one station, or of all, touch `by_mm` earlier, and squeeze by as much deeper.
fn move_entries(job: &mut Job, station: Option<usize>, by_mm: f64) {
    let squeezed: Force = job
        .stations
        .iter()
        .enumerate()
        .filter(|(index, _)| station.is_none_or(|wanted| wanted == *index))
        .flat_map(|(_, station)| &station.work)
        .map(|placed| match &placed.work {
            Work::Squeeze(squeeze) => squeeze.area * squeeze.pressure,
            _ => Force::ZERO,
        })
        .sum();
    // On the bottom the press is a spring: the way deeper is worth its stiffness.
    if let Some(stiffness) = job.press.stiffness
        && squeezed > Force::ZERO
    {
        let gain = gain_per_tenth_millimetre(stiffness) * (by_mm / 0.1);
        scale_squeezing(job, station, ((squeezed + gain) / squeezed).max(1e-6));
    }
    let by = Length::from_millimetres(by_mm);
    shift_entries(job, station, by);
}

/// Lets the tools of one station, or of all, first touch `by` higher, within the stroke.
pub(crate) fn shift_entries(job: &mut Job, station: Option<usize>, by: Length) {
    let top = job.press.drive.stroke();
    let least = Length::from_millimetres(LEAST_ENTRY_MM);
    // What touches lower than that already stays there.
    let moved = |entry: Length| (entry + by).max(least.min(entry)).min(top);
    each_work(job, station, &|work| shift_work(work, &moved));
    for (index, found) in job.stations.iter_mut().enumerate() {
        if station.is_none_or(|wanted| wanted == index)
            && let Some(Stripper::Sprung(spring)) = &mut found.stripper
        {
            spring.entry = moved(spring.entry);
        }
    }
}

/// Lets one tool first touch where `moved` says.
pub(crate) fn shift_work(work: &mut Work, moved: &dyn Fn(Length) -> Length) {
    let entry = match work {
        Work::Cut(cut) => &mut cut.entry,
        Work::Bend(bend) => &mut bend.entry,
        Work::Flange(flange) => &mut flange.entry,
        Work::HoleFlange(flange) => &mut flange.entry,
        Work::Hem(hem) => &mut hem.entry,
        Work::Draw(draw) => &mut draw.entry,
        Work::Squeeze(squeeze) => &mut squeeze.entry,
        Work::Spring(spring) => &mut spring.entry,
        Work::Table(rows) => return shift_table(rows, moved),
    };
    *entry = moved(*entry);
}

/// A table stands at the heights where it was read: all its rows move by as much as its first touch.
fn shift_table(rows: &mut Vec<(Length, Force)>, moved: &dyn Fn(Length) -> Length) {
    let touch = rows.iter().map(|row| row.0).fold(Length::ZERO, Length::max);
    let by = moved(touch) - touch;
    for row in rows.iter_mut() {
        row.0 += by;
    }
    rows.retain(|row| row.0 >= Length::ZERO);
}

/// What moves one limit, as the report has it.
#[derive(Clone, Debug, Serialize)]
pub struct MoversRow {
    limit: &'static str,
    share: f64,
    inputs: Vec<MoverRow>,
}

#[derive(Clone, Debug, Serialize)]
struct MoverRow {
    input: &'static str,
    label: String,
    low: f64,
    high: f64,
    unit: &'static str,
    /// Whether low and high are `values`, or `changes` of what the job has.
    ends: &'static str,
    share_at_low: f64,
    share_at_high: f64,
    why: &'static str,
}

/// The answer as the report has it.
pub fn rows(found: &[Movers]) -> Vec<MoversRow> {
    let row = |mover: &Mover| MoverRow {
        input: mover.input.key,
        label: mover.input.label.clone(),
        low: mover.input.low,
        high: mover.input.high,
        unit: mover.input.unit.symbol(),
        ends: match mover.input.ends {
            Ends::Values => "values",
            Ends::Changes => "changes",
        },
        share_at_low: finite(mover.share_at_low),
        share_at_high: finite(mover.share_at_high),
        why: mover.input.why,
    };
    found
        .iter()
        .map(|limit| MoversRow {
            limit: limit.id.key(),
            share: finite(limit.share),
            inputs: limit.movers.iter().map(row).collect(),
        })
        .collect()
}
