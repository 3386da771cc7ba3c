//! How long a full check takes, and what the closed forms save against sampling the edges.
//!
//! The reference is what one would write first: every edge cut into 200 points, the force law
//! evaluated at each of them at each height. It is kept here only to have something to compare
//! with; the printed ratios say how much faster the crate is on the machine that runs the bench.

use criterion::Criterion;
use press_load::{
    Die, DieKind, Energy, Force, Length, Line, LoadSeries, Mass, Missing, Moment, Motion, Outline,
    PlacedWork, Point, Power, Range, Sheet, Station, Stiffness, Stock, Stroke, StrokeRate, TiltUse,
    Work,
    bending::{Bend, BendKind},
    check,
    cut_profile::CutProfile,
    cutting::{Cut, CutKind, CutModel},
    load::Load,
    press::{AxisRating, Drive, EnergyRating, Footprint, Frame, Press, Suspension},
    slide_on_springs::{Level, worst_tilt},
    springs::{Spring, SpringKind},
    tool_shear::ToolShear,
};
use std::{hint::black_box, time::Instant};

/// Points per edge of the sampled reference.
const SAMPLES: usize = 200;
/// Heights of the large die and of the sampled reference.
const HEIGHTS: usize = 1000;
/// Stations and segments of the large die.
const STATIONS: usize = 200;
const SEGMENTS: usize = 64;

fn main() {
    let mut criterion = Criterion::default().configure_from_args().sample_size(20);
    let job = ExampleJob::new();
    let sampled_job = job.sampled();
    criterion.bench_function("full check of the example job", |b| b.iter(|| job.check()));
    criterion.bench_function("full check of the example job, sampled", |b| {
        b.iter(|| sampled_job.check());
    });
    let large = LargeDie::new();
    criterion.bench_function("200 stations × 64 segments × 1000 heights", |b| {
        b.iter(|| large.series());
    });
    criterion.final_summary();

    let (ours, sampled) = (median(21, || job.check()), median(5, || sampled_job.check()));
    print_ratio("full check of the example job", ours, sampled);
    let tilt = job.tilt();
    println!("slide tilt in all strip states: {:.3} ms", median(101, tilt) * 1e3);
    let (ours, sampled) = (median(11, || large.series()), median(1, || large.sampled_series()));
    print_ratio("200 stations × 64 segments × 1000 heights", ours, sampled);
}

/// Median time of one call in seconds.
fn median<T>(runs: usize, mut call: impl FnMut() -> T) -> f64 {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            black_box(call());
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}

fn print_ratio(what: &str, ours: f64, sampled: f64) {
    println!(
        "{what}: {:.3} ms, sampled {:.3} ms, ratio {:.0}",
        ours * 1e3,
        sampled * 1e3,
        sampled / ours
    );
}

fn mm(value: f64) -> Length {
    Length::from_millimetres(value)
}

fn kn(value: f64) -> Force {
    Force::from_kilonewtons(value)
}

/// The stock of the example job: DC01, 2 mm.
fn stock() -> Stock {
    Stock {
        thickness_m: Range::new(2.0e-3, 2.1e-3),
        tensile_pa: Range::new(270e6, 410e6),
        shear_pa: Range::new(0.8 * 270e6, 0.8 * 410e6),
        yield_pa: None,
        penetration: Range::exactly(0.4),
        separation: Range::exactly(0.7),
        strength_coefficient_pa: None,
        hardening_exponent: None,
    }
}

fn path(points: &[(f64, f64)], closed: bool) -> Outline {
    Outline::Path {
        points: points.iter().map(|&(x, y)| Point::from_millimetres(x, y)).collect(),
        bulges: vec![],
        closed,
    }
}

fn cut(outline: Outline, entry_mm: f64, tool_shear: ToolShear) -> Cut {
    Cut {
        kind: CutKind::Pierce,
        outline,
        entry: mm(entry_mm),
        tool_shear,
        shear_on: None,
        punch: None,
        allowance: None,
        clearance_percent: Some(8.0),
        land: None,
        strip_factor: 0.1,
        wear_factor: 1.0,
    }
}

fn station(name: &str, x_mm: f64, strip_position: u32, work: Vec<Work>) -> Station {
    Station {
        name: name.into(),
        at: Point::from_millimetres(x_mm, 0.0),
        strip_position,
        stock: None,
        work: work.into_iter().map(|work| PlacedWork { work, motion: Motion::NONE }).collect(),
        stripper: None,
    }
}

/// The gate-latch plate: four stations of a five-station progressive die in a 1600 kN press.
struct ExampleJob {
    press: Press,
    die: Die,
    stations: Vec<Station>,
    stock: Stock,
}

