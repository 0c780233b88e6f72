//! What the page may never say, and what it may never become.

use super::sentences::css_string;
use super::{About, Document, Picture, html};
use crate::light::Hatch;
use crate::log::head::LogKey;
use crate::log::receipt::Receipt;
use crate::log::tree;
use crate::record::events::Business;
use crate::record::inputs::Spot;
use crate::record::views::{
    AftercareLine, AnswerView, BlankView, ClothView, ConditionsView, DroppedView, EntryKind, EntryView,
    FeelView, ItemView, JobView, LayerView, LightView, LookAgainView, LookView, LotView, MarkBlanksView,
    MarkView, MatesView, NextStepView, OverrideView, OwnerAnswerView, PairView, PanelTreatedView, PanelView,
    PhotoView, SeenPanelView, SeenStageView, SheetView, SpotView, StampView, ThicknessView, TreatedLineView,
    TreatedView, VehicleView, VersionView, WalkView, WorkView,
};
use crate::record::words::{
    Area, BlobState, ClothOut, Form, Light, Locale, Outcome, OwnerAnswer, SpotKind, Stage, Step, SurfaceKind,
    Tool, View,
};
use std::collections::BTreeMap;

/// A view in which every part of the page occurs and every text is `text`.
fn view(text: &str) -> JobView {
    let t = || text.to_owned();
    let stamp = |day: &str| StampView {
        at_ms: 1_780_989_000_000,
        at: t(),
        rfc3339: t(),
        day: day.to_owned(),
        time: t(),
        zone: t(),
        entered_later: Some(t()),
        phone: t(),
        recorder: Some(t()),
        flags: vec![t()],
    };
    let photo = |id: &str, mut view: View| {
        if id.is_empty() {
            view = View::Close;
        }
        PhotoView {
            id: id.to_owned(),
            sha256: id.to_owned(),
            bytes: 1_234_567,
            view,
            view_text: t(),
            of: t(),
            state: BlobState::Lost,
            missing: Some(t()),
            taken: Some(t()),
            note: Some(t()),
            stamp: stamp("a"),
        }
    };
    let mark = |id: &str, walk: &str, panel: &str| MarkView {
        id: id.to_owned(),
        label: t(),
        panel: panel.to_owned(),
        panel_name: t(),
        u_ppm: 300_000,
        v_ppm: 400_000,
        to_u_ppm: 500_000,
        to_v_ppm: 400_000,
        kind_text: t(),
        size: Some(t()),
        place: Some(t()),
        details: vec![t()],
        weight: 1,
        note: Some(t()),
        walk: walk.to_owned(),
        stage: Some(Stage::AsFound),
        found: t(),
        also: vec![t()],
        photos: vec![
            photo("shown", View::Close),
            photo("absent", View::Middle),
            photo("unknown", View::Middle),
        ],
        history: vec![
            VersionView { text: t(), reason: None, stamp: stamp("a") },
            VersionView { text: t(), reason: Some(t()), stamp: stamp("b") },
        ],
        contested: true,
        stamp: stamp("b"),
    };
    let panel = |panel: &str, outcome: Outcome| PanelView {
        panel: panel.to_owned(),
        name: t(),
        outcome,
        text: t(),
        answers: vec![AnswerView { outcome, text: t(), how: t(), note: Some(t()), stamp: stamp("a") }],
        marks: if outcome == Outcome::Marks { vec![t()] } else { Vec::new() },
    };
    let walk = |id: &str, stage| WalkView {
        id: id.to_owned(),
        stage,
        stage_text: t(),
        panels: vec![
            panel("bonnet", Outcome::Marks),
            panel("roof", Outcome::NothingSeen),
            panel("tailgate", Outcome::CouldNotSee),
            panel("left-sill", Outcome::CouldNotSee),
            panel("windscreen", Outcome::NotLooked),
            panel("driver-seat", Outcome::NotLooked),
        ],
        stamp: stamp("a"),
    };
    JobView {
        job: t(),
        demo: true,
        vehicle: VehicleView {
            plate: Some(t()),
            vin: Some(t()),
            vin_doubts: vec![t()],
            stock: Some(t()),
            steering_text: Some(t()),
            film: vec![t()],
            history: vec![
                VersionView { text: t(), reason: None, stamp: stamp("a") },
                VersionView { text: t(), reason: Some(t()), stamp: stamp("b") },
            ],
            colour: Some(t()),
            missing: Some(t()),
            form: "hatch-5".to_owned(),
            form_text: t(),
            finish_text: t(),
            scope: vec![t()],
        },
        opened: stamp("a"),
        walks: vec![
            walk("1", Stage::AsFound),
            walk("2", Stage::AfterWash),
            walk("3", Stage::Handover),
            walk("4", Stage::ComeBack),
        ],
        marks: vec![mark("1", "1", "bonnet"), mark("2", "2", "driver-seat"), mark("3", "gone", "roof")],
        photos: vec![photo("shown", View::Overall), photo("place", View::Middle)],
        feels: vec![FeelView {
            panel: "bonnet".to_owned(),
            panel_name: t(),
            text: t(),
            reacted: vec![t()],
            stage_text: t(),
            note: Some(t()),
            stamp: stamp("a"),
        }],
        thickness: vec![ThicknessView {
            id: t(),
            panel: "bonnet".to_owned(),
            panel_name: t(),
            readings_um: vec![97, 112, 108],
            lowest_um: Some(97),
            mean_tenths_um: Some(1057),
            text: t(),
            doubts: vec![t()],
            stage_text: t(),
            note: Some(t()),
            stamp: stamp("a"),
        }],
        mates: vec![MatesView {
            left: "front-left-door".to_owned(),
            right: "front-right-door".to_owned(),
            difference_tenths_um: 1_230,
            text: t(),
        }],
        removal: vec![t()],
        visit: [
            EntryKind::General,
            EntryKind::GaugeCheck,
            EntryKind::Instruments,
            EntryKind::Belongings,
            EntryKind::Custody,
            EntryKind::Stay,
            EntryKind::Permissions,
            EntryKind::Incident,
            EntryKind::Note,
            EntryKind::Closing,
            EntryKind::Dispute,
            EntryKind::Void,
            EntryKind::Moved,
            EntryKind::Slip,
            EntryKind::Erasure,
            EntryKind::Surface,
            EntryKind::WorkAgreed,
            EntryKind::SetAside,
            EntryKind::StepDone,
            EntryKind::Square,
            EntryKind::Cloth,
            EntryKind::ClothOut,
        ]
        .into_iter()
        .map(|kind| EntryView {
            id: t(),
            kind,
            lines: vec![t()],
            typed: vec![t()],
            panels: vec!["bonnet".to_owned()],
            photos: vec![photo("entry", View::Close)],
            open: true,
            stamp: stamp("a"),
        })
        .collect(),
        owner_answers: vec![OwnerAnswerView {
            id: t(),
            answer: OwnerAnswer::AgreedExcept,
            text: t(),
            copy_text: t(),
            items: vec![ItemView { entry: t(), of: t(), agreed: false, words: Some(t()) }],
            signature: vec![vec![0, 0, 500, 1_000], vec![10, 20]],
            signature_text: Some(t()),
            note: Some(t()),
            stamp: stamp("a"),
        }],
        owner_text: t(),
        look_again: vec!["left-sill".to_owned()],
        maybe_same: vec![PairView { a: t(), b: t(), why: t() }],
        closings: vec![stamp("b")],
        unknown: vec![t()],
        flags: vec![t()],
        phones: vec![t(), t()],
        devices: vec![t()],
    }
}

