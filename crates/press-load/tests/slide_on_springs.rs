//! The slide on springs: limiting cases, the closed form of a small case, a published example, and
//! what has to hold for any die.

#![allow(missing_docs)]

mod support;

use press_load::{
    Caution, Check, Die, DieKind, Length, LimitId, Missing, Motion, Placement, Point, SlideCourse,
    SlideSprings, Station, Stiffness, StripState, Stroke, Work, check,
    cutting::CutModel,
    press::{Frame, Press, Suspension},
    slide_on_springs::{Level, SlideRow},
    tool_shear::ToolShear,
};
use proptest::prelude::*;
use support::{
    assert_close, bare_die, bare_press, circle, config, cut, kn, mm, slope, station, stock,
};

/// Span of the points and stiffness of one of them.
const SPAN_M: f64 = 0.9;
const POINT_N_PER_M: f64 = 0.75e9;

fn two_points() -> Press {
    Press {
        frame: Some(Frame::StraightSide),
        rated_force: Some(kn(1600.0)),
        suspension: Some(Suspension::TwoPoint { span_x: Length::from_metres(SPAN_M) }),
        stiffness: Some(Stiffness::from_newtons_per_metre(2.0 * POINT_N_PER_M)),
        ..bare_press()
    }
}

fn four_points() -> Press {
    Press {
        suspension: Some(Suspension::FourPoint {
            span_x: Length::from_metres(SPAN_M),
            span_y: Length::from_metres(0.6),
        }),
        ..two_points()
    }
}

fn rigid() -> SlideSprings {
    SlideSprings { held_x: true, held_y: true, ..SlideSprings::default() }
}

/// A force that rises from 10 mm to `full` kN at 5 mm above BDC and stays.
fn block(at_mm: (f64, f64), full: f64) -> Station {
    let rows = vec![(mm(10.0), kn(0.0)), (mm(5.0), kn(full)), (mm(0.0), kn(full))];
    station(at_mm, Work::Table(rows))
}

/// A round punch whose full edge takes `peak` kN in 2 mm of stock with a shear strength of 300 MPa.
fn punch(name: &str, at_mm: (f64, f64), peak: f64) -> Station {
    let diameter = peak * 1e3 / (std::f64::consts::PI * 2.0 * 300.0);
    let work = Work::Cut(cut(circle(diameter), 5.0, ToolShear::Flat));
    Station { name: name.into(), ..station(at_mm, work) }
}

fn stroke(stations: &[Station], model: CutModel) -> Stroke {
    support::stroke(stations, &stock(2.0, 300.0, 0.4), model)
}

fn course(springs: &SlideSprings, stroke: &Stroke) -> SlideCourse {
    SlideCourse::new(springs, &stroke.nominal, stroke, StripState::Full, &Motion::NONE)
        .expect("the slide finds its rest")
}

fn springs(press: &Press) -> SlideSprings {
    SlideSprings::of(press).expect("all is entered")
}

fn worst_tilt(course: &SlideCourse) -> f64 {
    course.rows.iter().map(|row| row.tilt_x.hypot(row.tilt_y)).fold(0.0, f64::max)
}

/// θ = M/kθ with kθ = k·span²/2 and a stretch of F/K: two springs under a rigid plate.
#[test]
fn small_constant_force_tilts_by_the_closed_form() {
    let stroke = stroke(&[block((200.0, 0.0), 400.0)], CutModel::Shaped);
    let last = *course(&springs(&two_points()), &stroke).rows.last().unwrap();
    let (force, moment) = (400e3, 400e3 * 0.2);
    assert_close(last.tilt_x, moment / (POINT_N_PER_M * SPAN_M * SPAN_M / 2.0), 1e-12);
    assert_close(last.slide.metres(), force / (2.0 * POINT_N_PER_M), 1e-12);
    assert_eq!(last.tilt_y, 0.0);
    let [left, right] = last.point_loads(two_points().suspension.unwrap())[..] else {
        panic!("two points")
    };
    assert_close(left, force * (0.5 - 0.2 / 0.9), 1e-12);
    assert_close(right, force * (0.5 + 0.2 / 0.9), 1e-12);
}

