//! The best place of a die: against trying all places, and inside what bounds it.

#![allow(missing_docs)]

mod support;

use press_load::{
    Bolts, Check, Die, DieKind, Force, LimitId, Moment, Placement, Point, Station, Stiffness,
    Stock, Stroke, Work,
    check::check,
    cutting::CutModel,
    place::{BestPlace, Bound, Interval, PlaceQuestion, Places},
    press::{AxisRating, AxisTable, Footprint, Opening, Press, SlotDirection, Slots, Suspension},
    slide_on_springs::Level,
    tool_shear::ToolShear,
};
use proptest::prelude::*;
use std::ops::ControlFlow;
use support::{assert_close, bare_press, circle, config, cut, kn, mm, stock};

const TRAVEL_MM: f64 = 400.0;

fn placed(x_mm: f64, y_mm: f64, position: u32, work: Work) -> Station {
    Station {
        name: format!("Station {position}"),
        at: Point::from_millimetres(x_mm, y_mm),
        strip_position: position,
        stock: None,
        work: vec![press_load::PlacedWork { work, motion: press_load::Motion::NONE }],
        stripper: None,
    }
}

/// A force that rises from nothing at a height to its whole at BDC.
fn rising(height_mm: f64, force_kn: f64) -> Work {
    Work::Table(vec![(mm(height_mm), Force::ZERO), (mm(0.0), kn(force_kn))])
}

fn sheet() -> Stock {
    stock(2.0, 300.0, 0.4)
}

fn stroke_of(stations: &[Station]) -> Stroke {
    Stroke::new(stations, &sheet(), CutModel::Shaped, mm(TRAVEL_MM)).unwrap()
}

fn die() -> Die {
    Die {
        footprint: Some(Footprint { width: mm(600.0), depth: mm(300.0) }),
        shut_height: Some(mm(300.0)),
        ..Die::of(DieKind::Progressive)
    }
}

fn press() -> Press {
    Press {
        rated_force: Some(kn(1000.0)),
        suspension: Some(Suspension::TwoPoint { span_x: mm(700.0) }),
        off_centre_x: Some(AxisRating::Moment(Moment::from_kilonewton_metres(60.0))),
        off_centre_y: Some(AxisRating::Moment(Moment::from_kilonewton_metres(20.0))),
        bolster: Some(Footprint { width: mm(1000.0), depth: mm(600.0) }),
        slide: Some(Footprint { width: mm(900.0), depth: mm(500.0) }),
        ..bare_press()
    }
}

fn best_of(press: &Press, die: &Die, stations: &[Station], band: Places) -> BestPlace {
    let stroke = stroke_of(stations);
    let question = PlaceQuestion::new(press, die, stations, &stroke);
    question.best(band, &mut || ControlFlow::Continue(())).expect("something depends on the place")
}

/// The worst of the limits that depend on the place, as the die is judged there.
fn judged(press: &Press, die: &Die, stations: &[Station], placement: Placement) -> f64 {
    let stroke = stroke_of(stations);
    worst(&check(press, &Die { placement, ..die.clone() }, stations, &stroke, None))
}

fn worst(check: &Check) -> f64 {
    [LimitId::OffCentreX, LimitId::OffCentreY, LimitId::SuspensionLoad, LimitId::SlideTilt]
        .iter()
        .filter_map(|&id| check.limit(id).outcome.ok())
        .map(|used| used.share)
        .fold(0.0, f64::max)
}

fn at(x_mm: f64, y_mm: f64, die: &Die) -> Placement {
    Placement { x: mm(x_mm), y: mm(y_mm), ..die.placement }
}

/// All places in a raster over an area in millimetres, with the share there.
fn tried(
    press: &Press,
    die: &Die,
    stations: &[Station],
    (x, y): ((f64, f64), (f64, f64)),
    steps: usize,
) -> (f64, f64, f64) {
    let stroke = stroke_of(stations);
    let question = PlaceQuestion::new(press, die, stations, &stroke);
    let part = |(low, high): (f64, f64), i: usize| low + (high - low) * i as f64 / steps as f64;
    let mut best = (f64::INFINITY, 0.0, 0.0);
    for i in 0..=steps {
        for j in 0..=steps {
            let (x, y) = (part(x, i), part(y, j));
            let share = question.share_at(Point::from_millimetres(x, y));
            if share < best.0 {
                best = (share, x, y);
            }
        }
    }
    best
}

