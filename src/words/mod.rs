//! Words: what the program says, so that it can be said in another language.
//!
//! English stands in the code, where it is said, and is the key by which another language is looked up; what a sentence
//! is about has a name in it (`"{bars} bars of {song}"`), so that a translation can put it elsewhere. What stands behind
//! a `¦` is for the translator alone and tells apart what English says in one way: `"Bar¦the steel in the hand"`.
//!
//! - [`said!`](crate::said) makes a [`Said`] of a sentence: what the layers below the page hand up.
//! - [`key!`](crate::key) marks a sentence in a table, to be looked up where it is shown.
//! - The page has a `say!` of its own, which looks up at once.
//!
//! The message files (`static/words`) hold every sentence so marked; `cargo run --example words` writes them anew.
//!
//! *Invariant:* words are text, never markup, and nothing here chooses a language by itself.

mod language;
mod said;
mod table;

pub use language::Language;
pub use said::Said;
pub use table::{Shown, Spelling, Words, WordsError, counted_key};

/// A sentence with what it is about: `said!("Bar {bar} is empty", bar = 3)`, or `said!("Bar {bar} is empty", bar)` for
/// what is already so called. After a number and `=>` stand the sentence for one and that for more, in which the number
/// is `{n}`: `said!(bars => "{n} bar", "{n} bars")`.
#[macro_export]
macro_rules! said {
    ($key:literal $(, $name:ident $(= $value:expr)?)* $(,)?) => {
        $crate::words::Said::sentence($key, ::std::vec![$((stringify!($name), $crate::said!(@part $name $($value)?))),*])
    };
    ($count:expr => $one:literal, $many:literal $(, $name:ident $(= $value:expr)?)* $(,)?) => {
        $crate::words::Said::counted(
            $count as u64,
            $one,
            $many,
            ::std::vec![$((stringify!($name), $crate::said!(@part $name $($value)?))),*],
        )
    };
    (@part $name:ident) => { $crate::words::Said::from(&$name) };
    (@part $name:ident $value:expr) => { $crate::words::Said::from($value) };
}

/// A sentence that is looked up where it is shown: in a table, or as the name of something.
#[macro_export]
macro_rules! key {
    ($key:literal) => {
        $key
    };
}
