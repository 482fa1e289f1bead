//! Rounded figures as text.

/// A figure to so many places; a rounded zero has no sign.
#[must_use]
pub fn rounded(value: f64, places: usize) -> String {
    unsigned_zero(format!("{value:.places$}"))
}

/// A figure as text; a zero has no sign.
#[must_use]
pub fn unsigned_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(figure) if figure.chars().all(|sign| "0.".contains(sign)) => figure.to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::rounded;

    #[test]
    fn a_rounded_zero_has_no_sign() {
        assert_eq!(rounded(-0.04, 1), "0.0");
        assert_eq!(rounded(-0.06, 1), "-0.1");
        assert_eq!(rounded(-0.4, 0), "0");
        assert_eq!(rounded(-0.000_001, 5), "0.00000");
        assert_eq!(rounded(0.0, 1), "0.0");
    }
}
