//! What has to hold for any die and any press.

#![allow(missing_docs)]

mod support;

use press_load::{
    Check, Die, DieKind, Energy, Line, LoadSeries, Moment, Motion, Outline, PlacedWork, Placement,
    Point, Power, Range, State, Station, Stock, StripState, Stroke, StrokeRate, Work,
    bending::{Bend, BendKind},
    check,
    cutting::{Cut, CutModel},
    load::Load,
    press::{AxisRating, Drive, EnergyRating, Footprint, Frame, Press, Suspension},
    springs::{Spring, SpringKind},
    strip::{Feed, Strip},
    tool_shear::{RoofFirst, ToolShear},
};
use proptest::prelude::*;
use support::{bare_die, bare_press, config, cut, kn, mm, path, slope};

fn outlines() -> impl Strategy<Value = Outline> {
    prop_oneof![
        (5.0..80.0).prop_map(|d| Outline::Circle { diameter: mm(d) }),
        (5.0..80.0, 5.0..80.0, 0.0..2.4).prop_map(|(w, d, r)| Outline::Rectangle {
            width: mm(w),
            depth: mm(d),
            corner_radius: mm(r),
        }),
        (5.0..40.0, 1.1..4.0)
            .prop_map(|(w, part)| Outline::Slot { length: mm(w * part), width: mm(w) }),
        (prop::collection::vec((-40.0..40.0, -40.0..40.0), 3..8), any::<bool>())
            .prop_map(|(points, closed)| path(&points, closed)),
        (5.0..300.0).prop_map(|l| Outline::LengthOnly(mm(l))),
    ]
}

fn tool_shears() -> impl Strategy<Value = ToolShear> {
    let roof = (0.01..4.0, -180.0..180.0, 1_u32..5, any::<bool>()).prop_map(
        |(depth, direction_deg, ridges, ridge_first)| ToolShear::Roof {
            depth: mm(depth),
            direction_deg,
            ridges,
            first: if ridge_first { RoofFirst::Ridge } else { RoofFirst::Ends },
        },
    );
    prop_oneof![
        Just(ToolShear::Flat),
        (0.001..4.0, -180.0..180.0).prop_map(|(depth, direction)| slope(depth, direction)),
        roof,
    ]
}

prop_compose! {
    fn cuts()(
        outline in outlines(),
        tool_shear in tool_shears(),
        entry in 0.5..20.0,
        clearance in prop::option::of(1.0..15.0),
        land in prop::option::of(0.5..10.0),
        strip_factor in 0.0..0.3,
        wear_factor in 1.0..1.4,
    ) -> Cut {
        Cut {
            clearance_percent: clearance,
            land: land.map(mm),
            strip_factor,
            wear_factor,
            ..cut(outline, entry, tool_shear)
        }
    }
}

fn works() -> impl Strategy<Value = Work> {
    let bends = (3.0..30.0, 10.0..200.0, 2.0..30.0).prop_map(|(opening, length, entry)| {
        Work::Bend(Bend {
            kind: BendKind::V { opening: mm(6.0 + opening) },
            length: mm(length),
            entry: mm(entry),
            factor: None,
            pad: kn(2.0),
            bottoming: None,
        })
    });
    let springs = (0.5..20.0, 1.0..40.0).prop_map(|(force, entry)| {
        let kind = SpringKind::Gas { force: kn(force), stroke: mm(50.0), force_rise: 1.4 };
        Work::Spring(Spring { kind, entry: mm(entry) })
    });
    let tables = (1.0..200.0, 5.0..30.0)
        .prop_map(|(force, top)| Work::Table(vec![(mm(top), kn(0.0)), (mm(0.0), kn(force))]));
    prop_oneof![6 => cuts().prop_map(Work::Cut), 1 => bends, 1 => springs, 1 => tables]
}

fn stocks() -> impl Strategy<Value = Stock> {
    (0.5..6.0, 0.0..0.15, 100.0..900.0, 1.0..1.5, 0.2..0.6, 0.6..0.9).prop_map(
        |(t, tolerance, tensile, spread, penetration, ratio)| Stock {
            thickness_m: Range::new(t * 1e-3, (t + tolerance) * 1e-3),
            tensile_pa: Range::new(tensile * 1e6, tensile * spread * 1e6),
            shear_pa: Range::new(ratio * tensile * 1e6, ratio * tensile * spread * 1e6),
            yield_pa: None,
            penetration: Range::new(penetration, penetration * 1.1),
            separation: Range::new(penetration + 0.15, penetration + 0.25),
            strength_coefficient_pa: None,
            hardening_exponent: None,
        },
    )
}

