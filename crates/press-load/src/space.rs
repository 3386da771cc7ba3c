//! Whether the die has room: in height, on bolster and slide, over the slots and the slug holes.

use crate::{
    Length, Missing, Point, StripState, Use,
    check::{Caution, plain_use},
    die::{Die, Station},
    geometry::Motion,
    press::{Footprint, Press, Slots},
    slugs,
};

/// How far a guide post may leave its bushing before that is a hazard of its own: one-fourth inch
/// (29 CFR 1910.217(d)(4)).
pub const GUIDE_POST_GAP: Length = Length::from_millimetres(6.35);

/// The closed die with what it stands on in the press's window, counted from the window's middle.
pub(crate) fn shut_height(press: &Press, die: &Die) -> Result<Use, Missing> {
    let highest = press.shut_height.ok_or(Missing::PressShutHeight)?;
    let height = die.stack().ok_or(Missing::DieShutHeight)?;
    let used = |share, limit: Length| Use {
        share,
        demand: height.millimetres(),
        limit: limit.millimetres(),
        at_height: None,
        strip_state: StripState::Full,
    };
    let Some(adjustment) = press.shut_height_adjustment else {
        // Too high is too high; whether it is low enough cannot be said.
        return if height > highest {
            Ok(used(height / highest, highest))
        } else {
            Err(Missing::ShutHeightAdjustment)
        };
    };
    // How much of the window is used, from its middle: 0 there, 1 at either end.
    let lowest = highest - adjustment;
    let half = adjustment / 2.0;
    let off_middle = height - (lowest + half);
    let limit = if off_middle >= Length::ZERO { highest } else { lowest };
    let share = if half > Length::ZERO {
        off_middle.abs() / half
    } else if height == highest {
        1.0
    } else {
        f64::INFINITY
    };
    Ok(used(share, limit))
}

/// Opening that feeding and taking out need against what the stroke opens: at the top the die's
/// halves stand one stroke farther apart than closed.
pub(crate) fn daylight(press: &Press, die: &Die) -> Result<Use, Missing> {
    let needed = die.opening_needed.ok_or(Missing::OpeningNeeded)?;
    let stroke = press.drive.known_stroke().ok_or(Missing::Stroke)?;
    Ok(plain_use(needed.millimetres(), stroke.millimetres()))
}

/// Height of the first touch against the length over which posts and bushings overlap with the die
/// closed: they have to hold before anything touches the stock (common practice, no source).
pub(crate) fn guide_engagement(die: &Die, stations: &[Station]) -> Result<Use, Missing> {
    let engaged = die.guide_engagement.ok_or(Missing::GuideEngagement)?;
    Ok(plain_use(first_touch(stations).millimetres(), engaged.millimetres()))
}

/// Slide height at which anything first touches stock; zero if nothing does.
pub(crate) fn first_touch(stations: &[Station]) -> Length {
    stations
        .iter()
        .flat_map(|station| &station.work)
        .filter(|placed| placed.work.needs_stock())
        .map(|placed| placed.work.entry())
        .fold(Length::ZERO, Length::max)
}

/// How much of `area`, which is centred, the placed die uses.
pub(crate) fn fit(die: &Die, area: Footprint) -> Result<Use, Missing> {
    let die_area = die.placed_footprint().ok_or(Missing::DieSize)?;
    let reach = |shift: Length, size: Length| shift.abs() + size / 2.0;
    let x = (reach(die.placement.x, die_area.width), area.width / 2.0);
    let y = (reach(die.placement.y, die_area.depth), area.depth / 2.0);
    let (demand, limit) = if x.0 / x.1 >= y.0 / y.1 { x } else { y };
    Ok(plain_use(demand.millimetres(), limit.millimetres()))
}

/// The farthest that the placed die reaches from the press centre, to the side and to the back.
pub(crate) fn reach(die: &Die) -> Option<Length> {
    let area = die.placed_footprint()?;
    let x = die.placement.x.abs() + area.width / 2.0;
    let y = die.placement.y.abs() + area.depth / 2.0;
    Some(x.max(y))
}

/// What does not go together in space and is no limit.
pub(crate) fn cautions(press: &Press, die: &Die, stations: &[Station]) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if let (Some(engaged), Some(stroke)) = (die.guide_engagement, press.drive.known_stroke())
        && stroke > engaged
    {
        let (gap, hazard) = (stroke - engaged, stroke - engaged > GUIDE_POST_GAP);
        cautions.push(Caution::GuidesPart { gap, hazard });
    }
    let placement = die.placement.motion();
    if let Some(bolts) = &die.bolts {
        for (on_slide, slots, places) in
            [(false, press.bolster_slots, &bolts.lower), (true, press.slide_slots, &bolts.upper)]
        {
            let Some(slots) = slots else { continue };
            let out: Vec<(usize, Length)> = out_of_reach(&slots, places, bolts.reach, &placement);
            if let Some(&(bolt, distance)) =
                out.iter().max_by(|a, b| a.1.metres().total_cmp(&b.1.metres()))
            {
                let (count, reach) = (out.len(), bolts.reach);
                cautions.push(Caution::BoltsOutOfReach { on_slide, count, bolt, distance, reach });
            }
        }
    }
    if !press.openings.is_empty() {
        for station in stations {
            if slugs::falls(press, station, &placement).any(|fall| fall.hole.is_none()) {
                cautions.push(Caution::SlugBlocked { station: station.name.clone() });
            }
        }
    }
    cautions
}

