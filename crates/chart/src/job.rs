//! A checked job as view models of the two charts.

use crate::{
    BolsterPlan, Dimension, DimensionSide, FeedDirection, Handle, LineChart, LineCurve, LoadCentre,
    PlanDie, PlanSize, PlanStation, StationActivity, StationPart, StrokeChart, Style,
    bolster_plan_svg as draw_plan, default_range, stroke_chart_svg as draw_chart,
};
use evenstroke_job::{Job, spec::Unit, units::UnitSystem, words};
use evenstroke_language::{say, tr};
use press_load::{
    Check, Edge, Energy, Force, Length, Line, LoadSeries, Missing, Placement, Point, SlideCourse,
    SlideSprings, SnapThrough, StripState, StrokeRate, Work, order,
    press::{AxisRating, Footprint, Opening, SlotDirection, Suspension},
    slide_on_springs::SlideRow,
};

/// Rows of the capacity curve; it has one kink, at the rating height, and is smooth elsewhere.
const CAPACITY_ROWS: usize = 160;
/// Points of the energy curve, which is a parabola up to a kink.
const SPEED_ROWS: usize = 60;
/// A load below this part of the peak has no load centre worth drawing.
const LEAST_LOAD: f64 = 0.01;
/// Chord error of arcs as drawn, in metres.
pub(crate) const CHORD_ERROR_M: f64 = 0.1e-3;

/// What is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scene {
    /// Units on screen.
    pub units: UnitSystem,
    /// Where the slide is; at the upper line's peak, on which limits are judged, if nobody has moved
    /// it.
    pub slide_height: Option<Length>,
    /// Where the die stands.
    pub placement: Placement,
    /// Which stations have stock.
    pub strip_state: StripState,
}

impl Scene {
    /// The job as entered, with the strip full and the slide at the peak.
    pub fn of(job: &Job, units: UnitSystem) -> Self {
        Self {
            units,
            slide_height: None,
            placement: job.die.placement,
            strip_state: StripState::Full,
        }
    }

    /// Where the slide is.
    pub fn height(&self, check: &Check) -> Length {
        self.slide_height.or(check.peak_upper.map(|peak| peak.height)).unwrap_or(Length::ZERO)
    }
}

/// Force and load centre at the slide's height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Now {
    /// Slide height above BDC.
    pub height: Length,
    /// Nominal force.
    pub force: Force,
    /// Upper force.
    pub upper: Force,
    /// What the press allows there, where known.
    pub available: Option<Force>,
    /// Nominal load centre on the bolster, where a load worth the name acts.
    pub centre: Option<Point>,
}

/// What acts at the slide's height in the scene.
pub fn now(job: &Job, check: &Check, scene: &Scene) -> Now {
    let placement = scene.placement.motion();
    let nominal = job.stroke.nominal.total(scene.strip_state, &placement);
    let upper = job.stroke.upper.total(scene.strip_state, &placement);
    now_in(job, check, scene, &nominal, &upper)
}

fn now_in(
    job: &Job,
    check: &Check,
    scene: &Scene,
    nominal: &LoadSeries,
    upper: &LoadSeries,
) -> Now {
    let height = scene.height(check);
    let at = |values: &[f64]| job.stroke.value_at(values, height);
    let force = at(&nominal.force);
    let peak = check.peak.map_or(0.0, |peak| peak.force.newtons());
    let centre = (force > LEAST_LOAD * peak && force > 0.0)
        .then(|| Point::new(at(&nominal.moment_x) / force, at(&nominal.moment_y) / force));
    Now {
        height,
        force: Force::from_newtons(force),
        upper: Force::from_newtons(at(&upper.force)),
        available: job.press.available_force(height),
        centre,
    }
}

