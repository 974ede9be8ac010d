//! The palette by WCAG 2.2: words at least 4.5:1 against every ground (1.4.3), strokes that mean something at least 3:1 (1.4.11),
//! by day and by night. The formula of relative luminance is that of the standard.

use std::collections::BTreeMap;

const BASE: &str = include_str!("../../web/styles/base.css");
const WIRING: &str = include_str!("../../web/styles/wiring.css");

/// What words and strokes stand on.
const GROUNDS: [&str; 6] = ["paper", "sheet", "duct", "choice-wash", "kept-wash", "broken-wash"];
/// What words are written and strokes drawn in.
const WORDS: [&str; 5] = ["ink", "faint", "choice", "kept", "broken"];
/// Separates rows and fields that are apart without it, and borders what is disabled; carries no meaning (1.4.11 asks nothing
/// of either).
const SEPARATES_ONLY: [&str; 1] = ["hair"];

type Palette = BTreeMap<String, [f64; 3]>;

/// The colours that a rule sets: the first whose selector is this.
fn colours(sheet: &str, selector: &str) -> Palette {
    let start = sheet.find(selector).unwrap_or_else(|| panic!("no rule {selector}")) + selector.len();
    let rule = &sheet[start..start + sheet[start..].find('}').expect("the rule ends")];
    let declarations = rule.split(';').filter_map(|line| line.trim().strip_prefix("--")?.split_once(':'));
    declarations
        .filter_map(|(name, value)| Some((name.to_owned(), channels(value.trim().strip_prefix('#')?))))
        .collect()
}

fn channels(hex: &str) -> [f64; 3] {
    assert_eq!(hex.len(), 6, "#{hex} has six digits");
    [0, 2, 4].map(|at| f64::from(u8::from_str_radix(&hex[at..at + 2], 16).expect("hexadecimal")) / 255.0)
}

/// Relative luminance of a colour in sRGB (WCAG 2.2, terms).
fn luminance(colour: [f64; 3]) -> f64 {
    let linear = |c: f64| if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
    let [red, green, blue] = colour.map(linear);
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Contrast ratio, from 1 to 21.
fn contrast(one: [f64; 3], other: [f64; 3]) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// The palettes of a style sheet: by day, and by night with what night does not change.
fn palettes(sheet: &str) -> [(&'static str, Palette); 2] {
    let day = colours(sheet, ":root {");
    let mut night = day.clone();
    night.extend(colours(sheet, ":root[data-theme=\"night\"] {"));
    [("day", day), ("night", night)]
}

/// Values of the standard: black on white is 21:1, and a colour on itself 1:1; #767676 on white just passes 4.5:1.
#[test]
fn the_formula_is_that_of_the_standard() {
    let white = channels("ffffff");
    assert!((contrast(channels("000000"), white) - 21.0).abs() < 1e-9);
    assert!((contrast(white, white) - 1.0).abs() < 1e-9);
    assert!((4.5..4.6).contains(&contrast(channels("767676"), white)));
    assert!(contrast(channels("777777"), white) < 4.5);
}

#[test]
fn words_and_strokes_are_seen_on_every_ground() {
    for (light, palette) in palettes(BASE) {
        for word in WORDS {
            for ground in GROUNDS {
                let ratio = contrast(palette[word], palette[ground]);
                assert!(ratio >= 4.5, "{word} on {ground} by {light}: {ratio:.2}");
            }
        }
        let known = WORDS.iter().chain(&GROUNDS).chain(&SEPARATES_ONLY);
        let known: Vec<_> = known.copied().collect();
        let unknown: Vec<_> = palette.keys().filter(|name| !known.contains(&name.as_str())).collect();
        assert!(unknown.is_empty(), "what are {unknown:?} for?");
        assert_eq!(known.len(), palette.len());
    }
}

#[test]
fn conductors_are_seen_on_every_ground_of_the_drawing() {
    let base = palettes(BASE);
    for ((light, wires), (_, grounds)) in palettes(WIRING).into_iter().zip(base) {
        for (name, colour) in wires {
            // The stripe of green and yellow lies on the green, and the black of night within a light casing.
            let around: Vec<[f64; 3]> = match (name.as_str(), light) {
                ("wire-tracer", "day") => continue,
                ("wire-black", "night") => vec![palettes(WIRING)[1].1["wire-case"]],
                _ => ["paper", "sheet", "duct"].map(|ground| grounds[ground]).to_vec(),
            };
            for ground in around {
                let ratio = contrast(colour, ground);
                assert!(ratio >= 3.0, "{name} by {light}: {ratio:.2}");
            }
        }
    }
}

/// Night by the system's wish and night by choice are the same night.
#[test]
fn there_is_one_night() {
    for sheet in [BASE, WIRING] {
        let asked = colours(sheet, ":root:not([data-theme=\"day\"]) {");
        assert_eq!(asked, colours(sheet, ":root[data-theme=\"night\"] {"));
        assert!(asked.len() > 6);
    }
}
