//! UUIDs of RFC 9562: an input and a job are named by version 7 (section 5.7), whose variant is 10 in binary
//! (section 4.1); every other kind is refused with the field's name.

use sidelong_core::error::Error;
use sidelong_core::record::inputs::{Act, BeginWalk, Input};
use sidelong_core::record::words::{Form, Stage};
use sidelong_tests::{Phone, car};
use uuid::Uuid;

/// Appendix A.6.
const VERSION_7: &str = "017F22E2-79B0-7CC3-98C4-DC0C0C07398F";

/// Appendix A.1 to A.5, B.1, B.2, sections 5.9 and 5.10.
const OTHERS: &[&str] = &[
    "C232AB00-9414-11EC-B3C8-9F6BDECED846",
    "5df41881-3aed-3515-88a7-2f4a814cf09e",
    "919108f7-52d1-4320-9bac-f847db4148a8",
    "2ed6657d-e927-568b-95e1-2665a8aea6a2",
    "1EC9414C-232A-6B00-B3C8-9F6BDECED846",
    "2489E9AD-2EE2-8E00-8EC9-32D5F69181C0",
    "5c146b14-3c52-8afd-938a-375d0df1fbf6",
    "00000000-0000-0000-0000-000000000000",
    "FFFFFFFF-FFFF-FFFF-FFFF-FFFFFFFFFFFF",
];

/// The example of version 7 with each other variant of section 4.1.
const OTHER_VARIANTS: &[&str] = &[
    "017F22E2-79B0-7CC3-18C4-DC0C0C07398F",
    "017F22E2-79B0-7CC3-C8C4-DC0C0C07398F",
    "017F22E2-79B0-7CC3-E8C4-DC0C0C07398F",
];

#[test]
fn only_version_7() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 31);
    let id = |text: &str| Uuid::parse_str(text).expect("a UUID");
    for text in OTHERS.iter().chain(OTHER_VARIANTS) {
        let fresh = phone.dice.id();
        for (input, job, wrong) in [(id(text), fresh, "input"), (fresh, id(text), "job")] {
            let input = Input { input, job, observed_at: None, act: Act::OpenJob(car(Form::Hatch5)) };
            match phone.open().record(input) {
                Err(Error::Refused { field, .. }) => assert_eq!(field, wrong, "{text}"),
                other => panic!("{text} as {wrong}: {other:?}"),
            }
        }
    }
    assert_eq!(
        phone.open().jobs(None, 9, sidelong_core::record::words::Locale::EnGb).expect("a list").jobs.len(),
        0
    );
    let job = id(VERSION_7);
    phone.put(job, Act::OpenJob(car(Form::Hatch5)));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AsFound }));
    assert_eq!(phone.view(job).job, job.to_string());
}
