//! Drawing put off to a task of its own, so that no single task holds the page up.
//!
//! *Invariant:* what is put off catches up: the last value a source had is drawn, in the order of the changes.

use crate::platform::frames::pause;
use leptos::prelude::*;
use std::cell::Cell;
use std::time::Duration;

thread_local! {
    /// How many tasks are put off at the moment.
    static PUT_OFF: Cell<usize> = const { Cell::new(0) };
}

/// Does something in a task of its own.
pub(super) fn put_off(task: impl FnOnce() + 'static) {
    PUT_OFF.with(|count| count.set(count.get() + 1));
    set_timeout(
        move || {
            task();
            PUT_OFF.with(|count| count.set(count.get() - 1));
        },
        Duration::ZERO,
    );
}

/// Does something in a task of its own, as part of the view at hand.
pub(super) fn in_turn(task: impl FnOnce() + 'static) {
    let owner = Owner::current();
    put_off(move || match owner {
        Some(owner) => owner.with(task),
        None => task(),
    });
}

/// Waits until all that was put off is done, and what it put off in its turn.
pub(super) async fn caught_up() {
    while PUT_OFF.with(Cell::get) > 0 {
        pause(0).await;
    }
}

/// Counts the changes of what `followed` reads, each in a task of its own after the one that made it: what is drawn by
/// several sources together reads them untracked at each count.
pub(super) fn turns(followed: impl Fn() + 'static) -> Signal<u32> {
    let turn = RwSignal::new(0_u32);
    at_changes(followed, move |()| {
        // A view that is gone has no turns.
        turn.try_update(|turn| *turn = turn.wrapping_add(1));
    });
    turn.into()
}

/// Follows a source, each change in a task of its own after the one that made it.
pub(super) fn later<T>(source: impl Fn() -> T + 'static) -> Signal<T>
where
    T: Clone + PartialEq + Send + Sync + 'static,
{
    let followed = RwSignal::new(untrack(&source));
    at_changes(source, move |now| {
        if followed.try_with_untracked(|drawn| *drawn != now) == Some(true) {
            followed.set(now);
        }
    });
    followed.into()
}

/// Reads `source` from now on, and hands what it reads after a change to `then`, in a task of its own; of several changes
/// before that task, the last.
fn at_changes<T: 'static>(source: impl Fn() -> T + 'static, then: impl Fn(T) + Copy + 'static) {
    let newest = StoredValue::new(0_u32);
    // It reads at once: nothing that changes from here on is missed.
    let reading = RenderEffect::new(move |before: Option<()>| {
        let now = source();
        if before.is_none() {
            return;
        }
        let count = |newest: &mut u32| {
            *newest = newest.wrapping_add(1);
            *newest
        };
        let change = newest.try_update_value(count);
        put_off(move || {
            // A newer change has its own task; a view that is gone has none.
            if change.is_some() && newest.try_get_value() == change {
                then(now);
            }
        });
    });
    // It reads as long as the view lives.
    StoredValue::new_local(reading);
}

/// Draws its children in a task of their own after the view around them.
#[component]
pub(super) fn Later(children: ChildrenFn) -> impl IntoView {
    let there = RwSignal::new(false);
    put_off(move || {
        // Nothing is left to draw in a view that is gone.
        there.try_set(true);
    });
    view! { <Show when=move || there.get()>{children()}</Show> }
}