fn stations_of(works: impl Strategy<Value = Work>) -> impl Strategy<Value = Vec<Station>> {
    let station = (works, -400.0..400.0, -200.0..200.0, -180.0..180.0, 1_u32..7);
    prop::collection::vec(station, 1..5).prop_map(|stations| {
        stations
            .into_iter()
            .map(|(work, x, y, turn_deg, strip_position)| Station {
                strip_position,
                work: vec![PlacedWork { work, motion: Motion::new(Point::default(), turn_deg) }],
                ..support::station((x, y), Work::Table(vec![]))
            })
            .collect()
    })
}

fn models() -> impl Strategy<Value = CutModel> {
    prop_oneof![Just(CutModel::Plateau), Just(CutModel::Shaped)]
}

fn stroke(stations: &[Station], stock: &Stock, model: CutModel) -> Stroke {
    support::stroke(stations, stock, model)
}

const LINES: [Line; 2] = [Line::Nominal, Line::Upper];

fn total(stroke: &Stroke, line: Line) -> LoadSeries {
    stroke.line(line).total(StripState::Full, &Motion::NONE)
}

fn highest(series: &LoadSeries) -> f64 {
    series.force.iter().copied().fold(0.0, f64::max)
}

fn peak_of_cut(cut: Cut, stock: &Stock, model: CutModel) -> f64 {
    let stroke = stroke(&[support::station((0.0, 0.0), Work::Cut(cut))], stock, model);
    highest(&total(&stroke, Line::Nominal))
}

/// Force and moments of a cut at heights in metres.
fn series_of(cut: &Cut, stock: &Stock, model: CutModel, heights: &[f64]) -> LoadSeries {
    let sheet = stock.sheet(Line::Nominal).unwrap();
    let load = Load::Edge(cut.load(&sheet, model, 1.0, &Motion::NONE).unwrap());
    let mut series = LoadSeries::zero(heights.len());
    load.add_to(heights, &mut series);
    series
}

/// Falling heights from 25 mm down to BDC.
fn heights() -> Vec<f64> {
    (0..=500).map(|i| 25e-3 * (1.0 - f64::from(i) / 500.0)).collect()
}

/// Points of a station's edges in die coordinates, close enough for a hull.
fn edge_points(station: &Station) -> Vec<Point> {
    let to_die = Motion::new(station.at, 0.0);
    let mut points = Vec::new();
    for placed in &station.work {
        let motion = placed.motion.then(&to_die);
        match &placed.work {
            Work::Cut(cut) if !matches!(cut.outline, Outline::LengthOnly(_)) => {
                let edges = cut.outline.edges().unwrap();
                let along = edges.iter().flat_map(|edge| edge.polyline(1e-7));
                points.extend(along.map(|point| motion.apply(point)));
            }
            _ => points.push(motion.apply(Point::default())),
        }
    }
    points
}

