//! The description, taken at its word: requests made from its schemas, sound and spoilt, as every role.
//! No answer is a fault of the server, each has a status that is described for its operation, and its body
//! is what the description says of that status.
//!
//! Reference: bodies are judged by the `jsonschema` crate (JSON Schema 2020-12, the dialect of `OpenAPI` 3.1).
//! Seeds are fixed, so that a failure comes again.

use std::fmt::Write;

use axum::http::Method;
use gradeworthy_store::Role;
use proptest::prelude::*;
use proptest::strategy::Union;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};
use serde_json::{Map, Value, json};

use crate::club::{Answer, Club};

/// How often all operations are gone through, and requests of each then.
const ROUNDS: u32 = 4;
const EACH: u32 = 2;

/// Operations that must succeed at least once; of 100 some forty can be asked without anything made first.
const SUCCEEDING: usize = 30;

struct Operation {
    method: Method,
    path: String,
    query: Vec<(String, Value)>,
    body: Option<Value>,
    responses: Map<String, Value>,
}

/// A request of an operation.
#[derive(Clone, Debug)]
struct Try {
    role: Option<Role>,
    path: String,
    body: String,
}

fn operations(description: &Value) -> Vec<Operation> {
    let mut operations = Vec::new();
    for (path, item) in description["paths"].as_object().expect("paths") {
        for (method, own) in item.as_object().expect("methods") {
            let parameters = own["parameters"].as_array().cloned().unwrap_or_default();
            let query = parameters.iter().filter(|one| one["in"] == "query");
            let body = &own["requestBody"]["content"]["application/json"]["schema"];
            operations.push(Operation {
                method: method.to_uppercase().parse().expect("a method"),
                path: path.clone(),
                query: query
                    .map(|one| (text(&one["name"]), one["schema"].clone()))
                    .collect(),
                body: (!body.is_null()).then(|| body.clone()),
                responses: own["responses"].as_object().expect("responses").clone(),
            });
        }
    }
    operations
}

fn text(value: &Value) -> String {
    value.as_str().expect("a text").to_owned()
}

fn resolve<'a>(description: &'a Value, schema: &'a Value) -> &'a Value {
    match schema["$ref"].as_str() {
        Some(pointer) => {
            let found = description.pointer(pointer.trim_start_matches('#'));
            resolve(description, found.expect("a schema of that name"))
        }
        None => schema,
    }
}

/// What somebody might put into a field of that name.
fn likely(name: &str) -> Vec<&'static str> {
    match name {
        "client_id" => vec![
            "00112233445566778899aabbccddeeff",
            "ffeeddccbbaa99887766554433221100",
            "0",
        ],
        "measure" => vec![
            "back to back",
            "weight",
            "coupler height",
            "wheel dirt",
            "spin time",
        ],
        "place" => vec![
            "car",
            "station-1-1",
            "end-A",
            "axle-2",
            "item-1",
            "wheel-9-left",
            "end-C",
        ],
        "text" => vec![
            "14.45 mm", ".566 in", "128 g", "good", "-1 mm", "1e400 mm", "25 s", "₅ mm",
        ],
        "defect" => vec!["wheel", "rolls stiffly", "no such"],
        "state" => vec!["bad-ordered", "at the bench", "admitted", "nowhere"],
        "until" => vec!["2026-12-01T19:00", "9999-12-31T23:59", "2026-02-30T00:00"],
        "wait_for" => vec!["parts", "owner"],
        "mark" | "after_mark" => vec!["OWN 1", "own", "OWN 1\u{0}", "'; --"],
        "name" => vec!["Member lead", "Member owner", "nobody"],
        "password" | "second_secret" => vec![crate::club::PASSWORD, ""],
        "second" => vec!["Member inspector", "Member lead", "nobody"],
        "instrument" => vec!["caliper", "no such"],
        "scene" => vec!["power", "start", "1", "earthquake"],
        _ => vec!["", "a few words"],
    }
}

fn any_json() -> BoxedStrategy<Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        any::<String>().prop_map(Value::from),
    ];
    leaf.prop_recursive(2, 8, 3, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..3).prop_map(Value::from),
            prop::collection::btree_map("[a-z_]{1,8}", inner, 0..3)
                .prop_map(|map| map.into_iter().collect::<Map<_, _>>().into()),
        ]
    })
    .boxed()
}

