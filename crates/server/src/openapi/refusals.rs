//! How every operation may refuse, said once: what the layers around the handlers answer, and what any
//! handler of the kind may.

use utoipa::Modify;
use utoipa::openapi::path::{Operation, ParameterIn};
use utoipa::openapi::{ContentBuilder, OpenApi, Ref, RefOr, ResponseBuilder};

/// Adds the refusals to a description.
pub(super) struct Refusals;

const SIGNED_IN: [(u16, &str); 2] = [
    (401, "Nobody is signed in here, or the session has ended."),
    (403, "The member may not do this, or not with this entry."),
];
const NAMED: [(u16, &str); 1] = [(404, "There is no such car, or nothing at this address.")];
const ASKED: [(u16, &str); 2] = [
    (400, "The query cannot be read."),
    (422, "Something in the query is not among the choices."),
];
const SENT: [(u16, &str); 7] = [
    (
        400,
        "The body cannot be read as the JSON that is asked for.",
    ),
    (
        409,
        "The record has moved on, or the entry does not go with where the car stands.",
    ),
    (413, "The body is longer than 64 KiB."),
    (
        422,
        "Something in the body is missing, not among the choices or not plausible.",
    ),
    (
        429,
        "Too many tries: wait as long as the answer's Retry-After says.",
    ),
    (
        503,
        "The record cannot be written now; everything acknowledged is kept.",
    ),
    (507, "The disk is full; everything acknowledged is kept."),
];

impl Modify for Refusals {
    fn modify(&self, description: &mut OpenApi) {
        for (path, item) in &mut description.paths.paths {
            for operation in [&mut item.get, &mut item.post].into_iter().flatten() {
                add(path, operation);
            }
        }
    }
}

fn add(path: &str, operation: &mut Operation) {
    let named = path.contains('{');
    let asked = operation.parameters.iter().flatten().any(|one| match one {
        RefOr::T(parameter) => parameter.parameter_in == ParameterIn::Query,
        RefOr::Ref(_) => false,
    });
    let kinds: [(bool, &[(u16, &str)]); 4] = [
        (path != "/api/session", &SIGNED_IN),
        (named, &NAMED),
        (asked, &ASKED),
        (operation.request_body.is_some(), &SENT),
    ];
    let own = &mut operation.responses.responses;
    // A handler that says itself how it refuses says it without the kind of content.
    let said: Vec<_> = own
        .keys()
        .filter(|status| !status.starts_with('2'))
        .cloned()
        .collect();
    for status in said {
        own.insert(status, problem("Refused.").into());
    }
    for (status, why) in kinds
        .into_iter()
        .filter(|kind| kind.0)
        .flat_map(|kind| kind.1)
    {
        own.insert(status.to_string(), problem(why).into());
    }
}

fn problem(why: &str) -> utoipa::openapi::Response {
    let schema = Ref::from_schema_name("Problem");
    let content = ContentBuilder::new().schema(Some(schema)).build();
    ResponseBuilder::new()
        .description(why)
        .content("application/problem+json", content)
        .build()
}
