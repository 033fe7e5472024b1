//! Typed numbers for the formulas: a private `f64`, one named constructor and one named reader for each unit.
//!
//! A formula that takes a [`Temperature`] cannot be handed a salinity, nor a temperature difference. Constructors are
//! named after the unit (`Temperature::celsius(25.0)`), readers likewise with `as_` (`t.as_celsius()`). Nothing here
//! checks ranges: a formula knows its own.

use std::ops::{Add, Sub};

/// A temperature on ITS-90.
///
/// Papers before 1990 use IPTS-68, for which [`Temperature::celsius_68`] and [`Temperature::as_celsius_68`] convert by
/// t68 = 1.00024 t90 (Saunders 1990, WOCE Newsletter 10).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// From °C, ITS-90.
    pub const fn celsius(celsius: f64) -> Self {
        Temperature(celsius)
    }

    /// In °C, ITS-90.
    pub const fn as_celsius(self) -> f64 {
        self.0
    }

    /// From °F: t/°C = (t/°F − 32) / 1.8 (NIST SP 811, appendix B.8).
    pub const fn fahrenheit(fahrenheit: f64) -> Self {
        Temperature((fahrenheit - 32.0) / 1.8)
    }

    /// In °F.
    pub const fn as_fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }

    /// From K: t/°C = T/K − 273.15 (SI brochure, 9th edition, section 2.3.1).
    pub const fn kelvin(kelvin: f64) -> Self {
        Temperature(kelvin - 273.15)
    }

    /// In K.
    pub const fn as_kelvin(self) -> f64 {
        self.0 + 273.15
    }

    /// From °C on IPTS-68.
    pub const fn celsius_68(celsius_68: f64) -> Self {
        Temperature(celsius_68 / 1.00024)
    }

    /// In °C on IPTS-68.
    pub const fn as_celsius_68(self) -> f64 {
        self.0 * 1.00024
    }
}

impl Sub for Temperature {
    type Output = TemperatureDifference;

    fn sub(self, other: Temperature) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}

impl Add<TemperatureDifference> for Temperature {
    type Output = Temperature;

    fn add(self, difference: TemperatureDifference) -> Temperature {
        Temperature(self.0 + difference.0)
    }
}

impl Sub<TemperatureDifference> for Temperature {
    type Output = Temperature;

    fn sub(self, difference: TemperatureDifference) -> Temperature {
        Temperature(self.0 - difference.0)
    }
}

