//! Acts that are thrown at phones: any of the kinds that two phones can record of one job.

use super::*;
use sidelong_core::record::inputs::*;
use sidelong_core::record::words::*;
use sidelong_tests::bare_look;

pub fn random_act(dice: &mut Dice, known: &[Entry]) -> Act {
    let panels = ["bonnet", "roof", "tailgate", "front-left-door"];
    let panel = panels[dice.below(panels.len())];
    let marks: Vec<Uuid> = known
        .iter()
        .filter(|entry| entry.envelope.kind == "mark.recorded")
        .filter_map(|entry| entry.envelope.input)
        .collect();
    let entries: Vec<Uuid> = known.iter().filter_map(|entry| entry.envelope.input).collect();
    let disputes: Vec<Uuid> = known
        .iter()
        .filter(|entry| entry.envelope.kind == "dispute.opened")
        .filter_map(|entry| entry.envelope.input)
        .collect();
    let spots: Vec<Uuid> = known
        .iter()
        .filter(|entry| entry.envelope.kind == "spot.found")
        .filter_map(|entry| entry.envelope.input)
        .collect();
    let cloths: Vec<Uuid> = known
        .iter()
        .filter(|entry| entry.envelope.kind == "cloth.taken")
        .filter_map(|entry| entry.envelope.input)
        .collect();
    let of = |kind: &str| -> Vec<Uuid> {
        let those = known.iter().filter(|entry| entry.envelope.kind == kind);
        those.filter_map(|entry| entry.envelope.input).collect()
    };
    let (sheets, layers) = (of("sheet.recorded"), of("layer.begun"));
    match dice.below(35) {
        0 => Act::OpenJob(car(Form::Hatch5)),
        1 => Act::BeginWalk(BeginWalk { stage: Stage::ALL[dice.below(Stage::ALL.len())] }),
        2 | 3 => nothing_seen(panel),
        4 => could_not_see(panel, Why::Dirt),
        5..=7 => mark(panel, MarkKind::Scratch, 1_000 + u32::try_from(dice.below(50_000)).expect("small")),
        8 | 9 if !marks.is_empty() => correction(
            marks[dice.below(marks.len())],
            described(panel, MarkKind::Scuff, 9_000),
            "looked again",
        ),
        10 => feel(panel, FeelLevel::ALL[dice.below(FeelLevel::ALL.len())]),
        11 if dice.below(4) == 0 => closing(),
        12 if !entries.is_empty() => Act::Undo(Undo { entry: entries[dice.below(entries.len())] }),
        13 => Act::RecordGeneral(RecordGeneral {
            walk: None,
            panels: vec![panel.to_owned()],
            kind: MarkKind::StoneChip,
            about: Some(30),
            note: Some("a note".to_owned()),
        }),
        14 => Act::MeasureThickness(MeasureThickness {
            walk: None,
            panel: panel.to_owned(),
            at: None,
            readings_um: vec![100, 104, 98],
            no_reading: None,
            gauge_check: None,
            note: None,
        }),
        15 => Act::PassCustody(PassCustody {
            what: Custody::Keys,
            from: Party::Owner,
            to: Party::Detailer,
            keys: Some(1),
            note: None,
        }),
        16 if !marks.is_empty() => Act::SeeAgain(SeeAgain {
            walk: None,
            mark: marks[dice.below(marks.len())],
            job: None,
            note: None,
        }),
        17 => Act::WriteNote(WriteNote { panel: None, entry: None, text: "written".to_owned() }),
        18 => Act::OpenDispute(OpenDispute {
            reported: "a scratch".to_owned(),
            by: Party::Owner,
            panel: Some(panel.to_owned()),
            entries: Vec::new(),
        }),
        19 if !disputes.is_empty() => Act::EndDispute(EndDispute {
            dispute: disputes[dice.below(disputes.len())],
            outcome: "shown the record".to_owned(),
        }),
        20 => Act::CorrectVehicle(CorrectVehicle {
            becomes: OpenJob { plate: Some(format!("ZZ{:02} NEW", dice.below(100))), ..car(Form::Hatch5) },
            reason: "misread".to_owned(),
        }),
        21 if dice.below(8) == 0 => {
            Act::VoidJob(VoidJob { reason: "opened twice".to_owned(), instead: None })
        }
        22 => Act::FindSpot(FindSpot {
            kind: SpotKind::HighSpot,
            place: PanelSpot { panel: panel.to_owned(), at: Spot { u_ppm: 1, v_ppm: 2 } },
            light: Light::Soft,
            step: None,
            age_s: None,
            note: None,
        }),
        23 if !spots.is_empty() => Act::CheckSpot(CheckSpot {
            spot: spots[dice.below(spots.len())],
            light: Light::Point,
            clear: dice.below(2) == 0,
        }),
        24 => Act::RecordLook(RecordLook {
            panels: vec![panel.to_owned()],
            ..bare_look(Light::Soft, Ground { x_mm: 0, y_mm: 1_700 })
        }),
        25 => Act::RecordSurface(RecordSurface {
            panel: panel.to_owned(),
            kind: SurfaceKind::ALL[dice.below(SurfaceKind::ALL.len())],
            also: Vec::new(),
            note: None,
        }),
        26 => Act::RecordStep(RecordStep {
            panels: vec![panel.to_owned()],
            step: Step::ALL[dice.below(Step::ALL.len())],
            on: None,
            reacted: Vec::new(),
            saw: None,
            product: Some("own".to_owned()),
            note: None,
        }),
        27 => Act::SetAside(SetAside {
            panel: panel.to_owned(),
            step: Step::Polish,
            on: None,
            reason: "asked for".to_owned(),
            answer: OwnerAnswer::Agreed,
            by: Party::Owner,
        }),
        28 => Act::TakeCloth(TakeCloth {
            cloth: None,
            tool: Some(Tool::Cloth),
            zone: Some(ZoneUse::ALL[dice.below(ZoneUse::ALL.len())]),
            name: Some("a cloth".to_owned()),
            panel: panel.to_owned(),
            step: Step::Wax,
            product: None,
        }),
        29 if !cloths.is_empty() => Act::PutOut(PutOut {
            cloth: Some(cloths[dice.below(cloths.len())]),
            why: ClothOut::Dropped,
            panel: None,
        }),
        21 => Act::PassSide(PassSide { walk: None, side: WholeSide::Left, light: None, surface: None }),
        30 => Act::RecordSheet(RecordSheet {
            kind: Step::Ceramic,
            starter: false,
            name: Some("own".to_owned()),
            version: None,
            says: SheetSays::default(),
            apply: None,
            remove: None,
            cautions: Vec::new(),
            source: None,
        }),
        31 if !sheets.is_empty() => Act::BeginLayer(BeginLayer {
            panel: panel.to_owned(),
            part: None,
            layer: 1 + u32::try_from(dice.below(3)).expect("small"),
            sheet: sheets[dice.below(sheets.len())],
            lot: None,
            who: None,
        }),
        32 if !layers.is_empty() => Act::LevelSection(LevelSection {
            begun: layers[dice.below(layers.len())],
            who: Some("the other one".to_owned()),
            then: None,
        }),
        33 => Act::ReadConditions(ReadConditions {
            panel: Some(panel.to_owned()),
            sheet: None,
            air_mc: 18_000,
            panel_mc: Some(15_000),
            rh_ppm: 750_000,
            sun_on_panel: false,
            note: None,
        }),
        34 if !sheets.is_empty() => Act::MakeSchedule(MakeSchedule {
            people: vec![Worker { name: "one".to_owned(), from_at: None }],
            sections: vec![SectionToCoat {
                panel: panel.to_owned(),
                part: None,
                layers: vec![
                    LayerToCoat { sheet: sheets[dice.below(sheets.len())], apply_s: 20, level_s: 30 };
                    1 + dice.below(2)
                ],
            }],
            open_limit: 2,
            hand_over: false,
            late_allowed: dice.below(2) == 0,
            begins_at: None,
        }),
        _ => nothing_seen(panel),
    }
}
