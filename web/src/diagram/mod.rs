//! The timing diagram: signals over time.
