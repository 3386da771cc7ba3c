//! The fields of the job file, described once.
//!
//! The reader checks a file against this description, the JSON Schema is written from it, and the
//! page builds its forms on it, so that a field's name, unit, range and meaning stand in one place.

mod set_up;

pub use set_up::{LARGEST_IMAGE, MOST_PHOTOS};

use crate::sketch::Sketch;
use evenstroke_language::tr;

/// An object of the file.
#[derive(Debug)]
pub struct ObjectSpec {
    /// Its fields in the order in which they are shown.
    pub fields: &'static [FieldSpec],
}

/// One field of an object.
#[derive(Debug)]
pub struct FieldSpec {
    /// Its name in the file, with the unit at its end.
    pub key: &'static str,
    /// What the page calls it.
    pub label: &'static str,
    /// What it may hold.
    pub shape: Shape,
    /// Whether it has to be there.
    pub required: bool,
    /// What it is and where to find it, in a sentence or two; also what stands in if it is empty.
    pub about: &'static str,
    /// What shows it in a drawing.
    pub sketch: Option<Sketch>,
}

impl FieldSpec {
    const fn drawn(self, sketch: Sketch) -> Self {
        Self { sketch: Some(sketch), ..self }
    }

    /// The sentence of [`about`](Self::about) that says what stands in if nothing is entered, in the
    /// language of the moment.
    pub fn if_empty(&self) -> Option<&'static str> {
        let at = sentences(self.about).position(|part| part.contains("if empty"))?;
        sentences(tr(self.about)).nth(at)
    }
}