impl ExampleJob {
    fn new() -> Self {
        let press = Press {
            frame: Some(Frame::StraightSide),
            rated_force: Some(kn(1600.0)),
            speed: Some(StrokeRate::from_per_minute(45.0)),
            energy: Some(EnergyRating::Usable {
                energy: Energy::from_kilojoules(18.0),
                single: None,
                at: Some(StrokeRate::from_per_minute(60.0)),
            }),
            motor: Some(Power::from_kilowatts(22.0)),
            suspension: Some(Suspension::TwoPoint { span_x: mm(900.0) }),
            level: Level::default(),
            off_centre_x: Some(AxisRating::Moment(Moment::from_kilonewton_metres(200.0))),
            off_centre_y: Some(AxisRating::Moment(Moment::from_kilonewton_metres(60.0))),
            bolster: Some(Footprint { width: mm(1600.0), depth: mm(900.0) }),
            slide: Some(Footprint { width: mm(1500.0), depth: mm(800.0) }),
            shut_height: Some(mm(450.0)),
            shut_height_adjustment: Some(mm(100.0)),
            stiffness: Some(Stiffness::from_kilonewtons_per_millimetre(1500.0)),
            slide_mass: Some(Mass::from_kilograms(2200.0)),
            reverse_share: Some(0.1),
            ..Press::of(Drive::crank(mm(200.0), Some(mm(900.0)), Some(mm(6.0))).unwrap())
        };
        let die = Die {
            footprint: Some(Footprint { width: mm(900.0), depth: mm(450.0) }),
            shut_height: Some(mm(380.0)),
            upper_mass: Some(Mass::from_kilograms(350.0)),
            ..Die::of(DieKind::Progressive)
        };
        let slope = |depth, direction_deg| ToolShear::Slope { depth: mm(depth), direction_deg };
        let bend = Bend {
            kind: BendKind::Wipe { punch_radius: mm(3.0), die_radius: mm(4.0), gap: mm(2.0) },
            length: mm(80.0),
            entry: mm(14.0),
            factor: None,
            pad: Force::ZERO,
            bottoming: None,
        };
        let spring = Spring {
            kind: SpringKind::Gas { force: kn(5.0), stroke: mm(25.0), force_rise: 1.4 },
            entry: mm(18.0),
        };
        let circle = Outline::Circle { diameter: mm(30.0) };
        let notch = path(&[(-25.0, 40.0), (-25.0, 20.0), (25.0, 20.0), (25.0, 40.0)], false);
        let parting = path(&[(0.0, -45.0), (0.0, 45.0)], false);
        let stations = vec![
            station("Pierce", -240.0, 1, vec![Work::Cut(cut(circle, 4.5, slope(1.5, 0.0)))]),
            station("Notch", -120.0, 2, vec![Work::Cut(cut(notch, 4.0, ToolShear::Flat))]),
            station("Bend", 120.0, 4, vec![Work::Bend(bend), Work::Spring(spring)]),
            station("Cut off", 240.0, 5, vec![Work::Cut(cut(parting, 3.0, slope(3.0, 90.0)))]),
        ];
        Self { press, die, stations, stock: stock() }
    }

    fn check(&self) -> press_load::Check {
        let stroke =
            Stroke::new(&self.stations, &self.stock, CutModel::Shaped, self.press.drive.stroke())
                .unwrap();
        check(&self.press, &self.die, &self.stations, &stroke, Some(0.8))
    }

    /// The slide on its springs alone, as a dragged die asks for it.
    fn tilt(&self) -> impl Fn() -> Result<Option<TiltUse>, Missing> + '_ {
        let stroke =
            Stroke::new(&self.stations, &self.stock, CutModel::Shaped, self.press.drive.stroke())
                .unwrap();
        let states = stroke.strip_states(self.die.kind);
        move || worst_tilt(&self.press, &self.die, &self.stations, &stroke, &states)
    }

    /// The same cuts as chains of points; bend and spring are left out, in favour of sampling.
    fn sampled(&self) -> SampledJob {
        let mut lines = Vec::new();
        for line in [Line::Nominal, Line::Upper] {
            let sheet = self.stock.sheet(line).unwrap();
            let mut stations = Vec::new();
            for station in &self.stations {
                let mut segments = Vec::new();
                for placed in &station.work {
                    if let Work::Cut(cut) = &placed.work {
                        segments.extend(sampled_segments(cut, &sheet, station.at));
                    }
                }
                stations.push((station.strip_position, segments));
            }
            lines.push(stations);
        }
        SampledJob { lines }
    }
}

/// A straight segment for the sampled reference.
struct Segment {
    start: Point,
    end: Point,
    start_entry: f64,
    end_entry: f64,
    thickness: f64,
    /// Force at φ = 1.
    force: f64,
    profile: CutProfile,
}

