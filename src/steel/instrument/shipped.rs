//! The instruments that come with the program: files like a player's own, built in.

use super::{Instrument, parse};
use std::sync::OnceLock;

/// Id and text of each, in the order they are offered; the first is the default.
const FILES: [(&str, &str); 9] = [
    ("e9", include_str!("../../../static/instruments/e9.toml")),
    ("e9-3-3", include_str!("../../../static/instruments/e9-3-3.toml")),
    ("c6", include_str!("../../../static/instruments/c6.toml")),
    ("universal", include_str!("../../../static/instruments/universal.toml")),
    ("c6-lap-6", include_str!("../../../static/instruments/c6-lap-6.toml")),
    ("c6-lap-8", include_str!("../../../static/instruments/c6-lap-8.toml")),
    ("open-d", include_str!("../../../static/instruments/open-d.toml")),
    ("open-e", include_str!("../../../static/instruments/open-e.toml")),
    ("open-g", include_str!("../../../static/instruments/open-g.toml")),
];

/// The ids of the shipped instruments in the order they are offered; the first is the default.
pub fn ids() -> impl ExactSizeIterator<Item = &'static str> + Clone {
    FILES.iter().map(|(id, _)| *id)
}

/// The file of a shipped instrument, as a start for a player's own; nothing for an unknown id.
#[must_use]
pub fn text(id: &str) -> Option<&'static str> {
    FILES.iter().find(|(known, _)| *known == id).map(|(_, text)| *text)
}

impl Instrument {
    /// The shipped instrument called `id`; nothing when none is called so.
    ///
    /// ```
    /// use leadbar::steel::Instrument;
    /// let e9 = Instrument::shipped("e9").unwrap();
    /// assert_eq!(e9.strings.len(), 10);
    /// ```
    #[must_use]
    pub fn shipped(id: &str) -> Option<Self> {
        /// Each as it was read the first time it was asked for.
        static READ: [OnceLock<Option<Instrument>>; FILES.len()] = [const { OnceLock::new() }; FILES.len()];
        let index = FILES.iter().position(|(known, _)| *known == id)?;
        let ((_, text), read) = (FILES.get(index)?, READ.get(index)?);
        // A test reads every shipped file.
        read.get_or_init(|| parse(text).ok()).clone()
    }
}