proptest! {
    #![proptest_config(config(96))]

    #[test]
    fn force_is_never_negative_on_the_way_down(
        stations in stations_of(works()), stock in stocks(), model in models(),
    ) {
        let stroke = stroke(&stations, &stock, model);
        for line in LINES {
            for station in &stroke.line(line).stations {
                for force in station.with_stock.force.iter().chain(&station.springs.force) {
                    prop_assert!(*force >= 0.0, "{}", force);
                }
            }
        }
    }

    /// Straight lines between rows are within 0.1 % of the peak force, so the work between them is
    /// within that part of peak force times travel.
    #[test]
    fn work_equals_the_area_under_the_curve(
        stations in stations_of(works()), stock in stocks(), model in models(),
    ) {
        let stroke = stroke(&stations, &stock, model);
        for line in LINES {
            let series = total(&stroke, line);
            let area: f64 = (1..stroke.rows.len())
                .map(|i| {
                    let travel = (stroke.rows[i - 1].height - stroke.rows[i].height).metres();
                    travel * (series.force[i - 1] + series.force[i]) / 2.0
                })
                .sum();
            let travel = stations
                .iter()
                .flat_map(|station| &station.work)
                .map(|placed| placed.work.entry().metres())
                .fold(0.0, f64::max);
            let work = stroke.line(line).work().joules();
            let allowed = 1e-3 * highest(&series) * travel;
            prop_assert!((area - work).abs() <= allowed, "{area} J under the curve, {work} J");
        }
    }

    /// Straight lines between rows, against the loads at 4000 heights in between.
    #[test]
    fn curve_is_within_half_a_per_cent_of_peak_between_its_rows(
        stations in stations_of(works()), stock in stocks(), model in models(),
    ) {
        let stroke = stroke(&stations, &stock, model);
        let sheet = stock.sheet(Line::Nominal).unwrap();
        let heights: Vec<f64> = (1..4000).map(|i| 42e-3 * (1.0 - f64::from(i) / 4000.0)).collect();
        let mut exact = LoadSeries::zero(heights.len());
        for station in &stations {
            for placed in &station.work {
                let motion = placed.motion.then(&Motion::new(station.at, 0.0));
                for load in placed.work.loads(&sheet, Line::Nominal, model, &motion).unwrap() {
                    load.add_to(&heights, &mut exact);
                }
            }
        }
        let curve = total(&stroke, Line::Nominal);
        let peak = highest(&curve);
        for (height, exact) in heights.iter().zip(&exact.force) {
            let below = stroke.rows.partition_point(|row| row.height.metres() > *height);
            let (high, low) = (stroke.rows[below - 1], stroke.rows[below]);
            let gap = (high.height - low.height).metres();
            let part = if gap > 0.0 { (high.height.metres() - height) / gap } else { 0.0 };
            let line = curve.force[below - 1]
                + part * (curve.force[below] - curve.force[below - 1]);
            prop_assert!(
                (line - exact).abs() <= 5e-3 * peak,
                "{height}: {line} N on the curve, {exact} N by the loads, peak {peak} N"
            );
        }
    }

    #[test]
    fn work_of_a_cut_equals_a_fine_sum_of_its_force(
        cut in cuts(), stock in stocks(), model in models(),
    ) {
        let sheet = stock.sheet(Line::Nominal).unwrap();
        let load = Load::Edge(cut.load(&sheet, model, 1.0, &Motion::NONE).unwrap());
        let count = 20_000;
        let step = 25e-3 / f64::from(count);
        let heights: Vec<f64> =
            (0..count).map(|i| step * (f64::from(count - i) - 0.5)).collect();
        let mut series = LoadSeries::zero(heights.len());
        load.add_to(&heights, &mut series);
        let sum: f64 = series.force.iter().map(|force| force * step).sum();
        let work = load.work().joules();
        // A jump of the whole force may be missed by half a step.
        prop_assert!((sum - work).abs() <= 2.0 * step * highest(&series), "{sum} J, {work} J");
    }

    #[test]
    fn many_heights_at_once_give_what_each_gives_alone(
        cut in cuts(),
        stock in stocks(),
        model in models(),
        corners in 8_usize..60,
        travel in 0.5..8.0,
    ) {
        // Heights close together are summed from events where there are corners enough, and single
        // ones directly: a wavy outline beside the one that was drawn.
        let points = (0..corners).map(|k| {
            let angle = std::f64::consts::TAU * k as f64 / corners as f64;
            let radius = 20.0 + 3.0 * (3.0 * angle).sin();
            Point::from_millimetres(radius * angle.cos(), 2.0 * radius * angle.sin())
        });
        let outline = Outline::Path { points: points.collect(), bulges: vec![], closed: true };
        for cut in [cut.clone(), Cut { outline, ..cut }] {
            let first = cut.entry.metres();
            let heights: Vec<f64> =
                (0..300).map(|i| first - 1e-3 * travel * f64::from(i) / 300.0).collect();
            let at_once = series_of(&cut, &stock, model, &heights);
            let sheet = stock.sheet(Line::Nominal).unwrap();
            let whole = cut.outline.length().unwrap() * cut.line_force(&sheet, 1.0);
            for (i, &height) in heights.iter().enumerate() {
                let alone = series_of(&cut, &stock, model, &[height]);
                let force = at_once.force[i] - alone.force[0];
                let moments = (at_once.moment_x[i] - alone.moment_x[0])
                    .hypot(at_once.moment_y[i] - alone.moment_y[0]);
                prop_assert!(force.abs() <= 1e-11 * whole.newtons(), "{i}: {force}");
                prop_assert!(moments <= 1e-11 * whole.newtons(), "{i}: {moments}");
            }
        }
    }

    #[test]
    fn load_centre_lies_within_the_hull_of_the_edges_that_act(
        stations in stations_of(works()), stock in stocks(), model in models(),
    ) {
        let stroke = stroke(&stations, &stock, model);
        let series = total(&stroke, Line::Upper);
        let curves = &stroke.upper.stations;
        let points: Vec<Vec<Point>> = stations.iter().map(edge_points).collect();
        for index in (0..stroke.rows.len()).step_by(7) {
            // Where next to no force acts, its place is rounding.
            if series.force[index] < 1e-6 * highest(&series) {
                continue;
            }
            let Some(centre) = series.centre(index) else { continue };
            let acting: Vec<Point> = curves
                .iter()
                .zip(&points)
                .filter(|(c, _)| c.with_stock.force[index] + c.springs.force[index] > 0.0)
                .flat_map(|(_, points)| points.iter().copied())
                .collect();
            for k in 0..24 {
                let direction = Point::towards(f64::from(k) * std::f64::consts::TAU / 24.0);
                let farthest = acting
                    .iter()
                    .map(|point| point.along(direction))
                    .fold(f64::NEG_INFINITY, f64::max);
                prop_assert!(centre.along(direction) <= farthest + 1e-6, "{centre:?}");
            }
        }
    }

    #[test]
    fn shift_of_the_die_shifts_the_load_centre_and_nothing_else(
        stations in stations_of(works()), stock in stocks(), model in models(),
        x in -500.0..500.0, y in -500.0..500.0,
    ) {
        let stroke = stroke(&stations, &stock, model);
        let here = total(&stroke, Line::Nominal);
        let shift = Point::from_millimetres(x, y);
        let there = stroke.nominal.total(StripState::Full, &Motion::new(shift, 0.0));
        prop_assert_eq!(&there.force, &here.force);
        for index in 0..stroke.rows.len() {
            if let (Some(a), Some(b)) = (here.centre(index), there.centre(index)) {
                let moved = Point::new(a.x + shift.x, a.y + shift.y);
                prop_assert!(b.distance(moved) < 1e-12 * (1.0 + a.x.hypot(a.y)));
            }
        }
    }

    #[test]
    fn whole_turns_and_four_quarter_turns_change_nothing(
        stations in stations_of(works()), stock in stocks(), model in models(),
        x in -500.0..500.0, y in -500.0..500.0,
    ) {
        let stroke = stroke(&stations, &stock, model);
        let shift = Point::from_millimetres(x, y);
        let placed = |motion: &Motion| stroke.nominal.total(StripState::Full, motion);
        let still = placed(&Motion::new(shift, 0.0));
        prop_assert_eq!(&placed(&Motion::new(shift, 360.0)), &still);
        let quarter = Motion::new(Point::default(), 90.0);
        let four = quarter.then(&quarter).then(&quarter).then(&quarter);
        prop_assert_eq!(placed(&four), placed(&Motion::NONE));
        // And a quarter turn takes x to y.
        let turned = placed(&quarter);
        let unturned = placed(&Motion::NONE);
        prop_assert_eq!(turned.moment_y, unturned.moment_x);
    }

    #[test]
    fn force_is_proportional_to_shear_strength(
        cut in cuts(), stock in stocks(), model in models(), factor in 0.2..5.0,
    ) {
        let stronger = Stock { shear_pa: stock.shear_pa.scaled(factor), ..stock };
        let (a, b) = (
            series_of(&cut, &stock, model, &heights()),
            series_of(&cut, &stronger, model, &heights()),
        );
        for (a, b) in a.force.iter().zip(&b.force) {
            prop_assert!((b - factor * a).abs() <= 1e-9 * factor * a + 1e-9);
        }
    }

    /// A flat tool, whatever its outline; and any tool if its shear, its entry and the height grow
    /// with the thickness.
    #[test]
    fn force_is_proportional_to_thickness(
        cut in cuts(), stock in stocks(), model in models(), factor in 0.3..3.0,
    ) {
        let thicker = Stock { thickness_m: stock.thickness_m.scaled(factor), ..stock };
        let flat = Cut { tool_shear: ToolShear::Flat, entry: mm(40.0), land: None, ..cut.clone() };
        let (a, b) = (peak_of_cut(flat.clone(), &stock, model), peak_of_cut(flat, &thicker, model));
        prop_assert!((b / a / factor - 1.0).abs() < 1e-9);

        let grown = Cut {
            entry: cut.entry * factor,
            land: cut.land.map(|land| land * factor),
            tool_shear: match cut.tool_shear {
                ToolShear::Flat => ToolShear::Flat,
                ToolShear::Slope { depth, direction_deg } => {
                    ToolShear::Slope { depth: depth * factor, direction_deg }
                }
                ToolShear::Roof { depth, direction_deg, ridges, first } => {
                    ToolShear::Roof { depth: depth * factor, direction_deg, ridges, first }
                }
            },
            ..cut.clone()
        };
        // Off the even steps, on which flat tools may jump.
        let low: Vec<f64> = heights().iter().map(|h| h + 1.234e-5).collect();
        let high: Vec<f64> = low.iter().map(|h| h * factor).collect();
        let a = series_of(&cut, &stock, model, &low);
        let b = series_of(&grown, &thicker, model, &high);
        for (x, y) in a.force.iter().zip(&b.force) {
            prop_assert!((y - factor * x).abs() <= 1e-6 * factor * highest(&a));
        }
    }

    #[test]
    fn force_rises_with_cut_length(
        diameter in 5.0..80.0, more in 1.001..2.0, tool_shear in tool_shears(), stock in stocks(),
        model in models(),
    ) {
        let of = |diameter| {
            let cut = cut(support::circle(diameter), 20.0, tool_shear);
            series_of(&cut, &stock, model, &heights())
        };
        let (small, large) = (of(diameter), of(diameter * more));
        for (a, b) in small.force.iter().zip(&large.force) {
            prop_assert!(*b >= a - 1e-9 * highest(&small), "{a} {b}");
        }
        prop_assert!(highest(&large) > highest(&small));
    }

    #[test]
    fn tool_shear_never_raises_the_peak(cut in cuts(), stock in stocks(), model in models()) {
        let sheared = Cut { entry: mm(40.0), ..cut };
        let flat = Cut { tool_shear: ToolShear::Flat, ..sheared.clone() };
        let (sheared, flat) = (peak_of_cut(sheared, &stock, model), peak_of_cut(flat, &stock, model));
        prop_assert!(sheared <= flat * (1.0 + 1e-9), "{sheared} {flat}");
    }

    #[test]
    fn tool_shear_does_not_change_the_work_of_a_finished_cut(
        cut in cuts(), stock in stocks(), model in models(),
    ) {
        let sheared = Cut { entry: mm(40.0), ..cut };
        let flat = Cut { tool_shear: ToolShear::Flat, ..sheared.clone() };
        let a = support::cut_work_joules(sheared, &stock, model);
        let b = support::cut_work_joules(flat, &stock, model);
        prop_assert!((a / b - 1.0).abs() < 1e-9, "{a} {b}");
    }

    #[test]
    fn upper_peak_is_not_below_the_nominal_one(
        stations in stations_of(cuts().prop_map(Work::Cut)), stock in stocks(), model in models(),
    ) {
        // Far enough above BDC for every cut to be finished on both lines.
        let stations: Vec<Station> = stations
            .into_iter()
            .map(|mut station| {
                if let Work::Cut(cut) = &mut station.work[0].work {
                    cut.entry += mm(40.0);
                }
                station
            })
            .collect();
        let stroke = stroke(&stations, &stock, model);
        let (nominal, upper) = (total(&stroke, Line::Nominal), total(&stroke, Line::Upper));
        prop_assert!(highest(&upper) >= highest(&nominal) * (1.0 - 1e-9));
        prop_assert!(stroke.upper.work() >= stroke.nominal.work());
    }

    #[test]
    fn edited_die_has_the_curves_of_a_die_from_scratch(
        stations in stations_of(works()),
        works in prop::collection::vec(works(), 1..3),
        edited in any::<prop::sample::Index>(),
        (stock, other_stock, keeps_stock) in (stocks(), stocks(), any::<bool>()),
        (strip, model) in (prop::option::of(strips()), models()),
    ) {
        let of = |stations: &[Station], stock: &Stock, previous: Option<&Stroke>| {
            let (travel, strip) = (mm(400.0), strip.as_ref());
            Stroke::with_strip_reusing(stations, stock, model, travel, strip, previous)
        };
        // Total forces are taken over where there are many stations.
        let stations: Vec<Station> = stations.iter().cycle().take(12).cloned().collect();
        let before = of(&stations, &stock, None);
        prop_assume!(before.is_ok());
        let before = before.unwrap();
        let mut after = stations.clone();
        let place = edited.index(after.len());
        after[place].work =
            works.into_iter().map(|work| PlacedWork { work, motion: Motion::NONE }).collect();
        // One station changed, one gone, and back again.
        let fewer: Vec<Station> = after.iter().skip(1).cloned().collect();
        let stock_after = if keeps_stock { stock } else { other_stock };
        let edited = of(&after, &stock_after, Some(&before));
        prop_assume!(edited.is_ok());
        let edited = edited.unwrap();
        let without = of(&fewer, &stock_after, Some(&edited)).unwrap();
        let back = of(&stations, &stock, Some(&without)).unwrap();
        for (stations, stock, reused) in
            [(&after, &stock_after, edited), (&fewer, &stock_after, without), (&stations, &stock, back)]
        {
            let scratch = of(stations, stock, None).unwrap();
            let most = highest(&total(&scratch, Line::Upper)).max(1.0);
            prop_assert_eq!(reused.rows.len(), scratch.rows.len());
            for (a, b) in reused.rows.iter().zip(&scratch.rows) {
                prop_assert!((a.height.metres() - b.height.metres()).abs() < 2e-9);
            }
            for line in [Line::Nominal, Line::Upper] {
                for (a, b) in reused.line(line).stations.iter().zip(&scratch.line(line).stations) {
                    prop_assert_eq!((a.work, a.strip_force), (b.work, b.strip_force));
                    prop_assert_eq!((a.full_from, a.half.len()), (b.full_from, b.half.len()));
                    prop_assert!((highest(&a.with_stock) - highest(&b.with_stock)).abs() < 1e-6 * most);
                    prop_assert!((highest(&a.springs) - highest(&b.springs)).abs() < 1e-6 * most);
                }
                let (a, b) = (highest(&total(&reused, line)), highest(&total(&scratch, line)));
                prop_assert!((a - b).abs() <= 1e-11 * most, "{a} {b}");
            }
        }
    }

    #[test]
    fn partial_strips_never_exceed_the_full_one(
        stations in stations_of(works()), stock in stocks(), model in models(),
        strip in proptest::option::of(strips()),
    ) {
        let stroke =
            Stroke::with_strip(&stations, &stock, model, mm(400.0), strip.as_ref()).unwrap();
        let full = total(&stroke, Line::Upper);
        let states = stroke.strip_states(DieKind::Transfer);
        let mut seen = Vec::new();
        let mut failure = None;
        stroke.upper.for_each_state(&states, &Motion::NONE, |state, series| {
            seen.push(state);
            let direct = stroke.upper.total(state, &Motion::NONE);
            for i in 0..full.force.len() {
                let same = (series.force[i] - direct.force[i]).abs() <= 1e-9 * highest(&full);
                let below = series.force[i] <= full.force[i] + 1e-9 * highest(&full);
                if !same || !below {
                    failure = Some((state, i));
                }
            }
        });
        prop_assert_eq!(failure, None);
        prop_assert_eq!(seen.len(), states.len());
        prop_assert!(states.iter().all(|state| seen.contains(state)));
    }
}