/// The sentences of a text; a translation has as many as the English.
fn sentences(text: &'static str) -> impl Iterator<Item = &'static str> {
    let ends = |(at, letter): (usize, char)| {
        let ends = letter == '。' || (letter == '.' && text[at + 1..].starts_with(' '));
        ends.then_some(at + letter.len_utf8())
    };
    let ends: Vec<usize> = text.char_indices().filter_map(ends).collect();
    let mut start = 0;
    ends.into_iter()
        .chain([text.len()])
        .map(move |end| text[std::mem::replace(&mut start, end)..end].trim())
}

/// What a field may hold.
#[derive(Debug)]
pub enum Shape {
    /// A number.
    Number(NumberSpec),
    /// A number, or `{"low", "high"}`.
    NumberOrRange(NumberSpec),
    /// A whole number out of a few, or any between two.
    Whole {
        /// Smallest.
        min: i64,
        /// Largest.
        max: i64,
    },
    /// One of a few whole numbers.
    WholeOf(&'static [i64]),
    /// Text of at most so many characters.
    Text {
        /// Most characters.
        longest: usize,
    },
    /// A day, `2026-03-31`.
    Date,
    /// A time of day, `06:45`.
    Time,
    /// A picture as a data URL of at most so many characters.
    Image {
        /// Most characters.
        longest: usize,
    },
    /// One of a few words, each with what the page calls it.
    Choice(&'static [(&'static str, &'static str)]),
    /// Yes or no.
    Flag,
    /// An object.
    Object(&'static ObjectSpec),
    /// A list.
    List {
        /// What each item holds.
        item: &'static Shape,
        /// Fewest items.
        fewest: usize,
        /// Most items.
        most: usize,
    },
    /// An object whose kind is told by the field `tag`.
    Tagged {
        /// The field that tells the kind.
        tag: &'static str,
        /// What the page calls the tag.
        label: &'static str,
        /// For each kind: its word, what the page calls it, its fields.
        kinds: &'static [(&'static str, &'static str, &'static Shape)],
    },
    /// An object with exactly one of these fields.
    OneOf(&'static [FieldSpec]),
    /// A point, `[x, y]`.
    Pair(NumberSpec),
    /// The word `fixed`, or an object of the given shape.
    FixedOr(&'static Shape),
    /// Exactly this text.
    Exactly(&'static str),
}

/// A number's unit and range.
#[derive(Clone, Copy, Debug)]
pub struct NumberSpec {
    /// Its unit.
    pub unit: Unit,
    /// Smallest, or the value it has to be above.
    pub min: f64,
    /// Whether `min` itself is refused.
    pub above: bool,
    /// Largest.
    pub max: f64,
}

/// What is this close to zero is zero: nobody measured it, and a quotient of it is no number.
pub const NEXT_TO_NOTHING: f64 = 1e-9;

impl NumberSpec {
    /// Smallest number in the range, or the one it has to be above.
    pub const fn least(&self) -> f64 {
        if self.above { self.min.max(NEXT_TO_NOTHING) } else { self.min }
    }
}

/// Units of the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// A pure number.
    One,
    /// Millimetres.
    Mm,
    /// Square millimetres.
    Mm2,
    /// Kilonewtons.
    Kn,
    /// Kilonewtons per millimetre.
    KnPerMm,
    /// Kilonewton metres.
    Knm,
    /// Newton metres.
    Nm,
    /// Megapascals.
    Mpa,
    /// Kilojoules.
    Kj,
    /// Kilowatts.
    Kw,
    /// Kilograms.
    Kg,
    /// Kilogram square metres.
    Kgm2,
    /// Strokes per minute.
    Spm,
    /// Turns per minute.
    Rpm,
    /// Millimetres per second.
    MmPerS,
    /// Degrees.
    Deg,
    /// Percent.
    Percent,
    /// Millimetres per metre.
    MmPerM,
    /// Kilonewton metres for a tilt of one millimetre per metre.
    KnmPerMmPerM,
}

impl Unit {
    /// Its symbol, empty for a pure number.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::One => "",
            Self::Mm => "mm",
            Self::Mm2 => "mm²",
            Self::Kn => "kN",
            Self::KnPerMm => "kN/mm",
            Self::Knm => "kN·m",
            Self::Nm => "N·m",
            Self::Mpa => "MPa",
            Self::Kj => "kJ",
            Self::Kw => "kW",
            Self::Kg => "kg",
            Self::Kgm2 => "kg·m²",
            Self::Spm => "strokes/min",
            Self::Rpm => "turns/min",
            Self::MmPerS => "mm/s",
            Self::Deg => "°",
            Self::Percent => "%",
            Self::MmPerM => "mm/m",
            Self::KnmPerMmPerM => "kN·m per mm/m",
        }
    }
}

const fn above_zero(unit: Unit, max: f64) -> Shape {
    Shape::Number(NumberSpec { unit, min: 0.0, above: true, max })
}

const fn from_zero(unit: Unit, max: f64) -> Shape {
    Shape::Number(NumberSpec { unit, min: 0.0, above: false, max })
}

const fn between(unit: Unit, min: f64, max: f64) -> Shape {
    Shape::Number(NumberSpec { unit, min, above: false, max })
}

const fn range_above_zero(unit: Unit, max: f64) -> Shape {
    Shape::NumberOrRange(NumberSpec { unit, min: 0.0, above: true, max })
}

const fn needed(
    key: &'static str,
    label: &'static str,
    shape: Shape,
    about: &'static str,
) -> FieldSpec {
    FieldSpec { key, label, shape, required: true, about, sketch: None }
}

const fn optional(
    key: &'static str,
    label: &'static str,
    shape: Shape,
    about: &'static str,
) -> FieldSpec {
    FieldSpec { key, label, shape, required: false, about, sketch: None }
}

const fn text(longest: usize) -> Shape {
    Shape::Text { longest }
}

/// Longest length that a press or die has, in mm.
const LONG: f64 = 100_000.0;
/// A place, in mm from a middle.
const PLACE: Shape = Shape::Number(PLACE_MM);
const PLACE_MM: NumberSpec = NumberSpec { unit: Unit::Mm, min: -LONG, above: false, max: LONG };
/// Largest force, in kN.
const STRONG: f64 = 1_000_000.0;

/// The whole file.
pub static JOB: ObjectSpec = ObjectSpec {
    fields: &[
        needed("format", "Format", Shape::Exactly(crate::FORMAT), "What kind of file this is."),
        needed("version", "Version", Shape::Whole { min: 1, max: 1 }, "Version of the format."),
        optional(
            "title",
            "Title",
            text(200),
            "What the shop calls the die, as on the die itself or its drawing.",
        ),
        optional(
            "note",
            "Note",
            text(5_000),
            "Anything worth keeping with the job: who measured, what was changed.",
        ),
        optional(
            "press",
            "Press",
            Shape::Object(&PRESS),
            "The press that is to run the die, from plate and manual. Without one nothing is checked against it; what the die needs of any press is told all the same.",
        ),
        needed(
            "stock",
            "Stock",
            Shape::Object(&STOCK),
            "The sheet or strip that is run, from the order or its certificate.",
        ),
        optional(
            "coil",
            "This coil",
            Shape::Object(&COIL),
            "From its certificate: told beside the whole range, on which the limits are judged.",
        ),
        needed(
            "die",
            "Die",
            Shape::Object(&DIE),
            "The die as a body: size, height, mass, what holds it.",
        ),
        needed(
            "stations",
            "Stations",
            Shape::List { item: &Shape::Object(&STATION), fewest: 1, most: 500 },
            "What the die does, station by station.",
        ),
        optional(
            "settings",
            "Settings",
            Shape::Object(&SETTINGS),
            "How it is worked out; what is left empty is our default.",
        ),
        optional(
            "setup",
            "Set-up",
            Shape::Object(&set_up::SETUP),
            "What the shop has and does at this set-up.",
        ),
        optional(
            "trip",
            "After a trip",
            Shape::Object(&set_up::TRIP),
            "Where the slide stood when overload protection tripped or the press stalled.",
        ),
        optional(
            "record",
            "Record",
            Shape::Object(&set_up::RECORD),
            "Set-ups, readings, grinds and remarks, kept with the die.",
        ),
    ],
};

/// The press.
pub static PRESS: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "name",
            "Name",
            text(200),
            "What the shop calls the press, as on its number plate.",
        ),
        optional(
            "frame",
            "Frame",
            Shape::Choice(&[("straight_side", "straight side"), ("gap_frame", "gap frame")]),
            "Two uprights, or open in front like a C. Sets from which share a limit is near.",
        ),
        optional(
            "rated_force_kn",
            "Rated force",
            above_zero(Unit::Kn, STRONG),
            "Allowed at the rating height and below. On the press plate.",
        )
        .drawn(Sketch::Crank),
        needed(
            "drive",
            "Drive",
            Shape::Tagged {
                tag: "kind",
                label: "Drive",
                kinds: &[
                    ("crank", "crank or eccentric", &Shape::Object(&CRANK)),
                    ("hydraulic", "hydraulic", &Shape::Object(&HYDRAULIC)),
                    ("table", "from the press's card", &Shape::Object(&TABLED_DRIVE)),
                ],
            },
            "By a crank, by oil, or as the press's own card says. In the press manual.",
        )
        .drawn(Sketch::Crank),
        optional(
            "speed_spm",
            "Speed of this job",
            above_zero(Unit::Spm, 5_000.0),
            "Strokes per minute at which the die is to run. Press counter or job card.",
        ),
        optional(
            "running",
            "Running",
            Shape::Choice(&[("continuous", "continuous"), ("single", "single strokes")]),
            "One after the other, or each started by itself. Continuous if empty.",
        ),
        optional(
            "single_strokes_spm",
            "Single strokes started",
            above_zero(Unit::Spm, 5_000.0),
            "Started in a minute, by a watch; the motor has the time between them.",
        ),
        optional(
            "slowest_spm",
            "Slowest speed",
            above_zero(Unit::Spm, 5_000.0),
            "Where the speed can be changed. On the press plate.",
        ),
        optional(
            "fastest_spm",
            "Fastest speed",
            above_zero(Unit::Spm, 5_000.0),
            "Where the speed can be changed. On the press plate.",
        ),
        optional(
            "energy",
            "Flywheel energy",
            Shape::Object(&ENERGY),
            "Per stroke at a speed, or the flywheel itself. In the press manual.",
        ),
        optional(
            "motor_kw",
            "Main motor",
            above_zero(Unit::Kw, 100_000.0),
            "Power of the main motor. On the motor plate.",
        ),
        optional(
            "motor_efficiency_percent",
            "Motor to flywheel",
            above_zero(Unit::Percent, 100.0),
            "Part of its power that reaches the flywheel. All of it if empty.",
        ),
        optional(
            "suspension",
            "Suspension points",
            Shape::Object(&SUSPENSION),
            "Connecting rods or plungers that carry the slide. Count them.",
        )
        .drawn(Sketch::BolsterPlan),
        optional(
            "level",
            "Slide level",
            Shape::Object(&LEVEL),
            "What keeps the slide level, for the clearance that tilting eats.",
        )
        .drawn(Sketch::OffCentre),
        optional(
            "off_centre",
            "Off-centre rating",
            Shape::Object(&OFF_CENTRE),
            "Allowed moment, or force over distance from the middle. In the press manual.",
        )
        .drawn(Sketch::OffCentre),
        optional(
            "die_length_table",
            "Force over die length",
            Shape::List { item: &Shape::Object(&LENGTH_FORCE), fewest: 1, most: 500 },
            "From the press's own chart for concentrated loads. Two thirds of the bed for the whole rated force if empty (trade article; below that pro rata, our own form).",
        ),
        optional(
            "bolster",
            "Bolster",
            Shape::Object(&BOLSTER),
            "The plate on which the die stands. Tape measure.",
        )
        .drawn(Sketch::BolsterPlan),
        optional(
            "slide",
            "Slide",
            Shape::Object(&SLIDE),
            "The face that carries the upper die. Tape measure.",
        )
        .drawn(Sketch::BolsterPlan),
        optional(
            "shut_height_mm",
            "Shut height, greatest",
            above_zero(Unit::Mm, LONG),
            "Bolster to slide at BDC, stroke down and adjustment up. On the press plate.",
        )
        .drawn(Sketch::ShutHeight),
        optional(
            "shut_height_adjustment_mm",
            "Shut height adjustment",
            from_zero(Unit::Mm, LONG),
            "How far the slide can be adjusted down from there. On the press plate.",
        )
        .drawn(Sketch::ShutHeight),
        optional(
            "stiffness_kn_per_mm",
            "Stiffness",
            above_zero(Unit::KnPerMm, 1e6),
            "Force per millimetre of stretch of the whole press. Press builder, or load cell and dial indicator.",
        ),
        optional(
            "stiffness_readings",
            "Stiffness as measured",
            Shape::List { item: &Shape::Object(&set_up::STIFFNESS_READING), fewest: 2, most: 50 },
            "Die closed on solid blocks, the slide set lower from row to row. Counts where the stiffness is empty.",
        ),
        optional(
            "slide_mass_kg",
            "Slide mass",
            above_zero(Unit::Kg, 1e6),
            "The slide with all that hangs on it, without the upper die. In the press manual.",
        ),
        optional(
            "damping_percent",
            "Damping",
            above_zero(Unit::Percent, 100.0),
            "Of the press's vertical vibration, of critical. Taken as 30 % if empty (value from memory); readings correct it.",
        ),
        optional(
            "reverse_limit_percent",
            "Reverse load limit",
            above_zero(Unit::Percent, 100.0),
            "Part of rated force that may pull back when the cut breaks through. Press manual. Taken as 10 % if empty (trade article).",
        ),
        optional(
            "counterbalance",
            "Counterbalance",
            Shape::Object(&set_up::COUNTERBALANCE),
            "The table of air pressure over weight on the press.",
        ),
    ],
};

static CRANK: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "stroke_mm",
            "Stroke",
            above_zero(Unit::Mm, LONG),
            "Travel of the slide from top to bottom. On the press plate.",
        )
        .drawn(Sketch::Crank),
        optional(
            "connecting_rod_mm",
            "Connecting rod",
            above_zero(Unit::Mm, LONG),
            "Length between its two bearings. In the press manual.",
        )
        .drawn(Sketch::Crank),
        optional(
            "rating_height_mm",
            "Rated force at",
            above_zero(Unit::Mm, LONG),
            "Height above BDC up to which the press gives its rated force. On the plate or in the manual.",
        )
        .drawn(Sketch::Crank),
        optional(
            "rating_angle_deg",
            "or at crank angle",
            above_zero(Unit::Deg, 90.0),
            "Before BDC, where the plate gives an angle, no height. Never both.",
        )
        .drawn(Sketch::Crank),
        optional(
            "second_rating",
            "Second rating",
            Shape::Object(&SECOND_RATING),
            "A smaller force that is allowed higher up, where the plate gives two.",
        )
        .drawn(Sketch::Crank),
    ],
};

