//! The die: its stations, their work, and where it stands on the bolster.

use crate::{
    Force, InputError, Length, Line, Mass, Motion, Point, Sheet, Stock,
    bending::Bend,
    cutting::{Cut, CutModel},
    deep_drawing::Draw,
    flanging::{Flange, HoleFlange},
    hemming::Hem,
    load::Load,
    outline::Outline,
    point_load::PointLoad,
    press::Footprint,
    springs::Spring,
    squeezing::Squeeze,
    strip::{Strip, StripEnd},
    stripping::Stripper,
};

/// What kind of die, which decides the strip states it goes through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DieKind {
    /// One operation.
    Single,
    /// Cutting only, in one station.
    Compound,
    /// Cutting and forming in one station.
    Combination,
    /// A strip carried through stations.
    Progressive,
    /// Loose blanks moved from station to station.
    Transfer,
}

impl DieKind {
    /// Whether the die fills up and runs out station by station.
    pub const fn fills_up(self) -> bool {
        matches!(self, Self::Progressive | Self::Transfer)
    }
}

/// Where the die stands: its centre on the bolster and how it is turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Die centre, right of the bolster centre.
    pub x: Length,
    /// Die centre, behind the bolster centre.
    pub y: Length,
    /// Counter-clockwise seen from above; quarter turns.
    pub turn_deg: f64,
}

impl Placement {
    /// The motion from die coordinates to the bolster.
    pub fn motion(&self) -> Motion {
        Motion::new(Point::new(self.x.metres(), self.y.metres()), self.turn_deg)
    }
}

/// The die as a body.
#[derive(Clone, Debug, PartialEq)]
pub struct Die {
    /// What kind.
    pub kind: DieKind,
    /// Its area before turning.
    pub footprint: Option<Footprint>,
    /// Closed height.
    pub shut_height: Option<Length>,
    /// Height of what it stands on, zero where it stands on the bolster.
    pub parallels: Length,
    /// Mass of the upper die.
    pub upper_mass: Option<Mass>,
    /// Where it stands.
    pub placement: Placement,
    /// Opening between its halves that feeding and taking out need at the top of the stroke.
    pub opening_needed: Option<Length>,
    /// Length over which guide posts and bushings overlap with the die closed.
    pub guide_engagement: Option<Length>,
    /// What holds the upper die to the slide.
    pub upper_clamps: Option<Clamps>,
    /// Where it is bolted.
    pub bolts: Option<Bolts>,
    /// The strip it works on, where its leading edge is to be followed.
    pub strip: Option<Strip>,
}

/// Clamps of one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clamps {
    /// How many.
    pub count: u32,
    /// What each holds.
    pub force: Force,
}

/// Bolt places of a die, in die coordinates, and how far from a slot each may be.
#[derive(Clone, Debug, PartialEq)]
pub struct Bolts {
    /// On the lower die, for the bolster's slots.
    pub lower: Vec<Point>,
    /// On the upper die, for the slide's slots.
    pub upper: Vec<Point>,
    /// How far from its place a bolt may stand.
    pub reach: Length,
}

impl Die {
    /// A die at the bolster centre of which only the kind is known.
    pub const fn of(kind: DieKind) -> Self {
        Self {
            kind,
            footprint: None,
            shut_height: None,
            parallels: Length::ZERO,
            upper_mass: None,
            placement: Placement { x: Length::ZERO, y: Length::ZERO, turn_deg: 0.0 },
            opening_needed: None,
            guide_engagement: None,
            upper_clamps: None,
            bolts: None,
            strip: None,
        }
    }

    /// How high it stands above the bolster when it is closed, with what it stands on.
    pub fn stack(&self) -> Option<Length> {
        self.shut_height.map(|closed| closed + self.parallels)
    }

    /// Its area on the bolster, width and depth exchanged by an odd number of quarter turns.
    pub fn placed_footprint(&self) -> Option<Footprint> {
        let footprint = self.footprint?;
        let quarter_turns = (self.placement.turn_deg / 90.0).round().rem_euclid(4.0) as u32;
        Some(if quarter_turns % 2 == 1 {
            Footprint { width: footprint.depth, depth: footprint.width }
        } else {
            footprint
        })
    }
}

