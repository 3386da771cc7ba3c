//! Invented jobs that ship with the program.

/// An invented job: its name on the page and its file.
pub struct Demo {
    /// What the page calls it.
    pub label: &'static str,
    /// The job file.
    pub text: &'static str,
}

/// One of each kind: near a limit, with room, over high in the stroke, and one with most operations
/// in one strip.
pub const DEMOS: [Demo; 4] = [
    Demo {
        label: "Gate-latch plate, progressive",
        text: include_str!("../demos/progressive.json"),
    },
    Demo { label: "Ring washer, compound", text: include_str!("../demos/compound.json") },
    Demo { label: "Lantern cap, blank and draw", text: include_str!("../demos/combination.json") },
    Demo { label: "Trellis clip, six stations", text: include_str!("../demos/six_station.json") },
];

/// An invented tandem line: draw, trim and pierce, flange.
pub const TANDEM_LINE: &str = include_str!("../demos/tandem_line.json");
