//! The cut whose outline is being edited: what the plan shows of it, and what its handles mean.

use crate::{
    CutEdge, PlanEdit,
    job::{CHORD_ERROR_M, Scene, mm_pair},
};
use evenstroke_job::{Job, spec::Unit};
use press_load::{Edge, Motion, Point, Work, cutting::Cut, tool_shear::ToolShear};

/// Which cut is being edited, and which of its points is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EditedCut {
    /// Place of the station in the job.
    pub station: usize,
    /// Place of the cut in the station's work.
    pub work: usize,
    /// The chosen point.
    pub point: Option<usize>,
}

impl EditedCut {
    fn cut<'a>(&self, job: &'a Job) -> Option<&'a Cut> {
        match &job.stations.get(self.station)?.work.get(self.work)?.work {
            Work::Cut(cut) => Some(cut),
            _ => None,
        }
    }

    /// From the cut's own coordinates to the bolster.
    fn motion(&self, job: &Job, scene: &Scene) -> Option<Motion> {
        let station = job.stations.get(self.station)?;
        let placed = station.work.get(self.work)?;
        let to_die = Motion::new(station.at, 0.0);
        Some(placed.motion.then(&to_die).then(&scene.placement.motion()))
    }

    /// A place on the bolster in the cut's own coordinates, both in millimetres.
    pub fn own_place(&self, job: &Job, scene: &Scene, place_mm: (f64, f64)) -> Option<(f64, f64)> {
        let motion = self.motion(job, scene)?;
        Some(mm_pair(motion.apply_back(Point::from_millimetres(place_mm.0, place_mm.1))))
    }

    /// Depth in millimetres and direction in degrees of the tool shear whose handle has been pulled to
    /// a place on the bolster; no depth where it has hardly left the middle.
    pub fn shear_at(&self, job: &Job, scene: &Scene, place_mm: (f64, f64)) -> Option<(f64, f64)> {
        let cut = self.cut(job)?;
        let edges = cut.outline.edges().ok()?;
        let (middle, reach) = middle_and_reach(&edges);
        let to = self.own_place(job, scene, place_mm)?;
        let (x, y) = (to.0 - middle.x * 1e3, to.1 - middle.y * 1e3);
        let out = x.hypot(y) - SHEAR_HANDLE_AT * reach * 1e3;
        let depth = out / handle_mm_per_mm(job, reach);
        // In steps of a twentieth of a millimetre and of five degrees, which a hand can set again.
        let depth = (depth * 20.0).round() / 20.0;
        Some((depth.max(0.0), (y.atan2(x).to_degrees() / 5.0).round() * 5.0))
    }
}

/// All cuts that have a line, by their places in the job.
pub fn cuts_with_line(job: &Job) -> Vec<EditedCut> {
    let mut found = Vec::new();
    for (station, at) in job.stations.iter().enumerate() {
        for (work, placed) in at.work.iter().enumerate() {
            let has_line = |cut: &Cut| cut.outline.edges().is_ok_and(|edges| !edges.is_empty());
            if matches!(&placed.work, Work::Cut(cut) if has_line(cut)) {
                found.push(EditedCut { station, work, point: None });
            }
        }
    }
    found
}

/// The cut whose line is nearest to a place on the bolster, within `reach_mm` of it.
pub fn cut_near(
    job: &Job,
    scene: &Scene,
    place_mm: (f64, f64),
    reach_mm: f64,
) -> Option<EditedCut> {
    let distance = |edited: EditedCut| {
        let edit = plan_edit(job, scene, edited, &[])?;
        let lines = edit.edges.iter().flat_map(|edge| edge.line_mm.windows(2));
        lines.map(|pair| distance_to(pair[0], pair[1], place_mm)).reduce(f64::min)
    };
    let near = cuts_with_line(job).into_iter().filter_map(|cut| Some((cut, distance(cut)?)));
    let nearest = near.reduce(|a, b| if b.1 < a.1 { b } else { a });
    nearest.filter(|found| found.1 <= reach_mm).map(|found| found.0)
}

