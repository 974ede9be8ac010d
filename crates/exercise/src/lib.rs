//! exercise
