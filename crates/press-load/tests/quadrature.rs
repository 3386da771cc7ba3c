//! The closed forms of force, moments and work along a cut edge against numeric integration.
//!
//! The reference knows the edges as plain curves and takes the entry height of each point straight
//! from its definition: with s the position along the shear's direction and s₀…s₁ the outline's
//! extent, a slope enters at `entry − depth·(s − s₀)/(s₁ − s₀)`, a roof at `entry − depth·r` with
//! r = |2s − s₀ − s₁|/(s₁ − s₀) where the ridge is first and `entry − depth·(1 − r)` where the ends
//! are, and a zigzag does the same in equal parts. Integration is double-exponential between all
//! places where the integrand has a kink or jump.

#![allow(missing_docs)]

mod support;

use press_load::{
    Line, LoadSeries, Motion, Outline, Point,
    cut_profile::CutProfile,
    cutting::{Cut, CutModel},
    load::Load,
    tool_shear::{RoofFirst, ToolShear},
};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_8, PI, TAU};
use support::{assert_close, circle, cut, mm, path, slope, stock};

/// Largest difference from the reference as a part of the whole edge's force, and of that force
/// times the size of the die for the moments.
const TOLERANCE: f64 = 1e-9;

const THICKNESS: f64 = 2e-3;
const SHEAR_STRENGTH: f64 = 320e6;

/// A curve in the plane, in metres.
#[derive(Clone, Copy)]
enum Curve {
    Line { from: (f64, f64), to: (f64, f64) },
    Arc { centre: (f64, f64), radius: f64, start: f64, sweep: f64 },
}

impl Curve {
    fn at(&self, p: f64) -> (f64, f64) {
        match *self {
            Self::Line { from, to } => (from.0 + p * (to.0 - from.0), from.1 + p * (to.1 - from.1)),
            Self::Arc { centre, radius, start, sweep } => {
                let angle = start + p * sweep;
                (centre.0 + radius * angle.cos(), centre.1 + radius * angle.sin())
            }
        }
    }

    fn length(&self) -> f64 {
        match *self {
            Self::Line { from, to } => (to.0 - from.0).hypot(to.1 - from.1),
            Self::Arc { radius, sweep, .. } => radius * sweep.abs(),
        }
    }

    /// Parameters between which the position along the direction at `angle` runs one way.
    fn monotonic(&self, angle: f64) -> Vec<f64> {
        let mut places = vec![0.0, 1.0];
        if let Self::Arc { start, sweep, .. } = *self {
            for turn in -4..=4 {
                let place = (angle + f64::from(turn) * PI - start) / sweep;
                if place > 0.0 && place < 1.0 {
                    places.push(place);
                }
            }
        }
        places.sort_by(f64::total_cmp);
        places
    }
}

/// A cut, and the same edges as curves of the reference.
struct Case {
    name: &'static str,
    outline: Outline,
    curves: Vec<Curve>,
}

fn lines(points_mm: &[(f64, f64)], closed: bool) -> Vec<Curve> {
    let metres = |p: (f64, f64)| (p.0 * 1e-3, p.1 * 1e-3);
    let mut curves: Vec<Curve> = points_mm
        .windows(2)
        .map(|pair| Curve::Line { from: metres(pair[0]), to: metres(pair[1]) })
        .collect();
    if closed {
        let (from, to) = (points_mm[points_mm.len() - 1], points_mm[0]);
        curves.push(Curve::Line { from: metres(from), to: metres(to) });
    }
    curves
}

fn arc(centre_mm: (f64, f64), radius_mm: f64, start: f64, sweep: f64) -> Curve {
    Curve::Arc {
        centre: (centre_mm.0 * 1e-3, centre_mm.1 * 1e-3),
        radius: radius_mm * 1e-3,
        start,
        sweep,
    }
}

