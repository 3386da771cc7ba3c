//! Stock by standard designation, with the source of every number.
//!
//! A range is that of the standard or table. Where only a minimum or a typical value is in print,
//! the range is that value with the spread of [`SPREAD`], and its source says which. Where two
//! sources disagree, the range spans both and the source says so. What was remembered and not read
//! is marked [`Source::from_memory`].

use evenstroke_language::tr;
use serde_json::{Map, Value, json};

/// How far a strength may lie off its nominal value: "tensile strength may run 12.5 % over nominal"
/// (punching-machine manual B380EN03, p. 3-49, note to the table of forces).
pub const SPREAD: f64 = 0.125;

/// The fields of a job's stock that [`stock_fields`] may set. All of them belong to the material: one
/// that it leaves out is not known of it, and what stood there before was of another.
pub const STOCK_FIELD_KEYS: [&str; 9] =
    ["material", TENSILE, YIELD, RATIO, SHEAR, PENETRATION, SEPARATION, COEFFICIENT, EXPONENT];

const TENSILE: &str = "tensile_mpa";
const YIELD: &str = "yield_mpa";
const RATIO: &str = "shear_ratio";
const SHEAR: &str = "shear_strength_mpa";
const PENETRATION: &str = "penetration";
const SEPARATION: &str = "separation";
const COEFFICIENT: &str = "strength_coefficient_mpa";
const EXPONENT: &str = "hardening_exponent";

/// What kind of metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Cold-rolled low-carbon steel.
    ColdRolledSteel,
    /// Hot-rolled and structural steel.
    HotRolledSteel,
    /// Micro-alloyed and multiphase steel.
    HighStrengthSteel,
    /// Stainless steel.
    StainlessSteel,
    /// Carbon steels and irons of Chinese tables.
    CarbonSteel,
    /// Aluminium.
    Aluminium,
    /// Copper.
    Copper,
    /// Brass.
    Brass,
}

impl Group {
    /// Its name on the page.
    pub fn label(self) -> &'static str {
        tr(match self {
            Self::ColdRolledSteel => "Cold-rolled steel",
            Self::HotRolledSteel => "Hot-rolled steel",
            Self::HighStrengthSteel => "High-strength steel",
            Self::StainlessSteel => "Stainless steel",
            Self::CarbonSteel => "Carbon steel and iron",
            Self::Aluminium => "Aluminium",
            Self::Copper => "Copper",
            Self::Brass => "Brass",
        })
    }
}

/// Where numbers come from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// The fields of the job file that it covers.
    pub fields: &'static [&'static str],
    /// Author, title, place, and what was made of it.
    pub text: &'static str,
    /// Remembered and not read: shown as "value from memory".
    pub from_memory: bool,
}

/// A low and a high end.
pub type Ends = (f64, f64);

/// Stock by its designation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// Designation in its standard, with the temper.
    pub designation: &'static str,
    /// The standard.
    pub standard: &'static str,
    /// What kind of metal.
    pub group: Group,
    /// Tensile strength.
    pub tensile_mpa: Ends,
    /// Yield strength.
    pub yield_mpa: Option<Ends>,
    /// Shear over tensile strength.
    pub shear_ratio: Option<Ends>,
    /// Shear strength, where known; takes the place of the ratio.
    pub shear_strength_mpa: Option<Ends>,
    /// Part of thickness over which the handbook's constant cutting force acts.
    pub penetration: Option<Ends>,
    /// Part of thickness at which the cut is through.
    pub separation: Option<Ends>,
    /// K of `σ = K·φⁿ`.
    pub k_mpa: Option<f64>,
    /// n of `σ = K·φⁿ`.
    pub n: Option<f64>,
    /// Where the numbers come from.
    pub sources: &'static [Source],
}

impl Material {
    /// Standard and designation, as a job names its material.
    pub fn name(&self) -> String {
        format!("{} {}", self.standard, self.designation)
    }

    /// Where a field of the job file comes from.
    pub fn sources_of(&self, field: &str) -> impl Iterator<Item = &'static Source> {
        self.sources.iter().filter(move |source| source.fields.contains(&field))
    }

    /// Whether a field, or one of its ends, was remembered and not read.
    pub fn is_from_memory(&self, field: &str) -> bool {
        self.sources_of(field).any(|source| source.from_memory)
    }

    /// Tensile strength that K and n imply, `K·(n/e)ⁿ`, where the force of the tensile test is
    /// highest (derived); a cross-check on the range.
    pub fn implied_tensile_mpa(&self) -> Option<f64> {
        let (k, n) = (self.k_mpa?, self.n?);
        Some(k * (n / std::f64::consts::E).powf(n))
    }
}

/// The fields of a job's stock that the material gives; the thickness is the job's own.
pub fn stock_fields(material: &Material) -> Map<String, Value> {
    let ends = |(low, high): Ends| {
        if low == high { json!(low) } else { json!({"low": low, "high": high}) }
    };
    let ranges = [
        (TENSILE, Some(material.tensile_mpa)),
        (YIELD, material.yield_mpa),
        (RATIO, material.shear_ratio.filter(|_| material.shear_strength_mpa.is_none())),
        (SHEAR, material.shear_strength_mpa),
        (PENETRATION, material.penetration),
        (SEPARATION, material.separation),
    ];
    let numbers = [(COEFFICIENT, material.k_mpa), (EXPONENT, material.n)];
    let mut fields = Map::new();
    fields.insert("material".into(), json!(material.name()));
    fields.extend(ranges.iter().filter_map(|&(key, value)| Some((key.into(), ends(value?)))));
    fields.extend(numbers.iter().filter_map(|&(key, value)| Some((key.into(), json!(value?)))));
    fields
}

/// To a whole megapascal.
const fn whole(mpa: f64) -> f64 {
    (mpa + 0.5) as u32 as f64
}

/// A typical value with its spread both ways.
const fn typical(mpa: f64) -> Ends {
    (whole(mpa * (1.0 - SPREAD)), whole(mpa * (1.0 + SPREAD)))
}

