//! Units of length that a drawing may be made in.

/// A unit of length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthUnit {
    /// Millimetre.
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Decimetre.
    Decimetre,
    /// Metre.
    Metre,
    /// Micrometre.
    Micrometre,
    /// Inch, 25.4 mm.
    Inch,
    /// Thousandth of an inch.
    Mil,
    /// Foot, 304.8 mm.
    Foot,
    /// Yard, 914.4 mm.
    Yard,
    /// A 96th of an inch.
    Pixel,
    /// A 72nd of an inch.
    Point,
    /// A sixth of an inch.
    Pica,
}

impl LengthUnit {
    /// All of them, the usual ones first.
    pub const ALL: [Self; 12] = [
        Self::Millimetre,
        Self::Inch,
        Self::Centimetre,
        Self::Metre,
        Self::Foot,
        Self::Mil,
        Self::Micrometre,
        Self::Decimetre,
        Self::Yard,
        Self::Pixel,
        Self::Point,
        Self::Pica,
    ];

    /// Its symbol, which also names it on the command line.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Decimetre => "dm",
            Self::Metre => "m",
            Self::Micrometre => "um",
            Self::Inch => "in",
            Self::Mil => "mil",
            Self::Foot => "ft",
            Self::Yard => "yd",
            Self::Pixel => "px",
            Self::Point => "pt",
            Self::Pica => "pc",
        }
    }

    /// The unit with a symbol.
    pub fn from_symbol(symbol: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.symbol() == symbol)
    }

    /// How many millimetres it has.
    pub const fn millimetres(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Decimetre => 100.0,
            Self::Metre => 1000.0,
            Self::Micrometre => 1e-3,
            Self::Inch => 25.4,
            Self::Mil => 0.025_4,
            Self::Foot => 304.8,
            Self::Yard => 914.4,
            Self::Pixel => 25.4 / 96.0,
            Self::Point => 25.4 / 72.0,
            Self::Pica => 25.4 / 6.0,
        }
    }
}
