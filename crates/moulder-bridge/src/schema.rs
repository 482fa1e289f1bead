//! Questions and answers as JSON Schema.

use schemars::SchemaGenerator;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

use crate::field::schema_of_object;
use crate::refused::SHAPE;
use crate::task::TASKS;

/// JSON Schemas (draft 2020-12) of all questions and answers: `question` of any question,
/// `stop` of the line that stops one, `answers` of each answer by the word of its question, `refused` of what there is instead.
///
/// ```
/// let schema = moulder_bridge::schema();
/// assert!(schema["answers"]["forecast"]["$ref"].is_string());
/// ```
#[must_use]
pub fn schema() -> Value {
    let settings = SchemaSettings::draft2020_12();
    let mut generator = SchemaGenerator::new(settings.clone());
    // As answers are written: library files name the same fields with hyphens.
    let mut written = SchemaGenerator::new(settings.for_serialize());
    let mut questions = Vec::new();
    let mut answers = Map::new();
    for task in TASKS {
        let mut question = schema_of_object(task.fields, &mut generator);
        question["title"] = json!(task.word);
        question["description"] = json!(task.about);
        question["properties"]["ask"] = json!({"const": task.word});
        question["properties"]["id"] = json!({"description": "Comes back with the answer."});
        question["properties"]["progress"] = json!({
            "type": "boolean",
            "description": "With true, lines like {\"id\": 1, \"progress\": {\"done\": 3, \"of\": 64}} \
                come before the answer.",
        });
        if let Some(required) = question["required"].as_array_mut() {
            required.insert(0, json!("ask"));
        }
        questions.push(question);
        answers.insert(task.word.to_owned(), (task.schema)(&mut written));
    }
    let mut definitions = generator.take_definitions(true);
    definitions.extend(written.take_definitions(true));
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "question": {"oneOf": questions},
        "stop": {
            "description": "A line that stops the question of that id; it has no answer of its own.",
            "type": "object", "required": ["stop"], "additionalProperties": false,
            "properties": {"stop": {}},
        },
        "answers": answers,
        "refused": serde_json::from_str::<Value>(SHAPE).unwrap_or_default(),
        "$defs": definitions,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What questions and answers have in common has one form.
    #[test]
    fn no_definition_hides_another() {
        let settings = SchemaSettings::draft2020_12();
        let mut read = SchemaGenerator::new(settings.clone());
        let mut written = SchemaGenerator::new(settings.for_serialize());
        for task in TASKS {
            schema_of_object(task.fields, &mut read);
            (task.schema)(&mut written);
        }
        let written = written.take_definitions(true);
        let mut common = 0;
        for (name, form) in read.take_definitions(true) {
            if let Some(other) = written.get(&name) {
                common += 1;
                assert_eq!(&form, other, "{name}");
            }
        }
        assert!(common > 2);
    }
}
