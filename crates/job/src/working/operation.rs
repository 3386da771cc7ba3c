//! From the peak force of an operation back to what it is worked out from, on the upper line.

use super::{
    Working, laws,
    steps::{Steps, is_same},
};
use crate::Job;
use evenstroke_language::tr;
use press_load::{
    Area, Force, Length, Line, Motion, Outline, PlacedWork, Sheet, Station, Stroke, Work,
    bending::{Bend, BendKind},
    cutting::{Cut, CutKind, CutModel},
    deep_drawing::{ASSUMED_DIE_RADIUS, Draw, DrawKind, PRIOR_STRAIN, simple_peak_force},
    flanging::{Flange, FlangeKind, HoleFlange},
    hemming::{DEFAULT_FACTOR, Hem, HemKind},
    point_load::PointLoad,
    springs::{Spring, SpringKind},
    tool_shear::ToolShear,
};

/// The steps behind the highest force of a work of a station, the force first. Nothing where there is no
/// such work.
pub fn of_work(job: &Job, station: usize, work: usize) -> Vec<Working> {
    let mut steps = Steps::of(job);
    let _ = build(&mut steps, station, work);
    steps.finish()
}

fn build(steps: &mut Steps, station: usize, work: usize) -> Option<()> {
    let job = steps.job;
    let of = job.stations.get(station)?;
    let placed = of.work.get(work)?;
    let sheet = job.stroke.upper.stations.get(station)?.sheet;
    let at = press_load::Point::default();
    match &placed.work {
        Work::Cut(cut) => cut_peak(steps, of, placed, cut, &sheet)?,
        Work::Bend(bend) => {
            let loads = bend.loads(&sheet, at).ok()?;
            let mut parts = Parts::default();
            bend_parts(steps, &mut parts, bend, &sheet, loads)?;
            parts.finish(steps);
        }
        Work::Flange(flange) => flange_peak(steps, flange, &sheet)?,
        Work::HoleFlange(flange) => hole_flange(steps, flange, &sheet)?,
        Work::Hem(hem) => hem_peak(steps, hem, &sheet)?,
        Work::Draw(draw) => draw_peak(steps, draw, &sheet)?,
        Work::Squeeze(squeeze) => {
            let peak = squeeze.peak_force(&sheet).ok()?;
            let area = Area::square_millimetres(squeeze.area);
            let put_in = [area, squeeze.pressure.megapascals()];
            steps.known(&laws::SQUEEZE, &put_in, peak.kilonewtons());
        }
        Work::Spring(spring) => {
            let load = spring.load(at).ok()?;
            let (height, force) = highest(std::slice::from_ref(&load));
            spring_at(steps, spring, Length::from_metres(height), force * 1e-3);
        }
        Work::Table(rows) => {
            let load = PointLoad::from_table(at, rows).ok()?;
            let (height, force) = highest(std::slice::from_ref(&load));
            between(steps, load.rows(), height, force);
            steps.note(tr("the highest row of the table"));
        }
    }
    Some(())
}

/// Index, strip factor and force of the whole edge of each cut of a station.
pub fn whole_edges(job: &Job, station: usize, line: Line) -> Vec<(usize, f64, Force)> {
    let sheet = &job.stroke.line(line).stations[station].sheet;
    let mut edges = Vec::new();
    for (work, placed) in job.stations[station].work.iter().enumerate() {
        let Work::Cut(cut) = &placed.work else { continue };
        let factor = cut.force_factor(line, job.settings.cut_model);
        if let Ok(length) = cut.outline.length() {
            edges.push((work, cut.strip_factor, length * cut.line_force(sheet, factor)));
        }
    }
    edges
}

