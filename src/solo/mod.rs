//! solo
