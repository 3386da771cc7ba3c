//! Every law behind a number on the page: formula, symbols, what it takes for granted, where it holds,
//! who says so. The page and `docs/laws.md` are written from here; the laws themselves are worked out
//! in `press_load`, and tests hold that both give the same.

use super::formula::Formula;
use crate::spec::Unit;

/// A law of the trade or of ours.
#[derive(Debug)]
pub struct Law {
    /// Its name in files.
    pub key: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// In the language of [`Formula`].
    pub formula: &'static str,
    /// The result first, then what is put in.
    pub symbols: &'static [Symbol],
    /// What it takes for granted.
    pub assumes: &'static str,
    /// Where it holds.
    pub range: &'static str,
    /// Author, title, place, or whose form it is.
    pub source: &'static str,
}

/// What a letter of a formula stands for.
#[derive(Debug)]
pub struct Symbol {
    /// As in the formula.
    pub sign: &'static str,
    /// In words.
    pub meaning: &'static str,
    /// Unit of the file in which its value is kept.
    pub unit: Unit,
}

impl Law {
    /// Its formula; those of the table can all be read, which a test holds.
    pub fn read(&self) -> Option<Formula> {
        Formula::parse(self.formula).ok()
    }
}

macro_rules! laws {
    ($($name:ident $key:literal $title:literal $formula:literal
        $([$sign:literal $meaning:literal $unit:ident])+
        $assumes:literal $range:literal $source:literal)+) => {
        $(
            #[doc = $title]
            pub static $name: Law = Law {
                key: $key,
                title: $title,
                formula: $formula,
                symbols: &[$(Symbol { sign: $sign, meaning: $meaning, unit: Unit::$unit }),+],
                assumes: $assumes,
                range: $range,
                source: $source,
            };
        )+
        /// All of them, in the order of the handbook page.
        pub static LAWS: &[&Law] = &[$(&$name),+];
    };
}