fn strips() -> impl Strategy<Value = Strip> {
    let feeds = prop_oneof![
        Just(Feed::LeftToRight),
        Just(Feed::RightToLeft),
        Just(Feed::FrontToBack),
        Just(Feed::BackToFront)
    ];
    (30.0..300.0, -300.0..100.0, feeds).prop_map(|(pitch, first_hit, feed)| Strip {
        pitch: mm(pitch),
        first_hit: mm(first_hit),
        feed,
    })
}

/// A press of which everything is known.
fn presses() -> impl Strategy<Value = Press> {
    let sizes = (50.0..4000.0, 0.2..60.0, 2.0..300.0, 2.0..100.0, 300.0..2000.0);
    (sizes, any::<bool>(), 1.0..50.0, 0.0..100.0).prop_map(
        |((rated, energy, moment_x, moment_y, bed), gap, motor, adjustment)| Press {
            frame: Some(if gap { Frame::GapFrame } else { Frame::StraightSide }),
            rated_force: Some(kn(rated)),
            drive: Drive::crank(mm(400.0), Some(mm(1500.0)), Some(mm(6.0))).unwrap(),
            speed: Some(StrokeRate::from_per_minute(45.0)),
            energy: Some(EnergyRating::Usable {
                energy: Energy::from_kilojoules(energy),
                single: None,
                at: None,
            }),
            motor: Some(Power::from_kilowatts(motor)),
            suspension: Some(Suspension::TwoPoint { span_x: mm(900.0) }),
            off_centre_x: Some(AxisRating::Moment(Moment::from_kilonewton_metres(moment_x))),
            off_centre_y: Some(AxisRating::Moment(Moment::from_kilonewton_metres(moment_y))),
            bolster: Some(Footprint { width: mm(bed), depth: mm(bed) }),
            slide: Some(Footprint { width: mm(bed), depth: mm(bed) }),
            shut_height: Some(mm(450.0)),
            shut_height_adjustment: Some(mm(adjustment)),
            ..bare_press()
        },
    )
}

