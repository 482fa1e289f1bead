//! JSON documents, and values built by a program.

use std::cell::Cell;
use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, MapAccess, SeqAccess, Visitor};

use super::{Entry, Node, Places, Tree, Unplaced, Value};
use crate::fault::FaultCode;

/// Reads JSON; stops at the first syntax fault.
pub(crate) fn read_json(text: &str) -> Result<Tree<'_>, Box<Unplaced>> {
    let count = Cell::new(0);
    let mut deserializer = serde_json::Deserializer::from_str(text);
    let root = NodeSeed { count: &count }
        .deserialize(&mut deserializer)
        .and_then(|root| deserializer.end().map(|()| root));
    match root {
        Ok(root) => Ok(Tree {
            root,
            faults: Vec::new(),
            places: Places::Pointers,
        }),
        Err(error) => Err(Box::new(syntax(text, &error))),
    }
}

/// Converts a value built by a program.
pub(crate) fn read_value(value: &serde_json::Value) -> Tree<'static> {
    let count = Cell::new(0);
    let root = NodeSeed { count: &count }.deserialize(value);
    // A value in memory has no syntax faults; the empty table fails for missing fields.
    let root = root.unwrap_or(Node {
        at: 0,
        value: Value::Table(Vec::new()),
    });
    Tree {
        root,
        faults: Vec::new(),
        places: Places::Pointers,
    }
}

fn syntax(text: &str, error: &serde_json::Error) -> Unplaced {
    let line_start = text
        .split_inclusive('\n')
        .take(error.line().saturating_sub(1))
        .map(str::len)
        .sum::<usize>();
    let message = error.to_string();
    let (code, expected) = if message.starts_with("recursion limit") {
        (FaultCode::TooDeep, "")
    } else if message.starts_with("EOF") {
        (
            FaultCode::BadSyntax,
            "the text ends too early; a closing bracket, brace or quote is missing",
        )
    } else if message.starts_with("control character") {
        (
            FaultCode::BadSyntax,
            "a text may not hold line ends or other control signs",
        )
    } else if message.starts_with("number out of range") {
        (FaultCode::BadSyntax, "this number is too large")
    } else if message.starts_with("trailing characters") {
        (
            FaultCode::BadSyntax,
            "the document is complete before this place",
        )
    } else if message.starts_with("trailing comma") {
        (
            FaultCode::BadSyntax,
            "JSON has no comma after the last entry",
        )
    } else if message.starts_with("key must be") {
        (FaultCode::BadSyntax, "names must stand in double quotes")
    } else if message.starts_with("expected `:`") {
        (FaultCode::BadSyntax, "a colon is missing after a name")
    } else if message.starts_with("expected `,`") {
        (FaultCode::BadSyntax, "a comma or a closing sign is missing")
    } else {
        (FaultCode::BadSyntax, "this is not JSON")
    };
    Unplaced {
        code,
        // The column of serde_json counts bytes from 1 and is 0 at the start of a line.
        at: line_start + error.column().saturating_sub(1),
        path: String::new(),
        found: String::new(),
        expected: expected.to_owned(),
        help: Vec::new(),
    }
}

/// Builds and numbers the nodes; repeated names are kept for the walk to report.
#[derive(Clone, Copy)]
struct NodeSeed<'c> {
    count: &'c Cell<usize>,
}

impl NodeSeed<'_> {
    fn next(self) -> usize {
        let at = self.count.get();
        self.count.set(at + 1);
        at
    }
}

impl<'de> DeserializeSeed<'de> for NodeSeed<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Node, D::Error> {
        let at = self.next();
        let value = deserializer.deserialize_any(self)?;
        Ok(Node { at, value })
    }
}

impl<'de> Visitor<'de> for NodeSeed<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_bool<E>(self, boolean: bool) -> Result<Value, E> {
        Ok(Value::Bool(boolean))
    }

    fn visit_i64<E>(self, number: i64) -> Result<Value, E> {
        Ok(Value::Whole(number))
    }

    fn visit_u64<E>(self, number: u64) -> Result<Value, E> {
        #[expect(
            clippy::cast_precision_loss,
            reason = "beyond i64 every field is out of range anyway"
        )]
        Ok(i64::try_from(number).map_or(Value::Number(number as f64), Value::Whole))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Value, E> {
        Ok(Value::Number(number))
    }

    fn visit_str<E>(self, text: &str) -> Result<Value, E> {
        Ok(Value::Text(text.to_owned()))
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Nothing)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Value, A::Error> {
        let mut nodes = Vec::new();
        while let Some(node) = list.next_element_seed(self)? {
            nodes.push(node);
        }
        Ok(Value::List(nodes))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let mut entries = Vec::new();
        while let Some(key) = map.next_key::<String>()? {
            let at = self.next();
            let node = map.next_value_seed(self)?;
            entries.push(Entry { key, at, node });
        }
        Ok(Value::Table(entries))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Place;

    fn place(text: &str) -> (usize, usize, String) {
        let found = *read_json(text).unwrap_err();
        let fault = Places::lines(text).placed(found);
        match fault.place {
            Place::Line { line, column } => (line, column, fault.expected),
            Place::Pointer { .. } => unreachable!("syntax has lines"),
        }
    }

    #[test]
    fn repeated_names_are_kept() {
        let tree = read_json(r#"{"a": 1, "a": [2.5, null, "x"]}"#).unwrap();
        let Value::Table(entries) = tree.root.value else {
            unreachable!("it is a table")
        };
        assert_eq!(entries.len(), 2);
        assert!(entries[0].at < entries[0].node.at && entries[0].node.at < entries[1].at);
    }

    #[test]
    fn syntax_has_lines_and_columns() {
        assert_eq!(
            place("{\"é\": 1,\n \"é\" 2}"),
            (2, 6, "a colon is missing after a name".into())
        );
        assert_eq!(place("").0, 1);
        assert!(place("{").2.contains("too early"));
        assert!(place("{\"a\":1,}").2.contains("comma"));
        assert!(place("{\"a\":1e999}").2.contains("too large"));
        assert!(place("{} {}").2.contains("complete"));
    }

    #[test]
    fn deep_nesting_is_refused() {
        let found = read_json(&"[".repeat(100_000)).unwrap_err();
        assert_eq!(found.code, FaultCode::TooDeep);
    }
}