/// Values of a schema, and now and then one that is not.
fn value(description: &Value, name: &str, schema: &Value) -> BoxedStrategy<Value> {
    let schema = resolve(description, schema);
    let kinds: Vec<_> = match &schema["type"] {
        Value::Array(kinds) => kinds.iter().map(text).collect(),
        kind => vec![kind.as_str().unwrap_or("object").to_owned()],
    };
    let sound = kinds
        .iter()
        .map(|kind| of_kind(description, name, schema, kind));
    prop_oneof![24 => Union::new(sound), 1 => any_json()].boxed()
}

fn of_kind(description: &Value, name: &str, schema: &Value, kind: &str) -> BoxedStrategy<Value> {
    match kind {
        "null" => Just(Value::Null).boxed(),
        "boolean" => any::<bool>().prop_map(Value::from).boxed(),
        "integer" => prop_oneof![6 => 0_i64..60, 1 => any::<i64>()]
            .prop_map(Value::from)
            .boxed(),
        "number" => any::<f64>().prop_map(Value::from).boxed(),
        "string" => prop_oneof![
            6 => prop::sample::select(likely(name)).prop_map(Value::from),
            1 => any::<String>().prop_map(Value::from),
        ]
        .boxed(),
        "array" => {
            let item = value(description, name, &schema["items"]);
            prop::collection::vec(item, 0..4)
                .prop_map(Value::from)
                .boxed()
        }
        _ => object(description, schema),
    }
}

fn object(description: &Value, schema: &Value) -> BoxedStrategy<Value> {
    let Some(properties) = schema["properties"].as_object() else {
        return any_json();
    };
    let mut fields = Vec::new();
    for (name, own) in properties {
        let named = value(description, name, own).prop_map({
            let name = name.clone();
            move |value| (name.clone(), value)
        });
        fields.push(prop::option::weighted(0.96, named));
    }
    fields
        .prop_map(|fields| fields.into_iter().flatten().collect::<Map<_, _>>().into())
        .boxed()
}

fn request(description: &Value, own: &Operation, car: i64) -> BoxedStrategy<Try> {
    let car = prop_oneof![
        8 => Just(car.to_string()),
        1 => (-2_i64..9).prop_map(|car| car.to_string()),
        1 => "\\PC{1,6}".prop_map(|text| crate::request::encoded(&text)),
    ];
    let query: Vec<_> = own
        .query
        .iter()
        .map(|(name, schema)| {
            let named = value(description, name, schema);
            let name = name.clone();
            prop::option::of(named.prop_map(move |value| (name.clone(), value)))
        })
        .collect();
    let body = match &own.body {
        Some(schema) => {
            let sound = value(description, "", schema).prop_map(|body| body.to_string());
            let cut = sound.clone().prop_map(|mut text| {
                text.pop();
                text
            });
            prop_oneof![20 => sound, 1 => cut, 1 => any::<String>()].boxed()
        }
        None => Just(String::new()).boxed(),
    };
    // The lead may do everything, so he comes often; everybody else comes too.
    let everybody = Role::ALL.iter().copied().map(Some).chain([None]);
    let roles: Vec<_> = everybody.chain([Some(Role::Lead); 7]).collect();
    let path = own.path.clone();
    (car, query, body, prop::sample::select(roles))
        .prop_map(move |(car, query, body, role)| {
            let mut path = path.replace("{car}", &car);
            for (index, (name, value)) in query.into_iter().flatten().enumerate() {
                let text = value.as_str().map_or(value.to_string(), ToOwned::to_owned);
                let sign = if index == 0 { '?' } else { '&' };
                let encoded = crate::request::encoded(&text);
                write!(path, "{sign}{name}={encoded}").expect("a String takes everything");
            }
            Try { role, path, body }
        })
        .boxed()
}

