//! Places at which the bolster's slots hold the die best, for a hand that puts it there.
//!
//! Where the bolts of the lower die are entered, these are the middles of the strips in which every
//! bolt reaches a slot. Where they are not, or no place suits them all, they are whole pitches from
//! the bolster's centre: slots lie symmetric about it, so that a die which fits when it is centred
//! fits again one pitch on (our own reading of the geometry).

use super::room::{SLACK, reachable};
use crate::{
    Die, Length, Placement, Point,
    press::{Press, SlotDirection, Slots},
};

/// The placement moved onto the nearest such place, across the slots only, where that is no farther
/// than `hold` and than a quarter of the pitch; none where the slots are not entered or it is farther.
pub fn caught_by_slots(
    press: &Press,
    die: &Die,
    placement: Placement,
    hold: Length,
) -> Option<Placement> {
    let slots = press.bolster_slots.as_ref()?;
    let now = across(slots, &placement);
    let place = nearest(slots, die, &placement, now);
    let hold = hold.metres().min(slots.pitch.metres() / 4.0);
    let is_near = (place - now).metres().abs() <= hold;
    is_near.then(|| moved(slots, placement, place))
}

/// The placement one such place on, against the axis with `steps` below zero; none where the slots are
/// not entered or run the way in which the die is to move. `to_the_back` is the way of the step.
pub fn one_slot_on(
    press: &Press,
    die: &Die,
    placement: Placement,
    to_the_back: bool,
    steps: f64,
) -> Option<Placement> {
    let slots = press.bolster_slots.as_ref()?;
    if to_the_back != (slots.direction == SlotDirection::LeftRight) {
        return None;
    }
    let place = nearest(slots, die, &placement, across(slots, &placement) + slots.pitch * steps);
    Some(moved(slots, placement, place))
}

fn across(slots: &Slots, placement: &Placement) -> Length {
    match slots.direction {
        SlotDirection::LeftRight => placement.y,
        SlotDirection::FrontBack => placement.x,
    }
}

fn moved(slots: &Slots, placement: Placement, place: Length) -> Placement {
    match slots.direction {
        SlotDirection::LeftRight => Placement { y: place, ..placement },
        SlotDirection::FrontBack => Placement { x: place, ..placement },
    }
}

fn nearest(slots: &Slots, die: &Die, placement: &Placement, near: Length) -> Length {
    let by_bolts = || {
        let bolts = die.bolts.as_ref().filter(|bolts| !bolts.lower.is_empty())?;
        let turned = placement.motion();
        let turned: Vec<Point> = bolts.lower.iter().map(|&bolt| turned.turn(bolt)).collect();
        let (strips, stretched) = reachable(slots, &turned, bolts.reach.metres());
        let middles = strips.iter().map(|strip| match slots.direction {
            SlotDirection::LeftRight => (strip.y.low + strip.y.high) / 2.0,
            SlotDirection::FrontBack => (strip.x.low + strip.x.high) / 2.0,
        });
        let away = |place: &f64| (place - near.metres()).abs();
        let found = middles.reduce(|a, b| if away(&b) < away(&a) { b } else { a })?;
        (stretched <= SLACK).then(|| Length::from_metres(found))
    };
    by_bolts().unwrap_or_else(|| slots.pitch * (near / slots.pitch).round())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{DieKind, die::Bolts, press::Drive};

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn press(direction: SlotDirection) -> Press {
        let mut press = Press::of(Drive::Hydraulic { stroke: mm(100.0), pressing_speed: None });
        press.bolster_slots = Some(Slots { direction, pitch: mm(150.0), count: 8 });
        press
    }

    fn at(x: f64, y: f64) -> Placement {
        Placement { x: mm(x), y: mm(y), turn_deg: 0.0 }
    }

    #[test]
    fn near_a_place_the_slots_catch_the_die_and_farther_away_it_is_free() {
        let (press, die) = (press(SlotDirection::FrontBack), Die::of(DieKind::Single));
        let caught = |x, hold| caught_by_slots(&press, &die, at(x, 7.0), mm(hold));
        let place = caught(144.0, 10.0).expect("it is near 150 mm");
        assert!((place.x.millimetres() - 150.0).abs() < 1e-9, "{place:?}");
        assert!((place.y.millimetres() - 7.0).abs() < 1e-9, "along the slots it stays");
        assert_eq!(caught(130.0, 10.0), None);
        assert_eq!(caught(100.0, 500.0), None, "no farther than a quarter of the pitch");
        assert_eq!(
            caught_by_slots(
                &Press { bolster_slots: None, ..press.clone() },
                &die,
                at(0.0, 0.0),
                mm(10.0)
            ),
            None
        );
    }

    #[test]
    fn the_bolts_of_the_die_decide_where_it_is_caught() {
        let press = press(SlotDirection::FrontBack);
        let mut die = Die::of(DieKind::Single);
        // Slots stand at 75, 225, 375 and 525 mm on both sides; these bolts are 20 mm off that.
        let lower = [-355.0, 395.0].map(|x| Point::from_millimetres(x, 0.0)).to_vec();
        die.bolts = Some(Bolts { lower, upper: Vec::new(), reach: mm(5.0) });
        let place = caught_by_slots(&press, &die, at(-15.0, 0.0), mm(10.0)).expect("near");
        assert!((place.x.millimetres() + 20.0).abs() < 1e-6, "{place:?}");
        let next = one_slot_on(&press, &die, place, false, 1.0).expect("slots repeat to the right");
        assert!((next.x.millimetres() - 130.0).abs() < 1e-6, "{next:?}");
        assert_eq!(one_slot_on(&press, &die, place, true, 1.0), None, "slots run to the back");
        // Bolts that fit no two slots: whole pitches from the middle.
        die.bolts.as_mut().unwrap().lower[1] = Point::from_millimetres(330.0, 0.0);
        let place = caught_by_slots(&press, &die, at(4.0, 0.0), mm(10.0)).expect("near");
        assert!(place.x.millimetres().abs() < 1e-9, "{place:?}");
    }

    #[test]
    fn a_turned_die_takes_its_bolts_along() {
        let press = press(SlotDirection::LeftRight);
        let mut die = Die::of(DieKind::Single);
        let lower = vec![Point::from_millimetres(85.0, 0.0)];
        die.bolts = Some(Bolts { lower, upper: Vec::new(), reach: mm(5.0) });
        let turned = Placement { turn_deg: 90.0, ..at(0.0, -8.0) };
        let place = caught_by_slots(&press, &die, turned, mm(5.0)).expect("near");
        assert!((place.y.millimetres() + 10.0).abs() < 1e-6, "{place:?}");
    }
}
