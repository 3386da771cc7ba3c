//! "How to choose the right mechanical press for energy capacity and deep drawing die",
//! demirezenengineering.com.

use crate::support::*;
use press_load::{
    Energy, Force, StrokeRate, Work,
    cutting::CutModel,
    press::{EnergyRating, Running},
};

/// 50 tons over 10 mm: "5 kJ"; over 30 mm: "15 kJ". With tonnes-force it is 4.90 and 14.7 kJ.
#[test]
fn work_of_a_block_of_force_is_force_times_travel() {
    for (travel, rounded, exact) in [(10.0, 5.0, 4.903), (30.0, 15.0, 14.71)] {
        let force = Force::from_tonnes_force(50.0);
        let table = vec![(mm(travel), force), (mm(0.0), force)];
        let stations = [station((0.0, 0.0), Work::Table(table))];
        let stroke = stroke(&stations, &stock(1.0, 300.0, 0.4), CutModel::Plateau);
        let work = stroke.nominal.work().kilojoules();
        assert_close(work, exact, 1e-3);
        assert_close(work, rounded, 2.5e-2);
    }
}

/// Flywheel energy is four times as large when the speed doubles from 75 to 150 rpm.
#[test]
fn flywheel_energy_goes_with_the_square_of_speed() {
    let spm = StrokeRate::from_per_minute;
    let rating = EnergyRating::Usable {
        energy: Energy::from_kilojoules(20.0),
        single: None,
        at: Some(spm(150.0)),
    };
    let at = |speed| rating.usable_at(spm(speed), Running::Continuous).unwrap();
    assert_close(at(150.0) / at(75.0), 4.0, 1e-12);
}
