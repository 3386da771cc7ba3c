//! What a set-up needs beside the check, on dies that can be worked out by hand.

mod support;

use press_load::{
    Die, DieKind, LimitId, Moment, Motion, Outline, Station, StripState, Stroke, Work,
    cutting::CutModel,
    die_needs::{DieNeeds, highest_contact},
    first_strokes::{FirstStrokes, Standing},
    press::{AxisRating, Drive, Opening, Press, Suspension},
    slugs,
    springs::{Spring, SpringKind},
    stall::Stall,
    strip::{Feed, Strip},
    stripping::Stripper,
    tool_shear::ToolShear,
};
use support::{assert_close, cut, kn, mm, station, stock};

/// A cut of 40 × 20 mm: 120 mm of edge, 2 mm of 300 MPa, 72 kN over 0.4 · 2 mm from 5 mm on.
fn rectangle(x_mm: f64, position: u32) -> Station {
    let outline = Outline::Rectangle { width: mm(40.0), depth: mm(20.0), corner_radius: mm(0.0) };
    let mut station = station((x_mm, 0.0), Work::Cut(cut(outline, 5.0, ToolShear::Flat)));
    station.strip_position = position;
    station
}

fn progressive() -> Die {
    let strip = Strip { pitch: mm(50.0), first_hit: mm(0.0), feed: Feed::LeftToRight };
    Die { strip: Some(strip), ..Die::of(DieKind::Progressive) }
}

fn stroke_of(die: &Die, stations: &[Station], stroke_mm: f64) -> Stroke {
    let stock = stock(2.0, 300.0, 0.4);
    let strip = die.strip.as_ref();
    Stroke::with_strip(stations, &stock, CutModel::Plateau, mm(stroke_mm), strip).unwrap()
}

fn press() -> Press {
    let mut press = Press::of(Drive::Hydraulic { stroke: mm(200.0), pressing_speed: None });
    press.suspension = Some(Suspension::TwoPoint { span_x: mm(400.0) });
    press
}

/// The strip's end on the middle of the first rectangle cuts half of its edge, 36 kN at 13.33 mm left;
/// at the third hit it stands on the middle of the second.
#[test]
fn first_strokes_follow_the_strip_hit_by_hit() {
    let stations = [rectangle(0.0, 1), rectangle(100.0, 2)];
    let die = progressive();
    let stroke = stroke_of(&die, &stations, 200.0);
    let found = FirstStrokes::new(&press(), &die, &stations, &stroke);
    assert!(found.follows_strip);
    use Standing::{Empty, HalfCut, Whole};
    let expected = [
        (36.0, -40.0 / 3.0, [HalfCut, Empty]),
        (72.0, 0.0, [Whole, Empty]),
        (108.0, 36.0 * (100.0 - 40.0 / 3.0) / 108.0, [Whole, HalfCut]),
        (144.0, 50.0, [Whole, Whole]),
    ];
    assert_eq!(found.hits.len(), expected.len());
    for (index, (hit, (force, x, standing))) in found.hits.iter().zip(expected).enumerate() {
        assert_eq!((hit.first, hit.last), (index as u32 + 1, index as u32 + 1));
        assert_eq!(hit.stations, standing);
        let peak = hit.peak.unwrap();
        assert_close(peak.force.kilonewtons(), force, 1e-9);
        assert!((peak.centre.x * 1e3 - x).abs() < 1e-9, "{:?}", peak.centre);
        let (left, right) = hit.sides.unwrap();
        assert_close(right, 0.5 + x / 400.0, 1e-9);
        assert_close(left + right, 1.0, 1e-12);
        assert_close(hit.moment_x.kilonewton_metres() + 1.0, 1.0 + force * x.abs() * 1e-3, 1e-9);
    }
    // No rating: the largest moment, 144 kN at 50 mm.
    assert_eq!((found.worst, found.hits[0].most_used), (3, None));
}

/// Placed so that the full strip is balanced, the worst hit is one of the half-filled die: 108 kN with
/// its centre at −50 + 28.9 mm, 2.28 kN·m, but 72 kN at −50 mm, 3.6 kN·m, at the second.
#[test]
fn worst_hit_is_that_which_uses_a_rating_most() {
    let stations = [rectangle(0.0, 1), rectangle(100.0, 2)];
    let mut die = progressive();
    die.placement.x = mm(-50.0);
    let stroke = stroke_of(&die, &stations, 200.0);
    let mut press = press();
    press.off_centre_x = Some(AxisRating::Moment(Moment::from_kilonewton_metres(4.0)));
    let found = FirstStrokes::new(&press, &die, &stations, &stroke);
    assert_eq!(found.worst, 1);
    let (id, used) = found.hits[1].most_used.unwrap();
    assert_eq!(id, LimitId::OffCentreX);
    assert_close(used.share, 0.9, 1e-9);
}