static SECOND_RATING: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "height_mm",
            "Height above BDC",
            above_zero(Unit::Mm, LONG),
            "Up to which the smaller force holds, above the rating height. On the plate.",
        )
        .drawn(Sketch::Crank),
        needed(
            "force_kn",
            "Force",
            above_zero(Unit::Kn, STRONG),
            "Force that is allowed up to there. On the plate.",
        )
        .drawn(Sketch::Crank),
    ],
};

static HYDRAULIC: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "stroke_mm",
            "Stroke",
            above_zero(Unit::Mm, LONG),
            "Longest travel of the slide. On the press plate.",
        )
        .drawn(Sketch::ShutHeight),
        optional(
            "pressing_speed_mm_per_s",
            "Pressing speed",
            above_zero(Unit::MmPerS, 10_000.0),
            "Speed of the slide under load. On the press plate.",
        ),
    ],
};

static TABLED_DRIVE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "stroke_mm",
            "Stroke",
            above_zero(Unit::Mm, LONG),
            "Travel of the slide from top to bottom. On the press plate.",
        )
        .drawn(Sketch::Crank),
        needed(
            "points",
            "Allowed force over height",
            HEIGHT_FORCE_LIST,
            "Read off the press's own card; one point a line.",
        )
        .drawn(Sketch::Crank),
        optional(
            "motion",
            "Height over drive angle",
            Shape::List { item: &Shape::Object(&ANGLE_HEIGHT), fewest: 2, most: 1_000 },
            "From the press's card or control, rising from BDC, for its speeds.",
        ),
    ],
};

static ANGLE_HEIGHT: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "angle_deg",
            "Angle",
            between(Unit::Deg, 0.0, 360.0),
            "Angle of the drive before BDC.",
        )
        .drawn(Sketch::Crank),
        needed(
            "height_mm",
            "Height above BDC",
            from_zero(Unit::Mm, LONG),
            "Height of the slide above BDC at that angle.",
        )
        .drawn(Sketch::Crank),
    ],
};

const HEIGHT_FORCE_LIST: Shape =
    Shape::List { item: &Shape::Object(&HEIGHT_FORCE), fewest: 2, most: 2_000 };

static HEIGHT_FORCE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "height_mm",
            "Height above BDC",
            from_zero(Unit::Mm, LONG),
            "Slide height above BDC.",
        ),
        needed("force_kn", "Force", from_zero(Unit::Kn, STRONG), "Force at that height."),
    ],
};

static ENERGY: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "usable_kj",
            "Usable per stroke",
            above_zero(Unit::Kj, 1e6),
            "In one stroke of continuous running. In the manual.",
        ),
        optional(
            "single_kj",
            "Usable in single strokes",
            above_zero(Unit::Kj, 1e6),
            "Where the manual gives more for single strokes.",
        ),
        optional(
            "at_spm",
            "At",
            above_zero(Unit::Spm, 5_000.0),
            "Strokes per minute at which energy or flywheel speed hold. In the manual.",
        ),
        optional(
            "inertia_kgm2",
            "Flywheel inertia",
            above_zero(Unit::Kgm2, 1e7),
            "Of the flywheel, in place of usable energy. From the press builder.",
        ),
        optional(
            "flywheel_rpm",
            "Flywheel speed",
            above_zero(Unit::Rpm, 20_000.0),
            "Of the flywheel, with the inertia. In the manual, or a tachometer.",
        ),
        optional(
            "slowdown_percent",
            "Allowed slow-down",
            above_zero(Unit::Percent, 100.0),
            "Of the flywheel after one stroke, with the inertia. In the manual.",
        ),
        optional(
            "single_slowdown_percent",
            "Slow-down in single strokes",
            above_zero(Unit::Percent, 100.0),
            "Where the manual allows more in single strokes.",
        ),
    ],
};

static SUSPENSION: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "points",
            "Points",
            Shape::WholeOf(&[1, 2, 4]),
            "Connecting rods or plungers that carry the slide. Count them.",
        )
        .drawn(Sketch::BolsterPlan),
        optional(
            "span_x_mm",
            "Apart, left–right",
            above_zero(Unit::Mm, LONG),
            "From middle to middle, left to right. Press drawing or tape measure.",
        )
        .drawn(Sketch::BolsterPlan),
        optional(
            "span_y_mm",
            "Apart, front–back",
            above_zero(Unit::Mm, LONG),
            "The same from front to back, with four points.",
        )
        .drawn(Sketch::BolsterPlan),
        optional(
            "stiffness_kn_per_mm",
            "Stiffness of a point",
            above_zero(Unit::KnPerMm, 1e6),
            "Of one point. That of the press over the number of points if empty.",
        ),
    ],
};

static LEVEL: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "gib_clearance_mm",
            "Play in the gibs",
            from_zero(Unit::Mm, 10.0),
            "Between slide and gibs, both sides together. Feeler gauge.",
        )
        .drawn(Sketch::OffCentre),
        optional(
            "gib_length_mm",
            "Length of the gibs",
            above_zero(Unit::Mm, LONG),
            "Over which the slide is guided at BDC. Tape measure.",
        ),
        optional(
            "parallelism_mm_per_m",
            "Parallelism",
            from_zero(Unit::MmPerM, 100.0),
            "Slide to bolster without load, worst direction. Dial indicator.",
        ),
        optional(
            "frame_mm_per_m_at_rated",
            "Tilt of the gap frame",
            from_zero(Unit::MmPerM, 100.0),
            "Opening at the front at rated force in the middle. Press builder, or dial indicators under load.",
        ),
        optional(
            "stiffness_x_knm_per_mm_per_m",
            "Stiffness left–right",
            above_zero(Unit::KnmPerMmPerM, 1e6),
            "Of gibs and frame against tilting, beside the points. Press builder.",
        ),
        optional(
            "stiffness_y_knm_per_mm_per_m",
            "Stiffness front–back",
            above_zero(Unit::KnmPerMmPerM, 1e6),
            "Of gibs and frame against tilting, beside the points. Press builder.",
        ),
    ],
};

static OFF_CENTRE: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "moment_x_knm",
            "Moment, left–right",
            above_zero(Unit::Knm, 1e6),
            "Force times its distance from the middle, left or right. In the press manual.",
        )
        .drawn(Sketch::OffCentre),
        optional(
            "moment_y_knm",
            "Moment, front–back",
            above_zero(Unit::Knm, 1e6),
            "The same towards front or back. In the press manual.",
        )
        .drawn(Sketch::OffCentre),
        optional(
            "table_x",
            "Force over distance, left–right",
            OFFSET_FORCE_LIST,
            "Allowed force at each distance, off the press's own chart; one point a line.",
        )
        .drawn(Sketch::OffCentre),
        optional(
            "table_y",
            "Force over distance, front–back",
            OFFSET_FORCE_LIST,
            "Allowed force at each distance, off the press's own chart; one point a line.",
        )
        .drawn(Sketch::OffCentre),
    ],
};

const OFFSET_FORCE_LIST: Shape =
    Shape::List { item: &Shape::Object(&OFFSET_FORCE), fewest: 2, most: 500 };

static OFFSET_FORCE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "offset_mm",
            "Off the middle",
            from_zero(Unit::Mm, LONG),
            "Distance from the press centre.",
        )
        .drawn(Sketch::OffCentre),
        needed("force_kn", "Force", from_zero(Unit::Kn, STRONG), "Force that is allowed there.")
            .drawn(Sketch::OffCentre),
    ],
};

