//! Physical quantities, one type each, kept in SI.
//!
//! Units appear only in constructors (`from_<unit>`) and accessors (`<unit>()`). Only the products
//! that the physics uses are implemented.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// Defines a quantity with the arithmetic that every quantity has: sums, differences, scaling by a
/// number, and the ratio of two of a kind.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident { $($(#[$unit_doc:meta])* $from:ident / $unit:ident = $factor:expr;)+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);

            $(
                $(#[$unit_doc])*
                pub const fn $from(value: f64) -> Self {
                    Self(value * $factor)
                }

                $(#[$unit_doc])*
                pub const fn $unit(self) -> f64 {
                    self.0 / $factor
                }
            )+

            /// Its magnitude.
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// The larger of the two.
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The smaller of the two.
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// Whether it is finite and above zero; false for NaN.
            pub fn is_positive(self) -> bool {
                self.0 > 0.0 && self.0.is_finite()
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Mul<$name> for f64 {
            type Output = $name;
            fn mul(self, quantity: $name) -> $name {
                $name(self * quantity.0)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, Add::add)
            }
        }
    };
}

/// The product of two quantities, in both orders.
macro_rules! product {
    ($left:ident * $right:ident = $product:ident) => {
        impl Mul<$right> for $left {
            type Output = $product;
            fn mul(self, other: $right) -> $product {
                $product(self.0 * other.0)
            }
        }

        impl Mul<$left> for $right {
            type Output = $product;
            fn mul(self, other: $left) -> $product {
                $product(self.0 * other.0)
            }
        }
    };
}

quantity! {
    /// A force, kept in newtons.
    ///
    /// "Ton" names two forces in the trade, so each has its own constructor.
    Force {
        /// In newtons.
        from_newtons / newtons = 1.0;
        /// In kilonewtons.
        from_kilonewtons / kilonewtons = 1_000.0;
        /// In metric tonnes-force: 9.80665 kN each, exact by definition of standard gravity.
        from_tonnes_force / tonnes_force = 9_806.65;
        /// In US tons-force: 2000 lbf, 8.896 443 230 521 kN each, exact by definition of the pound.
        from_us_tons_force / us_tons_force = 8_896.443_230_521;
    }
}

quantity! {
    /// A length, kept in metres.
    Length {
        /// In metres.
        from_metres / metres = 1.0;
        /// In millimetres.
        from_millimetres / millimetres = 1e-3;
    }
}

quantity! {
    /// An area, kept in square metres.
    Area {
        /// In square metres.
        from_square_metres / square_metres = 1.0;
        /// In square millimetres.
        from_square_millimetres / square_millimetres = 1e-6;
    }
}

quantity! {
    /// A stress or pressure, kept in pascals.
    Stress {
        /// In pascals.
        from_pascals / pascals = 1.0;
        /// In megapascals, which are newtons per square millimetre.
        from_megapascals / megapascals = 1e6;
    }
}

quantity! {
    /// Work or energy, kept in joules.
    Energy {
        /// In joules.
        from_joules / joules = 1.0;
        /// In kilojoules.
        from_kilojoules / kilojoules = 1_000.0;
    }
}

quantity! {
    /// The moment of a force about the bolster centre, kept in newton metres.
    Moment {
        /// In newton metres.
        from_newton_metres / newton_metres = 1.0;
        /// In kilonewton metres.
        from_kilonewton_metres / kilonewton_metres = 1_000.0;
    }
}

quantity! {
    /// Power, kept in watts.
    Power {
        /// In watts.
        from_watts / watts = 1.0;
        /// In kilowatts.
        from_kilowatts / kilowatts = 1_000.0;
    }
}

quantity! {
    /// Mass, kept in kilograms.
    Mass {
        /// In kilograms.
        from_kilograms / kilograms = 1.0;
    }
}

quantity! {
    /// Stiffness, the force per length of stretch, kept in newtons per metre.
    Stiffness {
        /// In newtons per metre.
        from_newtons_per_metre / newtons_per_metre = 1.0;
        /// In kilonewtons per millimetre.
        from_kilonewtons_per_millimetre / kilonewtons_per_millimetre = 1e6;
    }
}

quantity! {
    /// How often the slide comes down, kept in strokes per second.
    StrokeRate {
        /// In strokes per second.
        from_per_second / per_second = 1.0;
        /// In strokes per minute.
        from_per_minute / per_minute = (1.0 / 60.0);
    }
}

product!(Length * Stress = LineForce);
product!(LineForce * Length = Force);
product!(Area * Stress = Force);
product!(Stiffness * Length = Force);
product!(Energy * StrokeRate = Power);

quantity! {
    /// Force per length of edge, kept in newtons per metre.
    LineForce {
        /// In newtons per metre.
        from_newtons_per_metre / newtons_per_metre = 1.0;
    }
}

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}

impl Force {
    /// The work of this force along `travel`.
    pub const fn work_along(self, travel: Length) -> Energy {
        Energy(self.0 * travel.0)
    }

    /// The moment of this force at `arm` from the bolster centre.
    pub const fn moment_at(self, arm: Length) -> Moment {
        Moment(self.0 * arm.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assert_close;

    #[test]
    fn the_two_tons_differ() {
        assert_close(Force::from_us_tons_force(1.0).kilonewtons(), 8.896_443_230_521, 1e-12);
        assert_close(Force::from_tonnes_force(1.0).kilonewtons(), 9.806_65, 1e-12);
    }

    #[test]
    fn length_times_thickness_times_stress_is_a_force() {
        let force = Length::from_millimetres(300.0)
            * (Length::from_millimetres(2.0) * Stress::from_megapascals(300.0));
        assert_close(force.kilonewtons(), 180.0, 1e-12);
    }

    #[test]
    fn a_nan_is_not_positive() {
        assert!(!Length::from_millimetres(f64::NAN).is_positive());
        assert!(!Length::from_millimetres(f64::INFINITY).is_positive());
    }
}
