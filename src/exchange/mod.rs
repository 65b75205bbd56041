//! exchange
