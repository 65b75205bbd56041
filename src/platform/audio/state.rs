//! Whether there is sound, in terms a user can act on.

use crate::words::Said;
use std::fmt;

/// Whether there is sound.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum AudioState {
    /// Not asked for yet.
    #[default]
    Off,
    /// Being started.
    Starting,
    /// Sounding, or ready to.
    Running,
    /// The browser holds the sound back until the user acts.
    Blocked,
    /// Something else took the sound: a call, another app, a sleeping device.
    Interrupted,
    /// The engine broke and is being built anew.
    Mending,
    /// There is no sound, and why.
    Failed(Said),
}

impl AudioState {
    /// What to tell the user; empty when all is well.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Off | Self::Starting | Self::Running => Said::default(),
            Self::Blocked => said!("The browser is holding the sound back. Press play again to allow it."),
            Self::Interrupted => said!("The sound was interrupted. Press play to go on."),
            Self::Mending => said!("The sound broke off and is being restarted."),
            Self::Failed(why) => said!(
                "There is no sound: {why}. Press play to try again, or load the page anew.",
                why
            ),
        }
    }

    /// Whether nothing can be heard in this state until the user acts, so that nothing runs on unheard.
    #[must_use]
    pub fn is_silenced(&self) -> bool {
        matches!(self, Self::Blocked | Self::Interrupted | Self::Failed(_))
    }
}

impl fmt::Display for AudioState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said().english())
    }
}