/// One station.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// What the shop calls it.
    pub name: String,
    /// Its point in die coordinates.
    pub at: Point,
    /// Its place along the strip, from 1; none for a die that does not fill up.
    pub strip_position: u32,
    /// Stock in this station where it differs from the job's.
    pub stock: Option<Stock>,
    /// What it does.
    pub work: Vec<PlacedWork>,
    /// How it strips; taken as fixed if unknown, which loads the slide.
    pub stripper: Option<Stripper>,
}

/// A piece of work with its own place and turn in the station.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedWork {
    /// What is done.
    pub work: Work,
    /// From work coordinates to station coordinates.
    pub motion: Motion,
}

/// What a station does to the stock, or to itself.
#[derive(Clone, Debug, PartialEq)]
pub enum Work {
    /// Cuts along an outline.
    Cut(Cut),
    /// Bends along a line.
    Bend(Bend),
    /// Wipes a flange along a line.
    Flange(Flange),
    /// Turns up the rim of a hole.
    HoleFlange(HoleFlange),
    /// Folds a flange back on the sheet.
    Hem(Hem),
    /// Draws, redraws or irons a cup.
    Draw(Draw),
    /// Coins, embosses or sizes.
    Squeeze(Squeeze),
    /// Pushes back.
    Spring(Spring),
    /// Any other work, as a table of height and force.
    Table(Vec<(Length, Force)>),
}

impl Work {
    /// Whether it acts only where stock is in the station.
    pub const fn needs_stock(&self) -> bool {
        !matches!(self, Self::Spring(_))
    }

    /// Slide height at which it first acts.
    pub fn entry(&self) -> Length {
        match self {
            Self::Cut(cut) => cut.entry,
            Self::Bend(bend) => bend.entry,
            Self::Flange(flange) => flange.entry,
            Self::HoleFlange(flange) => flange.entry,
            Self::Hem(hem) => hem.entry,
            Self::Draw(draw) => draw.entry,
            Self::Squeeze(squeeze) => squeeze.entry,
            Self::Spring(spring) => spring.entry,
            Self::Table(rows) => rows.iter().map(|row| row.0).fold(Length::ZERO, |a, b| a.max(b)),
        }
    }

    /// Its loads through the stroke, brought into place by `motion`.
    ///
    /// # Errors
    ///
    /// [`InputError`] of the law that cannot work with the data.
    pub fn loads(
        &self,
        sheet: &Sheet,
        line: Line,
        model: CutModel,
        motion: &Motion,
    ) -> Result<Vec<Load>, InputError> {
        let at = motion.apply(Point::default());
        Ok(match self {
            Self::Cut(cut) => {
                let factor = cut.force_factor(line, model);
                vec![Load::Edge(cut.load(sheet, model, factor, motion)?)]
            }
            Self::Bend(bend) => points(bend.loads(sheet, at)?),
            Self::Flange(flange) => points(flange.loads(sheet, at)?),
            Self::HoleFlange(flange) => points(flange.loads(sheet, at)?),
            Self::Hem(hem) => points(hem.loads(sheet, at)?),
            Self::Draw(draw) => points(draw.loads(sheet, at)?),
            Self::Squeeze(squeeze) => points(squeeze.loads(sheet, at)?),
            Self::Spring(spring) => vec![Load::Point(spring.load(at)?)],
            Self::Table(rows) => vec![Load::Point(PointLoad::from_table(at, rows)?)],
        })
    }
}

/// As far as the strip's leading edge matters.
impl Work {
    /// Its loads where the strip reaches only as far as `end`: cuts are cut as far as there is stock,
    /// other work is done as soon as the strip reaches its point.
    ///
    /// # Errors
    ///
    /// As [`Work::loads`].
    pub fn loads_up_to(
        &self,
        sheet: &Sheet,
        line: Line,
        model: CutModel,
        motion: &Motion,
        end: StripEnd,
    ) -> Result<Vec<Load>, InputError> {
        match self {
            Self::Cut(cut) => {
                let factor = cut.force_factor(line, model);
                let load = cut.load_up_to(sheet, model, factor, motion, end)?;
                Ok(load.map(Load::Edge).into_iter().collect())
            }
            _ if end.covers(motion.apply(Point::default())) => {
                self.loads(sheet, line, model, motion)
            }
            _ => Ok(Vec::new()),
        }
    }

