//! From places on the ellipsoid to the local frame.
//!
//! In: latitude and longitude on WGS 84, degrees. Out: metres east and north of
//! an origin, in the plane that touches the ellipsoid there (see
//! [`crate::base::frame`]).
//!
//! Geographic to geocentric is crate `proj4rs`; geocentric to topocentric is the
//! rotation of EPSG method 9836 (IOGP 373-7-2, Geomatics Guidance Note 7-2).
//! Heights do not pass through here: the earth falls away from the plane by
//! `d^2 / 2R`, 13 mm at 400 m, but so do the ground and the footings of a
//! building, and heights in a venue file count from the level of the turf.

use glam::DVec3;
use proj4rs::proj::Proj;
use proj4rs::transform::transform;

/// A place on the WGS 84 ellipsoid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Geographic {
    /// Geodetic latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive; any number of turns.
    pub longitude_deg: f64,
}

/// Why a conversion cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum GeodesyError {
    #[error("no place on the ellipsoid: latitude {latitude_deg}, longitude {longitude_deg}")]
    NoSuchPlace { latitude_deg: f64, longitude_deg: f64 },
    #[error("a conversion of coordinates failed: {0}")]
    Conversion(#[from] proj4rs::errors::Error),
}

impl Geographic {
    /// A place, if there is one: finite, latitude within 90 degrees.
    ///
    /// # Errors
    /// [`GeodesyError::NoSuchPlace`].
    pub fn new(latitude_deg: f64, longitude_deg: f64) -> Result<Self, GeodesyError> {
        let sound = latitude_deg.abs() <= 90.0 && longitude_deg.abs() <= 720.0;
        match sound {
            true => Ok(Self { latitude_deg, longitude_deg }),
            false => Err(GeodesyError::NoSuchPlace { latitude_deg, longitude_deg }),
        }
    }
}

/// The plane that touches the ellipsoid at an origin.
#[derive(Debug)]
pub struct LocalPlane {
    geographic: Proj,
    geocentric: Proj,
    /// Geocentric metres.
    origin: DVec3,
    east: DVec3,
    north: DVec3,
    up: DVec3,
}

impl LocalPlane {
    /// The plane at a place, on the ellipsoid (ellipsoidal height 0).
    ///
    /// # Errors
    /// [`GeodesyError`] when the conversion fails.
    pub fn new(at: Geographic) -> Result<Self, GeodesyError> {
        let geographic = Proj::from_proj_string("+proj=longlat +datum=WGS84 +no_defs")?;
        let geocentric = Proj::from_proj_string("+proj=geocent +datum=WGS84 +units=m +no_defs")?;
        let (sin_lat, cos_lat) = at.latitude_deg.to_radians().sin_cos();
        let (sin_lon, cos_lon) = at.longitude_deg.to_radians().sin_cos();
        let mut plane = Self {
            geographic,
            geocentric,
            origin: DVec3::ZERO,
            east: DVec3::new(-sin_lon, cos_lon, 0.0),
            north: DVec3::new(-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat),
            up: DVec3::new(cos_lat * cos_lon, cos_lat * sin_lon, sin_lat),
        };
        plane.origin = plane.geocentric_of(at, 0.0)?;
        Ok(plane)
    }

    /// A place in the local frame, metres. `z` is the height over the plane of
    /// a place at an ellipsoidal height.
    ///
    /// ```
    /// use quarterstop::import::geodesy::{Geographic, LocalPlane};
    /// // a second of arc along the equator: 6378137 m * pi / 648000
    /// let plane = LocalPlane::new(Geographic::new(0.0, 10.0)?)?;
    /// let p = plane.to_local(Geographic::new(0.0, 10.0 + 1.0 / 3600.0)?, 0.0)?;
    /// assert!((p.x - 30.9221).abs() < 1e-4 && p.y.abs() < 1e-6);
    /// # Ok::<(), quarterstop::import::geodesy::GeodesyError>(())
    /// ```
    ///
    /// # Errors
    /// [`GeodesyError`] when the conversion fails.
    pub fn to_local(&self, place: Geographic, height_m: f64) -> Result<DVec3, GeodesyError> {
        let out = self.geocentric_of(place, height_m)? - self.origin;
        Ok(DVec3::new(out.dot(self.east), out.dot(self.north), out.dot(self.up)))
    }

    /// The place under a point of the local frame.
    ///
    /// # Errors
    /// [`GeodesyError`] when the conversion fails.
    pub fn to_geographic(&self, local: DVec3) -> Result<Geographic, GeodesyError> {
        let p = self.origin + self.east * local.x + self.north * local.y + self.up * local.z;
        let mut point = (p.x, p.y, p.z);
        transform(&self.geocentric, &self.geographic, &mut point)?;
        Geographic::new(point.1.to_degrees(), point.0.to_degrees())
    }

    fn geocentric_of(&self, place: Geographic, height_m: f64) -> Result<DVec3, GeodesyError> {
        // whole turns off, so that the date line is a line like any other
        let longitude = (place.longitude_deg + 180.0).rem_euclid(360.0) - 180.0;
        let mut point = (longitude.to_radians(), place.latitude_deg.to_radians(), height_m);
        transform(&self.geographic, &self.geocentric, &mut point)?;
        Ok(DVec3::new(point.0, point.1, point.2))
    }
}
