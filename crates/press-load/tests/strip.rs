//! The strip's leading edge within the outlines: half cuts by hand.

mod support;

use press_load::{
    Caution, Die, DieKind, Length, Line, Motion, Outline, Point, Station, StripState, Stroke, Work,
    cutting::CutModel,
    strip::{Feed, Strip},
    tool_shear::ToolShear,
};
use support::{assert_close, cut, mm, station, stock};

fn rectangle(x_mm: f64, position: u32, tool_shear: ToolShear) -> Station {
    let outline = Outline::Rectangle { width: mm(40.0), depth: mm(20.0), corner_radius: mm(0.0) };
    let mut station = station((x_mm, 0.0), Work::Cut(cut(outline, 5.0, tool_shear)));
    station.strip_position = position;
    station
}

fn stroke(stations: &[Station], strip: &Strip) -> Stroke {
    let stock = stock(2.0, 300.0, 0.4);
    Stroke::with_strip(stations, &stock, CutModel::Plateau, mm(400.0), Some(strip)).unwrap()
}

fn strip(pitch_mm: f64, first_hit_mm: f64, feed: Feed) -> Strip {
    Strip { pitch: mm(pitch_mm), first_hit: mm(first_hit_mm), feed }
}

fn peak(stroke: &Stroke, state: StripState) -> (f64, Option<Point>) {
    let total = stroke.line(Line::Nominal).total(state, &Motion::NONE);
    let highest = (0..total.force.len()).max_by(|&a, &b| total.force[a].total_cmp(&total.force[b]));
    let highest = highest.unwrap();
    (total.force[highest], total.centre(highest))
}

/// A rectangle of 40 × 20 mm has 120 mm of edge. With the strip's end on its middle line half of it is
/// cut: one short side at −20 mm and twice 20 mm with their middle at −10 mm, so that the load centre
/// lies at (20·(−20) + 40·(−10))/60 = −13.33 mm.
#[test]
fn half_a_rectangle_is_cut_with_its_own_load_centre() {
    let stations = [rectangle(0.0, 1, ToolShear::Flat), rectangle(100.0, 2, ToolShear::Flat)];
    let stroke = stroke(&stations, &strip(50.0, 0.0, Feed::LeftToRight));
    let (whole, _) = peak(&stroke, StripState::Full);
    let (half, centre) = peak(&stroke, StripState::Hit(1));
    assert_close(half / whole, 60.0 / 240.0, 1e-9);
    assert_close(centre.unwrap().x * 1e3, -40.0 / 3.0, 1e-9);
    // At the second hit the first is whole, at the third the second is half: 50 and 100 mm.
    assert_close(peak(&stroke, StripState::Hit(2)).0 / whole, 0.5, 1e-9);
    assert_close(peak(&stroke, StripState::Hit(3)).0 / whole, 0.75, 1e-9);
    let states = stroke.strip_states(DieKind::Progressive);
    let filling = [1, 2, 3].map(StripState::Hit);
    assert_eq!(states[..4], [&[StripState::Full][..], &filling].concat());
}

/// Fed the other way the other half is cut.
#[test]
fn feed_says_which_half() {
    let stations = [rectangle(0.0, 1, ToolShear::Flat)];
    for (feed, x, y) in [
        (Feed::LeftToRight, -40.0 / 3.0, 0.0),
        (Feed::RightToLeft, 40.0 / 3.0, 0.0),
        // Half of 20 mm: one long side at 10 mm and twice 10 mm at 5 mm of 60 mm.
        (Feed::FrontToBack, 0.0, -(40.0 * 10.0 + 20.0 * 5.0) / 60.0),
        (Feed::BackToFront, 0.0, (40.0 * 10.0 + 20.0 * 5.0) / 60.0),
    ] {
        let stroke = stroke(&stations, &strip(50.0, 0.0, feed));
        let centre = peak(&stroke, StripState::Hit(1)).1.unwrap();
        assert!((centre.x * 1e3 - x).abs() < 1e-9, "{feed:?} {centre:?}");
        assert!((centre.y * 1e3 - y).abs() < 1e-9, "{feed:?} {centre:?}");
    }
}

