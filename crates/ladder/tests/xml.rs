//! Exchange as XML: what is written comes back and conforms, what others write is read as it means, and what means ill
//! is refused.

#[path = "xml/foreign.rs"]
mod foreign;
#[path = "xml/hostile.rs"]
mod hostile;
#[path = "xml/meaning.rs"]
mod meaning;
mod normal;
#[path = "xml/round_trip.rs"]
mod round_trip;
#[path = "xml/schema.rs"]
mod schema;

use sealin_ladder::xml::Heading;

const HEADING: Heading = Heading { created: "2026-01-31T12:00:00", period_ms: 20 };
