//! Bed documents from Python's dicts.

use moulder::{Bed, Fault, FaultCode, Library};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyInt, PyList, PyString, PyTuple};
use serde_json::{Map, Number, Value};

use crate::argument::kind_of;

/// Tables and lists within each other; a bed file needs six.
const DEPTH: usize = 32;
/// Values of one bed: its text would be too long long before.
const VALUES: usize = 100_000;
/// The table whose names are the owner's own.
const OWN_NAMES: &str = "/measures";

/// Reads a bed from a dict: its document as JSON and the bed, or every fault.
pub(crate) fn read(dict: &Bound<'_, PyDict>) -> PyResult<Result<(String, Bed), Vec<Fault>>> {
    let mut walk = Walk::default();
    let value = walk.value(dict, "", 0)?;
    let text = value.to_string();
    let mut faults = walk.faults;
    match Bed::from_json(&text, &Library::built_in()) {
        Ok(bed) if faults.is_empty() => return Ok(Ok((text, bed))),
        Ok(_) => {}
        Err(error) => {
            // What could not be taken over is nothing to the reader: it need not be said twice.
            let found = error.faults().iter();
            let others = found.filter(|fault| faults.iter().all(|one| one.path != fault.path));
            let others: Vec<Fault> = others.cloned().collect();
            faults.extend(others);
        }
    }
    Ok(Err(faults))
}

#[derive(Default)]
struct Walk {
    faults: Vec<Fault>,
    values: usize,
}

impl Walk {
    fn value(&mut self, given: &Bound<'_, PyAny>, path: &str, depth: usize) -> PyResult<Value> {
        self.values += 1;
        if depth > DEPTH || self.values > VALUES {
            if self.values <= VALUES + 1 {
                let (code, found, expected) = if depth > DEPTH {
                    (
                        FaultCode::TooDeep,
                        "tables within tables",
                        "a table of a bed",
                    )
                } else {
                    (FaultCode::TooBig, "a hundred thousand values", "a bed")
                };
                self.fault(code, path, found, expected);
            }
            // Nothing more is looked at: a list that holds itself has no end.
            self.values = VALUES + 1;
            return Ok(Value::Null);
        }
        if given.is_none() {
            return Ok(Value::Null);
        }
        if let Ok(dict) = given.cast::<PyDict>() {
            return self.table(dict, path, depth);
        }
        if given.is_instance_of::<PyList>() || given.is_instance_of::<PyTuple>() {
            let mut list = Vec::new();
            for (index, item) in given.try_iter()?.enumerate() {
                list.push(self.value(&item?, &format!("{path}/{index}"), depth + 1)?);
                if self.values > VALUES {
                    break;
                }
            }
            return Ok(Value::Array(list));
        }
        Ok(self.single(given, path))
    }

    fn table(&mut self, dict: &Bound<'_, PyDict>, path: &str, depth: usize) -> PyResult<Value> {
        let mut table = Map::new();
        // A copy: reading a value may run code of the caller, which may change the dict.
        for (key, item) in dict.copy()? {
            let Ok(name) = key.extract::<String>() else {
                let kind = format!("{} as a name", kind_of(&key));
                self.fault(
                    FaultCode::WrongKind,
                    path,
                    &kind,
                    "a table whose names are texts",
                );
                continue;
            };
            let name = if path == OWN_NAMES {
                name
            } else {
                name.replace('_', "-")
            };
            let place = step(path, &name);
            let value = self.value(&item, &place, depth + 1)?;
            if table.contains_key(&name) {
                self.fault(FaultCode::RepeatedKey, &place, &name, "each name once");
            }
            table.insert(name, value);
            if self.values > VALUES {
                break;
            }
        }
        Ok(Value::Object(table))
    }

    /// A value that is no list and no table.
    fn single(&mut self, given: &Bound<'_, PyAny>, path: &str) -> Value {
        if given.is_instance_of::<PyString>() {
            return given.extract().map_or_else(
                |_| self.wrong(given, path, "a text that can be written in UTF-8"),
                Value::String,
            );
        }
        // Those of numpy have no class in common with Python's.
        if let Ok(truth) = given.extract::<bool>() {
            return Value::Bool(truth);
        }
        if let Ok(whole) = given.extract::<i64>() {
            return Value::from(whole);
        }
        if given.is_instance_of::<PyInt>() {
            return self.wrong(given, path, "a smaller number");
        }
        if let Ok(number) = given.extract::<f64>() {
            return Number::from_f64(number).map_or_else(
                || {
                    let found = format!("the number {number}");
                    self.fault(
                        FaultCode::WrongKind,
                        path,
                        &found,
                        "a number that is finite",
                    );
                    Value::Null
                },
                Value::Number,
            );
        }
        // A date is written as in a bed file.
        let written = given.call_method0("isoformat");
        match written.and_then(|text| text.extract::<String>()) {
            Ok(text) => Value::String(text),
            Err(_) => self.wrong(given, path, "a text, a number, a list or a dict"),
        }
    }

    fn wrong(&mut self, given: &Bound<'_, PyAny>, path: &str, expected: &str) -> Value {
        self.fault(FaultCode::WrongKind, path, &kind_of(given), expected);
        Value::Null
    }

    fn fault(&mut self, code: FaultCode, path: &str, found: &str, expected: &str) {
        self.faults
            .push(Fault::in_value(code, path, found, expected));
    }
}

/// A JSON Pointer extended by a name.
fn step(path: &str, name: &str) -> String {
    format!("{path}/{}", name.replace('~', "~0").replace('/', "~1"))
}