/// The stroke chart of a checked job.
pub fn stroke_chart(job: &Job, check: &Check, scene: &Scene) -> StrokeChart {
    let units = scene.units;
    let mm = |length: Length| units.to_screen(length.millimetres(), Unit::Mm);
    let kn = |newtons: f64| units.to_screen(newtons * 1e-3, Unit::Kn);
    let curve = |values: &[f64]| -> Vec<(f64, f64)> {
        job.stroke.rows.iter().zip(values).map(|(row, &f)| (mm(row.height), kn(f))).collect()
    };
    let placement = scene.placement.motion();
    let nominal = curve(&job.stroke.nominal.total(scene.strip_state, &placement).force);
    let upper = curve(&job.stroke.upper.total(scene.strip_state, &placement).force);
    let capacity = capacity(job, &kn, &mm);
    let stations = job
        .stations
        .iter()
        .zip(&job.stroke.nominal.stations)
        .enumerate()
        .filter(|(_, (station, _))| !station.work.is_empty())
        .map(|(index, (station, loads))| {
            let mut part = loads.springs.clone();
            if let Some(with_stock) = loads.stock_in(scene.strip_state) {
                part.add(with_stock);
            }
            StationPart {
                name: station.name.clone(),
                short_name: (index + 1).to_string(),
                curve: curve(&part.force),
            }
        })
        .collect();
    // The range is that of the full strip, so that the picture stands still between states.
    let full: Vec<(f64, f64)> =
        check.curve.iter().map(|row| (mm(row.height), kn(row.force.newtons()))).collect();
    let full_upper: Vec<(f64, f64)> =
        check.curve.iter().map(|row| (mm(row.height), kn(row.upper.newtons()))).collect();
    let range = default_range(&capacity, &full, &full_upper);
    let height = scene.height(check);
    StrokeChart {
        height_unit: units.symbol(Unit::Mm).to_owned(),
        force_unit: units.symbol(Unit::Kn).to_owned(),
        capacity,
        nominal,
        upper,
        stations,
        readings: Vec::new(),
        window: None,
        read: None,
        handle: Some(Handle {
            height: mm(height),
            tag: units.show(height.millimetres(), Unit::Mm),
        }),
        range,
    }
}

/// The force of a curve of the chart at a height, both as the chart shows them; at a jump the one after
/// it, nothing outside the curve.
pub fn force_at(curve: &[(f64, f64)], height: f64) -> Option<f64> {
    // Rows come in the order of the down-stroke.
    let next = curve.partition_point(|row| row.0 >= height);
    let above = curve.get(next.checked_sub(1)?)?;
    let Some(below) = curve.get(next) else { return (above.0 == height).then_some(above.1) };
    let span = above.0 - below.0;
    let part = if span > 0.0 { (above.0 - height) / span } else { 0.0 };
    Some(above.1 + part * (below.1 - above.1))
}

/// A way on the bolster as a way in the die as it is turned, both in millimetres.
pub fn way_in_die(placement: &Placement, (x_mm, y_mm): (f64, f64)) -> (f64, f64) {
    mm_pair(placement.motion().turn_back(Point::from_millimetres(x_mm, y_mm)))
}

/// What the curves say at a height given as the chart shows it, a line each: nominal, upper, what the
/// press allows, and each station that carries load there. At a jump it is the force after it.
pub fn stroke_reading(chart: &StrokeChart, units: UnitSystem, height: f64) -> Vec<String> {
    let at = |curve: &[(f64, f64)]| force_at(curve, height);
    let show = |value: f64, unit: Unit| units.show(units.to_file(value, unit), unit);
    let mut lines = vec![say!("{} above BDC", show(height, Unit::Mm))];
    let named = [("nominal", &chart.nominal), ("upper", &chart.upper)];
    for (name, curve) in named {
        lines.push(format!("{name} {}", show(at(curve).unwrap_or(0.0), Unit::Kn)));
    }
    lines.push(match at(&chart.capacity) {
        Some(force) => say!("press allows {}", show(force, Unit::Kn)),
        None => tr("what the press allows is not known").to_owned(),
    });
    for part in &chart.stations {
        if let Some(force) = at(&part.curve).filter(|force| *force > 0.0) {
            let force = show(force, Unit::Kn);
            lines.push(format!("{}. {} {force}", part.short_name, part.name));
        }
    }
    lines
}