/// The answer is one that the description has.
fn judge(description: &Value, own: &Operation, answer: &Answer) -> Result<(), TestCaseError> {
    let status = answer.status;
    prop_assert!(!status.is_server_error(), "{status}: {}", answer.body);
    let described = own.responses.get(status.as_str());
    prop_assert!(
        described.is_some(),
        "{status} is not described: {}",
        answer.body
    );
    let contents = described.and_then(|own| own["content"].as_object());
    let kind = answer.headers.get("content-type");
    let kind = kind.and_then(|own| own.to_str().ok()).unwrap_or_default();
    if contents.is_none() && answer.body.is_empty() {
        return Ok(());
    }
    let content = contents.and_then(|own| own.get(kind));
    prop_assert!(content.is_some(), "{status} as '{kind}' is not described");
    if !kind.contains("json") {
        // A file: that it is of the described kind is all that is said of it.
        return Ok(());
    }
    let mut schema = content.map_or(Value::Null, |own| own["schema"].clone());
    schema["components"] = description["components"].clone();
    let validator = jsonschema::validator_for(&schema);
    let validator = validator.map_err(|error| TestCaseError::fail(error.to_string()))?;
    let body = serde_json::from_str(&answer.body);
    let body: Value = body.map_err(|error| TestCaseError::fail(error.to_string()))?;
    let faults: Vec<_> = validator
        .iter_errors(&body)
        .map(|own| own.to_string())
        .collect();
    prop_assert!(faults.is_empty(), "{status}: {faults:?} in {}", answer.body);
    Ok(())
}

#[test]
fn every_request_made_from_the_description_gets_an_answer_that_it_describes() {
    let club = Club::open();
    let described = club.get(Role::Operator, "/api/openapi.json").body;
    let description: Value = serde_json::from_str(&described).expect("JSON");
    let operations = operations(&description);
    let car = club.own_car.number();
    let mut rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut seen = std::collections::BTreeMap::<(String, u16), u32>::new();
    let counts = std::cell::RefCell::new(&mut seen);
    // Round after round, and not one operation after the other: each then meets what the others have left.
    for _ in 0..ROUNDS {
        for own in &operations {
            let config = Config {
                cases: EACH,
                failure_persistence: None,
                ..Config::default()
            };
            let mut runner = TestRunner::new_with_rng(config, rng.clone());
            let outcome = runner.run(&request(&description, own, car), |one| {
                // Time goes on: nobody is throttled for ever.
                club.later(20);
                club.sign_in_again();
                let body = current(&club, &one.body);
                let answer = club.call(one.role, own.method.clone(), &one.path, &body);
                let key = (
                    format!("{} {}", own.method, own.path),
                    answer.status.as_u16(),
                );
                *counts.borrow_mut().entry(key).or_default() += 1;
                judge(&description, own, &answer)
            });
            if let Err(error) = outcome {
                panic!("{} {}: {error}", own.method, own.path);
            }
            rng = runner.new_rng();
        }
    }
    // The test would be empty if requests were only ever refused. Operations on what must be made first (a
    // job, a draft, a file, a link) are only ever refused here; the tests beside their handlers take them
    // to their end.
    let name = |own: &Operation| format!("{} {}", own.method, own.path);
    for own in &operations {
        let asked = seen.keys().any(|(path, _)| *path == name(own));
        assert!(asked, "{} was never asked: {seen:#?}", name(own));
    }
    let succeeded = |own: &&Operation| {
        let mut of = seen.keys().filter(|(path, _)| *path == name(own));
        of.any(|(_, status)| (200..300).contains(status))
    };
    let count = operations.iter().filter(succeeded).count();
    assert!(
        count >= SUCCEEDING,
        "only {count} operations succeeded: {seen:#?}"
    );
}

/// Half of the bodies that name a version get the true one, with it a fresh identity and, where they bring
/// readings, one that can be taken, so that entries succeed; which half follows from the body itself.
fn current(club: &Club, body: &str) -> String {
    let Ok(mut json) = serde_json::from_str::<Value>(body) else {
        return body.to_owned();
    };
    if json
        .get("version")
        .and_then(Value::as_i64)
        .is_none_or(|own| own % 2 == 0)
    {
        return body.to_owned();
    }
    let snapshot = club.app.store().snapshot().expect("a snapshot");
    let version = snapshot.version(club.own_car).expect("a car");
    json["version"] = json!(version.number());
    let id = gradeworthy_store::ClientId::random().expect("randomness");
    json["client_id"] = json!(id.to_string());
    if json.get("readings").is_some() {
        json["readings"] = json!([{ "measure": "weight", "place": "car", "text": "128 g" }]);
    }
    json.to_string()
}
