//! The brief's pages in a real browser: what they draw, tell and ask for.
//!
//! Chromium is what the variable `CHROMIUM` names, else where Debian puts it. Without
//! one each test says so and passes, unless the variable `CI` is set: then it fails. The
//! pages are made by the tool as it was built with these tests.

mod chromium;
mod cues;
mod data;
mod frames;
mod hostile;
mod layout;
#[path = "../league_support/mod.rs"]
mod league_support;
mod light;
mod live_audit;
mod live_bring;
mod live_build;
mod live_change;
mod live_day;
mod live_look;
mod live_server;
mod live_site;
mod load;
mod pages;
mod paper;
mod season;
mod time;
