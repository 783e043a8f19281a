//! `describe`: reference and schema.

use super::{err, out, tailpattern};

#[test]
fn one_key_can_be_asked_for() {
    let output = tailpattern(&["describe", "sender_boss.tilt"]);
    assert_eq!(output.status.code(), Some(0), "done");
    assert!(out(&output).contains("tilt: 10 deg"), "{}", out(&output));
}

#[test]
fn a_mistyped_key_gets_the_nearest_one() {
    let output = tailpattern(&["describe", "mount_pad.ofset"]);
    assert_eq!(output.status.code(), Some(2), "bad input");
    assert!(err(&output).contains("did you mean `mount_pad.offset`?"), "{}", err(&output));
}

#[test]
fn the_schema_is_json_of_the_named_draft() {
    let text = out(&tailpattern(&["describe", "--schema"]));
    let schema: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema", "draft");
    assert_eq!(schema["additionalProperties"], false, "unknown keys");
    assert!(schema["properties"]["tail"]["properties"]["seal"].is_object(), "nested sections");
}
