//! Whole pictures as SVG: nothing the user may enter breaks them.

use evenstroke_chart::{
    BolsterPlan, ChartRange, Curve, DimensionSide, Handle, LoadCentre, PlanDie, PlanSize,
    PlanStation, StationActivity, StationPart, StrokeChart, Style, bolster_plan_summary,
    bolster_plan_svg, default_range, job::plan_dimensions, stroke_chart_summary, stroke_chart_svg,
};
use evenstroke_job::units::UnitSystem;

const SIZES: [(u32, u32); 5] = [(0, 0), (1, 1), (50, 40), (960, 340), (12_000, 9_000)];

fn chart(curve: &[(f64, f64)]) -> StrokeChart {
    let curve: Curve = curve.to_vec();
    StrokeChart {
        height_unit: "mm".to_owned(),
        force_unit: "kN".to_owned(),
        range: default_range(&curve, &curve, &curve),
        capacity: curve.clone(),
        nominal: curve.clone(),
        upper: curve.clone(),
        stations: vec![StationPart {
            name: "Pierce & <notch>".to_owned(),
            short_name: "1".to_owned(),
            curve,
        }],
        readings: vec![(1.0, 2.0)],
        handle: Some(Handle { height: 2.0, tag: "2.0 mm".to_owned() }),
        window: None,
        read: None,
    }
}

fn plan(value: f64) -> BolsterPlan {
    let size = Some(PlanSize { width_mm: value, depth_mm: value });
    BolsterPlan {
        bolster: size,
        slots: vec![vec![(-value, 0.0), (value, 0.0)], vec![]],
        openings: vec![vec![(0.0, value), (value, value), (0.0, 0.0)]],
        strip_end: vec![(value, -1.0), (value, value)],
        slide: size,
        suspension_points: vec![(value, 0.0)],
        die: Some(PlanDie { size, shift_x_mm: value, shift_y_mm: 0.0, turn_deg: value }),
        stations: vec![PlanStation {
            number: "1".to_owned(),
            at_mm: (value, value),
            outlines_mm: vec![vec![(0.0, value), (value, 1.0)], vec![]],
            activity: StationActivity::Working,
        }],
        load_path: vec![(0.0, 0.0), (value, value)],
        load_now: Some(LoadCentre { at_mm: (value, 0.0), words: "here".to_owned() }),
        allowed_region: vec![(value, 0.0), (0.0, value), (1.0, 1.0)],
        feed: None,
        editing: None,
        handles: Vec::new(),
        window: None,
        dimensions: Vec::new(),
    }
}

#[test]
fn any_curve_draws_at_any_size() {
    let nan = f64::NAN;
    for curve in [
        vec![],
        vec![(5.0, 0.0), (0.0, 0.0)],
        vec![(3.0, 100.0)],
        vec![(10.0, nan), (nan, 5.0), (5.0, 7.0), (0.0, f64::INFINITY)],
        vec![(10.0, -50.0), (0.0, 1.0e12)],
        vec![(0.0, 5.0), (4.0, 5.0), (4.0, 9.0), (9.0, 0.0)],
    ] {
        for (width, height) in SIZES {
            let svg = stroke_chart_svg(width, height, &chart(&curve), &Style::dark());
            assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>"));
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{curve:?}");
        }
    }
}

#[test]
fn any_plan_draws_at_any_size() {
    for value in [0.0, 1.0, 900.0, -5.0, 1.0e9, f64::NAN, f64::INFINITY] {
        for (width, height) in SIZES {
            let svg = bolster_plan_svg(width, height, &plan(value), &Style::paper());
            assert!(svg.ends_with("</svg>"));
            bolster_plan_svg(width, height, &BolsterPlan::default(), &Style::paper());
        }
    }
}

#[test]
fn any_range_draws() {
    let mut chart = chart(&[(10.0, 5.0), (0.0, 50.0)]);
    for (from_height, to_height) in [(0.0, 0.0), (1.0, 5.0), (f64::NAN, 0.0), (1.0e-9, 0.0)] {
        chart.range = ChartRange { from_height, to_height, top_force: 0.0, base_force: 0.0 };
        stroke_chart_svg(960, 340, &chart, &Style::paper());
    }
}

#[test]
fn a_picture_fits_a_strict_page_and_speaks_for_itself() {
    let chart = chart(&[(10.0, 5.0), (0.0, 50.0)]);
    for svg in [
        stroke_chart_svg(960, 340, &chart, &Style::paper()),
        bolster_plan_svg(490, 370, &plan(900.0), &Style::paper()),
    ] {
        for forbidden in ["style=", " id=", "<script", "href", "<notch>"] {
            assert!(!svg.contains(forbidden), "{forbidden}");
        }
        assert!(svg.contains("role=\"img\"") && svg.contains("viewBox=\"0 0 "));
        assert!(svg.contains("<title>") && svg.contains("<desc>"));
    }
}

#[test]
fn the_same_input_gives_the_same_picture() {
    let chart = chart(&[(10.0, 5.0), (4.0, 20.0), (0.0, 50.0)]);
    let draw = || stroke_chart_svg(960, 340, &chart, &Style::paper());
    assert_eq!(draw(), draw());
    let draw = || bolster_plan_svg(490, 370, &plan(900.0), &Style::paper());
    assert_eq!(draw(), draw());
}

#[test]
fn the_summaries_give_the_numbers_in_words() {
    let mut chart = chart(&[(10.0, 0.0), (4.0, 200.0), (0.0, 50.0)]);
    chart.capacity = vec![(10.0, 250.0), (0.0, 250.0)];
    assert_eq!(
        stroke_chart_summary(&chart),
        "Force against slide height: nominal peak 200 kN at 4 mm above BDC; upper peak 200 kN at \
         4 mm above BDC; closest to what the press allows at 4 mm above BDC, 0.80 of it; slide \
         now at 2 mm above BDC, nominal 125 kN."
    );
    assert_eq!(
        bolster_plan_summary(&plan(900.0)),
        "Seen from above, operator at the front: bolster 900 by 900 mm; die 900 by 900 mm, its \
         centre 900 mm right and 0 mm back, turned 900 degrees; one station, working now; load \
         centre here."
    );
}

#[test]
fn dimensions_are_the_gaps_that_a_tape_measures() {
    let plan = BolsterPlan {
        bolster: Some(PlanSize { width_mm: 1250.0, depth_mm: 800.0 }),
        die: Some(PlanDie {
            size: Some(PlanSize { width_mm: 450.0, depth_mm: 900.0 }),
            shift_x_mm: 85.5,
            shift_y_mm: -185.0,
            // So that its width lies from left to right: 900 by 450.
            turn_deg: 90.0,
        }),
        ..BolsterPlan::default()
    };
    let words = |side| -> Vec<String> {
        let all = plan_dimensions(&plan, UnitSystem::Metric).into_iter();
        all.filter(|dimension| dimension.side == side).map(|dimension| dimension.words).collect()
    };
    // 1250/2 - 900/2 + 85.5 at the left and - 85.5 at the right; the shift by itself.
    let below = ["900.0 mm", "260.5 mm", "89.5 mm", "85.5 mm"];
    assert_eq!(words(DimensionSide::Below), below);
    // 800/2 - 450/2 - 185 at the front is an overhang.
    let left = ["450.0 mm", "10.0 mm over", "360.0 mm", "185.0 mm"];
    assert_eq!(words(DimensionSide::Left), left);
}