fn cases() -> Vec<Case> {
    let notch = [(-25.0, 40.0), (-25.0, 20.0), (25.0, 20.0), (30.0, 45.0)];
    let triangle = [(0.0, 0.0), (60.0, 0.0), (60.0, 25.0)];
    let mut slot = lines(&[(-14.0, -6.0), (14.0, -6.0)], false);
    slot.push(arc((14.0, 0.0), 6.0, -FRAC_PI_2, PI));
    slot.extend(lines(&[(14.0, 6.0), (-14.0, 6.0)], false));
    slot.push(arc((-14.0, 0.0), 6.0, FRAC_PI_2, PI));
    // A half circle bulging one way, a straight edge, and a quarter bulging the other way.
    let mut bulged = vec![arc((10.0, 0.0), 10.0, PI, PI)];
    bulged.extend(lines(&[(20.0, 0.0), (20.0, 15.0)], false));
    bulged.push(arc((20.0, 25.0), 10.0, -FRAC_PI_2, -FRAC_PI_2));
    let bulged_path = Outline::Path {
        points: [(0.0, 0.0), (20.0, 0.0), (20.0, 15.0), (10.0, 25.0)]
            .map(|(x, y)| Point::from_millimetres(x, y))
            .to_vec(),
        bulges: vec![1.0, 0.0, -FRAC_PI_8.tan()],
        closed: false,
    };
    vec![
        Case { name: "notch", outline: path(&notch, false), curves: lines(&notch, false) },
        Case { name: "triangle", outline: path(&triangle, true), curves: lines(&triangle, true) },
        Case {
            name: "circle",
            outline: circle(30.0),
            curves: vec![arc((0.0, 0.0), 15.0, 0.0, TAU)],
        },
        Case {
            name: "slot",
            outline: Outline::Slot { length: mm(40.0), width: mm(12.0) },
            curves: slot,
        },
        Case { name: "bulged path", outline: bulged_path, curves: bulged },
    ]
}

fn tool_shears() -> Vec<ToolShear> {
    let roof = |depth, direction_deg, ridges, first| ToolShear::Roof {
        depth: mm(depth),
        direction_deg,
        ridges,
        first,
    };
    vec![
        ToolShear::Flat,
        slope(1.5, 0.0),
        slope(0.4, 37.0),
        slope(5.0, 200.0),
        slope(0.05, 90.0),
        roof(1.5, 0.0, 1, RoofFirst::Ridge),
        roof(2.5, 63.0, 1, RoofFirst::Ends),
        roof(1.0, 90.0, 3, RoofFirst::Ridge),
        roof(1.0, -20.0, 4, RoofFirst::Ends),
    ]
}

/// What the reference integrates.
struct Reference {
    curves: Vec<Curve>,
    profile: CutProfile,
    entry: f64,
    depth: f64,
    /// Direction of the shear in radians, ridges (0 for a slope), and whether the ridge is first.
    angle: f64,
    ridges: u32,
    ridge_first: bool,
    extent: (f64, f64),
}

impl Reference {
    fn new(curves: &[Curve], shear: ToolShear, profile: CutProfile, entry_mm: f64) -> Self {
        let (depth, degrees, ridges, ridge_first) = match shear {
            ToolShear::Flat => (0.0, 0.0, 0, false),
            ToolShear::Slope { depth, direction_deg } => (depth.metres(), direction_deg, 0, false),
            ToolShear::Roof { depth, direction_deg, ridges, first } => {
                (depth.metres(), direction_deg, ridges, first == RoofFirst::Ridge)
            }
        };
        let mut reference = Self {
            curves: curves.to_vec(),
            profile,
            entry: entry_mm * 1e-3,
            depth,
            angle: degrees.to_radians(),
            ridges,
            ridge_first,
            extent: (0.0, 1.0),
        };
        let ends: Vec<f64> = curves
            .iter()
            .flat_map(|c| c.monotonic(reference.angle).into_iter().map(|p| c.at(p)))
            .map(|point| reference.position(point))
            .collect();
        reference.extent =
            ends.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), &s| (a.min(s), b.max(s)));
        reference
    }

    fn position(&self, (x, y): (f64, f64)) -> f64 {
        x * self.angle.cos() + y * self.angle.sin()
    }

    /// Entry height by the definition.
    fn entry_at(&self, point: (f64, f64)) -> f64 {
        let (s0, s1) = self.extent;
        if self.depth == 0.0 {
            return self.entry;
        }
        let part = ((self.position(point) - s0) / (s1 - s0)).clamp(0.0, 1.0);
        if self.ridges == 0 {
            return self.entry - self.depth * part;
        }
        let n = f64::from(self.ridges);
        let in_ridge = part * n - (part * n).floor().min(n - 1.0);
        let r = (2.0 * in_ridge - 1.0).abs();
        self.entry - self.depth * if self.ridge_first { r } else { 1.0 - r }
    }

    /// Parameters between which φ(u/t) is smooth along `curve` at a height.
    fn smooth_parts(&self, curve: &Curve, height: f64) -> Vec<f64> {
        let mut places = curve.monotonic(self.angle);
        let kinks: Vec<f64> = (1..2 * self.ridges)
            .map(|i| {
                let part = f64::from(i) / f64::from(2 * self.ridges);
                self.extent.0 + part * (self.extent.1 - self.extent.0)
            })
            .collect();
        places = crossings(&places, &kinks, |p| self.position(curve.at(p)));
        let knots: Vec<f64> = self.profile.knots().map(|x| height + x * THICKNESS).collect();
        crossings(&places, &knots, |p| self.entry_at(curve.at(p)))
    }

    /// ∫ integrand(point, entry) dℓ over all curves.
    fn integral(&self, height: f64, integrand: impl Fn((f64, f64), f64) -> f64) -> f64 {
        let mut sum = 0.0;
        for curve in &self.curves {
            for pair in self.smooth_parts(curve, height).windows(2) {
                let f = |p: f64| {
                    let point = curve.at(p);
                    integrand(point, self.entry_at(point)) * curve.length()
                };
                if pair[1] > pair[0] {
                    sum += quadrature::integrate(f, pair[0], pair[1], 1e-16).integral;
                }
            }
        }
        sum
    }

    /// Force and moments at a height, the edge turned and shifted.
    fn load(&self, height: f64, turn: f64, shift: (f64, f64)) -> [f64; 3] {
        let q = THICKNESS * SHEAR_STRENGTH;
        let phi = |entry: f64| self.profile.value((entry - height) / THICKNESS);
        let placed = |(x, y): (f64, f64)| {
            (x * turn.cos() - y * turn.sin() + shift.0, x * turn.sin() + y * turn.cos() + shift.1)
        };
        [
            q * self.integral(height, |_, z| phi(z)),
            q * self.integral(height, |point, z| phi(z) * placed(point).0),
            q * self.integral(height, |point, z| phi(z) * placed(point).1),
        ]
    }

    /// Work down to BDC: every point of the edge has done `q·∫φ du` up to its penetration there.
    fn work(&self) -> f64 {
        let done = |entry: f64| {
            let x = (entry / THICKNESS).min(self.profile.end());
            let knots: Vec<f64> = self.profile.knots().filter(|&k| k < x).chain([x]).collect();
            knots
                .windows(2)
                .filter(|pair| pair[1] > pair[0])
                .map(|pair| {
                    quadrature::integrate(|u| self.profile.value(u), pair[0], pair[1], 1e-15)
                        .integral
                })
                .sum::<f64>()
        };
        THICKNESS * SHEAR_STRENGTH * THICKNESS * self.integral(0.0, |_, z| done(z))
    }

    fn whole_force(&self) -> f64 {
        THICKNESS * SHEAR_STRENGTH * self.curves.iter().map(Curve::length).sum::<f64>()
    }
}

