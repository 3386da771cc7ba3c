//! Fields of what a set-up needs beside the check, and of its record.

use super::{
    FieldSpec, LONG, ObjectSpec, PLACE, STRONG, Shape, Unit, above_zero, between, from_zero,
    needed, optional, text,
};

/// Largest picture, in characters of its data URL: some two million pixels of a photograph.
pub const LARGEST_IMAGE: usize = 1_500_000;
/// Most pictures of a record, so that a file stays within what is read.
pub const MOST_PHOTOS: usize = 8;
/// Most entries of each list of a record.
const MOST_ENTRIES: usize = 500;

const DATE: FieldSpec = needed("date", "Date", Shape::Date, "Year, month, day: 2026-03-31.");
const OPTIONAL_DATE: FieldSpec = FieldSpec { required: false, ..DATE };
const TIME: FieldSpec = optional("time", "Time", Shape::Time, "Hour and minute: 06:45.");
const BY: FieldSpec = optional("by", "By", text(200), "Who.");
const REMARK: FieldSpec = optional("remark", "Remark", text(2_000), "Anything worth knowing.");

/// A list of a record.
const fn entries(
    key: &'static str,
    label: &'static str,
    item: &'static Shape,
    about: &'static str,
) -> FieldSpec {
    optional(key, label, Shape::List { item, fewest: 0, most: MOST_ENTRIES }, about)
}

/// The press's own table for the counterbalance.
pub(super) static COUNTERBALANCE: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "points",
            "Air pressure over mass",
            Shape::List { item: &Shape::Object(&MASS_PRESSURE), fewest: 2, most: 200 },
            "From the table on the press, rising mass. Read between its rows, not beyond them.",
        ),
        optional(
            "attachments_kg",
            "Other attachments",
            from_zero(Unit::Kg, 1e6),
            "Beside the upper die, as far as they count in that table: adapter plate, knock-out.",
        ),
    ],
};

static MASS_PRESSURE: ObjectSpec = ObjectSpec {
    fields: &[
        needed("mass_kg", "Mass", from_zero(Unit::Kg, 1e6), "Upper die and other attachments."),
        needed("pressure_mpa", "Air pressure", above_zero(Unit::Mpa, 100.0), "6 bar is 0.6 MPa."),
    ],
};

/// A setting of the slide and the load read at it.
pub(super) static STIFFNESS_READING: ObjectSpec = ObjectSpec {
    fields: &[
        needed(
            "shut_height_mm",
            "Shut height set",
            above_zero(Unit::Mm, LONG),
            "On the slide adjustment, with the die closed on solid blocks.",
        ),
        needed("force_kn", "Load read", from_zero(Unit::Kn, STRONG), "On the load display."),
    ],
};

/// What the shop does and has at this set-up.
pub(super) static SETUP: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "press_opening_mm",
            "Press opens now",
            above_zero(Unit::Mm, LONG),
            "Bolster to slide at BDC as set now, inched to the bottom empty. Tape measure.",
        ),
        optional(
            "approach_mm",
            "Begin above",
            above_zero(Unit::Mm, 1_000.0),
            "Above the closed die, where the slide is set at first. One thickness and 1 mm if empty (common practice, no source).",
        ),
        optional(
            "lifting_limit_kg",
            "Lifts at most",
            above_zero(Unit::Kg, 1e6),
            "The shop's own crane, fork or cart for this die. On its plate.",
        ),
        optional("lifting_gear", "Lifted with", text(200), "Crane, fork or cart."),
        optional("slugs_cleared_by", "Slugs cleared by", text(200), "Who."),
        optional("slugs_cleared_every", "Slugs cleared", text(200), "How often."),
    ],
};

/// Where the slide stood after a trip or a stall.
pub(super) static TRIP: ObjectSpec = ObjectSpec {
    fields: &[
        optional(
            "angle_deg",
            "Stands at crank angle",
            between(Unit::Deg, 0.0, 180.0),
            "Before BDC, by the dial at the press. Or the height.",
        ),
        optional(
            "height_mm",
            "or at height",
            from_zero(Unit::Mm, LONG),
            "Slide above BDC. Or the angle.",
        ),
        OPTIONAL_DATE,
        TIME,
        REMARK,
    ],
};

/// What was set, read, ground and repaired.
pub(super) static RECORD: ObjectSpec = ObjectSpec {
    fields: &[
        entries("setups", "Set-ups", &Shape::Object(&SETUP_ENTRY), "Each as it was set."),
        entries("readings", "Readings", &Shape::Object(&READING), "Peaks on the load display."),
        entries("grinds", "Grinds", &Shape::Object(&GRIND), "What each sharpening took off."),
        entries("repairs", "Repairs", &Shape::Object(&REPAIR), "What was repaired or changed."),
        entries(
            "shut_heights",
            "Closed heights",
            &Shape::Object(&HEIGHT),
            "The die's, as measured.",
        ),
        entries("remarks", "Remarks", &Shape::Object(&REMARK_ENTRY), "For the next shift."),
        optional(
            "photos",
            "Photos",
            Shape::List { item: &Shape::Object(&PHOTO), fewest: 0, most: MOST_PHOTOS },
            "Press plate, die tag, strip.",
        ),
    ],
};