const AREA_WIDTH: FieldSpec = needed(
    "width_mm",
    "Left to right",
    above_zero(Unit::Mm, LONG),
    "Seen by the operator at the front. Tape measure.",
)
.drawn(Sketch::BolsterPlan);
const AREA_DEPTH: FieldSpec = needed(
    "depth_mm",
    "Front to back",
    above_zero(Unit::Mm, LONG),
    "From the operator to the back. Tape measure.",
)
.drawn(Sketch::BolsterPlan);
const SLOTS_FIELD: FieldSpec = optional(
    "slots",
    "T-slots",
    Shape::Object(&SLOTS),
    "The slots for clamping, to see whether the die's bolts reach one.",
)
.drawn(Sketch::Slots);

static BOLSTER: ObjectSpec = ObjectSpec {
    fields: &[
        AREA_WIDTH,
        AREA_DEPTH,
        SLOTS_FIELD,
        optional(
            "openings",
            "Slug holes",
            Shape::List { item: &Shape::Object(&OPENING), fewest: 1, most: 100 },
            "Holes through which slugs fall, seen from above.",
        )
        .drawn(Sketch::BolsterPlan),
    ],
};

static SLIDE: ObjectSpec = ObjectSpec { fields: &[AREA_WIDTH, AREA_DEPTH, SLOTS_FIELD] };

static SLOTS: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "direction",
            "Run",
            Shape::Choice(&[("left_right", "left to right"), ("front_back", "front to back")]),
            "Which way the slots run.",
        )
        .drawn(Sketch::Slots),
        needed(
            "pitch_mm",
            "Apart",
            above_zero(Unit::Mm, LONG),
            "From the middle of one slot to that of the next. Tape measure.",
        )
        .drawn(Sketch::Slots),
        needed(
            "count",
            "How many",
            Shape::Whole { min: 1, max: 200 },
            "Slots in all, taken as symmetric about the middle.",
        )
        .drawn(Sketch::Slots),
    ],
};

static OPENING: ObjectSpec = ObjectSpec {
    fields: &[
        X,
        Y,
        needed(
            "width_mm",
            "Left to right",
            above_zero(Unit::Mm, LONG),
            "Of the hole. Tape measure.",
        )
        .drawn(Sketch::BolsterPlan),
        needed(
            "depth_mm",
            "Front to back",
            above_zero(Unit::Mm, LONG),
            "Of the hole. Tape measure.",
        )
        .drawn(Sketch::BolsterPlan),
    ],
};

static LENGTH_FORCE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "length_mm",
            "Die length",
            above_zero(Unit::Mm, LONG),
            "Length of a die from left to right, on the press's chart.",
        ),
        needed(
            "force_kn",
            "Force",
            from_zero(Unit::Kn, STRONG),
            "Allowed for a die of that length.",
        ),
    ],
};

const TENSILE: Shape = range_above_zero(Unit::Mpa, 10_000.0);
const THICKNESS: Shape = range_above_zero(Unit::Mm, 100.0);

/// The sheet or strip.
pub static STOCK: ObjectSpec = ObjectSpec {
    fields: &[
        MATERIAL,
        needed(
            "thickness_mm",
            "Thickness",
            THICKNESS,
            "As ordered; a range for the job, a number for this coil. Micrometer.",
        ),
        TOLERANCE,
        TENSILE_FIELD,
        SHEAR_RATIO,
        SHEAR_STRENGTH,
        YIELD,
        PENETRATION,
        SEPARATION,
        COEFFICIENT,
        EXPONENT,
    ],
};

/// The coil that is to be run.
static COIL: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "thickness_mm",
            "Coil thickness",
            above_zero(Unit::Mm, 100.0),
            "Of this coil. On its certificate, better measured.",
        ),
        optional(
            "tensile_mpa",
            "Coil tensile strength",
            above_zero(Unit::Mpa, 10_000.0),
            "Of this coil. On its certificate.",
        ),
        optional(
            "yield_mpa",
            "Coil yield strength",
            above_zero(Unit::Mpa, 10_000.0),
            "Of this coil. On its certificate.",
        ),
        optional(
            "certificate",
            "Certificate",
            text(200),
            "Number of the certificate, or that on the tag of the coil.",
        ),
        optional("date", "Date", text(40), "Of the certificate or the measurement."),
    ],
};

/// Stock in a station where it differs from the job's.
static STOCK_OVERRIDE: ObjectSpec = ObjectSpec {
    fields: &[
        MATERIAL,
        THICKNESS_HERE,
        TOLERANCE,
        TENSILE_FIELD,
        SHEAR_RATIO,
        SHEAR_STRENGTH,
        YIELD,
        PENETRATION,
        SEPARATION,
        COEFFICIENT,
        EXPONENT,
    ],
};

const MATERIAL: FieldSpec = optional(
    "material",
    "Material",
    text(200),
    "Standard designation, as on the order or certificate: EN 10130 DC01.",
);
const THICKNESS_HERE: FieldSpec = optional(
    "thickness_mm",
    "Thickness",
    THICKNESS,
    "Where it differs from the job's, in a drawn wall say. Micrometer.",
);
const TOLERANCE: FieldSpec = optional(
    "thickness_tolerance_mm",
    "Thickness tolerance",
    from_zero(Unit::Mm, 20.0),
    "How much thicker it may be, by the standard or order; the upper line is so much thicker.",
);
const TENSILE_FIELD: FieldSpec = optional(
    "tensile_mpa",
    "Tensile strength",
    TENSILE,
    "Stress at which it tears: range of the standard, or the coil's certificate.",
);
const SHEAR_RATIO: FieldSpec = optional(
    "shear_ratio",
    "Shear over tensile strength",
    Shape::NumberOrRange(NumberSpec { unit: Unit::One, min: 0.2, above: false, max: 1.5 }),
    "0.8 if empty. Measured: steels 0.72–0.75, brass 0.65–0.72, copper 0.71; low-carbon tables to 0.87.",
);
const SHEAR_STRENGTH: FieldSpec = optional(
    "shear_strength_mpa",
    "Shear strength",
    TENSILE,
    "Stress at which it shears, where measured; takes the place of the ratio.",
);
const YIELD: FieldSpec = optional(
    "yield_mpa",
    "Yield strength",
    TENSILE,
    "Stress from which it stays bent. On the certificate, where known.",
);
const PENETRATION: FieldSpec = optional(
    "penetration",
    "Penetration",
    range_above_zero(Unit::One, 1.0),
    "Part of thickness over which the handbook's constant cutting force acts. 0.4 if empty.",
)
.drawn(Sketch::Entry);
const SEPARATION: FieldSpec = optional(
    "separation",
    "Separation",
    range_above_zero(Unit::One, 1.0),
    "Part of thickness at which the cut is through. 0.65–0.75 if empty (mild steel); dual-phase 0.35–0.5.",
).drawn(Sketch::Entry);
const COEFFICIENT: FieldSpec = optional(
    "strength_coefficient_mpa",
    "K of K·φⁿ",
    above_zero(Unit::Mpa, 10_000.0),
    "Of the flow curve K·φⁿ, for drawing. From the maker of the stock.",
);
const EXPONENT: FieldSpec = optional(
    "hardening_exponent",
    "n of K·φⁿ",
    above_zero(Unit::One, 1.0),
    "Of the flow curve K·φⁿ, for drawing. From the maker of the stock.",
);

