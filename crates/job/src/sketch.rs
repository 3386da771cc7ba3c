//! Small drawings that show what a field means, shared by the fields of one subject.
//!
//! Each is drawn in a box of 240 by 130 with strokes of the text's colour; the page puts it beside
//! the help of a field, and `docs/sketches` holds it as a file.

use evenstroke_language::tr;

/// What is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sketch {
    /// Crank, rod and slide with stroke and rating height.
    Crank,
    /// Shut height, closed height and opening.
    ShutHeight,
    /// Bolster from above with the die, its datum and the load centre.
    BolsterPlan,
    /// Slope and roof ground on a cutting edge.
    ToolShear,
    /// Where a punch touches, how far it goes until the cut is through, clearance.
    Entry,
    /// Radii, gap and length of a bend.
    Bend,
    /// A cup being drawn.
    Draw,
    /// Force of a spring over its stroke.
    Spring,
    /// A strip with its pitch and the first-hit line.
    Strip,
    /// T-slots and bolts.
    Slots,
    /// Force allowed off the middle, and the slide that tilts.
    OffCentre,
}

impl Sketch {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::Crank,
        Self::ShutHeight,
        Self::BolsterPlan,
        Self::ToolShear,
        Self::Entry,
        Self::Bend,
        Self::Draw,
        Self::Spring,
        Self::Strip,
        Self::Slots,
        Self::OffCentre,
    ];

    /// What it shows, in words.
    pub fn title(self) -> &'static str {
        tr(match self {
            Self::Crank => {
                "A crank moves the slide through its stroke; from the rating height down to BDC the press gives its rated force."
            }
            Self::ShutHeight => {
                "Shut height is from bolster to slide at BDC, closed height that of the die alone, opening the room between the halves at the top."
            }
            Self::BolsterPlan => {
                "Seen from above: right and back from the middle of the bolster to the die's centre, and the load centre."
            }
            Self::ToolShear => {
                "A slope cuts from one side to the other, a roof from its ridge or its ends; the depth is how far the edge is ground."
            }
            Self::Entry => {
                "The punch touches at the entry height above BDC; clearance is the gap on one side, the land the straight part of the opening."
            }
            Self::Bend => {
                "Radius of the punch, radius of the die, and the gap between them; the bend line runs into the page."
            }
            Self::Draw => {
                "A blank is drawn by the punch over the radius of the die while the holder presses on its rim."
            }
            Self::Spring => {
                "Force over travel: it starts at the preload and rises by the rate up to the end of the stroke."
            }
            Self::Strip => {
                "The strip is fed by one pitch per stroke; the first-hit line is where its leading edge stands at the first hit."
            }
            Self::Slots => {
                "T-slots of one pitch, symmetric about the middle; a bolt reaches a slot within the play of the die's own slots."
            }
            Self::OffCentre => {
                "The further from the middle the force stands, the less of it the press takes, and the slide tilts in its gibs."
            }
        })
    }

    /// A word for file names.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Crank => "crank",
            Self::ShutHeight => "shut_height",
            Self::BolsterPlan => "bolster_plan",
            Self::ToolShear => "tool_shear",
            Self::Entry => "entry",
            Self::Bend => "bend",
            Self::Draw => "draw",
            Self::Spring => "spring",
            Self::Strip => "strip",
            Self::Slots => "slots",
            Self::OffCentre => "off_centre",
        }
    }

    /// Thick lines, thin lines, dashed lines, and words with their places.
    const fn marks(self) -> (&'static str, &'static str, &'static str, Words) {
        match self {
            Self::Crank => (
                "M32 34a22 22 0 1 0 44 0a22 22 0 1 0-44 0M54 34l19 11l-16 39M34 84h46v16h-46z",
                "M54 32v4M52 34h4M100 40v60M96 40h8M96 100h8M150 82v18M146 82h8M146 100h8",
                "M84 100h130M84 82h80M84 40h30",
                &[
                    (108, 68, "stroke"),
                    (158, 95, "rating height"),
                    (186, 115, "BDC"),
                    (72, 66, "rod"),
                    (42, 97, "slide"),
                    (4, 16, "crank"),
                ],
            ),
            Self::ShutHeight => (
                "M10 20h80v14h-80zM10 104h80v14h-80zM16 56h68v48h-68zM16 80h68M140 4h80v12h-80zM140 104h80v14h-80zM150 16h60v16h-60zM150 80h60v24h-60z",
                "M104 34v70M100 34h8M100 104h8M26 56v48M22 56h8M22 104h8M180 32v48M176 32h8M176 80h8",
                "M90 34h18M90 104h18",
                &[
                    (32, 74, "closed"),
                    (32, 97, "height"),
                    (108, 66, "shut"),
                    (108, 80, "height"),
                    (186, 60, "opening"),
                    (26, 14, "at BDC"),
                    (150, 128, "at the top"),
                    (18, 128, "bolster"),
                ],
            ),
            Self::BolsterPlan => (
                "M20 8h160v104h-160zM80 22h80v50h-80zM128 40a5 5 0 1 0 10 0a5 5 0 1 0-10 0",
                "M100 54v12M94 60h12M120 47h0M116 47h8M120 43v8M100 88h20M100 84v8M120 84v8M192 47v13M188 47h8M188 60h8",
                "M100 66v24M120 52v38M106 60h90M124 47h72",
                &[
                    (122, 96, "right"),
                    (199, 57, "back"),
                    (24, 22, "bolster"),
                    (84, 35, "whole die"),
                    (140, 44, "load"),
                    (60, 126, "front (operator)"),
                ],
            ),
            Self::ToolShear => (
                "M20 10h70v40l-70 24zM140 10h70v40l-35 24l-35-24z",
                "M106 50v24M102 50h8M102 74h8M226 50v24M222 50h8M222 74h8M10 92h100M130 92h100M10 104h100M130 104h100",
                "M88 50h22M20 74h86M208 50h22M175 74h55",
                &[(36, 32, "slope"), (162, 32, "roof"), (98, 88, "depth"), (48, 101, "stock")],
            ),
            Self::Entry => (
                "M70 4h50v58h-50zM20 76h46v36h-46zM124 76h46v36h-46z",
                "M20 62h150M20 76h150M192 62v42M188 62h8M188 104h8M66 108v10M70 108v10M180 76v20M176 76h8M176 96h8",
                "M120 62h72M70 62v56M120 62v42M70 104h122M170 96h10",
                &[
                    (198, 80, "entry"),
                    (198, 93, "height"),
                    (80, 30, "punch"),
                    (28, 98, "die"),
                    (24, 58, "stock"),
                    (40, 128, "clearance"),
                    (142, 126, "land"),
                ],
            ),
            Self::Bend => (
                "M20 70h50a14 14 0 0 1 14 14v40M20 60h56a18 18 0 0 1 18 18v46M150 6v104h-42a12 12 0 0 1-12-12v-92z",
                "M84 120h12M84 116v8M96 116v8M84 84l-30 20M98 98l60-20",
                "M30 60v10M46 60v10M62 61v9",
                &[
                    (10, 112, "die radius"),
                    (160, 76, "punch radius"),
                    (104, 124, "gap"),
                    (110, 40, "punch"),
                    (20, 54, "stock"),
                ],
            ),
            Self::Draw => (
                "M90 4h50v66a8 8 0 0 1-8 8h-34a8 8 0 0 1-8-8zM20 42h56v14h-56zM154 42h40v14h-40zM20 68h44a10 10 0 0 1 10 10v46h-54zM210 68h-44a10 10 0 0 0-10 10v46h54z",
                "M24 57h190M24 66h44a14 14 0 0 1 14 14a6 6 0 0 0 6 6h54a6 6 0 0 0 6-6a14 14 0 0 1 14-14h44M224 57v29M220 57h8M220 86h8",
                "M142 86h80",
                &[
                    (96, 30, "punch"),
                    (22, 53, "holder"),
                    (24, 112, "die"),
                    (202, 36, "depth"),
                    (86, 104, "cup"),
                ],
            ),
            Self::Spring => (
                "M40 80l110-50",
                "M40 8v104h180M150 108v8",
                "M40 80v32M150 30v82M150 80h-110",
                &[
                    (2, 20, "force"),
                    (170, 126, "travel"),
                    (46, 96, "preload"),
                    (156, 58, "rise by rate"),
                    (104, 126, "stroke"),
                ],
            ),
            Self::Strip => (
                "M10 40h190v44h-190z",
                "M40 62a9 9 0 1 0 18 0a9 9 0 1 0-18 0M94 52h20v20h-20zM148 50v24M49 96h54M49 92v8M103 92v8M206 62h24M224 57l6 5l-6 5",
                "M49 74v20M103 74v20M76 20v74",
                &[
                    (64, 112, "pitch"),
                    (82, 28, "first-hit line"),
                    (206, 54, "feed"),
                    (14, 80, "strip"),
                ],
            ),
            Self::Slots => (
                "M10 20h180v64h-180z",
                "M40 20v64M48 20v64M96 20v64M104 20v64M152 20v64M160 20v64M44 98h56M44 94v8M100 94v8M54 44a5 5 0 1 0 10 0a5 5 0 1 0-10 0M44 60h15M44 57v6M59 57v6",
                "M44 84v12M100 84v12",
                &[(60, 114, "apart"), (66, 48, "bolt"), (62, 66, "reach"), (114, 14, "slots")],
            ),
            Self::OffCentre => (
                "M20 90l40-60h30l40 60M150 40l76-10l2 18l-76 10z",
                "M10 90h130M75 24v70M190 8v22M186 24l4 6l4-6M144 20v60M234 14v60",
                "M150 76h84",
                &[
                    (52, 20, "force"),
                    (36, 106, "left"),
                    (96, 106, "right"),
                    (150, 106, "slide tilts"),
                    (196, 16, "load"),
                    (204, 90, "gibs"),
                ],
            ),
        }
    }

    /// The drawing as what stands within an `svg` element of `viewBox` [`VIEW_BOX`].
    pub fn svg(self) -> String {
        let (thick, thin, dashed, words) = self.marks();
        let mut out = format!(
            "<g fill=\"none\" stroke=\"currentColor\"><path stroke-width=\"2\" d=\"{thick}\"/><path d=\"{thin}\"/><path stroke-dasharray=\"4 3\" d=\"{dashed}\"/></g><g fill=\"currentColor\" font-size=\"12\">"
        );
        for &(x, y, word) in words {
            out.push_str(&format!("<text x=\"{x}\" y=\"{y}\">{}</text>", tr(word)));
        }
        out.push_str("</g>");
        out
    }
}

/// Words with the place of their lower left corner.
type Words = &'static [(u16, u16, &'static str)];

/// The box that every sketch is drawn in.
pub const VIEW_BOX: &str = "0 0 240 130";
