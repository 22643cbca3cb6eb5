//! Files of the folder, files that were dropped on the page, and jobs with what they write.
//!
//! In: names within the folder of the session, a file that is mended, a command for a job.
//! Out: the list of files, the ground that is open then, the number of a job, its files.

use axum::extract::{Path, Request, State};
use axum::http::header;
use axum::response::IntoResponse;
use serde::Deserialize;
use serde_json::{Value, json};

use super::request::{Answer, Asked, Sent, Shared, answer};
use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::serve::files::{self, NewGround};
use crate::serve::jobs::{self, JobRequest};
use crate::serve::problem::Refused;
use crate::serve::workspace::Cause;
use crate::serve::{Live, Work, page};

/// Bytes of a file of a job.
const MAX_FILE: u64 = 512 * 1024 * 1024;
/// A page of a job that is looked at: its own scripts, and nothing of this server.
const OPENED: &str = "sandbox allow-scripts allow-modals allow-downloads; default-src 'none'; \
    script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data: blob:; font-src data:; \
    frame-ancestors 'none'";

pub(super) async fn list(State(live): Shared) -> Answer {
    let folder = live.folder().to_owned();
    let all = live.work(Work::Quick, move |_, _| Ok(files::list(&folder)));
    answer(&all.await?)
}

/// The grounds of a day are the files of its folder, each with a screen of its own.
fn may_open(live: &Live) -> Result<(), Refused> {
    match live.session.several {
        false => Ok(()),
        true => Err(Refused::input(
            "this ground belongs to a day of several; open other files in another session",
        )),
    }
}

pub(super) async fn new(State(live): Shared, Sent(sent): Sent<NewGround>) -> Answer {
    may_open(&live)?;
    let all = live.edit(Cause::Open, move |workspace| {
        let path = files::create(workspace.folder(), &sent)?;
        workspace.open(path, None).map(|()| true)
    });
    answer(&all.await?)
}

#[derive(Deserialize)]
pub(super) struct AskedFile {
    file: Option<String>,
    demo: Option<String>,
    /// Of a site; the first when absent.
    field: Option<String>,
}

pub(super) async fn open(State(live): Shared, Sent(sent): Sent<AskedFile>) -> Answer {
    may_open(&live)?;
    let all = live.edit(Cause::Open, move |workspace| {
        let folder = workspace.folder().to_owned();
        let path = match (&sent.file, &sent.demo) {
            (Some(file), None) => files::existing(&folder, file, &["toml"])?,
            (None, Some(demo)) => files::copy_demo(&folder, demo)?,
            _ => return Err(Refused::BadRequest("send file or demo".into())),
        };
        workspace.open(path, sent.field.as_deref()).map(|()| true)
    });
    answer(&all.await?)
}

#[derive(Deserialize)]
pub(super) struct Mended {
    text: String,
}

pub(super) async fn mend(State(live): Shared, Sent(sent): Sent<Mended>) -> Answer {
    let all = live.edit(Cause::Open, move |workspace| workspace.mend(sent.text).map(|()| true));
    answer(&all.await?)
}

pub(super) async fn drop_file(
    State(live): Shared,
    Path(name): Path<String>,
    request: Request,
) -> Answer {
    live.dropped.keep(&name, request.into_body()).await?;
    answer(&json!({ "file": name }))
}

pub(super) async fn begin(State(live): Shared, Sent(sent): Sent<JobRequest>) -> Answer {
    if sent.new_file.is_some() {
        may_open(&live)?;
    }
    let started = tokio::task::spawn_blocking(move || {
        jobs::start(&live, &sent).map(|id| json!({ "id": id }))
    });
    answer(&started.await??)
}

pub(super) async fn stop(State(live): Shared, Path(id): Path<u64>, Sent(_): Sent<Value>) -> Answer {
    live.jobs.stop(id)?;
    answer(&json!({ "id": id }))
}

#[derive(Deserialize)]
pub(super) struct HowOpened {
    open: Option<u8>,
}

pub(super) async fn file(
    State(live): Shared,
    Path((id, name)): Path<(u64, String)>,
    Asked(how): Asked<HowOpened>,
) -> Answer {
    let path = live.jobs.file(id, &name)?;
    let bytes = live.work(Work::Quick, move |_, _| match bounded::read(&path, MAX_FILE) {
        Ok(Bounded::Whole(bytes)) => Ok(bytes),
        Ok(Bounded::Larger { .. } | Bounded::Folder) => {
            Err(Refused::input("the file is too large for the page; use the command"))
        }
        Err(error) => Err(Refused::NotFound(format!("the file is gone: {error}"))),
    });
    let bytes = bytes.await?;
    let kind = page::kind(&name).to_owned();
    let opened = how.open == Some(1);
    let shown = if opened { "inline" } else { "attachment" };
    let plain: String = name.chars().filter(|c| c.is_ascii() && *c != '"').collect();
    let mut response = (
        [
            (header::CONTENT_TYPE, kind),
            (header::CONTENT_DISPOSITION, format!("{shown}; filename=\"{plain}\"")),
        ],
        bytes,
    )
        .into_response();
    let policy = header::HeaderValue::from_static(OPENED);
    response.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy);
    Ok(response)
}
