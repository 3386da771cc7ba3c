//! How long a full check takes, and what the closed forms save against sampling the edges.
//!
//! The reference is what one would write first: every edge cut into 200 points, the force law
//! evaluated at each of them at each height. It is kept here only to have something to compare
//! with; the printed ratios say how much faster the crate is on the machine that runs the bench.

mod workload;

use criterion::Criterion;
use press_load::{
    Die, DieKind, Energy, Force, Length, Line, LoadSeries, Mass, Missing, Moment, Motion, Outline,
    PlacedWork, Point, Power, Sheet, Station, Stiffness, Stock, Stroke, StrokeRate, TiltUse, Work,
    bending::{Bend, BendKind},
    check,
    cut_profile::CutProfile,
    cutting::{Cut, CutKind, CutModel},
    press::{AxisRating, Drive, EnergyRating, Footprint, Frame, Press, Suspension},
    slide_on_springs::{Level, worst_tilt},
    springs::{Spring, SpringKind},
    tool_shear::ToolShear,
};
use std::{hint::black_box, time::Instant};
use workload::{LargeDie, stock};

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
    criterion.bench_function("full check of the example job", |b| b.iter(|| job.check()));
    let large = LargeDie::new(STATIONS, SEGMENTS, HEIGHTS);
    criterion.bench_function("200 stations × 64 segments × 1000 heights", |b| {
        b.iter(|| large.series());
    });
    criterion.bench_function("200 stations × 64 segments × 1000 heights, direct", |b| {
        b.iter(|| large.direct_series());
    });
    criterion.final_summary();

    let sampled_job = job.sampled();
    let (ours, sampled) = (fastest(51, || job.check()), fastest(2, || sampled_job.check()));
    print_ratio("full check of the example job", ours, "sampled", sampled);
    println!("slide tilt in all strip states: {:.3} ms", fastest(101, job.tilt()) * 1e3);
    edit_table(&job);
    kernel_table(&large);
    growth_tables();
}

/// One station edited: from scratch, and with the rest taken over.
fn edit_table(job: &ExampleJob) {
    println!();
    let large: Vec<Station> = LargeDie::new(STATIONS, SEGMENTS, 2)
        .cuts
        .into_iter()
        .enumerate()
        .map(|(i, (cut, at))| {
            // No two stations enter alike.
            let cut = Cut { entry: cut.entry + mm(0.0137 * i as f64), ..cut };
            Station { at, ..station("Blank", 0.0, 1, vec![Work::Cut(cut)]) }
        })
        .collect();
    let travel = job.press.drive.stroke();
    for (what, runs, stations) in
        [("example job", 51, &job.stations), ("200 stations × 64 segments", 5, &large)]
    {
        let stock = stock();
        let of = |stations: &[Station], previous: Option<&Stroke>| {
            Stroke::with_strip_reusing(stations, &stock, CutModel::Shaped, travel, None, previous)
                .unwrap()
        };
        let before = of(stations, None);
        let mut edited = stations.clone();
        if let Work::Cut(cut) = &mut edited[0].work[0].work {
            cut.entry += mm(0.1);
        }
        let scratch = fastest(runs, || of(&edited, None));
        let reused = fastest(runs, || of(&edited, Some(&before)));
        println!("{what}, {} rows", before.rows.len());
        print_ratio("  curves after an edit of one station", reused, "from scratch", scratch);
        let reused = fastest(runs, || of(stations, Some(&before)));
        print_ratio("  curves after an edit of the press", reused, "from scratch", scratch);
    }
}

/// The large die: product, direct form, sampled edges, arithmetic floor.
fn kernel_table(large: &LargeDie) {
    let ours = fastest(25, || large.series());
    let direct = fastest(9, || large.direct_series());
    // A part of the stations is enough to time what takes a thousand times as long.
    let few = LargeDie::new(2, SEGMENTS, HEIGHTS);
    let segments: Vec<Segment> = few
        .cuts
        .iter()
        .flat_map(|(cut, at)| sampled_segments(cut, &workload::sheet(), *at))
        .collect();
    let sampled =
        fastest(2, || sampled_series(&segments, &few.heights)) * (STATIONS / few.cuts.len()) as f64;
    let pairs = (STATIONS * SEGMENTS * HEIGHTS) as f64;
    println!("\n{STATIONS} stations × {SEGMENTS} segments × {HEIGHTS} heights");
    for (name, time) in [("product", ours), ("direct form", direct), ("sampled", sampled)] {
        println!(
            "{name}: {:.2} ms, {:.3} ns per segment and height, {:.1} × product",
            time * 1e3,
            time * 1e9 / pairs,
            time / ours
        );
    }
    let (events, every) = (event_operations(large), direct_operations(large));
    for (name, time, operations) in [("product", ours, events), ("direct form", direct, every)] {
        let floor = operations / CLOCK_HZ;
        println!(
            "{name}: {:.1} million operations, at one per cycle of {:.1} GHz {:.2} ms; takes {:.1} times that",
            operations / 1e6,
            CLOCK_HZ / 1e9,
            floor * 1e3,
            time / floor
        );
    }
    let (a, b) = (large.series(), large.direct_series());
    println!(
        "largest difference of the two forms: {:.1e} of the highest value",
        difference(&a, &b)
    );
    println!("sums to compare with other machines: {:?}", workload::checksums(&a));
}

