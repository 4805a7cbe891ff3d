//! Grades as xAPI statements (the shape of IEEE 9274.1.1-2023, version 2.0.0): one for the attempt, one for
//! each criterion. Ids are UUIDs made of what the statement says, so the same grade gives the same ids.
//!
//! The actor is an account with the pseudonym, never a mailbox. Names in the reserved domain `.invalid`
//! (RFC 2606) mark what only Spoolbench defines; verbs and activity types are those of the ADL vocabulary
//! (from memory).

use serde_json::{Map, Value, json};
use uuid::Uuid;

use crate::grade::Verdict;
use crate::language::Language;

use super::reader::Reader;
use super::record::Record;

/// Where the terms that only Spoolbench defines live.
const HOME: &str = "https://spoolbench.invalid";
const VERBS: &str = "http://adlnet.gov/expapi/verbs";
const ACTIVITIES: &str = "http://adlnet.gov/expapi/activities";

/// The statements about a grade.
#[must_use]
pub fn statements(record: &Record) -> Vec<Value> {
    let grade = &record.grade;
    let task = format!("{HOME}/scenario/{}", grade.scenario_digest);
    // One registration an attempt: its file, its scenario and how it went.
    let registration =
        id(&[&record.attempt, &record.learner, &grade.scenario_digest, &grade.digest]);
    let verb = match grade.verdict {
        Verdict::Competent => "passed",
        Verdict::NotYetCompetent => "failed",
    };
    let mut whole = json!({
        "actor": actor(record),
        "verb": { "id": format!("{VERBS}/{verb}"), "display": { "en": verb } },
        "object": {
            "objectType": "Activity",
            "id": task,
            "definition": {
                "name": { "und": grade.scenario },
                "type": format!("{ACTIVITIES}/simulation"),
            },
        },
        "result": {
            "score": score(grade.marks, 100.0),
            "success": grade.verdict == Verdict::Competent,
            "completion": grade.ended.id() == "ended-handed-back",
            "duration": duration(grade.bench_seconds),
            "extensions": {
                (format!("{HOME}/extension/gate")): grade.gate,
                (format!("{HOME}/extension/unsafe")): record.unsafe_acts(),
                (format!("{HOME}/extension/end-sha256")): grade.digest,
            },
        },
        "context": context(record, &registration, None),
        "version": "2.0.0",
    });
    finish(&mut whole, record, &["attempt"]);
    let mut all = vec![whole];
    let readers = Language::ALL.map(|l| Reader::new(l, crate::quantity::UnitSystem::Si));
    for c in &grade.criteria {
        let name: Map<String, Value> = readers
            .iter()
            .map(|r| {
                let code = r.words.language().code().to_owned();
                (code, Value::String(r.say(&format!("criterion-{}", c.criterion))))
            })
            .collect();
        let mut statement = json!({
            "actor": actor(record),
            "verb": { "id": format!("{VERBS}/scored"), "display": { "en": "scored" } },
            "object": {
                "objectType": "Activity",
                "id": format!("{task}/criterion/{}", c.criterion),
                "definition": { "name": name, "type": format!("{ACTIVITIES}/objective") },
            },
            "result": { "score": score(c.marks, c.weight) },
            "context": context(record, &registration, Some(&task)),
            "version": "2.0.0",
        });
        finish(&mut statement, record, &["criterion", &c.criterion]);
        all.push(statement);
    }
    all
}

fn actor(record: &Record) -> Value {
    json!({
        "objectType": "Agent",
        "account": { "homePage": format!("{HOME}/learner"), "name": record.learner },
    })
}

fn score(marks: f64, most: f64) -> Value {
    let scaled = if most > 0.0 { (marks / most * 1e4).round() / 1e4 } else { 0.0 };
    json!({ "scaled": scaled, "raw": marks, "min": 0, "max": most })
}

fn context(record: &Record, registration: &str, parent: Option<&str>) -> Value {
    let mut context = json!({
        "registration": registration,
        "platform": format!("spoolbench {}", record.grade.engine),
    });
    if let Some(parent) = parent {
        context["contextActivities"] = json!({ "parent": [{ "id": parent }] });
    }
    context
}

/// Adds the time, if the attempt says one, and the id.
fn finish(statement: &mut Value, record: &Record, what: &[&str]) {
    if let Some(started) = &record.grade.started {
        statement["timestamp"] = json!(started);
    }
    let grade = &record.grade;
    let mut parts = vec![record.learner.as_str(), record.attempt.as_str(), &grade.digest];
    parts.extend(what);
    let said = statement.to_string();
    parts.push(&said);
    statement["id"] = json!(id(&parts));
}

/// A UUID (version 5, RFC 9562) of `parts`.
fn id(parts: &[&str]) -> String {
    let mut name = Vec::new();
    for part in parts {
        name.extend((part.len() as u64).to_le_bytes());
        name.extend(part.as_bytes());
    }
    let home = Uuid::new_v5(&Uuid::NAMESPACE_URL, HOME.as_bytes());
    Uuid::new_v5(&home, &name).to_string()
}

/// ISO 8601, to the hundredth of a second.
fn duration(seconds: f64) -> String {
    format!("PT{seconds:.2}S")
}