/// Light in which every part of the page occurs and every text is `text`.
fn light(text: &str) -> LightView {
    let t = || text.to_owned();
    let stamp = view(text).opened;
    let look = LookView {
        id: t(),
        stage_text: t(),
        light: Light::Sun,
        text: t(),
        shows: t(),
        panels: vec![t()],
        heading: Some(t()),
        sensed: true,
        note: Some(t()),
        flags: vec![t()],
        stamp: stamp.clone(),
    };
    let panel = SeenPanelView {
        panel: "roof".to_owned(),
        panel_name: t(),
        fine_line_ppm: 1,
        haze_ppm: 1,
        tone_ppm: 1,
        proud_ppm: 1,
        shape_ppm: 1,
        text: t(),
    };
    let blank = BlankView { stage: Stage::AsFound, look: Some(t()), mark: Some(t()), text: t() };
    LightView {
        looks: vec![look],
        seen: vec![SeenStageView {
            stage: Stage::AsFound,
            stage_text: t(),
            looks: 1,
            model: 1,
            wall_deg: 8,
            panels: vec![panel],
        }],
        blanks: vec![MarkBlanksView { mark: "1".to_owned(), stages: vec![blank] }],
        spots: vec![SpotView {
            id: t(),
            kind: SpotKind::Residue,
            panel: "roof".to_owned(),
            panel_name: t(),
            at: Spot { u_ppm: 1, v_ppm: 1 },
            text: t(),
            allows: vec![t()],
            open: true,
            state: t(),
            history: vec![t()],
            note: Some(t()),
            stamp,
        }],
    }
}