/// Defines a quantity kept in one unit and read in several, each a plain factor of the first.
macro_rules! scaled {
    ($(#[$about:meta])* $name:ident { $($(#[$unit:meta])* $from:ident, $read:ident, $factor:expr;)+ }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            $(
                $(#[$unit])*
                pub const fn $from(value: f64) -> Self {
                    $name(value * $factor)
                }

                /// The reader of the same unit.
                pub const fn $read(self) -> f64 {
                    self.0 / $factor
                }
            )+
        }

        impl Add for $name {
            type Output = $name;

            fn add(self, other: $name) -> $name {
                $name(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = $name;

            fn sub(self, other: $name) -> $name {
                $name(self.0 - other.0)
            }
        }
    };
}

scaled! {
    /// A difference of two temperatures, which has no zero point to shift.
    TemperatureDifference {
        /// °C, the same size as K.
        celsius, as_celsius, 1.0;
        /// K.
        kelvin, as_kelvin, 1.0;
        /// °F, 1/1.8 of a degree Celsius.
        fahrenheit, as_fahrenheit, (1.0 / 1.8);
    }
}

scaled! {
    /// Salinity on the Practical Salinity Scale 1978, a pure number.
    PracticalSalinity {
        /// The number on the scale.
        new, value, 1.0;
    }
}

scaled! {
    /// A volume, kept in litres.
    Volume {
        /// L, which is 1 dm³ exactly.
        litres, as_litres, 1.0;
        /// mL.
        millilitres, as_millilitres, 0.001;
        /// m³.
        cubic_metres, as_cubic_metres, 1000.0;
        /// US gallons, 231 in³ (NIST SP 811, appendix B.8).
        us_gallons, as_us_gallons, 3.785411784;
        /// Imperial gallons, 4.54609 L exactly (NIST SP 811, appendix B.8).
        imperial_gallons, as_imperial_gallons, 4.54609;
    }
}

scaled! {
    /// A length, kept in metres.
    Length {
        /// m.
        metres, as_metres, 1.0;
        /// cm.
        centimetres, as_centimetres, 0.01;
        /// mm.
        millimetres, as_millimetres, 0.001;
        /// in, 2.54 cm exactly (NIST SP 811, appendix B.8).
        inches, as_inches, 0.0254;
        /// ft, 12 in.
        feet, as_feet, 0.3048;
    }
}

scaled! {
    /// A mass, kept in kilograms.
    Mass {
        /// kg.
        kilograms, as_kilograms, 1.0;
        /// g.
        grams, as_grams, 0.001;
        /// mg.
        milligrams, as_milligrams, 1e-6;
        /// Avoirdupois pounds, 0.45359237 kg exactly (NIST SP 811, appendix B.8).
        pounds, as_pounds, 0.45359237;
        /// Avoirdupois ounces, 1/16 lb.
        ounces, as_ounces, 0.028349523125;
    }
}

scaled! {
    /// A density, kept in kg/m³.
    Density {
        /// kg/m³, the same number as g/L.
        kg_per_m3, as_kg_per_m3, 1.0;
        /// g/cm³, the same number as kg/L.
        g_per_cm3, as_g_per_cm3, 1000.0;
    }
}

scaled! {
    /// A power, kept in watts.
    Power {
        /// W.
        watts, as_watts, 1.0;
        /// kW.
        kilowatts, as_kilowatts, 1000.0;
    }
}

scaled! {
    /// An energy, kept in kilowatt hours.
    Energy {
        /// kWh.
        kilowatt_hours, as_kilowatt_hours, 1.0;
        /// Wh.
        watt_hours, as_watt_hours, 0.001;
        /// J; one kWh is 3.6 MJ exactly.
        joules, as_joules, (1.0 / 3.6e6);
    }
}

scaled! {
    /// Photons of 400 to 700 nm falling on a square metre in a second.
    PhotonFlux {
        /// µmol/m²/s.
        umol_per_m2_s, as_umol_per_m2_s, 1.0;
    }
}

scaled! {
    /// Photons of 400 to 700 nm falling on a square metre in a day.
    DailyLight {
        /// mol/m²/d.
        mol_per_m2_d, as_mol_per_m2_d, 1.0;
    }
}

scaled! {
    /// A length of time, kept in hours. It is elapsed time; calendar days belong to the tank's zone.
    Duration {
        /// h.
        hours, as_hours, 1.0;
        /// min.
        minutes, as_minutes, (1.0 / 60.0);
        /// s.
        seconds, as_seconds, (1.0 / 3600.0);
        /// Days of 24 hours.
        days, as_days, 24.0;
    }
}

scaled! {
    /// A flow of water, kept in litres an hour.
    Flow {
        /// L/h.
        litres_per_hour, as_litres_per_hour, 1.0;
        /// L/min.
        litres_per_minute, as_litres_per_minute, 60.0;
        /// m³/h.
        cubic_metres_per_hour, as_cubic_metres_per_hour, 1000.0;
        /// m³/s.
        cubic_metres_per_second, as_cubic_metres_per_second, 3.6e6;
        /// US gallons an hour.
        us_gallons_per_hour, as_us_gallons_per_hour, 3.785411784;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, expected: f64, relative: f64) {
        assert!((got - expected).abs() <= relative * expected.abs().max(1e-300), "{got} is not {expected}");
    }

    /// Factors printed in NIST SP 811 (2008), appendix B.8, written down from memory; those in bold there are exact.
    #[test]
    fn factors_are_those_of_nist_sp_811() {
        close(Volume::us_gallons(1.0).as_cubic_metres(), 3.785412e-3, 1e-6);
        close(Volume::us_gallons(1.0).as_litres(), 231.0 * 2.54f64.powi(3) / 1000.0, 1e-15);
        close(Volume::imperial_gallons(1.0).as_cubic_metres(), 4.54609e-3, 1e-15);
        close(Length::inches(1.0).as_centimetres(), 2.54, 1e-15);
        close(Length::feet(1.0).as_metres(), 0.3048, 1e-15);
        close(Length::feet(1.0).as_inches(), 12.0, 1e-15);
        close(Mass::pounds(1.0).as_kilograms(), 0.45359237, 1e-15);
        close(Mass::ounces(1.0).as_grams(), 28.34952, 1e-6);
        close(Mass::pounds(1.0).as_ounces(), 16.0, 1e-15);
        close(Energy::kilowatt_hours(1.0).as_joules(), 3.6e6, 1e-15);
        close(Flow::us_gallons_per_hour(100.0).as_litres_per_hour(), 378.5411784, 1e-15);
        close(Flow::cubic_metres_per_second(1.0).as_litres_per_minute(), 60_000.0, 1e-15);
    }

    #[test]
    fn temperatures_have_a_zero_point_and_differences_do_not() {
        close(Temperature::fahrenheit(77.0).as_celsius(), 25.0, 1e-15);
        close(Temperature::celsius(25.0).as_fahrenheit(), 77.0, 1e-15);
        close(Temperature::celsius(0.01).as_kelvin(), 273.16, 1e-15);
        close(Temperature::kelvin(298.15).as_celsius(), 25.0, 1e-13);
        close(TemperatureDifference::fahrenheit(1.8).as_celsius(), 1.0, 1e-15);
        close((Temperature::celsius(26.0) - Temperature::celsius(24.5)).as_fahrenheit(), 2.7, 1e-15);
        let warmer = Temperature::celsius(24.0) + TemperatureDifference::celsius(2.0);
        assert_eq!(warmer.as_celsius(), 26.0);
    }

    /// Saunders 1990: t68 = 1.00024 t90.
    #[test]
    fn the_scale_of_1968_reads_higher() {
        close(Temperature::celsius(25.0).as_celsius_68(), 25.006, 1e-12);
        close(Temperature::celsius_68(40.0).as_celsius(), 39.990402303, 1e-10);
    }

    #[test]
    fn every_reader_gives_back_what_its_constructor_took() {
        close(Volume::millilitres(250.0).as_millilitres(), 250.0, 1e-15);
        close(Length::millimetres(8.0).as_millimetres(), 8.0, 1e-15);
        close(Mass::milligrams(3.0).as_grams(), 0.003, 1e-15);
        close(Density::g_per_cm3(1.025).as_kg_per_m3(), 1025.0, 1e-15);
        close(Power::kilowatts(0.3).as_watts(), 300.0, 1e-15);
        close(Energy::watt_hours(250.0).as_kilowatt_hours(), 0.25, 1e-15);
        close(Duration::days(2.0).as_seconds(), 172_800.0, 1e-15);
        close(Duration::minutes(90.0).as_hours(), 1.5, 1e-15);
        close(Flow::cubic_metres_per_hour(4.0).as_litres_per_hour(), 4000.0, 1e-15);
        assert_eq!(PracticalSalinity::new(35.0).value(), 35.0);
        assert_eq!(PhotonFlux::umol_per_m2_s(60.0).as_umol_per_m2_s(), 60.0);
        assert_eq!(DailyLight::mol_per_m2_d(2.5).as_mol_per_m2_d(), 2.5);
    }
}