/// A minimum, taken as the low end of the spread.
const fn minimum(mpa: f64) -> Ends {
    (mpa, whole(mpa * (1.0 + SPREAD) / (1.0 - SPREAD)))
}

const fn read(fields: &'static [&'static str], text: &'static str) -> Source {
    Source { fields, text, from_memory: false }
}

const fn remembered(fields: &'static [&'static str], text: &'static str) -> Source {
    Source { fields, text, from_memory: true }
}

const STRENGTHS: &[&str] = &[TENSILE, YIELD];
const HARDENING: &[&str] = &[COEFFICIENT, EXPONENT];

const MEMORY: Source = remembered(STRENGTHS, "Value from memory, not looked up.");
const YIELD_140: Source = remembered(
    &[YIELD],
    "The standard gives a largest value only. Low end: 140 MPa for design, value from memory.",
);
const EN_10130: Source = read(
    STRENGTHS,
    "EN 10130:2006 as tabled by Tata Steel, page on cold-rolled forming steels; yield strength: largest value.",
);
const DC06_DATA: Source = read(
    STRENGTHS,
    "EN 10130:2006 as tabled by Tata Steel, page on DC06; yield strength: largest value, design minimum 120 MPa. Sheet of 0.5 to 0.7 mm yields up to 20 MPa later, thinner up to 40 MPa.",
);
const LOW_CARBON_RATIO: Source = read(
    &[RATIO],
    "Sources disagree, the range spans them: 0.69 (Seastrom, properties of metallic materials), 0.72 to 0.76 in punching tests (Frémont, Dinglers Polytechnisches Journal 312 (1899) 70, on the punch's circumference), 0.77 to 0.87 in tables of low-carbon steel (machinemfg.com, metal mechanical properties chart). Rules in print: 0.6 to 0.8.",
);
const STRONG_STEEL_RATIO: Source = read(
    &[RATIO],
    "Punching tests on steel of 555 to 853 MPa: 0.71 to 0.76 (Frémont, Dinglers Polytechnisches Journal 312 (1899) 70; mean and punch circumference). It falls as strength rises.",
);
const LOW_CARBON_PENETRATION: Source = read(
    &[PENETRATION],
    "Low end: 38 % for low-carbon steel, extract that matches P. C. Sharma, A Textbook of Production Engineering, ch. 2.",
);
const LOW_CARBON_PENETRATION_HIGH: Source = remembered(
    &[PENETRATION],
    "High end: 50 % for annealed steel of 0.10 % carbon, die-design handbooks, value from memory.",
);
const MILD_SEPARATION: Source = read(
    &[SEPARATION],
    "Rollover and burnish: 65 to 73 % on DC03 (A. Schenek, University of Stuttgart, data set Daten_Hohlschneiden, simulated), 67 to 86 % measured on cold-rolled steel of 59 HRB at 9 and 5 % clearance (pepbrainin.com, blanking and shaving).",
);
const DUAL_PHASE_SEPARATION: Source = read(
    &[SEPARATION],
    "Rollover and burnish 34 to 49 % on DP600 (A. Schenek, University of Stuttgart, data set Daten_Hohlschneiden, simulated), widened to 35 to 50 %.",
);
const KALPAKJIAN_STEEL: Source = read(
    HARDENING,
    "Low-carbon steel, annealed: S. Kalpakjian, S. R. Schmid, Manufacturing Engineering and Technology, table 2.3. Callister (2005) gives 600 MPa and 0.21; pairs are not mixed.",
);
const CALLISTER_STEEL: Source = read(
    HARDENING,
    "Low-carbon steel, annealed: Callister (2005) as reproduced at chemeurope.com, strain hardening exponent; nearer the middle of this grade than the 530 MPa and 0.26 of Kalpakjian and Schmid, table 2.3.",
);
const EN_10139: Source = read(
    STRENGTHS,
    "EN 10139:1998 as tabled at steelstrip.co.uk, soft-annealed and cold-rolled strip. Where the yield strength is a minimum, its high end is the spread of 12.5 % about nominal.",
);
const EN_10139_LC: Source = read(
    STRENGTHS,
    "EN 10139:1998 as tabled at steelstrip.co.uk, DC01 row; yield strength: largest value.",
);
const EN_10139_MINIMUM: Source = read(
    STRENGTHS,
    "EN 10139:1998 as tabled at steelstrip.co.uk: minima. High ends: spread of 12.5 % about nominal.",
);
const EN_10268_TATA: Source =
    read(STRENGTHS, "EN 10268:2006+A1 as tabled by Tata Steel, page on HC340LA.");
const EN_10268_KB9: Source = read(
    STRENGTHS,
    "EN 10268, older edition, along the rolling direction, as tabled at kb9.cn/read/80653.html (web note).",
);
const HCT_DATA: Source = read(
    STRENGTHS,
    "EN 10336 as tabled at kb9.cn/read/80653.html (web note). Tensile strength: minimum; high end: spread of 12.5 % about nominal. 628 MPa was measured on a sheet of DP600 (A. Schenek, University of Stuttgart).",
);
const HCT500_DATA: Source = read(
    STRENGTHS,
    "EN 10336 as tabled at kb9.cn/read/80653.html (web note). Tensile strength: minimum; high end: spread of 12.5 % about nominal.",
);
const EN_10149: Source = read(
    STRENGTHS,
    "EN 10149-2 as tabled at moopec.com, carbonated steel coil. Yield strength: minimum; high end: spread of 12.5 % about nominal.",
);
const EN_10025: Source = read(
    STRENGTHS,
    "EN 10025-2, below 3 mm, as tabled at readle.co.uk, steel grades. Yield strength: minimum; high end: spread of 12.5 % about nominal.",
);
const SAPH_DATA: Source = read(
    STRENGTHS,
    "JIS G 3113 as tabled at bebonchina.com, below 6 mm (web note): minima. High ends: spread of 12.5 % about nominal.",
);
const CHINESE: Source = read(
    &[TENSILE, SHEAR],
    "machinemfg.com, metal mechanical properties chart (web note): shear and tensile strength 0.77 to 0.87 apart.",
);
const CHINESE_10: Source = read(
    &[TENSILE, SHEAR],
    "machinemfg.com, metal mechanical properties chart (web note). One copy prints 250 to 370 MPa of shear strength, another 260 to 370: the range spans both.",
);
const CHINESE_SINGLE: Source = read(
    &[TENSILE, SHEAR],
    "machinemfg.com, metal mechanical properties chart (web note): single values. Ends: spread of 12.5 %.",
);
const CARBON_45_PENETRATION: Source = read(
    &[PENETRATION],
    "24 % for steel of 0.5 % carbon, extract that matches P. C. Sharma, A Textbook of Production Engineering, ch. 2.",
);
const STAINLESS_RATIO: Source =
    read(&[RATIO], "300 series, 67 over 90 ksi: Seastrom, properties of metallic materials.");
