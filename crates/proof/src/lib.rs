//! proof