/// Four springs, each with a quarter of the stiffness of the press: kθ = k·span² in each direction.
#[test]
fn four_points_hold_the_slide_in_both_directions() {
    let stroke = stroke(&[block((200.0, -100.0), 400.0)], CutModel::Shaped);
    let last = *course(&springs(&four_points()), &stroke).rows.last().unwrap();
    let point = POINT_N_PER_M / 2.0;
    assert_close(last.tilt_x, 400e3 * 0.2 / (point * SPAN_M * SPAN_M), 1e-12);
    assert_close(last.tilt_y, -400e3 * 0.1 / (point * 0.6 * 0.6), 1e-12);
    let loads = last.point_loads(four_points().suspension.unwrap());
    assert_close(loads.iter().sum(), 400e3, 1e-12);
    assert_close(loads[1], 100e3 + 400e3 * (0.1 / 0.9 + 0.05 / 0.6), 1e-12);
}

#[test]
fn die_that_is_the_same_left_and_right_does_not_tilt() {
    for press in [two_points(), four_points()] {
        for model in [CutModel::Shaped, CutModel::Plateau] {
            let stations =
                [punch("left", (-200.0, 0.0), 300.0), punch("right", (200.0, 0.0), 300.0)];
            let tilted = worst_tilt(&course(&springs(&press), &stroke(&stations, model)));
            assert!(tilted < 1e-9, "{tilted}");
        }
    }
}

/// A press that does not give way: the slide stays level at the height of the drive, and force and
/// moments are those of the rigid sum at every height.
#[test]
fn rigid_press_gives_the_rigid_result() {
    let stations = [
        punch("left", (-200.0, 30.0), 300.0),
        punch("right", (150.0, 0.0), 200.0),
        block((50.0, -80.0), 100.0),
    ];
    for model in [CutModel::Shaped, CutModel::Plateau] {
        let stroke = stroke(&stations, model);
        let total = support::nominal(&stroke);
        let stiff = course(&rigid(), &stroke);
        assert!(worst_tilt(&stiff) == 0.0);
        // At a jump the sum has two values, the course all between.
        for (index, row) in stroke.rows.iter().enumerate().skip(1) {
            let near = |other: Option<&press_load::stroke::Row>| {
                other.is_some_and(|other| (other.height - row.height).abs() < mm(1e-4))
            };
            let jumps = near(stroke.rows.get(index + 1)) || near(stroke.rows.get(index - 1));
            if row.height > mm(10.0) || jumps {
                continue;
            }
            let at = stiff.at(row.height).unwrap_or_else(|| panic!("{row:?}"));
            assert!((at.force - total.force[index]).abs() < 200.0, "{row:?} {at:?}");
            assert!((at.moment_x - total.moment_x[index]).abs() < 40.0, "{row:?} {at:?}");
        }
    }
}

/// P. Ulintz, *MetalForming*, 13 May 2024: 100 (US tons) on the left and 50 on the right at equal
/// distances rise together; the right side shears while the left keeps building up, so that the
/// slide tips with the left punch in the cut. The total passes through less than the sum of both.
#[test]
fn the_lighter_side_shears_first_and_the_slide_tips() {
    let us_tons = 8.896_443;
    let stations = [
        punch("left", (-300.0, 0.0), 100.0 * us_tons),
        punch("right", (300.0, 0.0), 50.0 * us_tons),
    ];
    let stroke = stroke(&stations, CutModel::Shaped);
    let course = course(&springs(&two_points()), &stroke);
    let order: Vec<usize> = course.releases.iter().map(|release| release.station).collect();
    assert_eq!(order, [1, 0], "the right side lets go first");
    // The left side stands higher, and more so after the right has let go.
    let gone = course.releases[0].drive;
    let least =
        |rows: &mut dyn Iterator<Item = &SlideRow>| rows.map(|row| row.tilt_x).fold(0.0, f64::min);
    let after = least(&mut course.rows.iter().filter(|row| row.drive < gone));
    let rising = course.at(gone + mm(0.05)).unwrap();
    assert!(after < 1.2 * rising.tilt_x && rising.tilt_x < 0.0, "{after} {rising:?}");
    let peak = course.rows.iter().map(|row| row.force).fold(0.0, f64::max);
    assert!(peak < 0.99 * 150.0 * us_tons * 1e3, "{peak}");
}