/// The die as a body.
pub static DIE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "kind",
            "Kind",
            Shape::Choice(&[
                ("single", "single operation"),
                ("compound", "compound"),
                ("combination", "combination"),
                ("progressive", "progressive"),
                ("transfer", "transfer"),
            ]),
            "Progressive and transfer dies are also judged while they fill up and run out.",
        ),
        optional(
            "width_mm",
            "Left to right",
            above_zero(Unit::Mm, LONG),
            "Of the die before it is turned. Tape measure.",
        ).drawn(Sketch::BolsterPlan),
        optional(
            "depth_mm",
            "Front to back",
            above_zero(Unit::Mm, LONG),
            "Of the die before it is turned. Tape measure.",
        ).drawn(Sketch::BolsterPlan),
        optional(
            "shut_height_mm",
            "Closed height",
            above_zero(Unit::Mm, LONG),
            "Of the closed die as it is now: every sharpening takes some off. Tape measure or height gauge.",
        ).drawn(Sketch::ShutHeight),
        optional(
            "shut_height_measured_on",
            "Measured on",
            Shape::Date,
            "Day on which the closed height was measured: 2026-03-31.",
        ),
        optional("shut_height_measured_by", "Measured by", text(200), "Who measured it."),
        optional(
            "grind_allowance_mm",
            "May still be ground",
            from_zero(Unit::Mm, 1_000.0),
            "What sharpening may still take off. Die drawing.",
        ),
        optional(
            "parallels_mm",
            "Parallels",
            from_zero(Unit::Mm, LONG),
            "Height of what the die stands on, all layers; counts in the shut height. Tape measure.",
        ),
        optional(
            "height_setting",
            "Shut height is",
            Shape::Choice(&[("one", "one setting"), ("by_thickness", "by the thickness")]),
            "One where the die closes on blocks; by the coil's thickness where a pad closes on the part.",
        ),
        optional(
            "upper_mass_kg",
            "Upper die mass",
            above_zero(Unit::Kg, 1e6),
            "Of the half on the slide, for the counterbalance. On the die, or by a crane scale.",
        ),
        optional("mass_kg", "Whole die mass", above_zero(Unit::Kg, 1e6), "Of both halves, for lifting. On the die, or by a crane scale."),
        optional(
            "opening_needed_mm",
            "Opening needed",
            above_zero(Unit::Mm, LONG),
            "Between the halves at the top, to feed and take out: part height, lift, what the feed needs.",
        ).drawn(Sketch::ShutHeight),
        optional(
            "guide_engagement_mm",
            "Guides overlap",
            above_zero(Unit::Mm, LONG),
            "Of posts and bushings with the die closed. Tape measure.",
        ).drawn(Sketch::ShutHeight),
        optional(
            "upper_clamps",
            "Clamps of the upper die",
            Shape::Object(&CLAMPS),
            "What holds the upper die to the slide.",
        ),
        optional(
            "bolts",
            "Bolt places",
            Shape::Object(&BOLTS),
            "Of bolts or clamps, to see whether they reach the slots where the die stands.",
        ).drawn(Sketch::Slots),
        optional(
            "strip",
            "Strip",
            Shape::Object(&STRIP),
            "To follow the leading edge while the die fills up. Strip layout.",
        ).drawn(Sketch::Strip),
        optional(
            "placement",
            "Placement",
            Shape::Object(&PLACEMENT),
            "Of the die's centre on the bolster, and how it is turned.",
        ).drawn(Sketch::BolsterPlan),
        optional(
            "band",
            "Where it may stand",
            Shape::Object(&BAND),
            "The feed line, a conveyor, a scrap chute: advice keeps the die inside.",
        ),
    ],
};

static BAND: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "x_from_mm",
            "Left end",
            PLACE,
            "Leftmost place of the die centre, from the bolster centre.",
        ),
        optional(
            "x_to_mm",
            "Right end",
            PLACE,
            "Rightmost place of the die centre. The same twice locks it.",
        ),
        optional(
            "y_from_mm",
            "Front end",
            PLACE,
            "Foremost place of the die centre: the feed line less its play.",
        ),
        optional(
            "y_to_mm",
            "Back end",
            PLACE,
            "Rearmost place of the die centre: the feed line with its play.",
        ),
    ],
};

static CLAMPS: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "count",
            "How many",
            Shape::Whole { min: 1, max: 200 },
            "Clamps or bolts on the upper die.",
        ),
        optional(
            "force_kn",
            "Each holds",
            above_zero(Unit::Kn, STRONG),
            "As tightened; from the maker of the clamp, or the bolt's table. Or torque and size.",
        ),
        optional(
            "torque_nm",
            "or tightened with",
            above_zero(Unit::Nm, 100_000.0),
            "On the wrench, in place of what one holds; with the size.",
        ),
        optional("bolt_mm", "Size of the screws", above_zero(Unit::Mm, 200.0), "M16 is 16 mm."),
        optional(
            "friction_factor",
            "Friction factor",
            between(Unit::One, 0.05, 0.6),
            "K of torque = K · force · size. 0.2 if empty, a dry screw (value from memory: 0.12 with anti-seize to 0.3 black); greased, the same torque strains it more.",
        ),
        optional(
            "lever_share",
            "Part on the die",
            between(Unit::One, 0.05, 1.0),
            "Of a strap clamp: screw to heel block over die to heel block. All of it if empty.",
        ),
    ],
};

static BOLTS: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "lower",
            "On the lower die",
            BOLT_LIST,
            "From the die's centre before turning, one a line. Die drawing or tape measure.",
        )
        .drawn(Sketch::Slots),
        optional(
            "upper",
            "On the upper die",
            BOLT_LIST,
            "From the die's centre before turning, one a line. Die drawing or tape measure.",
        )
        .drawn(Sketch::Slots),
        needed(
            "reach_mm",
            "Reach",
            from_zero(Unit::Mm, LONG),
            "Of a bolt off its slot: the play of the die's own slots.",
        )
        .drawn(Sketch::Slots),
    ],
};

const BOLT_LIST: Shape = Shape::List { item: &Shape::Pair(PLACE_MM), fewest: 1, most: 200 };

static STRIP: ObjectSpec = ObjectSpec {
    fields: &[
        needed("pitch_mm", "Pitch", above_zero(Unit::Mm, LONG), "How far the strip is fed per stroke. Strip layout.").drawn(Sketch::Strip),
        needed(
            "first_hit_mm",
            "Leading edge at the first hit",
            PLACE,
            "End of the strip at its first hit, from the die's centre along the feed; before the centre is negative. Strip layout.",
        ).drawn(Sketch::Strip),
        optional(
            "feed",
            "Fed",
            Shape::Choice(&[
                ("left_to_right", "to the right"),
                ("right_to_left", "to the left"),
                ("front_to_back", "to the back"),
                ("back_to_front", "to the front"),
            ]),
            "Which way the strip runs, before the die is turned. To the right if empty.",
        ).drawn(Sketch::Strip),
    ],
};

static PLACEMENT: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "x_mm",
            "Right of centre",
            PLACE,
            "Die centre from bolster centre; left is negative. Tape measure, or drag it on the plan.",
        ).drawn(Sketch::BolsterPlan),
        optional(
            "y_mm",
            "Behind centre",
            PLACE,
            "Die centre from bolster centre; towards the front is negative. Tape measure, or drag it on the plan.",
        ).drawn(Sketch::BolsterPlan),
        optional(
            "turn_deg",
            "Turned",
            Shape::WholeOf(&[0, 90, 180, 270, 360, -90, -180, -270, -360]),
            "How the die is turned, counter-clockwise seen from above.",
        ).drawn(Sketch::BolsterPlan),
    ],
};

const X: FieldSpec = optional(
    "x_mm",
    "Right of die centre",
    PLACE,
    "From the centre of the die; left is negative. Die drawing.",
)
.drawn(Sketch::BolsterPlan);
const Y: FieldSpec = optional(
    "y_mm",
    "Behind die centre",
    PLACE,
    "From the centre of the die; towards the front is negative. Die drawing.",
)
.drawn(Sketch::BolsterPlan);

/// One station.
pub static STATION: ObjectSpec = ObjectSpec {
    fields: &[
        optional("name", "Name", text(200), "What the shop calls it. On the strip layout."),
        X,
        Y,
        optional(
            "strip_position",
            "Position along the strip",
            Shape::Whole { min: 1, max: 10_000 },
            "Counted from where the strip enters; an idle position keeps its number.",
        )
        .drawn(Sketch::Strip),
        optional(
            "slug_drop_mm",
            "Slugs fall freely",
            from_zero(Unit::Mm, LONG),
            "Free height below the die opening, down to where slugs pile up if not cleared. Tape measure.",
        ),
        optional(
            "locked",
            "Keep as it is",
            Shape::Flag,
            "Advice leaves the tools of this station alone.",
        ),
        optional(
            "stripper",
            "Stripper",
            Shape::FixedOr(&SPRING_STRIPPER),
            "Fixed to the lower die, or on springs about the station point. Fixed if empty.",
        )
        .drawn(Sketch::Spring),
        optional(
            "stock",
            "Stock here",
            Shape::Object(&STOCK_OVERRIDE),
            "Where it differs from the job's.",
        ),
        optional(
            "work",
            "Work",
            Shape::List { item: &WORK, fewest: 0, most: 500 },
            "What is done here; none for an idle station.",
        ),
        // The stock fields may also stand directly in the station.
        MATERIAL,
        THICKNESS_HERE,
        TOLERANCE,
        TENSILE_FIELD,
        SHEAR_RATIO,
        SHEAR_STRENGTH,
        YIELD,
        PENETRATION,
        SEPARATION,
        COEFFICIENT,
        EXPONENT,
    ],
};

