//! Changes of the ground that is open, and their preview.
//!
//! In: the revision that a page shows, with new numbers, values, tables or a text; units as
//! keys say. Out: the ground at its next revision, or what it would look like.

use std::sync::Arc;

use axum::extract::State;
use serde::Deserialize;
use serde_json::{Value, json};

use super::request::{Answer, Revision, Sent, Shared, answer};
use crate::serve::drawn::{cameras, things};
use crate::serve::edit::{AddedTable, Change, NewNumber, NewValue};
use crate::serve::problem::Refused;
use crate::serve::shadow::{Fold, Shades, instant};
use crate::serve::workspace::Cause;
use crate::serve::{Live, Work};

#[derive(Deserialize)]
pub(super) struct NumberChange {
    revision: u64,
    set: Vec<NewNumber>,
    #[serde(default)]
    preview: bool,
    at: Option<String>,
    fold: Option<Fold>,
}

pub(super) async fn edit(State(live): Shared, Sent(sent): Sent<NumberChange>) -> Answer {
    if sent.preview {
        return preview(live, sent).await;
    }
    live.change(sent.revision, Change::Numbers(sent.set)).await.and_then(|all| answer(&all))
}

/// What an edit would look like; nothing is kept.
async fn preview(live: Arc<Live>, sent: NumberChange) -> Answer {
    let ground = live.ground_at(sent.revision)?;
    let shown = live.work(Work::Quick, move |live, wanted| {
        live.still(&ground, wanted)?;
        let changed = Change::Numbers(sent.set).of(&ground.draft)?;
        let draft = &ground.draft;
        let venue = draft.reread(&changed.text)?;
        let shadow = match &sent.at {
            None => Value::Null,
            Some(at) => {
                let at = instant(&venue, at, sent.fold)?;
                let shades = Shades::new(&venue.at(at), at.date_naive());
                let shadow = shades.at(&venue, ground.revision, at);
                serde_json::to_value(shadow).map_err(|e| Refused::Internal(e.to_string()))?
            }
        };
        let values = draft.values();
        Ok(json!({
            "stands": things(&venue, values),
            "cameras": cameras(&venue, values),
            "shadow": shadow,
        }))
    });
    answer(&shown.await?)
}

#[derive(Deserialize)]
pub(super) struct NewText {
    revision: u64,
    text: String,
}

pub(super) async fn text(State(live): Shared, Sent(sent): Sent<NewText>) -> Answer {
    live.change(sent.revision, Change::Text(sent.text)).await.and_then(|all| answer(&all))
}

#[derive(Deserialize)]
pub(super) struct TableChange {
    revision: u64,
    add: Option<AddedTable>,
    remove: Option<String>,
    set_value: Option<NewValue>,
    set_values: Option<Vec<NewValue>>,
}

pub(super) async fn table(State(live): Shared, Sent(sent): Sent<TableChange>) -> Answer {
    let change = match sent {
        TableChange { add: Some(table), .. } => Change::Add(table),
        TableChange { remove: Some(address), .. } => Change::Remove(address),
        TableChange { set_value: Some(value), .. } => Change::Values(vec![value]),
        TableChange { set_values: Some(values), .. } => Change::Values(values),
        _ => return Err(Refused::BadRequest("send add, remove, set_value or set_values".into())),
    };
    live.change(sent.revision, change).await.and_then(|all| answer(&all))
}

pub(super) async fn undo(State(live): Shared, Sent(sent): Sent<Revision>) -> Answer {
    let all = live.edit(Cause::Undo, move |workspace| workspace.undo(sent.revision));
    answer(&all.await?)
}

pub(super) async fn redo(State(live): Shared, Sent(sent): Sent<Revision>) -> Answer {
    let all = live.edit(Cause::Redo, move |workspace| workspace.redo(sent.revision));
    answer(&all.await?)
}