/// A gap frame opens even under a load in the middle: 0.5 mm per metre at 1600 kN is 0.125 mm per
/// metre at 400 kN, and the front rises.
#[test]
fn gap_frame_tilts_under_a_load_in_the_middle() {
    let press = Press {
        frame: Some(Frame::GapFrame),
        level: Level { frame_tilt_at_rated: Some(0.5e-3), ..Level::default() },
        ..two_points()
    };
    let stroke = stroke(&[block((0.0, 0.0), 400.0)], CutModel::Shaped);
    let last = *course(&springs(&press), &stroke).rows.last().unwrap();
    assert_close(last.tilt_y_mm_per_m(), -0.125, 1e-12);
    assert_eq!(last.tilt_x_mm_per_m(), 0.0);
    assert!(last.height_at(Point::from_millimetres(0.0, -200.0)) > last.slide);
}

/// What was cut deeper before does not push again: a slide that rocks back meets no force twice.
#[test]
fn stock_that_was_cut_does_not_push_again() {
    // The right side lets go while the left pushes on: the right springs down, and comes back up as
    // the left lets go. The work put into the right station is that of one cut.
    let stations = [punch("left", (-300.0, 0.0), 500.0), punch("right", (300.0, 0.0), 450.0)];
    let stroke = stroke(&stations, CutModel::Plateau);
    let course = course(&springs(&two_points()), &stroke);
    let last = course.rows.last().unwrap();
    assert!(last.force < 1.0, "{last:?}");
    let order: Vec<usize> = course.releases.iter().map(|release| release.station).collect();
    assert_eq!(order, [1, 0]);
}

fn die_of_two() -> Die {
    Die { shut_height: Some(mm(300.0)), ..bare_die() }
}

fn checked(press: &Press, die: &Die, stations: &[Station]) -> Check {
    check(press, die, stations, &stroke(stations, CutModel::Shaped), None)
}

/// Tilt times lever over clearance: the stations are one, so that its tilt is that of its load.
#[test]
fn clearance_eaten_is_tilt_times_shut_height_over_clearance() {
    let stations = [punch("right", (200.0, 0.0), 300.0)];
    let check = checked(&two_points(), &die_of_two(), &stations);
    let used = check.limit(LimitId::SlideTilt).outcome.unwrap();
    let tilt = 300e3 * 0.2 / (POINT_N_PER_M * SPAN_M * SPAN_M / 2.0);
    assert_close(used.demand, tilt * 300.0, 1e-6);
    // 6 % of 2 mm where no clearance is entered.
    assert_close(used.limit, 0.12, 1e-12);
    assert_close(used.share, used.demand / used.limit, 1e-12);
    let worst = check.tilt.unwrap();
    assert_eq!((worst.station, worst.strip_state), (0, StripState::Full));
}

#[test]
fn play_of_the_gibs_and_parallelism_are_added() {
    let stations = [punch("right", (200.0, 0.0), 300.0)];
    let demand = |level: Level| {
        let press = Press { level, ..two_points() };
        let check = checked(&press, &die_of_two(), &stations);
        check.limit(LimitId::SlideTilt).outcome.unwrap().demand
    };
    let bare = demand(Level::default());
    let play = Level { gib_clearance: Some(mm(0.03)), ..Level::default() };
    assert_close(demand(play), bare + 0.03, 1e-9);
    let parallelism = Level { parallelism: Some(0.1e-3), ..Level::default() };
    assert_close(demand(parallelism), bare + 0.1 * 0.3, 1e-9);
}