/// Bolts farther from their slot than their reach, by index.
fn out_of_reach(
    slots: &Slots,
    places: &[Point],
    reach: Length,
    placement: &Motion,
) -> Vec<(usize, Length)> {
    places
        .iter()
        .enumerate()
        .filter_map(|(index, &place)| {
            let distance = slots.distance_to(placement.apply(place))?;
            (distance > reach).then_some((index, distance))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        State, Work, assert_close,
        cutting::{Cut, CutKind},
        die::{Bolts, DieKind, PlacedWork},
        outline::Outline,
        press::{Drive, Opening, SlotDirection},
        tool_shear::ToolShear,
    };

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn press() -> Press {
        Press::of(Drive::Hydraulic { stroke: mm(200.0), pressing_speed: None })
    }

    fn pierce(x_mm: f64, diameter_mm: f64) -> Station {
        let cut = Cut {
            kind: CutKind::Pierce,
            outline: Outline::Circle { diameter: mm(diameter_mm) },
            entry: mm(12.0),
            tool_shear: ToolShear::Flat,
            shear_on: None,
            punch: None,
            allowance: None,
            clearance_percent: None,
            land: None,
            strip_factor: 0.1,
            wear_factor: 1.0,
        };
        Station {
            name: "Pierce".to_owned(),
            at: Point::from_millimetres(x_mm, 0.0),
            strip_position: 1,
            stock: None,
            work: vec![PlacedWork { work: Work::Cut(cut), motion: Motion::NONE }],
            stripper: None,
        }
    }

    #[test]
    fn daylight_is_the_stroke() {
        let mut die = Die::of(DieKind::Single);
        assert_eq!(daylight(&press(), &die), Err(Missing::OpeningNeeded));
        for (needed, state) in [(100.0, State::Within), (180.0, State::Near), (201.0, State::Over)]
        {
            die.opening_needed = Some(mm(needed));
            let used = daylight(&press(), &die).expect("it is known");
            assert_close(used.share, needed / 200.0, 1e-12);
            assert_eq!(State::of_share(used.share, 0.8), state);
        }
    }

    #[test]
    fn guides_hold_before_the_first_touch() {
        let mut die = Die::of(DieKind::Single);
        let stations = [pierce(0.0, 10.0)];
        assert_eq!(guide_engagement(&die, &stations), Err(Missing::GuideEngagement));
        for (engaged, state) in [(60.0, State::Within), (14.0, State::Near), (11.0, State::Over)] {
            die.guide_engagement = Some(mm(engaged));
            let used = guide_engagement(&die, &stations).expect("it is known");
            assert_close(used.share, 12.0 / engaged, 1e-12);
            assert_eq!(State::of_share(used.share, 0.8), state);
        }
    }

    #[test]
    fn guide_posts_that_leave_far_are_a_hazard() {
        let mut die = Die::of(DieKind::Single);
        let found = |die: &Die| cautions(&press(), die, &[]);
        die.guide_engagement = Some(mm(200.0));
        assert_eq!(found(&die), []);
        for (engaged, hazard) in [(195.0, false), (193.0, true)] {
            die.guide_engagement = Some(mm(engaged));
            let [Caution::GuidesPart { gap, hazard: is_hazard }] = found(&die)[..] else {
                panic!("no caution at {engaged}");
            };
            assert_close(gap.millimetres(), 200.0 - engaged, 1e-9);
            assert_eq!(is_hazard, hazard);
        }
    }

    /// Slots every 150 mm from front to back; a bolt 40 mm beside one with a reach of 25 mm is out.
    #[test]
    fn bolt_has_to_reach_a_slot() {
        let mut press = press();
        press.bolster_slots =
            Some(Slots { direction: SlotDirection::FrontBack, pitch: mm(150.0), count: 5 });
        let mut die = Die::of(DieKind::Single);
        die.bolts = Some(Bolts {
            lower: vec![Point::from_millimetres(-150.0, 0.0), Point::from_millimetres(190.0, 0.0)],
            upper: vec![Point::from_millimetres(70.0, 0.0)],
            reach: mm(25.0),
        });
        // Nobody entered the slide's slots, so nothing is said of them.
        let [Caution::BoltsOutOfReach { on_slide: false, count: 1, bolt: 1, distance, .. }] =
            cautions(&press, &die, &[])[..]
        else {
            panic!("no caution");
        };
        assert_close(distance.millimetres(), 40.0, 1e-9);
        die.placement.x = mm(-20.0);
        assert_eq!(cautions(&press, &die, &[]), []);
    }

    #[test]
    fn slug_needs_a_hole_that_holds_it() {
        let mut press = press();
        let die = Die::of(DieKind::Single);
        let stations = [pierce(50.0, 30.0)];
        assert_eq!(cautions(&press, &die, &stations), []);
        let hole = |x, width| Opening {
            at: Point::from_millimetres(x, 0.0),
            width: mm(width),
            depth: mm(100.0),
        };
        press.openings = vec![hole(-50.0, 100.0)];
        assert!(matches!(cautions(&press, &die, &stations)[..], [Caution::SlugBlocked { .. }]));
        press.openings.push(hole(50.0, 30.0));
        assert_eq!(cautions(&press, &die, &stations), []);
        press.openings[1] = hole(52.0, 30.0);
        assert_eq!(cautions(&press, &die, &stations).len(), 1);
    }
}
