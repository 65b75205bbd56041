//! Takes and comp as sound files, written where their sound lies: no more than a block of it is ever in memory.

use super::Studio;
use crate::app::delivery::{Order, Played};
use crate::app::takes::{Named, Takes, WaveFile};
use crate::platform::files;
use crate::platform::frames::pause;
use crate::ui::language::{look, tell};
use js_sys::{Array, Uint8Array};
use leptos::task::spawn_local;
use std::sync::Arc;
use web_sys::Blob;

/// Samples that are written at a time.
const BLOCK: usize = 1 << 15;
/// What is said when the browser gives no room.
const NO_ROOM: &str = key!("The browser has no room left for this file: close other pages and try again.");

/// A file that was written.
#[derive(Debug, Clone)]
pub(in crate::ui) struct Written {
    pub(in crate::ui) named: Named,
    pub(in crate::ui) file: Blob,
}

/// Writes a take or the comp as long as the stems of `order` are.
///
/// # Errors
/// With the words for the user.
pub(in crate::ui) async fn write(
    studio: Studio,
    order: &Order,
    played: &Played,
    takes: &Takes,
) -> Result<Written, String> {
    let line = order.line(played, takes);
    let mut named = order.named(played, takes);
    let mut file = WaveFile::new(order.wishes.rate.hertz());
    let frames = line.length().frames;
    let (body, mut out) = (Array::new(), Vec::new());
    for from in (0..frames).step_by(BLOCK) {
        let block = from..frames.min(from + BLOCK as u64);
        studio.block(&line, takes, &block, &mut out).await;
        let written = piece(&file.add(std::mem::take(&mut out)))?;
        body.push(&written);
        pause(0).await;
    }
    let ends = file
        .finish(&order.stamp(&named), &mut named)
        .map_err(|error| tell(&error.said()))?;
    let (head, foot) = (piece(&ends.head)?, piece(ends.foot)?);
    body.unshift(&head);
    body.push(&foot);
    let file = Blob::new_with_blob_sequence(&body).map_err(|_| look(NO_ROOM).to_owned())?;
    Ok(Written { named, file })
}

/// Bytes as the browser keeps them, outside the page's own memory.
fn piece(bytes: &[u8]) -> Result<Blob, String> {
    let piece = Array::of1(&Uint8Array::from(bytes));
    Blob::new_with_u8_array_sequence(&piece).map_err(|_| look(NO_ROOM).to_owned())
}

impl Studio {
    /// Writes one file and hands it to the browser.
    pub(super) fn save(self, played: Played) {
        let page = self.page;
        let Some(order) = leptos::prelude::untrack(|| crate::ui::ordering::order(page)) else {
            return page.say(say!(
                "The file is as long as the song with its solo: draft a solo first."
            ));
        };
        let takes: Arc<Takes> = self.now();
        let order = Order {
            written: crate::platform::moment::now(),
            ..order
        };
        spawn_local(async move {
            let written = write(self, &order, &played, &takes).await;
            let saved = written.and_then(|written| {
                files::save(&written.file, &written.named.name).map_err(|error| tell(&error.said()))
            });
            if let Err(words) = saved {
                page.say(words);
            }
        });
    }
}