/// `places` with those added at which the steady function `f` crosses a level.
fn crossings(places: &[f64], levels: &[f64], f: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut all = places.to_vec();
    for pair in places.windows(2) {
        let rising = f(pair[1]) > f(pair[0]);
        for &level in levels {
            let below = |p: f64| (f(p) < level) == rising;
            if !below(pair[0]) || below(pair[1]) {
                continue;
            }
            let (mut low, mut high) = (pair[0], pair[1]);
            for _ in 0..70 {
                let middle = 0.5 * (low + high);
                if below(middle) { low = middle } else { high = middle }
            }
            all.push(0.5 * (low + high));
        }
    }
    all.sort_by(f64::total_cmp);
    all
}

/// Heights before, at and beside every knot of the first and the last edge point, and in between.
fn heights(reference: &Reference) -> Vec<f64> {
    let (first, last) = (reference.entry, reference.entry - reference.depth);
    let mut heights: Vec<f64> = (0..24)
        .map(|i| {
            let end = last - reference.profile.end() * THICKNESS;
            // Irrational steps, so that no height falls on a knot by chance.
            first + (end - first) * (f64::from(i) + 0.618) / 24.0
        })
        .collect();
    for knot in reference.profile.knots() {
        // Odd parts: where an arc is square to the shear's direction just at a knot, a last digit
        // of height moves the crossing by the square root of it.
        for part in [-0.1, 0.0917, 0.4963, 0.9021, 1.1] {
            heights.push(first - knot * THICKNESS - part * reference.depth);
        }
    }
    heights.sort_by(|a, b| b.total_cmp(a));
    heights
}

const TURN_DEG: f64 = 30.0;
const SHIFT_MM: (f64, f64) = (120.0, -45.0);

fn load_of(cut: &Cut, model: CutModel) -> Load {
    let sheet = stock(THICKNESS * 1e3, SHEAR_STRENGTH * 1e-6, 0.4).sheet(Line::Nominal).unwrap();
    let motion = Motion::new(Point::from_millimetres(SHIFT_MM.0, SHIFT_MM.1), TURN_DEG);
    Load::Edge(cut.load(&sheet, model, 1.0, &motion).unwrap())
}

fn profile_of(cut: &Cut, model: CutModel) -> CutProfile {
    let sheet = stock(THICKNESS * 1e3, SHEAR_STRENGTH * 1e-6, 0.4).sheet(Line::Nominal).unwrap();
    cut.profile(&sheet, model)
}