/// Nothing holds a slide on one point, or on two points front–back, but its gibs.
#[test]
fn direction_that_nothing_holds_asks_for_gibs_and_is_bounded_by_them() {
    let one = Press { suspension: Some(Suspension::OnePoint), ..two_points() };
    let in_front = [punch("front", (0.0, -100.0), 100.0)];
    let right = [punch("right", (100.0, 0.0), 100.0)];
    let middle = [punch("middle", (0.0, 0.0), 100.0)];
    let outcome = |press: &Press, stations: &[Station]| {
        checked(press, &die_of_two(), stations).limit(LimitId::SlideTilt).outcome
    };
    assert_eq!(outcome(&one, &right), Err(Missing::TiltStiffnessX));
    assert_eq!(outcome(&one, &in_front), Err(Missing::TiltStiffnessY));
    assert_eq!(outcome(&two_points(), &in_front), Err(Missing::TiltStiffnessY));
    assert_eq!(outcome(&one, &middle).unwrap().demand, 0.0);
    let gibs =
        Level { gib_clearance: Some(mm(0.04)), gib_length: Some(mm(600.0)), ..Level::default() };
    let guided = Press { level: gibs, ..one.clone() };
    // The play itself and, over 600 mm, half of it along 300 mm of die.
    assert_close(outcome(&guided, &right).unwrap().demand, 0.04 + 0.02, 1e-9);
    let held = Level { stiffness_x: Some(50e6), ..Level::default() };
    let held = Press { level: held, ..one };
    assert_close(outcome(&held, &right).unwrap().demand, 100e3 * 0.1 / 50e6 * 300.0, 1e-6);
}

#[test]
fn each_missing_value_is_named() {
    let stations = [punch("right", (200.0, 0.0), 300.0)];
    let outcome = |press: &Press, die: &Die, stations: &[Station]| {
        checked(press, die, stations).limit(LimitId::SlideTilt).outcome
    };
    let press = two_points();
    let die = die_of_two();
    let missing = |press: Press| outcome(&press, &die, &stations).unwrap_err();
    assert_eq!(missing(Press { suspension: None, ..press.clone() }), Missing::Suspension);
    assert_eq!(missing(Press { stiffness: None, ..press.clone() }), Missing::Stiffness);
    let gap = Press { frame: Some(Frame::GapFrame), ..press.clone() };
    assert_eq!(missing(gap.clone()), Missing::FrameTilt);
    let level = Level { frame_tilt_at_rated: Some(1e-4), ..Level::default() };
    let unrated = Press { rated_force: None, level, ..gap };
    assert_eq!(missing(unrated), Missing::RatedForce);
    assert_eq!(outcome(&press, &bare_die(), &stations), Err(Missing::DieShutHeight));
    let bend = [block((200.0, 0.0), 100.0)];
    assert_eq!(outcome(&press, &die, &bend), Err(Missing::CuttingStation));
    // The points' own stiffness is enough.
    let level = Level { point_stiffness: Some(POINT_N_PER_M), ..Level::default() };
    let by_points = Press { stiffness: None, level, ..press.clone() };
    assert_eq!(outcome(&by_points, &die, &stations), outcome(&press, &die, &stations));
}

/// A value that is missing does not hide what is over without it.
#[test]
fn what_is_over_left_right_is_over_whatever_is_missing_front_back() {
    let stations = [punch("right", (400.0, -100.0), 1500.0)];
    let used = checked(&two_points(), &die_of_two(), &stations).limit(LimitId::SlideTilt).outcome;
    assert!(used.unwrap().share > 1.0, "{used:?}");
}

#[test]
fn gap_frame_that_opens_is_cautioned() {
    let level = Level {
        frame_tilt_at_rated: Some(0.4e-3),
        gib_clearance: Some(mm(0.02)),
        gib_length: Some(mm(500.0)),
        ..Level::default()
    };
    let press = Press { frame: Some(Frame::GapFrame), level, ..two_points() };
    let check = checked(&press, &die_of_two(), &[punch("middle", (0.0, 0.0), 800.0)]);
    let tilt = check.cautions.iter().find_map(|caution| match caution {
        Caution::FrameTilts { tilt } => Some(*tilt),
        _ => None,
    });
    assert_close(tilt.unwrap(), 0.2e-3, 1e-6);
}