/// Surfaces of which every part of the page occurs and every text is `text`.
fn treated(text: &str) -> TreatedView {
    let t = || text.to_owned();
    let stamp = view(text).opened;
    let next = NextStepView {
        step: Some(Step::ClayFine),
        on: Area::TestSquare,
        text: t(),
        as_good: Vec::new(),
        reason: t(),
        rests_on: Some(t()),
        first: vec![t()],
        how: vec![t()],
        refused: Vec::new(),
        protect_again: true,
    };
    let panel = PanelTreatedView {
        panel: "roof".to_owned(),
        panel_name: t(),
        surface: SurfaceKind::PaintSolid,
        surface_text: t(),
        surface_recorded: false,
        keep_off: vec![t()],
        note: Some(t()),
        history: vec![TreatedLineView { entry: t(), text: t(), typed: vec![t()], stamp: stamp.clone() }],
        next: Some(next.clone()),
        polish: Some(next),
        removal: Some(t()),
        earlier: vec![t()],
    };
    let dropped = |open| DroppedView {
        id: t(),
        panel: "roof".to_owned(),
        text: t(),
        cloth: Some(t()),
        open,
        stamp: stamp.clone(),
    };
    TreatedView {
        panels: vec![panel.clone(), PanelTreatedView { surface_recorded: true, ..panel }],
        earlier: vec![t()],
        agreed: vec![t()],
        agreed_notes: vec![t()],
        overrides: vec![OverrideView {
            id: t(),
            panel: "roof".to_owned(),
            text: t(),
            warned: vec![t()],
            reason: Some(t()),
            consent: t(),
            stamp: stamp.clone(),
        }],
        cloths: vec![ClothView {
            id: t(),
            tool: Tool::Cloth,
            name: t(),
            zone: Some(t()),
            panel: "roof".to_owned(),
            out: Some(ClothOut::Dropped),
            warned: vec![t()],
        }],
        dropped: vec![dropped(true), dropped(false)],
    }
}

fn work(text: &str) -> WorkView {
    let t = || text.to_owned();
    let stamp = || light(text).spots.remove(0).stamp;
    let layer = |section: &str, number: u32, late_ms: u64| LayerView {
        id: t(),
        panel: "roof".to_owned(),
        section: format!("{section}{text}"),
        layer: number,
        product: t(),
        lot: Some(t()),
        who: format!("{section}{text}"),
        begun_ms: 1_780_989_000_000 + i64::from(number) * 3_700_000,
        levelled_ms: (late_ms < 99_000).then_some(1_780_989_150_000 + i64::from(number) * 3_700_000),
        least_ms: 120_000,
        most_ms: Some(180_000),
        next_ms: Some(3_600_000),
        late_ms,
        early_ms: 0,
        open: late_ms == 99_000,
        state: t(),
        conditions: Some(t()),
        notes: vec![t()],
        stamp: stamp(),
    };
    let sheet = SheetView {
        id: t(),
        product: t(),
        version: 1,
        kind: Step::Ceramic,
        kind_text: t(),
        lines: vec![t()],
        usual: Some(t()),
        typed: vec![t()],
        newer: Some(t()),
        stamp: stamp(),
    };
    let read = ConditionsView {
        id: t(),
        place: t(),
        text: t(),
        margin_mc: Some(1),
        notes: vec![t()],
        continued: vec![t()],
        note: Some(t()),
        stamp: stamp(),
    };
    let line =
        |wait: Option<String>| AftercareLine { wait, until_ms: Some(1), text: t(), because: Some(t()) };
    WorkView {
        sheets: vec![sheet],
        lots: vec![LotView { id: t(), lot: t(), product: t(), lines: vec![t()], stamp: stamp() }],
        conditions: vec![read],
        layers: vec![layer("a", 1, 0), layer("b", 1, 40_000), layer("a", 2, 99_000)],
        aftercare: vec![line(Some(t())), line(None)],
        look_again: vec![LookAgainView {
            text: t(),
            from_day: t(),
            from_text: t(),
            by_text: t(),
            reasons: vec![t()],
        }],
        notes: vec![t()],
        zone: t(),
    }
}

fn receipt() -> Receipt {
    let key = LogKey::from_seed(&[3; 32], false);
    let note = key.sign(7, tree::leaf(b"")).expect("signs");
    Receipt::of(&note, key.name(), &key.public()).expect("a receipt")
}

fn hatch(crossing: bool) -> Hatch {
    Hatch { panel: "roof", at: Spot { u_ppm: 500_000, v_ppm: 500_000 }, crossing }
}

