//! What is shown of surfaces, agreed work, steps, test squares and cloths. Pure. The shapes at the end are filled by `care`.

use super::visit::{Lists, listed};
use super::{EntryKind, EntryView, Speech, StampView};
use crate::record::events::{
    ClothPutOut, ClothTaken, OverrideAgreed, SquareJudged, SquareTried, StepDone, SurfaceRecorded, WorkAgreed,
};
use crate::record::fold::{Item, Job, Stamp};
use crate::record::times;
use crate::record::words::{Area, ClothOut, OwnerAnswer, Party, Step, SurfaceKind, Tool};
use serde::Serialize;
use serde_json::Value;
use uuid::Uuid;

/// Entries on what was done to surfaces, for the list of the visit.
pub(super) fn entries<'j>(job: &'j Job, list: &Lists) -> Vec<(&'j Stamp, EntryView)> {
    let treated = &job.treated;
    let mut all: Vec<(&Stamp, EntryView)> = Vec::new();
    all.extend(treated.surfaces.iter().map(|it| (&it.stamp, surface(list, it))));
    all.extend(treated.agreed.iter().map(|it| (&it.stamp, agreed(list, it))));
    all.extend(treated.overrides.iter().map(|it| (&it.stamp, set_aside(list, it))));
    all.extend(treated.steps.iter().map(|it| (&it.stamp, step(list, it))));
    all.extend(treated.squares.iter().map(|it| (&it.stamp, square(list, it))));
    all.extend(treated.judged.iter().map(|it| (&it.stamp, judged(list, it))));
    all.extend(treated.cloths.iter().map(|it| (&it.stamp, cloth(list, it))));
    all.extend(treated.put_out.iter().map(|it| (&it.stamp, put_out(list, it))));
    all
}

/// What a reader must know of the job at once: a panel on which a cloth fell and where nobody has looked since.
pub(super) fn flags(job: &Job, speech: Speech) -> Vec<String> {
    let open = job.treated.put_out.iter().filter(|it| job.waits_for_a_look(it));
    open.map(|it| format!("{}: look there under a point of light", dropped(job, it, speech))).collect()
}

/// `a cloth fell on the left rear door, Tue 10:42`
pub fn dropped(job: &Job, it: &Item<ClothPutOut>, speech: Speech) -> String {
    let first = job.treated.cloths.iter().find(|taken| Some(taken.id) == it.body.cloth);
    let tool = speech.word("tool", first.and_then(|taken| taken.body.tool).unwrap_or(Tool::Cloth).word());
    let seen = it.stamp.observed.map_or((it.stamp.at, it.stamp.off_min), |seen| (seen.ms, seen.off_min));
    let time = times::time_of_day(seen.0, seen.1);
    let panel = speech.panel(&it.body.panel);
    match it.body.why {
        ClothOut::Grit => format!("grit was found in a {tool} on the {panel}, {time}"),
        _ => format!("a {tool} fell on the {panel}, {time}"),
    }
}

fn panels(speech: Speech, names: &[String]) -> String {
    listed(&names.iter().map(|panel| speech.panel(panel)).collect::<Vec<_>>())
}

fn area(speech: Speech, on: Area, panel: &str) -> String {
    match on {
        Area::Panel => panel.to_owned(),
        Area::TestSquare => format!("{panel}, {}", speech.word("area", on.word())),
    }
}

fn surface(list: &Lists, it: &Item<SurfaceRecorded>) -> EntryView {
    let speech = list.speech;
    let word = |kind: &SurfaceKind| speech.word("surface-kind", kind.word());
    let mut lines = vec![format!("{}: {}", speech.panel(&it.body.panel), word(&it.body.kind))];
    if !it.body.also.is_empty() {
        let also: Vec<String> = it.body.also.iter().map(word).collect();
        lines.push(format!("also on it, and kept off: {}", listed(&also)));
    }
    let mut view = list.entry(EntryKind::Surface, it, lines, &["note"]);
    view.panels.push(it.body.panel.clone());
    view
}

fn agreed(list: &Lists, it: &Item<WorkAgreed>) -> EntryView {
    let speech = list.speech;
    let mut lines = vec![format!("said by {}", speech.word("party", it.body.by.word()))];
    lines.extend(it.body.steps.iter().map(|said| {
        let agreed = if said.agreed { "agreed" } else { "not agreed" };
        format!("{agreed}: {} on the {}", speech.word("step", said.step.word()), panels(speech, &said.panels))
    }));
    list.entry(EntryKind::WorkAgreed, it, lines, &["note"])
}