/// Usable energy over strokes per minute against the work of a stroke on the upper line, with the band
/// in which the die runs.
pub fn speed_chart(job: &Job, check: &Check, units: UnitSystem) -> LineChart {
    let (press, band) = (&job.press, &check.speed);
    let kj = |energy: Energy| units.to_screen(energy.kilojoules(), Unit::Kj);
    let ends = [press.speed, press.slowest, press.fastest, band.lowest, band.highest];
    let per_minute = ends.into_iter().flatten().map(StrokeRate::per_minute);
    let fastest =
        per_minute.fold(0.0, f64::max).min(press.fastest.map_or(2_000.0, |rate| rate.per_minute()));
    let fastest = fastest * 1.15;
    let rates = (1..=SPEED_ROWS).map(|i| fastest * i as f64 / SPEED_ROWS as f64);
    let usable = press.energy.map_or_else(Vec::new, |rating| {
        rates
            .filter_map(|rate| {
                let energy = rating.usable_at(StrokeRate::from_per_minute(rate), press.running)?;
                Some((rate, kj(energy)))
            })
            .collect()
    });
    let work = units.show(check.energy_upper.kilojoules(), Unit::Kj);
    let bands = words::speed_words(band)
        .filter(|_| fastest > 0.0 && !band.is_empty())
        .map(|runs| {
            let from = band.lowest.map_or(0.0, StrokeRate::per_minute);
            let to = band.highest.map_or(fastest, StrokeRate::per_minute);
            ((from, to.max(from)), say!("runs {}", runs))
        })
        .into_iter()
        .collect();
    LineChart {
        summary: words::running_words(job, check, units).join(". "),
        across: tr("strokes per minute").to_owned(),
        up_unit: units.symbol(Unit::Kj).to_owned(),
        curves: vec![LineCurve {
            name: tr("the flywheel gives").to_owned(),
            points: usable,
            dashed: false,
            read: false,
        }],
        limits: vec![(kj(check.energy_upper), say!("one stroke takes {}", work))],
        bands,
        now: press.speed.map(StrokeRate::per_minute),
        ..LineChart::default()
    }
}

/// Force in the press over time on both lines, with the pull at which to stop; or what has to be known
/// first.
///
/// # Errors
///
/// [`Missing`] naming it.
pub fn snap_through_chart(job: &Job, units: UnitSystem) -> Result<LineChart, Missing> {
    let kn = |force: Force| units.to_screen(force.kilonewtons(), Unit::Kn);
    let course = |line, name: &str| -> Result<LineCurve, Missing> {
        let rows = SnapThrough::course(&job.press, job.die.upper_mass, &job.stroke, line)?;
        let points = rows.iter().map(|row| (row.time * 1e3, kn(row.press))).collect();
        Ok(LineCurve { name: name.to_owned(), points, dashed: line == Line::Upper, read: false })
    };
    let curves =
        vec![course(Line::Nominal, tr("nominal"))?, course(Line::Upper, tr("upper, worn"))?];
    let stop = words::reverse_limit(job).map(|limit| {
        let pull = units.show(limit.kilonewtons(), Unit::Kn);
        (-kn(limit), say!("stop at {} of pull", pull))
    });
    Ok(LineChart {
        summary: words::snap_through_words(job, units).join(". "),
        across: tr("time from first touch, ms").to_owned(),
        up_unit: units.symbol(Unit::Kn).to_owned(),
        curves,
        limits: stop.into_iter().collect(),
        ..LineChart::default()
    })
}

/// How far the slide tips on its way down.
pub fn tilt_chart(job: &Job, check: &Check, scene: &Scene, course: &SlideCourse) -> LineChart {
    let units = scene.units;
    let curve = |name: &str, dashed, tilt: fn(&SlideRow) -> f64| LineCurve {
        name: name.to_owned(),
        points: course
            .rows
            .iter()
            .map(|row| (units.to_screen(row.drive.millimetres(), Unit::Mm), tilt(row)))
            .collect(),
        dashed,
        read: false,
    };
    let height = scene.height(check).millimetres();
    LineChart {
        summary: words::slide_tilt_words(job, check, course, units).join(". "),
        across: say!("height of the drive above BDC, {} → BDC", units.symbol(Unit::Mm)),
        falls: true,
        // The same in thousandths of an inch per inch.
        up_unit: "mm/m".to_owned(),
        curves: vec![
            curve(tr("left–right, right side up"), false, SlideRow::tilt_x_mm_per_m),
            curve(tr("front–back, back up"), true, SlideRow::tilt_y_mm_per_m),
        ],
        now: Some(units.to_screen(height, Unit::Mm)),
        ..LineChart::default()
    }
}

/// The slide on its springs in the strip state and at the place looked at, on the upper line.
///
/// # Errors
///
/// [`Missing`] naming what has to be known first.
pub fn tilt_course(job: &Job, scene: &Scene) -> Result<SlideCourse, Missing> {
    let springs = SlideSprings::of(&job.press)?;
    let placement = scene.placement.motion();
    SlideCourse::new(&springs, &job.stroke.upper, &job.stroke, scene.strip_state, &placement)
}