/// 100 tons on the left and 50 on the right at equal distances d rise together until the right lets
/// go at 50, and the left goes on to 100 (P. Ulintz, *MetalForming*, 13 May 2024). With the die moved
/// to the right by s the moment is 100·s when the right lets go and 100·(s − d) at the end: alike at
/// half the distance (our arithmetic).
#[test]
fn die_whose_right_side_lets_go_first_moves_half_the_distance() {
    let tons = |value: f64| Force::from_us_tons_force(value);
    let left = vec![(mm(10.0), Force::ZERO), (mm(0.0), tons(100.0))];
    let right = vec![(mm(10.0), Force::ZERO), (mm(5.0), tons(50.0)), (mm(4.999), Force::ZERO)];
    let stations =
        [placed(-300.0, 0.0, 1, Work::Table(left)), placed(300.0, 0.0, 2, Work::Table(right))];
    let press = Press {
        off_centre_x: Some(AxisRating::Moment(tons(100.0).moment_at(mm(300.0)))),
        ..bare_press()
    };
    let die = Die::of(DieKind::Single);
    let best = best_of(&press, &die, &stations, Places::EVERYWHERE);
    assert_close(best.placement.x.millimetres(), 150.0, 1e-3);
    assert_close(best.share, 0.5, 1e-3);
    assert_close(judged(&press, &die, &stations, die.placement), 1.0, 1e-9);
}

/// One load: the place that brings it under the middle, as moments over force give it for the centre
/// of several loads (R. C. Hibbeler, *Engineering Mechanics: Statics*, ex. 4.19: 300, 200 and 150 at
/// (2, 0), (0, −2) and (−1.414, 1.414) act at (0.5967, −0.2890) as recomputed; the book prints 0.60
/// and −0.29).
#[test]
fn loads_that_act_together_are_brought_under_the_middle() {
    let load = |x, y, force| placed(x, y, 1, rising(10.0, force));
    let stations = [load(200.0, 0.0, 300.0), load(0.0, -200.0, 200.0), load(-141.4, 141.4, 150.0)];
    let die = Die { kind: DieKind::Single, ..die() };
    let best = best_of(&press(), &die, &stations, Places::EVERYWHERE);
    assert_close(best.placement.x.millimetres(), -59.67, 1e-3);
    assert_close(best.placement.y.millimetres(), 28.90, 1e-3);
    // What is left is half the force on each point.
    assert_close(best.share, 0.65, 1e-9);
}

#[test]
fn balanced_die_stays() {
    let stations =
        [placed(-100.0, 0.0, 1, rising(8.0, 200.0)), placed(100.0, 0.0, 1, rising(8.0, 200.0))];
    let best = best_of(&press(), &die(), &stations, Places::EVERYWHERE);
    assert!(best.placement.x.millimetres().abs() < 1e-6, "{best:?}");
    assert!(best.placement.y.millimetres().abs() < 1e-6, "{best:?}");
}

fn side_heavy() -> [Station; 2] {
    [placed(-200.0, 40.0, 1, rising(8.0, 300.0)), placed(200.0, 40.0, 2, rising(6.0, 90.0))]
}

#[test]
fn die_stays_on_bolster_and_slide() {
    let mut press = press();
    press.slide = Some(Footprint { width: mm(640.0), depth: mm(500.0) });
    let best = best_of(&press, &die(), &side_heavy(), Places::EVERYWHERE);
    assert_close(best.placement.x.millimetres(), 20.0, 1e-9);
    assert_eq!(best.room.unmet, []);
}

fn band(x: (f64, f64), y: (f64, f64)) -> Places {
    let interval = |(low, high): (f64, f64)| Interval { low: low * 1e-3, high: high * 1e-3 };
    Places { x: interval(x), y: interval(y) }
}

#[test]
fn band_of_the_feed_line_is_kept() {
    let kept = best_of(&press(), &die(), &side_heavy(), band((-500.0, 500.0), (-5.0, 5.0)));
    assert_close(kept.placement.y.millimetres(), -5.0, 1e-9);
    assert_eq!(kept.room.unmet, []);
}

#[test]
fn band_beside_the_bolster_is_told_and_the_nearest_place_is_given() {
    let best = best_of(&press(), &die(), &side_heavy(), band((190.0, 250.0), (-500.0, 500.0)));
    let [unmet] = best.room.unmet[..] else { panic!("{:?}", best.room.unmet) };
    // The slide of 900 mm leaves a die of 600 mm 150 mm to either side.
    assert_eq!(unmet.bound, Bound::Band);
    assert_close(unmet.short.unwrap().millimetres(), 40.0, 1e-9);
    assert_close(best.placement.x.millimetres(), 150.0, 1e-9);
}

