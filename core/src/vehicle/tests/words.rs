//! Words in both languages, and sides by country and steering wheel.

use crate::record::words as w;
use crate::record::words::{Locale, Steering};
use crate::vehicle::*;

fn has(list: &str, word: &str) {
    for &locale in Locale::ALL {
        assert!(text(locale, list, word).is_some_and(|t| !t.is_empty()), "{locale:?} {list} {word}");
    }
}

#[test]
fn every_word_has_both_texts() {
    // Read from the source, so that a new word cannot be forgotten here.
    let mut list = String::new();
    let mut words = 0;
    for line in include_str!("../../record/words.rs").lines().map(str::trim) {
        if let Some(name) = line.strip_suffix(" {").filter(|n| n.chars().all(char::is_alphanumeric)) {
            list = String::new();
            for c in name.chars() {
                if c.is_uppercase() && !list.is_empty() {
                    list.push('-');
                }
                list.extend(c.to_lowercase());
            }
            if list == "mark-kind" {
                list = "kind".to_owned();
            }
        } else if let Some((_, word)) = line.split_once(" = \"").filter(|_| !list.is_empty())
            && let Some(word) = word.strip_suffix("\",")
        {
            has(&list, word);
            words += 1;
        }
    }
    assert!(words > 140, "{words}");
    Side::ALL.iter().for_each(|x| has("side", x.word()));
    Class::ALL.iter().for_each(|x| has("class", x.word()));
    Runs::ALL.iter().for_each(|x| has("runs", x.word()));
    SpokenSide::ALL.iter().for_each(|x| has("spoken-side", x.word()));
}

#[test]
fn every_panel_and_inside_place_has_both_texts_and_no_two_share_one() {
    for &form in w::Form::ALL {
        for &locale in Locale::ALL {
            let mut seen = std::collections::BTreeMap::new();
            let inside = inside_places(form);
            for id in geometry(form).panels.iter().map(|p| p.id).chain(inside) {
                let said = panel_text(locale, id).unwrap_or_else(|| panic!("{id} has no words"));
                assert!(!said.is_empty());
                if let Some(other) = seen.insert(said, id) {
                    panic!("{form:?} {locale:?}: {other} and {id} are both called {said}");
                }
            }
        }
    }
    assert!((20..=36).contains(&inside_places(w::Form::Hatch5).len()));
    assert!(inside_places(w::Form::Motorcycle).is_empty());
}

#[test]
fn a_bonnet_is_a_hood_only_in_the_us() {
    use w::Form::{Convertible, Saloon};
    assert_eq!(panel_text(Locale::EnGb, "bonnet"), Some("bonnet"));
    assert_eq!(panel_text(Locale::EnUs, "bonnet"), Some("hood"));
    assert_eq!(panel_by_text(Locale::EnUs, Convertible, "hood"), Some("bonnet"));
    assert_eq!(panel_by_text(Locale::EnGb, Convertible, "Hood"), Some("soft-top"));
    assert_eq!(panel_by_text(Locale::EnGb, Saloon, "hood"), None);
    assert_eq!(panel_by_text(Locale::EnGb, Saloon, "left wing"), Some("front-left-fender"));
    assert_eq!(panel_by_text(Locale::EnUs, w::Form::Hatch5, "wing"), Some("rear-spoiler"));
    for &form in w::Form::ALL {
        for &locale in Locale::ALL {
            for p in &geometry(form).panels {
                let said = panel_text(locale, p.id).unwrap();
                assert_eq!(panel_by_text(locale, form, said), Some(p.id), "{form:?} {locale:?} {said}");
            }
        }
    }
}

#[test]
fn sides_follow_country_and_steering_wheel() {
    let (gb, us) = (traffic_of("GB"), traffic_of("us"));
    assert_eq!((gb, us), (Traffic::KeepLeft, Traffic::KeepRight));
    // A right-hand-drive van in the UK and a left-hand-drive pickup in the US.
    assert_eq!(side_of(SpokenSide::Drivers, gb, Steering::Right), Side::Right);
    assert_eq!(side_of(SpokenSide::Drivers, us, Steering::Left), Side::Left);
    // An import keeps the kerb where the country has it.
    assert_eq!(side_of(SpokenSide::Nearside, gb, Steering::Left), Side::Left);
    assert_eq!(side_of(SpokenSide::Passenger, gb, Steering::Left), Side::Right);
    assert_eq!(side_of(SpokenSide::Offside, us, Steering::Left), Side::Left);
    assert_eq!(side_of(SpokenSide::Nearside, us, Steering::Left), Side::Right);
    assert_eq!((usual_steering(gb), usual_steering(us)), (Steering::Right, Steering::Left));
    assert_eq!((locale_of_country("GB"), locale_of_country("US")), (Locale::EnGb, Locale::EnUs));
}

#[test]
fn twin_panels_differ_in_their_side_alone() {
    for id in panel_ids().filter(|id| id.split('-').any(|w| w == "left")) {
        let twin = names::other_side(id).unwrap_or_else(|| panic!("{id} has no twin"));
        for &locale in Locale::ALL {
            let (a, b) = (panel_text(locale, id).unwrap(), panel_text(locale, twin).unwrap());
            assert_eq!(a.replace("left", "right"), b, "{id}");
        }
    }
}