fn capacity(job: &Job, kn: &impl Fn(f64) -> f64, mm: &impl Fn(Length) -> f64) -> Vec<(f64, f64)> {
    let stroke = job.press.drive.stroke();
    let mut heights: Vec<Length> =
        (0..=CAPACITY_ROWS).map(|i| stroke * (i as f64 / CAPACITY_ROWS as f64)).collect();
    match &job.press.drive {
        press_load::press::Drive::Crank { rating_height, second_rating, .. } => {
            heights
                .extend(rating_height.iter().chain(second_rating.iter().map(|second| &second.0)));
        }
        press_load::press::Drive::Table { points, .. } => {
            heights.extend(points.iter().map(|point| point.0));
        }
        _ => {}
    }
    let metres: Vec<f64> = heights.iter().map(|height| height.metres()).collect();
    order::falling(&metres)
        .into_iter()
        .map(|i| heights[i])
        .filter_map(|height| Some((mm(height), kn(job.press.available_force(height)?.newtons()))))
        .collect()
}

/// The bolster plan of a checked job.
pub fn bolster_plan(job: &Job, check: &Check, scene: &Scene) -> BolsterPlan {
    let placement = scene.placement.motion();
    let nominal = job.stroke.nominal.total(scene.strip_state, &placement);
    let upper = job.stroke.upper.total(scene.strip_state, &placement);
    let now = now_in(job, check, scene, &nominal, &upper);
    let peak = check.peak.map_or(0.0, |peak| peak.force.newtons());
    let load_path = (0..nominal.force.len())
        .filter(|&i| nominal.force[i] > LEAST_LOAD * peak)
        .filter_map(|i| nominal.centre(i))
        .map(mm_pair)
        .collect();
    let size = |area: Footprint| PlanSize {
        width_mm: area.width.millimetres(),
        depth_mm: area.depth.millimetres(),
    };
    BolsterPlan {
        bolster: job.press.bolster.map(size),
        slots: slot_lines(job),
        openings: job.press.openings.iter().map(opening_outline).collect(),
        strip_end: strip_end(job, scene),
        slide: job.press.slide.map(size),
        suspension_points: suspension_points(job.press.suspension),
        die: Some(PlanDie {
            size: job.die.footprint.map(size),
            shift_x_mm: scene.placement.x.millimetres(),
            shift_y_mm: scene.placement.y.millimetres(),
            turn_deg: scene.placement.turn_deg,
        }),
        stations: plan_stations(job, scene, now.height),
        load_path,
        load_now: now.centre.map(|centre| LoadCentre {
            at_mm: mm_pair(centre),
            words: words::point_words(centre, scene.units),
        }),
        allowed_region: allowed_region(job, now.upper),
        feed: feed_direction(job, scene),
        editing: None,
        handles: Vec::new(),
        window: None,
        dimensions: Vec::new(),
    }
}

/// Dimension lines for a plan on paper: the gaps between the sides of die and bolster, the die
/// itself, and how far its centre is from the bolster's.
pub fn plan_dimensions(plan: &BolsterPlan, units: UnitSystem) -> Vec<Dimension> {
    let Some(die) = plan.die else { return Vec::new() };
    let corners = die.corners_mm();
    let mut dimensions = Vec::new();
    let along = |place: (f64, f64), side| match side {
        DimensionSide::Below => place.0,
        DimensionSide::Left => place.1,
    };
    for side in [DimensionSide::Below, DimensionSide::Left] {
        let mut add = |row, from_mm: f64, to_mm: f64, inside: bool| {
            let length = to_mm - from_mm;
            // Less than a tape measure tells.
            if length.abs() < 0.05 {
                return;
            }
            let shown = units.show(length.abs(), Unit::Mm);
            let words = if inside || length > 0.0 { shown } else { say!("{} over", shown) };
            dimensions.push(Dimension { side, row, from_mm, to_mm, words });
        };
        let shift = along((die.shift_x_mm, die.shift_y_mm), side);
        let mut row = 0;
        if let Some(corners) = corners {
            let places = corners.map(|corner| along(corner, side));
            let low = places.into_iter().fold(f64::INFINITY, f64::min);
            let high = places.into_iter().fold(f64::NEG_INFINITY, f64::max);
            add(row, low, high, true);
            if let Some(bolster) = plan.bolster {
                let half = along((bolster.width_mm, bolster.depth_mm), side) / 2.0;
                add(row, -half, low, false);
                add(row, high, half, false);
            }
            row += 1;
        }
        add(row, 0.0, shift, true);
    }
    dimensions
}

pub(crate) fn mm_pair(point: Point) -> (f64, f64) {
    (point.x * 1e3, point.y * 1e3)
}