fn cut_peak(
    steps: &mut Steps,
    station: &Station,
    placed: &PlacedWork,
    cut: &Cut,
    sheet: &Sheet,
) -> Option<()> {
    let job = steps.job;
    let model = job.settings.cut_model;
    let factor = cut.force_factor(Line::Upper, model);
    if factor > 1.0 {
        // A clearance that raises nothing stands as one that is wide enough.
        let clearance = match model {
            CutModel::Shaped => cut.clearance_percent.unwrap_or(10.0),
            CutModel::Plateau => 10.0,
        };
        steps.known(&laws::CUT_FACTOR, &[cut.wear_factor, clearance], factor);
    }
    let length = cut.outline.length().ok()?;
    let whole = length * cut.line_force(sheet, factor);
    let (shear, thickness) =
        (sheet.shear_strength().megapascals(), sheet.thickness().millimetres());
    let length = length.millimetres();
    match cut.allowance.filter(|_| cut.kind == CutKind::Shave) {
        Some(ring) => {
            let put_in = [shear, ring.millimetres(), thickness, factor, length];
            steps.known(&laws::SHAVE_EDGE, &put_in, whole.kilonewtons());
        }
        None => {
            let put_in = [shear, thickness, factor, length];
            steps.known(&laws::CUT_EDGE, &put_in, whole.kilonewtons());
        }
    }
    let (peak, height) = peak_alone(job, station, placed)?;
    if is_same(peak.newtons(), whole.newtons()) {
        return Some(());
    }
    let (whole, peak) = (whole.kilonewtons(), peak.kilonewtons());
    let (penetration, depth) = (sheet.penetration(), cut.tool_shear.depth().millimetres());
    let is_one_slope = matches!(cut.tool_shear, ToolShear::Slope { .. })
        && model == CutModel::Plateau
        && matches!(&cut.outline, Outline::Path { points, bulges, closed: false }
            if points.len() == 2 && bulges.iter().all(|&bulge| bulge == 0.0));
    if is_one_slope && is_same(whole * penetration * thickness / depth, peak) {
        steps.known(&laws::SHEAR_SLOPE, &[whole, penetration, thickness, depth], peak);
    } else {
        steps.known(&laws::SHEAR_PEAK, &[whole, peak / whole], peak);
    }
    steps.at(height);
    Some(())
}

/// The highest force of one work on the upper line and the height at which it acts, found as in the
/// whole die.
fn peak_alone(job: &Job, station: &Station, placed: &PlacedWork) -> Option<(Force, Length)> {
    let alone = Station { work: vec![placed.clone()], stripper: None, ..station.clone() };
    let (model, reach) = (job.settings.cut_model, job.press.drive.stroke());
    let stroke = Stroke::new(&[alone], &job.stock, model, reach).ok()?;
    let total = stroke.upper.total(press_load::StripState::Full, &Motion::NONE);
    let highest =
        (0..total.force.len()).max_by(|&a, &b| total.force[a].total_cmp(&total.force[b]))?;
    Some((Force::from_newtons(total.force[highest]), stroke.rows[highest].height))
}

/// Height and force, in metres and newtons, at which the sum of some loads is highest. All are straight
/// between their rows, so that it is at one of them.
fn highest(loads: &[PointLoad]) -> (f64, f64) {
    loads
        .iter()
        .flat_map(PointLoad::rows)
        .map(|&(height, _)| (height, loads.iter().map(|load| load.force_at(height)).sum()))
        .fold(
            (0.0, 0.0),
            |best: (f64, f64), here: (f64, f64)| if here.1 > best.1 { here } else { best },
        )
}

/// A force, in newtons, between two of falling rows.
fn between(steps: &mut Steps, rows: &[(f64, f64)], height: f64, force: f64) {
    let below = rows.partition_point(|row| row.0 > height).max(1);
    // The lower row of a jump lies at the same height; the one after it tells the same.
    let Some((&(s_0, f_0), &(s_1, f_1))) = rows.get(below - 1).zip(rows.get(below)) else { return };
    if s_0 > s_1 {
        let put_in = [f_0 * 1e-3, f_1 * 1e-3, s_0 * 1e3, height * 1e3, s_1 * 1e3];
        steps.known(&laws::BETWEEN_ROWS, &put_in, force * 1e-3);
    }
}

/// Loads that act together, each with its own peak as its law gives it.
#[derive(Default)]
struct Parts {
    names: Vec<String>,
    loads: Vec<PointLoad>,
    /// In newtons.
    peaks: Vec<f64>,
}

impl Parts {
    fn push(&mut self, name: &str, load: PointLoad, peak: Force) {
        self.names.push(name.to_owned());
        self.loads.push(load);
        self.peaks.push(peak.newtons());
    }

    /// What each gives where their sum is highest, and the sum.
    fn finish(self, steps: &mut Steps) {
        let (height, sum) = highest(&self.loads);
        let (mut names, mut forces) = (Vec::new(), Vec::new());
        for ((name, load), peak) in self.names.into_iter().zip(&self.loads).zip(self.peaks) {
            let force = load.force_at(height);
            if force == 0.0 {
                continue;
            }
            if !is_same(force, peak) {
                between(steps, load.rows(), height, force);
                let why = if height == 0.0 {
                    tr("at BDC, which comes before or after its own peak")
                } else {
                    tr("where all together are highest")
                };
                steps.note(format!("{name}, {why}"));
            }
            names.push(name);
            forces.push(force * 1e-3);
        }
        if names.len() > 1 {
            steps.rows(&laws::PARTS, names, vec![forces], sum * 1e-3);
        }
    }
}