const STAINLESS_HARDENING: Source = read(
    HARDENING,
    "304, annealed: S. Kalpakjian, S. R. Schmid, Manufacturing Engineering and Technology, table 2.3. Callister (2005) gives 1400 MPa and 0.44, which implies 628 MPa.",
);
const SOFT_ALUMINIUM_PENETRATION: Source = read(
    &[PENETRATION],
    "60 % for soft aluminium, extract that matches P. C. Sharma, A Textbook of Production Engineering, ch. 2.",
);
const MAKER_SHEAR: Source = read(
    &[SHEAR],
    "UniPunch, material specifications (tooling maker's table), single value. Ends: spread of 12.5 %.",
);
const ALUMINIUM_MEMORY: Source =
    remembered(&[TENSILE], "Value from memory, not looked up (EN 485-2, Aluminum Association).");
const KALPAKJIAN: Source = read(
    HARDENING,
    "S. Kalpakjian, S. R. Schmid, Manufacturing Engineering and Technology, table 2.3.",
);
const ADM: Source = read(
    &[TENSILE, YIELD, RATIO],
    "Aluminum Design Manual, table 3.3-1M: minima, shear over tensile strength from the same rows. High ends: spread of 12.5 % about nominal.",
);
const VINCO: Source = read(
    STRENGTHS,
    "EN 1652 as tabled at vinco.es, copper strip. Where the yield strength is a minimum, its high end is the spread of 12.5 % about nominal.",
);
const VINCO_R200: Source = read(
    STRENGTHS,
    "EN 1652 as tabled at vinco.es, copper strip. Yield strength: largest value 100 MPa; low end half of it (common practice, no source).",
);
const VINCO_R360: Source = read(
    &[TENSILE],
    "EN 1652 as tabled at vinco.es, copper strip: minimum. High end: spread of 12.5 % about nominal.",
);
const COPPER_RATIO: Source = read(
    &[RATIO],
    "Punching test on copper 0.71 (0.72 on the punch's circumference; Frémont, Dinglers Polytechnisches Journal 312 (1899) 70); 152 MPa for soft copper in UniPunch, material specifications, is 0.63 of 240 MPa. The range spans both.",
);
const COPPER_PENETRATION: Source =
    remembered(&[PENETRATION], "55 %, die-design handbooks, value from memory.");
const COPPER_HARDENING: Source = read(
    HARDENING,
    "Copper, annealed: Callister (2005) as reproduced at chemeurope.com, strain hardening exponent. Kalpakjian and Schmid, table 2.3, give 315 MPa and 0.54, which implies 132 MPa, below every range of EN 1652; not used.",
);
const BRASS_RATIO: Source = read(
    &[RATIO],
    "Punching tests on brass: 0.65 to 0.69, up to 0.70 on the punch's circumference (Frémont, Dinglers Polytechnisches Journal 312 (1899) 70).",
);
const BRASS_PENETRATION: Source =
    remembered(&[PENETRATION], "50 %, die-design handbooks, value from memory.");
const CDA: Source = read(
    STRENGTHS,
    "Copper Development Association, Publication 120, table 16: typical values. Ends: spread of 12.5 %.",
);
const CUZN37_SOFT: Source = read(
    &[TENSILE],
    "Ms63, 290 to 410 MPa: H. Tschätsch, A. Koth, Metal Forming Practise, Springer 2006, table 8.1, p. 87; 355 MPa typical in Copper Development Association, Publication 120, table 16, lies in it.",
);
const CUZN37_SOFT_YIELD: Source = read(
    &[YIELD],
    "Copper Development Association, Publication 120, table 16: typical value. Ends: spread of 12.5 %.",
);
const CUZN30_SOFT: Source = read(
    STRENGTHS,
    "Copper Development Association, Publication 120, table 16: typical 325 and 125 MPa, spread of 12.5 %; high end of tensile strength 389 MPa, which K and n of another table imply. The range spans both.",
);
const CUZN30_HARDENING: Source = read(
    HARDENING,
    "Brass 70-30, annealed: S. Kalpakjian, S. R. Schmid, Manufacturing Engineering and Technology, table 2.3.",
);
const CUZN40: Source = read(
    &[TENSILE],
    "EN 1652 as tabled at kmwindia.com, CuZn40: minima. High ends: spread of 12.5 % about nominal.",
);
const R_MINIMUM: Source = remembered(
    &[TENSILE],
    "The number of the temper is the least tensile strength, value from memory. High end: spread of 12.5 % about nominal.",
);
const CUZN15_TENSILE: Source = remembered(
    &[TENSILE],
    "Value from memory, not looked up. K 580 MPa and n 0.34 of cold-rolled 85-15 brass (Kalpakjian and Schmid, table 2.3) imply 286 MPa, which is below it; not used.",
);

/// What the rows below are written on.
const ROW: Material = Material {
    designation: "",
    standard: "",
    group: Group::ColdRolledSteel,
    tensile_mpa: (0.0, 0.0),
    yield_mpa: None,
    shear_ratio: None,
    shear_strength_mpa: None,
    penetration: None,
    separation: None,
    k_mpa: None,
    n: None,
    sources: &[],
};

