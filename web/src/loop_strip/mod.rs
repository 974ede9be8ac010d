//! The loop of a contactor as one line of cells.