/// The strip running in tilts more than the full strip of a die whose sides balance.
#[test]
fn worst_strip_state_is_named() {
    let stations = [
        Station { strip_position: 1, ..punch("first", (-300.0, 0.0), 300.0) },
        Station { strip_position: 2, ..punch("last", (300.0, 0.0), 300.0) },
    ];
    let die = Die { kind: DieKind::Progressive, ..die_of_two() };
    let worst = checked(&two_points(), &die, &stations).tilt.unwrap();
    assert_eq!(worst.strip_state, StripState::Filling(1));
}

/// A long die has more strip states than can be followed while it is dragged: the ones chosen hold
/// the worst of all, and the whole slide is followed in each of them here.
#[test]
fn worst_of_a_long_die_is_the_worst_of_all_its_states() {
    let stations: Vec<Station> = (0..24_u32)
        .map(|index| {
            let at = (f64::from(index) * 50.0 - 575.0, f64::from(index * 37 % 100) - 50.0);
            let diameter = 15.0 + f64::from(index % 7);
            let entry = 4.0 + 0.05 * f64::from(index * 13 % 40);
            let hole = cut(circle(diameter), entry, slope(1.0, f64::from(index) * 10.0));
            Station { strip_position: index + 1, ..station(at, Work::Cut(hole)) }
        })
        .collect();
    let die = Die { kind: DieKind::Progressive, ..die_of_two() };
    let stroke = stroke(&stations, CutModel::Shaped);
    let states = stroke.strip_states(die.kind);
    assert_eq!(states.len(), 47);
    let press = four_points();
    let chosen =
        press_load::slide_on_springs::worst_tilt(&press, &die, &stations, &stroke, &states);
    let chosen = chosen.unwrap().unwrap();
    let all = states
        .iter()
        .map(|&state| {
            let none = Motion::NONE;
            let followed =
                SlideCourse::new(&springs(&press), &stroke.upper, &stroke, state, &none).unwrap();
            (worst_tilt(&followed), state)
        })
        .fold((0.0, StripState::Full), |most, next| if next.0 > most.0 { next } else { most });
    assert_eq!(chosen.strip_state, all.1);
    assert_close(chosen.mismatch.metres(), all.0 * 0.3, 1e-9);
}

fn works() -> impl Strategy<Value = Work> {
    let cuts = (5.0..80.0, 1.0..9.0, prop::option::of((0.1..3.0, -180.0..180.0))).prop_map(
        |(diameter, entry, sheared)| {
            let shear = sheared.map_or(ToolShear::Flat, |(depth, to)| slope(depth, to));
            Work::Cut(cut(circle(diameter), entry, shear))
        },
    );
    let springs = (0.5..60.0, 1.0..20.0).prop_map(|(force, entry)| {
        let kind = press_load::springs::SpringKind::Gas {
            force: kn(force),
            stroke: mm(50.0),
            force_rise: 1.4,
        };
        Work::Spring(press_load::springs::Spring { kind, entry: mm(entry) })
    });
    let tables = (1.0..400.0, 5.0..30.0)
        .prop_map(|(force, top)| Work::Table(vec![(mm(top), kn(0.0)), (mm(0.0), kn(force))]));
    prop_oneof![6 => cuts, 1 => springs, 1 => tables]
}

fn dies() -> impl Strategy<Value = Vec<Station>> {
    let one =
        (works(), -400.0..400.0, -250.0..250.0).prop_map(|(work, x, y)| station((x, y), work));
    prop::collection::vec(one, 1..9)
}

