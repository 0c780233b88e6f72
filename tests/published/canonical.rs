//! RFC 8785 (JCS). `canon` keeps to integers within 2^53-1 and no null; the crate it relies on, `serde_jcs`, must
//! print the rest right all the same.

use super::{committed, shared, text, unhex};
use serde_json::{Value, json};
use sidelong_core::log::canon::{self, NotCanonical};

/// RFC 8785 appendix B, and the deterministic sequence of its author's test data.
fn numbers(cases: &[Value]) {
    for case in cases {
        let bits = u64::from_str_radix(text(&case["inputs"], "ieee754_hex"), 16).expect("hex");
        let number = f64::from_bits(bits);
        let printed = serde_jcs::to_string(&number).ok();
        assert_eq!(printed.as_deref(), case["expected"]["text"].as_str(), "{case}");
        let Some(expected) = printed else { continue };
        let value: Value = serde_json::from_str(&expected).expect("a number");
        match expected.parse::<i64>().ok().filter(|n| n.abs() <= canon::LARGEST) {
            Some(_) => {
                assert_eq!(canon::bytes(&value), Ok(expected.clone().into_bytes()), "{case}");
                assert_eq!(canon::read(expected.as_bytes()), Ok(value), "{case}");
            }
            None => {
                assert_eq!(canon::bytes(&value), Err(NotCanonical::Number), "{case}");
                assert_eq!(canon::read(expected.as_bytes()), Err(NotCanonical::Number), "{case}");
            }
        }
        // As a double no number is ours, not even a whole one: an event's integers are integers in the program too.
        assert_eq!(canon::bytes(&json!(number)), Err(NotCanonical::Number), "{case}");
    }
}

/// Whether a value keeps to what events hold.
fn ours(value: &Value) -> bool {
    match value {
        Value::Null => false,
        Value::Number(number) => number.as_i64().is_some_and(|n| n.abs() <= canon::LARGEST),
        Value::Array(items) => items.iter().all(ours),
        Value::Object(fields) => fields.values().all(ours),
        Value::Bool(_) | Value::String(_) => true,
    }
}

/// Documents; `least` of them keep to what events hold.
fn documents(cases: &[Value], least: usize) {
    let mut through_canon = 0;
    for case in cases {
        let given = text(&case["inputs"], "json_text");
        let expected = unhex(text(&case["expected"], "canonical_hex"));
        assert_eq!(canon::hex(&canon::sha256(&expected)), text(&case["expected"], "sha256"), "{case}");
        let value: Value = serde_json::from_str(given).expect("JSON");
        assert_eq!(serde_jcs::to_vec(&value).expect("canonical"), expected, "{case}");
        if ours(&value) {
            through_canon += 1;
            assert_eq!(canon::bytes(&value).as_ref(), Ok(&expected), "{case}");
            assert_eq!(canon::read(&expected), Ok(value), "{case}");
        } else {
            assert!(canon::bytes(&value).is_err(), "{case}");
            // Written canonically it may be ours: 56.0 becomes 56.
            let again: Value = serde_json::from_slice(&expected).expect("JSON");
            assert_eq!(canon::read(&expected).is_ok(), ours(&again), "{case}");
        }
        if given.as_bytes() != expected {
            assert!(canon::read(given.as_bytes()).is_err(), "not canonical, but read: {case}");
        }
    }
    assert!(through_canon >= least, "only {through_canon} of {} documents went through canon", cases.len());
}

#[test]
fn numbers_of_appendix_b() {
    numbers(&committed("integrity.json", "jcs_number"));
}

#[test]
fn computed_documents() {
    documents(&committed("integrity.json", "jcs_document"), 2);
}

#[test]
#[cfg_attr(not(shared_check_values), ignore = "NOT RUN: shared/check-values is not beside the checkout")]
fn numbers_of_the_authors_sequence() {
    numbers(&shared("jcs_number"));
}

#[test]
#[cfg_attr(not(shared_check_values), ignore = "NOT RUN: shared/check-values is not beside the checkout")]
fn documents_of_the_author() {
    documents(&shared("jcs_document"), 3);
}

/// RFC 8785 section 3.1 with RFC 7493 section 2.3 (names given twice) and 2.1 (lone surrogates).
#[test]
fn what_no_reader_may_accept() {
    for case in committed("integrity.json", "jcs_error") {
        assert!(canon::read(text(&case["inputs"], "json_text").as_bytes()).is_err(), "{case}");
    }
}

/// RFC 7493 section 2.2: beyond 2^53-1 readers differ, so such numbers are refused both ways; the last one is read.
#[test]
fn integers_that_readers_round() {
    for case in committed("integrity.json", "jcs_note") {
        let given = text(&case["inputs"], "json_text");
        assert_eq!(canon::read(given.as_bytes()), Err(NotCanonical::Number), "{case}");
        let value: Value = serde_json::from_str(given).expect("JSON");
        assert_eq!(canon::bytes(&value), Err(NotCanonical::Number), "{case}");
        assert_eq!(canon::bytes(&json!({"a": [value]})), Err(NotCanonical::Number), "{case}");
    }
    for (given, read) in [
        ("9007199254740991", true),
        ("-9007199254740991", true),
        ("9007199254740992", false),
        ("-9007199254740992", false),
        ("18446744073709551615", false),
        ("-0", false),
        ("1.0", false),
        ("1e2", false),
        ("01", false),
        (" 1", false),
    ] {
        assert_eq!(canon::read(given.as_bytes()).is_ok(), read, "{given}");
    }
}
