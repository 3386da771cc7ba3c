//! Values frozen from SciPy: `reference/reference.py` says how each was worked out.

#![allow(missing_docs)]

mod support;

use press_load::{
    Length, Line, LoadSeries, Mass, Motion, SlideCourse, SlideSprings, SnapThrough, Station,
    Stiffness, StripState, StrokeRate, Work,
    cutting::CutModel,
    press::{Crank, Drive, Press},
    springs::{Spring, SpringKind},
};
use support::{assert_close, bare_press, kn, mm, station, stock};

/// The lines of a file with values, without its headings, each as its word and the rest.
fn lines(text: &str) -> impl Iterator<Item = (&str, &str)> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split_once(',').expect("a line has a word and values"))
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(',').map(|number| number.parse().expect("a number")).collect()
}

/// A table of height and force.
fn table(text: &str) -> Work {
    let row = |row: &str| {
        let (height, force) = row.split_once(':').expect("height:force");
        (mm(height.parse().expect("a height")), kn(force.parse().expect("a force")))
    };
    Work::Table(text.split(' ').map(row).collect())
}

/// Height from the length of the rod by a root finder, lever by numeric differentiation.
#[test]
fn crank_moves_as_its_rod_lets_it() {
    let mut seen = 0;
    for line in include_str!("reference/crank.csv").lines().skip(1) {
        let [stroke, rod, degrees, height, lever] = numbers(line)[..] else { panic!("{line}") };
        let crank = Crank::new(Length::from_metres(stroke), Length::from_metres(rod)).unwrap();
        let angle = degrees.to_radians();
        // The root finder leaves about 1e-16 m.
        let off = (crank.height_at(angle).metres() - height).abs();
        assert!(off < 1e-14, "{line}: {off}");
        assert_close(crank.lever_at(angle).metres(), lever, 1e-7);
        assert_close(crank.angle_at(Length::from_metres(height)), angle, 1e-9);
        seen += 1;
    }
    assert_eq!(seen, 40);
}

/// One case of the slide on springs.
#[derive(Default)]
struct SlideCase {
    name: String,
    springs: SlideSprings,
    stations: Vec<Station>,
    /// Drive, slide, both tilts, force.
    rows: Vec<Vec<f64>>,
    order: Vec<usize>,
}

fn slide_cases() -> Vec<SlideCase> {
    let mut cases: Vec<SlideCase> = Vec::new();
    for (word, rest) in lines(include_str!("reference/slide_on_springs.csv")) {
        if word == "case" {
            let (name, values) = rest.split_once(',').expect("a name");
            let values = numbers(values);
            let springs = SlideSprings {
                stretch: values[0],
                tilt_x: values[1],
                tilt_y: values[2],
                frame_tilt: values[3],
                held_x: true,
                held_y: true,
            };
            cases.push(SlideCase { name: name.into(), springs, ..SlideCase::default() });
            continue;
        }
        let case = cases.last_mut().expect("a case");
        match word {
            "station" => {
                let (x, rest) = rest.split_once(',').expect("x");
                let (y, rows) = rest.split_once(',').expect("y");
                let at = |text: &str| text.parse::<f64>().expect("a place") * 1e3;
                case.stations.push(station((at(x), at(y)), table(rows)));
            }
            "row" => case.rows.push(numbers(rest)),
            _ => {
                let order = rest.split_whitespace().map(|index| index.parse().expect("an index"));
                case.order = order.collect();
            }
        }
    }
    cases
}

/// Against a root finder at every micrometre of the drive, and a stiff integration of the damped
/// descent where the slide lets go. The rest has no step here, so that what is left is the other's:
/// how deep a station had been when it rocked back is known to it to a micrometre.
#[test]
fn slide_rests_where_the_root_finder_finds_it() {
    let cases = slide_cases();
    assert_eq!(cases.len(), 5);
    for case in &cases {
        let stroke = support::stroke(&case.stations, &stock(2.0, 300.0, 0.4), CutModel::Shaped);
        let (line, state) = (&stroke.nominal, StripState::Full);
        let course = SlideCourse::new(&case.springs, line, &stroke, state, &Motion::NONE).unwrap();
        let largest =
            |column: usize| case.rows.iter().map(|row| row[column].abs()).fold(0.0, f64::max);
        // Above the first touch nothing acts.
        let touched = course.rows[0].drive.metres();
        for row in case.rows.iter().filter(|row| row[0] < touched) {
            let at = course.at(Length::from_metres(row[0])).expect("the slide is on its way");
            let ours = [at.drive.metres(), at.slide.metres(), at.tilt_x, at.tilt_y, at.force];
            for column in 1..5 {
                let off = (ours[column] - row[column]).abs();
                let name = &case.name;
                assert!(off <= TOLERANCE * largest(column) + 1e-12, "{name} {row:?} {ours:?}");
            }
        }
        let order: Vec<usize> = course.releases.iter().map(|release| release.station).collect();
        assert_eq!(order, case.order, "{}", case.name);
    }
}

const TOLERANCE: f64 = 1e-8;

/// One case of the snap-through.
struct SnapCase {
    name: String,
    press: Press,
    mass: Mass,
    stations: Vec<Station>,
    pull: Vec<f64>,
    /// Time, slide, force of the stretch.
    rows: Vec<Vec<f64>>,
}