fn page(view: JobView) -> String {
    let pictures = BTreeMap::from([
        ("shown".to_owned(), Picture::Shown(vec![0xFF, 0xD8])),
        ("absent".to_owned(), Picture::NotShown("damaged".to_owned())),
    ]);
    let name = view.job.clone();
    let business = Some(Business { name: name.clone(), details: Some(name) });
    let about = About {
        form: Form::Hatch5,
        locale: Locale::EnGb,
        business,
        light: light(&view.job),
        treated: treated(&view.job),
        work: work(&view.job),
        schedule: Some(super::timeline::tests::schedule(&view.job, 1, 1)),
        hatches: BTreeMap::from([(Stage::AsFound, vec![hatch(false), hatch(true)])]),
        times: vec![view.job.clone()],
        receipt: Some(receipt()),
    };
    html(&Document { view, about, pictures })
}

/// The names of all tags in order, but for the lines of the drawing, which give way to long texts. No text of the
/// page holds a bare `<` or `>`, which is the point.
fn tags(page: &str) -> Vec<&str> {
    let name = |tag: &'_ str| tag.find([' ', '>']).unwrap_or(tag.len());
    page.split('<').skip(1).map(|tag| &tag[..name(tag)]).filter(|tag| *tag != "path").collect()
}

/// The text between the tags, without the style sheet.
fn words(page: &str) -> String {
    let (head, rest) = page.split_once("<style>").unwrap_or((page, ""));
    let body = rest.split_once("</style>").map_or("", |(_, body)| body);
    let text = |part: &str| -> String {
        part.split('<')
            .map(|piece| piece.split_once('>').map_or(piece, |(_, text)| text))
            .collect::<Vec<_>>()
            .join(" ")
    };
    text(head) + &text(body)
}

#[test]
fn text_from_people_is_never_markup() {
    let plain = page(view("T"));
    for hostile in [
        "T</style><script>alert(1)</script>",
        "T\"><img src=x onerror=alert(1)>",
        "T' onmouseover='alert(1)",
        "T<!-- ",
        "T&lt;b&gt; </bdi></main></body></html>",
        "T\"; } body { display: none } @import url(//x); /*",
        "T\u{202E}\u{2066}\u{0}\u{1b}\n",
    ] {
        let page = page(view(hostile));
        let (got, wanted) = (tags(&page), tags(&plain));
        let differs = got.iter().zip(&wanted).position(|(a, b)| a != b);
        assert_eq!((differs, got.len()), (None, wanted.len()), "{hostile}");
        for never in ["<script", "<img src=x", "<!--", "url(//x)", "@import"] {
            let in_text = page.contains(never) && !words(&page).contains(never);
            assert!(!in_text, "{never} of {hostile}");
        }
        assert_eq!(page.matches("<style>").count(), 1);
    }
}

#[test]
fn a_style_sheets_string_never_ends_early() {
    assert_eq!(css_string("AB 1, c."), "\"AB 1, c.\"");
    assert_eq!(css_string("\"}\\<\n"), "\"\\22 \\7d \\5c \\3c \\a \"");
    assert_eq!(css_string("é\u{1F697}"), "\"\\e9 \\1f697 \"");
}

#[test]
fn the_page_speaks_of_no_blame_and_no_promise() {
    let text = words(&page(view("T"))).to_lowercase();
    assert!(text.contains("condition report") && text.contains("not looked at"), "{text}");
    let banned = [
        "fault",
        "coverage",
        "claim",
        "seal",
        "stance",
        "certif",
        "guarant",
        "admission",
        "admit",
        "insur",
        "liab",
        "warrant",
        "blame",
        "!",
        "perfect",
        "excellent",
        "great",
        "flawless",
        "proof",
        "proven",
        "accident",
    ];
    let found: Vec<&str> = banned.into_iter().filter(|word| text.contains(word)).collect();
    assert!(found.is_empty(), "{found:?} in {text}");
}

#[test]
fn a_place_that_nobody_looked_at_is_told() {
    let mut told = view("T");
    told.walks.truncate(1);
    told.demo = false;
    let page = page(told);
    let text = words(&page);
    assert!(text.contains(
        "On arrival 1 mark was recorded; on 1 place nothing was seen; 2 places could not be seen; 2 places were not looked at."
    ), "{text}");
    assert!(text.contains("walk-around that is not on record here"));
    assert!(page.contains("class=\"dotted\""));
    assert!(!text.contains("Demonstration"));
    assert!(!page.contains("Demonstration"));
}

#[test]
fn no_address_and_nothing_to_load() {
    let page = page(view("T"));
    for never in ["https:", "//", "@import", "url(", "<script", "<iframe", "<object", "<form", "javascript:"]
    {
        let allowed = page.matches("http://www.w3.org/2000/svg").count() * usize::from(never == "//");
        assert_eq!(page.matches(never).count(), allowed, "{never}");
    }
    assert!(page.contains("default-src 'none'"));
}