fn die() -> Die {
    Die {
        footprint: Some(Footprint { width: mm(800.0), depth: mm(400.0) }),
        shut_height: Some(mm(400.0)),
        placement: Placement { x: mm(20.0), y: mm(-10.0), turn_deg: 90.0 },
        ..Die::of(DieKind::Progressive)
    }
}

/// Limits without which a die may not pass.
const ESSENTIAL: [&str; 7] = [
    "rated_force",
    "force_at_height",
    "working_energy",
    "off_centre_x",
    "off_centre_y",
    "shut_height",
    "bolster_fit",
];

/// The rule as written: over if any is over; else not checked if an essential one is not; else the
/// worst of the others.
fn expected_verdict(checked: &Check) -> State {
    let any = |state| checked.limits.iter().any(|limit| limit.state == state);
    let essential_missing = checked
        .limits
        .iter()
        .any(|limit| limit.state == State::NotChecked && ESSENTIAL.contains(&limit.id.key()));
    if any(State::Over) {
        State::Over
    } else if essential_missing {
        State::NotChecked
    } else if any(State::Near) {
        State::Near
    } else {
        State::Within
    }
}

fn state_of(checked: &Check, id: &str) -> State {
    checked.limits.iter().find(|limit| limit.id.key() == id).expect("a limit of that name").state
}