fn sampled_segments(cut: &Cut, sheet: &Sheet, at: Point) -> Vec<Segment> {
    let profile = cut.profile(sheet, CutModel::Shaped);
    let line_force = cut.line_force(sheet, 1.0).newtons_per_metre();
    let mut segments = Vec::new();
    for sheared in cut.tool_shear.apply(&cut.outline.edges().unwrap(), cut.entry) {
        // Arcs become chords within a hundredth of a millimetre.
        for pair in sheared.edge.polyline(1e-5).windows(2) {
            let (start, end) = (pair[0], pair[1]);
            segments.push(Segment {
                start: Point::new(start.x + at.x, start.y + at.y),
                end: Point::new(end.x + at.x, end.y + at.y),
                start_entry: sheared.entry_at(start),
                end_entry: sheared.entry_at(end),
                thickness: sheet.thickness().metres(),
                force: line_force * start.distance(end),
                profile: profile.clone(),
            });
        }
    }
    segments
}

/// Force and both moments of a segment at a height, sampled.
fn sample(segment: &Segment, height: f64) -> (f64, f64, f64) {
    let (mut force, mut moment_x, mut moment_y) = (0.0, 0.0, 0.0);
    for i in 0..SAMPLES {
        let s = (i as f64 + 0.5) / SAMPLES as f64;
        let entry = segment.start_entry + s * (segment.end_entry - segment.start_entry);
        let phi = segment.profile.value((entry - height) / segment.thickness);
        let part = segment.force * phi / SAMPLES as f64;
        let point = segment.start.towards_point(segment.end, s);
        force += part;
        moment_x += part * point.x;
        moment_y += part * point.y;
    }
    (force, moment_x, moment_y)
}

/// Strip position and segments of every station, nominal and upper.
struct SampledJob {
    lines: Vec<Vec<(u32, Vec<Segment>)>>,
}

impl SampledJob {
    /// Largest force and moments over both lines, all strip states and all heights.
    fn check(&self) -> (f64, f64, f64) {
        let reaches: [fn(u32) -> bool; 7] =
            [|_| true, |p| p <= 1, |p| p <= 2, |p| p <= 4, |p| p >= 2, |p| p >= 3, |p| p >= 5];
        let mut worst = (0.0_f64, 0.0_f64, 0.0_f64);
        for stations in &self.lines {
            for reached in reaches {
                for i in 0..HEIGHTS {
                    let height = 20e-3 * (1.0 - i as f64 / HEIGHTS as f64);
                    let mut sum = (0.0, 0.0, 0.0);
                    for (_, segments) in stations.iter().filter(|station| reached(station.0)) {
                        for segment in segments {
                            let (force, x, y) = sample(segment, height);
                            sum = (sum.0 + force, sum.1 + x, sum.2 + y);
                        }
                    }
                    worst.0 = worst.0.max(sum.0);
                    worst.1 = worst.1.max(f64::abs(sum.1));
                    worst.2 = worst.2.max(f64::abs(sum.2));
                }
            }
        }
        worst
    }
}

/// 200 stations, each a closed outline of 64 segments ground with a slope.
struct LargeDie {
    loads: Vec<Load>,
    segments: Vec<Segment>,
    heights: Vec<f64>,
}

impl LargeDie {
    fn new() -> Self {
        let sheet = stock().sheet(Line::Nominal).unwrap();
        let (mut loads, mut segments) = (Vec::new(), Vec::new());
        for i in 0..STATIONS {
            let outline: Vec<(f64, f64)> = (0..SEGMENTS)
                .map(|k| {
                    let angle = std::f64::consts::TAU * k as f64 / SEGMENTS as f64;
                    // A wavy blank, so that the segments differ in length and direction.
                    let radius = 40.0 + 4.0 * (5.0 * angle).sin();
                    (1.5 * radius * angle.cos(), radius * angle.sin())
                })
                .collect();
            let shear = ToolShear::Slope { depth: mm(3.0), direction_deg: 7.0 * i as f64 };
            let cut = cut(path(&outline, true), 6.0, shear);
            let at = Point::from_millimetres(10.0 * i as f64 - 1000.0, 0.0);
            let load = cut.load(&sheet, CutModel::Shaped, 1.0, &Motion::new(at, 0.0)).unwrap();
            loads.push(Load::Edge(load));
            segments.extend(sampled_segments(&cut, &sheet, at));
        }
        // All heights lie where the die works: from first touch to BDC.
        let heights =
            (0..HEIGHTS).map(|i| 6e-3 * (1.0 - i as f64 / (HEIGHTS - 1) as f64)).collect();
        Self { loads, segments, heights }
    }

    fn series(&self) -> LoadSeries {
        let mut series = LoadSeries::zero(self.heights.len());
        for load in &self.loads {
            load.add_to(&self.heights, &mut series);
        }
        series
    }

    fn sampled_series(&self) -> LoadSeries {
        let mut series = LoadSeries::zero(self.heights.len());
        for segment in &self.segments {
            for (i, &height) in self.heights.iter().enumerate() {
                let (force, x, y) = sample(segment, height);
                series.force[i] += force;
                series.moment_x[i] += x;
                series.moment_y[i] += y;
            }
        }
        series
    }
}