fn bend_parts(
    steps: &mut Steps,
    parts: &mut Parts,
    bend: &Bend,
    sheet: &Sheet,
    loads: Vec<PointLoad>,
) -> Option<()> {
    let mut loads = loads.into_iter();
    let (thickness, length) = (sheet.thickness().millimetres(), bend.length.millimetres());
    let peak = bend.peak_force(sheet).ok()?;
    let radii = match bend.kind {
        BendKind::V { .. } => None,
        BendKind::U { punch_radius, die_radius, gap }
        | BendKind::Wipe { punch_radius, die_radius, gap } => {
            Some([punch_radius, gap, die_radius].map(Length::millimetres))
        }
    };
    let width = match radii {
        Some(radii) => steps.worked(&laws::BEND_WIDTH, &radii),
        None => bend.kind.width().millimetres(),
    };
    let factor = bend.factor.unwrap_or(bend.kind.default_factor());
    let put_in = [factor, sheet.tensile_strength().megapascals(), length, thickness, width];
    steps.known(&laws::BEND_PEAK, &put_in, peak.kilonewtons());
    parts.push("bend", loads.next()?, peak);
    if bend.pad > Force::ZERO {
        parts.push("pad", loads.next()?, bend.pad);
    }
    if let Some(pressure) = bend.bottoming {
        let wide = match (bend.kind, radii) {
            (BendKind::V { opening }, _) => opening.millimetres(),
            (BendKind::U { .. }, Some(radii)) => {
                steps.worked(&laws::BOTTOM_WIDTH, &[2.0, radii[0], thickness])
            }
            (_, Some(radii)) => steps.worked(&laws::BOTTOM_WIDTH, &[1.0, radii[0], thickness]),
            (_, None) => return None,
        };
        let force = bend.bottoming_area(sheet) * pressure;
        let put_in = [pressure.megapascals(), length, wide];
        steps.known(&laws::BOTTOM, &put_in, force.kilonewtons());
        parts.push("bottoming", loads.next()?, force);
    }
    Some(())
}

fn flange_peak(steps: &mut Steps, flange: &Flange, sheet: &Sheet) -> Option<()> {
    let mut loads = flange.loads(sheet, press_load::Point::default()).ok()?;
    let work = flange.hoop_work(sheet).ok()?.kilojoules();
    let hoop = if work == 0.0 { None } else { loads.pop() };
    let mut parts = Parts::default();
    bend_parts(steps, &mut parts, &flange.bend().ok()?, sheet, loads)?;
    if let (Some(hoop), Some(radius), Some(height)) = (hoop, flange.plan_radius, flange.height) {
        let (strength, thickness) =
            (sheet.tensile_strength().megapascals(), sheet.thickness().millimetres());
        let (length, r, h) =
            (flange.length.millimetres(), radius.millimetres(), height.millimetres());
        if flange.kind == FlangeKind::Stretch {
            steps.known(&laws::HOOP_STRETCH, &[strength, thickness, length, h, r], work);
        } else {
            steps.known(&laws::HOOP_SHRINK, &[strength, thickness, length, r, h], work);
        }
        let (punch, die) = (flange.punch_radius.millimetres(), flange.die_radius.millimetres());
        let force = steps.worked(&laws::HOOP_FORCE, &[work, punch, thickness, die]);
        parts.push(tr("along the edge"), hoop, Force::from_kilonewtons(force));
    }
    parts.finish(steps);
    Some(())
}

/// One load whose curve may end at BDC before its law is at its peak.
fn alone(steps: &mut Steps, load: PointLoad, peak: Force) {
    let mut parts = Parts::default();
    parts.push(tr("this operation"), load, peak);
    parts.finish(steps);
}

fn hole_flange(steps: &mut Steps, flange: &HoleFlange, sheet: &Sheet) -> Option<()> {
    let peak = flange.peak_force(sheet).ok()?;
    let strength = sheet.tensile_strength().megapascals();
    let yields = match sheet.yield_strength() {
        Some(yields) => yields.megapascals(),
        None => steps.worked(&laws::YIELD, &[strength]),
    };
    let [t, large, small] =
        [sheet.thickness(), flange.flange_diameter, flange.hole_diameter].map(Length::millimetres);
    steps.known(&laws::HOLE_FLANGE, &[t, yields, large, small], peak.kilonewtons());
    let load = flange.loads(sheet, press_load::Point::default()).ok()?.pop()?;
    alone(steps, load, peak);
    Some(())
}

