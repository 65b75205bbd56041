//! Memos and signals that outlive the views that read them, and forget those that are gone.
//!
//! The reactive library's memos hold a weak pointer to each of their readers and never let one go, its signals not until
//! they change; and a weak pointer keeps its reader's memory. Views opened and left for hours would fill the page's. So
//! the readers are written down here, and from time to time those that are gone are struck off.

use leptos::prelude::*;
use leptos::reactive::computed::ArcMemo;
use leptos::reactive::graph::{AnySource, AnySubscriber, Observer, Source, ToAnySource};
use leptos::reactive::traits::{DefinedAt, IsDisposed, Notify, ReadUntracked, Track, UntrackableGuard, Write};
use std::collections::HashSet;
use std::ops::DerefMut;
use std::panic::Location;

/// Readers, living or gone, before it is first looked who is gone.
const FEW: usize = 32;

/// A memo or a signal that lives as long as the page, or at least longer than many that read it.
#[derive(Clone, Copy)]
pub struct Lasting<S> {
    inner: S,
    readers: StoredValue<Readers>,
}

/// Who has read a memo or a signal.
struct Readers {
    source: AnySource,
    known: HashSet<AnySubscriber>,
    /// How many may be known before it is looked who is gone.
    room: usize,
}

impl Readers {
    fn of(source: AnySource) -> StoredValue<Self> {
        StoredValue::new(Self {
            source,
            known: HashSet::new(),
            room: FEW,
        })
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
        // A reader that is gone keeps its memory until it is looked at, and looking at one takes next to nothing.
        self.room = self.known.len() + FEW.max(self.known.len() / 8);
    }
}

impl<T: PartialEq + Send + Sync + 'static> Lasting<Memo<T>> {
    /// A value that is worked out when it is read and something that it was made of has changed.
    #[track_caller]
    pub(in crate::ui) fn memo(make: impl Fn(Option<&T>) -> T + Send + Sync + 'static) -> Self {
        let memo = ArcMemo::new(make);
        Self {
            readers: Readers::of(memo.to_any_source()),
            inner: memo.into(),
        }
    }
}

impl<T: Send + Sync + 'static> Lasting<RwSignal<T>> {
    /// A value that is set.
    #[track_caller]
    pub(in crate::ui) fn signal(value: T) -> Self {
        let signal = RwSignal::new(value);
        Self {
            readers: Readers::of(signal.to_any_source()),
            inner: signal,
        }
    }
}

impl<S: DefinedAt> DefinedAt for Lasting<S> {
    fn defined_at(&self) -> Option<&'static Location<'static>> {
        self.inner.defined_at()
    }
}

impl<S: IsDisposed> IsDisposed for Lasting<S> {
    fn is_disposed(&self) -> bool {
        self.inner.is_disposed()
    }
}

impl<S: Track> Track for Lasting<S> {
    fn track(&self) {
        if let Some(reader) = Observer::get() {
            self.readers.try_update_value(|readers| readers.add(reader));
        }
        self.inner.track();
    }
}

impl<S: ReadUntracked> ReadUntracked for Lasting<S> {
    type Value = S::Value;

    fn try_read_untracked(&self) -> Option<Self::Value> {
        self.inner.try_read_untracked()
    }
}

impl<S: Notify> Notify for Lasting<S> {
    fn notify(&self) {
        self.inner.notify();
    }
}

impl<S: Write> Write for Lasting<S> {
    type Value = S::Value;

    fn try_write(&self) -> Option<impl UntrackableGuard<Target = Self::Value>> {
        self.inner.try_write()
    }

    fn try_write_untracked(&self) -> Option<impl DerefMut<Target = Self::Value>> {
        self.inner.try_write_untracked()
    }
}

impl<T: Clone + Send + Sync + 'static> From<Lasting<Memo<T>>> for Signal<T> {
    fn from(lasting: Lasting<Memo<T>>) -> Self {
        Self::derive(move || lasting.get())
    }
}

impl<T: Clone + Send + Sync + 'static> From<Lasting<RwSignal<T>>> for Signal<T> {
    fn from(lasting: Lasting<RwSignal<T>>) -> Self {
        Self::derive(move || lasting.get())
    }
}