fn set_aside(list: &Lists, it: &Item<OverrideAgreed>) -> EntryView {
    let (speech, body) = (list.speech, &it.body);
    let place = area(speech, body.on, &speech.panel(&body.panel));
    let mut lines = vec![format!("{} on the {place}", speech.word("step", body.step.word()))];
    lines.extend(body.warned.iter().map(|warned| format!("warned: {warned}")));
    lines.push(consent(speech, body));
    let mut view = list.entry(EntryKind::SetAside, it, lines, &["reason"]);
    view.panels.push(body.panel.clone());
    view
}

/// `consent: the owner, agreed`
pub fn consent(speech: Speech, body: &OverrideAgreed) -> String {
    let who: Party = body.by;
    format!(
        "consent: {}, {}",
        speech.word("party", who.word()),
        speech.word("owner-answer", body.answer.word())
    )
}

fn step(list: &Lists, it: &Item<StepDone>) -> EntryView {
    let (speech, body) = (list.speech, &it.body);
    let place = area(speech, body.on, &panels(speech, &body.panels));
    let mut lines = vec![format!("{} on the {place}", speech.word("step", body.step.word()))];
    if !body.reacted.is_empty() {
        let met: Vec<String> = body.reacted.iter().map(|met| speech.word("reaction", met.word())).collect();
        lines.push(format!("reacted: {}", listed(&met)));
    }
    lines.extend(body.saw.map(|kind| format!("saw: {}", speech.word("kind", kind.word()))));
    lines.extend(speech.typed(&it.text("product")).map(|product| format!("with {product}")));
    if !body.set_aside.is_empty() {
        lines.push("in spite of a warning, with a reason and consent on record".to_owned());
    }
    let mut view = list.entry(EntryKind::StepDone, it, lines, &["note"]);
    view.panels.clone_from(&body.panels);
    view
}

fn square(list: &Lists, it: &Item<SquareTried>) -> EntryView {
    let (speech, body) = (list.speech, &it.body);
    let passes = if body.passes == 1 { "1 pass".to_owned() } else { format!("{} passes", body.passes) };
    let mut lines = vec![format!(
        "{} on a test square of the {}, {passes}",
        speech.word("step", body.step.word()),
        speech.panel(&body.panel)
    )];
    for role in ["machine", "pad", "polish"] {
        lines.extend(speech.typed(&it.text(role)).map(|text| format!("{role}: {text}")));
    }
    if !body.set_aside.is_empty() {
        lines.push("in spite of a warning, with a reason and consent on record".to_owned());
    }
    let mut view = list.entry(EntryKind::Square, it, lines, &["note"]);
    view.panels.push(body.panel.clone());
    view
}

fn judged(list: &Lists, it: &Item<SquareJudged>) -> EntryView {
    let (speech, body) = (list.speech, &it.body);
    let panel = list.job.treated.squares.iter().find(|square| square.id == body.square);
    let panel = panel.map(|square| square.body.panel.clone());
    let of = panel.as_ref().map_or_else(String::new, |panel| format!(" of the {}", speech.panel(panel)));
    let mut lines = vec![format!("the test square{of}")];
    lines.extend(body.enough.map(|enough| if enough { "good enough" } else { "not good enough" }.to_owned()));
    lines.extend(body.lowest_um.map(|um| format!("lowest reading afterwards {um} µm")));
    if body.before.is_some() && body.after.is_some() {
        lines.push("a pair of photos, before and after".to_owned());
    }
    if let (Some(answer), Some(by)) = (body.answer, body.by) {
        let said = speech.word("owner-answer", answer.word());
        lines.push(format!("{}: {said}", speech.word("party", by.word())));
    }
    let mut view = list.entry(EntryKind::Square, it, lines, &[]);
    view.panels.extend(panel);
    view
}

fn cloth(list: &Lists, it: &Item<ClothTaken>) -> EntryView {
    let (speech, body) = (list.speech, &it.body);
    let id = body.cloth.unwrap_or(it.id);
    let mut lines = vec![format!(
        "{} for {} on the {}",
        cloth_name(list.job, id, speech),
        speech.word("step", body.step.word()),
        speech.panel(&body.panel)
    )];
    lines.extend(speech.typed(&it.text("product")).map(|product| format!("with {product}")));
    lines.extend(warned(it, speech).into_iter().map(|text| format!("warned: {text}")));
    let mut view = list.entry(EntryKind::Cloth, it, lines, &[]);
    view.panels.push(body.panel.clone());
    view
}

/// What spoke against taking a cloth, as far as it is still here.
pub fn warned(it: &Item<ClothTaken>, speech: Speech) -> Vec<String> {
    match it.value("warned") {
        Some(Value::Array(texts)) => texts.iter().filter_map(Value::as_str).map(str::to_owned).collect(),
        _ if it.body.warnings == 0 => Vec::new(),
        _ => {
            let state = it.typed.get("warned").map_or(crate::record::words::BlobState::Lost, |blob| blob.0);
            vec![format!("[{} texts; {}]", it.body.warnings, speech.gone(state))]
        }
    }
}

