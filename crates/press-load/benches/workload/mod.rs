//! A large die: stations, each a closed outline of straight segments ground with a slope.
//!
//! The native bench, the WebAssembly bench and the NumPy reference all work on this one.

use press_load::{
    Length, Line, LoadSeries, Motion, Outline, Point, Range, Sheet, Stock,
    cutting::{Cut, CutKind, CutModel},
    load::Load,
    tool_shear::ToolShear,
};

/// Fewer heights than this are summed directly, not from events.
pub const DIRECT_HEIGHTS: usize = 31;
/// From first touch to BDC, in millimetres.
const TRAVEL_MM: f64 = 6.0;

/// The loads of its stations, and the heights at which they are asked for.
pub struct LargeDie {
    /// One per station.
    pub loads: Vec<Load>,
    /// The cuts behind them, with their places.
    pub cuts: Vec<(Cut, Point)>,
    /// Falling, all of them where the die works: from first touch to BDC.
    pub heights: Vec<f64>,
}

/// The stock: DC01, 2 mm.
pub fn stock() -> Stock {
    Stock {
        thickness_m: Range::new(2.0e-3, 2.1e-3),
        tensile_pa: Range::new(270e6, 410e6),
        shear_pa: Range::new(0.8 * 270e6, 0.8 * 410e6),
        yield_pa: None,
        penetration: Range::exactly(0.4),
        separation: Range::exactly(0.7),
        strength_coefficient_pa: None,
        hardening_exponent: None,
    }
}

/// The sheet on the nominal line.
pub fn sheet() -> Sheet {
    stock().sheet(Line::Nominal).unwrap()
}

/// The cut of station `index`: a wavy blank, so that its segments differ in length and direction.
pub fn wavy_cut(index: usize, segments: usize) -> Cut {
    let points = (0..segments)
        .map(|k| {
            let angle = std::f64::consts::TAU * k as f64 / segments as f64;
            let radius = 40.0 + 4.0 * (5.0 * angle).sin();
            Point::from_millimetres(1.5 * radius * angle.cos(), radius * angle.sin())
        })
        .collect();
    Cut {
        kind: CutKind::Pierce,
        outline: Outline::Path { points, bulges: vec![], closed: true },
        entry: Length::from_millimetres(TRAVEL_MM),
        tool_shear: ToolShear::Slope {
            depth: Length::from_millimetres(3.0),
            direction_deg: 7.0 * index as f64,
        },
        shear_on: None,
        punch: None,
        allowance: None,
        clearance_percent: Some(8.0),
        land: None,
        strip_factor: 0.1,
        wear_factor: 1.0,
    }
}

impl LargeDie {
    /// A die of so many stations of so many segments, asked for at so many heights.
    pub fn new(stations: usize, segments: usize, heights: usize) -> Self {
        let sheet = sheet();
        let cuts: Vec<(Cut, Point)> = (0..stations)
            .map(|i| {
                (wavy_cut(i, segments), Point::from_millimetres(10.0 * i as f64 - 1000.0, 0.0))
            })
            .collect();
        let loads = cuts
            .iter()
            .map(|(cut, at)| {
                let motion = Motion::new(*at, 0.0);
                Load::Edge(cut.load(&sheet, CutModel::Shaped, 1.0, &motion).unwrap())
            })
            .collect();
        let part = |i: usize| 1.0 - i as f64 / (heights - 1) as f64;
        let heights = (0..heights).map(|i| 1e-3 * TRAVEL_MM * part(i)).collect();
        Self { loads, cuts, heights }
    }

    /// The sum of all stations at all heights.
    pub fn series(&self) -> LoadSeries {
        let mut series = LoadSeries::zero(self.heights.len());
        for load in &self.loads {
            load.add_to(&self.heights, &mut series);
        }
        series
    }

    /// The same at few heights at a time, every corner at every height.
    pub fn direct_series(&self) -> LoadSeries {
        let mut all = LoadSeries::default();
        for heights in self.heights.chunks(DIRECT_HEIGHTS) {
            let mut series = LoadSeries::zero(heights.len());
            for load in &self.loads {
                load.add_to(heights, &mut series);
            }
            all.force.extend(series.force);
            all.moment_x.extend(series.moment_x);
            all.moment_y.extend(series.moment_y);
        }
        all
    }
}

/// Sums of forces and of moments, to compare what different machines find.
pub fn checksums(series: &LoadSeries) -> [f64; 3] {
    [&series.force, &series.moment_x, &series.moment_y].map(|values| values.iter().sum())
}