#[test]
fn die_larger_than_the_bolster_stands_in_the_middle_of_it() {
    let mut press = press();
    press.bolster = Some(Footprint { width: mm(500.0), depth: mm(600.0) });
    let best = best_of(&press, &die(), &side_heavy(), Places::EVERYWHERE);
    assert_eq!(best.placement.x.millimetres(), 0.0);
}

#[test]
fn bolts_stay_over_their_slots() {
    let mut press = press();
    press.bolster_slots =
        Some(Slots { direction: SlotDirection::FrontBack, pitch: mm(150.0), count: 7 });
    let mut die = die();
    let free = best_of(&press, &die, &side_heavy(), Places::EVERYWHERE).placement.x.millimetres();
    die.bolts = Some(Bolts {
        lower: vec![Point::from_millimetres(-290.0, 0.0), Point::from_millimetres(310.0, 0.0)],
        upper: vec![],
        reach: mm(15.0),
    });
    // The bolts stand 10 mm off slots with the die in the middle, so it may stand from -25 to 5 mm
    // and at steps of 150 mm from there.
    let best = best_of(&press, &die, &side_heavy(), Places::EVERYWHERE);
    let x = best.placement.x.millimetres();
    let stroke = stroke_of(&side_heavy());
    let moved = Die { placement: best.placement, ..die.clone() };
    let checked = check(&press, &moved, &side_heavy(), &stroke, None);
    assert_eq!(checked.cautions, [], "{x}, free {free}");
    assert!(free > 20.0 && free < 110.0, "the slots have to matter: {free}");
    // A pattern that fits no slots is told with what it lacks: 600 mm apart fit, 640 mm are 20 short
    // on either side but for the reach.
    let lower = vec![Point::from_millimetres(-300.0, 0.0), Point::from_millimetres(340.0, 0.0)];
    die.bolts = Some(Bolts { lower, upper: vec![], reach: mm(15.0) });
    let best = best_of(&press, &die, &side_heavy(), Places::EVERYWHERE);
    let [unmet] = best.room.unmet[..] else { panic!("{:?}", best.room.unmet) };
    assert_eq!(unmet.bound, Bound::BolsterSlots);
    assert_close(unmet.short.unwrap().millimetres(), 5.0, 1e-6);
}

#[test]
fn slots_of_which_there_are_none_are_told_and_bound_nothing() {
    let mut press = press();
    press.bolster_slots =
        Some(Slots { direction: SlotDirection::FrontBack, pitch: mm(150.0), count: 0 });
    let mut die = die();
    let free = best_of(&press, &die, &side_heavy(), Places::EVERYWHERE);
    let lower = vec![Point::from_millimetres(-290.0, 0.0)];
    die.bolts = Some(Bolts { lower, upper: vec![], reach: mm(15.0) });
    let best = best_of(&press, &die, &side_heavy(), Places::EVERYWHERE);
    assert_eq!(best.placement, free.placement);
    let [unmet] = best.room.unmet[..] else { panic!("{:?}", best.room.unmet) };
    assert_eq!((unmet.bound, unmet.short), (Bound::BolsterSlots, None));
    let nowhere = Interval { low: 0.1, high: -0.1 };
    let places = Places { x: nowhere, ..Places::EVERYWHERE };
    assert!(!places.holds(Point::new(-0.1, 0.0)) && !places.holds(Point::new(0.1, 0.0)));
}

#[test]
fn slugs_stay_over_their_holes() {
    let mut press = press();
    press.openings = vec![Opening {
        at: Point::from_millimetres(-200.0, 0.0),
        width: mm(80.0),
        depth: mm(60.0),
    }];
    let pierce = Work::Cut(cut(circle(40.0), 6.0, ToolShear::Flat));
    let stations = [placed(-200.0, 0.0, 1, pierce), placed(200.0, 0.0, 2, rising(6.0, 20.0))];
    let best = best_of(&press, &die(), &stations, Places::EVERYWHERE);
    // 20 mm of the hole are left on either side of the slug.
    assert_close(best.placement.x.millimetres(), 20.0, 1e-6);
}

#[test]
fn breaking_off_gives_nothing() {
    let stations = side_heavy();
    let stroke = stroke_of(&stations);
    let (press, die) = (press(), die());
    let question = PlaceQuestion::new(&press, &die, &stations, &stroke);
    assert_eq!(question.best(Places::EVERYWHERE, &mut || ControlFlow::Break(())), None);
}

