//! steel
