//! sound