/// Takes one rating away from a press.
type Removal = fn(&mut Press);

/// What can be missing, and the limits that cannot be checked then.
fn removals() -> Vec<(Removal, Vec<&'static str>)> {
    vec![
        (
            |press| press.rated_force = None,
            vec!["rated_force", "force_at_height", "suspension_load", "concentrated_load"],
        ),
        (
            |press| press.drive = Drive::crank(mm(400.0), None, Some(mm(6.0))).unwrap(),
            vec!["force_at_height"],
        ),
        (
            |press| press.drive = Drive::crank(mm(400.0), Some(mm(1500.0)), None).unwrap(),
            vec!["force_at_height"],
        ),
        (|press| press.energy = None, vec!["working_energy"]),
        (|press| press.speed = None, vec!["working_energy", "motor_power"]),
        (|press| press.motor = None, vec!["motor_power"]),
        (|press| press.suspension = None, vec!["suspension_load"]),
        (|press| press.off_centre_x = None, vec!["off_centre_x"]),
        (|press| press.off_centre_y = None, vec!["off_centre_y"]),
        (|press| press.bolster = None, vec!["bolster_fit", "concentrated_load"]),
        (|press| press.slide = None, vec!["slide_fit"]),
        (|press| press.shut_height = None, vec!["shut_height"]),
    ]
}

