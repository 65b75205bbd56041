//! A memo that outlives the views that read it, and forgets them when they are gone.
//!
//! The reactive library's memos hold a weak pointer to each of their readers and never let one go, and a weak pointer
//! keeps its reader's memory: views opened and left for hours would fill the page's. So the readers are written down
//! here, and from time to time those that are gone are struck off.

use leptos::prelude::*;
use leptos::reactive::computed::ArcMemo;
use leptos::reactive::graph::{AnySource, AnySubscriber, Observer, Source, ToAnySource};
use leptos::reactive::traits::{DefinedAt, ReadUntracked, Track};
use std::collections::HashSet;
use std::panic::Location;

/// Readers, living or gone, before it is first looked who is gone.
const FEW: usize = 32;

/// A value derived from others as long as the page lives.
pub struct Lasting<T: Send + Sync + 'static> {
    memo: Memo<T>,
    readers: StoredValue<Readers>,
}

/// Who has read a memo.
struct Readers {
    source: AnySource,
    known: HashSet<AnySubscriber>,
    /// How many may be known before it is looked who is gone: looking costs no more than the readings before it.
    room: usize,
}

impl Readers {
    fn new(source: AnySource) -> Self {
        Self {
            source,
            known: HashSet::new(),
            room: FEW,
        }
    }

    /// Writes down a reader, and strikes off those that are gone once there are many.
    fn add(&mut self, reader: AnySubscriber) {
        self.known.insert(reader);
        if self.known.len() <= self.room {
            return;
        }
        self.known.retain(|reader| {
            let lives = reader.1.strong_count() != 0;
            if !lives {
                self.source.remove_subscriber(reader);
            }
            lives
        });
        self.room = FEW.max(2 * self.known.len());
    }
}

impl<T: PartialEq + Send + Sync + 'static> Lasting<T> {
    /// A value that is worked out when it is read and something that it was made of has changed.
    #[track_caller]
    pub(in crate::ui) fn new(make: impl Fn(Option<&T>) -> T + Send + Sync + 'static) -> Self {
        let memo = ArcMemo::new(make);
        Self {
            readers: StoredValue::new(Readers::new(memo.to_any_source())),
            memo: memo.into(),
        }
    }
}

impl<T: Send + Sync + 'static> Clone for Lasting<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T: Send + Sync + 'static> Copy for Lasting<T> {}

impl<T: Send + Sync + 'static> DefinedAt for Lasting<T> {
    fn defined_at(&self) -> Option<&'static Location<'static>> {
        self.memo.defined_at()
    }
}

impl<T: Send + Sync + 'static> Track for Lasting<T> {
    fn track(&self) {
        if let Some(reader) = Observer::get() {
            self.readers.try_update_value(|readers| readers.add(reader));
        }
        self.memo.track();
    }
}

impl<T: Send + Sync + 'static> ReadUntracked for Lasting<T> {
    type Value = <Memo<T> as ReadUntracked>::Value;

    fn try_read_untracked(&self) -> Option<Self::Value> {
        self.memo.try_read_untracked()
    }
}

impl<T: Clone + Send + Sync + 'static> From<Lasting<T>> for Signal<T> {
    fn from(lasting: Lasting<T>) -> Self {
        Self::derive(move || lasting.get())
    }
}
