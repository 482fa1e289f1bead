//! Questions and answers as JSON Schema.

use schemars::SchemaGenerator;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

use crate::field::schema_of_object;
use crate::refused::SHAPE;
use crate::task::TASKS;

/// JSON Schemas (draft 2020-12) of all questions and answers: `question` of any question,
/// `answers` of each answer by the word of its question, `refused` of what there is instead.
///
/// ```
/// let schema = moulder_bridge::schema();
/// assert!(schema["answers"]["forecast"]["$ref"].is_string());
/// ```
#[must_use]
pub fn schema() -> Value {
    let mut generator = SchemaGenerator::new(SchemaSettings::draft2020_12());
    let mut questions = Vec::new();
    let mut answers = Map::new();
    for task in TASKS {
        let mut question = schema_of_object(task.fields, &mut generator);
        question["title"] = json!(task.word);
        question["description"] = json!(task.about);
        question["properties"]["ask"] = json!({"const": task.word});
        question["properties"]["id"] = json!({"description": "Comes back with the answer."});
        question["properties"]["progress"] = json!({"type": "boolean"});
        if let Some(required) = question["required"].as_array_mut() {
            required.insert(0, json!("ask"));
        }
        questions.push(question);
        answers.insert(task.word.to_owned(), (task.schema)(&mut generator));
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "question": {"oneOf": questions},
        "answers": answers,
        "refused": serde_json::from_str::<Value>(SHAPE).unwrap_or_default(),
        "$defs": generator.take_definitions(true),
    })
}