fn soft_presses() -> impl Strategy<Value = SlideSprings> {
    // From a soft gap frame to a stiff straight side: stiffness in kN/mm and MN·m per radian.
    let tilt = |least: f64| least..2_000.0;
    (100.0..5_000.0, tilt(5.0), tilt(5.0), 0.0..1.0).prop_map(|(whole, x, y, frame)| SlideSprings {
        stretch: 1e-6 / whole,
        tilt_x: 1e-6 / x,
        tilt_y: 1e-6 / y,
        frame_tilt: frame * 1e-3 / 1e6,
        held_x: true,
        held_y: true,
    })
}

proptest! {
    #![proptest_config(config(400))]

    /// Any die on any press comes down to BDC; every row is a rest by the three equations, and where
    /// no station rocks back its force is the sum of the curves at the local heights.
    #[test]
    fn slide_always_comes_down_and_rests(
        stations in dies(), springs in soft_presses(), plateau in any::<bool>(),
    ) {
        let model = if plateau { CutModel::Plateau } else { CutModel::Shaped };
        let stroke = stroke(&stations, model);
        let course = course(&springs, &stroke);
        let last = course.rows.last().unwrap();
        prop_assert_eq!(last.drive, Length::ZERO);
        for pair in course.rows.windows(2) {
            prop_assert!(pair[1].drive <= pair[0].drive);
        }
        for row in &course.rows {
            let z = row.drive.metres() + springs.stretch * row.force;
            let x = springs.tilt_x * row.moment_x;
            let y = springs.tilt_y * row.moment_y - springs.frame_tilt * row.force;
            let off = (row.slide.metres() - z).abs() + (row.tilt_x - x).abs() + (row.tilt_y - y).abs();
            prop_assert!(off < 2.1e-8, "{off} {row:?}");
            prop_assert!(row.force >= -1.0);
        }
    }

    /// Left and right exchanged, the tilt changes its sign and nothing else.
    #[test]
    fn mirrored_die_tilts_the_other_way(stations in dies(), springs in soft_presses()) {
        let mirrored: Vec<Station> = stations
            .iter()
            .map(|station| Station {
                at: Point::new(-station.at.x, station.at.y),
                // Round punches without tool shear have no left and right of their own.
                work: station
                    .work
                    .iter()
                    .map(|placed| {
                        let mut placed = placed.clone();
                        if let Work::Cut(cut) = &mut placed.work {
                            cut.tool_shear = ToolShear::Flat;
                        }
                        placed
                    })
                    .collect(),
                ..station.clone()
            })
            .collect();
        let flat: Vec<Station> = mirrored
            .iter()
            .map(|station| Station { at: Point::new(-station.at.x, station.at.y), ..station.clone() })
            .collect();
        let one = course(&springs, &stroke(&flat, CutModel::Shaped));
        let other = course(&springs, &stroke(&mirrored, CutModel::Shaped));
        for part in [0.9, 0.5, 0.2, 0.05, 0.0] {
            let drive = one.rows[0].drive * part;
            let (a, b) = (one.at(drive).unwrap(), other.at(drive).unwrap());
            let scale = 1e-7 + 1e-6 * a.tilt_x.abs();
            prop_assert!((a.tilt_x + b.tilt_x).abs() < scale, "{a:?} {b:?}");
            prop_assert!((a.tilt_y - b.tilt_y).abs() < scale, "{a:?} {b:?}");
            prop_assert!((a.slide - b.slide).abs() < mm(1e-4), "{a:?} {b:?}");
        }
    }
}

/// Placed elsewhere on the bolster, the tilt follows the load.
#[test]
fn tilt_depends_on_where_the_die_stands() {
    let stations = [punch("only", (0.0, 0.0), 300.0)];
    let shifted = |x: f64| {
        let die =
            Die { placement: Placement { x: mm(x), y: mm(0.0), turn_deg: 90.0 }, ..die_of_two() };
        checked(&two_points(), &die, &stations).limit(LimitId::SlideTilt).outcome.unwrap().demand
    };
    assert!(shifted(0.0) < 1e-9);
    assert_close(shifted(200.0), 2.0 * shifted(-100.0), 1e-6);
}