/// A turned piece of work is cut where the strip ends on the die, not in its own coordinates.
#[test]
fn half_cut_of_turned_work_lies_at_the_strips_end() {
    let mut turned = rectangle(10.0, 1, ToolShear::Flat);
    turned.work[0].motion = Motion::new(Point::from_millimetres(5.0, 7.0), 90.0);
    // Now 20 mm wide and 40 deep about (15, 7); the strip ends 4 mm right of its left side.
    let stroke = stroke(&[turned], &strip(50.0, 9.0, Feed::LeftToRight));
    let (force, centre) = peak(&stroke, StripState::Hit(1));
    let (whole, _) = peak(&stroke, StripState::Full);
    assert_close(force / whole, (40.0 + 2.0 * 4.0) / 120.0, 1e-9);
    let centre = centre.unwrap();
    assert_close(centre.x * 1e3, (40.0 * 5.0 + 8.0 * 7.0) / 48.0, 1e-9);
    assert_close(centre.y * 1e3, 7.0, 1e-9);
}

/// The tool is ground as it is: what is cut enters when it would on the whole outline.
#[test]
fn half_cut_keeps_the_entry_heights_of_the_whole() {
    let slope = ToolShear::Slope { depth: mm(3.0), direction_deg: 0.0 };
    let stations = [rectangle(0.0, 1, slope)];
    let stroke = stroke(&stations, &strip(50.0, 0.0, Feed::RightToLeft));
    let half = stroke.line(Line::Nominal).total(StripState::Hit(1), &Motion::NONE);
    let first = half.force.iter().position(|&force| force > 0.0).unwrap();
    // The right half starts 1.5 mm below the first touch; from there on the force rises.
    assert_close(stroke.rows[first - 1].height.millimetres(), 3.5, 1e-9);
}

/// A half cut that only touches the strip's end is none, and a strip that covers everything at the
/// first hit is full at once.
#[test]
fn strip_that_ends_beside_an_outline_cuts_nothing_there() {
    let stations = [rectangle(0.0, 1, ToolShear::Flat), rectangle(100.0, 2, ToolShear::Flat)];
    let beside = stroke(&stations, &strip(100.0, 20.0, Feed::LeftToRight));
    assert_eq!(
        beside.strip_states(DieKind::Progressive),
        [StripState::Full, StripState::Hit(1), StripState::RunningOut(2)]
    );
    assert_close(
        peak(&beside, StripState::Hit(1)).0 / peak(&beside, StripState::Full).0,
        0.5,
        1e-9,
    );
    let covered = stroke(&stations, &strip(100.0, 120.0, Feed::LeftToRight));
    assert_eq!(
        covered.strip_states(DieKind::Progressive),
        [StripState::Full, StripState::RunningOut(2)]
    );
}

#[test]
fn strip_that_never_fills_the_die_is_refused() {
    let stations = [rectangle(0.0, 1, ToolShear::Flat), rectangle(100.0, 2, ToolShear::Flat)];
    let slow = strip(0.1, -500.0, Feed::LeftToRight);
    let stock = stock(2.0, 300.0, 0.4);
    let refused =
        Stroke::with_strip(&stations, &stock, CutModel::Plateau, Length::ZERO, Some(&slow));
    assert!(refused.unwrap_err().to_string().contains("within 500 hits"));
}

/// A station with two holes: the strip may end between them, which is no half cut.
#[test]
fn strip_that_ends_between_two_punches_cuts_neither_half() {
    let mut two = rectangle(0.0, 1, ToolShear::Flat);
    let mut second = two.work[0].clone();
    second.motion = Motion::new(Point::from_millimetres(100.0, 0.0), 0.0);
    two.work.push(second);
    let cautions = |first_hit_mm: f64| -> Vec<(u32, u32)> {
        let strip = strip(60.0, first_hit_mm, Feed::LeftToRight);
        let die = Die { strip: Some(strip), ..Die::of(DieKind::Progressive) };
        let stations = [two.clone()];
        let stroke = stroke(&stations, &strip);
        let check = press_load::check(&support::bare_press(), &die, &stations, &stroke, None);
        let half = |caution: &Caution| match caution {
            Caution::HalfCut { hits, .. } => Some(*hits),
            _ => None,
        };
        check.cautions.iter().filter_map(half).collect()
    };
    // The holes reach from −20 to 20 and from 80 to 120 mm; the strip ends at 50, then at 110.
    assert_eq!(cautions(50.0), [(2, 2)]);
    // At 30, 90: within the second. At 60, 120: within none.
    assert_eq!(cautions(30.0), [(2, 2)]);
    assert_eq!(cautions(60.0), []);
}