/// One piece of work.
pub static WORK: Shape = Shape::Tagged {
    tag: "op",
    label: "Operation",
    kinds: &[
        ("cut", "cut", &Shape::Object(&CUT)),
        ("bend", "bend", &Shape::Object(&BEND)),
        ("flange", "flange", &Shape::Object(&FLANGE)),
        ("hem", "hem", &Shape::Object(&HEM)),
        ("hole_flange", "hole flange", &Shape::Object(&HOLE_FLANGE)),
        ("draw", "draw", &Shape::Object(&DRAW)),
        ("squeeze", "squeeze", &Shape::Object(&SQUEEZE)),
        ("spring", "spring or cushion", &SPRING_BODY),
        ("table", "force by height", &Shape::Object(&TABLE)),
    ],
};

const ENTRY: FieldSpec = needed(
    "entry_mm",
    "First touch at",
    above_zero(Unit::Mm, LONG),
    "Slide height above BDC at which the tool first touches the stock. Die drawing, or closed height against tool length.",
).drawn(Sketch::Entry);
const WORK_X: FieldSpec = optional(
    "x_mm",
    "Right of station",
    PLACE,
    "From the station point; left is negative. Die drawing.",
)
.drawn(Sketch::BolsterPlan);
const WORK_Y: FieldSpec = optional(
    "y_mm",
    "Behind station",
    PLACE,
    "From the station point; towards the front is negative. Die drawing.",
)
.drawn(Sketch::BolsterPlan);
const WORK_TURN: FieldSpec = optional(
    "turn_deg",
    "Turned",
    between(Unit::Deg, -360.0, 360.0),
    "How the outline is turned, counter-clockwise seen from above.",
);
const LENGTH: FieldSpec =
    needed("length_mm", "Length", above_zero(Unit::Mm, LONG), "Of the bend line. Part drawing.")
        .drawn(Sketch::Bend);
const PUNCH_RADIUS: FieldSpec = optional(
    "punch_radius_mm",
    "Punch radius",
    from_zero(Unit::Mm, 10_000.0),
    "Of the edge over which the punch forms. Tool drawing or radius gauge.",
)
.drawn(Sketch::Bend);
const DIE_RADIUS: FieldSpec = optional(
    "die_radius_mm",
    "Die radius",
    from_zero(Unit::Mm, 10_000.0),
    "Of the edge over which the stock slides. Tool drawing or radius gauge.",
)
.drawn(Sketch::Bend);
const GAP: FieldSpec = optional(
    "gap_mm",
    "Gap",
    above_zero(Unit::Mm, 1_000.0),
    "Between punch and die; the thickness if empty.",
)
.drawn(Sketch::Bend);
const FACTOR: FieldSpec = optional(
    "factor",
    "Factor k",
    above_zero(Unit::One, 100.0),
    "Of the bending formula k·Rm·L·t²/W. The handbook's if empty.",
);
const PAD: FieldSpec = optional(
    "pad_kn",
    "Pad force",
    from_zero(Unit::Kn, STRONG),
    "Holds the stock from first touch to BDC. Tool drawing, springs under the pad.",
)
.drawn(Sketch::Bend);

/// Kinds of cut: the word in the file and what the page calls it.
pub static CUT_KINDS: [(&str, &str); 8] = [
    ("blank", "blank"),
    ("pierce", "pierce"),
    ("notch", "notch"),
    ("cut_off", "cut off"),
    ("shear", "shear"),
    ("lance", "lance"),
    ("trim", "trim"),
    ("shave", "shave"),
];

static CUT: ObjectSpec = ObjectSpec {
    fields: &[
        needed("kind", "Kind", Shape::Choice(&CUT_KINDS), "What is cut: the part out, a hole in, the edge off."),
        needed(
            "outline",
            "Outline",
            Shape::OneOf(&[
                needed("circle", "circle", Shape::Object(&CIRCLE), "About the station point."),
                needed(
                    "rectangle",
                    "rectangle",
                    Shape::Object(&RECTANGLE),
                    "About the station point.",
                ),
                needed("slot", "slot", Shape::Object(&SLOT), "About the station point, along x."),
                needed("path", "path", Shape::Object(&PATH), "From point to point."),
                needed(
                    "length_mm",
                    "length only",
                    above_zero(Unit::Mm, 1e6),
                    "The force acts at the station point.",
                ),
            ]),
            "The cut edge from the station point. Die drawing; a DXF or SVG can be opened.",
        ),
        ENTRY,
        optional(
            "tool_shear",
            "Tool shear",
            Shape::Tagged {
                tag: "kind",
                label: "Tool shear",
                kinds: &[
                    ("flat", "flat", &Shape::Object(&FLAT)),
                    ("slope", "slope", &Shape::Object(&SLOPE)),
                    ("roof", "roof", &Shape::Object(&ROOF)),
                    ("zigzag", "zigzag", &Shape::Object(&ZIGZAG)),
                ],
            },
            "How the edge is ground, so that it does not cut all at once. Tool drawing.",
        ).drawn(Sketch::ToolShear),
        optional(
            "clearance_percent",
            "Clearance per side",
            above_zero(Unit::Percent, 100.0),
            "Gap between punch and die on one side, of thickness. 6 % if empty. Below 10 % the upper line rises by 0.8 % of force per percent.",
        ).drawn(Sketch::Entry),
        optional(
            "land_mm",
            "Straight land of the die",
            above_zero(Unit::Mm, 1_000.0),
            "Over which the die opening is straight and holds the slugs pushed through. Tool drawing.",
        ).drawn(Sketch::Entry),
        optional(
            "strip_factor",
            "Stripping over cutting force",
            from_zero(Unit::One, 1.0),
            "To pull the punch out, over the cutting force. The job's if empty.",
        ),
        optional(
            "wear_factor",
            "Dull over sharp",
            between(Unit::One, 1.0, 3.0),
            "Cutting force with dull edges over sharp ones; the upper line takes it.",
        ),
        optional(
            "punch_length_mm",
            "Punch length",
            above_zero(Unit::Mm, 1_000.0),
            "Free length of a piercing punch below its holder, to see whether it buckles. Tool drawing.",
        ),
        optional(
            "punch_guided",
            "Punch guided in the stripper",
            Shape::Flag,
            "Whether the stripper guides the end of the punch; otherwise it is taken as free.",
        ),
        optional(
            "allowance_mm",
            "Shaving allowance",
            above_zero(Unit::Mm, 100.0),
            "Width of the ring that shaving takes off; at most the thickness.",
        ),
        WORK_X,
        WORK_Y,
        WORK_TURN,
    ],
};

static CIRCLE: ObjectSpec = ObjectSpec {
    fields: &[needed(
        "diameter_mm",
        "Diameter",
        above_zero(Unit::Mm, LONG),
        "Of the punch for a hole, of the die for a blank. Tool drawing.",
    )],
};
static RECTANGLE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "width_mm",
            "Left to right",
            above_zero(Unit::Mm, LONG),
            "Of the cut edge. Tool drawing.",
        ),
        needed(
            "depth_mm",
            "Front to back",
            above_zero(Unit::Mm, LONG),
            "Of the cut edge. Tool drawing.",
        ),
        optional(
            "corner_radius_mm",
            "Corner radius",
            from_zero(Unit::Mm, LONG),
            "Of its four corners. Sharp if empty.",
        ),
    ],
};
static SLOT: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "length_mm",
            "Length over all",
            above_zero(Unit::Mm, LONG),
            "From round end to round end, along x. Tool drawing.",
        ),
        needed("width_mm", "Width", above_zero(Unit::Mm, LONG), "Of the slot. Tool drawing."),
    ],
};
static PATH: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "points",
            "Points",
            Shape::List { item: &Shape::Pair(PLACE_MM), fewest: 2, most: 50_000 },
            "One point a line: right, back, from the station point.",
        ),
        optional(
            "bulges",
            "Bulges",
            Shape::List { item: &between(Unit::One, -1e4, 1e4), fewest: 0, most: 50_000 },
            "For each segment the tangent of a quarter of its arc's angle, counter-clockwise positive.",
        ),
        optional("closed", "Closed", Shape::Flag, "Whether the last point is joined to the first."),
    ],
};

