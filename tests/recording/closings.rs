//! What the end of a visit commits, and the key of the device's own that signs it once more.

use crate::light::{saloon, spot};
use crate::{entries, phone};
use sidelong_core::light::MODEL_VERSION;
use sidelong_core::record::events::{Body, CouldSee};
use sidelong_core::record::inputs::{Act, BeginWalk, Ground, PanelSpot, RecordLook};
use sidelong_core::record::views::{EntryKind, JobView};
use sidelong_core::record::words::{Ambient, Distance, KeyHeld, Light, Locale, Stage, Surface};
use sidelong_core::store::Store;
use sidelong_tests::{Gives, MemoryKey, Phone, bare_look, closing, nothing_seen};
use uuid::Uuid;

fn lines(view: &JobView) -> Vec<String> {
    entries(view, EntryKind::Closing).iter().flat_map(|it| it.lines.clone()).collect()
}

/// The bodies of a job's events, in order of recording.
fn bodies(phone: &mut Phone, job: Uuid) -> Vec<Body> {
    phone.close();
    let store = Store::open_to_read(&phone.folder).expect("opens");
    let mut events = store.entries(job).expect("entries");
    drop(store);
    phone.reopen().expect("opens again");
    events.sort_by_key(|it| it.envelope.lam);
    events.iter().map(|it| Body::read(&it.envelope.kind, it.envelope.v, &it.envelope.body)).collect()
}

#[test]
fn what_could_be_seen_is_committed_as_it_is_shown() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, job) = saloon(&folder, 40);
    let look = |light, panels: &[&str], image: Option<(&str, _)>| {
        Act::RecordLook(RecordLook {
            panels: panels.iter().map(|it| (*it).to_owned()).collect(),
            image: image.map(|(panel, at)| PanelSpot { panel: panel.to_owned(), at }),
            surface: Some(Surface::Clean),
            ambient: Some(Ambient::Indoors),
            distance: Some(Distance::Close),
            spent_ms: Some(60_000),
            ..bare_look(light, Ground { x_mm: 1_000, y_mm: 1_700 })
        })
    };
    phone.put(job, look(Light::Soft, &["bonnet", "front-left-door"], None));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::AfterWash }));
    phone.put(
        job,
        look(Light::Point, &["front-left-door"], Some(("front-left-door", spot(500_000, 400_000)))),
    );
    phone.put(job, closing());
    let shown = phone.open().light(job.to_string(), Locale::EnGb).expect("the job is here").seen;
    let Some(Body::JobClosed(closed)) = bodies(&mut phone, job).pop() else { panic!("no closing") };
    let numbers = |it: &CouldSee| {
        let panel = |it: &sidelong_core::record::events::PanelCouldSee| {
            (it.panel.clone(), [it.fine_line_ppm, it.haze_ppm, it.tone_ppm, it.proud_ppm, it.shape_ppm])
        };
        (it.stage, it.model, it.panels.iter().map(panel).collect::<Vec<_>>())
    };
    let views: Vec<_> = shown
        .iter()
        .map(|it| {
            let panel = |it: &sidelong_core::record::views::SeenPanelView| {
                (it.panel.clone(), [it.fine_line_ppm, it.haze_ppm, it.tone_ppm, it.proud_ppm, it.shape_ppm])
            };
            (it.stage, it.model, it.panels.iter().map(panel).collect::<Vec<_>>())
        })
        .collect();
    assert_eq!(closed.could_see.iter().map(numbers).collect::<Vec<_>>(), views);
    let stages: Vec<_> = views.iter().map(|(stage, model, panels)| (*stage, *model, panels.len())).collect();
    assert_eq!(stages, [(Stage::AsFound, MODEL_VERSION, 2), (Stage::AfterWash, MODEL_VERSION, 1)]);
    assert!(views.iter().flat_map(|(_, _, panels)| panels).any(|(_, ppm)| ppm.iter().any(|it| *it > 0)));
    let told = format!(
        "this closing commits 5 entries of 1 phone and what could be seen of each panel that was looked at (model \
         {MODEL_VERSION}); leaving one of them out later, or changing it, would show"
    );
    assert_eq!(lines(&phone.view(job)), std::slice::from_ref(&told));
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("The end of the visit") && page.contains(&told[1..]), "the page says it");
}