/// How time grows: a ratio of 1 is in proportion.
fn growth_tables() {
    println!(
        "\ngrowth with segments (50 stations, 1000 heights): time over that in proportion to 64"
    );
    let time = |segments: usize, heights: usize| {
        let die = LargeDie::new(50, segments, heights);
        (fastest(15, || die.series()), fastest(5, || die.direct_series()))
    };
    let base = time(64, 1000);
    for segments in [16, 32, 64, 128, 256, 512] {
        let (ours, direct) = time(segments, 1000);
        let part = segments as f64 / 64.0;
        println!("{segments}: {:.2}, direct {:.2}", ours / base.0 / part, direct / base.1 / part);
    }
    println!(
        "growth with heights (50 stations, 64 segments): time over that in proportion to 1000"
    );
    for heights in [125, 250, 500, 1000, 2000, 4000] {
        let (ours, direct) = time(64, heights);
        let part = heights as f64 / 1000.0;
        println!("{heights}: {:.2}, direct {:.2}", ours / base.0 / part, direct / base.1 / part);
    }
}

/// Clock that the arithmetic floor assumes.
const CLOCK_HZ: f64 = 3.0e9;
/// Additions, multiplications and comparisons of the event form: setting up one corner in one block,
/// one knot passed by one corner, one height of one cut.
const PER_SET_UP: f64 = 60.0;
const PER_KNOT: f64 = 62.0;
const PER_HEIGHT: f64 = 34.0;
/// Of the direct form: one corner at one height.
const PER_CORNER_AND_HEIGHT: f64 = 24.0;
/// Heights of a block of the event form.
const BLOCK: usize = 256;

/// Entry heights of the corners of each cut, and heights at which the cut acts.
fn acting(die: &LargeDie) -> impl Iterator<Item = (Vec<f64>, &[f64], CutProfile)> {
    let sheet = workload::sheet();
    die.cuts.iter().map(move |(cut, _)| {
        let edges = cut.tool_shear.apply(&cut.outline.edges().unwrap(), cut.entry);
        let entries: Vec<f64> =
            edges.iter().map(|edge| edge.entry_at(edge.edge.polyline(1e-5)[0])).collect();
        let profile = cut.profile(&sheet, CutModel::Shaped);
        let (low, high) =
            entries.iter().fold((f64::INFINITY, 0.0_f64), |(a, b), &z| (a.min(z), b.max(z)));
        let end = low - profile.end() * sheet.thickness().metres();
        let from = die.heights.partition_point(|&h| h >= high);
        let to = die.heights.partition_point(|&h| h > end);
        (entries, &die.heights[from..to], profile)
    })
}

fn event_operations(die: &LargeDie) -> f64 {
    let thickness = workload::sheet().thickness().metres();
    acting(die)
        .map(|(entries, heights, profile)| {
            let mut operations = PER_HEIGHT * heights.len() as f64;
            for block in heights.chunks(BLOCK) {
                let (top, bottom) = (block[0], block[block.len() - 1]);
                for entry in entries.iter().filter(|&&entry| entry > bottom) {
                    let (from, to) = ((entry - top) / thickness, (entry - bottom) / thickness);
                    let knots = profile.knots().filter(|&knot| knot > from && knot <= to).count();
                    operations += PER_SET_UP + PER_KNOT * knots as f64;
                }
            }
            operations
        })
        .sum()
}

fn direct_operations(die: &LargeDie) -> f64 {
    acting(die)
        .map(|(entries, heights, _)| {
            let touched = |entry: &f64| heights.iter().filter(|&&h| h < *entry).count() as f64;
            PER_CORNER_AND_HEIGHT * entries.iter().map(touched).sum::<f64>()
        })
        .sum()
}

/// Largest difference of two series, each of its three curves over its highest value.
fn difference(a: &LoadSeries, b: &LoadSeries) -> f64 {
    [(&a.force, &b.force), (&a.moment_x, &b.moment_x), (&a.moment_y, &b.moment_y)]
        .iter()
        .map(|(a, b)| {
            let highest = a.iter().fold(0.0, |most: f64, value| most.max(value.abs()));
            let apart = a.iter().zip(*b).fold(0.0, |most: f64, (a, b)| most.max((a - b).abs()));
            apart / highest
        })
        .fold(0.0, f64::max)
}

/// Shortest time of one call in seconds: other programs only ever make it longer.
fn fastest<T>(runs: usize, mut call: impl FnMut() -> T) -> f64 {
    (0..runs)
        .map(|_| {
            let start = Instant::now();
            black_box(call());
            start.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}

fn print_ratio(what: &str, ours: f64, other: &str, theirs: f64) {
    println!(
        "{what}: {:.3} ms, {other} {:.3} ms, ratio {:.1}",
        ours * 1e3,
        theirs * 1e3,
        theirs / ours
    );
}

fn mm(value: f64) -> Length {
    Length::from_millimetres(value)
}

fn kn(value: f64) -> Force {
    Force::from_kilonewtons(value)
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

fn sampled_series(segments: &[Segment], heights: &[f64]) -> LoadSeries {
    let mut series = LoadSeries::zero(heights.len());
    for segment in segments {
        for (i, &height) in heights.iter().enumerate() {
            let (force, x, y) = sample(segment, height);
            series.force[i] += force;
            series.moment_x[i] += x;
            series.moment_y[i] += y;
        }
    }
    series
}
