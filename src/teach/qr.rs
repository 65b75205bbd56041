//! A link as a picture that a phone reads: a QR code (ISO/IEC 18004), with the least error correction, so that the
//! most fits.
//!
//! *Invariant:* what does not fit is said, and never cut.

use qrcode::types::Color;
use qrcode::{EcLevel, QrCode};
use std::fmt::Write as _;
use thiserror::Error;

/// Up to this many characters a code is read well from paper and across a room. A judgement, not a measurement.
pub const EASY: usize = 858;

/// A code: a square of dark and light modules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    side: usize,
    dark: Vec<bool>,
}

/// A text that no code can hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("{0} characters are too many for a QR code, which holds 2953: send the link or the file")]
pub struct TooMuch(pub usize);

impl Code {
    /// The code of a text.
    ///
    /// ```
    /// use leadbar::teach::qr::Code;
    /// assert_eq!(Code::of("leadbar").unwrap().side(), 21);
    /// assert!(Code::of(&"x".repeat(3000)).is_err());
    /// ```
    ///
    /// # Errors
    /// When the text is too long.
    pub fn of(text: &str) -> Result<Self, TooMuch> {
        let code = QrCode::with_error_correction_level(text, EcLevel::L).map_err(|_| TooMuch(text.len()))?;
        Ok(Self {
            side: code.width(),
            dark: code.to_colors().into_iter().map(|c| c == Color::Dark).collect(),
        })
    }

    /// Modules along one side, without the quiet border of four that has to be left around it.
    #[must_use]
    pub fn side(&self) -> usize {
        self.side
    }

    /// Whether the module at a column and row, counted from 0, is dark.
    #[must_use]
    pub fn is_dark(&self, column: usize, row: usize) -> bool {
        column < self.side && row < self.side && self.dark.get(row * self.side + column).copied().unwrap_or(false)
    }

    /// The dark modules as an SVG path, a unit each.
    #[must_use]
    pub fn path(&self) -> String {
        let mut path = String::new();
        for row in 0..self.side {
            let mut column = 0;
            while column < self.side {
                let run = (column..self.side).take_while(|c| self.is_dark(*c, row)).count();
                if run > 0 {
                    let _ = write!(path, "M{column} {row}h{run}v1h-{run}z");
                }
                column += run.max(1);
            }
        }
        path
    }
}
