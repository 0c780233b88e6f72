//! A walk-around as it goes: what a screen shows while a person walks round the vehicle, and which place comes next.
//! Pure.

use super::build::labels;
use super::{Speech, WalkView, build};
use crate::error::Error;
use crate::record::fold::{Job, Mark};
use crate::record::inputs::Spot;
use crate::record::words::{Corner, Form, Outcome, Stage, WholeSide};
use crate::vehicle;
use serde::Serialize;

/// A place of the vehicle in the walk-around that goes on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct PlaceNow {
    /// Neutral name.
    pub panel: String,
    /// Its name, to read.
    pub name: String,
    /// The side that it faces; none inside.
    pub side: Option<WholeSide>,
    /// The side in whose drawing it is touched: the one that it faces where that shows it. None inside, and for what is too
    /// small in all of them.
    pub drawn: Option<WholeSide>,
    /// What the walk-around says of it.
    pub outcome: Outcome,
    /// The same, to read.
    pub text: String,
    /// Numbers of the marks on it.
    pub marks: Vec<String>,
    /// True when it could not be seen in an earlier walk-around and a second look is asked for.
    pub again: bool,
}

/// A mark where it is drawn.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct MarkNow {
    /// Its id.
    pub id: String,
    /// The job in which it stands.
    pub job: String,
    /// Its number.
    pub label: String,
    /// Neutral name of the panel.
    pub panel: String,
    /// Where it is, or where the stroke begins.
    pub from: Spot,
    /// Where the stroke ends; none for a point.
    pub to: Option<Spot>,
    /// What it is, to read: `scratch, about 18 mm`.
    pub text: String,
}

/// The walk-around that goes on: the job's latest.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, uniffi::Record)]
pub struct WalkNow {
    /// The job.
    pub job: String,
    /// The walk-around's id.
    pub walk: String,
    /// When in the visit.
    pub stage: Stage,
    /// The same, to read.
    pub stage_text: String,
    /// The vehicle, to read: plate or number and form.
    pub vehicle: String,
    /// Body form.
    pub form: Form,
    /// Every place in scope in the chosen order, then places that an answer or a mark names beside them.
    pub places: Vec<PlaceNow>,
    /// The place to look at now: the one that was asked for, or else the first without an answer.
    pub at: Option<String>,
    /// The next place after that one which has no answer yet.
    pub next: Option<String>,
    /// How far it is, to read.
    pub progress: String,
    /// Marks of this walk-around and of earlier ones of the job.
    pub marks: Vec<MarkNow>,
    /// Marks known from before that were not seen again yet: of earlier walk-arounds, and of the earlier job if one was
    /// named.
    pub known: Vec<MarkNow>,
}

/// The walk-around that goes on. `at` is the place the person stands at; `earlier` a job that the person said is of
/// the same vehicle.
pub fn walk_now(
    job: &Job,
    corner: Corner,
    at: Option<&str>,
    earlier: Option<&Job>,
    speech: Speech,
) -> Result<WalkNow, Error> {
    let (Some(now), Some(walk)) = (job.vehicle(), job.walks.last()) else {
        return Err(Error::NotFound { what: format!("a walk-around of job {}", job.id) });
    };
    let form = now.form;
    let view: WalkView = build::walk_view(job, walk, now, &labels(job), speech);
    let asked = vehicle::asked_for(form, &now.scope);
    let order = vehicle::from_corner(form, &asked, corner);
    let again = job.look_again();
    let mut places: Vec<PlaceNow> = view
        .panels
        .into_iter()
        .map(|place| PlaceNow {
            side: vehicle::side_of_place(form, &place.panel),
            drawn: vehicle::drawn_on(form, &place.panel),
            again: again.contains(&place.panel.as_str()) && place.outcome == Outcome::NotLooked,
            panel: place.panel,
            name: place.name,
            outcome: place.outcome,
            text: place.text,
            marks: place.marks,
        })
        .collect();
    let turn = |panel: &str| order.iter().position(|it| *it == panel).unwrap_or(usize::MAX);
    places.sort_by_key(|place| turn(&place.panel));
    let answered = |panel: &str| {
        job.answers.iter().any(|answer| answer.walk == walk.id && answer.panel == panel)
            || places.iter().any(|place| place.panel == panel && !place.marks.is_empty())
    };
    let open = |place: &&PlaceNow| !answered(&place.panel);
    let at = at
        .filter(|at| places.iter().any(|place| place.panel == *at))
        .or_else(|| places.iter().find(open).map(|place| place.panel.as_str()))
        .map(str::to_owned);
    let from = at.as_ref().and_then(|at| places.iter().position(|place| place.panel == *at));
    let next = from.and_then(|from| {
        let (before, after) = places.split_at(from + 1);
        let before = before.get(..from).unwrap_or_default();
        after.iter().chain(before).find(open).map(|place| place.panel.clone())
    });
    let done = order.iter().filter(|panel| answered(panel)).count();
    let progress = format!("{done} of {} places answered", order.len());
    let seen = |mark: &Mark| {
        mark.walk == walk.id
            || job.seen_again.iter().any(|it| it.body.mark == mark.id && it.body.walk == walk.id)
    };
    let came =
        |mark: &Mark| job.marks.iter().any(|it| it.earlier.as_ref().is_some_and(|from| from.mark == mark.id));
    let has = |mark: &&Mark| mark.current().is_some_and(|it| vehicle::has_place(form, &it.description.panel));
    let mut known: Vec<MarkNow> = marks_now(job, |mark| !seen(mark), speech);
    if let Some(earlier) = earlier.filter(|earlier| earlier.id != job.id) {
        known.extend(marks_now(earlier, |mark| !came(mark) && has(&mark), speech));
    }
    let name = [&now.vehicle.plate, &now.vehicle.stock, &now.vehicle.vin].into_iter().flatten().next();
    let form_text = speech.word("form", form.word());
    Ok(WalkNow {
        job: job.id.to_string(),
        walk: walk.id.to_string(),
        stage: walk.stage,
        stage_text: speech.word("stage", walk.stage.word()),
        vehicle: name.map_or(form_text.clone(), |name| format!("{name}, {form_text}")),
        form,
        at,
        next,
        progress,
        marks: marks_now(job, |_| true, speech),
        known,
        places,
    })
}

fn marks_now(job: &Job, wanted: impl Fn(&Mark) -> bool, speech: Speech) -> Vec<MarkNow> {
    let labels = labels(job);
    let one = |mark: &Mark| {
        let now = &mark.current()?.description;
        let size = speech.size(now.length_um, now.width_um, now.measured);
        let kind = speech.word("kind", now.kind.word());
        Some(MarkNow {
            id: mark.id.to_string(),
            job: job.id.to_string(),
            label: labels.get(&mark.id).cloned().unwrap_or_default(),
            panel: now.panel.clone(),
            from: now.from,
            to: now.to,
            text: size.map_or(kind.clone(), |size| format!("{kind}, {size}")),
        })
    };
    job.marks.iter().filter(|mark| wanted(mark)).filter_map(one).collect()
}