const DEPTH: FieldSpec = needed(
    "depth_mm",
    "Depth",
    above_zero(Unit::Mm, 1_000.0),
    "From first to last touch: how deep the edge is ground. Tool drawing.",
)
.drawn(Sketch::ToolShear);
const DIRECTION: FieldSpec = optional(
    "direction_deg",
    "Direction",
    between(Unit::Deg, -360.0, 360.0),
    "The direction in which the entry gets later, from x to the right.",
)
.drawn(Sketch::ToolShear);
static FLAT: ObjectSpec = ObjectSpec { fields: &[] };
const SHEAR_ON: FieldSpec = optional(
    "shear_on",
    "Ground on",
    Shape::Choice(&[("punch", "punch"), ("die", "die")]),
    "Punch for piercing, die for blanking: what is to be kept stays flat.",
)
.drawn(Sketch::ToolShear);
static SLOPE: ObjectSpec = ObjectSpec { fields: &[DEPTH, DIRECTION, SHEAR_ON] };
static ROOF: ObjectSpec = ObjectSpec { fields: &[DEPTH, DIRECTION, RIDGE_FIRST, SHEAR_ON] };
static ZIGZAG: ObjectSpec = ObjectSpec {
    fields: &[
        DEPTH,
        DIRECTION,
        RIDGE_FIRST,
        SHEAR_ON,
        needed(
            "ridges",
            "Ridges",
            Shape::Whole { min: 1, max: 1_000 },
            "Equal ridges along the direction.",
        )
        .drawn(Sketch::ToolShear),
    ],
};
const RIDGE_FIRST: FieldSpec = optional(
    "ridge_first",
    "Ridge touches first",
    Shape::Flag,
    "Whether the ridge touches first; otherwise the ends do.",
)
.drawn(Sketch::ToolShear);

static BEND: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "kind",
            "Kind",
            Shape::Choice(&[("v", "V"), ("u", "U"), ("wipe", "wipe")]),
            "How it is bent: into a V, over two edges, or wiped down over one.",
        )
        .drawn(Sketch::Bend),
        LENGTH,
        optional(
            "opening_mm",
            "V opening",
            above_zero(Unit::Mm, 10_000.0),
            "Width of the V between its edges, with a V. Tool drawing.",
        )
        .drawn(Sketch::Bend),
        PUNCH_RADIUS,
        DIE_RADIUS,
        GAP,
        ENTRY,
        FACTOR,
        PAD,
        optional(
            "bottoming_mpa",
            "Bottoming pressure",
            above_zero(Unit::Mpa, 10_000.0),
            "Pressure on the bend at BDC, where it is bottomed. Tool drawing.",
        )
        .drawn(Sketch::Bend),
        WORK_X,
        WORK_Y,
        WORK_TURN,
    ],
};

static FLANGE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "kind",
            "Kind",
            Shape::Choice(&[
                ("straight", "straight"),
                ("stretch", "stretch"),
                ("shrink", "shrink"),
            ]),
            "A flange along a straight edge, or a curved one that is stretched or shrunk.",
        )
        .drawn(Sketch::Bend),
        LENGTH,
        PUNCH_RADIUS,
        DIE_RADIUS,
        GAP,
        optional(
            "plan_radius_mm",
            "Radius in plan",
            above_zero(Unit::Mm, LONG),
            "Of the bend line of a stretch or shrink flange, from above. Part drawing.",
        ),
        optional(
            "height_mm",
            "Flange height",
            above_zero(Unit::Mm, 10_000.0),
            "Of a stretch or shrink flange. Part drawing.",
        )
        .drawn(Sketch::Bend),
        ENTRY,
        FACTOR,
        PAD,
        WORK_X,
        WORK_Y,
        WORK_TURN,
    ],
};

static HEM: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "kind",
            "Kind",
            Shape::Choice(&[("open", "open"), ("flat", "flat")]),
            "Whether it is left open at its fold or closed flat.",
        ),
        LENGTH,
        optional(
            "gap_mm",
            "Gap",
            above_zero(Unit::Mm, 1_000.0),
            "Of an open hem at its fold; at least the thickness, which it is if empty.",
        ),
        ENTRY,
        FACTOR,
        WORK_X,
        WORK_Y,
        WORK_TURN,
    ],
};

static HOLE_FLANGE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "hole_diameter_mm",
            "Hole before",
            above_zero(Unit::Mm, 10_000.0),
            "Its diameter before it is flanged. Part drawing or strip layout.",
        ),
        needed(
            "flange_diameter_mm",
            "Flange",
            above_zero(Unit::Mm, 10_000.0),
            "Mean diameter of the flange. Part drawing.",
        ),
        ENTRY,
        WORK_X,
        WORK_Y,
    ],
};

static BOX: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "width_mm",
            "Left to right",
            above_zero(Unit::Mm, LONG),
            "Of the punch. Tool drawing.",
        )
        .drawn(Sketch::Draw),
        needed(
            "depth_mm",
            "Front to back",
            above_zero(Unit::Mm, LONG),
            "Of the punch. Tool drawing.",
        )
        .drawn(Sketch::Draw),
        needed(
            "corner_radius_mm",
            "Corner radius",
            above_zero(Unit::Mm, LONG),
            "Of its upright edges, seen from above; at most half the shorter side.",
        ),
    ],
};

static DRAW: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "kind",
            "Kind",
            Shape::Choice(&[("first", "first draw"), ("redraw", "redraw"), ("iron", "iron")]),
            "First draw from a blank, a redraw of a cup, or thinning of its wall.",
        ).drawn(Sketch::Draw),
        optional(
            "blank_diameter_mm",
            "Blank diameter",
            above_zero(Unit::Mm, LONG),
            "Of the cup before, for a redraw. Of a box twice the blank's corner radius about the centre of the box's corner; from the depth if empty.",
        ).drawn(Sketch::Draw),
        optional(
            "punch_diameter_mm",
            "Punch diameter",
            above_zero(Unit::Mm, LONG),
            "Of a round punch. Tool drawing. Not with a box.",
        ).drawn(Sketch::Draw),
        optional(
            "box",
            "Rectangular box",
            Shape::Object(&BOX),
            "Its punch, in place of a round one; first draw only. Corners as round cups, sides as bends: an upper estimate.",
        ),
        needed("depth_mm", "Depth", above_zero(Unit::Mm, 10_000.0), "Travel of the punch in the stock. Part drawing.").drawn(Sketch::Draw),
        DIE_RADIUS,
        PUNCH_RADIUS,
        optional("friction", "Friction", from_zero(Unit::One, 1.0), "Coefficient between stock and tool. 0.1 if empty."),
        optional(
            "blank_holder_kn",
            "Blank-holder force",
            from_zero(Unit::Kn, STRONG),
            "Its friction counts here; the cushion that carries it is a load of its own.",
        ).drawn(Sketch::Draw),
        optional(
            "wall_after_mm",
            "Wall after ironing",
            above_zero(Unit::Mm, 100.0),
            "Thickness of the wall after ironing. Part drawing.",
        ),
        ENTRY,
        WORK_X,
        WORK_Y,
    ],
};

