//! Writes both charts as SVG, in several sizes and looks, into the directory given as argument.
//!
//! The press (1600 kN) and the five-station die are invented.

use std::fs;
use std::path::PathBuf;

use evenstroke_chart::{
    BolsterPlan, Curve, FeedDirection, Handle, LoadCentre, PlanDie, PlanSize, PlanStation,
    StationActivity, StationPart, StrokeChart, Style, bolster_plan_svg, default_range,
    stroke_chart_svg,
};

fn main() -> std::io::Result<()> {
    let Some(directory) = std::env::args().nth(1).map(PathBuf::from) else {
        eprintln!("usage: gallery DIRECTORY");
        std::process::exit(2);
    };
    fs::create_dir_all(&directory)?;
    let paper = Style::paper();
    let heavy = heavier(&stroke_chart(), 1.55);
    for (name, svg) in [
        ("stroke", stroke_chart_svg(960, 340, &stroke_chart(), &paper)),
        ("stroke-phone", stroke_chart_svg(360, 300, &stroke_chart(), &paper)),
        ("stroke-dark", stroke_chart_svg(960, 340, &stroke_chart(), &Style::dark())),
        ("stroke-contrast", stroke_chart_svg(960, 340, &stroke_chart(), &Style::high_contrast())),
        ("stroke-over", stroke_chart_svg(960, 340, &heavy, &paper)),
        ("stroke-light-die", stroke_chart_svg(960, 340, &heavier(&stroke_chart(), 0.1), &paper)),
        ("stroke-empty", stroke_chart_svg(960, 340, &StrokeChart::default(), &paper)),
        ("plan", bolster_plan_svg(490, 370, &bolster_plan(), &paper)),
        ("plan-phone", bolster_plan_svg(360, 280, &bolster_plan(), &paper)),
        ("plan-dark", bolster_plan_svg(490, 370, &turned(bolster_plan()), &Style::dark())),
        ("plan-contrast", bolster_plan_svg(490, 370, &bolster_plan(), &Style::high_contrast())),
        ("plan-sparse", bolster_plan_svg(490, 370, &without_sizes(bolster_plan()), &paper)),
        ("plan-empty", bolster_plan_svg(490, 370, &BolsterPlan::default(), &paper)),
    ] {
        fs::write(directory.join(name).with_extension("svg"), svg)?;
    }
    Ok(())
}

/// A cut: quick rise from `entry`, broad peak, fall, push-through tail.
fn cut(entry: f64, peak: f64, spread: f64) -> Curve {
    let shape = [
        (0.0, 0.0),
        (0.08, 0.45),
        (0.2, 0.8),
        (0.4, 0.97),
        (0.6, 1.0),
        (0.9, 0.93),
        (1.15, 0.82),
        (1.3, 0.3),
        (1.45, 0.2),
        (2.4, 0.12),
        (4.6, 0.1),
    ];
    let rows = shape.map(|(depth, share)| (entry - depth * (1.0 + spread), share * peak));
    rows.into_iter().filter(|row| row.0 >= 0.0).collect()
}

fn stroke_chart() -> StrokeChart {
    let capacity: Curve = (0..=200)
        .map(|i| {
            let height = 100.0 - f64::from(i) / 2.0;
            // Constant crank torque above the rating height of 6 mm.
            let force =
                1600.0 * (6.0 * 194.0 / (height.max(6.0) * (200.0 - height.max(6.0)))).sqrt();
            (height, force.min(1600.0))
        })
        .collect();
    let springs = vec![(18.0, 0.0), (18.0, 105.0), (0.0, 190.0)];
    let bend: Curve = vec![(14.0, 0.0), (12.4, 190.0), (10.4, 190.0), (7.0, 85.0), (0.0, 70.0)];
    let mut notch = cut(3.9, 190.0, 0.0);
    notch.push((0.0, 0.0));
    let stations = vec![
        part("Gas springs", "S", springs),
        part("Bend", "4", bend),
        part("Notch", "2", notch),
        part("Pierce", "1", cut(4.6, 640.0, 0.3)),
        part("Cut off", "5", cut(3.0, 420.0, 1.0)),
    ];
    let heights: Vec<f64> = (0..=2000).map(|i| 20.0 - f64::from(i) / 100.0).collect();
    let total = |factor: f64, earlier: f64| -> Curve {
        heights
            .iter()
            .map(|height| {
                let sum: f64 =
                    stations.iter().map(|s| at(&s.curve, (height - earlier).max(0.0))).sum();
                (*height, sum * factor)
            })
            .collect()
    };
    let (nominal, upper) = (total(1.0, 0.0), total(1.13, 0.1));
    StrokeChart {
        height_unit: "mm".to_owned(),
        force_unit: "kN".to_owned(),
        range: default_range(&capacity, &nominal, &upper),
        capacity,
        nominal,
        upper,
        stations,
        readings: vec![(11.0, 342.0), (4.0, 1085.0), (2.0, 640.0)],
        handle: Some(Handle { height: 4.1, tag: "4.1 mm".to_owned() }),
        window: None,
        read: None,
    }
}