fn snap_cases() -> Vec<SnapCase> {
    let mut cases: Vec<SnapCase> = Vec::new();
    for (word, rest) in lines(include_str!("reference/snap_through.csv")) {
        if word == "case" {
            let (name, values) = rest.split_once(',').expect("a name");
            let [stroke, rod, speed, mass, stiffness, damping] = numbers(values)[..] else {
                panic!("{rest}")
            };
            let (stroke, rod) = (Length::from_metres(stroke), Length::from_metres(rod));
            let press = Press {
                drive: Drive::crank(stroke, Some(rod), None).unwrap(),
                speed: Some(StrokeRate::from_per_minute(speed)),
                stiffness: Some(Stiffness::from_newtons_per_metre(stiffness)),
                slide_mass: Some(Mass::from_kilograms(mass)),
                damping_share: Some(damping),
                ..bare_press()
            };
            let (name, mass) = (name.to_owned(), Mass::from_kilograms(0.0));
            let (stations, pull, rows) = (Vec::new(), Vec::new(), Vec::new());
            cases.push(SnapCase { name, press, mass, stations, pull, rows });
            continue;
        }
        let case = cases.last_mut().expect("a case");
        match word {
            "stock" => case.stations.push(station((0.0, 0.0), table(rest))),
            "spring" => {
                let [entry, preload, rate] = numbers(rest)[..] else { panic!("{rest}") };
                let kind = SpringKind::Coil {
                    preload: press_load::Force::from_newtons(preload),
                    rate: Stiffness::from_newtons_per_metre(rate),
                };
                let spring = Spring { kind, entry: Length::from_metres(entry) };
                case.stations.push(station((0.0, 0.0), Work::Spring(spring)));
            }
            "pull" => case.pull = numbers(rest),
            _ => case.rows.push(numbers(rest)),
        }
    }
    cases
}

/// Against an adaptive integration of high order that stops wherever the slide turns.
#[test]
fn snap_through_follows_the_adaptive_integration() {
    let cases = snap_cases();
    assert_eq!(cases.len(), 4);
    for case in &cases {
        let stroke = press_load::Stroke::new(
            &case.stations,
            &stock(2.0, 300.0, 0.4),
            CutModel::Shaped,
            case.press.drive.stroke(),
        )
        .unwrap();
        let snap = SnapThrough::new(&case.press, Some(case.mass), &stroke).unwrap();
        assert_close(snap.nominal.newtons(), case.pull[0], 0.01);
        let rows =
            SnapThrough::course(&case.press, Some(case.mass), &stroke, Line::Nominal).unwrap();
        let largest = case.rows.iter().map(|row| row[2].abs()).fold(case.pull[0], f64::max);
        for row in &case.rows {
            let later = rows.partition_point(|ours| ours.time < row[0]).clamp(1, rows.len() - 1);
            let (a, b) = (rows[later - 1], rows[later]);
            let part = (row[0] - a.time) / (b.time - a.time);
            let slide = a.slide + part * (b.slide - a.slide);
            let press = a.press + part * (b.press - a.press);
            let name = &case.name;
            assert!((slide.metres() - row[1]).abs() < 2e-5, "{name} {row:?} {slide:?}");
            assert!((press.newtons() - row[2]).abs() < 0.02 * largest, "{name} {row:?} {press:?}");
        }
    }
}

/// The upper line has the dull edges: its course shows a higher peak and a larger pull.
#[test]
fn wear_shows_between_the_two_lines() {
    let worn = |wear_factor| {
        let hole =
            support::cut(support::circle(120.0), 5.0, press_load::tool_shear::ToolShear::Flat);
        let cut = press_load::cutting::Cut { wear_factor, ..hole };
        let stations = [station((0.0, 0.0), Work::Cut(cut))];
        let stroke = support::stroke(&stations, &stock(2.0, 300.0, 0.4), CutModel::Shaped);
        let press = Press {
            drive: Drive::crank(mm(400.0), Some(mm(1500.0)), None).unwrap(),
            speed: Some(StrokeRate::from_per_minute(40.0)),
            stiffness: Some(Stiffness::from_kilonewtons_per_millimetre(800.0)),
            slide_mass: Some(Mass::from_kilograms(1500.0)),
            damping_share: Some(0.1),
            ..bare_press()
        };
        [Line::Nominal, Line::Upper].map(|line| {
            let rows = SnapThrough::course(&press, None, &stroke, line).unwrap();
            let of = |row: &press_load::SnapRow| row.press.newtons();
            let peak = rows.iter().map(of).fold(0.0, f64::max);
            let pull = -rows.iter().map(of).fold(0.0, f64::min);
            (peak, pull)
        })
    };
    let ([sharp, same], [_, dull]) = (worn(1.0), worn(1.4));
    assert_close(same.0, sharp.0, 1e-9);
    assert!(
        dull.0 > 1.2 * sharp.0 && dull.1 > 1.1 * sharp.1 && sharp.1 > 0.0,
        "{sharp:?} {dull:?}"
    );
}

/// The tables of the references are the loads of the program: what is compared is the rest.
#[test]
fn tables_are_read_as_they_stand() {
    let cases = slide_cases();
    let first = &cases[1];
    let stroke = support::stroke(&first.stations, &stock(2.0, 300.0, 0.4), CutModel::Shaped);
    let total: LoadSeries = support::nominal(&stroke);
    let peak = total.force.iter().copied().fold(0.0, f64::max);
    assert_close(peak, 150.0 * 8_896.443, 1e-9);
}