/// The bolster's slots from edge to edge.
fn slot_lines(job: &Job) -> Vec<Vec<(f64, f64)>> {
    let (Some(slots), Some(bolster)) = (job.press.bolster_slots, job.press.bolster) else {
        return Vec::new();
    };
    let (x, y) = (bolster.width.millimetres() / 2.0, bolster.depth.millimetres() / 2.0);
    let across = slots.offsets().map(Length::millimetres);
    match slots.direction {
        SlotDirection::LeftRight => {
            across.filter(|at| at.abs() < y).map(|at| vec![(-x, at), (x, at)]).collect()
        }
        SlotDirection::FrontBack => {
            across.filter(|at| at.abs() < x).map(|at| vec![(at, -y), (at, y)]).collect()
        }
    }
}

fn opening_outline(opening: &Opening) -> Vec<(f64, f64)> {
    let (x, y) = mm_pair(opening.at);
    let (half_x, half_y) = (opening.width.millimetres() / 2.0, opening.depth.millimetres() / 2.0);
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)]
        .map(|(a, b)| (x + a * half_x, y + b * half_y))
        .to_vec()
}

/// Across the die where the strip ends at the hit that is shown; nothing if it is full or not
/// followed.
fn strip_end(job: &Job, scene: &Scene) -> Vec<(f64, f64)> {
    let (Some(strip), StripState::Hit(hit)) = (job.die.strip, scene.strip_state) else {
        return Vec::new();
    };
    let end = strip.end_at(hit);
    let across = Point::new(-end.feed.y, end.feed.x);
    // As wide as the die across the feed, or as its stations.
    let half = match job.die.footprint {
        Some(area) if across.y.abs() > 0.5 => area.depth.metres() / 2.0,
        Some(area) => area.width.metres() / 2.0,
        None => {
            let reach = job.stations.iter().map(|station| station.at.along(across).abs());
            reach.fold(0.05, f64::max)
        }
    };
    let middle = Point::default().displaced(end.feed, end.position);
    let placement = scene.placement.motion();
    [-half, half].map(|s| mm_pair(placement.apply(middle.displaced(across, s)))).to_vec()
}

fn suspension_points(suspension: Option<Suspension>) -> Vec<(f64, f64)> {
    match suspension {
        None => Vec::new(),
        Some(Suspension::OnePoint) => vec![(0.0, 0.0)],
        Some(Suspension::TwoPoint { span_x }) => {
            let x = span_x.millimetres() / 2.0;
            vec![(-x, 0.0), (x, 0.0)]
        }
        Some(Suspension::FourPoint { span_x, span_y }) => {
            let (x, y) = (span_x.millimetres() / 2.0, span_y.millimetres() / 2.0);
            vec![(-x, -y), (x, -y), (x, y), (-x, y)]
        }
    }
}

fn plan_stations(job: &Job, scene: &Scene, height: Length) -> Vec<PlanStation> {
    let placement = scene.placement.motion();
    job.stations
        .iter()
        .zip(&job.stroke.nominal.stations)
        .enumerate()
        .map(|(index, (station, loads))| {
            let to_die = press_load::Motion::new(station.at, 0.0);
            let outlines_mm = station
                .work
                .iter()
                .flat_map(|placed| {
                    let motion = placed.motion.then(&to_die).then(&placement);
                    work_outlines(&placed.work, &motion)
                })
                .collect();
            let mut force = job.stroke.value_at(&loads.springs.force, height);
            if let Some(with_stock) = loads.stock_in(scene.strip_state) {
                force += job.stroke.value_at(&with_stock.force, height);
            }
            PlanStation {
                number: (index + 1).to_string(),
                at_mm: mm_pair(placement.apply(station.at)),
                outlines_mm,
                activity: if force > 0.0 {
                    StationActivity::Working
                } else {
                    StationActivity::Resting
                },
            }
        })
        .collect()
}

