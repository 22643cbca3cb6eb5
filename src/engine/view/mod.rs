//! What a camera sees, ray by ray, in the light of the engine.
//!
//! In: a [`Prepared`](super::Prepared) venue, an instant, a
//! [`Pinhole`](crate::camera::Pinhole). Out: a [`LinearPicture`]: for each
//! pixel the light that comes from there as tristimulus values, cd/m2, and what is seen.
//!
//! | of a pixel | from |
//! | --- | --- |
//! | what is there | `aimed`: [`PictureRays`](crate::geometry::PictureRays), whatever the light |
//! | sun on it | [`SunDisc`](crate::geometry::SunDisc), soft edges |
//! | sky and surroundings on turf | the light scene's places, [`GroundNet`](crate::light::GroundNet) |
//! | the same on stands | `faces`: nodes on each face, closer together where light bends |
//! | the same on meshes | `nodes`: nodes by place and facing |
//! | the same on a player | `globe`: all facings at one place |
//! | sky | [`SkyLuminance`](crate::light::SkyLuminance) |
//! | colour of turf, seats, kits, skin | `colours` |
//!
//! Luminances are the light stage's own: reflectance times illuminance over pi. A picture has
//! no flare and no bloom. `sunlit` asks for the sun on what is played on alone.

mod aimed;
mod colours;
mod faces;
mod figures;
mod globe;
mod ground;
mod instant;
mod nodes;
mod players;
mod refine;
mod render;
mod scene;
mod shade;
mod sunlit;
mod tile;

pub use aimed::Aimed;
pub use colours::{Kit, Skin};
pub use figures::{Figure, FigurePart};
pub use instant::ViewLight;
pub use players::Placing;
pub use render::{LinearPicture, PixelContent, SurfaceSpot, View};
pub use scene::ViewScene;