fn put_out(list: &Lists, it: &Item<ClothPutOut>) -> EntryView {
    let speech = list.speech;
    let mut lines = vec![dropped(list.job, it, speech)];
    if let Some(id) = it.body.cloth {
        lines.push(format!("out of use: {}", cloth_name(list.job, id, speech)));
    }
    lines.push(
        match list.job.waits_for_a_look(it) {
            true => "nobody has looked there under a point of light since",
            false => "looked at since under a point of light",
        }
        .to_owned(),
    );
    let mut view = list.entry(EntryKind::ClothOut, it, lines, &[]);
    view.panels.push(it.body.panel.clone());
    view
}

/// What the crew calls a cloth, with what it is.
pub fn cloth_name(job: &Job, id: Uuid, speech: Speech) -> String {
    let first = job.treated.cloths.iter().find(|it| it.id == id);
    let tool = speech.word("tool", first.and_then(|it| it.body.tool).unwrap_or(Tool::Cloth).word());
    match first.and_then(|it| speech.typed(&it.text("name"))) {
        Some(name) => format!("{tool} \"{name}\""),
        None => format!("a {tool} that is not on record here"),
    }
}

/// What speaks against a step on a panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct RefusalView {
    /// The surface.
    pub surface: SurfaceKind,
    /// The step.
    pub step: Step,
    /// Both and why, to read.
    pub text: String,
    /// Why, to read.
    pub reason: String,
    /// Whether a reason and consent can set it aside.
    pub may_override: bool,
    /// Whether a reason and consent are on record.
    pub set_aside: bool,
}

/// What comes next on a panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct NextStepView {
    /// The step; none when nothing more is to be done, or may be.
    pub step: Option<Step>,
    /// How much of the panel.
    pub on: Area,
    /// Step and place, to read.
    pub text: String,
    /// Steps that are as good in its place.
    pub as_good: Vec<Step>,
    /// Why, to read.
    pub reason: String,
    /// The entry that it rests on.
    pub rests_on: Option<String>,
    /// What must be so before it, to read.
    pub first: Vec<String>,
    /// How it is done and what is to be known beside it, to read.
    pub how: Vec<String>,
    /// What speaks against it.
    pub refused: Vec<RefusalView>,
    /// Whether clay or polish took protection off, so that protecting again follows.
    pub protect_again: bool,
}

/// Something felt, done or tried on a panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct TreatedLineView {
    /// The entry.
    pub entry: String,
    /// What, to read.
    pub text: String,
    /// What a person typed beside it, to read, a text each.
    pub typed: Vec<String>,
    /// Who and when.
    pub stamp: StampView,
}

/// One panel: what it is, what was felt and done, what comes next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PanelTreatedView {
    /// Neutral name.
    pub panel: String,
    /// Its name, to read.
    pub panel_name: String,
    /// What it is.
    pub surface: SurfaceKind,
    /// The same, to read.
    pub surface_text: String,
    /// Whether somebody recorded it; otherwise it is taken from the vehicle's finish and the kind of part.
    pub surface_recorded: bool,
    /// What else is on it and is kept off, to read.
    pub keep_off: Vec<String>,
    /// What was noted of the surface.
    pub note: Option<String>,
    /// What was felt, done and tried, in order of time.
    pub history: Vec<TreatedLineView>,
    /// Against what sits on it.
    pub next: Option<NextStepView>,
    /// In polishing.
    pub polish: Option<NextStepView>,
    /// What came off since before the first polishing, to read.
    pub removal: Option<String>,
    /// What earlier jobs of the vehicle say of its paint here, to read.
    pub earlier: Vec<String>,
}

/// A warning that was set aside.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct OverrideView {
    /// Its id.
    pub id: String,
    /// Neutral name of the panel.
    pub panel: String,
    /// Step and place, to read.
    pub text: String,
    /// What was warned of, to read.
    pub warned: Vec<String>,
    /// Why it was done all the same.
    pub reason: Option<String>,
    /// Who consented, to read.
    pub consent: String,
    /// Who recorded it and when.
    pub stamp: StampView,
}

/// A cloth, mitt or pad.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct ClothView {
    /// Its id.
    pub id: String,
    /// What it is.
    pub tool: Tool,
    /// As the crew calls it.
    pub name: String,
    /// The dirtiest zone that it has been in, as the crew calls it; none for a pad.
    pub zone: Option<String>,
    /// The panel that it was taken for last.
    pub panel: String,
    /// Why it is out of use.
    pub out: Option<ClothOut>,
    /// What spoke against taking it, to read.
    pub warned: Vec<String>,
}