const TOTAL: FieldSpec =
    optional("total_kn", "Peak", from_zero(Unit::Kn, STRONG), "Of the whole press.");
const POINTS: FieldSpec = optional(
    "points_kn",
    "Peaks of the points",
    Shape::List { item: &from_zero(Unit::Kn, STRONG), fewest: 1, most: 4 },
    "As on the display: left, right; or front left, front right, back left, back right.",
);
const REVERSE: FieldSpec =
    optional("reverse_kn", "Reverse load", from_zero(Unit::Kn, STRONG), "As read.");
const SPEED: FieldSpec =
    optional("speed_spm", "Speed", above_zero(Unit::Spm, 5_000.0), "Strokes per minute then.");

static SETUP_ENTRY: ObjectSpec = ObjectSpec {
    fields: &[
        DATE,
        TIME,
        optional("set_by", "Set by", text(200), "Name."),
        optional("checked_by", "Checked by", text(200), "Name of another person."),
        optional("guards_tested_by", "Guards tested by", text(200), "Name."),
        optional("guards_tested_at", "Guards tested at", Shape::Time, "Hour and minute: 06:45."),
        optional(
            "first_off",
            "First part",
            Shape::Choice(&[("accepted", "accepted"), ("rejected", "rejected")]),
            "What the check of the first part said.",
        ),
        optional("first_off_by", "First part checked by", text(200), "Name."),
        optional("blocks_in", "Safety blocks in", BLOCKS, "How many were put in."),
        optional("blocks_out", "Safety blocks out", BLOCKS, "How many were taken out again."),
        optional(
            "good",
            "Good",
            Shape::Flag,
            "Whether it ran well; the last good one is shown first.",
        ),
        optional("press", "Press then", text(200), "Its name."),
        optional("material", "Material then", text(200), "Standard designation."),
        optional("thickness_mm", "Thickness then", above_zero(Unit::Mm, 100.0), "As measured."),
        SPEED,
        optional("shut_height_mm", "Closed height then", above_zero(Unit::Mm, LONG), "Of the die."),
        optional("slide_setting_mm", "Slide set to", above_zero(Unit::Mm, LONG), "Shut height."),
        optional("x_mm", "Right of centre then", PLACE, "Die centre."),
        optional("y_mm", "Behind centre then", PLACE, "Die centre."),
        optional(
            "turn_deg",
            "Turned then",
            Shape::WholeOf(&[0, 90, 180, 270]),
            "Counter-clockwise.",
        ),
        optional(
            "counterbalance_mpa",
            "Counterbalance",
            from_zero(Unit::Mpa, 100.0),
            "Air pressure as set; 6 bar is 0.6 MPa.",
        ),
        TOTAL,
        POINTS,
        REVERSE,
        REMARK,
    ],
};

const BLOCKS: Shape = Shape::Whole { min: 0, max: 100 };

static READING: ObjectSpec =
    ObjectSpec { fields: &[DATE, TIME, TOTAL, POINTS, REVERSE, SPEED, BY, REMARK] };

static GRIND: ObjectSpec = ObjectSpec {
    fields: &[
        DATE,
        optional(
            "amount_mm",
            "Taken off",
            from_zero(Unit::Mm, 100.0),
            "In height. Not recorded if empty; the grind counts all the same.",
        ),
        BY,
        REMARK,
    ],
};

static REPAIR: ObjectSpec = ObjectSpec {
    fields: &[DATE, optional("what", "What", text(2_000), "Was repaired or changed."), BY],
};

static HEIGHT: ObjectSpec = ObjectSpec {
    fields: &[
        DATE,
        optional(
            "height_mm",
            "Closed height",
            above_zero(Unit::Mm, LONG),
            "Tape measure or gauge.",
        ),
        BY,
    ],
};

static REMARK_ENTRY: ObjectSpec =
    ObjectSpec { fields: &[DATE, optional("text", "Remark", text(2_000), "What to know."), BY] };

static PHOTO: ObjectSpec = ObjectSpec {
    fields: &[
        optional("name", "Name", text(200), "What it shows."),
        needed(
            "kind",
            "Kind",
            Shape::Choice(&[
                ("press_plate", "press plate"),
                ("die_tag", "die tag"),
                ("set_up", "set-up"),
                ("strip", "strip"),
                ("part", "part"),
                ("other", "other"),
            ]),
            "What it is of.",
        ),
        needed(
            "image",
            "Picture",
            Shape::Image { longest: LARGEST_IMAGE },
            "PNG, JPEG, WebP or GIF, as a data URL.",
        ),
        OPTIONAL_DATE,
    ],
};