#[test]
fn a_closing_is_co_signed_at_once_and_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut one, job) = phone(&folder, 41);
    one.with_key(Some(MemoryKey::new(7, KeyHeld::Hardware)));
    let before = one.total();
    let end = one.input(job, closing());
    let done = one.open().record(end.clone()).expect("ended");
    assert_eq!((done.events.as_slice(), one.total()), ([before].as_slice(), before + 2));
    let view = one.view(job);
    let told = lines(&view);
    assert!(told[0].starts_with(&format!("this closing commits {before} entries of 1 phone; ")), "{told:?}");
    assert_eq!(told[1], "beside it stands a co-signature with a hardware key, as its device says");
    assert!(view.unknown.is_empty());
    let signed = one.open().cosign_closings(job.to_string()).expect("told");
    assert_eq!((signed.len(), signed[0].entry, signed[0].key), (1, before, Some(KeyHeld::Hardware)));
    assert!(signed[0].key_name.as_ref().is_some_and(|name| name.len() == 16), "{signed:?}");
    assert!(one.open().record(end).expect("again").again);
    assert_eq!((one.total(), one.view(job)), (before + 2, view), "the same again adds nothing");

    // A colleague's closing is the colleague's to sign, and a later co-signature of it is no entry of the visit.
    let mut two = Phone::new(&folder.path().join("two"), 42);
    two.with_key(Some(MemoryKey::new(8, KeyHeld::Software)));
    two.join(&mut one);
    let total = two.total();
    assert_eq!(two.open().cosign_closings(job.to_string()), Ok(Vec::new()));
    assert_eq!((two.total(), lines(&two.view(job)).len()), (total, 2));
    assert!(matches!(
        two.open().cosign_closings(Uuid::from_u128(9).to_string()),
        Err(sidelong_core::error::Error::NotFound { .. })
    ));
}

/// The closing is on record before the key is asked: what then fails or is cut off is asked for again.
#[test]
fn a_key_that_fails_loses_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut phone, _) = phone(&folder, 43);
    let key = MemoryKey::new(9, KeyHeld::Software);
    phone.with_key(Some(key.clone()));
    let failures = [Gives::Nothing, Gives::Nonsense, Gives::Other, Gives::NoKey];
    for (number, gives) in failures.into_iter().enumerate() {
        let job = phone.begin(sidelong_core::record::words::Form::Van, Stage::AsFound);
        phone.put(job, nothing_seen("roof"));
        let before = phone.total();
        key.gives(gives);
        let end = phone.input(job, closing());
        let done = phone.open().record(end.clone()).expect("ended all the same");
        assert_eq!((done.events.as_slice(), phone.total()), ([before].as_slice(), before + 1), "{gives:?}");
        let why = phone.open().cosign_closings(job.to_string()).expect_err("told").to_string();
        let words = if gives == Gives::Nothing { "the key is gone" } else { "hardware_key: it gave what" };
        assert!(why.contains(words), "{gives:?}: {why}");
        assert_eq!((phone.total(), lines(&phone.view(job)).len()), (before + 1, 1), "{gives:?}");
        key.gives(Gives::Signature);
        if number % 2 == 0 {
            assert!(phone.open().record(end).expect("again").again);
        } else {
            let signed = phone.open().cosign_closings(job.to_string()).expect("signed");
            assert_eq!(signed[0].key, Some(KeyHeld::Software));
        }
        assert_eq!((phone.total(), lines(&phone.view(job)).len()), (before + 2, 2), "{gives:?}");
    }
    // Ended by a program that had no key, or that was killed before it came to it.
    phone.with_key(None);
    let job = phone.begin(sidelong_core::record::words::Form::Suv, Stage::AsFound);
    phone.put(job, closing());
    let bare = phone.open().cosign_closings(job.to_string()).expect("told");
    assert_eq!((bare.len(), bare[0].key), (1, None));
    assert!(bare[0].text.contains("is not co-signed"));
    phone.with_key(Some(key));
    let signed = phone.open().cosign_closings(job.to_string()).expect("signed");
    assert!(signed[0].text.contains("software key"), "{signed:?}");
}