/// The tabled ranges: H. Tschätsch, A. Koth, *Metal Forming Practise*, Springer 2006, tables 8.1 and
/// 17.1.
const SQUEEZE_PRESSURE: &str = "At BDC, in MPa (Tschätsch, Koth, table 8.1): lettering in soft aluminium 50–80, brass 200–300, copper 200–300, steel 300–400, stainless 600–800; deep coining 80–120, 1500–1800, 800–1000, 1200–1500, 2500–3200. Embossing thin sheet with a close-fitting punch, steel (table 17.1): up to 0.4 mm 1800–2500, to 0.7 mm 1250–1600, above 1000–1200; that table is for screw presses, so take 50 % more on a crank press.";

static SQUEEZE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "kind",
            "Kind",
            Shape::Choice(&[("coin", "coin"), ("emboss", "emboss"), ("size", "size")]),
            "Lettering and coining, raising thin sheet, or bringing to size.",
        ),
        needed(
            "area_mm2",
            "Area",
            above_zero(Unit::Mm2, 1e8),
            "Area under pressure at BDC, seen from above. Part drawing.",
        ),
        needed("pressure_mpa", "Pressure", above_zero(Unit::Mpa, 10_000.0), SQUEEZE_PRESSURE),
        ENTRY,
        WORK_X,
        WORK_Y,
    ],
};

static SPRING_BODY: Shape = Shape::Tagged {
    tag: "kind",
    label: "Kind",
    kinds: &[
        ("coil", "coil", &Shape::Object(&COIL_SPRING)),
        ("gas", "gas", &Shape::Object(&GAS)),
        ("elastomer", "elastomer", &Shape::Object(&ELASTOMER)),
        ("cushion", "cushion", &Shape::Object(&CUSHION)),
        ("air_cushion", "air cushion", &Shape::Object(&AIR_CUSHION)),
    ],
};
/// A spring that acts at the station point.
static SPRING_STRIPPER: Shape = Shape::Tagged {
    tag: "kind",
    label: "Kind",
    kinds: &[
        ("coil", "coil", &Shape::Object(&COIL_STRIPPER)),
        ("gas", "gas", &Shape::Object(&GAS_STRIPPER)),
        ("elastomer", "elastomer", &Shape::Object(&ELASTOMER_STRIPPER)),
        ("cushion", "cushion", &Shape::Object(&CUSHION_STRIPPER)),
    ],
};

const PRELOAD: FieldSpec = needed(
    "preload_kn",
    "Preload",
    from_zero(Unit::Kn, STRONG),
    "As built in, all springs together. Spring table at the preload travel.",
)
.drawn(Sketch::Spring);
const RATE: FieldSpec = needed(
    "rate_kn_per_mm",
    "Rate",
    from_zero(Unit::KnPerMm, 1e5),
    "Force per millimetre, all springs together. Spring table.",
)
.drawn(Sketch::Spring);
static COIL_SPRING: ObjectSpec = ObjectSpec { fields: &[PRELOAD, RATE, ENTRY, WORK_X, WORK_Y] };
static COIL_STRIPPER: ObjectSpec = ObjectSpec { fields: &[PRELOAD, RATE, ENTRY] };

const GAS_FORCE: FieldSpec = needed(
    "force_kn",
    "Initial force",
    from_zero(Unit::Kn, STRONG),
    "All springs together, as charged. On the springs, by their gauge.",
)
.drawn(Sketch::Spring);
const GAS_STROKE: FieldSpec = needed(
    "stroke_mm",
    "Stroke",
    above_zero(Unit::Mm, 10_000.0),
    "Travel that the spring takes; beyond it it is destroyed. On the spring.",
)
.drawn(Sketch::Spring);
const FORCE_RISE: FieldSpec = optional(
    "force_rise",
    "Force rise",
    between(Unit::One, 1.0, 10.0),
    "Force at full stroke over initial force, in the maker's table; 1 if empty.",
)
.drawn(Sketch::Spring);
static GAS: ObjectSpec =
    ObjectSpec { fields: &[GAS_FORCE, GAS_STROKE, FORCE_RISE, ENTRY, WORK_X, WORK_Y] };
static GAS_STRIPPER: ObjectSpec =
    ObjectSpec { fields: &[GAS_FORCE, GAS_STROKE, FORCE_RISE, ENTRY] };

const TRAVEL_FORCE_LIST: Shape =
    Shape::List { item: &Shape::Object(&TRAVEL_FORCE), fewest: 2, most: 500 };
const TRAVEL_POINTS: FieldSpec = needed(
    "points",
    "Force over travel",
    TRAVEL_FORCE_LIST,
    "From the maker's table, rising travel from 0; one point a line.",
)
.drawn(Sketch::Spring);
static ELASTOMER: ObjectSpec = ObjectSpec { fields: &[TRAVEL_POINTS, ENTRY, WORK_X, WORK_Y] };
static ELASTOMER_STRIPPER: ObjectSpec = ObjectSpec { fields: &[TRAVEL_POINTS, ENTRY] };
static TRAVEL_FORCE: ObjectSpec = ObjectSpec {
    fields: &[
        needed("travel_mm", "Travel", from_zero(Unit::Mm, 10_000.0), "How far it is pressed in.")
            .drawn(Sketch::Spring),
        needed("force_kn", "Force", from_zero(Unit::Kn, STRONG), "Force there.")
            .drawn(Sketch::Spring),
    ],
};

const CUSHION_FORCE: FieldSpec = needed(
    "force_kn",
    "Force",
    from_zero(Unit::Kn, STRONG),
    "Pressure times piston area. Gauge and press manual.",
)
.drawn(Sketch::Spring);
const CUSHION_STROKE: FieldSpec = optional(
    "stroke_mm",
    "Stroke",
    above_zero(Unit::Mm, 10_000.0),
    "How far it can be pushed down. Press manual.",
)
.drawn(Sketch::Spring);
static CUSHION: ObjectSpec =
    ObjectSpec { fields: &[CUSHION_FORCE, CUSHION_STROKE, ENTRY, WORK_X, WORK_Y] };
static CUSHION_STRIPPER: ObjectSpec =
    ObjectSpec { fields: &[CUSHION_FORCE, CUSHION_STROKE, ENTRY] };

static AIR_CUSHION: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "pressure_mpa",
            "Air pressure",
            above_zero(Unit::Mpa, 100.0),
            "On the gauge; 6 bar is 0.6 MPa.",
        ),
        needed(
            "piston_diameter_mm",
            "Piston diameter",
            above_zero(Unit::Mm, 10_000.0),
            "Of one piston. Press manual.",
        ),
        needed(
            "pistons",
            "Pistons",
            Shape::Whole { min: 1, max: 1_000 },
            "All that push. Press manual.",
        ),
        CUSHION_STROKE,
        FORCE_RISE,
        ENTRY,
        WORK_X,
        WORK_Y,
    ],
};

static TABLE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "points",
            "Force by height",
            HEIGHT_FORCE_LIST,
            "Force at each height, rising or falling; one point a line. Measured, or from another calculation.",
        ),
        optional(
            "entry_mm",
            "First touch at",
            above_zero(Unit::Mm, LONG),
            "For the record; the table says where force acts.",
        ),
        WORK_X,
        WORK_Y,
    ],
};

/// How it is worked out.
pub static SETTINGS: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "cut_profile",
            "Cutting force curve",
            Shape::Choice(&[("shaped", "as measured"), ("plateau", "handbook")]),
            "The measured shape, or the handbook's constant force over the penetration.",
        ),
        optional(
            "near_share",
            "Near from",
            between(Unit::One, 0.05, 1.0),
            "Share from which a limit counts as near. 0.80 for straight-side presses, 0.65 for gap frames if empty (common practice).",
        ),
        optional(
            "strip_factor",
            "Stripping over cutting force",
            from_zero(Unit::One, 1.0),
            "To pull the punches out, over the cutting force. 0.1 if empty; 0.03 to 0.3 in print.",
        ),
        optional(
            "alarm_high_percent",
            "Load alarm above normal",
            above_zero(Unit::Percent, 1_000.0),
            "Of the normal peak, as set on the load monitor. 15 % if empty (common practice: 10 to 15 %).",
        ),
        optional(
            "alarm_low_percent",
            "Load alarm below normal",
            above_zero(Unit::Percent, 100.0),
            "Of the normal peak, as set on the load monitor. 20 % if empty (common practice: 15 to 20 %).",
        ),
    ],
};