/// How far a place is from a straight line between two others.
fn distance_to(from: (f64, f64), to: (f64, f64), place: (f64, f64)) -> f64 {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let along = (place.0 - from.0) * dx + (place.1 - from.1) * dy;
    let part = (along / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
    (place.0 - from.0 - part * dx).hypot(place.1 - from.1 - part * dy)
}

/// How far from the middle, in half sizes of the outline, the handle of a flat tool stands.
const SHEAR_HANDLE_AT: f64 = 0.35;

/// Middle of the frame around the edges and half of its longer side, in metres.
fn middle_and_reach(edges: &[Edge]) -> (Point, f64) {
    let along = |direction: Point| {
        let extents = edges.iter().map(|edge| edge.extent_along(direction));
        extents.fold((f64::INFINITY, f64::NEG_INFINITY), |a, b| (a.0.min(b.0), a.1.max(b.1)))
    };
    let (x, y) = (along(Point::new(1.0, 0.0)), along(Point::new(0.0, 1.0)));
    let middle = Point::new(f64::midpoint(x.0, x.1), f64::midpoint(y.0, y.1));
    (middle, ((x.1 - x.0).max(y.1 - y.0) / 2.0).max(1e-4))
}

/// Millimetres on the plan to a millimetre of tool shear: twice the stock's thickness, which is about
/// as deep as tools are ground, lies as far out again as the outline's end.
fn handle_mm_per_mm(job: &Job, reach: f64) -> f64 {
    reach * 1e3 / (2.0 * (job.stock.thickness_m.low() * 1e3).max(0.1))
}

/// The cut as it is shown while its outline is edited, with the points that can be moved, in its own
/// coordinates; nothing if it is no cut or has no line.
pub fn plan_edit(
    job: &Job,
    scene: &Scene,
    edited: EditedCut,
    points_mm: &[(f64, f64)],
) -> Option<PlanEdit> {
    let cut = edited.cut(job)?;
    let edges = cut.outline.edges().ok()?;
    let motion = edited.motion(job, scene)?;
    let sheared = cut.tool_shear.apply(&edges, cut.entry);
    let (first, depth) = (cut.entry.metres(), cut.tool_shear.depth().metres());
    let mut pieces = Vec::new();
    for piece in &sheared {
        // Short enough to be of one colour.
        let chords = fine_chords(&piece.edge, if depth > 0.0 { 12 } else { 1 });
        pieces.extend(chords.into_iter().map(|line| {
            let middle = line[0].towards_point(line[line.len() - 1], 0.5);
            let late = first - piece.entry_at(middle);
            CutEdge {
                line_mm: line.into_iter().map(|point| mm_pair(motion.apply(point))).collect(),
                lateness: if depth > 0.0 { (late / depth).clamp(0.0, 1.0) } else { 0.0 },
            }
        }));
    }
    if pieces.is_empty() {
        return None;
    }
    let on_bolster = |&(x, y): &(f64, f64)| mm_pair(motion.apply(Point::from_millimetres(x, y)));
    let (middle, reach) = middle_and_reach(&edges);
    let direction = match cut.tool_shear {
        ToolShear::Flat => Point::new(0.0, 1.0),
        ToolShear::Slope { direction_deg, .. } | ToolShear::Roof { direction_deg, .. } => {
            Point::towards(direction_deg.to_radians())
        }
    };
    let out = SHEAR_HANDLE_AT * reach + handle_mm_per_mm(job, reach) * depth;
    let height = |height: f64| scene.units.show(height * 1e3, Unit::Mm);
    let scale = if depth > 0.0 {
        vec![height(first), height(first - depth / 2.0), height(first - depth)]
    } else {
        vec![height(first)]
    };
    Some(PlanEdit {
        edges: pieces,
        points_mm: points_mm.iter().map(on_bolster).collect(),
        chosen: edited.point,
        shear_mm: Some(
            [middle, middle.displaced(direction, out)].map(|point| mm_pair(motion.apply(point))),
        ),
        scale,
        held: None,
    })
}

/// The edge in `count` lines at most, each bent as the edge is.
fn fine_chords(edge: &Edge, count: u32) -> Vec<Vec<Point>> {
    (0..count)
        .map(|part| {
            let (from, to) =
                (f64::from(part) / f64::from(count), f64::from(part + 1) / f64::from(count));
            match *edge {
                Edge::Line { start, end } => {
                    vec![start.towards_point(end, from), start.towards_point(end, to)]
                }
                Edge::Arc { centre, radius, start_rad, sweep_rad } => Edge::Arc {
                    centre,
                    radius,
                    start_rad: start_rad + sweep_rad * from,
                    sweep_rad: sweep_rad * (to - from),
                }
                .polyline(CHORD_ERROR_M),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use evenstroke_job::units::UnitSystem;

    fn job() -> Job {
        let text = include_str!("../../../tests/contract/example.json");
        Job::read(&text.replace("\"turn_deg\": 0", "\"turn_deg\": 90")).expect("a job")
    }

    const PIERCE: EditedCut = EditedCut { station: 0, work: 0, point: None };

    #[test]
    fn handle_of_the_tool_shear_tells_its_depth_and_direction_on_a_turned_die() {
        let job = job();
        let scene = Scene::of(&job, UnitSystem::Metric);
        let edit = plan_edit(&job, &scene, PIERCE, &[]).expect("a cut");
        let [from, to] = edit.shear_mm.expect("a handle");
        // Station 1 stands 240 mm left of the die's centre, which on a die turned by a quarter is in
        // front of it; the shear runs to the right, which is to the back.
        assert!(from.0.abs() < 1e-9 && (from.1 + 240.0).abs() < 1e-9, "{from:?}");
        assert!((to.0 - from.0).abs() < 1e-9 && to.1 > from.1, "{to:?}");
        assert_eq!(PIERCE.shear_at(&job, &scene, to), Some((1.5, 0.0)));
        assert_eq!(PIERCE.shear_at(&job, &scene, from).map(|shear| shear.0), Some(0.0));
        assert_eq!(edit.scale, ["4.5 mm", "3.8 mm", "3.0 mm"]);
        let lateness = edit.edges.iter().map(|edge| edge.lateness);
        let (first, last) = lateness.fold((1.0_f64, 0.0_f64), |a, b| (a.0.min(b), a.1.max(b)));
        assert!(first < 0.05 && last > 0.95, "{first} {last}");
    }

    #[test]
    fn points_lie_on_the_bolster_and_come_back_to_the_cut() {
        let job = job();
        let scene = Scene::of(&job, UnitSystem::Metric);
        let points = [(15.0, 0.0), (0.0, 15.0), (-15.0, 0.0), (0.0, -15.0)];
        let edit = plan_edit(&job, &scene, PIERCE, &points).expect("a cut");
        for (own, place) in points.iter().zip(&edit.points_mm) {
            let back = PIERCE.own_place(&job, &scene, *place).expect("a cut");
            assert!((back.0 - own.0).abs() < 1e-9 && (back.1 - own.1).abs() < 1e-9);
        }
    }

    #[test]
    fn the_nearest_cut_is_found_within_reach_and_bends_are_none() {
        let job = job();
        let scene = Scene::of(&job, UnitSystem::Metric);
        assert_eq!(cuts_with_line(&job).len(), 3);
        assert_eq!(cut_near(&job, &scene, (14.0, -240.0), 2.0), Some(PIERCE));
        assert_eq!(cut_near(&job, &scene, (0.0, -240.0), 2.0), None);
        let bend = EditedCut { station: 2, work: 0, point: None };
        assert_eq!(plan_edit(&job, &scene, bend, &[]), None);
        let none = EditedCut { station: 9, work: 9, point: None };
        assert_eq!(none.own_place(&job, &scene, (0.0, 0.0)), None);
    }
}