/// Soft low-carbon sheet.
const SOFT_STEEL: Material = Material {
    shear_ratio: Some((0.69, 0.87)),
    penetration: Some((0.38, 0.50)),
    separation: Some((0.65, 0.75)),
    ..ROW
};

const fn en_10130(
    designation: &'static str,
    tensile_mpa: Ends,
    yield_mpa: Ends,
    (k_mpa, n): (f64, f64),
    sources: &'static [Source],
) -> Material {
    Material {
        designation,
        standard: "EN 10130",
        tensile_mpa,
        yield_mpa: Some(yield_mpa),
        k_mpa: Some(k_mpa),
        n: Some(n),
        sources,
        ..SOFT_STEEL
    }
}

const fn steel(
    group: Group,
    standard: &'static str,
    designation: &'static str,
    tensile_mpa: Ends,
    yield_mpa: Ends,
    sources: &'static [Source],
) -> Material {
    Material {
        designation,
        standard,
        group,
        tensile_mpa,
        yield_mpa: Some(yield_mpa),
        shear_ratio: Some((0.71, 0.76)),
        sources,
        ..ROW
    }
}

/// Low-carbon strip and structural steel, whose shear ratio is less sure.
const fn mild(
    group: Group,
    standard: &'static str,
    designation: &'static str,
    tensile_mpa: Ends,
    yield_mpa: Ends,
    sources: &'static [Source],
) -> Material {
    Material {
        shear_ratio: Some((0.69, 0.87)),
        ..steel(group, standard, designation, tensile_mpa, yield_mpa, sources)
    }
}

const fn chinese(
    standard: &'static str,
    designation: &'static str,
    shear: Ends,
    tensile_mpa: Ends,
    sources: &'static [Source],
) -> Material {
    Material {
        designation,
        standard,
        group: Group::CarbonSteel,
        tensile_mpa,
        shear_strength_mpa: Some(shear),
        sources,
        ..ROW
    }
}

const fn aluminium(
    standard: &'static str,
    designation: &'static str,
    tensile_mpa: Ends,
    sources: &'static [Source],
) -> Material {
    Material { designation, standard, group: Group::Aluminium, tensile_mpa, sources, ..ROW }
}

const fn copper(
    designation: &'static str,
    tensile_mpa: Ends,
    yield_mpa: Option<Ends>,
    sources: &'static [Source],
) -> Material {
    Material {
        designation,
        standard: "EN 1652",
        group: Group::Copper,
        tensile_mpa,
        yield_mpa,
        shear_ratio: Some((0.63, 0.72)),
        penetration: Some((0.55, 0.55)),
        sources,
        ..ROW
    }
}

const fn brass(
    designation: &'static str,
    tensile_mpa: Ends,
    yield_mpa: Option<Ends>,
    sources: &'static [Source],
) -> Material {
    Material {
        designation,
        standard: "EN 1652",
        group: Group::Brass,
        tensile_mpa,
        yield_mpa,
        shear_ratio: Some((0.65, 0.70)),
        penetration: Some((0.50, 0.50)),
        sources,
        ..ROW
    }
}

const COLD: Group = Group::ColdRolledSteel;
const HOT: Group = Group::HotRolledSteel;
const HIGH: Group = Group::HighStrengthSteel;

const SOFT_SOURCES: (Source, Source, Source, Source) =
    (LOW_CARBON_RATIO, LOW_CARBON_PENETRATION, LOW_CARBON_PENETRATION_HIGH, MILD_SEPARATION);

const DC_SOURCES: &[Source] = &[
    EN_10130,
    YIELD_140,
    SOFT_SOURCES.0,
    SOFT_SOURCES.1,
    SOFT_SOURCES.2,
    SOFT_SOURCES.3,
    KALPAKJIAN_STEEL,
];
const STRIP: &[Source] = &[EN_10139, LOW_CARBON_RATIO];
const STRIP_MINIMUM: &[Source] = &[EN_10139_MINIMUM, STRONG_STEEL_RATIO];
const HSLA_KB9: &[Source] = &[EN_10268_KB9, STRONG_STEEL_RATIO];
const MC: &[Source] = &[EN_10149, STRONG_STEEL_RATIO];
const STRUCTURAL: &[Source] = &[EN_10025, LOW_CARBON_RATIO];
const SAPH: &[Source] = &[SAPH_DATA, LOW_CARBON_RATIO];
const ADM_ONLY: &[Source] = &[ADM];
const COPPER: &[Source] = &[VINCO, COPPER_RATIO, COPPER_PENETRATION];
const COPPER_MEMORY: &[Source] = &[R_MINIMUM, COPPER_RATIO, COPPER_PENETRATION];
const BRASS: &[Source] = &[CDA, BRASS_RATIO, BRASS_PENETRATION];
const BRASS_MEMORY: &[Source] = &[R_MINIMUM, BRASS_RATIO, BRASS_PENETRATION];
const BRASS_40: &[Source] = &[CUZN40, BRASS_RATIO, BRASS_PENETRATION];
const FROM_MEMORY: &[Source] = &[MEMORY];