fn hem_peak(steps: &mut Steps, hem: &Hem, sheet: &Sheet) -> Option<()> {
    let peak = hem.peak_force(sheet).ok()?.kilonewtons();
    let (factor, strength) =
        (hem.factor.unwrap_or(DEFAULT_FACTOR), sheet.tensile_strength().megapascals());
    let (length, t) = (hem.length.millimetres(), sheet.thickness().millimetres());
    match hem.kind {
        HemKind::Open => {
            let gap = hem.gap.map_or(t, Length::millimetres);
            steps.known(&laws::HEM_OPEN, &[factor, strength, length, t, gap], peak);
        }
        HemKind::Flat => steps.known(&laws::HEM_FLAT, &[factor, strength, length, t], peak),
    }
    Some(())
}

/// Force of a spring, in kN, with the slide at a height.
pub fn spring_at(steps: &mut Steps, spring: &Spring, height: Length, force: f64) {
    let travel = (spring.entry - height).millimetres();
    let kn = |force: Force| force.kilonewtons();
    match &spring.kind {
        _ if travel < 0.0 => {}
        SpringKind::Coil { preload, rate } => {
            let put_in = [kn(*preload), rate.kilonewtons_per_millimetre(), travel];
            steps.known(&laws::SPRING_COIL, &put_in, force);
        }
        SpringKind::Gas { force: first, stroke, force_rise } => {
            let put_in = [kn(*first), *force_rise, travel, stroke.millimetres()];
            steps.known(&laws::SPRING_GAS, &put_in, force);
        }
        SpringKind::Cushion { force: first, .. } => {
            steps.known(&laws::SPRING_CUSHION, &[kn(*first)], force);
        }
        SpringKind::Elastomer { .. } => {
            if let Ok(load) = spring.load(press_load::Point::default()) {
                between(steps, load.rows(), height.metres(), force * 1e3);
            }
        }
    }
}

fn draw_peak(steps: &mut Steps, draw: &Draw, sheet: &Sheet) -> Option<()> {
    let load = draw.loads(sheet, press_load::Point::default()).ok()?.pop()?;
    let (height, force) = highest(std::slice::from_ref(&load));
    let travel = draw.entry.metres() - height;
    if draw.kind == DrawKind::Iron {
        return iron(steps, draw, sheet, load);
    }
    let rows: Vec<(f64, f64)> =
        draw.whole_curve(sheet).ok()?.iter().map(|row| (row.0.metres(), row.1.newtons())).collect();
    // The points of the curve as falling heights.
    let entry = draw.entry.metres();
    let heights: Vec<(f64, f64)> = rows.iter().map(|&(s, f)| (entry - s, f)).collect();
    let corners = value_between(&heights, height);
    let Some(sides) = draw.rectangular.filter(|_| draw.kind == DrawKind::First) else {
        return round(steps, draw, sheet, &heights, (height, travel, force));
    };
    round(steps, draw, sheet, &heights, (height, travel, corners))?;
    let state = draw.state_after(sheet, Length::from_metres(travel));
    let thickness = sheet.thickness();
    let put_in = [
        state.angle.to_degrees(),
        draw.friction,
        draw.blank_holder.kilonewtons(),
        sides.straight_share(),
        sheet.tensile_strength().megapascals(),
        thickness.millimetres(),
        sides.straight_length().millimetres(),
        draw.die_radius.unwrap_or(thickness * ASSUMED_DIE_RADIUS).millimetres(),
    ];
    let side_force = steps.worked(&laws::BOX_SIDES, &put_in);
    let names = vec!["corners".to_owned(), tr("straight sides").to_owned()];
    if is_same(corners * 1e-3 + side_force, force * 1e-3) {
        steps.rows(&laws::PARTS, names, vec![vec![corners * 1e-3, side_force]], force * 1e-3);
    } else {
        between(steps, load.rows(), height, force);
        steps.note(tr("the depth, or BDC, ends the curve between two of its points"));
    }
    Some(())
}

/// A value between falling rows; nothing outside them.
fn value_between(rows: &[(f64, f64)], height: f64) -> f64 {
    let below = rows.partition_point(|row| row.0 > height);
    match (below.checked_sub(1).map(|above| rows[above]), rows.get(below)) {
        (_, Some(&(h, force))) if h == height => force,
        (Some((h_0, f_0)), Some(&(h_1, f_1))) => f_0 + (f_1 - f_0) * (h_0 - height) / (h_0 - h_1),
        _ => 0.0,
    }
}