/// Lines that show where a piece of work acts.
fn work_outlines(work: &Work, motion: &press_load::Motion) -> Vec<Vec<(f64, f64)>> {
    let bend_line = |length: Length| {
        let half = length.metres() / 2.0;
        vec![vec![Point::new(0.0, -half), Point::new(0.0, half)]]
    };
    let circle = |diameter: Length| {
        let edge = Edge::Arc {
            centre: Point::default(),
            radius: diameter.metres() / 2.0,
            start_rad: 0.0,
            sweep_rad: std::f64::consts::TAU,
        };
        vec![edge.polyline(CHORD_ERROR_M)]
    };
    let lines = match work {
        Work::Cut(cut) => joined(&cut.outline.edges().unwrap_or_default()),
        Work::Bend(bend) => bend_line(bend.length),
        Work::Flange(flange) => bend_line(flange.length),
        Work::Hem(hem) => bend_line(hem.length),
        Work::HoleFlange(flange) => circle(flange.flange_diameter),
        Work::Draw(draw) => circle(draw.punch_diameter),
        Work::Squeeze(squeeze) => {
            let side = squeeze.area.square_metres().sqrt() / 2.0;
            let corner = |x: f64, y: f64| Point::new(x * side, y * side);
            vec![vec![
                corner(-1.0, -1.0),
                corner(1.0, -1.0),
                corner(1.0, 1.0),
                corner(-1.0, 1.0),
                corner(-1.0, -1.0),
            ]]
        }
        // A spring or a table has a place but no edge.
        Work::Spring(_) | Work::Table(_) => Vec::new(),
    };
    lines
        .into_iter()
        .map(|line| line.into_iter().map(|point| mm_pair(motion.apply(point))).collect())
        .collect()
}

/// Edges that meet as one polyline.
fn joined(edges: &[Edge]) -> Vec<Vec<Point>> {
    let mut lines: Vec<Vec<Point>> = Vec::new();
    for edge in edges {
        let points = edge.polyline(CHORD_ERROR_M);
        match lines.last_mut() {
            Some(line) if line.last().is_some_and(|end| end.distance(points[0]) < 1e-9) => {
                line.extend_from_slice(&points[1..]);
            }
            _ => lines.push(points),
        }
    }
    lines
}

/// Where the load centre may lie under `force`: a rectangle, since each direction has its own
/// rating. Nothing if a rating is missing or no force acts.
fn allowed_region(job: &Job, force: Force) -> Vec<(f64, f64)> {
    let (Some(x), Some(y), Some(bolster)) =
        (&job.press.off_centre_x, &job.press.off_centre_y, job.press.bolster)
    else {
        return Vec::new();
    };
    if force <= Force::ZERO {
        return Vec::new();
    }
    let x = reach(x, force, bolster.width / 2.0).millimetres();
    let y = reach(y, force, bolster.depth / 2.0).millimetres();
    vec![(-x, -y), (x, -y), (x, y), (-x, y), (-x, -y)]
}

/// Largest offset up to `farthest` at which the rating is not exceeded, to a tenth of a millimetre.
fn reach(rating: &AxisRating, force: Force, farthest: Length) -> Length {
    let allowed = |offset: Length| rating.use_of(force, offset).share() <= 1.0;
    if allowed(farthest) {
        return farthest;
    }
    let (mut inside, mut outside) = (Length::ZERO, farthest);
    while outside - inside > Length::from_millimetres(0.1) {
        let middle = (inside + outside) / 2.0;
        if allowed(middle) { inside = middle } else { outside = middle }
    }
    inside
}

/// From the first strip position to the last, as it lies on the bolster.
fn feed_direction(job: &Job, scene: &Scene) -> Option<FeedDirection> {
    if !job.die.kind.fills_up() {
        return None;
    }
    let first = job.stations.iter().min_by_key(|station| station.strip_position)?;
    let last = job.stations.iter().max_by_key(|station| station.strip_position)?;
    let along = Point::new(last.at.x - first.at.x, last.at.y - first.at.y);
    let along = scene.placement.motion().turn(along);
    if along.x.hypot(along.y) < 1e-6 {
        return None;
    }
    Some(if along.x.abs() >= along.y.abs() {
        if along.x > 0.0 { FeedDirection::Rightwards } else { FeedDirection::Leftwards }
    } else if along.y > 0.0 {
        FeedDirection::Backwards
    } else {
        FeedDirection::Frontwards
    })
}

/// The stroke chart as SVG, in metric units.
pub fn stroke_chart_svg(job: &Job, check: &Check) -> String {
    let scene = Scene::of(job, UnitSystem::Metric);
    draw_chart(960, 340, &stroke_chart(job, check, &scene), &Style::paper())
}

/// The bolster plan as SVG.
pub fn bolster_plan_svg(job: &Job, check: &Check) -> String {
    let scene = Scene::of(job, UnitSystem::Metric);
    draw_plan(490, 370, &bolster_plan(job, check, &scene), &Style::paper())
}