laws! {
    CUT_FACTOR "cut_factor" "Dull edges and tight clearance"
        "w = max(w_d, 1) · (1 + 0.8 · max(0.1 − c, 0))"
        ["w" "factor on the cutting force" One]
        ["w_d" "dull over sharp force" One]
        ["c" "clearance a side, of thickness" Percent]
        "Counts on the upper line only, clearance on the shaped curve only; a clearance that nobody gave raises nothing."
        "Clearance below 10 % of thickness; linear is our own form."
        "From 10 % to 5 % clearance about 4 % more force: punching-machine manual B380EN03, p. 3-49. Dulling: the job's own figure."

    CUT_EDGE "cut_edge" "Whole cut edge at once"
        "F_max = τ · t · w · L"
        ["F_max" "force with the whole edge in shear" Kn]
        ["τ" "shear strength" Mpa]
        ["t" "thickness" Mm]
        ["w" "factor of dull edges and tight clearance" One]
        ["L" "length of the cut edge" Mm]
        "Flat, sharp tools; the whole edge in shear at the same time. τ is 0.8 of tensile strength where not entered."
        "All cuts but shaving."
        "P. C. Sharma, A Textbook of Production Engineering, 11th ed. (2008), ch. 2, example 2.1."

    SHAVE_EDGE "shave_edge" "Shaving"
        "F_max = τ · min(4.3 · a, t) · w · L"
        ["F_max" "force of the whole edge" Kn]
        ["τ" "shear strength" Mpa]
        ["a" "width of the ring taken off" Mm]
        ["t" "thickness" Mm]
        ["w" "factor of dull edges and tight clearance" One]
        ["L" "length of the cut edge" Mm]
        "A chip of width a is cut over the whole thickness, shear angle 25°: 2 · cot 25° is 4.3."
        "Until the ring is so wide that it is sheared like any blank."
        "M. E. Merchant's law of the chip (value from memory); its use for shaving is common practice, no source."

    SHEAR_SLOPE "shear_slope" "One straight edge with tool shear"
        "F = F_max · p · t / s"
        ["F" "highest force" Kn]
        ["F_max" "force of the whole edge at once" Kn]
        ["p" "penetration, a part of thickness" One]
        ["t" "thickness" Mm]
        ["s" "depth of the tool shear" Mm]
        "Plateau model: full force from first touch to the penetration, then none, so that only the part p · t / s of the edge cuts at a time."
        "A straight edge with s at least p · t; F_max below. F_max · p · t / (p · t + s), also in print, is the mean over the travel and too low as a peak."
        "Follows from the plateau model by integration along the edge."

    SHEAR_PEAK "shear_peak" "Peak of an edge that enters bit by bit"
        "F = F_max · φ_m"
        ["F" "highest force" Kn]
        ["F_max" "force of the whole edge at once" Kn]
        ["φ_m" "mean of φ along the edge, at the height at which it is largest" One]
        "φ is the force over penetration u, 1 at its peak, each edge point at its own u. Plateau: 1 up to the penetration. Shaped, with s the separation: 0 at the touch, 0.62 at 0.30 s, 1 from 0.43 s to 0.53 s, 0.12 or the slug's tail at 0.63 s; the tail, up to 0.35 per slug at 4 % clearance a side and none from 10 % on, fades over 1.2 thicknesses. The mean is summed in closed form along lines and arcs."
        "Any outline and any tool shear."
        "Shape ours, calibrated on Keller's punching tests: Dinglers Polytechnisches Journal 298 (1895) 145–148 and 272 (1889) 500–504; similar in u over t: Frémont, same journal 305 (1897) 49–52."

    STRIP_EDGE "strip_edge" "Stripping"
        "F_s = sum(k_i · F_i)"
        ["F_s" "pull of stripping" Kn]
        ["k_i" "strip factor" One]
        ["F_i" "force of the whole edge" Kn]
        "The stock grips the punch along its whole outline, whatever the tool shear. 0.1 where no factor is entered."
        "Factors in print run from 0.03 to 0.30."
        "Press-tool training notes (0.10, 0.20); P. Ulintz, Pressure Strippers Part 1, MetalForming, July 2009 (0.10–0.30)."

    BEND_WIDTH "bend_width" "Width of a wiped or U bend"
        "W = r_p + g + r_d"
        ["W" "distance of the radii's centres" Mm]
        ["r_p" "punch radius" Mm]
        ["g" "gap between punch and die" Mm]
        ["r_d" "die radius" Mm]
        "The nominal thickness stands for a gap that is not entered."
        "U and wipe; of a V the opening is W."
        "D. Morales Palma, University of Seville, solved examination paper of 8 June 2015."

    BEND_PEAK "bend_peak" "Peak of a bend"
        "F = k · R_m · L · t² / W"
        ["F" "peak force" Kn]
        ["k" "factor of the kind of bend" One]
        ["R_m" "tensile strength" Mpa]
        ["L" "length of the bend" Mm]
        ["t" "thickness" Mm]
        ["W" "width of the bend" Mm]
        "k is 1.33 for a V, 0.67 for a U, 0.33 for a wipe where none is entered. Over the travel: the bend is fully plastic from 10° on (common practice, no source); a V goes with cos² α, a wiped leg with cos² α / (W − S · sin α)."
        "V opening wider than the stock; ironing in a tight gap is not counted."
        "V and wipe: D. Morales Palma, University of Seville, 8 June 2015. U: P. C. Sharma, A Textbook of Production Engineering, example 2.11."

    BOTTOM_WIDTH "bottom_width" "Width that is bottomed"
        "b = n · (r_p + t)"
        ["b" "width pressed at BDC" Mm]
        ["n" "number of legs" One]
        ["r_p" "punch radius" Mm]
        ["t" "thickness" Mm]
        "The corner of the bend is pressed."
        "U (two legs) and wipe (one); of a V the opening is b."
        "Our own form."

    BOTTOM "bottom" "Bottoming"
        "F = p · L · b"
        ["F" "force at BDC" Kn]
        ["p" "pressure on the bend" Mpa]
        ["L" "length of the bend" Mm]
        ["b" "width pressed" Mm]
        "Rises over the last tenth of thickness."
        "At BDC only; the press's stiffness decides what is reached."
        "Pressure times area; the travel is common practice, no source."

    HOOP_STRETCH "hoop_stretch" "Work along a stretched flange"
        "E = R_m · t · L · (h + (R − h) · ln(1 − h / R))"
        ["E" "work along the edge" Kj]
        ["R_m" "tensile strength" Mpa]
        ["t" "thickness" Mm]
        ["L" "length of the flange" Mm]
        ["h" "height of the flange" Mm]
        ["R" "radius of its line seen from above" Mm]
        "Uniaxial along the edge at tensile strength, thickness constant, no splitting."
        "h below R; good for an order of size."
        "Our own estimate: strain ln(R / (R − y)) at a distance y from the line, added up."

    HOOP_SHRINK "hoop_shrink" "Work along a shrunk flange"
        "E = R_m · t · L · ((R + h) · ln(1 + h / R) − h)"
        ["E" "work along the edge" Kj]
        ["R_m" "tensile strength" Mpa]
        ["t" "thickness" Mm]
        ["L" "length of the flange" Mm]
        ["R" "radius of its line seen from above" Mm]
        ["h" "height of the flange" Mm]
        "Uniaxial along the edge at tensile strength, thickness constant, no wrinkling."
        "Good for an order of size."
        "Our own estimate: strain ln(R / (R + y)) at a distance y from the line, added up."

    HOOP_FORCE "hoop_force" "Force along a curved flange"
        "F_h = E / (0.75 · (r_p + t + r_d))"
        ["F_h" "force along the edge" Kn]
        ["E" "work along the edge" Kj]
        ["r_p" "punch radius" Mm]
        ["t" "thickness" Mm]
        ["r_d" "die radius" Mm]
        "The work is spread over the travel in which the flange is wiped upright, with a rise over its first and a fall over its last quarter."
        "Stretch and shrink flanges."
        "Our own estimate."

    HEM_OPEN "hem_open" "Open hem"
        "F = k · R_m · L · t² / g"
        ["F" "peak force, at BDC" Kn]
        ["k" "factor of a wiped bend" One]
        ["R_m" "tensile strength" Mpa]
        ["L" "length of the fold" Mm]
        ["t" "thickness" Mm]
        ["g" "gap kept, or one thickness" Mm]
        "A wiped bend whose lever shrinks from the leg to the gap. k is 0.33 where none is entered."
        "Straight fold, soft sheet, the whole length at once."
        "Common practice, no source."

    HEM_FLAT "hem_flat" "Flat hem"
        "F = 2.5 · k · R_m · L · t"
        ["F" "peak force, at BDC" Kn]
        ["k" "factor of a wiped bend" One]
        ["R_m" "tensile strength" Mpa]
        ["L" "length of the fold" Mm]
        ["t" "thickness" Mm]
        "An open hem flattened over the last thickness of travel."
        "Straight fold, soft sheet, no panel within."
        "2.5 times the open hem: billyohsheds.info/sheet-metal-hems, a source of low grade, the only one found."

    YIELD "yield" "Yield strength where it is not entered"
        "R_e = 0.7 · R_m"
        ["R_e" "yield strength" Mpa]
        ["R_m" "tensile strength" Mpa]
        "Stands in for a figure that was not entered."
        "Soft sheet."
        "Common practice, no source."

    HOLE_FLANGE "hole_flange" "Hole flange"
        "F = 1.1 · π · t · R_e · (D − d)"
        ["F" "peak force" Kn]
        ["t" "thickness" Mm]
        ["R_e" "yield strength" Mpa]
        ["D" "diameter of the flange" Mm]
        ["d" "diameter of the hole before" Mm]
        "Round hole, rounded or pointed punch; a flat nose is said to need 1.5 to 2 times as much."
        "Up to a height of 2.5 thicknesses, above which the wall splits (SME, Fundamentals of Tool Design, 6th ed., p. 240)."
        "Romanowski, value from memory."

    DRAW_SIMPLE "draw_simple" "Peak of a draw, simple"
        "F = π · d · t · R_m · (D / d − 0.7)"
        ["F" "peak force" Kn]
        ["d" "punch diameter" Mm]
        ["t" "thickness" Mm]
        ["R_m" "tensile strength" Mpa]
        ["D" "diameter before" Mm]
        "Used where K and n are not entered; takes no account of tools, friction and holding. The shape over the travel is that of the draw step by step with n 0.2."
        "From a ratio of 1.7 on it is more than the wall carries, which the press has to give all the same before the cup tears."
        "M. P. Groover, Fundamentals of Modern Manufacturing, value from memory."

    DRAW_TURNED "draw_turned" "Angle to which the sheet has turned"
        "α = π / 2 − 2 · atan(1 − s / S)"
        ["α" "angle about the die edge" Deg]
        ["s" "travel of the punch" Mm]
        ["S" "die radius, thickness and punch radius together" Mm]
        "The sheet runs straight and tangent to both radii; a radius that is not entered counts as none."
        "Up to s = S; from there on 90°."
        "Geometry."

    DRAW_IN "draw_in" "Length that has come in"
        "u = S · α − s"
        ["u" "length drawn in" Mm]
        ["S" "die radius, thickness and punch radius together" Mm]
        ["α" "angle about the die edge" Deg]
        ["s" "travel of the punch" Mm]
        "As above."
        "Up to s = S."
        "Geometry."

    DRAW_IN_UPRIGHT "draw_in_upright" "Length that has come in, wall upright"
        "u = s − (2 − π / 2) · S"
        ["u" "length drawn in" Mm]
        ["s" "travel of the punch" Mm]
        ["S" "die radius, thickness and punch radius together" Mm]
        "As above."
        "From s = S on."
        "Geometry."

    DRAW_RIM "draw_rim" "Radius of the rim"
        "R = sqrt(R_0² − 2 · r · u)"
        ["R" "radius of the rim" Mm]
        ["R_0" "radius of the blank" Mm]
        ["r" "mean radius of the cup" Mm]
        ["u" "length drawn in" Mm]
        "Area and thickness constant; what came in stands at the mean radius."
        "Until the rim is drawn in."
        "Geometry."

    DRAW_STRAIN_RIM "draw_strain_rim" "Strain of the rim"
        "φ_R = ln(R_0 / R)"
        ["φ_R" "strain of the rim" One]
        ["R_0" "radius of the blank" Mm]
        ["R" "radius of the rim" Mm]
        "Thickness constant."
        "Round cups."
        "Geometry."

    DRAW_STRAIN_EDGE "draw_strain_edge" "Strain at the die edge"
        "φ_r = ln(1 + (R_0² − R²) / r²) / 2"
        ["φ_r" "strain at the die edge" One]
        ["R_0" "radius of the blank" Mm]
        ["R" "radius of the rim" Mm]
        ["r" "mean radius of the cup" Mm]
        "Area and thickness constant."
        "Round cups."
        "Geometry."

    REDRAW_STRAIN "redraw_strain" "Strain at the die edge of a redraw"
        "φ_r = 0.588 + ln(R_0 / r)"
        ["φ_r" "strain at the die edge" One]
        ["R_0" "radius of the cup before" Mm]
        ["r" "mean radius of the cup" Mm]
        "The wall of the cup before has the strain of a rim drawn at a ratio of 1.8, ln 1.8 = 0.588."
        "First redraws."
        "Common practice, no source."

    FLOW_ASSUMED "flow_assumed" "K where it is not entered"
        "K = R_m · (5 · exp(1))^0.2"
        ["K" "strength coefficient" Mpa]
        ["R_m" "tensile strength" Mpa]
        "n is taken as 0.2; then K·φⁿ has the sheet's tensile strength at the maximum of the tensile force."
        "Low-carbon steel, soft aluminium."
        "Derived; n is common practice, no source."

    FLOW_STRESS "flow_stress" "Mean flow stress of the flange"
        "k_m = K · (φ_R^n + φ_r^n) / 2"
        ["k_m" "mean of rim and die edge" Mpa]
        ["K" "strength coefficient" Mpa]
        ["φ_R" "strain of the rim" One]
        ["n" "hardening exponent" One]
        ["φ_r" "strain at the die edge" One]
        "Flow stress K·φⁿ at both ends of the flange."
        "Cold forming."
        "E. Siebel's form (value from memory)."

    DRAW_FORCE "draw_force" "Draw, step by step"
        "F = 2 · π · r · t · sin(α) · (exp(μ · α) · (1.1 · k_m · ln(R / r) + μ · F_B / (π · R · t)) + b · K · φ_r^n · t / (2 · r_d))"
        ["F" "force at this travel" Kn]
        ["r" "mean radius of the cup" Mm]
        ["t" "thickness" Mm]
        ["α" "angle about the die edge" Deg]
        ["μ" "friction" One]
        ["k_m" "mean flow stress of the flange" Mpa]
        ["R" "radius of the rim" Mm]
        ["F_B" "blank-holder force" Kn]
        ["b" "1 with the die radius known, else 0" One]
        ["K" "strength coefficient" Mpa]
        ["φ_r" "strain at the die edge" One]
        ["n" "hardening exponent" One]
        ["r_d" "die radius" Mm]
        "Ideal drawing with the factor 1.1 of a state between uniaxial and plane strain, friction under the blank holder, rope friction and bending at the die edge. The cushion under the blank holder is a load of its own."
        "Round cups from flat blanks, isotropic sheet, no beads. No measured curve with numbers was found in print; at a ratio of 2.0 within 10 % of the wall's tearing force."
        "E. Siebel's form (value from memory). Redraw: our own use of the same terms."

    BOX_SIDES "box_sides" "Straight sides of a box"
        "F = sin(α) · (exp(μ · α) · 2 · μ · F_B · q + R_m · t² · L / (2 · r_d))"
        ["F" "force of the sides" Kn]
        ["α" "angle about the die edge" Deg]
        ["μ" "friction" One]
        ["F_B" "blank-holder force" Kn]
        ["q" "straight part of the punch's line" One]
        ["R_m" "tensile strength" Mpa]
        ["t" "thickness" Mm]
        ["L" "length of the straight sides" Mm]
        ["r_d" "die radius, or 6 thicknesses" Mm]
        "The sides are bent over the die radius and slide in; the four corners together are a round cup."
        "An upper estimate: in a real box the corners feed sheet into the sides."
        "Our own form."

    FLOW_IRON "flow_iron" "Mean flow stress in ironing"
        "k_m = K · (φ_1^(n + 1) − 0.588^(n + 1)) / ((n + 1) · (φ_1 − 0.588))"
        ["k_m" "mean flow stress" Mpa]
        ["K" "strength coefficient" Mpa]
        ["φ_1" "strain after: 0.588 + ln of wall before over after" One]
        ["n" "hardening exponent" One]
        "The wall before has a strain of 0.588, that of a rim drawn at 1.8."
        "Cold forming."
        "Mean of K·φⁿ; the strain is common practice, no source."

    IRON "iron" "Ironing"
        "F = π · (d + t_1) · t_1 · k_m · ln(t_0 / t_1) / 0.65"
        ["F" "force" Kn]
        ["d" "punch diameter" Mm]
        ["t_1" "wall after" Mm]
        ["k_m" "mean flow stress" Mpa]
        ["t_0" "wall before: the sheet's thickness" Mm]
        "Ideal work of plane-strain thinning over an efficiency of 0.65."
        "Up to about a third off the wall in one ring."
        "Ideal work; the efficiency is common practice, no source."

    TEARING "tearing" "Tearing force of the wall"
        "F = π · d · t · R_m"
        ["F" "force at which the bottom tears off" Kn]
        ["d" "punch diameter" Mm]
        ["t" "thickness of the wall" Mm]
        ["R_m" "tensile strength" Mpa]
        "The whole wall carries its tensile strength; of a box the length of its line stands for π · d."
        "A caution where a draw asks more; drawing ratios above 2.0 with a blank holder, 1.8 without, 1.3 in a redraw are another (A. Ghosh, A. K. Mallik, Manufacturing Science, 2nd ed., p. 156)."
        "C. Carvill, Mechanical Engineer's Data Handbook, p. 203."

    BLANK_HOLDER "blank_holder" "Blank-holder force"
        "F_B = β · π · R² · k"
        ["F_B" "blank-holder force" Kn]
        ["β" "factor, 0.02 to 0.08" One]
        ["R" "radius of the blank" Mm]
        ["k" "shear yield stress" Mpa]
        "A figure to start from; the job holds what is entered."
        "Round cups."
        "A. Ghosh, A. K. Mallik, Manufacturing Science, 2nd ed., p. 129."

    SQUEEZE "squeeze" "Squeezing"
        "F = A · p"
        ["F" "force at BDC" Kn]
        ["A" "projected area" Mm2]
        ["p" "pressure" Mpa]
        "The mean pressure when the detail is filled. Over the travel it rises with the third power (common practice, no source)."
        "As far as the pressure holds."
        "H. Tschätsch, A. Koth, Metal Forming Practise, Springer 2006, ch. 8."

    SPRING_COIL "spring_coil" "Coil spring"
        "F = F_0 + c · s"
        ["F" "force" Kn]
        ["F_0" "preload" Kn]
        ["c" "rate" KnPerMm]
        ["s" "travel" Mm]
        "Hooke's law."
        "Until its coils touch."
        "Hooke's law."

    SPRING_GAS "spring_gas" "Gas spring"
        "F = F_0 · (1 + (q − 1) · s / s_N)"
        ["F" "force" Kn]
        ["F_0" "force at first touch" Kn]
        ["q" "force at full stroke over first" One]
        ["s" "travel" Mm]
        ["s_N" "full stroke" Mm]
        "Linear; the gas law bends the curve below that chord, so that this is never too low in between."
        "Up to the full stroke."
        "Our own form of the maker's two figures."

    SPRING_CUSHION "spring_cushion" "Cushion"
        "F = F_0"
        ["F" "force" Kn]
        ["F_0" "force entered" Kn]
        "Constant. Of an air cushion it is p · π / 4 · d² for each piston."
        "Along its stroke."
        "Pressure times area."

    BETWEEN_ROWS "between_rows" "Between two points of a curve"
        "F = F_0 + (F_1 − F_0) · (s_0 − h) / (s_0 − s_1)"
        ["F" "force" Kn]
        ["F_0" "force at the upper point" Kn]
        ["F_1" "force at the lower point" Kn]
        ["s_0" "height of the upper point" Mm]
        ["h" "slide height" Mm]
        ["s_1" "height of the lower point" Mm]
        "Curves are kept as points with straight lines in between, close enough for 0.2 % of the peak."
        "Between the two points."
        "Linear interpolation."

    PARTS "parts" "Parts added up"
        "F = sum(F_i)"
        ["F" "force" Kn]
        ["F_i" "force of each part" Kn]
        "All act at the same slide height, whatever their own peaks."
        "Exact."
        "Statics."

    CENTRE "centre" "Load centre"
        "x = sum(F_i · x_i) / sum(F_i)"
        ["x" "place of the sum" Mm]
        ["F_i" "force of each part" Kn]
        ["x_i" "place of its own load centre" Mm]
        "Counted from the bolster centre, right and back positive; edges count where they cut just then."
        "Exact."
        "Statics."

    MOMENT "moment" "Moment about the bolster centre"
        "M = |sum(F_i · x_i)|"
        ["M" "moment" Knm]
        ["F_i" "force of each part" Kn]
        ["x_i" "place of its load centre" Mm]
        "Right and back positive."
        "Exact."
        "Statics."

    STRIP_STATES "strip_states" "Strip states"
        "F = sum(e_i · F_i)"
        ["F" "force in a strip state" Kn]
        ["e_i" "1 with stock in the station, else 0" One]
        ["F_i" "force of each station" Kn]
        "Springs act in every state. Where pitch and first hit are entered, outlines are clipped at the strip's leading edge hit by hit; else the strip ends between two stations."
        "Every limit is judged in every state: filling, full, running out, a blank missing."
        "Our own form."

    SHARE "share" "Share of the limit"
        "share = asked / allowed"
        ["share" "part of the limit that is used" One]
        ["asked" "what the die asks" One]
        ["allowed" "what the press or the die allows" One]
        "Over from 1 on; near from 0.80 on for straight-side presses and 0.65 for gap frames, or what the job says."
        "On the upper line: strongest, thickest, dullest."
        "Near: Ask the Stamping Expert, The Fabricator (80 % for straight-side, 60–70 % for C-frames)."

    CRANK_HEIGHT "crank_height" "Slide height of a crank"
        "h = R · (1 − cos(θ)) + L − sqrt(L² − R² · sin(θ)²)"
        ["h" "slide height above BDC" Mm]
        ["R" "half the stroke" Mm]
        ["θ" "crank angle from BDC" Deg]
        ["L" "length of the connecting rod" Mm]
        "Crank or eccentric with a rod, exactly."
        "Whole turn."
        "R. S. Khurmi, J. K. Gupta, Theory of Machines, 14th ed. (2009), ch. 15."

    CRANK_ANGLE "crank_angle" "Crank angle at a height"
        "θ = 2 · asin(sqrt(h · (2 · L − h) / (4 · R · (R + L − h))))"
        ["θ" "crank angle before BDC" Deg]
        ["h" "slide height above BDC" Mm]
        ["L" "length of the connecting rod" Mm]
        ["R" "half the stroke" Mm]
        "Law of cosines in the triangle of crank, rod and slide."
        "Within the stroke."
        "R. S. Khurmi, J. K. Gupta, Theory of Machines, 14th ed. (2009), ch. 15."

    CRANK_LEVER "crank_lever" "Lever of the crank"
        "a = R · sin(θ) + R² · sin(θ) · cos(θ) / sqrt(L² − R² · sin(θ)²)"
        ["a" "torque over slide force" Mm]
        ["R" "half the stroke" Mm]
        ["θ" "crank angle before BDC" Deg]
        ["L" "length of the connecting rod" Mm]
        "Slide travel per angle; friction left out."
        "Whole turn."
        "R. S. Khurmi, J. K. Gupta, Theory of Machines, 14th ed. (2009), ch. 15."

    SECOND_RATING "second_rating" "Second rating"
        "a_M = a_N + (a_2 · F_2 / F_N − a_N) · min((h − h_N) / (h_2 − h_N), 1)"
        ["a_M" "torque as a lever of the rated force" Mm]
        ["a_N" "lever at the rating height" Mm]
        ["a_2" "lever at the height of the second rating" Mm]
        ["F_2" "force of the second rating" Kn]
        ["F_N" "rated force" Kn]
        ["h" "slide height" Mm]
        ["h_N" "rating height" Mm]
        ["h_2" "height of the second rating" Mm]
        "The torque goes evenly from one rating to the other and holds above."
        "Both ratings are met exactly; the press's card rules."
        "Our own form."

    CRANK_FORCE "crank_force" "Force the press allows at this height"
        "F_h = F_N · min(a_M / a, 1)"
        ["F_h" "force allowed at this height" Kn]
        ["F_N" "rated force" Kn]
        ["a_M" "torque as a lever of the rated force" Mm]
        ["a" "lever at this height" Mm]
        "The torque that gives the rated force at the rating height is there everywhere; the frame bounds the force."
        "Above the rating height; at it and below the rated force is allowed."
        "ASM Handbook vol. 14, Forming and Forging, chapter on forging machines, p. 51, with the rod taken into account."

    RATED "rated" "Force the press allows"
        "F_h = F_N"
        ["F_h" "force allowed" Kn]
        ["F_N" "rated force" Kn]
        "Crank: at or below the rating height. Hydraulic: anywhere in the stroke."
        "The press's own plate rules."
        "Press plate."

    CARD_FORCE "card_force" "Force on the press's card"
        "F_h = min(F_0 + (F_1 − F_0) · (h − h_0) / (h_1 − h_0), F_N)"
        ["F_h" "force allowed at this height" Kn]
        ["F_0" "force of the row below" Kn]
        ["F_1" "force of the row above" Kn]
        ["h" "slide height" Mm]
        ["h_0" "height of the row below" Mm]
        ["h_1" "height of the row above" Mm]
        ["F_N" "rated force" Kn]
        "Straight between the rows; below the first row its force."
        "Within the rows; nothing is known above them."
        "The press's own card."

    SLIDE_SPEED "slide_speed" "Slide speed"
        "v = 2 · π · a · n"
        ["v" "slide speed" MmPerS]
        ["a" "slide travel per angle of the drive" Mm]
        ["n" "strokes per minute" Spm]
        "The drive turns evenly. Off a motion table, joined by a monotone piecewise cubic curve, a is that curve's slope (F. N. Fritsch, R. E. Carlson, SIAM Journal on Numerical Analysis 17 (1980), value from memory)."
        "Crank drives and drives with a motion table."
        "R. S. Khurmi, J. K. Gupta, Theory of Machines, 14th ed. (2009), ch. 15."

    WORK "work" "Work per stroke"
        "W = sum(W_i)"
        ["W" "work per stroke" Kj]
        ["W_i" "work of each station" Kj]
        "Force along the way down, strip full, springs included; each station's is summed in closed form along its curve."
        "Upper line."
        "Definition of work."

    FLYWHEEL "flywheel" "Energy of the flywheel"
        "E_N = I · (2 · π · n_f)² · (1 − (1 − s)²) / 2"
        ["E_N" "usable energy at the rated speed" Kj]
        ["I" "moment of inertia" Kgm2]
        ["n_f" "flywheel speed" Rpm]
        ["s" "allowed slow-down" Percent]
        "A speed drop s gives up 1 − (1 − s)² of what the wheel holds."
        "As far as the slow-down is allowed."
        "Kinetic energy."

    USABLE_ENERGY "usable_energy" "Usable energy at this speed"
        "E = E_N · min(n / n_N, 1)²"
        ["E" "usable energy per stroke" Kj]
        ["E_N" "usable energy at the rated speed" Kj]
        ["n" "strokes per minute" Spm]
        ["n_N" "strokes per minute of the rating" Spm]
        "Falls with the square of speed and is not taken to rise above the rated one."
        "Flywheel presses; of single strokes the maker's figure for them counts."
        "P. Ulintz, Press Energy and Deep Drawing, MetalForming, 1 Feb 2016 (half the speed, a quarter of the energy)."

    HYDRAULIC_ENERGY "hydraulic_energy" "Energy of a hydraulic press"
        "E = F_N · s"
        ["E" "usable energy per stroke" Kj]
        ["F_N" "rated force" Kn]
        ["s" "stroke" Mm]
        "It has no flywheel: the rated force along the whole stroke bounds it."
        "Hydraulic presses."
        "Definition of work."

    POWER "power" "Mean power"
        "P = W · n"
        ["P" "mean power" Kw]
        ["W" "work per stroke" Kj]
        ["n" "strokes made good a minute" Spm]
        "The motor makes good what each stroke takes before the next."
        "Continuous running, or the strokes that are started."
        "R. S. Khurmi, J. K. Gupta, Theory of Machines, 14th ed. (2009), ex. 16.19."

    MOTOR "motor" "Power at the flywheel"
        "P_f = P · η"
        ["P_f" "power at the flywheel" Kw]
        ["P" "motor power" Kw]
        ["η" "part that reaches the flywheel" Percent]
        "All of it where no part is entered."
        "Motor plate."
        "Definition of efficiency."

    SLOWEST "slowest" "Slowest speed for the energy"
        "n_1 = n_N · sqrt(W / E_N)"
        ["n_1" "slowest strokes per minute" Spm]
        ["n_N" "strokes per minute of the rating" Spm]
        ["W" "work per stroke" Kj]
        ["E_N" "usable energy at the rated speed" Kj]
        "Energy falls with the square of speed."
        "W up to E_N; more is too much at any speed."
        "P. Ulintz, Press Energy and Deep Drawing, MetalForming, 1 Feb 2016."

    FASTEST "fastest" "Fastest speed for the motor"
        "n_2 = P_f / W"
        ["n_2" "fastest strokes per minute" Spm]
        ["P_f" "power at the flywheel" Kw]
        ["W" "work per stroke" Kj]
        "The motor makes good each stroke before the next."
        "Continuous running."
        "R. S. Khurmi, J. K. Gupta, Theory of Machines, 14th ed. (2009), ex. 16.19."

    OFF_CENTRE_TABLE "off_centre_table" "Force allowed beside the middle"
        "F_x = F_0 + (F_1 − F_0) · (|x| − x_0) / (x_1 − x_0)"
        ["F_x" "force allowed at this distance" Kn]
        ["F_0" "force of the nearer row" Kn]
        ["F_1" "force of the farther row" Kn]
        ["x" "distance of the load centre" Mm]
        ["x_0" "distance of the nearer row" Mm]
        ["x_1" "distance of the farther row" Mm]
        "Straight between the rows; nearer than the first its force, beyond the last nothing."
        "Within the rows."
        "The press's own table."

    POINT_PART "point_part" "Load on one suspension point"
        "F_P = F · (1 / 2 + |x| / b)"
        ["F_P" "load on the point that carries most" Kn]
        ["F" "force" Kn]
        ["x" "place of the load centre, left–right" Mm]
        ["b" "distance of the points" Mm]
        "Rigid slide on two points."
        "Outside the points the other one is pulled, which is a caution."
        "Statics (lever)."

    FOUR_POINTS "four_points" "Load on one of four points"
        "F_P = F · (1 / 2 + |x| / b_x) · (1 / 2 + |y| / b_y)"
        ["F_P" "load on the point that carries most" Kn]
        ["F" "force" Kn]
        ["x" "place of the load centre, left–right" Mm]
        ["b_x" "distance of the points, left–right" Mm]
        ["y" "place of the load centre, front–back" Mm]
        ["b_y" "distance of the points, front–back" Mm]
        "Rigid slide; the parts of both directions multiplied."
        "Four points are not determined by statics alone."
        "Our own form."

    POINT_LIMIT "point_limit" "Part of the rated force for a point"
        "F_1 = F_N / n"
        ["F_1" "force allowed on one point" Kn]
        ["F_N" "rated force" Kn]
        ["n" "number of points" One]
        "Each point stands its even part."
        "The press's manual rules."
        "Common practice, no source."

    BED_LIMIT "bed_limit" "Force for a die shorter than the bed"
        "F_L = F_N · min(l / (2 / 3 · B), 1)"
        ["F_L" "force allowed for this die" Kn]
        ["F_N" "rated force" Kn]
        ["l" "length of the die, left–right" Mm]
        ["B" "length of the bed" Mm]
        "The rated force is for a die that spans two thirds of the bed; below that pro rata to length."
        "The press's own chart rules, where there is one."
        "Two thirds: P. Ulintz, Setting Small Dies in Large Presses, MetalForming, 22 Nov 2024. Pro rata: our own form."

    DIE_LENGTH_TABLE "die_length_table" "Force for this length of die"
        "F_L = F_0 + (F_1 − F_0) · (l − l_0) / (l_1 − l_0)"
        ["F_L" "force allowed for this die" Kn]
        ["F_0" "force of the shorter row" Kn]
        ["F_1" "force of the longer row" Kn]
        ["l" "length of the die, left–right" Mm]
        ["l_0" "length of the shorter row" Mm]
        ["l_1" "length of the longer row" Mm]
        "Straight between the rows, flat above them, pro rata below (our own form)."
        "Within the rows."
        "The press's own chart."

    TILT "tilt" "Play of punch and die by tilt"
        "δ = (sqrt(α_x² + α_y²) + α_0) · H + j"
        ["δ" "how far punch and die are out of line" Mm]
        ["α_x" "tilt left–right" MmPerM]
        ["α_y" "tilt front–back" MmPerM]
        ["α_0" "out of parallel without load" MmPerM]
        ["H" "closed height of the die" Mm]
        ["j" "play of the gibs" Mm]
        "The tilts are those at which the slide rests on its springs: M over the stiffness of points, gibs and frame, each station pushing by the local height over it; followed from row to row of the curves. A direction that nothing entered holds tilts by play over length of the gibs."
        "On the high side: the whole height is the lever, directions are not told apart."
        "Our own form; one side letting go first: P. Ulintz, MetalForming, 13 May 2024."

    CLEARANCE "clearance" "Cutting clearance"
        "c_s = c · t"
        ["c_s" "clearance a side" Mm]
        ["c" "clearance a side, of thickness" Percent]
        ["t" "thickness" Mm]
        "6 % where none is entered."
        "The station whose clearance is eaten most."
        "4 to 8 % a side: University of Illinois mechanics reference, sheet metal."

    SNAP "snap" "Snap-through (an estimate)"
        "F_r = k · z"
        ["F_r" "largest pull in the press" Kn]
        ["k" "stiffness of the press" KnPerMm]
        ["z" "how far it is stretched just then: height h of the drive less height y of the slide" Mm]
        "One mass m, slide and upper die, on the press's spring k, damped by a part ζ of critical (0.3 if not entered): m · ÿ = F(y) − k · (y − h) − 2 · ζ · √(k · m) · (ẏ − ḣ). Followed through time in 200 steps a period; the largest pull counts."
        "Compares variants of a die; readings correct it. No published formula gives the absolute value."
        "Our own form; 10 to 30 % of the forward peak is commonly reported on mild steel (value from memory)."

    REVERSE_LIMIT "reverse_limit" "Pull that the press stands"
        "F_q = q · F_N"
        ["F_q" "pull allowed" Kn]
        ["q" "part of the rated force" Percent]
        ["F_N" "rated force" Kn]
        "10 % where none is entered."
        "The press's manual rules."
        "P. Ulintz, Managing Reverse Tonnage, MetalForming (about 10 %, with exceptions)."

    UPPER_PULL "upper_pull" "Pull on the upper die"
        "F = G + F_s + F_a"
        ["F" "pull on the clamps" Kn]
        ["G" "weight of the upper die: mass times 9.80665 m/s²" Kn]
        ["F_s" "stripping by fixed strippers" Kn]
        ["F_a" "to carry the die along in snap-through, an estimate" Kn]
        "Added, though they need not come together."
        "On the high side."
        "Our own form."

    CLAMPS "clamps" "What the clamps hold"
        "F_c = n · F_1"
        ["F_c" "held by all" Kn]
        ["n" "number of clamps" One]
        ["F_1" "held by each" Kn]
        "Each carries its even part."
        "Where torque is entered, F_1 is worked out from it."
        "Statics."

    SCREW "screw" "Clamp force from torque"
        "F_1 = q · T / (K · d)"
        ["F_1" "held by each clamp" Kn]
        ["q" "part of the screw's force on the die" One]
        ["T" "tightening torque" Nm]
        ["K" "friction factor" One]
        ["d" "size of the screw" Mm]
        "K is 0.2 and q is 1 where not entered."
        "Scatters by a quarter and more."
        "Shigley's Mechanical Engineering Design, torque equation of bolted joints (value from memory)."

    STRETCH "stretch" "How far the press opens"
        "z = F / k"
        ["z" "opening of the press" Mm]
        ["F" "force" Kn]
        ["k" "stiffness of the press" KnPerMm]
        "The press is one spring. 0.1 mm of shut height is worth k · 0.1 mm of force where work stands on the bottom."
        "Linear."
        "Hooke's law."

    STACK "stack" "Height of the die in the press"
        "H = H_d + H_p"
        ["H" "height above the bolster" Mm]
        ["H_d" "closed height of the die" Mm]
        ["H_p" "parallels under it" Mm]
        "The die closed."
        "Exact."
        "Geometry."

    SHUT_HEIGHT "shut_height" "Place in the press's window"
        "share = |H − (H_max − v / 2)| / (v / 2)"
        ["share" "part of the window used from its middle" One]
        ["H" "height of the die" Mm]
        ["H_max" "shut height of the press, adjustment up" Mm]
        ["v" "adjustment" Mm]
        "0 in the middle of the window, 1 at either end."
        "Slide at BDC."
        "Our own form."

    REACH "reach" "How far the die reaches"
        "q = |x| + l / 2"
        ["q" "from the bolster centre" Mm]
        ["x" "shift of the die" Mm]
        ["l" "size of the die in that direction" Mm]
        "Area centred on bolster and slide; the direction that is used more."
        "Rectangles."
        "Geometry."

    HALF_SIZE "half_size" "Room from the middle"
        "q = l / 2"
        ["q" "from the centre to the edge" Mm]
        ["l" "size of bolster or slide in that direction" Mm]
        "The area is centred."
        "Rectangles."
        "Geometry."

    DAYLIGHT "daylight" "Opening at the top"
        "share = o / s"
        ["share" "part of the opening used" One]
        ["o" "opening that feeding and taking out need" Mm]
        ["s" "stroke" Mm]
        "At the top the halves stand one stroke farther apart than closed."
        "Opening counted from the closed die."
        "Geometry."

    GUIDES "guides" "Guide engagement"
        "share = h / e"
        ["share" "part of the engagement used" One]
        ["h" "height of the first touch" Mm]
        ["e" "overlap of posts and bushings, die closed" Mm]
        "Posts have to hold before anything touches the stock."
        "Straight posts."
        "Common practice, no source. Posts ¼ in out of their bushings: 29 CFR 1910.217(d)(4)."
}
