//! Names of beds side by side, told apart.

/// The names, in their order; one that stands before already is followed by how often it has stood:
/// "Bag", "Bag (2)".
///
/// ```
/// use moulder::internals::compare::told_apart;
///
/// assert_eq!(told_apart(["Bag", "Box", "Bag"]), ["Bag", "Box", "Bag (2)"]);
/// ```
#[must_use]
pub fn told_apart<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let names: Vec<&str> = names.into_iter().collect();
    let mut told: Vec<String> = Vec::with_capacity(names.len());
    for name in &names {
        let mut own = (*name).to_owned();
        let mut count = 1;
        // What it is told apart by may be another's name.
        while told.contains(&own) || (count > 1 && names.contains(&own.as_str())) {
            count += 1;
            own = format!("{name} ({count})");
        }
        told.push(own);
    }
    told
}

#[cfg(test)]
mod tests {
    use super::told_apart;

    #[test]
    fn equal_names_are_told_apart_and_others_kept() {
        assert_eq!(told_apart(["a", "b"]), ["a", "b"]);
        assert_eq!(told_apart(["a", "a", "a"]), ["a", "a (2)", "a (3)"]);
        assert_eq!(told_apart(["a", "a", "a (2)"]), ["a", "a (3)", "a (2)"]);
        assert_eq!(told_apart(["a (2)", "a", "a"]), ["a (2)", "a", "a (3)"]);
    }
}
