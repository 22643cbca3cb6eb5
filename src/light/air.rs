//! What is in the air over the venue.

/// Contents of a vertical column of air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Aerosol optical depth at 500 nm.
    pub aerosol_500nm: f64,
    /// Aerosol optical depth at 380 nm.
    pub aerosol_380nm: f64,
    /// Precipitable water, cm.
    pub water_cm: f64,
    /// Ozone, atm-cm (1 atm-cm is 1000 Dobson units).
    pub ozone_atm_cm: f64,
    /// Broadband reflectance of the land around, 0 to 1.
    pub ground_albedo: f64,
}

impl Default for Air {
    /// Water and ozone of the US Standard Atmosphere 1976 (1.42 cm, 0.344
    /// atm-cm); a clean rural aerosol of 0.1 at 500 nm with an Angstrom exponent
    /// of 1.3 (Angstrom 1961, mean of many skies) and so 0.143 at 380 nm; 0.2 for
    /// grass and crops (the usual albedo of solar engineering).
    fn default() -> Self {
        Self {
            aerosol_500nm: 0.1,
            aerosol_380nm: 0.1 * (500.0_f64 / 380.0).powf(1.3),
            water_cm: 1.42,
            ozone_atm_cm: 0.344,
            ground_albedo: 0.2,
        }
    }
}
