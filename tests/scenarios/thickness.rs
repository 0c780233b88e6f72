//! Thickness, and what it may and may not say.

use super::*;

pub fn thickness(panel: &str, readings_um: &[u32]) -> Act {
    Act::MeasureThickness(MeasureThickness {
        walk: None,
        panel: panel.to_owned(),
        at: None,
        readings_um: readings_um.to_vec(),
        no_reading: None,
        gauge_check: None,
        note: None,
    })
}

pub fn gauge(accuracy_um: u32) -> Act {
    Act::CheckGauge(CheckGauge {
        gauge: "gauge 1".to_owned(),
        plate: Plate::Steel,
        zero_um: Some(0),
        foil_um: Some(125),
        foil_read_um: Some(126),
        accuracy_um: Some(accuracy_um),
        note: None,
    })
}

/// Scenario 8: lowest 97 and 219 µm, means 108.4 and 231.4 µm, a difference of 123 µm, never "accident".
#[test]
fn scenario_08_thickness() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 8);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    phone.put(job, gauge(2));
    phone.put(job, thickness("front-right-door", &[112, 108, 115, 97, 110]));
    phone.put(job, thickness("front-left-door", &[228, 241, 236, 219, 233]));
    let view = phone.view(job);
    let shown: Vec<_> = view.thickness.iter().map(|it| (it.lowest_um, it.mean_tenths_um)).collect();
    assert_eq!(shown, [(Some(97), Some(1_084)), (Some(219), Some(2_314))]);
    assert_eq!(view.mates.len(), 1);
    assert_eq!(view.mates[0].difference_tenths_um, 1_230);
    assert!(view.mates[0].text.contains("123 µm: consistent with repaint, among other causes"));
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("Lowest 97 µm, mean 108.4 µm") && page.contains("123 µm"));
    assert!(!page.to_lowercase().contains("accident"));
}

/// Scenario 9: no reading on what is no metal: said so, left out of means, never 0.
#[test]
fn scenario_09_plastic() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 9);
    let job = phone.begin(Form::Hatch5, Stage::AsFound);
    for panel in ["front-bumper", "left-mirror", "right-mirror", "tailgate"] {
        phone.put(
            job,
            Act::MeasureThickness(MeasureThickness {
                walk: None,
                panel: panel.to_owned(),
                at: None,
                readings_um: Vec::new(),
                no_reading: Some(NoReading::NonMetal),
                gauge_check: None,
                note: None,
            }),
        );
    }
    let view = phone.view(job);
    assert!(
        view.thickness.iter().all(|it| it.text == "no reading: non-metal" && it.mean_tenths_um.is_none())
    );
    assert!(view.mates.is_empty(), "two mirrors without a reading are not compared");
    let page = phone.open().report(job.to_string(), Locale::EnGb).expect("a page");
    assert!(page.contains("No reading: non-metal"));
    let zeros =
        page.match_indices("0 µm").filter(|(at, _)| !page[..*at].ends_with(|c: char| c.is_ascii_digit()));
    assert_eq!(zeros.count(), 0, "never 0");
}

/// Scenario 10: about 2.6 µm, near the limit of the gauge; one pair is not enough.
#[test]
fn scenario_10_removal() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut phone = Phone::new(folder.path(), 10);
    let job = phone.begin(Form::Saloon, Stage::AsFound);
    phone.put(job, gauge(2));
    phone.put(job, thickness("bonnet", &[104, 101, 99, 106, 103]));
    phone.put(job, thickness("roof", &[104]));
    phone.put(job, Act::BeginWalk(BeginWalk { stage: Stage::Handover }));
    phone.put(job, thickness("bonnet", &[101, 99, 98, 102, 100]));
    phone.put(job, thickness("roof", &[101]));
    let removal = phone.view(job).removal;
    assert!(removal[0].contains("about 2.6 µm, near the limit of the gauge"), "{removal:?}");
    assert!(removal[1].contains("not enough readings"), "{removal:?}");
    assert!(removal.iter().all(|text| !text.contains("removed")));
}
