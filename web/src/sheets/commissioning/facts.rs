//! Parts of the job by what they are, for the boxes of the sheet.

use crate::store::model::{Kind, Part};

/// Tags of the parts that fit, in the order of the job.
pub fn tags(parts: &[Part], fits: fn(&Kind) -> bool) -> Vec<String> {
    parts.iter().filter(|part| fits(&part.kind)).map(|part| part.tag.clone()).collect()
}

/// Scan period of the controller, ms; 5 where there is none.
pub fn scan_ms(parts: &[Part]) -> u64 {
    let scan = parts.iter().find_map(|part| match &part.kind {
        Kind::Controller(controller) => Some(u64::from(controller.scan_ms)),
        _ => None,
    });
    scan.unwrap_or(5)
}

/// The arrow on a push-button whose function is a direction.
pub fn arrow(function: &str) -> &'static str {
    match function {
        "raise" | "forward" | "up" => "▲",
        "lower" | "reverse" | "down" => "▼",
        _ => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_have_arrows() {
        assert_eq!(["raise", "lower", "stop"].map(arrow), ["▲", "▼", ""]);
        assert_eq!(scan_ms(&crate::loop_strip::follow::tests::parts()), 5);
    }
}