/// A cloth that fell, or in which grit was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct DroppedView {
    /// Its id.
    pub id: String,
    /// Neutral name of the panel.
    pub panel: String,
    /// What happened, where and when, to read.
    pub text: String,
    /// The cloth, to read.
    pub cloth: Option<String>,
    /// Whether the panel still waits for a look under a point of light.
    pub open: bool,
    /// Who and when.
    pub stamp: StampView,
}

/// What was done to the surfaces of a job, and why.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct TreatedView {
    /// Panels in walking order.
    pub panels: Vec<PanelTreatedView>,
    /// Earlier jobs of the vehicle with something on its paint, and how they are known to be of it, to read.
    pub earlier: Vec<String>,
    /// What is agreed and what is not, and who said so, to read.
    pub agreed: Vec<String>,
    /// What was noted beside it.
    pub agreed_notes: Vec<String>,
    /// Warnings that were set aside, in order.
    pub overrides: Vec<OverrideView>,
    /// Cloths, mitts and pads, in the order in which they were first taken.
    pub cloths: Vec<ClothView>,
    /// Those that fell, in order.
    pub dropped: Vec<DroppedView>,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PlannedView {
    /// Which.
    pub step: Step,
    /// Step and coat, to read.
    pub text: String,
    /// Neutral names of the panels.
    pub panels: Vec<String>,
    /// Their names, to read.
    pub on: String,
    /// Whether nobody agreed to it by name, and another step needs it.
    pub added: bool,
    /// Why, how the surface must be, what is asked, how it goes: to read, a line each.
    pub lines: Vec<String>,
    /// What to take care of, to read.
    pub cautions: Vec<String>,
    /// The cloth zone, as the crew calls it.
    pub cloth_zone: Option<String>,
}

/// The agreed work that still waits, in order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PlanView {
    /// The steps.
    pub steps: Vec<PlannedView>,
    /// What is agreed and kept back, with the reason, to read.
    pub kept_back: Vec<String>,
    /// What must be known beside it, to read.
    pub notes: Vec<String>,
}

/// A place of the vehicle with what it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PlaceSurfaceView {
    /// Neutral name.
    pub panel: String,
    /// Its name, to read.
    pub panel_name: String,
    /// What it is.
    pub surface: SurfaceKind,
    /// The same, to read.
    pub surface_text: String,
    /// Whether somebody recorded it; otherwise it is taken from the vehicle's finish and the kind of part.
    pub recorded: bool,
    /// What else is on it and is kept off.
    pub also: Vec<SurfaceKind>,
    /// What was noted of it.
    pub note: Option<String>,
    /// What it can be, the usual first.
    pub kinds: Vec<SurfaceKind>,
    /// The steps that are agreed there.
    pub agreed: Vec<Step>,
}

/// Places that are agreed to by one word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PlaceGroupView {
    /// The word, to read: `paint`.
    pub name: String,
    /// Neutral names, in walking order; at least one.
    pub panels: Vec<String>,
}

/// What the places of a vehicle are.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SurfacesView {
    /// The places, outside in walking order, then inside.
    pub places: Vec<PlaceSurfaceView>,
    /// The groups that have a place.
    pub groups: Vec<PlaceGroupView>,
    /// What is offered as kept off.
    pub edges: Vec<SurfaceKind>,
}

/// A photo that could be one of a square's pair.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SquarePhotoView {
    /// Its id.
    pub id: String,
    /// Its hash, under which its picture is asked for.
    pub sha256: String,
    /// How near and when, to read.
    pub text: String,
}

/// A test square of polishing, and what came of it so far.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct SquareView {
    /// Its id.
    pub id: String,
    /// What was tried.
    pub step: Step,
    /// The same, to read.
    pub step_text: String,
    /// Which machine.
    pub machine: String,
    /// Which pad.
    pub pad: String,
    /// Which polish.
    pub polish: String,
    /// How many passes.
    pub passes: u32,
    /// What is wanting before the whole panel may follow, to read.
    pub wanting: Vec<String>,
    /// Whether the gauge reads on this panel, so that a lowest reading is wanted.
    pub gauge_reads: bool,
    /// The panel's newest photo from before the square was tried.
    pub before: Option<SquarePhotoView>,
    /// Its newest photo since.
    pub after: Option<SquarePhotoView>,
    /// Whether a pair of photos is on record.
    pub has_pair: bool,
    /// The lowest reading afterwards, µm.
    pub lowest_um: Option<u32>,
    /// Whether it is good enough, as said last.
    pub enough: Option<bool>,
    /// What the owner said last.
    pub answer: Option<OwnerAnswer>,
    /// Who tried it and when.
    pub stamp: StampView,
}