    /// From where to where along a direction it needs stock, in metres, once brought into place by
    /// `motion`. Bends, flanges and hems run along y of their own coordinates; round work and squeezing
    /// reach half their diameter or side to either side.
    ///
    /// # Errors
    ///
    /// [`InputError`] if an outline cannot be.
    pub fn extent_along(
        &self,
        motion: &Motion,
        direction: Point,
    ) -> Result<(f64, f64), InputError> {
        let at = motion.apply(Point::default()).along(direction);
        let half_line = |length: Length| {
            length / 2.0 * motion.turn(Point::new(0.0, 1.0)).along(direction).abs()
        };
        let half = match self {
            Self::Cut(cut) => match &cut.outline {
                Outline::LengthOnly(_) => Length::ZERO,
                outline => {
                    let direction = motion.turn_back(direction);
                    let (low, high) = outline.extent_along(direction)?;
                    return Ok((at + low, at + high));
                }
            },
            Self::Bend(bend) => half_line(bend.length),
            Self::Flange(flange) => half_line(flange.length),
            Self::Hem(hem) => half_line(hem.length),
            Self::HoleFlange(flange) => flange.flange_diameter / 2.0,
            Self::Draw(draw) => draw.blank_diameter / 2.0,
            Self::Squeeze(squeeze) => {
                Length::from_metres(squeeze.area.square_metres().sqrt() / 2.0)
            }
            Self::Spring(_) | Self::Table(_) => Length::ZERO,
        };
        Ok((at - half.metres(), at + half.metres()))
    }
}