fn part(name: &str, short_name: &str, curve: Curve) -> StationPart {
    StationPart { name: name.to_owned(), short_name: short_name.to_owned(), curve }
}

fn at(curve: &Curve, height: f64) -> f64 {
    curve
        .windows(2)
        .find(|pair| pair[0].0 > pair[1].0 && (pair[1].0..=pair[0].0).contains(&height))
        .map_or(0.0, |pair| {
            let t = (pair[0].0 - height) / (pair[0].0 - pair[1].0);
            pair[0].1 + t * (pair[1].1 - pair[0].1)
        })
}

fn heavier(chart: &StrokeChart, factor: f64) -> StrokeChart {
    let mut chart = chart.clone();
    let curves = [&mut chart.nominal, &mut chart.upper, &mut chart.readings];
    let parts = chart.stations.iter_mut().map(|station| &mut station.curve);
    for row in curves.into_iter().chain(parts).flatten() {
        row.1 *= factor;
    }
    chart.range = default_range(&chart.capacity, &chart.nominal, &chart.upper);
    chart
}

fn bolster_plan() -> BolsterPlan {
    let circle = |x: f64, y: f64, radius: f64| -> Curve {
        (0..=32)
            .map(|i| f64::from(i) / 32.0 * std::f64::consts::TAU)
            .map(|angle| (x + radius * angle.cos(), y + radius * angle.sin()))
            .collect()
    };
    let (working, resting) = (StationActivity::Working, StationActivity::Resting);
    let station = |number: &str, x: f64, outline: Option<Curve>, activity| PlanStation {
        number: number.to_owned(),
        at_mm: (x, 0.0),
        outlines_mm: outline.into_iter().collect(),
        activity,
    };
    let notch = vec![(-155.0, 70.0), (-155.0, 35.0), (-75.0, 35.0), (-75.0, 70.0)];
    BolsterPlan {
        bolster: Some(PlanSize { width_mm: 1600.0, depth_mm: 900.0 }),
        slots: [-300.0, -150.0, 0.0, 150.0, 300.0].map(|y| vec![(-800.0, y), (800.0, y)]).to_vec(),
        openings: vec![vec![
            (-260.0, -80.0),
            (-180.0, -80.0),
            (-180.0, 80.0),
            (-260.0, 80.0),
            (-260.0, -80.0),
        ]],
        strip_end: vec![(150.0, -225.0), (150.0, 225.0)],
        slide: Some(PlanSize { width_mm: 1500.0, depth_mm: 800.0 }),
        suspension_points: vec![(-450.0, 0.0), (450.0, 0.0)],
        die: Some(PlanDie {
            size: Some(PlanSize { width_mm: 900.0, depth_mm: 450.0 }),
            shift_x_mm: 18.0,
            shift_y_mm: 0.0,
            turn_deg: 0.0,
        }),
        stations: vec![
            station("1", -222.0, Some(circle(-222.0, 0.0, 48.0)), working),
            station("2", -102.0, Some(notch), working),
            station("3", 18.0, None, resting),
            station("4", 138.0, Some(vec![(138.0, -90.0), (138.0, 90.0)]), resting),
            station("5", 258.0, Some(vec![(258.0, -105.0), (258.0, 105.0)]), resting),
        ],
        load_path: vec![(138.0, 0.0), (138.0, 0.0), (60.0, 2.0), (-128.0, 8.0), (40.0, 3.0)],
        load_now: Some(LoadCentre { at_mm: (-128.0, 8.0), words: "128 mm left".to_owned() }),
        allowed_region: (0..=40)
            .map(|i| f64::from(i) / 40.0 * std::f64::consts::TAU)
            .map(|angle| (156.0 * angle.cos(), 60.0 * angle.sin()))
            .collect(),
        feed: Some(FeedDirection::Rightwards),
        editing: None,
        handles: Vec::new(),
        window: None,
        dimensions: Vec::new(),
    }
}

fn turned(mut plan: BolsterPlan) -> BolsterPlan {
    plan.die = plan.die.map(|die| PlanDie { turn_deg: 90.0, ..die });
    plan.feed = Some(FeedDirection::Backwards);
    for station in &mut plan.stations {
        let places = station.outlines_mm.iter_mut().flatten().chain([&mut station.at_mm]);
        places.for_each(|place| *place = (-place.1, place.0));
    }
    plan
}

fn without_sizes(mut plan: BolsterPlan) -> BolsterPlan {
    plan.bolster = None;
    plan.slide = None;
    plan.suspension_points.clear();
    plan.die = plan.die.map(|die| PlanDie { size: None, ..die });
    plan
}