proptest! {
    #![proptest_config(config(48))]

    #[test]
    fn states_follow_shares(
        stations in stations_of(works()), stock in stocks(), press in presses(),
        near in prop::option::of(0.3..1.0),
    ) {
        let stroke = stroke(&stations, &stock, CutModel::Shaped);
        let checked = check(&press, &die(), &stations, &stroke, near);
        let near = near.unwrap_or(match press.frame {
            Some(Frame::GapFrame) => 0.65,
            _ => 0.80,
        });
        for limit in &checked.limits {
            let expected = match limit.outcome {
                Err(_) => State::NotChecked,
                Ok(used) if used.share > 1.0 => State::Over,
                Ok(used) if used.share >= near => State::Near,
                Ok(_) => State::Within,
            };
            prop_assert_eq!(limit.state, expected, "{}", limit.id.key());
        }
        prop_assert_eq!(checked.verdict, expected_verdict(&checked));
    }

    #[test]
    fn rating_that_is_missing_is_never_a_pass(
        stations in stations_of(works()), stock in stocks(), press in presses(),
    ) {
        let stroke = stroke(&stations, &stock, CutModel::Shaped);
        for (remove, ids) in removals() {
            let mut poorer = press.clone();
            remove(&mut poorer);
            let checked = check(&poorer, &die(), &stations, &stroke, None);
            for id in &ids {
                prop_assert_eq!(state_of(&checked, id), State::NotChecked, "{}", id);
            }
            prop_assert_eq!(checked.verdict, expected_verdict(&checked));
            if ids.iter().any(|id| ESSENTIAL.contains(id)) {
                prop_assert!(matches!(checked.verdict, State::Over | State::NotChecked));
            }
        }
    }

    #[test]
    fn lower_rating_never_lowers_a_share(
        stations in stations_of(works()), stock in stocks(), press in presses(),
        factor in 0.1..0.99,
    ) {
        let stroke = stroke(&stations, &stock, CutModel::Shaped);
        let weaker = Press { rated_force: press.rated_force.map(|f| f * factor), ..press.clone() };
        let strong = check(&press, &die(), &stations, &stroke, None);
        let weak = check(&weaker, &die(), &stations, &stroke, None);
        for (a, b) in strong.limits.iter().zip(&weak.limits) {
            if let (Ok(a), Ok(b)) = (a.outcome, b.outcome) {
                prop_assert!(b.share >= a.share * (1.0 - 1e-12));
            }
        }
    }
}