/// A press that tilts: the play of its gibs alone eats part of the clearance wherever the die stands.
fn tilting() -> Press {
    Press {
        stiffness: Some(Stiffness::from_kilonewtons_per_millimetre(400.0)),
        level: Level {
            gib_clearance: Some(mm(0.01)),
            gib_length: Some(mm(500.0)),
            ..Level::default()
        },
        off_centre_x: None,
        ..press()
    }
}

#[test]
fn tilt_is_searched_and_comes_close_to_the_best_of_all_places() {
    let (press, die) = (tilting(), die());
    let pierce = |d: f64| Work::Cut(cut(circle(d), 6.0, ToolShear::Flat));
    let stations = [
        placed(-200.0, 20.0, 1, pierce(80.0)),
        placed(60.0, -10.0, 2, pierce(30.0)),
        placed(200.0, 0.0, 3, rising(20.0, 40.0)),
    ];
    let best = best_of(&press, &die, &stations, Places::EVERYWHERE);
    assert!(best.searched);
    let (share, x, y) = tried(&press, &die, &stations, ((-150.0, 150.0), (-100.0, 100.0)), 20);
    assert!(best.share <= share * (1.0 + 1e-3), "{} against {share} at {x}, {y}", best.share);
    assert!(best.no_lower <= best.share);
    assert_close(judged(&press, &die, &stations, best.placement), best.share, 1e-9);
}

fn ratings() -> impl Strategy<Value = Option<AxisRating>> {
    let moments = (5.0..200.0).prop_map(Moment::from_kilonewton_metres);
    let tables =
        (100.0..2000.0, 60.0..400.0, 0.2..1.0, 0.0..1.0).prop_map(|(force, reach, a, b)| {
            AxisTable::new(vec![
                (mm(0.0), kn(force)),
                (mm(reach), kn(force * a)),
                (mm(reach * 3.0), kn(force * a * b)),
            ])
            .unwrap()
        });
    prop_oneof![
        moments.clone().prop_map(|moment| Some(AxisRating::Moment(moment))),
        tables.clone().prop_map(|table| Some(AxisRating::Table(table))),
        (moments, tables).prop_map(|(moment, table)| Some(AxisRating::Both(moment, table))),
        Just(None),
    ]
}

fn suspensions() -> impl Strategy<Value = Option<Suspension>> {
    prop_oneof![
        Just(None),
        (200.0..900.0).prop_map(|span| Some(Suspension::TwoPoint { span_x: mm(span) })),
        (200.0..900.0, 150.0..500.0)
            .prop_map(|(x, y)| Some(Suspension::FourPoint { span_x: mm(x), span_y: mm(y) })),
    ]
}

fn loads() -> impl Strategy<Value = Vec<Station>> {
    let load = (-250.0..250.0, -120.0..120.0, 1_u32..4, 0.5..12.0, 5.0..300.0);
    prop::collection::vec(load, 1..5).prop_map(|loads| {
        loads
            .into_iter()
            .map(|(x, y, position, height, force)| placed(x, y, position, rising(height, force)))
            .collect()
    })
}

proptest! {
    #![proptest_config(config(60))]

    /// No place of a raster does better, and the answer is what the die is judged at there.
    #[test]
    fn best_place_is_the_best_of_all_places(
        x in ratings(),
        y in ratings(),
        suspension in suspensions(),
        stations in loads(),
        stands in (-100.0..100.0, -50.0..50.0),
    ) {
        let press = Press { off_centre_x: x, off_centre_y: y, suspension, ..press() };
        let die = Die { placement: at(stands.0, stands.1, &die()), ..die() };
        let stroke = stroke_of(&stations);
        let question = PlaceQuestion::new(&press, &die, &stations, &stroke);
        prop_assume!(!question.limits().is_empty());
        let best = best_of(&press, &die, &stations, Places::EVERYWHERE);
        let place = best.placement;
        prop_assert!(best.room.holds(Point::new(place.x.metres(), place.y.metres())));
        let (share, x, y) = tried(&press, &die, &stations, ((-150.0, 150.0), (-100.0, 100.0)), 24);
        prop_assert!(
            best.share <= share * (1.0 + 1e-8) || share.is_infinite(),
            "{best:?} against {share} at {x}, {y}"
        );
        let judged = judged(&press, &die, &stations, place);
        prop_assert!((judged - best.share).abs() <= 1e-9 * judged || judged == best.share);
        let before = self::judged(&press, &die, &stations, die.placement);
        prop_assert!(best.share <= before * (1.0 + 1e-9));
        prop_assert!(best.share.is_infinite() || best.share - best.no_lower <= 1e-7 * best.share.max(1.0));
    }
}