#[test]
fn pad_that_the_strip_ends_under_is_half_loaded() {
    let mut padded = rectangle(0.0, 1);
    let kind = SpringKind::Coil {
        preload: kn(1.0),
        rate: press_load::Stiffness::from_kilonewtons_per_millimetre(0.1),
    };
    padded.stripper = Some(Stripper::Sprung(Spring { kind, entry: mm(8.0) }));
    let die = progressive();
    let stations = [padded];
    let stroke = stroke_of(&die, &stations, 200.0);
    let found = FirstStrokes::new(&press(), &die, &stations, &stroke);
    let standing: Vec<Standing> = found.hits.iter().map(|hit| hit.stations[0]).collect();
    assert_eq!(standing, [Standing::HalfCutAndLoaded, Standing::Whole]);
    assert!(standing[0].is_half() && !standing[1].is_half());
}

/// Where the strip enters far before the first tool, it is fed empty at first: hits 1 to 3 alike.
#[test]
fn hits_that_are_alike_are_told_once() {
    let stations = [rectangle(120.0, 1)];
    let die = progressive();
    let stroke = stroke_of(&die, &stations, 200.0);
    let found = FirstStrokes::new(&press(), &die, &stations, &stroke);
    // The outline lies from 100 to 140 mm: the end stands at its edge at the third hit, beyond at the fourth.
    let spans: Vec<(u32, u32, Standing)> =
        found.hits.iter().map(|hit| (hit.first, hit.last, hit.stations[0])).collect();
    assert_eq!(spans, [(1, 3, Standing::Empty), (4, 4, Standing::Whole)]);
    assert_eq!(found.hits[0].peak, None);
}

#[test]
fn die_of_one_station_has_one_hit_and_a_die_without_first_hit_line_its_positions() {
    let single = Die::of(DieKind::Single);
    let stations = [rectangle(0.0, 1), rectangle(100.0, 2)];
    let stroke = stroke_of(&single, &stations, 200.0);
    assert_eq!(FirstStrokes::new(&press(), &single, &stations, &stroke).hits.len(), 1);
    let die = Die::of(DieKind::Progressive);
    let found = FirstStrokes::new(&press(), &die, &stations, &stroke);
    let states: Vec<StripState> = found.hits.iter().map(|hit| hit.state).collect();
    assert_eq!(states, [StripState::Filling(1), StripState::Full]);
    assert!(!found.follows_strip);
}

/// Two rectangles at −30 and 70 mm from the die's centre: 144 kN, 72 · (70 − 30) mm = 2.88 kN·m full, but
/// 72 · 70 mm = 5.04 kN·m while the strip runs out; plateau work 144 kN · 0.8 mm. The last row before the
/// cut is through falls from 144 kN to nothing.
#[test]
fn needs_of_a_die_are_about_its_own_centre_and_need_no_press() {
    let stations = [rectangle(-30.0, 1), rectangle(70.0, 2)];
    let mut die = Die::of(DieKind::Progressive);
    // Where it stands in some press is no matter.
    die.placement.x = mm(300.0);
    die.opening_needed = Some(mm(60.0));
    die.shut_height = Some(mm(250.0));
    let reach = highest_contact(&stations);
    assert_eq!(reach, mm(5.0));
    let stroke = stroke_of(&die, &stations, reach.millimetres());
    let needs = DieNeeds::new(&die, &stations, &stroke);
    let force = needs.force.unwrap();
    assert_close(force.what.kilonewtons(), 144.0, 1e-9);
    assert_eq!(force.state, StripState::Full);
    assert_close(needs.centre.unwrap().x, 0.02, 1e-9);
    let moment = needs.moment_x.unwrap();
    assert_close(moment.what.kilonewton_metres(), 5.04, 1e-9);
    assert_eq!(moment.state, StripState::RunningOut(2));
    assert_close(needs.energy.joules(), 144.0 * 0.8, 1e-9);
    assert_close(needs.released.kilonewtons(), 144.0, 1e-9);
    assert_eq!((needs.stroke, needs.daylight), (mm(60.0), Some(mm(310.0))));
    assert_eq!(needs.first_touch, mm(5.0));
    assert_close(needs.force_at_or_above(mm(4.5)).kilonewtons(), 144.0, 1e-9);
    assert_eq!(needs.force_at_or_above(mm(5.1)), kn(0.0));
    // The same die in a press with a long stroke asks the same.
    let long = stroke_of(&die, &stations, 300.0);
    let again = DieNeeds::new(&die, &stations, &long);
    assert_close(again.force.unwrap().what / force.what, 1.0, 1e-12);
    assert_eq!(again.stroke, needs.stroke);
}

