//! The live page: a server on the loopback address that shows one ground and changes it.
//!
//! In: a venue file or a folder, requests of pages in browsers. Out: the page, JSON of the
//! ground, of shadows, plans and jobs ([`routes`] lists them), and the file, which stays the
//! truth: each change of a page is a change of its text ([`edit`], [`workspace`]). Points are
//! in field axes, metres. Requests come from this machine and this session only ([`guard`]).

pub mod brought;
pub mod day;
pub mod drawn;
pub mod dropped;
pub mod edit;
pub mod events;
pub mod files;
pub mod forecast;
pub mod ground;
pub mod grounds;
pub mod guard;
pub mod history;
pub mod in_process;
pub mod jobs;
mod listen;
mod live;
pub mod order;
pub mod outlook;
pub mod page;
pub mod picture;
pub mod plan;
pub mod problem;
pub mod routes;
mod server;
pub mod session;
pub mod shadow;
pub mod through;
pub mod workspace;

pub use live::Live;
pub use server::{ServeError, ServeSettings, run};
pub use session::Work;
