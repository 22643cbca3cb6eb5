//! How much the program takes, in one place.
//!
//! The same in every command: what is over a limit is refused with its number before any
//! work begins. `src/guide/limits.md` lists them; `tests/limits.rs` holds it to these numbers.

/// Bytes of a venue file.
pub const MAX_VENUE_BYTES: u64 = 4 * 1024 * 1024;
/// Stands, corners, solids, trees, panels, meshes and segments of bowls, together.
pub const MAX_THINGS: usize = 20_000;
/// Cameras of a venue, and tables of candidates.
pub const MAX_CAMERAS: usize = 200;
/// Operators at the desk.
pub const MAX_OPERATORS: usize = 64;
/// Corners of one outline, points of one list.
pub const MAX_CORNERS: usize = 1_000;
/// Heights of the ground, and lines along which it bends.
pub const MAX_SPOTS: usize = 20_000;
pub const MAX_BREAKLINES: usize = 500;
/// Surveyed numbers.
pub const MAX_SURVEYED: usize = 20_000;
/// Grounds of a day: venue files of one folder that are served together.
pub const MAX_GROUNDS: usize = 32;
/// Fields of a site: a course of 18 holes and its practice ground, twice over.
pub const MAX_FIELDS: usize = 40;
/// What stands on a site stands around each of its fields: [`MAX_THINGS`], counted once a field.
pub const MAX_THINGS_OF_SITE: usize = 100_000;
/// Matches in an order of play.
pub const MAX_PLAYS: usize = 200;
/// Characters of a name.
pub const MAX_NAME: usize = 80;

/// Things of a venue that move, states of one, and moves of all.
pub const MAX_MOVING: usize = 16;
pub const MAX_STATES: usize = 12;
pub const MAX_MOVES: usize = 50;

/// Models of a venue.
pub const MAX_MESHES: usize = 50;
/// Bytes of a mesh file with all that belongs to it.
pub const MAX_MESH_BYTES: u64 = 64 * 1024 * 1024;
/// Triangles of all meshes of a venue.
pub const MAX_TRIANGLES: usize = 500_000;
/// Pieces of all meshes of a venue: triangles that share sides are one, a loose triangle
/// is one by itself. Each throws a shadow of its own, so they cost more than triangles.
pub const MAX_PIECES: usize = 100_000;
/// Of them, those that bound no solid, loose triangles above all, in a venue that is planned:
/// what falls where in their shadow is worked out instant by instant. `check` takes them all.
pub const MAX_PLANNED_LOOSE: usize = 5_000;

/// Instants of a plan.
pub const MAX_INSTANTS: usize = 100_000;

/// Days of a year's rows, or of a league's: a century. Memory does not grow with the span; the
/// disk does (a year of five cameras at five minutes has 90 MB), and clocks are not known so
/// far ahead.
pub const MAX_SEASON_DAYS: i64 = 36_525;