/// The library, group by group, soft before hard.
pub static MATERIALS: &[Material] = &[
    en_10130(
        "DC01",
        (270.0, 410.0),
        (140.0, 280.0),
        (600.0, 0.21),
        &[
            EN_10130,
            YIELD_140,
            SOFT_SOURCES.0,
            SOFT_SOURCES.1,
            SOFT_SOURCES.2,
            SOFT_SOURCES.3,
            CALLISTER_STEEL,
        ],
    ),
    en_10130("DC03", (270.0, 370.0), (140.0, 240.0), (530.0, 0.26), DC_SOURCES),
    en_10130("DC04", (270.0, 350.0), (140.0, 210.0), (530.0, 0.26), DC_SOURCES),
    en_10130(
        "DC05",
        (270.0, 330.0),
        (140.0, 180.0),
        (530.0, 0.26),
        &[MEMORY, SOFT_SOURCES.0, SOFT_SOURCES.1, SOFT_SOURCES.2, SOFT_SOURCES.3, KALPAKJIAN_STEEL],
    ),
    en_10130(
        "DC06",
        (270.0, 330.0),
        (120.0, 170.0),
        (530.0, 0.26),
        &[
            DC06_DATA,
            SOFT_SOURCES.0,
            SOFT_SOURCES.1,
            SOFT_SOURCES.2,
            SOFT_SOURCES.3,
            KALPAKJIAN_STEEL,
        ],
    ),
    Material {
        designation: "DC01 LC",
        standard: "EN 10139",
        tensile_mpa: (270.0, 410.0),
        yield_mpa: Some((140.0, 280.0)),
        sources: &[
            EN_10139_LC,
            YIELD_140,
            SOFT_SOURCES.0,
            SOFT_SOURCES.1,
            SOFT_SOURCES.2,
            SOFT_SOURCES.3,
        ],
        ..SOFT_STEEL
    },
    mild(COLD, "EN 10139", "DC01 C290", (290.0, 430.0), (200.0, 380.0), STRIP),
    mild(COLD, "EN 10139", "DC01 C340", (340.0, 490.0), minimum(250.0), STRIP),
    mild(COLD, "EN 10139", "DC01 C390", (390.0, 540.0), minimum(310.0), STRIP),
    mild(COLD, "EN 10139", "DC01 C440", (440.0, 590.0), minimum(360.0), STRIP),
    mild(COLD, "EN 10139", "DC01 C490", (490.0, 640.0), minimum(420.0), STRIP),
    mild(COLD, "EN 10139", "DC01 C590", (590.0, 740.0), minimum(520.0), STRIP),
    steel(COLD, "EN 10139", "DC01 C690", minimum(690.0), minimum(630.0), STRIP_MINIMUM),
    mild(HOT, "EN 10025-2", "S235", (360.0, 510.0), minimum(235.0), STRUCTURAL),
    mild(HOT, "EN 10025-2", "S275", (430.0, 580.0), minimum(275.0), STRUCTURAL),
    mild(HOT, "EN 10025-2", "S355", (510.0, 680.0), minimum(355.0), STRUCTURAL),
    steel(HOT, "EN 10149-2", "S315MC", (390.0, 510.0), minimum(315.0), MC),
    steel(HOT, "EN 10149-2", "S355MC", (430.0, 550.0), minimum(355.0), MC),
    steel(HOT, "EN 10149-2", "S420MC", (480.0, 620.0), minimum(420.0), MC),
    steel(HOT, "EN 10149-2", "S460MC", (520.0, 670.0), minimum(460.0), MC),
    steel(HOT, "EN 10149-2", "S500MC", (550.0, 700.0), minimum(500.0), MC),
    steel(
        HOT,
        "EN 10149-2",
        "S700MC",
        (750.0, 950.0),
        minimum(700.0),
        &[MEMORY, STRONG_STEEL_RATIO],
    ),
    mild(HOT, "JIS G 3113", "SAPH310", minimum(310.0), minimum(195.0), SAPH),
    mild(HOT, "JIS G 3113", "SAPH370", minimum(370.0), minimum(225.0), SAPH),
    mild(HOT, "JIS G 3113", "SAPH400", minimum(400.0), minimum(255.0), SAPH),
    mild(HOT, "JIS G 3113", "SAPH440", minimum(440.0), minimum(305.0), SAPH),
    steel(HIGH, "EN 10268", "HC260LA", (340.0, 420.0), (240.0, 310.0), HSLA_KB9),
    steel(HIGH, "EN 10268", "HC300LA", (370.0, 470.0), (280.0, 360.0), HSLA_KB9),
    steel(
        HIGH,
        "EN 10268",
        "HC340LA",
        (410.0, 510.0),
        (340.0, 420.0),
        &[EN_10268_TATA, STRONG_STEEL_RATIO],
    ),
    steel(
        HIGH,
        "EN 10268",
        "HC380LA",
        (440.0, 580.0),
        (380.0, 480.0),
        &[MEMORY, STRONG_STEEL_RATIO],
    ),
    steel(HIGH, "EN 10268", "HC420LA", (460.0, 580.0), (400.0, 500.0), HSLA_KB9),
    Material {
        separation: Some((0.35, 0.50)),
        ..steel(
            HIGH,
            "EN 10346",
            "HCT500X",
            minimum(500.0),
            (300.0, 380.0),
            &[HCT500_DATA, STRONG_STEEL_RATIO, DUAL_PHASE_SEPARATION],
        )
    },
    Material {
        separation: Some((0.35, 0.50)),
        ..steel(
            HIGH,
            "EN 10346",
            "HCT600X",
            minimum(600.0),
            (340.0, 420.0),
            &[HCT_DATA, STRONG_STEEL_RATIO, DUAL_PHASE_SEPARATION],
        )
    },
    Material {
        designation: "1.4301",
        standard: "EN 10088-2",
        group: Group::StainlessSteel,
        tensile_mpa: (540.0, 750.0),
        yield_mpa: Some(minimum(230.0)),
        shear_ratio: Some((0.74, 0.74)),
        k_mpa: Some(1275.0),
        n: Some(0.45),
        sources: &[MEMORY, STAINLESS_RATIO, STAINLESS_HARDENING],
        ..ROW
    },
    Material {
        designation: "1.4016",
        standard: "EN 10088-2",
        group: Group::StainlessSteel,
        tensile_mpa: (430.0, 600.0),
        sources: FROM_MEMORY,
        ..ROW
    },
    chinese("GB/T 700", "Q195", (260.0, 320.0), (315.0, 390.0), &[CHINESE]),
    chinese("GB/T 700", "Q235", (310.0, 380.0), (375.0, 460.0), &[CHINESE]),
    chinese("GB/T 699", "08F", (220.0, 310.0), (280.0, 390.0), &[CHINESE]),
    chinese("GB/T 699", "08", (260.0, 340.0), (300.0, 440.0), &[CHINESE]),
    chinese("GB/T 699", "10", (250.0, 370.0), (320.0, 460.0), &[CHINESE_10]),
    chinese("GB/T 699", "20", (280.0, 400.0), (360.0, 510.0), &[CHINESE]),
    Material {
        penetration: Some((0.24, 0.24)),
        ..chinese(
            "GB/T 699",
            "45",
            (440.0, 560.0),
            (550.0, 700.0),
            &[CHINESE, CARBON_45_PENETRATION],
        )
    },
    chinese("GB/T 1220", "1Cr13", (320.0, 380.0), (400.0, 470.0), &[CHINESE]),
    chinese("GB/T 6983", "DT pure iron", typical(180.0), typical(230.0), &[CHINESE_SINGLE]),
    chinese("GB/T 2521", "silicon steel", typical(190.0), typical(230.0), &[CHINESE_SINGLE]),
    Material {
        shear_strength_mpa: Some(typical(62.0)),
        penetration: Some((0.60, 0.60)),
        k_mpa: Some(180.0),
        n: Some(0.20),
        ..aluminium(
            "AA",
            "1100-O",
            (80.0, 107.0),
            &[
                read(
                    &[TENSILE],
                    "Aluminium 99 %, 80 to 100 MPa: H. Tschätsch, A. Koth, Metal Forming Practise, Springer 2006, table 8.1, p. 87; high end 107 MPa, which K and n imply. The range spans both.",
                ),
                MAKER_SHEAR,
                SOFT_ALUMINIUM_PENETRATION,
                KALPAKJIAN,
            ],
        )
    },
    Material {
        shear_strength_mpa: Some(typical(76.0)),
        ..aluminium("AA", "1100-H14", (110.0, 145.0), &[ALUMINIUM_MEMORY, MAKER_SHEAR])
    },
    Material {
        shear_strength_mpa: Some(typical(76.0)),
        penetration: Some((0.60, 0.60)),
        ..aluminium(
            "AA",
            "3003-O",
            (95.0, 135.0),
            &[ALUMINIUM_MEMORY, MAKER_SHEAR, SOFT_ALUMINIUM_PENETRATION],
        )
    },
    Material {
        shear_strength_mpa: Some(typical(103.0)),
        ..aluminium("AA", "3003-H14", (145.0, 185.0), &[ALUMINIUM_MEMORY, MAKER_SHEAR])
    },
    Material {
        yield_mpa: Some(minimum(65.0)),
        shear_ratio: Some((0.65, 0.73)),
        penetration: Some((0.60, 0.60)),
        ..aluminium(
            "AA",
            "5052-O",
            minimum(170.0),
            &[
                ADM,
                read(
                    &[RATIO],
                    "High end: 124 MPa of shear strength in UniPunch, material specifications, over the same 170 MPa. The range spans both.",
                ),
                SOFT_ALUMINIUM_PENETRATION,
            ],
        )
    },
    Material {
        yield_mpa: Some(minimum(160.0)),
        shear_ratio: Some((0.60, 0.61)),
        ..aluminium(
            "AA",
            "5052-H32",
            minimum(215.0),
            &[
                ADM,
                read(
                    &[RATIO],
                    "Typical 138 over 228 MPa, 0.61: cctprecision.com, aluminum data sheet.",
                ),
            ],
        )
    },
    Material {
        yield_mpa: Some(minimum(180.0)),
        shear_ratio: Some((0.60, 0.60)),
        ..aluminium("AA", "5052-H34", minimum(235.0), ADM_ONLY)
    },
    Material {
        shear_ratio: Some((0.59, 0.59)),
        ..aluminium("AA", "5052-H36", minimum(255.0), ADM_ONLY)
    },
    aluminium("EN 485-2", "5754-O", (190.0, 240.0), &[ALUMINIUM_MEMORY]),
    aluminium("EN 485-2", "5182-O", (255.0, 315.0), &[ALUMINIUM_MEMORY]),
    Material {
        shear_strength_mpa: Some(typical(83.0)),
        penetration: Some((0.60, 0.60)),
        k_mpa: Some(205.0),
        n: Some(0.20),
        ..aluminium(
            "AA",
            "6061-O",
            (110.0, 150.0),
            &[ALUMINIUM_MEMORY, MAKER_SHEAR, SOFT_ALUMINIUM_PENETRATION, KALPAKJIAN],
        )
    },
    Material {
        yield_mpa: Some(typical(276.0)),
        shear_ratio: Some((0.67, 0.67)),
        k_mpa: Some(410.0),
        n: Some(0.05),
        ..aluminium(
            "AA",
            "6061-T6",
            typical(310.0),
            &[
                read(
                    &[TENSILE, YIELD, RATIO],
                    "cctprecision.com, aluminum data sheet: typical values. Ends: spread of 12.5 %.",
                ),
                KALPAKJIAN,
            ],
        )
    },
    Material {
        shear_strength_mpa: Some(typical(124.0)),
        penetration: Some((0.60, 0.60)),
        ..aluminium(
            "AA",
            "2024-O",
            (160.0, 220.0),
            &[ALUMINIUM_MEMORY, MAKER_SHEAR, SOFT_ALUMINIUM_PENETRATION],
        )
    },
    Material {
        shear_ratio: Some((0.60, 0.60)),
        k_mpa: Some(780.0),
        n: Some(0.17),
        ..aluminium(
            "AA",
            "2024-T3",
            typical(469.0),
            &[
                read(
                    &[TENSILE, RATIO],
                    "41 over 68 ksi: Seastrom, properties of metallic materials. Ends: spread of 12.5 %. UniPunch, material specifications, has the same shear strength, 283 MPa.",
                ),
                read(
                    HARDENING,
                    "Callister (2005) as reproduced at chemeurope.com, strain hardening exponent.",
                ),
            ],
        )
    },
    Material {
        k_mpa: Some(690.0),
        n: Some(0.16),
        ..aluminium("AA", "2024-T4", (425.0, 475.0), &[ALUMINIUM_MEMORY, KALPAKJIAN])
    },
    Material {
        shear_strength_mpa: Some(typical(152.0)),
        penetration: Some((0.60, 0.60)),
        k_mpa: Some(400.0),
        n: Some(0.17),
        ..aluminium(
            "AA",
            "7075-O",
            (205.0, 275.0),
            &[ALUMINIUM_MEMORY, MAKER_SHEAR, SOFT_ALUMINIUM_PENETRATION, KALPAKJIAN],
        )
    },
    Material {
        shear_strength_mpa: Some(typical(331.0)),
        ..aluminium("AA", "7075-T6", (540.0, 600.0), &[ALUMINIUM_MEMORY, MAKER_SHEAR])
    },
    Material {
        k_mpa: Some(530.0),
        n: Some(0.44),
        ..copper(
            "Cu-DHP R200",
            (200.0, 250.0),
            Some((50.0, 100.0)),
            &[VINCO_R200, COPPER_RATIO, COPPER_PENETRATION, COPPER_HARDENING],
        )
    },
    Material {
        k_mpa: Some(530.0),
        n: Some(0.44),
        ..copper(
            "Cu-DHP R220",
            (220.0, 260.0),
            Some(minimum(140.0)),
            &[VINCO, COPPER_RATIO, COPPER_PENETRATION, COPPER_HARDENING],
        )
    },
    copper("Cu-DHP R240", (240.0, 300.0), Some(minimum(180.0)), COPPER),
    copper("Cu-DHP R290", (290.0, 360.0), Some(minimum(250.0)), COPPER),
    copper("Cu-DHP R360", minimum(360.0), None, &[VINCO_R360, COPPER_RATIO, COPPER_PENETRATION]),
    copper("Cu-ETP R220", minimum(220.0), None, COPPER_MEMORY),
    copper("Cu-ETP R240", minimum(240.0), None, COPPER_MEMORY),
    copper("Cu-ETP R290", minimum(290.0), None, COPPER_MEMORY),
    brass("CuZn10 annealed", typical(265.0), Some(typical(100.0)), BRASS),
    brass("CuZn10 hard", typical(450.0), Some(typical(385.0)), BRASS),
    Material {
        shear_ratio: None,
        shear_strength_mpa: Some(typical(241.0)),
        ..brass(
            "CuZn15 quarter hard",
            (305.0, 375.0),
            None,
            &[CUZN15_TENSILE, MAKER_SHEAR, BRASS_PENETRATION],
        )
    },
    Material {
        k_mpa: Some(900.0),
        n: Some(0.49),
        ..brass(
            "CuZn30 annealed",
            (284.0, 390.0),
            Some(typical(125.0)),
            &[CUZN30_SOFT, BRASS_RATIO, BRASS_PENETRATION, CUZN30_HARDENING],
        )
    },
    brass("CuZn30 hard", typical(540.0), Some(typical(450.0)), BRASS),
    brass("CuZn36 annealed", typical(325.0), Some(typical(124.0)), BRASS),
    brass("CuZn36 hard", typical(540.0), Some(typical(450.0)), BRASS),
    brass(
        "CuZn37 annealed",
        (290.0, 410.0),
        Some(typical(125.0)),
        &[CUZN37_SOFT, CUZN37_SOFT_YIELD, BRASS_RATIO, BRASS_PENETRATION],
    ),
    brass("CuZn37 R300", minimum(300.0), None, BRASS_MEMORY),
    brass("CuZn37 R350", minimum(350.0), None, BRASS_MEMORY),
    brass("CuZn37 R410", minimum(410.0), None, BRASS_MEMORY),
    brass("CuZn37 hard", typical(585.0), Some(typical(550.0)), BRASS),
    brass("CuZn40 soft", minimum(275.0), None, BRASS_40),
    brass("CuZn40 half hard", minimum(420.0), None, BRASS_40),
    brass("CuZn40 hard", minimum(490.0), None, BRASS_40),
    brass("CuZn40 extra hard", minimum(525.0), None, BRASS_40),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        Job,
        spec::{STOCK, Shape},
    };

    /// Every value of the row by the field that it fills.
    fn values(material: &Material) -> Vec<(&'static str, Ends)> {
        let one = |value: Option<f64>| value.map(|value| (value, value));
        [
            (TENSILE, Some(material.tensile_mpa)),
            (YIELD, material.yield_mpa),
            (RATIO, material.shear_ratio),
            (SHEAR, material.shear_strength_mpa),
            (PENETRATION, material.penetration),
            (SEPARATION, material.separation),
            (COEFFICIENT, one(material.k_mpa)),
            (EXPONENT, one(material.n)),
        ]
        .into_iter()
        .filter_map(|(field, value)| Some((field, value?)))
        .collect()
    }

    #[test]
    fn every_value_has_a_source_and_every_source_a_value() {
        for material in MATERIALS {
            let values = values(material);
            for (field, _) in &values {
                assert!(material.sources_of(field).next().is_some(), "{} {field}", material.name());
            }
            for source in material.sources {
                let used = source.fields.iter().any(|f| values.iter().any(|(field, _)| field == f));
                assert!(used, "{}: {}", material.name(), source.text);
                assert_eq!(
                    source.from_memory,
                    source.text.to_lowercase().contains("value from memory"),
                    "{}",
                    source.text
                );
            }
        }
    }

    #[test]
    fn every_value_lies_in_the_range_of_its_field() {
        for material in MATERIALS {
            for (field, (low, high)) in values(material) {
                let spec = STOCK.fields.iter().find(|spec| spec.key == field).expect("field");
                let (Shape::Number(number) | Shape::NumberOrRange(number)) = spec.shape else {
                    panic!("{field} is no number");
                };
                assert!(low <= high, "{} {field}", material.name());
                assert!(
                    low >= number.least() && high <= number.max,
                    "{} {field}: {low} to {high}",
                    material.name()
                );
            }
            if let Some((_, yield_high)) = material.yield_mpa {
                assert!(yield_high < material.tensile_mpa.1, "{}", material.name());
            }
        }
    }

    #[test]
    fn designations_are_unique() {
        for (index, material) in MATERIALS.iter().enumerate() {
            assert!(MATERIALS[..index].iter().all(|other| other.name() != material.name()));
        }
    }

    #[test]
    fn every_material_gives_a_job_that_loads() {
        for material in MATERIALS {
            let mut job: Value = serde_json::from_str(crate::demo::DEMOS[0].text).unwrap();
            let stock = job["stock"].as_object_mut().unwrap();
            for key in STOCK_FIELD_KEYS {
                stock.remove(key);
            }
            stock.extend(stock_fields(material));
            let job = Job::from_value(&job).unwrap_or_else(|e| panic!("{}: {e}", material.name()));
            assert_eq!(job.material, material.name());
            let (low, high) = material.tensile_mpa;
            assert_eq!(
                (job.stock.tensile_pa.low(), job.stock.tensile_pa.high()),
                (low * 1e6, high * 1e6)
            );
            assert!(job.check().peak.is_some());
        }
    }

    /// The tensile strength at which a test piece of `σ = K·φⁿ` necks has to lie in the range of
    /// the grade: pairs of K and n from another table, or of another temper, mostly do not.
    #[test]
    fn hardening_implies_a_tensile_strength_within_the_range() {
        for material in MATERIALS {
            assert_eq!(material.k_mpa.is_some(), material.n.is_some(), "{}", material.name());
            if let Some(implied) = material.implied_tensile_mpa() {
                let (low, high) = material.tensile_mpa;
                // 107 and 389 MPa are ends of two ranges, rounded.
                assert!((low..=high + 0.5).contains(&implied), "{}: {implied}", material.name());
            }
        }
    }

    /// A. Schenek, University of Stuttgart, data set "Daten_Hohlschneiden": measured sheets of DC03
    /// (Rp 171.8, Rm 317.6 MPa) and DP600 (381.5, 628.3).
    #[test]
    fn measured_sheets_lie_within_the_range_of_their_grade() {
        for (designation, yield_mpa, tensile_mpa) in
            [("DC03", 171.8, 317.6), ("HCT600X", 381.5, 628.3)]
        {
            let material = MATERIALS.iter().find(|m| m.designation == designation).unwrap();
            let within = |(low, high): Ends, value: f64| low <= value && value <= high;
            assert!(within(material.tensile_mpa, tensile_mpa), "{designation}");
            assert!(within(material.yield_mpa.unwrap(), yield_mpa), "{designation}");
        }
    }

    fn ends_words(ends: Option<Ends>) -> String {
        match ends {
            None => "–".to_owned(),
            Some((low, high)) if low == high => low.to_string(),
            Some((low, high)) => format!("{low}–{high}"),
        }
    }

    /// The page of the documentation; `M` marks a value from memory.
    fn page() -> String {
        let mut page = String::from(
            "# Materials\n\n\
             Written from `crates/job/src/materials.rs` by its test: \
             `UPDATE_DOCS=1 cargo test -p evenstroke-job materials`.\n\n\
             Strengths in MPa. ᴹ: value from memory, not looked up. Ratio: shear over tensile \
             strength. Penetration and separation: parts of thickness. Implied Rm: `K·(n/e)ⁿ`, a \
             cross-check. A dash: not known, the job assumes and says so.\n",
        );
        let mut numbered: Vec<&str> = Vec::new();
        let mut group = None;
        for material in MATERIALS {
            if group != Some(material.group) {
                group = Some(material.group);
                page += &format!(
                    "\n## {}\n\n| material | Rm | Re | ratio | shear strength | penetration | \
                     separation | K, n | implied Rm | sources |\n|---|---|---|---|---|---|---|---|---|---|\n",
                    material.group.label()
                );
            }
            let mark = |field, text: String| {
                if text != "–" && material.is_from_memory(field) { text + "ᴹ" } else { text }
            };
            let hardening = match (material.k_mpa, material.n) {
                (Some(k), Some(n)) => format!("{k}, {n}"),
                _ => "–".to_owned(),
            };
            let implied =
                material.implied_tensile_mpa().map_or("–".to_owned(), |rm| format!("{rm:.0}"));
            let sources: Vec<String> = material
                .sources
                .iter()
                .map(|source| {
                    let known = numbered.iter().position(|text| *text == source.text);
                    let index = known.unwrap_or_else(|| {
                        numbered.push(source.text);
                        numbered.len() - 1
                    });
                    (index + 1).to_string()
                })
                .collect();
            page += &format!(
                "| {} | {} | {} | {} | {} | {} | {} | {hardening} | {implied} | {} |\n",
                material.name(),
                mark(TENSILE, ends_words(Some(material.tensile_mpa))),
                mark(YIELD, ends_words(material.yield_mpa)),
                mark(RATIO, ends_words(material.shear_ratio)),
                mark(SHEAR, ends_words(material.shear_strength_mpa)),
                mark(PENETRATION, ends_words(material.penetration)),
                mark(SEPARATION, ends_words(material.separation)),
                sources.join(", ")
            );
        }
        page += "\n## Sources\n\n";
        for (index, text) in numbered.iter().enumerate() {
            page += &format!("{}. {text}\n", index + 1);
        }
        page
    }

    #[test]
    fn page_of_the_documentation_is_in_step() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/materials.md");
        let page = page();
        if std::env::var_os("UPDATE_DOCS").is_some() {
            std::fs::write(path, &page).expect("docs can be written");
        }
        let written = std::fs::read_to_string(path).unwrap_or_default();
        assert!(
            written == page,
            "docs/materials.md is not in step; UPDATE_DOCS=1 cargo test -p evenstroke-job materials"
        );
    }
}