/// A round draw at its highest point: height, travel and force there in metres and newtons.
fn round(
    steps: &mut Steps,
    draw: &Draw,
    sheet: &Sheet,
    rows: &[(f64, f64)],
    (height, travel, force): (f64, f64, f64),
) -> Option<()> {
    if sheet.hardening().is_none() {
        let simple = simple_peak_force(sheet, draw.blank_diameter, draw.punch_diameter);
        let put_in = [
            draw.punch_diameter.millimetres(),
            sheet.thickness().millimetres(),
            sheet.tensile_strength().megapascals(),
            draw.blank_diameter.millimetres(),
        ];
        steps.known(&laws::DRAW_SIMPLE, &put_in, simple.kilonewtons());
        if !is_same(simple.newtons(), force) {
            between(steps, rows, height, force);
            steps.note(tr("the curve scaled to that peak, at the depth of this cup"));
        }
        return Some(());
    }
    let at = |travel: f64| draw.state_after(sheet, Length::from_metres(travel));
    if is_same(at(travel).force.newtons(), force) {
        step_by_step(steps, draw, sheet, travel);
        return Some(());
    }
    // The depth ends the curve between two of its points: the law at the lower one, and between them.
    let below = rows.partition_point(|row| row.0 > height);
    let point = draw.entry.metres() - rows.get(below)?.0;
    step_by_step(steps, draw, sheet, point);
    between(steps, rows, height, force);
    steps.note(tr("the depth of this cup, or BDC, lies between two points of the curve"));
    Some(())
}

/// The law of a round draw after a travel in metres.
fn step_by_step(steps: &mut Steps, draw: &Draw, sheet: &Sheet, travel: f64) {
    let state = draw.state_after(sheet, Length::from_metres(travel));
    let s = travel * 1e3;
    let [radii, r, blank, t] =
        [state.sum_of_radii, state.mean_radius, draw.blank_diameter / 2.0, sheet.thickness()]
            .map(Length::millimetres);
    let is_upright = travel >= state.sum_of_radii.metres();
    let angle = state.angle.to_degrees();
    if !is_upright {
        steps.known(&laws::DRAW_TURNED, &[s, radii], angle);
    }
    let n = state.exponent;
    let strength = state.coefficient.megapascals();
    let (mut rim, mut rim_strain) = (blank, PRIOR_STRAIN);
    let edge_strain = if draw.kind == DrawKind::Redraw {
        steps.worked(&laws::REDRAW_STRAIN, &[blank, r])
    } else {
        let drawn_in = state.drawn_in.millimetres();
        if is_upright {
            steps.known(&laws::DRAW_IN_UPRIGHT, &[s, radii], drawn_in);
        } else {
            steps.known(&laws::DRAW_IN, &[radii, angle, s], drawn_in);
        }
        rim = steps.worked(&laws::DRAW_RIM, &[blank, r, drawn_in]);
        rim_strain = steps.worked(&laws::DRAW_STRAIN_RIM, &[blank, rim]);
        steps.worked(&laws::DRAW_STRAIN_EDGE, &[blank, rim, r])
    };
    let mean = steps.worked(&laws::FLOW_STRESS, &[strength, rim_strain, n, edge_strain]);
    let (bends, die_radius) =
        draw.die_radius.map_or((0.0, t), |radius| (1.0, radius.millimetres()));
    let put_in = [
        r,
        t,
        angle,
        draw.friction,
        mean,
        rim,
        state.blank_holder.kilonewtons(),
        bends,
        strength,
        edge_strain,
        n,
        die_radius,
    ];
    steps.known(&laws::DRAW_FORCE, &put_in, state.force.kilonewtons());
}

fn iron(steps: &mut Steps, draw: &Draw, sheet: &Sheet, load: PointLoad) -> Option<()> {
    let (before, after) = (sheet.thickness(), draw.wall_after?);
    let (strength, exponent) = match sheet.hardening() {
        Some((strength, exponent)) => (strength.megapascals(), exponent),
        None => {
            let tensile = sheet.tensile_strength().megapascals();
            (steps.worked(&laws::FLOW_ASSUMED, &[tensile]), 0.2)
        }
    };
    let strain = PRIOR_STRAIN + (before / after).ln();
    let mean = steps.worked(&laws::FLOW_IRON, &[strength, strain, exponent]);
    let force = press_load::deep_drawing::ironing_force(sheet, draw.punch_diameter, after);
    let [d, t_1, t_0] = [draw.punch_diameter, after, before].map(Length::millimetres);
    steps.known(&laws::IRON, &[d, t_1, mean, t_0], force.kilonewtons());
    alone(steps, load, force);
    Some(())
}