/// A press that is large in every way lets a small hole pass; without any one essential rating it
/// does not.
#[test]
fn small_hole_in_a_large_press_is_within_only_if_all_essential_ratings_are_known() {
    let press = Press {
        frame: Some(Frame::StraightSide),
        rated_force: Some(kn(4000.0)),
        drive: Drive::crank(mm(400.0), Some(mm(1500.0)), Some(mm(6.0))).unwrap(),
        speed: Some(StrokeRate::from_per_minute(45.0)),
        energy: Some(EnergyRating::Usable {
            energy: Energy::from_kilojoules(60.0),
            single: None,
            at: None,
        }),
        off_centre_x: Some(AxisRating::Moment(Moment::from_kilonewton_metres(500.0))),
        off_centre_y: Some(AxisRating::Moment(Moment::from_kilonewton_metres(500.0))),
        bolster: Some(Footprint { width: mm(3000.0), depth: mm(2000.0) }),
        shut_height: Some(mm(450.0)),
        shut_height_adjustment: Some(mm(100.0)),
        ..bare_press()
    };
    let hole = Work::Cut(cut(support::circle(20.0), 5.0, ToolShear::Flat));
    let stations = [support::station((0.0, 0.0), hole)];
    let stroke = stroke(&stations, &support::stock(2.0, 300.0, 0.4), CutModel::Shaped);
    let verdict = |press: &Press| check(press, &die(), &stations, &stroke, None).verdict;
    assert_eq!(verdict(&press), State::Within);
    for (remove, ids) in removals() {
        let mut poorer = press.clone();
        remove(&mut poorer);
        let essential = ids.iter().any(|id| ESSENTIAL.contains(id));
        let expected = if essential { State::NotChecked } else { State::Within };
        assert_eq!(verdict(&poorer), expected, "without {ids:?}");
    }
    let die_of_unknown_size = bare_die();
    assert_eq!(
        check(&press, &die_of_unknown_size, &stations, &stroke, None).verdict,
        State::NotChecked
    );
}