/// Compares force and both moments at many heights.
#[track_caller]
fn compare(what: &str, cut: &Cut, curves: &[Curve], model: CutModel, tolerance: f64) {
    let load = load_of(cut, model);
    let reference =
        Reference::new(curves, cut.tool_shear, profile_of(cut, model), cut.entry.millimetres());
    let heights = heights(&reference);
    let mut series = LoadSeries::zero(heights.len());
    load.add_to(&heights, &mut series);
    let whole = reference.whole_force();
    let size = 0.15;
    let shift = (SHIFT_MM.0 * 1e-3, SHIFT_MM.1 * 1e-3);
    for (i, &height) in heights.iter().enumerate() {
        // Flat edges jump: nothing can be said on the jump itself.
        let on_jump = reference.depth == 0.0
            && reference
                .profile
                .knots()
                .any(|k| (reference.entry - k * THICKNESS - height).abs() < 1e-9 * THICKNESS);
        if on_jump {
            continue;
        }
        let [force, moment_x, moment_y] = reference.load(height, TURN_DEG.to_radians(), shift);
        let off = [
            (series.force[i] - force) / whole,
            (series.moment_x[i] - moment_x) / (whole * size),
            (series.moment_y[i] - moment_y) / (whole * size),
        ];
        assert!(
            off.iter().all(|part| part.abs() <= tolerance),
            "{what}, {model:?}, height {height}: off by {off:?} of the whole edge; \
             force {} against {force}",
            series.force[i],
        );
    }
}

const MODELS: [CutModel; 2] = [CutModel::Plateau, CutModel::Shaped];

#[test]
fn force_and_moments_equal_the_integral_along_lines_and_arcs() {
    for case in cases() {
        for tool_shear in tool_shears() {
            for model in MODELS {
                let what = format!("{} with {tool_shear:?}", case.name);
                let cut = Cut {
                    clearance_percent: Some(5.0),
                    ..cut(case.outline.clone(), 9.0, tool_shear)
                };
                compare(&what, &cut, &case.curves, model, TOLERANCE);
            }
        }
    }
}

/// Around the switch from antiderivatives to pieces (a hundredth of thickness) and far below it.
#[test]
fn force_and_moments_equal_the_integral_for_any_difference_in_entry_height() {
    let points = [(-25.0, 10.0), (31.0, 17.0)];
    for difference in
        [3.0, 0.3, 0.02, 0.0101, 0.010_000_1, 0.01, 0.009_999_9, 0.0099, 1e-3, 1e-4, 1e-5, 1e-7]
    {
        for direction in [10.0, 190.0] {
            for model in MODELS {
                let shear = slope(difference * THICKNESS * 1e3, direction);
                let cut = cut(path(&points, false), 9.0, shear);
                let what = format!("line, difference {difference} of thickness");
                // Entry heights are known to about 10⁻¹⁵ of thickness, which is this part of the
                // line where they hardly differ.
                let tolerance = TOLERANCE + 1e-14 / difference;
                compare(&what, &cut, &lines(&points, false), model, tolerance);
            }
        }
    }
}

#[test]
fn work_equals_the_integral_along_the_edge_finished_or_not() {
    for case in cases() {
        for tool_shear in tool_shears() {
            for model in MODELS {
                // At the lower entry heights the cut is not through at BDC.
                for entry in [9.0, 2.2, 0.7] {
                    let cut = cut(case.outline.clone(), entry, tool_shear);
                    let profile = profile_of(&cut, model);
                    let reference = Reference::new(&case.curves, tool_shear, profile, entry);
                    let whole = reference.whole_force() * THICKNESS;
                    let (ours, expected) = (load_of(&cut, model).work().joules(), reference.work());
                    assert!(
                        (ours - expected).abs() <= TOLERANCE * whole,
                        "{} with {tool_shear:?}, {model:?}, entry {entry} mm: {ours} J against \
                         {expected} J",
                        case.name
                    );
                }
            }
        }
    }
}

/// Independent of any outline: the profile's own antiderivatives.
#[test]
fn profile_work_factor_equals_the_integral_of_its_values() {
    for model in MODELS {
        let cut = cut(circle(20.0), 9.0, ToolShear::Flat);
        let profile = profile_of(&cut, model);
        let knots: Vec<f64> = profile.knots().collect();
        let area: f64 = knots
            .windows(2)
            .map(|pair| {
                quadrature::integrate(|x| profile.value(x), pair[0], pair[1], 1e-15).integral
            })
            .sum();
        assert_close(profile.work_factor(), area, 1e-12);
    }
}