fn points(loads: Vec<PointLoad>) -> Vec<Load> {
    loads.into_iter().map(Load::Point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        Area, Caution, Range, Stress, Stroke, check,
        deep_drawing::{DEFAULT_FRICTION, DrawKind},
        flanging::FlangeKind,
        hemming::HemKind,
        press::{Drive, Press},
        squeezing::SqueezeKind,
    };

    fn mm(value: f64) -> Length {
        Length::from_millimetres(value)
    }

    fn stock(thickness_mm: f64, tensile_mpa: f64) -> Stock {
        Stock {
            thickness_m: Range::exactly(thickness_mm * 1e-3),
            tensile_pa: Range::exactly(tensile_mpa * 1e6),
            shear_pa: Range::exactly(0.8 * tensile_mpa * 1e6),
            yield_pa: None,
            penetration: Range::exactly(0.4),
            separation: Range::exactly(0.7),
            strength_coefficient_pa: None,
            hardening_exponent: None,
        }
    }

    fn draw(blank_mm: f64, punch_mm: f64) -> Draw {
        Draw {
            kind: DrawKind::First,
            blank_diameter: mm(blank_mm),
            punch_diameter: mm(punch_mm),
            depth: mm(60.0),
            die_radius: Some(mm(6.0)),
            punch_radius: None,
            friction: DEFAULT_FRICTION,
            blank_holder: Force::from_kilonewtons(20.0),
            wall_after: None,
            rectangular: None,
            entry: mm(60.0),
        }
    }

    fn hole_flange() -> HoleFlange {
        HoleFlange { hole_diameter: mm(20.0), flange_diameter: mm(28.0), entry: mm(8.0) }
    }

    /// One of each of the forming work.
    fn forming() -> [Work; 5] {
        [
            Work::Draw(draw(90.0, 50.0)),
            Work::Squeeze(Squeeze {
                kind: SqueezeKind::Emboss,
                area: Area::from_square_millimetres(100.0),
                pressure: Stress::from_megapascals(400.0),
                entry: mm(0.5),
            }),
            Work::Flange(Flange {
                kind: FlangeKind::Straight,
                length: mm(80.0),
                punch_radius: mm(3.0),
                die_radius: mm(4.0),
                gap: mm(0.8),
                plan_radius: None,
                height: None,
                factor: None,
                pad: Force::ZERO,
                entry: mm(12.0),
            }),
            Work::HoleFlange(hole_flange()),
            Work::Hem(Hem {
                kind: HemKind::Flat,
                length: mm(80.0),
                entry: mm(6.0),
                gap: None,
                factor: None,
            }),
        ]
    }

    fn cautions(work: Work, stock: Stock) -> Vec<Caution> {
        let drive = Drive::Hydraulic { stroke: mm(200.0), pressing_speed: None };
        let press = Press::of(drive);
        let die = Die::of(DieKind::Single);
        let stations = [Station {
            name: "Form".into(),
            at: Point::default(),
            strip_position: 0,
            stock: None,
            work: vec![PlacedWork { work, motion: Motion::NONE }],
            stripper: None,
        }];
        let stroke = Stroke::new(&stations, &stock, CutModel::Shaped, mm(200.0)).unwrap();
        check(&press, &die, &stations, &stroke, None).cautions
    }

    #[test]
    fn forming_work_acts_at_its_place_from_its_entry_height() {
        let sheet = stock(0.8, 300.0).sheet(Line::Nominal).unwrap();
        let motion = Motion::new(Point::from_millimetres(100.0, 0.0), 0.0);
        for work in forming() {
            let loads = work.loads(&sheet, Line::Nominal, CutModel::Shaped, &motion).unwrap();
            let entry = work.entry().metres();
            let mut series = crate::LoadSeries::zero(2);
            for load in &loads {
                assert!(load.work().joules() > 0.0, "{work:?}");
                load.add_to(&[entry * 1.01, entry * 0.5], &mut series);
            }
            assert_eq!(series.force[0], 0.0, "{work:?}");
            assert!(series.force[1] > 0.0, "{work:?}");
            crate::assert_close(series.centre(1).unwrap().x, 0.1, 1e-12);
            assert!(work.needs_stock());
        }
    }

    #[test]
    fn draw_with_the_overall_ratio_of_a_deep_cup_is_cautioned_twice() {
        // Sharma, example 2.9: ratio 118.2/50 = 2.36, above 2.0 (Ghosh and Mallik, p. 156); the wall
        // carries 53.7 kN.
        let cautions = cautions(Work::Draw(draw(118.2, 50.0)), stock(0.8, 427.0));
        let [
            Caution::DrawingRatioAboveLimit { ratio, limit, .. },
            Caution::WallTears { force, limit: tearing, .. },
        ] = cautions.as_slice()
        else {
            panic!("{cautions:?}");
        };
        crate::assert_close(*ratio, 2.364, 1e-9);
        assert_eq!(*limit, 2.0);
        crate::assert_close(tearing.kilonewtons(), 53.7, 1e-3);
        assert!(force > tearing);
    }

    #[test]
    fn draw_at_a_modest_ratio_is_not_cautioned() {
        assert_eq!(cautions(Work::Draw(draw(80.0, 50.0)), stock(0.8, 300.0)), []);
    }

    #[test]
    fn draw_at_just_the_limit_is_not_above_it() {
        let redraw = Draw { kind: DrawKind::Redraw, ..draw(65.0, 50.0) };
        assert_eq!(cautions(Work::Draw(redraw), stock(0.8, 300.0)), []);
    }

    #[test]
    fn hole_flange_above_two_and_a_half_thicknesses_is_cautioned() {
        // SME, Fundamentals of Tool Design, 6th ed., p. 240: 4 mm high, 2.5 · 1.5 = 3.75 mm.
        let found = cautions(Work::HoleFlange(hole_flange()), stock(1.5, 300.0));
        assert!(
            matches!(found.as_slice(), [Caution::HoleFlangeTooHigh { station, .. }] if station == "Form")
        );
        assert_eq!(cautions(Work::HoleFlange(hole_flange()), stock(2.0, 300.0)), []);
    }
}