/// With a stroke just as long as the first touch is high nothing is cut off: the work is that of a long
/// stroke.
#[test]
fn press_of_which_nothing_is_known_leaves_every_limit_open() {
    let stations = [rectangle(0.0, 1)];
    let mut die = Die::of(DieKind::Single);
    die.opening_needed = Some(mm(60.0));
    die.guide_engagement = Some(mm(2.0));
    let press = Press::of(Drive::Unknown { reach: highest_contact(&stations) });
    let stroke = stroke_of(&die, &stations, press.drive.stroke().millimetres());
    let check = press_load::check(&press, &die, &stations, &stroke, None);
    assert_eq!(check.verdict, press_load::State::Over, "the guides do not reach the first touch");
    for limit in &check.limits {
        let known = limit.id == LimitId::GuideEngagement;
        assert_eq!(limit.outcome.is_ok(), known, "{:?}", limit.id);
    }
    assert!(check.cautions.is_empty(), "{:?}", check.cautions);
    assert!(check.curve.iter().all(|row| row.available.is_none()));
    assert_close(check.energy.joules(), 72.0 * 0.8, 1e-9);
}

/// At 4.6 mm, half-way through the plateau of 0.8 mm below 5 mm: 144 kN on the points of 400 mm span with
/// its centre at 50 mm, 62.5 % right; 144 kN · 0.4 mm done.
#[test]
fn stall_tells_stations_points_and_work_at_a_height() {
    let stations = [rectangle(0.0, 1), rectangle(100.0, 2)];
    let die = Die::of(DieKind::Progressive);
    let stroke = stroke_of(&die, &stations, 200.0);
    let at = |height| Stall::new(&press(), &die, &stroke, StripState::Full, mm(height));
    let stall = at(4.6);
    assert_eq!(stall.engaged.len(), 2);
    assert_close(stall.engaged[0].upper.kilonewtons(), 72.0, 1e-9);
    assert_close(stall.upper.kilonewtons(), 144.0, 1e-9);
    assert_close(stall.points[0].kilonewtons(), 54.0, 1e-9);
    assert_close(stall.points[1].kilonewtons(), 90.0, 1e-9);
    assert_close(stall.work_done.joules(), 144.0 * 0.4, 1e-6);
    for height in [50.0, 2.0, 0.0] {
        let free = at(height);
        assert!(free.engaged.is_empty() && free.points.is_empty() && free.centre.is_none());
    }
    assert_close(at(0.0).work_done.joules(), 144.0 * 0.8, 1e-6);
}

/// Where one cut takes hold just as another is through, all is told of the side with the larger force:
/// a punch of 72 kN at −400 mm is through at 4.2 mm, where two of them touch at 100 mm.
#[test]
fn stall_at_a_jump_is_told_of_one_side() {
    let lower = |mut station: Station| {
        if let Work::Cut(cut) = &mut station.work[0].work {
            cut.entry = mm(4.2);
        }
        station
    };
    let stations = [rectangle(-400.0, 1), lower(rectangle(100.0, 2)), lower(rectangle(100.0, 2))];
    let die = Die::of(DieKind::Single);
    let stroke = stroke_of(&die, &stations, 200.0);
    let stall = Stall::new(&press(), &die, &stroke, StripState::Full, mm(4.2));
    assert_close(stall.upper.kilonewtons(), 144.0, 1e-9);
    assert_close(stall.centre.unwrap().x, 0.1, 1e-9);
    let engaged: Vec<usize> = stall.engaged.iter().map(|engaged| engaged.station).collect();
    assert_eq!(engaged, [1, 2]);
    assert_close(stall.work_done.joules(), 72.0 * 0.8, 1e-6);
}

/// Four points: the parts are products of those in both directions, and add up to one.
#[test]
fn parts_of_four_points_add_up() {
    let four = Suspension::FourPoint { span_x: mm(1000.0), span_y: mm(500.0) };
    let parts = four.each_part(mm(100.0), mm(-50.0));
    for (part, expected) in parts.iter().zip([0.4 * 0.6, 0.6 * 0.6, 0.4 * 0.4, 0.6 * 0.4]) {
        assert_close(*part, expected, 1e-12);
    }
    let most = four.parts(mm(100.0), mm(-50.0)).0;
    assert_close(parts.iter().copied().fold(0.0, f64::max), most, 1e-12);
}

#[test]
fn slug_falls_through_the_hole_under_all_of_it() {
    let mut press = press();
    let hole = |x| Opening {
        at: press_load::Point::from_millimetres(x, 0.0),
        width: mm(60.0),
        depth: mm(60.0),
    };
    press.openings = vec![hole(-100.0), hole(10.0)];
    let station = rectangle(0.0, 1);
    let falls: Vec<_> = slugs::falls(&press, &station, &Motion::NONE).collect();
    assert_eq!(falls.len(), 1);
    assert_eq!(falls[0].hole, Some(1));
    let beside: Vec<_> = slugs::falls(&press, &rectangle(40.0, 1), &Motion::NONE).collect();
    assert_eq!(beside[0].hole, None);
    assert!(slugs::station_drops_slugs(&station));
}
