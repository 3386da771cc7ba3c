//! Worked examples from the literature, one file per source.
//!
//! Each file names its source at the top and the place within it at each test. Where a source made
//! a mistake in print, the test says what is wrong and that ours is the other value. Numbers that
//! could not be looked up again are marked "value from memory".

#[path = "../../crates/press-load/tests/support/mod.rs"]
mod support;

mod ahss_insights;
mod asm_handbook;
mod beer;
mod capacity_notes;
mod dayton_cushions;
mod demirezen;
mod dinglers_journal;
mod exam_answers;
mod fabricator;
mod gate_papers;
mod gere;
mod ghosh;
mod groover;
mod hibbeler;
mod hole_chart;
mod illinois_mechref;
mod jindal;
mod junnarkar;
mod kalpakjian;
mod khurmi;
mod measured;
mod misumi;
mod press_tool_notes;
mod punching_machine_manual;
mod rakesh_sharma;
mod roper_whitney;
mod sarkar_machines;
mod sarkar_strength;
mod seville;
mod sharma;
mod sme_tool_design;
mod tschaetsch;
mod ulintz;

/// Millimetres in an inch, exactly.
const INCH: f64 = 25.4;
/// Megapascals in 1000 lbf/in².
const KSI: f64 = 6.894_757_293;
/// Megapascals in 1 kgf/mm².
const KGF_PER_MM2: f64 = 9.806_65;
