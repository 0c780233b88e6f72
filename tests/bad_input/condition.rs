//! Every refusal of the acts on the condition of the vehicle.

use crate::shop::*;
use sidelong_core::record::inputs::*;
use sidelong_core::record::words::*;
use sidelong_tests::{correction, described};

#[test]
fn on_the_condition() {
    let mut shop = Shop::open();
    let nobody = shop.phone.dice.id();
    let off = Some(Spot { u_ppm: 1_000_001, v_ppm: 0 });
    let empty = Some(" ".to_owned());
    let too_long = Some(long(4_001));
    let mut stroke_off = described("roof", MarkKind::Scratch, 9_000);
    stroke_off.to = Some(Spot { u_ppm: 5, v_ppm: 1_000_001 });
    shop.refuse(vec![
        (
            Act::PassSide(PassSide {
                walk: Some(nobody),
                side: WholeSide::Right,
                light: None,
                surface: None,
            }),
            "pass_side.walk",
        ),
        (side(WholeSide::Left), "pass_side.side"),
        (Act::SeeAgain(SeeAgain { walk: Some(nobody), ..again(shop.mark, None) }), "see_again.walk"),
        (Act::SeeAgain(again(nobody, None)), "see_again.mark"),
        (Act::SeeAgain(again(shop.mark, None)), "see_again.mark"),
        (Act::SeeAgain(again(shop.mark, Some(nobody))), "see_again.job"),
        (Act::SeeAgain(again(shop.mark, Some(shop.other))), "see_again.mark"),
        (
            Act::SeeAgain(SeeAgain { note: empty.clone(), ..again(shop.other_mark, Some(shop.other)) }),
            "see_again.note",
        ),
        (Act::RecordGeneral(RecordGeneral { panels: vec![], ..general() }), "record_general.panels"),
        (
            Act::RecordGeneral(RecordGeneral { panels: vec!["roof".into(); 61], ..general() }),
            "record_general.panels",
        ),
        (
            Act::RecordGeneral(RecordGeneral { panels: vec!["roof".into(), "cellar".into()], ..general() }),
            "record_general.panels[1]",
        ),
        (Act::RecordGeneral(RecordGeneral { about: Some(1), ..general() }), "record_general.about"),
        (Act::RecordGeneral(RecordGeneral { about: Some(10_001), ..general() }), "record_general.about"),
        (Act::RecordGeneral(RecordGeneral { walk: Some(nobody), ..general() }), "record_general.walk"),
        (Act::RecordGeneral(RecordGeneral { note: too_long.clone(), ..general() }), "record_general.note"),
        (Act::CheckGauge(CheckGauge { zero_um: Some(1_001), ..gauge() }), "check_gauge.zero_um"),
        (Act::CheckGauge(CheckGauge { zero_um: Some(-1_001), ..gauge() }), "check_gauge.zero_um"),
        (Act::CheckGauge(CheckGauge { zero_um: None, ..gauge() }), "check_gauge.zero_um"),
        (
            Act::CheckGauge(CheckGauge { foil_um: Some(0), foil_read_um: Some(1), ..gauge() }),
            "check_gauge.foil_um",
        ),
        (
            Act::CheckGauge(CheckGauge { foil_um: Some(125), foil_read_um: Some(0), ..gauge() }),
            "check_gauge.foil_read_um",
        ),
        (
            Act::CheckGauge(CheckGauge { foil_um: Some(125), foil_read_um: Some(99_999), ..gauge() }),
            "check_gauge.foil_read_um",
        ),
        (Act::CheckGauge(CheckGauge { foil_um: Some(125), ..gauge() }), "check_gauge.foil_read_um"),
        (Act::CheckGauge(CheckGauge { foil_read_um: Some(125), ..gauge() }), "check_gauge.foil_read_um"),
        (Act::CheckGauge(CheckGauge { accuracy_um: Some(101), ..gauge() }), "check_gauge.accuracy_um"),
        (Act::CheckGauge(CheckGauge { gauge: String::new(), ..gauge() }), "check_gauge.gauge"),
        (Act::CheckGauge(CheckGauge { gauge: long(101), ..gauge() }), "check_gauge.gauge"),
        (Act::CheckGauge(CheckGauge { note: empty.clone(), ..gauge() }), "check_gauge.note"),
        (Act::MeasureThickness(readings(&[])), "measure_thickness.readings_um"),
        (Act::MeasureThickness(readings(&[100, 0])), "measure_thickness.readings_um[1]"),
        (Act::MeasureThickness(readings(&[99_999])), "measure_thickness.readings_um[0]"),
        (Act::MeasureThickness(readings(&[100; 201])), "measure_thickness.readings_um"),
        (
            Act::MeasureThickness(MeasureThickness {
                no_reading: Some(NoReading::NonMetal),
                ..readings(&[100])
            }),
            "measure_thickness.no_reading",
        ),
        (
            Act::MeasureThickness(MeasureThickness { at: off, ..readings(&[100]) }),
            "measure_thickness.at.u_ppm",
        ),
        (
            Act::MeasureThickness(MeasureThickness { gauge_check: Some(shop.mark), ..readings(&[100]) }),
            "measure_thickness.gauge_check",
        ),
        (
            Act::MeasureThickness(MeasureThickness { panel: "cellar".into(), ..readings(&[100]) }),
            "measure_thickness.panel",
        ),
        (
            Act::MeasureThickness(MeasureThickness { walk: Some(nobody), ..readings(&[100]) }),
            "measure_thickness.walk",
        ),
        (
            Act::MeasureThickness(MeasureThickness { note: too_long.clone(), ..readings(&[100]) }),
            "measure_thickness.note",
        ),
        (correction(shop.mark, stroke_off, "why"), "correct_mark.becomes.to.v_ppm"),
    ]);
    // Without a walk-around nothing can be said of the condition.
    let bare = shop.bare;
    shop.refuse_in(
        bare,
        vec![
            (side(WholeSide::Left), "pass_side.walk"),
            (Act::SeeAgain(again(shop.other_mark, Some(shop.other))), "see_again.walk"),
            (Act::RecordGeneral(general()), "record_general.walk"),
            (Act::MeasureThickness(readings(&[100])), "measure_thickness.walk"),
        ],
    );
    // A saloon has no tailgate; and a mark of an earlier visit is seen again once.
    let saloon = shop.saloon;
    shop.refuse_in(saloon, vec![(Act::SeeAgain(again(shop.mark, Some(shop.job))), "see_again.mark")]);
    shop.phone.put(shop.job, Act::SeeAgain(again(shop.other_mark, Some(shop.other))));
    shop.refuse(vec![(Act::SeeAgain(again(shop.other_mark, Some(shop.other))), "see_again.mark")]);
}
