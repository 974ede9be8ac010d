//! ladder
