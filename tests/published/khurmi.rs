//! R. S. Khurmi, J. K. Gupta, *Theory of Machines*, 14th ed., 2009, ch. 15 and 16.

use crate::support::*;
use press_load::{
    Force, LimitId, StrokeRate, Work, check,
    cutting::CutModel,
    press::{Crank, EnergyRating, Press, Running},
    tool_shear::ToolShear,
};
use std::f64::consts::TAU;

/// A crank from radius and rod in metres; its angles are those from the dead centre at which crank
/// and rod are in line, which is BDC in a press.
fn crank(radius: f64, rod: f64) -> Crank {
    Crank::new(mm(2e3 * radius), mm(1e3 * rod)).unwrap()
}

fn speed(crank: &Crank, rpm: f64, angle_deg: f64) -> f64 {
    rpm / 60.0 * TAU * crank.lever_at(angle_deg.to_radians()).metres()
}

/// Example 15.3, p. 527: crank 0.3 m, rod 1 m, 200 rpm: largest speed 6.54 m/s at 75°, by the
/// first-order series. Exactly it is 6.562 m/s at 74.53°.
#[test]
fn largest_slide_speed_lies_just_above_the_first_order_one() {
    let crank = crank(0.3, 1.0);
    let (angle, fastest) = (0..18_000)
        .map(|i| f64::from(i) * 0.01)
        .map(|angle| (angle, speed(&crank, 200.0, angle)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap();
    assert_close(angle, 74.53, 2e-4);
    assert_close(fastest, 6.562, 1e-4);
    assert_close(fastest, 6.54, 4e-3);
    assert!(fastest > 6.54 && angle < 75.0);
}

/// Example 15.4, p. 528: crank 0.3 m, rod 1.5 m, 180 rpm, 40°: 4.19 m/s by the first-order series,
/// exactly 4.196.
#[test]
fn slide_speed_at_forty_degrees_is_the_printed_one_to_first_order() {
    let v = speed(&crank(0.3, 1.5), 180.0, 40.0);
    assert_close(v, 4.196, 2e-4);
    assert_close(v, 4.19, 2e-3);
}

/// Example 15.10, p. 536: crank 0.3 m, rod 4.5 times as long, 28.263 kN at 30°: 5.06 kN·m, height
/// 48.55 mm. Without the rod, `F·r·sin θ` = 4.239 kN·m, is 16 % low.
#[test]
fn crank_torque_counts_the_rod() {
    let crank = crank(0.3, 0.3 * 4.5);
    let angle = 30.0_f64.to_radians();
    assert_close(crank.height_at(angle).millimetres(), 48.55, 2e-4);
    let torque = 28.263 * crank.lever_at(angle).metres();
    assert_close(torque, 5.06, 1e-3);
    let without_rod = 28.263 * 0.3 * angle.sin();
    assert_close(without_rod, 4.239, 2e-4);
    assert_close(without_rod / torque, 0.84, 5e-3);
}

/// Example 15.12, p. 538: crank 0.2 m, rod 0.6 m, 45°, 22 359 N: 3929.03 N·m; height 75.48 mm.
#[test]
fn crank_torque_at_forty_five_degrees_is_the_printed_one() {
    let crank = crank(0.2, 0.6);
    let angle = 45.0_f64.to_radians();
    assert_close(22_359.0 * crank.lever_at(angle).metres(), 3929.03, 1e-4);
    assert_close(crank.height_at(angle).millimetres(), 75.48, 1e-4);
    assert_close(crank.angle_at(mm(75.48)), angle, 1e-4);
}

/// Example 16.19, p. 603: 720 holes an hour of 15 kJ each: 3 kW. A copy prints 70 holes an hour,
/// which would be 0.29 kW.
#[test]
fn motor_power_is_work_times_rate() {
    let table = vec![(mm(10.0), kn(1500.0)), (mm(0.0), kn(1500.0))];
    let stations = [station((0.0, 0.0), Work::Table(table))];
    let stroke = stroke(&stations, &stock(1.0, 300.0, 0.4), CutModel::Plateau);
    assert_close(stroke.nominal.work().kilojoules(), 15.0, 1e-12);
    let press = Press {
        motor: Some(press_load::Power::from_kilowatts(3.0)),
        speed: Some(StrokeRate::from_per_minute(720.0 / 60.0)),
        ..bare_press()
    };
    let checked = check(&press, &bare_die(), &stations, &stroke, None);
    let used = checked.limit(LimitId::MotorPower).outcome.unwrap();
    assert_close(used.demand, 3.0, 1e-9);
    assert!(used.demand > 10.0 * 0.29);
}

/// Example 16.19, p. 603: 618 kg at a radius of gyration of 0.5 m, slowing from 225 to 200 rpm, gives
/// up 9000 J.
#[test]
fn flywheel_gives_up_the_printed_energy_in_slowing_down() {
    let wheel = EnergyRating::Flywheel {
        inertia_kgm2: 618.0 * 0.25,
        turns_per_second: 225.0 / 60.0,
        slowdown: 25.0 / 225.0,
        single_slowdown: None,
        at: None,
    };
    let given = wheel.usable_at(StrokeRate::from_per_minute(12.0), Running::Continuous).unwrap();
    assert_close(given.joules(), 9000.0, 5e-4);
}

/// Example 16.20, p. 603: hole 38 mm in 32 mm plate, 7 J per mm² sheared: 26 740 J; one in 10 s:
/// 2.674 kW; 1198 kg at 25 m/s with 3 % fluctuation about the mean give 22 462 J.
#[test]
fn thick_plate_takes_the_printed_work_and_its_flywheel_stores_it() {
    // 7 J/mm² over 32 mm is a mean stress of 7000/32 MPa along the whole thickness.
    let hole = cut(circle(38.0), 40.0, ToolShear::Flat);
    let work = cut_work_joules(hole, &stock(32.0, 7000.0 / 32.0, 1.0), CutModel::Plateau);
    assert_close(work, 26_740.0, 2e-4);
    assert_close(work / 10.0, 2674.0, 2e-4);
    let wheel = EnergyRating::Flywheel {
        inertia_kgm2: 1197.95,
        turns_per_second: 25.0 * 1.015 / TAU,
        slowdown: 0.03 / 1.015,
        single_slowdown: None,
        at: None,
    };
    let given = wheel.usable_at(StrokeRate::from_per_minute(6.0), Running::Continuous).unwrap();
    assert_close(given.joules(), 22_462.0, 1e-4);
}

/// Example 16.23, p. 606: hole 25 mm in 18 mm plate, 300 MPa: 424.1 kN, and 3.817 kJ by half force
/// times thickness, which is the constant force over a penetration of one half.
#[test]
fn hole_takes_the_printed_force_and_half_of_force_times_thickness_as_work() {
    let sheet = stock(18.0, 300.0, 0.5);
    let force: Force = plateau_peak(circle(25.0), ToolShear::Flat, &sheet);
    assert_close(force.kilonewtons(), 424.1, 1e-4);
    let hole = cut(circle(25.0), 30.0, ToolShear::Flat);
    assert_close(cut_work_joules(hole, &sheet, CutModel::Plateau), 3817.0, 1e-4);
}
