//! Every pair of colours that carries text or a shape to be told apart has the contrast that WCAG 2.2 asks for.
//!
//! Formula and limits: W3C, Web Content Accessibility Guidelines 2.2, "relative luminance", "contrast ratio",
//! success criteria 1.4.3 (text, 4.5 : 1) and 1.4.11 (shapes, 3 : 1).

use std::collections::HashMap;

const TOKENS: &str = include_str!("../static/leadbar.css");

/// Text on its ground.
const TEXT: [(&str, &str); 13] = [
    ("ink", "paper"),
    ("ink", "sheet"),
    ("ink", "wash"),
    ("soft", "paper"),
    ("soft", "sheet"),
    ("brass", "paper"),
    ("brass", "sheet"),
    ("on-bar", "bar"),
    ("warning", "paper"),
    ("warning", "sheet"),
    ("ink", "warning-wash"),
    ("other", "paper"),
    ("paper", "ink"),
];

/// Shapes that say something by themselves: the bar that means "here", outlines of controls, the second pass.
const SHAPES: [(&str, &str); 4] = [
    ("edge", "paper"),
    ("edge", "sheet"),
    ("other", "sheet"),
    ("brass", "wash"),
];

/// The tokens that are a `light-dark(day, night)` pair, by name.
fn colours() -> HashMap<&'static str, [[f64; 3]; 2]> {
    let pair = |line: &'static str| {
        let (name, value) = line.trim().strip_prefix("--")?.split_once(':')?;
        let (day, night) = value.trim().strip_prefix("light-dark(")?.split_once(',')?;
        let night = night.trim().trim_end_matches(';').trim_end_matches(')');
        Some((name, [channels(day.trim()), channels(night)]))
    };
    TOKENS.lines().filter_map(pair).collect()
}

fn channels(hex: &str) -> [f64; 3] {
    let digits = hex
        .strip_prefix('#')
        .unwrap_or_else(|| panic!("{hex} is not a #rrggbb colour"));
    [0, 2, 4].map(|at| {
        let byte = u8::from_str_radix(&digits[at..at + 2], 16).unwrap_or_else(|_| panic!("{hex}"));
        f64::from(byte) / 255.0
    })
}

fn luminance(colour: [f64; 3]) -> f64 {
    let [r, g, b] = colour.map(|c| {
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn faults(pairs: &[(&str, &str)], least: f64) -> Vec<String> {
    let colours = colours();
    let mut faults = Vec::new();
    for (front, ground) in pairs {
        for (theme, at) in [("day", 0), ("night", 1)] {
            let ratio = contrast(colours[front][at], colours[ground][at]);
            if ratio < least {
                faults.push(format!("{theme}: {front} on {ground} is {ratio:.2}, needs {least}"));
            }
        }
    }
    faults
}

/// The extremes that the guideline itself names: black on white is 21 : 1, a colour on itself 1 : 1.
#[test]
fn the_formula_gives_the_guidelines_own_extremes() {
    assert!((contrast([0.0; 3], [1.0; 3]) - 21.0).abs() < 1e-9);
    assert!((contrast([0.3; 3], [0.3; 3]) - 1.0).abs() < 1e-9);
}

#[test]
fn text_is_legible_by_day_and_by_night() {
    assert_eq!(faults(&TEXT, 4.5), Vec::<String>::new());
}

#[test]
fn shapes_that_speak_are_seen_by_day_and_by_night() {
    assert_eq!(faults(&SHAPES, 3.0), Vec::<String>::new());
}
