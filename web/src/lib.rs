//! front end
